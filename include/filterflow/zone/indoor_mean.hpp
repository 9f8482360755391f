// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter makes of the outdoor particles in a room in the mean of a time in which its fan runs and rests: by the
// hours of a schedule, or in turn. While the fan rests its outdoor air stays away, too, and what comes in by cracks is
// lost to surfaces alone.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/zone/indoor_particles.hpp>
#include <filterflow/zone/room.hpp>
#include <filterflow/zone/room_course.hpp>

namespace filterflow {

/// A stretch of time in which the fan runs evenly for a share of it.
struct FanPhase {
    Time duration{};        ///< > 0
    double running =
        1.0;   ///< share of it that the fan runs, 0 to 1: spread evenly, in cycles short against the room's
};

/// The hours of a schedule as stretches of equal running.
///
/// Equation: none: neighbouring hours of equal share together
/// Symbols:  none
/// Validity: the period of the schedule
/// @param  schedule  hours that repeat
/// @return phases of one period; shape (n), n >= 1
/// @throws nothing of its own
/// @source definition; test: zone/indoor_mean_test.cpp
template <Deferred...>
inline std::vector<FanPhase> fan_phases(const DustSchedule& schedule) {
    std::vector<FanPhase> phases;
    for (const DutyHour& hour : schedule.hours()) {
        if (phases.empty() || phases.back().running != hour.running) phases.push_back({Time{}, hour.running});
        phases.back().duration += Time::from_value(3600.0);
    }
    return phases;
}

namespace detail {

template <Deferred...>
inline void check(std::span<const FanPhase> phases, const char* where) {
    if (phases.empty()) throw_domain_error(where, "number of phases", 0.0, "", "at least 1");
    for (const FanPhase& phase : phases) {
        require_positive(where, "duration of a phase", phase.duration.value(), "s");
        require_between(where, "running share of a phase", phase.running, 0.0, 1.0, "-");
    }
}

/// What a phase makes of a concentration: end = kept C + added, integral = weight C + gathered.
template <class T>
struct PhaseMap {
    double duration, running;
    T kept, added, weight, gathered;
};

/// Mean indoor over outdoor concentration of one size while phases repeat; recirculated and outdoor air of the room are
/// those of a running fan.
template <class T>
T mean_ratio(const BasicRoom<T>& room, std::span<const FanPhase> phases, const char* where) {
    using std::exp;
    check(room, where);
    std::vector<PhaseMap<T>> maps;   // of each different phase
    std::vector<std::size_t> order;
    for (const FanPhase& phase : phases) {
        const double t = phase.duration.value();
        auto at = std::find_if(maps.begin(), maps.end(), [&](const PhaseMap<T>& m) {
            return m.duration == t && m.running == phase.running;
        });
        if (at == maps.end()) {
            BasicRoom<T> part = room;
            part.outdoor_air = BasicVolumeFlow<T>::from_value(room.outdoor_air.value() * T(phase.running));
            const auto balance = room_balance(part, T(1.0), T(phase.running));
            const T x = balance.loss * T(t), gain = balance.gain * T(t);
            const T decay = mean_decay(x);
            maps.push_back({t, phase.running, exp(-x), gain * decay, T(t) * decay,
                            T(t) * gain * mean_decay_complement(x)});
            at = maps.end() - 1;
        }
        order.push_back(static_cast<std::size_t>(at - maps.begin()));
    }
    // The end of the last phase is the start of the first.
    T kept(1.0), end(0.0);
    for (const std::size_t i : order) {
        kept = kept * maps[i].kept;
        end = end * maps[i].kept + maps[i].added;
    }
    const T lost = T(1.0) - kept;
    require_positive(where, "loss of particles over the phases", lost, "-");
    T concentration = end / lost, sum(0.0);
    double time = 0.0;
    for (const std::size_t i : order) {
        sum = sum + maps[i].weight * concentration + maps[i].gathered;
        concentration = concentration * maps[i].kept + maps[i].added;
        time += maps[i].duration;
    }
    return sum / T(time);
}

}   // namespace detail

/// Particles of a dust in a room with a filter, in the mean of phases that repeat.
///
/// Equation: dC/dt = G_i - L_i C in phase i; r = sum_j s_j mean(C_j) / (C_o sum_j s_j)
/// Symbols:  as indoor_particles and room_course; in phase i the fan's flows are its running share of what they are
///           while it runs
/// Validity: as indoor_particles, with outdoor air that does not change. Within a phase the running is spread evenly:
///           say on and off as phases of their own where they last. The mean of efficiency and airflow over the
///           filters' life is the caller's
/// @param  room  air changes and tables by size; its outdoor air is that of a running fan; without source
/// @param  filter  installed efficiency by size and the room air through it while the fan runs
/// @param  dust  outdoor distribution and sizes of interest, closed above: urban_pm25(), rural_pm10()
/// @param  phases  of the fan, which repeat; shape (n), n >= 1
/// @return ratio with its bounds, the ratio without filter, by size
/// @throws DomainError as indoor_particles, if the room has a source, a phase is out of its range, or nothing removes
///         particles
/// @source mass balance of a well-mixed room for each size; test: zone/indoor_mean_test.cpp
template <Deferred...>
inline IndoorParticles mean_indoor_particles(const RoomForSizes& room, const FilterInRoom& filter,
                                             const DustOfInterest& dust, std::span<const FanPhase> phases) {
    constexpr auto where = "mean_indoor_particles";
    detail::check(phases, where);
    if (room.source) throw DomainError(std::string(where) + ": a source is given; required: a room without one");
    return detail::indoor_particles_by(room, filter, dust, where, [&](const auto& of_size) {
        return detail::mean_ratio(of_size, phases, where);
    });
}

}   // namespace filterflow
