// SPDX-License-Identifier: BSL-1.0
#pragma once

// What joint draws say of a choice between candidates: how often each takes each rank, what choosing it costs beyond
// the best of each draw, how often each limit holds.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/choice_draws.hpp>

namespace filterflow {

/// What the draws say of one candidate.
struct CandidateChances {
    std::vector<double> rank;           ///< probability of each rank, cheapest first; shape (candidates)
    double without_rank = 0.0;          ///< probability that it fails a limit, 0 to 1; with the ranks' they add up to 1
    std::vector<double> limits;         ///< probability that each limit holds, 0 to 1; shape (limits)
    double expected_cost = 0.0;         ///< mean over the draws [unit of the cost]
    double expected_regret = 0.0;       ///< mean of its cost less that of the cheapest, over the draws in which it
                                        ///< keeps to all limits, >= 0; 0 if there is none (`without_rank` is 1)
    double regret_standard_error = 0.0; ///< of that mean, by the number of draws, >= 0
};

/// What the draws say of all candidates.
struct ChoiceStatistics {
    std::vector<CandidateChances> candidates;   // in the order of the draws
    std::size_t draws = 0;                      ///< number of joint draws, >= 1
    double without_choice = 0.0;                ///< share of draws in which no candidate keeps to all limits, 0 to 1
};

/// Standard error of a probability that is a share of draws.
///
/// Equation: (p (1 - p)/n)^0.5
/// Symbols:  p probability, n number of draws
/// Validity: independent draws; of a share of 0 or 1 it says nothing (about 3/n is then its 95 % limit)
/// @param  probability  share of the draws [-], 0 to 1
/// @param  draws  number of draws, >= 1
/// @return standard error [-]
/// @throws DomainError outside the validity
/// @source binomial distribution; test: study/choice_statistics_test.cpp
template <Deferred...>
inline double share_standard_error(double probability, std::size_t draws) {
    constexpr auto where = "share_standard_error";
    const double p = detail::require_between(where, "probability", probability, 0.0, 1.0, "-");
    if (draws < 1) detail::throw_domain_error(where, "draws", 0.0, "", "at least 1");
    return std::sqrt(p * (1.0 - p) / static_cast<double>(draws));
}

namespace detail {

inline constexpr std::size_t choice_block = 256;   // draws looked at together
using ChoiceRow = std::array<double, choice_block>;

/// Counts of what happens to each candidate; whole numbers and sums in the order of the draws.
struct ChoiceCounts {
    template <Deferred...>
    explicit ChoiceCounts(std::size_t candidates, std::size_t limits)
        : shared_ranks(candidates * candidates, 0.0), ranks(candidates * candidates, 0), without_rank(candidates, 0),
          holds(candidates * limits, 0), regret(candidates, 0.0), squared_regret(candidates, 0.0) {}

    std::vector<double> shared_ranks;           // of equal costs
    std::vector<std::size_t> ranks;             // candidate by candidate
    std::vector<std::size_t> without_rank;
    std::vector<std::size_t> holds;             // candidate by candidate
    std::vector<double> regret, squared_regret;
    std::size_t without_choice = 0;
};

/// Ranks and regrets of a block of draws. What fails a limit has an infinite cost in `ranked`.
template <Deferred...>
inline void count_block(const CandidateDraws& cost, const std::vector<ChoiceRow>& ranked, std::size_t begin,
                        std::size_t count, ChoiceCounts& counts) {
    const std::size_t candidates = cost.candidates;
    constexpr double infinity = std::numeric_limits<double>::infinity();
    ChoiceRow least;
    least.fill(infinity);
    for (const ChoiceRow& row : ranked) {
        for (std::size_t i = 0; i < choice_block; ++i) least[i] = row[i] < least[i] ? row[i] : least[i];
    }
    for (std::size_t i = 0; i < count; ++i) counts.without_choice += least[i] == infinity;
    for (std::size_t k = 0; k < candidates; ++k) {
        ChoiceRow below{}, equal{};   // how many others cost less, or the same
        for (const ChoiceRow& other : ranked) {
            for (std::size_t i = 0; i < choice_block; ++i) {
                below[i] += other[i] < ranked[k][i] ? 1.0 : 0.0;
                equal[i] += other[i] == ranked[k][i] ? 1.0 : 0.0;
            }
        }
        const std::span<const double> own = cost.of(k).subspan(begin, count);
        for (std::size_t i = 0; i < count; ++i) {
            if (ranked[k][i] == infinity) {
                ++counts.without_rank[k];
                continue;   // being cheaper by failing a limit is no merit
            }
            if (equal[i] == 1.0) {
                ++counts.ranks[k * candidates + static_cast<std::size_t>(below[i])];
            } else {
                const std::size_t first = static_cast<std::size_t>(below[i]);
                for (std::size_t r = first; r < first + static_cast<std::size_t>(equal[i]); ++r) {
                    counts.shared_ranks[k * candidates + r] += 1.0 / equal[i];
                }
            }
            const double regret = own[i] - least[i];
            counts.regret[k] += regret;
            counts.squared_regret[k] += regret * regret;
        }
    }
}

}   // namespace detail

/// Chances of candidates by joint draws of their yearly cost and of their margins to limits.
///
/// Equation: rank in a draw: one more than the number of cheaper candidates that keep to all limits; regret: cost less
///           that of the cheapest that does, in draws in which the candidate does itself
/// Symbols:  none
/// Validity: the draws of all candidates belong together (they share prices, dust, instruments). Equal costs share
///           their ranks evenly. Regrets of candidates that fail limits in many draws rest on different draws: read
///           them with `without_rank`. Draws in which no candidate keeps to all limits are counted apart
/// @param  cost  yearly costs, or whatever is to be small
/// @param  limits  margins to each limit, >= 0 where it holds; may be empty
/// @return chances of each candidate
/// @throws DomainError if shapes differ, there is no draw or a number is not finite
/// @source regret: Savage 1951, J. Am. Stat. Assoc. 46:55 (from memory), its mean over the draws; test:
///         study/choice_statistics_test.cpp
template <Deferred...>
inline ChoiceStatistics choice_statistics(const CandidateDraws& cost, std::span<const LimitDraws> limits = {}) {
    constexpr auto where = "choice_statistics";
    const std::size_t candidates = cost.candidates;
    const std::size_t n = detail::require_draws_of(where, "cost", cost, candidates);
    for (const LimitDraws& limit : limits) {
        detail::require_draws_of(where, "limit " + limit.name, limit.margins, candidates, n);
    }
    detail::ChoiceCounts counts(candidates, limits.size());
    std::vector<detail::ChoiceRow> ranked(candidates);
    for (std::size_t begin = 0; begin < n; begin += detail::choice_block) {
        const std::size_t count = std::min(detail::choice_block, n - begin);
        for (std::size_t k = 0; k < candidates; ++k) {
            ranked[k].fill(std::numeric_limits<double>::infinity());
            std::copy_n(cost.of(k).begin() + static_cast<std::ptrdiff_t>(begin), count, ranked[k].begin());
            for (std::size_t l = 0; l < limits.size(); ++l) {
                const std::span<const double> margins = limits[l].margins.of(k).subspan(begin, count);
                std::size_t held = 0;
                for (std::size_t i = 0; i < count; ++i) {
                    const bool holds = margins[i] >= 0.0;
                    held += holds;
                    ranked[k][i] = holds ? ranked[k][i] : std::numeric_limits<double>::infinity();
                }
                counts.holds[k * limits.size() + l] += held;
            }
        }
        detail::count_block(cost, ranked, begin, count, counts);
    }
    const double total = static_cast<double>(n);
    ChoiceStatistics statistics;
    statistics.draws = n;
    statistics.without_choice = static_cast<double>(counts.without_choice) / total;
    for (std::size_t k = 0; k < candidates; ++k) {
        CandidateChances chances;
        for (std::size_t r = 0; r < candidates; ++r) {
            const std::size_t at = k * candidates + r;
            chances.rank.push_back((static_cast<double>(counts.ranks[at]) + counts.shared_ranks[at]) / total);
        }
        chances.without_rank = static_cast<double>(counts.without_rank[k]) / total;
        for (std::size_t l = 0; l < limits.size(); ++l) {
            chances.limits.push_back(static_cast<double>(counts.holds[k * limits.size() + l]) / total);
        }
        chances.expected_cost = detail::mean_of_draws(cost.of(k));
        const double with_rank = total - static_cast<double>(counts.without_rank[k]);
        if (with_rank > 0.0) chances.expected_regret = counts.regret[k] / with_rank;
        if (with_rank > 1.0) {
            const double squares =
                counts.squared_regret[k] - with_rank * chances.expected_regret * chances.expected_regret;
            chances.regret_standard_error = std::sqrt(std::max(0.0, squares) / (with_rank - 1.0) / with_rank);
        }
        statistics.candidates.push_back(std::move(chances));
    }
    return statistics;
}

}   // namespace filterflow
