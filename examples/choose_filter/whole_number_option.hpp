// SPDX-License-Identifier: BSL-1.0
#pragma once

// Options of a command line that take a whole number: digits alone, in a range, never wrapped or rounded.

#include <charconv>
#include <concepts>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>

#include <CLI/CLI.hpp>

namespace choose_filter {

/// The number that the digits of a text stand for; nothing if it is empty, contains anything else (a sign, a point, an
/// exponent, a blank) or is above 2^64 - 1.
inline std::optional<std::uint64_t> whole_number(std::string_view text) {
    std::uint64_t number = 0;
    const char* end = text.data() + text.size();
    const auto [stop, fault] = std::from_chars(text.data(), end, number);
    if (text.empty() || stop != end || fault != std::errc()) return std::nullopt;
    return number;
}

/// Adds an option that takes a whole number from `least` to `greatest`; anything else is refused with both.
template <std::integral Number>
CLI::Option* add_whole_number_option(CLI::App& app, const std::string& name, Number& number,
                                     const std::string& description, Number least = 0,
                                     Number greatest = std::numeric_limits<Number>::max()) {
    const auto take = [&number, name, least, greatest](const std::string& text) {
        const auto given = whole_number(text);
        if (!given || *given < static_cast<std::uint64_t>(least) || *given > static_cast<std::uint64_t>(greatest)) {
            throw CLI::ValidationError(name, "'" + text + "' is not a whole number from " + std::to_string(least) +
                                                 " to " + std::to_string(greatest) + ", written in digits alone");
        }
        number = static_cast<Number>(*given);
    };
    return app.add_option_function<std::string>(name, take, description)->type_name("N");
}

}   // namespace choose_filter
