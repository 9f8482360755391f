// SPDX-License-Identifier: BSL-1.0
#pragma once

// Quantities as a study's sentences print them: SI with the inch-pound figure beside it where the trade reads that; and
// what an error is about. Not public.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::detail {

inline std::string in_quotes(const std::string& name) { return "'" + name + "'"; }

/// Runs some work whose errors are to say what they are about.
template <class Work>
void in_context(const std::string& where, const Work& work) {
    try {
        work();
    } catch (const DomainError& error) {
        throw DomainError(where + error.what());
    } catch (const NoSolution& error) {
        throw NoSolution(where + error.what());
    }
}

/// A number to some significant digits, in plain decimal notation, with a point in every locale.
inline std::string rounded(double value, int digits) {
    if (value == 0.0) return "0";
    const int magnitude = static_cast<int>(std::floor(std::log10(std::abs(value))));
    const double unit = std::pow(10.0, magnitude - digits + 1);
    const double at = unit < 1.0 ? value : std::round(value / unit) * unit;
    char text[64];
    std::snprintf(text, sizeof text, "%.*f", std::max(0, digits - 1 - magnitude), at);
    for (char& c : text) {
        if (c == ',') c = '.';
    }
    return text;
}

/// A value and its half width, both to the decimal that the half width deserves: two digits of it where it begins with
/// 1 or 2, else one.
inline std::string rounded_with(double value, double half_width) {
    if (!(half_width > 0.0)) return rounded(value, 4);
    const int magnitude = static_cast<int>(std::floor(std::log10(half_width)));
    const int digits = half_width / std::pow(10.0, magnitude) < 2.95 ? 2 : 1;
    const double unit = std::pow(10.0, magnitude - digits + 1);
    const int decimals = std::max(0, digits - 1 - magnitude);
    const auto text = [&](double x) {
        char buffer[64];
        std::snprintf(buffer, sizeof buffer, "%.*f", decimals, unit < 1.0 ? x : std::round(x / unit) * unit);
        for (char& c : buffer) {
            if (c == ',') c = '.';
        }
        return std::string(buffer);
    };
    return text(value) + " +- " + text(half_width);
}

inline std::string flow_words(VolumeFlow flow) {
    return rounded(flow / units::m3_per_h, 4) + " m3/h (" + rounded(flow / units::cfm, 4) + " cfm)";
}
inline std::string pressure_words(Pressure pressure) {
    return rounded(pressure / units::Pa, 3) + " Pa (" + rounded(pressure / units::inH2O, 3) + " inH2O)";
}
inline std::string velocity_words(Velocity velocity) {
    return rounded(velocity / units::m_per_s, 3) + " m/s (" + rounded(velocity / units::fpm, 3) + " fpm)";
}
inline std::string hours_words(Time time) { return rounded(time / units::h, 3) + " running hours"; }
inline std::string percent_words(double share) { return rounded(100.0 * share, 3) + " %"; }

}   // namespace filterflow::detail
