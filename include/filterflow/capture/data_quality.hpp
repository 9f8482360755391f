// SPDX-License-Identifier: BSL-1.0
#pragma once

// Verdicts on counts, in words: what failed, by how much, and what to do about it.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// What the verdicts look at, for one size range.
struct CountQualityInput {
    SizeRange range;                                  ///< of particle size
    std::span<const double> upstream;                 ///< samples with the filter
    std::span<const double> downstream;               ///< samples with the filter
    std::span<const double> upstream_background;      ///< empty: not measured
    std::span<const double> downstream_background;    ///< empty: not measured
    double background_time_ratio = 1.0;               ///< time of a background sample over that of a sample
    double penetration = 0.0;                         ///< as reported
    Interval<double> penetration_interval;            ///< 95 %, as reported
    double penetration_spread_half_width = 0.0;       ///< 95 %, by the spread between samples; 0: they do not tell
    std::optional<double> correlation;                ///< correlation ratio; empty: not measured
    double correlation_half_width = 0.0;              ///< 95 %, as it enters the interval
    double correlation_spread_half_width = 0.0;       ///< 95 %, by the spread between samples; 0: they do not tell
    std::optional<std::size_t> correlation_samples{}; ///< downstream, without a filter; empty: stated, not counted here
    std::span<const double> correlation_upstream{};   ///< samples without a filter; empty: not counted here
    std::span<const double> correlation_upstream_background{};     ///< empty: not measured
    std::span<const double> correlation_downstream_background{};   ///< empty: not measured
    double greatest_loss = 0.0;                       ///< share of the particles lost by the counter upstream, 0 to 1
};

namespace detail {

/// Limits of the standard, by size: up to 3.0, to 5.5, and beyond.
struct CountQualityLimits {
    double correlation_deviation;         // |R - 1|
    double correlation_half_width;
    double penetration_relative_half_width;
};

template <Deferred...>
inline CountQualityLimits count_quality_limits(const SizeRange& range) {
    const double lower = range.lower / units::um;
    const double middle = range.open_above ? lower : std::sqrt(std::max(lower, 1e-3) * (range.upper / units::um));
    CountQualityLimits limits{0.30, 0.15, 0.20};
    if (middle < 5.5) limits = {0.30, 0.10, 0.15};
    if (middle < 3.0) limits = {0.20, 0.05, 0.07};
    if (middle < 1.0) limits.correlation_deviation = 0.10;
    return limits;
}

template <Deferred...>
inline std::string two_digits(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.2g", value);
    for (char& c : text) {
        if (c == ',') c = '.';
    }
    return text;
}

template <Deferred...>
inline std::string times_as_many(double ratio) {
    if (ratio > 1.95 && ratio < 2.05) return "twice as many";
    return (ratio < 99.5 ? two_digits(ratio) : std::to_string(std::lround(ratio))) + " times as many";
}

template <Deferred...>
inline double sum_of(std::span<const double> counts) { return std::accumulate(counts.begin(), counts.end(), 0.0); }

/// What is judged by a half width, and where its interval is from if not from the spread.
struct JudgedHalfWidth {
    std::string what;
    double spread = 0.0;     // 95 %, between samples; 0: they do not tell
    double interval = 0.0;   // 95 %, as reported
    std::string basis = "by counting statistics";
    std::string advice = "count longer";
};

/// The standard judges by the spread between samples. Where they agree by luck, or do not tell, the interval that is
/// reported has a say of its own.
template <Deferred...>
inline void judge(const JudgedHalfWidth& x, double limit, std::vector<std::string>& verdicts) {
    const std::string wanted = ", -+" + two_digits(limit) + " wanted";
    if (x.spread > limit) {
        verdicts.push_back(x.what + " known to -+" + two_digits(x.spread) + " by the spread between samples" + wanted +
                           "; steady the aerosol, or take more sets of samples");
    } else if (x.interval > limit) {
        verdicts.push_back(x.what + " known to -+" + two_digits(x.interval) + " " + x.basis + wanted +
                           (x.spread > 0.0 ? ", although the samples agree within that; " : "; ") + x.advice);
    }
}

template <Deferred...>
inline void judge_background(const std::string& side, std::span<const double> background, double time_ratio,
                             double mean_upstream, std::vector<std::string>& verdicts) {
    if (background.empty()) {
        verdicts.push_back("no background measured " + side +
                           ": taken as none; count a few samples without aerosol");
        return;
    }
    const double upper = poisson_interval(sum_of(background)).upper /
                         (static_cast<double>(background.size()) * time_ratio);
    if (!(upper < 0.05 * mean_upstream)) {
        verdicts.push_back("background " + side + ": its upper 95 % limit is " +
                           two_digits(100.0 * upper / mean_upstream) +
                           " % of the mean upstream count, limit 5 %; clean the duct and its seals, or count the "
                           "background longer");
    }
}

/// The samples without a filter: as many particles and as little background as those with one.
template <Deferred...>
inline void judge_correlation_samples(const CountQualityInput& input, std::vector<std::string>& verdicts) {
    const double upstream = require_positive("count_quality", "sum of upstream counts without a filter",
                                             sum_of(input.correlation_upstream), "particles");
    if (upstream < 500.0) {
        verdicts.push_back("only " + number_text(upstream) +
                           " particles counted upstream without a filter, 500 wanted; count longer or feed more "
                           "aerosol");
    }
    const double mean = upstream / static_cast<double>(input.correlation_upstream.size());
    judge_background("upstream without a filter", input.correlation_upstream_background, input.background_time_ratio,
                     mean, verdicts);
    judge_background("downstream without a filter", input.correlation_downstream_background,
                     input.background_time_ratio, mean, verdicts);
}

}   // namespace detail

/// Verdicts on the counts of one size range that failed; none if the data are as a standard test would have them.
///
/// Equation: sum of upstream counts >= 500; at least 3 downstream samples; upper 95 % limit of the mean background
///           < 5 % of the mean upstream count, each with the filter and without; correlation ratio within 0.90-1.10
///           (below 1 um), 0.80-1.20 (to 3 um), 0.70-1.30 (beyond), its half width <= 0.05, 0.10 (3-5.5 um), 0.15
///           (beyond); half width of penetration <= the larger of 0.05 and 0.07 P, 0.15 P (3-5.5 um), 0.20 P (beyond);
///           loss of the counter <= 10 %
/// Symbols:  P penetration; half widths at 95 % by the spread between samples, t s/n^(1/2), as the standard has them
/// Validity: limits of the standard at its twelve ranges; other ranges are judged by their geometric mean size, one
///           open above by its lower end. Where the spread keeps a limit (or there is none) and the reported interval
///           does not, a verdict of our own says so: samples that agree better than counting allows agree by luck
/// @param  input  counts and what came of them; the upstream counts must not all be zero,
///         nor those without a filter where there are any
/// @return verdicts that failed: what, by how much, what to do
/// @throws DomainError if the sum of the upstream counts, or of those without a filter where given, is not > 0, or the
///         range is not one
/// @source ANSI/ASHRAE 52.2-2017, data quality; ISO 21501-4 for the loss (both from memory); test:
///         capture/count_reduction_test.cpp
template <Deferred...>
inline std::vector<std::string> count_quality(const CountQualityInput& input) {
    constexpr auto where = "count_quality";
    using detail::two_digits;
    detail::check(input.range, where);
    const double upstream = detail::require_positive(where, "sum of upstream counts", detail::sum_of(input.upstream),
                                                     "particles");
    const double mean_upstream = upstream / static_cast<double>(input.upstream.size());
    const detail::CountQualityLimits limits = detail::count_quality_limits(input.range);
    std::vector<std::string> verdicts;

    if (upstream < 500.0) {
        verdicts.push_back("only " + detail::number_text(upstream) +
                           " particles counted upstream, 500 wanted; count longer or feed more aerosol");
    }
    if (input.downstream.size() < 3) {
        verdicts.push_back("only " + std::to_string(input.downstream.size()) +
                           " downstream samples, 3 wanted; take more sets");
    }
    const auto whole = [](double count) { return count == std::floor(count); };
    if (!std::all_of(input.upstream.begin(), input.upstream.end(), whole) ||
        !std::all_of(input.downstream.begin(), input.downstream.end(), whole)) {
        verdicts.push_back("counts are not whole numbers; enter particles counted, not concentrations, or the "
                           "counting statistics is wrong");
    }
    detail::judge_background("upstream", input.upstream_background, input.background_time_ratio, mean_upstream,
                             verdicts);
    detail::judge_background("downstream", input.downstream_background, input.background_time_ratio, mean_upstream,
                             verdicts);
    if (input.greatest_loss > 0.10) {
        verdicts.push_back("the counter loses " + two_digits(100.0 * input.greatest_loss) +
                           " % of the particles upstream to coincidence, limit 10 %; dilute or feed less aerosol");
    }
    if (!input.correlation_upstream.empty()) detail::judge_correlation_samples(input, verdicts);
    if (!input.correlation) {
        verdicts.push_back("no correlation ratio measured: taken as 1; repeat the samples without a filter");
    } else {
        if (std::abs(*input.correlation - 1.0) > limits.correlation_deviation) {
            verdicts.push_back("correlation ratio " + two_digits(*input.correlation) + ", allowed 1 -+ " +
                               two_digits(limits.correlation_deviation) +
                               "; look for unequal sampling lines, poor mixing or a leak");
        }
        if (input.correlation_samples && *input.correlation_samples < 3) {
            verdicts.push_back("only " + std::to_string(*input.correlation_samples) +
                               " downstream samples without a filter, 3 wanted; take more sets");
        }
        detail::judge({.what = "correlation ratio",
                       .spread = input.correlation_spread_half_width,
                       .interval = input.correlation_half_width,
                       .basis = input.correlation_samples ? "by counting statistics" : "as stated",
                       .advice = "count longer without a filter"},
                      limits.correlation_half_width, verdicts);
    }
    detail::judge({.what = "penetration",
                   .spread = input.penetration_spread_half_width,
                   .interval = 0.5 * (input.penetration_interval.upper - input.penetration_interval.lower)},
                  std::max(0.05, limits.penetration_relative_half_width * input.penetration), verdicts);
    if (input.penetration_interval.lower > 1.0) {
        verdicts.push_back("more particles behind the filter than before it (" +
                           detail::times_as_many(input.penetration) +
                           "): likely a leak behind the filter, samples exchanged, a dirty sampling line, or a filter "
                           "that sheds");
    }
    return verdicts;
}

}   // namespace filterflow
