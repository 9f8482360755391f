// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans one behind the other: the same flow goes through each, their pressures add. The sum of piecewise cubics is a
// piecewise cubic again, so the result is a fan curve like any other, exact between the rows too.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

namespace detail {

/// The cubic counted from a point further along, times a factor.
template <Deferred...>
inline CubicSegment shifted_cubic(const CubicSegment& c, double by, double factor) {
    return {factor * cubic_value(c, by), factor * cubic_slope(c, by), factor * (c.c2 + 3.0 * c.c3 * by), factor * c.c3};
}

/// The cubic with these values and slopes at its ends.
inline CubicSegment hermite_segment(double y0, double slope0, double y1, double slope1, double width) {
    const double secant = (y1 - y0) / width;
    return {y0, slope0, (3.0 * secant - 2.0 * slope0 - slope1) / width,
            (slope0 + slope1 - 2.0 * secant) / (width * width)};
}

/// Where a cubic turns within (0, width), in rising order.
template <Deferred...>
inline std::vector<double> turning_points(const CubicSegment& c, double width) {
    const double a = 3.0 * c.c3, b = c.c2, slope = c.c1;   // a t^2 + 2 b t + slope
    std::vector<double> found;
    const auto keep = [&](double t) {
        if (t > 1e-12 * width && t < (1.0 - 1e-12) * width) found.push_back(t);
    };
    const double root = b * b - a * slope;
    if (!(root > 0.0)) return found;   // touches zero at most: does not turn
    const double q = -(b + std::copysign(std::sqrt(root), b));
    if (a != 0.0) keep(q / a);
    if (q != 0.0) keep(slope / q);
    std::sort(found.begin(), found.end());
    return found;
}

/// Sum of curves, each times its factor, on the knots given, which hold all of theirs in their range.
template <Deferred...>
inline std::vector<CubicSegment> summed_segments(std::span<const MonotoneCubic* const> curves,
                                                 std::span<const double> factors, std::span<const double> knots) {
    std::vector<CubicSegment> sum(knots.size() - 1);
    for (std::size_t k = 0; k < curves.size(); ++k) {
        for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
            const std::size_t j = curves[k]->segment_of(0.5 * (knots[i] + knots[i + 1]));
            const CubicSegment c =
                shifted_cubic(curves[k]->segments()[j], knots[i] - curves[k]->knots()[j], factors[k]);
            sum[i] = {sum[i].c0 + c.c0, sum[i].c1 + c.c1, sum[i].c2 + c.c2, sum[i].c3 + c.c3};
        }
    }
    return sum;
}

/// What fans that work together must share, and their densities over the first one's.
template <Deferred...>
inline std::vector<double> density_factors(std::span<const FanCurve> fans, const char* where) {
    if (fans.empty()) throw_domain_error(where, "number of fans", 0.0, "", "at least 1");
    std::vector<double> factors;
    for (std::size_t i = 0; i < fans.size(); ++i) {
        const auto refuse = [&](const char* what) {
            throw DomainError(std::string(where) + ": fan " + std::to_string(i + 1) + " states another kind of " +
                              what + " than fan 1; required: the same kind, which fan_table_of_kind converts to");
        };
        if (fans[i].kind() != fans[0].kind()) refuse("pressure");
        if (fans[i].power_curve() && fans[0].power_curve() && fans[i].power_kind() != fans[0].power_kind()) {
            refuse("power");
        }
        factors.push_back(fans[0].stated_air().density.value() / fans[i].stated_air().density.value());
    }
    return factors;
}

/// Fan static pressures do not add: the velocity pressure between two fans would be lost.
template <Deferred...>
inline void check_kind_in_series(FanPressureKind kind, const char* where) {
    if (kind != FanPressureKind::static_pressure && kind != FanPressureKind::not_stated) return;
    throw DomainError(std::string(where) + (kind == FanPressureKind::not_stated
                                                ? ": the tables do not say which pressure they state"
                                                : ": the tables state fan static pressures, which do not add") +
                      "; required: total pressures, or static rises across whole cabinets");
}

template <Deferred...>
inline bool all_have_power(std::span<const FanCurve> fans) {
    return std::all_of(fans.begin(), fans.end(), [](const FanCurve& fan) { return fan.power_curve().has_value(); });
}

}   // namespace detail

/// Fans in series as one fan.
///
/// Equation: p(Q) = sum p_i(Q), P(Q) = sum P_i(Q)
/// Symbols:  p pressures, P powers, Q volume flow, the same through all
/// Validity: the flows that all tables have; total pressures, or static rises across whole cabinets. Fan static
///           pressures do not add (the velocity pressure between two fans would be lost): throws. The density is taken
///           to be the same in all; each works as its table says, although the swirl of one may disturb the next
/// @param  fans  at fixed speed, in any order; shape (n), n >= 1
/// @return the curve, stated for the air of the first; power if all have it; its rising parts are those of the sum
/// @throws DomainError if there is no fan, the kinds of pressure or power differ or the pressure is the fan static one
///         or of a kind not stated, or no flow lies in all tables
/// @source definition of a series connection; test: airflow/fans_in_parallel_test.cpp
template <Deferred...>
inline FanCurve fans_in_series(std::span<const FanCurve> fans) {
    constexpr auto where = "fans_in_series";
    const std::vector<double> factors = detail::density_factors(fans, where);
    detail::check_kind_in_series(fans[0].kind(), where);
    double lowest = 0.0, highest = fans[0].greatest_flow().value();
    std::vector<double> knots;
    for (const FanCurve& fan : fans) {
        lowest = std::max(lowest, fan.least_flow().value());
        highest = std::min(highest, fan.greatest_flow().value());
        for (const double x : fan.pressure_curve().knots()) knots.push_back(x);
    }
    if (!(lowest < highest)) {
        detail::throw_domain_error(where, "least flow of all tables", lowest, "m3/s",
                                   "below the greatest, " + detail::number_text(highest) + " m3/s");
    }
    std::sort(knots.begin(), knots.end());
    std::vector<double> grid{lowest};
    for (const double x : knots) {
        // Knots that differ by rounding alone, as rows typed in different units do, are one.
        if (x > grid.back() + 1e-9 * highest && x < highest - 1e-9 * highest) grid.push_back(x);
    }
    grid.push_back(highest);

    std::vector<const MonotoneCubic*> pressures, powers;
    for (const FanCurve& fan : fans) {
        pressures.push_back(&fan.pressure_curve());
        if (fan.power_curve()) powers.push_back(&*fan.power_curve());
    }
    // A sum of a rising and a falling piece may turn between the rows: it gets a knot there.
    std::vector<double> turns;
    const std::vector<CubicSegment> first = detail::summed_segments(pressures, factors, grid);
    for (std::size_t i = 0; i < first.size(); ++i) {
        for (const double t : detail::turning_points(first[i], grid[i + 1] - grid[i])) turns.push_back(grid[i] + t);
    }
    grid.insert(grid.end(), turns.begin(), turns.end());
    std::sort(grid.begin(), grid.end());

    std::optional<MonotoneCubic> power;
    if (detail::all_have_power(fans)) {
        power = MonotoneCubic::of_segments(grid, detail::summed_segments(powers, factors, grid));
    }
    std::vector<CubicSegment> sum = detail::summed_segments(pressures, factors, grid);
    return detail::assembled_fan_curve({fans[0].kind(), fans[0].power_kind(), fans[0].stated_air(),
                                        fans.size() == 1 ? fans[0].stated_speed() : std::nullopt,
                                        MonotoneCubic::of_segments(std::move(grid), std::move(sum)), std::move(power)});
}

}   // namespace filterflow
