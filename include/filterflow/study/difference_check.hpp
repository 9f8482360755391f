// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether draws tell two candidates' costs apart, and whether the study says the same of them: to first order, or by
// the interval that it found for their difference. Ties and the recommendation rest on differences, whose intervals may be
// lopsided where those of the costs are not.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include <filterflow/capture/counting_intervals.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/monte_carlo.hpp>
#include <filterflow/study/covered_figure.hpp>

namespace filterflow {

/// Least number of draws from which intervals are compared and measurements weighed.
inline constexpr std::size_t least_draws_to_judge = 1000;

/// Whether draws tell two figures apart.
enum class DrawnTie {
    apart,      ///< zero is outside the interval of the difference
    tied,       ///< zero is inside
    not_told    ///< the draws were too few to say
};

/// The difference of two candidates' costs, by the study (first order, or an interval of its own) and by draws.
struct DifferenceCheck {
    std::size_t candidate = 0, other = 0;   ///< indices among the study's candidates
    double cheaper_share = 0.0;             ///< of the draws in which the candidate costs less than the other, 0 to 1
    bool tied_by_first_order = false;       ///< zero is in the study's interval of the difference
    DrawnTie by_draws = DrawnTie::not_told;
    Interval<double> first_order;           ///< of the candidate's cost less the other's [unit of the cost]
    Interval<double> drawn;                 // the same by draws, as probable on each side
    std::optional<FirstOrderCheck> check;   // end by end; absent with too few draws

    /// Whether the draws say the opposite of the study.
    bool contradicts() const {
        return by_draws != DrawnTie::not_told && (by_draws == DrawnTie::tied) != tied_by_first_order;
    }
};

namespace detail {

/// Draws as a Monte Carlo result, with doubts from ten sequences.
template <Deferred...>
inline MonteCarloResult result_of_draws(std::span<const double> draws, double probability) {
    constexpr std::size_t sequences = 10;
    MonteCarloOptions options;
    options.probability = probability;
    MonteCarloResult result;
    result.probability = probability;
    result.values.assign(draws.begin(), draws.end());
    SequenceFigures figures;
    for (std::size_t s = 0; s < sequences; ++s) {
        const std::size_t begin = s * draws.size() / sequences, end = (s + 1) * draws.size() / sequences;
        figures.add(std::span(result.values).subspan(begin, end - begin), options);
    }
    result.estimate = figures.mean;
    result.standard_uncertainty = figures.standard_uncertainty();
    result.estimate_doubt = doubt_of(figures.estimates);
    result.uncertainty_doubt = doubt_of(figures.uncertainties);
    result.end_doubts = {doubt_of(figures.lowers), doubt_of(figures.uppers)};
    std::sort(result.values.begin(), result.values.end());
    result.symmetric = symmetric_interval(result.values, probability);
    result.shortest = shortest_interval(result.values, probability);
    return result;
}

/// The interval that a study states of a figure against draws, to one digit of its uncertainty.
template <Deferred...>
inline FirstOrderCheck check_figure(const CoveredUncertain<double>& figure, const MonteCarloResult& drawn) {
    constexpr int digits = 1;
    const Interval<double> stated = coverage_interval(figure, drawn.probability);
    const double u = figure.covering ? 0.5 * (stated.upper - stated.lower) /
                                           coverage_factor(std::numeric_limits<double>::infinity(), drawn.probability)
                                     : figure.standard_uncertainty();
    const double exact = 1e-9 * std::abs(figure.value);   // of a figure that does not vary, rounding is left
    const double tolerance = std::max(exact, numerical_tolerance(u, digits));
    return check_stated(stated, tolerance, digits, drawn, CoverageKind::symmetric);
}

/// Zero is outside the symmetric interval if less than its tail lies at zero or beyond; told with 97.5 % confidence.
template <Deferred...>
inline DrawnTie tie_by_counts(std::size_t below, std::size_t above, std::size_t draws, double probability) {
    const double n = static_cast<double>(draws), others = n - static_cast<double>(std::max(below, above));
    const Interval<double> limits = binomial_interval({others, n}, 0.95);
    const double tail = 0.5 * (1.0 - probability);
    if (limits.upper < tail) return DrawnTie::apart;
    if (limits.lower > tail) return DrawnTie::tied;
    return DrawnTie::not_told;
}

}   // namespace detail

/// Whether draws tell two costs apart, and whether the study says the same.
///
/// Equation: d_i = a_i - b_i; apart if 1 - max(P(d < 0), P(d > 0)) < (1 - p)/2, tied if it is more, each where
///           the Clopper-Pearson limits of that share (97.5 % on a side) say so; the study: 0 outside or inside the
///           interval of a - b, y -+ k u where it has none of its own
/// Symbols:  a, b costs, d difference, P share of the draws, p probability, y, u, k of a - b by first order
/// Validity: joint draws of both (what they share cancels); equal costs tell nothing apart. With fewer than 1000
///           draws the ends of the intervals are not compared
/// @param  stated  a - b by gradients, with the study's interval if it has one
/// @param  a  draws of the candidate's cost
/// @param  b  draws of the other's, as many
/// @param  probability  that the intervals cover [-], between 0 and 1
/// @return shares, intervals, both verdicts; the candidates' indices are the caller's to set
/// @throws DomainError if there is no draw, shapes differ, a number is not finite or the probability is out of range
/// @source limits as binomial_interval, ends of intervals as check_first_order; test: study/difference_check_test.cpp
template <Deferred...>
[[nodiscard]] inline DifferenceCheck check_difference(const CoveredUncertain<double>& stated, std::span<const double> a,
                                                      std::span<const double> b, double probability) {
    constexpr auto where = "check_difference";
    detail::require_between(where, "probability", probability, 0.0, 1.0, "-");
    if (a.empty() || a.size() != b.size()) {
        detail::throw_domain_error(where, "number of draws of the other cost", static_cast<double>(b.size()), "",
                                   "as many as of the first, at least 1");
    }
    std::vector<double> difference(a.size());
    std::size_t below = 0, above = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        difference[i] = detail::require_finite(where, "difference of costs", a[i] - b[i], "");
        below += difference[i] < 0.0;
        above += difference[i] > 0.0;
    }
    DifferenceCheck found;
    found.cheaper_share = static_cast<double>(below) / static_cast<double>(a.size());
    found.first_order = coverage_interval(stated, probability);
    found.tied_by_first_order = found.first_order.contains(0.0);
    found.by_draws = detail::tie_by_counts(below, above, a.size(), probability);
    if (a.size() >= least_draws_to_judge) {
        const MonteCarloResult drawn = detail::result_of_draws(difference, probability);
        found.check = detail::check_figure(stated, drawn);
        found.drawn = drawn.symmetric;
        return found;
    }
    std::sort(difference.begin(), difference.end());
    const double count = static_cast<double>(difference.size());
    const bool too_few = std::floor(probability * count + 0.5) >= count;   // none would lie outside: all
    found.drawn = too_few ? Interval<double>{difference.front(), difference.back()}
                          : symmetric_interval(difference, probability);
    return found;
}

}   // namespace filterflow
