// SPDX-License-Identifier: BSL-1.0
#pragma once

// What of a candidate in a system is certain, where its uncertain parameters stand, and the figures that follow from
// them. Not public.

#include <cstddef>
#include <optional>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_window.hpp>
#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/years_of_service.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/loading/service_history.hpp>

namespace filterflow::detail {

inline constexpr double steps_of_draws = 1e-4;   // as exact_steps, where draws follow several stages over years

/// What of a stage is certain.
struct StageModel {
    AirState stated_air;
    std::optional<LoadingForm> form;   // absent: no loading law
    ReferenceArea reference = ReferenceArea::face;
    Area area{};
    std::optional<MassPerArea> greatest_known;
    std::optional<Pressure> final_resistance;
    std::optional<Time> greatest_age;
    Area gap_area{};
};

/// What of a candidate in a system is certain.
struct CandidateModel {
    Fan fan;
    SystemCurve ducts;
    AirState air;
    std::vector<StageModel> stages;
    LifeLimits limits;
    double running_fraction = 1.0;
    Time annual_hours{};      // running time in a year
    Time horizon{};           // of the life, running time
    Volume annual_volume{};   // of the equal service
    CostOutlook outlook;      // years zero: no present value
    bool with_life = false;   // loading laws, dust and hours are there
    bool with_cost = false;   // and prices, and the fan's power
    bool with_middle = true;  // the state half-way to the change is asked for
    bool with_demand = false;      // the months' greatest power has a price
    double demand_months = 12.0;   // of a year
    double change_penalty = 0.0;   // that a change early or late may bring; zero: not asked for
    CostOutlook service{};         // years zero: not asked for
    double step_error = exact_steps;   // of the lives of several stages
};

/// Where each uncertain parameter stands in the list.
struct ParameterPlaces {
    static constexpr std::size_t fan_pressure = 0, fan_power = 1, duct_pressure = 2, dust = 3, equivalence = 4,
                                 electricity = 5, labour = 6, disposal = 7, demand = 8, held_airflow = 9,
                                 first_stage = 10;
    static constexpr std::size_t linear = 0, quadratic = 1, growth_scale = 2, transition = 3, cake_slope = 4,
                                 efficiency = 5, price = 6, a_stage = 7;
    static constexpr std::size_t of_stage(std::size_t k, std::size_t what) { return first_stage + a_stage * k + what; }
};

/// The installation at one moment.
template <class T>
struct MomentFigures {
    T flow, filter_drop, external_pressure;
    std::optional<T> power;
};

/// Everything that is uncertain about a candidate in a system.
template <class T>
struct CandidateFigures {
    std::optional<MomentFigures<T>> clean, middle, end;
    std::vector<T> through_share;     // of the flow, through each stage and not past it; clean
    std::optional<T> power_without;   // of the fan without any filter
    std::optional<T> time_to_limit;
    std::optional<T> interval;        // running time
    std::vector<T> stage_intervals;   // of several stages, each
    std::optional<T> annual_running_time;   // at equal service
    std::optional<T> annual_energy, attributable_energy, counterfactual_energy;
    std::optional<T> annual_cost, annual_filter_cost, present_value, cost_per_volume;
    std::optional<T> annual_demand_cost, monthly_peak;
    std::optional<T> change_earliest, change_latest;   // running time
    std::vector<T> stage_changes;                      // of each stage, a year; where years of service are asked for
    std::optional<T> service_filter_cost, service_energy_cost, service_present_value;
};

/// The list of numbers behind the figures that are there, in a fixed order, for propagation.
template <class T, class Visit>
void visit_figures(CandidateFigures<T>& f, const Visit& visit) {
    for (auto* moment : {&f.clean, &f.middle, &f.end}) {
        if (!*moment) continue;
        visit((*moment)->flow);
        visit((*moment)->filter_drop);
        visit((*moment)->external_pressure);
        if ((*moment)->power) visit(*(*moment)->power);
    }
    for (T& x : f.through_share) visit(x);
    for (T& x : f.stage_intervals) visit(x);
    for (T& x : f.stage_changes) visit(x);
    for (auto* x :
         {&f.power_without, &f.time_to_limit, &f.interval, &f.annual_running_time, &f.annual_energy,
          &f.attributable_energy, &f.counterfactual_energy, &f.annual_cost, &f.annual_filter_cost, &f.present_value,
          &f.cost_per_volume, &f.annual_demand_cost, &f.monthly_peak, &f.change_earliest, &f.change_latest,
          &f.service_filter_cost, &f.service_energy_cost, &f.service_present_value}) {
        if (*x) visit(**x);
    }
}

/// What the double evaluation also tells: statuses and curves.
struct CandidateCourse {
    FilterLife life;
    std::optional<ChangeInterval> change;    // one stage
    std::optional<ServiceHistory> history;   // several stages
    bool window_ends_with_life = false;      // of the change window
};

}   // namespace filterflow::detail
