// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a life or a history of several stages comes to in a year at equal service: energy, cost, peaks, years of
// service; generic in the scalar. Not public.

#include <optional>
#include <span>
#include <vector>

#include <filterflow/core/money.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/cost/years_of_service.hpp>
#include <filterflow/study/candidate_figures.hpp>

namespace filterflow::detail {

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

}   // namespace filterflow::detail
