// SPDX-License-Identifier: BSL-1.0
#pragma once

// The warnings that change how far the figures can be trusted, for readers of the table on the terminal. What every
// figure assumes stands on the page.

#include <string>
#include <vector>

#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// A warning, with all that it is said of.
struct SaidWarning {
    std::string text;
    std::vector<std::string> of;   ///< filters, candidates or systems; empty: of everything
};

/// Those of the bench: doubts of the stand, and of each filter's readings and counts.
std::vector<SaidWarning> bench_warnings(const filterflow::StudyResult& result);

/// Those of a system and of its candidates.
std::vector<SaidWarning> system_warnings(const filterflow::SystemResult& system);

/// Where more particles were counted behind a filter than before it, with the likely cause; empty where nowhere.
std::string more_behind_than_before(const filterflow::FractionalEfficiency& efficiency);

}   // namespace choose_filter
