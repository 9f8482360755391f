// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a motor loses at part of its load, from its efficiencies at full and at half load, as nameplates and catalogues
// have them: one share of the losses stays, the other goes with the square of the load.

#include <string>
#include <utility>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// A motor known at two loads.
struct PartLoadMotor {
    Power rated_power{};                 ///< at the shaft, > 0
    double full_load_efficiency = 0.0;   ///< at rated power, > 0 and below 1
    double half_load_efficiency = 0.0;   ///< at half of it, > 0 and below 1
};

/// What stands between the supply and a fan's shaft where the motor's efficiency follows its load.
struct PartLoadDriveTrain {
    double drive = 0.0;        ///< belt or coupling, > 0 to 1; a wheel on the motor's shaft: 1
    PartLoadMotor motor{};     ///< known at two loads
    double controller = 0.0;   ///< speed drive or electronics, > 0 to 1; none: 1
};

/// Losses of a motor: those that stay, and those that go with the square of the load.
struct MotorLosses {
    Power fixed{};          ///< in the iron, windage, friction
    Power at_full_load{};   ///< in the windings at rated power
};

namespace detail {

template <Deferred...>
inline double below_one(const char* where, const char* name, double value) {
    if (!(value > 0.0 && value < 1.0)) throw_domain_error(where, name, value, "-", "stated, above 0 and below 1");
    return value;
}

/// Losses over rated power.
struct LossShares {
    double fixed, load;
};
template <Deferred...>
inline LossShares loss_shares(const PartLoadMotor& motor, const char* where) {
    require_positive(where, "rated_power of the motor", motor.rated_power.value(), "W");
    const double full = 1.0 / below_one(where, "full_load_efficiency", motor.full_load_efficiency) - 1.0;
    const double half = 0.5 * (1.0 / below_one(where, "half_load_efficiency", motor.half_load_efficiency) - 1.0);
    const LossShares shares{(4.0 * half - full) / 3.0, 4.0 * (full - half) / 3.0};
    if (!(shares.fixed >= 0.0 && shares.load >= 0.0)) {   // at half the load between a quarter of the losses and all
        throw_domain_error(where, "half_load_efficiency", motor.half_load_efficiency, "-",
                           "from " + number_text(1.0 / (1.0 + 2.0 * full)) + " to " +
                               number_text(1.0 / (1.0 + 0.5 * full)) + ", beside the full load's " +
                               number_text(motor.full_load_efficiency));
    }
    return shares;
}

template <Deferred...>
inline double motor_input(const PartLoadMotor& motor, double shaft_power, const char* where) {
    const LossShares shares = loss_shares(motor, where);
    const double load = require_non_negative(where, "shaft_power", shaft_power, "W") / motor.rated_power.value();
    return motor.rated_power.value() * (load + shares.fixed + shares.load * load * load);
}

}   // namespace detail

/// The losses of a motor from its efficiencies at full and at half load.
///
/// Equation: P_r (1/eta_1 - 1) = L_0 + L_1, P_r/2 (1/eta_h - 1) = L_0 + L_1/4
/// Symbols:  P_r rated power, eta_1, eta_h efficiencies at full and at half load, L_0 losses that stay, L_1 at full
///           load of those that go with its square
/// Validity: one speed and voltage
/// @param  motor  known at two loads
/// @return losses [W]
/// @throws DomainError if a number is not stated or out of its range, or the two efficiencies would need a negative
///         loss
/// @source energy balance, losses split as in textbooks of electric machines (from memory); test:
///         airflow/motor_losses_test.cpp
template <Deferred...>
inline MotorLosses motor_losses(const PartLoadMotor& motor) {
    const detail::LossShares shares = detail::loss_shares(motor, "motor_losses");
    return {shares.fixed * motor.rated_power, shares.load * motor.rated_power};
}

/// Power that a motor draws at a power of its shaft.
///
/// Equation: P_in = P + L_0 + L_1 (P/P_r)^2
/// Symbols:  P shaft power, otherwise as motor_losses
/// Validity: between half load and full load the equation interpolates; below half load motors may do worse than this
///           (at a quarter by up to 15 %), beyond full load they overheat: see motor_load_range
/// @param  motor  known at two loads
/// @param  shaft_power  at the motor's shaft [W], >= 0
/// @return electric power [W]
/// @throws DomainError as motor_losses, or if the power is negative
/// @source as motor_losses; test: airflow/motor_losses_test.cpp
template <Deferred...>
inline Power motor_input_power(const PartLoadMotor& motor, Power shaft_power) {
    return Power::from_value(detail::motor_input(motor, shaft_power.value(), "motor_input_power"));
}

/// Efficiency of a motor at a power of its shaft.
///
/// Equation: eta = P / P_in
/// Symbols:  as motor_input_power
/// Validity: as motor_input_power
/// @param  motor  known at two loads
/// @param  shaft_power  at the motor's shaft [W], >= 0
/// @return efficiency [-], 0 at no load
/// @throws DomainError as motor_input_power
/// @source as motor_losses; test: airflow/motor_losses_test.cpp
template <Deferred...>
inline double motor_efficiency(const PartLoadMotor& motor, Power shaft_power) {
    return shaft_power.value() / detail::motor_input(motor, shaft_power.value(), "motor_efficiency");
}

/// A load beside the range in which a motor's losses are known.
///
/// Equation: 0.5 <= P/P_r <= 1
/// Symbols:  as motor_input_power
/// Validity: every motor
/// @param  motor  known at two loads
/// @param  shaft_power  at the motor's shaft [W], >= 0
/// @return share of the rated power beside 0.5 to 1, and how far outside it lies
/// @throws DomainError as motor_input_power
/// @source the two loads at which the motor is known; test: airflow/motor_losses_test.cpp
template <Deferred...>
inline RangeStatus motor_load_range(const PartLoadMotor& motor, Power shaft_power) {
    detail::motor_input(motor, shaft_power.value(), "motor_load_range");
    return range_status({.quantity = "motor load", .unit = "-", .value = shaft_power / motor.rated_power, .least = 0.5,
                         .greatest = 1.0});
}

/// A fan table whose shaft powers are made electric ones, each row with the motor's efficiency at its load.
///
/// Equation: P_el = [P/eta_d + L_0 + L_1 (P/(eta_d P_r))^2] / eta_c
/// Symbols:  as motor_input_power; eta_d drive, eta_c controller
/// Validity: as motor_input_power; the drive's and the controller's efficiency taken as the same at every row
/// @param  table  fan table that states shaft powers
/// @param  train  every part stated
/// @return the table with electric powers
/// @throws DomainError if the table does not state shaft powers, or as motor_losses and drive_train_efficiency
/// @source as motor_losses; test: airflow/motor_losses_test.cpp
template <Deferred...>
inline FanTable electric_fan_table(FanTable table, const PartLoadDriveTrain& train) {
    constexpr auto where = "electric_fan_table";
    const double drive = detail::stated_efficiency(where, "drive", train.drive);
    const double controller = detail::stated_efficiency(where, "controller", train.controller);
    return detail::with_electric_powers(std::move(table), where, [&](Power shaft) {
        return Power::from_value(detail::motor_input(train.motor, shaft.value() / drive, where) / controller);
    });
}

}   // namespace filterflow
