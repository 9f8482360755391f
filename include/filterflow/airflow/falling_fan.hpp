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

/// constant + linear Q + quadratic Q^2 in the air at hand.
struct PolynomialSystem {
    double constant;
    double linear;
    double quadratic;
    bool complete;   // that is all of the system, and every part and the air passed its checks
};

inline PolynomialSystem polynomial_system(const SystemCurve& system, const AirState& air) {
    PolynomialSystem p{system.constant_pressure.value(), 0.0, 0.0,
                       system.ducts.empty() && system.bypassed_elements.empty() && is_valid(air)};
    for (const PowerLawPart& part : system.power_laws) {
        const double q0 = part.reference_flow.value();
        if (part.exponent == 2.0) {
            p.quadratic += part.reference_pressure.value() * air.density.value() /
                           (part.stated_air.density.value() * q0 * q0);
        } else if (part.exponent == 1.0) {
            p.linear += part.reference_pressure.value() * air.viscosity.value() /
                        (part.stated_air.viscosity.value() * q0);
        } else {
            p.complete = false;
        }
        p.complete = p.complete && is_valid(part);
    }
    for (const ElementCurve& part : system.elements) {
        const auto c = element_coefficients(part, air);
        p.linear += c.linear;
        p.quadratic += c.quadratic;
        p.complete = p.complete && is_valid(part);
    }
    p.complete = p.complete && std::abs(p.constant + p.linear + p.quadratic) <= std::numeric_limits<double>::max();
    return p;
}

struct FallingFanRoot {
    OperatingStatus status;
    double flow;
};

/// The crossing of a strictly falling table with a system that does not fall; scale as in FlowDifference.
inline FallingFanRoot falling_fan_root(const MonotoneCubic& table, const PolynomialSystem& system, double scale) {
    const double a = scale * system.constant;
    const double b = scale * system.linear;
    const double c = scale * system.quadratic;
    const std::size_t rows = table.knots().size();
    const double* x = table.knots().data();
    const double* y = table.values().data();
    std::size_t above = 0;   // the difference falls, so rows above the system come first
    for (std::size_t i = 0; i < rows; ++i) above += y[i] - (a + x[i] * (b + x[i] * c)) > 0.0 ? 1 : 0;
    if (above == 0) {
        if (y[0] - (a + x[0] * (b + x[0] * c)) == 0.0) return {OperatingStatus::single_crossing, x[0]};
        return {x[0] == 0.0 ? OperatingStatus::above_shut_off : OperatingStatus::below_table, 0.0};
    }
    if (above == rows) return {OperatingStatus::beyond_table, 0.0};
    const std::size_t segment = above - 1;
    const CubicSegment& f = table.segments()[segment];
    const double x0 = x[segment];
    const double h = x[above] - x0;
    const CubicSegment d{f.c0 - (a + x0 * (b + x0 * c)), f.c1 - (b + 2.0 * c * x0), f.c2 - c, f.c3};
    const double d_upper = y[above] - (a + x[above] * (b + x[above] * c));
    const double secant = h * d.c0 / (d.c0 - d_upper);
    // From the secant's root a step of fourth order, then one of third (Halley), whose last error is about
    // (bend^2 - third slope) step^3 and tells whether it was the last one needed.
    const auto halves = [&d](double at) { return d.c2 + 3.0 * d.c3 * at; };
    double t = secant;
    {
        const double value = cubic_value(d, t), slope = cubic_slope(d, t), bend = halves(t);
        const double squared = slope * slope;
        t -= value * (squared - value * bend) / (slope * (squared - 2.0 * value * bend) + value * value * d.c3);
    }
    const double value = cubic_value(d, t), slope = cubic_slope(d, t), bend = halves(t);
    const double squared = slope * slope;
    const double last = value * slope / (squared - value * bend);
    t -= last;
    const double left = std::abs((bend * bend - slope * d.c3) * last * last * last);
    if (!(t >= 0.0 && t <= h && left <= 1e-16 * x[above] * squared)) {
        // Rare: a start too far off, or a segment so flat that rounding speaks. Bisection cannot fail.
        t = bracketed_root([&](double at) { return std::pair(cubic_value(d, at), cubic_slope(d, at)); }, 0.0, h, d.c0,
                           d_upper, secant, 0.0)
                .location;
    }
    const double flow = x0 + t;
    return {OperatingStatus::single_crossing, flow < x[above] ? flow : x[above]};
}

}   // namespace detail

}   // namespace filterflow
