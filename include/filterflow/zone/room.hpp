// SPDX-License-Identifier: BSL-1.0
#pragma once

// A well-mixed room and the particles of one size in it: infiltration, outdoor air through a filter, a recirculating
// filter that runs part of the time and whose ducts may leak, an air cleaner, deposition, a source. Steady state,
// transient and the exact mean of a filter that cycles on and off. Concentrations only: what they mean for people is
// not computed here.

#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/zone/duct_leaks.hpp>

namespace filterflow {

/// A room for particles of one size.
template <class T>
struct BasicRoom {
    BasicVolume<T> volume{};                   ///< > 0
    BasicRate<T> infiltration{};               ///< outdoor air through cracks, per room volume, >= 0
    T penetration{1.0};                        ///< share of the particles that passes the cracks, 0 to 1
    BasicVolumeFlow<T> outdoor_air{};          ///< outdoor air brought in by a fan, mean over time, >= 0
    T outdoor_air_efficiency{0.0};             ///< share that its filter stops, 0 to 1
    BasicRate<T> deposition{};                 ///< loss to surfaces, >= 0
    BasicVolumeFlow<T> recirculated{};         ///< air through the recirculating filter while its fan runs, >= 0
    T recirculating_efficiency{0.0};           ///< share that it stops, installed, 0 to 1
    T running_fraction{1.0};                   ///< of that fan, 0 to 1
    BasicVolumeFlow<T> clean_air_delivery{};   ///< of an air cleaner that runs all the time, >= 0
    BasicMassFlow<T> source{};                 ///< emitted in the room, >= 0
    BasicDuctLeaks<T> leaks{};                 ///< of the recirculating fan's ducts; together not above its flow
};
using Room = BasicRoom<double>;

namespace detail {

/// dC/dt = gain - loss C.
template <class T>
struct RoomBalance {
    T gain;   // kg/(m3 s)
    T loss;   // 1/s
};

template <class T>
RoomBalance<T> room_balance(const BasicRoom<T>& room, const T& outdoor, const T& running) {
    const T v = room.volume.value();
    const T flow = room.recirculated.value(), lost = room.leaks.supply_lost.value();
    const T before = room.leaks.return_before_filter.value(), after = room.leaks.return_after_filter.value();
    const T passed = T(1.0) - room.recirculating_efficiency;
    const T kept = flow > T(0.0) ? T(T(1.0) - lost / flow) : T(1.0);   // share of the fan's air that reaches the room
    // Air that the ducts take from the room on balance comes in through its cracks, what they bring leaves by them.
    const T net = lost - before - after;
    const T drawn_in = net > T(0.0) ? net : T(0.0);
    return {room.infiltration.value() * room.penetration * outdoor +
                room.outdoor_air.value() / v * (T(1.0) - room.outdoor_air_efficiency) * outdoor +
                running * (drawn_in * room.penetration + (before * passed + after) * kept) / v * outdoor +
                room.source.value() / v,
            room.infiltration.value() + room.outdoor_air.value() / v + room.deposition.value() +
                running * ((flow - before - after) * (T(1.0) - passed * kept) + drawn_in - net) / v +
                room.clean_air_delivery.value() / v};
}

template <class T>
void check(const BasicRoom<T>& room, const char* where) {
    require_positive(where, "volume", room.volume.value(), "m3");
    require_non_negative(where, "infiltration", room.infiltration.value(), "1/s");
    require_between(where, "penetration", room.penetration, 0.0, 1.0, "-");
    require_non_negative(where, "outdoor_air", room.outdoor_air.value(), "m3/s");
    require_between(where, "outdoor_air_efficiency", room.outdoor_air_efficiency, 0.0, 1.0, "-");
    require_non_negative(where, "deposition", room.deposition.value(), "1/s");
    require_non_negative(where, "recirculated", room.recirculated.value(), "m3/s");
    require_between(where, "recirculating_efficiency", room.recirculating_efficiency, 0.0, 1.0, "-");
    require_between(where, "running_fraction", room.running_fraction, 0.0, 1.0, "-");
    require_non_negative(where, "clean_air_delivery", room.clean_air_delivery.value(), "m3/s");
    require_non_negative(where, "source", room.source.value(), "kg/s");
    require_non_negative(where, "leaks.supply_lost", room.leaks.supply_lost.value(), "m3/s");
    require_non_negative(where, "leaks.return_before_filter", room.leaks.return_before_filter.value(), "m3/s");
    require_non_negative(where, "leaks.return_after_filter", room.leaks.return_after_filter.value(), "m3/s");
    const T left = room.recirculated.value() - room.leaks.supply_lost.value();
    const T taken = room.recirculated.value() - room.leaks.return_before_filter.value() -
                    room.leaks.return_after_filter.value();
    require_non_negative(where, "recirculated less leaks.supply_lost", left, "m3/s");
    require_non_negative(where, "recirculated less the leaks of the return", taken, "m3/s");
}

/// (1 - exp(-x)) / x, exact as x -> 0.
template <class T>
T mean_decay(const T& x) {
    using std::expm1;
    if (std::abs(plain_value(x)) < 1e-8) return T(1.0) - T(0.5) * x;
    return -expm1(-x) / x;
}

}   // namespace detail

/// Rate at which particles leave the air of a room, with the recirculating fan's running fraction averaged.
///
/// Equation: L = a + Q_o/V + k + E_r Q_r f / V + D/V; with leaks E_r Q_r becomes
///           (Q_r - q_b - q_a) [1 - (1 - E_r)(1 - q_s/Q_r)] + max(0, q_b + q_a - q_s)
/// Symbols:  a infiltration [1/s], Q_o outdoor air [m3/s], k deposition [1/s], E_r efficiency, Q_r recirculated air
///           [m3/s], f running fraction, D clean air delivery [m3/s], V volume [m3]; q_s supply lost, q_b, q_a drawn
///           in before and after the filter [m3/s]
/// Validity: well mixed; averaging f is right for cycles short against 1/L (see cycling_concentration). Air that leaks
///           take from the room on balance comes in through its cracks beside the infiltration, which is an upper bound
/// @param  room  room for one particle size
/// @return loss rate [1/s]
/// @throws DomainError if a member of the room is outside its range
/// @source mass balance of a well-mixed room; test: zone/room_test.cpp
template <class T>
BasicRate<T> loss_rate(const BasicRoom<T>& room) {
    detail::check(room, "loss_rate");
    return BasicRate<T>::from_value(detail::room_balance(room, T(0.0), room.running_fraction).loss);
}
template <Deferred...>
inline Rate loss_rate(const Room& room) { return loss_rate<double>(room); }

/// Concentration in a room after everything has been steady for long.
///
/// Equation: C = [a P C_o + Q_o (1 - E_o) C_o / V + S/V] / L; with leaks f C_o/V times
///           P max(0, q_s - q_b - q_a) + [q_b (1 - E_r) + q_a](1 - q_s/Q_r) beside
/// Symbols:  P penetration, C_o outdoor concentration [kg/m3], E_o efficiency of the outdoor air's filter, S source
///           [kg/s], otherwise as loss_rate
/// Validity: as loss_rate, L > 0
/// @param  room  room for one particle size
/// @param  outdoor  outdoor concentration of that size [kg/m3], >= 0
/// @return indoor concentration [kg/m3]
/// @throws DomainError if a value is outside its range or nothing removes particles (L = 0)
/// @source mass balance of a well-mixed room; test: zone/room_test.cpp
template <class T>
BasicMassConcentration<T> steady_concentration(const BasicRoom<T>& room, BasicMassConcentration<T> outdoor) {
    constexpr auto where = "steady_concentration";
    detail::check(room, where);
    const T c = detail::require_non_negative(where, "outdoor", outdoor.value(), "kg/m3");
    const auto balance = detail::room_balance(room, c, room.running_fraction);
    detail::require_positive(where, "loss rate of the room", balance.loss, "1/s");
    return BasicMassConcentration<T>::from_value(balance.gain / balance.loss);
}
template <Deferred...>
inline MassConcentration steady_concentration(const Room& room, MassConcentration outdoor) {
    return steady_concentration<double>(room, outdoor);
}

/// A start and a time after it.
template <class T>
struct BasicRoomStart {
    BasicMassConcentration<T> initial{};   ///< indoor concentration at the start, >= 0
    BasicMassConcentration<T> outdoor{};   ///< outdoor concentration, constant, >= 0
    BasicTime<T> elapsed{};                ///< since the start, >= 0
};
using RoomStart = BasicRoomStart<double>;

/// Concentration in a room some time after a start, everything else steady.
///
/// Equation: C(t) = C_0 exp(-L t) + G t (1 - exp(-L t)) / (L t)
/// Symbols:  C_0 initial concentration [kg/m3], G gain of the balance [kg/(m3 s)], L loss rate [1/s], t time [s]
/// Validity: as loss_rate; exact also where nothing removes particles
/// @param  room  room for one particle size
/// @param  start  initial and outdoor concentration [kg/m3], time [s]
/// @return indoor concentration [kg/m3]
/// @throws DomainError if a value is outside its range
/// @source solution of the room's balance; test: zone/room_test.cpp
template <class T>
BasicMassConcentration<T> concentration_after(const BasicRoom<T>& room, const BasicRoomStart<T>& start) {
    using std::exp;
    constexpr auto where = "concentration_after";
    detail::check(room, where);
    const T first = detail::require_non_negative(where, "initial", start.initial.value(), "kg/m3");
    const T outdoor = detail::require_non_negative(where, "outdoor", start.outdoor.value(), "kg/m3");
    const T time = detail::require_non_negative(where, "elapsed", start.elapsed.value(), "s");
    const auto balance = detail::room_balance(room, outdoor, room.running_fraction);
    const T x = balance.loss * time;
    return BasicMassConcentration<T>::from_value(first * exp(-x) + balance.gain * time * detail::mean_decay(x));
}
template <Deferred...>
inline MassConcentration concentration_after(const Room& room, const RoomStart& start) {
    return concentration_after<double>(room, start);
}

/// Share of the outdoor particles found indoors, without sources, steady.
///
/// Equation: F = [a P + Q_o (1 - E_o) / V] / L
/// Symbols:  as steady_concentration
/// Validity: as steady_concentration
/// @param  room  room for one particle size; its source is left out
/// @return indoor over outdoor concentration [-]
/// @throws DomainError as steady_concentration
/// @source infiltration factor with filtered outdoor air and recirculation; test: zone/room_test.cpp
template <class T>
T indoor_outdoor_ratio(const BasicRoom<T>& room) {
    BasicRoom<T> quiet = room;
    quiet.source = BasicMassFlow<T>::from_value(T(0.0));
    return steady_concentration(quiet, BasicMassConcentration<T>::from_value(T(1.0))).value();
}
template <Deferred...>
inline double indoor_outdoor_ratio(const Room& room) { return indoor_outdoor_ratio<double>(room); }

/// A concentration under a fan that cycles, and its course.
template <class T>
struct BasicCyclingConcentration {
    BasicMassConcentration<T> mean;       ///< over a whole cycle
    BasicMassConcentration<T> greatest;   ///< at a change, the larger end
    BasicMassConcentration<T> least;      ///< at a change, the smaller end
};
using CyclingConcentration = BasicCyclingConcentration<double>;

/// Outdoor concentration and the length of a cycle of the recirculating fan.
template <class T>
struct BasicFanCycle {
    BasicMassConcentration<T> outdoor{};   ///< constant, >= 0
    BasicTime<T> period{};                 ///< on and off together, > 0
};
using FanCycle = BasicFanCycle<double>;

/// Concentration where the recirculating fan runs and rests in turn, once the cycles repeat.
///
/// Equation: C relaxes to C_1 at L_1 for f P, then to C_0 at L_0 for (1 - f) P; the end of each part is the start of
///           the other
/// Symbols:  C_1, L_1 steady concentration and loss rate with the fan on, C_0, L_0 with it off, f running fraction, P
///           period [s]
/// Validity: well mixed, periodic; tends to steady_concentration as the period shrinks
/// @param  room  room for one particle size; its running fraction is the share of the period with the fan on
/// @param  cycle  outdoor concentration [kg/m3] and period [s]
/// @return mean over a cycle and the two ends [kg/m3]
/// @throws DomainError if a value is outside its range or nothing removes particles with the fan off
/// @source solution of the room's balance in two parts; test: zone/room_test.cpp
template <class T>
BasicCyclingConcentration<T> cycling_concentration(const BasicRoom<T>& room, const BasicFanCycle<T>& cycle) {
    using std::exp;
    using std::expm1;
    constexpr auto where = "cycling_concentration";
    detail::check(room, where);
    const T outdoor = detail::require_non_negative(where, "outdoor", cycle.outdoor.value(), "kg/m3");
    const T period = detail::require_positive(where, "period", cycle.period.value(), "s");
    const T f = room.running_fraction;
    const auto on = detail::room_balance(room, outdoor, T(1.0));
    const auto off = detail::room_balance(room, outdoor, T(0.0));
    detail::require_positive(where, "loss rate of the room with the fan off", off.loss, "1/s");
    const T c1 = on.gain / on.loss;
    const T c0 = off.gain / off.loss;
    const T x1 = on.loss * f * period;
    const T x0 = off.loss * (T(1.0) - f) * period;
    const T g1 = -expm1(-x1);
    const T g0 = -expm1(-x0);
    const T whole = -expm1(-(x1 + x0));
    const T start = (c0 * g0 + exp(-x0) * c1 * g1) / whole;   // where the fan starts
    const T stop = (c1 * g1 + exp(-x1) * c0 * g0) / whole;    // where it stops
    const T mean =
        f * (c1 + (start - c1) * detail::mean_decay(x1)) + (T(1.0) - f) * (c0 + (stop - c0) * detail::mean_decay(x0));
    const bool falls = stop < start;
    using C = BasicMassConcentration<T>;
    return {C::from_value(mean), C::from_value(falls ? start : stop), C::from_value(falls ? stop : start)};
}
template <Deferred...>
inline CyclingConcentration cycling_concentration(const Room& room, const FanCycle& cycle) {
    return cycling_concentration<double>(room, cycle);
}

}   // namespace filterflow
