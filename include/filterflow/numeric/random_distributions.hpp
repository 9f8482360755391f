// SPDX-License-Identifier: BSL-1.0
#pragma once

// Distributions that inputs of a Monte Carlo calculation have, with their means and standard deviations. Numbers are
// raw (SI, or relative). What draws from them is in random_draws.hpp, their quantiles are in
// distribution_quantiles.hpp.

#include <cmath>
#include <cstddef>
#include <limits>
#include <variant>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/empirical_distribution.hpp>

namespace filterflow {

/// Anything between two limits is as likely: a rounded display, a stated limit of error. Also called rectangular.
struct UniformDistribution {
    double lower = 0.0;   ///< finite
    double upper = 1.0;   ///< finite, > lower
};

/// The normal distribution.
struct NormalDistribution {
    double mean = 0.0;                 ///< finite
    double standard_deviation = 1.0;   ///< > 0
};

/// The logarithm is normal: what is known within a factor.
struct LognormalDistribution {
    double median = 1.0;                       ///< > 0
    double geometric_standard_deviation = 2.0;   ///< > 1: about two thirds lie within this factor of the median
};

/// Between two limits, most likely at one value and less in proportion to the distance from it.
struct TriangularDistribution {
    double lower = -1.0;   ///< finite
    double mode = 0.0;     ///< lower to upper
    double upper = 1.0;    ///< finite, > lower
};

/// A sine of a time that nobody knows: what swings between two limits, as a room under a thermostat does.
struct ArcsineDistribution {
    double lower = -1.0;   ///< finite
    double upper = 1.0;    ///< finite, > lower
};

/// Student's t, moved and widened: what few repeated readings say of their mean.
struct StudentDistribution {
    double location = 0.0;             ///< finite
    double scale = 1.0;                ///< > 0; the standard deviation of a mean, s/n^0.5
    double degrees_of_freedom = 1.0;   ///< >= 0.25; infinite or above 1e6: drawn as normal
};

/// Between two limits that are themselves known roughly: each lies within a distance of where it is stated, anywhere as
/// likely, and both are as far from the middle.
struct CurvilinearTrapezoidDistribution {
    double lower = -1.0;              ///< finite
    double upper = 1.0;               ///< finite, > lower
    double limits_uncertainty = 0.5;  ///< > 0, at most half of upper - lower
};

/// Any of the distributions.
using RandomDistribution = std::variant<UniformDistribution, NormalDistribution, LognormalDistribution,
                                        TriangularDistribution, ArcsineDistribution, StudentDistribution,
                                        CurvilinearTrapezoidDistribution, EmpiricalDistribution>;

namespace detail {

inline constexpr double greatest_normal_number = 8.58;   // of the normal streams, rounded up
inline constexpr double student_is_normal_above = 1e6;   // degrees of freedom

template <Deferred...>
inline void require_limits(const char* where, double lower, double upper) {
    require_finite(where, "lower limit", lower, "");
    require_finite(where, "upper limit", upper, "");
    if (!(upper > lower)) throw_domain_error(where, "upper limit", upper, "", "above the lower limit");
    require_finite(where, "distance of the limits", upper - lower, "");
}
template <Deferred...>
inline void require_distribution(const char* where, const UniformDistribution& d) {
    require_limits(where, d.lower, d.upper);
}
template <Deferred...>
inline void require_distribution(const char* where, const NormalDistribution& d) {
    require_finite(where, "mean", d.mean, "");
    require_positive(where, "standard_deviation", d.standard_deviation, "");
}
template <Deferred...>
inline void require_distribution(const char* where, const LognormalDistribution& d) {
    require_positive(where, "median", d.median, "");
    const double factor = require_finite(where, "geometric_standard_deviation", d.geometric_standard_deviation, "");
    if (!(factor > 1.0)) throw_domain_error(where, "geometric_standard_deviation", factor, "", "> 1");
    // Beyond, single draws would leave the range of the exponential function.
    require_between(where, "geometric_standard_deviation", factor, 1.0, 1e30, "");
    require_between(where, "median", d.median, 1e-30, 1e30, "");
}
template <Deferred...>
inline void require_distribution(const char* where, const TriangularDistribution& d) {
    require_limits(where, d.lower, d.upper);
    require_between(where, "mode", d.mode, d.lower, d.upper, "");
}
template <Deferred...>
inline void require_distribution(const char* where, const ArcsineDistribution& d) {
    require_limits(where, d.lower, d.upper);
}
template <Deferred...>
inline void require_distribution(const char* where, const StudentDistribution& d) {
    require_finite(where, "location", d.location, "");
    require_positive(where, "scale", d.scale, "");
    if (!(d.degrees_of_freedom >= 0.25)) {
        throw_domain_error(where, "degrees_of_freedom", d.degrees_of_freedom, "", ">= 0.25");
    }
}
template <Deferred...>
inline void require_distribution(const char* where, const CurvilinearTrapezoidDistribution& d) {
    require_limits(where, d.lower, d.upper);
    require_positive(where, "limits_uncertainty", d.limits_uncertainty, "");
    require_between(where, "limits_uncertainty", d.limits_uncertainty, 0.0, 0.5 * (d.upper - d.lower), "");
}
inline void require_distribution(const char*, const EmpiricalDistribution&) {}   // checked where it was made
template <Deferred...>
inline void require_distribution(const char* where, const RandomDistribution& any) {
    std::visit([&](const auto& d) { require_distribution(where, d); }, any);
}

inline double mean(const UniformDistribution& d) { return 0.5 * (d.lower + d.upper); }
inline double mean(const NormalDistribution& d) { return d.mean; }
inline double mean(const LognormalDistribution& d) {
    const double s = std::log(d.geometric_standard_deviation);
    return d.median * std::exp(0.5 * s * s);
}
inline double mean(const TriangularDistribution& d) { return (d.lower + d.mode + d.upper) / 3.0; }
inline double mean(const ArcsineDistribution& d) { return 0.5 * (d.lower + d.upper); }
inline double mean(const StudentDistribution& d) { return d.location; }
inline double mean(const CurvilinearTrapezoidDistribution& d) { return 0.5 * (d.lower + d.upper); }
template <Deferred...>
inline double mean(const EmpiricalDistribution& d) {
    double sum = 0.0;
    for (std::size_t i = 0; i < d.points().size(); ++i) {
        const double share = d.cumulative()[i] - (i > 0 ? d.cumulative()[i - 1] : 0.0);
        sum += share * (d.is_stepped() || i == 0 ? d.points()[i] : 0.5 * (d.points()[i - 1] + d.points()[i]));
    }
    return sum;
}

inline double variance(const UniformDistribution& d) { return (d.upper - d.lower) * (d.upper - d.lower) / 12.0; }
inline double variance(const NormalDistribution& d) { return d.standard_deviation * d.standard_deviation; }
template <Deferred...>
inline double variance(const LognormalDistribution& d) {
    const double s = std::log(d.geometric_standard_deviation), m = mean(d);
    return m * m * std::expm1(s * s);
}
inline double variance(const TriangularDistribution& d) {
    const double a = d.mode - d.lower, b = d.upper - d.mode;
    return (a * a + a * b + b * b) / 18.0;
}
inline double variance(const ArcsineDistribution& d) { return (d.upper - d.lower) * (d.upper - d.lower) / 8.0; }
template <Deferred...>
inline double variance(const StudentDistribution& d) {
    const double nu = d.degrees_of_freedom;
    return d.scale * d.scale * (std::isinf(nu) ? 1.0 : nu / (nu - 2.0));
}
inline double variance(const CurvilinearTrapezoidDistribution& d) {
    return (d.upper - d.lower) * (d.upper - d.lower) / 12.0 + d.limits_uncertainty * d.limits_uncertainty / 9.0;
}
template <Deferred...>
inline double variance(const EmpiricalDistribution& d) {
    const double m = mean(d);
    double sum = 0.0;
    for (std::size_t i = 0; i < d.points().size(); ++i) {
        const double share = d.cumulative()[i] - (i > 0 ? d.cumulative()[i - 1] : 0.0);
        if (d.is_stepped() || i == 0) {
            sum += share * (d.points()[i] - m) * (d.points()[i] - m);
        } else {
            const double width = d.points()[i] - d.points()[i - 1], middle = 0.5 * (d.points()[i - 1] + d.points()[i]);
            sum += share * ((middle - m) * (middle - m) + width * width / 12.0);
        }
    }
    return sum;
}

}   // namespace detail

/// Mean of a distribution.
///
/// Equation: uniform, arcsine, curvilinear trapezoid (a + b)/2; lognormal m exp(ln^2 g/2); triangular (a + c + b)/3;
///           Student's its location
/// Symbols:  a, b limits, c mode, m median, g geometric standard deviation
/// Validity: Student's t has a mean above one degree of freedom only; throws below
/// @param  distribution  any
/// @return mean [unit of the distribution]
/// @throws DomainError if the distribution is none, or has no mean
/// @source JCGM 101:2008, 6.4 (triangular and lognormal from memory); test: numeric/random_distributions_test.cpp
template <Deferred...>
inline double mean_of(const RandomDistribution& distribution) {
    detail::require_distribution("mean_of", distribution);
    if (const auto* student = std::get_if<StudentDistribution>(&distribution)) {
        if (!(student->degrees_of_freedom > 1.0)) {
            detail::throw_domain_error("mean_of", "degrees_of_freedom", student->degrees_of_freedom, "", "> 1");
        }
    }
    return std::visit([](const auto& d) { return detail::mean(d); }, distribution);
}

/// Standard deviation of a distribution.
///
/// Equation: uniform (b - a)/12^0.5; lognormal mean (exp(ln^2 g) - 1)^0.5; triangular ((c - a)^2 + (c - a)(b - c) +
///           (b - c)^2)^0.5/18^0.5; arcsine (b - a)/8^0.5; Student's scale (nu/(nu - 2))^0.5; curvilinear trapezoid
///           ((b - a)^2/12 + d^2/9)^0.5
/// Symbols:  a, b limits, c mode, d uncertainty of the limits, g geometric standard deviation, nu degrees of freedom
/// Validity: Student's t has a standard deviation above two degrees of freedom only; throws below
/// @param  distribution  any
/// @return standard deviation [unit of the distribution]
/// @throws DomainError if the distribution is none, or has no standard deviation
/// @source JCGM 101:2008, 6.4 (triangular and lognormal from memory); test: numeric/random_distributions_test.cpp
template <Deferred...>
inline double standard_deviation_of(const RandomDistribution& distribution) {
    detail::require_distribution("standard_deviation_of", distribution);
    if (const auto* student = std::get_if<StudentDistribution>(&distribution)) {
        if (!(student->degrees_of_freedom > 2.0)) {
            detail::throw_domain_error("standard_deviation_of", "degrees_of_freedom", student->degrees_of_freedom, "",
                                       "> 2");
        }
    }
    return std::sqrt(std::visit([](const auto& d) { return detail::variance(d); }, distribution));
}

}   // namespace filterflow
