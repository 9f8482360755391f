// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans in parallel as one fan: the curve of the part on which every fan works where its pressure falls with flow, up to
// the end of its table. It serves wherever a single fan does (filter lives, networks, studies).

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fans_in_parallel.hpp>
#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

namespace detail {

/// A point of the curve, with slopes by the total flow.
struct ParallelPoint {
    double pressure, flow, slope, power, power_slope;
};

template <Deferred...>
inline ParallelPoint parallel_point(const FansInParallel& parallel, std::size_t branch, double pressure) {
    const auto stretches = parallel.stretches(branch);
    ParallelPoint point{pressure, 0.0, 0.0, 0.0, 0.0};
    std::vector<double> weight, power_slope;   // share of a change of flow: 1/|p_i'|
    double total = 0.0, level = 0.0;
    for (std::size_t k = 0; k < stretches.size(); ++k) {
        const MonotoneCubic& curve = parallel.pressure_curves()[k];
        const StretchPlace at = place_on(curve, stretches[k], pressure);
        const CubicSegment& c = curve.segments()[at.segment];
        const double q = curve.knots()[at.segment] + at.argument;
        const double slope = std::abs(cubic_slope(c, at.argument));
        point.flow += q;
        if (slope > 0.0) {
            weight.push_back(1.0 / slope);
        } else {
            // At a peak the flow goes with the root of the pressure left, over the root of the bend.
            const double bend = std::abs(c.c2 + 3.0 * c.c3 * at.argument);
            weight.push_back(-1.0 / std::sqrt(bend > 0.0 ? bend : 1.0));
            level -= weight.back();
        }
        total += slope > 0.0 ? weight.back() : 0.0;
        const FanCurve& fan = parallel.fans()[k];
        const bool has_power = fan.power_curve().has_value();
        const double factor = parallel.stated_air().density.value() / fan.stated_air().density.value();
        point.power += has_power ? factor * fan.power_curve()->value(std::min(q, curve.highest())) : 0.0;
        power_slope.push_back(has_power ? factor * fan.power_curve()->slope(std::min(q, curve.highest())) : 0.0);
    }
    point.slope = level > 0.0 ? 0.0 : -1.0 / total;
    for (std::size_t k = 0; k < weight.size(); ++k) {
        const double share = level > 0.0 ? (weight[k] < 0.0 ? -weight[k] / level : 0.0) : weight[k] / total;
        point.power_slope += share * power_slope[k];
    }
    return point;
}

/// Cubics between two points, halved until the point between them lies on its cubic and none turns.
template <Deferred...>
inline void refine_parallel_curve(const FansInParallel& parallel, std::size_t branch, const ParallelPoint& a,
                                  const ParallelPoint& b, double tolerance, int depth,
                                  std::vector<ParallelPoint>& points) {
    const double width = b.flow - a.flow;
    const CubicSegment c = hermite_segment(a.pressure, a.slope, b.pressure, b.slope, width);
    double half_way = cubic_value(c, 0.5 * width);   // near a peak, half the pressure is far from half the flow
    if (!(half_way < a.pressure && half_way > b.pressure)) half_way = 0.5 * (a.pressure + b.pressure);
    const ParallelPoint middle = parallel_point(parallel, branch, half_way);
    const double secant = (b.pressure - a.pressure) / width;
    const bool falls = a.slope >= 3.0 * secant && b.slope >= 3.0 * secant;   // Fritsch and Carlson's square
    const double error = std::abs(cubic_value(c, middle.flow - a.flow) - middle.pressure);
    if (depth == 0 || (falls && error <= tolerance)) {
        points.push_back(b);
        return;
    }
    refine_parallel_curve(parallel, branch, a, middle, tolerance, depth - 1, points);
    refine_parallel_curve(parallel, branch, middle, b, tolerance, depth - 1, points);
}

}   // namespace detail

/// Fans in parallel as one fan: pressure over the total flow where every fan works on the last, falling part of its
/// curve, which is the ordinary way to run. The other combinations are left out: parallel_operation has them.
///
/// Equation: Q = sum Q_i(p); dp/dQ = 1 / sum (1/p_i'); P = sum P_i(Q_i)
/// Symbols:  Q flows, p pressure, ' slope by flow, P power
/// Validity: from the lowest peak of the fans' last parts down to the highest of their tables' ends. Cubics between
///           points, refined until the pressure halfway is met within 1e-10 of the greatest
/// @param  parallel  fans in parallel
/// @return the curve, stated for the air of the first fan; power if all have it
/// @throws NoSolution if there is no pressure that all fans have on such a part
/// @source definition of a parallel connection; test: airflow/fans_in_parallel_test.cpp
template <Deferred...>
inline FanCurve parallel_fan_curve(const FansInParallel& parallel) {
    for (std::size_t b = 0; b < parallel.branches().size(); ++b) {
        const auto stretches = parallel.stretches(b);
        if (!std::all_of(stretches.begin(), stretches.end(), [](const auto& s) { return s.ends_table && !s.rises; })) {
            continue;
        }
        const double lowest = parallel.branches()[b].least.value(), highest = parallel.branches()[b].greatest.value();
        std::vector<double> pressures{lowest, highest};
        for (std::size_t k = 0; k < stretches.size(); ++k) {
            for (std::size_t i = stretches[k].first; i <= stretches[k].last + 1; ++i) {
                const double y = parallel.pressure_curves()[k].values()[i];
                if (y > lowest * (1.0 + 1e-12) && y < highest * (1.0 - 1e-12)) pressures.push_back(y);
            }
        }
        std::sort(pressures.begin(), pressures.end(), [](double x, double y) { return x > y; });
        std::vector<detail::ParallelPoint> points{detail::parallel_point(parallel, b, highest)};
        for (std::size_t i = 1; i < pressures.size(); ++i) {
            const detail::ParallelPoint next = detail::parallel_point(parallel, b, pressures[i]);
            if (!(next.flow > points.back().flow)) continue;
            detail::refine_parallel_curve(parallel, b, detail::ParallelPoint(points.back()), next, 1e-10 * highest, 16,
                                          points);
        }
        std::vector<double> knots;
        std::vector<CubicSegment> pressure, power;
        for (std::size_t i = 0; i < points.size(); ++i) {
            knots.push_back(points[i].flow);
            if (i == 0) continue;
            const detail::ParallelPoint &a = points[i - 1], &c = points[i];
            pressure.push_back(detail::hermite_segment(a.pressure, a.slope, c.pressure, c.slope, c.flow - a.flow));
            power.push_back(detail::hermite_segment(a.power, a.power_slope, c.power, c.power_slope, c.flow - a.flow));
        }
        std::optional<MonotoneCubic> power_curve;
        if (parallel.has_power()) power_curve = MonotoneCubic::of_segments(knots, std::move(power));
        return detail::assembled_fan_curve(
            {parallel.kind(), parallel.fans().front().power_kind(), parallel.stated_air(), std::nullopt,
             MonotoneCubic::of_segments(std::move(knots), std::move(pressure)), std::move(power_curve)});
    }
    throw NoSolution(
        "parallel_fan_curve: at no pressure do all fans work on the falling part at the end of their tables "
        "(proved: the pressures of those parts do not overlap)");
}

}   // namespace filterflow
