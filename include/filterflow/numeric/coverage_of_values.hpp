// SPDX-License-Identifier: BSL-1.0
#pragma once

// Coverage intervals of drawn values, and the tolerance that a number of significant digits stands for.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/interval.hpp>

namespace filterflow {

/// Which of the intervals that cover a probability.
enum class CoverageKind {
    symmetric,   ///< as likely below as above
    shortest     ///< the narrowest
};

/// Half of the last of the digits that are significant in a standard uncertainty.
///
/// Equation: u = c 10^l with c a whole number of as many digits; delta = (1/2) 10^l
/// Symbols:  u standard uncertainty, c, l whole numbers
/// Validity: 1 to 9 digits; zero for an uncertainty of zero
/// @param  standard_uncertainty  [any unit], >= 0
/// @param  significant_digits  1 to 9; one or two are usual
/// @return tolerance [same unit]
/// @throws DomainError outside the validity
/// @source JCGM 101:2008, 7.9.2; test: numeric/monte_carlo_test.cpp
template <Deferred...>
inline double numerical_tolerance(double standard_uncertainty, int significant_digits) {
    constexpr auto where = "numerical_tolerance";
    detail::require_non_negative(where, "standard_uncertainty", standard_uncertainty, "");
    detail::require_between(where, "significant_digits", static_cast<double>(significant_digits), 1.0, 9.0, "");
    if (standard_uncertainty == 0.0) return 0.0;
    const double first = std::floor(std::log10(standard_uncertainty));
    double last = first - (significant_digits - 1);
    if (std::round(standard_uncertainty / std::pow(10.0, last)) >= std::pow(10.0, significant_digits)) last += 1.0;
    return 0.5 * std::pow(10.0, last);
}

namespace detail {

/// Steps between the two ends, by the probability; at least one value stays outside.
template <Deferred...>
inline std::size_t coverage_steps(const char* where, std::span<const double> ascending, double probability) {
    if (!(probability > 0.0 && probability < 1.0)) {
        throw_domain_error(where, "probability", probability, "-", "between 0 and 1, exclusive");
    }
    const double n = static_cast<double>(ascending.size());
    const double steps = std::floor(probability * n + 0.5);
    if (!(steps >= 1.0 && steps <= n - 1.0)) {
        throw_domain_error(where, "number of values", n, "", "enough for the probability");
    }
    return static_cast<std::size_t>(steps);
}

}   // namespace detail

/// Interval that covers a share of values, with as many below as above.
///
/// Equation: [y_(r), y_(r+q)], q = round(p M), r = (M - q)/2 rounded up
/// Symbols:  y_(r) the r-th of the ordered values, counted from one, M their number, p probability
/// Validity: enough values that at least one lies outside
/// @param  ascending  values in ascending order; shape (M)
/// @param  probability  share to be covered [-], between 0 and 1
/// @return interval [unit of the values]
/// @throws DomainError if the probability is not between 0 and 1 or there are too few values
/// @source JCGM 101:2008, 7.7.2; test: numeric/monte_carlo_test.cpp
template <Deferred...>
inline Interval<double> symmetric_interval(std::span<const double> ascending, double probability) {
    const std::size_t steps = detail::coverage_steps("symmetric_interval", ascending, probability);
    const std::size_t first = (ascending.size() - steps + 1) / 2;
    return {ascending[first - 1], ascending[first - 1 + steps]};
}

/// The narrowest interval that covers a share of values.
///
/// Equation: [y_(r), y_(r+q)], q = round(p M), r that which makes it narrowest
/// Symbols:  as symmetric_interval
/// Validity: as symmetric_interval; its ends vary more from run to run than those of the symmetric one
/// @param  ascending  values in ascending order; shape (M)
/// @param  probability  share to be covered [-], between 0 and 1
/// @return interval [unit of the values]
/// @throws DomainError if the probability is not between 0 and 1 or there are too few values
/// @source JCGM 101:2008, 7.7.2; test: numeric/monte_carlo_test.cpp
template <Deferred...>
inline Interval<double> shortest_interval(std::span<const double> ascending, double probability) {
    const std::size_t steps = detail::coverage_steps("shortest_interval", ascending, probability);
    std::size_t best = 0;
    double least = ascending[steps] - ascending[0];
    for (std::size_t r = 1; r + steps < ascending.size(); ++r) {
        const double width = ascending[r + steps] - ascending[r];
        if (width < least) {
            least = width;
            best = r;
        }
    }
    return {ascending[best], ascending[best + steps]};
}

}   // namespace filterflow
