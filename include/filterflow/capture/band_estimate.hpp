// SPDX-License-Identifier: BSL-1.0
#pragma once

// From the few bands of a simple counter to the average efficiencies E1, E2, E3 of the standards: curves that a prior
// allows are weighted by how well they give the bands as measured. What comes out is as wide as what is not known.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/capture/band_draws.hpp>
#include <filterflow/capture/data_quality.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/tail_probability.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// One set of averages that prior and bands allow, with its weight.
struct WeightedAverages {
    std::array<double, 3> efficiency{};   ///< E1, E2, E3 [-]
    double weight = 0.0;                  ///< > 0; all weights sum to one
    std::array<double, 3> matter{};               ///< efficiency for PM1, PM2.5, PM10 as delivered [-]
    std::array<double, 3> matter_discharged{};    ///< the same once the fibres' charge is gone [-]
};

/// One average efficiency as it is known.
struct EstimatedAverage {
    double median = 0.0;           ///< as likely above as below [-]
    Interval<double> interval;     ///< 95 %
    Interval<double> before;       ///< 95 %, of the prior alone: what the bands add shows in the difference
};

/// How much a kind of medium is favoured by the bands.
struct KindShare {
    std::string name;      ///< kind of medium
    double share = 0.0;    ///< probability after the bands [-]
};

/// What the bands of a counter and a prior say of E1, E2, E3.
struct BandEstimate {
    std::optional<std::array<EstimatedAverage, 3>> averages;   ///< E1, E2, E3; empty: refused
    std::string refused;                     ///< why there is no estimate, and what would help
    std::vector<WeightedAverages> draws;     ///< that the estimate is made of, unordered; empty: refused
    std::vector<KindShare> kinds;            ///< in the prior's order
    double effective_media = 0.0;            ///< number of equally weighted media that would say as much
    double least_misfit = 0.0;               ///< chi-squared of the draw that comes closest to the bands, >= 0
    std::vector<std::string> rests_on;       ///< what is assumed, in words
};

namespace detail {

/// Smallest value with at least a share of the weight at or below it; values sorted.
template <Deferred...>
inline double weighted_quantile(const std::vector<std::pair<double, double>>& sorted, double total, double share) {
    double below = 0.0;
    for (const auto& [value, weight] : sorted) {
        below += weight;
        if (below >= share * total) return value;
    }
    return sorted.back().first;
}

template <Deferred...>
inline EstimatedAverage estimated_average(const std::vector<WeightedAverages>& draws, std::size_t group) {
    std::vector<std::pair<double, double>> sorted;
    double total = 0.0;
    for (const WeightedAverages& draw : draws) {
        sorted.emplace_back(draw.efficiency[group], draw.weight);
        total += draw.weight;
    }
    std::sort(sorted.begin(), sorted.end());
    EstimatedAverage result;
    result.median = weighted_quantile(sorted, total, 0.5);
    result.interval = {weighted_quantile(sorted, total, 0.025), weighted_quantile(sorted, total, 0.975)};
    return result;
}

template <Deferred...>
inline Interval<double> prior_interval(const BandDraws& draws, std::size_t group) {
    std::vector<double> values;
    values.reserve(draws.averages.size());
    for (const auto& averages : draws.averages) values.push_back(averages[group]);
    const auto at = [&](double share) {
        const auto place = values.begin() +
                           static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
        std::nth_element(values.begin(), place, values.end());
        return *place;
    };
    return {at(0.025), at(0.975)};
}

/// A band as measured: value and the standard uncertainties on both sides of it.
struct MeasuredBand {
    double penetration;
    double below;
    double above;

    double squared_distance(double other) const {
        const double z = (other - penetration) / (other > penetration ? above : below);
        return other == penetration ? 0.0 : z * z;
    }
};

/// From counts, with a correlation ratio taken as 1.
inline bool correlation_assumed(const SizeEfficiency& e) { return !e.correlation_measured && e.upstream_count > 0.0; }

template <Deferred...>
inline std::vector<MeasuredBand> measured_bands(const FractionalEfficiency& efficiency, const BandDraws& draws,
                                                std::string_view where) {
    std::vector<MeasuredBand> measured;
    for (const SizeRange& band : draws.bands) {
        const auto at = std::find_if(efficiency.ranges.begin(), efficiency.ranges.end(),
                                     [&](const SizeEfficiency& e) { return same_range(e.range, band); });
        if (at == efficiency.ranges.end()) {
            throw DomainError(std::string(where) + ": no efficiency in the band " + range_text(band) +
                              "; required: every band that the draws were made for");
        }
        const double value = at->penetration.value;
        const Interval<double>& limits = at->penetration_interval;
        if (!(limits.upper > value)) {
            throw_domain_error(where, "upper end of the penetration's interval in " + range_text(band), limits.upper, "-",
                               "> penetration, " + number_text(value));
        }
        // A ratio that was not measured may be anywhere in what a standard allows it: a rectangular distribution.
        const bool assumed = correlation_assumed(*at);
        const double unmeasured =
            assumed ? value * count_quality_limits(band).correlation_deviation / std::sqrt(3.0) : 0.0;
        const double above = std::hypot((limits.upper - value) / normal_factor_95, unmeasured);
        // An interval that zero cuts off says nothing of how the value may lie below.
        const double below =
            limits.lower > 0.0 ? std::hypot((value - limits.lower) / normal_factor_95, unmeasured) : above;
        measured.push_back({value, require_positive(where, "distance to the interval's lower end", below, "-"), above});
    }
    return measured;
}

inline constexpr double least_effective_media = 30.0;
inline constexpr double least_misfit_probability = 0.01;

}   // namespace detail

/// Average efficiencies E1, E2, E3 from the bands of a simple counter and a prior, with intervals as wide as what is
/// not known; or the reason why there is no such estimate.
///
/// Equation: weight of a draw ~ exp(-sum_b z_b^2/2), z_b = (P_b of the draw - P_b measured)/u_b; medians and quantiles
///           of the weighted draws
/// Symbols:  P_b penetration of band b, u_b its standard uncertainty: the distance to the end of the 95 % interval on
///           the draw's side over 1.96; with a correlation ratio that was not measured, P_b times the deviation that
///           the standard allows it, over 3^(1/2), in quadrature
/// Validity: the filter is of one of the prior's kinds, measured new and clean; errors of different bands independent.
///           Refused where no draw comes near the bands (chi-squared beyond chance at 1 %), where a band measured more
///           downstream than upstream beyond noise, or where fewer than 30 media carry the weight.
/// @param  efficiency  with every band of the draws
/// @param  draws  of the prior for the counter's bands
/// @return the estimate
/// @throws DomainError if a band is missing, ranges overlap, or a penetration has no interval
/// @source Bayes' rule by weighted draws (importance sampling, Robert and Casella 2004, section 3.3, from memory);
///         test: capture/band_estimate_test.cpp
template <Deferred...>
inline BandEstimate estimate_from_bands(const FractionalEfficiency& efficiency, const BandDraws& draws) {
    constexpr auto where = "estimate_from_bands";
    detail::check(efficiency, where);
    const std::size_t bands = draws.bands.size();
    if (bands == 0 || draws.averages.empty() || draws.penetration.size() != bands * draws.averages.size() ||
        draws.draws_per_medium * draws.kind_of_medium.size() != draws.averages.size() ||
        draws.matter.size() != draws.averages.size() || draws.matter_discharged.size() != draws.averages.size()) {
        throw DomainError(std::string(where) + ": the draws do not fit together; required: as band_draws makes them");
    }
    const std::vector<detail::MeasuredBand> measured = detail::measured_bands(efficiency, draws, where);
    BandEstimate result;
    result.rests_on = {"prior: " + draws.source,
                       "a new, clean filter: neither conditioning nor loading, which may lower it",
                       "errors of the bands independent of each other; particles with the charges of equilibrium"};
    for (const SizeRange& band : draws.bands) {
        const auto at = std::find_if(efficiency.ranges.begin(), efficiency.ranges.end(),
                                     [&](const SizeEfficiency& e) { return same_range(e.range, band); });
        if (detail::correlation_assumed(*at)) {
            result.rests_on.push_back(
                "correlation ratio in " + range_text(band) + " not measured, taken as 1 -+ " +
                detail::two_digits(detail::count_quality_limits(band).correlation_deviation) +
                "; samples without a filter would narrow the estimate");
        }
    }
    std::vector<double> misfit(draws.averages.size());
    for (std::size_t i = 0; i < misfit.size(); ++i) {
        for (std::size_t b = 0; b < bands; ++b) {
            misfit[i] += measured[b].squared_distance(draws.penetration[i * bands + b]);
        }
    }
    result.least_misfit = *std::min_element(misfit.begin(), misfit.end());
    if (!(chi_squared_exceedance(std::min(result.least_misfit, 1e6), bands) >= detail::least_misfit_probability)) {
        result.refused = "no medium of the prior gives these bands (closest: chi-squared " +
                         detail::number_text(result.least_misfit) +
                         "); look for a leak, swapped samples or a wrong threshold, or widen the prior";
        return result;
    }
    double total = 0.0;
    double squares = 0.0;
    std::vector<double> by_kind(draws.kinds.size(), 0.0);
    for (std::size_t m = 0; m < draws.kind_of_medium.size(); ++m) {
        double of_medium = 0.0;
        for (std::size_t i = m * draws.draws_per_medium; i < (m + 1) * draws.draws_per_medium; ++i) {
            const double weight = std::exp(-0.5 * (misfit[i] - result.least_misfit));
            if (!(weight > 1e-9)) continue;
            result.draws.push_back({draws.averages[i], weight, draws.matter[i], draws.matter_discharged[i]});
            of_medium += weight;
        }
        total += of_medium;
        squares += of_medium * of_medium;
        by_kind[draws.kind_of_medium[m]] += of_medium;
    }
    result.effective_media = total * total / squares;
    if (result.effective_media < detail::least_effective_media) {
        result.draws.clear();
        result.refused = "the bands are sharper than the prior's draws: only " +
                         detail::number_text(std::floor(result.effective_media)) +
                         " media carry the estimate, 30 wanted; draw more media, or widen the prior near the bands";
        return result;
    }
    for (WeightedAverages& draw : result.draws) draw.weight /= total;
    std::array<EstimatedAverage, 3> averages;
    for (std::size_t g = 0; g < 3; ++g) {
        averages[g] = detail::estimated_average(result.draws, g);
        averages[g].before = detail::prior_interval(draws, g);
    }
    result.averages = averages;
    for (std::size_t k = 0; k < by_kind.size(); ++k) result.kinds.push_back({draws.kinds[k], by_kind[k] / total});
    return result;
}

}   // namespace filterflow
