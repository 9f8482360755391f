// SPDX-License-Identifier: BSL-1.0
#pragma once

// Lambert's W, principal branch. A header of its own, since it brings Boost.Math.

#include <boost/math/special_functions/lambert_w.hpp>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/math_policy.hpp>

namespace filterflow {

/// Principal branch of Lambert's W: the solution w >= -1 of w e^w = x.
///
/// Equation: w e^w = x
/// Symbols:  x argument, w result
/// Validity: x >= -1/e
/// @param  x  argument [-], >= -1/e and finite
/// @return w [-], >= -1
/// @throws DomainError if the argument is below -1/e or not finite
/// @source Corless and others 1996, Adv. Comput. Math. 5:329 (definition, from memory), computed by Boost.Math; test:
///         numeric/lambert_w_test.cpp
template <Deferred...>
inline double lambert_w(double x) {
    constexpr auto where = "lambert_w";
    detail::require_finite(where, "x", x, "-");
    const double w = boost::math::lambert_w0(x, detail::MathPolicy());
    if (!(x >= -0.36787944117144233) || !(w >= -1.0)) detail::throw_domain_error(where, "x", x, "-", ">= -1/e");
    return w;
}

}   // namespace filterflow
