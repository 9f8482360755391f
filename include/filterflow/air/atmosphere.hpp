// SPDX-License-Identifier: BSL-1.0
#pragma once

// The standard atmosphere below 11 km: what pressure and temperature stand for a place of which only the altitude
// is known. Exact, and as the handbooks shorten it; each under its own name.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

inline constexpr double earth_radius = 6356766.0;        // m, of the standard
inline constexpr double sea_level_kelvin = 288.15;
inline constexpr double sea_level_pressure = 101325.0;   // Pa
inline constexpr double lapse_rate = 0.0065;             // K/m
inline constexpr double pressure_exponent = 5.25588;     // g M / (R lapse rate)

inline double geopotential_height(double altitude) { return earth_radius * altitude / (earth_radius + altitude); }

inline double standard_kelvin(double geopotential) { return sea_level_kelvin - lapse_rate * geopotential; }

template <Deferred...>
inline double standard_pressure(double geopotential) {
    return sea_level_pressure * std::pow(standard_kelvin(geopotential) / sea_level_kelvin, pressure_exponent);
}

}   // namespace detail

/// Pressure of the standard atmosphere at an altitude above sea level.
///
/// Equation: p = 101325 (T / 288.15)^5.25588, T = 288.15 - 0.0065 H, H = r Z / (r + Z)
/// Symbols:  p pressure [Pa], Z altitude [m], H geopotential height [m], r 6356766 m, T temperature [K]
/// Validity: -5 to 11 km; throws outside; weather moves the true pressure by some per cent
/// @param  altitude  geometric, above sea level [m], -5000 to 11000
/// @return absolute pressure [Pa]
/// @throws DomainError outside the validity
/// @source US Standard Atmosphere 1976; test: air/air_state_test.cpp
template <Deferred...>
inline Pressure standard_pressure_at(Length altitude) {
    const double z =
        detail::require_between("standard_pressure_at", "altitude", altitude.value(), -5000.0, 11000.0, "m");
    return Pressure::from_value(detail::standard_pressure(detail::geopotential_height(z)));
}

/// Pressure of the standard atmosphere at a geopotential height.
///
/// Equation: p = 101325 (1 - 2.25577e-5 H)^5.25588
/// Symbols:  p pressure [Pa], H geopotential height [m]
/// Validity: -5 to 11 km; throws outside
/// @param  height  geopotential [m], -5000 to 11000
/// @return absolute pressure [Pa]
/// @throws DomainError outside the validity
/// @source US Standard Atmosphere 1976; test: air/altitude_test.cpp
template <Deferred...>
inline Pressure standard_pressure_at_geopotential(Length height) {
    return Pressure::from_value(detail::standard_pressure(detail::require_between(
        "standard_pressure_at_geopotential", "height", height.value(), -5000.0, 11000.0, "m")));
}

/// Temperature of the standard atmosphere at an altitude above sea level.
///
/// Equation: T = 288.15 - 0.0065 H, H = r Z / (r + Z)
/// Symbols:  as standard_pressure_at
/// Validity: -5 to 11 km; throws outside
/// @param  altitude  geometric, above sea level [m], -5000 to 11000
/// @return temperature [K]
/// @throws DomainError outside the validity
/// @source US Standard Atmosphere 1976; test: air/air_state_test.cpp
template <Deferred...>
inline Temperature standard_temperature_at(Length altitude) {
    const double z =
        detail::require_between("standard_temperature_at", "altitude", altitude.value(), -5000.0, 11000.0, "m");
    return Temperature::from_value(detail::standard_kelvin(detail::geopotential_height(z)));
}

/// Pressure at an altitude as the handbooks of the trade give it: the altitude is taken for the geopotential height,
/// the constants are rounded. It is 2 Pa below the exact one at 1000 m, 20 Pa at 4000 m.
///
/// Equation: p = 101325 (1 - 2.25577e-5 Z)^5.2559
/// Symbols:  p pressure [Pa], Z altitude [m]
/// Validity: -5 to 11 km; throws outside; weather moves the true pressure by some per cent
/// @param  altitude  above sea level [m], -5000 to 11000
/// @return absolute pressure [Pa]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1, equation 3 and table 1; test: air/altitude_test.cpp
template <Deferred...>
inline Pressure handbook_pressure_at(Length altitude) {
    const double z =
        detail::require_between("handbook_pressure_at", "altitude", altitude.value(), -5000.0, 11000.0, "m");
    return Pressure::from_value(detail::sea_level_pressure * std::pow(1.0 - 2.25577e-5 * z, 5.2559));
}

/// Temperature at an altitude as the handbooks of the trade give it.
///
/// Equation: t = 15 - 0.0065 Z
/// Symbols:  t temperature [degC], Z altitude [m]
/// Validity: -5 to 11 km; throws outside
/// @param  altitude  above sea level [m], -5000 to 11000
/// @return temperature [K]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1, equation 4; test: air/altitude_test.cpp
template <Deferred...>
inline Temperature handbook_temperature_at(Length altitude) {
    const double z =
        detail::require_between("handbook_temperature_at", "altitude", altitude.value(), -5000.0, 11000.0, "m");
    return Temperature::from_value(detail::sea_level_kelvin - detail::lapse_rate * z);
}

}   // namespace filterflow
