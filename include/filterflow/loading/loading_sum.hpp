// SPDX-License-Identifier: BSL-1.0
#pragma once

// The sum of squares behind fit_loading, on raw numbers scaled to the greatest mass W_max, and its descent: guarded
// Gauss-Newton steps. A form has up to three scaled parameters:
//
//   exponential, smooth, kinked   growth W_max/W*, transition W_c/W_max, cake slope k W_max
//   linear, quadratic             k W_max, c W_max^2
//   two_population                a W_max, l W_max
//
// No public functions here.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

namespace detail {

/// One reading with dust: viscous pressure = clean_viscous F(mass).
struct LoadingDatum {
    double mass, viscous, clean_viscous, uncertainty;
};

/// Number of scaled parameters of a form.
constexpr std::size_t parameter_count(LoadingForm form) {
    switch (form) {
        case LoadingForm::exponential:
        case LoadingForm::linear:
            return 1;
        case LoadingForm::kinked:
            return 3;
        default:
            return 2;
    }
}

/// The law of a form over masses scaled to the greatest.
template <class T>
LoadingCoefficients<T> scaled_law(LoadingForm form, const std::array<T, 3>& p) {
    LoadingCoefficients<T> law{form, T(1.0), T(0.0), T(0.0)};
    if (begins_exponentially(form)) {
        law.growth_scale = T(1.0) / p[0];
        law.transition = p[1];
        law.cake_slope = p[2];
    } else if (form == LoadingForm::two_population) {
        law.surface_growth = p[0];
        law.length_growth = p[1];
    } else {
        law.cake_slope = p[0];
        law.curvature = p[1];
    }
    return law;
}

class LoadingSum {
public:
    using D = Dual<3>;

    LoadingSum(const std::vector<LoadingDatum>& data, double greatest) : data_(data), greatest_(greatest) {}

    std::size_t size() const { return data_.size(); }
    double scaled_mass(std::size_t i) const { return data_[i].mass / greatest_; }

    /// Weighted residual of one reading and its derivatives to the three scaled parameters.
    template <Deferred...>
    D residual(std::size_t i, LoadingForm form, const std::array<double, 3>& p) const {
        const auto law = scaled_law<D>(form, {D::input(p[0], 0), D::input(p[1], 1), D::input(p[2], 2)});
        const LoadingDatum& d = data_[i];
        return (D(d.viscous) - D(d.clean_viscous) * loading_factor(law, D(scaled_mass(i)))) / D(d.uncertainty);
    }

    template <Deferred...>
    double value(LoadingForm form, const std::array<double, 3>& p) const {
        const auto law = scaled_law<double>(form, p);
        double sum = 0.0;
        for (std::size_t i = 0; i < size(); ++i) {
            const LoadingDatum& d = data_[i];
            const double e = (d.viscous - d.clean_viscous * loading_factor(law, scaled_mass(i))) / d.uncertainty;
            sum += e * e;
        }
        return sum;
    }

    /// Sum of squares of a filter that does not load.
    template <Deferred...>
    double without_growth() const {
        double sum = 0.0;
        for (const LoadingDatum& d : data_) {
            const double e = (d.viscous - d.clean_viscous) / d.uncertainty;
            sum += e * e;
        }
        return sum;
    }

    /// The best cake slope for a given growth and transition (the law is linear in it); >= 0.
    template <Deferred...>
    double best_slope(double growth, double transition) const {
        const double factor = std::exp(growth * transition);
        double xx = 0.0, xy = 0.0;
        for (std::size_t i = 0; i < size(); ++i) {
            const double beyond = scaled_mass(i) - transition;
            if (!(beyond > 0.0)) continue;
            const LoadingDatum& d = data_[i];
            const double x = d.clean_viscous * beyond / d.uncertainty;
            xx += x * x;
            xy += x * (d.viscous - d.clean_viscous * factor) / d.uncertainty;
        }
        return xx > 0.0 ? std::max(xy / xx, 1e-9) : 1e-9;
    }

private:
    const std::vector<LoadingDatum>& data_;
    double greatest_;
};

/// Solves a symmetric positive system of order n <= 3 in place by Cholesky; false if it is singular.
template <Deferred...>
inline bool solve_symmetric(std::array<double, 9> a, std::size_t n, std::array<double, 3>& b) {
    std::array<double, 3> scale{1.0, 1.0, 1.0};
    for (std::size_t i = 0; i < n; ++i) {
        if (!(a[i * 3 + i] > 0.0)) return false;
        scale[i] = 1.0 / std::sqrt(a[i * 3 + i]);
    }
    for (std::size_t i = 0; i < n; ++i) {
        b[i] *= scale[i];
        for (std::size_t j = 0; j < n; ++j) a[i * 3 + j] *= scale[i] * scale[j];
    }
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j <= i; ++j) {
            double sum = a[i * 3 + j];
            for (std::size_t k = 0; k < j; ++k) sum -= a[i * 3 + k] * a[j * 3 + k];
            if (i == j) {
                if (!(sum > 1e-14)) return false;
                a[i * 3 + i] = std::sqrt(sum);
            } else {
                a[i * 3 + j] = sum / a[j * 3 + j];
            }
        }
    }
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t k = 0; k < i; ++k) b[i] -= a[i * 3 + k] * b[k];
        b[i] /= a[i * 3 + i];
    }
    for (std::size_t i = n; i-- > 0;) {
        for (std::size_t k = i + 1; k < n; ++k) b[i] -= a[k * 3 + i] * b[k];
        b[i] /= a[i * 3 + i];
    }
    for (std::size_t i = 0; i < n; ++i) b[i] *= scale[i];
    return true;
}

struct LoadingCandidate {
    std::array<double, 3> p{};
    double chi_squared = std::numeric_limits<double>::infinity();
};

/// Normal equations of the free parameters.
template <Deferred...>
inline void loading_normal_equations(const LoadingSum& sum, LoadingForm form, const std::array<double, 3>& p,
                                     const std::vector<std::size_t>& free, std::array<double, 9>& a,
                                     std::array<double, 3>& b) {
    a.fill(0.0);
    b.fill(0.0);
    for (std::size_t i = 0; i < sum.size(); ++i) {
        const auto e = sum.residual(i, form, p);
        for (std::size_t j = 0; j < free.size(); ++j) {
            b[j] -= e.derivative[free[j]] * e.value;
            for (std::size_t k = 0; k < free.size(); ++k) {
                a[j * 3 + k] += e.derivative[free[j]] * e.derivative[free[k]];
            }
        }
    }
}

/// Guarded Gauss-Newton (damped after Levenberg and Marquardt) inside bounds of the second parameter.
template <Deferred...>
inline LoadingCandidate refine_loading(const LoadingSum& sum, LoadingForm form, LoadingCandidate start,
                                       const std::vector<std::size_t>& free, double lower, double upper) {
    double damping = 1e-3;
    for (int iteration = 0; iteration < 200 && damping < 1e12; ++iteration) {
        std::array<double, 9> a;
        std::array<double, 3> b;
        loading_normal_equations(sum, form, start.p, free, a, b);
        for (std::size_t j = 0; j < free.size(); ++j) a[j * 3 + j] *= 1.0 + damping;
        if (!solve_symmetric(a, free.size(), b)) {
            damping = std::max(10.0 * damping, 1e-6);
            continue;
        }
        LoadingCandidate next = start;
        double change = 0.0;
        for (std::size_t j = 0; j < free.size(); ++j) {
            double& x = next.p[free[j]];
            const double before = x;
            x += b[j];
            if (free[j] == 0) x = std::clamp(x, 0.2 * before, 5.0 * before);   // growth stays positive
            if (free[j] == 1) x = std::clamp(x, lower, upper);
            if (free[j] == 2) x = std::max(x, 1e-9);
            change = std::max(change, std::abs(x - before) / (std::abs(before) + 1e-3));
        }
        next.chi_squared = sum.value(form, next.p);
        if (next.chi_squared <= start.chi_squared) {
            start = next;
            damping *= 0.1;
            if (change < 1e-13) break;
        } else {
            damping = std::max(10.0 * damping, 1e-9);
        }
    }
    return start;
}

}   // namespace detail
}   // namespace filterflow
