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
enum class FigureGroup { air, life, energy_and_cost, cleaning, beside };

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

/// All figures, in the order of the comparison.
std::vector<CandidateFigure> candidate_figures(const filterflow::StudyInput& study);

/// Indices of the candidates of a system, best first, those without a rank last; each once.
std::vector<std::size_t> candidates_in_order(const filterflow::SystemResult& system);

/// The limits that a system sets, each in words; empty where it sets none.
std::vector<std::string> limits_of(const filterflow::SystemInput& system);

/// The currency as it may be printed in a unit.
std::string currency_name(const filterflow::StudyInput& study);

/// What is missing for a figure of a candidate, from the lists of candidate, system and study.
std::vector<filterflow::MissingFigure> missing_for(const CandidateFigure& figure,
                                                   const filterflow::CandidateResult& candidate,
                                                   const filterflow::SystemResult& system,
                                                   const filterflow::StudyResult& result);

}   // namespace choose_filter
