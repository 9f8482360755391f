// SPDX-License-Identifier: BSL-1.0

// Texts that others wrote, made safe for where they stand, and set by what is seen of them and not by their bytes.

#include "report_text.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace choose_filter {

namespace {

struct CodePoint {
    char32_t value;
    std::string_view bytes;
    bool valid;
};

/// The code point at a place of a UTF-8 text; a bad byte comes back as one that is not valid.
CodePoint code_point_at(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char first = byte(at);
    std::size_t length = 0;
    char32_t value = 0;
    char32_t least = 0;
    if (first < 0x80u) return {first, text.substr(at, 1), true};
    if ((first & 0xE0u) == 0xC0u) { length = 2; value = first & 0x1Fu; least = 0x80; }
    else if ((first & 0xF0u) == 0xE0u) { length = 3; value = first & 0x0Fu; least = 0x800; }
    else if ((first & 0xF8u) == 0xF0u) { length = 4; value = first & 0x07u; least = 0x10000; }
    if (length == 0 || at + length > text.size()) return {0xFFFD, text.substr(at, 1), false};
    for (std::size_t i = at + 1; i < at + length; ++i) {
        if ((byte(i) & 0xC0u) != 0x80u) return {0xFFFD, text.substr(at, 1), false};
        value = (value << 6u) | (byte(i) & 0x3Fu);
    }
    if (value < least || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF)) {
        return {0xFFFD, text.substr(at, 1), false};
    }
    return {value, text.substr(at, length), true};
}

bool is_control(char32_t c) {
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029 || c == 0xFFFE || c == 0xFFFF ||
           (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);   // direction overrides among them
}

/// Columns of a character on a terminal: none for combining marks, two for the wide East Asian and emoji blocks.
std::size_t columns_of(char32_t c) {
    struct Range { char32_t first, last; };
    static constexpr std::array<Range, 8> none{{{0x300, 0x36F}, {0x483, 0x489}, {0x591, 0x5BD}, {0x610, 0x61A},
                                                {0x200B, 0x200F}, {0x20D0, 0x20FF}, {0xFE00, 0xFE0F},
                                                {0xFE20, 0xFE2F}}};
    static constexpr std::array<Range, 8> wide{{{0x1100, 0x115F}, {0x2E80, 0x303E}, {0x3041, 0xA4CF},
                                                {0xAC00, 0xD7A3}, {0xF900, 0xFAFF}, {0xFF00, 0xFF60},
                                                {0x1F300, 0x1FAFF}, {0x20000, 0x3FFFD}}};
    const auto inside = [c](const Range& r) { return c >= r.first && c <= r.last; };
    if (std::any_of(none.begin(), none.end(), inside)) return 0;
    return std::any_of(wide.begin(), wide.end(), inside) ? 2 : 1;
}

template <class Use>
void for_each_code_point(std::string_view text, const Use& use) {
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint c = code_point_at(text, at);
        use(c);
        at += c.bytes.size();
    }
}

}   // namespace

std::string html_text(std::string_view text) {
    std::string safe;
    safe.reserve(text.size());
    for_each_code_point(text, [&](const CodePoint& c) {
        if (!c.valid) safe += "\uFFFD";
        else if (is_control(c.value)) safe += ' ';
        else if (c.value == '&') safe += "&amp;";
        else if (c.value == '<') safe += "&lt;";
        else if (c.value == '>') safe += "&gt;";
        else if (c.value == '"') safe += "&quot;";
        else if (c.value == '\'') safe += "&#39;";
        else safe += c.bytes;
    });
    return safe;
}

std::string one_line(std::string_view text) {
    std::string safe;
    for_each_code_point(text, [&](const CodePoint& c) {
        if (!c.valid) safe += "\uFFFD";
        else if (is_control(c.value)) safe += ' ';
        else safe += c.bytes;
    });
    return safe;
}

std::string csv_text(std::string_view text) {
    std::string safe = one_line(text);
    if (!safe.empty() && std::string_view("=+-@").find(safe[0]) != std::string_view::npos) safe.insert(0, 1, '\'');
    if (safe.find_first_of(",\"") == std::string::npos) return safe;
    std::string quoted = "\"";
    for (const char c : safe) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

std::size_t display_width(std::string_view text) {
    std::size_t width = 0;
    for_each_code_point(text, [&](const CodePoint& c) { width += columns_of(c.value); });
    return width;
}

std::string cut_to_width(std::string_view text, std::size_t width) {
    if (display_width(text) <= width) return std::string(text);
    std::string cut;
    std::size_t used = 0;
    bool full = width == 0;
    for_each_code_point(text, [&](const CodePoint& c) {
        const std::size_t columns = columns_of(c.value);
        if (full || used + columns + 1 > width) { full = true; return; }
        cut += c.bytes;
        used += columns;
    });
    return width == 0 ? cut : cut + "…";
}

std::string padded_right(std::string text, std::size_t width) {
    const std::size_t used = display_width(text);
    if (used < width) text.append(width - used, ' ');
    return text;
}

std::string padded_left(std::string text, std::size_t width) {
    const std::size_t used = display_width(text);
    if (used < width) text.insert(0, width - used, ' ');
    return text;
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
    std::vector<std::string> lines;
    std::string line;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        std::string word(text.substr(at, end - at));
        at = end + 1;
        if (word.empty()) continue;
        if (display_width(word) > width) word = cut_to_width(word, width);
        if (!line.empty() && display_width(line) + 1 + display_width(word) > width) {
            lines.push_back(std::move(line));
            line.clear();
        }
        if (!line.empty()) line += ' ';
        line += word;
    }
    if (!line.empty()) lines.push_back(std::move(line));
    return lines;
}

std::string with_set_units(std::string_view text) {
    struct Unit { std::string_view plain, set; };
    static constexpr std::array<Unit, 5> units{
        {{"m3/h", "m³/h"}, {"um", "µm"}, {"ug/m3", "µg/m³"}, {"m3", "m³"}, {"m2", "m²"}}};
    const auto letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    };
    std::string set;
    for (std::size_t at = 0; at < text.size();) {
        const std::string_view rest = text.substr(at);
        const bool begins = at == 0 || !letter(text[at - 1]);
        const auto unit = std::find_if(units.begin(), units.end(), [&](const Unit& u) {
            return begins && rest.starts_with(u.plain) &&
                   (rest.size() == u.plain.size() || !letter(rest[u.plain.size()]));
        });
        if (rest.starts_with("+-")) {
            set += "±";
            at += 2;
        } else if (unit != units.end()) {
            set += unit->set;
            at += unit->plain.size();
        } else {
            set += text[at++];
        }
    }
    return set;
}

std::string typeset(std::string_view text) {
    const std::string units_set = with_set_units(text);
    std::string set;
    for (std::size_t at = 0; at < units_set.size(); ++at) {
        if (units_set[at] != '\'') set += units_set[at];
        else set += at == 0 || units_set[at - 1] == ' ' || units_set[at - 1] == '(' ? "‘" : "’";
    }
    return set;
}

std::string joined(const std::vector<std::string>& texts, std::string_view separator) {
    std::string all;
    for (const std::string& text : texts) {
        if (!all.empty()) all += separator;
        all += text;
    }
    return all;
}

}   // namespace choose_filter
