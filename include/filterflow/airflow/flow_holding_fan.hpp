// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fan whose speed drive holds the volume flow (not the mass flow) against rising pressure, up to the pressure
// where the drive is at its limit and gives up; from there on the flow falls. Flow and power are stored over
// pressure, since flow says nothing about pressure while it is held.

#include <concepts>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

class FlowHoldingFan;
FlowHoldingFan flow_holding_fan(const FanTable& table, double holding_tolerance);

/// A fan whose drive holds the volume flow up to a pressure. Made by flow_holding_fan.
class FlowHoldingFan {
public:
    FanPressureKind kind() const { return kind_; }
    const AirState& stated_air() const { return stated_air_; }
    const MonotoneCubic& flow_curve() const { return flow_; }                     ///< m3/s over Pa, stated air
    const std::optional<MonotoneCubic>& power_curve() const { return power_; }    ///< W over Pa, stated air
    VolumeFlow held_flow() const { return VolumeFlow::from_value(held_flow_); }   ///< mean of the rows that hold
    VolumeFlow held_flow_spread() const { return VolumeFlow::from_value(held_flow_spread_); }   ///< their range
    Pressure give_up_pressure() const { return Pressure::from_value(give_up_pressure_); }   ///< last row that holds,
                                                                                            ///< in the stated air
    bool limit_is_known() const { return limit_is_known_; }   ///< false: every row holds, the limit lies beyond
    Pressure least_pressure() const { return Pressure::from_value(flow_.lowest()); }        ///< first row
    Pressure greatest_pressure() const { return Pressure::from_value(flow_.highest()); }    ///< last row

private:
    friend FlowHoldingFan flow_holding_fan(const FanTable& table, double holding_tolerance);
    FlowHoldingFan() = default;

    FanPressureKind kind_{};
    AirState stated_air_{};
    MonotoneCubic flow_;
    std::optional<MonotoneCubic> power_;
    double held_flow_ = 0.0;
    double held_flow_spread_ = 0.0;
    double give_up_pressure_ = 0.0;
    bool limit_is_known_ = false;
};

/// Either kind of fan, where a system may have one or the other.
using Fan = std::variant<FanCurve, FlowHoldingFan>;

/// The types that functions on "any fan" take.
template <class F>
concept AnyFan = std::same_as<F, FanCurve> || std::same_as<F, FlowHoldingFan> || std::same_as<F, Fan>;

/// A flow-holding fan from the rows of its table.
///
/// Equation: the rows of lowest pressure whose flows lie within the tolerance of one another hold the flow, at
///           their mean; from the last of them on, a monotone cubic of flow over pressure falls through the rest
/// Symbols:  as MonotoneCubic
/// Validity: the drive holds volume flow; at least two rows
/// @param  table  rows in any order
/// @param  holding_tolerance  greatest range of flow over its maximum that counts as held, 0 to 0.2
/// @return the fan, with its held flow and the pressure where it gives up
/// @throws DomainError if a number is negative or not finite, a pressure appears twice, power is given in some rows
///         only, a flow is zero while held, or beyond the held rows the flow rises again with pressure
/// @source definition of the control (volume flow held up to a limit); test: airflow/flow_holding_fan_test.cpp
inline FlowHoldingFan flow_holding_fan(const FanTable& table, double holding_tolerance = 0.01) {
    constexpr auto where = "flow_holding_fan";
    detail::require_between(where, "holding_tolerance", holding_tolerance, 0.0, 0.2, "-");
    const auto sorted = detail::checked_fan_points(table, true, where);
    double least = sorted.front().flow;
    double greatest = sorted.front().flow;
    double sum = 0.0;
    std::size_t held = 0;
    for (; held < sorted.size(); ++held) {
        const double low = sorted[held].flow < least ? sorted[held].flow : least;
        const double high = sorted[held].flow > greatest ? sorted[held].flow : greatest;
        if (high - low > holding_tolerance * high) break;
        least = low;
        greatest = high;
        sum += sorted[held].flow;
    }
    FlowHoldingFan fan;
    fan.kind_ = table.kind;
    fan.stated_air_ = table.stated_air;
    fan.held_flow_ = sum / static_cast<double>(held);
    detail::require_positive(where, "held flow", fan.held_flow_, "m3/s");
    fan.held_flow_spread_ = greatest - least;
    fan.give_up_pressure_ = sorted[held - 1].pressure;
    fan.limit_is_known_ = held < sorted.size();
    std::vector<double> pressure, flow, power;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const double q = i < held ? fan.held_flow_ : sorted[i].flow;
        if (i >= held && !(q < flow.back())) {
            throw DomainError(std::string(where) + ": the flow of " + detail::text_of(sorted[i]) +
                              " is not below that of " + detail::text_of(sorted[i - 1]) +
                              "; required: once the drive gives up, a flow that falls as pressure rises");
        }
        pressure.push_back(sorted[i].pressure);
        flow.push_back(q);
        power.push_back(sorted[i].power);
    }
    if (table.points.front().power) fan.power_ = MonotoneCubic(pressure, std::move(power));
    fan.flow_ = MonotoneCubic(std::move(pressure), std::move(flow));
    return fan;
}

namespace detail {

/// The pressure at which a flow-holding fan's table is read: at the same flow and another density the same point
/// of rating is met at the pressure in proportion to density.
template <class T>
T holding_fan_table_pressure(const FlowHoldingFan& fan, const BasicPressure<T>& pressure,
                             const BasicAirState<T>& air, const char* where) {
    require_positive(where, "air density", air.density.value(), "kg/m3");
    const T ratio = fan_density_ratio(fan.stated_air(), air);
    const double k = plain_value(ratio);
    const double p = plain_value(pressure.value());
    const double lowest = fan.flow_curve().lowest();
    const double highest = fan.flow_curve().highest();
    if (!(p >= k * lowest && p <= k * highest)) {
        throw_domain_error(where, "pressure", p, "Pa",
                           "from " + number_text(k * lowest) + " to " + number_text(k * highest) +
                               " Pa (the table's pressures at this density)");
    }
    const T at = pressure.value() / ratio;   // may leave the table by rounding alone
    return plain_value(at) < lowest ? T(lowest) : plain_value(at) > highest ? T(highest) : at;
}

}   // namespace detail

/// Volume flow of a flow-holding fan against a pressure.
///
/// Equation: Q = Q0(p rho0 / rho)
/// Symbols:  Q volume flow [m3/s], p pressure [Pa], rho density [kg/m3], 0 the table's air
/// Validity: pressures of the table times rho / rho0; no extrapolation (throws). The pressure of giving up is taken
///           to follow density, as the fan laws have it at the drive's greatest speed; a drive limited by torque or
///           power may give up elsewhere
/// @param  fan  flow-holding fan
/// @param  pressure  pressure of the table's kind [Pa]
/// @param  air  air at the fan
/// @return volume flow [m3/s]
/// @throws DomainError if the pressure lies outside the table or the air's density is not > 0
/// @source fan laws at constant flow; test: airflow/flow_holding_fan_test.cpp
template <class T>
BasicVolumeFlow<T> fan_flow(const FlowHoldingFan& fan, BasicPressure<T> pressure, const BasicAirState<T>& air) {
    const T at = detail::holding_fan_table_pressure(fan, pressure, air, "fan_flow(FlowHoldingFan)");
    return BasicVolumeFlow<T>::from_value(T(fan.flow_curve().value(at)));
}
inline VolumeFlow fan_flow(const FlowHoldingFan& fan, Pressure pressure, const AirState& air) {
    return fan_flow<double>(fan, pressure, air);
}

/// Power of a flow-holding fan against a pressure, as its table states it.
///
/// Equation: P = (rho / rho0) P0(p rho0 / rho)
/// Symbols:  P power [W], otherwise as fan_flow
/// Validity: as fan_flow
/// @param  fan  flow-holding fan
/// @param  pressure  pressure of the table's kind [Pa]
/// @param  air  air at the fan
/// @return power [W]; empty if the table has none
/// @throws DomainError as fan_flow
/// @source as fan_flow; test: airflow/flow_holding_fan_test.cpp
template <class T>
std::optional<BasicPower<T>> fan_power(const FlowHoldingFan& fan, BasicPressure<T> pressure,
                                       const BasicAirState<T>& air) {
    const T at = detail::holding_fan_table_pressure(fan, pressure, air, "fan_power(FlowHoldingFan)");
    if (!fan.power_curve()) return std::nullopt;
    return BasicPower<T>::from_value(detail::fan_density_ratio(fan.stated_air(), air) *
                                     T(fan.power_curve()->value(at)));
}
inline std::optional<Power> fan_power(const FlowHoldingFan& fan, Pressure pressure, const AirState& air) {
    return fan_power<double>(fan, pressure, air);
}

}   // namespace filterflow
