// SPDX-License-Identifier: BSL-1.0
#pragma once

// The energy of a filter, both ways. Attributable: what the air loses in the filter, over the efficiency of the fan.
// Counterfactual: the fan's power with the filter minus without it, from the two operating points. With a fan at
// fixed speed the second may be negative: the filter starves the system and the fan does less work. So it is never a
// saving, and nothing is ranked on it.

#include <cmath>
#include <optional>

#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Air through a filter over a time, and the efficiency of the fan that moves it.
template <class T>
struct BasicAirService {
    BasicVolumeFlow<T> flow{};      ///< > 0
    BasicPressure<T> mean_drop{};   ///< mean pressure drop over the time, >= 0
    T overall_efficiency{};         ///< wire to air, > 0 and <= 1
    BasicTime<T> running_time{};    ///< >= 0
};
using AirService = BasicAirService<double>;

/// Electric energy attributed to a filter.
///
/// Equation: W = Q dp t / eta
/// Symbols:  Q flow [m3/s], dp mean pressure drop [Pa], t running time [s], eta overall efficiency of fan, drive,
///           motor
/// Validity: constant flow; for a life in a system use filter_air_energy of its last moment, which follows the flow
/// @param  service  flow, mean pressure drop, efficiency, running time
/// @return energy [J]
/// @throws DomainError if an argument is outside its range
/// @source reference conditions of the European filter energy recommendation of 2018 (0.944 m3/s, 6000 h, 0.5); test:
///         cost/fan_energy_test.cpp
template <class T>
BasicEnergy<T> attributable_energy(const BasicAirService<T>& service) {
    constexpr auto where = "attributable_energy";
    const T flow = detail::require_positive(where, "flow", service.flow.value(), "m3/s");
    const T drop = detail::require_non_negative(where, "mean_drop", service.mean_drop.value(), "Pa");
    const T time = detail::require_non_negative(where, "running_time", service.running_time.value(), "s");
    detail::require_positive(where, "overall_efficiency", service.overall_efficiency, "-");
    detail::require_between(where, "overall_efficiency", service.overall_efficiency, 0.0, 1.0, "-");
    return BasicEnergy<T>::from_value(flow * drop * time / service.overall_efficiency);
}
template <Deferred...>
inline Energy attributable_energy(const AirService& service) { return attributable_energy<double>(service); }

/// Shape in which a pressure drop rises between two values.
enum class PressureRise {
    linear,        ///< in proportion to time
    exponential,   ///< by equal factors in equal times
    quadratic      ///< with the square of time, from a level start
};

/// Mean pressure drop over a rise.
///
/// Equation: linear (p0 + p1)/2; exponential (p1 - p0)/ln(p1/p0); quadratic p0 + (p1 - p0)/3
/// Symbols:  p0 first, p1 last pressure drop [Pa]
/// Validity: p0, p1 > 0
/// @param  first  pressure drop at the start [Pa], > 0
/// @param  last  pressure drop at the end [Pa], > 0
/// @param  shape  of the rise between them
/// @return mean over time [Pa]
/// @throws DomainError if a pressure is not > 0
/// @source integrals of the three shapes; test: cost/fan_energy_test.cpp
template <Deferred...>
inline Pressure mean_pressure_drop(Pressure first, Pressure last, PressureRise shape) {
    constexpr auto where = "mean_pressure_drop";
    const double p0 = detail::require_positive(where, "first", first.value(), "Pa");
    const double p1 = detail::require_positive(where, "last", last.value(), "Pa");
    if (shape == PressureRise::linear) return Pressure::from_value(0.5 * (p0 + p1));
    if (shape == PressureRise::quadratic) return Pressure::from_value(p0 + (p1 - p0) / 3.0);
    const double x = (p1 - p0) / p0;
    if (std::abs(x) < 1e-5) return Pressure::from_value(p0 * (1.0 + x * (0.5 - x / 12.0)));
    return Pressure::from_value((p1 - p0) / std::log1p(x));
}

/// A fan with and without a filter.
template <class T>
struct BasicCounterfactual {
    BasicOperatingState<T> with_filter;      ///< operating point as it is
    BasicOperatingState<T> without_filter;   ///< operating point if the filter were not there
    BasicPower<T> power_difference;          ///< with less without: of either sign
    BasicVolumeFlow<T> flow_difference;      ///< with less without: a filter never raises the flow of a falling fan
};
using Counterfactual = BasicCounterfactual<double>;

/// What a system is with and without its filter.
template <class T>
struct BasicFilterInSystem {
    BasicSystemCurve<T> with_filter{};      ///< ducts and filter
    BasicSystemCurve<T> without_filter{};   ///< ducts alone
    BasicFanScale<T> fan_scale{};           ///< factors on the fan's table
};
using FilterInSystem = BasicFilterInSystem<double>;

/// Power of a fan with a filter less its power without, each at its own operating point. To show beside the
/// attributable energy, never to rank on and never a saving: a fan at fixed speed may need less power because the
/// filter starves the system.
///
/// Equation: dP = P(Q_with) - P(Q_without)
/// Symbols:  P fan power [W], Q operating points
/// Validity: both operating points inside the fan's table
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan), with power in its table
/// @param  systems  system with and without the filter
/// @param  air  air at the fan and in the system
/// @return both operating points, difference of power [W] and of flow [m3/s]
/// @throws DomainError if the fan's table has no power or the systems are not valid; NoSolution if one of them has no
///         operating point inside the table
/// @source sign by kind of control: Zaatari, Novoselac, Siegel 2014, Building and Environment 73:151 (abstract);
///         test: cost/fan_energy_test.cpp
template <AnyFan F, class T>
BasicCounterfactual<T> counterfactual_power(const F& fan, const BasicFilterInSystem<T>& systems,
                                            const BasicAirState<T>& air) {
    const auto with = operating_state(fan, systems.with_filter, air, systems.fan_scale);
    const auto without = operating_state(fan, systems.without_filter, air, systems.fan_scale);
    if (!with.power || !without.power) {
        throw DomainError("counterfactual_power: the fan's table has no power; required: a power in every row");
    }
    return {with, without, BasicPower<T>::from_value(with.power->value() - without.power->value()),
            BasicVolumeFlow<T>::from_value(with.flow.value() - without.flow.value())};
}

}   // namespace filterflow
