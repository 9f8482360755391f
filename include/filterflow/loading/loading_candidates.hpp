// SPDX-License-Identifier: BSL-1.0
#pragma once

// The best law of each form for a loading test: a grid finds the neighbourhood; guarded Gauss-Newton steps finish, for
// two stages between each two readings, where the sum of squares is smooth in the transition. No public functions here.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/loading/loading_sum.hpp>

namespace filterflow {

namespace detail {

inline constexpr int growth_grid = 70;
/// Growths tried, from 0.02 % to e^40-fold over the readings.
inline double grid_growth(int i) { return 2e-4 * std::pow(2e5, static_cast<double>(i) / (growth_grid - 1)); }

inline constexpr double no_upper_bound = 1e18;

/// Best law of a form with one parameter, or whose other parameters are zero.
template <Deferred...>
inline LoadingCandidate best_single_loading(const LoadingSum& sum, LoadingForm form, std::size_t which) {
    LoadingCandidate start;
    for (int i = 0; i < growth_grid; ++i) {
        std::array<double, 3> p{};
        p[which] = grid_growth(i);
        const double chi = sum.value(form, p);
        if (chi < start.chi_squared) start = {p, chi};
    }
    return refine_loading(sum, form, start, {which}, 0.0, which == 1 ? no_upper_bound : 0.0);
}

/// Laws of a form with two growths from the start (quadratic, two populations), the best one first. Along the valley
/// where one growth makes up for the other there may be several minima: each second growth of a grid is a start.
template <Deferred...>
inline std::vector<LoadingCandidate> pair_loadings(const LoadingSum& sum, LoadingForm form) {
    std::vector<LoadingCandidate> all;
    for (int j = -1; j < growth_grid; j += 3) {
        LoadingCandidate start;
        for (int i = 0; i < growth_grid; ++i) {
            const std::array<double, 3> p{grid_growth(i), j < 0 ? 0.0 : grid_growth(j), 0.0};
            const double chi = sum.value(form, p);
            if (chi < start.chi_squared) start = {p, chi};
        }
        all.push_back(refine_loading(sum, form, start, {0, 1}, 0.0, no_upper_bound));
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const auto& x, const auto& y) { return x.chi_squared < y.chi_squared; });
    return all;
}

/// Best law of two stages; the transition between two readings at a time.
template <Deferred...>
inline LoadingCandidate best_two_stage_loading(const LoadingSum& sum, LoadingForm form,
                                               const std::vector<double>& knots) {
    LoadingCandidate best;
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

template <Deferred...>
inline LoadingCandidate best_loading(const LoadingSum& sum, LoadingForm form, const std::vector<double>& knots) {
    switch (form) {
        case LoadingForm::exponential:
        case LoadingForm::linear:
            return best_single_loading(sum, form, 0);
        case LoadingForm::quadratic:
        case LoadingForm::two_population:
            return pair_loadings(sum, form).front();
        default:
            return best_two_stage_loading(sum, form, knots);
    }
}

}   // namespace detail
}   // namespace filterflow
