// SPDX-License-Identifier: BSL-1.0
#pragma once

// When to change a filter: where the cost of the next cubic metre of air, at the price of electricity, has risen to the
// average cost of all since the last change, filters and labour included; earlier if a limit is met first.
//
// The running cost is counted per volume of air (or of clean air), not per hour. With a fan at fixed speed the power
// falls as the filter loads, so cost per hour would say "never change"; the flow falls faster, and the cost of the air
// still rises. Counted per hour on demand, the result says so.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/cost_course.hpp>
#include <filterflow/cost/demand_interval.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>
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
    Time interval;                     ///< running time between changes
    MoneyPerVolume average;            ///< changes and energy over air delivered
    MoneyPerVolume running;            ///< energy of the next volume of air
    Money annual_cost;                 ///< at equal service
    std::optional<double> penalty{};   ///< average cost by the basis of the search over that of the interval named,
                                       ///< less one; empty where none is named
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
    bool energy_names_none = false;   ///< counted by the hour the cost of energy names no interval: the power falls,
                                      ///< and the average cost with it, to the life's end
    ServiceBasis basis = ServiceBasis::air_delivered;   ///< what the cost was counted against
};
using ChangeInterval = BasicChangeInterval<double>;

namespace detail {

template <class T>
BasicLifeMoment<T> moment_at(BasicFilterLifeInput<T> input, const T& seconds) {
    input.horizon = BasicTime<T>::from_value(seconds);
    return filter_life(input).moments.back();
}

/// Running less average cost after a time, from the life until there, which becomes a node of the course.
template <class T>
T excess_at(const BasicFilterLifeInput<T>& input, CostCourse& course, const T& change, const T& price,
            ServiceBasis basis, double seconds) {
    if constexpr (std::is_same_v<T, double>) {
        if (basis != ServiceBasis::clean_air_delivered) {   // the outcome tells it, for less than the life
            FilterLifeInput part = input;
            part.horizon = Time::from_value(seconds);
            const CostNode node = cost_node(life_outcome(part), basis);
            course.insert(node);
            return course.excess(node);
        }
    }
    const BasicLifeMoment<T> moment = moment_at(input, T(seconds));
    course.insert(cost_node(moment, basis));
    return running_less_average(moment, change, price, basis);
}

/// The moment where the running cost meets the average cost, with its derivatives: from the root on the cubics by
/// Newton steps on the life itself, each of which costs a life until there.
template <class T>
BasicLifeMoment<T> settled_change(const BasicFilterLifeInput<T>& input, CostCourse& course, const T& change,
                                  const T& price, ServiceBasis basis, const CostBracket& bracket) {
    double lower = bracket.lower, upper = bracket.upper, t = bracket.best;
    for (int i = 0;; ++i) {
        const T excess = excess_at(input, course, change, price, basis, t);
        const double slope = course.excess_slope(t), f = plain_value(excess);
        (f < 0.0 ? lower : upper) = t;
        double next = t - f / slope;
        if (!(next >= lower && next <= upper)) next = lower + 0.5 * (upper - lower);
        // The slope is good to some 1e-3, so that a step leaves a thousandth of itself.
        if (std::abs(next - t) <= 1e-6 * t || upper - lower <= 1e-9 * upper || i == 60) {
            const T derivatives = slope > 0.0 ? T(excess - T(f)) / T(slope) : T(0.0);
            return moment_at(input, T(T(next) - derivatives));
        }
        t = next;
    }
}

/// The part of least average cost, its ends steps of the life: where the cubics alone show one, the life is asked
/// there.
template <class T>
CostBracket sure_bracket(const BasicFilterLifeInput<T>& input, CostCourse& course, const T& change, const T& price,
                         ServiceBasis basis) {
    CostBracket bracket = least_bracket(course);
    for (int i = 0; i < 20 && bracket.upper > 0.0 && !bracket.at_nodes; ++i) {
        for (const double t : {bracket.lower, bracket.best, bracket.upper}) {
            if (t > 0.0) excess_at(input, course, change, price, basis, t);
        }
        bracket = least_bracket(course);
    }
    return bracket;
}

inline const char* no_interval_text(bool energy_names_none, ServiceBasis basis) {
    if (energy_names_none && basis == ServiceBasis::running_time) {
        return "energy alone names no interval, as the fan's power falls while the filter loads, and no limit is met "
               "within the horizon: count the cost per clean air delivered, or set a limit";
    }
    return "the average cost falls all the way to the horizon and no limit is met: no interval is named";
}

/// Puts the demand charge into a curve of energy and changes alone. Returns the average cost at each moment of the life
/// by the basis of the search, infinite where nothing was delivered yet.
template <class T>
std::vector<double> take_demand_in(BasicChangeInterval<T>& found, const BasicServicePrices<T>& prices,
                                   const T& running_fraction) {
    std::vector<double> averages;
    std::vector<BasicLifeMoment<T>> so_far;
    std::size_t sample = 0;
    for (const BasicLifeMoment<T>& m : found.life.moments) {
        so_far.push_back(m);
        if (!(plain_value(m.time.value()) > 0.0)) {
            averages.push_back(HUGE_VAL);
            continue;
        }
        const auto cost = service_cost(cycle_of<T>(so_far, prices, running_fraction, "find_change_interval"), prices);
        averages.push_back(plain_value(average_of(cost, found.basis)));
        found.curve[sample].average = MoneyPerVolume::from_value(plain_value(cost.per_volume.value()));
        found.curve[sample++].annual_cost = Money::from_value(plain_value(cost.annual_cost.value()));
    }
    return averages;
}

template <class T>
BasicChangeInterval<T> change_interval_of(const BasicFilterLifeInput<T>& input, const BasicServicePrices<T>& prices,
                                          ServiceBasis basis = ServiceBasis::air_delivered) {
    constexpr auto where = "find_change_interval";
    check(prices, where);
    const T change = change_cost(prices.change, where);
    const T price = prices.electricity.value();
    BasicChangeInterval<T> result;
    result.basis = basis;
    result.life = filter_life(input);
    const auto& moments = result.life.moments;
    if (moments.empty() || !(plain_value(result.life.time.value()) > 0.0)) {
        result.text = moments.empty()
                          ? result.life.reason
                          : "no interval: the clean filter already breaks a limit: " + result.life.reason;
        return result;
    }
    if (!moments.front().power) cycle_until(moments.front(), where);   // throws: no power in the table
    result.power_falls = plain_value(moments.back().power->value()) < plain_value(moments.front().power->value());

    CostCourse course(plain_value(change), plain_value(price));
    bool meets_by_the_hour = false;
    for (const BasicLifeMoment<T>& m : moments) {
        course.append(cost_node(m, basis));
        meets_by_the_hour = meets_by_the_hour ||
                            !(plain_value(running_less_average(m, change, price, ServiceBasis::running_time)) < 0.0);
        if (!(plain_value(m.time.value()) > 0.0)) continue;
        const double average = plain_value((change + price * m.fan_energy->value()) / m.delivered.value());
        result.curve.push_back({Time::from_value(plain_value(m.time.value())), MoneyPerVolume::from_value(average),
                                MoneyPerVolume::from_value(plain_value(price * m.power->value() / m.flow.value())),
                                Money::from_value(average * plain_value(prices.annual_volume.value())), std::nullopt});
    }
    result.energy_names_none = result.power_falls && !meets_by_the_hour;
    if (basis == ServiceBasis::clean_air_delivered) {
        for (std::size_t i = 0; i < course.nodes().size(); ++i) {
            require_positive(where, "share of the dust that the filters stop", course.nodes()[i].service_rate, "-");
        }
    }

    std::vector<double> averages;   // where the months' greatest power has a price
    std::vector<BasicLifeMoment<T>> cycle = moments;
    if (prices.demand) {
        averages = take_demand_in(result, prices, input.running_fraction);
        if (const auto best = change_with_demand(input, prices, basis, result.life, averages)) {
            BasicFilterLifeInput<T> until = input;
            until.horizon = BasicTime<T>::from_value(*best);
            cycle = filter_life(until).moments;
            result.moment = cycle.back();
        }
    } else {
        const CostBracket bracket = sure_bracket(input, course, change, price, basis);
        const CostNode end = course.nodes().back();
        if (bracket.upper > 0.0 && bracket.average <= course.average(end)) {
            result.moment = settled_change(input, course, change, price, basis, bracket);
        }
    }
    if (result.moment) {
        result.reason = ChangeIntervalReason::cost_optimum;
        result.text = "the yearly cost is least there";
    } else if (result.life.limit_met) {
        result.reason = ChangeIntervalReason::limit;
        result.text = "a limit comes before the least cost: " + result.life.reason;
        result.moment = moments.back();
    } else {
        result.reason = ChangeIntervalReason::none_within_horizon;
        result.text = no_interval_text(result.energy_names_none, basis);
        return result;
    }
    if (result.power_falls) {
        result.text += "; the fan's power falls as the filter loads because less air flows, which is no saving";
        if (result.energy_names_none) result.text += ": by the hour, energy alone would name no interval";
    }
    result.interval = result.moment->time;
    result.age = BasicTime<T>::from_value(result.moment->time.value() / input.running_fraction);
    if (prices.demand) {
        result.cost = service_cost(cycle_of<T>(cycle, prices, input.running_fraction, where), prices);
        const double least = plain_value(average_of(*result.cost, basis));
        const std::size_t clean = averages.size() - result.curve.size();   // moments that are no sample
        for (std::size_t i = 0; i < result.curve.size(); ++i) {
            result.curve[i].penalty = averages[clean + i] / least - 1.0;
        }
        return result;
    }
    result.cost = service_cost(cycle_until(*result.moment, where), prices);
    const double least = course.average(cost_node(*result.moment, basis));
    for (std::size_t i = 0; i < result.curve.size(); ++i) {
        result.curve[i].penalty = course.average(course.at(result.curve[i].interval.value())) / least - 1.0;
    }
    return result;
}

}   // namespace detail

/// The running time after which to change an installation, all stages together: the cost optimum at equal service, or
/// the limit that comes first.
///
/// Equation: C(t) = (K + p E(t)) / x(t) least, where p P/x' = C; t no later than any limit of the life; with a demand
///           charge D(t) V(t)/V_a is added to the cost of a cycle
/// Symbols:  K cost of a change, p price of electricity, E fan energy until t, P fan power, x service until t and x'
///           its rate: air delivered and flow, clean air and its flow, or running time and one; D demand charge of a
///           year, V air delivered until t, V_a annual volume
/// Validity: as filter_life; one price of electricity, no discounting (3 % a year moves an interval by less than 1 %).
///           Where no optimum and no limit lies within the horizon no interval is named. Counted by running time, a fan
///           whose power falls as the filter loads has no optimum, and the result says so (energy_names_none). Of
///           several minima the least; within 1e-6 of it, where the cost is flat (1e-4 with a demand charge)
/// @param  input  installation, limits, horizon
/// @param  prices  of a change and of electricity, annual volume
/// @param  basis  what the cost is counted against; the yearly cost is that of the annual volume of air in each case
/// @return interval and its reason, cost at equal service, cost against interval, the life to its end
/// @throws DomainError as filter_life, if a price is outside its range, the fan's table has no power, or no dust is
///         stopped where clean air counts
/// @source renewal theory: change when the running cost equals the average cost; test: cost/change_interval_test.cpp
template <std::size_t N>
BasicChangeInterval<Dual<N>> find_change_interval(const BasicFilterLifeInput<Dual<N>>& input,
                                                  const BasicServicePrices<Dual<N>>& prices,
                                                  ServiceBasis basis = ServiceBasis::air_delivered) {
    return detail::change_interval_of(input, prices, basis);
}
template <Deferred...>
inline ChangeInterval find_change_interval(const FilterLifeInput& input, const ServicePrices& prices,
                                           ServiceBasis basis = ServiceBasis::air_delivered) {
    return detail::change_interval_of(input, prices, basis);
}

}   // namespace filterflow
