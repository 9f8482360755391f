// SPDX-License-Identifier: BSL-1.0
#pragma once

// The stand of a study made ready to reduce readings: its air, how it knows the flow, its tare; readings reduced on it.
// Not public.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/stand/reduction.hpp>
#include <filterflow/stand/tare.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

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

}   // namespace filterflow::detail
