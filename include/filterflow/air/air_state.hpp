// SPDX-License-Identifier: BSL-1.0
#pragma once

// The air of an evaluation: temperature, pressure, moisture, density and viscosity. Every model that depends on
// air takes one, without a default. Also the four standard airs of the trade, each under its own name.

#include <limits>

#include <filterflow/air/atmosphere.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// The state of the air that a model is evaluated in.
template <class T>
struct BasicAirState {
    BasicTemperature<T> temperature;     ///< thermodynamic, > 0
    BasicPressure<T> pressure;           ///< absolute, > 0
    T humidity_ratio;                    ///< mass of vapour per mass of dry air, >= 0
    BasicDensity<T> density;             ///< of the moist air, > 0
    BasicDynamicViscosity<T> viscosity;  ///< > 0
};
using AirState = BasicAirState<double>;

/// What one reads off the instruments of a room.
template <class T>
struct BasicMoistAirConditions {
    BasicTemperature<T> temperature;   ///< dry bulb, -100 to 200 degC
    BasicPressure<T> pressure;         ///< absolute, > 0; a barometer at the place, not reduced to sea level
    T relative_humidity;               ///< 0 to 1
};
using MoistAirConditions = BasicMoistAirConditions<double>;

namespace detail {

/// Says which of an air's values is out of its range. Cold, so that the question below stays small enough to inline.
template <class T>
[[gnu::cold]] void refuse_air(const BasicAirState<T>& air, const char* where) {
    require_positive(where, "air density", air.density.value(), "kg/m3");
    require_positive(where, "air viscosity", air.viscosity.value(), "Pa s");
}

inline bool is_positive_number(double x) { return x > 0.0 && x <= std::numeric_limits<double>::max(); }

template <class T>
bool is_valid(const BasicAirState<T>& air) {
    return is_positive_number(plain_value(air.density.value())) &&
           is_positive_number(plain_value(air.viscosity.value()));
}

/// Every evaluation asks this, so it is one cheap question; the words are made where the answer is no.
template <class T>
void check_air(const BasicAirState<T>& air, const char* where) {
    if (!is_valid(air)) refuse_air(air, where);
}

/// The values alone, where a structure is searched for without derivatives.
inline const AirState& plain_air(const AirState& air) { return air; }
template <class T>
AirState plain_air(const BasicAirState<T>& air) {
    return {.temperature = Temperature::from_value(plain_value(air.temperature.value())),
            .pressure = Pressure::from_value(plain_value(air.pressure.value())),
            .humidity_ratio = plain_value(air.humidity_ratio),
            .density = Density::from_value(plain_value(air.density.value())),
            .viscosity = DynamicViscosity::from_value(plain_value(air.viscosity.value()))};
}

/// A standard air: density by definition, viscosity from the temperature.
template <Deferred...>
inline AirState standard_air(double kelvin, double density, double ratio) {
    return {.temperature = Temperature::from_value(kelvin),
            .pressure = Pressure::from_value(sea_level_pressure),
            .humidity_ratio = ratio,
            .density = Density::from_value(density),
            .viscosity = DynamicViscosity::from_value(air_viscosity(kelvin))};
}

}   // namespace detail

/// Air state of a reading of temperature, pressure and relative humidity.
///
/// Equation: p_w = phi p_ws(T); W = 0.621945 p_w/(p - p_w); rho = p (1 + W) / (287.042 T (1 + 1.607858 W));
///           mu = 1.458e-6 T^1.5/(T + 110.4)
/// Symbols:  phi relative humidity, p_ws saturation pressure [Pa], p_w vapour pressure [Pa], p pressure [Pa],
///           W humidity ratio [kg/kg], rho density [kg/m3], mu viscosity [Pa s], T temperature [K]
/// Validity: -100 to 200 degC, vapour pressure below the pressure; ideal gases (density 0.02 to 0.06 % below CIPM-2007
///           at room conditions)
/// @param  conditions  temperature [K] 173.15 to 473.15, absolute pressure [Pa] > 0, relative humidity 0 to 1
/// @return air state
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equations from memory); US Standard Atmosphere 1976
///         (viscosity); test: air/air_state_test.cpp
template <class T>
BasicAirState<T> moist_air(const BasicMoistAirConditions<T>& conditions) {
    constexpr auto where = "moist_air";
    const T kelvin = detail::require_moist_air_kelvin(where, "temperature", conditions.temperature.value());
    const T pressure = detail::require_positive(where, "pressure", conditions.pressure.value(), "Pa");
    detail::require_between(where, "relative_humidity", conditions.relative_humidity, 0.0, 1.0, "-");
    const T vapour = conditions.relative_humidity * detail::saturation_pressure(kelvin);
    if (!(vapour < pressure)) {
        detail::throw_domain_error(where, "pressure", detail::plain_value(pressure), "Pa",
                                   "above the vapour pressure " +
                                       detail::number_text(detail::plain_value(vapour)) +
                                       " Pa of that temperature and humidity");
    }
    const T ratio = detail::humidity_ratio(vapour, pressure);
    return {.temperature = conditions.temperature,
            .pressure = conditions.pressure,
            .humidity_ratio = ratio,
            .density = BasicDensity<T>::from_value(detail::moist_air_density(kelvin, pressure, ratio)),
            .viscosity = BasicDynamicViscosity<T>::from_value(detail::air_viscosity(kelvin))};
}
template <Deferred...>
inline AirState moist_air(const MoistAirConditions& conditions) { return moist_air<double>(conditions); }

/// An air state as one of another scalar (a dual number), with derivatives zero.
///
/// Equation: none
/// Symbols:  none
/// Validity: any air state
/// @param  air  air state in double
/// @return the same state with values of type T
/// @throws nothing
/// @source none needed; test: air/air_state_test.cpp
template <class T>
BasicAirState<T> air_as(const AirState& air) {
    return {.temperature = BasicTemperature<T>::from_value(T(air.temperature.value())),
            .pressure = BasicPressure<T>::from_value(T(air.pressure.value())),
            .humidity_ratio = T(air.humidity_ratio),
            .density = BasicDensity<T>::from_value(T(air.density.value())),
            .viscosity = BasicDynamicViscosity<T>::from_value(T(air.viscosity.value()))};
}

/// Air that duct tables are made for: 1.204 kg/m3, dry, 20 degC, 101.325 kPa.
///
/// Equation: rho = 1.204 kg/m3 by definition; viscosity of 20 degC
/// Symbols:  rho density
/// Validity: everywhere
/// @return air state
/// @throws nothing
/// @source ASHRAE Handbook Fundamentals, duct design; test: air/air_state_test.cpp
template <Deferred...>
inline AirState duct_design_air() { return detail::standard_air(293.15, 1.204, 0.0); }

/// Air that fan tables in inch-pound units are made for: 0.075 lb/ft3 (1.2014 kg/m3), dry, 70 degF, 101.325 kPa.
///
/// Equation: rho = 0.075 lb/ft3 by definition; viscosity of 70 degF
/// Symbols:  rho density
/// Validity: everywhere
/// @return air state
/// @throws nothing
/// @source fan trade practice (from memory); test: air/air_state_test.cpp
template <Deferred...>
inline AirState fan_table_air() {
    return detail::standard_air(from_fahrenheit(70.0).value(), 0.075 * units::lb_per_ft3.one.value(), 0.0);
}

/// Air that fan test standards in SI refer to: 1.2 kg/m3, 20 degC, about 50 % relative humidity, 101.325 kPa.
///
/// Equation: rho = 1.2 kg/m3 by definition; viscosity of 20 degC
/// Symbols:  rho density
/// Validity: everywhere
/// @return air state
/// @throws nothing
/// @source fan test standards (from memory); test: air/air_state_test.cpp
template <Deferred...>
inline AirState fan_test_air() { return detail::standard_air(293.15, 1.2, 0.00726); }

/// Air of the standard atmosphere at sea level: 1.225 kg/m3, dry, 15 degC, 101.325 kPa.
///
/// Equation: rho = 1.225 kg/m3 by definition; viscosity of 15 degC
/// Symbols:  rho density
/// Validity: everywhere
/// @return air state
/// @throws nothing
/// @source US Standard Atmosphere 1976; test: air/air_state_test.cpp
template <Deferred...>
inline AirState isa_sea_level_air() { return detail::standard_air(288.15, 1.225, 0.0); }

}   // namespace filterflow
