// SPDX-License-Identifier: BSL-1.0
#pragma once

// Moist air as a mixture of ideal gases: saturation pressure, humidity ratio, density, and Sutherland's viscosity.

#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

namespace detail {

inline constexpr double dry_air_gas_constant = 287.042;      // J/(kg K)
inline constexpr double water_to_air_mass_ratio = 0.621945;  // of molar masses
inline constexpr double air_to_water_mass_ratio = 1.607858;  // its inverse, as the handbook rounds it
inline constexpr double lowest_moist_air_kelvin = 173.15;
inline constexpr double highest_moist_air_kelvin = 473.15;

/// A temperature within bounds, all in kelvin; the message has them in degC too: what ends here most often is a number
/// of degC taken for kelvin.
template <class T>
const T& require_kelvin(std::string_view where, std::string_view name, const T& kelvin, double lowest, double highest,
                        std::string_view note = {}) {
    const double value = plain_value(kelvin);
    if (value >= lowest && value <= highest) return kelvin;
    const auto range = [](double from, double to, const char* unit) {
        return number_text(from) + " to " + number_text(to) + unit;
    };
    throw_domain_error(where, name, value, "K",
                       "from " + range(lowest, highest, " K (") + range(lowest - 273.15, highest - 273.15, " degC") +
                           std::string(note) + "; given: " + number_text(value - 273.15) + " degC)");
}

template <class T>
const T& require_moist_air_kelvin(std::string_view where, std::string_view name, const T& kelvin) {
    return require_kelvin(where, name, kelvin, lowest_moist_air_kelvin, highest_moist_air_kelvin);
}

/// Saturation pressure [Pa] over ice below 0 degC, over water above.
template <class T>
T saturation_pressure(const T& kelvin) {
    using std::exp;
    using std::log;
    if (plain_value(kelvin) < 273.15) {
        return exp(T(-5.6745359e3) / kelvin + T(6.3925247) +
                   kelvin * (T(-9.6778430e-3) +
                             kelvin * (T(6.2215701e-7) + kelvin * (T(2.0747825e-9) + kelvin * T(-9.4840240e-13)))) +
                   T(4.1635019) * log(kelvin));
    }
    return exp(T(-5.8002206e3) / kelvin + T(1.3914993) +
               kelvin * (T(-4.8640239e-2) + kelvin * (T(4.1764768e-5) + kelvin * T(-1.4452093e-8))) +
               T(6.5459673) * log(kelvin));
}

template <class T>
T humidity_ratio(const T& vapour_pressure, const T& pressure) {
    return T(water_to_air_mass_ratio) * vapour_pressure / (pressure - vapour_pressure);
}

template <class T>
T moist_air_density(const T& kelvin, const T& pressure, const T& ratio) {
    return pressure * (T(1) + ratio) /
           (T(dry_air_gas_constant) * kelvin * (T(1) + T(air_to_water_mass_ratio) * ratio));
}

template <class T>
T air_viscosity(const T& kelvin) {
    using std::sqrt;
    return T(1.458e-6) * kelvin * sqrt(kelvin) / (kelvin + T(110.4));
}

// The same with more derivatives than arguments: differentiated for the arguments, then chained.
template <std::size_t N>
    requires(N > 1)
Dual<N> saturation_pressure(const Dual<N>& kelvin) {
    return chained([](const auto& t) { return saturation_pressure(t); }, kelvin);
}
template <std::size_t N>
    requires(N > 4)
Dual<N> moist_air_density(const Dual<N>& kelvin, const Dual<N>& pressure, const Dual<N>& ratio) {
    return chained([](const auto& t, const auto& p, const auto& w) { return moist_air_density(t, p, w); }, kelvin,
                   pressure, ratio);
}
template <std::size_t N>
    requires(N > 1)
Dual<N> air_viscosity(const Dual<N>& kelvin) {
    return chained([](const auto& t) { return air_viscosity(t); }, kelvin);
}

}   // namespace detail

/// Pressure of saturated water vapour: over ice below 0 degC, over water above.
///
/// Equation: ln p = C1/T + C2 + C3 T + C4 T^2 + C5 T^3 + C6 T^4 + C7 ln T (a set for ice, a set for water)
/// Symbols:  p saturation pressure [Pa], T temperature [K], C constants of the fit
/// Validity: -100 to 200 degC; throws outside
/// @param  temperature  air temperature [K], 173.15 to 473.15
/// @return saturation pressure [Pa]
/// @throws DomainError outside the validity
/// @source Hyland and Wexler 1983, constants as in ASHRAE Handbook Fundamentals, chapter 1 (from memory);
///         test: air/air_state_test.cpp
template <class T>
BasicPressure<T> saturation_pressure(BasicTemperature<T> temperature) {
    const T kelvin = detail::require_moist_air_kelvin("saturation_pressure", "temperature", temperature.value());
    return BasicPressure<T>::from_value(detail::saturation_pressure(kelvin));
}
template <Deferred...>
inline Pressure saturation_pressure(Temperature temperature) { return saturation_pressure<double>(temperature); }

/// What the humidity ratio is worked out from: two pressures, told apart by name.
template <class T>
struct BasicVapourState {
    BasicPressure<T> vapour_pressure;   ///< partial pressure of the water vapour, >= 0
    BasicPressure<T> pressure;          ///< absolute pressure of the mixture, above the vapour's
};
using VapourState = BasicVapourState<double>;

/// Mass of water vapour per mass of dry air.
///
/// Equation: W = 0.621945 p_w / (p - p_w)
/// Symbols:  W humidity ratio [kg/kg], p_w partial pressure of the vapour [Pa], p pressure [Pa]
/// Validity: ideal gases (at saturation and 25 degC about 0.5 % below the real-gas value)
/// @param  state  vapour pressure [Pa], >= 0, and pressure [Pa], greater than the vapour's
/// @return humidity ratio [kg/kg]
/// @throws DomainError outside the validity
/// @source ASHRAE Handbook Fundamentals, chapter 1 (equation from memory); test: air/air_state_test.cpp
template <class T>
T humidity_ratio(const BasicVapourState<T>& state) {
    constexpr auto where = "humidity_ratio";
    detail::require_non_negative(where, "vapour_pressure", state.vapour_pressure.value(), "Pa");
    detail::require_positive(where, "pressure", state.pressure.value(), "Pa");
    if (!(state.pressure.value() > state.vapour_pressure.value())) {
        detail::throw_domain_error(
            where, "pressure", detail::plain_value(state.pressure.value()), "Pa",
            "above the vapour pressure " +
                detail::number_text(detail::plain_value(state.vapour_pressure.value())) + " Pa");
    }
    return detail::humidity_ratio(state.vapour_pressure.value(), state.pressure.value());
}
template <Deferred...>
inline double humidity_ratio(const VapourState& state) { return humidity_ratio<double>(state); }

/// Dynamic viscosity of dry air; moisture, which lowers it by 1 % in saturated air of 20 degC and
/// 2 % at 30 degC (by Wilke's rule, from memory), is left out.
///
/// Equation: mu = 1.458e-6 T^1.5 / (T + 110.4)
/// Symbols:  mu viscosity [Pa s], T temperature [K]
/// Validity: 170 to 1900 K; throws outside; independent of pressure near one atmosphere
/// @param  temperature  air temperature [K], 170 to 1900
/// @return dynamic viscosity [Pa s]
/// @throws DomainError outside the validity
/// @source US Standard Atmosphere 1976 (Sutherland); test: air/air_state_test.cpp
template <class T>
BasicDynamicViscosity<T> air_viscosity(BasicTemperature<T> temperature) {
    const T kelvin = detail::require_kelvin("air_viscosity", "temperature", temperature.value(), 170.0, 1900.0);
    return BasicDynamicViscosity<T>::from_value(detail::air_viscosity(kelvin));
}
template <Deferred...>
inline DynamicViscosity air_viscosity(Temperature temperature) { return air_viscosity<double>(temperature); }

}   // namespace filterflow
