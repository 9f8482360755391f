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

/// What a system says of itself, without what is said of figures that no candidate has.
std::vector<std::string> system_notes(const filterflow::SystemResult& system);

/// The warning of counts at another face velocity without the velocity at which each candidate runs, which stands in
/// the comparison, so that it is said once; any other text as it is.
std::string without_its_velocity(const std::string& warning);

/// Whether a note of a system is on what the figures of its room rest on.
bool is_room_note(const std::string& note);

/// What the figures of the rooms rest on, each text once, with the systems that it holds for where it is not all of
/// those with such figures.
std::vector<SaidWarning> room_notes(const filterflow::StudyResult& result);

/// Those of a system and of its candidates, but for the notes of its room.
std::vector<SaidWarning> system_warnings(const filterflow::SystemResult& system);

/// Where more particles were counted behind a filter than before it, with the likely cause; empty where nowhere.
std::string more_behind_than_before(const filterflow::FractionalEfficiency& efficiency);

}   // namespace choose_filter
