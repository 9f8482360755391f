// SPDX-License-Identifier: BSL-1.0
#pragma once

// A candidate in a system as one function of its uncertain parameters, generic in the scalar: operating points clean,
// at half the change interval and at its end; hours to the first limit; energy and cost at equal service. Evaluated
// once in double for the structure and once a block in dual numbers for the derivatives. Not public.

#include <cstddef>
#include <span>
#include <type_traits>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_window.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/service_history.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/candidate_cost_figures.hpp>
#include <filterflow/study/candidate_figures.hpp>
#include <filterflow/study/candidate_input.hpp>

namespace filterflow::detail {

/// The moment of a history nearest before a running time, from the first cycle on.
template <class T>
const BasicLifeMoment<T>& moment_before(const std::vector<BasicLifeMoment<T>>& moments, double seconds) {
    std::size_t at = 0;
    for (std::size_t i = 0; i < moments.size() && plain_value(moments[i].time.value()) <= seconds; ++i) at = i;
    return moments[at];
}

template <class T>
void one_stage_course(const CandidateModel& model, const BasicFilterLifeInput<T>& input, std::span<const T> p,
                      CandidateFigures<T>& figures, CandidateCourse* course) {
    using Places = ParameterPlaces;
    const auto keep = [&](const BasicFilterLife<T>& life) {
        if (life.limit_met && life.derivatives_known && plain_value(life.time.value()) > 0.0) {
            figures.time_to_limit = life.time.value();
        }
    };
    if (!model.with_cost) {
        const BasicFilterLife<T> life = filter_life_of(input);
        keep(life);
        if (figures.time_to_limit) {
            figures.interval =
                figures.time_to_limit;   // by the limit: without prices there is no optimum to be earlier
            const BasicLifeMoment<T>& end = life.moments.back();
            figures.end = moment_figures(end);
            if (model.with_middle) figures.middle = moment_figures(moment_at(input, T(T(0.5) * life.time.value())));
            if (end.fan_energy) {
                service_energy(model, end.delivered, T(end.time.value()), T(end.fan_energy->value()), figures);
                energy_figures(model, T(end.time.value()), T(end.fan_energy->value()), T(end.filter_air_energy.value()),
                               figures);
            }
        }
        if constexpr (std::is_same_v<T, double>) {
            if (course) course->life = life;
        }
        return;
    }
    BasicServicePrices<T> prices;
    prices.change = {BasicMoney<T>::from_value(p[Places::of_stage(0, Places::price)]),
                     BasicMoney<T>::from_value(p[Places::labour]), BasicMoney<T>::from_value(p[Places::disposal])};
    prices.electricity = BasicEnergyPrice<T>::from_value(p[Places::electricity]);
    prices.annual_volume = BasicVolume<T>::from_value(T(model.annual_volume.value()));
    prices.demand = demand_charge<T>(model, p);
    const BasicChangeInterval<T> change = change_interval_of(input, prices);
    keep(change.life);
    if (change.interval && change.moment) {
        figures.interval = change.interval->value();
        figures.end = moment_figures(*change.moment);
        if (model.with_middle) figures.middle = moment_figures(moment_at(input, T(T(0.5) * change.interval->value())));
        cost_figures(model, *change.cost, figures);
        peak_figure(prices.demand, figures);
        service_figures(model, *change.cost,
                        {{BasicMoney<T>::from_value(change_cost(prices.change, "study")), change.cost->changes_per_year}},
                        figures);
        if (model.change_penalty > 0.0) {
            const BasicChangeWindow<T> window = change_window_of(input, prices, change, model.change_penalty);
            figures.change_earliest = window.earliest.value();
            figures.change_latest = window.latest.value();
            if constexpr (std::is_same_v<T, double>) {
                if (course) course->window_ends_with_life = window.ends_with_life;
            }
        }
        energy_figures(model, change.moment->time.value(), change.moment->fan_energy->value(),
                       change.moment->filter_air_energy.value(), figures);
    }
    if constexpr (std::is_same_v<T, double>) {
        if (course) {
            course->life = change.life;
            course->change = change;
        }
    }
}

template <class T>
void several_stages_course(const CandidateModel& model, const BasicFilterLifeInput<T>& input, std::span<const T> p,
                           CandidateFigures<T>& figures, CandidateCourse* course) {
    using Places = ParameterPlaces;
    const BasicFilterLife<T> life = filter_life_of(input, model.step_error);
    if (life.limit_met && life.derivatives_known && plain_value(life.time.value()) > 0.0) {
        figures.time_to_limit = life.time.value();
    }
    const BasicServiceHistory<T> history = service_history_of(input, model.step_error);
    if constexpr (std::is_same_v<T, double>) {
        if (course) {
            course->life = life;
            course->history = history;
        }
    }
    if (!history.reached_horizon || history.moments.empty()) return;
    // The state a stage is changed in: just before the first change of the stage that lasts longest.
    double latest_first = 0.0;
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        T last(0.0), first(0.0);
        std::size_t count = 0;
        for (const auto& change : history.changes) {
            if (change.stage != k) continue;
            if (count == 0) first = change.time.value();
            last = change.time.value();
            ++count;
        }
        if (count == 0) return;   // a stage that is never changed within the horizon: no interval to name
        figures.stage_intervals.push_back(last / T(static_cast<double>(count)));
        if (plain_value(first) > latest_first) latest_first = plain_value(first);
    }
    figures.end = moment_figures(moment_before(history.moments, latest_first * (1.0 - 1e-9)));
    figures.middle = moment_figures(moment_before(history.moments, 0.5 * latest_first));
    if (!model.with_cost) {
        if (history.fan_energy) {
            service_energy(model, history.delivered, T(history.time.value()), T(history.fan_energy->value()), figures);
            energy_figures(model, T(history.time.value()), T(history.fan_energy->value()),
                           T(history.filter_air_energy.value()), figures);
        }
        return;
    }
    BasicStagePrices<T> prices;
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        prices.changes.push_back({BasicMoney<T>::from_value(p[Places::of_stage(k, Places::price)]),
                                  BasicMoney<T>::from_value(p[Places::labour]),
                                  BasicMoney<T>::from_value(p[Places::disposal])});
    }
    prices.electricity = BasicEnergyPrice<T>::from_value(p[Places::electricity]);
    prices.annual_volume = BasicVolume<T>::from_value(T(model.annual_volume.value()));
    prices.demand = demand_charge<T>(model, p);
    prices.running_fraction = T(model.running_fraction);
    const BasicServiceCost<T> cost = service_cost(history, prices);
    cost_figures(model, cost, figures);
    peak_figure(prices.demand, figures);
    std::vector<BasicStageChanges<T>> changes;
    const T histories = prices.annual_volume.value() / history.delivered.value();   // a year
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        changes.push_back({BasicMoney<T>::from_value(change_cost(prices.changes[k], "study")),
                           T(filters_used(history, k) * histories)});
    }
    service_figures(model, cost, changes, figures);
    energy_figures(model, history.time.value(), history.fan_energy->value(), history.filter_air_energy.value(),
                   figures);
}

/// All figures of a candidate for one set of parameters.
template <class T>
CandidateFigures<T> candidate_figures(const CandidateModel& model, std::span<const T> p,
                                      CandidateCourse* course = nullptr) {
    CandidateFigures<T> figures;
    const BasicFilterLifeInput<T> input = life_input<T>(model, p);
    clean_figures(input, figures);
    if (!figures.clean || !model.with_life) return figures;
    if (model.stages.size() == 1) {
        one_stage_course(model, input, p, figures, course);
    } else {
        several_stages_course(model, input, p, figures, course);
    }
    return figures;
}

/// All figures with their gradients to the elementary inputs behind the parameters.
template <Deferred...>
inline CandidateFigures<Uncertain<double>> uncertain_figures(const CandidateModel& model,
                                                             std::span<const Uncertain<double>> parameters,
                                                             CandidateCourse& course) {
    constexpr std::size_t block = 8;
    std::vector<double> values;
    for (const auto& p : parameters) values.push_back(p.value);
    const CandidateFigures<double> plain = candidate_figures<double>(model, values, &course);
    const auto numbers = propagate_blockwise<block>(
        [&](std::span<const Dual<block>> p) {
            CandidateFigures<Dual<block>> figures = candidate_figures<Dual<block>>(model, p);
            std::vector<Dual<block>> list;
            visit_figures(figures, [&](Dual<block>& x) { list.push_back(x); });
            return list;
        },
        parameters);
    CandidateFigures<Uncertain<double>> result;
    const auto shape = [](const auto& from, auto& to) {
        if (from) to.emplace();
    };
    const auto moment_shape = [&](const auto& from, auto& to) {
        shape(from, to);
        if (from && from->power) to->power.emplace();
    };
    moment_shape(plain.clean, result.clean);
    moment_shape(plain.middle, result.middle);
    moment_shape(plain.end, result.end);
    result.through_share.resize(plain.through_share.size());
    result.stage_intervals.resize(plain.stage_intervals.size());
    result.stage_changes.resize(plain.stage_changes.size());
    shape(plain.power_without, result.power_without);
    shape(plain.time_to_limit, result.time_to_limit);
    shape(plain.interval, result.interval);
    shape(plain.annual_running_time, result.annual_running_time);
    shape(plain.annual_energy, result.annual_energy);
    shape(plain.attributable_energy, result.attributable_energy);
    shape(plain.counterfactual_energy, result.counterfactual_energy);
    shape(plain.annual_cost, result.annual_cost);
    shape(plain.annual_filter_cost, result.annual_filter_cost);
    shape(plain.present_value, result.present_value);
    shape(plain.cost_per_volume, result.cost_per_volume);
    shape(plain.annual_demand_cost, result.annual_demand_cost);
    shape(plain.monthly_peak, result.monthly_peak);
    shape(plain.change_earliest, result.change_earliest);
    shape(plain.change_latest, result.change_latest);
    shape(plain.service_filter_cost, result.service_filter_cost);
    shape(plain.service_energy_cost, result.service_energy_cost);
    shape(plain.service_present_value, result.service_present_value);
    std::size_t next = 0;
    visit_figures(result, [&](Uncertain<double>& x) {
        if (next < numbers.size()) x = numbers[next];
        ++next;
    });
    if (next != numbers.size()) {
        throw NoSolution("candidate in its system: values and derivatives disagree on which figures exist");
    }
    return result;
}

}   // namespace filterflow::detail
