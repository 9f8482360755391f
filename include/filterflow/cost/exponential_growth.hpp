// SPDX-License-Identifier: BSL-1.0
#pragma once

// Closed form of the best change interval where the pressure drop doubles in equal times: Lambert's W, so this header
// brings Boost.Math.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/least_average.hpp>
#include <filterflow/numeric/lambert_w.hpp>

namespace filterflow {

/// A filter whose pressure drop doubles in equal times at constant flow, and what it costs.
struct ExponentialGrowthCost {
    Money change{};                    ///< filter, labour and disposal, > 0
    EnergyPrice electricity{};         ///< > 0
    VolumeFlow flow{};                 ///< constant, > 0
    double overall_efficiency = 0.0;   ///< wire to air, > 0 and <= 1
    Pressure first_drop{};             ///< of the clean filter, > 0
    Time doubling_time{};              ///< of the pressure drop, > 0
};

/// Best change interval where the pressure drop doubles in equal times and the flow is held.
///
/// Equation: (k T - 1) e^(k T) = k K / (c p0) - 1, so k T = 1 + W0[(k K / (c p0) - 1) / e]; C = c p0 e^(k T)
/// Symbols:  k = ln 2 / doubling time, K cost of a change, c cost of a pascal for a time (price Q / eta), p0 first
///           pressure drop, W0 principal branch of Lambert's W, C average cost rate
/// Validity: constant flow, no discounting, no limits
/// @param  costs  prices, flow, efficiency and the pressure's growth
/// @return interval, cost rate there, pressure drop when changed
/// @throws DomainError if an argument is outside its range
/// @source minimum of the average cost, by hand; test: cost/least_average_test.cpp
template <Deferred...>
inline ClosedFormInterval best_interval_for_exponential_growth(const ExponentialGrowthCost& costs) {
    constexpr auto where = "best_interval_for_exponential_growth";
    const double change = detail::require_positive(where, "change", costs.change.value(), "money");
    const double c = detail::cost_per_pascal(costs.electricity, costs.flow, costs.overall_efficiency, where);
    const double p0 = detail::require_positive(where, "first_drop", costs.first_drop.value(), "Pa");
    const double k =
        0.6931471805599453 / detail::require_positive(where, "doubling_time", costs.doubling_time.value(), "s");
    const double argument = (k * change / (c * p0) - 1.0) / 2.718281828459045;
    const double kt = detail::require_finite(where, "result", 1.0 + lambert_w(argument), "-");
    const double drop = p0 * std::exp(kt);
    return {Time::from_value(kt / k), MoneyRate::from_value(c * drop), Pressure::from_value(drop)};
}

}   // namespace filterflow
