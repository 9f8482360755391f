// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where a fan meets its system: every root of a difference that is known with bounds. Pieces whose bounds exclude
// zero are dropped, pieces whose slope keeps its sign hold one root or none, all others are halved. So two roots
// between two rows of the table are found although the signs at the rows agree. Not public.

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/airflow/system.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow::detail {

/// Bounds of a number.
struct Bounds {
    double low;
    double high;
};
inline Bounds operator+(Bounds a, Bounds b) { return {a.low + b.low, a.high + b.high}; }
inline Bounds hull(double a, double b) { return a < b ? Bounds{a, b} : Bounds{b, a}; }
inline Bounds scaled(Bounds a, double factor) { return hull(a.low * factor, a.high * factor); }
inline Bounds times(Bounds a, Bounds b) {
    const Bounds x = hull(a.low * b.low, a.low * b.high);
    const Bounds y = hull(a.high * b.low, a.high * b.high);
    return {x.low < y.low ? x.low : y.low, x.high > y.high ? x.high : y.high};
}
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

inline ValueAndSlope part_with_slope(const PowerLawPart& part, double flow, const AirState& air) {
    const double scale = part.reference_pressure.value() * power_law_factor(part, air);
    const double x = flow / part.reference_flow.value();
    const double n = part.exponent;
    const double below = n == 2.0 ? x : n == 1.0 ? 1.0 : std::pow(x, n - 1.0);
    return {scale * below * x, scale * n * below / part.reference_flow.value()};
}
inline ValueAndSlope part_with_slope(const ElementCurve& part, double flow, const AirState& air) {
    const auto c = element_coefficients(part, air);
    return {(c.linear + c.quadratic * flow) * flow, c.linear + 2.0 * c.quadratic * flow};
}
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
inline ValueAndSlope part_with_slope(const DuctSegment& part, double flow, const AirState& air) {
    const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
    const auto g = blended_friction(c.reynolds_per_flow * flow, c.relative_roughness);
    return {c.friction_scale * g.g + c.quadratic * flow * flow,
            c.friction_scale * c.reynolds_per_flow * g.slope + 2.0 * c.quadratic * flow};
}

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
inline ValueAndSlopeBounds part_bounds(const DuctSegment& part, double from, double to, const AirState& air) {
    const auto c = duct_coefficients(part, air.density.value(), air.viscosity.value());
    const auto g = [&](double flow) { return blended_friction(c.reynolds_per_flow * flow, c.relative_roughness).g; };
    const Bounds slope = friction_slope_bounds(c.reynolds_per_flow * from, c.reynolds_per_flow * to, c.relative_roughness);
    return {scaled({g(from), g(to)}, c.friction_scale) + hull(c.quadratic * from * from, c.quadratic * to * to),
            scaled(slope, c.friction_scale * c.reynolds_per_flow) + hull(2.0 * c.quadratic * from, 2.0 * c.quadratic * to)};
}

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

// ---- Fan minus system, on the pressure scale of the fan's table: `scale` is the table's pressure over that in the air
// ---- at hand. One segment of the table at a time.

/// At fixed speed: p0(Q) - scale p_sys(Q) over the flow Q.
struct FlowDifference {
    const MonotoneCubic& table;
    const SystemCurve& system;
    const AirState& air;
    double scale;

    ValueAndSlope at(std::size_t segment, double x) const {
        const double t = x - table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const ValueAndSlope s = system_with_slope(system, x, air);
        return {cubic_value(c, t) - scale * s.value, cubic_slope(c, t) - scale * s.slope};
    }
    double at_knot(std::size_t i) const {
        return table.values()[i] - scale * system_pressure_drop(system, table.knots()[i], air);
    }
    ValueAndSlopeBounds bounds(std::size_t segment, double from, double to) const {
        const double x = table.knots()[segment];
        const ValueAndSlopeBounds f = cubic_bounds(table.segments()[segment], from - x, to - x);
        const ValueAndSlopeBounds s = system_bounds(system, from, to, air);
        return {f.value + scaled(s.value, -scale), f.slope + scaled(s.slope, -scale)};
    }
    double magnitude() const { return std::abs(table.values().front()) + std::abs(table.values().back()); }
};

/// Holding its flow: p - scale p_sys(Q0(p)) over the table's pressure p.
struct PressureDifference {
    const MonotoneCubic& table;
    const SystemCurve& system;
    const AirState& air;
    double scale;

    ValueAndSlope at(std::size_t segment, double x) const {
        const double t = x - table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const ValueAndSlope s = system_with_slope(system, cubic_value(c, t), air);
        return {x - scale * s.value, 1.0 - scale * s.slope * cubic_slope(c, t)};
    }
    double at_knot(std::size_t i) const {
        return table.knots()[i] - scale * system_pressure_drop(system, table.values()[i], air);
    }
    ValueAndSlopeBounds bounds(std::size_t segment, double from, double to) const {
        const double x = table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const Bounds flow = hull(cubic_value(c, from - x), cubic_value(c, to - x));   // monotone
        const ValueAndSlopeBounds s =
            system_bounds(system, flow.low > 0.0 ? flow.low : 0.0, flow.high > 0.0 ? flow.high : 0.0, air);
        return {Bounds{from, to} + scaled(s.value, -scale),
                Bounds{1.0, 1.0} + scaled(times(s.slope, cubic_bounds(c, from - x, to - x).slope), -scale)};
    }
    double magnitude() const { return table.knots().back(); }
};

/// A root of the difference.
struct CrossingLocation {
    double x;
    std::size_t segment;
    double slope;    // of the difference; zero where the curves only touch
};

template <class Difference>
void find_crossings_between(const Difference& d, std::size_t segment, double from, double to, double d_from, double d_to,
                            double resolution, std::vector<CrossingLocation>& found) {
    const ValueAndSlopeBounds b = d.bounds(segment, from, to);
    const double rounding = 1e-14 * d.magnitude();
    if (b.value.low > rounding || b.value.high < -rounding) return;
    const bool one_way = b.slope.low >= 0.0 || b.slope.high <= 0.0;
    if (!one_way && to - from > resolution) {
        const double middle = from + 0.5 * (to - from);
        const double d_middle = d.at(segment, middle).value;
        find_crossings_between(d, segment, from, middle, d_from, d_middle, resolution, found);
        find_crossings_between(d, segment, middle, to, d_middle, d_to, resolution, found);
        return;
    }
    // Half-open: a root at `to` belongs to the next piece.
    if (d_from == 0.0) {
        const double slope = d.at(segment, from).slope;
        found.push_back({from, segment, one_way ? slope : 0.0});
    } else if (d_from * d_to < 0.0) {
        const auto f = [&](double x) {
            const ValueAndSlope p = d.at(segment, x);
            return std::pair(p.value, p.slope);
        };
        const Root root = bracketed_root(f, from, to, d_from, d_to, from + (to - from) * d_from / (d_from - d_to), 0.0);
        found.push_back({root.location, segment, d.at(segment, root.location).slope});
    } else if (!one_way && d_to != 0.0) {
        found.push_back({from + 0.5 * (to - from), segment, 0.0});   // within rounding of zero: the curves touch
    }
}

/// Every crossing, in rising order of the table's variable; curves that touch count once, with slope zero.
template <class Difference>
std::vector<CrossingLocation> find_crossings(const Difference& d, double& d_first, double& d_last) {
    const auto knots = d.table.knots();
    const double resolution = 1e-10 * (knots.back() - knots.front());
    std::vector<CrossingLocation> found;
    d_first = d.at_knot(0);
    double d_from = d_first;
    for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
        const double d_to = d.at_knot(i + 1);
        find_crossings_between(d, i, knots[i], knots[i + 1], d_from, d_to, resolution, found);
        d_from = d_to;
    }
    d_last = d_from;
    if (d_last == 0.0) {
        const std::size_t segment = knots.size() - 2;
        found.push_back({knots.back(), segment, d.at(segment, knots.back()).slope});
    }
    std::vector<CrossingLocation> merged;
    for (const CrossingLocation& c : found) {
        if (!merged.empty() && c.x - merged.back().x <= 8.0 * resolution && (c.slope == 0.0 || merged.back().slope == 0.0)) {
            merged.back().slope = 0.0;
        } else {
            merged.push_back(c);
        }
    }
    return merged;
}

/// Whether the system's pressure drop never falls with flow, whatever the air: only fittings can make it fall.
inline bool never_falls(const SystemCurve& system) {
    for (const DuctSegment& duct : system.ducts) {
        if (duct.loss_coefficient < 0.0) return false;
    }
    return true;
}

/// The only crossing of a difference that strictly falls (direction -1) or rises (+1), without allocation.
struct OnlyCrossing {
    bool found;
    bool beyond_last;   // not found: the difference has not changed sign at the table's end
    double x;
};
template <class Difference>
OnlyCrossing only_crossing(const Difference& d, double direction) {
    const auto knots = d.table.knots();
    std::size_t low = 0;
    std::size_t high = knots.size() - 1;
    double d_low = direction * d.at_knot(low);
    double d_high = direction * d.at_knot(high);
    if (d_low > 0.0) return {false, false, 0.0};
    if (d_high < 0.0) return {false, true, 0.0};
    if (d_low == 0.0) return {true, false, knots[low]};
    while (high - low > 1) {
        const std::size_t middle = (low + high) / 2;
        const double d_middle = direction * d.at_knot(middle);
        (d_middle < 0.0 ? low : high) = middle;
        (d_middle < 0.0 ? d_low : d_high) = d_middle;
    }
    const double guess = knots[low] + (knots[high] - knots[low]) * d_low / (d_low - d_high);
    const auto f = [&](double x) {
        const ValueAndSlope p = d.at(low, x);
        return std::pair(direction * p.value, direction * p.slope);
    };
    return {true, false, bracketed_root(f, knots[low], knots[high], d_low, d_high, guess, 0.0).location};
}

}   // namespace filterflow::detail
