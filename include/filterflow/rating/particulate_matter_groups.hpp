// SPDX-License-Identifier: BSL-1.0
#pragma once

// Groups and class values of ISO 16890-1: which group five efficiencies reach, and the value rounded down to 5 %.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// The groups of ISO 16890-1, coarsest first. The minimum is that of the conditioned state, the value the average of
/// both states. As values begin at 50 %, a group is reached only if its value is at least that, too: it fails to be
/// where conditioning seems to raise the efficiency (noise, or states exchanged).
enum class ParticulateMatterGroup {
    coarse,   ///< ISO Coarse: none of the others; by initial arrestance
    pm10,     ///< ISO ePM10: ePM10 at least 50 %
    pm25,     ///< ISO ePM2.5: ePM2.5,min and ePM2.5 at least 50 %
    pm1       ///< ISO ePM1: ePM1,min and ePM1 at least 50 %
};

/// The five efficiencies by which ISO 16890-1 tells the class.
struct ParticulateMatterEfficiencies {
    Uncertain<double> ePM1;        ///< average of untreated and conditioned [-]
    Uncertain<double> ePM1_min;    ///< conditioned [-]
    Uncertain<double> ePM25;       ///< average of untreated and conditioned [-]
    Uncertain<double> ePM25_min;   ///< conditioned [-]
    Uncertain<double> ePM10;       ///< average of untreated and conditioned [-]
};

/// Name of a group, as the standard writes it.
///
/// Equation: none
/// Symbols:  none
/// Validity: any group
/// @param  group  of ISO 16890-1
/// @return "ISO ePM2.5" and the like
/// @throws nothing
/// @source ISO 16890-1:2016, as two secondary explanations state it; test: rating/particulate_matter_groups_test.cpp
template <Deferred...>
inline std::string particulate_matter_group_name(ParticulateMatterGroup group) {
    constexpr std::array<const char*, 4> names{"ISO Coarse", "ISO ePM10", "ISO ePM2.5", "ISO ePM1"};
    return names[static_cast<std::size_t>(group)];
}

/// Resistance to which a filter of a group is loaded for its test dust capacity.
///
/// Equation: 200 Pa for coarse, 300 Pa for the others
/// Symbols:  none
/// Validity: ISO 16890-3
/// @param  group  of ISO 16890-1
/// @return pressure difference [Pa]
/// @throws nothing
/// @source ISO 16890, as two secondary explanations state it (ePM1 from memory);
///         test: rating/particulate_matter_groups_test.cpp
template <Deferred...>
inline Pressure final_resistance(ParticulateMatterGroup group) {
    return (group == ParticulateMatterGroup::coarse ? 200.0 : 300.0) * units::Pa;
}

namespace detail {

inline constexpr double rounding_of_share = 1e-11;   // of sums of doubles, not of the class
inline constexpr int above_95_percent = 100;         // the class value that is written "> 95 %"

/// Group of {ePM1, ePM1_min, ePM2.5, ePM2.5_min, ePM10}.
inline ParticulateMatterGroup particulate_matter_group(const std::array<double, 5>& e) {
    constexpr double half = 0.5 - rounding_of_share;
    return e[0] >= half && e[1] >= half   ? ParticulateMatterGroup::pm1
           : e[2] >= half && e[3] >= half ? ParticulateMatterGroup::pm25
           : e[4] >= half                 ? ParticulateMatterGroup::pm10
                                          : ParticulateMatterGroup::coarse;
}

/// Of the same five, the one that is the value of a group; the coarse group has none of them.
inline std::size_t value_index(ParticulateMatterGroup group) {
    return group == ParticulateMatterGroup::pm1 ? 0 : group == ParticulateMatterGroup::pm25 ? 2 : 4;
}

/// Class value: rounded down to 5 %; above_95_percent beyond 95 %.
template <Deferred...>
inline int class_percent(double efficiency) {
    const double percent = 100.0 * (efficiency + rounding_of_share);
    if (percent > 95.0 + 2.0 * 100.0 * rounding_of_share) return above_95_percent;
    return 5 * static_cast<int>(std::floor(percent / 5.0));
}

template <Deferred...>
inline std::string class_name(ParticulateMatterGroup group, int percent) {
    const std::string value = percent == above_95_percent ? "> 95" : std::to_string(percent);
    return particulate_matter_group_name(group) + " " + value + " %";
}

inline const char* discharged_state_missing() {
    return "efficiencies after conditioning (the discharged state), without which there is no class";
}
inline const char* coarse_without_arrestance() { return "ISO Coarse, initial arrestance not measured"; }

/// Class of five efficiencies: {ePM1, ePM1_min, ePM2.5, ePM2.5_min, ePM10}.
template <Deferred...>
inline std::string particulate_matter_class_text(const std::array<double, 5>& e,
                                                 const std::optional<double>& initial_arrestance) {
    const ParticulateMatterGroup group = particulate_matter_group(e);
    if (group != ParticulateMatterGroup::coarse) return class_name(group, class_percent(e[value_index(group)]));
    if (!initial_arrestance) return coarse_without_arrestance();
    return class_name(group, class_percent(*initial_arrestance));
}

}   // namespace detail

}   // namespace filterflow
