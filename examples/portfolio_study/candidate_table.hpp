// SPDX-License-Identifier: BSL-1.0
#pragma once

// The candidates of a portfolio: a table with one filter a row, as curve r Q + s Q^2 in duct design air (1.204 kg/m3,
// 20 degC), loading law, share of dust caught, price and rules. Such a table is written from a study of choose_filter,
// or by hand.

#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "choose_filter/csv_table.hpp"
#include "portfolio_system.hpp"

namespace portfolio_study {

/// The candidates of a table. Throws DataError.
std::vector<PortfolioCandidate> read_candidates(const choose_filter::CsvTable& table);

/// A header line of such a table, for hints.
const std::string& candidate_header();

/// The table of a study's candidates. `left_out` receives a sentence for each that it cannot hold: several stages,
/// a loading law of another form, no price, no loading test. Throws DataError if none is left.
std::string candidate_table(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                            std::vector<std::string>& left_out);

}   // namespace portfolio_study
