// SPDX-License-Identifier: BSL-1.0
#pragma once

// The change interval of least cost where each month's greatest power has a price: no closed condition tells it, so
// the cost of a cycle is taken from the life until there. Also what a life until some time costs, for others that move
// along it. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/cost_course.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow::detail {

/// What moments from clean filters to a change are as a cycle, with the months' greatest power where it has a price.
template <class T>
BasicCycle<T> cycle_of(const std::vector<BasicLifeMoment<T>>& moments, const BasicServicePrices<T>& prices,
                       const T& running_fraction, const char* where) {
    BasicCycle<T> cycle = cycle_until(moments.back(), where);
    if (prices.demand) cycle.monthly_peak = mean_monthly_peak(moments, running_fraction);
    return cycle;
}

template <class T>
T average_of(const BasicServiceCost<T>& cost, ServiceBasis basis) {
    if (basis == ServiceBasis::clean_air_delivered && cost.per_clean_air) return cost.per_clean_air->value();
    if (basis == ServiceBasis::running_time) return cost.annual_cost.value() / cost.annual_running_time.value();
    return cost.per_volume.value();
}

/// Average cost of a service whose filters are changed after a running time.
template <class T>
T average_until(BasicFilterLifeInput<T> input, const BasicServicePrices<T>& prices, ServiceBasis basis,
                double seconds) {
    constexpr auto where = "find_change_interval";
    input.horizon = BasicTime<T>::from_value(T(seconds));
    const auto life = filter_life(input);
    return average_of(service_cost(cycle_of<T>(life.moments, prices, input.running_fraction, where), prices), basis);
}

/// Its slope in plain numbers, over a twentieth of the time.
template <class T>
T average_slope(const BasicFilterLifeInput<T>& input, const BasicServicePrices<T>& prices, ServiceBasis basis,
                double seconds, double end) {
    const double upper = std::min(1.05 * seconds, end), lower = 0.95 * seconds;
    return (average_until(input, prices, basis, upper) - average_until(input, prices, basis, lower)) /
           T(upper - lower);
}

/// The running time of least average cost inside a life, with its derivatives; none where the life's end is cheapest.
template <class T>
std::optional<T> change_with_demand(const BasicFilterLifeInput<T>& input, const BasicServicePrices<T>& prices,
                                    ServiceBasis basis, const BasicFilterLife<T>& life,
                                    const std::vector<double>& averages) {
    const auto least = std::min_element(averages.begin(), averages.end());
    const auto k = static_cast<std::size_t>(least - averages.begin());
    if (k + 1 == averages.size()) return std::nullopt;
    const auto time = [&](std::size_t i) { return plain_value(life.moments[i].time.value()); };
    const auto average = [&](double t) { return plain_value(average_until(input, prices, basis, t)); };
    constexpr double golden = 0.6180339887498949;
    double lower = std::max(time(k - 1), 1e-3 * time(k)), upper = time(k + 1);
    double a = upper - golden * (upper - lower), b = lower + golden * (upper - lower);
    double at_a = average(a), at_b = average(b);
    while (upper - lower > 1e-5 * upper) {
        if (at_a < at_b) {
            upper = b;
            b = a;
            at_b = at_a;
            a = upper - golden * (upper - lower);
            at_a = average(a);
        } else {
            lower = a;
            a = b;
            at_a = at_b;
            b = lower + golden * (upper - lower);
            at_b = average(b);
        }
    }
    const double best = 0.5 * (lower + upper), end = plain_value(life.time.value());
    if (average(best) > averages.back()) return std::nullopt;
    const double step = std::min(0.05 * best, end - best);   // of the curvature, wide against the steps of the life
    const double curvature =
        (plain_value(average_slope(input, prices, basis, best + step, end)) -
         plain_value(average_slope(input, prices, basis, best - step, end))) / (2.0 * step);
    const T slope = average_slope(input, prices, basis, best, end);
    return curvature > 0.0 ? T(best) - (slope - T(plain_value(slope))) / T(curvature) : T(best);
}

}   // namespace filterflow::detail
