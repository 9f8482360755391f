// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether readings lie about a fitted curve as their stated uncertainties say: chi-squared against chance, a bend that
// the curve has no term for, and the points of a residual plot.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/tail_probability.hpp>

namespace filterflow {

/// One reading beside the curve that was fitted to it: a point of a residual plot.
struct FitResidual {
    VolumeFlow flow;                 ///< of the reading
    Pressure fitted;                 ///< the curve in the reading's air
    Pressure residual;               ///< reading less curve
    Pressure standard_uncertainty;   ///< by which the reading was weighed; zero if it stated none
    double standardised = 0;         ///< residual over what chance gives it; 0 where the curve must meet the reading
    double leverage = 0;             ///< how far the curve follows this reading, 0 to 1
};

/// What the residuals say of a fit. Verdicts but the first three are wrong in at most 1 % of sound sets of readings,
/// together: of readings that lie about a curve of the fitted form. An element of another form, as narrow pleats are
/// beside r Q + s Q^2, bends without any reading being wrong.
enum class FitVerdict {
    not_told,               ///< no reading to spare, or nothing stated to compare the scatter with and no bend seen
    fits,                   ///< the readings lie about the curve as their uncertainties say
    closer_than_stated,     ///< nearer to the curve than chance allows: the stated uncertainties are too large
    scatters,               ///< readings depart from the curve by more than they state, without a pattern
    bends,                  ///< readings depart along a bend that the curve has no term for
    scatters_and_bends,     ///< a bend, and more scatter than stated beside it
    scatters_or_bends,      ///< one reading to spare departs by more than stated: scatter and bend look the same
};

/// The figures behind a verdict.
struct FitCheck {
    FitVerdict verdict = FitVerdict::not_told;   ///< see there
    double chi_squared = 0;                      ///< to be expected: the degrees of freedom
    double probability = 1;                      ///< that chance alone gives such a chi-squared or a greater, 0 to 1
    double bend = 0;   ///< departure along a bend over its standard uncertainty; its sign: see fit_element
    double bend_probability = 1;   ///< that chance alone gives such a bend or a greater, either way, 0 to 1
};

/// What a verdict means, in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: every verdict
/// @param  verdict  of a fit
/// @return one clause without a full stop
/// @throws nothing
/// @source none needed; test: resistance/fit_check_test.cpp
constexpr std::string_view description(FitVerdict verdict) {
    switch (verdict) {
        case FitVerdict::not_told: return "the readings do not tell whether the curve fits";
        case FitVerdict::fits: return "the readings lie about the curve as their stated uncertainties say";
        case FitVerdict::closer_than_stated:
            return "the readings lie closer to the curve than their stated uncertainties say";
        case FitVerdict::scatters: return "the readings scatter more than their stated uncertainties say";
        case FitVerdict::bends: return "the readings bend away from the curve";
        case FitVerdict::scatters_and_bends:
            return "the readings bend away from the curve and scatter more than their stated uncertainties say";
        case FitVerdict::scatters_or_bends:
            return "the readings depart from the curve by more than their stated uncertainties say; with one reading "
                   "to spare a bend looks like scatter";
    }
    return "";
}

namespace detail {

// Two tests (chi-squared and bend), each at half of what is allowed together.
inline constexpr double verdict_level = 0.005;

/// Whether a verdict says that the curve is not what the readings lie about.
constexpr bool is_lack_of_fit(FitVerdict verdict) {
    return verdict == FitVerdict::scatters || verdict == FitVerdict::bends ||
           verdict == FitVerdict::scatters_and_bends || verdict == FitVerdict::scatters_or_bends;
}

/// Residuals of a weighted fit in the space that the fit leaves free: each vector is weighted by one over the
/// reading's own uncertainty and freed of what the fitted columns can represent. Inner products are by the whole
/// covariance there, 1 + B B^T, B what the readings share.
class ResidualSpace {
public:
    /// fitted: weighted columns of the design (independent); shared: weighted effects of shared inputs of unit
    /// uncertainty, one vector each.
    template <Deferred...>
    ResidualSpace(const std::vector<std::vector<double>>& fitted, std::vector<std::vector<double>> shared)
        : shared_(std::move(shared)) {
        for (std::vector<double> column : fitted) {
            project(column);
            const double norm = std::sqrt(dot(column, column));
            if (!(norm > 0.0)) continue;
            for (double& x : column) x /= norm;
            basis_.push_back(std::move(column));
        }
        for (std::vector<double>& column : shared_) project(column);
        const std::size_t m = shared_.size();
        lower_.assign(m * m, 0.0);   // Cholesky factor of 1 + B^T B: its pivots are at least one
        for (std::size_t i = 0; i < m; ++i) {
            for (std::size_t j = 0; j <= i; ++j) {
                double sum = dot(shared_[i], shared_[j]) + (i == j ? 1.0 : 0.0);
                for (std::size_t k = 0; k < j; ++k) sum -= lower_[i * m + k] * lower_[j * m + k];
                lower_[i * m + j] = i == j ? std::sqrt(std::max(sum, 1.0)) : sum / lower_[j * m + j];
            }
        }
    }

    /// Takes away what the fitted columns represent; twice, for rounding.
    template <Deferred...>
    void project(std::vector<double>& v) const {
        for (int pass = 0; pass < 2; ++pass) {
            for (const std::vector<double>& column : basis_) {
                const double along = dot(column, v);
                for (std::size_t i = 0; i < v.size(); ++i) v[i] -= along * column[i];
            }
        }
    }

    /// (1 + B B^T)^-1 v: v less what the shared inputs explain best.
    template <Deferred...>
    std::vector<double> less_shared(std::vector<double> v) const {
        const std::size_t m = shared_.size();
        std::vector<double> z(m);
        for (std::size_t i = 0; i < m; ++i) {
            z[i] = dot(shared_[i], v);
            for (std::size_t k = 0; k < i; ++k) z[i] -= lower_[i * m + k] * z[k];
            z[i] /= lower_[i * m + i];
        }
        for (std::size_t i = m; i-- > 0;) {
            for (std::size_t k = i + 1; k < m; ++k) z[i] -= lower_[k * m + i] * z[k];
            z[i] /= lower_[i * m + i];
        }
        for (std::size_t k = 0; k < m; ++k) {
            for (std::size_t i = 0; i < v.size(); ++i) v[i] -= z[k] * shared_[k][i];
        }
        return v;
    }

    template <Deferred...>
    static double dot(const std::vector<double>& a, const std::vector<double>& b) {
        double sum = 0.0;
        for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
        return sum;
    }

private:
    std::vector<std::vector<double>> basis_;
    std::vector<std::vector<double>> shared_;
    std::vector<double> lower_;
};

/// Judges weighted residuals. `bend` is the weighted column that the curve might lack; empty if there is none.
/// `stated`: the readings' own uncertainties are known, so that chi-squared can be compared with chance.
template <Deferred...>
inline FitCheck fit_check(const ResidualSpace& space, std::vector<double> residuals, std::vector<double> bend,
                          std::size_t degrees_of_freedom, bool stated) {
    FitCheck check;
    space.project(residuals);
    const std::vector<double> own = space.less_shared(residuals);
    check.chi_squared = std::max(ResidualSpace::dot(residuals, own), 0.0);
    if (degrees_of_freedom == 0) return check;
    const double dof = static_cast<double>(degrees_of_freedom);
    bool bend_seen = false;   // whether the readings can show a bend at all
    if (!bend.empty()) {
        const double whole = ResidualSpace::dot(bend, bend);
        space.project(bend);
        const double left = ResidualSpace::dot(bend, bend);
        if (left > 1e-16 * whole && left > 0.0) {
            const double norm = ResidualSpace::dot(bend, space.less_shared(bend));
            check.bend = ResidualSpace::dot(bend, own) / std::sqrt(norm);
            bend_seen = true;
        }
    }
    const double scatter = std::max(check.chi_squared - check.bend * check.bend, 0.0);
    // Bend over the scatter beside it, where that can be told.
    const auto bend_by_scatter = [&] {
        if (!bend_seen || degrees_of_freedom < 2) return 1.0;
        if (!(scatter > 1e-20 * check.chi_squared)) return check.bend == 0.0 ? 1.0 : 0.0;
        return student_t_exceedance(check.bend / std::sqrt(scatter / (dof - 1.0)), degrees_of_freedom - 1);
    };
    if (!stated) {
        check.bend_probability = bend_by_scatter();
        if (check.bend_probability < 2.0 * verdict_level) check.verdict = FitVerdict::bends;
        return check;
    }
    check.probability = chi_squared_exceedance(check.chi_squared, degrees_of_freedom);
    if (bend_seen) check.bend_probability = chi_squared_exceedance(check.bend * check.bend, 1);
    if (degrees_of_freedom == 1 || !bend_seen) {
        const bool exceeds = check.probability < 2.0 * verdict_level;
        check.verdict = !exceeds       ? FitVerdict::fits
                        : bend_seen    ? FitVerdict::scatters_or_bends
                                       : FitVerdict::scatters;
    } else if (check.probability < verdict_level || check.bend_probability < verdict_level) {
        const bool scatters = chi_squared_exceedance(scatter, degrees_of_freedom - 1) < verdict_level;
        const bool bends = check.bend_probability < verdict_level && (!scatters || bend_by_scatter() < verdict_level);
        check.verdict = scatters && bends ? FitVerdict::scatters_and_bends
                        : bends           ? FitVerdict::bends
                                          : FitVerdict::scatters;
    } else {
        check.verdict = FitVerdict::fits;
    }
    if (check.verdict == FitVerdict::fits && 1.0 - check.probability < verdict_level) {
        check.verdict = FitVerdict::closer_than_stated;
    }
    return check;
}

}   // namespace detail

}   // namespace filterflow
