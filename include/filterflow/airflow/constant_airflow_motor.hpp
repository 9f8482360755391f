// SPDX-License-Identifier: BSL-1.0
#pragma once

// A wheel on a motor whose electronics hold the airflow, volume or mass as stated: its speed rises with pressure until
// its greatest speed or power is reached, and there it gives up. Worked out from the wheel's table for the air at hand.

#include <algorithm>
#include <cmath>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/driven_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A motor whose electronics hold the airflow.
struct ConstantAirflowMotor {
    std::variant<VolumeFlow, MassFlow> held{};   ///< what it holds, > 0: volume flow, or mass flow of moist air
    Rate greatest_speed{};                       ///< of the motor, > 0
    Power greatest_power{};                      ///< at the motor's shaft, > 0
    double efficiency = 0.0;                     ///< motor and controller, > 0 to 1, taken as the same throughout
};

/// Why a motor gives up holding its airflow.
enum class AirflowLimit {
    none,    ///< it holds as far as the wheel's table goes
    speed,   ///< it turns no faster
    power    ///< it gives no more
};

/// A fan on a motor that holds its airflow.
struct AirflowHoldingFan {
    FlowHoldingFan fan;                     ///< flow and electric power over pressure, in the air it was worked out in
    AirflowLimit limit;                     ///< what ends the holding
    std::vector<DrivenFanPoint> points;     ///< by rising pressure; at_limit where it no longer holds
};

/// A fan wheel on a motor that holds its airflow.
///
/// Equation: n/n0 = Q/Q0 while that needs neither more than the greatest speed nor more than the greatest power;
///           beyond, n is the greatest speed, or P0 (rho/rho0) (n/n0)^3 / eta_t the greatest power, whichever is less;
///           p = p0 (rho/rho0) (n/n0)^2; electric power P_m / eta
/// Symbols:  Q held volume flow (a held mass flow over the density), Q0, p0, P0 the wheel's table at speed n0 and
///           density rho0, n speed, eta_t transmission, eta motor and electronics, P_m power at the motor's shaft
/// Validity: pressures that rise as the wheel's flow falls; the table ends where they no longer do (the wheel's peak)
/// @param  wheel  fan table that states its speed and shaft powers
/// @param  motor  what it holds and its limits
/// @param  transmission  ratio of speeds and efficiency, both stated
/// @param  air  air at the fan; a fan that holds mass flow is for this air alone
/// @return the fan, its limit, and speeds and powers behind it
/// @throws DomainError if the wheel's table does not state speed and shaft powers, a part is not stated or out of its
///         range, or the flow is more than the motor's limits allow even at the wheel's greatest flow
/// @source definition of the control, fan laws; test: airflow/fan_motors_test.cpp
template <Deferred...>
inline AirflowHoldingFan fan_on_constant_airflow_motor(const FanTable& wheel, const ConstantAirflowMotor& motor,
                                                       const FanTransmission& transmission, const AirState& air) {
    constexpr auto where = "fan_on_constant_airflow_motor";
    const FanCurve curve = detail::wheel_curve(wheel, where);
    const detail::Wheel joined = detail::joined_wheel(curve, transmission, air, where);
    const bool mass = std::holds_alternative<MassFlow>(motor.held);
    const double held =
        mass ? detail::require_positive(where, "held mass flow", std::get<MassFlow>(motor.held).value(), "kg/s") /
                   air.density.value()
             : detail::require_positive(where, "held volume flow", std::get<VolumeFlow>(motor.held).value(), "m3/s");
    const double fastest =
        joined.speedup(detail::require_positive(where, "greatest_speed", motor.greatest_speed.value(), "1/s"));
    const double strongest = detail::require_positive(where, "greatest_power", motor.greatest_power.value(), "W");
    const double efficiency = detail::stated_efficiency(where, "motor and controller", motor.efficiency);
    const auto by_power = [&](double flow) { return std::cbrt(strongest / joined.motor_power(flow, 1.0)); };
    const auto allowed = [&](double flow) { return std::min(fastest, by_power(flow)); };

    std::vector<double> flows = detail::wheel_flows(curve);
    std::reverse(flows.begin(), flows.end());
    if (held / flows.front() > allowed(flows.front())) {
        detail::throw_domain_error(where, "held volume flow", held, "m3/s",
                                   "at most " + detail::number_text(flows.front() * allowed(flows.front())) +
                                       " m3/s, which the motor's limits allow at the wheel's greatest flow");
    }
    AirflowLimit limit = AirflowLimit::none;
    std::vector<DrivenFanPoint> points;
    const auto add = [&](double flow, bool holding) {
        const double speedup = holding ? held / flow : allowed(flow);
        DrivenFanPoint p = detail::driven_point(joined, flow, speedup, efficiency, !holding);
        if (holding) p.point.flow = VolumeFlow::from_value(held);
        const bool goes_on = points.empty() || (p.point.pressure > points.back().point.pressure &&
                                                (holding || p.point.flow < points.back().point.flow));
        if (goes_on) points.push_back(p);
        return goes_on;
    };
    double before = flows.front();
    for (const double flow : flows) {
        const bool holds = flow > 0.0 && held / flow <= allowed(flow);
        if (!holds && limit == AirflowLimit::none) {
            // Where holding ends: halve between a flow of the wheel that holds and one that does not.
            double holding = before, giving_up = flow;
            for (int i = 0; i < 100; ++i) {
                const double middle = 0.5 * (holding + giving_up);
                if (!(middle < holding && middle > giving_up)) break;
                (held / middle <= allowed(middle) ? holding : giving_up) = middle;
            }
            limit = by_power(holding) < fastest ? AirflowLimit::power : AirflowLimit::speed;
            if (holding < before && !add(holding, true)) break;
        }
        if (!add(flow, limit == AirflowLimit::none)) break;
        before = flow;
    }
    FanTable table{.points = {}, .kind = curve.kind(), .stated_air = air, .power_kind = FanPowerKind::electric};
    for (const DrivenFanPoint& p : points) table.points.push_back(p.point);
    return {flow_holding_fan(table, 0.0, mass ? HeldFlow::mass : HeldFlow::volume), limit, std::move(points)};
}

}   // namespace filterflow
