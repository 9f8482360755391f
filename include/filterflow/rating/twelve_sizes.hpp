// SPDX-License-Identifier: BSL-1.0
#pragma once

// Both ratings of plain arrays of twelve efficiencies, without text, intervals and allocation: for what is rated many
// thousand times.

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>

namespace filterflow {

/// Efficiencies in the twelve ranges of the standards, smallest first [-]; shape (12).
using TwelveEfficiencies = std::array<double, 12>;

/// The curves of one filter that both ratings go by.
struct TwelveSizeCurves {
    TwelveEfficiencies composite{};     ///< composite minimum of a loading test, for the minimum efficiency value
    TwelveEfficiencies untreated{};     ///< as delivered, for particulate matter
    TwelveEfficiencies conditioned{};   ///< after discharging, for particulate matter
    std::optional<double> average_arrestance;   ///< [-], decides values 1 to 4; empty: not measured
    std::optional<double> initial_arrestance;   ///< [-], of the coarse group; empty: not measured
};

/// How both ratings are told.
struct RatingRules {
    MinimumEfficiencyRule minimum_efficiency;    ///< edition and rounding
    ParticulateMatterRule particulate_matter;    ///< channel in which PM2.5 ends
};

/// Both ratings as plain numbers; words for them are those of the full results.
struct TwelveSizeRatings {
    int lowest_value = 1;    ///< minimum efficiency reporting value that is reached, 1 to 16
    int highest_value = 1;   ///< the same, unless arrestance was not measured and decides: then 1 and 4
    ParticulateMatterGroup group = ParticulateMatterGroup::coarse;   ///< of ISO 16890-1
    std::optional<int> percent;   ///< its value, 0 to 95 [%]; 100: above 95; empty: coarse, arrestance not measured
};

/// The three averages of ANSI/ASHRAE 52.2.
///
/// Equation: E_g = sum of the efficiencies of the group's four ranges / 4
/// Symbols:  E1, E2, E3 average efficiency from 0.3 to 1, 1 to 3, 3 to 10 um
/// Validity: any efficiencies; allocates nothing
/// @param  efficiencies  in the twelve ranges, smallest first [-]; shape (12)
/// @return E1, E2, E3 [-]; shape (3)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2-2017 (from memory); test: rating/twelve_sizes_test.cpp
template <class T>
std::array<T, 3> minimum_efficiency_averages(const std::array<T, 12>& efficiencies) {
    std::array<T, 3> averages;
    for (std::size_t g = 0; g < 3; ++g) {
        const T* e = &efficiencies[4 * g];
        averages[g] = T(0.25) * (((e[0] + e[1]) + e[2]) + e[3]);
    }
    return averages;
}

/// The lower of two curves in each range: the composite minimum of plain arrays.
///
/// Equation: E_i = min(a_i, b_i)
/// Symbols:  a, b efficiencies in range i
/// Validity: any efficiencies; allocates nothing
/// @param  a  efficiencies in the twelve ranges [-]; shape (12)
/// @param  b  of the same filter in another state [-]; shape (12)
/// @return composite minimum [-]; shape (12)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2-2017, composite minimum efficiency (from memory); test: rating/twelve_sizes_test.cpp
template <Deferred...>
inline TwelveEfficiencies composite_minimum(const TwelveEfficiencies& a, const TwelveEfficiencies& b) {
    TwelveEfficiencies lowest;
    for (std::size_t i = 0; i < 12; ++i) lowest[i] = std::min(a[i], b[i]);
    return lowest;
}

/// Efficiencies of a curve as a plain array, where it has all twelve ranges.
///
/// Equation: E = 1 - P
/// Symbols:  P penetration
/// Validity: other ranges are not used
/// @param  efficiency  penetration by size
/// @return efficiencies, smallest first [-]; empty if a range is missing; shape (12)
/// @throws DomainError if ranges overlap or are out of order
/// @source definition; test: rating/twelve_sizes_test.cpp
template <Deferred...>
inline std::optional<TwelveEfficiencies> twelve_efficiencies(const FractionalEfficiency& efficiency) {
    detail::check(efficiency, "twelve_efficiencies");
    const auto ranges = minimum_efficiency_size_ranges();
    TwelveEfficiencies result;
    for (std::size_t i = 0; i < 12; ++i) {
        const auto at = std::find_if(efficiency.ranges.begin(), efficiency.ranges.end(),
                                     [&](const SizeEfficiency& e) { return same_range(e.range, ranges[i]); });
        if (at == efficiency.ranges.end()) return std::nullopt;
        result[i] = 1.0 - at->penetration.value;
    }
    return result;
}

namespace detail {

/// Minimum efficiency value of three averages, all as shares; no checks.
template <Deferred...>
inline void rate_minimum_efficiency(TwelveSizeRatings& ratings, const std::array<double, 3>& averages,
                                    const std::optional<double>& arrestance, const MinimumEfficiencyRule& rule) {
    std::array<double, 3> percent;
    for (std::size_t g = 0; g < 3; ++g) percent[g] = table_percent(100.0 * averages[g], rule);
    const auto value = [&](double arrested) {
        return minimum_efficiency_value(percent, table_percent(100.0 * arrested, rule), rule.edition);
    };
    ratings.lowest_value = value(arrestance.value_or(0.0));
    ratings.highest_value = arrestance || ratings.lowest_value > 4 ? ratings.lowest_value : value(1.0);
}

/// Class by particulate matter of the efficiencies for PM1, PM2.5 and PM10 in both states; no checks.
template <Deferred...>
inline void rate_particulate_matter(TwelveSizeRatings& ratings, const std::array<double, 3>& before,
                                    const std::array<double, 3>& after, const std::optional<double>& arrestance) {
    const std::array<double, 5> five{0.5 * (before[0] + after[0]), after[0], 0.5 * (before[1] + after[1]), after[1],
                                     0.5 * (before[2] + after[2])};
    ratings.group = particulate_matter_group(five);
    if (ratings.group != ParticulateMatterGroup::coarse) {
        ratings.percent = class_percent(five[value_index(ratings.group)]);
    } else if (arrestance) {
        ratings.percent = class_percent(*arrestance);
    }
}

/// Efficiencies for PM1, PM2.5 and PM10 by weights that are at hand.
template <Deferred...>
inline std::array<double, 3> fractions_of(const TwelveEfficiencies& e,
                                          const std::array<std::array<double, 12>, 3>& weights) {
    std::array<double, 3> fractions{};
    for (std::size_t k = 0; k < 3; ++k) {
        for (std::size_t i = 0; i < 12; ++i) fractions[k] += weights[k][i] * e[i];
    }
    return fractions;
}

/// Both ratings, by rules whose weights are at hand; no checks.
template <Deferred...>
inline TwelveSizeRatings twelve_size_ratings(const TwelveSizeCurves& curves, const MinimumEfficiencyRule& rule,
                                             const std::array<std::array<double, 12>, 3>& weights) {
    TwelveSizeRatings ratings;
    rate_minimum_efficiency(ratings, minimum_efficiency_averages(curves.composite), curves.average_arrestance, rule);
    rate_particulate_matter(ratings, fractions_of(curves.untreated, weights), fractions_of(curves.conditioned, weights),
                            curves.initial_arrestance);
    return ratings;
}

}   // namespace detail

/// Both ratings of a filter's curves as plain numbers.
///
/// Equation: as minimum_efficiency_rating and particulate_matter_class, of the efficiencies themselves
/// Symbols:  as there
/// Validity: as there, all twelve ranges measured. Allocates nothing once the weights are computed, at the first call.
/// @param  curves  composite minimum, untreated and conditioned
/// @param  rules  edition, rounding and channel
/// @return both ratings
/// @throws DomainError if an efficiency is not finite or above 1, or an arrestance is not from 0 to 1
/// @source as minimum_efficiency_rating and particulate_matter_class; test: rating/twelve_sizes_test.cpp
template <Deferred...>
inline TwelveSizeRatings twelve_size_ratings(const TwelveSizeCurves& curves, const RatingRules& rules = {}) {
    constexpr auto where = "twelve_size_ratings";
    for (const TwelveEfficiencies* curve : {&curves.composite, &curves.untreated, &curves.conditioned}) {
        for (const double e : *curve) {
            detail::require_finite(where, "efficiency", e, "-");
            if (!(e <= 1.0)) detail::throw_domain_error(where, "efficiency", e, "-", "<= 1");
        }
    }
    for (const auto& arrestance : {curves.average_arrestance, curves.initial_arrestance}) {
        if (arrestance) detail::require_between(where, "arrestance", *arrestance, 0.0, 1.0, "-");
    }
    return detail::twelve_size_ratings(curves, rules.minimum_efficiency,
                                       detail::weight_table(rules.particulate_matter));
}

}   // namespace filterflow
