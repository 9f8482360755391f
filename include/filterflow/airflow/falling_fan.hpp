// SPDX-License-Identifier: BSL-1.0
#pragma once

// The statuses of an operating point, and the fast way to the usual one: a fan curve that falls throughout against
// a system of constant, linear and quadratic parts crosses it once or not at all, so the segment is found by
// counting rows above the system, and within it the difference is one cubic.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string_view>
#include <utility>

#include <filterflow/airflow/system.hpp>
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

/// Whether numbers are finite and none is negative (or zero, where it must not be), asked once for all: the sum is not
/// finite if one of them is not, and the least ones tell the sign.
struct SoundNumbers {
    double sum = 0.0;
    double least = 0.0;             // of those from zero
    double least_positive = 1.0;    // of those above zero
    void from_zero(double x) {
        sum += x;
        least = x < least ? x : least;
    }
    void positive(double x) {
        sum += x;
        least_positive = x < least_positive ? x : least_positive;
    }
    bool sound() const {
        return sum <= std::numeric_limits<double>::max() && least >= 0.0 && least_positive > 0.0;
    }
};

/// Of the values alone, where numbers carry derivatives.
template <class T>
inline PolynomialSystem polynomial_system(const BasicSystemCurve<T>& system, const BasicAirState<T>& air, double scale) {
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
            quadratic += p0 * scaled_density / (density0 * q0 * q0);
        } else if (n == 1.0) {
            linear += p0 * scaled_viscosity / (viscosity0 * q0);
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
        linear += r * scaled_viscosity / viscosity0;
        quadratic += s * scaled_density / density0;
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
    numbers.sum += std::abs(constant) + linear + quadratic;
    return {scale * constant, linear, quadratic, system.bypassed_elements.empty() && numbers.sound()};
}

struct FallingFanRoot {   // small enough to stay in registers
    OperatingStatus status;
    std::uint32_t segment;   // of the table
    double flow;
};

/// Where the fixed steps do not suffice: a start too far off, or a segment so flat that rounding speaks. Goes on from
/// where they ended; bisection cannot fail.
[[gnu::cold]] inline double guarded_root(CubicSegment d, double x0, double x1, double d_upper, double guess) {
    const double width = x1 - x0;
    const auto f = [&d](double t) { return std::pair(cubic_value(d, t), cubic_slope(d, t)); };
    if (!(guess > 0.0 && guess < width)) guess = width * d.c0 / (d.c0 - d_upper);
    const double flow = x0 + bracketed_root(f, 0.0, width, d.c0, d_upper, guess, 0.0).location;
    return flow < x1 ? flow : x1;
}

inline FallingFanRoot root_at_first_row(double x, double difference) {
    if (difference == 0.0) return {OperatingStatus::single_crossing, 0, x};
    return {x == 0.0 ? OperatingStatus::above_shut_off : OperatingStatus::below_table, 0, 0.0};
}

/// The crossing of a strictly falling table with a system a + b Q + c Q^2 that does not fall, stated at the table's
/// pressures. The numbers are handed singly: a structure would go by memory, and wait for it. On demand it tells the
/// slope of fan minus system at the crossing, too.
inline FallingFanRoot falling_fan_root(const MonotoneCubic& table, double a, double b, double c,
                                       double* slope_at_root = nullptr) {
    const auto system = [&](double flow) { return a + flow * (b + flow * c); };
    const std::size_t last_row = table.knots().size() - 1;
    const double* x = table.knots().data();
    const double* y = table.values().data();
    double s_lower = system(x[0]);
    if (!(y[0] > s_lower)) {
        if (slope_at_root != nullptr) *slope_at_root = table.segments()[0].c1 - (b + 2.0 * c * x[0]);
        return root_at_first_row(x[0], y[0] - s_lower);
    }
    std::size_t upper = 1;   // fan minus system falls, so rows above the system come first
    double s_upper = system(x[1]);
    while (y[upper] > s_upper && upper != last_row) {
        s_lower = s_upper;
        ++upper;
        s_upper = system(x[upper]);
    }
    const double d_upper = y[upper] - s_upper;
    if (d_upper > 0.0) return {OperatingStatus::beyond_table, 0, 0.0};
    const double x0 = x[upper - 1], x1 = x[upper], h = x1 - x0;
    const CubicSegment& f = table.segments()[upper - 1];
    const CubicSegment d{f.c0 - s_lower, f.c1 - (b + 2.0 * c * x0), f.c2 - c, f.c3};
    // From the secant's root two steps of Halley's method, the second with the cubic moved to the new place. The last
    // error is about (bend^2 - third slope) step^3 and tells whether it was the last one needed.
    const double secant = h * d.c0 / (d.c0 - d_upper), s2 = secant * secant;
    const double value = (d.c0 + secant * d.c1) + s2 * (d.c2 + secant * d.c3);
    const double slope = (d.c1 + 2.0 * secant * d.c2) + 3.0 * s2 * d.c3, bend = d.c2 + 3.0 * secant * d.c3;
    const double squared = slope * slope;
    const double first = value * slope / (squared - value * bend);
    const double bend_there = bend - 3.0 * first * d.c3;
    const double value_there = (value - first * slope) + first * first * (bend - first * d.c3);
    const double slope_there = slope - first * (bend + bend_there);
    const double squared_there = slope_there * slope_there;
    const double last = value_there * slope_there / (squared_there - value_there * bend_there);
    const double t = secant - first - last;
    const double left = std::abs((bend_there * bend_there - slope_there * d.c3) * last * last * last);
    double flow = x0 + t;
    const bool done = flow >= x0 && flow <= x1 && left <= 1e-16 * flow * squared_there;
    if (!done) flow = guarded_root(d, x0, x1, d_upper, t);
    if (slope_at_root != nullptr) {   // from what is known already, where the steps sufficed
        *slope_at_root =
            done ? slope_there - last * (2.0 * bend_there - 3.0 * last * d.c3) : cubic_slope(d, flow - x0);
    }
    return {OperatingStatus::single_crossing, static_cast<std::uint32_t>(upper - 1), flow};
}

}   // namespace detail

}   // namespace filterflow
