// SPDX-License-Identifier: BSL-1.0
#pragma once

// How often chance alone exceeds a value of chi-squared or of Student's t, for whole degrees of freedom: finite sums,
// so that a fit can judge itself without the distributions of Boost.Math, which are slow to compile.

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// Probability that chance alone gives a chi-squared as great or greater.
///
/// Equation: Q(nu/2, x/2): even nu: e^-h sum_{k<nu/2} h^k/k!; odd nu: erfc(h^0.5) + e^-h sum_{k<(nu-1)/2}
///           h^(k+1/2)/Gamma(k+3/2); h = x/2
/// Symbols:  x chi-squared [-], nu degrees of freedom [-], Q regularised upper incomplete gamma function
/// Validity: nu to 1e6 (throws above); relative error below 1e-11 to nu = 1000
/// @param  chi_squared  [-], >= 0
/// @param  degrees_of_freedom  [-], 1 to 1e6
/// @return probability [-], 0 to 1
/// @throws DomainError outside the validity, or if chi-squared is not finite
/// @source recurrence of the incomplete gamma function (Abramowitz and Stegun 1964, 26.4.4 and 26.4.5, from memory);
///         test: numeric/tail_probability_test.cpp
template <Deferred...>
inline double chi_squared_exceedance(double chi_squared, std::size_t degrees_of_freedom) {
    constexpr auto where = "chi_squared_exceedance";
    detail::require_non_negative(where, "chi_squared", chi_squared, "-");
    detail::require_between(where, "degrees_of_freedom", static_cast<double>(degrees_of_freedom), 1.0, 1e6, "-");
    if (chi_squared == 0.0) return 1.0;
    const double half = 0.5 * chi_squared;
    const bool odd = degrees_of_freedom % 2 == 1;
    double sum = odd ? std::erfc(std::sqrt(half)) : 0.0;
    double step = odd ? 0.5 : 0.0;   // h^step / Gamma(step + 1), by its logarithm: e^-h alone may be zero
    const double log_half = std::log(half);
    double log_term = odd ? 0.5 * log_half - std::log(0.88622692545275801365) : 0.0;   // Gamma(3/2) = pi^0.5/2
    for (std::size_t k = 0; k < degrees_of_freedom / 2; ++k) {
        sum += std::exp(log_term - half);
        step += 1.0;
        log_term += log_half - std::log(step);
    }
    return std::min(sum, 1.0);
}

/// Probability that chance alone gives a Student's t as far from zero or farther, on either side.
///
/// Equation: 1 - A(|t|; nu), u = atan(|t|/nu^0.5): odd nu: A = (2/pi)(u + sin u (cos u + (2/3) cos^3 u + ...)), to
///           cos^(nu-2) u; even nu: A = sin u (1 + (1/2) cos^2 u + (1 3)/(2 4) cos^4 u + ...), to cos^(nu-2) u
/// Symbols:  t Student's t [-], nu degrees of freedom [-]
/// Validity: nu to 1e6 (throws above); absolute error below 1e-12 to nu = 1000
/// @param  t  [-], finite
/// @param  degrees_of_freedom  [-], 1 to 1e6
/// @return probability [-], 0 to 1
/// @throws DomainError outside the validity, or if t is not finite
/// @source Abramowitz and Stegun 1964, 26.7.3 and 26.7.4 (from memory); test: numeric/tail_probability_test.cpp
template <Deferred...>
inline double student_t_exceedance(double t, std::size_t degrees_of_freedom) {
    constexpr auto where = "student_t_exceedance";
    detail::require_finite(where, "t", t, "-");
    detail::require_between(where, "degrees_of_freedom", static_cast<double>(degrees_of_freedom), 1.0, 1e6, "-");
    const double two_over_pi = 0.63661977236758134308;
    const double nu = static_cast<double>(degrees_of_freedom);
    const double magnitude = std::abs(t);
    const double length = std::hypot(magnitude, std::sqrt(nu));
    const double sine = magnitude / length;
    const double cosine = std::sqrt(nu) / length;
    const bool odd = degrees_of_freedom % 2 == 1;
    double sum = 0.0;
    double term = odd ? cosine : 1.0;
    for (std::size_t k = odd ? 1 : 0; k + 2 <= degrees_of_freedom; k += 2) {   // term holds cos^k
        sum += term;
        term *= cosine * cosine * static_cast<double>(k + 1) / static_cast<double>(k + 2);
    }
    const double exceedance = odd ? two_over_pi * (std::atan2(std::sqrt(nu), magnitude) - sine * sum)
                                  : 1.0 - sine * sum;
    return std::clamp(exceedance, 0.0, 1.0);   // rounding alone leaves the range
}

}   // namespace filterflow
