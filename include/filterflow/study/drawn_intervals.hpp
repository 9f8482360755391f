// SPDX-License-Identifier: BSL-1.0
#pragma once

// Intervals from the draws that a study makes by itself: how many, and where they take the place of first order. Not
// public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/first_order_check.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/study/covered_figure.hpp>

namespace filterflow::detail {

inline constexpr std::uint64_t study_draws_seed = 1;

/// Draws for a coverage probability: some two hundred beyond each end of an interval; none where that were too many.
template <Deferred...>
inline std::size_t study_draw_count(double probability) {
    constexpr double at_least = 8192.0, at_most = 65536.0, beyond = 200.0;
    const double wanted = std::ceil(2.0 * beyond / (1.0 - probability));
    return wanted > at_most ? 0 : static_cast<std::size_t>(std::max(at_least, wanted));
}

/// Gives a figure the interval of its draws where the one by first order is off by more than half of the last digit
/// that matters.
template <class Q>
void cover(std::optional<CoveredUncertain<Q>>& figure, std::vector<double> draws, std::size_t expected,
           double probability) {
    if (!figure || draws.size() != expected || draws.empty()) return;
    std::sort(draws.begin(), draws.end());
    Interval<double> drawn = symmetric_interval(draws, probability);
    const double value = in_si(figure->value), exact = 1e-9 * std::abs(value);
    for (double* end : {&drawn.lower, &drawn.upper}) {
        if (std::abs(*end - value) <= exact) *end = value;   // a life cut at an age
    }
    const Interval<Q> stated = coverage_interval(static_cast<const Uncertain<Q>&>(*figure), probability);
    const double enough = std::max(exact, 0.5 * numerical_tolerance(std::sqrt(figure->gradient.variance()), 1));
    if (std::abs(in_si(stated.lower) - drawn.lower) <= enough && std::abs(in_si(stated.upper) - drawn.upper) <= enough)
        return;
    figure->covering = CoveringInterval<Q>{{from_si<Q>(drawn.lower), from_si<Q>(drawn.upper)}, probability};
}

}   // namespace filterflow::detail
