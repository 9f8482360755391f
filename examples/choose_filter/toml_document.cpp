// SPDX-License-Identifier: BSL-1.0

#include "toml_document.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <iterator>
#include <optional>
#include <sstream>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <toml.hpp>

#include "csv_table.hpp"

namespace choose_filter {

namespace {

// Arrays and inline tables are parsed recursively; this refuses nesting that no study has before the parser meets it.
constexpr std::size_t greatest_depth = 40;

void refuse_deep_nesting(const std::string& path, const std::vector<std::string>& lines, std::string_view text) {
    std::size_t depth = 0, dots = 0, line = 1, line_begin = 0;
    std::string_view quote;   // the delimiter of the string we are in
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '\n') {
            ++line;
            line_begin = i + 1;
            dots = 0;
            if (quote.size() == 1) quote = {};
        }
        if (!quote.empty()) {
            if (c == '\\' && quote[0] == '"') {
                ++i;
            } else if (text.substr(i, quote.size()) == quote) {
                i += quote.size() - 1;
                quote = {};
            }
            continue;
        }
        if (c == '#') {
            while (i + 1 < text.size() && text[i + 1] != '\n') ++i;
        } else if (c == '"' || c == '\'') {
            const bool triple = text.substr(i, 3) == (c == '"' ? "\"\"\"" : "'''");
            quote = text.substr(i, triple ? 3 : 1);
            if (triple) i += 2;
        } else if (c == '[' || c == '{') {
            ++depth;
        } else if (c == ']' || c == '}') {
            if (depth > 0) --depth;
        } else if (c == '.') {
            ++dots;
        } else if (c == '=') {
            dots = 0;
        }
        if (depth > greatest_depth || dots > greatest_depth * 10) {
            const std::string& shown = lines[line - 1];
            throw DataError({path, line, column_of_offset(shown, i - line_begin), shown},
                            "values are nested too deep", "a study needs no more than a few levels");
        }
    }
}

// Bytes of the UTF-8 character that begins at an offset; 0 if there is none: stray bytes, overlong forms, surrogates,
// code points beyond 0x10FFFF.
std::size_t character_length(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned>(static_cast<unsigned char>(text[i])); };
    const unsigned first = byte(at);
    if (first < 0x80u) return 1;
    const std::size_t length = first >= 0xC2u && first <= 0xDFu   ? 2
                               : first >= 0xE0u && first <= 0xEFu ? 3
                               : first >= 0xF0u && first <= 0xF4u ? 4
                                                                  : 0;
    if (length == 0 || at + length > text.size()) return 0;
    unsigned code = first & (0xFFu >> (length + 1));
    for (std::size_t i = at + 1; i < at + length; ++i) {
        if ((byte(i) & 0xC0u) != 0x80u) return 0;
        code = (code << 6u) | (byte(i) & 0x3Fu);
    }
    const bool overlong = (length == 3 && code < 0x800u) || (length == 4 && code < 0x10000u);
    return overlong || code > 0x10FFFFu || (code >= 0xD800u && code <= 0xDFFFu) ? 0 : length;
}

// The parser reads beyond its buffer when it reports bad UTF-8 in a text, so that is refused before it sees it.
void refuse_bad_utf8(const std::string& path, const std::vector<std::string>& lines) {
    for (std::size_t n = 0; n < lines.size(); ++n) {
        const std::string& line = lines[n];
        for (std::size_t i = 0; i < line.size();) {
            const std::size_t length = character_length(line, i);
            if (length == 0) {
                throw DataError({path, n + 1, column_of_offset(line, i), line}, "this character is not UTF-8",
                                "save the file as UTF-8 text");
            }
            i += length;
        }
    }
}

class Converter {
public:
    Converter(std::string path, const std::vector<std::string>& lines) : path_(std::move(path)), lines_(lines) {}

    TomlValue converted(const toml::value& value) const {
        TomlValue result;
        const toml::source_location location = value.location();
        result.place = place_at(location.line(), location.column() - 1);
        if (value.is_table()) {
            for (const auto& [key, member] : value.as_table()) {
                TomlValue child = converted(member);
                child.key_place = key_place(key, child);
                result.members.push_back({key, std::move(child)});
            }
            // The parser's tables are unordered: give them the order of the file.
            std::stable_sort(result.members.begin(), result.members.end(), [](const auto& a, const auto& b) {
                const SourcePlace& p = a.value.key_place;
                const SourcePlace& q = b.value.key_place;
                if (p.line != q.line) return p.line < q.line;
                if (p.column != q.column) return p.column < q.column;
                return a.key < b.key;
            });
        } else if (value.is_array()) {
            result.kind = TomlKind::array;
            for (const toml::value& item : value.as_array()) result.items.push_back(converted(item));
        } else if (value.is_string()) {
            result.kind = TomlKind::text;
            result.text = value.as_string().str;
            const std::string_view here = from(result.place);
            result.plain_text =
                here.size() > result.text.size() + 1 && here.substr(1, result.text.size()) == result.text;
        } else if (value.is_boolean()) {
            result.kind = TomlKind::boolean;
            result.boolean = value.as_boolean();
        } else if (value.is_integer()) {
            result.kind = TomlKind::number;
            result.is_integer = true;
            result.number = static_cast<double>(value.as_integer());
        } else if (value.is_floating()) {
            result.kind = TomlKind::number;
            result.number = float_at(result.place);
        } else {
            result.kind = TomlKind::date;
        }
        return result;
    }

private:
    SourcePlace place_at(std::size_t line, std::size_t offset) const {
        SourcePlace place{path_, line, 0, {}};
        if (line >= 1 && line <= lines_.size()) {
            place.line_text = lines_[line - 1];
            place.column = column_of_offset(place.line_text, offset);
        }
        return place;
    }

    std::string_view from(const SourcePlace& place) const {
        std::size_t offset = 0;
        while (offset < place.line_text.size() && column_of_offset(place.line_text, offset) < place.column) ++offset;
        return std::string_view(place.line_text).substr(offset);
    }

    // The parser reads floats through streams, which follow the locale: read the digits again.
    double float_at(const SourcePlace& place) const {
        std::string digits;
        for (const char c : from(place)) {
            if (c == '_') continue;
            if (std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '+' && c != '-' && c != '.') break;
            digits += c;
        }
        if (const auto number = number_of(digits)) return *number;
        throw DataError(place, fmt::format("'{}' is not a finite number", shown_text(digits)),
                        "leave the key out where there is no value");
    }

    // The parser keeps no place for keys: look for the key before its value on the same line. A table's place is
    // its header, or its brace.
    static SourcePlace key_place(const std::string& key, const TomlValue& value) {
        SourcePlace place = value.place;
        if (place.column == 0) return place;
        std::size_t offset = 0;
        while (offset < place.line_text.size() && column_of_offset(place.line_text, offset) < place.column) ++offset;
        const std::string_view line = place.line_text;
        const bool header = !line.empty() && line.substr(0, offset).find('=') == std::string_view::npos;
        const std::size_t found = header ? line.find(key) : line.rfind(key, offset);
        if (found != std::string_view::npos) place.column = column_of_offset(line, found);
        return place;
    }

    std::string path_;
    const std::vector<std::string>& lines_;
};

// Tables of which a study may hold several: each begins with a header of its own in double brackets.
bool is_list_of_tables(std::string_view name) {
    constexpr std::string_view names[] = {"filter", "candidate",      "candidate.stages",
                                          "system", "system.segment", "system.part"};
    return std::find(std::begin(names), std::end(names), name) != std::end(names);
}

// A header [name] of a list of tables, where [[name]] was meant.
std::optional<DataError> single_brackets(const std::string& path, const std::vector<std::string>& lines) {
    for (std::size_t n = 0; n < lines.size(); ++n) {
        const std::string& line = lines[n];
        const std::size_t open = line.find_first_not_of(" \t");
        if (open == std::string::npos || line[open] != '[' || line.compare(open, 2, "[[") == 0) continue;
        const std::size_t close = line.find(']', open);
        if (close == std::string::npos) continue;
        const std::string name(without_blanks(std::string_view(line).substr(open + 1, close - open - 1)));
        if (!is_list_of_tables(name)) continue;
        return DataError({path, n + 1, column_of_offset(line, open), line},
                         fmt::format("[{}] stands in single brackets, but a study may hold several", name),
                         fmt::format("begin each of them with double brackets: [[{}]]", name));
    }
    return std::nullopt;
}

// Whether a piece of text may be a number, a boolean or a date; TOML's own rules are stricter.
bool may_stand_bare(std::string_view value) {
    if (value == "true" || value == "false") return true;
    std::string digits(value);
    std::erase(digits, '_');
    if (number_of(digits)) return true;
    if (!digits.empty() && (digits[0] == '+' || digits[0] == '-')) digits.erase(0, 1);
    if (digits == "inf" || digits == "nan") return true;
    const auto digit = [&](std::size_t i) {
        return i < digits.size() && std::isdigit(static_cast<unsigned char>(digits[i])) != 0;
    };
    const bool other_base =
        digits.size() > 2 && digits[0] == '0' && std::string_view("xob").find(digits[1]) != std::string_view::npos;
    const bool date = digit(0) && digit(1) && digit(2) && digit(3) && digits.size() > 4 && digits[4] == '-';
    const bool hour = digit(0) && digit(1) && digits.size() > 2 && digits[2] == ':';
    return other_base || date || hour;
}

// The commonest slips behind an equals sign: a text without quotes, a quote that is not closed, a decimal comma.
std::optional<DataError> bad_value(const SourcePlace& whole_line) {
    const std::string_view line = whole_line.line_text;
    const auto at = [&](std::size_t offset) {
        SourcePlace place = whole_line;
        place.column = column_of_offset(line, offset);
        return place;
    };
    std::size_t depth = 0;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const char c = line[i];
        if (c == '#') break;
        if (c == '"' || c == '\'') {
            if (line.substr(i, 3) == "\"\"\"" || line.substr(i, 3) == "\'\'\'") break;
            std::size_t end = i + 1;
            while (end < line.size() && line[end] != c) end += line[end] == '\\' && c == '"' ? 2u : 1u;
            if (end >= line.size()) {
                return DataError(at(i), "this quote is never closed", "close it on the same line, as in \"24 in\"");
            }
            i = end;
        } else if (c == '[' || c == '{') {
            ++depth;
        } else if (c == ']' || c == '}') {
            if (depth > 0) --depth;
        } else if (c == '=') {
            const std::size_t begin = line.find_first_not_of(" \t", i + 1);
            if (begin == std::string_view::npos || line[begin] == '#') {
                return DataError(at(i), "there is no value behind '='", "remove the line, or write a value");
            }
            if (std::string_view("\"'[{").find(line[begin]) != std::string_view::npos) continue;
            const std::size_t end = std::min(line.find_first_of(depth > 0 ? ",]}#" : "#", begin), line.size());
            const std::string value(without_blanks(line.substr(begin, end - begin)));
            if (may_stand_bare(value)) continue;
            const std::size_t comma = value.find(',');
            if (comma != std::string::npos && number_of(value.substr(0, comma)) && number_of(value.substr(comma + 1))) {
                return DataError(at(begin + comma), "comma in a number",
                                 "write the decimal point as \".\" and no thousands separators");
            }
            if (value.find('"') != std::string::npos) continue;
            const std::string_view before = without_blanks(line.substr(0, i));
            const std::size_t key = before.find_last_of(" \t,{[");
            return DataError(at(begin), fmt::format("'{}' is neither a number nor a text in quotes", shown_text(value)),
                             fmt::format("put it in quotes: {} = \"{}\"",
                                         shown_text(key == std::string_view::npos ? before : before.substr(key + 1)),
                                         shown_text(value)));
        }
    }
    return std::nullopt;
}

// The parser's message is a drawing of several lines; what it says stands behind the marks below the line.
DataError from_parser(const std::string& path, const std::vector<std::string>& lines, const toml::exception& error) {
    std::string problem;
    std::size_t line = 0, column = 0;
    std::istringstream drawing(error.what());
    std::string row;
    std::getline(drawing, row);
    const std::string tag = "[error] ";
    problem = row.rfind(tag, 0) == 0 ? row.substr(tag.size()) : row;
    if (const std::size_t name = problem.find(": "); problem.rfind("toml::", 0) == 0 && name != std::string::npos) {
        problem = problem.substr(name + 2);
    }
    std::string hint;
    std::size_t bar = 0;
    while (std::getline(drawing, row)) {
        const std::size_t at = row.find(" | ");
        if (at == std::string::npos) continue;
        const auto number = number_of(row.substr(0, at));
        if (number && line == 0) {
            line = static_cast<std::size_t>(*number);
            bar = at + 3;
        } else if (!number && line != 0 && column == 0) {
            const std::size_t caret = row.find_first_of("^~", at);
            if (caret == std::string::npos) continue;
            column = caret >= bar ? caret - bar + 1 : 1;
            if (const std::size_t says = row.find_first_not_of("^~- ", caret); says != std::string::npos) {
                hint = row.substr(says);
            }
        }
    }
    SourcePlace place{path, line, 0, {}};
    if (line >= 1 && line <= lines.size()) {
        place.line_text = lines[line - 1];
        place.column = std::max<std::size_t>(1, column_of_offset(place.line_text, column == 0 ? 0 : column - 1));
    }
    if (problem.find("already exists") != std::string::npos || problem.find("cannot be defined") != std::string::npos) {
        if (auto brackets = single_brackets(path, lines)) return std::move(*brackets);
    } else if (auto slip = bad_value(place)) {
        return std::move(*slip);
    }
    std::string help = "texts stand in quotes (\"24 in\"), tables in [brackets]; numbers have a point";
    const std::string twice = "\") already exists";
    if (const std::size_t at = problem.find(twice); at != std::string::npos) {
        const std::size_t open = problem.find('"');
        if (open < at) {
            return DataError(
                std::move(place),
                fmt::format("'{}' is given more than once", shown_text(problem.substr(open + 1, at - open - 1))),
                "keep one of the two; this is the first");
        }
    }
    // The parser may say nothing but the mark below the line.
    if (without_blanks(problem).empty()) std::swap(problem, hint);
    std::string said = "not valid TOML: " + shown_text(problem, 120);
    if (!hint.empty() && hint != problem && hint != "here") said += " (" + shown_text(hint, 120) + ")";
    return DataError(std::move(place), std::move(said), std::move(help));
}

}   // namespace

TomlValue parse_toml(const std::string& path, const std::string& text) {
    refuse_binary(path, text);
    const bool lone_returns = text.find('\n') == std::string::npos && text.find('\r') != std::string::npos;
    const std::string converted = lone_returns ? with_line_feeds(text) : std::string();
    std::string_view content = lone_returns ? converted : text;
    if (content.substr(0, 3) == "\xEF\xBB\xBF") content.remove_prefix(3);
    const std::vector<std::string> lines = lines_of(content);
    refuse_bad_utf8(path, lines);
    refuse_deep_nesting(path, lines, content);
    try {
        std::istringstream in{std::string(content)};
        const toml::value root = toml::parse(in, path);
        return Converter(path, lines).converted(root);
    } catch (const toml::exception& error) {
        throw from_parser(path, lines, error);
    } catch (const filterflow::Error&) {
        throw;
    } catch (const std::exception& error) {   // numbers too large, bad code points
        throw DataError({path}, fmt::format("not valid TOML: {}", shown_text(error.what(), 160)));
    }
}

}   // namespace choose_filter
