// SPDX-License-Identifier: BSL-1.0
#pragma once

// An uncertain figure that may carry an interval of its own, where the one by first order would be wrong: a life that
// goes as the inverse of poorly known dust and ends at the latest at a greatest age is lopsided.

#include <optional>
#include <utility>

#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// An interval with the probability that it covers.
template <class Q>
struct CoveringInterval {
    Interval<Q> interval;       ///< its ends, need not be as far from the value
    double probability = 0.0;   ///< that it covers, as probable below as above; between 0 and 1
};

/// An uncertain value to first order and, where that is off, the interval that holds.
template <class Q>
struct CoveredUncertain : Uncertain<Q> {
    std::optional<CoveringInterval<Q>> covering;   // absent where first order holds

    CoveredUncertain() = default;
    CoveredUncertain(const Uncertain<Q>& x) : Uncertain<Q>(x) {}         // NOLINT: first order is welcome
    CoveredUncertain(Uncertain<Q>&& x) : Uncertain<Q>(std::move(x)) {}   // NOLINT
    CoveredUncertain(const Q& exact) : Uncertain<Q>(exact) {}            // NOLINT
};

/// Interval that covers a probability about a figure: its own where it has one, else by first order.
///
/// Equation: the stored ends, or y -+ k u_c as coverage_interval of an uncertain value
/// Symbols:  y value, k coverage factor, u_c combined standard uncertainty
/// Validity: a stored interval holds for the probability that it was found for; at any other first order is all there
/// is
/// @param  x  uncertain figure
/// @param  probability  coverage probability [-], between 0 and 1
/// @return interval in the unit of the value
/// @throws DomainError if the probability is not between 0 and 1
/// @source as coverage_interval; test: study/life_draws_test.cpp
template <class Q>
Interval<Q> coverage_interval(const CoveredUncertain<Q>& x, double probability = 0.95) {
    if (x.covering && x.covering->probability == probability) return x.covering->interval;
    return coverage_interval(static_cast<const Uncertain<Q>&>(x), probability);
}

}   // namespace filterflow
