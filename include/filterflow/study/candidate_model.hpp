// SPDX-License-Identifier: BSL-1.0
#pragma once

// A candidate in a system as one function of its uncertain parameters, generic in the scalar: operating points clean,
// at half the change interval and at its end; hours to the first limit; energy and cost at equal service. Evaluated
// once in double for the structure and once a block in dual numbers for the derivatives. Not public.

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/held_flow.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/loading/service_history.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/candidate_figures.hpp>

namespace filterflow::detail {

/// The ducts with all their pressure drops times a factor.
template <class T>
BasicSystemCurve<T> scaled_system(const SystemCurve& s, const T& factor) {
    BasicSystemCurve<T> result;
    const auto element = [&](const ElementCurve& e) {
        return BasicElementCurve<T>{BasicLinearResistance<T>::from_value(factor * T(e.linear.value())),
                                    BasicQuadraticResistance<T>::from_value(factor * T(e.quadratic.value())),
                                    e.stated_air};
    };
    const auto length = [](const Length& l) { return BasicLength<T>::from_value(T(l.value())); };
    result.constant_pressure =
        BasicPressure<T>::from_value(T(s.constant_pressure.value()));   // of the space, not the ducts
    for (const auto& x : s.power_laws) {
        result.power_laws.push_back({BasicPressure<T>::from_value(factor * T(x.reference_pressure.value())),
                                     BasicVolumeFlow<T>::from_value(T(x.reference_flow.value())), T(x.exponent),
                                     x.stated_air});
    }
    for (const auto& x : s.elements) result.elements.push_back(element(x));
    for (const auto& x : s.bypassed_elements) {
        result.bypassed_elements.push_back(
            {element(x.element), BasicArea<T>::from_value(T(x.gap_area.value())), T(x.discharge_coefficient)});
    }
    for (const auto& x : s.ducts) {   // friction goes with length, fittings with their coefficient
        result.ducts.push_back({BasicLength<T>::from_value(factor * T(x.length.value())), length(x.diameter),
                                length(x.width), length(x.height), length(x.roughness), factor * T(x.loss_coefficient),
                                x.friction_diameter, x.section});
    }
    return result;
}

template <class T>
BasicFilterLifeInput<T> life_input(const CandidateModel& model, std::span<const T> p) {
    using Places = ParameterPlaces;
    BasicFilterLifeInput<T> input{model.fan, {}, {}, {}, {}, {}, {}, {}, {}};
    input.fan_scale = {p[Places::fan_pressure], p[Places::fan_power]};
    if (const auto* drive = std::get_if<FlowHoldingFan>(&model.fan)) {
        const double factor = plain_value(p[Places::held_airflow]);
        if (factor != 1.0) input.fan = with_held_flow(*drive, factor);
        input.fan_scale.held_flow_factor = p[Places::held_airflow] / T(factor);   // one, with its derivatives
    }
    input.ducts = scaled_system(model.ducts, p[Places::duct_pressure]);
    input.dust = {BasicMassConcentration<T>::from_value(p[Places::dust]), p[Places::equivalence]};
    input.running_fraction = T(model.running_fraction);
    input.air = air_as<T>(model.air);
    input.horizon = BasicTime<T>::from_value(T(model.horizon.value()));
    if (model.limits.least_airflow) {
        input.limits.least_airflow = BasicVolumeFlow<T>::from_value(T(model.limits.least_airflow->value()));
    }
    if (model.limits.greatest_external_static_pressure) {
        input.limits.greatest_external_static_pressure =
            BasicPressure<T>::from_value(T(model.limits.greatest_external_static_pressure->value()));
    }
    if (model.limits.greatest_power) {
        input.limits.greatest_power = BasicPower<T>::from_value(T(model.limits.greatest_power->value()));
    }
    for (std::size_t k = 0; k < model.stages.size(); ++k) {
        const StageModel& m = model.stages[k];
        const auto at = [&](std::size_t what) { return p[Places::of_stage(k, what)]; };
        BasicFilterStage<T> stage;
        stage.clean = {BasicLinearResistance<T>::from_value(at(Places::linear)),
                       BasicQuadraticResistance<T>::from_value(at(Places::quadratic)), m.stated_air};
        if (m.form) {
            stage.law = loading_law<T>(*m.form, m.reference,
                                       {at(Places::growth_scale), at(Places::transition), at(Places::cake_slope)});
        }
        stage.area = BasicArea<T>::from_value(T(m.area.value()));
        stage.efficiency.clean = at(Places::efficiency);
        stage.gap_area = BasicArea<T>::from_value(T(m.gap_area.value()));
        if (m.final_resistance) stage.final_resistance = BasicPressure<T>::from_value(T(m.final_resistance->value()));
        if (m.greatest_age) stage.greatest_age = BasicTime<T>::from_value(T(m.greatest_age->value()));
        stage.greatest_known = m.greatest_known;
        input.stages.push_back(std::move(stage));
    }
    return input;
}

template <class T>
MomentFigures<T> moment_figures(const BasicLifeMoment<T>& m) {
    MomentFigures<T> figures{m.flow.value(), m.filter_drop.value(), m.external_static_pressure.value(), std::nullopt};
    if (m.power) figures.power = m.power->value();
    return figures;
}

/// Ducts and clean filters, with the gaps around them.
template <class T>
BasicSystemCurve<T> clean_system(const BasicFilterLifeInput<T>& input) {
    BasicSystemCurve<T> system = input.ducts;
    for (const auto& stage : input.stages) {
        if (plain_value(stage.gap_area.value()) > 0.0) {
            append(system, BasicBypassedElement<T>{stage.clean, stage.gap_area, stage.discharge_coefficient});
        } else {
            append(system, stage.clean);
        }
    }
    return system;
}

template <class T>
void clean_figures(const BasicFilterLifeInput<T>& input, CandidateFigures<T>& figures) {
    const auto found = find_operating_state(input.fan, clean_system(input), input.air, input.fan_scale);
    if (!found.state) return;
    const BasicOperatingState<T>& state = *found.state;
    MomentFigures<T> clean{state.flow.value(), T(0.0), state.pressure.value(), std::nullopt};
    if (state.power) clean.power = state.power->value();
    for (const auto& stage : input.stages) {
        const BasicFlowSplit<T> split =
            flow_split<T>({stage.clean, stage.gap_area, stage.discharge_coefficient}, state.flow, input.air);
        clean.filter_drop = clean.filter_drop + split.drop.value();
        figures.through_share.push_back(split.through_element.value() / state.flow.value());
    }
    figures.clean = clean;
    const auto without = find_operating_state(input.fan, input.ducts, input.air, input.fan_scale);
    if (without.state && without.state->power) figures.power_without = without.state->power->value();
}

template <class T>
void cost_figures(const CandidateModel& model, const BasicServiceCost<T>& cost, CandidateFigures<T>& figures) {
    figures.annual_running_time = cost.annual_running_time.value();
    figures.annual_energy = cost.annual_energy.value();
    figures.annual_cost = cost.annual_cost.value();
    figures.annual_filter_cost = cost.annual_filter_cost.value();
    figures.cost_per_volume = cost.per_volume.value();
    BasicYearlyCost<T> yearly{cost.annual_energy_cost, cost.annual_filter_cost};
    if (cost.annual_demand_cost) {
        figures.annual_demand_cost = cost.annual_demand_cost->value();
        yearly.energy = yearly.energy + *cost.annual_demand_cost;
    }
    if (!(model.outlook.years > 0.0)) return;
    figures.present_value =
        present_value<T>(yearly, {T(model.outlook.discount_rate), T(model.outlook.electricity_escalation),
                                  T(model.outlook.other_escalation), model.outlook.years})
            .value();
}

/// Sets of filters and their payments over the years of service, by the changes of each stage.
template <class T>
void service_figures(const CandidateModel& model, const BasicServiceCost<T>& cost,
                     const std::vector<BasicStageChanges<T>>& stages, CandidateFigures<T>& figures) {
    if (!(model.service.years > 0.0)) return;
    const BasicYearsOfService<T> years = years_of_service<T>(
        cost, stages, {T(model.service.discount_rate), T(model.service.electricity_escalation),
                       T(model.service.other_escalation), model.service.years});
    for (const BasicStageChanges<T>& stage : stages) figures.stage_changes.push_back(stage.per_year);
    figures.service_filter_cost = years.filter_cost.value();
    figures.service_energy_cost = years.energy_cost.value();
    figures.service_present_value = years.present_value.value();
}

/// A demand charge of the parameters, and the months' greatest power by what it costs.
template <class T>
std::optional<BasicDemandCharge<T>> demand_charge(const CandidateModel& model, std::span<const T> p) {
    if (!model.with_demand) return std::nullopt;
    return BasicDemandCharge<T>{BasicDemandPrice<T>::from_value(p[ParameterPlaces::demand]), model.demand_months};
}
template <class T>
void peak_figure(const std::optional<BasicDemandCharge<T>>& charge, CandidateFigures<T>& figures) {
    if (!charge || !figures.annual_demand_cost) return;
    figures.monthly_peak = *figures.annual_demand_cost / (charge->price.value() * T(charge->months));
}

/// Energy both ways over a year from what a stretch of service used and delivered.
template <class T>
void energy_figures(const CandidateModel& model, const T& time, const T& fan_energy, const T& filter_air_energy,
                    CandidateFigures<T>& figures) {
    if (!figures.clean || !figures.clean->power) return;
    const T efficiency =
        figures.clean->flow * figures.clean->external_pressure / *figures.clean->power;   // wire to air
    const T years = T(model.annual_hours.value()) / time;
    figures.attributable_energy = years * filter_air_energy / efficiency;
    if (figures.power_without) {
        figures.counterfactual_energy = years * fan_energy - *figures.power_without * T(model.annual_hours.value());
    }
}

/// Running time and fan energy of a year at equal service, where no prices are there to bring them.
template <class T>
void service_energy(const CandidateModel& model, const BasicVolume<T>& delivered, const T& time, const T& fan_energy,
                    CandidateFigures<T>& figures) {
    if (!(model.annual_volume.value() > 0.0) || !(plain_value(delivered.value()) > 0.0)) return;
    const T cycles = T(model.annual_volume.value()) / delivered.value();
    figures.annual_running_time = cycles * time;
    figures.annual_energy = cycles * fan_energy;
}

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
