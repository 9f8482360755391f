// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cells of a portfolio's tables as quantities in their ranges. What is outside is refused at its place. A column that
// may be absent may also be empty in some rows.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "choose_filter/csv_table.hpp"
#include "choose_filter/quantity_cell.hpp"

namespace portfolio_study {

using choose_filter::CsvTable;

/// What a cell may be.
enum class CellRange { positive, not_negative };

/// Whether a row says something in a column.
inline bool is_stated(const CsvTable& table, std::size_t row, std::string_view name) {
    const auto column = table.find_column(name);
    return column && !table.is_empty(row, *column);
}

inline void require_range(const CsvTable& table, std::size_t row, std::size_t column, double value, CellRange range) {
    if (range == CellRange::positive && !(value > 0.0)) {
        table.refuse_value(row, column, "is not positive", "more than 0 {}");
    }
    if (!(value >= 0.0)) table.refuse_value(row, column, "is negative", "0 {} or more");
}

/// A quantity that must be there.
template <class Quantity>
Quantity quantity(const CsvTable& table, std::size_t row, std::string_view name,
                  CellRange range = CellRange::positive) {
    const std::size_t column = table.column(name);
    const auto value = table.quantity<Quantity>(row, column);
    require_range(table, row, column, value.value(), range);
    return value;
}

/// A quantity that may be left out.
template <class Quantity>
std::optional<Quantity> optional_quantity(const CsvTable& table, std::size_t row, std::string_view name,
                                          CellRange range = CellRange::positive) {
    if (!is_stated(table, row, name)) return std::nullopt;
    return quantity<Quantity>(table, row, name, range);
}

/// A plain number that must be there, in per cent where the header says [%].
inline double ratio(const CsvTable& table, std::size_t row, std::string_view name,
                    CellRange range = CellRange::positive) {
    const std::size_t column = table.column(name);
    const auto& header = table.columns()[column];
    const double unit = choose_filter::unit_in_si<double>(
        header.unit, table.place({header.unit, header.header.line, header.unit_offset}));
    const double value = unit * table.number(row, column);
    require_range(table, row, column, value, range);
    return value;
}

/// The same, or what it is where nothing is stated.
inline double ratio_or(const CsvTable& table, std::size_t row, std::string_view name, double otherwise,
                       CellRange range = CellRange::positive) {
    return is_stated(table, row, name) ? ratio(table, row, name, range) : otherwise;
}

/// A share of a whole.
inline double share(const CsvTable& table, std::size_t row, std::string_view name,
                    CellRange range = CellRange::not_negative) {
    const double value = ratio(table, row, name, range);
    if (value > 1.0) {
        const std::size_t column = table.column(name);
        table.refuse_value(row, column, "is more than the whole",
                           table.columns()[column].unit.empty() ? "up to 1" : "up to 100 {}");
    }
    return value;
}
inline std::optional<double> optional_share(const CsvTable& table, std::size_t row, std::string_view name) {
    if (!is_stated(table, row, name)) return std::nullopt;
    return share(table, row, name);
}

/// A name that must be there, of at most 80 bytes.
inline const std::string& name_cell(const CsvTable& table, std::size_t row, std::string_view name) {
    const std::size_t column = table.column(name);
    const std::string& text = table.cell(row, column).text;
    if (text.empty())
        table.refuse(row, column, "no name in the column '" + std::string(name) + "'", "every row needs one");
    if (text.size() > 80) {
        table.refuse(row, column, "a name of " + std::to_string(text.size()) + " bytes; allowed: up to 80",
                     "shorten it");
    }
    return text;
}

}   // namespace portfolio_study
