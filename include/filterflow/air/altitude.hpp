// SPDX-License-Identifier: BSL-1.0
#pragma once

// The air of a place of which only the altitude is known, as the exact standard atmosphere and as the handbooks of the
// trade have it, and what that air does to the pressure and power of a fan at fixed speed.

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/atmosphere.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

inline constexpr double standard_atmosphere_gas_constant = 8314.32 / 28.9644;   // J/(kg K), of the standard

template <Deferred...>
inline AirState dry_air(double kelvin, double pascal, double gas_constant) {
    return {.temperature = Temperature::from_value(kelvin),
            .pressure = Pressure::from_value(pascal),
            .humidity_ratio = 0.0,
            .density = Density::from_value(pascal / (gas_constant * kelvin)),
            .viscosity = DynamicViscosity::from_value(air_viscosity(kelvin))};
}

}   // namespace detail

/// Air of the standard atmosphere at an altitude above sea level, dry.
///
/// Equation: p and T as standard_pressure_at, standard_temperature_at; rho = p/(R T); viscosity as air_viscosity
/// Symbols:  p pressure [Pa], T temperature [K], rho density [kg/m3], R 8314.32/28.9644 J/(kg K)
/// Validity: -5 to 11 km; throws outside; a heated or cooled room has another temperature: use moist_air there
/// @param  altitude  geometric, above sea level [m], -5000 to 11000
/// @return air state
/// @throws DomainError outside the validity
/// @source US Standard Atmosphere 1976; test: air/altitude_test.cpp
template <Deferred...>
inline AirState standard_atmosphere_at(Length altitude) {
    return detail::dry_air(standard_temperature_at(altitude).value(), standard_pressure_at(altitude).value(),
                           detail::standard_atmosphere_gas_constant);
}

/// Air at an altitude above sea level as the handbooks of the trade have it, dry.
///
/// Equation: p and T as handbook_pressure_at, handbook_temperature_at; rho = p/(287.042 T); viscosity as air_viscosity
/// Symbols:  p pressure [Pa], T temperature [K], rho density [kg/m3]
/// Validity: -5 to 11 km; throws outside
/// @param  altitude  above sea level [m], -5000 to 11000
/// @return air state
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1; test: air/altitude_test.cpp
template <Deferred...>
inline AirState handbook_atmosphere_at(Length altitude) {
    return detail::dry_air(handbook_temperature_at(altitude).value(), handbook_pressure_at(altitude).value(),
                           detail::dry_air_gas_constant);
}

/// An altitude and the temperature of the air in the fan there.
struct AltitudeConditions {
    Length altitude{};           ///< above sea level, -5000 to 11000 m
    Temperature temperature{};   ///< of the air at the fan, 170 to 1900 K: not that of the standard atmosphere
};

/// Density at an altitude and temperature over that of the same dry air at sea level and 70 degF: what a fan table in
/// inch-pound units is corrected by.
///
/// Equation: f = p(Z)/101325 (294.26 / T)
/// Symbols:  p pressure at the altitude as handbook_pressure_at [Pa], Z altitude [m], T temperature [K]
/// Validity: dry air, ideal gas; throws outside -5 to 11 km and 170 to 1900 K
/// @param  conditions  altitude [m] and temperature [K]
/// @return factor on density, and so on pressure and power of a fan at fixed speed [-]
/// @throws DomainError outside the validity
/// @source ideal gas; pressure as ASHRAE Handbook Fundamentals, chapter 1; test: air/altitude_test.cpp
template <Deferred...>
inline double fan_density_factor(const AltitudeConditions& conditions) {
    const double kelvin = detail::require_kelvin("fan_density_factor", "temperature", conditions.temperature.value(),
                                                 170.0, 1900.0);
    return handbook_pressure_at(conditions.altitude).value() / detail::sea_level_pressure *
           from_fahrenheit(70.0).value() / kelvin;
}

}   // namespace filterflow
