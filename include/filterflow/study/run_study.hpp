// SPDX-License-Identifier: BSL-1.0
#pragma once

// A whole study: bench readings in, ranked candidates and a recommendation for each system out.

#include <cmath>
#include <set>
#include <string>
#include <utility>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/input_doubts.hpp>
#include <filterflow/study/ranking.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/system_evaluation.hpp>

namespace filterflow {

namespace detail {

template <class Items>
void require_unique_names(const Items& items, const std::string& kind) {
    std::set<std::string> names;
    for (const auto& item : items) {
        if (item.name.empty()) throw DomainError("study: a " + kind + " has no name");
        if (!names.insert(item.name).second) {
            throw DomainError("study: two " + kind + "s are named " + in_quotes(item.name));
        }
    }
}

/// Prices that nobody has to state.
template <Deferred...>
inline void check_asked_for(const PricesInput& prices, const char* where) {
    if (!prices.time_of_use.empty() && !prices.electricity) {
        throw DomainError(std::string(where) + ": prices by the hour without a price of all other hours; required: both");
    }
    TimeOfUseTariff tariff;
    for (const TimeOfUsePrice& period : prices.time_of_use) {
        tariff.windows.push_back(period.window);
        tariff.windows.back().price = period.price.value;
    }
    check(tariff, where);
    if (prices.demand) require_positive(where, "demand", prices.demand->value.value(), "money/W");
    if (prices.carbon) require_non_negative(where, "carbon", prices.carbon->value.value(), "kg/J");
    require_positive(where, "1 + other_escalation", 1.0 + prices.other_escalation, "-");
    if (prices.years_of_service) require_positive(where, "years_of_service", prices.years_of_service->value(), "s");
    if (prices.change_penalty) {
        require_positive(where, "change_penalty", *prices.change_penalty, "-");
        require_between(where, "change_penalty", *prices.change_penalty, 0.0, 1.0, "-");
    }
}

template <Deferred...>
inline void check(const StudyInput& study) {
    constexpr auto where = "run_study";
    check_air(study.standard_air, where);
    if (!(study.coverage_probability > 0.0 && study.coverage_probability < 1.0)) {
        throw_domain_error(where, "coverage_probability", study.coverage_probability, "-",
                           "between 0 and 1, exclusive");
    }
    for (const Velocity& v : study.comparison_velocities) {
        require_positive(where, "comparison velocity", v.value(), "m/s");
    }
    for (const VolumeFlow& q : study.comparison_flows) require_positive(where, "comparison flow", q.value(), "m3/s");
    require_unique_names(study.filters, "filter");
    require_unique_names(study.candidates, "candidate");
    require_unique_names(study.systems, "system");
    for (const FilterInput& filter : study.filters) {
        const std::string of = " of filter " + in_quotes(filter.name);
        if (filter.width) require_positive(where, "width" + of, filter.width->value(), "m");
        if (filter.height) require_positive(where, "height" + of, filter.height->value(), "m");
        if (filter.free_area) require_positive(where, "free_area" + of, filter.free_area->value(), "m2");
        if (filter.media_area) require_positive(where, "media_area" + of, filter.media_area->value(), "m2");
        if (filter.price) require_non_negative(where, "price" + of, filter.price->value.value(), "money");
    }
    for (const CandidateInput& candidate : study.candidates) {
        const std::string of = " of candidate " + in_quotes(candidate.name);
        if (candidate.stages.empty())
            throw DomainError("study: candidate " + in_quotes(candidate.name) + " has no stage");
        for (const StageInput& stage : candidate.stages) {
            bool known = false;
            for (const FilterInput& filter : study.filters) known = known || filter.name == stage.filter;
            if (!known) {
                throw DomainError("study: the stage " + in_quotes(stage.filter) + of + " is not among the filters");
            }
            if (stage.final_resistance) {
                require_positive(where, "final_resistance" + of, stage.final_resistance->value(), "Pa");
            }
            if (stage.greatest_age) require_positive(where, "greatest_age" + of, stage.greatest_age->value(), "s");
        }
        if (candidate.bypass_gap) {
            require_non_negative(where, "bypass_gap" + of, candidate.bypass_gap->value(), "m2");
        }
    }
    const PricesInput& prices = study.prices;
    if (prices.electricity) require_positive(where, "electricity", prices.electricity->value.value(), "money/J");
    if (prices.labour_per_change) {
        require_non_negative(where, "labour_per_change", prices.labour_per_change->value.value(), "money");
    }
    if (prices.disposal_per_filter) {
        require_non_negative(where, "disposal_per_filter", prices.disposal_per_filter->value.value(), "money");
    }
    require_positive(where, "1 + discount_rate", 1.0 + prices.discount_rate, "-");
    require_positive(where, "1 + electricity_escalation", 1.0 + prices.electricity_escalation, "-");
    if (prices.horizon) require_positive(where, "horizon of the prices", prices.horizon->value(), "s");
    check_asked_for(prices, where);
    for (const SystemInput& system : study.systems) {
        const std::string of = " of system " + in_quotes(system.name);
        if (system.operating_hours) {
            check(*system.operating_hours, of, where);
            const double hours = system.operating_hours->schedule.running_time() / units::h;
            if (!system.hours_per_year || std::abs(*system.hours_per_year / units::h - hours) > 1e-6 * hours) {
                throw_domain_error(where, "hours_per_year" + of,
                                   system.hours_per_year ? *system.hours_per_year / units::h : 0.0, "h",
                                   "those of its operating hours, as with_operating_hours sets them");
            }
        }
        require_positive(where, "fan_pressure_factor" + of, system.fan_pressure_factor.value, "-");
        require_positive(where, "fan_power_factor" + of, system.fan_power_factor.value, "-");
        require_between(where, "held_airflow_factor" + of, system.held_airflow_factor.value, 0.5, 1.5, "-");
        if (system.control == FanControl::fixed_speed &&
            (system.held_airflow_factor.value != 1.0 || system.held_airflow_factor.standard_uncertainty() > 0.0)) {
            throw DomainError("study: held_airflow_factor" + of + " = " +
                              number_text(system.held_airflow_factor.value) + " +- " +
                              number_text(system.held_airflow_factor.standard_uncertainty()) +
                              "; required: exactly 1 of a fan at fixed speed, which holds no airflow");
        }
        require_positive(where, "duct_pressure_factor" + of, system.duct_pressure_factor.value, "-");
        if (system.least_airflow) require_positive(where, "least_airflow" + of, system.least_airflow->value(), "m3/s");
        if (system.greatest_external_static_pressure) {
            require_positive(where, "greatest_external_static_pressure" + of,
                             system.greatest_external_static_pressure->value(), "Pa");
        }
        if (system.greatest_face_velocity) {
            require_positive(where, "greatest_face_velocity" + of, system.greatest_face_velocity->value(), "m/s");
        }
        if (system.hours_per_year) {
            require_positive(where, "hours_per_year" + of, system.hours_per_year->value(), "s");
            require_between(where, "hours_per_year" + of, *system.hours_per_year / units::h, 0.0, 8760.0, "h");
        }
        if (system.dust_concentration) {
            require_positive(where, "dust_concentration" + of, system.dust_concentration->value.value(), "kg/m3");
        }
        if (system.dust_equivalence) {
            require_positive(where, "dust_equivalence" + of, system.dust_equivalence->value, "-");
        }
        if (system.least_pm25_removal) {
            require_between(where, "least_pm25_removal" + of, *system.least_pm25_removal, 0.0, 1.0, "-");
        }
        if (system.present_candidate.empty()) continue;
        bool known = false;
        for (const CandidateInput& c : study.candidates) known = known || c.name == system.present_candidate;
        if (!known) {
            throw DomainError("study: the present candidate " + in_quotes(system.present_candidate) + of +
                              " is not among the candidates");
        }
    }
}

}   // namespace detail

/// Runs a study: the bench, every candidate in every system, ranking and recommendation.
///
/// Equation: those of evaluate_bench, evaluate_system and rank_candidates
/// Symbols:  none of its own
/// Validity: every part of the input is optional; what lacks an input is absent from the result and listed as missing
/// @param  study  the whole input; names unique, shares between 0 and 1
/// @return everything that is found, with uncertainties over the readings and stated values
/// @throws DomainError if a part is outside its range or names something unknown, NoSolution if a fit has none; both
///         with the filter's, candidate's or system's name
/// @source the rooms' own; test: study/run_study_test.cpp
template <Deferred...>
[[nodiscard]] inline StudyResult run_study(const StudyInput& study) {
    detail::check(study);
    StudyResult result;
    result.warnings = study.notes;
    evaluate_bench(study, result);
    if (study.candidates.empty() && !study.systems.empty()) {
        result.missing.push_back({"everything about the systems", "candidates"});
    }
    if (study.systems.empty()) {
        result.missing.push_back({"airflow, life, cost and recommendation", "a system (fan table and ducts)"});
    }
    for (const SystemInput& system : study.systems) {
        SystemResult entry = evaluate_system(study, system, result.filters);
        entry.doubted_inputs = detail::doubted_inputs(study, system, result.filters);
        if (const auto dust = detail::dust_doubt(system)) entry.warnings.push_back(detail::doubt_words(*dust));
        rank_candidates(study, system, entry);
        result.systems.push_back(std::move(entry));
    }
    return result;
}

}   // namespace filterflow
