// SPDX-License-Identifier: BSL-1.0
#pragma once

// The reference formula for the density of moist air, CIPM-2007: real gas, for weighing rooms. The library's own
// air is an ideal gas, 0.04 % less dense; this is what that figure was checked with.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

/// Compressibility factor of moist air; vapour is the mole fraction of water.
inline double cipm_compressibility(double kelvin, double pascal, double vapour) {
    const double t = kelvin - 273.15;
    const double ratio = pascal / kelvin;
    const double first = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t + (5.707e-6 - 2.051e-8 * t) * vapour +
                         (1.9898e-4 - 2.376e-6 * t) * vapour * vapour;
    return 1.0 - ratio * first + ratio * ratio * (1.83e-11 - 0.765e-8 * vapour * vapour);
}

}   // namespace detail

/// Density of moist air by the CIPM-2007 formula.
///
/// Equation: rho = p M / (Z R T) (1 - 0.3780 x); x = phi f p_sv/p; M, Z, f and p_sv by the formula's constants
/// Symbols:  p pressure [Pa], M molar mass of dry air [kg/mol], Z compressibility, R gas constant, T temperature
///           [K], x mole fraction of vapour, phi relative humidity, p_sv saturation pressure, f enhancement factor
/// Validity: 15 to 27 degC and 60 to 110 kPa by its authors (2.2e-5, from memory); throws outside 0 to 40 degC
/// @param  conditions  temperature [K] 273.15 to 313.15, pressure [Pa] 60e3 to 110e3, relative humidity 0 to 1
/// @param  carbon_dioxide  mole fraction [-], 0 to 0.01
/// @return density [kg/m3]
/// @throws DomainError outside the validity
/// @source Picard, Davis, Glaeser and Fujii 2008, Metrologia 45, 149 (constants from transcriptions that agree);
///         test: air/reference_density_test.cpp
inline Density reference_density(const MoistAirConditions& conditions, double carbon_dioxide = 400e-6) {
    constexpr auto where = "reference_density";
    const double kelvin =
        detail::require_between(where, "temperature", conditions.temperature.value(), 273.15, 313.15, "K");
    const double pascal = detail::require_between(where, "pressure", conditions.pressure.value(), 60e3, 110e3, "Pa");
    const double humidity =
        detail::require_between(where, "relative_humidity", conditions.relative_humidity, 0.0, 1.0, "-");
    detail::require_between(where, "carbon_dioxide", carbon_dioxide, 0.0, 0.01, "-");
    const double t = kelvin - 273.15;
    const double saturation =
        std::exp(1.2378847e-5 * kelvin * kelvin - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin);
    const double enhancement = 1.00062 + 3.14e-8 * pascal + 5.6e-7 * t * t;
    const double vapour = humidity * enhancement * saturation / pascal;
    const double molar_mass = (28.96546 + 12.011 * (carbon_dioxide - 0.0004)) * 1e-3;
    const double z = detail::cipm_compressibility(kelvin, pascal, vapour);
    return Density::from_value(pascal * molar_mass / (z * 8.314472 * kelvin) * (1.0 - 0.3780 * vapour));
}

}   // namespace filterflow
