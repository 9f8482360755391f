// SPDX-License-Identifier: BSL-1.0
#pragma once

// The report's tables as files for other programs; every field is described in docs/report.md.

#include <string>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "study_draws.hpp"

namespace choose_filter {

/// One row for each system and candidate, best first; units in the header. No rows without a system. Columns of the
/// joint draws last, where there are any.
std::string results_csv(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                        const StudyDraws* draws = nullptr);

/// The same, with bench results, curves, efficiencies, samples of every figure, and what is missing.
std::string results_json(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                         const StudyDraws* draws = nullptr);

}   // namespace choose_filter
