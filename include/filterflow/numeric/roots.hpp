// SPDX-License-Identifier: BSL-1.0
#pragma once

// A root of a smooth function inside a bracket: Newton steps kept inside by bisection. Light on purpose (no
// Boost.Math), since headers that solve one equation include it; Boost.Math's TOMS 748 is what tests compare with.

#include <cmath>
#include <limits>
#include <utility>

#include <filterflow/core/checks.hpp>

namespace filterflow {

/// What a root search found and how.
struct Root {
    double location = 0.0;    ///< where the function vanishes, in the argument's SI unit
    double residual = 0.0;    ///< the function there
    int iterations = 0;       ///< function evaluations after the two ends
    bool converged = false;   ///< false: the iteration limit was met first
};

namespace detail {

/// Root of f in [lower, upper], where f(lower) and f(upper) have opposite signs (or one is zero).
/// f returns {value, slope}. Newton steps that leave the bracket, or shrink it too slowly, become bisections, so
/// that at most about 60 more steps than bisection's are taken.
template <class F>
Root bracketed_root(const F& f, double lower, double upper, double f_lower, double f_upper, double guess,
                    double absolute_tolerance, int limit = 200) {
    if (f_lower == 0.0) return {lower, 0.0, 0, true};
    if (f_upper == 0.0) return {upper, 0.0, 0, true};
    const bool rising = f_upper > 0.0;
    Root root{guess, 0.0, 0, false};
    double previous_step = upper - lower;
    for (root.iterations = 1; root.iterations <= limit; ++root.iterations) {
        const auto [value, slope] = f(root.location);
        root.residual = value;
        if (value == 0.0) {
            root.converged = true;
            return root;
        }
        if ((value > 0.0) == rising) {
            upper = root.location;
        } else {
            lower = root.location;
        }
        double next = root.location - value / slope;
        if (!(next > lower && next < upper) || std::abs(next - root.location) > 0.5 * previous_step) {
            next = lower + 0.5 * (upper - lower);
        }
        previous_step = std::abs(next - root.location);
        const double tolerance =
            absolute_tolerance + 2.0 * std::numeric_limits<double>::epsilon() * std::abs(next);
        root.location = next;
        if (previous_step <= tolerance || upper - lower <= tolerance) {
            root.residual = f(next).first;
            root.converged = true;
            return root;
        }
    }
    return root;
}

}   // namespace detail

/// Root of a function inside a bracket.
///
/// Equation: f(x) = 0
/// Symbols:  f function with its slope, x its argument
/// Validity: f continuous, of opposite signs (or zero) at the two ends
/// @param  function  callable on double, returning std::pair{value, slope}
/// @param  lower  lower end of the bracket
/// @param  upper  upper end of the bracket, > lower
/// @param  absolute_tolerance  of the location, >= 0; rounding of the argument is always allowed for
/// @return location, residual, iterations and whether it converged
/// @throws DomainError if the bracket is not one (ends, signs, not finite)
/// @source Newton's method guarded by bisection; test: numeric/roots_test.cpp against Boost.Math TOMS 748
template <class F>
[[nodiscard]] Root find_root(const F& function, double lower, double upper, double absolute_tolerance = 0.0) {
    constexpr auto where = "find_root";
    detail::require_finite(where, "lower", lower, "-");
    detail::require_finite(where, "upper", upper, "-");
    if (!(lower < upper)) detail::throw_domain_error(where, "upper", upper, "-", "> lower");
    const double f_lower = detail::require_finite(where, "function(lower)", function(lower).first, "-");
    const double f_upper = detail::require_finite(where, "function(upper)", function(upper).first, "-");
    if (f_lower * f_upper > 0.0) {
        detail::throw_domain_error(where, "function(upper)", f_upper, "-",
                                   "opposite sign to function(lower) = " + detail::number_text(f_lower));
    }
    const double secant = lower - f_lower * (upper - lower) / (f_upper - f_lower);
    const double guess = secant > lower && secant < upper ? secant : lower + 0.5 * (upper - lower);
    return detail::bracketed_root(function, lower, upper, f_lower, f_upper, guess, absolute_tolerance);
}

}   // namespace filterflow
