// SPDX-License-Identifier: BSL-1.0
#pragma once

// Particle counts as a counter gives them: alternating samples up- and downstream, by size range, with
// background and with the same samples taken without a filter (correlation). And the bands of size that the
// cumulative channels of a simple counter ("all above 0.5 um") support.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// By how much more particles arrived than were counted, sample by sample; empty: not corrected.
struct LossFactors {
    std::vector<double> upstream;                 ///< >= 1; as many as upstream samples
    std::vector<double> downstream;               ///< >= 1; as many as downstream samples
    std::vector<double> correlation_upstream;     ///< >= 1; of the samples without a filter
    std::vector<double> correlation_downstream;   ///< >= 1; of the samples without a filter
};

/// Counts in one size range. Samples are particle numbers as counted, not concentrations: their scatter is
/// judged by counting statistics. One counter samples in turn, up, down, up, down, ..., up: one upstream sample
/// more than downstream ones. Lists of equal length are taken as pairs.
struct SizeRangeCounts {
    SizeRange range;                                  ///< of particle size
    std::vector<double> upstream;                     ///< with the filter; shape (n + 1), or (n) for pairs
    std::vector<double> downstream;                   ///< with the filter; shape (n), n >= 1
    std::vector<double> upstream_background;          ///< without aerosol; empty: not measured, taken as none
    std::vector<double> downstream_background;        ///< without aerosol; empty: not measured, taken as none
    std::vector<double> correlation_upstream;         ///< without a filter; empty: ratio taken as 1, and said so
    std::vector<double> correlation_downstream;       ///< without a filter
    std::vector<double> correlation_upstream_background;     ///< of the correlation test
    std::vector<double> correlation_downstream_background;   ///< of the correlation test
    std::optional<Uncertain<double>> stated_correlation;     ///< measured once for several filters: one shared input
    Time sample_time{};                               ///< of one sample, for messages; zero: not stated
    double background_time_ratio = 1.0;               ///< time of a background sample over that of a sample, > 0
    LossFactors loss_factors{};                       ///< of the counter (with_loss_factors)
};

namespace detail {

template <Deferred...>
inline void check_counts(const std::vector<double>& counts, std::string_view where, std::string_view name) {
    for (const double count : counts) require_non_negative(where, name, count, "particles");
}

template <Deferred...>
inline void check_factors(const std::vector<double>& factors, std::size_t samples, std::string_view where,
                          const std::string& name) {
    if (!factors.empty() && factors.size() != samples) {
        throw_domain_error(where, "number of " + name + " loss factors", static_cast<double>(factors.size()), "",
                           "one a sample, " + number_text(static_cast<double>(samples)) + ", or none");
    }
    for (const double factor : factors) {
        if (!(factor >= 1.0 && std::isfinite(factor))) {
            throw_domain_error(where, name + " loss factor", factor, "-", ">= 1 and finite");
        }
    }
}

template <Deferred...>
inline void check(const SizeRangeCounts& counts, std::string_view where) {
    check(counts.range, where);
    check_counts(counts.upstream, where, "upstream count");
    check_counts(counts.downstream, where, "downstream count");
    check_counts(counts.upstream_background, where, "upstream background count");
    check_counts(counts.downstream_background, where, "downstream background count");
    check_counts(counts.correlation_upstream, where, "upstream correlation count");
    check_counts(counts.correlation_downstream, where, "downstream correlation count");
    check_counts(counts.correlation_upstream_background, where, "upstream correlation background count");
    check_counts(counts.correlation_downstream_background, where, "downstream correlation background count");
    check_factors(counts.loss_factors.upstream, counts.upstream.size(), where, "upstream");
    check_factors(counts.loss_factors.downstream, counts.downstream.size(), where, "downstream");
    check_factors(counts.loss_factors.correlation_upstream, counts.correlation_upstream.size(), where,
                  "upstream correlation");
    check_factors(counts.loss_factors.correlation_downstream, counts.correlation_downstream.size(), where,
                  "downstream correlation");
    require_non_negative(where, "sample_time", counts.sample_time.value(), "s");
    require_positive(where, "background_time_ratio", counts.background_time_ratio, "-");
}

/// larger - smaller, sample by sample: what a cumulative channel counts above one threshold less what the next
/// counts above its own.
template <Deferred...>
inline std::vector<double> channel_difference(const std::vector<double>& above_lower,
                                              const std::vector<double>& above_upper, std::string_view where,
                                              const std::string& samples) {
    if (above_lower.size() != above_upper.size()) {
        throw_domain_error(where, samples + " samples of the upper threshold",
                           static_cast<double>(above_upper.size()), "",
                           "as many as of the lower threshold, " +
                               number_text(static_cast<double>(above_lower.size())));
    }
    std::vector<double> difference(above_lower.size());
    for (std::size_t i = 0; i < difference.size(); ++i) {
        difference[i] = above_lower[i] - above_upper[i];
        if (!(difference[i] >= 0.0)) {
            throw_domain_error(where, samples + " count above the upper threshold", above_upper[i], "particles",
                               "at most the count above the lower threshold, " + number_text(above_lower[i]) +
                                   "; are the channels swapped, or not cumulative?");
        }
    }
    return difference;
}

}   // namespace detail

/// The bands of size that cumulative channels support: one between each two neighbouring thresholds, and all
/// above the uppermost as a range that is open above. Nothing else can be told from them.
///
/// Equation: N(d_1 <= d < d_2) = N(d >= d_1) - N(d >= d_2)
/// Symbols:  N particles counted in a sample, d particle size, d_1 < d_2 thresholds
/// Validity: every channel counts all particles above its threshold in the same sampled air (cumulative channels);
///           the counts of different bands are then independent
/// @param  cumulative  channels, each with a range that is open above; shape (k), k >= 2, any order
/// @return counts of the bands, smallest first; shape (k)
/// @throws DomainError if there are fewer than two channels, a range is closed, two thresholds are equal, sample
///         lists differ in length, or a larger threshold counts more than a smaller one
/// @source definition of cumulative channels; test: capture/particle_counts_test.cpp
template <Deferred...>
inline std::vector<SizeRangeCounts> differential_counts(std::span<const SizeRangeCounts> cumulative) {
    constexpr auto where = "differential_counts";
    if (cumulative.size() < 2) {
        detail::throw_domain_error(where, "number of channels", static_cast<double>(cumulative.size()), "", ">= 2");
    }
    std::vector<SizeRangeCounts> bands(cumulative.begin(), cumulative.end());
    for (const SizeRangeCounts& channel : bands) {
        detail::check(channel, where);
        if (!channel.range.open_above) {
            throw DomainError(std::string(where) + ": the channel " + range_text(channel.range) +
                              " is closed; required: cumulative channels, open above (sizes_above)");
        }
    }
    std::stable_sort(bands.begin(), bands.end(), [](const SizeRangeCounts& a, const SizeRangeCounts& b) {
        return a.range.lower < b.range.lower;
    });
    for (std::size_t i = 0; i + 1 < bands.size(); ++i) {
        SizeRangeCounts& band = bands[i];
        const SizeRangeCounts& above = bands[i + 1];
        if (detail::same_size(band.range.lower.value(), above.range.lower.value())) {
            detail::throw_domain_error(where, "threshold", above.range.lower / units::um, "um",
                                       "different thresholds");
        }
        band.range = {.lower = band.range.lower, .upper = above.range.lower, .open_above = false};
        const auto subtract = [&](std::vector<double> SizeRangeCounts::*samples, const char* name) {
            band.*samples = detail::channel_difference(band.*samples, above.*samples, where, name);
        };
        subtract(&SizeRangeCounts::upstream, "upstream");
        subtract(&SizeRangeCounts::downstream, "downstream");
        subtract(&SizeRangeCounts::upstream_background, "upstream background");
        subtract(&SizeRangeCounts::downstream_background, "downstream background");
        subtract(&SizeRangeCounts::correlation_upstream, "upstream correlation");
        subtract(&SizeRangeCounts::correlation_downstream, "downstream correlation");
        subtract(&SizeRangeCounts::correlation_upstream_background, "upstream correlation background");
        subtract(&SizeRangeCounts::correlation_downstream_background, "downstream correlation background");
    }
    return bands;
}

}   // namespace filterflow
