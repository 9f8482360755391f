// SPDX-License-Identifier: BSL-1.0
#pragma once

// One candidate run in a system: its figures, its course over a life and its limits. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/common_year.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/study/candidate_limits.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/candidate_room.hpp>
#include <filterflow/study/removal_draws.hpp>
#include <filterflow/study/limit_doubts.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>
#include <filterflow/study/unserved_words.hpp>

namespace filterflow::detail {

template <Deferred...>
inline CandidateMoment candidate_moment(const MomentFigures<Uncertain<double>>& m) {
    CandidateMoment moment{from_si<VolumeFlow>(m.flow), from_si<Pressure>(m.filter_drop),
                           from_si<Pressure>(m.external_pressure), std::nullopt};
    if (m.power) moment.power = from_si<Power>(*m.power);
    return moment;
}

template <Deferred...>
inline void set_course(const CandidateCourse& course, const CandidateFigures<Uncertain<double>>& figures,
                       const CandidateInput& candidate, double probability, CandidateResult& result) {
    if (course.life.limit_met) result.limit_reached = course.life.reason;
    if (!course.life.limit_met && !course.life.moments.empty()) {
        result.limit_reached = course.life.reason + " of " + rounded(greatest_interval_years, 2) + " years";
    }
    for (const std::size_t k : course.life.extrapolated_stages) {
        add_once(result.warnings, {"the life of " + in_quotes(candidate.stages[k].filter) +
                                   " goes beyond the dust of its loading test: its law is extrapolated there"});
    }
    if (course.life.limit_met && !course.life.derivatives_known) {
        result.warnings.push_back(
            "the life ends where the flow would jump: the uncertainty of interval and cost is not "
            "known there and shown too small");
    }
    std::vector<LifeMoment> moments = course.life.moments;
    if (course.change) {
        result.change_interval_reason = course.change->text;
        for (const ChangeIntervalSample& s : course.change->curve)
            result.cost_rate.push_back({s.interval, s.annual_cost});
        if (!course.change->interval) {
            const std::string why = course.change->text, no_interval = "no interval: ";
            result.missing.push_back({"change interval, yearly cost",
                                      "a life from which they follow (" +
                                          (why.starts_with(no_interval) ? why.substr(no_interval.size()) : why) + ")"});
        } else if (course.change->cost->exceeds_year) {
            result.warnings.push_back(
                "even running all year it does not deliver the air of the equal service: the yearly "
                "cost compares the price of its air, not what the year will bring");
        }
    }
    if (!course.change && !course.history && figures.interval) {
        result.change_interval_reason =
            course.life.reason +
            "; whether an earlier change would be cheaper is not known without prices and fan power";
    }
    if (course.history) {
        result.change_interval_reason = "each stage by its own rule: ";
        for (std::size_t k = 0; k < figures.stage_intervals.size(); ++k) {
            result.change_interval_reason += (k == 0 ? "" : ", ") + in_quotes(candidate.stages[k].filter) +
                                             " about every " +
                                             hours_words(from_si<Time>(figures.stage_intervals[k]), probability);
        }
        if (figures.stage_intervals.empty()) {
            result.change_interval_reason.clear();
            result.missing.push_back({"change interval, yearly cost", "a rule that is met for every stage within " +
                                                                          rounded(greatest_interval_years, 2) +
                                                                          " years (" + course.history->reason + ")"});
        } else {
            double longest = 0.0;
            for (const auto& i : figures.stage_intervals) longest = std::max(longest, i.value);
            moments = course.history->moments;
            std::erase_if(moments, [&](const LifeMoment& m) { return m.time.value() > 1.05 * longest; });
        }
    }
    for (const LifeMoment& m : moments) {
        Mass retained{};
        for (const Mass& r : m.retained) retained += r;
        result.life.push_back({m.time, retained, m.flow, m.filter_drop, m.power});
    }
}

/// What an interval by age hides where dust comes by season: more of it within the age than the interval was computed
/// for, so that another limit may come first.
template <Deferred...>
inline std::string season_warning(const DustSchedule& schedule, Time interval, Time age) {
    double greatest = 0.0;
    std::size_t month = 0;
    for (std::size_t m = 0; m < month_names.size(); ++m) {
        const Time begin = Time::from_value(86400.0 * static_cast<double>(days_before_month[m]));
        const double dose = (dose_until(schedule, Time(begin + age)) - dose_until(schedule, begin)).value();
        if (dose > greatest) {
            greatest = dose;
            month = m;
        }
    }
    const double ratio = greatest / (interval.value() * schedule.mean_concentration().value());
    if (!(ratio > 1.05)) return "";
    return "changed by age, computed for dust that comes evenly over the year: put in at the beginning of " +
           std::string(month_names[month]) + " it meets " + rounded(ratio, 2) +
           " times that dust within its age, and may reach its final resistance or another limit before it";
}

/// Calendar time between changes, of several stages of the one that lasts longest. What its age ends is changed at that
/// age in every season; what its dust ends, no later than at that age.
template <Deferred...>
inline ChangeCalendar calendar_of(const OperatingHours& hours, const CandidateInput& candidate,
                                  const CandidateCourse& course, const CandidateFigures<Uncertain<double>>& figures,
                                  Time interval) {
    std::size_t stage = 0;
    for (std::size_t k = 1; k < figures.stage_intervals.size(); ++k) {
        if (figures.stage_intervals[k].value > figures.stage_intervals[stage].value) stage = k;
    }
    const std::optional<Time> age = candidate.stages.at(stage).greatest_age;
    bool by_age = course.life.end == LifeEnd::age &&
                  (!course.change || course.change->reason == ChangeIntervalReason::limit);
    if (course.history) {
        by_age = std::any_of(course.history->changes.begin(), course.history->changes.end(),
                             [&](const StageChange& c) { return c.stage == stage && c.cause == LifeEnd::age; });
    }
    if (!by_age || !age) return change_calendar(hours.schedule, interval, age);
    ChangeCalendar calendar;
    calendar.from.fill(*age);
    calendar.greatest_age = age;
    return calendar;
}

/// What prices by the month's peak, by carbon, over years and by the calendar add to a candidate.
template <Deferred...>
inline void set_asked_for(const StudyInput& study, const SystemInput& system, const CandidateInput& candidate,
                          const CandidateCourse& course, const CandidateFigures<Uncertain<double>>& figures,
                          CandidateResult& result) {
    const auto take = [](const auto& from, auto& to) {
        using Q = decltype(to->value);
        if (from) to = from_si<std::remove_cvref_t<Q>>(*from);
    };
    take(figures.annual_demand_cost, result.annual_demand_cost);
    take(figures.monthly_peak, result.monthly_peak);
    take(figures.change_earliest, result.change_earliest);
    take(figures.change_latest, result.change_latest);
    result.change_latest_is_limit = course.window_ends_with_life;
    if (study.prices.carbon && figures.annual_energy) {
        result.annual_carbon = from_si<Mass>(product_of(to_si(*study.prices.carbon), *figures.annual_energy));
    }
    if (study.prices.change_penalty && figures.stage_intervals.size() > 1) {
        result.missing.push_back({"earliest and latest change", "one change interval for all stages"});
    }
    if (system.operating_hours && result.change_interval) {
        const Time interval = result.change_interval->value;
        result.calendar = calendar_of(*system.operating_hours, candidate, course, figures, interval);
        const std::optional<Time>& age = result.calendar->greatest_age;
        if (age && result.calendar->from[result.calendar->shortest] >= *age) {
            const std::string warning = season_warning(system.operating_hours->schedule, interval, *age);
            if (!warning.empty()) result.warnings.push_back(warning);
        }
    }
    if (!figures.service_present_value) return;
    ServiceYears& years = result.service.emplace();
    for (const Uncertain<double>& changes : figures.stage_changes) {
        years.purchases.push_back(static_cast<std::size_t>(
            std::ceil(changes.value * (*study.prices.years_of_service / units::year) * (1.0 - 1e-12))));
    }
    years.filter_cost = from_si<Money>(*figures.service_filter_cost);
    years.energy_cost = from_si<Money>(*figures.service_energy_cost);
    years.present_value = from_si<Money>(*figures.service_present_value);
}

/// To first order; `prepared` keeps what it was computed from.
template <Deferred...>
inline CandidateResult evaluated_candidate(const StudyInput& study, const SystemInput& system,
                                           const CandidateInput& candidate, const std::vector<FilterResult>& filters,
                                           Volume annual_volume, DustCaught& kept,
                                           std::optional<PreparedCandidate>& prepared) {
    CandidateResult result;
    result.name = candidate.name;
    prepared = prepared_candidate(study, system, candidate, filters, kept, result);
    if (!prepared) {
        set_removal_without_flow(study, candidate, filters, result);
        return result;
    }
    prepared->model.annual_volume = annual_volume;
    if (!(annual_volume.value() > 0.0)) prepared->model.with_cost = false;
    std::vector<double> values;
    for (const auto& p : prepared->parameters) values.push_back(p.value);
    const FilterLifeInput plain = life_input<double>(prepared->model, values);
    result.clean_point =
        operating_point_of(plain.fan, clean_system(plain), prepared->model.air, plain.fan_scale);
    if (!result.clean_point.found()) {
        result.failed_limits.push_back(
            "no operating point with clean filters: " + std::string(status_text(result.clean_point.status)) +
            table_end_words(prepared->model.fan, clean_system(plain), plain, result.clean_point.status));
        return result;
    }
    if (result.clean_point.status == OperatingStatus::fan_gave_up) {
        result.warnings.push_back("the speed drive is at its limit with clean filters and no longer holds the airflow");
    }
    require_final_resistances_above_clean(plain, result.clean_point.flow());
    CandidateCourse course;
    const auto figures = uncertain_figures(prepared->model, prepared->parameters, course);
    result.clean = candidate_moment(*figures.clean);
    if (figures.middle) result.middle = candidate_moment(*figures.middle);
    if (figures.end) result.end = candidate_moment(*figures.end);
    const bool at_limit = !course.change || course.change->reason == ChangeIntervalReason::limit;
    if (result.end && at_limit && !course.life.derivatives_known) result.end = without_uncertainty(*result.end);
    const auto take = [](const auto& from, auto& to) {
        using Q = std::remove_cvref_t<decltype(to->value)>;
        if (from) to = from_si<Q>(*from);
    };
    take(figures.time_to_limit, result.hours_to_limit);
    take(figures.interval, result.change_interval);
    if (!figures.stage_intervals.empty()) {
        result.change_interval = from_si<Time>(*std::max_element(
            figures.stage_intervals.begin(), figures.stage_intervals.end(),
            [](const Uncertain<double>& a, const Uncertain<double>& b) { return a.value < b.value; }));
    }
    take(figures.annual_running_time, result.annual_running_time);
    take(figures.annual_energy, result.annual_energy);
    take(figures.attributable_energy, result.attributable_energy);
    take(figures.counterfactual_energy, result.counterfactual_energy);
    take(figures.annual_cost, result.annual_cost);
    take(figures.annual_filter_cost, result.annual_filter_cost);
    take(figures.present_value, result.present_value);
    set_asked_for(study, system, candidate, course, figures, result);
    const std::optional<InstalledEfficiency> installed = set_removal(*prepared, figures, result);
    cover_removal(study.coverage_probability, result);
    set_indoor(system, installed, result);
    set_indoor_mean(system, installed, annual_volume, result);
    if (figures.cost_per_volume && result.lasting_pm25_removal && result.lasting_pm25_removal->value > 0.0) {
        result.cost_per_clean_air =
            from_si<MoneyPerVolume>(ratio_of(*figures.cost_per_volume, *result.lasting_pm25_removal));
    }
    check_limits(study, system, *prepared, result);
    doubt_removal(study, system, candidate, *prepared, figures.through_share, result);
    doubt_operating_point(system, plain, course, result);
    add_cautions(study, candidate, *prepared, figures.through_share, result);
    if (prepared->model.with_life) set_course(course, figures, candidate, study.coverage_probability, result);
    return result;
}

}   // namespace filterflow::detail
