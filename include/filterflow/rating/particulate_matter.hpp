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
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/rating/estimate_text.hpp>

namespace filterflow {

/// The three fractions of particulate matter that classes are named after.
enum class ParticulateMatter {
    pm1,    ///< 0.3 to 1 um, urban distribution
    pm25,   ///< 0.3 to 2.5 um, urban distribution; the channel from 2.2 to 3.0 um taken whole
    pm10    ///< 0.3 to 10 um, rural distribution
};

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
};

namespace detail {

inline std::size_t last_channel(ParticulateMatter matter) {
    return matter == ParticulateMatter::pm1 ? 4 : matter == ParticulateMatter::pm25 ? 8 : 12;
}

}   // namespace detail

/// Weights of the standard's channels in the efficiency for a fraction of particulate matter.
///
/// Equation: w_i = q(d_i) ln(d_i,upper / d_i,lower) / sum over the fraction's channels; d_i geometric mean
/// Symbols:  q volume density over ln d of the fraction's distribution, d_i size of channel i [m]
/// Validity: midpoint rule of the standard; PM2.5 ends at 3.0 um, since its eighth channel is taken whole
/// @param  matter  fraction of particulate matter
/// @return weights, zero beyond the fraction; sum one; shape (12)
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: rating/particulate_matter_test.cpp
inline std::array<double, 12> particulate_matter_weights(ParticulateMatter matter) {
    const SizeDistribution distribution =
        matter == ParticulateMatter::pm10 ? rural_distribution() : urban_distribution();
    const auto ranges = minimum_efficiency_size_ranges();
    std::array<double, 12> weights{};
    double sum = 0.0;
    for (std::size_t i = 0; i < detail::last_channel(matter); ++i) {
        weights[i] = volume_density(distribution, geometric_mean(ranges[i])) *
                     std::log(ranges[i].upper.value() / ranges[i].lower.value());
        sum += weights[i];
    }
    for (double& w : weights) w /= sum;
    return weights;
}

namespace detail {

/// Efficiency for a fraction of particulate matter and its 95 % bounds, missing channels from 0 to 1.
struct BoundedEfficiency {
    Uncertain<double> known_part;
    double missing_share = 0.0;
    Interval<double> bounds() const {
        const Interval<double> interval = coverage_interval(known_part);
        return {std::clamp(interval.lower, 0.0, 1.0), std::clamp(interval.upper + missing_share, 0.0, 1.0)};
    }
    std::optional<Uncertain<double>> value() const {
        return missing_share > 0.0 ? std::nullopt : std::optional(known_part);
    }
};

inline BoundedEfficiency bounded_efficiency(const FractionalEfficiency& efficiency, ParticulateMatter matter) {
    const auto weights = particulate_matter_weights(matter);
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

inline BoundedEfficiency average(const BoundedEfficiency& a, const BoundedEfficiency& b) {
    return {scaled(a.known_part + b.known_part, 0.5), 0.5 * (a.missing_share + b.missing_share)};
}

inline std::string rounded_class(const char* group, double efficiency) {
    const double percent = 100.0 * efficiency + 1e-9;   // rounding of sums of doubles, not of the class
    if (percent > 95.0 + 2e-9) return std::string(group) + " > 95 %";
    return std::string(group) + " " + number_text(5.0 * std::floor(percent / 5.0)) + " %";
}

/// Class of five efficiencies: {ePM1, ePM1_min, ePM2.5, ePM2.5_min, ePM10}, finest group first.
inline std::string particulate_matter_class_text(const std::array<double, 5>& e,
                                                 const std::optional<double>& initial_arrestance) {
    const auto half = [](double efficiency) { return efficiency >= 0.5 - 1e-11; };
    if (half(e[1])) return rounded_class("ISO ePM1", e[0]);
    if (half(e[3])) return rounded_class("ISO ePM2.5", e[2]);
    if (half(e[4])) return rounded_class("ISO ePM10", e[4]);
    if (initial_arrestance) return rounded_class("ISO Coarse", *initial_arrestance);
    return "ISO Coarse, initial arrestance not measured";
}

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
/// Equation: ePM = sum_i w_i (E_i + E_D,i) / 2; ePM_min = sum_i w_i E_D,i; the finest group of ePM1 (ePM1_min >= 50 %),
///           ePM2.5 (ePM2.5_min >= 50 %), ePM10 (ePM10 >= 50 %), else coarse; the value is rounded down to 5 %
/// Symbols:  E_i, E_D,i efficiency in channel i untreated and conditioned, w_i particulate_matter_weights
/// Validity: efficiencies in the twelve channels of ISO 16890-2; other ranges are not used, a missing one is bounded
///           by 0 and 1. Without the conditioned state there is no class, only an upper bound.
/// @param  untreated  penetration by size as delivered
/// @param  conditioned  penetration by size after discharging the filter; none: not measured
/// @param  initial_arrestance  by mass [-], from 0 to 1; for the coarse group; none: not measured
/// @return efficiencies, class and the lowest and highest class that the data allow (95 %)
/// @throws DomainError if ranges overlap or are out of order, or the arrestance is not from 0 to 1
/// @source ISO 16890-1:2016 (as secondary explanations state it and from memory);
///         test: rating/particulate_matter_test.cpp
inline ParticulateMatterClass particulate_matter_class(
    const FractionalEfficiency& untreated, const std::optional<FractionalEfficiency>& conditioned = std::nullopt,
    const std::optional<double>& initial_arrestance = std::nullopt) {
    constexpr auto where = "particulate_matter_class";
    detail::check(untreated, where);
    if (conditioned) detail::check(*conditioned, where);
    if (initial_arrestance) detail::require_between(where, "initial_arrestance", *initial_arrestance, 0.0, 1.0, "-");
    using detail::BoundedEfficiency;
    constexpr std::array matters{ParticulateMatter::pm1, ParticulateMatter::pm25, ParticulateMatter::pm10};
    std::array<BoundedEfficiency, 3> before, after, mean;
    for (std::size_t k = 0; k < 3; ++k) {
        before[k] = detail::bounded_efficiency(untreated, matters[k]);
        after[k] = conditioned ? detail::bounded_efficiency(*conditioned, matters[k]) : before[k];
        mean[k] = detail::average(before[k], after[k]);
    }
    ParticulateMatterClass result;
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
        result.missing.push_back("efficiencies after conditioning (the discharged state), without which there is no class");
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
    const auto text = [&](const std::array<double, 5>& e) {
        return detail::particulate_matter_class_text(e, initial_arrestance);
    };
    const bool nothing_measured = mean[2].missing_share > 1.0 - 1e-9;
    if (!conditioned) {
        result.class_text = "not classifiable";
        if (!nothing_measured) result.highest_class = text(upper);
        return result;
    }
    if (nothing_measured) {
        result.class_text = "not determinable";
        return result;
    }
    result.lowest_class = text(lower);
    result.highest_class = text(upper);
    result.class_text = text(least) == text(most) ? text(least) : "not determinable";
    return result;
}

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
inline std::string particulate_matter_text(const ParticulateMatterClass& result, const Velocity& face_velocity) {
    const std::string basis = estimate_text("ISO 16890-1:2016", face_velocity);
    std::string text = result.class_text;
    if (result.class_text == "not classifiable") {
        if (!result.highest_class.empty()) {
            text += " without the conditioned state; at most " + result.highest_class + ", if conditioning lost nothing";
        }
    } else if (!result.lowest_class.empty() && result.lowest_class != result.highest_class) {
        text += " (the data allow " + result.lowest_class + " to " + result.highest_class + ")";
    }
    return text + ": " + basis;
}

}   // namespace filterflow
