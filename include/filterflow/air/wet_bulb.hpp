// SPDX-License-Identifier: BSL-1.0
#pragma once

// Air state of a dry-bulb and wet-bulb reading (a sling psychrometer), and the enthalpy of moist air.

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// What a psychrometer and a barometer say.
template <class T>
struct BasicWetBulbConditions {
    BasicTemperature<T> temperature;   ///< dry bulb, -100 to 200 degC
    BasicTemperature<T> wet_bulb;      ///< thermodynamic wet bulb, at most the dry bulb
    BasicPressure<T> pressure;         ///< absolute, > 0
};
using WetBulbConditions = BasicWetBulbConditions<double>;

/// Air state of a reading of dry bulb, wet bulb and pressure.
///
/// Equation: W = [(2501 - 2.326 t*) W* - 1.006 (t - t*)] / (2501 + 1.86 t - 4.186 t*) for t* >= 0 degC,
///           W = [(2830 - 0.24 t*) W* - 1.006 (t - t*)] / (2830 + 1.86 t - 2.1 t*) below; the rest as moist_air
/// Symbols:  t dry, t* wet bulb [degC], W humidity ratio, W* that of saturation at t* [kg/kg]
/// Validity: as moist_air; a wet bulb so low that W < 0 is refused
/// @param  conditions  dry bulb and wet bulb [K], wet bulb at most the dry bulb; absolute pressure [Pa], > 0
/// @return air state
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equations from memory); test: air/wet_bulb_test.cpp
template <class T>
BasicAirState<T> moist_air(const BasicWetBulbConditions<T>& conditions) {
    constexpr auto where = "moist_air(WetBulbConditions)";
    const T kelvin = detail::require_between(where, "temperature", conditions.temperature.value(),
                                             detail::lowest_moist_air_kelvin, detail::highest_moist_air_kelvin, "K");
    const T wet = detail::require_between(where, "wet_bulb", conditions.wet_bulb.value(),
                                          detail::lowest_moist_air_kelvin, detail::plain_value(kelvin), "K");
    const T pressure = detail::require_positive(where, "pressure", conditions.pressure.value(), "Pa");
    const T saturated = humidity_ratio(BasicVapourState<T>{
        BasicPressure<T>::from_value(detail::saturation_pressure(wet)), conditions.pressure});
    const T t = kelvin - T(273.15), t_wet = wet - T(273.15);
    const bool ice = detail::plain_value(t_wet) < 0.0;
    const T heat = ice ? T(2830) - T(0.24) * t_wet : T(2501) - T(2.326) * t_wet;
    const T rest = ice ? T(2830) + T(1.86) * t - T(2.1) * t_wet : T(2501) + T(1.86) * t - T(4.186) * t_wet;
    const T ratio = (heat * saturated - T(1.006) * (t - t_wet)) / rest;
    detail::require_non_negative(where, "humidity ratio of that wet bulb", ratio, "kg/kg");
    return {.temperature = conditions.temperature,
            .pressure = conditions.pressure,
            .humidity_ratio = ratio,
            .density = BasicDensity<T>::from_value(detail::moist_air_density(kelvin, pressure, ratio)),
            .viscosity = BasicDynamicViscosity<T>::from_value(detail::air_viscosity(kelvin))};
}
inline AirState moist_air(const WetBulbConditions& conditions) { return moist_air<double>(conditions); }

/// Enthalpy of moist air per mass of dry air, zero for dry air and for water at 0 degC.
///
/// Equation: h = 1.006 t + W (2501 + 1.86 t)
/// Symbols:  h enthalpy [kJ/kg], t temperature [degC], W humidity ratio [kg/kg]
/// Validity: -100 to 200 degC; throws outside
/// @param  air  air state
/// @return enthalpy per mass of dry air [J/kg]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equation from memory); test: air/wet_bulb_test.cpp
template <class T>
BasicSpecificEnergy<T> moist_air_enthalpy(const BasicAirState<T>& air) {
    constexpr auto where = "moist_air_enthalpy";
    const T t = detail::require_between(where, "temperature", air.temperature.value(),
                                        detail::lowest_moist_air_kelvin, detail::highest_moist_air_kelvin, "K") -
                T(273.15);
    detail::require_non_negative(where, "humidity_ratio", air.humidity_ratio, "kg/kg");
    return BasicSpecificEnergy<T>::from_value(T(1000) *
                                              (T(1.006) * t + air.humidity_ratio * (T(2501) + T(1.86) * t)));
}
inline SpecificEnergy moist_air_enthalpy(const AirState& air) { return moist_air_enthalpy<double>(air); }

}   // namespace filterflow
