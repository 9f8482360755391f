// SPDX-License-Identifier: BSL-1.0
#pragma once

// The system half of a study: every candidate run in the system, at equal service.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/airflow/held_flow.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/candidate_evaluation.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/life_draws.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

namespace detail {

/// The clean airflow of a candidate, if it has one; nothing is reported.
template <Deferred...>
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

template <Deferred...>
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
            const FlowHoldingFan held =
                with_held_flow(std::get<FlowHoldingFan>(fan), system.held_airflow_factor.value);
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
template <Deferred...>
inline Volume equal_service(const StudyInput& study, const SystemInput& system,
                            const std::vector<std::optional<Uncertain<VolumeFlow>>>& clean, SystemResult& result) {
    if (!system.hours_per_year) return {};
    VolumeFlow flow{};
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        if (study.candidates[i].name == system.present_candidate && clean[i]) {
            result.warnings.push_back("equal service: the air of a year that the present " +
                                      in_quotes(system.present_candidate) + " delivers clean, " +
                                      flow_words(*clean[i], study.coverage_probability) + " for " +
                                      hours_words(*system.hours_per_year));
            return clean[i]->value * *system.hours_per_year;
        }
    }
    const std::string no_present_flow =
        system.present_candidate.empty()
            ? "no present filter is stated"
            : "what the present " + in_quotes(system.present_candidate) + " delivers is not known";
    if (system.least_airflow) {
        result.warnings.push_back("equal service: the least airflow asked for, " + flow_words(*system.least_airflow) +
                                  " for " + hours_words(*system.hours_per_year) + " (" + no_present_flow + ")");
        return *system.least_airflow * *system.hours_per_year;
    }
    for (const auto& c : clean) {
        if (c && (!(flow.value() > 0.0) || c->value < flow)) flow = c->value;
    }
    if (flow.value() > 0.0) {
        result.warnings.push_back("equal service: the air of a year that the least delivering candidate moves clean, " +
                                  flow_words(flow) + " (" + no_present_flow + "; no airflow limit is stated)");
    }
    return flow * *system.hours_per_year;
}

/// Whether an operating point lacks one of its two curves; then all that needs it is missing.
template <Deferred...>
inline bool lacks_fan_or_ducts(const StudyInput& study, const SystemInput& system,
                               const std::vector<FilterResult>& filters, SystemResult& result) {
    const auto lacks = [&](const char* what) {
        result.missing.push_back({"airflow, pressures in the system, power, hours to a limit, change interval, yearly "
                                  "energy and cost, clean air",
                                  what + in_quotes(system.name)});
    };
    if (system.fan.points.empty()) lacks("the fan table of system ");
    if (!system.ducts_known) lacks("the resistance of ducts and parts of system ");
    if (result.missing.empty()) return false;
    for (const CandidateInput& candidate : study.candidates) {
        CandidateResult entry;
        entry.name = candidate.name;
        set_removal_without_flow(study, candidate, filters, entry);
        result.candidates.push_back(std::move(entry));
    }
    return true;
}

}   // namespace detail

/// All candidates in one system, not yet ranked.
///
/// Equation: those of airflow (operating point), loading (life), cost (equal service); first-order propagation of every
///           parameter's uncertainty. Intervals of lives, energies and costs, and of the differences of costs, where
///           first order is off: shares of draws, in which the dust goes through lives computed at many amounts of it
///           and everything else to first order
/// Symbols:  none of its own
/// Validity: figures that lack an input are absent, with what they need; without a fan table or ducts all are. The
///           draws are the same in any order of candidates and filters. For a coverage probability above 0.994 there
///           are none, and first order is all there is
/// @param  study  candidates, filters and prices
/// @param  system  the system they would serve
/// @param  filters  what the bench says of the filters, in the order of the study
/// @return candidates in the order of the study, curves for drawing
/// @throws DomainError or NoSolution from the rooms, with the candidate's and the system's name in front
/// @source the rooms' own; JCGM 100:2008, 5.1.2; JCGM 101:2008, 7.7.2; test: study/run_study_test.cpp
template <Deferred...>
inline SystemResult evaluate_system(const StudyInput& study, const SystemInput& system,
                                    const std::vector<FilterResult>& filters) {
    SystemResult result;
    result.name = system.name;
    if (detail::lacks_fan_or_ducts(study, system, filters, result)) return result;
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
    if (system.control == FanControl::holds_airflow && !(system.held_airflow_factor.standard_uncertainty() > 0.0)) {
        result.warnings.push_back("the airflow that the drive holds is taken as exact: how well it does is not stated");
    }
    if (system.room) {
        in_context("room", [&] { detail::check_room(*system.room); });
        result.warnings.push_back(detail::room_words(*system.room));
        if (system.operating_hours || system.room->fan_cycle) {
            result.warnings.push_back(detail::room_mean_words(system));
        }
    } else {
        result.missing.push_back({"PM2.5 and PM10 indoors", "the room that the system serves"});
    }
    if (!study.prices.time_of_use.empty()) {
        result.electricity = detail::electricity_of(study, system);
        if (!system.operating_hours) {
            result.missing.push_back({"the price of electricity in the hours that the fan runs",
                                      "these hours: the price counted is the mean over all hours of a year"});
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
    std::vector<detail::EvaluatedLife> lives;
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        std::optional<detail::PreparedCandidate> prepared;
        in_context("candidate " + detail::in_quotes(study.candidates[i].name), [&] {
            result.candidates.push_back(
                detail::evaluated_candidate(study, system, study.candidates[i], filters, annual, kept, prepared));
        });
        if (prepared) lives.push_back({i, std::move(*prepared)});
        if (present == study.candidates.size() || i == present || !clean[i] || !clean[present]) continue;
        result.candidates.back().below_present_airflow =
            coverage_interval(*clean[i] - *clean[present], study.coverage_probability).upper < VolumeFlow{};
    }
    detail::cover_lives(study, std::move(lives), result);
    return result;
}

}   // namespace filterflow
