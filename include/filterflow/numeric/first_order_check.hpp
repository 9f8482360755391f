// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether first order was good enough: its interval against the one by Monte Carlo.

#include <algorithm>
#include <cmath>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/coverage_of_values.hpp>
#include <filterflow/numeric/monte_carlo.hpp>

namespace filterflow {

/// What a comparison of the two intervals says.
enum class FirstOrderStatus {
    holds,      ///< both ends agree within the tolerance
    fails,      ///< an end differs by more
    not_told    ///< the draws were too few to say
};

/// First order against Monte Carlo, in SI.
struct FirstOrderCheck {
    FirstOrderStatus status = FirstOrderStatus::not_told;
    double probability = 0.0;         ///< that both intervals cover, between 0 and 1
    int significant_digits = 0;       ///< of the first-order uncertainty, in which they were compared; 1 to 9
    double tolerance = 0.0;           ///< that this stands for, >= 0
    Interval<double> first_order;     // y -+ k u
    Interval<double> monte_carlo;     // of the kind compared with
    double lower_difference = 0.0;    ///< of the lower ends, >= 0
    double upper_difference = 0.0;    ///< of the upper ends, >= 0
};

/// What a status means, in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: any status
/// @param  status  of a check
/// @return a sentence without its full stop
/// @throws nothing
/// @source none needed; test: numeric/monte_carlo_test.cpp
constexpr std::string_view description(FirstOrderStatus status) {
    switch (status) {
        case FirstOrderStatus::holds: return "first order holds: both ends of its interval agree with Monte Carlo";
        case FirstOrderStatus::fails: return "first order fails: an end of its interval is off, use Monte Carlo";
        case FirstOrderStatus::not_told: return "not told: more draws are needed to say whether first order holds";
    }
    return "";
}

namespace detail {

/// A stated interval against Monte Carlo's, in so many digits that a tolerance stands for.
template <Deferred...>
inline FirstOrderCheck check_stated(const Interval<double>& stated, double tolerance, int significant_digits,
                                    const MonteCarloResult& monte_carlo, CoverageKind kind) {
    FirstOrderCheck check;
    check.probability = monte_carlo.probability;
    check.significant_digits = significant_digits;
    check.tolerance = tolerance;
    check.first_order = stated;
    check.monte_carlo = kind == CoverageKind::symmetric ? monte_carlo.symmetric : monte_carlo.shortest;
    check.lower_difference = std::abs(check.first_order.lower - check.monte_carlo.lower);
    check.upper_difference = std::abs(check.first_order.upper - check.monte_carlo.upper);
    const double low_doubt = monte_carlo.end_doubts.lower, high_doubt = monte_carlo.end_doubts.upper;
    const double delta = check.tolerance;
    if (check.lower_difference - low_doubt > delta || check.upper_difference - high_doubt > delta) {
        check.status = FirstOrderStatus::fails;
    } else if (check.lower_difference + low_doubt <= delta && check.upper_difference + high_doubt <= delta) {
        check.status = FirstOrderStatus::holds;
    }
    return check;
}

}   // namespace detail

/// Whether the first-order interval of a value agrees with the one by Monte Carlo, in the digits that matter.
///
/// Equation: d_low = |y - k u - y_low|, d_high = |y + k u - y_high|; first order holds if both <= delta
/// Symbols:  y, u first-order estimate and standard uncertainty, k coverage factor by its effective degrees of freedom,
///           y_low, y_high ends by Monte Carlo, delta numerical tolerance of u
/// Validity: the Monte Carlo should be stable within a fifth of the tolerance (`part_of_tolerance` 0.2). A difference
///           that comes as close to the tolerance as the doubt of that end is not told
/// @param  first_order  the value by `propagate`
/// @param  monte_carlo  the same by `monte_carlo`
/// @param  significant_digits  of the uncertainty, that matter: 1 or 2
/// @param  kind  which interval the Monte Carlo was made stable for, and is compared
/// @return status, intervals, differences and tolerance
/// @throws DomainError if the digits are not 1 to 9, or the Monte Carlo has no draws
/// @source JCGM 101:2008, 8; test: numeric/monte_carlo_test.cpp
template <Deferred...>
inline FirstOrderCheck check_first_order(const Uncertain<double>& first_order, const MonteCarloResult& monte_carlo,
                                         int significant_digits, CoverageKind kind = CoverageKind::symmetric) {
    if (monte_carlo.values.empty()) {
        detail::throw_domain_error("check_first_order", "number of draws", 0.0, "", "those of a Monte Carlo propagation");
    }
    const double u = first_order.standard_uncertainty();
    return detail::check_stated(coverage_interval(first_order, monte_carlo.probability),
                                numerical_tolerance(u, significant_digits), significant_digits, monte_carlo, kind);
}

}   // namespace filterflow
