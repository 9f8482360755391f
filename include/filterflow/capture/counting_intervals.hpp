// SPDX-License-Identifier: BSL-1.0
#pragma once

// Exact intervals of counting statistics: one Poisson count, a share of a number of trials, the ratio of two
// Poisson rates. A header of its own, since it brings the special functions of Boost.Math.

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/incomplete_functions.hpp>
#include <filterflow/numeric/interval.hpp>

namespace filterflow {

/// Successes among a number of trials.
struct BinomialCount {
    double successes = 0.0;   ///< >= 0
    double trials = 0.0;      ///< >= successes, > 0
};

/// Two counts with what they were counted over (time times flow, number of samples, ...).
struct TwoCounts {
    double downstream_count = 0.0;      ///< >= 0
    double downstream_exposure = 1.0;   ///< > 0
    double upstream_count = 0.0;        ///< > 0
    double upstream_exposure = 1.0;     ///< > 0, in the unit of the other
};

namespace detail {

template <Deferred...>
inline double tail(double probability, std::string_view where) {
    if (!(probability > 0.0 && probability < 1.0)) {
        throw_domain_error(where, "probability", probability, "-", "between 0 and 1, exclusive");
    }
    return 0.5 * (1.0 - probability);
}

template <Deferred...>
inline void check(const BinomialCount& count, std::string_view where) {
    require_positive(where, "trials", count.trials, "");
    require_between(where, "successes", count.successes, 0.0, count.trials, "");
}

}   // namespace detail

/// Exact interval for the mean of a Poisson count.
///
/// Equation: P(n, m_lower) = a, Q(n + 1, m_upper) = a; m_lower = 0 for n = 0
/// Symbols:  P, Q regularised lower and upper incomplete gamma functions, n count, a = (1 - p) / 2
/// Validity: Poisson counts, p between 0 and 1; covers with at least the probability
/// @param  count  particles counted [-], >= 0
/// @param  probability  coverage probability p [-]
/// @return interval of the mean
/// @throws DomainError if the count is negative, the probability is not between 0 and 1, or a result is not finite
/// @source Garwood 1936; test: capture/counting_intervals_test.cpp
template <Deferred...>
inline Interval<double> poisson_interval(double count, double probability = 0.95) {
    constexpr auto where = "poisson_interval";
    const double a = detail::tail(probability, where);
    detail::require_non_negative(where, "count", count, "particles");
    const double lower = count > 0.0 ? detail::lower_gamma_inverse(count, a) : 0.0;
    const double upper = detail::upper_gamma_inverse(count + 1.0, a);
    return {detail::require_finite(where, "lower limit", lower, "-"),
            detail::require_finite(where, "upper limit", upper, "-")};
}

/// Exact interval for the share of successes.
///
/// Equation: I(p_lower; k, n - k + 1) = a, 1 - I(p_upper; k + 1, n - k) = a; 0 for k = 0, 1 for k = n
/// Symbols:  I regularised incomplete beta function, k successes, n trials, a = (1 - p) / 2
/// Validity: independent trials; covers with at least the probability
/// @param  count  successes and trials
/// @param  probability  coverage probability p [-]
/// @return interval of the share, within 0 and 1
/// @throws DomainError if successes are not from 0 to trials, trials not > 0, or the probability is not between 0
///         and 1
/// @source Clopper and Pearson 1934; test: capture/counting_intervals_test.cpp
template <Deferred...>
inline Interval<double> binomial_interval(const BinomialCount& count, double probability = 0.95) {
    constexpr auto where = "binomial_interval";
    const double a = detail::tail(probability, where);
    detail::check(count, where);
    const double k = count.successes;
    const double n = count.trials;
    const double lower = k > 0.0 ? detail::lower_beta_inverse(k, n - k + 1.0, a) : 0.0;
    const double upper = k < n ? detail::upper_beta_inverse(k + 1.0, n - k, a) : 1.0;
    return {detail::require_finite(where, "lower limit", lower, "-"),
            detail::require_finite(where, "upper limit", upper, "-")};
}

/// Score interval for the share of successes: narrower than the exact one, about the stated probability on average.
///
/// Equation: (s + z^2/(2n) -+ z (s (1 - s)/n + z^2/(4 n^2))^(1/2)) / (1 + z^2/n)
/// Symbols:  s = k/n share, n trials, z normal quantile of (1 + p)/2
/// Validity: independent trials
/// @param  count  successes and trials
/// @param  probability  coverage probability p [-]
/// @return interval of the share
/// @throws DomainError as binomial_interval
/// @source Wilson 1927; NIST/SEMATECH e-Handbook 7.2.4.1; test: capture/counting_intervals_test.cpp
template <Deferred...>
inline Interval<double> wilson_interval(const BinomialCount& count, double probability = 0.95) {
    constexpr auto where = "wilson_interval";
    detail::tail(probability, where);
    detail::check(count, where);
    const double n = count.trials;
    const double share = count.successes / n;
    const double z = coverage_factor(std::numeric_limits<double>::infinity(), probability);
    const double centre = share + z * z / (2.0 * n);
    const double half = z * std::sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n));
    const double scale = 1.0 + z * z / n;
    return {std::max(0.0, (centre - half) / scale), std::min(1.0, (centre + half) / scale)};
}

/// Exact interval for the ratio of two Poisson rates, downstream over upstream: given their sum, the downstream
/// count is binomial.
///
/// Equation: ratio = (s/(1 - s)) (e_u/e_d), s within binomial_interval of n_d among n_d + n_u
/// Symbols:  n counts, e exposures, d downstream, u upstream
/// Validity: independent Poisson counts; with n_d = 0 the lower limit is 0 and the upper limit alone counts
/// @param  counts  both counts and their exposures
/// @param  probability  coverage probability [-]
/// @return interval of the ratio of rates
/// @throws DomainError if a count is negative, the upstream count or an exposure is not > 0, or the probability is
///         not between 0 and 1
/// @source Przyborowski and Wilenski 1940 (conditional test); test: capture/counting_intervals_test.cpp
template <Deferred...>
inline Interval<double> poisson_ratio_interval(const TwoCounts& counts, double probability = 0.95) {
    constexpr auto where = "poisson_ratio_interval";
    detail::require_non_negative(where, "downstream_count", counts.downstream_count, "particles");
    detail::require_positive(where, "upstream_count", counts.upstream_count, "particles");
    detail::require_positive(where, "downstream_exposure", counts.downstream_exposure, "-");
    detail::require_positive(where, "upstream_exposure", counts.upstream_exposure, "-");
    const Interval<double> share = binomial_interval(
        {.successes = counts.downstream_count, .trials = counts.downstream_count + counts.upstream_count}, probability);
    const double exposures = counts.upstream_exposure / counts.downstream_exposure;
    return {exposures * share.lower / (1.0 - share.lower),
            detail::require_finite(where, "upper limit", exposures * share.upper / (1.0 - share.upper), "-")};
}

}   // namespace filterflow
