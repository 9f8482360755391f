// SPDX-License-Identifier: BSL-1.0
#pragma once

// How moist an air state is, read from the state: vapour pressure, relative humidity, dry-air density, dew point. And
// air states of readings that give the moisture as a dew point or as a humidity ratio.

#include <cmath>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/air/psychrometrics.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// A reading of temperature, dew point and pressure (a chilled mirror).
template <class T>
struct BasicDewPointConditions {
    BasicTemperature<T> temperature;   ///< dry bulb, -100 to 200 degC
    BasicTemperature<T> dew_point;     ///< at most the dry bulb; below 0 degC the frost point
    BasicPressure<T> pressure;         ///< absolute, > 0
};
using DewPointConditions = BasicDewPointConditions<double>;

/// Temperature, pressure and a known content of water.
template <class T>
struct BasicHumidityRatioConditions {
    BasicTemperature<T> temperature;   ///< dry bulb, -100 to 200 degC
    BasicPressure<T> pressure;         ///< absolute, > 0
    T humidity_ratio;                  ///< mass of vapour per mass of dry air, >= 0, at most that of saturation
};
using HumidityRatioConditions = BasicHumidityRatioConditions<double>;

namespace detail {

/// Temperature and moisture of an air state in their ranges.
template <class T>
void check_moist_air(const BasicAirState<T>& air, const char* where) {
    require_moist_air_kelvin(where, "air temperature", air.temperature.value());
    require_positive(where, "air pressure", air.pressure.value(), "Pa");
    require_non_negative(where, "air humidity_ratio", air.humidity_ratio, "kg/kg");
}

template <class T>
T vapour_pressure(const T& pressure, const T& ratio) {
    return pressure * ratio / (ratio + T(water_to_air_mass_ratio));
}

/// Slope of the saturation pressure by temperature [Pa/K].
inline double saturation_slope(double kelvin, double saturation) {
    const double t = kelvin;
    const double of_log =
        kelvin < 273.15
            ? 5.6745359e3 / (t * t) - 9.6778430e-3 +
                  t * (2.0 * 6.2215701e-7 + t * (3.0 * 2.0747825e-9 - t * 4.0 * 9.4840240e-13)) + 4.1635019 / t
            : 5.8002206e3 / (t * t) - 4.8640239e-2 + t * (2.0 * 4.1764768e-5 - t * 3.0 * 1.4452093e-8) + 6.5459673 / t;
    return saturation * of_log;
}

/// Temperature at which a vapour pressure is that of saturation, between the limits of the fit. The two fits, over ice
/// and over water, are 0.06 Pa apart at 0 degC; pressures between them belong to 0 degC.
template <Deferred...>
inline double saturation_kelvin(double vapour) {
    constexpr double freezing = 273.15;
    const double over_ice = saturation_pressure(std::nextafter(freezing, 0.0));
    const double over_water = saturation_pressure(freezing);
    if (vapour >= over_ice && vapour <= over_water) return freezing;
    const bool ice = vapour < over_ice;
    const double lower = ice ? lowest_moist_air_kelvin : freezing;
    const double upper = ice ? std::nextafter(freezing, 0.0) : highest_moist_air_kelvin;
    // ln p is nearly linear in 1/T: the secant in these is a start within some tenths of a kelvin.
    const double wanted = std::log(vapour);
    const double log_lower = std::log(saturation_pressure(lower)), log_upper = std::log(saturation_pressure(upper));
    const double share = (wanted - log_lower) / (log_upper - log_lower);
    const double guess = 1.0 / (1.0 / lower + share * (1.0 / upper - 1.0 / lower));
    const auto f = [&](double kelvin) {
        const double saturation = saturation_pressure(kelvin);
        return std::pair(std::log(saturation) - wanted, saturation_slope(kelvin, saturation) / saturation);
    };
    return bracketed_root(f, lower, upper, log_lower - wanted, log_upper - wanted, guess, 0.0).location;
}

template <class T>
BasicAirState<T> air_of_ratio(const BasicTemperature<T>& temperature, const BasicPressure<T>& pressure,
                              const T& ratio) {
    return {.temperature = temperature,
            .pressure = pressure,
            .humidity_ratio = ratio,
            .density = BasicDensity<T>::from_value(moist_air_density(temperature.value(), pressure.value(), ratio)),
            .viscosity = BasicDynamicViscosity<T>::from_value(air_viscosity(temperature.value()))};
}

}   // namespace detail

/// Partial pressure of the water vapour in an air state.
///
/// Equation: p_w = p W / (W + 0.621945)
/// Symbols:  p pressure [Pa], W humidity ratio [kg/kg]
/// Validity: ideal gases; -100 to 200 degC
/// @param  air  air state
/// @return vapour pressure [Pa]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equation from memory); test: air/humidity_test.cpp
template <class T>
BasicPressure<T> vapour_pressure(const BasicAirState<T>& air) {
    detail::check_moist_air(air, "vapour_pressure");
    return BasicPressure<T>::from_value(detail::vapour_pressure(T(air.pressure.value()), air.humidity_ratio));
}
template <Deferred...>
inline Pressure vapour_pressure(const AirState& air) { return vapour_pressure<double>(air); }

/// Relative humidity of an air state: over ice below 0 degC, over water above. More than one says that the air
/// holds more water than it can as vapour; it is returned as it is.
///
/// Equation: phi = p_w / p_ws(T)
/// Symbols:  p_w vapour pressure [Pa], p_ws saturation pressure [Pa], T temperature [K]
/// Validity: ideal gases; -100 to 200 degC
/// @param  air  air state
/// @return relative humidity [-]
/// @throws DomainError outside the validity
/// @source definition; test: air/humidity_test.cpp
template <class T>
T relative_humidity(const BasicAirState<T>& air) {
    detail::check_moist_air(air, "relative_humidity");
    return detail::vapour_pressure(T(air.pressure.value()), air.humidity_ratio) /
           detail::saturation_pressure(T(air.temperature.value()));
}
template <Deferred...>
inline double relative_humidity(const AirState& air) { return relative_humidity<double>(air); }

/// Mass of dry air in a volume of moist air: one over the specific volume that charts of moist air show. Where air is
/// humidified or dried on its way, the flow of this mass is what stays.
///
/// Equation: rho_a = rho / (1 + W)
/// Symbols:  rho density of the moist air [kg/m3], W humidity ratio [kg/kg]
/// Validity: any air state
/// @param  air  air state
/// @return mass of dry air per volume [kg/m3]
/// @throws DomainError if the density is not > 0 or the humidity ratio is negative
/// @source definition; test: air/humidity_test.cpp
template <class T>
BasicDensity<T> dry_air_density(const BasicAirState<T>& air) {
    constexpr auto where = "dry_air_density";
    const T density = detail::require_positive(where, "air density", T(air.density.value()), "kg/m3");
    const T ratio = detail::require_non_negative(where, "air humidity_ratio", air.humidity_ratio, "kg/kg");
    return BasicDensity<T>::from_value(density / (T(1) + ratio));
}
template <Deferred...>
inline Density dry_air_density(const AirState& air) { return dry_air_density<double>(air); }

/// Dew point of an air state: the temperature to which it cools before water or, below 0 degC, ice leaves it.
///
/// Equation: p_ws(T_d) = p_w; solved in double, then one Newton step in T
/// Symbols:  p_ws saturation pressure [Pa], T_d dew point [K], p_w vapour pressure [Pa]
/// Validity: ideal gases; dew points of -100 to 200 degC; throws outside. Dry air has none
/// @param  air  air state with a vapour pressure between those of saturation at -100 and 200 degC
/// @return dew point, below 0 degC the frost point [K]
/// @throws DomainError outside the validity
/// @source definition; saturation pressure as saturation_pressure; test: air/humidity_test.cpp
template <class T>
BasicTemperature<T> dew_point(const BasicAirState<T>& air) {
    constexpr auto where = "dew_point";
    detail::check_moist_air(air, where);
    const T vapour = detail::vapour_pressure(T(air.pressure.value()), air.humidity_ratio);
    const double p = detail::require_between(where, "vapour pressure", detail::plain_value(vapour),
                                             detail::saturation_pressure(detail::lowest_moist_air_kelvin),
                                             detail::saturation_pressure(detail::highest_moist_air_kelvin), "Pa");
    const double dry = detail::plain_value(air.temperature.value());
    double kelvin = detail::saturation_kelvin(p);
    if (kelvin > dry && kelvin <= dry * (1.0 + 1e-13)) kelvin = dry;   // saturated air, but for rounding
    const double slope = detail::saturation_slope(kelvin, detail::saturation_pressure(kelvin));
    return BasicTemperature<T>::from_value(T(kelvin) + (vapour - T(p)) / T(slope));
}
template <Deferred...>
inline Temperature dew_point(const AirState& air) { return dew_point<double>(air); }

/// Air state of a reading of temperature, dew point and pressure.
///
/// Equation: p_w = p_ws(T_d); the rest as moist_air of temperature, pressure and relative humidity
/// Symbols:  p_w vapour pressure [Pa], p_ws saturation pressure [Pa], T_d dew point [K]
/// Validity: ideal gases; -100 to 200 degC, the vapour pressure below the pressure
/// @param  conditions  temperature and dew point [K], absolute pressure [Pa]
/// @return air state
/// @throws DomainError outside the validity, or if the dew point lies above the temperature
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equations from memory); test: air/humidity_test.cpp
template <class T>
BasicAirState<T> moist_air(const BasicDewPointConditions<T>& conditions) {
    constexpr auto where = "moist_air(DewPointConditions)";
    const T kelvin = detail::require_moist_air_kelvin(where, "temperature", T(conditions.temperature.value()));
    const T dew = detail::require_kelvin(where, "dew_point", T(conditions.dew_point.value()),
                                         detail::lowest_moist_air_kelvin, detail::plain_value(kelvin),
                                         ", at most the dry bulb");
    const T ratio = humidity_ratio(BasicVapourState<T>{
        BasicPressure<T>::from_value(detail::saturation_pressure(dew)), conditions.pressure});
    return detail::air_of_ratio(conditions.temperature, conditions.pressure, ratio);
}
template <Deferred...>
inline AirState moist_air(const DewPointConditions& conditions) { return moist_air<double>(conditions); }

/// Air state of a temperature, a pressure and a humidity ratio.
///
/// Equation: as moist_air of temperature, pressure and relative humidity, the humidity ratio being given
/// Symbols:  none
/// Validity: ideal gases; -100 to 200 degC; not more water than the air can hold as vapour
/// @param  conditions  temperature [K], absolute pressure [Pa], humidity ratio [kg/kg]
/// @return air state
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equations from memory); test: air/humidity_test.cpp
template <class T>
BasicAirState<T> moist_air(const BasicHumidityRatioConditions<T>& conditions) {
    constexpr auto where = "moist_air(HumidityRatioConditions)";
    const T kelvin = detail::require_moist_air_kelvin(where, "temperature", T(conditions.temperature.value()));
    const T pressure = detail::require_positive(where, "pressure", T(conditions.pressure.value()), "Pa");
    const T ratio = detail::require_non_negative(where, "humidity_ratio", conditions.humidity_ratio, "kg/kg");
    const double vapour = detail::plain_value(detail::vapour_pressure(pressure, ratio));
    const double saturation = detail::saturation_pressure(detail::plain_value(kelvin));
    if (!(vapour <= saturation * (1.0 + 1e-12))) {   // saturated air may come back from its own ratio
        const double most = detail::humidity_ratio(saturation, detail::plain_value(pressure));
        detail::throw_domain_error(where, "humidity_ratio", detail::plain_value(ratio), "kg/kg",
                                   "at most " + detail::number_text(most) + " kg/kg, that of saturation");
    }
    return detail::air_of_ratio(conditions.temperature, conditions.pressure, ratio);
}
template <Deferred...>
inline AirState moist_air(const HumidityRatioConditions& conditions) { return moist_air<double>(conditions); }

}   // namespace filterflow
