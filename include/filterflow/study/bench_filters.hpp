// SPDX-License-Identifier: BSL-1.0
#pragma once

// Counts of a study's filters to efficiency and classes, loading readings to a loading law. Not public.

#include <algorithm>
#include <cstddef>
#include <optional>
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
#include <filterflow/study/bench_stand.hpp>
#include <filterflow/study/input_doubts.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

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
            for (const InputDoubt& doubt : result.doubts) {   // then the fault is told where it lies
                throw DomainError("clean readings: " + doubt_words(doubt) + " The loading test has " +
                                  pressure_words(net) + " before any dust at " + flow_words(r.flow->value));
            }
            throw DomainError(which + "loading test: " + compared + "; allowed: half to twice of that. The unit of a "
                              "column in one of the two files is wrong, or they belong to different filters");
        }
        if (ratio > another_sample || ratio < 1.0 / another_sample) {
            result.warnings.push_back("loading: " + compared + ": another sample, or one of the two readings is wrong");
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
    if (auto doubt = loading_doubt(filter, face_area(filter))) {
        result.warnings.push_back("loading: " + doubt_words(*doubt));
        result.doubts.push_back(std::move(*doubt));
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

}   // namespace filterflow::detail
