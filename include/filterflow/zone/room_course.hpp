// SPDX-License-Identifier: BSL-1.0
#pragma once

// A room through a day: phases in each of which everything is steady (fan on or off, windows, people), one after the
// other, from a start or repeated until the end of the day is the start of the next. Exact.

#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/zone/room.hpp>

namespace filterflow {

/// A stretch of time in which room, source and outdoor air are steady.
template <class T>
struct BasicRoomPhase {
    BasicRoom<T> room{};                   ///< for one particle size; its running fraction as it is in this phase
    BasicMassConcentration<T> outdoor{};   ///< >= 0
    BasicTime<T> duration{};               ///< > 0
};
using RoomPhase = BasicRoomPhase<double>;

/// Concentration through one phase.
template <class T>
struct BasicPhaseConcentration {
    BasicMassConcentration<T> start;   ///< when the phase begins
    BasicMassConcentration<T> end;     ///< when it ends
    BasicMassConcentration<T> mean;    ///< over it
};
using PhaseConcentration = BasicPhaseConcentration<double>;

namespace detail {

/// (1 - m(x))/x for the mean decay m(x) = (1 - exp(-x))/x: 1/2 as x -> 0.
template <class T>
T mean_decay_complement(const T& x) {
    if (std::abs(plain_value(x)) < 1e-2) {
        return T(0.5) - x * (T(1.0 / 6.0) - x * (T(1.0 / 24.0) - x * (T(1.0 / 120.0) - x * T(1.0 / 720.0))));
    }
    return (T(1.0) - mean_decay(x)) / x;
}

template <class T>
void check(std::span<const BasicRoomPhase<T>> phases, const char* where) {
    if (phases.empty()) throw_domain_error(where, "number of phases", 0.0, "", "at least 1");
    for (const BasicRoomPhase<T>& phase : phases) {
        check(phase.room, where);
        require_non_negative(where, "outdoor", phase.outdoor.value(), "kg/m3");
        require_positive(where, "duration", phase.duration.value(), "s");
    }
}

template <class T>
std::vector<BasicPhaseConcentration<T>> course_from(std::span<const BasicRoomPhase<T>> phases, T concentration) {
    using std::exp;
    using C = BasicMassConcentration<T>;
    std::vector<BasicPhaseConcentration<T>> course;
    for (const BasicRoomPhase<T>& phase : phases) {
        const auto balance = room_balance(phase.room, phase.outdoor.value(), phase.room.running_fraction);
        const T t = phase.duration.value(), x = balance.loss * t;
        const T mean = concentration * mean_decay(x) + balance.gain * t * mean_decay_complement(x);
        const T end = concentration * exp(-x) + balance.gain * t * mean_decay(x);
        course.push_back({C::from_value(concentration), C::from_value(end), C::from_value(mean)});
        concentration = end;
    }
    return course;
}

}   // namespace detail

/// Concentration in a room through phases, from a start.
///
/// Equation: dC/dt = G_i - L_i C in phase i
/// Symbols:  C concentration, G_i gain and L_i loss rate of phase i as in steady_concentration and loss_rate
/// Validity: as loss_rate in each phase; a phase where nothing removes particles is allowed
/// @param  phases  one after the other; shape (n), n >= 1
/// @param  initial  concentration when the first begins [kg/m3], >= 0
/// @return start, end and mean of each phase [kg/m3]; shape (n)
/// @throws DomainError if a value is outside its range or there is no phase
/// @source solution of the room's balance phase by phase; test: zone/room_test.cpp
template <class T>
std::vector<BasicPhaseConcentration<T>> room_course(const std::vector<BasicRoomPhase<T>>& phases,
                                                    BasicMassConcentration<T> initial) {
    constexpr auto where = "room_course";
    detail::check(std::span<const BasicRoomPhase<T>>(phases), where);
    const T first = detail::require_non_negative(where, "initial", initial.value(), "kg/m3");
    return detail::course_from(std::span<const BasicRoomPhase<T>>(phases), first);
}
template <Deferred...>
inline std::vector<PhaseConcentration> room_course(const std::vector<RoomPhase>& phases, MassConcentration initial) {
    return room_course<double>(phases, initial);
}

/// Concentration in a room through phases that repeat without end: a day like every other.
///
/// Equation: the end of the last phase is the start of the first: C_0 = B + A C_0, A = exp(-sum_i L_i t_i)
/// Symbols:  L_i loss rate and t_i duration of phase i, B end of the last phase from an empty start
/// Validity: as room_course; particles must be removed in one phase at least. Two phases that differ in the fan alone
///           are cycling_concentration
/// @param  phases  of one period; shape (n), n >= 1
/// @return start, end and mean of each phase [kg/m3]; shape (n)
/// @throws DomainError if a value is outside its range, there is no phase or nothing removes particles
/// @source solution of the room's balance phase by phase; test: zone/room_test.cpp
template <class T>
std::vector<BasicPhaseConcentration<T>> repeating_course(const std::vector<BasicRoomPhase<T>>& phases) {
    using std::expm1;
    constexpr auto where = "repeating_course";
    const std::span<const BasicRoomPhase<T>> all(phases);
    detail::check(all, where);
    T decay(0.0);
    for (const BasicRoomPhase<T>& phase : phases) {
        const auto balance = detail::room_balance(phase.room, phase.outdoor.value(), phase.room.running_fraction);
        decay = decay + balance.loss * phase.duration.value();
    }
    detail::require_positive(where, "loss of particles over the period", decay, "-");
    const T from_nothing = detail::course_from(all, T(0.0)).back().end.value();
    return detail::course_from(all, T(from_nothing / -expm1(-decay)));
}
template <Deferred...>
inline std::vector<PhaseConcentration> repeating_course(const std::vector<RoomPhase>& phases) {
    return repeating_course<double>(phases);
}

}   // namespace filterflow
