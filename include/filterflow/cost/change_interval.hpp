// SPDX-License-Identifier: BSL-1.0
#pragma once

// When to change a filter: where the cost of the next cubic metre of air, at the price of electricity, has risen to the
// average cost of all since the last change, filters and labour included; earlier if a limit is met first.
//
// The running cost is counted per volume of air, not per hour. With a fan at fixed speed the power falls as the filter
// loads, so cost per hour would say "never change"; the flow falls faster, and the cost of the air still rises.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

/// Why a change interval is what it is.
enum class ChangeIntervalReason {
    cost_optimum,          ///< the running cost has met the average cost
    limit,                 ///< a limit comes first: the life's end says which
    none_within_horizon,   ///< neither within the horizon: no interval is named
    no_service             ///< no operating point with the clean filter, or a limit is broken by it
};

/// Cost if the filter were changed at one time.
struct ChangeIntervalSample {
    Time interval;            ///< running time between changes
    MoneyPerVolume average;   ///< changes and energy over air delivered
    MoneyPerVolume running;   ///< energy of the next volume of air
    Money annual_cost;        ///< at equal service
};

/// A change interval and what it rests on.
template <class T>
struct BasicChangeInterval {
    ChangeIntervalReason reason = ChangeIntervalReason::no_service;   ///< why it is what it is
    std::string text;                                                 ///< the same in words
    std::optional<BasicTime<T>> interval{};       ///< running time between changes; absent if none can be named
    std::optional<BasicTime<T>> age{};            ///< the same in calendar time
    std::optional<BasicServiceCost<T>> cost{};    ///< at equal service with that interval
    std::optional<BasicLifeMoment<T>> moment{};   ///< the installation when it is changed
    std::vector<ChangeIntervalSample> curve;      ///< cost against interval, to the life's end
    BasicFilterLife<T> life;                      ///< to the first limit or the horizon
    bool power_falls = false;                     ///< the fan needs less power as the filter loads: it starves the
                                                  ///< system, which is no saving
};
using ChangeInterval = BasicChangeInterval<double>;

namespace detail {

/// e V - K - p E: negative while the running cost is below the average cost.
template <class T>
T running_less_average(const BasicLifeMoment<T>& m, const T& change, const T& price) {
    return price * (m.power->value() / m.flow.value() * m.delivered.value() - m.fan_energy->value()) - change;
}

template <class T>
BasicLifeMoment<T> moment_at(BasicFilterLifeInput<T> input, const T& seconds) {
    input.horizon = BasicTime<T>::from_value(seconds);
    return filter_life_of(input).moments.back();
}

/// The moment between two times where the running cost meets the average cost, with its derivatives.
template <class T>
BasicLifeMoment<T> settle_change(const BasicFilterLifeInput<T>& input, const T& change, const T& price, double a,
                                 double b, double fa, double fb) {
    const auto excess = [&](double t) { return running_less_average(moment_at(input, T(t)), change, price); };
    double t = b;
    int side = 0;
    for (int i = 0; i < 60 && b - a > 1e-11 * b; ++i) {
        t = std::min(std::max((a * fb - b * fa) / (fb - fa), a), b);
        const double f = plain_value(excess(t));
        if (std::abs(f) <= 1e-12 * plain_value(change)) break;
        if (f > 0.0) {
            b = t;
            fb = f;
            if (side == 1) fa *= 0.5;
            side = 1;
        } else {
            a = t;
            fa = f;
            if (side == -1) fb *= 0.5;
            side = -1;
        }
    }
    const T at = excess(t);
    const double step = 1e-3 * t;
    const double slope = (plain_value(excess(t + 0.5 * step)) - plain_value(excess(t - 0.5 * step))) / step;
    return moment_at(input, T(T(t) - (at - T(plain_value(at))) / T(slope)));
}

template <class T>
BasicChangeInterval<T> change_interval_of(const BasicFilterLifeInput<T>& input, const BasicServicePrices<T>& prices) {
    constexpr auto where = "find_change_interval";
    check(prices, where);
    const T change = change_cost(prices.change, where);
    const T price = prices.electricity.value();
    BasicChangeInterval<T> result;
    result.life = filter_life_of(input);
    const auto& moments = result.life.moments;
    if (moments.empty() || !(plain_value(result.life.time.value()) > 0.0)) {
        result.text = moments.empty() ? result.life.reason : "limits that the clean filter does not reach at once (" + result.life.reason + ")";
        return result;
    }
    if (!moments.front().power) cycle_until(moments.front(), where);   // throws: no power in the table
    result.power_falls = plain_value(moments.back().power->value()) < plain_value(moments.front().power->value());

    std::optional<BasicLifeMoment<T>> best;
    double least = 0.0;
    const auto average = [&](const BasicLifeMoment<T>& m) {
        return plain_value((change + price * m.fan_energy->value()) / m.delivered.value());
    };
    for (std::size_t i = 0; i < moments.size(); ++i) {
        if (i > 0) {
            const BasicLifeMoment<T>& m = moments[i];
            const double c = average(m);
            result.curve.push_back({Time::from_value(plain_value(m.time.value())), MoneyPerVolume::from_value(c),
                                    MoneyPerVolume::from_value(plain_value(price * m.power->value() / m.flow.value())),
                                    Money::from_value(c * plain_value(prices.annual_volume.value()))});
        }
        if (i == 0) continue;
        const double fa = plain_value(running_less_average(moments[i - 1], change, price));
        const double fb = plain_value(running_less_average(moments[i], change, price));
        if (!(fa < 0.0 && fb >= 0.0)) continue;
        const auto found = settle_change(input, change, price, plain_value(moments[i - 1].time.value()),
                                         plain_value(moments[i].time.value()), fa, fb);
        const double c = average(found);
        if (!best || c < least) {
            best = found;
            least = c;
        }
    }
    const bool end_is_cheaper = best && average(moments.back()) < least;
    if (best && !end_is_cheaper) {
        result.reason = ChangeIntervalReason::cost_optimum;
        result.text = "the yearly cost is least there";
        result.moment = *best;
    } else if (result.life.limit_met) {
        result.reason = ChangeIntervalReason::limit;
        result.text = "a limit comes before the least cost: " + result.life.reason;
        result.moment = moments.back();
    } else {
        result.reason = ChangeIntervalReason::none_within_horizon;
        result.text = "the average cost falls all the way to the horizon and no limit is met: no interval is named";
        return result;
    }
    if (result.power_falls) {
        result.text += "; the fan's power falls as the filter loads because less air flows, which is no saving";
    }
    result.interval = result.moment->time;
    result.age = BasicTime<T>::from_value(result.moment->time.value() / input.running_fraction);
    result.cost = service_cost(cycle_until(*result.moment, where), prices);
    return result;
}

}   // namespace detail

/// The running time after which to change an installation, all stages together: the cost optimum at equal service, or
/// the limit that comes first.
///
/// Equation: C(t) = (K + p E(t)) / V(t) least, where p P/Q = C; t no later than any limit of the life
/// Symbols:  K cost of a change, p price of electricity, E fan energy and V air delivered until t, P fan power, Q
///           flow
/// Validity: as filter_life; constant prices, no discounting (3 % a year moves an interval by less than 1 %). Where
///           no optimum and no limit lies within the horizon no interval is named
/// @param  input  installation, limits, horizon
/// @param  prices  of a change and of electricity, annual volume
/// @return interval and its reason, cost at equal service, cost against interval, the life to its end
/// @throws DomainError as filter_life, if a price is outside its range, or the fan's table has no power
/// @source renewal theory: change when the running cost equals the average cost; test: cost/change_interval_test.cpp
template <std::size_t N>
BasicChangeInterval<Dual<N>> find_change_interval(const BasicFilterLifeInput<Dual<N>>& input,
                                                  const BasicServicePrices<Dual<N>>& prices) {
    return detail::change_interval_of(input, prices);
}
inline ChangeInterval find_change_interval(const FilterLifeInput& input, const ServicePrices& prices) {
    return detail::change_interval_of(input, prices);
}

}   // namespace filterflow
