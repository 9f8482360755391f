// SPDX-License-Identifier: BSL-1.0
#pragma once

// Weighted linear least squares with one to three parameters, if wished none of them negative. Householder
// reflections on the scaled design, no dynamic matrices; the bounds by trying each set of free parameters.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>

namespace filterflow {

/// Which values a least-squares parameter may take.
enum class ParameterBounds {
    none,          ///< any finite value
    non_negative,  ///< zero or more; a parameter that would be negative is held at zero
};

/// What a least-squares fit of N parameters found.
template <std::size_t N>
struct LeastSquares {
    std::array<double, N> parameters{};                  ///< estimates; zero where held
    std::array<double, N * N> covariance{};              ///< row-major, for the weights as given; zero where held
    std::array<bool, N> held{};                          ///< parameters held at their bound
    double chi_squared = 0.0;                            ///< sum of weight times squared residual
    std::size_t degrees_of_freedom = 0;                  ///< observations less free parameters
    std::vector<double> residuals;                       ///< observation less model; shape (n)
    std::vector<std::array<double, N>> influence;        ///< derivative of each parameter to each observation; (n)
};

namespace detail {

/// Least squares in the columns marked free. Returns false if these are not independent.
template <std::size_t N>
bool solve_free(std::span<const std::array<double, N>> design, std::span<const double> observations,
                std::span<const double> weights, const std::array<bool, N>& free, LeastSquares<N>& fit) {
    const std::size_t n = design.size();
    std::array<std::size_t, N> column{};
    std::size_t count = 0;
    for (std::size_t j = 0; j < N; ++j) {
        if (free[j]) column[count++] = j;
    }
    std::array<double, N> scale{};   // column norms, so that the parameters' units do not matter
    for (std::size_t j = 0; j < count; ++j) {
        double sum = 0.0;
        for (std::size_t i = 0; i < n; ++i) sum += weights[i] * design[i][column[j]] * design[i][column[j]];
        scale[j] = std::sqrt(sum);
        if (!(scale[j] > 0.0)) return false;
    }
    // a: the weighted, scaled design and, in the last place, the right-hand side; reflected to triangular form.
    std::vector<std::array<double, N + 1>> a(n);
    for (std::size_t i = 0; i < n; ++i) {
        const double root = std::sqrt(weights[i]);
        for (std::size_t j = 0; j < count; ++j) a[i][j] = root * design[i][column[j]] / scale[j];
        a[i][N] = root * observations[i];
    }
    for (std::size_t j = 0; j < count; ++j) {
        double norm = 0.0;
        for (std::size_t i = j; i < n; ++i) norm = std::hypot(norm, a[i][j]);
        if (!(norm > 1e-10)) return false;
        const double diagonal = a[j][j] > 0.0 ? -norm : norm;
        a[j][j] -= diagonal;   // the reflector sits in column j from row j on
        double squared = 0.0;
        for (std::size_t i = j; i < n; ++i) squared += a[i][j] * a[i][j];
        const auto reflect = [&](std::size_t k) {
            double dot = 0.0;
            for (std::size_t i = j; i < n; ++i) dot += a[i][j] * a[i][k];
            const double factor = 2.0 * dot / squared;
            for (std::size_t i = j; i < n; ++i) a[i][k] -= factor * a[i][j];
        };
        for (std::size_t k = j + 1; k < count; ++k) reflect(k);
        reflect(N);
        a[j][j] = diagonal;
    }
    // Inverse of the triangle, parameters, covariance.
    std::array<double, N * N> inverse{};
    for (std::size_t j = 0; j < count; ++j) {
        inverse[j * N + j] = 1.0 / a[j][j];
        for (std::size_t i = j; i-- > 0;) {
            double sum = 0.0;
            for (std::size_t k = i + 1; k <= j; ++k) sum += a[i][k] * inverse[k * N + j];
            inverse[i * N + j] = -sum / a[i][i];
        }
    }
    fit = LeastSquares<N>{};
    for (std::size_t j = 0; j < N; ++j) fit.held[j] = !free[j];
    for (std::size_t i = 0; i < count; ++i) {
        double parameter = 0.0;
        for (std::size_t j = i; j < count; ++j) parameter += inverse[i * N + j] * a[j][N];
        fit.parameters[column[i]] = parameter / scale[i];
        for (std::size_t k = 0; k < count; ++k) {
            double sum = 0.0;
            for (std::size_t j = std::max(i, k); j < count; ++j) sum += inverse[i * N + j] * inverse[k * N + j];
            fit.covariance[column[i] * N + column[k]] = sum / (scale[i] * scale[k]);
        }
    }
    fit.residuals.resize(n);
    fit.influence.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        double model = 0.0;
        for (std::size_t j = 0; j < N; ++j) {
            model += design[i][j] * fit.parameters[j];
            for (std::size_t k = 0; k < N; ++k) {
                fit.influence[i][j] += fit.covariance[j * N + k] * design[i][k] * weights[i];
            }
        }
        fit.residuals[i] = observations[i] - model;
        fit.chi_squared += weights[i] * fit.residuals[i] * fit.residuals[i];
    }
    fit.degrees_of_freedom = n - count;
    return true;
}

}   // namespace detail

/// Parameters of a linear model by weighted least squares.
///
/// Equation: minimise sum_i w_i (y_i - sum_j x_ij p_j)^2; covariance (X^T W X)^-1
/// Symbols:  y observations, x design, p parameters, w weights (one over the squared standard uncertainty)
/// Validity: at least as many observations as parameters, columns of the design independent; with the bound the
///           solution is the exact one (every set of held parameters is tried)
/// @param  design  one row of N values per observation; shape (n N)
/// @param  observations  shape (n)
/// @param  weights  > 0; shape (n)
/// @param  bounds  whether parameters may be negative
/// @return parameters, covariance, chi-squared, residuals and influence
/// @throws DomainError if the shapes differ, there are fewer observations than parameters, a value is not
///         finite, a weight is not > 0, or the columns are not independent
/// @source least squares as in any textbook (Householder 1958); test: numeric/least_squares_test.cpp
template <std::size_t N>
[[nodiscard]] LeastSquares<N> least_squares(std::span<const std::array<double, N>> design,
                                            std::span<const double> observations, std::span<const double> weights,
                                            ParameterBounds bounds = ParameterBounds::none) {
    static_assert(N >= 1 && N <= 3, "one to three parameters");
    constexpr auto where = "least_squares";
    const std::size_t n = design.size();
    if (observations.size() != n || weights.size() != n) {
        detail::throw_domain_error(where, "observations", static_cast<double>(observations.size()), "-",
                                   "as many observations and weights as rows of the design");
    }
    if (n < N) {
        detail::throw_domain_error(where, "observations", static_cast<double>(n), "-",
                                   "at least as many as parameters (" + std::to_string(N) + ")");
    }
    for (std::size_t i = 0; i < n; ++i) {
        for (const double x : design[i]) detail::require_finite(where, "design", x, "-");
        detail::require_finite(where, "observation", observations[i], "-");
        detail::require_positive(where, "weight", weights[i], "-");
    }
    LeastSquares<N> best;
    std::array<bool, N> free{};
    free.fill(true);
    if (!detail::solve_free<N>(design, observations, weights, free, best)) {
        detail::throw_domain_error(where, "design", static_cast<double>(n), "rows",
                                   "columns that do not depend on each other");
    }
    const auto feasible = [](const LeastSquares<N>& fit) {
        for (const double p : fit.parameters) {
            if (!(p >= 0.0)) return false;
        }
        return true;
    };
    if (bounds == ParameterBounds::none || feasible(best)) return best;

    // All zero is feasible; then each smaller set of free parameters that is.
    LeastSquares<N> zero;
    zero.held.fill(true);
    zero.residuals.assign(observations.begin(), observations.end());
    zero.influence.resize(n);
    for (std::size_t i = 0; i < n; ++i) zero.chi_squared += weights[i] * observations[i] * observations[i];
    zero.degrees_of_freedom = n;
    best = zero;
    for (std::size_t set = 1; set + 1 < (std::size_t{1} << N); ++set) {
        for (std::size_t j = 0; j < N; ++j) free[j] = ((set >> j) & 1U) != 0;
        LeastSquares<N> candidate;
        if (detail::solve_free<N>(design, observations, weights, free, candidate) && feasible(candidate) &&
            candidate.chi_squared < best.chi_squared) {
            best = candidate;
        }
    }
    return best;
}

}   // namespace filterflow
