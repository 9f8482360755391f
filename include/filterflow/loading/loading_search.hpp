// SPDX-License-Identifier: BSL-1.0
#pragma once

// The search behind fit_loading, on raw numbers scaled to the greatest mass: growth u = W_max/W*, transition
// t = W_c/W_max, cake slope k W_max. A grid finds the neighbourhood; between each two readings (where the sum of
// squares is smooth in t) guarded Gauss-Newton steps finish. No public functions here.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

namespace detail {

/// One reading with dust: viscous pressure = clean_viscous F(mass).
struct LoadingDatum {
    double mass, viscous, clean_viscous, uncertainty;
};

/// What the search found.
struct LoadingSearch {
    LoadingForm form = LoadingForm::exponential;
    LoadingStages stages{};
    double growth = 0.0, transition = 0.0, slope = 0.0;   // scaled
    double chi_squared = 0.0;
    std::vector<std::size_t> covariance_order;   // which of growth, transition, slope are free
    std::vector<double> covariance;              // of those, for the readings' uncertainties, row-major
    std::vector<double> step;                    // d parameter / d residual [1/Pa], parameter by reading
};

class LoadingSum {
public:
    using D = Dual<3>;

    LoadingSum(const std::vector<LoadingDatum>& data, double greatest) : data_(data), greatest_(greatest) {}

    std::size_t size() const { return data_.size(); }
    double scaled_mass(std::size_t i) const { return data_[i].mass / greatest_; }

    /// Weighted residual of one reading and its derivatives to the three scaled parameters.
    D residual(std::size_t i, LoadingForm form, const std::array<double, 3>& p) const {
        const D u = D::input(p[0], 0);
        const LoadingCoefficients<D> law{form, D(1.0) / u, D::input(p[1], 1), D::input(p[2], 2)};
        const LoadingDatum& d = data_[i];
        return (D(d.viscous) - D(d.clean_viscous) * loading_factor(law, D(scaled_mass(i)))) / D(d.uncertainty);
    }

    double value(LoadingForm form, const std::array<double, 3>& p) const {
        const LoadingCoefficients<double> law{form, 1.0 / p[0], p[1], p[2]};
        double sum = 0.0;
        for (std::size_t i = 0; i < size(); ++i) {
            const LoadingDatum& d = data_[i];
            const double e = (d.viscous - d.clean_viscous * loading_factor(law, scaled_mass(i))) / d.uncertainty;
            sum += e * e;
        }
        return sum;
    }

    /// Sum of squares of a filter that does not load.
    double without_growth() const {
        double sum = 0.0;
        for (const LoadingDatum& d : data_) {
            const double e = (d.viscous - d.clean_viscous) / d.uncertainty;
            sum += e * e;
        }
        return sum;
    }

    /// The best cake slope for a given growth and transition (the law is linear in it); >= 0.
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

/// Guarded Gauss-Newton (damped after Levenberg and Marquardt) inside bounds of the transition.
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

inline constexpr int growth_grid = 70;
/// Growths tried, from 0.02 % to e^40-fold over the readings.
inline double grid_growth(int i) { return 2e-4 * std::pow(2e5, static_cast<double>(i) / (growth_grid - 1)); }

/// Best law of a form; the transition between two readings at a time.
inline LoadingCandidate best_loading(const LoadingSum& sum, LoadingForm form, const std::vector<double>& knots) {
    LoadingCandidate best;
    if (form == LoadingForm::exponential) {
        LoadingCandidate start;
        for (int i = 0; i < growth_grid; ++i) {
            const std::array<double, 3> p{grid_growth(i), 0.0, 0.0};
            const double chi = sum.value(form, p);
            if (chi < start.chi_squared) start = {p, chi};
        }
        return refine_loading(sum, form, start, {0}, 0.0, 0.0);
    }
    const bool kinked = form == LoadingForm::kinked;
    const std::vector<std::size_t> free = kinked ? std::vector<std::size_t>{0, 1, 2} : std::vector<std::size_t>{0, 1};
    const std::size_t first = kinked ? 1 : 0;   // a kinked law needs a reading before the kink and two not before it
    const std::size_t last = kinked ? knots.size() - 2 : knots.size() - 1;
    for (std::size_t k = first; k < last; ++k) {
        LoadingCandidate start;
        for (int i = 0; i < growth_grid; ++i) {
            for (int j = 0; j <= 6; ++j) {
                const double t = knots[k] + (knots[k + 1] - knots[k]) * j / 6.0;
                std::array<double, 3> p{grid_growth(i), t, 0.0};
                if (kinked) p[2] = sum.best_slope(p[0], t);
                const double chi = sum.value(form, p);
                if (chi < start.chi_squared) start = {p, chi};
            }
        }
        const LoadingCandidate found = refine_loading(sum, form, start, free, knots[k], knots[k + 1]);
        if (found.chi_squared < best.chi_squared) best = found;
    }
    return best;
}

inline LoadingCandidate best_linear_loading(const LoadingSum& sum) {
    LoadingCandidate start;
    for (int i = 0; i < growth_grid; ++i) {
        const std::array<double, 3> p{grid_growth(i), 0.0, 0.0};
        const double chi = sum.value(LoadingForm::smooth, p);
        if (chi < start.chi_squared) start = {p, chi};
    }
    return refine_loading(sum, LoadingForm::smooth, start, {0}, 0.0, 0.0);
}

/// Searches a form, then asks whether the readings support all of it: a parameter stays where it improves the fit
/// beyond the 95 % point of chi-squared (scaled by the scatter of the full fit where that is larger).
inline LoadingSearch search_loading(const std::vector<LoadingDatum>& data, LoadingForm form, double greatest,
                                    bool weighted) {
    const LoadingSum sum(data, greatest);
    std::vector<double> knots{0.0};
    double largest = 0.0;
    for (std::size_t i = 0; i < sum.size(); ++i) {
        if (sum.scaled_mass(i) > knots.back()) knots.push_back(sum.scaled_mass(i));
        largest = std::max(largest, std::abs(data[i].viscous) / data[i].uncertainty);
    }
    const std::size_t parameters = form == LoadingForm::smooth ? 2 : form == LoadingForm::kinked ? 3 : 1;
    if (knots.size() - 1 < parameters) {
        throw_domain_error("fit_loading", "number of different retained masses", static_cast<double>(knots.size() - 1),
                           "", "at least the " + std::to_string(parameters) + " parameters of the form");
    }
    const LoadingCandidate exponential = best_loading(sum, LoadingForm::exponential, knots);
    const LoadingCandidate linear = best_linear_loading(sum);
    const LoadingCandidate full = form == LoadingForm::exponential ? exponential : best_loading(sum, form, knots);
    const double spare = static_cast<double>(sum.size()) - static_cast<double>(parameters);
    const double rounding = 1e-18 * largest * largest;   // of residuals that a perfect fit would leave at zero
    double scatter = spare > 0.0 ? full.chi_squared / spare : 0.0;
    if (weighted) scatter = std::max(scatter, 1.0);
    scatter = std::max(scatter, rounding);
    const double one = 3.841 * scatter;                                          // chi-squared, 1 degree of freedom
    const double needed = form == LoadingForm::kinked ? 5.991 * scatter : one;   // 2 degrees of freedom

    LoadingSearch found;
    LoadingCandidate best = full;
    found.form = form;
    found.covariance_order =
        form == LoadingForm::kinked ? std::vector<std::size_t>{0, 1, 2} : std::vector<std::size_t>{0, 1};
    found.stages = LoadingStages::both;
    const bool beats_exponential = exponential.chi_squared - full.chi_squared > needed;
    const bool beats_linear = linear.chi_squared - full.chi_squared > needed;
    const bool reaches_cake = full.p[1] < knots.back() * (1.0 - 1e-9);
    if (form == LoadingForm::exponential || !beats_exponential || !reaches_cake) {
        best = exponential;
        found.form = LoadingForm::exponential;
        found.covariance_order = {0};
        found.stages = linear.chi_squared - exponential.chi_squared > one ? LoadingStages::exponential_only
                                                                          : LoadingStages::undecided;
    } else if (!beats_linear || !(full.p[1] > 0.0)) {
        best = linear;
        found.form = LoadingForm::smooth;
        found.covariance_order = {0};
        found.stages = LoadingStages::cake_only;
    }
    if (!(sum.without_growth() - best.chi_squared > one) || !(best.p[0] > 2.5e-4)) {
        throw NoSolution(
            "fit_loading: the pressure does not grow with the dust beyond the scatter of the readings (best growth over "
            "the " +
            std::to_string(sum.size()) + " readings with dust: " + number_text(100.0 * std::expm1(best.p[0])) +
            " %; tried: every growth from 0.02 % up). Likely the dust did not reach the filter, fell off it or was too "
            "little, or the flow was not read with each pressure");
    }
    found.growth = best.p[0];
    found.transition = found.form == LoadingForm::exponential ? 0.0 : best.p[1];
    found.slope = found.form == LoadingForm::kinked ? best.p[2] : 0.0;
    found.chi_squared = best.chi_squared;

    const std::size_t free = found.covariance_order.size();
    std::array<double, 9> a;
    std::array<double, 3> b;
    loading_normal_equations(sum, found.form, best.p, found.covariance_order, a, b);
    found.covariance.assign(free * free, 0.0);
    for (std::size_t j = 0; j < free; ++j) {
        std::array<double, 3> column{};
        column[j] = 1.0;
        if (!solve_symmetric(a, free, column)) {
            throw NoSolution("fit_loading: the readings do not tell the parameters of the form apart; tried: " +
                             std::to_string(free) + " parameters on " + std::to_string(sum.size()) +
                             " readings with dust");
        }
        for (std::size_t k = 0; k < free; ++k) found.covariance[k * free + j] = column[k];
    }
    found.step.assign(free * sum.size(), 0.0);
    for (std::size_t i = 0; i < sum.size(); ++i) {
        const auto e = sum.residual(i, found.form, best.p);
        for (std::size_t j = 0; j < free; ++j) {
            double step = 0.0;
            for (std::size_t k = 0; k < free; ++k) {
                step -= found.covariance[j * free + k] * e.derivative[found.covariance_order[k]];
            }
            found.step[j * sum.size() + i] = step / data[i].uncertainty;
        }
    }
    return found;
}

/// The verdict in words.
inline std::string verdict_text(LoadingStages stages, LoadingForm asked) {
    switch (stages) {
        case LoadingStages::both:
            return "the readings show the exponential stage and the cake stage";
        case LoadingStages::exponential_only:
            return asked == LoadingForm::exponential
                       ? "the readings show exponential growth"
                       : "the readings show the exponential stage only: the transition to the cake stage lies beyond "
                         "them and is not identified; reported is the exponential form";
        case LoadingStages::cake_only:
            return "the readings show linear growth from the first one on: no exponential stage is identified; "
                   "reported "
                   "is a transition at zero";
        case LoadingStages::undecided:
            return "the readings do not tell exponential from linear growth: no transition is identified; reported is "
                   "the exponential form, which grows faster beyond the readings";
    }
    return {};
}

}   // namespace detail
}   // namespace filterflow
