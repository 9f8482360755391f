// SPDX-License-Identifier: BSL-1.0
#pragma once

// Quantities as a study's sentences print them: SI with the inch-pound figure beside it where the trade reads that; and
// what an error is about. Not public.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow::detail {

template <Deferred...>
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
template <Deferred...>
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

/// Decimals that a half width deserves: two digits of it where it begins with 1 or 2, else one. Negative: tens,
/// hundreds.
template <Deferred...>
inline int decimals_of(double half_width) {
    const int magnitude = static_cast<int>(std::floor(std::log10(half_width)));
    return half_width / std::pow(10.0, magnitude) < 2.95 ? 1 - magnitude : -magnitude;
}

/// A number to so many decimals, negative ones for tens and hundreds, with a point in every locale and never "-0".
template <Deferred...>
inline std::string to_decimals(double value, int decimals) {
    const double unit = std::pow(10.0, -decimals);
    char buffer[64];
    std::snprintf(buffer, sizeof buffer, "%.*f", std::max(0, decimals),
                  decimals >= 0 ? value : std::round(value / unit) * unit);
    std::string text = buffer;
    std::replace(text.begin(), text.end(), ',', '.');
    if (text.find_first_of("123456789") == std::string::npos && text.front() == '-') text.erase(0, 1);
    return text;
}

/// A value and its half width, both to the decimal that the half width deserves.
template <Deferred...>
inline std::string rounded_with(double value, double half_width) {
    if (!(half_width > 0.0)) return rounded(value, 4);
    const int decimals = decimals_of(half_width);
    return to_decimals(value, decimals) + " +- " + to_decimals(half_width, decimals);
}

/// A number to four digits at most, without zeros at its end.
template <Deferred...>
inline std::string four_digits(double value) {
    std::string text = rounded(value, 4);
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

/// A value alone, rounded as beside its half width, yet to one significant digit at least; four digits if exact.
template <Deferred...>
inline std::string rounded_by(double value, double half_width, int most_decimals = 12) {
    if (!(half_width > 1e-9 * std::abs(value))) return four_digits(value);
    const int least = value == 0.0 ? -12 : -static_cast<int>(std::floor(std::log10(std::abs(value))));
    return to_decimals(value, std::min(most_decimals, std::max(decimals_of(half_width), least)));
}

/// Decimals for a value and its interval: those that half its width deserves; where the value is an end of it (an age
/// that cuts a life) as many as say that end.
template <Deferred...>
inline int decimals_of(double value, double lower, double upper) {
    int decimals = decimals_of(0.5 * (upper - lower));
    if (value != lower && value != upper) return decimals;
    const auto off = [&] {
        const double unit = std::pow(10.0, -decimals);
        return std::abs(std::round(value / unit) * unit - value);
    };
    while (decimals < 3 && off() > 5e-5 * std::abs(value)) ++decimals;
    return decimals;
}

/// Decimals for the end of an interval: as many as the interval deserves, yet so many that an end other than zero does
/// not read 0, unless it is nothing beside the interval.
template <Deferred...>
inline int decimals_of_end(double end, int decimals) {
    const double in_last = std::abs(end) * std::pow(10.0, decimals);
    if (!(in_last < 0.5) || in_last < 1e-3) return decimals;
    return -static_cast<int>(std::floor(std::log10(std::abs(end))));
}

/// "320 to 2200", both ends rounded by half of what lies between them, or to so many decimals.
template <Deferred...>
inline std::string range_words(double lower, double upper, int decimals) {
    return to_decimals(lower, decimals_of_end(lower, decimals)) + " to " +
           to_decimals(upper, decimals_of_end(upper, decimals));
}
template <Deferred...>
inline std::string range_words(double lower, double upper) {
    return range_words(lower, upper, decimals_of(0.5 * (upper - lower)));
}

template <Deferred...>
inline std::string flow_words(VolumeFlow flow) {
    return four_digits(flow / units::m3_per_h) + " m3/h (" + four_digits(flow / units::cfm) + " cfm)";
}
/// A flow rounded by its interval, to a whole number at most.
template <Deferred...>
inline std::string flow_words(const Uncertain<VolumeFlow>& flow, double probability) {
    const Interval<VolumeFlow> covered = coverage_interval(flow, probability);
    const VolumeFlow half = 0.5 * (covered.upper - covered.lower);
    return rounded_by(flow.value / units::m3_per_h, half / units::m3_per_h, 0) + " m3/h (" +
           rounded_by(flow.value / units::cfm, half / units::cfm, 0) + " cfm)";
}
template <Deferred...>
inline std::string pressure_words(Pressure pressure) {
    return rounded(pressure / units::Pa, 3) + " Pa (" + rounded(pressure / units::inH2O, 3) + " inH2O)";
}
template <Deferred...>
inline std::string velocity_words(Velocity velocity) {
    return rounded(velocity / units::m_per_s, 3) + " m/s (" + rounded(velocity / units::fpm, 3) + " fpm)";
}
template <Deferred...>
inline std::string hours_words(Time time) { return four_digits(time / units::h) + " running hours"; }
/// Hours rounded by their interval, to whole ones at most.
template <Deferred...>
inline std::string hours_words(const Uncertain<Time>& time, double probability) {
    const Interval<Time> covered = coverage_interval(time, probability);
    return rounded_by(time.value / units::h, 0.5 * (covered.upper - covered.lower) / units::h, 0) + " running hours";
}
/// To one decimal at most.
template <Deferred...>
inline std::string percent_words(double share) {
    std::string text = to_decimals(100.0 * share, 1);
    if (text.size() > 2 && text.compare(text.size() - 2, 2, ".0") == 0) text.erase(text.size() - 2);
    return text + " %";
}
/// A share rounded by its interval, which stands beside it; no end is below 0 or above 100 %.
template <Deferred...>
inline std::string percent_words(const Uncertain<double>& share, double probability) {
    const Interval<double> covered = coverage_interval(share, probability);
    const double lower = 100.0 * std::max(0.0, covered.lower), upper = 100.0 * std::min(1.0, covered.upper);
    if (!(upper - lower > 0.1)) return percent_words(share.value);
    const std::string value = rounded_by(100.0 * share.value, 0.5 * (upper - lower), 1);
    const int decimals = std::min(1, decimals_of(0.5 * (upper - lower)));
    return value + " % (" + number_text(100.0 * probability) + " % interval " + to_decimals(lower, decimals) + " to " +
           to_decimals(upper, decimals) + " %)";
}

}   // namespace filterflow::detail
