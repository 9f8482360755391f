// SPDX-License-Identifier: BSL-1.0
#pragma once

// The system half of a study: each candidate run in the system and held against its limits.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/bench_evaluation.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

namespace detail {

inline CandidateMoment candidate_moment(const MomentFigures<Uncertain<double>>& m) {
    CandidateMoment moment{from_si<VolumeFlow>(m.flow), from_si<Pressure>(m.filter_drop),
                           from_si<Pressure>(m.external_pressure), std::nullopt};
    if (m.power) moment.power = from_si<Power>(*m.power);
    return moment;
}

inline void set_removal(const PreparedCandidate& prepared, const CandidateFigures<Uncertain<double>>& figures,
                        CandidateResult& result) {
    std::vector<FractionalEfficiency> stages, discharged;
    bool any_discharged = false;
    for (std::size_t k = 0; k < prepared.filters.size(); ++k) {
        const FilterResult& filter = *prepared.filters[k];
        if (!filter.efficiency || filter.efficiency->ranges.empty()) {
            result.missing.push_back(
                {"PM2.5 and PM10 removed, clean air delivered", "particle counts of " + in_quotes(filter.name)});
            return;
        }
        const bool sealed = !(prepared.model.stages[k].gap_area.value() > 0.0);
        const auto installed = [&](const FractionalEfficiency& efficiency) {
            return sealed ? efficiency : with_bypass(efficiency, Uncertain<double>(1.0) - figures.through_share[k]);
        };
        stages.push_back(installed(*filter.efficiency));
        any_discharged = any_discharged || filter.conditioned_efficiency;
        discharged.push_back(filter.conditioned_efficiency ? installed(*filter.conditioned_efficiency) : stages.back());
    }
    const auto removal = [&](const std::vector<FractionalEfficiency>& of, const DustOfInterest& dust,
                             const char* name) -> std::optional<Uncertain<double>> {
        const FractionalEfficiency whole = in_series(of);
        const bool closed = std::any_of(whole.ranges.begin(), whole.ranges.end(),
                                        [](const SizeEfficiency& e) { return !e.range.open_above; });
        if (!closed) {
            result.missing.push_back({std::string(name) + " removed", "a size range that all stages were counted in"});
            return std::nullopt;
        }
        const MassEfficiency mass = mass_efficiency(whole, dust);
        for (const std::string& a : mass.assumptions) add_once(result.warnings, {std::string(name) + ": " + a});
        return mass.estimate;
    };
    result.pm25_removal = removal(stages, urban_pm25(), "PM2.5");
    if (any_discharged) result.pm25_removal_discharged = removal(discharged, urban_pm25(), "PM2.5, discharged");
    result.pm10_removal = removal(stages, rural_pm10(), "PM10");
    result.lasting_pm25_removal = result.pm25_removal;
    if (result.pm25_removal_discharged && result.pm25_removal_discharged->value < result.pm25_removal->value) {
        result.lasting_pm25_removal = result.pm25_removal_discharged;
    }
    if (result.lasting_pm25_removal) {
        result.clean_air_pm25 =
            from_si<VolumeFlow>(product_of(to_si(result.clean->flow), *result.lasting_pm25_removal));
    }
}

/// Whether a limit lies inside the interval of what it is held against.
template <class Q>
bool near_limit(const Uncertain<Q>& x, const Q& limit, double probability) {
    return coverage_interval(x, probability).contains(limit);
}

inline void check_limits(const StudyInput& study, const SystemInput& system, const PreparedCandidate& prepared,
                         CandidateResult& result) {
    const CandidateMoment& clean = *result.clean;
    const auto fail = [&](const std::string& text) { result.failed_limits.push_back(text); };
    const auto warn_near = [&](const std::string& text) {
        result.warnings.push_back(text + " lies within the uncertainty of the limit: measure before relying on it");
    };
    const double probability = study.coverage_probability;
    if (system.least_airflow && near_limit(clean.flow, *system.least_airflow, probability)) {
        warn_near("airflow with clean filters");
    }
    if (system.greatest_external_static_pressure) {
        if (near_limit(clean.external_static_pressure, *system.greatest_external_static_pressure, probability)) {
            warn_near("external static pressure with clean filters");
        }
        if (system.fan.kind != FanPressureKind::external_static) {
            add_once(result.warnings,
                     {"the greatest external static pressure is held against the fan table's own pressure, "
                      "which is not stated as external: parts inside the cabinet count too"});
        }
    }
    if (system.greatest_face_velocity &&
        near_limit(clean.flow, VolumeFlow(*system.greatest_face_velocity * prepared.least_face_area), probability)) {
        warn_near("face velocity");
    }
    if (system.least_pm25_removal && result.lasting_pm25_removal &&
        near_limit(*result.lasting_pm25_removal, *system.least_pm25_removal, probability)) {
        warn_near("removal of PM2.5");
    }
    if (system.least_airflow && clean.flow.value < *system.least_airflow) {
        fail("airflow with clean filters " + flow_words(clean.flow.value) + ", limit at least " +
             flow_words(*system.least_airflow));
    }
    if (system.greatest_external_static_pressure &&
        clean.external_static_pressure.value > *system.greatest_external_static_pressure) {
        fail("external static pressure with clean filters " + pressure_words(clean.external_static_pressure.value) +
             ", limit at most " + pressure_words(*system.greatest_external_static_pressure));
    }
    result.face_velocity = clean.flow.value / prepared.least_face_area;
    if (*result.face_velocity < 0.2 * units::m_per_s || *result.face_velocity > 4.0 * units::m_per_s) {
        result.warnings.push_back("face velocity " + velocity_words(*result.face_velocity) +
                                  " is unusual for a ducted filter: check width and height, and the airflow");
    }
    if (system.greatest_face_velocity && *result.face_velocity > *system.greatest_face_velocity) {
        fail("face velocity " + velocity_words(*result.face_velocity) + ", limit at most " +
             velocity_words(*system.greatest_face_velocity));
    }
    if (system.least_pm25_removal) {
        const std::string limit = ", limit at least " + percent_words(*system.least_pm25_removal);
        if (!result.lasting_pm25_removal) {
            fail("removal of PM2.5 is not known" + limit);
        } else if (result.lasting_pm25_removal->value < *system.least_pm25_removal) {
            const bool met_when_new = result.pm25_removal->value >= *system.least_pm25_removal;
            fail("removal of PM2.5 " +
                 (met_when_new ? percent_words(result.pm25_removal->value) + " only while the charge lasts, then "
                               : "") +
                 percent_words(result.lasting_pm25_removal->value) + limit);
        }
    }
}

/// What a reader of the figures should know of the inputs behind them.
inline void add_cautions(const StudyInput& study, const CandidateInput& candidate, const PreparedCandidate& prepared,
                         CandidateResult& result) {
    const CandidateMoment& clean = *result.clean;
    if (clean.power) {
        const double efficiency = clean.flow.value * clean.external_static_pressure.value / clean.power->value;
        if (efficiency > 1.0) {
            result.warnings.push_back("the fan table gives the air more power than the fan takes (efficiency " +
                                      percent_words(efficiency) + "): its pressure or its power is wrong");
        }
    }
    for (std::size_t k = 0; k < candidate.stages.size(); ++k) {
        const FilterInput& filter = study.filters[filter_index(study, candidate.stages[k].filter)];
        if (extrapolates(*prepared.filters[k]->curve, clean.flow.value)) {
            result.warnings.push_back("the pressure of " + in_quotes(filter.name) +
                                      " is taken beyond the flows it was "
                                      "read at: here " +
                                      flow_words(clean.flow.value));
        }
        const Velocity here = clean.flow.value / face_area(filter);
        if (prepared.filters[k]->efficiency && filter.counts_face_velocity &&
            std::abs(here / *filter.counts_face_velocity - 1.0) > 0.25) {
            result.warnings.push_back(in_quotes(filter.name) + " was counted at " +
                                      velocity_words(*filter.counts_face_velocity) + " and runs at " +
                                      velocity_words(here) + ": its removal is not corrected for that");
        }
        const auto& classes = prepared.filters[k]->particulate_matter;
        if (classes && classes->ePM25_min && classes->ePM25_untreated &&
            classes->ePM25_min->value < 0.8 * classes->ePM25_untreated->value) {
            result.warnings.push_back(
                in_quotes(filter.name) +
                " loses efficiency when it is discharged (PM2.5: " + percent_words(classes->ePM25_untreated->value) +
                " to " + percent_words(classes->ePM25_min->value) + "): limits and clean air go by the lower one");
        }
    }
}

inline void set_course(const CandidateCourse& course, const CandidateFigures<Uncertain<double>>& figures,
                       const CandidateInput& candidate, CandidateResult& result) {
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
            result.missing.push_back({"change interval, yearly cost", course.change->text});
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
                                             hours_words(Time::from_value(figures.stage_intervals[k].value));
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

/// A filter cannot be changed at a final resistance that it has from the start, whether or not its life is known.
inline void require_final_resistances_above_clean(const FilterLifeInput& input, VolumeFlow flow) {
    for (std::size_t k = 0; k < input.stages.size(); ++k) {
        const FilterStage& stage = input.stages[k];
        if (!stage.final_resistance) continue;
        const Pressure drop =
            flow_split(BypassedElement{stage.clean, stage.gap_area, stage.discharge_coefficient}, flow, input.air).drop;
        if (*stage.final_resistance > drop) continue;
        throw DomainError("final resistance " + pressure_words(*stage.final_resistance) + " of stage " +
                          std::to_string(k + 1) + "; required: above its clean pressure drop, " + pressure_words(drop) +
                          " at " + flow_words(flow) + ", where the system runs");
    }
}

inline CandidateResult evaluated_candidate(const StudyInput& study, const SystemInput& system,
                                           const CandidateInput& candidate, const std::vector<FilterResult>& filters,
                                           Volume annual_volume, DustCaught& kept) {
    CandidateResult result;
    result.name = candidate.name;
    auto prepared = prepared_candidate(study, system, candidate, filters, kept, result);
    if (!prepared) return result;
    prepared->model.annual_volume = annual_volume;
    if (!(annual_volume.value() > 0.0)) prepared->model.with_cost = false;
    std::vector<double> values;
    for (const auto& p : prepared->parameters) values.push_back(p.value);
    const FilterLifeInput plain = life_input<double>(prepared->model, values);
    result.clean_point =
        operating_point_of(prepared->model.fan, clean_system(plain), prepared->model.air, plain.fan_scale);
    if (!result.clean_point.found()) {
        result.failed_limits.push_back(std::string("no operating point with clean filters: ") +
                                       std::string(status_text(result.clean_point.status)));
        return result;
    }
    if (result.clean_point.crossings.size() > 1) {
        result.warnings.push_back(
            "fan and system meet at several flows: where it settles depends on its history; the "
            "stable point of greatest flow is shown");
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
    const auto take = [](const auto& from, auto& to) {
        using Q = decltype(to->value);
        if (from) to = from_si<std::remove_cvref_t<Q>>(*from);
    };
    take(figures.time_to_limit, result.hours_to_limit);
    take(figures.interval, result.change_interval);
    if (!figures.stage_intervals.empty()) {
        result.change_interval = from_si<Time>(*std::max_element(
            figures.stage_intervals.begin(), figures.stage_intervals.end(),
            [](const Uncertain<double>& a, const Uncertain<double>& b) { return a.value < b.value; }));
    }
    take(figures.annual_energy, result.annual_energy);
    take(figures.attributable_energy, result.attributable_energy);
    take(figures.counterfactual_energy, result.counterfactual_energy);
    take(figures.annual_cost, result.annual_cost);
    take(figures.annual_filter_cost, result.annual_filter_cost);
    take(figures.present_value, result.present_value);
    set_removal(*prepared, figures, result);
    if (figures.cost_per_volume && result.lasting_pm25_removal && result.lasting_pm25_removal->value > 0.0) {
        result.cost_per_clean_air =
            from_si<MoneyPerVolume>(ratio_of(*figures.cost_per_volume, *result.lasting_pm25_removal));
    }
    check_limits(study, system, *prepared, result);
    add_cautions(study, candidate, *prepared, result);
    if (prepared->model.with_life) set_course(course, figures, candidate, result);
    return result;
}

/// The clean airflow of a candidate, if it has one; nothing is reported.
inline std::optional<Uncertain<VolumeFlow>> clean_airflow(const StudyInput& study, const SystemInput& system,
                                                          const CandidateInput& candidate,
                                                          const std::vector<FilterResult>& filters, DustCaught& kept) {
    CandidateResult ignored;
    auto prepared = prepared_candidate(study, system, candidate, filters, kept, ignored);
    if (!prepared) return std::nullopt;
    prepared->model.with_life = false;
    CandidateCourse course;
    const auto figures = uncertain_figures(prepared->model, prepared->parameters, course);
    if (!figures.clean) return std::nullopt;
    return from_si<VolumeFlow>(figures.clean->flow);
}

inline void sample_curves(const StudyInput& study, const SystemInput& system, SystemResult& result) {
    constexpr int count = 60;
    const AirState air = air_of(study, system);
    const Fan fan = fan_of(system);
    const double factor = system.fan_pressure_factor.value;
    double greatest = 0.0;
    for (int i = 0; i <= count; ++i) {
        const double part = static_cast<double>(i) / count;
        VolumeFlow flow;
        Pressure pressure;
        if (const auto* fixed = std::get_if<FanCurve>(&fan)) {
            flow = fixed->least_flow() + part * (fixed->greatest_flow() - fixed->least_flow());
            flow = std::min(flow, fixed->greatest_flow());
            pressure = factor * fan_pressure(*fixed, flow, air);
        } else {
            const auto& held = std::get<FlowHoldingFan>(fan);
            const double ratio = air.density / held.stated_air().density;
            const Pressure at = held.least_pressure() + part * (held.greatest_pressure() - held.least_pressure());
            flow = VolumeFlow::from_value(held.flow_curve().value(std::min(at, held.greatest_pressure()).value()));
            pressure = factor * ratio * at;
        }
        greatest = std::max(greatest, flow.value());
        result.fan_samples.emplace_back(flow, pressure);
    }
    const SystemCurve ducts = scaled_system<double>(system.ducts, system.duct_pressure_factor.value);
    for (int i = 0; i <= count; ++i) {
        const VolumeFlow flow = VolumeFlow::from_value(greatest * i / count);
        result.duct_samples.emplace_back(flow, pressure_drop(ducts, flow, air));
    }
}

/// Air of a year that every candidate has to deliver: what the present filter delivers clean, else the least airflow
/// asked for, else what the least delivering candidate does.
inline Volume equal_service(const StudyInput& study, const SystemInput& system,
                            const std::vector<std::optional<Uncertain<VolumeFlow>>>& clean, SystemResult& result) {
    if (!system.hours_per_year) return {};
    VolumeFlow flow{};
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        if (study.candidates[i].name == system.present_candidate && clean[i]) {
            result.warnings.push_back("equal service: the air of a year that the present " +
                                      in_quotes(system.present_candidate) + " delivers clean, " +
                                      flow_words(clean[i]->value) + " for " + hours_words(*system.hours_per_year));
            return clean[i]->value * *system.hours_per_year;
        }
    }
    if (system.least_airflow) {
        result.warnings.push_back("equal service: the least airflow asked for, " + flow_words(*system.least_airflow) +
                                  " for " + hours_words(*system.hours_per_year) + " (no present filter is stated)");
        return *system.least_airflow * *system.hours_per_year;
    }
    for (const auto& c : clean) {
        if (c && (!(flow.value() > 0.0) || c->value < flow)) flow = c->value;
    }
    if (flow.value() > 0.0) {
        result.warnings.push_back("equal service: the air of a year that the least delivering candidate moves clean, " +
                                  flow_words(flow) + " (neither a present filter nor an airflow limit is stated)");
    }
    return flow * *system.hours_per_year;
}

}   // namespace detail

/// All candidates in one system, not yet ranked.
///
/// Equation: those of airflow (operating point), loading (life), cost (equal service); first-order propagation of every
///           parameter's uncertainty
/// Symbols:  none of its own
/// Validity: figures that lack an input are absent, with what they need
/// @param  study  candidates, filters and prices
/// @param  system  the system they would serve
/// @param  filters  what the bench says of the filters, in the order of the study
/// @return candidates in the order of the study, curves for drawing
/// @throws DomainError or NoSolution from the rooms, with the candidate's and the system's name in front
/// @source the rooms' own; JCGM 100:2008, 5.1.2; test: study/run_study_test.cpp
inline SystemResult evaluate_system(const StudyInput& study, const SystemInput& system,
                                    const std::vector<FilterResult>& filters) {
    SystemResult result;
    result.name = system.name;
    const auto in_context = [&](const std::string& what, const auto& work) {
        detail::in_context("system " + detail::in_quotes(system.name) + ", " + what + ": ", work);
    };
    in_context("fan and ducts", [&] { detail::sample_curves(study, system, result); });
    if (system.control == FanControl::fixed_speed) {
        const FanCurve fan = fan_curve(system.fan);   // checked above
        for (const FlowRange& rise : fan.rising_parts()) {
            result.warnings.push_back("the fan table's pressure rises from " + detail::flow_words(rise.lower) + " to " +
                                      detail::flow_words(rise.upper) + ": a stall dip of the fan, or a typing error?");
        }
    }
    detail::DustCaught kept;
    std::vector<std::optional<Uncertain<VolumeFlow>>> clean;
    for (const CandidateInput& candidate : study.candidates) {
        in_context("candidate " + detail::in_quotes(candidate.name),
                   [&] { clean.push_back(detail::clean_airflow(study, system, candidate, filters, kept)); });
    }
    const Volume annual = detail::equal_service(study, system, clean, result);
    std::size_t present = study.candidates.size();
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        if (study.candidates[i].name == system.present_candidate) present = i;
    }
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        in_context("candidate " + detail::in_quotes(study.candidates[i].name), [&] {
            result.candidates.push_back(
                detail::evaluated_candidate(study, system, study.candidates[i], filters, annual, kept));
        });
        if (present == study.candidates.size() || i == present || !clean[i] || !clean[present]) continue;
        result.candidates.back().below_present_airflow =
            coverage_interval(*clean[i] - *clean[present], study.coverage_probability).upper < VolumeFlow{};
    }
    return result;
}

}   // namespace filterflow
