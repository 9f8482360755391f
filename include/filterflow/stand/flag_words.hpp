// SPDX-License-Identifier: BSL-1.0
#pragma once

// Numbers in the sentences of a stand's flags, and one sentence for what several readings are flagged with. Not public.

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::detail {

/// A number to some significant digits.
template <Deferred...>
inline std::string digits_text(double value, int digits) {
    if (value == 0.0 || !std::isfinite(value)) return number_text(value);
    const double unit = std::pow(10.0, std::floor(std::log10(std::abs(value))) - digits + 1);
    return number_text(std::round(value / unit) * unit);
}

/// A number to three digits, or to so many more that rounding does not carry it to a limit that it crosses.
template <Deferred...>
inline std::string crossing_text(double value, double limit) {
    for (int digits = 3; digits < 6; ++digits) {
        const std::string text = digits_text(value, digits);
        double rounded = 0.0;
        std::from_chars(text.data(), text.data() + text.size(), rounded);
        if ((rounded < limit) == (value < limit) && rounded != limit) return text;
    }
    return number_text(value);
}

/// "2100 m3/h (1240 cfm)"
template <Deferred...>
inline std::string stand_flow_text(VolumeFlow flow) {
    return digits_text(flow / units::m3_per_h, 3) + " m3/h (" + digits_text(flow / units::cfm, 3) + " cfm)";
}

/// A sentence taken apart: its words with the numbers left out, and these.
struct SentenceParts {
    std::string words;
    std::vector<std::string> numbers;
};

template <Deferred...>
inline SentenceParts parts_of(const std::string& sentence) {
    SentenceParts parts;
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    for (std::size_t i = 0; i < sentence.size();) {
        const bool begins_word = i == 0 || sentence[i - 1] == ' ' || sentence[i - 1] == '(';
        const bool negative = begins_word && sentence[i] == '-' && i + 1 < sentence.size() && is_digit(sentence[i + 1]);
        if (!begins_word || (!is_digit(sentence[i]) && !negative)) {
            parts.words += sentence[i++];
            continue;
        }
        double value = 0.0;
        const char* begin = sentence.data() + i;
        const auto [end, error] = std::from_chars(begin, sentence.data() + sentence.size(), value);
        parts.numbers.emplace_back(begin, end);
        parts.words += '\0';
        i += static_cast<std::size_t>(end - begin);
    }
    return parts;
}

/// Sentences that differ in their numbers alone as one, with the range of each number that differs: "pipe Reynolds
/// number 51200 to 78600 is below 150000". In the order in which they first came.
template <Deferred...>
inline std::vector<std::string> merged_sentences(const std::vector<std::string>& sentences) {
    struct Kind {
        std::string words;
        std::vector<std::string> least, greatest;
    };
    std::vector<Kind> kinds;
    const auto value = [](const std::string& number) {
        double x = 0.0;
        std::from_chars(number.data(), number.data() + number.size(), x);
        return x;
    };
    for (const std::string& sentence : sentences) {
        SentenceParts parts = parts_of(sentence);
        const auto at = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& k) { return k.words == parts.words; });
        if (at == kinds.end()) {
            kinds.push_back({std::move(parts.words), parts.numbers, parts.numbers});
            continue;
        }
        for (std::size_t i = 0; i < parts.numbers.size(); ++i) {
            if (value(parts.numbers[i]) < value(at->least[i])) at->least[i] = parts.numbers[i];
            if (value(parts.numbers[i]) > value(at->greatest[i])) at->greatest[i] = parts.numbers[i];
        }
    }
    std::vector<std::string> merged;
    for (const Kind& kind : kinds) {
        std::string& text = merged.emplace_back();
        std::size_t i = 0;
        for (const char c : kind.words) {
            if (c != '\0') {
                text += c;
                continue;
            }
            text += kind.least[i] == kind.greatest[i] ? kind.least[i] : kind.least[i] + " to " + kind.greatest[i];
            ++i;
        }
    }
    return merged;
}

}   // namespace filterflow::detail
