// SPDX-License-Identifier: BSL-1.0
#pragma once

// Minimum efficiency reporting value (MERV) by the tables of ANSI/ASHRAE 52.2, from efficiencies by size.
// What comes out is an estimate from bench data and is printed as one: only an accredited test gives a rating.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <tuple>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/composite_minimum.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/minimum_efficiency_limits.hpp>
#include <filterflow/rating/minimum_efficiency_probability.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>
#include <filterflow/rating/loading_test_conditions.hpp>

namespace filterflow {

/// What the data say of the minimum efficiency reporting value. They allow lowest to highest: a size that was not
/// measured is bounded by 0 and 1 and by nothing else, a measured one by its 95 % interval. Where upper_bound is set,
/// all are of the states that were measured: the standard, with all states, may find less than the lowest.
struct MinimumEfficiencyRating {
    std::optional<int> lowest;                 ///< lowest value by the states measured; empty: not determinable
    std::optional<int> highest;                ///< highest value by the states measured
    std::optional<int> estimate;               ///< from the averages themselves; empty where missing sizes decide
    std::optional<Uncertain<double>> E1;       ///< average efficiency from 0.3 to 1 um [-]; empty: a range is missing
    std::optional<Uncertain<double>> E2;       ///< average efficiency from 1 to 3 um [-]
    std::optional<Uncertain<double>> E3;       ///< average efficiency from 3 to 10 um [-]
    std::array<Interval<double>, 3> bounds{};  ///< of E1, E2, E3: 95 % and missing ranges from 0 to 1
    std::string governing_limit;               ///< the requirement of the estimate met with the least surplus
    double margin = 0.0;                       ///< that surplus, in percentage points; 0 without an estimate
    std::string next_limit;                    ///< all requirements of the next value up that are not met
    double shortfall = 0.0;                    ///< by which the worst of them is missed, in percentage points
    std::vector<std::string> reasons;          ///< why the data allow more than one value: what decides, nothing else
    std::vector<std::string> missing;          ///< what the standard asks for and was not given
    MinimumEfficiencyRule rule;                ///< edition and rounding by which it was told
    std::vector<ClassProbability> probabilities;   ///< of each value, lowest first, by the states measured; empty: a
                                                   ///< size range is missing
    bool upper_bound = false;   ///< a state that the standard asks for was not measured: it may find less
    bool contradicted = false;  ///< an average is below zero by more than its 95 % interval: no value is told
};

namespace detail {

/// One of the three groups of four ranges: what is known of its average efficiency.
struct EfficiencyGroup {
    Uncertain<double> known_part;      // sum over the measured ranges of efficiency / 4
    double missing_share = 0.0;        // of the four ranges, those not measured
    std::vector<std::string> missing;
    Interval<double> bounds;           // 95 % and 0..1 for what is missing
    bool contradicted = false;         // below zero, whatever the missing ranges are
};

template <Deferred...>
inline EfficiencyGroup efficiency_group(const FractionalEfficiency& efficiency, std::size_t group) {
    EfficiencyGroup result;
    const auto standard = minimum_efficiency_size_ranges();
    for (std::size_t i = 4 * group; i < 4 * group + 4; ++i) {
        const auto at = std::find_if(efficiency.ranges.begin(), efficiency.ranges.end(),
                                     [&](const SizeEfficiency& e) { return same_range(e.range, standard[i]); });
        if (at == efficiency.ranges.end()) {
            result.missing_share += 0.25;
            result.missing.push_back("efficiency in " + range_text(standard[i]));
        } else {
            result.known_part = result.known_part + scaled(Uncertain<double>(1.0) - at->penetration, 0.25);
        }
    }
    const Interval<double> interval = coverage_interval(result.known_part);
    result.contradicted = interval.upper + result.missing_share < 0.0;
    if (result.contradicted) {
        result.bounds = {0.0, 1.0};
        return result;
    }
    result.bounds = {std::clamp(interval.lower, 0.0, 1.0),
                     std::clamp(interval.upper + result.missing_share, 0.0, 1.0)};
    return result;
}

/// What holds the estimate and what keeps it from the next value; sizes not measured at 0 and at 1.
template <Deferred...>
inline void describe_limits(MinimumEfficiencyRating& rating, const std::array<double, 3>& least,
                            const std::array<double, 3>& most, std::optional<double> arrestance) {
    const auto& table = minimum_efficiency_table(rating.rule.edition);
    const MinimumEfficiencyRow& row = table[static_cast<std::size_t>(*rating.estimate - 1)];
    if (row.value == 1) {
        rating.governing_limit = "value 1 requires nothing";
    } else {
        const auto [surplus, index] = least_surplus(row, least, arrestance);
        rating.governing_limit = requirement_text(row, index, least, arrestance);
        rating.margin = std::max(surplus, 0.0);
    }
    if (row.value == 16) return;
    const MinimumEfficiencyRow& next = table[static_cast<std::size_t>(row.value)];
    std::tie(rating.next_limit, rating.shortfall) = unmet_requirements(next, most, arrestance);
}

/// The value with the range that the data allow; "-A" and the like are appended to each number. While a state is
/// missing the range is that of the states measured, and a bound from above.
template <Deferred...>
inline std::string value_text(const MinimumEfficiencyRating& rating, const std::string& suffix = "") {
    const std::string lowest = std::to_string(*rating.lowest) + suffix;
    const std::string highest = std::to_string(*rating.highest) + suffix;
    const std::string value = rating.estimate ? std::to_string(*rating.estimate) + suffix : highest;
    if (rating.upper_bound) {
        if (lowest == highest) return "at most " + value + ", by the states measured";
        return "at most " + value + " (" + lowest + " to " + highest + " by the uncertainty of the states measured)";
    }
    if (lowest == highest) return lowest;
    if (!rating.estimate) return "from " + lowest + " to " + highest;
    return value + " (the data allow " + lowest + " to " + highest + ")";
}

/// What a curve says that is the composite minimum of whatever was measured; of states nothing is said.
template <Deferred...>
inline MinimumEfficiencyRating composite_rating(const FractionalEfficiency& composite,
                                                const std::optional<Uncertain<double>>& average_arrestance,
                                                const MinimumEfficiencyRule& rule) {
    constexpr auto where = "minimum_efficiency_rating";
    check(composite, where);
    if (average_arrestance) {
        require_between(where, "average_arrestance", average_arrestance->value, 0.0, 1.0, "-");
    }
    MinimumEfficiencyRating rating;
    rating.rule = rule;
    std::array<std::optional<Uncertain<double>>*, 3> averages{&rating.E1, &rating.E2, &rating.E3};
    std::array<double, 4> lower{}, upper{};   // E1, E2, E3, arrestance
    std::array<double, 3> least{}, most{};
    std::array<std::string, 4> reasons{"", "", "", "average arrestance was not measured"};
    double missing_share = 0.0;
    std::vector<std::string> contradictions;
    for (std::size_t g = 0; g < 3; ++g) {
        const EfficiencyGroup group = efficiency_group(composite, g);
        rating.bounds[g] = group.bounds;
        if (group.missing.empty() && !group.contradicted) *averages[g] = group.known_part;
        if (group.contradicted) {
            contradictions.push_back(
                std::string(group_name(g)) +
                " would be below zero: more particles were counted behind the filter than before it");
        }
        rating.missing.insert(rating.missing.end(), group.missing.begin(), group.missing.end());
        missing_share += group.missing_share;
        lower[g] = 100.0 * group.bounds.lower;
        upper[g] = 100.0 * group.bounds.upper;
        least[g] = 100.0 * group.known_part.value;
        most[g] = 100.0 * (group.known_part.value + group.missing_share);
        const std::string ends = percent_text(lower[g]) + (group.missing_share > 0.0 ? " and " : " to ") +
                                 percent_text(upper[g]);
        reasons[g] = group.missing_share > 0.0
                         ? std::string(group_name(g)) + " is bounded by " + ends + ": not every size was measured"
                         : std::string(group_name(g)) + " is from " + ends + " (95 %)";
    }
    if (!contradictions.empty()) {
        rating.contradicted = true;
        rating.reasons = std::move(contradictions);
        return rating;
    }
    upper[3] = 100.0;
    std::optional<double> arrestance_value;
    if (average_arrestance) {
        const Interval<double> interval = coverage_interval(*average_arrestance);
        lower[3] = std::clamp(100.0 * interval.lower, 0.0, 100.0);
        upper[3] = std::clamp(100.0 * interval.upper, 0.0, 100.0);
        reasons[3] =
            "average arrestance is from " + percent_text(lower[3]) + " to " + percent_text(upper[3]) + " (95 %)";
        arrestance_value = 100.0 * average_arrestance->value;
    }
    if (rating.E1 && rating.E2 && rating.E3) {
        rating.probabilities =
            minimum_efficiency_probabilities({*rating.E1, *rating.E2, *rating.E3}, average_arrestance, rule);
    }
    for (auto* all : {&lower, &upper}) {
        for (double& percent : *all) percent = table_percent(percent, rule);
    }
    for (auto* all : {&least, &most}) {
        for (double& percent : *all) percent = table_percent(percent, rule);
    }
    if (arrestance_value) arrestance_value = table_percent(*arrestance_value, rule);
    const auto value = [&](const std::array<double, 4>& percent) {
        return minimum_efficiency_value({percent[0], percent[1], percent[2]}, percent[3], rule.edition);
    };
    rating.lowest = value(lower);
    rating.highest = value(upper);
    const int estimate_least = value({least[0], least[1], least[2], arrestance_value.value_or(0.0)});
    const int estimate_most = value({most[0], most[1], most[2], arrestance_value.value_or(100.0)});
    if (*rating.lowest <= 4 && !average_arrestance) {
        rating.missing.push_back("average arrestance, which decides values 1 to 4");
    }
    const std::array<bool, 4> decides = deciding(lower, upper, value);
    for (std::size_t i = 0; i < 4; ++i) {
        if (decides[i]) rating.reasons.push_back(reasons[i]);
    }
    if (missing_share >= 3.0 || (*rating.lowest == 1 && *rating.highest == 16)) {
        rating.lowest.reset();
        rating.highest.reset();
        return rating;
    }
    if (estimate_least == estimate_most) {
        rating.estimate = estimate_least;
        describe_limits(rating, least, most, arrestance_value);
    }
    return rating;
}

}   // namespace detail

/// Minimum efficiency reporting value from the curves of a loading test; lists the curves that the standard asks
/// for and that were not given.
///
/// Equation: the highest row of the table whose requirements on E1, E2, E3 (and arrestance below 5) are all met;
///           E_g = sum of the efficiencies of the group's four ranges / 4 of composite_minimum of all curves
/// Symbols:  E1, E2, E3 average efficiency from 0.3 to 1, 1 to 3, 3 to 10 um
/// Validity: efficiencies in the twelve ranges of the standard; other ranges are not used, a missing one is bounded
///           by 0 and 1 and by nothing else. lowest and highest take every group at its 95 % bound. No rounding but
///           by the rule; then margin and shortfall count from the rounded averages. Without the conditioned and loaded
///           curves a charged medium looks better than the standard would find it, which `missing` and upper_bound say
/// @param  curves  clean, conditioned and loaded
/// @param  average_arrestance  by mass [-], from 0 to 1; decides 1 to 4; none: not measured
/// @param  rule  edition and rounding
/// @return lowest, highest and estimated value, averages, governing limit with its margin, reasons and what is
///         missing; without one of the standard's ranges, if 1 to 16 are all allowed, or if an average is below zero
///         beyond its interval (then that average is empty, too), no value at all
/// @throws DomainError if ranges overlap or are out of order, or the arrestance is not from 0 to 1
/// @source ANSI/ASHRAE 52.2-2017, Table 12-1 (from memory); test: rating/minimum_efficiency_test.cpp
template <Deferred...>
inline MinimumEfficiencyRating minimum_efficiency_rating(
    const MinimumEfficiencyCurves& curves, const std::optional<Uncertain<double>>& average_arrestance = std::nullopt,
    const MinimumEfficiencyRule& rule = {}) {
    std::vector<FractionalEfficiency> all{curves.clean};
    if (curves.conditioned) all.push_back(*curves.conditioned);
    all.insert(all.end(), curves.loaded.begin(), curves.loaded.end());
    MinimumEfficiencyRating rating = detail::composite_rating(composite_minimum(all), average_arrestance, rule);
    if (!curves.conditioned) rating.missing.push_back(detail::conditioned_curve_missing());
    if (curves.loaded.size() < 4) rating.missing.push_back(detail::loaded_curves_missing(curves.loaded.size()));
    rating.upper_bound = !curves.conditioned || curves.loaded.size() < 4;
    return rating;
}

/// Minimum efficiency reporting value of the only curve there is, taken as that of the clean filter: the states that the
/// standard asks for are listed as missing.
///
/// Equation: as minimum_efficiency_rating of MinimumEfficiencyCurves with the clean curve alone
/// Symbols:  as there
/// Validity: as there; the value is an upper bound
/// @param  clean  curve, or the lower of curves that are no states of the standard
/// @param  average_arrestance  by mass [-], from 0 to 1; decides 1 to 4; none: not measured
/// @param  rule  edition and rounding
/// @return as there, upper_bound set
/// @throws DomainError as there
/// @source as there; test: rating/minimum_efficiency_test.cpp
template <Deferred...>
inline MinimumEfficiencyRating minimum_efficiency_rating(
    const FractionalEfficiency& clean, const std::optional<Uncertain<double>>& average_arrestance = std::nullopt,
    const MinimumEfficiencyRule& rule = {}) {
    return minimum_efficiency_rating(MinimumEfficiencyCurves{clean, std::nullopt, {}}, average_arrestance, rule);
}

/// How a minimum efficiency value may be printed: as an estimate from bench data by an edition at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of minimum_efficiency_rating
/// @param  rating  result of minimum_efficiency_rating
/// @param  face_velocity  at which the efficiencies were measured [m/s], > 0
/// @return one sentence; it says so where the velocity is none of the standard's
/// @throws DomainError if the velocity is not > 0
/// @source ANSI/ASHRAE 52.2-2017 asks that a value is given with its airflow (from memory);
///         test: rating/minimum_efficiency_test.cpp
template <Deferred...>
inline std::string minimum_efficiency_text(const MinimumEfficiencyRating& rating, const Velocity& face_velocity) {
    const std::string basis = estimate_text(detail::edition_text(rating.rule), face_velocity) +
                              detail::other_velocity_text(face_velocity);
    const std::string name = "minimum efficiency reporting value ";
    if (rating.contradicted) return name + "not determinable: " + rating.reasons.front() + "; it would be an " + basis;
    if (!rating.lowest) return name + "not determinable from these sizes; it would be an " + basis;
    return name + detail::value_text(rating) + ": " + basis;
}

}   // namespace filterflow
