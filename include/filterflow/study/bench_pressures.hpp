// SPDX-License-Identifier: BSL-1.0
#pragma once

// Clean pressures of a study's filters: curves in the declared standard air, pressures at common velocities and flows,
// or their order where no flow is known; doubts about units and samples. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/stand/pressure_only.hpp>
#include <filterflow/stand/reduction.hpp>
#include <filterflow/study/bench_stand.hpp>
#include <filterflow/study/input_doubts.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

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
        std::string message = "clean readings";
        if (!reduction.readings.front().origin.empty()) message += " (" + reduction.readings.front().origin + ")";
        throw DomainError(
            message + ": " + error.what() +
            (ready.tare ? ". These are pressures less the empty stand's at the same flow: check both" : ""));
    }
    if (auto doubt = clean_pressure_doubt(filter, reduction, face_area(filter))) {
        result.warnings.push_back(doubt_words(*doubt));
        result.doubts.push_back(std::move(*doubt));
    }
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
    const auto hint = [&](const std::vector<BenchReading>& readings, const std::string& name) {
        const std::string text = pooling_doubt(readings, name);
        if (!text.empty()) result.pressure_only->flags.push_back(text);
    };
    hint(stand.empty_stand, "the empty stand");
    for (const FilterInput& filter : study.filters) hint(filter.pressure_readings, in_quotes(filter.name));
    add_once(result.flags, result.pressure_only->flags);
}

}   // namespace filterflow::detail
