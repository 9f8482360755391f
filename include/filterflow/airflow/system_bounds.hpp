// SPDX-License-Identifier: BSL-1.0
#pragma once

// Slopes of a system's pressure drop, and bounds of drop and slope between two flows: what the isolation of crossings
// rests on. Not public.

#include <cmath>

#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow::detail {

/// Bounds of a number.
struct Bounds {
    double low;
    double high;
};
inline Bounds operator+(Bounds a, Bounds b) { return {a.low + b.low, a.high + b.high}; }
inline Bounds hull(double a, double b) { return a < b ? Bounds{a, b} : Bounds{b, a}; }
template <Deferred...>
inline Bounds scaled(Bounds a, double factor) { return hull(a.low * factor, a.high * factor); }
template <Deferred...>
inline Bounds times(Bounds a, Bounds b) {
    const Bounds x = hull(a.low * b.low, a.low * b.high);
    const Bounds y = hull(a.high * b.low, a.high * b.high);
    return {x.low < y.low ? x.low : y.low, x.high > y.high ? x.high : y.high};
}
template <Deferred...>
inline Bounds bounds_of(const double* first, const double* last) {
    Bounds b{*first, *first};
    for (; first != last; ++first) {
        if (*first < b.low) b.low = *first;
        if (*first > b.high) b.high = *first;
    }
    return b;
}

struct ValueAndSlope {
    double value;
    double slope;
};
struct ValueAndSlopeBounds {
    Bounds value;
    Bounds slope;
};

/// A cubic and its slope over [from, to] of its local variable lie within their Bernstein coefficients.
template <Deferred...>
inline ValueAndSlopeBounds cubic_bounds(const CubicSegment& c, double from, double to) {
    const double w = to - from;
    const double a0 = cubic_value(c, from);
    const double a1 = w * cubic_slope(c, from);
    const double a2 = w * w * (c.c2 + 3.0 * c.c3 * from);
    const double a3 = w * w * w * c.c3;
    const double value[] = {a0, a0 + a1 / 3.0, a0 + (2.0 * a1 + a2) / 3.0, a0 + a1 + a2 + a3};
    const double slope[] = {a1 / w, (a1 + a2) / w, (a1 + 2.0 * a2 + 3.0 * a3) / w};
    return {bounds_of(value, value + 4), bounds_of(slope, slope + 3)};
}

// ---- The system with its slope, and bounds of both. All parts but the transition of friction bend upwards, so their
// ---- slopes at the ends bound the slopes between.

template <Deferred...>
inline ValueAndSlope part_with_slope(const PowerLawPart& part, double flow, const AirState& air) {
    const double scale = part.reference_pressure.value() * power_law_factor(part, air);
    const double x = flow / part.reference_flow.value();
    const double n = part.exponent;
    const double below = n == 2.0 ? x : n == 1.0 ? 1.0 : std::pow(x, n - 1.0);
    return {scale * below * x, scale * n * below / part.reference_flow.value()};
}
template <Deferred...>
inline ValueAndSlope part_with_slope(const ElementCurve& part, double flow, const AirState& air) {
    const auto c = element_coefficients(part, air);
    return {(c.linear + c.quadratic * flow) * flow, c.linear + 2.0 * c.quadratic * flow};
}
template <Deferred...>
inline ValueAndSlope part_with_slope(const BypassedElement& part, double flow, const AirState& air) {
    const auto c = element_coefficients(part.element, air);
    const double k = gap_conductance(part, air.density.value());
    const double q = flow_through_element(c, k, flow);
    const double value = (c.linear + c.quadratic * q) * q;
    // Flows through element and gap add at one pressure: dQ/dp = 1/(r + 2 s q) + k / (2 sqrt p).
    const double root = std::sqrt(value);
    const double element_slope = c.linear + 2.0 * c.quadratic * q;
    const double sum = 2.0 * root + k * element_slope;
    return {value, sum > 0.0 ? element_slope * 2.0 * root / sum : element_slope};
}
template <Deferred...>
inline ValueAndSlope part_with_slope(const DuctSegment& part, double flow, const AirState& air) {
    const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
    const auto g = blended_friction(c.reynolds_per_flow * flow, c.relative_roughness);
    return {c.friction_scale * g.g + c.quadratic * flow * flow,
            c.friction_scale * c.reynolds_per_flow * g.slope + 2.0 * c.quadratic * flow};
}

template <Deferred...>
inline ValueAndSlope system_with_slope(const SystemCurve& system, double flow, const AirState& air) {
    ValueAndSlope sum{system.constant_pressure.value(), 0.0};
    const auto add = [&](const auto& parts) {
        for (const auto& part : parts) {
            const ValueAndSlope p = part_with_slope(part, flow, air);
            sum.value += p.value;
            sum.slope += p.slope;
        }
    };
    add(system.power_laws);
    add(system.elements);
    add(system.bypassed_elements);
    add(system.ducts);
    return sum;
}

/// Bounds of dG/dRe between two Reynolds numbers: constant, a parabola, then rising (see friction.hpp).
template <Deferred...>
inline Bounds friction_slope_bounds(double from, double to, double relative_roughness) {
    Bounds b = hull(blended_friction(from, relative_roughness).slope, blended_friction(to, relative_roughness).slope);
    if (to <= laminar_limit || from >= turbulent_limit) return b;
    const auto include = [&b](double slope) {
        if (slope < b.low) b.low = slope;
        if (slope > b.high) b.high = slope;
    };
    const auto c = friction_blend(turbulent_friction(turbulent_limit, relative_roughness));
    const double width = turbulent_limit - laminar_limit;
    const double t_from = from > laminar_limit ? (from - laminar_limit) / width : 0.0;
    const double t_to = to < turbulent_limit ? (to - laminar_limit) / width : 1.0;
    const auto slope = [&](double t) { return (c.c1 + t * (2.0 * c.c2 + 3.0 * c.c3 * t)) / width; };
    include(slope(t_from));
    include(slope(t_to));
    const double vertex = -c.c2 / (3.0 * c.c3);
    if (vertex > t_from && vertex < t_to) include(slope(vertex));
    return b;
}

template <class Part>
ValueAndSlopeBounds part_bounds(const Part& part, double from, double to, const AirState& air) {
    const ValueAndSlope a = part_with_slope(part, from, air);
    const ValueAndSlope b = part_with_slope(part, to, air);
    return {hull(a.value, b.value), hull(a.slope, b.slope)};
}
template <Deferred...>
inline ValueAndSlopeBounds part_bounds(const DuctSegment& part, double from, double to, const AirState& air) {
    const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
    const auto g = [&](double flow) { return blended_friction(c.reynolds_per_flow * flow, c.relative_roughness).g; };
    const Bounds slope =
        friction_slope_bounds(c.reynolds_per_flow * from, c.reynolds_per_flow * to, c.relative_roughness);
    return {
        scaled({g(from), g(to)}, c.friction_scale) + hull(c.quadratic * from * from, c.quadratic * to * to),
        scaled(slope, c.friction_scale * c.reynolds_per_flow) + hull(2.0 * c.quadratic * from, 2.0 * c.quadratic * to)};
}

template <Deferred...>
inline ValueAndSlopeBounds system_bounds(const SystemCurve& system, double from, double to, const AirState& air) {
    const double constant = system.constant_pressure.value();
    ValueAndSlopeBounds sum{{constant, constant}, {0.0, 0.0}};
    const auto add = [&](const auto& parts) {
        for (const auto& part : parts) {
            const ValueAndSlopeBounds p = part_bounds(part, from, to, air);
            sum.value = sum.value + p.value;
            sum.slope = sum.slope + p.slope;
        }
    };
    add(system.power_laws);
    add(system.elements);
    add(system.bypassed_elements);
    add(system.ducts);
    return sum;
}

}   // namespace filterflow::detail
