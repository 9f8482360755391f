// SPDX-License-Identifier: BSL-1.0
#pragma once

// The figures of a candidate in a system, listed once: the page, the table on the terminal, the CSV and the JSON
// file all read this list, so that none shows what another lacks.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_estimate.hpp"

namespace choose_filter {

/// Which part of the comparison a figure belongs to.
enum class FigureGroup { air, life, energy_and_cost, service, cleaning, beside, files_only };

/// One figure of a candidate: its names, its units, and how to read it from a result.
struct CandidateFigure {
    std::string key;            ///< in files: "airflow_clean"
    std::string label;          ///< on the page: "Airflow, filters clean"
    std::string unit;           ///< on the page: "m³/h"
    std::string file_unit;      ///< in files: "m3/h"
    std::string second_unit;    ///< beside it, in small print; may be empty
    double second_factor = 0.0; ///< from the first unit to the second
    FigureGroup group = FigureGroup::air;
    std::vector<std::string> missing_words;   ///< words by which the list of what is missing speaks of it
    std::function<std::optional<Estimate>(const filterflow::CandidateResult&)> of;
};

/// Whether a figure is absent because more particles were counted behind a filter than before it.
bool contradicted(const CandidateFigure& figure, const filterflow::CandidateResult& candidate);
/// The figure as it is shown; "not known" where the readings contradict themselves.
std::string figure_text(const CandidateFigure& figure, const Estimate& estimate);

/// Whether the figure cannot be: less than nothing removed, beyond its interval.
bool contradicts_itself(const CandidateFigure& figure, const Estimate& estimate);

/// All figures, in the order of the comparison.
std::vector<CandidateFigure> candidate_figures(const filterflow::StudyInput& study);

/// Indices of the candidates of a system, cheapest first, those without a rank last; each once.
std::vector<std::size_t> candidates_in_order(const filterflow::SystemResult& system);

/// What a table calls each candidate: its rank, or a letter in the order of the table where it has none.
std::vector<std::string> place_names(const filterflow::SystemResult& system);

/// The places of the candidates that cost does not tell from one, in the order of the table.
std::string tied_text(const filterflow::SystemResult& system, const filterflow::CandidateResult& candidate);

/// The limits that a system sets, each in words; empty where it sets none.
std::vector<std::string> limits_of(const filterflow::SystemInput& system);

/// How a candidate stands to the limits of its system, as far as that is known.
struct LimitsVerdict {
    bool given = false;                   ///< the system sets a limit
    std::vector<std::string> failed;      ///< limits that it breaks, with values
    std::vector<std::string> not_known;   ///< limits of which is not known whether it meets them with loaded filters
                                          ///< (all given ones where nothing is known), as "airflow"
    std::vector<std::string> not_known_clean;   ///< those of which is not known even with clean filters, for want of
                                                ///< counts or of a face
    std::vector<std::string> doubted;     ///< limits that it meets as measured, and perhaps not as it runs
    bool known_clean = false;             ///< the airflow with clean filters is known
    bool known() const { return not_known.empty() && not_known_clean.empty(); }
    std::string words() const;            ///< "meets all given", "meets those known; not known: ..."
    std::string short_words() const;      ///< the same without what the limit is, and without the doubts
    std::vector<std::string> short_doubts() const;   ///< those that short_words leaves out
};
LimitsVerdict limits_verdict(const filterflow::SystemInput* system, const filterflow::CandidateResult& candidate);

/// The currency as it may be printed in a unit.
std::string currency_name(const filterflow::StudyInput& study);

/// How many candidates meet the limits of their system; where that is not known, what it needs.
std::string limits_met_words(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                             std::size_t system);

/// Sizes of the standards' twelve ranges that were not counted, joined where they touch: "0.3-1 um and 3-10 um"; empty
/// if all were.
std::string sizes_not_counted(const filterflow::FractionalEfficiency& efficiency);

/// A thing that is missing, with all that lack it.
struct MissingThing {
    std::vector<std::string> of;   ///< "study", filters, "system: candidate"
    filterflow::MissingFigure missing;
};

/// All that is missing in a study, each thing once; filters that lack the same thing together. What a class lacks is
/// among it where it cannot be told.
std::vector<MissingThing> all_missing(const filterflow::StudyInput& study, const filterflow::StudyResult& result);

/// Figures that a study does not ask for and could have, each with the keys of the study file that ask for it.
std::vector<filterflow::MissingFigure> further_figures(const filterflow::StudyInput& study, bool drawn);

/// The same in one line: "figure (keys); figure (keys)"; empty if all are asked for.
std::string further_words(const filterflow::StudyInput& study, bool drawn);

/// Figures that no candidate of a system has, those that need the same together: "Airflow; Fan power" needs "a flow".
std::vector<filterflow::MissingFigure> rows_left_out(const filterflow::StudyInput& study,
                                                     const filterflow::StudyResult& result, std::size_t system);

/// What is missing for a figure of a candidate, from the lists of candidate, system and study.
std::vector<filterflow::MissingFigure> missing_for(const CandidateFigure& figure,
                                                   const filterflow::CandidateResult& candidate,
                                                   const filterflow::SystemResult& system,
                                                   const filterflow::StudyResult& result);

}   // namespace choose_filter
