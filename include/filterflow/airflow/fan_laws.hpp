// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fan laws: the same point of rating of geometrically similar fans at another speed, size or density. And what a
// point costs: power from efficiency, efficiency from power.

#include <cmath>
#include <optional>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

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

/// A fan table at another speed or size, stated for the same air. Other air is for fan_pressure to account for.
///
/// Equation: each row as fan_point_at
/// Symbols:  as fan_point_at
/// Validity: as fan_point_at; electric power of a motor that changes its efficiency with speed is not covered
/// @param  table  fan table
/// @param  ratios  new over old; the density ratio must be one
/// @return table after the change
/// @throws DomainError as fan_point_at, or if the density ratio is not one
/// @source as fan_point_at; test: airflow/fan_laws_test.cpp
inline FanTable fan_table_at(const FanTable& table, const FanRatios& ratios) {
    detail::require_between("fan_table_at", "density ratio", ratios.density, 1.0, 1.0,
                            "- (the air is given where the fan is evaluated)");
    FanTable changed = table;
    for (FanPoint& point : changed.points) point = fan_point_at(point, ratios);
    return changed;
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
inline double efficiency_of_duty(const FanDuty& duty, Power power) {
    constexpr auto where = "efficiency_of_duty";
    detail::check(duty, where);
    detail::require_positive(where, "power", power.value(), "W");
    return duty.flow.value() * duty.pressure.value() / power.value();
}

}   // namespace filterflow
