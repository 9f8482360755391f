// SPDX-License-Identifier: BSL-1.0
#pragma once

// From counts to penetration by size: the ratio of downstream to upstream with the filter, divided by the same
// ratio without it.

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include <filterflow/capture/count_ratio.hpp>
#include <filterflow/capture/data_quality.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/particle_counts.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

namespace detail {

inline SampleSeries test_series(const SizeRangeCounts& c) {
    return {c.upstream, c.downstream, c.upstream_background, c.downstream_background, c.background_time_ratio,
            c.loss_factors.upstream, c.loss_factors.downstream};
}
inline SampleSeries correlation_series(const SizeRangeCounts& c) {
    return {c.correlation_upstream, c.correlation_downstream, c.correlation_upstream_background,
            c.correlation_downstream_background, c.background_time_ratio, c.loss_factors.correlation_upstream,
            c.loss_factors.correlation_downstream};
}

}   // namespace detail

/// Correlation ratio of a size range: the ratio that the same samples give without a filter. Computed once and
/// stated in the counts of several filters, its uncertainty is shared by all of them.
///
/// Equation: count_ratio of the correlation samples
/// Symbols:  as count_ratio
/// Validity: as count_ratio
/// @param  counts  with correlation samples
/// @return correlation ratio [-]; one new elementary input
/// @throws DomainError as count_ratio, or if the ratio is zero
/// @source ANSI/ASHRAE 52.2-2017, section 10 (from memory); test: capture/count_reduction_test.cpp
template <Deferred...>
inline Uncertain<double> correlation_ratio(const SizeRangeCounts& counts) {
    const CountRatio ratio = count_ratio(detail::correlation_series(counts));
    detail::require_positive("correlation_ratio", "ratio", ratio.value, "-");
    return uncertain(ratio.value, ratio.standard_uncertainty, "correlation ratio, " + range_text(counts.range),
                     ratio.degrees_of_freedom);
}

namespace detail {

/// A divisor of the ratio with the distances to the ends of its 95 % interval.
struct Divisor {
    Uncertain<double> value{1.0};
    double below = 0.0;
    double above = 0.0;
    double spread = 0.0;   // half width by the spread between samples alone
};

/// Share of the particles that the counter lost in the worst sample upstream.
template <Deferred...>
inline double greatest_loss(const LossFactors& factors) {
    double greatest = 1.0;
    for (const double factor : factors.upstream) greatest = std::max(greatest, factor);
    return 1.0 - 1.0 / greatest;
}

template <Deferred...>
inline SizeEfficiency size_efficiency(const SizeRangeCounts& counts, const Uncertain<double>& flow_ratio) {
    const CountRatio test = count_ratio(test_series(counts));
    Divisor correlation;
    const bool measured = counts.stated_correlation || !counts.correlation_downstream.empty();
    if (counts.stated_correlation) {
        const Interval<double> limits = coverage_interval(*counts.stated_correlation);
        const double r = counts.stated_correlation->value;
        correlation = {*counts.stated_correlation, r - limits.lower, limits.upper - r, limits.upper - r};
    } else if (measured) {
        const CountRatio ratio = count_ratio(correlation_series(counts));
        require_positive("fractional_efficiency", "correlation ratio", ratio.value, "-");
        correlation = {uncertain(ratio.value, ratio.standard_uncertainty,
                                 "correlation ratio, " + range_text(counts.range), ratio.degrees_of_freedom),
                       ratio.value - ratio.interval.lower, ratio.interval.upper - ratio.value,
                       ratio.spread_half_width};
    }
    const double r = correlation.value.value;
    const double phi = flow_ratio.value;
    const double penetration = test.value / (r * phi);
    const double flow_part = penetration * normal_factor_95 * flow_ratio.standard_uncertainty() / phi;

    SizeEfficiency result;
    result.range = counts.range;
    Gradient gradient;
    gradient.add(Gradient(elementary_input("penetration counts, " + range_text(counts.range),
                                           test.standard_uncertainty, test.degrees_of_freedom)),
                 1.0 / (r * phi));
    gradient.add(correlation.value.gradient, -penetration / r);
    gradient.add(flow_ratio.gradient, -penetration / phi);
    result.penetration = {penetration, std::move(gradient)};
    const auto combined = [&](double test_part, double correlation_part) {
        return std::hypot(test_part / (r * phi), penetration * correlation_part / r, flow_part);
    };
    result.penetration_interval =
        penetration_limits(penetration, combined(test.value - test.interval.lower, correlation.above),
                           combined(test.interval.upper - test.value, correlation.below));
    if (test.individual.size() > 1) {
        result.spread_half_width = std::hypot(test.spread_half_width / (r * phi), penetration * correlation.spread / r,
                                              flow_part);
    }
    result.upstream_count = sum_of(counts.upstream);
    result.downstream_count = sum_of(counts.downstream);
    result.interval_source = test.interval_source;
    result.correlation_measured = measured;
    const auto own = [&](const std::vector<double>& samples) {   // a stated ratio leaves the filter's own ones unused
        return counts.stated_correlation ? std::span<const double>() : std::span<const double>(samples);
    };
    result.quality = count_quality({.range = counts.range,
                                    .upstream = counts.upstream,
                                    .downstream = counts.downstream,
                                    .upstream_background = counts.upstream_background,
                                    .downstream_background = counts.downstream_background,
                                    .background_time_ratio = counts.background_time_ratio,
                                    .penetration = penetration,
                                    .penetration_interval = result.penetration_interval,
                                    .penetration_spread_half_width = result.spread_half_width,
                                    .correlation = measured ? std::optional(r) : std::nullopt,
                                    .correlation_half_width = 0.5 * (correlation.below + correlation.above),
                                    .correlation_spread_half_width = counts.stated_correlation ? 0.0 : correlation.spread,
                                    .correlation_samples = counts.stated_correlation
                                                               ? std::nullopt
                                                               : std::optional(counts.correlation_downstream.size()),
                                    .correlation_upstream = own(counts.correlation_upstream),
                                    .correlation_upstream_background = own(counts.correlation_upstream_background),
                                    .correlation_downstream_background = own(counts.correlation_downstream_background),
                                    .greatest_loss = greatest_loss(counts.loss_factors)});
    if (test.pooled) {
        result.quality.push_back("some upstream samples hold nothing but background: samples were pooled; count "
                                 "longer");
    }
    if (downstream_count(test_series(counts)).mean <
        background_rate(counts.downstream_background, counts.background_time_ratio)) {
        result.quality.push_back("fewer particles downstream than in the downstream background: penetration is "
                                 "reported as 0, its upper limit alone counts; repeat the background");
    }
    return result;
}

template <Deferred...>
inline void leave_undetermined(FractionalEfficiency& efficiency, const SizeRange& range, std::string_view reason) {
    UndeterminedRange& undetermined = efficiency.undetermined.emplace_back();
    undetermined.range = range;
    undetermined.reason = reason;
}

}   // namespace detail

/// Penetration by particle size from counts. A range without upstream particles beyond background is listed as
/// undetermined.
///
/// Equation: P = T / (R f); distances of the interval's ends: P ((dT/T)^2 + (dR/R)^2 + (df/f)^2)^(1/2)
/// Symbols:  T count_ratio with the filter, R the same without it (1 where not measured, and said so), f flow of the
///           downstream over that of the upstream counter, d distances to the ends of the 95 % intervals
/// Validity: as count_ratio. Counts of different ranges are independent inputs; a stated correlation or flow ratio
///           is one shared input. With one counter the flow ratio is 1; where R was measured with the same two
///           counters it is in R already.
/// @param  counts  by size range, any order, not overlapping; shape (k)
/// @param  counter_flow_ratio  f [-], > 0
/// @return penetration by size with 95 % intervals and the verdicts on the data that failed
/// @throws DomainError if sample numbers do not match, a count is negative or not finite, ranges overlap, or the flow
///         ratio is not > 0
/// @source ANSI/ASHRAE 52.2-2017, section 10 (from memory); test: capture/count_reduction_test.cpp
template <Deferred...>
inline FractionalEfficiency fractional_efficiency(std::span<const SizeRangeCounts> counts,
                                                  const Uncertain<double>& counter_flow_ratio = 1.0) {
    constexpr auto where = "fractional_efficiency";
    detail::require_positive(where, "counter_flow_ratio", counter_flow_ratio.value, "-");
    FractionalEfficiency efficiency;
    for (const SizeRangeCounts& range : counts) {
        detail::check(range, where);
        detail::check(detail::test_series(range), where + (" in " + range_text(range.range)));
        if (range.correlation_downstream.empty() != range.correlation_upstream.empty()) {
            throw DomainError(std::string(where) + ": correlation counts in " + range_text(range.range) +
                              " on one side only; required: both sides or neither");
        }
        if (!detail::upstream_above_background(detail::test_series(range))) {
            detail::leave_undetermined(efficiency, range.range, "no upstream particles beyond background; count longer, "
                                                                "or feed aerosol of this size");
            continue;
        }
        const bool correlated = !range.stated_correlation && !range.correlation_downstream.empty();
        if (correlated) {
            detail::check(detail::correlation_series(range), where + (" (correlation) in " + range_text(range.range)));
            if (!detail::upstream_above_background(detail::correlation_series(range)) ||
                !(count_ratio(detail::correlation_series(range)).value > 0.0)) {
                detail::leave_undetermined(efficiency, range.range, "no particles beyond background in the correlation "
                                                                    "samples; repeat them with more aerosol");
                continue;
            }
        }
        efficiency.ranges.push_back(detail::size_efficiency(range, counter_flow_ratio));
    }
    std::stable_sort(efficiency.ranges.begin(), efficiency.ranges.end(),
                     [](const SizeEfficiency& a, const SizeEfficiency& b) { return a.range.lower < b.range.lower; });
    detail::check(efficiency, where);
    return efficiency;
}

}   // namespace filterflow
