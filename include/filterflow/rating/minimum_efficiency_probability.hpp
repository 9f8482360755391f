// SPDX-License-Identifier: BSL-1.0
#pragma once

// Probability of each minimum efficiency reporting value, given uncertain averages.

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/class_ladder.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>

namespace filterflow {

/// Probability of each minimum efficiency reporting value, lowest first.
///
/// Equation: P(value >= k) = P(E1 >= E1_k, E2 >= E2_k, E3 >= E3_k); from 2 to 4
///           P(value >= k) = P(E3 >= 20 %) + P(E3 < 20 %, A >= A_k)
/// Symbols:  E1, E2, E3 averages, A average arrestance, E1_k ... A_k requirements of value k
/// Validity: first order: the averages joint normal by what they share, also beyond 0 and 1. Averages of a composite
///           minimum keep the curve that is lowest by its estimates; where curves lie within their uncertainties, draw
///           them (sampled_ratings). Without arrestance 1 to 4 are given as one. Rounding to whole per cent lowers
///           each limit by half a per cent.
/// @param  averages  E1, E2, E3 [-]; shape (3)
/// @param  average_arrestance  by mass [-]; none: not measured
/// @param  rule  edition and rounding
/// @return probability of each value, sum one; shape (16), without arrestance (13)
/// @throws DomainError if an average or the arrestance is not finite
/// @source the ladder of ANSI/ASHRAE 52.2, Table 12-1; JCGM 101:2008, 5.9 for what a probability of a class is;
///         test: rating/minimum_efficiency_probability_test.cpp
template <Deferred...>
inline std::vector<ClassProbability> minimum_efficiency_probabilities(
    const std::array<Uncertain<double>, 3>& averages,
    const std::optional<Uncertain<double>>& average_arrestance = std::nullopt, const MinimumEfficiencyRule& rule = {}) {
    constexpr auto where = "minimum_efficiency_probabilities";
    for (std::size_t g = 0; g < 3; ++g) {
        detail::require_finite(where, "E" + std::to_string(g + 1), averages[g].value, "-");
    }
    if (average_arrestance) detail::require_finite(where, "average_arrestance", average_arrestance->value, "-");
    const double half = rule.rounding == AverageRounding::to_whole_percent ? 0.5 : 0.0;
    const auto share = [&](double percent) {
        return percent > 0.0 ? (percent - half - detail::rounding_of_percent) / 100.0 : 0.0;
    };
    std::array<detail::LadderClass, 16> classes;
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const MinimumEfficiencyRow& row = minimum_efficiency_table(rule.edition)[i];
        classes[i] = {std::to_string(row.value),
                      {share(row.least_E1), share(row.least_E2), share(row.least_E3)},
                      share(row.least_arrestance)};
    }
    return detail::ladder_probabilities(classes, 2, averages, average_arrestance);
}

}   // namespace filterflow
