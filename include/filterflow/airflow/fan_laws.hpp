// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fan laws: the same point of rating of geometrically similar fans at another speed, size or density. And what a
// point costs: power from efficiency, efficiency from power.

#include <cmath>
#include <optional>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// New over old, one where nothing changes.
struct FanRatios {
    double speed = 1.0;      ///< rotational speed, > 0; within about 0.7 to 1.3 unless data say otherwise
    double diameter = 1.0;   ///< of the wheel, > 0, all else in proportion
    double density = 1.0;    ///< of the air at the fan, > 0
};

/// New over old of what fixes a Reynolds number.
struct SimilarityRatios {
    double density = 1.0;     ///< > 0
    double viscosity = 1.0;   ///< > 0
    double diameter = 1.0;    ///< > 0
};

/// What power buys: a flow against a pressure.
struct FanDuty {
    VolumeFlow flow{};     ///< >= 0
    Pressure pressure{};   ///< >= 0, total or static; the efficiency is then of the same kind
};

namespace detail {
template <Deferred...>
inline void check(const FanDuty& duty, const char* where) {
    require_non_negative(where, "flow", duty.flow.value(), "m3/s");
    require_non_negative(where, "pressure", duty.pressure.value(), "Pa");
}
}   // namespace detail

/// The same point of rating at another speed, size or density.
///
/// Equation: Q ~ N D^3, p ~ rho N^2 D^2, P ~ rho N^3 D^5
/// Symbols:  Q flow, p pressure, P power, N speed, D diameter, rho density
/// Validity: geometrically similar fans at Reynolds numbers not far apart; incompressible (below about 2.5 kPa)
/// @param  point  flow, pressure and, if known, power
/// @param  ratios  new over old
/// @return the point after the change; power empty if it was empty
/// @throws DomainError if a ratio is not > 0 or the point is negative or not finite
/// @source fan laws: Abulencia and Theodore, ch. 17; Douglas et al., ch. 9; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline FanPoint fan_point_at(const FanPoint& point, const FanRatios& ratios) {
    constexpr auto where = "fan_point_at";
    const double n = detail::require_positive(where, "speed ratio", ratios.speed, "-");
    const double d = detail::require_positive(where, "diameter ratio", ratios.diameter, "-");
    const double rho = detail::require_positive(where, "density ratio", ratios.density, "-");
    detail::check(FanDuty{point.flow, point.pressure}, where);
    FanPoint changed{VolumeFlow::from_value(point.flow.value() * n * d * d * d),
                     Pressure::from_value(point.pressure.value() * rho * n * n * d * d), std::nullopt};
    if (point.power) {
        const double power = detail::require_non_negative(where, "power", point.power->value(), "W");
        changed.power = Power::from_value(power * rho * n * n * n * d * d * d * d * d);
    }
    return changed;
}

/// A fan table at another speed or size, stated for the same air. For other air see fan_table_in, or give it where the
/// fan is evaluated.
///
/// Equation: each row as fan_point_at
/// Symbols:  as fan_point_at
/// Validity: as fan_point_at; electric power of a motor that changes its efficiency with speed is not covered
/// @param  table  fan table
/// @param  ratios  new over old; the density ratio must be one
/// @return table after the change, its stated speed (if it has one) changed too
/// @throws DomainError as fan_point_at, or if the density ratio is not one
/// @source as fan_point_at; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline FanTable fan_table_at(const FanTable& table, const FanRatios& ratios) {
    detail::require_between("fan_table_at", "density ratio", ratios.density, 1.0, 1.0,
                            "- (the air is given where the fan is evaluated)");
    FanTable changed = table;
    for (FanPoint& point : changed.points) point = fan_point_at(point, ratios);
    if (changed.stated_speed) changed.stated_speed = *changed.stated_speed * ratios.speed;
    return changed;
}

/// A fan table at a speed of its own wheel.
///
/// Equation: each row as fan_point_at with N2/N1 of the speed over the stated one
/// Symbols:  N speed
/// Validity: as fan_table_at
/// @param  table  fan table that states its speed
/// @param  speed  revolutions per time, > 0
/// @return table at that speed
/// @throws DomainError if the table states no speed, or as fan_table_at
/// @source as fan_point_at; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline FanTable fan_table_at_speed(const FanTable& table, Rate speed) {
    constexpr auto where = "fan_table_at_speed";
    if (!table.stated_speed) {
        throw DomainError(std::string(where) +
                          ": the table states no speed; required: stated_speed, or a ratio and fan_table_at");
    }
    const double stated = detail::require_positive(where, "stated_speed", table.stated_speed->value(), "1/s");
    FanTable changed =
        fan_table_at(table, {.speed = detail::require_positive(where, "speed", speed.value(), "1/s") / stated});
    changed.stated_speed = speed;
    return changed;
}

/// A fan table restated for another air at the same speed.
///
/// Equation: p ~ rho, P ~ rho at the same Q
/// Symbols:  p pressure, P power, Q volume flow, rho density
/// Validity: as fan_point_at
/// @param  table  fan table
/// @param  air  air that it shall be stated for
/// @return table stated for that air
/// @throws DomainError if a density is not > 0, or as fan_point_at
/// @source as fan_point_at; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline FanTable fan_table_in(const FanTable& table, const AirState& air) {
    constexpr auto where = "fan_table_in";
    const double before =
        detail::require_positive(where, "stated_air.density", table.stated_air.density.value(), "kg/m3");
    const double after = detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    FanTable changed = table;
    for (FanPoint& point : changed.points) point = fan_point_at(point, {.density = after / before});
    changed.stated_air = air;
    return changed;
}

/// How far a change of speed stays within what the laws are trusted for.
///
/// Equation: 0.7 <= N2/N1 <= 1.3
/// Symbols:  N speed
/// Validity: common practice (from memory); bearings, belts and drives lose a larger share at low speed, and a wheel
///           has a greatest speed that only its maker knows
/// @param  ratios  new over old
/// @return the ratio of speeds beside that range, and how far outside it lies
/// @throws DomainError if the ratio is not > 0
/// @source common practice; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline RangeStatus fan_law_range(const FanRatios& ratios) {
    detail::require_positive("fan_law_range", "speed ratio", ratios.speed, "-");
    return range_status({.quantity = "speed ratio", .unit = "-", .value = ratios.speed, .least = 0.7, .greatest = 1.3});
}

/// Speed ratio at which two similar fans run at the same Reynolds number.
///
/// Equation: N2/N1 = (mu2/mu1) (rho1/rho2) (D1/D2)^2
/// Symbols:  N speed, mu viscosity, rho density, D diameter
/// Validity: geometrically similar fans
/// @param  ratios  new over old
/// @return new speed over old speed [-]
/// @throws DomainError if a ratio is not > 0
/// @source equality of rho N D^2 / mu: Douglas et al., ch. 9; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline double speed_ratio_at_equal_reynolds_number(const SimilarityRatios& ratios) {
    constexpr auto where = "speed_ratio_at_equal_reynolds_number";
    detail::require_positive(where, "density ratio", ratios.density, "-");
    detail::require_positive(where, "viscosity ratio", ratios.viscosity, "-");
    detail::require_positive(where, "diameter ratio", ratios.diameter, "-");
    return ratios.viscosity / (ratios.density * ratios.diameter * ratios.diameter);
}

/// Power that moves a flow against a pressure at a stated efficiency; at efficiency one, the air's own power.
///
/// Equation: P = Q p / eta
/// Symbols:  Q flow, p pressure, eta efficiency (total or static as the pressure; fan alone or wire to air)
/// Validity: incompressible (below about 2.5 kPa)
/// @param  duty  flow and pressure
/// @param  efficiency  greater than 0, at most 1
/// @return power [W]
/// @throws DomainError if an argument is out of its range
/// @source definition of efficiency; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline Power power_of_duty(const FanDuty& duty, double efficiency) {
    constexpr auto where = "power_of_duty";
    detail::check(duty, where);
    detail::require_positive(where, "efficiency", efficiency, "-");
    detail::require_between(where, "efficiency", efficiency, 0.0, 1.0, "-");
    return Power::from_value(duty.flow.value() * duty.pressure.value() / efficiency);
}

/// Efficiency with which a power moves a flow against a pressure.
///
/// Equation: eta = Q p / P
/// Symbols:  as power_of_duty
/// Validity: as power_of_duty. Above one says that a reading is wrong; it is returned as it is
/// @param  duty  flow and pressure
/// @param  power  electric (wire to air) or shaft power [W], > 0
/// @return efficiency [-]
/// @throws DomainError if an argument is out of its range
/// @source definition of efficiency; test: airflow/fan_laws_test.cpp
template <Deferred...>
inline double efficiency_of_duty(const FanDuty& duty, Power power) {
    constexpr auto where = "efficiency_of_duty";
    detail::check(duty, where);
    detail::require_positive(where, "power", power.value(), "W");
    return duty.flow.value() * duty.pressure.value() / power.value();
}

}   // namespace filterflow
