// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fan whose speed drive holds the volume flow, or the mass flow if that is stated, against rising pressure, up to the
// pressure where the drive is at its limit and gives up; from there on the flow falls. Flow and power are stored over
// pressure, since flow says nothing about pressure while it is held.

#include <cmath>
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
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// What a flow-holding drive keeps.
enum class HeldFlow {
    volume,   ///< the same volume flow in any air
    mass      ///< the same mass flow: in thinner air more volume, so the drive gives up earlier
};

class FlowHoldingFan;
namespace detail {

/// What a flow-holding fan is made of. Flow and power have the same knots.
struct FlowHoldingFanParts {
    FanPressureKind kind{};
    FanPowerKind power_kind{};
    HeldFlow holds{};
    AirState stated_air{};
    MonotoneCubic flow;
    std::optional<MonotoneCubic> power;
    double held_flow = 0.0;          // m3/s
    double held_flow_spread = 0.0;   // m3/s
    double give_up_pressure = 0.0;   // Pa
    bool limit_is_known = false;
};

template <Deferred...>
FlowHoldingFan assembled_flow_holding_fan(FlowHoldingFanParts parts);

}   // namespace detail

/// A fan whose drive holds the flow up to a pressure. Made by flow_holding_fan.
class FlowHoldingFan {
public:
    FanPressureKind kind() const { return parts_.kind; }
    FanPowerKind power_kind() const { return parts_.power_kind; }
    HeldFlow holds() const { return parts_.holds; }
    const AirState& stated_air() const { return parts_.stated_air; }
    const MonotoneCubic& flow_curve() const { return parts_.flow; }                     ///< m3/s over Pa, stated air
    const std::optional<MonotoneCubic>& power_curve() const { return parts_.power; }    ///< W over Pa, stated air
    VolumeFlow held_flow() const { return VolumeFlow::from_value(parts_.held_flow); }   ///< mean of the rows that hold
    /// Range of the flows of those rows.
    VolumeFlow held_flow_spread() const { return VolumeFlow::from_value(parts_.held_flow_spread); }
    /// The last row that holds, in the stated air.
    Pressure give_up_pressure() const { return Pressure::from_value(parts_.give_up_pressure); }
    bool limit_is_known() const { return parts_.limit_is_known; }   ///< false: every row holds, the limit lies beyond
    template <Deferred...>
    Pressure least_pressure() const { return Pressure::from_value(parts_.flow.lowest()); }        ///< first row
    template <Deferred...>
    Pressure greatest_pressure() const { return Pressure::from_value(parts_.flow.highest()); }    ///< last row

private:
    friend FlowHoldingFan detail::assembled_flow_holding_fan(detail::FlowHoldingFanParts parts);
    template <Deferred...>
    explicit FlowHoldingFan(detail::FlowHoldingFanParts parts) : parts_(std::move(parts)) {}

    detail::FlowHoldingFanParts parts_;
};

namespace detail {
template <Deferred...>
inline FlowHoldingFan assembled_flow_holding_fan(FlowHoldingFanParts parts) { return FlowHoldingFan(std::move(parts)); }
}   // namespace detail

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
/// Validity: at least two rows. A fan that holds mass flow holds for the table's air alone: what it does in another air
///           depends on its drive's limits (constant_airflow_motor.hpp makes it for any air), so it is refused there
/// @param  table  rows in any order
/// @param  holding_tolerance  greatest range of flow over its maximum that counts as held, 0 to 0.2
/// @param  holds  volume flow or mass flow, as the drive's maker states it
/// @return the fan, with its held flow and the pressure where it gives up
/// @throws DomainError if a number is negative or not finite, a pressure appears twice, power is given in some rows
///         only, a flow is zero while held, or beyond the held rows the flow rises again with pressure
/// @source definition of the control (flow held up to a limit); test: airflow/flow_holding_fan_test.cpp
template <Deferred...>
inline FlowHoldingFan flow_holding_fan(const FanTable& table, double holding_tolerance = 0.01,
                                       HeldFlow holds = HeldFlow::volume) {
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
    detail::require_positive(where, "held flow", sum, "m3/s");
    detail::FlowHoldingFanParts fan{.kind = table.kind,
                                    .power_kind = table.power_kind,
                                    .holds = holds,
                                    .stated_air = table.stated_air,
                                    .flow = {},
                                    .power = {},
                                    .held_flow = sum / static_cast<double>(held),
                                    .held_flow_spread = greatest - least,
                                    .give_up_pressure = sorted[held - 1].pressure,
                                    .limit_is_known = held < sorted.size()};
    std::vector<double> pressure, flow, power;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const double q = i < held ? fan.held_flow : sorted[i].flow;
        if (i >= held && !(q < flow.back())) {
            throw DomainError(std::string(where) + ": the flow of " + detail::text_of(sorted[i]) +
                              " is not below that of " + detail::text_of(sorted[i - 1]) +
                              "; required: once the drive gives up, a flow that falls as pressure rises");
        }
        pressure.push_back(sorted[i].pressure);
        flow.push_back(q);
        power.push_back(sorted[i].power);
    }
    if (table.points.front().power) fan.power = MonotoneCubic(pressure, std::move(power));
    fan.flow = MonotoneCubic(std::move(pressure), std::move(flow));
    return detail::assembled_flow_holding_fan(std::move(fan));
}

namespace detail {

/// The pressure of the table at a flow of its falling part, below the held one.
template <Deferred...>
inline double table_pressure_at(const MonotoneCubic& flow_curve, double flow) {
    std::size_t i = flow_curve.segments().size() - 1;   // the last rows have the least flow
    while (i > 0 && flow_curve.values()[i] < flow) --i;
    const double x = flow_curve.knots()[i], h = flow_curve.knots()[i + 1] - x;
    const double d0 = flow_curve.values()[i] - flow, d1 = flow_curve.values()[i + 1] - flow;
    const CubicSegment& c = flow_curve.segments()[i];
    const auto f = [&](double t) { return std::pair(cubic_value(c, t) - flow, cubic_slope(c, t)); };
    return x + bracketed_root(f, 0.0, h, d0, d1, h * d0 / (d0 - d1), 0.0).location;
}

/// A fan that holds mass flow is evaluated in the air of its table.
template <Deferred...>
inline void check_holding_air(const FlowHoldingFan& fan, double density, const char* where) {
    if (fan.holds() == HeldFlow::volume) return;
    const double stated = fan.stated_air().density.value();
    if (std::abs(density - stated) <= 1e-9 * stated) return;
    throw_domain_error(
        where, "air density", density, "kg/m3",
        number_text(stated) + " kg/m3, for which this fan holds its mass flow (make the fan for this air)");
}

/// Flow, pressure and power over those of the table at the same point of rating, in another density.
template <class T>
struct HoldingRatios {
    T flow, pressure, power;
};
/// While mass is held the speed goes with one over the density; at its limit, or holding volume, it stays.
template <class T>
HoldingRatios<T> holding_ratios(const FlowHoldingFan& fan, const T& density_ratio, double table_pressure) {
    if (fan.holds() == HeldFlow::volume || table_pressure > fan.give_up_pressure().value()) {
        return {T(1), density_ratio, density_ratio};
    }
    return {T(1) / density_ratio, T(1) / density_ratio, T(1) / (density_ratio * density_ratio)};
}

/// The pressure at which a flow-holding fan's table is read: at the same flow and another density the same point
/// of rating is met at the pressure in proportion to density.
template <class T>
T holding_fan_table_pressure(const FlowHoldingFan& fan, const BasicPressure<T>& pressure,
                             const BasicAirState<T>& air, const char* where) {
    require_positive(where, "air density", air.density.value(), "kg/m3");
    check_holding_air(fan, plain_value(air.density.value()), where);
    const double p = plain_value(pressure.value());
    const T ratio = holding_ratios(fan, T(fan_density_ratio(fan.stated_air(), air)), p).pressure;
    const double k = plain_value(ratio);
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
/// Equation: Q = Q0(p rho0 / rho); for a fan that holds mass flow, the table itself
/// Symbols:  Q volume flow [m3/s], p pressure [Pa], rho density [kg/m3], 0 the table's air
/// Validity: pressures of the table times rho / rho0; no extrapolation (throws). The pressure of giving up is taken
///           to follow density, as the fan laws have it at the drive's greatest speed; a drive limited by torque or
///           power may give up elsewhere
/// @param  fan  flow-holding fan
/// @param  pressure  pressure of the table's kind [Pa]
/// @param  air  air at the fan
/// @return volume flow [m3/s]
/// @throws DomainError if the pressure lies outside the table, the air's density is not > 0, or it is not the table's
///         while the fan holds mass flow
/// @source fan laws at constant flow; test: airflow/flow_holding_fan_test.cpp
template <class T>
BasicVolumeFlow<T> fan_flow(const FlowHoldingFan& fan, BasicPressure<T> pressure, const BasicAirState<T>& air) {
    const T at = detail::holding_fan_table_pressure(fan, pressure, air, "fan_flow(FlowHoldingFan)");
    const T ratio = detail::fan_density_ratio(fan.stated_air(), air);
    return BasicVolumeFlow<T>::from_value(detail::holding_ratios(fan, ratio, detail::plain_value(at)).flow *
                                          T(fan.flow_curve().value(at)));
}
template <Deferred...>
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
    const T ratio = detail::fan_density_ratio(fan.stated_air(), air);
    return BasicPower<T>::from_value(detail::holding_ratios(fan, ratio, detail::plain_value(at)).power *
                                     T(fan.power_curve()->value(at)));
}
template <Deferred...>
inline std::optional<Power> fan_power(const FlowHoldingFan& fan, Pressure pressure, const AirState& air) {
    return fan_power<double>(fan, pressure, air);
}

}   // namespace filterflow
