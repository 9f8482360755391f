// SPDX-License-Identifier: BSL-1.0
#pragma once

// The bench half of a study: every reading brought to one tare, one air and, where the flow is known, an element
// curve; counts to efficiency and classes; loading readings to a loading law. What is missing is listed, not guessed.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/rating/composite_minimum.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/stand/pressure_only.hpp>
#include <filterflow/stand/reduction.hpp>
#include <filterflow/stand/tare.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

namespace detail {

/// The stand made ready to reduce readings: its air, how it knows the flow, its tare.
struct ReadyStand {
    AirState air;
    std::optional<TestStand> stand;   // absent where the flow is not measured
    std::optional<ElementFit> tare;
    StandResult result;
    std::vector<MissingFigure> missing;
};

/// The face open to the air, where it is known.
template <Deferred...>
inline std::optional<Area> face_area(const FilterInput& filter) {
    if (filter.free_area) return filter.free_area;
    if (filter.width && filter.height) return *filter.width * *filter.height;
    return std::nullopt;
}

template <Deferred...>
inline std::string face_needed(const std::string& name) { return "width and height of " + in_quotes(name); }

template <Deferred...>
inline StandReading stand_reading(const BenchReading& reading, const AirState& air) {
    StandReading result;
    result.pressure = reading.pressure;
    result.flow = reading.flow;
    result.element_pressure = reading.flow_element_pressure;
    result.velocities = reading.traverse_velocities;
    result.fan_pressure = reading.fan_pressure;
    result.air = air;
    result.origin = reading.origin;
    return result;
}

template <Deferred...>
inline std::vector<StandReading> stand_readings(std::span<const BenchReading> readings, const AirState& air) {
    std::vector<StandReading> result;
    for (const BenchReading& reading : readings) result.push_back(stand_reading(reading, air));
    return result;
}

/// The stand's way to know the flow; empty where it has none, or where what that way needs was not given.
template <Deferred...>
inline std::optional<StandFlow> stand_flow(const StandInput& stand, std::vector<MissingFigure>& missing) {
    const auto lacks = [&](const char* what) {
        missing.push_back({"flows on the stand", std::string(what) + " of the stand"});
    };
    switch (stand.flow_method) {
        case StandFlowMethod::flow_meter:
            return DirectFlow{};
        case StandFlowMethod::flow_element:
            if (stand.flow_element) return *stand.flow_element;
            lacks("the flow element");
            return std::nullopt;
        case StandFlowMethod::traverse:
            if (stand.traverse) return *stand.traverse;
            lacks("the traverse section");
            return std::nullopt;
        case StandFlowMethod::fan_table:
            if (stand.fan) return StandFan{fan_curve(*stand.fan), stand.fan_pressure_factor};
            lacks("the fan table");
            return std::nullopt;
        case StandFlowMethod::not_measured:
            return std::nullopt;
    }
    return std::nullopt;
}

template <Deferred...>
inline ReadyStand ready_stand(const StudyInput& study, const StandInput& input) {
    ReadyStand ready;
    if (input.air) {
        ready.air = moist_air(*input.air);
    } else {
        ready.air = study.standard_air;
        ready.result.flags.push_back(
            "temperature, pressure and humidity at the stand are not stated: readings are taken in "
            "the declared standard air and are not corrected for density and viscosity");
    }
    if (const auto flow = stand_flow(input, ready.missing)) {
        ready.stand = TestStand{*flow, input.manometer, input.flow_instrument, input.leakage};
        if (input.empty_stand.empty()) {
            ready.missing.push_back({"pressures of the filters alone",
                                     "readings of the empty stand (the pressures shown "
                                     "contain the stand's own resistance)"});
        } else {
            const StandReduction empty =
                reduce_filter_readings(stand_readings(input.empty_stand, ready.air), *ready.stand);
            add_once(ready.result.flags, empty.flags);
            if (empty.element_readings.empty()) {
                ready.missing.push_back({"tare of the stand", "readings of the empty stand with a known flow"});
            } else {
                ready.tare = fit_tare(empty.element_readings, study.standard_air);
                ready.result.tare = ready.tare;
            }
        }
    }
    return ready;
}

template <Deferred...>
inline StandReduction reduced(const ReadyStand& ready, std::span<const BenchReading> readings) {
    const auto raw = stand_readings(readings, ready.air);
    return ready.tare ? reduce_filter_readings(raw, *ready.stand, *ready.tare)
                      : reduce_filter_readings(raw, *ready.stand);
}

template <Deferred...>
inline std::vector<CorrectedReading> corrected(const StandReduction& reduction) {
    std::vector<CorrectedReading> result;
    for (const ReducedReading& r : reduction.readings) {
        result.push_back({r.flow, r.raw_pressure.value, r.flow ? r.net_pressure : std::nullopt});
    }
    return result;
}

/// Raw pressures at a flow, straight between the two readings beside it; empty outside the readings.
template <Deferred...>
inline std::optional<Pressure> raw_pressure_at(const std::vector<CorrectedReading>& readings, VolumeFlow flow) {
    std::vector<std::pair<double, double>> points;
    for (const CorrectedReading& r : readings) {
        if (r.flow) points.emplace_back(r.flow->value.value(), r.raw_pressure.value());
    }
    std::sort(points.begin(), points.end());
    for (std::size_t i = 1; i < points.size(); ++i) {
        const auto [q0, p0] = points[i - 1];
        const auto [q1, p1] = points[i];
        if (flow.value() < q0 || flow.value() > q1 || !(q1 > q0)) continue;
        return Pressure::from_value(p0 + (p1 - p0) * (flow.value() - q0) / (q1 - q0));
    }
    return std::nullopt;
}

template <Deferred...>
inline std::optional<Uncertain<Pressure>> pressure_within_readings(const ElementFit& curve, VolumeFlow flow,
                                                                   const AirState& air) {
    if (extrapolates(curve, flow)) return std::nullopt;
    return pressure_drop(curve, flow, air);
}

/// Above this no clean filter of an air handler is sold; common practice (no source).
inline constexpr Pressure likely_clean_pressure = 1000.0 * units::Pa;

/// A doubt about the unit of clean readings, empty if there is none.
template <Deferred...>
inline std::string clean_pressure_doubt(const StandReduction& reduction) {
    for (const ReducedReading& r : reduction.readings) {
        if (!r.net_pressure || !(r.net_pressure->value > likely_clean_pressure)) continue;
        return "a clean pressure of " + pressure_words(r.net_pressure->value) + " at " + flow_words(r.flow->value) +
               (r.origin.empty() ? "" : " (" + r.origin + ")") + " is more than any clean filter of an air handler " +
               "has, some " + pressure_words(likely_clean_pressure) + " (common practice): is the unit right?";
    }
    return "";
}

/// Refuses a loading test that cannot be of the filter whose clean readings are given: a pressure not above that of the
/// empty stand, or before any dust another one than the clean readings gave, by more than another sample would have.
template <Deferred...>
inline void check_loading_readings(const FilterInput& filter, const StandReduction& reduction,
                                   const ElementFit& clean, const AirState& air, FilterResult& result) {
    constexpr double another_filter = 2.0, another_sample = 1.3;   // of the clean pressure; common practice (no source)
    for (std::size_t i = 0; i < reduction.readings.size(); ++i) {
        const ReducedReading& r = reduction.readings[i];
        if (!r.flow) continue;
        const std::string which =
            "reading " + std::to_string(i + 1) + (r.origin.empty() ? "" : " (" + r.origin + ")") + ": ";
        const Pressure net = r.net_pressure->value;
        if (!(net.value() > 0.0)) {
            throw_domain_error(which + "loading test", "net pressure", net.value(), "Pa",
                               "> 0. The reading is " + pressure_words(r.raw_pressure.value) +
                                   ", and the empty stand alone takes as much or more at " +
                                   flow_words(r.flow->value) +
                                   ". Check taps, zero and the flow of this reading, and the readings of the empty "
                                   "stand");
        }
        if (filter.loading_readings[i].dust_fed.value() > 0.0) continue;
        const Pressure expected = pressure_drop(clean.curve, r.flow->value, air);
        const double ratio = net / expected;
        const std::string compared = pressure_words(net) + " before any dust at " + flow_words(r.flow->value) +
                                     ", where the clean readings give " + pressure_words(expected);
        if (ratio > another_filter || ratio < 1.0 / another_filter) {
            throw DomainError(which + "loading test: " + compared + "; allowed: half to twice of that. The unit of a "
                              "column in one of the two files is wrong, or they belong to different filters");
        }
        if (ratio > another_sample || ratio < 1.0 / another_sample) {
            result.warnings.push_back("loading: " + compared + ": another sample, or one of the two readings is wrong");
        }
    }
}

template <Deferred...>
inline void evaluate_pressures(const StudyInput& study, const ReadyStand& ready, const FilterInput& filter,
                               FilterResult& result) {
    if (filter.pressure_readings.empty()) {
        result.missing.push_back({"pressure against flow", "clean pressure readings of " + in_quotes(filter.name)});
        return;
    }
    if (!ready.stand) {
        for (const BenchReading& r : filter.pressure_readings) result.readings.push_back({{}, r.pressure, {}});
        result.missing.push_back({"pressure against flow",
                                  "flows on the stand (a flow element, a traverse, a flow meter or "
                                  "the stand's fan table)"});
        return;
    }
    const StandReduction reduction = reduced(ready, filter.pressure_readings);
    result.readings = corrected(reduction);
    add_once(result.warnings, reduction.flags);
    if (reduction.element_readings.empty()) {
        result.missing.push_back(
            {"pressure against flow", "at least one reading of " + in_quotes(filter.name) + " with a known flow"});
        return;
    }
    try {
        result.curve = fit_element(reduction.element_readings, study.standard_air);
    } catch (const DomainError& error) {
        if (!ready.tare) throw;
        std::string message = "clean readings";
        if (!reduction.readings.front().origin.empty()) message += " (" + reduction.readings.front().origin + ")";
        throw DomainError(message + ": " + error.what() +
                          ". These are pressures less the empty stand's at the same flow: check both");
    }
    if (const std::string doubt = clean_pressure_doubt(reduction); !doubt.empty()) result.warnings.push_back(doubt);
    if (result.curve->form_assumed) {
        result.warnings.push_back("read at one flow only: how its pressure changes with flow is assumed, not measured");
    }
    if (result.curve->lacks_fit) {
        result.warnings.push_back(std::string(description(result.curve->check.verdict)) + " (curve r Q + s Q^2)");
    }
    const std::optional<Area> face = face_area(filter);
    if (!face) {
        result.missing.push_back({"face velocity, pressures at common face velocities", face_needed(filter.name)});
        return;
    }
    for (const Velocity& velocity : study.comparison_velocities) {
        const VolumeFlow flow = velocity * *face;
        result.pressure_at_velocities.push_back(pressure_within_readings(*result.curve, flow, study.standard_air));
        result.raw_pressure_at_velocities.push_back(raw_pressure_at(result.readings, flow));
    }
    const bool any = std::any_of(result.pressure_at_velocities.begin(), result.pressure_at_velocities.end(),
                                 [](const auto& pressure) { return pressure.has_value(); });
    if (!any && !study.comparison_velocities.empty()) {
        result.missing.push_back(
            {"pressures at common face velocities",
             "readings of " + in_quotes(filter.name) + " that reach one of them (they go from " +
                 velocity_words(result.curve->least_flow / *face) + " to " +
                 velocity_words(result.curve->greatest_flow / *face) + ")"});
    }
}

/// Where nothing is stated to compare at, or nothing that a reading reaches: the greatest flow that the readings of all
/// filters reach, and half of it if all reach down to it.
template <Deferred...>
inline void choose_comparison_flows(const std::string& why, StudyResult& result) {
    double least = 0.0, greatest = std::numeric_limits<double>::infinity();
    for (const FilterResult& filter : result.filters) {
        if (!filter.curve) continue;
        least = std::max(least, filter.curve->least_flow.value());
        greatest = std::min(greatest, filter.curve->greatest_flow.value());
    }
    if (!std::isfinite(greatest)) return;   // no curve, which is missing with what it needs
    if (least > greatest) {
        result.missing.push_back({"pressures at common flows", "readings of the filters whose flows overlap"});
        return;
    }
    const bool with_half = 0.5 * greatest >= least;
    if (with_half) result.comparison_flows.push_back(VolumeFlow::from_value(0.5 * greatest));
    result.comparison_flows.push_back(VolumeFlow::from_value(greatest));
    result.warnings.push_back(why + ": compared at " +
                              flow_words(VolumeFlow::from_value(greatest)) +
                              ", the greatest flow that the readings of all filters reach" +
                              (with_half ? ", and at half of it" : ""));
}

template <Deferred...>
inline void compare_at_flows(const StudyInput& study, StudyResult& result) {
    result.comparison_flows = study.comparison_flows;
    const bool reached = std::any_of(result.filters.begin(), result.filters.end(), [](const FilterResult& filter) {
        return std::any_of(filter.pressure_at_velocities.begin(), filter.pressure_at_velocities.end(),
                           [](const auto& pressure) { return pressure.has_value(); });
    });
    if (study.comparison_flows.empty() && study.comparison_velocities.empty()) {
        choose_comparison_flows("no flow or face velocity to compare pressures at is stated", result);
    } else if (study.comparison_flows.empty() && !reached) {
        choose_comparison_flows("no reading reaches a face velocity to compare pressures at", result);
    }
    for (FilterResult& filter : result.filters) {
        if (!filter.curve) continue;
        for (const VolumeFlow& flow : result.comparison_flows) {
            filter.pressure_at_flows.push_back(pressure_within_readings(*filter.curve, flow, study.standard_air));
            filter.raw_pressure_at_flows.push_back(raw_pressure_at(filter.readings, flow));
        }
    }
}

template <Deferred...>
inline void evaluate_capture(const FilterInput& filter, FilterResult& result) {
    if (filter.counts.empty()) {
        result.missing.push_back({"efficiency by particle size, classes, particles removed",
                                  "particle counts of " + in_quotes(filter.name)});
        return;
    }
    in_context("particle counts: ", [&] { result.efficiency = fractional_efficiency(filter.counts); });
    std::optional<FractionalEfficiency>& conditioned = result.conditioned_efficiency;
    if (!filter.conditioned_counts.empty()) {
        in_context("discharged particle counts: ",
                   [&] { conditioned = fractional_efficiency(filter.conditioned_counts); });
    }
    const std::optional<Uncertain<double>> arrestance =
        result.loading ? result.loading->average_arrestance : std::nullopt;
    result.minimum_efficiency =
        minimum_efficiency_rating(MinimumEfficiencyCurves{*result.efficiency, {}, {}}, arrestance);
    if (conditioned) {
        result.minimum_efficiency_discharged =
            minimum_efficiency_rating(composite_minimum(std::vector{*result.efficiency, *conditioned}), arrestance);
        if (result.minimum_efficiency_discharged->lowest) {
            result.minimum_efficiency_discharged_text =
                "with the lower of new and discharged counts in each size range: " +
                value_text(*result.minimum_efficiency_discharged) +
                " (the discharge is a step of ISO 16890, not of this standard; it shows what may be left of a charge)";
        }
    }
    result.particulate_matter = particulate_matter_class(*result.efficiency, conditioned);
    if (filter.counts_face_velocity) {
        result.minimum_efficiency_text =
            minimum_efficiency_text(*result.minimum_efficiency, *filter.counts_face_velocity);
        result.particulate_matter_text =
            particulate_matter_text(*result.particulate_matter, *filter.counts_face_velocity);
    } else {
        result.missing.push_back({"classes in words", "the face velocity at which " + in_quotes(filter.name) +
                                                          " was counted (a class without its velocity says nothing)"});
    }
    for (const QualityVerdict& verdict : quality_verdicts(*result.efficiency)) {
        result.warnings.push_back("counts " + channels_words(verdict, *result.efficiency) + ": " + verdict.text);
    }
    for (const UndeterminedRange& range : result.efficiency->undetermined) {
        result.warnings.push_back("efficiency of " + range_text(range.range) + " is not determined: " + range.reason);
    }
}

template <Deferred...>
inline LoadingFit best_loading_fit(LoadingFitInput input) {
    LoadingFit fit = fit_loading(input);
    std::size_t dusty = 0;
    for (const LoadingTestReading& r : input.readings) dusty += r.dust_fed.value.value() > 0.0 ? 1 : 0;
    if (!fit.lacks_fit || dusty < 4) return fit;
    input.form = LoadingForm::kinked;   // a cake stage of its own slope, where the tangent does not describe it
    LoadingFit kinked = fit_loading(input);
    return kinked.lacks_fit || kinked.slope_falls ? fit : kinked;
}

template <Deferred...>
inline void evaluate_loading(const StudyInput& study, const ReadyStand& ready, const FilterInput& filter,
                             FilterResult& result) {
    if (filter.loading_readings.empty()) {
        result.missing.push_back(
            {"growth of resistance with dust, life, change interval", "loading readings of " + in_quotes(filter.name)});
        return;
    }
    if (!ready.stand || !result.curve) {
        result.missing.push_back({"growth of resistance with dust, life, change interval",
                                  "the clean pressure curve of " + in_quotes(filter.name)});
        return;
    }
    if (!(result.curve->linear.value.value() > 0.0)) {   // dust raises the viscous part: without one there is no law
        result.missing.push_back({"growth of resistance with dust, life, change interval",
                                  "clean readings of " + in_quotes(filter.name) +
                                      " that show a part of its pressure in "
                                      "proportion to flow (those given show none: read more flows, small ones too)"});
        return;
    }
    const std::optional<Area> area = filter.media_area ? filter.media_area : face_area(filter);
    if (!area) {
        result.missing.push_back({"growth of resistance with dust, life, change interval",
                                  face_needed(filter.name) + ", or its media area: dust counts per area"});
        return;
    }
    std::vector<BenchReading> readings;
    for (const LoadingReading& r : filter.loading_readings) readings.push_back(r.reading);
    const StandReduction reduction = reduced(ready, readings);
    result.loading_readings = corrected(reduction);
    add_once(result.warnings, reduction.flags);
    check_loading_readings(filter, reduction, *result.curve, ready.air, result);
    LoadingFitInput fit;
    fit.clean = *result.curve;
    fit.area = *area;
    fit.reference = filter.media_area ? ReferenceArea::media : ReferenceArea::face;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        const ReducedReading& r = reduction.readings[i];
        if (!r.flow) continue;
        LoadingTestReading step{filter.loading_readings[i].dust_fed, {}, *r.flow, *r.net_pressure, ready.air};
        if (filter.loading_readings[i].dust_passed) step.dust_passed = *filter.loading_readings[i].dust_passed;
        fit.readings.push_back(std::move(step));
    }
    if (fit.readings.empty()) {
        result.missing.push_back({"growth of resistance with dust, life, change interval",
                                  "loading readings of " + in_quotes(filter.name) + " with a known flow"});
        return;
    }
    in_context("loading readings: ", [&] { result.loading = best_loading_fit(fit); });
    result.warnings.push_back("loading: " + result.loading->verdict);
    if (result.loading->retained_mass == RetainedMass::upper_bound) {
        result.missing.push_back({"arrestance", "the dust that passed " + in_quotes(filter.name) + ", weighed"});
    }
    for (const CandidateInput& candidate : study.candidates) {
        for (const StageInput& stage : candidate.stages) {
            if (stage.filter != filter.name || !stage.final_resistance || result.capacity) continue;
            const FinalResistance at{*stage.final_resistance, fit.readings.back().flow.value};
            if (!(at.pressure > pressure_drop(result.curve->curve, at.flow, study.standard_air))) {
                result.missing.push_back({"dust holding capacity",
                                          "a final resistance above the clean pressure drop at the "
                                          "flow of the loading test, " +
                                              flow_words(at.flow)});
                continue;
            }
            result.capacity = dust_holding_capacity(*result.loading, *result.curve, at, study.standard_air);
            result.capacity_at = at;
        }
    }
}

/// Repeated readings of one filter without a flow, as one mean reading.
template <Deferred...>
inline Uncertain<Pressure> mean_pressure(const StandInput& stand, std::span<const BenchReading> readings,
                                         const std::string& name) {
    std::vector<Uncertain<Pressure>> values;
    for (const BenchReading& r : readings) values.push_back(reading(stand.manometer, r.pressure));
    return mean_of_readings(values, "scatter of the pressure of " + name);
}

template <Deferred...>
inline void order_by_pressure(const StudyInput& study, const StandInput& stand, StandResult& result) {
    PressureOnlyReadings input;
    input.coverage_probability = study.coverage_probability;
    for (const FilterInput& filter : study.filters) {
        if (filter.pressure_readings.empty()) continue;
        input.filters.push_back({filter.name, mean_pressure(stand, filter.pressure_readings, filter.name)});
    }
    if (input.filters.empty()) return;
    if (!stand.empty_stand.empty()) input.empty_stand = mean_pressure(stand, stand.empty_stand, "the empty stand");
    input.fan = stand.fan_ends;
    result.pressure_only = pressure_only_order(input);
    add_once(result.flags, result.pressure_only->flags);
}

}   // namespace detail

/// The bench half of a study: what the readings say of the stand and of each filter.
///
/// Equation: those of the rooms it calls: stand (tare, flow, leakage), resistance (r Q + s Q^2), capture (penetration
///           from counts), rating, loading (loading law)
/// Symbols:  none of its own
/// Validity: parts that the input lacks leave their figures absent, listed with what they need; clean readings without
///           a description of the stand are taken as read where the flow is not measured, as StandInput begins
/// @param  study  stand, filters and candidates (for their final resistances)
/// @param  result  receives stand, filters and what is missing
/// @return nothing
/// @throws DomainError or NoSolution from the rooms, with "stand" or the filter's name in front
/// @source the rooms' own; test: study/run_study_test.cpp
template <Deferred...>
inline void evaluate_bench(const StudyInput& study, StudyResult& result) {
    std::optional<detail::ReadyStand> ready;
    const bool pressures = std::any_of(study.filters.begin(), study.filters.end(),
                                       [](const FilterInput& filter) { return !filter.pressure_readings.empty(); });
    if (study.stand || pressures) {
        const StandInput stand = study.stand.value_or(StandInput{});
        detail::in_context("stand: ", [&] {
            ready = detail::ready_stand(study, stand);
            if (stand.flow_method == StandFlowMethod::not_measured) {
                detail::order_by_pressure(study, stand, ready->result);
            }
        });
        result.missing.insert(result.missing.end(), ready->missing.begin(), ready->missing.end());
        result.stand = ready->result;
    } else {
        result.missing.push_back({"everything that rests on bench readings", "a description of the test stand"});
    }
    for (const FilterInput& filter : study.filters) {
        FilterResult entry;
        entry.name = filter.name;
        detail::in_context("filter " + detail::in_quotes(filter.name) + ": ", [&] {
            if (ready) {
                detail::evaluate_pressures(study, *ready, filter, entry);
                detail::evaluate_loading(study, *ready, filter, entry);
            }
            detail::evaluate_capture(filter, entry);
        });
        result.filters.push_back(std::move(entry));
    }
    detail::compare_at_flows(study, result);
}

}   // namespace filterflow
