// SPDX-License-Identifier: BSL-1.0
#pragma once

// Around a change interval: what changing earlier or later costs, and when each limit would call for a change if it
// were the only one left.

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/cost_course.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>

namespace filterflow {

/// Average cost of a change interval, and by how much it exceeds the least.
struct ChangePenalty {
    double average = 0.0;   ///< cost over service, in money per SI unit of the basis (m3, or s)
    double penalty = 0.0;   ///< average over that of the interval named, less one
};

/// What it costs to change earlier or later than the interval that was found.
///
/// Equation: C(T)/C(T*) - 1
/// Symbols:  C average cost by the basis of the search, T interval asked for, T* interval found
/// Validity: intervals within the life that was followed, to its first limit or the horizon. Positive everywhere if T*
///           is the cost optimum; where a limit binds it may be negative later
/// @param  input  installation that the interval was found for
/// @param  prices  those it was found with
/// @param  found  change interval
/// @param  interval  running time between changes [s], > 0 and not beyond the life
/// @return average cost and penalty
/// @throws DomainError if no interval was found, or the interval asked for is not within the life
/// @source definition; test: cost/change_limits_test.cpp
template <Deferred...>
inline ChangePenalty change_penalty(FilterLifeInput input, const ServicePrices& prices, const ChangeInterval& found,
                                    Time interval) {
    constexpr auto where = "change_penalty";
    detail::check(prices, where);
    if (!found.moment) {
        throw DomainError(std::string(where) + ": no interval was found (" + found.text +
                          "); required: one to compare with");
    }
    const double t = detail::require_positive(where, "interval", interval.value(), "s");
    const double end = found.life.time.value();
    detail::require_between(where, "interval", t, 0.0, end * (1.0 + 1e-7), "s");   // its end is known no better
    const double change = detail::change_cost(prices.change, where), price = prices.electricity.value();
    const detail::CostCourse cost(change, price);
    const double least = cost.average(detail::cost_node(*found.moment, found.basis));
    input.horizon = Time::from_value(std::min(t, end));
    double average = 0.0;
    if (found.basis == ServiceBasis::clean_air_delivered) {
        average = cost.average(detail::cost_node(filter_life(input).moments.back(), found.basis));
    } else {
        average = cost.average(detail::cost_node(life_outcome(input), found.basis));
    }
    return {average, average / least - 1.0};
}

/// A limit of an installation and when it would call for a change.
template <class T>
struct BasicChangeLimit {
    LifeEnd end = LifeEnd::horizon;   ///< which
    std::size_t stage = 0;            ///< of which stage (from zero), where it is one of a stage
    std::string text;                 ///< the same in words
    BasicTime<T> time{};              ///< running time from clean filters until it is met
};
using ChangeLimit = BasicChangeLimit<double>;

namespace detail {

/// Takes a limit away; false if it is none that can be (bridged pleats, the end of the fan's table, a lost operating
/// point).
template <class T>
bool remove_limit(BasicFilterLifeInput<T>& input, LifeEnd end, std::size_t stage) {
    switch (end) {
        case LifeEnd::final_resistance:
            input.stages[stage].final_resistance.reset();
            return true;
        case LifeEnd::age:
            input.stages[stage].greatest_age.reset();
            return true;
        case LifeEnd::least_airflow:
            input.limits.least_airflow.reset();
            return true;
        case LifeEnd::external_static_pressure:
            input.limits.greatest_external_static_pressure.reset();
            return true;
        case LifeEnd::greatest_power:
            input.limits.greatest_power.reset();
            return true;
        default:
            return false;
    }
}

template <class T>
std::vector<BasicChangeLimit<T>> change_limits_of(BasicFilterLifeInput<T> input) {
    std::vector<BasicChangeLimit<T>> limits;
    for (;;) {
        const BasicFilterLife<T> life = filter_life(input);
        if (!life.limit_met) return limits;
        limits.push_back({life.end, life.stage, life.reason, life.time});
        if (!remove_limit(input, life.end, life.stage)) return limits;
    }
}

}   // namespace detail

/// All limits that an installation would meet within its horizon, in the order of their times: the first is the one
/// that binds a change interval, the others say what it would be worth to move it.
///
/// Equation: as filter_life, with the limits before taken away
/// Symbols:  as filter_life
/// Validity: as filter_life; the filters are not changed when a limit is passed. Bridged pleats, the end of the fan's
///           table or of its stable operating points are the last that can be told
/// @param  input  installation with its limits and horizon
/// @return limits with their times; empty if none is met within the horizon
/// @throws DomainError as filter_life
/// @source as filter_life; test: cost/change_limits_test.cpp
template <std::size_t N>
std::vector<BasicChangeLimit<Dual<N>>> change_limits(const BasicFilterLifeInput<Dual<N>>& input) {
    return detail::change_limits_of(input);
}
template <Deferred...>
inline std::vector<ChangeLimit> change_limits(const FilterLifeInput& input) { return detail::change_limits_of(input); }

}   // namespace filterflow
