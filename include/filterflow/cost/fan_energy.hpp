// SPDX-License-Identifier: BSL-1.0
#pragma once

// The energy of a filter, both ways. Attributable: what the air loses in the filter, over the efficiency of the fan.
// Counterfactual: the fan's power with the filter minus without it, from the two operating points. With a fan at
// fixed speed the second may be negative: the filter starves the system and the fan does less work. So it is never a
// saving, and nothing is ranked on it.

#include <cmath>
#include <optional>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Air through a filter over a time, and the efficiency of the fan that moves it.
template <class T>
struct BasicFilterService {
    BasicVolumeFlow<T> flow{};         ///< > 0
    BasicPressure<T> mean_drop{};      ///< mean pressure drop over the time, >= 0
    T overall_efficiency{};            ///< wire to air, > 0 and <= 1
    BasicTime<T> running_time{};       ///< >= 0
};
using FilterService = BasicFilterService<double>;

/// Electric energy attributed to a filter.
///
/// Equation: W = Q dp t / eta
/// Symbols:  Q flow [m3/s], dp mean pressure drop [Pa], t running time [s], eta overall efficiency of fan, drive, motor
/// Validity: constant flow; for a life in a system use filter_air_energy of its last moment, which follows the flow
/// @param  service  flow, mean pressure drop, efficiency, running time
/// @return energy [J]
/// @throws DomainError if an argument is outside its range
/// @source reference conditions of the European filter energy recommendation of 2018 (0.944 m3/s, 6000 h, 0.5); test:
///         cost/fan_energy_test.cpp
template <class T>
BasicEnergy<T> attributable_energy(const BasicFilterService<T>& service) {
    constexpr auto where = "attributable_energy";
    const T flow = detail::require_positive(where, "flow", service.flow.value(), "m3/s");
    const T drop = detail::require_non_negative(where, "mean_drop", service.mean_drop.value(), "Pa");
    const T time = detail::require_non_negative(where, "running_time", service.running_time.value(), "s");
    detail::require_positive(where, "overall_efficiency", service.overall_efficiency, "-");
    detail::require_between(where, "overall_efficiency", service.overall_efficiency, 0.0, 1.0, "-");
    return BasicEnergy<T>::from_value(flow * drop * time / service.overall_efficiency);
}
inline Energy attributable_energy(const FilterService& service) { return attributable_energy<double>(service); }

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

}   // namespace filterflow
