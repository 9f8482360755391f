// SPDX-License-Identifier: BSL-1.0
#pragma once

// The statuses of an operating point, and the fast way to the usual one: a fan curve that falls throughout against
// a system of constant, linear and quadratic parts crosses it once or not at all, so the segment is found by
// counting rows above the system, and within it the difference is one cubic.

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string_view>
#include <utility>

#include <filterflow/airflow/system.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// What was found where a fan meets a system.
enum class OperatingStatus {
    single_crossing,     ///< one crossing
    several_crossings,   ///< more than one: where it settles depends on its history
    touching_only,       ///< the curves touch and nowhere cross: the least change makes two crossings or none
    flow_held,           ///< a flow-holding fan delivers its set flow
    fan_gave_up,         ///< a flow-holding fan is at its limit and delivers less than its set flow
    above_shut_off,      ///< the system needs more pressure than the fan gives at any flow, even at none
    below_table,         ///< a crossing, if any, lies at less flow than the table begins with
    beyond_table         ///< the fan still gives more than the system needs where the table ends: more flow than it has
};

/// A status in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: every status
/// @param  status  of an operating point
/// @return what it means, as part of a sentence
/// @throws nothing
/// @source none; test: airflow/operating_point_test.cpp
template <Deferred...>
inline std::string_view status_text(OperatingStatus status) {
    switch (status) {
        case OperatingStatus::single_crossing: return "fan and system meet once";
        case OperatingStatus::several_crossings: return "fan and system meet more than once";
        case OperatingStatus::touching_only: return "fan and system touch without crossing";
        case OperatingStatus::flow_held: return "the fan holds its set flow";
        case OperatingStatus::fan_gave_up: return "the fan is at its limit and no longer holds its set flow";
        case OperatingStatus::above_shut_off: return "the system needs more pressure than the fan gives at any flow";
        case OperatingStatus::below_table: return "fan and system would meet at less flow than the fan table has";
        case OperatingStatus::beyond_table: return "fan and system would meet at more flow than the fan table has";
    }
    return "unknown status";
}

namespace detail {

/// constant + linear Q + quadratic Q^2 in the air at hand, times a scale.
struct PolynomialSystem {
    double constant;
    double linear;
    double quadratic;
    bool complete;   // that is all of the system, and every part and the air passed its checks
};

/// Whether numbers are finite and none is negative (or zero, where it must not be), asked once for all. The bits of
/// such numbers are ordered as the numbers are, below those of infinity; a sign makes them greater than all.
struct SoundNumbers {
    std::uint64_t greatest = 0;
    std::uint64_t least_positive = bits(1.0);   // of those above zero
    static constexpr std::uint64_t bits(double x) { return std::bit_cast<std::uint64_t>(x); }
    template <Deferred...>
    void from_zero(double x) { greatest = bits(x) > greatest ? bits(x) : greatest; }
    template <Deferred...>
    void positive(double x) {
        from_zero(x);
        least_positive = bits(x) < least_positive ? bits(x) : least_positive;
    }
    template <Deferred...>
    bool sound() const { return greatest < bits(std::numeric_limits<double>::infinity()) && least_positive > 0; }
};

/// Of the values alone, where numbers carry derivatives. Laid into its callers, as falling_fan_root is.
template <class T>
[[gnu::always_inline]] inline PolynomialSystem polynomial_system(const BasicSystemCurve<T>& system,
                                                                 const BasicAirState<T>& air, double scale) {
    const auto value = [](const auto& quantity) { return plain_value(quantity.value()); };
    const double constant = value(system.constant_pressure);
    double linear = 0.0, quadratic = 0.0;
    const double density = value(air.density), viscosity = value(air.viscosity);
    SoundNumbers numbers;
    numbers.positive(density);
    numbers.positive(viscosity);
    const double scaled_density = scale * density, scaled_viscosity = scale * viscosity;
    for (const auto& part : system.power_laws) {
        const double p0 = value(part.reference_pressure), q0 = value(part.reference_flow);
        const double density0 = part.stated_air.density.value(), viscosity0 = part.stated_air.viscosity.value();
        numbers.from_zero(p0);
        numbers.positive(q0);
        numbers.positive(density0);
        numbers.positive(viscosity0);
        const double n = plain_value(part.exponent);
        if (n == 2.0) {
            quadratic += p0 / (density0 * q0 * q0) * scaled_density;
        } else if (n == 1.0) {
            linear += p0 / (viscosity0 * q0) * scaled_viscosity;
        } else {
            return {constant, linear, quadratic, false};
        }
    }
    for (const auto& part : system.elements) {
        const double r = value(part.linear), s = value(part.quadratic);
        const double density0 = part.stated_air.density.value(), viscosity0 = part.stated_air.viscosity.value();
        numbers.from_zero(r);
        numbers.from_zero(s);
        numbers.positive(density0);
        numbers.positive(viscosity0);
        linear += r / viscosity0 * scaled_viscosity;   // in this order no division waits for the scale's
        quadratic += s / density0 * scaled_density;
    }
    for (const auto& part : system.ducts) {   // a fitting is one: round, smooth, without length
        const double diameter = value(part.diameter), area = quarter_pi * diameter * diameter;
        const bool others = value(part.length) == 0.0 && value(part.roughness) == 0.0 && value(part.width) == 0.0 &&
                            value(part.height) == 0.0;
        if (!others) return {constant, linear, quadratic, false};
        const double k = plain_value(part.loss_coefficient);
        numbers.positive(diameter);
        numbers.from_zero(k);
        quadratic += 0.5 * k * scaled_density / (area * area);
    }
    const bool finite = std::abs(constant) + linear + quadratic <= std::numeric_limits<double>::max();
    return {scale * constant, linear, quadratic, system.bypassed_elements.empty() && finite && numbers.sound()};
}

struct FallingFanRoot {
    OperatingStatus status;
    std::size_t segment;   // of the table
    double flow;
    double answer;         // one over the slope of fan minus system there: flow for a pressure added; infinite if flat
};

/// One over the slope of fan minus system; infinite where both are flat.
template <Deferred...>
inline double answer_of_slope(double slope) {
    return slope < -1e-300 ? 1.0 / slope : std::numeric_limits<double>::infinity();
}

/// A segment of a fan's table less a system a + b Q + c Q^2, counted from the segment's begin as the table is.
inline CubicSegment less_system(const CubicSegment& fan, double begin, double a, double b, double c) {
    return {fan.c0 - (a + begin * (b + begin * c)), fan.c1 - (b + 2.0 * c * begin), fan.c2 - c, fan.c3};
}

/// Where the fixed steps do not suffice: a start too far off, or a segment so flat that rounding speaks. Goes on from
/// where they ended; bisection cannot fail.
template <Deferred...>
[[gnu::cold]] inline FallingFanRoot guarded_root(const MonotoneCubic& table, std::size_t segment, double a, double b,
                                                 double c, double guess) {
    const double x0 = table.knots()[segment], x1 = table.knots()[segment + 1], width = x1 - x0;
    const CubicSegment d = less_system(table.segments()[segment], x0, a, b, c);
    const double d_upper = table.values()[segment + 1] - (a + x1 * (b + x1 * c));
    const auto f = [&d](double t) { return std::pair(cubic_value(d, t), cubic_slope(d, t)); };
    if (!(guess > 0.0 && guess < width)) guess = width * d.c0 / (d.c0 - d_upper);
    const double t = bracketed_root(f, 0.0, width, d.c0, d_upper, guess, 0.0).location;
    const double flow = x0 + t < x1 ? x0 + t : x1;
    return {OperatingStatus::single_crossing, segment, flow, answer_of_slope(cubic_slope(d, flow - x0))};
}

/// The crossing of a strictly falling table with a system a + b Q + c Q^2 that does not fall, stated at the table's
/// pressures. It is laid into its callers: as a call its numbers would go by memory, and wait for it. Without the
/// answer, then zero, the flow comes a product sooner.
template <bool WithAnswer = true>
[[gnu::always_inline]] inline FallingFanRoot falling_fan_root(const MonotoneCubic& table, double a, double b,
                                                              double c) {
    const auto system = [&](double flow) { return a + flow * (b + flow * c); };
    const std::size_t last_row = table.knots().size() - 1;
    const double* x = table.knots().data();
    const double* y = table.values().data();
    if (const double s_first = system(x[0]); !(y[0] > s_first)) {
        if (y[0] != s_first) {
            return {x[0] == 0.0 ? OperatingStatus::above_shut_off : OperatingStatus::below_table, 0, 0.0, 0.0};
        }
        const double slope = table.segments()[0].c1 - (b + 2.0 * c * x[0]);
        return {OperatingStatus::single_crossing, 0, x[0], answer_of_slope(slope)};
    }
    std::size_t upper = 1;   // fan minus system falls, so rows above the system come first
    double s_upper = system(x[1]);
    while (y[upper] > s_upper && upper != last_row) {
        ++upper;
        s_upper = system(x[upper]);
    }
    const double d_upper = y[upper] - s_upper;
    if (d_upper > 0.0) return {OperatingStatus::beyond_table, 0, 0.0, 0.0};
    const double x0 = x[upper - 1], x1 = x[upper], h = x1 - x0;
    const CubicSegment d = less_system(table.segments()[upper - 1], x0, a, b, c);
    // From the secant's root two steps of Halley's method, the second with the cubic moved to the new place.
    const double secant = h * d.c0 / (d.c0 - d_upper), s2 = secant * secant;
    const double value = (d.c0 + secant * d.c1) + s2 * (d.c2 + secant * d.c3);
    const double slope = (d.c1 + 2.0 * secant * d.c2) + 3.0 * s2 * d.c3, bend = d.c2 + 3.0 * secant * d.c3;
    const double first = value * slope / (slope * slope - value * bend);
    const double bend_there = bend - 3.0 * first * d.c3;
    const double value_there = (value - first * slope) + first * first * (bend - first * d.c3);
    const double slope_there = slope - first * (bend + bend_there);
    const double divisor = slope_there * slope_there - value_there * bend_there, steep = value_there * slope_there;
    const double inverse = WithAnswer ? 1.0 / divisor : 0.0, last = WithAnswer ? steep * inverse : steep / divisor;
    const double t = secant - first - last, flow = x0 + t;
    const double bent = bend_there * bend_there, beyond = bent - slope_there * d.c3;
    // The last error is about (bend^2 - third slope) step^3 / slope^2 and tells whether it was the last one needed. The
    // answer comes from the division that is made already: with u = value / divisor, that is step / slope, the slope at
    // the root is slope (1 - 2 bend u + 3 third slope u^2), and one over it slope / divisor (1 + bend u + 3 beyond u^2)
    // but for third order in u, which the same test bounds if it counts what cancels in `beyond`.
    const double u = value_there * inverse, scaled = slope_there * inverse;
    const bool settled = WithAnswer
                             ? (bent + std::abs(beyond)) * (u * u) * std::abs(last) <= 1e-16 * flow
                             : std::abs(beyond * last * last * last) <= 1e-16 * flow * (slope_there * slope_there);
    if (!(flow >= x0 && flow <= x1 && settled)) return guarded_root(table, upper - 1, a, b, c, t);
    return {OperatingStatus::single_crossing, upper - 1, flow, scaled + scaled * u * (bend_there + 3.0 * beyond * u)};
}

}   // namespace detail

}   // namespace filterflow
