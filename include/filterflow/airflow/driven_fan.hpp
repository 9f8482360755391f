// SPDX-License-Identifier: BSL-1.0
#pragma once

// A wheel on a motor that lets its speed go: an induction motor with speed taps, a motor of constant torque. At each
// point of rating the speed settles where the wheel's torque, which goes with the square of speed, meets the motor's.
// The result is a fan table of electric power for the air it was worked out in.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_efficiency.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// What joins motor and wheel; nothing is assumed.
struct FanTransmission {
    double speed_ratio = 0.0;   ///< speed of the wheel over that of the motor, > 0; a wheel on the motor's shaft: 1
    double efficiency = 0.0;    ///< power at the wheel over that at the motor's shaft, > 0 to 1
};

/// An induction motor, at full voltage.
struct InductionMotor {
    Rate synchronous_speed{};             ///< of its field: twice the mains frequency over the number of poles
    Rate rated_speed{};                   ///< at rated power, below the synchronous one
    Power rated_power{};                  ///< at the shaft, > 0
    double rated_efficiency = 0.0;        ///< at rated power, > 0 and at most rated over synchronous speed
    double breakdown_torque_ratio = 0.0;  ///< greatest torque over the rated one, > 1
};

/// A speed tap: what is left of the motor's torque at any slip.
struct SpeedTap {
    std::string name{};          ///< as on the wiring diagram
    double torque_ratio = 0.0;   ///< the square of the winding's voltage over the full one, > 0 to 1
};

/// A motor whose electronics keep its torque, up to a greatest speed.
struct ConstantTorqueMotor {
    Power power{};             ///< at the shaft at the speed below: together they say the torque
    Rate speed{};              ///< > 0
    Rate greatest_speed{};     ///< where the electronics keep the speed instead, > 0
    double efficiency = 0.0;   ///< motor and controller, > 0 to 1, taken as the same throughout
};

/// A fan on its motor at one point.
struct DrivenFanPoint {
    FanPoint point{};        ///< flow, pressure, electric power
    Rate fan_speed{};        ///< of the wheel
    Power motor_power{};     ///< at the motor's shaft
    /// Past breakdown torque (induction), or at the greatest speed or power of its electronics.
    bool at_limit = false;
    RangeStatus speed{};     ///< the wheel's speed over that of its table, beside what fan laws are trusted for
};

/// A fan on its motor, from no flow to free delivery as far as the wheel's table goes.
struct DrivenFan {
    FanTable table{};                       ///< electric power, for the air it was worked out in; speed varies
    std::vector<DrivenFanPoint> points{};   ///< the table's rows with what lies behind them
};

namespace detail {

/// The wheel's table, checked, as a curve.
template <Deferred...>
inline FanCurve wheel_curve(const FanTable& wheel, const char* where) {
    if (wheel.power_kind != FanPowerKind::shaft) {
        throw DomainError(std::string(where) +
                          ": the wheel's table does not state shaft powers; required: power_kind shaft");
    }
    if (!wheel.stated_speed) {
        throw DomainError(std::string(where) + ": the wheel's table states no speed; required: stated_speed");
    }
    FanCurve curve = fan_curve(wheel);
    if (!curve.power_curve()) {
        throw DomainError(std::string(where) + ": the wheel's table has no power; required: power in every row");
    }
    return curve;
}

/// The wheel's rows and three flows between each two.
template <Deferred...>
inline std::vector<double> wheel_flows(const FanCurve& wheel) {
    const auto knots = wheel.pressure_curve().knots();
    std::vector<double> flows;
    for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
        for (int part = 0; part < 4; ++part) flows.push_back(knots[i] + 0.25 * part * (knots[i + 1] - knots[i]));
    }
    flows.push_back(knots.back());
    return flows;
}

/// A wheel in the air at hand, joined to a motor.
struct Wheel {
    const FanCurve& curve;
    double density_ratio, speed, speed_ratio, efficiency;

    template <Deferred...>
    double pressure(double flow, double speedup) const {
        const double p = curve.pressure_curve().value(flow);
        return p > 0.0 ? density_ratio * p * speedup * speedup : 0.0;   // a row of no pressure, but for rounding
    }
    template <Deferred...>
    double motor_power(double flow, double speedup) const {
        return density_ratio * curve.power_curve()->value(flow) * speedup * speedup * speedup / efficiency;
    }
    double motor_speed(double speedup) const { return speedup * speed / speed_ratio; }
    double speedup(double motor_speed) const { return motor_speed * speed_ratio / speed; }
};

template <Deferred...>
inline Wheel joined_wheel(const FanCurve& curve, const FanTransmission& transmission, const AirState& air,
                          const char* where) {
    require_positive(where, "air density", air.density.value(), "kg/m3");
    return {curve, fan_density_ratio(curve.stated_air(), air), curve.stated_speed()->value(),
            require_positive(where, "speed_ratio of the transmission", transmission.speed_ratio,
                             "- (stated; 1 on the motor's shaft)"),
            stated_efficiency(where, "transmission", transmission.efficiency)};
}

template <Deferred...>
inline DrivenFanPoint driven_point(const Wheel& wheel, double flow, double speedup, double electric_efficiency,
                                   bool at_limit) {
    const double power = wheel.motor_power(flow, speedup);
    return {{VolumeFlow::from_value(flow * speedup), Pressure::from_value(wheel.pressure(flow, speedup)),
             Power::from_value(power / electric_efficiency)},
            Rate::from_value(wheel.speed * speedup),
            Power::from_value(power),
            at_limit,
            fan_law_range({.speed = speedup})};
}

/// The table of the points, whose flows must rise as the wheel's do.
template <Deferred...>
inline FanTable driven_table(const FanCurve& curve, const AirState& air, const std::vector<DrivenFanPoint>& points,
                             const char* where) {
    FanTable table{.points = {}, .kind = curve.kind(), .stated_air = air, .power_kind = FanPowerKind::electric};
    for (const DrivenFanPoint& p : points) {
        if (!table.points.empty() && !(p.point.flow > table.points.back().flow)) {
            throw_domain_error(where, "flow at a further point of the wheel's table", p.point.flow.value(), "m3/s",
                               "above the one before, " + number_text(table.points.back().flow.value()) +
                                   " m3/s: the wheel's power rises too steeply for this motor");
        }
        table.points.push_back(p.point);
    }
    return table;
}

/// Smallest root in [0, 1] of a quartic in Bernstein form whose ends differ in sign; f has {value, slope}.
template <class F>
double first_root(const F& f, const double (&b)[5], double from, double to, int depth) {
    int changes = 0;
    for (int i = 0; i < 4; ++i) changes += (b[i] > 0.0) != (b[i + 1] > 0.0) ? 1 : 0;
    if (changes == 0) return -1.0;
    if (changes == 1 || depth == 0) {
        if ((b[0] > 0.0) == (b[4] > 0.0)) return 0.5 * (from + to);   // a double root, to rounding
        return bracketed_root(f, from, to, b[0], b[4], 0.5 * (from + to), 0.0).location;
    }
    double left[5], right[5], row[5] = {b[0], b[1], b[2], b[3], b[4]};
    for (int k = 0; k < 5; ++k) {   // de Casteljau's halves
        left[k] = row[0];
        right[4 - k] = row[4 - k];
        for (int i = 0; i + k < 4; ++i) row[i] = 0.5 * (row[i] + row[i + 1]);
    }
    const double middle = 0.5 * (from + to);
    const double root = first_root(f, left, from, middle, depth - 1);
    return root >= 0.0 ? root : first_root(f, right, middle, to, depth - 1);
}

/// Slip at which load (1 - s)^2 = 2 s b/(s^2 + b^2), the smallest: the motor runs up from it at no load.
template <Deferred...>
inline double slip_under(double load, double breakdown_slip) {
    const double c = load, b = breakdown_slip;
    const auto f = [&](double s) {
        const double rest = 1.0 - s, sum = s * s + b * b;
        return std::pair(c * rest * rest * sum - 2.0 * b * s, c * (2.0 * s * rest * rest - 2.0 * rest * sum) - 2.0 * b);
    };
    const double a0 = c * b * b, a1 = -2.0 * c * b * b - 2.0 * b, a2 = c * (1.0 + b * b), a3 = -2.0 * c, a4 = c;
    const double bernstein[5] = {a0, a0 + a1 / 4.0, a0 + a1 / 2.0 + a2 / 6.0, a0 + 0.75 * a1 + 0.5 * a2 + 0.25 * a3,
                                 a0 + a1 + a2 + a3 + a4};
    return first_root(f, bernstein, 0.0, 1.0, 50);
}

}   // namespace detail

/// A fan wheel on one tap of an induction motor.
///
/// Equation: P0(Q0) (rho/rho0) (n/n0)^3 / eta_t = 2 pi n_m T, T = k T_b 2/(s/s_b + s_b/s), s = 1 - n_m/n_s; electric
///           power T 2 pi n_s / eta_s with eta_s = eta_r n_s/n_r: the rotor turns a share s of its power into heat
/// Symbols:  P0 shaft power, Q0 flow of the wheel's table at speed n0 and density rho0, n speed of the wheel, n_m of
///           the motor, n_s synchronous, n_r rated, T torque, T_b breakdown torque, s slip, s_b at breakdown, k the
///           tap's share, eta_t transmission, eta_r rated efficiency
/// Validity: slip from none to standstill by Kloss's formula; a split-capacitor motor's taps and losses are only
///           roughly so: where blower tables by tap are printed, use those (fan_curve for each). The speed is the
///           greatest at which wheel and motor agree
/// @param  wheel  fan table that states its speed and shaft powers
/// @param  motor  at full voltage
/// @param  tap  share of the torque
/// @param  transmission  ratio of speeds and efficiency, both stated
/// @param  air  air at the fan
/// @return table with electric powers in that air, and speeds and powers behind it; at_limit past breakdown torque,
///         where the motor overheats
/// @throws DomainError if the wheel's table does not state speed and shaft powers, a part is not stated or out of its
///         range, or the flow would not rise with that of the wheel's table
/// @source Kloss 1908 (from memory), fan laws; test: airflow/fan_motors_test.cpp
template <Deferred...>
inline DrivenFan fan_on_induction_motor(const FanTable& wheel, const InductionMotor& motor, const SpeedTap& tap,
                                        const FanTransmission& transmission, const AirState& air) {
    constexpr auto where = "fan_on_induction_motor";
    const FanCurve curve = detail::wheel_curve(wheel, where);
    const detail::Wheel joined = detail::joined_wheel(curve, transmission, air, where);
    const double ns = detail::require_positive(where, "synchronous_speed", motor.synchronous_speed.value(), "1/s");
    const double nr = detail::require_positive(where, "rated_speed", motor.rated_speed.value(), "1/s");
    if (!(nr < ns)) {
        detail::throw_domain_error(where, "rated_speed", nr, "1/s",
                                   "below the synchronous " + detail::number_text(ns) + " 1/s");
    }
    const double rated = detail::require_positive(where, "rated_power", motor.rated_power.value(), "W");
    detail::stated_efficiency(where, "motor", motor.rated_efficiency);
    const double stator = motor.rated_efficiency * ns / nr;
    if (!(stator <= 1.0)) {
        detail::throw_domain_error(where, "rated_efficiency", motor.rated_efficiency, "-",
                                   "at most rated over synchronous speed, " + detail::number_text(nr / ns));
    }
    const double over = motor.breakdown_torque_ratio;
    if (!(over > 1.0 && std::isfinite(over))) {
        detail::throw_domain_error(where, "breakdown_torque_ratio", over, "-", "> 1 and finite");
    }
    detail::require_positive(where, "torque_ratio of the tap", tap.torque_ratio, "-");
    detail::require_between(where, "torque_ratio of the tap", tap.torque_ratio, 0.0, 1.0, "-");
    const double breakdown_slip = (1.0 - nr / ns) * (over + std::sqrt(over * over - 1.0));
    const double breakdown_torque = tap.torque_ratio * over * rated / nr;   // over 2 pi
    DrivenFan driven;
    for (const double flow : detail::wheel_flows(curve)) {
        const double at_synchronous = joined.speedup(ns);
        const double load = joined.motor_power(flow, at_synchronous) / ns / breakdown_torque;
        const double slip = detail::slip_under(load, breakdown_slip);
        const double speedup = at_synchronous * (1.0 - slip);
        driven.points.push_back(
            detail::driven_point(joined, flow, speedup, (1.0 - slip) * stator, slip > breakdown_slip));
    }
    driven.table = detail::driven_table(curve, air, driven.points, where);
    return driven;
}

/// A fan wheel on a motor of constant torque.
///
/// Equation: P0(Q0) (rho/rho0) (n/n0)^3 / eta_t = P_t n_m/n_t, up to the greatest speed; electric power P_m / eta
/// Symbols:  as fan_on_induction_motor; P_t power at speed n_t, which state the torque, eta efficiency of motor and
///           electronics
/// Validity: electronics that keep the torque; as pressure rises and the wheel takes less, it speeds up
/// @param  wheel  fan table that states its speed and shaft powers
/// @param  motor  torque, greatest speed, efficiency
/// @param  transmission  ratio of speeds and efficiency, both stated
/// @param  air  air at the fan
/// @return table with electric powers in that air, and speeds and powers behind it; at_limit at the greatest speed
/// @throws DomainError as fan_on_induction_motor
/// @source definition of the control, fan laws; test: airflow/fan_motors_test.cpp
template <Deferred...>
inline DrivenFan fan_on_constant_torque_motor(const FanTable& wheel, const ConstantTorqueMotor& motor,
                                              const FanTransmission& transmission, const AirState& air) {
    constexpr auto where = "fan_on_constant_torque_motor";
    const FanCurve curve = detail::wheel_curve(wheel, where);
    const detail::Wheel joined = detail::joined_wheel(curve, transmission, air, where);
    const double torque = detail::require_positive(where, "power", motor.power.value(), "W") /
                          detail::require_positive(where, "speed", motor.speed.value(), "1/s");   // over 2 pi
    const double fastest =
        joined.speedup(detail::require_positive(where, "greatest_speed", motor.greatest_speed.value(), "1/s"));
    const double efficiency = detail::stated_efficiency(where, "motor and controller", motor.efficiency);
    DrivenFan driven;
    for (const double flow : detail::wheel_flows(curve)) {
        const double at_stated = joined.motor_power(flow, 1.0) / joined.motor_speed(1.0);
        const double wanted = std::sqrt(torque / at_stated);
        const bool limited = wanted > fastest;
        driven.points.push_back(detail::driven_point(joined, flow, limited ? fastest : wanted, efficiency, limited));
    }
    driven.table = detail::driven_table(curve, air, driven.points, where);
    return driven;
}

}   // namespace filterflow
