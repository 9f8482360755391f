// SPDX-License-Identifier: BSL-1.0
#pragma once

// What collocation at Gauss points needs: the points, and how a polynomial through values there is integrated; a small
// system of linear equations.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// Collocation of y'' = z on [0, 1] with y(0) = 1, y(1) = 0 at Gauss points. Matrices row by row.
struct GaussCollocation {
    std::size_t points;
    std::vector<double> node, weight;                   // of quadrature on [0, 1]
    std::vector<double> slope;                          // y' = -1 + slope z
    std::vector<double> level;                          // y = 1 - x + level z
    std::vector<double> slope_columns, level_columns;   // the same column by column
    std::vector<double> analysis;                       // coefficients of z in Legendre polynomials

    template <Deferred...>
    explicit GaussCollocation(std::size_t k)
        : points(k),
          node(k),
          weight(k),
          slope(k * k),
          level(k * k),
          slope_columns(k * k),
          level_columns(k * k),
          analysis(k * k) {
        std::vector<double> p(k + 2), at(k * (k + 2));
        for (std::size_t j = 0; j < k; ++j) {
            double t =
                std::cos(3.14159265358979323846 * (static_cast<double>(k - j) - 0.25) / (static_cast<double>(k) + 0.5));
            double derivative = 1.0;
            for (int i = 0; i < 8; ++i) {
                legendre(t, p);
                derivative = static_cast<double>(k) * (t * p[k] - p[k - 1]) / (t * t - 1.0);
                t -= p[k] / derivative;
            }
            legendre(t, p);
            derivative = static_cast<double>(k) * (t * p[k] - p[k - 1]) / (t * t - 1.0);
            node[j] = 0.5 * (1.0 + t);
            weight[j] = 1.0 / ((1.0 - t * t) * derivative * derivative);
            std::copy(p.begin(), p.end(), at.begin() + static_cast<std::ptrdiff_t>(j * (k + 2)));
            for (std::size_t n = 0; n < k; ++n) analysis[n * k + j] = static_cast<double>(2 * n + 1) * weight[j] * p[n];
        }
        // Integrals from 0 of P_n in x: once s_n = (P_(n+1) - P_(n-1))/(2 (2n + 1)), and twice.
        std::vector<double> once(k + 1), twice(k);
        for (std::size_t i = 0; i < k; ++i) {
            integrals(&at[i * (k + 2)], node[i], once, twice);
            for (std::size_t j = 0; j < k; ++j) {
                double first = 0.0, second = 0.0;
                for (std::size_t n = 0; n < k; ++n) {
                    first += once[n] * analysis[n * k + j];
                    second += twice[n] * analysis[n * k + j];
                }
                const double at_start = weight[j] * (1.0 - node[j]);   // y'(0) = -1 - sum of these times z
                slope[i * k + j] = first - at_start;
                level[i * k + j] = second - node[i] * at_start;
                slope_columns[j * k + i] = slope[i * k + j];
                level_columns[j * k + i] = level[i * k + j];
            }
        }
    }

    /// Legendre coefficients of the polynomial through values at the points.
    template <Deferred...>
    std::vector<double> coefficients(const std::vector<double>& values) const {
        std::vector<double> c(points, 0.0);
        for (std::size_t n = 0; n < points; ++n) {
            for (std::size_t j = 0; j < points; ++j) c[n] += analysis[n * points + j] * values[j];
        }
        return c;
    }

    template <Deferred...>
    static void legendre(double t, std::vector<double>& p) {
        p[0] = 1.0;
        p[1] = t;
        for (std::size_t n = 1; n + 1 < p.size(); ++n) {
            const double m = static_cast<double>(n);
            p[n + 1] = ((2.0 * m + 1.0) * t * p[n] - m * p[n - 1]) / (m + 1.0);
        }
    }

    /// Integrals of P_0 to P_(k-1) from 0 to x; p holds P_0 to P_(k+1) there.
    template <Deferred...>
    static void integrals(const double* p, double x, std::vector<double>& once, std::vector<double>& twice) {
        once[0] = x;
        for (std::size_t n = 1; n < once.size(); ++n) {
            once[n] = (p[n + 1] - p[n - 1]) / (2.0 * static_cast<double>(2 * n + 1));
        }
        twice[0] = 0.5 * x * x;
        for (std::size_t n = 1; n < twice.size(); ++n) {
            twice[n] = (once[n + 1] - once[n - 1]) / (2.0 * static_cast<double>(2 * n + 1));
        }
    }
};

inline constexpr std::array<std::size_t, 11> collocation_sizes{6, 8, 10, 14, 20, 28, 40, 56, 80, 112, 160};

template <std::size_t Points>
const GaussCollocation& gauss_rule() {
    static const GaussCollocation rule(Points);
    return rule;
}

template <std::size_t... Index>
const GaussCollocation& gauss_rule(std::size_t size_index, std::index_sequence<Index...>) {
    using Rule = const GaussCollocation& (*)();
    constexpr std::array<Rule, sizeof...(Index)> rules{&gauss_rule<collocation_sizes[Index]>...};
    return rules[size_index]();
}

/// The rule of one of collocation_sizes, made when first asked for.
template <Deferred...>
inline const GaussCollocation& gauss_collocation(std::size_t size_index) {
    return gauss_rule(size_index, std::make_index_sequence<collocation_sizes.size()>());
}

/// A matrix, decomposed in place into triangles, with row exchanges.
class SmallSystem {
public:
    template <Deferred...>
    explicit SmallSystem(std::size_t n) : n_(n), a_(n * n), inverse_(n), row_(n) {}

    double* row(std::size_t i) { return &a_[i * n_]; }

    template <Deferred...>
    bool decompose() {
        for (std::size_t k = 0; k < n_; ++k) {
            std::size_t best = k;
            for (std::size_t i = k + 1; i < n_; ++i) {
                if (std::abs(a_[i * n_ + k]) > std::abs(a_[best * n_ + k])) best = i;
            }
            row_[k] = best;
            if (best != k) std::swap_ranges(&a_[k * n_], &a_[k * n_] + n_, &a_[best * n_]);
            const double pivot = a_[k * n_ + k];
            if (!(std::abs(pivot) > 0.0) || !std::isfinite(pivot)) return false;
            const double inverse = 1.0 / pivot;
            inverse_[k] = inverse;
            const double* upper = &a_[k * n_];
            for (std::size_t i = k + 1; i < n_; ++i) {
                double* lower = &a_[i * n_];
                const double factor = lower[k] * inverse;
                lower[k] = factor;
                for (std::size_t j = k + 1; j < n_; ++j) lower[j] -= factor * upper[j];
            }
        }
        return true;
    }

    template <class T>
    void solve(T* x) const {
        for (std::size_t k = 0; k < n_; ++k) {
            if (row_[k] != k) std::swap(x[k], x[row_[k]]);
        }
        for (std::size_t i = 1; i < n_; ++i) {
            for (std::size_t k = 0; k < i; ++k) x[i] -= T(a_[i * n_ + k]) * x[k];
        }
        for (std::size_t k = n_; k-- > 0;) {
            for (std::size_t j = k + 1; j < n_; ++j) x[k] -= T(a_[k * n_ + j]) * x[j];
            x[k] *= T(inverse_[k]);
        }
    }

private:
    std::size_t n_;
    std::vector<double> a_, inverse_;
    std::vector<std::size_t> row_;
};

}   // namespace filterflow::detail
