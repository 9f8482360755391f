// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fan beyond its table, and never without saying so: the curve is continued along its tangent, and the result carries
// how far outside the table it lies. Everything else in this room stays inside the table.

#include <optional>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// Pressure and power of a fan at a flow that may lie outside its table.
struct FlaggedFanPoint {
    FanPoint point{};      ///< flow, pressure and, if the table has it, power
    RangeStatus table{};   ///< the flow beside the table's range; inside(): nothing is extrapolated

    template <Deferred...>
    bool extrapolated() const { return !table.inside(); }
};

/// A fan's pressure and power at any flow, flagged where it lies outside the table.
///
/// Equation: inside the table as fan_pressure and fan_power; outside p = p_e + p_e' (Q - Q_e), P alike
/// Symbols:  Q volume flow [m3/s], p pressure [Pa], P power [W], e the nearer end of the table, ' slope by flow there
/// Validity: the table; beyond it the tangent is a guess that is worse the farther it goes: a fan may stall below its
///           table and its motor overload above it
/// @param  fan  fan at fixed speed
/// @param  flow  volume flow at the fan [m3/s], >= 0
/// @param  air  air at the fan
/// @return pressure, power and the flag
/// @throws DomainError if the flow is negative, the air's density is not > 0, or the continued pressure is negative or
///         the continued power not > 0: there the tangent says nothing
/// @source own; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline FlaggedFanPoint flagged_fan_point(const FanCurve& fan, VolumeFlow flow, const AirState& air) {
    constexpr auto where = "flagged_fan_point";
    const double q = detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    const double ratio = detail::fan_density_ratio(fan.stated_air(), air);
    const double lowest = fan.least_flow().value(), highest = fan.greatest_flow().value();
    const double end = q < lowest ? lowest : q > highest ? highest : q;
    const auto continued = [&](const MonotoneCubic& curve) {
        return ratio * (curve.value(end) + (q == end ? 0.0 : curve.slope(end) * (q - end)));
    };
    FlaggedFanPoint result{
        {flow, Pressure::from_value(detail::require_non_negative(where, "continued pressure",
                                                                 continued(fan.pressure_curve()), "Pa")), std::nullopt},
        range_status({.quantity = "flow", .unit = "m3/s", .value = q, .least = lowest, .greatest = highest})};
    if (fan.power_curve()) {
        result.point.power = Power::from_value(
            detail::require_positive(where, "continued power", continued(*fan.power_curve()), "W"));
    }
    return result;
}

}   // namespace filterflow
