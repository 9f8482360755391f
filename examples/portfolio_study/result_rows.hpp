// SPDX-License-Identifier: BSL-1.0
#pragma once

// The results of a portfolio as rows of a table, one for each system and candidate, and back again for merging.

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "choose_filter/csv_table.hpp"
#include "portfolio_system.hpp"

namespace portfolio_study {

inline constexpr std::size_t figure_count = 13;

/// A column of numbers.
struct FigureColumn {
    const char* name;
    const char* unit;      // as core/text.hpp reads it; empty for a share
    const char* meaning;   // in words, for files that describe themselves
};

/// The columns of numbers in their order.
const std::array<FigureColumn, figure_count>& figure_columns();

/// Words of a status and of what a change follows from, in the order of their values.
const std::vector<std::string>& status_words();
const std::vector<std::string>& changed_by_words();
/// Names of the limits, the first standing for bit 1, the next for bit 2, and so on.
const std::vector<std::string>& limit_words();

/// A row of results.
struct ResultRow {
    std::size_t number = 0;   ///< of the system, from 1
    std::string system, candidate;
    std::size_t status = 0, changed_by = 0;   ///< places in their words
    unsigned failed_limits = 0;               ///< bits of the limits it fails
    bool present = false, best = false, extrapolated = false;
    std::array<std::optional<double>, figure_count> figures;   // in the units of their columns
};

/// The header line, with its end.
std::string result_header();

/// Row of an outcome.
ResultRow result_row(std::size_t number, const std::string& system, const std::string& candidate,
                     const CandidateOutcome& outcome);

/// A row as text, with its end; numbers with all digits that a double holds.
std::string result_text(const ResultRow& row);

/// The row of a table of results. Throws DataError if it is none.
ResultRow read_result(const choose_filter::CsvTable& table, std::size_t row);

}   // namespace portfolio_study
