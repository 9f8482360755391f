// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans that hold their flow, side by side or one behind the other, as one fan that holds its flow. Their flows are
// stored over pressure, so those of parallel ones add exactly; in series the drive of the least flow decides.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/holding_series.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

namespace detail {

/// Fans that work together state the same kinds, hold the same quantity and are stated for the same density.
template <Deferred...>
inline void check_holding_fans(std::span<const FlowHoldingFan> fans, const char* where) {
    if (fans.empty()) throw_domain_error(where, "number of fans", 0.0, "", "at least 1");
    const double density = fans[0].stated_air().density.value();
    for (std::size_t i = 1; i < fans.size(); ++i) {
        const std::string fan = "fan " + std::to_string(i + 1);
        const auto refuse = [&](const char* what, const char* required) {
            throw DomainError(std::string(where) + ": " + fan + what + " than fan 1; required: " + required);
        };
        if (fans[i].kind() != fans[0].kind()) {
            refuse(" states another kind of pressure", "the same kind, which fan_table_of_kind converts to");
        }
        if (fans[i].power_curve() && fans[0].power_curve() && fans[i].power_kind() != fans[0].power_kind()) {
            refuse(" states another kind of power", "the same kind");
        }
        if (fans[i].holds() != fans[0].holds()) refuse(" holds another flow", "all volume flow or all mass flow");
        const double other = fans[i].stated_air().density.value();
        if (!(std::abs(other - density) <= 1e-9 * density)) {
            throw_domain_error(
                where, "stated density of " + fan, other, "kg/m3",
                "that of fan 1, " + number_text(density) + " kg/m3, which fan_table_in restates a table for");
        }
    }
}

template <Deferred...>
inline bool all_have_power(std::span<const FlowHoldingFan> fans) {
    return std::all_of(fans.begin(), fans.end(),
                       [](const FlowHoldingFan& fan) { return fan.power_curve().has_value(); });
}

template <Deferred...>
inline FlowHoldingFanParts parts_like(const FlowHoldingFan& fan) {
    FlowHoldingFanParts parts;
    parts.kind = fan.kind();
    parts.power_kind = fan.power_kind();
    parts.holds = fan.holds();
    parts.stated_air = fan.stated_air();
    return parts;
}

}   // namespace detail

/// Flow-holding fans in parallel as one: their flows add at equal pressure, and so do their powers.
///
/// Equation: Q(p) = sum Q_i(p), P(p) = sum P_i(p)
/// Symbols:  Q volume flows, p pressure, P powers
/// Validity: the pressures that all tables have. The sum is held until the first drive gives up; where a weaker fan's
///           table ends, so does the sum's: air pushed back through it is in no table
/// @param  fans  in any order, stated for the same density; shape (n), n >= 1
/// @return the fan, exact between the rows too; power if all have it
/// @throws DomainError if there is no fan, the fans differ in kinds of pressure or power, in what they hold or in
///         density, or at no pressure of all tables all of them hold
/// @source definition of a parallel connection; test: airflow/flow_holding_fans_together_test.cpp
template <Deferred...>
inline FlowHoldingFan flow_holding_fans_in_parallel(std::span<const FlowHoldingFan> fans) {
    constexpr auto where = "flow_holding_fans_in_parallel";
    detail::check_holding_fans(fans, where);
    detail::FlowHoldingFanParts sum = detail::parts_like(fans[0]);
    double lowest = 0.0, highest = fans[0].greatest_pressure().value();
    sum.give_up_pressure = fans[0].give_up_pressure().value();
    std::vector<double> knots;
    std::vector<const MonotoneCubic*> flows, powers;
    for (const FlowHoldingFan& fan : fans) {
        lowest = std::max(lowest, fan.least_pressure().value());
        highest = std::min(highest, fan.greatest_pressure().value());
        sum.held_flow += fan.held_flow().value();
        sum.held_flow_spread += fan.held_flow_spread().value();
        sum.give_up_pressure = std::min(sum.give_up_pressure, fan.give_up_pressure().value());
        knots.insert(knots.end(), fan.flow_curve().knots().begin(), fan.flow_curve().knots().end());
        flows.push_back(&fan.flow_curve());
        if (fan.power_curve()) powers.push_back(&*fan.power_curve());
    }
    if (!(lowest < highest && lowest < sum.give_up_pressure)) {
        detail::throw_domain_error(where, "least pressure of all tables", lowest, "Pa",
                                   "below where the first drive gives up and where the first table ends, " +
                                       detail::number_text(std::min(sum.give_up_pressure, highest)) + " Pa");
    }
    sum.limit_is_known = sum.give_up_pressure < highest;
    std::sort(knots.begin(), knots.end());
    std::vector<double> grid{lowest};
    for (const double x : knots) {
        if (x > grid.back() + 1e-9 * highest && x < highest - 1e-9 * highest) grid.push_back(x);
    }
    grid.push_back(highest);
    const std::vector<double> factors(fans.size(), 1.0);
    if (detail::all_have_power(fans)) {
        sum.power = MonotoneCubic::of_segments(grid, detail::summed_segments(powers, factors, grid));
    }
    std::vector<CubicSegment> flow = detail::summed_segments(flows, factors, grid);
    sum.flow = MonotoneCubic::of_segments(std::move(grid), std::move(flow));
    return detail::assembled_flow_holding_fan(std::move(sum));
}

/// Flow-holding fans in series as one: the same flow goes through all, their pressures add. The drive of the least flow
/// holds it; the others run at their limits, however little pressure is needed.
///
/// Equation: p(Q) = sum p_i(Q), P = sum P_i(p_i); while the least flow is held, p_1 is what the others leave
/// Symbols:  p pressures, P powers, Q volume flow, 1 the fan of the least held flow
/// Validity: total pressures, or static rises across whole cabinets. Drives that hold the same flow (within 1e-9) share
///           the pressure in no determined way: their powers are then open, and the result has none. Cubics between
///           points, refined until flow and power halfway are met within 1e-10
/// @param  fans  in any order, stated for the same density; shape (n), n >= 1
/// @return the fan; power if all have it and it is determined
/// @throws DomainError as flow_holding_fans_in_parallel, or if the pressure is the fan static one or of a kind not
///         stated, or a stronger fan's table does not reach down to the flow that is held
/// @source definition of a series connection; test: airflow/flow_holding_fans_together_test.cpp
template <Deferred...>
inline FlowHoldingFan flow_holding_fans_in_series(std::span<const FlowHoldingFan> fans) {
    constexpr auto where = "flow_holding_fans_in_series";
    detail::check_holding_fans(fans, where);
    detail::check_kind_in_series(fans[0].kind(), where);
    const detail::HoldingSeries series(fans, where);
    const FlowHoldingFan& lead = series.lead();
    std::vector<detail::SeriesPoint> points;
    const double first = lead.least_pressure().value(), give_up = lead.give_up_pressure().value();
    if (series.powers_are_open()) {
        points.push_back(series.held_point(first, 0.0));
    } else {
        for (const double p : lead.flow_curve().knots()) {
            if (p < give_up) points.push_back(series.held_point(p, 0.0));
        }
    }
    points.push_back(series.held_point(give_up, 1.0));
    detail::FlowHoldingFanParts sum = detail::parts_like(lead);
    sum.held_flow = lead.held_flow().value();
    sum.held_flow_spread = lead.held_flow_spread().value();
    sum.give_up_pressure = points.back().pressure;
    sum.limit_is_known = series.limit_is_known();
    if (sum.limit_is_known) {
        const std::vector<double> rows = series.falling_rows();
        for (std::size_t i = 1; i < rows.size(); ++i) {
            const detail::SeriesPoint before = points.back();
            detail::refine_series(series, before, series.falling_point(rows[i]), 16, points);
        }
    }
    if (points.size() < 2) {
        throw DomainError(std::string(where) + ": the flow is held in a single row of fan tables only; required: two");
    }
    std::vector<double> knots;
    std::vector<CubicSegment> flow, power;
    for (std::size_t i = 0; i < points.size(); ++i) {
        knots.push_back(points[i].pressure);
        if (i == 0) continue;
        const detail::SeriesPoint &a = points[i - 1], &b = points[i];
        const double width = b.pressure - a.pressure;
        flow.push_back(detail::hermite_segment(a.flow, a.flow_slope, b.flow, b.flow_slope, width));
        power.push_back(detail::hermite_segment(a.power, a.power_slope, b.power, b.power_slope, width));
    }
    if (detail::all_have_power(fans) && !series.powers_are_open()) {
        sum.power = MonotoneCubic::of_segments(knots, std::move(power));
    }
    sum.flow = MonotoneCubic::of_segments(std::move(knots), std::move(flow));
    return detail::assembled_flow_holding_fan(std::move(sum));
}

}   // namespace filterflow
