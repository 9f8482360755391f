// SPDX-License-Identifier: BSL-1.0
#pragma once

// Quantiles of the distributions. A header of its own, since Student's brings Boost.Math's distributions.

#include <algorithm>
#include <cmath>
#include <utility>
#include <variant>

#include <boost/math/distributions/students_t.hpp>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/math_policy.hpp>
#include <filterflow/numeric/normal_quantile.hpp>
#include <filterflow/numeric/random_distributions.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

namespace detail {

inline double quantile(const UniformDistribution& d, double p) { return d.lower + (d.upper - d.lower) * p; }
template <Deferred...>
inline double quantile(const NormalDistribution& d, double p) {
    return d.mean + d.standard_deviation * normal_quantile(p, 1.0 - p);
}
template <Deferred...>
inline double quantile(const LognormalDistribution& d, double p) {
    return d.median * std::exp(std::log(d.geometric_standard_deviation) * normal_quantile(p, 1.0 - p));
}
inline double quantile(const TriangularDistribution& d, double p) {
    const double width = d.upper - d.lower;
    return p < (d.mode - d.lower) / width ? d.lower + std::sqrt(p * width * (d.mode - d.lower))
                                          : d.upper - std::sqrt((1.0 - p) * width * (d.upper - d.mode));
}
template <Deferred...>
inline double quantile(const ArcsineDistribution& d, double p) {
    return 0.5 * (d.lower + d.upper) + 0.5 * (d.upper - d.lower) * std::sin(3.14159265358979323846 * (p - 0.5));
}
template <Deferred...>
inline double quantile(const StudentDistribution& d, double p) {
    if (d.degrees_of_freedom > student_is_normal_above) return quantile(NormalDistribution{d.location, d.scale}, p);
    return d.location + d.scale * boost::math::quantile(
        boost::math::students_t_distribution<double, MathPolicy>(d.degrees_of_freedom), p);
}
/// Distance from the middle over the greatest one, 1 - e, beyond which a share q of the curvilinear trapezoid lies on
/// one side: in the flat part straight from the middle, else from e + (1 - e) ln(1 - e) = 4 q d/(w + d).
template <Deferred...>
inline double trapezoid_place(double half, double rough, double q) {
    const double reach = half + rough, inner = half - rough;
    if (inner > 0.0) {
        const double density = std::log(reach / inner) / (4.0 * rough);
        if (0.5 - q <= inner * density) return (0.5 - q) / density / reach;
    }
    const double goal = 4.0 * q * rough / reach, greatest = 1.0 - inner / reach;
    const auto f = [&](double e) {
        return std::pair{e + (1.0 - e) * std::log1p(-e) - goal, -std::log1p(-e)};
    };
    const double at_end = inner > 0.0 ? f(greatest).first : 1.0 - goal;
    if (!(at_end > 0.0)) return 1.0 - greatest;
    return 1.0 - bracketed_root(f, 0.0, greatest, -goal, at_end, std::min(std::sqrt(2.0 * goal), 0.5 * greatest), 0.0).location;
}
template <Deferred...>
inline double quantile(const CurvilinearTrapezoidDistribution& d, double p) {
    const double half = 0.5 * (d.upper - d.lower), rough = d.limits_uncertainty;
    const double distance = (half + rough) * trapezoid_place(half, rough, std::min(p, 1.0 - p));
    return 0.5 * (d.lower + d.upper) + (p < 0.5 ? -distance : distance);
}
template <Deferred...>
inline double quantile(const EmpiricalDistribution& d, double p) { return d.quantile(p); }

}   // namespace detail

/// Quantile of a distribution: the value that a share p of it does not exceed.
///
/// Equation: x with F(x) = p
/// Symbols:  F distribution function, p share
/// Validity: 0 < p < 1
/// @param  distribution  any
/// @param  probability  [-], between 0 and 1, exclusive
/// @return quantile [unit of the distribution]
/// @throws DomainError if the distribution is none, or the probability is not between 0 and 1
/// @source definition; Wichura 1988 (AS 241) for the normal, Boost.Math for Student's;
///         test: numeric/random_distributions_test.cpp
template <Deferred...>
inline double quantile_of(const RandomDistribution& distribution, double probability) {
    constexpr auto where = "quantile_of";
    detail::require_distribution(where, distribution);
    if (!(probability > 0.0 && probability < 1.0)) {
        detail::throw_domain_error(where, "probability", probability, "-", "between 0 and 1, exclusive");
    }
    return std::visit([&](const auto& d) { return detail::quantile(d, probability); }, distribution);
}

}   // namespace filterflow
