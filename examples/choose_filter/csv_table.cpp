// SPDX-License-Identifier: BSL-1.0

#include "csv_table.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <string>
#include <utility>

#include <fmt/format.h>

namespace choose_filter {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

// Lower case, each run of blanks and underscores one blank.
std::string plain_name(std::string_view text) {
    std::string name;
    for (const char c : trimmed(text)) {
        const bool blank = is_blank(c) || c == '_';
        if (blank && !name.empty() && name.back() == ' ') continue;
        name += blank ? ' ' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    return name;
}

// Cells of one line; quoted cells may hold commas and doubled quotes, but no line ends.
std::vector<CsvCell> cells_of(const std::string& path, const std::string& line, std::size_t number) {
    const auto refuse = [&](std::size_t offset, const std::string& problem, const std::string& hint) {
        throw DataError({path, number, column_of_offset(line, offset), line}, problem, hint);
    };
    std::vector<CsvCell> cells;
    std::size_t i = 0;
    while (true) {
        while (i < line.size() && is_blank(line[i])) ++i;
        CsvCell cell{{}, number, i};
        if (i < line.size() && line[i] == '"') {
            const std::size_t opening = i++;
            cell.offset = i;
            while (true) {
                if (i >= line.size()) {
                    refuse(opening, "this quote is never closed", "close it on the same line, or leave it out");
                }
                if (line[i] == '"' && i + 1 < line.size() && line[i + 1] == '"') {
                    cell.text += '"';
                    i += 2;
                } else if (line[i] == '"') {
                    ++i;
                    break;
                } else {
                    cell.text += line[i++];
                }
            }
            while (i < line.size() && is_blank(line[i])) ++i;
            if (i < line.size() && line[i] != ',') {
                refuse(i, "text after the closing quote of a cell", "put the whole cell in quotes");
            }
        } else {
            const std::size_t begin = i;
            while (i < line.size() && line[i] != ',') ++i;
            cell.text = std::string(trimmed(std::string_view(line).substr(begin, i - begin)));
        }
        cells.push_back(std::move(cell));
        if (i >= line.size()) return cells;
        ++i;   // the comma
    }
}

std::string cell_count(std::size_t count) { return fmt::format("{} cell{}", count, count == 1 ? "" : "s"); }

CsvColumn column_of(const CsvCell& header) {
    CsvColumn column;
    column.header = header;
    const std::string& text = header.text;
    const std::size_t open = text.find('[');
    if (open == std::string::npos) {
        column.name = plain_name(text);
        return column;
    }
    column.name = plain_name(std::string_view(text).substr(0, open));
    const std::size_t close = text.find(']', open);
    std::string_view unit = std::string_view(text).substr(
        open + 1, (close == std::string::npos ? text.size() : close) - open - 1);
    std::size_t skipped = 0;
    while (skipped < unit.size() && is_blank(unit[skipped])) ++skipped;
    column.unit = std::string(trimmed(unit));
    column.unit_offset = header.offset + open + 1 + skipped;
    return column;
}

}   // namespace

std::vector<std::string> lines_of(std::string_view text) {
    std::vector<std::string> lines;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        std::string_view line = text.substr(0, end);
        if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
        lines.emplace_back(line);
        if (end == std::string_view::npos) break;
        text.remove_prefix(end + 1);
    }
    return lines;
}

std::string with_line_feeds(std::string_view text) {
    std::string result(text);
    for (std::size_t i = 0; i < result.size(); ++i) {
        if (result[i] == '\r' && (i + 1 == result.size() || result[i + 1] != '\n')) result[i] = '\n';
    }
    return result;
}

std::string_view without_blanks(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    return text;
}

std::optional<double> number_of(std::string_view text) {
    text = trimmed(text);
    if (!text.empty() && text.front() == '+') {
        text.remove_prefix(1);
        if (!text.empty() && (text.front() == '-' || text.front() == '+')) return std::nullopt;
    }
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
        return std::nullopt;
    }
    return value;
}

void refuse_binary(const std::string& path, std::string_view text) {
    if (text.size() >= 2 && (text.substr(0, 2) == "\xFF\xFE" || text.substr(0, 2) == "\xFE\xFF")) {
        throw DataError({path}, "the file is UTF-16 text", "save it as UTF-8");
    }
    const std::size_t null = text.find('\0');
    if (null != std::string_view::npos) {
        const auto line =
            static_cast<std::size_t>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(null), '\n')) +
            1;
        throw DataError({path, line}, "the file is not text: it holds a null byte",
                        "export the readings as comma-separated text, not as a spreadsheet file");
    }
}

CsvTable::CsvTable(std::string path, const std::string& text, std::string example)
    : path_(std::move(path)), example_(std::move(example)) {
    std::string_view rest = text;
    refuse_binary(path_, rest);
    if (rest.substr(0, 3) == "\xEF\xBB\xBF") rest.remove_prefix(3);   // byte order mark of UTF-8
    lines_ = lines_of(with_line_feeds(rest));

    std::size_t header_line = 0;
    for (std::size_t n = 1; n <= lines_.size(); ++n) {
        const std::string& line = lines_[n - 1];
        const std::string_view content = trimmed(line);
        if (content.empty() || content.front() == '#') continue;
        if (header_line == 0) {
            header_line = n;
            for (const char wrong : {';', '\t'}) {
                if (content.find(wrong) != std::string_view::npos && content.find(',') == std::string_view::npos) {
                    throw DataError(
                        {path_, n,
                         column_of_offset(line,
                                          line.find(wrong, static_cast<std::size_t>(content.data() - line.data()))),
                         line},
                        wrong == ';' ? "the cells are separated by semicolons" : "the cells are separated by tabs",
                        "save the table with commas between the cells and a point in decimal numbers");
                }
            }
            for (const CsvCell& cell : cells_of(path_, line, n)) {
                CsvColumn column = column_of(cell);
                if (column.name.empty()) {
                    throw DataError(place(cell), "a column without a name",
                                    "header cells are written 'name [unit]', as in '" + example_ + "'");
                }
                if (cell.text.find('[') != std::string::npos && cell.text.back() != ']') {
                    throw DataError(place(cell),
                                    fmt::format("the header '{}' does not end with ']'", shown_text(cell.text)),
                                    "header cells are written 'name [unit]', as in '" + example_ + "'");
                }
                if (find_column(column.name)) {
                    throw DataError(place(cell), fmt::format("two columns are named '{}'", shown_text(column.name)),
                                    "remove one of them");
                }
                columns_.push_back(std::move(column));
            }
            continue;
        }
        add_row(line, n);
    }
    if (header_line == 0) {
        const std::string hint = "the first line names the columns, as in '" + example_ + "'";
        if (lines_.empty()) throw DataError({path_, 1, 1, {}}, "the file is empty", hint);
        throw DataError({path_, lines_.size(), 1, lines_.back()},
                        "the file holds no table: all its lines are empty or comments", hint);
    }
}

void CsvTable::refuse_title(const std::vector<CsvCell>& first_row) const {
    const auto has_unit = [](const CsvCell& cell) {
        return cell.text.find('[') != std::string::npos && cell.text.back() == ']';
    };
    if (!rows_.empty() || std::none_of(first_row.begin(), first_row.end(), has_unit) ||
        std::any_of(columns_.begin(), columns_.end(), [&](const CsvColumn& c) { return has_unit(c.header); })) {
        return;
    }
    throw DataError(place(columns_.front().header),
                    fmt::format("the first line must name the columns with their units; those stand in line {}",
                                first_row.front().line),
                    "is this a title? Begin its line with #");
}

void CsvTable::add_row(const std::string& line, std::size_t number) {
    std::vector<CsvCell> cells = cells_of(path_, line, number);
    refuse_title(cells);
    if (cells.size() > columns_.size()) {
        throw DataError(place(cells[columns_.size()]),
                        fmt::format("{} where the header has {}", cell_count(cells.size()), columns_.size()),
                        "is there a comma inside a number? Decimal numbers are written with a point, thousands "
                        "without a mark");
    }
    if (cells.size() < columns_.size()) {
        throw DataError(SourcePlace{path_, number, column_of_offset(line, line.size()), line},
                        fmt::format("{} where the header has {}: '{}' is missing", cell_count(cells.size()),
                                    columns_.size(), columns_[cells.size()].header.text),
                        "leave a cell empty between commas where there is no reading");
    }
    rows_.push_back(std::move(cells));
}

CsvTable CsvTable::part(std::string_view rows, std::size_t first_line) const {
    refuse_binary(path_, rows);
    CsvTable table;
    table.path_ = path_;
    table.example_ = example_;
    table.columns_ = columns_;
    const std::size_t header = columns_.front().header.line;
    table.lines_.assign(lines_.begin(), lines_.begin() + static_cast<std::ptrdiff_t>(header));
    table.skipped_from_ = header;
    table.skipped_ = first_line - header - 1;
    for (std::string& line : lines_of(rows)) {
        table.lines_.push_back(std::move(line));
        const std::string& kept = table.lines_.back();
        const std::string_view content = trimmed(kept);
        if (content.empty() || content.front() == '#') continue;
        table.add_row(kept, table.lines_.size() + table.skipped_);
    }
    return table;
}

const std::string& CsvTable::line_text(std::size_t number) const {
    return lines_[(number > skipped_from_ ? number - skipped_ : number) - 1];
}

SourcePlace CsvTable::end_of_line(std::size_t number) const {
    const std::string& line = line_text(number);
    return {path_, number, column_of_offset(line, line.size()), line};
}

SourcePlace CsvTable::place(const CsvCell& cell) const {
    const std::string& line = line_text(cell.line);
    return {path_, cell.line, column_of_offset(line, cell.offset), line};
}

std::string CsvTable::origin(std::size_t row) const {
    return fmt::format("{}:{}", path_, rows_[row].front().line);
}

std::optional<std::size_t> CsvTable::find_column(std::string_view name) const {
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        if (columns_[i].name == name) return i;
    }
    return std::nullopt;
}

std::size_t CsvTable::column(std::string_view name) const {
    if (const auto found = find_column(name)) return *found;
    std::vector<std::string> here;
    for (const CsvColumn& column : columns_) here.push_back(column.header.text);
    throw DataError(end_of_line(columns_.back().header.line),
                    fmt::format("the column '{}' is missing", name),
                    fmt::format("the table has {}; such a table begins '{}'", quoted_list(here), example_));
}

void CsvTable::refuse_unknown_columns(const std::vector<std::string>& known) const {
    for (const CsvColumn& column : columns_) {
        if (std::find(known.begin(), known.end(), column.name) != known.end()) continue;
        const std::string nearest = nearest_name(column.name, known);
        throw DataError(place(column.header), fmt::format("unknown column '{}'", shown_text(column.name)),
                        nearest.empty() ? fmt::format("a table of this kind has the columns {}, as in '{}'",
                                                      quoted_list(known), example_)
                                        : fmt::format("did you mean '{}'?", nearest));
    }
}

void CsvTable::require_rows(std::size_t least, std::string_view purpose) const {
    if (rows_.size() >= least) return;
    throw DataError(
        end_of_line(rows_.empty() ? columns_.front().header.line : rows_.back().front().line),
        fmt::format("{} row{} behind the header; {} needs at least {}",
                    rows_.empty() ? "no" : std::to_string(rows_.size()), rows_.size() == 1 ? "" : "s", purpose, least),
        "write one reading a row");
}

double CsvTable::number(std::size_t row, std::size_t column, const std::string& quantity, const std::string& unit,
                        double greatest) const {
    const CsvCell& c = cell(row, column);
    if (c.text.empty()) {
        refuse(row, column, fmt::format("no number in the column '{}'", columns_[column].name),
               "write the reading, or remove the row");
    }
    const std::string behind = unit.empty() ? std::string() : " " + unit;
    const std::string value = fmt::format("the {} {}{}", quantity, shown_text(c.text), behind);
    const std::string allowed = fmt::format("allowed: up to {}{}", four_digits_text(greatest), behind);
    if (const auto number = number_of(c.text)) {
        if (std::abs(*number) <= greatest) return *number;
        refuse(row, column, fmt::format("{} is too large to be meant; {}", value, allowed));
    }
    const std::string name = plain_name(c.text);
    if (name == "nan" || name == "inf" || name == "-inf" || name == "infinity" || name == "-nan" || name == "+inf") {
        refuse(row, column, fmt::format("{} is not a finite number; {}", value, allowed),
               "remove the row if there is no reading");
    }
    double unused = 0.0;
    const auto [end, error] = std::from_chars(c.text.data(), c.text.data() + c.text.size(), unused);
    if (error == std::errc::result_out_of_range && end == c.text.data() + c.text.size()) {
        refuse(row, column, fmt::format("{} is too large or too small for a number; {}", value, allowed));
    }
    refuse(row, column, fmt::format("the {} '{}' is not a number", quantity, shown_text(c.text)),
           unit.empty() ? "numbers are written as 12, 0.35 or 1.2e-3"
                        : "numbers are written as 12, 0.35 or 1.2e-3; the unit stands in the header");
}

double CsvTable::count(std::size_t row, std::size_t column) const {
    const double value = number(row, column, "count", "", greatest_value);
    const auto refuse_count = [&](const char* problem, const char* hint) {
        refuse(row, column,
               fmt::format("the count {} is {}; allowed: whole numbers, 0 or more", cell(row, column).text, problem),
               hint);
    };
    if (!(value >= 0.0)) refuse_count("negative", "");
    if (value != std::floor(value)) {
        refuse_count("no whole number",
                     "write the particles that were counted, not their mean or concentration: how far a "
                     "count is certain depends on the number counted");
    }
    return value;
}

void CsvTable::refuse_value(std::size_t row, std::size_t column, std::string_view problem, const std::string& allowed,
                            const std::string& hint) const {
    const CsvColumn& c = columns_[column];
    std::string range = allowed;
    if (c.unit.empty() && range.find(" {}") != std::string::npos) range.erase(range.find(" {}"), 3);
    refuse(row, column,
           fmt::format("the {} {}{}{} {}; allowed: {}", c.name, cell(row, column).text, c.unit.empty() ? "" : " ",
                       c.unit, problem, fmt::format(fmt::runtime(range), c.unit)),
           hint);
}

void CsvTable::refuse(std::size_t row, std::size_t column, const std::string& problem, const std::string& hint) const {
    throw DataError(place(row, column), problem, hint);
}

void CsvTable::refuse_missing_unit(std::size_t column, std::string_view example) const {
    const CsvColumn& c = columns_[column];
    throw DataError(place(c.header), fmt::format("the column '{}' has no unit", c.name),
                    fmt::format("write the unit in brackets: '{} [{}]'", c.name, example));
}

}   // namespace choose_filter
