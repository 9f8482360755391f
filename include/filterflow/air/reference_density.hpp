// SPDX-License-Identifier: BSL-1.0
#pragma once

// The reference formula for the density of moist air, CIPM-2007: real gas, for weighing rooms. The library's other
// air states are ideal gases, 0.02 to 0.06 % less dense; this is what that figure was checked with.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

/// Compressibility factor of moist air; vapour is the mole fraction of water.
template <class T>
T cipm_compressibility(const T& kelvin, const T& pascal, const T& vapour) {
    const T t = kelvin - T(273.15);
    const T ratio = pascal / kelvin;
    const T first = T(1.58123e-6) - T(2.9331e-8) * t + T(1.1043e-10) * t * t +
                    (T(5.707e-6) - T(2.051e-8) * t) * vapour + (T(1.9898e-4) - T(2.376e-6) * t) * vapour * vapour;
    return T(1) - ratio * first + ratio * ratio * (T(1.83e-11) - T(0.765e-8) * vapour * vapour);
}

/// Mole fraction of water vapour in moist air.
template <class T>
T cipm_vapour_fraction(const T& kelvin, const T& pascal, const T& humidity) {
    using std::exp;
    const T t = kelvin - T(273.15);
    const T saturation = exp(kelvin * (T(1.2378847e-5) * kelvin - T(1.9121316e-2)) + T(33.93711047) -
                             T(6.3431645e3) / kelvin);
    const T enhancement = T(1.00062) + T(3.14e-8) * pascal + T(5.6e-7) * t * t;
    return humidity * enhancement * saturation / pascal;
}

template <class T>
T cipm_density(const T& kelvin, const T& pascal, const T& vapour, double carbon_dioxide) {
    const T molar_mass((28.96546 + 12.011 * (carbon_dioxide - 0.0004)) * 1e-3);
    return pascal * molar_mass / (cipm_compressibility(kelvin, pascal, vapour) * T(8.314472) * kelvin) *
           (T(1) - T(0.3780) * vapour);
}

template <class T>
void check_reference(const BasicMoistAirConditions<T>& conditions, double carbon_dioxide, const char* where) {
    require_kelvin(where, "temperature", T(conditions.temperature.value()), 273.15, 313.15);
    require_between(where, "pressure", T(conditions.pressure.value()), 60e3, 110e3, "Pa");
    require_between(where, "relative_humidity", conditions.relative_humidity, 0.0, 1.0, "-");
    require_between(where, "carbon_dioxide", carbon_dioxide, 0.0, 0.01, "-");
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
template <class T>
BasicDensity<T> reference_density(const BasicMoistAirConditions<T>& conditions, double carbon_dioxide = 400e-6) {
    detail::check_reference(conditions, carbon_dioxide, "reference_density");
    const T kelvin = conditions.temperature.value(), pascal = conditions.pressure.value();
    return BasicDensity<T>::from_value(detail::cipm_density(
        kelvin, pascal, detail::cipm_vapour_fraction(kelvin, pascal, conditions.relative_humidity), carbon_dioxide));
}
template <Deferred...>
inline Density reference_density(const MoistAirConditions& conditions, double carbon_dioxide = 400e-6) {
    return reference_density<double>(conditions, carbon_dioxide);
}

/// Air state whose density and moisture are those of the CIPM-2007 formula, where moist_air takes ideal gases.
///
/// Equation: rho and x as reference_density; W = 0.621945 x / (1 - x); viscosity as air_viscosity
/// Symbols:  rho density [kg/m3], x mole fraction of vapour, W humidity ratio [kg/kg]
/// Validity: as reference_density
/// @param  conditions  temperature [K] 273.15 to 313.15, pressure [Pa] 60e3 to 110e3, relative humidity 0 to 1
/// @param  carbon_dioxide  mole fraction [-], 0 to 0.01
/// @return air state
/// @throws DomainError outside the validity
/// @source as reference_density; test: air/reference_density_test.cpp
template <class T>
BasicAirState<T> reference_air(const BasicMoistAirConditions<T>& conditions, double carbon_dioxide = 400e-6) {
    detail::check_reference(conditions, carbon_dioxide, "reference_air");
    const T kelvin = conditions.temperature.value(), pascal = conditions.pressure.value();
    const T vapour = detail::cipm_vapour_fraction(kelvin, pascal, conditions.relative_humidity);
    return {.temperature = conditions.temperature,
            .pressure = conditions.pressure,
            .humidity_ratio = T(detail::water_to_air_mass_ratio) * vapour / (T(1) - vapour),
            .density = BasicDensity<T>::from_value(detail::cipm_density(kelvin, pascal, vapour, carbon_dioxide)),
            .viscosity = BasicDynamicViscosity<T>::from_value(detail::air_viscosity(kelvin))};
}
template <Deferred...>
inline AirState reference_air(const MoistAirConditions& conditions, double carbon_dioxide = 400e-6) {
    return reference_air<double>(conditions, carbon_dioxide);
}

}   // namespace filterflow
