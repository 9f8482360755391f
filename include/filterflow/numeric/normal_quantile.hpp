// SPDX-License-Identifier: BSL-1.0
#pragma once

// The quantile of the standard normal distribution, without the distributions of Boost.Math, which are slow to compile.

#include <array>
#include <cmath>
#include <cstddef>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

namespace detail {

/// Value of a ratio of two polynomials of degree 7; the coefficients begin with the constant.
template <Deferred...>
inline double seventh_degree_ratio(const std::array<double, 8>& top, const std::array<double, 8>& bottom, double r) {
    double p = top[7], q = bottom[7];
    for (std::size_t i = 7; i-- > 0;) {
        p = p * r + top[i];
        q = q * r + bottom[i];
    }
    return p / q;
}

/// z with Phi(z) = p, for 0 < p < 1, from p and 1 - p, the smaller of which is exact.
template <Deferred...>
inline double normal_quantile(double p, double complement) {
    constexpr std::array middle_top{3.3871328727963666080e0, 1.3314166789178437745e+2, 1.9715909503065514427e+3,
                                    1.3731693765509461125e+4, 4.5921953931549871457e+4, 6.7265770927008700853e+4,
                                    3.3430575583588128105e+4, 2.5090809287301226727e+3};
    constexpr std::array middle_bottom{1.0, 4.2313330701600911252e+1, 6.8718700749205790830e+2, 5.3941960214247511077e+3,
                                       2.1213794301586595867e+4, 3.9307895800092710610e+4, 2.8729085735721942674e+4,
                                       5.2264952788528545610e+3};
    constexpr std::array near_top{1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
                                  3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1,
                                  2.27238449892691845833e-2, 7.74545014278341407640e-4};
    constexpr std::array near_bottom{1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
                                     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
                                     1.05075007164441684324e-9};
    constexpr std::array far_top{6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
                                 2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                 2.71155556874348757815e-5, 2.01033439929228813265e-7};
    constexpr std::array far_bottom{1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
                                    7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
                                    2.04426310338993978564e-15};
    const double q = p < complement ? p - 0.5 : 0.5 - complement;
    if (std::abs(q) <= 0.425) return q * seventh_degree_ratio(middle_top, middle_bottom, 0.180625 - q * q);
    const double r = std::sqrt(-std::log(q < 0.0 ? p : complement));
    const double z = r <= 5.0 ? seventh_degree_ratio(near_top, near_bottom, r - 1.6)
                              : seventh_degree_ratio(far_top, far_bottom, r - 5.0);
    return q < 0.0 ? -z : z;
}

}   // namespace detail

/// Quantile of the standard normal distribution.
///
/// Equation: z with (1/2) erfc(-z/2^0.5) = p, by ratios of polynomials in p or in (-ln p)^0.5
/// Symbols:  z quantile [-], p probability [-]
/// Validity: 0 < p < 1; within 4e-16 max(1, |z|) of the quantile
/// @param  probability  [-], between 0 and 1, exclusive
/// @return quantile [-]
/// @throws DomainError if the probability is not between 0 and 1
/// @source Wichura 1988, Appl. Statist. 37:477, algorithm AS 241, PPND16 (coefficients from memory, settled by the
///         test); test: numeric/random_distributions_test.cpp
template <Deferred...>
inline double normal_quantile(double probability) {
    if (!(probability > 0.0 && probability < 1.0)) {
        detail::throw_domain_error("normal_quantile", "probability", probability, "-", "between 0 and 1, exclusive");
    }
    return detail::normal_quantile(probability, 1.0 - probability);
}

}   // namespace filterflow
