// SPDX-License-Identifier: BSL-1.0
#pragma once

// Share of a dust's mass that a filter removes, from its efficiency by size and the dust's size distribution.
// Sizes that were not measured are not extrapolated in silence: their share, the bounds they leave and the
// assumption behind the estimate come with the result.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/bounded_input.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// The dust whose removal is asked for.
struct DustOfInterest {
    SizeDistribution distribution;   ///< by volume; by mass, where all sizes have one density
    SizeRange sizes;                 ///< the part of it that counts; may be open above
    bool efficiency_rises_above_measured = false;   ///< stated: above the largest measured size the efficiency is
                                                    ///< not below that of the last range
    double greatest_efficiency = 1.0;   ///< of any size, 0 to 1: the share of the air that goes through a filter at all
};

/// Share of mass removed.
struct MassEfficiency {
    Uncertain<double> estimate;      ///< [-]; sizes not measured as the assumptions say, with an input of their own
    Interval<double> bounds;         ///< sizes not measured at their bounds, measured ones at their values
    double measured_share = 0.0;     ///< share of the mass of interest in ranges that were measured [-]
    std::vector<std::string> assumptions;   ///< what the estimate takes for sizes that were not measured
};

/// The mass of PM1 by the urban distribution: 0.3 to 1 um. As optical size; what a dust monitor calls PM1 also
/// holds what is smaller.
///
/// Equation: none
/// Symbols:  none
/// Validity: convention of ISO 16890-1
/// @return dust of interest
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: capture/mass_efficiency_test.cpp
template <Deferred...>
inline DustOfInterest urban_pm1() {
    return {.distribution = urban_distribution(), .sizes = {.lower = 0.3 * units::um, .upper = 1.0 * units::um}};
}

/// The mass of PM2.5 by the urban distribution: 0.3 to 2.5 um, as optical size. Cut at 2.5 um: the class of
/// ISO 16890 takes its eighth channel whole instead.
///
/// Equation: none
/// Symbols:  none
/// Validity: convention of ISO 16890-1
/// @return dust of interest
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: capture/mass_efficiency_test.cpp
template <Deferred...>
inline DustOfInterest urban_pm25() {
    return {.distribution = urban_distribution(), .sizes = {.lower = 0.3 * units::um, .upper = 2.5 * units::um}};
}

/// The mass of PM10 by the rural distribution: 0.3 to 10 um, as optical size.
///
/// Equation: none
/// Symbols:  none
/// Validity: convention of ISO 16890-1
/// @return dust of interest
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: capture/mass_efficiency_test.cpp
template <Deferred...>
inline DustOfInterest rural_pm10() {
    return {.distribution = rural_distribution(), .sizes = {.lower = 0.3 * units::um, .upper = 10 * units::um}};
}

/// All of a dust, of whatever size.
///
/// Equation: none
/// Symbols:  none
/// Validity: any distribution
/// @param  distribution  by volume
/// @return dust of interest
/// @throws nothing
/// @source definition; test: capture/mass_efficiency_test.cpp
template <Deferred...>
inline DustOfInterest whole_dust(const SizeDistribution& distribution) {
    return {.distribution = distribution, .sizes = sizes_above(0 * units::um)};
}

namespace detail {

/// The part of a range that lies in another; empty where upper <= lower.
template <Deferred...>
inline SizeRange overlap(const SizeRange& a, const SizeRange& b) {
    SizeRange part{.lower = std::max(a.lower, b.lower), .upper = {}, .open_above = a.open_above && b.open_above};
    if (!part.open_above) {
        part.upper = a.open_above ? b.upper : b.open_above ? a.upper : std::min(a.upper, b.upper);
    }
    return part;
}

template <Deferred...>
inline double share_within(const DustOfInterest& dust, const SizeRange& range) {
    const SizeRange part = overlap(dust.sizes, range);
    return part.open_above || part.upper > part.lower ? volume_fraction(dust.distribution, part) : 0.0;
}

template <Deferred...>
inline std::string share_text(double share) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f %%", 100.0 * share);
    for (char& c : text) {
        if (c == ',') c = '.';
    }
    return text;
}

/// Sizes between or beside the measured ranges: whose efficiency stands for them, and the bounds they leave.
struct SizesNotMeasured {
    SizeRange range;
    const SizeEfficiency* neighbour;
    double least_efficiency = 0.0;
    double greatest_efficiency = 1.0;
    std::string assumption;
};

/// Ranges come in order of size and do not overlap; the last may be open above.
template <Deferred...>
inline std::vector<SizesNotMeasured> sizes_not_measured(const std::vector<SizeEfficiency>& ranges,
                                                        const DustOfInterest& dust) {
    std::vector<SizesNotMeasured> gaps;
    const double most = dust.greatest_efficiency;
    const SizeEfficiency& first = ranges.front();
    if (first.range.lower.value() > 0.0) {
        gaps.push_back({{.lower = {}, .upper = first.range.lower, .open_above = false}, &first, 0.0, most,
                        "taken as in " + range_text(first.range)});
    }
    for (std::size_t i = 0; i + 1 < ranges.size(); ++i) {
        const SizeRange between{ranges[i].range.upper, ranges[i + 1].range.lower, false};
        if (between.upper > between.lower && !same_size(between.lower.value(), between.upper.value())) {
            gaps.push_back({between, &ranges[i], 0.0, most, "taken as in " + range_text(ranges[i].range)});
        }
    }
    const SizeEfficiency& last = ranges.back();
    const bool rises = dust.efficiency_rises_above_measured;
    gaps.push_back({sizes_above(last.range.open_above ? last.range.lower : last.range.upper), &last,
                    rises ? std::clamp(1.0 - last.penetration.value, 0.0, most) : 0.0, most,
                    "taken as " + std::string(last.range.open_above ? "" : "in ") + range_text(last.range) +
                        (last.range.open_above ? ", whose particles lie mostly at its lower end" : "") +
                        (rises ? ", and stated to be no lower" : "")});
    return gaps;
}

}   // namespace detail

/// Share of a dust's mass that a filter removes.
///
/// Equation: E = sum_i s_i (1 - P_i) / sum_i s_i over the sizes of interest
/// Symbols:  s_i volume fraction of the dust in range i, P_i penetration there
/// Validity: penetration constant within a range, one density for all sizes, optical size taken as the
///           distribution's. Sizes not measured take the efficiency of the nearest measured range in the estimate,
///           0 to 1 (or what the dust states as greatest) in the bounds (not below the last range above it, where that
///           is stated). The standard
///           uncertainty of such an efficiency is the greater distance from the estimate to a bound, over sqrt(3),
///           one input a gap: a rectangular distribution, as only bounds are known, about the estimate and wide
///           enough to reach the farther bound, so that an estimate off the middle is not taken as surer than it
///           is; Monte Carlo draws it between the bounds. A range that is open above gives the estimate there, but counts as not measured: its particles lie
///           mostly at its lower end, its mass higher up.
/// @param  efficiency  by size, at least one range
/// @param  dust  distribution and sizes of interest
/// @return estimate, bounds, share that was measured, assumptions in words
/// @throws DomainError if there is no range, ranges overlap, the distribution is not one, or it holds nothing
///         of the sizes of interest
/// @source definition of gravimetric efficiency; JCGM 100:2008, 4.3.7 for the bounds;
///         test: capture/mass_efficiency_test.cpp
template <Deferred...>
inline MassEfficiency mass_efficiency(const FractionalEfficiency& efficiency, const DustOfInterest& dust) {
    constexpr auto where = "mass_efficiency";
    detail::check(efficiency, where);
    detail::require_between(where, "greatest_efficiency", dust.greatest_efficiency, 0.0, 1.0, "-");
    const double total = volume_fraction(dust.distribution, dust.sizes);
    if (!(total > 1e-12)) {
        detail::throw_domain_error(where, "share of the dust in the sizes of interest", total, "-", "> 0");
    }
    if (efficiency.ranges.empty()) {
        throw DomainError(std::string(where) + ": no measured size range; required: at least one");
    }
    MassEfficiency result;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        if (entry.range.open_above) continue;
        const double share = detail::share_within(dust, entry.range) / total;
        result.estimate = result.estimate + scaled(Uncertain<double>(1.0) - entry.penetration, share);
        result.measured_share += share;
    }
    result.bounds = {result.estimate.value, result.estimate.value};
    for (const detail::SizesNotMeasured& gap : detail::sizes_not_measured(efficiency.ranges, dust)) {
        const double share = detail::share_within(dust, gap.range) / total;
        if (!(share > 1e-9)) continue;
        const double taken = 1.0 - gap.neighbour->penetration.value;
        result.estimate = result.estimate + scaled(Uncertain<double>(1.0) - gap.neighbour->penetration, share);
        const BoundedInput unknown{"efficiency not measured, " + range_text(gap.range), taken, gap.least_efficiency,
                                   gap.greatest_efficiency};
        result.estimate.gradient.add(Gradient(bounded_input(unknown)), share);
        result.bounds.lower += share * gap.least_efficiency;
        result.bounds.upper += share * gap.greatest_efficiency;
        result.assumptions.push_back(range_text(detail::overlap(dust.sizes, gap.range)) + ": " +
                                     detail::share_text(share) + " of the mass, not measured, " + gap.assumption);
    }
    return result;
}

}   // namespace filterflow
