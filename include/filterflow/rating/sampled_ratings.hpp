// SPDX-License-Identifier: BSL-1.0
#pragma once

// Probabilities of classes by drawing efficiencies: from whatever a callable draws, or from measured replicates by
// the bootstrap. For curves that lie within their uncertainties and for few counts, where first order does not hold.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/loading_test_conditions.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>
#include <filterflow/rating/resampler.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

namespace filterflow {

/// Shares of the draws in each class; classes that no draw met are left out. A share p has the standard uncertainty
/// (p (1 - p) / draws)^(1/2).
struct SampledRatings {
    std::vector<ClassProbability> minimum_efficiency;   ///< lowest first; "1 to 4" where arrestance was not drawn
    std::vector<ClassProbability> particulate_matter;   ///< lowest first; empty: the discharged state is missing
    std::size_t draws = 0;                              ///< number of draws, >= 1
    RatingRules rules;                                  ///< by which the classes were told
    std::vector<std::string> missing;                   ///< states that a standard asks for and that were not given
    bool upper_bound = false;   ///< of minimum_efficiency: a state that ANSI/ASHRAE 52.2 asks for was not given
};

/// Replicate curves of one filter in the states that the standards ask for, as sets of samples upstream and downstream
/// gave them one by one. Both standards take the filter as delivered; no other state of one is a state of the other. A
/// state that was not measured stays empty.
struct ReplicateCurves {
    std::vector<TwelveEfficiencies> untreated;          ///< as delivered, both standards; shape (n), n >= 2
    std::vector<TwelveEfficiencies> discharged;         ///< ISO 16890: after conditioning; shape (m), m >= 2
    std::vector<TwelveEfficiencies> dust_conditioned;   ///< ANSI/ASHRAE 52.2: after its conditioning step
    std::vector<std::vector<TwelveEfficiencies>> loaded;   ///< ANSI/ASHRAE 52.2: at 25, 50, 75 and 100 % of the
                                                           ///< resistance's rise; at most four
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
    template <Deferred...>
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

/// What a resample is to bootstrap_ratings: twelve efficiencies and what follows from them linearly, the fractions of
/// particulate matter; the last column is padding.
using RatedRow = std::array<double, 16>;
using FractionRow = std::array<double, 4>;

template <Deferred...>
inline void check_replicates(const std::vector<TwelveEfficiencies>& state, const char* name) {
    constexpr auto where = "bootstrap_ratings";
    if (state.size() < 2) {
        throw_domain_error(where, std::string("number of replicates, ") + name, static_cast<double>(state.size()), "",
                           ">= 2");
    }
    for (const TwelveEfficiencies& curve : state) {
        for (const double e : curve) require_finite(where, std::string("efficiency, ") + name, e, "-");
    }
}

template <Deferred...>
inline void check(const ReplicateCurves& replicates) {
    check_replicates(replicates.untreated, "untreated");
    if (!replicates.discharged.empty()) check_replicates(replicates.discharged, "discharged");
    if (!replicates.dust_conditioned.empty()) check_replicates(replicates.dust_conditioned, "dust_conditioned");
    if (replicates.loaded.size() > 4) {
        throw_domain_error("bootstrap_ratings", "number of loaded states", static_cast<double>(replicates.loaded.size()),
                           "", "at most 4: at 25, 50, 75 and 100 % of the rise");
    }
    for (const auto& state : replicates.loaded) check_replicates(state, "loaded");
}

template <Deferred...>
inline std::vector<RatedRow> rated_rows(const std::vector<TwelveEfficiencies>& curves,
                                        const std::array<std::array<double, 12>, 3>& weights) {
    std::vector<RatedRow> rows;
    for (const TwelveEfficiencies& curve : curves) {
        RatedRow row{};
        const std::array<double, 3> fractions = fractions_of(curve, weights);
        std::copy(curve.begin(), curve.end(), row.begin());
        std::copy(fractions.begin(), fractions.end(), row.begin() + 12);
        rows.push_back(row);
    }
    return rows;
}

template <Deferred...>
inline std::vector<FractionRow> fraction_rows(const std::vector<TwelveEfficiencies>& curves,
                                              const std::array<std::array<double, 12>, 3>& weights) {
    std::vector<FractionRow> rows;
    for (const TwelveEfficiencies& curve : curves) {
        const std::array<double, 3> fractions = fractions_of(curve, weights);
        rows.push_back({fractions[0], fractions[1], fractions[2], 0.0});
    }
    return rows;
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
    SampledRatings result = counts.finish(draws);
    result.rules = rules;
    return result;
}

/// Shares of both ratings among bootstrap means of replicate curves: each state's replicates drawn with replacement,
/// as many as there are, and averaged. Each standard takes its own states: ANSI/ASHRAE 52.2 the lowest in each range of
/// untreated, conditioned by dust and loaded, ISO 16890 untreated and discharged.
///
/// Equation: E_i = sum over the drawn replicates of E_i,k / n
/// Symbols:  E_i,k efficiency of replicate k in range i, n number of replicates
/// Validity: replicates independent of each other and alike. Of few replicates the bootstrap is too narrow, by about
///           ((n - 1) / n)^(1/2), and what they share (a calibration) it does not see. Where states of 52.2 are missing
///           its values are upper bounds; without the discharged state there is no class of ISO 16890. Both are said
/// @param  replicates  of the states that were measured
/// @param  draws  number of draws, >= 1
/// @param  seed  of the random numbers; the same seed draws the same
/// @param  rules  edition, rounding and channel
/// @return share of each class, and what is missing
/// @throws DomainError if the untreated or a given state has less than two replicates, there are more than four loaded
///         states, an efficiency is not finite, or draws is 0
/// @source Efron's bootstrap (1979, from memory); test: rating/sampled_ratings_test.cpp
template <Deferred...>
inline SampledRatings bootstrap_ratings(const ReplicateCurves& replicates, std::size_t draws, std::uint64_t seed,
                                        const RatingRules& rules = {}) {
    if (draws == 0) detail::throw_domain_error("bootstrap_ratings", "draws", 0.0, "", ">= 1");
    detail::check(replicates);
    const auto& weights = detail::weight_table(rules.particulate_matter);
    const detail::Resampler<16> untreated(detail::rated_rows(replicates.untreated, weights));
    std::optional<detail::Resampler<4>> discharged;
    if (!replicates.discharged.empty()) discharged.emplace(detail::fraction_rows(replicates.discharged, weights));
    std::vector<detail::Resampler<12>> worn;
    if (!replicates.dust_conditioned.empty()) worn.emplace_back(replicates.dust_conditioned);
    for (const auto& state : replicates.loaded) worn.emplace_back(state);

    detail::HalfWords bits(seed);
    detail::ClassCounts counts;
    detail::RatedRow clean;
    detail::FractionRow after;
    TwelveEfficiencies lowest, other;
    for (std::size_t n = 0; n < draws; ++n) {
        TwelveSizeRatings ratings;
        untreated.draw(bits, clean);
        std::copy_n(clean.begin(), 12, lowest.begin());
        for (const detail::Resampler<12>& state : worn) {
            state.draw(bits, other);
            for (std::size_t i = 0; i < 12; ++i) lowest[i] = std::min(lowest[i], other[i]);
        }
        detail::rate_minimum_efficiency(ratings, minimum_efficiency_averages(lowest), std::nullopt,
                                        rules.minimum_efficiency);
        if (discharged) {
            discharged->draw(bits, after);
            detail::rate_particulate_matter(ratings, {clean[12], clean[13], clean[14]}, {after[0], after[1], after[2]},
                                            std::nullopt);
        }
        counts.add(ratings);
    }
    SampledRatings result = counts.finish(draws);
    result.rules = rules;
    if (replicates.dust_conditioned.empty()) result.missing.push_back(detail::conditioned_curve_missing());
    if (replicates.loaded.size() < 4) {
        result.missing.push_back(detail::loaded_curves_missing(replicates.loaded.size()));
    }
    result.upper_bound = !result.missing.empty();
    if (!discharged) {
        result.particulate_matter.clear();
        result.missing.push_back(detail::discharged_state_missing());
    }
    return result;
}

}   // namespace filterflow
