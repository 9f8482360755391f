// SPDX-License-Identifier: BSL-1.0
#pragma once

// Probabilities of classes by drawing efficiencies: from whatever a callable draws, or from measured replicates by
// the bootstrap. For curves that lie within their uncertainties and for few counts, where first order does not hold.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>
#include <filterflow/rating/particulate_matter_weights.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

namespace filterflow {

/// Shares of the draws in each class; classes that no draw met are left out. A share p has the standard uncertainty
/// (p (1 - p) / draws)^(1/2).
struct SampledRatings {
    std::vector<ClassProbability> minimum_efficiency;   ///< lowest first; "1 to 4" where arrestance was not drawn
    std::vector<ClassProbability> particulate_matter;   ///< lowest first
    std::size_t draws = 0;                              ///< number of draws, >= 1
};

/// Replicate curves of one filter, as sets of samples upstream and downstream gave them one by one.
struct ReplicateCurves {
    std::vector<TwelveEfficiencies> untreated;     ///< as delivered; shape (n), n >= 2
    std::vector<TwelveEfficiencies> conditioned;   ///< after discharging; shape (m), m >= 2
};

namespace detail {

/// How often each class was met, in arrays of fixed size.
class ClassCounts {
public:
    void add(const TwelveSizeRatings& r) {
        ++values_[r.lowest_value == r.highest_value ? static_cast<std::size_t>(r.lowest_value) : 0];
        // A value below 5 % counts with 0 %: efficiencies below zero are noise.
        const int step = r.percent ? (*r.percent < 0 ? 0 : *r.percent / 5) : 21;
        ++classes_[static_cast<std::size_t>(r.group)][static_cast<std::size_t>(step)];
    }
    SampledRatings finish(std::size_t draws) const {
        SampledRatings result;
        result.draws = draws;
        const auto share = [&](std::size_t count) { return static_cast<double>(count) / static_cast<double>(draws); };
        for (std::size_t v = 0; v < values_.size(); ++v) {
            if (values_[v] > 0) {
                result.minimum_efficiency.push_back({v == 0 ? "1 to 4" : std::to_string(v), share(values_[v])});
            }
        }
        for (std::size_t g = 0; g < classes_.size(); ++g) {
            for (std::size_t s = 0; s < classes_[g].size(); ++s) {
                if (classes_[g][s] == 0) continue;
                const auto group = static_cast<ParticulateMatterGroup>(g);
                result.particulate_matter.push_back(
                    {s == 21 ? coarse_without_arrestance() : class_name(group, 5 * static_cast<int>(s)),
                     share(classes_[g][s])});
            }
        }
        return result;
    }

private:
    std::array<std::size_t, 17> values_{};
    std::array<std::array<std::size_t, 22>, 4> classes_{};
};

/// Mean of as many curves as there are, drawn with replacement; two indices from each 64 random bits.
template <class Random>
void resampled_mean(std::span<const TwelveEfficiencies> curves, Random& random, TwelveEfficiencies& mean) {
    const std::uint64_t n = curves.size();
    TwelveEfficiencies sum{};
    std::uint64_t bits = 0;
    for (std::uint64_t k = 0; k < n; ++k) {
        bits = k % 2 == 0 ? random() : bits >> 32;
        const TwelveEfficiencies& drawn = curves[((bits & 0xffffffffu) * n) >> 32];
        for (std::size_t i = 0; i < 12; ++i) sum[i] += drawn[i];
    }
    const double share = 1.0 / static_cast<double>(n);
    for (std::size_t i = 0; i < 12; ++i) mean[i] = share * sum[i];
}

}   // namespace detail

/// Shares of both ratings among curves that a callable draws.
///
/// Equation: share of a class = draws in it / draws
/// Symbols:  none
/// Validity: as what draws them; arrays of fixed size, nothing is allocated for a draw
/// @param  draw  callable without arguments that returns TwelveSizeCurves, called once a draw
/// @param  draws  number of draws, >= 1
/// @param  rules  edition, rounding and channel
/// @return share of each class
/// @throws DomainError if draws is 0 or a drawn efficiency is not finite
/// @source JCGM 101:2008, 5.9 (propagation by drawing); test: rating/sampled_ratings_test.cpp
template <class Draw>
SampledRatings sampled_ratings(Draw&& draw, std::size_t draws, const RatingRules& rules = {}) {
    constexpr auto where = "sampled_ratings";
    if (draws == 0) detail::throw_domain_error(where, "draws", 0.0, "", ">= 1");
    const auto& weights = detail::weight_table(rules.particulate_matter);
    detail::ClassCounts counts;
    for (std::size_t n = 0; n < draws; ++n) {
        const TwelveSizeCurves curves = draw();
        double sum = 0.0;   // finite if every efficiency is
        for (std::size_t i = 0; i < 12; ++i) {
            sum += std::abs(curves.composite[i]) + std::abs(curves.untreated[i]) + std::abs(curves.conditioned[i]);
        }
        detail::require_finite(where, "sum of a draw's efficiencies", sum, "-");
        counts.add(detail::twelve_size_ratings(curves, rules.minimum_efficiency, weights));
    }
    return counts.finish(draws);
}

/// Shares of both ratings among bootstrap means of replicate curves: each state's replicates drawn with replacement,
/// as many as there are, and averaged; the composite minimum is the lower of both states in each range.
///
/// Equation: E_i = sum over the drawn replicates of E_i,k / n
/// Symbols:  E_i,k efficiency of replicate k in range i, n number of replicates
/// Validity: replicates independent of each other and alike. Of few replicates the bootstrap is too narrow, by about
///           ((n - 1) / n)^(1/2), and what they share (a calibration) it does not see.
///           The discharged state is a step of ISO 16890: 52.2 has other steps, so its part shows what may be left of a
///           charge, and is that edition's value only of a filter without one
/// @param  replicates  of both states
/// @param  draws  number of draws, >= 1
/// @param  seed  of the random numbers; the same seed draws the same
/// @param  rules  edition, rounding and channel
/// @return share of each class
/// @throws DomainError if a state has less than two replicates, an efficiency is not finite, or draws is 0
/// @source Efron's bootstrap (1979, from memory); test: rating/sampled_ratings_test.cpp
inline SampledRatings bootstrap_ratings(const ReplicateCurves& replicates, std::size_t draws, std::uint64_t seed,
                                        const RatingRules& rules = {}) {
    constexpr auto where = "bootstrap_ratings";
    for (const auto* state : {&replicates.untreated, &replicates.conditioned}) {
        if (state->size() < 2) {
            detail::throw_domain_error(where, "number of replicates", static_cast<double>(state->size()), "", ">= 2");
        }
    }
    std::mt19937_64 random(seed);
    return sampled_ratings(
        [&] {
            TwelveSizeCurves curves;
            detail::resampled_mean(replicates.untreated, random, curves.untreated);
            detail::resampled_mean(replicates.conditioned, random, curves.conditioned);
            curves.composite = composite_minimum(curves.untreated, curves.conditioned);
            return curves;
        },
        draws, rules);
}

}   // namespace filterflow
