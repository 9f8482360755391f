// SPDX-License-Identifier: BSL-1.0
#pragma once

// The statuses of an operating point, and the fast way to the usual one: a fan curve that falls throughout against
// a system of constant, linear and quadratic parts crosses it once or not at all, so the segment is found by
// counting rows above the system, and within it the difference is one cubic.

#include <cmath>
#include <cstddef>
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
        return (sum <= std::numeric_limits<double>::max()) & (least >= 0.0) & (least_positive > 0.0);
    }
};

inline PolynomialSystem polynomial_system(const SystemCurve& system, const AirState& air, double scale) {
    const double constant = system.constant_pressure.value();
    double linear = 0.0, quadratic = 0.0;
    const double density = air.density.value(), viscosity = air.viscosity.value();
    SoundNumbers numbers;
    numbers.positive(density);
    numbers.positive(viscosity);
    const double scaled_density = scale * density, scaled_viscosity = scale * viscosity;
    for (const PowerLawPart& part : system.power_laws) {
        const double p0 = part.reference_pressure.value(), q0 = part.reference_flow.value();
        const double density0 = part.stated_air.density.value(), viscosity0 = part.stated_air.viscosity.value();
        numbers.from_zero(p0);
        numbers.positive(q0);
        numbers.positive(density0);
        numbers.positive(viscosity0);
        if (part.exponent == 2.0) {
            quadratic += p0 * scaled_density / (density0 * q0 * q0);
        } else if (part.exponent == 1.0) {
            linear += p0 * scaled_viscosity / (viscosity0 * q0);
        } else {
            return {constant, linear, quadratic, false};
        }
    }
    for (const ElementCurve& part : system.elements) {
        const double r = part.linear.value(), s = part.quadratic.value();
        const double density0 = part.stated_air.density.value(), viscosity0 = part.stated_air.viscosity.value();
        numbers.from_zero(r);
        numbers.from_zero(s);
        numbers.positive(density0);
        numbers.positive(viscosity0);
        linear += r * scaled_viscosity / viscosity0;
        quadratic += s * scaled_density / density0;
    }
    for (const DuctSegment& part : system.ducts) {   // a fitting is one: round, smooth, without length
        const double diameter = part.diameter.value(), area = quarter_pi * diameter * diameter;
        const bool others = part.length.value() == 0.0 && part.roughness.value() == 0.0 && part.width.value() == 0.0 &&
                            part.height.value() == 0.0;
        if (!others) return {constant, linear, quadratic, false};
        numbers.positive(diameter);
        numbers.from_zero(part.loss_coefficient);
        quadratic += 0.5 * part.loss_coefficient * scaled_density / (area * area);
    }
    numbers.sum += std::abs(constant) + linear + quadratic;
    return {scale * constant, linear, quadratic, system.bypassed_elements.empty() && numbers.sound()};
}

struct FallingFanRoot {
    OperatingStatus status;
    double flow;
};

/// Where the fixed steps do not suffice: a start too far off, or a segment so flat that rounding speaks. Goes on from
/// where they ended; bisection cannot fail.
[[gnu::cold]] inline double guarded_root(CubicSegment d, double width, double d_upper, double guess) {
    const auto f = [&d](double t) { return std::pair(cubic_value(d, t), cubic_slope(d, t)); };
    if (!(guess > 0.0 && guess < width)) guess = width * d.c0 / (d.c0 - d_upper);
    return bracketed_root(f, 0.0, width, d.c0, d_upper, guess, 0.0).location;
}

inline FallingFanRoot root_at_first_row(double x, double difference) {
    if (difference == 0.0) return {OperatingStatus::single_crossing, x};
    return {x == 0.0 ? OperatingStatus::above_shut_off : OperatingStatus::below_table, 0.0};
}

/// The crossing of a strictly falling table with a system a + b Q + c Q^2 that does not fall, stated at the table's
/// pressures. The numbers are handed singly: a structure would go by memory, and wait for it.
inline FallingFanRoot falling_fan_root(const MonotoneCubic& table, double a, double b, double c) {
    const auto difference = [&](double flow, double pressure) { return pressure - (a + flow * (b + flow * c)); };
    const std::size_t rows = table.knots().size();
    const double* x = table.knots().data();
    const double* y = table.values().data();
    double d_lower = difference(x[0], y[0]);
    if (!(d_lower > 0.0)) return root_at_first_row(x[0], d_lower);
    std::size_t upper = 1;   // the difference falls, so rows above the system come first
    double d_upper = difference(x[1], y[1]);
    while (d_upper > 0.0 && upper + 1 < rows) {
        d_lower = d_upper;
        ++upper;
        d_upper = difference(x[upper], y[upper]);
    }
    if (d_upper > 0.0) return {OperatingStatus::beyond_table, 0.0};
    const double x0 = x[upper - 1], x1 = x[upper], h = x1 - x0;
    const CubicSegment& f = table.segments()[upper - 1];
    const CubicSegment d{d_lower, f.c1 - (b + 2.0 * c * x0), f.c2 - c, f.c3};
    // From the secant's root a step of fourth order; from there, with the cubic moved to the new place, one of third
    // (Halley), whose last error is about (bend^2 - third slope) step^3 and tells whether it was the last one needed.
    const double secant = h * d.c0 / (d.c0 - d_upper), s2 = secant * secant;
    const double value = (d.c0 + secant * d.c1) + s2 * (d.c2 + secant * d.c3);
    const double slope = (d.c1 + 2.0 * secant * d.c2) + 3.0 * s2 * d.c3, bend = d.c2 + 3.0 * secant * d.c3;
    const double squared = slope * slope, bent = value * bend;
    const double first = value * (squared - bent) / (slope * (squared - 2.0 * bent) + value * value * d.c3);
    const double bend_there = bend - 3.0 * first * d.c3;
    const double value_there = (value - first * slope) + first * first * (bend - first * d.c3);
    const double slope_there = slope - first * (bend + bend_there);
    const double squared_there = slope_there * slope_there;
    const double last = value_there * slope_there / (squared_there - value_there * bend_there);
    const double t = secant - first - last;
    const double left = std::abs((bend_there * bend_there - slope_there * d.c3) * last * last * last);
    double flow = x0 + t;
    const bool done = t >= 0.0 && t <= h && left <= 1e-16 * flow * squared_there;
    if (!done) flow = x0 + guarded_root(d, h, d_upper, t);
    return {OperatingStatus::single_crossing, flow < x1 ? flow : x1};
}

}   // namespace detail

}   // namespace filterflow
