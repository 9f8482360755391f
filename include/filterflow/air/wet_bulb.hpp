// SPDX-License-Identifier: BSL-1.0
#pragma once

// Air state of a dry-bulb and wet-bulb reading (a sling psychrometer), the wet bulb of an air state, and the enthalpy
// of moist air.

#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/humidity.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// What a psychrometer and a barometer say.
template <class T>
struct BasicWetBulbConditions {
    BasicTemperature<T> temperature;   ///< dry bulb, -100 to 200 degC
    BasicTemperature<T> wet_bulb;      ///< thermodynamic wet bulb, at most the dry bulb
    BasicPressure<T> pressure;         ///< absolute, > 0
};
using WetBulbConditions = BasicWetBulbConditions<double>;

namespace detail {

/// (p - p_ws) times what the wet-bulb equation leaves over: zero at the wet bulb, positive below it. Free of the pole
/// where water boils.
template <class T>
T wet_bulb_residual(const T& dry, const T& wet, const T& pressure, const T& ratio, bool ice) {
    const T t = dry - T(273.15), t_wet = wet - T(273.15);
    const T heat = ice ? T(2830) - T(0.24) * t_wet : T(2501) - T(2.326) * t_wet;
    const T rest = ice ? T(2830) + T(1.86) * t - T(2.1) * t_wet : T(2501) + T(1.86) * t - T(4.186) * t_wet;
    const T saturation = saturation_pressure(wet);
    return (pressure - saturation) * (ratio * rest + T(1.006) * (t - t_wet)) -
           heat * T(water_to_air_mass_ratio) * saturation;
}

/// Its slope by the wet bulb.
template <Deferred...>
inline double wet_bulb_slope(double dry, double wet, double pressure, double ratio, bool ice) {
    const double t = dry - 273.15, t_wet = wet - 273.15;
    const double heat = ice ? 2830.0 - 0.24 * t_wet : 2501.0 - 2.326 * t_wet;
    const double rest = ice ? 2830.0 + 1.86 * t - 2.1 * t_wet : 2501.0 + 1.86 * t - 4.186 * t_wet;
    const double saturation = saturation_pressure(wet);
    const double slope = saturation_slope(wet, saturation);
    return -slope * (ratio * rest + 1.006 * (t - t_wet)) -
           (pressure - saturation) * (ratio * (ice ? 2.1 : 4.186) + 1.006) -
           water_to_air_mass_ratio * (heat * slope - (ice ? 0.24 : 2.326) * saturation);
}

}   // namespace detail

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
    const T kelvin = detail::require_moist_air_kelvin(where, "temperature", conditions.temperature.value());
    const T wet = detail::require_kelvin(where, "wet_bulb", conditions.wet_bulb.value(),
                                         detail::lowest_moist_air_kelvin, detail::plain_value(kelvin),
                                         ", at most the dry bulb");
    detail::require_positive(where, "pressure", conditions.pressure.value(), "Pa");
    const T saturated = humidity_ratio(BasicVapourState<T>{
        BasicPressure<T>::from_value(detail::saturation_pressure(wet)), conditions.pressure});
    const T t = kelvin - T(273.15), t_wet = wet - T(273.15);
    const bool ice = detail::plain_value(t_wet) < 0.0;
    const T heat = ice ? T(2830) - T(0.24) * t_wet : T(2501) - T(2.326) * t_wet;
    const T rest = ice ? T(2830) + T(1.86) * t - T(2.1) * t_wet : T(2501) + T(1.86) * t - T(4.186) * t_wet;
    const T ratio = (heat * saturated - T(1.006) * (t - t_wet)) / rest;
    detail::require_non_negative(where, "humidity ratio of that wet bulb", ratio, "kg/kg");
    return detail::air_of_ratio(conditions.temperature, conditions.pressure, ratio);
}
template <Deferred...>
inline AirState moist_air(const WetBulbConditions& conditions) { return moist_air<double>(conditions); }

/// Wet bulb of an air state: what a wetted thermometer in moving air shows.
///
/// Equation: the humidity ratio of moist_air(WetBulbConditions) is that of the air; solved in double, then one Newton
///           step in T
/// Symbols:  as there
/// Validity: as moist_air; not more water than the air can hold as vapour. The equation over water and the one over ice
///           do not meet at 0 degC: where both have a solution (wet bulbs up to about 0.6 K from it) the one over
///           water is returned
/// @param  air  air state
/// @return wet bulb, at most the temperature [K]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equations from memory); test: air/wet_bulb_test.cpp
template <class T>
BasicTemperature<T> wet_bulb(const BasicAirState<T>& air) {
    constexpr auto where = "wet_bulb";
    detail::check_moist_air(air, where);
    const double dry = detail::plain_value(air.temperature.value());
    const double pressure = detail::plain_value(air.pressure.value());
    const double ratio = detail::plain_value(air.humidity_ratio);
    const auto residual = [&](double wet, bool ice) {
        return detail::wet_bulb_residual(dry, wet, pressure, ratio, ice);
    };
    constexpr double freezing = 273.15;
    if (detail::vapour_pressure(pressure, ratio) > detail::saturation_pressure(dry) * (1.0 + 1e-12)) {
        detail::throw_domain_error(where, "relative humidity", relative_humidity(detail::plain_air(air)), "-",
                                   "at most 1");
    }
    const bool ice = dry < freezing || residual(freezing, false) < -1e-6;   // of about 1e6: rounding is not ice
    const double lower = ice ? detail::lowest_moist_air_kelvin : freezing;
    double upper = ice && dry >= freezing ? freezing : dry;
    // The residual stays negative from where water boils on.
    if (detail::saturation_pressure(upper) > pressure) upper = detail::saturation_kelvin(pressure);
    const double at_lower = residual(lower, ice), at_upper = residual(upper, ice);
    double kelvin = at_upper < 0.0 ? lower : upper;   // saturated air is its own wet bulb
    if (at_upper < 0.0 && at_lower > 0.0) {
        const auto f = [&](double wet) {
            return std::pair(residual(wet, ice), detail::wet_bulb_slope(dry, wet, pressure, ratio, ice));
        };
        kelvin = detail::bracketed_root(f, lower, upper, at_lower, at_upper, 0.5 * (lower + upper), 0.0).location;
    }
    const T left = detail::wet_bulb_residual(T(air.temperature.value()), T(kelvin), T(air.pressure.value()),
                                             air.humidity_ratio, ice);
    const T slope(detail::wet_bulb_slope(dry, kelvin, pressure, ratio, ice));
    return BasicTemperature<T>::from_value(T(kelvin) - (left - T(detail::plain_value(left))) / slope);
}
template <Deferred...>
inline Temperature wet_bulb(const AirState& air) { return wet_bulb<double>(air); }

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
    const T t = detail::require_moist_air_kelvin(where, "temperature", air.temperature.value()) - T(273.15);
    detail::require_non_negative(where, "humidity_ratio", air.humidity_ratio, "kg/kg");
    return BasicSpecificEnergy<T>::from_value(T(1000) *
                                              (T(1.006) * t + air.humidity_ratio * (T(2501) + T(1.86) * t)));
}
template <Deferred...>
inline SpecificEnergy moist_air_enthalpy(const AirState& air) { return moist_air_enthalpy<double>(air); }

}   // namespace filterflow
