// SPDX-License-Identifier: BSL-1.0

#include "report_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include <filterflow/study/study_words.hpp>

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

/// Digits in groups of three from five digits on, with a narrow space that does not break.
std::string grouped(std::string digits) {
    const std::size_t point = std::min(digits.find('.'), digits.size());
    if (point < 5) return digits;
    for (std::size_t at = point; at > 3;) {
        at -= 3;
        digits.insert(at, "\u202f");
    }
    return digits;
}

/// A plain decimal number as it is set: its digits in groups, a true minus, never "-0".
std::string set_number(std::string text) {
    if (text.empty() || text[0] != '-') return grouped(std::move(text));
    text = grouped(text.substr(1));
    return text.find_first_of("123456789") == std::string::npos ? text : "−" + text;
}

constexpr double greatest_plain = 1e12;   // beyond it numbers have exponents

/// Without the zeros after the last digit that says something.
std::string without_trailing_zeros(std::string text) {
    if (text.find('.') == std::string::npos || text.find('e') != std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

}   // namespace

Estimate scaled(const Estimate& estimate, double factor) {
    Estimate e{estimate.value * factor, estimate.lower * factor, estimate.upper * factor, estimate.is_share};
    if (factor < 0.0) std::swap(e.lower, e.upper);
    return e;
}

Estimate share(const Estimate& e) {
    if (!(e.lower <= 100.0 && e.upper >= 0.0)) return e;   // readings that contradict themselves are shown as they are
    return {e.value, std::max(e.lower, 0.0), std::min(e.upper, 100.0), true};
}

Estimate not_negative(const Estimate& e) {
    if (!(e.value >= 0.0)) return e;
    return {e.value, std::max(e.lower, 0.0), e.upper, e.is_share};
}

int decimals_for(double half_width) {
    if (!(half_width > 0.0) || !std::isfinite(half_width)) return 0;
    const int exponent = static_cast<int>(std::floor(std::log10(half_width)));
    const double leading = half_width / std::pow(10.0, exponent);
    return leading < 2.95 ? 1 - exponent : -exponent;
}

std::string fixed_text(double value, int decimals) {
    if (!std::isfinite(value)) return "-";
    if (decimals < 0) {
        const double step = std::pow(10.0, -decimals);
        value = std::round(value / step) * step;
        decimals = 0;
    }
    return set_number(fmt::format("{:.{}f}", value, std::min(decimals, 12)));
}

std::string significant_text(double value, int digits) {
    if (!std::isfinite(value)) return "-";
    if (value == 0.0) return "0";
    const double magnitude = std::abs(value);
    if (magnitude < 1e-4 || magnitude >= greatest_plain) return fmt::format("{:.{}e}", value, digits - 1);
    return fixed_text(value, digits - 1 - static_cast<int>(std::floor(std::log10(magnitude))));
}

namespace {

/// Decimals for an estimate and its interval: where the value is an end of it (an age that cuts a life), as many as say
/// that end.
int decimals_of_estimate(const Estimate& e) {
    if (e.is_share || (e.value != e.lower && e.value != e.upper)) return decimals_for(e.half_width());
    return filterflow::detail::decimals_of(e.value, e.lower, e.upper);
}

/// "812 (770 to 900)"
std::string lopsided_text(const Estimate& e) {
    const int decimals = decimals_of_estimate(e);
    return fixed_text(e.value, filterflow::detail::decimals_of_end(e.value, decimals)) + " (" + interval_text(e) + ")";
}

}   // namespace

std::string estimate_text(const Estimate& e) {
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value))) return without_trailing_zeros(significant_text(e.value, 4));
    const bool cut_share = e.is_share && (e.lower <= 0.0 || e.upper >= 100.0);
    if (!cut_share && e.is_share) {
        const int decimals = std::min(1, decimals_for(half));
        const double least = std::pow(10.0, -decimals);
        return fixed_text(e.value, decimals) + " ± " +
               fixed_text(std::max(half, decimals == 1 ? least : 0.0), decimals);
    }
    if (cut_share || std::abs((e.upper - e.value) - (e.value - e.lower)) > 1e-6 * half) {
        return e.is_share ? interval_text(e)
                          : lopsided_text(e);
    }
    if (std::abs(e.value) >= greatest_plain || half >= greatest_plain || half < 1e-6) {
        return fmt::format("{:.3e} ± {:.1e}", e.value, half);
    }
    const std::string both = filterflow::detail::rounded_with(e.value, half);
    const std::size_t mark = both.find(" +- ");
    return set_number(both.substr(0, mark)) + " ± " + set_number(both.substr(mark + 4));
}

std::string whole_text(const Estimate& e) {
    if (std::abs(e.value) >= greatest_plain) return significant_text(e.value);
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value)) || e.value == 0.0) return fixed_text(e.value, 0);
    const int least = -static_cast<int>(std::floor(std::log10(std::abs(e.value))));
    return fixed_text(e.value, std::min(0, std::max(decimals_of_estimate(e), least)));
}

std::string interval_text(const Estimate& e) {
    const double half = e.half_width();
    if (!(half > 1e-9 * std::abs(e.value))) return significant_text(e.value, 4);
    if (e.is_share) {
        const int decimals = std::min(1, decimals_for(half));
        return fixed_text(e.lower, decimals) + " to " + fixed_text(e.upper, decimals);
    }
    const int decimals = decimals_of_estimate(e);
    const auto end = [&](double x) { return fixed_text(x, filterflow::detail::decimals_of_end(x, decimals)); };
    return end(e.lower) + " to " + end(e.upper);
}

std::string exact_text(double value) { return std::isfinite(value) ? fmt::format("{}", value) : std::string(); }

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

std::string typeset(std::string_view text) {
    std::string set;
    const auto letter = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    };
    for (std::size_t at = 0; at < text.size();) {
        const auto here = [&](std::string_view word) { return text.substr(at, word.size()) == word; };
        const bool begins = at == 0 || !letter(text[at - 1]);
        const auto ends = [&](std::size_t length) { return at + length >= text.size() || !letter(text[at + length]); };
        if (here("+-")) { set += "±"; at += 2; }
        else if (here("m3/h") && begins && ends(4)) { set += "m³/h"; at += 4; }
        else if (here("um") && begins && ends(2)) { set += "µm"; at += 2; }
        else if (here("'")) {
            set += at == 0 || text[at - 1] == ' ' || text[at - 1] == '(' ? "‘" : "’";
            ++at;
        } else {
            set += text[at++];
        }
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
