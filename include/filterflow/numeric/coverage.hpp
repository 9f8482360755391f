// SPDX-License-Identifier: BSL-1.0
#pragma once

// Coverage intervals of uncertain values: the standard uncertainty times Student's t of the effective degrees of
// freedom. A header of its own, since it brings Boost.Math's distributions.

#include <cmath>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/math_policy.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// Factor by which a standard uncertainty is multiplied to cover a probability, two-sided.
///
/// Equation: k = t_{(1+p)/2}(nu); the normal quantile for infinite nu
/// Symbols:  p coverage probability [-], nu degrees of freedom [-]
/// Validity: 0 < p < 1, nu > 0
/// @param  degrees_of_freedom  effective degrees of freedom [-], > 0, may be infinite
/// @param  probability  coverage probability [-], between 0 and 1
/// @return coverage factor [-]
/// @throws DomainError outside the validity
/// @source JCGM 100:2008 (GUM), G.3; test: numeric/uncertain_test.cpp
template <Deferred...>
inline double coverage_factor(double degrees_of_freedom, double probability = 0.95) {
    constexpr auto where = "coverage_factor";
    if (!(degrees_of_freedom > 0.0)) {
        detail::throw_domain_error(where, "degrees_of_freedom", degrees_of_freedom, "-", "> 0");
    }
    if (!(probability > 0.0 && probability < 1.0)) {
        detail::throw_domain_error(where, "probability", probability, "-", "between 0 and 1, exclusive");
    }
    const double upper = 0.5 * (1.0 + probability);
    if (std::isinf(degrees_of_freedom) || degrees_of_freedom > 1e6) {
        return boost::math::quantile(boost::math::normal_distribution<double, detail::MathPolicy>(), upper);
    }
    return boost::math::quantile(
        boost::math::students_t_distribution<double, detail::MathPolicy>(degrees_of_freedom), upper);
}

/// Interval that covers a probability about an uncertain value, first order.
///
/// Equation: y -+ k u_c, k = coverage_factor(nu_eff, p)
/// Symbols:  u_c combined standard uncertainty, nu_eff effective degrees of freedom (Welch-Satterthwaite)
/// Validity: first order holds (smooth model, small uncertainties)
/// @param  x  uncertain value
/// @param  probability  coverage probability [-], between 0 and 1
/// @return interval in the unit of the value
/// @throws DomainError if the probability is not between 0 and 1
/// @source JCGM 100:2008 (GUM), G.4; test: numeric/uncertain_test.cpp
template <class Q>
Interval<Q> coverage_interval(const Uncertain<Q>& x, double probability = 0.95) {
    const double u = std::sqrt(x.gradient.variance());
    const double half =
        u > 0.0 ? coverage_factor(x.gradient.effective_degrees_of_freedom(), probability) * u : 0.0;
    const double y = detail::in_si(x.value);
    return {detail::from_si<Q>(y - half), detail::from_si<Q>(y + half)};
}

/// A standard uncertainty multiplied to cover a probability.
template <class Q>
struct ExpandedUncertainty {
    Q expanded_uncertainty{};           ///< U = k u_c
    double coverage_factor = 0.0;       ///< k, > 0
    double degrees_of_freedom = 0.0;    ///< that k rests on, > 0
    double probability = 0.0;           ///< that U covers, between 0 and 1
};

/// Expanded uncertainty of an uncertain value, as a certificate states it.
///
/// Equation: U = k u_c, k = coverage_factor(nu_eff, p)
/// Symbols:  u_c combined standard uncertainty, nu_eff effective degrees of freedom, p probability
/// Validity: first order. The GUM's own examples round nu_eff down to a whole number; here it is taken as it is
/// @param  x  uncertain value
/// @param  probability  to be covered [-], between 0 and 1
/// @return expanded uncertainty, coverage factor, degrees of freedom, probability
/// @throws DomainError if the probability is not between 0 and 1
/// @source JCGM 100:2008 (GUM), 6.2 and G.4; test: numeric/budget_test.cpp
template <class Q>
ExpandedUncertainty<Q> expanded_uncertainty(const Uncertain<Q>& x, double probability = 0.95) {
    const double nu = x.gradient.effective_degrees_of_freedom();
    const double k = coverage_factor(nu, probability);
    return {detail::from_si<Q>(k * std::sqrt(x.gradient.variance())), k, nu, probability};
}

/// Whether two uncertain values are tied: the interval of their difference contains zero. What they share
/// cancels in the difference.
///
/// Equation: 0 in coverage_interval(a - b, p)
/// Symbols:  as coverage_interval
/// Validity: as coverage_interval
/// @param  a  uncertain value
/// @param  b  uncertain value of the same unit
/// @param  probability  coverage probability [-], between 0 and 1
/// @return true if the two are not told apart
/// @throws DomainError if the probability is not between 0 and 1
/// @source JCGM 100:2008 (GUM), 5.1.2 on the difference; test: numeric/uncertain_test.cpp
template <class Q>
bool tied(const Uncertain<Q>& a, const Uncertain<Q>& b, double probability = 0.95) {
    return coverage_interval(a - b, probability).contains(detail::from_si<Q>(0.0));
}

}   // namespace filterflow
