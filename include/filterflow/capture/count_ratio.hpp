// SPDX-License-Identifier: BSL-1.0
#pragma once

// Ratio of downstream to upstream concentration from one series of alternating samples: each downstream sample
// against the mean of its upstream neighbours, background taken off. The interval is the wider of two: the spread
// between samples, and exact counting statistics.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/capture/data_quality.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>

namespace filterflow {

/// One series of alternating samples, with a filter or without.
struct SampleSeries {
    std::span<const double> upstream;                ///< shape (n + 1), or (n) for pairs
    std::span<const double> downstream;              ///< shape (n), n >= 1
    std::span<const double> upstream_background;     ///< empty: none
    std::span<const double> downstream_background;   ///< empty: none
    double background_time_ratio = 1.0;              ///< time of a background sample over that of a sample, > 0
    std::span<const double> upstream_factors{};      ///< arrived over counted, >= 1; empty: 1
    std::span<const double> downstream_factors{};    ///< arrived over counted, >= 1; empty: 1
};

/// Ratio of downstream to upstream concentration from one series.
struct CountRatio {
    double value = 0.0;                     ///< mean of the individual ratios, or of the sums where pooled
    std::vector<double> individual;         ///< one a downstream sample; empty where pooled
    double standard_deviation = 0.0;        ///< of the individual ratios; 0 for fewer than two
    double spread_half_width = 0.0;         ///< 95 %, Student's t; 0 for fewer than two
    Interval<double> counting_interval;     ///< 95 %, counting statistics
    Interval<double> interval;              ///< the wider of the two
    PenetrationIntervalSource interval_source = PenetrationIntervalSource::counting_statistics;   ///< which it is
    double standard_uncertainty = 0.0;      ///< that goes with the interval
    double degrees_of_freedom = std::numeric_limits<double>::infinity();   ///< of that uncertainty
    bool pooled = false;                    ///< true: some upstream samples held nothing but background
};

namespace detail {

template <Deferred...>
inline double background_rate(std::span<const double> background, double time_ratio) {
    return background.empty() ? 0.0 : sum_of(background) / (static_cast<double>(background.size()) * time_ratio);
}

/// Standard uncertainty of a background rate: the half width of its exact 95 % interval over the normal factor.
template <Deferred...>
inline double background_uncertainty(std::span<const double> background, double time_ratio) {
    if (background.empty()) return 0.0;
    const Interval<double> limits = poisson_interval(sum_of(background));
    return 0.5 * (limits.upper - limits.lower) /
           (normal_factor_95 * static_cast<double>(background.size()) * time_ratio);
}

/// What each downstream sample is compared with, and the Poisson count that is as well known as their mean: end
/// samples weigh one half, so the mean is known a little worse than the sum of all samples would say.
struct UpstreamMeans {
    std::vector<double> compared;
    double mean = 0.0;
    double equivalent_count = 0.0;
};

inline double factor_of(std::span<const double> factors, std::size_t sample) {
    return factors.empty() ? 1.0 : factors[sample];
}

template <Deferred...>
inline UpstreamMeans upstream_means(const SampleSeries& series) {
    const std::span<const double> upstream = series.upstream;
    const std::size_t downstream_samples = series.downstream.size();
    UpstreamMeans result;
    const bool paired = upstream.size() == downstream_samples;
    double variance = 0.0;
    for (std::size_t i = 0; i < downstream_samples; ++i) {
        const auto arrived = [&](std::size_t k) { return upstream[k] * factor_of(series.upstream_factors, k); };
        result.compared.push_back(paired ? arrived(i) : 0.5 * (arrived(i) + arrived(i + 1)));
        result.mean += result.compared.back();
    }
    const double total = result.mean;
    for (std::size_t i = 0; i < upstream.size(); ++i) {
        const bool end = !paired && (i == 0 || i + 1 == upstream.size());
        const double factor = factor_of(series.upstream_factors, i);
        variance += (end ? 0.25 : 1.0) * upstream[i] * factor * factor;
    }
    result.mean /= static_cast<double>(downstream_samples);
    result.equivalent_count = variance > 0.0 ? total * total / variance : 0.0;
    return result;
}

/// Downstream samples together: their mean, and the Poisson count over the exposure that is as well known.
struct DownstreamCount {
    double mean = 0.0;
    double equivalent_count = 0.0;
    double exposure = 0.0;
};

template <Deferred...>
inline DownstreamCount downstream_count(const SampleSeries& series) {
    const double n = static_cast<double>(series.downstream.size());
    if (series.downstream_factors.empty()) {
        const double total = sum_of(series.downstream);
        return {total / n, total, n};
    }
    double total = 0.0;
    double variance = 0.0;
    for (std::size_t i = 0; i < series.downstream.size(); ++i) {
        const double factor = series.downstream_factors[i];
        total += series.downstream[i] * factor;
        variance += series.downstream[i] * factor * factor;
    }
    if (!(total > 0.0)) return {0.0, 0.0, n * n / sum_of(series.downstream_factors)};
    return {total / n, total * total / variance, n * total / variance};
}

/// Interval of counting statistics about a ratio: exact for the counts, the background's part added in quadrature.
template <Deferred...>
inline Interval<double> counting_interval(const SampleSeries& series, const UpstreamMeans& upstream, double ratio) {
    const DownstreamCount downstream = downstream_count(series);
    const double gross = downstream.mean;
    const double upstream_net =
        upstream.mean - background_rate(series.upstream_background, series.background_time_ratio);
    const Interval<double> exact =
        poisson_ratio_interval({.downstream_count = downstream.equivalent_count,
                                .downstream_exposure = downstream.exposure,
                                .upstream_count = upstream.equivalent_count,
                                .upstream_exposure = upstream.equivalent_count / upstream.mean});
    const double scale = upstream.mean / upstream_net;
    const double background = normal_factor_95 *
                              std::hypot(background_uncertainty(series.downstream_background,
                                                                series.background_time_ratio),
                                         ratio * background_uncertainty(series.upstream_background,
                                                                        series.background_time_ratio)) /
                              upstream_net;
    const double below = std::hypot(scale * (gross / upstream.mean - exact.lower), background);
    const double above = std::hypot(scale * (exact.upper - gross / upstream.mean), background);
    return penetration_limits(ratio, below, above);
}

template <Deferred...>
inline bool upstream_above_background(const SampleSeries& series) {
    if (series.downstream.empty()) return false;
    const UpstreamMeans upstream = upstream_means(series);
    return upstream.mean > background_rate(series.upstream_background, series.background_time_ratio);
}

template <Deferred...>
inline void check(const SampleSeries& series, std::string_view where) {
    if (series.downstream.empty()) throw_domain_error(where, "number of downstream samples", 0.0, "", ">= 1");
    if (series.upstream.size() != series.downstream.size() + 1 && series.upstream.size() != series.downstream.size()) {
        throw_domain_error(where, "number of upstream samples", static_cast<double>(series.upstream.size()), "",
                           "one more than downstream (" +
                               number_text(static_cast<double>(series.downstream.size())) +
                               ", alternating) or as many (pairs)");
    }
    require_positive(where, "background_time_ratio", series.background_time_ratio, "-");
    for (const auto& [factors, samples] : {std::pair{series.upstream_factors, series.upstream},
                                           std::pair{series.downstream_factors, series.downstream}}) {
        if (!factors.empty() && factors.size() != samples.size()) {
            throw_domain_error(where, "number of loss factors", static_cast<double>(factors.size()), "",
                               "one a sample, " + number_text(static_cast<double>(samples.size())) + ", or none");
        }
        for (const double factor : factors) {   // no counter sees more particles than arrive
            if (!(require_finite(where, "loss factor", factor, "-") >= 1.0)) {
                throw_domain_error(where, "loss factor", factor, "-", ">= 1");
            }
        }
    }
}

}   // namespace detail

/// Ratio of downstream to upstream concentration from one series of alternating samples.
///
/// Equation: R_i = (D_i - b_d) / ((U_i + U_{i+1})/2 - b_u); R = mean R_i; half width of the spread t s / sqrt(n);
///           counting: poisson_ratio_interval of the sums, scaled to the net upstream mean, with the background's
///           part in quadrature
/// Symbols:  D, U counts of a sample times its loss factor, b mean background in the time of a sample, t Student's t at
///           0.975 for n - 1, s standard deviation of the R_i
/// Validity: the concentration changes little from one sample to the next; where some upstream samples hold nothing
///           but background, the ratio of the sums is taken (pooled). A ratio below zero is reported as 0.
/// @param  series  samples and background
/// @return ratio, spread, counting interval and the wider of the two
/// @throws DomainError if sample numbers do not match, a count is negative or not finite, a loss factor is below 1, or
///         the mean upstream count does not exceed the background
/// @source ANSI/ASHRAE 52.2-2017, section 10 (from memory); test: capture/count_ratio_test.cpp
template <Deferred...>
inline CountRatio count_ratio(const SampleSeries& series) {
    constexpr auto where = "count_ratio";
    detail::check(series, where);
    for (const double c : series.upstream_background) {
        detail::require_non_negative(where, "upstream background count", c, "particles");
    }
    for (const double c : series.downstream_background) {
        detail::require_non_negative(where, "downstream background count", c, "particles");
    }
    for (const double c : series.upstream) detail::require_non_negative(where, "upstream count", c, "particles");
    for (const double c : series.downstream) detail::require_non_negative(where, "downstream count", c, "particles");
    const double upstream_background =
        detail::background_rate(series.upstream_background, series.background_time_ratio);
    const double downstream_background =
        detail::background_rate(series.downstream_background, series.background_time_ratio);
    const detail::UpstreamMeans upstream = detail::upstream_means(series);
    if (!(upstream.mean > upstream_background)) {
        detail::throw_domain_error(where, "mean upstream count", upstream.mean, "particles",
                                   "> mean background, " + detail::number_text(upstream_background));
    }
    const double n = static_cast<double>(series.downstream.size());
    CountRatio ratio;
    ratio.pooled = std::any_of(upstream.compared.begin(), upstream.compared.end(),
                               [&](double u) { return !(u > upstream_background); });
    if (ratio.pooled) {
        ratio.value = (detail::downstream_count(series).mean - downstream_background) /
                      (upstream.mean - upstream_background);
    } else {
        for (std::size_t i = 0; i < series.downstream.size(); ++i) {
            const double arrived = series.downstream[i] * detail::factor_of(series.downstream_factors, i);
            ratio.individual.push_back((arrived - downstream_background) /
                                       (upstream.compared[i] - upstream_background));
        }
        ratio.value = detail::sum_of(ratio.individual) / n;
        if (ratio.individual.size() > 1) {
            double squares = 0.0;
            for (const double r : ratio.individual) squares += (r - ratio.value) * (r - ratio.value);
            ratio.standard_deviation = std::sqrt(squares / (n - 1.0));
            ratio.spread_half_width = coverage_factor(n - 1.0) * ratio.standard_deviation / std::sqrt(n);
        }
    }
    ratio.value = std::max(ratio.value, 0.0);
    ratio.counting_interval = detail::counting_interval(series, upstream, ratio.value);
    const double counting_half = 0.5 * (ratio.counting_interval.upper - ratio.counting_interval.lower);
    if (ratio.spread_half_width > counting_half) {
        ratio.interval_source = PenetrationIntervalSource::sample_spread;
        ratio.interval = detail::penetration_limits(ratio.value, ratio.spread_half_width, ratio.spread_half_width);
        ratio.standard_uncertainty = ratio.standard_deviation / std::sqrt(n);
        ratio.degrees_of_freedom = n - 1.0;
    } else {
        ratio.interval = ratio.counting_interval;
        const double widest = ratio.value > 0.0 ? counting_half : ratio.counting_interval.upper;
        ratio.standard_uncertainty = widest / detail::normal_factor_95;
    }
    return ratio;
}

}   // namespace filterflow
