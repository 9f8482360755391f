// SPDX-License-Identifier: BSL-1.0
#pragma once

// Portable air cleaners: what they deliver, what a decay test says of it, how much a reduction takes.

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/zone/room.hpp>

namespace filterflow {

/// An air cleaner that stands in the room.
template <class T>
struct BasicAirCleaner {
    BasicVolumeFlow<T> flow{};   ///< through it while it runs, >= 0
    T efficiency{};              ///< share of the particles of one size that it stops, 0 to 1
    T running_fraction{1.0};     ///< 0 to 1
};
using AirCleaner = BasicAirCleaner<double>;

/// Clean air that an air cleaner delivers for particles of one size: what Room::clean_air_delivery takes.
///
/// Equation: D = Q E f
/// Symbols:  Q flow, E efficiency, f running fraction
/// Validity: its outlet mixes with the room; cycles short against the room's loss rate
/// @param  cleaner  flow, efficiency, running fraction
/// @return clean air delivery [m3/s]
/// @throws DomainError if a member is outside its range
/// @source definition of the clean air delivery rate; test: zone/room_test.cpp
template <class T>
BasicVolumeFlow<T> clean_air_delivery(const BasicAirCleaner<T>& cleaner) {
    constexpr auto where = "clean_air_delivery";
    const T flow = detail::require_non_negative(where, "flow", cleaner.flow.value(), "m3/s");
    detail::require_between(where, "efficiency", cleaner.efficiency, 0.0, 1.0, "-");
    detail::require_between(where, "running_fraction", cleaner.running_fraction, 0.0, 1.0, "-");
    return BasicVolumeFlow<T>::from_value(flow * cleaner.efficiency * cleaner.running_fraction);
}
template <Deferred...>
inline VolumeFlow clean_air_delivery(const AirCleaner& cleaner) { return clean_air_delivery<double>(cleaner); }

/// Two decays in one closed room.
template <class T>
struct BasicDecayTest {
    BasicVolume<T> volume{};       ///< of the room, > 0
    BasicRate<T> with_cleaner{};   ///< rate at which the concentration falls, cleaner on; not below the other
    BasicRate<T> natural{};        ///< the same with it off, >= 0
};
using DecayTest = BasicDecayTest<double>;

/// Clean air delivery from a decay test.
///
/// Equation: D = V (k_e - k_n)
/// Symbols:  V volume, k_e decay rate with the cleaner, k_n without
/// Validity: well mixed, the same particles and air change in both decays
/// @param  decay  volume and both rates
/// @return clean air delivery [m3/s]
/// @throws DomainError if an argument is outside its range
/// @source mass balance of a closed room; test: zone/room_test.cpp
template <class T>
BasicVolumeFlow<T> clean_air_delivery(const BasicDecayTest<T>& decay) {
    constexpr auto where = "clean_air_delivery(DecayTest)";
    const T volume = detail::require_positive(where, "volume", decay.volume.value(), "m3");
    const T natural = detail::require_non_negative(where, "natural", decay.natural.value(), "1/s");
    const T with = detail::require_non_negative(where, "with_cleaner", decay.with_cleaner.value(), "1/s");
    detail::require_non_negative(where, "with_cleaner less natural", T(with - natural), "1/s");
    return BasicVolumeFlow<T>::from_value(volume * (with - natural));
}
template <Deferred...>
inline VolumeFlow clean_air_delivery(const DecayTest& decay) { return clean_air_delivery<double>(decay); }

/// Clean air delivery that lowers a room's concentration by a share, whatever its particles come from.
///
/// Equation: D = L V x/(1 - x)
/// Symbols:  L loss rate of the room as it is, V volume, x share by which the concentration falls
/// Validity: as loss_rate; what the room has already counts in L
/// @param  room  room for one particle size, as it is
/// @param  reduction  share by which its concentration is to fall [-], 0 to below 1
/// @return clean air delivery to add [m3/s]
/// @throws DomainError if a value is outside its range
/// @source mass balance of a well-mixed room; test: zone/room_test.cpp
template <class T>
BasicVolumeFlow<T> clean_air_for_reduction(const BasicRoom<T>& room, const T& reduction) {
    constexpr auto where = "clean_air_for_reduction";
    detail::require_between(where, "reduction", reduction, 0.0, 1.0, "-");
    detail::require_positive(where, "1 - reduction", T(T(1.0) - reduction), "-");
    return BasicVolumeFlow<T>::from_value(loss_rate<T>(room).value() * room.volume.value() * reduction /
                                          (T(1.0) - reduction));
}
template <Deferred...>
inline VolumeFlow clean_air_for_reduction(const Room& room, double reduction) {
    return clean_air_for_reduction<double>(room, reduction);
}

}   // namespace filterflow
