// SPDX-License-Identifier: BSL-1.0
#pragma once

// Distributions that are given by numbers instead of a formula: observations drawn again as they are, or a distribution
// function by its points, straight between them.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

class EmpiricalDistribution;
template <Deferred...>
EmpiricalDistribution resampled_distribution(std::span<const double> observations,
                                             std::span<const double> weights = {});

/// A distribution function by its points. Made by `resampled_distribution`, `interpolated_distribution` or
/// `tabulated_distribution`.
class EmpiricalDistribution {
public:
    const std::vector<double>& points() const { return points_; }           ///< ascending; shape (n)
    const std::vector<double>& cumulative() const { return cumulative_; }   ///< up to and with each point; shape (n)
    bool is_stepped() const { return stepped_; }                            ///< whether only the points occur

    /// Value that a share u of the distribution does not exceed; 0 < u < 1.
    double quantile(double u) const {
        std::size_t i = guide_[static_cast<std::size_t>(u * static_cast<double>(guide_.size()))];
        while (cumulative_[i] < u) ++i;
        if (stepped_ || i == 0) return points_[i];
        const double below = cumulative_[i - 1], above = cumulative_[i];
        return points_[i - 1] + (points_[i] - points_[i - 1]) * ((u - below) / (above - below));
    }

private:
    template <Deferred...>
    EmpiricalDistribution(std::vector<double> points, std::vector<double> cumulative, bool stepped)
        : points_(std::move(points)), cumulative_(std::move(cumulative)), stepped_(stepped) {
        cumulative_.back() = 1.0;   // what rounding took
        guide_.resize(points_.size());
        std::size_t i = 0;
        for (std::size_t j = 0; j < guide_.size(); ++j) {
            const double start = static_cast<double>(j) / static_cast<double>(guide_.size());
            while (cumulative_[i] < start) ++i;
            guide_[j] = i;
        }
    }
    template <Deferred...>
    friend EmpiricalDistribution resampled_distribution(std::span<const double>, std::span<const double>);
    template <Deferred...>
    friend EmpiricalDistribution tabulated_distribution(std::span<const double>, std::span<const double>);

    std::vector<double> points_, cumulative_;
    std::vector<std::size_t> guide_;   // first point that shares from j/n on can mean
    bool stepped_ = false;
};

/// Observations that are drawn again as they are, each as often as any other or by its weight.
///
/// Equation: P(X = x_i) = w_i/sum w
/// Symbols:  x observations, w weights
/// Validity: says nothing beyond the observations: with few of them the spread is too small by ((n - 1)/n)^0.5
/// @param  observations  in any order, at least one, finite; shape (n)
/// @param  weights  >= 0, not all zero; shape (n), or empty for equal ones
/// @return the distribution
/// @throws DomainError if there is no observation, one is not finite, or the weights are not as stated
/// @source Efron 1979, Ann. Statist. 7:1 (from memory); test: numeric/random_distributions_test.cpp
template <Deferred...>
inline EmpiricalDistribution resampled_distribution(std::span<const double> observations,
                                                    std::span<const double> weights) {
    constexpr auto where = "resampled_distribution";
    const std::size_t n = observations.size();
    if (n == 0) detail::throw_domain_error(where, "number of observations", 0.0, "", "at least 1");
    if (!weights.empty() && weights.size() != n) {
        detail::throw_domain_error(where, "number of weights", static_cast<double>(weights.size()), "",
                                   "as many as observations");
    }
    for (const double x : observations) detail::require_finite(where, "observation", x, "");
    for (const double w : weights) detail::require_non_negative(where, "weight", w, "");
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return observations[a] < observations[b]; });
    const double total = weights.empty() ? static_cast<double>(n)
                                         : std::accumulate(weights.begin(), weights.end(), 0.0);
    detail::require_positive(where, "sum of the weights", total, "");
    std::vector<double> points, cumulative;
    double sum = 0.0;
    for (std::size_t k = 0; k < n; ++k) {
        const double w = weights.empty() ? 1.0 : weights[order[k]];
        if (w == 0.0) continue;
        sum += w;
        points.push_back(observations[order[k]]);
        cumulative.push_back(sum / total);
    }
    return EmpiricalDistribution(std::move(points), std::move(cumulative), true);
}

/// A distribution function by its points, straight between them: equal density between two points.
///
/// Equation: F(x) = F_i + (F_{i+1} - F_i)(x - x_i)/(x_{i+1} - x_i)
/// Symbols:  x_i points, F_i share up to each of them
/// Validity: nothing lies beyond the first and the last point
/// @param  points  strictly ascending, at least two; shape (n)
/// @param  cumulative  strictly ascending from 0 to 1; shape (n)
/// @return the distribution
/// @throws DomainError if points or shares are not as stated
/// @source JCGM 101:2008, 6.4.2 and annex D (distribution functions by points); test:
///         numeric/random_distributions_test.cpp
template <Deferred...>
inline EmpiricalDistribution tabulated_distribution(std::span<const double> points, std::span<const double> cumulative) {
    constexpr auto where = "tabulated_distribution";
    const std::size_t n = points.size();
    if (n < 2 || cumulative.size() != n) {
        detail::throw_domain_error(where, "number of points", static_cast<double>(n), "",
                                   "at least 2, and as many cumulative shares");
    }
    for (std::size_t i = 0; i < n; ++i) {
        detail::require_finite(where, "point", points[i], "");
        detail::require_between(where, "cumulative share", cumulative[i], 0.0, 1.0, "");
        if (i > 0 && !(points[i] > points[i - 1])) {
            detail::throw_domain_error(where, "point " + std::to_string(i + 1), points[i], "", "above the one before");
        }
        if (i > 0 && !(cumulative[i] > cumulative[i - 1])) {
            detail::throw_domain_error(where, "cumulative share " + std::to_string(i + 1), cumulative[i], "",
                                       "above the one before");
        }
    }
    if (cumulative.front() != 0.0 || cumulative.back() != 1.0) {
        detail::throw_domain_error(where, "first cumulative share", cumulative.front(), "", "0, and the last one 1");
    }
    return EmpiricalDistribution({points.begin(), points.end()}, {cumulative.begin(), cumulative.end()}, false);
}

/// A smooth distribution through observations: their distribution function, straight from each to the next.
///
/// Equation: F(x_(i)) = (i - 1)/(n - 1)
/// Symbols:  x_(i) the i-th of the ordered observations, n their number
/// Validity: nothing lies beyond the least and the greatest observation; equal observations are not allowed (use
///           `resampled_distribution`)
/// @param  observations  in any order, at least two, all different; shape (n)
/// @return the distribution
/// @throws DomainError if there are fewer than two observations, two are equal or one is not finite
/// @source Hyndman and Fan 1996, Am. Stat. 50:361, definition 7 (from memory); test:
///         numeric/random_distributions_test.cpp
template <Deferred...>
inline EmpiricalDistribution interpolated_distribution(std::span<const double> observations) {
    constexpr auto where = "interpolated_distribution";
    std::vector<double> points(observations.begin(), observations.end());
    for (const double x : points) detail::require_finite(where, "observation", x, "");
    if (points.size() < 2) {
        detail::throw_domain_error(where, "number of observations", static_cast<double>(points.size()), "",
                                   "at least 2");
    }
    std::sort(points.begin(), points.end());
    std::vector<double> cumulative(points.size());
    for (std::size_t i = 0; i < points.size(); ++i) {
        cumulative[i] = static_cast<double>(i) / static_cast<double>(points.size() - 1);
    }
    return tabulated_distribution(points, cumulative);
}

}   // namespace filterflow
