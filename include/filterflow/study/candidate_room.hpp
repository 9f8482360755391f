// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a candidate makes of the outdoor particles in the room that its system serves. Not public.

#include <optional>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/candidate_limits.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>
#include <filterflow/zone/indoor_particles.hpp>

namespace filterflow::detail {

/// What the figures of a room rest on, once for a system.
template <Deferred...>
inline std::string room_words(const RoomInput& room) {
    return std::string("PM2.5 and PM10 indoors: steady, while the fan runs with clean filters, deposition as measured in ") +
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
}

template <Deferred...>
inline void set_indoor(const SystemInput& system, const std::optional<InstalledEfficiency>& installed,
                       CandidateResult& result) {
    if (!system.room || !installed || !result.clean) return;   // what is missing is listed with the removal
    const RoomInput& room = *system.room;
    const VolumeFlow outdoor_air = room.outdoor_air.value_or(VolumeFlow{});
    if (result.clean->flow.value < outdoor_air) {
        result.missing.push_back({"PM2.5 and PM10 indoors", "an airflow not below the outdoor air of the room, " +
                                                                flow_words(outdoor_air) + ": with clean filters it is " +
                                                                flow_words(result.clean->flow.value)});
        return;
    }
    RoomForSizes of;
    of.air.volume = room.volume;
    of.air.infiltration = room.infiltration.value_or(Rate{});
    of.air.outdoor_air = outdoor_air;
    of.air.running_fraction = 1.0;
    if (room.penetration) of.penetration = penetration_of_all_sizes(*room.penetration);
    Uncertain<VolumeFlow> recirculated = result.clean->flow;
    recirculated.value -= outdoor_air;
    const auto share = [&](DustOfInterest dust) {
        dust.greatest_efficiency = installed->greatest;
        return indoor_particles(of, {installed->efficiency, recirculated}, dust).ratio;
    };
    result.indoor_pm25_share = share(urban_pm25());
    result.indoor_pm10_share = share(rural_pm10());
    if (room.outdoor_pm25) {
        result.indoor_pm25 =
            from_si<MassConcentration>(product_of(to_si(*room.outdoor_pm25), *result.indoor_pm25_share));
    }
    if (room.outdoor_pm10) {
        result.indoor_pm10 =
            from_si<MassConcentration>(product_of(to_si(*room.outdoor_pm10), *result.indoor_pm10_share));
    }
}

}   // namespace filterflow::detail
