// SPDX-License-Identifier: BSL-1.0
#pragma once

// Efficiency by particle size with its uncertainty; stages in series; a bypass beside the filter.
// Efficiency is one minus penetration. What makes it from counts is in count_reduction.hpp.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// What decided the width of a penetration's interval.
enum class PenetrationIntervalSource {
    counting_statistics,   ///< exact counting intervals: wider than the spread between samples
    sample_spread,         ///< spread between samples: wider than counting statistics
    stated                 ///< computed from stated values, or combined: stages in series, a bypass, several curves
};

/// Penetration in one size range.
struct SizeEfficiency {
    SizeRange range;                         ///< of particle size
    Uncertain<double> penetration;           ///< downstream over upstream concentration, >= 0; above 1 is reported
    Interval<double> penetration_interval;   ///< 95 %, not below 0; its upper end alone counts where nothing passed
    double upstream_count = 0.0;             ///< particles counted upstream in all samples
    double downstream_count = 0.0;           ///< particles counted downstream in all samples
    std::vector<std::string> quality;        ///< verdicts on the data that failed: what, and what to do
    PenetrationIntervalSource interval_source = PenetrationIntervalSource::stated;   ///< what decided its width
    bool correlation_measured = false;       ///< false: correlation ratio taken as 1, or nothing to correlate
    double spread_half_width = 0.0;          ///< 95 %, from the spread between samples alone, as the standard combines it;
                                             ///< 0: fewer than two samples, or not from one series of counts
};

/// A size range whose penetration cannot be told.
struct UndeterminedRange {
    SizeRange range;      ///< of particle size
    std::string reason;   ///< why, and what to do
};

/// Penetration by particle size, smallest sizes first.
struct FractionalEfficiency {
    std::vector<SizeEfficiency> ranges;            ///< in ascending order, not overlapping
    std::vector<UndeterminedRange> undetermined;   ///< asked for but not determined
};

namespace detail {

/// A verdict on counts with the channels that it is said of.
struct QualityVerdict {
    std::string text;
    std::vector<SizeRange> ranges;
};

/// The verdicts on all channels, each once, in the order in which they come up.
template <Deferred...>
inline std::vector<QualityVerdict> quality_verdicts(const FractionalEfficiency& efficiency) {
    std::vector<QualityVerdict> all;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        for (const std::string& text : entry.quality) {
            std::size_t at = 0;
            while (at < all.size() && all[at].text != text) ++at;
            if (at == all.size()) all.push_back({text, {}});
            all[at].ranges.push_back(entry.range);
        }
    }
    return all;
}

/// The channels of a verdict: "0.3-0.4 um, 0.7-1 um", or "in every channel".
template <Deferred...>
inline std::string channels_words(const QualityVerdict& verdict, const FractionalEfficiency& efficiency) {
    if (verdict.ranges.size() > 1 && verdict.ranges.size() == efficiency.ranges.size()) return "in every channel";
    std::string words;
    for (const SizeRange& range : verdict.ranges) words += (words.empty() ? "" : ", ") + range_text(range);
    return words;
}

inline constexpr double normal_factor_95 = 1.959963984540054;   // normal quantile at 0.975

template <Deferred...>
inline void check(const FractionalEfficiency& efficiency, std::string_view where) {
    const SizeEfficiency* below = nullptr;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        check(entry.range, where);
        require_non_negative(where, "penetration in " + range_text(entry.range), entry.penetration.value, "-");
        require_non_negative(where, "lower end of the penetration's interval", entry.penetration_interval.lower, "-");
        require_finite(where, "upper end of the penetration's interval", entry.penetration_interval.upper, "-");
        if (below != nullptr && (below->range.open_above || entry.range.lower.value() <
                                                                below->range.upper.value() * (1.0 - 1e-3))) {
            throw DomainError(std::string(where) + ": the size ranges " + range_text(below->range) + " and " +
                              range_text(entry.range) + " overlap or are not in ascending order");
        }
        below = &entry;
    }
}

/// The ends of an interval about a value from the distances below and above it; not below zero.
inline Interval<double> penetration_limits(double value, double below, double above) {
    return {std::max(0.0, value - below), value + above};
}

}   // namespace detail

/// Efficiency that is stated, not measured, in one size range.
///
/// Equation: P = 1 - E
/// Symbols:  P penetration, E efficiency
/// Validity: efficiency from 0 to 1
/// @param  range  range of particle size
/// @param  efficiency  stated efficiency with its uncertainty [-], from 0 to 1
/// @return penetration in the range, interval from the standard uncertainty (normal, 95 %)
/// @throws DomainError if the range is not one or the efficiency is not from 0 to 1
/// @source definition; test: capture/fractional_efficiency_test.cpp
template <Deferred...>
inline SizeEfficiency stated_efficiency(const SizeRange& range, const Uncertain<double>& efficiency) {
    constexpr auto where = "stated_efficiency";
    detail::check(range, where);
    detail::require_between(where, "efficiency", efficiency.value, 0.0, 1.0, "-");
    SizeEfficiency result;
    result.range = range;
    result.penetration = Uncertain<double>(1.0) - efficiency;
    const double half = detail::normal_factor_95 * efficiency.standard_uncertainty();
    result.penetration_interval = detail::penetration_limits(result.penetration.value, half, half);
    return result;
}

/// Penetration of stages in series, in the ranges that every stage was measured in. Ranges that some stage lacks
/// are listed as undetermined.
///
/// Equation: P = prod_i P_i; distances of the interval's ends: (sum_i (P / P_i delta_i)^2)^(1/2)
/// Symbols:  P_i penetration of stage i, delta_i distance from P_i to its interval's end (for the upper and the
///           lower end in turn)
/// Validity: a stage's penetration does not change within a size range; where it does, what reaches the next stage
///           has another mean size than the test aerosol
/// @param  stages  upstream first, all with the same ranges; shape (n), n >= 1
/// @return penetration by size of the whole
/// @throws DomainError if there is no stage, or a stage's ranges overlap or are out of order
/// @source definition of penetration; test: capture/fractional_efficiency_test.cpp
template <Deferred...>
inline FractionalEfficiency in_series(std::span<const FractionalEfficiency> stages) {
    constexpr auto where = "in_series(FractionalEfficiency)";
    if (stages.empty()) detail::throw_domain_error(where, "number of stages", 0.0, "", ">= 1");
    for (const FractionalEfficiency& stage : stages) detail::check(stage, where);
    FractionalEfficiency whole;
    std::vector<SizeRange> seen;
    for (std::size_t s = 0; s < stages.size(); ++s) {
        for (const UndeterminedRange& range : stages[s].undetermined) {
            whole.undetermined.push_back({range.range, "stage " + std::to_string(s + 1) + ": " + range.reason});
        }
        for (const SizeEfficiency& entry : stages[s].ranges) {
            if (std::any_of(seen.begin(), seen.end(), [&](const SizeRange& r) { return same_range(r, entry.range); })) {
                continue;
            }
            seen.push_back(entry.range);
            std::vector<const SizeEfficiency*> found;
            std::string lacking;
            for (std::size_t i = 0; i < stages.size(); ++i) {
                const auto at = std::find_if(stages[i].ranges.begin(), stages[i].ranges.end(),
                                             [&](const SizeEfficiency& e) { return same_range(e.range, entry.range); });
                if (at != stages[i].ranges.end()) {
                    found.push_back(&*at);
                } else {
                    lacking += (lacking.empty() ? "" : ", ") + std::to_string(i + 1);
                }
            }
            if (!lacking.empty()) {
                whole.undetermined.push_back({entry.range, "not measured in stage " + lacking});
                continue;
            }
            SizeEfficiency product = *found.front();
            double below = 0.0;
            double above = 0.0;
            product.penetration = 1.0;
            for (const SizeEfficiency* e : found) product.penetration.value *= e->penetration.value;
            for (std::size_t i = 0; i < found.size(); ++i) {
                double others = 1.0;   // without division: a stage may let nothing through
                for (std::size_t j = 0; j < found.size(); ++j) {
                    if (j != i) others *= found[j]->penetration.value;
                }
                const SizeEfficiency& e = *found[i];
                product.penetration.gradient.add(e.penetration.gradient, others);
                const double down = others * (e.penetration.value - e.penetration_interval.lower);
                const double up = others * (e.penetration_interval.upper - e.penetration.value);
                below += down * down;
                above += up * up;
                if (i > 0) {
                    product.upstream_count = std::min(product.upstream_count, e.upstream_count);
                    product.downstream_count = std::min(product.downstream_count, e.downstream_count);
                    product.correlation_measured = product.correlation_measured && e.correlation_measured;
                    product.quality.insert(product.quality.end(), e.quality.begin(), e.quality.end());
                }
            }
            if (found.size() > 1) {
                product.interval_source = PenetrationIntervalSource::stated;
                product.spread_half_width = 0.0;
            }
            product.penetration_interval =
                detail::penetration_limits(product.penetration.value, std::sqrt(below), std::sqrt(above));
            whole.ranges.push_back(std::move(product));
        }
    }
    std::stable_sort(whole.ranges.begin(), whole.ranges.end(), [](const SizeEfficiency& a, const SizeEfficiency& b) {
        return a.range.lower < b.range.lower;
    });
    return whole;
}

/// Penetration of a filter with air passing beside it: the installed penetration.
///
/// Equation: P = f + (1 - f) P_filter
/// Symbols:  f bypass fraction of the flow, P_filter penetration of the filter
/// Validity: the bypass captures nothing
/// @param  efficiency  of the filter itself
/// @param  bypass_fraction  flow beside the filter over total flow [-], from 0 to 1
/// @return installed penetration by size; every range shares the bypass fraction's inputs
/// @throws DomainError if the fraction is not from 0 to 1, or the ranges overlap or are out of order
/// @source mixing of two streams; test: capture/fractional_efficiency_test.cpp
template <Deferred...>
inline FractionalEfficiency with_bypass(FractionalEfficiency efficiency, const Uncertain<double>& bypass_fraction) {
    constexpr auto where = "with_bypass(FractionalEfficiency)";
    detail::check(efficiency, where);
    const double f = detail::require_between(where, "bypass_fraction", bypass_fraction.value, 0.0, 1.0, "-");
    const double half = detail::normal_factor_95 * bypass_fraction.standard_uncertainty();
    for (SizeEfficiency& entry : efficiency.ranges) {
        const double filter = entry.penetration.value;
        Gradient gradient;
        gradient.add(entry.penetration.gradient, 1.0 - f);
        gradient.add(bypass_fraction.gradient, 1.0 - filter);
        entry.penetration = {f + (1.0 - f) * filter, std::move(gradient)};
        if (f > 0.0 || half > 0.0) {   // the interval is then that of no series of samples
            entry.interval_source = PenetrationIntervalSource::stated;
            entry.spread_half_width = 0.0;
        }
        const double bypass_part = (1.0 - filter) * half;
        entry.penetration_interval = detail::penetration_limits(
            entry.penetration.value, std::hypot((1.0 - f) * (filter - entry.penetration_interval.lower), bypass_part),
            std::hypot((1.0 - f) * (entry.penetration_interval.upper - filter), bypass_part));
    }
    return efficiency;
}

}   // namespace filterflow
