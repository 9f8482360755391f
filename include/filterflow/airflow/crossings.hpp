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
#include <filterflow/airflow/system_bounds.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow::detail {

// ---- Fan minus system, on the pressure scale of the fan's table: `scale` is the table's pressure over that in the air
// ---- at hand. One segment of the table at a time.

/// At fixed speed: p0(Q) - scale p_sys(Q) over the flow Q.
struct FlowDifference {
    const MonotoneCubic& table;
    const SystemCurve& system;
    const AirState& air;
    double scale;

    template <Deferred...>
    ValueAndSlope at(std::size_t segment, double x) const {
        const double t = x - table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const ValueAndSlope s = system_with_slope(system, x, air);
        return {cubic_value(c, t) - scale * s.value, cubic_slope(c, t) - scale * s.slope};
    }
    template <Deferred...>
    double at_knot(std::size_t i) const {
        return table.values()[i] - scale * system_pressure_drop(system, table.knots()[i], air);
    }
    template <Deferred...>
    ValueAndSlopeBounds bounds(std::size_t segment, double from, double to) const {
        const double x = table.knots()[segment];
        const ValueAndSlopeBounds f = cubic_bounds(table.segments()[segment], from - x, to - x);
        const ValueAndSlopeBounds s = system_bounds(system, from, to, air);
        return {f.value + scaled(s.value, -scale), f.slope + scaled(s.slope, -scale)};
    }
    template <Deferred...>
    double magnitude() const { return std::abs(table.values().front()) + std::abs(table.values().back()); }
};

/// Holding its flow: p - scale p_sys(Q0(p)) over the table's pressure p.
struct PressureDifference {
    const MonotoneCubic& table;
    const SystemCurve& system;
    const AirState& air;
    double scale;

    template <Deferred...>
    ValueAndSlope at(std::size_t segment, double x) const {
        const double t = x - table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const ValueAndSlope s = system_with_slope(system, cubic_value(c, t), air);
        return {x - scale * s.value, 1.0 - scale * s.slope * cubic_slope(c, t)};
    }
    template <Deferred...>
    double at_knot(std::size_t i) const {
        return table.knots()[i] - scale * system_pressure_drop(system, table.values()[i], air);
    }
    template <Deferred...>
    ValueAndSlopeBounds bounds(std::size_t segment, double from, double to) const {
        const double x = table.knots()[segment];
        const CubicSegment& c = table.segments()[segment];
        const Bounds flow = hull(cubic_value(c, from - x), cubic_value(c, to - x));   // monotone
        const ValueAndSlopeBounds s =
            system_bounds(system, flow.low > 0.0 ? flow.low : 0.0, flow.high > 0.0 ? flow.high : 0.0, air);
        return {Bounds{from, to} + scaled(s.value, -scale),
                Bounds{1.0, 1.0} + scaled(times(s.slope, cubic_bounds(c, from - x, to - x).slope), -scale)};
    }
    template <Deferred...>
    double magnitude() const { return table.knots().back(); }
};

/// A root of the difference.
struct CrossingLocation {
    double x;
    std::size_t segment;
    double slope;    // of the difference; zero where the curves only touch
};

template <class Difference>
void find_crossings_between(const Difference& d, std::size_t segment, double from, double to, double d_from,
                            double d_to, double resolution, std::vector<CrossingLocation>& found) {
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
        if (!merged.empty() && c.x - merged.back().x <= 8.0 * resolution &&
            (c.slope == 0.0 || merged.back().slope == 0.0)) {
            merged.back().slope = 0.0;
        } else {
            merged.push_back(c);
        }
    }
    return merged;
}

/// Whether the system's pressure drop never falls with flow, whatever the air: only fittings can make it fall.
template <Deferred...>
inline bool never_falls(const SystemCurve& system) {
    for (const DuctSegment& duct : system.ducts) {
        if (duct.loss_coefficient < 0.0) return false;
    }
    return true;
}

/// The only crossing of a difference that strictly falls (direction -1) or rises (+1), without allocation; from a row of
/// the table on, before which it has not changed sign.
struct OnlyCrossing {
    bool found;
    bool beyond_last;   // not found: the difference has not changed sign at the table's end
    double x;
};
template <class Difference>
OnlyCrossing only_crossing(const Difference& d, double direction, std::size_t first = 0) {
    const auto knots = d.table.knots();
    std::size_t low = first;
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

/// The same from near by: from a segment that is likely, and with a guess.
struct NearCrossing {
    bool found;
    bool beyond_last;
    double x;
    std::size_t segment;
};
template <class Difference>
NearCrossing crossing_near(const Difference& d, double direction, std::size_t segment, double guess) {
    const auto knots = d.table.knots();
    double d_low = direction * d.at_knot(segment), d_high = direction * d.at_knot(segment + 1);
    while (d_low > 0.0 && segment > 0) {
        --segment;
        d_high = d_low;
        d_low = direction * d.at_knot(segment);
    }
    while (d_high < 0.0 && segment + 2 < knots.size()) {
        ++segment;
        d_low = d_high;
        d_high = direction * d.at_knot(segment + 1);
    }
    if (d_low > 0.0 || d_high < 0.0) return {false, d_high < 0.0, 0.0, segment};
    const double low = knots[segment], high = knots[segment + 1];
    if (!(guess > low && guess < high)) guess = d_low < d_high ? low + (high - low) * d_low / (d_low - d_high) : low;
    const auto f = [&](double x) {
        const ValueAndSlope p = d.at(segment, x);
        return std::pair(direction * p.value, direction * p.slope);
    };
    return {true, false, bracketed_root(f, low, high, d_low, d_high, guess, 0.0).location, segment};
}

}   // namespace filterflow::detail
