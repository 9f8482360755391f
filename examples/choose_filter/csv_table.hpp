// SPDX-License-Identifier: BSL-1.0
#pragma once

// A table of readings: cells separated by commas, a header line whose cells are `name [unit]`, lines that begin
// with # are comments. Every cell knows its line and column, so that an error points at it.
//
// Why a reader of our own: Debian's CSV libraries for C and C++ were looked at (libcsv3 hands over cells without
// their columns; the fccp header wants the number of columns at compile time and reports the line only). Neither
// can point at the bad character, which is what this reader is for; the rest is small.

#include <cmath>
#include <cstddef>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "data_error.hpp"
#include "quantity_cell.hpp"

namespace choose_filter {

/// A cell as written, quotes and surrounding blanks removed, and where it begins.
struct CsvCell {
    std::string text;
    std::size_t line = 0;
    std::size_t offset = 0;   ///< of the text in its line [bytes]
};

/// A column's header: `name [unit]`; the unit is empty where the header has none.
struct CsvColumn {
    std::string name;   ///< lower case, blanks single
    std::string unit;
    CsvCell header;
    std::size_t unit_offset = 0;   ///< of the unit in its line [bytes]
};

class CsvTable {
public:
    /// Reads a table. Throws DataError if it is empty, binary, badly quoted, separated by something else than
    /// commas, has two columns of one name, or a row has more or fewer cells than the header. `example` is a header
    /// line of the kind of table that was expected, for hints.
    CsvTable(std::string path, const std::string& text, std::string example = "flow [cfm],pressure [inH2O]");

    /// A table of the same columns with other rows: a part of a file that is read piece by piece. `first_line` is the
    /// number of the text's first line in the file. Throws as the constructor does for rows.
    CsvTable part(std::string_view rows, std::size_t first_line) const;

    const std::string& path() const { return path_; }
    const std::vector<CsvColumn>& columns() const { return columns_; }
    std::size_t row_count() const { return rows_.size(); }

    /// Index of a column; nothing if the table has no such column.
    std::optional<std::size_t> find_column(std::string_view name) const;
    /// Index of a column that the table must have.
    std::size_t column(std::string_view name) const;
    /// Throws if a column is none of those known, with the nearest known name.
    void refuse_unknown_columns(const std::vector<std::string>& known) const;
    /// Throws if the table has fewer rows than needed, and says for what.
    void require_rows(std::size_t least, std::string_view purpose) const;

    const CsvCell& cell(std::size_t row, std::size_t column) const { return rows_[row][column]; }
    bool is_empty(std::size_t row, std::size_t column) const { return rows_[row][column].text.empty(); }
    SourcePlace place(const CsvCell& cell) const;
    SourcePlace place(std::size_t row, std::size_t column) const { return place(cell(row, column)); }
    /// "path:line" of a row, as readings remember where they came from.
    std::string origin(std::size_t row) const;

    /// The unit of a column in SI; checks its dimension.
    template <class Quantity>
    double unit_of(std::size_t column) const {
        const CsvColumn& c = columns_[column];
        if (c.unit.empty()) refuse_missing_unit(column, QuantityName<Quantity>::example);
        return unit_in_si<Quantity>(c.unit, place({c.unit, c.header.line, c.unit_offset}));
    }
    /// A cell times the unit of its column.
    template <class Quantity>
    Quantity quantity(std::size_t row, std::size_t column) const {
        const CsvColumn& c = columns_[column];
        const double unit = unit_of<Quantity>(column);
        const double value = number(row, column, c.name, c.unit, QuantityName<Quantity>::greatest / unit) * unit;
        return Quantity::from_value(value);
    }
    /// A cell as a number without a unit.
    double number(std::size_t row, std::size_t column) const {
        return number(row, column, columns_[column].name, "", greatest_value);
    }
    /// A cell as a count: a whole number, 0 or more.
    double count(std::size_t row, std::size_t column) const;
    /// Throws DataError at a cell: "the pressure -36 Pa is negative; allowed: 0 Pa or more". `allowed` is that range in
    /// words, with {} for the unit.
    [[noreturn]] void refuse_value(std::size_t row, std::size_t column, std::string_view problem,
                                   const std::string& allowed, const std::string& hint = {}) const;
    /// Throws DataError at a cell.
    [[noreturn]] void refuse(std::size_t row, std::size_t column, const std::string& problem,
                             const std::string& hint = {}) const;
    /// Throws DataError at the header of a column that has no unit; `example` is the unit that people write there.
    [[noreturn]] void refuse_missing_unit(std::size_t column, std::string_view example) const;

private:
    CsvTable() = default;
    void add_row(const std::string& line, std::size_t number);
    const std::string& line_text(std::size_t number) const;
    SourcePlace end_of_line(std::size_t number) const;
    // A first row that states units below a first line that states none: that was no header but a title.
    void refuse_title(const std::vector<CsvCell>& first_row) const;
    // A cell as a finite number of a magnitude up to the greatest.
    double number(std::size_t row, std::size_t column, const std::string& quantity, const std::string& unit,
                  double greatest) const;

    std::string path_;
    std::string example_;
    std::vector<std::string> lines_;
    std::size_t skipped_from_ = 0, skipped_ = 0;   // of a part: the line after which so many are not here
    std::vector<CsvColumn> columns_;
    std::vector<std::vector<CsvCell>> rows_;
};

/// A text whose lone carriage returns, line ends of some spreadsheets, are line feeds.
std::string with_line_feeds(std::string_view text);

/// Lines of a text, without their ends (LF or CR LF).
std::vector<std::string> lines_of(std::string_view text);

/// The text without blanks and tabulators at its ends.
std::string_view without_blanks(std::string_view text);

/// A finite number written with a point, independent of the locale; nothing if it is not one.
std::optional<double> number_of(std::string_view text);

/// Throws DataError if a text is empty or not text at all (null bytes, UTF-16).
void refuse_binary(const std::string& path, std::string_view text);

}   // namespace choose_filter
