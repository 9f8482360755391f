// SPDX-License-Identifier: BSL-1.0
#pragma once

// Classes by particulate matter (ePM1, ePM2.5, ePM10, coarse) of ISO 16890-1:2016, from efficiencies by size
// before and after conditioning. An estimate from bench data, printed as one.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>
#include <filterflow/rating/particulate_matter_probability.hpp>

namespace filterflow {

/// Efficiencies for particulate matter and the class they give. An efficiency is empty where a channel it needs
/// is missing.
struct ParticulateMatterClass {
    std::optional<Uncertain<double>> ePM1;             ///< average of untreated and conditioned [-]
    std::optional<Uncertain<double>> ePM1_min;         ///< conditioned [-]
    std::optional<Uncertain<double>> ePM25;            ///< average of untreated and conditioned [-]
    std::optional<Uncertain<double>> ePM25_min;        ///< conditioned [-]
    std::optional<Uncertain<double>> ePM10;            ///< average of untreated and conditioned [-]
    std::optional<Uncertain<double>> ePM1_untreated;   ///< as delivered [-]
    std::optional<Uncertain<double>> ePM25_untreated;  ///< as delivered [-]
    std::optional<Uncertain<double>> ePM10_untreated;  ///< as delivered [-]
    std::string class_text;      ///< "ISO ePM10 75 %"; "not classifiable" without the conditioned state; "not
                                 ///< determinable" where missing sizes decide
    std::string lowest_class;    ///< lowest class that the data allow; empty without the conditioned state
    std::string highest_class;   ///< highest class that the data allow; without the conditioned state: the class if
                                 ///< conditioning lost nothing, an upper bound
    std::vector<std::string> missing;   ///< what the standard asks for and was not given
    ParticulateMatterRule rule;         ///< by which the class was told
    std::optional<ParticulateMatterGroup> group;   ///< of the class; empty without a class
    std::string governing_limit;   ///< the requirement of the class met with the least surplus
    double margin = 0.0;           ///< that surplus, in percentage points; 0 without a class
    std::string next_limit;        ///< what keeps it from the next value of its group; empty above 95 %
    double shortfall = 0.0;        ///< by which that is missed, in percentage points
    std::string finer_group_limit;       ///< all that keeps it from the next finer group; empty in the finest
    double finer_group_shortfall = 0.0;  ///< by which the worst of it is missed, in percentage points
    std::vector<ClassProbability> probabilities;   ///< of each class, lowest first; empty: something is missing
};

namespace detail {

/// Efficiency for a fraction of particulate matter and its 95 % bounds, missing channels from 0 to 1.
struct BoundedEfficiency {
    Uncertain<double> known_part;
    double missing_share = 0.0;
    template <Deferred...>
    Interval<double> bounds() const {
        const Interval<double> interval = coverage_interval(known_part);
        return {std::clamp(interval.lower, 0.0, 1.0), std::clamp(interval.upper + missing_share, 0.0, 1.0)};
    }
    template <Deferred...>
    std::optional<Uncertain<double>> value() const {
        return missing_share > 0.0 || contradicted() ? std::nullopt : std::optional(known_part);
    }
    template <Deferred...>
    bool contradicted() const {   // below zero, whatever the missing channels are
        return coverage_interval(known_part).upper + missing_share < 0.0;
    }
};

template <Deferred...>
inline BoundedEfficiency bounded_efficiency(const FractionalEfficiency& efficiency, ParticulateMatter matter,
                                            const ParticulateMatterRule& rule) {
    const auto& weights = weight_table(rule)[static_cast<std::size_t>(matter)];
    const auto ranges = minimum_efficiency_size_ranges();
    BoundedEfficiency result;
    for (std::size_t i = 0; i < last_channel(matter); ++i) {
        const auto at = std::find_if(efficiency.ranges.begin(), efficiency.ranges.end(),
                                     [&](const SizeEfficiency& e) { return same_range(e.range, ranges[i]); });
        if (at == efficiency.ranges.end()) {
            result.missing_share += weights[i];
        } else {
            result.known_part = result.known_part + scaled(Uncertain<double>(1.0) - at->penetration, weights[i]);
        }
    }
    return result;
}

template <Deferred...>
inline BoundedEfficiency average(const BoundedEfficiency& a, const BoundedEfficiency& b) {
    return {scaled(a.known_part + b.known_part, 0.5), 0.5 * (a.missing_share + b.missing_share)};
}

/// What holds the class and what keeps it from the next value and the next finer group; channels not measured at 0
/// and at 1. Values are {ePM1, ePM1_min, ePM2.5, ePM2.5_min, ePM10}.
template <Deferred...>
inline void describe_limits(ParticulateMatterClass& result, const std::array<double, 5>& least,
                            const std::array<double, 5>& most, const std::optional<double>& arrestance) {
    constexpr std::array<const char*, 5> names{"ePM1", "ePM1,min", "ePM2.5", "ePM2.5,min", "ePM10"};
    using Group = ParticulateMatterGroup;
    const Group group = particulate_matter_group(least);
    result.group = group;
    const auto says = [](const std::string& name, double share, const std::string& wanted, double percent) {
        return name + " = " + percent_text(100.0 * share) + ", " + wanted + percent_text(percent);
    };
    const auto requirement_of = [](Group of) { return "group " + particulate_matter_group_name(of) + " requires "; };
    if (group != Group::pm1) {
        const Group finer = static_cast<Group>(static_cast<int>(group) + 1);
        const std::size_t first = value_index(finer), end = finer == Group::pm10 ? first + 1 : first + 2;
        for (std::size_t i = first; i < end; ++i) {
            if (most[i] >= 0.5 - rounding_of_share) continue;
            result.finer_group_limit += (result.finer_group_limit.empty() ? "" : "; ") +
                                        says(names[i], most[i], requirement_of(finer), 50.0);
            result.finer_group_shortfall = std::max(result.finer_group_shortfall, 50.0 - 100.0 * most[i]);
        }
    }
    const std::size_t index = value_index(group);
    const bool coarse = group == Group::coarse;
    if (coarse && !arrestance) return;
    const std::string name = coarse ? "initial arrestance" : names[index];
    const double value = coarse ? *arrestance : least[index], greatest = coarse ? *arrestance : most[index];
    const int percent = class_percent(value);
    const bool above = percent == above_95_percent;
    const double limit = above ? 95.0 : percent;
    const auto requires_of = [&](int of, bool more) {
        return class_name(group, of) + " requires " + (more ? "above " : "");
    };
    result.governing_limit = says(name, value, requires_of(percent, above), limit);
    result.margin = std::max(0.0, 100.0 * value - limit);
    if (const std::size_t lower = index + 1;
        (group == Group::pm1 || group == Group::pm25) && 100.0 * least[lower] - 50.0 < result.margin) {
        result.governing_limit = says(names[lower], least[lower], requirement_of(group), 50.0);
        result.margin = std::max(0.0, 100.0 * least[lower] - 50.0);
    }
    if (above) return;
    const bool last = percent == 95;
    const double next = last ? 95.0 : percent + 5.0;
    result.next_limit = says(name, greatest, requires_of(percent + 5, last), next);
    result.shortfall = std::max(0.0, next - 100.0 * greatest);
}

template <Deferred...>
inline void list_missing_channels(const FractionalEfficiency& efficiency, const char* state,
                                  std::vector<std::string>& missing) {
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        if (std::none_of(efficiency.ranges.begin(), efficiency.ranges.end(),
                         [&](const SizeEfficiency& e) { return same_range(e.range, range); })) {
            missing.push_back(std::string(state) + " efficiency in " + range_text(range));
        }
    }
}

}   // namespace detail

/// Class by particulate matter that efficiencies before and after conditioning give.
///
/// Equation: ePM = sum_i w_i (E_i + E_D,i) / 2; ePM_min = sum_i w_i E_D,i; the finest group of ePM1 (ePM1_min and
///           ePM1 >= 50 %), ePM2.5 (ePM2.5_min and ePM2.5 >= 50 %), ePM10 (ePM10 >= 50 %), else coarse; the value is
///           rounded down to 5 %
/// Symbols:  E_i, E_D,i efficiency in channel i untreated and conditioned, w_i particulate_matter_weights
/// Validity: efficiencies in the twelve channels of ISO 16890-2; other ranges are not used, a missing one is bounded
///           by 0 and 1. Without the conditioned state there is no class, only an upper bound.
/// @param  untreated  penetration by size as delivered
/// @param  conditioned  penetration by size after discharging the filter; none: not measured
/// @param  initial_arrestance  by mass [-], from 0 to 1; for the coarse group; none: not measured
/// @param  rule  what counts of the channel in which PM2.5 ends
/// @return efficiencies, class and the lowest and highest class that the data allow (95 %), governing limit with its
///         margin, probability of each class; no class where an efficiency is below zero beyond its interval, which is
///         then empty
/// @throws DomainError if ranges overlap or are out of order, or the arrestance is not from 0 to 1
/// @source ISO 16890-1:2016 (as secondary explanations state it and from memory);
///         test: rating/particulate_matter_test.cpp
template <Deferred...>
inline ParticulateMatterClass particulate_matter_class(
    const FractionalEfficiency& untreated, const std::optional<FractionalEfficiency>& conditioned = std::nullopt,
    const std::optional<Uncertain<double>>& initial_arrestance = std::nullopt, const ParticulateMatterRule& rule = {}) {
    constexpr auto where = "particulate_matter_class";
    detail::check(untreated, where);
    if (conditioned) detail::check(*conditioned, where);
    if (initial_arrestance) {
        detail::require_between(where, "initial_arrestance", initial_arrestance->value, 0.0, 1.0, "-");
    }
    using detail::BoundedEfficiency;
    constexpr std::array matters{ParticulateMatter::pm1, ParticulateMatter::pm25, ParticulateMatter::pm10};
    std::array<BoundedEfficiency, 3> before, after, mean;
    for (std::size_t k = 0; k < 3; ++k) {
        before[k] = detail::bounded_efficiency(untreated, matters[k], rule);
        after[k] = conditioned ? detail::bounded_efficiency(*conditioned, matters[k], rule) : before[k];
        mean[k] = detail::average(before[k], after[k]);
    }
    ParticulateMatterClass result;
    result.rule = rule;
    result.ePM1_untreated = before[0].value();
    result.ePM25_untreated = before[1].value();
    result.ePM10_untreated = before[2].value();
    detail::list_missing_channels(untreated, "untreated", result.missing);
    if (conditioned) {
        result.ePM1 = mean[0].value();
        result.ePM1_min = after[0].value();
        result.ePM25 = mean[1].value();
        result.ePM25_min = after[1].value();
        result.ePM10 = mean[2].value();
        detail::list_missing_channels(*conditioned, "conditioned", result.missing);
    } else {
        result.missing.push_back(detail::discharged_state_missing());
    }
    const std::array<const BoundedEfficiency*, 5> five{&mean[0], &after[0], &mean[1], &after[1], &mean[2]};
    std::array<double, 5> lower{}, upper{}, least{}, most{};
    for (std::size_t i = 0; i < 5; ++i) {
        const Interval<double> bounds = five[i]->bounds();
        lower[i] = bounds.lower;
        upper[i] = bounds.upper;
        least[i] = five[i]->known_part.value;
        most[i] = least[i] + five[i]->missing_share;
    }
    std::optional<double> arrestance, least_arrestance, most_arrestance;
    if (initial_arrestance) {
        const Interval<double> interval = coverage_interval(*initial_arrestance);
        arrestance = initial_arrestance->value;
        least_arrestance = std::clamp(interval.lower, 0.0, 1.0);
        most_arrestance = std::clamp(interval.upper, 0.0, 1.0);
    }
    const auto contradicted = [](const BoundedEfficiency& e) { return e.contradicted(); };
    if (std::any_of(before.begin(), before.end(), contradicted) ||
        std::any_of(after.begin(), after.end(), contradicted)) {
        result.class_text = conditioned ? "not determinable" : "not classifiable";
        result.missing.push_back("counts that do not show more particles behind the filter than before it");
        return result;
    }
    const auto text = [](const std::array<double, 5>& efficiencies, const std::optional<double>& mass_arrestance) {
        return detail::particulate_matter_class_text(efficiencies, mass_arrestance);
    };
    const bool nothing_measured = mean[2].missing_share > 1.0 - 1e-9;
    if (!conditioned) {
        result.class_text = "not classifiable";
        if (!nothing_measured) result.highest_class = text(upper, most_arrestance);
        return result;
    }
    if (nothing_measured) {
        result.class_text = "not determinable";
        return result;
    }
    result.lowest_class = text(lower, least_arrestance);
    result.highest_class = text(upper, most_arrestance);
    if (result.ePM1 && result.ePM25 && result.ePM10) {
        result.probabilities = particulate_matter_probabilities(
            {*result.ePM1, *result.ePM1_min, *result.ePM25, *result.ePM25_min, *result.ePM10}, initial_arrestance);
    }
    const std::string by_least = text(least, arrestance);
    if (by_least != text(most, arrestance)) {
        result.class_text = "not determinable";
        return result;
    }
    result.class_text = by_least;
    detail::describe_limits(result, least, most, arrestance);
    return result;
}

namespace detail {

/// Why a group whose minimum is met counts as not reached: its value is below 50 %.
template <Deferred...>
inline std::string value_below_minimum_text(ParticulateMatterGroup group, const char* name,
                                            const std::optional<Uncertain<double>>& value,
                                            const std::optional<Uncertain<double>>& minimum) {
    constexpr double half = 0.5 - rounding_of_share;
    if (!value || !minimum || !(minimum->value >= half) || value->value >= half) return "";
    return std::string(" (") + name + " is " + percent_text(100.0 * value->value) + ", below " + name + ",min of " +
           percent_text(100.0 * minimum->value) + ": values begin at 50 %, so " + particulate_matter_group_name(group) +
           " counts as not reached)";
}

}   // namespace detail

/// How a class by particulate matter may be printed: as an estimate from bench data by an edition at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of particulate_matter_class
/// @param  result  result of particulate_matter_class
/// @param  face_velocity  at which the efficiencies were measured [m/s], > 0
/// @return one sentence
/// @throws DomainError if the velocity is not > 0
/// @source common practice; test: rating/particulate_matter_test.cpp
template <Deferred...>
inline std::string particulate_matter_text(const ParticulateMatterClass& result, const Velocity& face_velocity) {
    const bool cut = result.rule.channel_at_pm25 == ChannelAtPm25::cut_at_2500_nm;
    const std::string basis = estimate_text(
        cut ? "ISO 16890-1:2016 with the channel from 2.2 to 3.0 um cut at 2.5 um" : "ISO 16890-1:2016", face_velocity);
    std::string text = result.class_text;
    if (result.class_text == "not classifiable") {
        if (!result.highest_class.empty()) {
            text += " without the conditioned state; at most " + result.highest_class +
                    ", if conditioning lost nothing";
        }
    } else if (!result.lowest_class.empty() && result.lowest_class != result.highest_class) {
        text += " (the data allow " + result.lowest_class + " to " + result.highest_class + ")";
    }
    text += detail::value_below_minimum_text(ParticulateMatterGroup::pm1, "ePM1", result.ePM1, result.ePM1_min) +
            detail::value_below_minimum_text(ParticulateMatterGroup::pm25, "ePM2.5", result.ePM25, result.ePM25_min);
    return text + ": " + basis;
}

}   // namespace filterflow
