// SPDX-License-Identifier: BSL-1.0
#pragma once

// Inputs with a distribution of their own, and those of which only bounds are known.

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <utility>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/elementary_input.hpp>
#include <filterflow/numeric/random_distributions.hpp>

namespace filterflow {

/// The distribution of an input whose shape is stated.
struct InputDistribution {
    RandomDistribution distribution;
    double estimate = 0.0;   ///< of the input: its mean, or what is taken for it
};

/// What is known of an input by its bounds alone.
struct BoundedInput {
    std::string name;        ///< what a budget prints
    double estimate = 0.0;   ///< what is taken for it
    double lower = 0.0;      ///< what it cannot be below
    double upper = 0.0;      ///< what it cannot be above, >= lower
};

/// A new elementary input that is known by bounds alone, about an estimate that need not lie in their middle.
///
/// Equation: u = max(e - a, b - e)/3^0.5; drawn as x - e, x uniform from a to b
/// Symbols:  e estimate, a, b bounds, u standard uncertainty about the estimate
/// Validity: bounds that say nothing of what lies between. First order spreads the input evenly about the estimate, as
///           far as the farther bound, so that an estimate off the middle is not taken as surer than it is; Monte Carlo
///           draws it between the bounds, so that its mean is their middle and nothing impossible is drawn
/// @param  bounded  name, estimate and bounds, in SI
/// @return handle to the input
/// @throws DomainError if a number is not finite or the upper bound is below the lower
/// @source JCGM 100:2008, 4.3.7 and JCGM 101:2008, 6.4.2; test: numeric/input_draws_test.cpp
template <Deferred...>
inline InputHandle bounded_input(const BoundedInput& bounded) {
    constexpr auto where = "bounded_input";
    const double e = detail::require_finite(where, "estimate of " + bounded.name, bounded.estimate, "");
    const double a = detail::require_finite(where, "lower bound of " + bounded.name, bounded.lower, "");
    const double b = detail::require_between(where, "upper bound of " + bounded.name, bounded.upper, a,
                                             std::numeric_limits<double>::max(), "");
    const double farther = std::max({e - a, b - e, 0.0});
    ElementaryInput input = *elementary_input(bounded.name, farther / std::sqrt(3.0));
    input.shape = InputShape::rectangular;
    if (a < b) {
        input.shape = InputShape::stated;
        input.distribution = std::make_shared<const InputDistribution>(InputDistribution{UniformDistribution{a, b}, e});
    }
    return std::make_shared<const ElementaryInput>(std::move(input));
}

}   // namespace filterflow
