// SPDX-License-Identifier: BSL-1.0
#pragma once

// The fan's energy over a life or years of service, taken apart: what of it the filters take and what the ducts, each
// stage's share, what the air gets of it and what fan, drive and motor lose; and the energy with the filters less that
// without them, over the same time and for the same air.

#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>

namespace filterflow {

/// A fan's energy in its parts: filters and ducts add up to the whole, so do the air's two parts and the losses.
template <class T>
struct BasicEnergyParts {
    BasicEnergy<T> fan;                   ///< electric, the whole
    BasicEnergy<T> filters;               ///< of it, attributable to the filters
    BasicEnergy<T> ducts;                 ///< of it, attributable to everything else in the system
    std::vector<BasicEnergy<T>> stages;   ///< attributable to each stage; together the filters' part
    BasicEnergy<T> air_in_filters;        ///< what the air loses in the filters
    BasicEnergy<T> air_in_ducts;          ///< what it loses in everything else
    BasicEnergy<T> lost;                  ///< in fan, drive and motor; negative only if the fan's table gives the air
                                          ///< more power than the fan takes
};
using EnergyParts = BasicEnergyParts<double>;

namespace detail {

/// Slope at the middle of three points, by the parabola through them.
template <class T>
T middle_slope(const T& h0, const T& h1, const T& y0, const T& y1, const T& y2) {
    const T s0 = (y1 - y0) / h0, s1 = (y2 - y1) / h1;
    return (h1 * s0 + h0 * s1) / (h0 + h1);
}

/// Integral of samples over rising times, by cubics whose slopes are those of parabolas through neighbours; where two
/// samples stand at one time the quantity jumps and a new stretch begins.
template <class T>
T integral_of_samples(const std::vector<T>& t, const std::vector<T>& y) {
    T sum(0.0);
    std::size_t first = 0;
    while (first + 1 < t.size()) {
        std::size_t last = first;
        while (last + 1 < t.size() && plain_value(t[last + 1]) > plain_value(t[last])) ++last;
        const auto slope = [&](std::size_t i) {
            if (last - first == 1) return T((y[last] - y[first]) / (t[last] - t[first]));
            if (i == first || i == last) {   // continued from the parabola at the neighbour
                const std::size_t m = i == first ? first + 1 : last - 1;
                const T at_m = middle_slope<T>(t[m] - t[m - 1], t[m + 1] - t[m], y[m - 1], y[m], y[m + 1]);
                return T(T(2.0) * (y[i] - y[m]) / (t[i] - t[m]) - at_m);
            }
            return middle_slope<T>(t[i] - t[i - 1], t[i + 1] - t[i], y[i - 1], y[i], y[i + 1]);
        };
        for (std::size_t i = first; i < last; ++i) {
            const T h = t[i + 1] - t[i];
            sum = sum + h * (T(0.5) * (y[i] + y[i + 1]) + h / T(12.0) * (slope(i) - slope(i + 1)));
        }
        first = last + 1;
    }
    return sum;
}

template <class T>
BasicEnergyParts<T> energy_parts_of(std::span<const BasicLifeMoment<T>> moments) {
    constexpr auto where = "energy_parts";
    if (moments.size() < 2) {
        throw_domain_error(where, "number of moments", static_cast<double>(moments.size()), "", "at least 2");
    }
    std::vector<T> t, air;
    std::vector<std::vector<T>> stages(moments.front().stage_drops.size());
    for (const BasicLifeMoment<T>& m : moments) {
        if (!m.power)
            throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
        const T pressure =
            require_positive(where, "external static pressure", m.external_static_pressure.value(), "Pa");
        t.push_back(m.time.value());
        air.push_back(m.flow.value() * pressure);
        for (std::size_t k = 0; k < stages.size(); ++k) {
            stages[k].push_back(m.power->value() * m.stage_drops[k].value() / pressure);
        }
    }
    using E = BasicEnergy<T>;
    const BasicLifeMoment<T>&first = moments.front(), &last = moments.back();
    BasicEnergyParts<T> parts;
    T filters(0.0);
    for (const auto& samples : stages) {
        parts.stages.push_back(E::from_value(integral_of_samples(t, samples)));
        filters = filters + parts.stages.back().value();
    }
    const T fan = last.fan_energy->value() - first.fan_energy->value();
    const T in_filters = last.filter_air_energy.value() - first.filter_air_energy.value();
    const T of_air = integral_of_samples(t, air);
    parts.fan = E::from_value(fan);
    parts.filters = E::from_value(filters);
    parts.ducts = E::from_value(fan - filters);
    parts.air_in_filters = E::from_value(in_filters);
    parts.air_in_ducts = E::from_value(of_air - in_filters);
    parts.lost = E::from_value(fan - of_air);
    return parts;
}

}   // namespace detail

/// A fan's energy over a stretch of service in its parts.
///
/// Equation: W_k = integral P dp_k/p dt (attributable to stage k: what the air loses in it over the efficiency of that
///           moment); filters sum_k W_k, ducts the rest; air integral Q p dt, losses the rest
/// Symbols:  P fan power [W], dp_k pressure drop of stage k, p external static pressure [Pa], Q flow [m3/s], t time
/// Validity: by the fan table's own pressure: where that is static, kinetic energy counts as lost. Integrals other than
///           the fan's and the filters' own are taken by cubics through the moments: some 1e-5 of the whole for those
///           of life_course, which lie close together
/// @param  moments  of a life, or of a history with its jumps where stages are changed; shape (n), n >= 2
/// @return energies [J]
/// @throws DomainError if there are fewer than two moments, the fan's table has no power or its pressure is not > 0
/// @source definition of attributable energy, applied moment by moment; test: cost/fan_energy_test.cpp
template <class T>
BasicEnergyParts<T> energy_parts(const std::vector<BasicLifeMoment<T>>& moments) {
    return detail::energy_parts_of(std::span<const BasicLifeMoment<T>>(moments));
}
template <Deferred...>
inline EnergyParts energy_parts(const std::vector<LifeMoment>& moments) { return energy_parts<double>(moments); }

/// Energy of a fan with its filters less that without them.
template <class T>
struct BasicCounterfactualEnergy {
    BasicEnergy<T> same_time;   ///< over the same running time: of either sign, as the filters may starve the system
    BasicEnergy<T> same_air;    ///< for the same air, which the fan without filters delivers in less time
};
using CounterfactualEnergy = BasicCounterfactualEnergy<double>;

/// Energy of a fan over a stretch of service less what it would have used without any filter. To show beside the
/// attributable energy; that of the same time is no saving where it is negative.
///
/// Equation: same time E - P_0 t; same air E - P_0 V/Q_0
/// Symbols:  E fan energy, t running time, V air delivered; P_0 power and Q_0 flow of the operating point without
///           filters
/// Validity: the system without filters keeps its operating point
/// @param  cycle  running time, air and energy with the filters
/// @param  without  operating point without filters, with its power
/// @return both differences [J]
/// @throws DomainError if an argument is outside its range or the operating point has no power
/// @source definition; test: cost/fan_energy_test.cpp
template <class T>
BasicCounterfactualEnergy<T> counterfactual_energy(const BasicCycle<T>& cycle, const BasicOperatingState<T>& without) {
    constexpr auto where = "counterfactual_energy";
    const T time = detail::require_positive(where, "running time", cycle.time.value(), "s");
    const T air = detail::require_positive(where, "delivered", cycle.delivered.value(), "m3");
    const T energy = detail::require_positive(where, "fan_energy", cycle.fan_energy.value(), "J");
    const T flow = detail::require_positive(where, "flow without filters", without.flow.value(), "m3/s");
    if (!without.power) {
        throw DomainError(std::string(where) + ": the fan's table has no power; required: a power in every row");
    }
    const T power = without.power->value();
    return {BasicEnergy<T>::from_value(energy - power * time), BasicEnergy<T>::from_value(energy - power * air / flow)};
}

}   // namespace filterflow
