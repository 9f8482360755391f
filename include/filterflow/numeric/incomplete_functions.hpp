// SPDX-License-Identifier: BSL-1.0
#pragma once

// Inverses of the incomplete gamma and beta functions, on which exact counting intervals rest. A header of its own,
// since it brings the special functions of Boost.Math.

#include <boost/math/special_functions/beta.hpp>
#include <boost/math/special_functions/gamma.hpp>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/math_policy.hpp>

namespace filterflow::detail {

/// x with P(shape, x) = probability, P the regularised lower incomplete gamma function.
template <Deferred...>
inline double lower_gamma_inverse(double shape, double probability) {
    return boost::math::gamma_p_inv(shape, probability, MathPolicy());
}
/// x with Q(shape, x) = probability, Q = 1 - P.
template <Deferred...>
inline double upper_gamma_inverse(double shape, double probability) {
    return boost::math::gamma_q_inv(shape, probability, MathPolicy());
}
/// x with I_x(a, b) = probability, I the regularised incomplete beta function.
template <Deferred...>
inline double lower_beta_inverse(double a, double b, double probability) {
    return boost::math::ibeta_inv(a, b, probability, MathPolicy());
}
/// x with 1 - I_x(a, b) = probability.
template <Deferred...>
inline double upper_beta_inverse(double a, double b, double probability) {
    return boost::math::ibetac_inv(a, b, probability, MathPolicy());
}

}   // namespace filterflow::detail
