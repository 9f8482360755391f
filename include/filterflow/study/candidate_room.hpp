// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a candidate makes of the outdoor particles in the room that its system serves. Not public.

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/candidate_limits.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>
#include <filterflow/zone/indoor_mean.hpp>
#include <filterflow/zone/indoor_particles.hpp>

namespace filterflow::detail {

/// What the figures of a room rest on, once for a system.
template <Deferred...>
inline std::string room_words(const RoomInput& room) {
    return std::string(
               "PM2.5 and PM10 indoors: steady, while the fan runs with clean filters, deposition as measured in ") +
           deposition_in_two_houses().name +
           (room.infiltration && !room.penetration ? ", penetration by size as measured there" : "") +
           "; the room's own uncertainty is shared by all candidates and not in their intervals: compare candidates by "
           "them, not with a monitor";
}

template <Deferred...>
inline void check_room(const RoomInput& room) {
    constexpr auto where = "room";
    require_positive(where, "volume", room.volume.value(), "m3");
    if (room.outdoor_air) require_non_negative(where, "outdoor_air", room.outdoor_air->value(), "m3/s");
    if (room.infiltration) require_non_negative(where, "infiltration", room.infiltration->value(), "1/s");
    if (room.penetration) require_between(where, "penetration", *room.penetration, 0.0, 1.0, "-");
    if (room.outdoor_pm25) require_non_negative(where, "outdoor_pm25", room.outdoor_pm25->value.value(), "kg/m3");
    if (room.outdoor_pm10) require_non_negative(where, "outdoor_pm10", room.outdoor_pm10->value.value(), "kg/m3");
    if (room.fan_cycle) require_positive(where, "fan_cycle", room.fan_cycle->value(), "s");
}

/// What the yearly mean of a room rests on, once for a system.
template <Deferred...>
inline std::string room_mean_words(const SystemInput& system) {
    return std::string("yearly mean of PM2.5 and PM10 indoors: by ") +
           (system.operating_hours ? "the hours in which the fan runs"
                                   : "a fan that goes on and off in turn, in the cycle stated") +
           ", with the mean airflow between two changes and the efficiency that lasts, outdoor air unchanging";
}

/// The room for all sizes, while its fan runs.
template <Deferred...>
inline RoomForSizes room_for_sizes(const RoomInput& room) {
    RoomForSizes of;
    of.air.volume = room.volume;
    of.air.infiltration = room.infiltration.value_or(Rate{});
    of.air.outdoor_air = room.outdoor_air.value_or(VolumeFlow{});
    of.air.running_fraction = 1.0;
    if (room.penetration) of.penetration = penetration_of_all_sizes(*room.penetration);
    return of;
}

/// The outdoor concentration stated times the share found indoors.
template <Deferred...>
inline std::optional<Uncertain<MassConcentration>> indoors_of(
    const std::optional<Uncertain<MassConcentration>>& outdoors, const std::optional<Uncertain<double>>& share) {
    if (!outdoors || !share) return std::nullopt;
    return from_si<MassConcentration>(product_of(to_si(*outdoors), *share));
}

template <Deferred...>
inline void set_indoor(const SystemInput& system, const std::optional<InstalledEfficiency>& installed,
                       CandidateResult& result) {
    if (!system.room || !installed || !result.clean) return;   // what is missing is listed with the removal
    const RoomInput& room = *system.room;
    const VolumeFlow outdoor_air = room.outdoor_air.value_or(VolumeFlow{});
    if (result.clean->flow.value < outdoor_air) {
        result.missing.push_back(
            {"PM2.5 and PM10 indoors", "an airflow not below the outdoor air of the room, " + flow_words(outdoor_air) +
                                           ": with clean filters it is " + flow_words(result.clean->flow.value)});
        return;
    }
    const RoomForSizes of = room_for_sizes(room);
    Uncertain<VolumeFlow> recirculated = result.clean->flow;
    recirculated.value -= outdoor_air;
    const auto share = [&](DustOfInterest dust) {
        dust.greatest_efficiency = installed->greatest;
        return indoor_particles(of, {installed->efficiency, recirculated}, dust).ratio;
    };
    result.indoor_pm25_share = share(urban_pm25());
    if (result.pm10_removal) result.indoor_pm10_share = share(rural_pm10());
    result.indoor_pm25 = indoors_of(room.outdoor_pm25, result.indoor_pm25_share);
    result.indoor_pm10 = indoors_of(room.outdoor_pm10, result.indoor_pm10_share);
}

/// How the fan of a room runs through a time that repeats; empty where nothing says it.
template <Deferred...>
inline std::vector<FanPhase> phases_of(const SystemInput& system) {
    if (system.operating_hours) return fan_phases(system.operating_hours->schedule);
    if (!system.room->fan_cycle || !system.hours_per_year) return {};
    const double running = std::min(*system.hours_per_year / units::year, 1.0);
    std::vector<FanPhase> phases{{running * *system.room->fan_cycle, 1.0}};
    if (running < 1.0) phases.push_back({(1.0 - running) * *system.room->fan_cycle, 0.0});
    return phases;
}

/// The same in the mean of a year, where it is told when the fan runs.
template <Deferred...>
inline void set_indoor_mean(const SystemInput& system, const std::optional<InstalledEfficiency>& installed,
                            Volume annual_volume, CandidateResult& result) {
    if (!system.room || !installed || !(system.operating_hours || system.room->fan_cycle)) return;
    const std::vector<FanPhase> phases = phases_of(system);
    const auto lacks = [&](const std::string& needs) {
        result.missing.push_back({"yearly mean of PM2.5 and PM10 indoors", needs});
    };
    if (phases.empty()) return lacks("running hours a year of the system, or its hours");
    if (!result.annual_running_time) return lacks("what the airflow between two changes needs: life and fan power");
    const RoomInput& room = *system.room;
    const VolumeFlow outdoor_air = room.outdoor_air.value_or(VolumeFlow{});
    // The air of the equal service over the time that it takes: the mean airflow from change to change.
    const Uncertain<double> flow =
        ratio_of(Uncertain<double>(annual_volume.value()), to_si(*result.annual_running_time));
    if (flow.value < outdoor_air.value()) {
        return lacks("an airflow not below the outdoor air of the room, " + flow_words(outdoor_air) +
                     ": in the mean it is " + flow_words(VolumeFlow::from_value(flow.value)));
    }
    Uncertain<VolumeFlow> recirculated = from_si<VolumeFlow>(flow);
    recirculated.value -= outdoor_air;
    const RoomForSizes of = room_for_sizes(room);
    const auto share = [&](DustOfInterest dust) {
        dust.greatest_efficiency = installed->greatest;
        return mean_indoor_particles(of, {installed->efficiency, recirculated}, dust, phases).ratio;
    };
    result.indoor_pm25_mean_share = share(urban_pm25());
    if (result.pm10_removal) result.indoor_pm10_mean_share = share(rural_pm10());
    result.indoor_pm25_mean = indoors_of(room.outdoor_pm25, result.indoor_pm25_mean_share);
    result.indoor_pm10_mean = indoors_of(room.outdoor_pm10, result.indoor_pm10_mean_share);
}

}   // namespace filterflow::detail
