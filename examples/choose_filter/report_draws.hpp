// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the joint draws of a study say, for terminal, page and files. Everything here takes draws that were asked for;
// without them the report is as it is without.

#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "report_figures.hpp"
#include "report_text.hpp"
#include "study_draws.hpp"

namespace choose_filter {

/// A probability as a share of draws, in per cent: "31", "<1" where it is not nothing, ">99" where it is not all.
std::string chance_text(double probability);

/// Places among the candidates compared, in the order of the comparison's table.
std::vector<std::size_t> drawn_in_order(const filterflow::SystemResult& system, const SystemDraws& drawn);

/// How many ranks, from the first on, some candidate takes in some draw.
std::size_t ranks_taken(const filterflow::ChoiceStatistics& statistics);

/// Expected regret of a candidate compared, with the interval of its mean by the number of draws.
Estimate regret_estimate(const SystemDraws& drawn, std::size_t place);

/// A table of the draws: three head lines, then a line a candidate; the same for terminal and page.
struct DrawsTable {
    std::vector<std::vector<std::string>> heads;   // word, second word, unit
    std::vector<std::vector<std::string>> rows;    // place name, candidate, cells
};
/// Ranks and regret; no rows without costs.
DrawsTable rank_table(const filterflow::StudyInput&, const filterflow::SystemResult&, const SystemDraws&);
/// Limits and front.
DrawsTable limits_table(const filterflow::SystemResult&, const SystemDraws&);

/// What the limits that the draws hold leave out: those met in doubt; empty if there is none.
std::string doubted_words(const filterflow::SystemResult& system);

/// The unit in which a figure of the draws is shown: its size in SI, its name in print and in files.
struct DrawnUnit {
    double one = 1.0;
    std::string name, file_name;
};
DrawnUnit drawn_unit(const std::string& figure, const std::string& currency);

/// Sentences below the tables: how it was drawn and what was lost; what would sharpen the choice; whether the
/// study's intervals were good enough.
std::vector<std::string> how_drawn(const filterflow::StudyInput&, const StudyDraws&, std::size_t system);
std::vector<std::string> sharpening_words(const filterflow::StudyInput&, const filterflow::SystemResult&,
                                          const SystemDraws&);
std::vector<std::string> interval_check_words(const filterflow::StudyInput&, const filterflow::SystemResult&,
                                           const SystemDraws&);

/// Where the draws say the opposite of the ties that the recommendation rests on; to be told beside it.
std::vector<std::string> contradiction_words(const filterflow::StudyInput&, const filterflow::SystemResult&,
                                             const SystemDraws&);

/// The draws of one system on the terminal.
std::string draws_text(const filterflow::StudyInput&, const filterflow::StudyResult&, const StudyDraws&,
                       std::size_t system);

/// The draws of one system on the page.
std::string draws_html(const filterflow::StudyInput&, const filterflow::StudyResult&, const StudyDraws&,
                       std::size_t system, const ReportStyles&);

/// Probability of each rank, a bar a candidate.
ReportFigure rank_figure(const filterflow::StudyResult&, const StudyDraws&, std::size_t system);
/// Yearly cost against clean air, or airflow, with intervals of the draws; the front filled.
ReportFigure front_figure(const filterflow::StudyInput&, const filterflow::StudyResult&, const StudyDraws&,
                          std::size_t system, const ReportStyles&);

/// Head and cells of the CSV's columns of one candidate; as many cells as heads, empty where there is nothing.
std::vector<std::string> draws_csv_heads(const filterflow::StudyInput&, const StudyDraws&);
std::vector<std::string> draws_csv_cells(const filterflow::StudyInput&, const StudyDraws&, std::size_t system,
                                         std::size_t candidate);

}   // namespace choose_filter
