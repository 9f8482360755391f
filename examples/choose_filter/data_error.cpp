// SPDX-License-Identifier: BSL-1.0

#include "data_error.hpp"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

namespace choose_filter {

namespace {

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0u) == 0x80u; }

bool is_control(char c) {
    const auto u = static_cast<unsigned char>(c);
    return u < 0x20u || u == 0x7Fu;
}

// Byte offset at which character number `column` (from 1) begins.
std::size_t offset_of_column(std::string_view line, std::size_t column) {
    std::size_t seen = 0;
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (!continues_character(line[i]) && ++seen == column) return i;
    }
    return line.size();
}

// The line with a caret below a column; long lines are cut around it.
std::string line_with_caret(const SourcePlace& place) {
    constexpr std::size_t before = 60;
    constexpr std::size_t shown = 100;
    const std::size_t first_column = place.column > before + 1 ? place.column - before : 1;
    const std::size_t begin = offset_of_column(place.line_text, first_column);
    const std::size_t end = offset_of_column(place.line_text, first_column + shown);
    std::string excerpt = place.line_text.substr(begin, end - begin);
    for (char& c : excerpt) {
        if (is_control(c)) c = ' ';
    }
    std::string lead = first_column > 1 ? "..." : "";
    const std::string tail = end < place.line_text.size() ? "..." : "";
    const std::string number = fmt::format("{:>5}", place.line);
    const std::size_t indent = lead.size() + (place.column - first_column);
    return fmt::format("{} | {}{}{}\n{} | {}^", number, lead, excerpt, tail, std::string(number.size(), ' '),
                       std::string(indent, ' '));
}

std::string message(const SourcePlace& place, const std::string& problem, const std::string& hint) {
    std::string text = place_text(place);
    if (!text.empty()) text += ": ";
    text += problem;
    if (place.line > 0 && place.column > 0 && !place.line_text.empty()) {
        text.append("\n").append(line_with_caret(place));
    }
    if (!hint.empty()) text.append("\nhint: ").append(hint);
    return text;
}

std::string folded(std::string_view name) {
    std::string text;
    for (char c : name) {
        if (c == '_' || c == '-') c = ' ';
        text += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    return text;
}

// Number of insertions, deletions, replacements and swaps of neighbours that turn one text into the other.
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
    for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
            d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + change});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
            }
        }
    }
    return d[a.size()][b.size()];
}

}   // namespace

DataError::DataError(SourcePlace place, std::string problem, std::string hint)
    : Error(message(place, problem, hint)),
      place_(std::move(place)),
      problem_(std::move(problem)),
      hint_(std::move(hint)) {}

std::string place_text(const SourcePlace& place) {
    std::string text = place.path;
    if (place.line > 0) {
        text += fmt::format(":{}", place.line);
        if (place.column > 0) text += fmt::format(":{}", place.column);
    }
    return text;
}

SourcePlace moved_right(SourcePlace place, std::size_t bytes) {
    if (place.column == 0) return place;
    const std::size_t offset = offset_of_column(place.line_text, place.column);
    place.column = column_of_offset(place.line_text, std::min(offset + bytes, place.line_text.size()));
    return place;
}

std::size_t column_of_offset(std::string_view line, std::size_t offset) {
    std::size_t column = 1;
    for (std::size_t i = 0; i < std::min(offset, line.size()); ++i) {
        if (i + 1 <= offset && (i + 1 == line.size() || !continues_character(line[i + 1]))) ++column;
    }
    return column;
}

std::size_t folded_distance(std::string_view a, std::string_view b) {
    if (a.size() > 60 || b.size() > 60) return std::max(a.size(), b.size());
    return edit_distance(folded(a), folded(b));
}

std::string nearest_name(std::string_view name, const std::vector<std::string>& known) {
    if (name.size() > 60) return {};
    const std::string wanted = folded(name);
    std::string best;
    std::size_t least = std::max<std::size_t>(2, wanted.size() / 3) + 1;
    for (const std::string& candidate : known) {
        const std::size_t distance = edit_distance(wanted, folded(candidate));
        if (distance < least && distance < candidate.size()) {
            least = distance;
            best = candidate;
        }
    }
    return best;
}

std::string name_hint(std::string_view name, const std::vector<std::string>& known,
                      std::string_view what_they_are) {
    const std::string nearest = nearest_name(name, known);
    if (!nearest.empty()) return fmt::format("did you mean '{}'?", nearest);
    if (known.empty()) return fmt::format("there are no {} here", what_they_are);
    return fmt::format("the {} here are {}", what_they_are, quoted_list(known));
}

std::string quoted_list(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) text += ", ";
        text.append("'").append(names[i]).append("'");
    }
    return text;
}

std::string without_function_names(std::string_view message) {
    std::string text;
    while (!message.empty()) {
        const std::size_t end = message.find(": ");
        if (end == std::string_view::npos) break;
        const std::size_t blank = message.substr(0, end).rfind(' ');
        const std::size_t begin = blank == std::string_view::npos ? 0 : blank + 1;
        std::string_view word = message.substr(begin, end - begin);
        word = word.substr(0, word.find('('));   // "fan_pressure(FanCurve)"
        const bool is_function = word.find('_') != std::string_view::npos &&
                                 std::all_of(word.begin(), word.end(), [](char c) {
                                     return c == '_' || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
                                 });
        text += message.substr(0, is_function ? begin : end + 2);
        message.remove_prefix(end + 2);
    }
    return text.append(message);
}

std::string shown_text(std::string_view text, std::size_t greatest_length) {
    std::string shown;
    std::size_t characters = 0;
    for (char c : text) {
        if (!continues_character(c) && ++characters > greatest_length) return shown + "...";
        shown += is_control(c) ? ' ' : c;
    }
    return shown;
}

}   // namespace choose_filter
