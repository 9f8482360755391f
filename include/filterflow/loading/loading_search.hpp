// SPDX-License-Identifier: BSL-1.0
#pragma once

// The search behind fit_loading: the best law of the form asked for, and what of it the readings support. No public
// functions here.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/loading/loading_candidates.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/loading/loading_sum.hpp>

namespace filterflow {

namespace detail {

/// What the search found.
struct LoadingSearch {
    LoadingForm form = LoadingForm::exponential;
    LoadingStages stages{};
    std::array<double, 3> parameters{};   // scaled, as scaled_law takes them
    double chi_squared = 0.0;
    std::vector<std::size_t> covariance_order;          // which of them are free
    std::vector<double> covariance;                     // of those, for the readings' uncertainties, row-major
    std::vector<double> step;                           // d parameter / d residual [1/Pa], parameter by reading
    std::optional<std::array<double, 3>> alternative;   // other parameters that fit as well
};

/// The parameters of a search in SI: values, and of each scaled one its place among them and its scale.
struct UnscaledLoading {
    std::array<double, 6> values{};
    std::array<std::size_t, 3> place{};
    std::array<double, 3> scale{};   // d value / d scaled
};

template <Deferred...>
inline UnscaledLoading unscaled_loading(const LoadingSearch& found, double greatest) {
    const std::array<double, 3>& p = found.parameters;
    UnscaledLoading result;
    if (begins_exponentially(found.form)) {
        result.place = {0, 1, 2};
        result.scale = {-greatest / (p[0] * p[0]), greatest, 1.0 / greatest};
        result.values[0] = greatest / p[0];
        result.values[1] = p[1] * greatest;
        result.values[2] = p[2] / greatest;
        return result;
    }
    if (found.form == LoadingForm::two_population) {
        result.place = {4, 5, 5};
        result.scale = {1.0 / greatest, 1.0 / greatest, 0.0};
    } else {
        result.place = {2, 3, 3};
        result.scale = {1.0 / greatest, 1.0 / (greatest * greatest), 0.0};
    }
    for (std::size_t i = 0; i < 2; ++i) result.values[result.place[i]] = p[i] * result.scale[i];
    return result;
}

/// The fits that the readings are judged by.
struct LoadingRivals {
    LoadingCandidate exponential, linear, full;   // full: of the form asked for
    LoadingCandidate smooth;                      // where that is the kinked one
    double scatter = 0.0;                         // by which a gain in the sum of squares is judged
    bool reaches(double last) const { return full.p[1] < last * (1.0 - 1e-9); }
};

inline double scatter_of(double chi_squared, double spare, bool weighted, double rounding) {
    double scatter = spare > 0.0 ? chi_squared / spare : 0.0;
    if (weighted) scatter = std::max(scatter, 1.0);
    return std::max(scatter, rounding);
}

/// What the readings support of two stages, and the form and parameters to report for it.
template <Deferred...>
inline void settle_two_stages(const LoadingRivals& rivals, LoadingForm form, double last, LoadingSearch& found,
                              LoadingCandidate& best) {
    const double one = 3.841 * rivals.scatter;                                          // 1 degree of freedom
    const double needed = form == LoadingForm::kinked ? 5.991 * rivals.scatter : one;   // 2 degrees of freedom
    best = rivals.full;
    found.form = form;
    found.covariance_order =
        form == LoadingForm::kinked ? std::vector<std::size_t>{0, 1, 2} : std::vector<std::size_t>{0, 1};
    found.stages = LoadingStages::both;
    const bool beats_exponential = rivals.exponential.chi_squared - rivals.full.chi_squared > needed;
    const bool beats_linear = rivals.linear.chi_squared - rivals.full.chi_squared > needed;
    if (form == LoadingForm::exponential || !beats_exponential || !rivals.reaches(last)) {
        best = rivals.exponential;
        found.form = LoadingForm::exponential;
        found.covariance_order = {0};
        found.stages = rivals.linear.chi_squared - rivals.exponential.chi_squared > one
                           ? LoadingStages::exponential_only
                           : LoadingStages::undecided;
    } else if (!beats_linear || !(rivals.full.p[1] > 0.0)) {
        best = rivals.linear;   // F = 1 + u W is the smooth law with its transition at zero
        found.form = LoadingForm::smooth;
        found.covariance_order = {0};
        found.stages = LoadingStages::cake_only;
    } else if (form == LoadingForm::kinked && !(rivals.smooth.chi_squared - rivals.full.chi_squared > one)) {
        best = rivals.smooth;   // where the slope does not change, a kink may be anywhere
        found.form = LoadingForm::smooth;
        found.covariance_order = {0, 1};
    }
}

/// What the readings support of a form that is not of two stages; the stages they show are judged by the smooth law.
template <Deferred...>
inline void settle_other_form(const LoadingSum& sum, const LoadingRivals& rivals, LoadingForm form,
                              const std::vector<double>& knots, bool weighted, double rounding, LoadingSearch& found,
                              LoadingCandidate& best) {
    const double one = 3.841 * rivals.scatter;
    best = rivals.full;
    found.form = form;
    found.covariance_order = form == LoadingForm::linear ? std::vector<std::size_t>{0} : std::vector<std::size_t>{0, 1};
    if (form == LoadingForm::quadratic) {
        const LoadingCandidate square = best_single_loading(sum, form, 1);
        if (square.chi_squared <= rivals.full.chi_squared * (1.0 + 1e-9) + rounding) {   // the slope at its bound
            best = square;
            found.covariance_order = {1};
        }
    }
    if (form != LoadingForm::linear && !(rivals.linear.chi_squared - rivals.full.chi_squared > one)) {
        best = rivals.linear;
        found.form = LoadingForm::linear;
        found.covariance_order = {0};
    } else if (form == LoadingForm::two_population) {
        for (const LoadingCandidate& other : pair_loadings(sum, form)) {
            if (!(std::abs(other.p[0] - best.p[0]) > 0.2 * best.p[0])) continue;
            if (other.chi_squared - best.chi_squared < one) found.alternative = other.p;
            break;
        }
    }
    found.stages = LoadingStages::undecided;
    if (knots.size() - 1 < parameter_count(LoadingForm::smooth)) return;
    LoadingRivals stages = rivals;
    stages.full = best_loading(sum, LoadingForm::smooth, knots);
    const double spare = static_cast<double>(sum.size()) - 2.0;
    stages.scatter = scatter_of(stages.full.chi_squared, spare, weighted, rounding);
    LoadingSearch judged;
    LoadingCandidate of_stages;
    settle_two_stages(stages, LoadingForm::smooth, knots.back(), judged, of_stages);
    found.stages = judged.stages;
}

/// Covariance of the free parameters and their response to each residual.
template <Deferred...>
inline void linearise_loading(const LoadingSum& sum, const std::vector<LoadingDatum>& data, LoadingSearch& found) {
    const std::size_t free = found.covariance_order.size();
    std::array<double, 9> a;
    std::array<double, 3> b;
    loading_normal_equations(sum, found.form, found.parameters, found.covariance_order, a, b);
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
        const auto e = sum.residual(i, found.form, found.parameters);
        for (std::size_t j = 0; j < free; ++j) {
            double step = 0.0;
            for (std::size_t k = 0; k < free; ++k) {
                step -= found.covariance[j * free + k] * e.derivative[found.covariance_order[k]];
            }
            found.step[j * sum.size() + i] = step / data[i].uncertainty;
        }
    }
}

/// Searches a form, then asks whether the readings support all of it: a parameter stays where it improves the fit
/// beyond the 95 % point of chi-squared (scaled by the scatter of the full fit where that is larger).
template <Deferred...>
inline LoadingSearch search_loading(const std::vector<LoadingDatum>& data, LoadingForm form, double greatest,
                                    bool weighted) {
    const LoadingSum sum(data, greatest);
    std::vector<double> knots{0.0};
    double largest = 0.0;
    for (std::size_t i = 0; i < sum.size(); ++i) {
        if (sum.scaled_mass(i) > knots.back()) knots.push_back(sum.scaled_mass(i));
        largest = std::max(largest, std::abs(data[i].viscous) / data[i].uncertainty);
    }
    const std::size_t parameters = parameter_count(form);
    if (knots.size() - 1 < parameters) {
        throw_domain_error("fit_loading", "number of different retained masses", static_cast<double>(knots.size() - 1),
                           "", "at least the " + std::to_string(parameters) + " parameters of the form");
    }
    LoadingRivals rivals;
    rivals.exponential = best_loading(sum, LoadingForm::exponential, knots);
    rivals.linear = best_loading(sum, LoadingForm::linear, knots);
    rivals.full = form == LoadingForm::exponential ? rivals.exponential
                  : form == LoadingForm::linear    ? rivals.linear
                                                   : best_loading(sum, form, knots);
    if (form == LoadingForm::kinked) rivals.smooth = best_loading(sum, LoadingForm::smooth, knots);
    const double rounding = 1e-18 * largest * largest;   // of residuals that a perfect fit would leave at zero
    const double spare = static_cast<double>(sum.size()) - static_cast<double>(parameters);
    rivals.scatter = scatter_of(rivals.full.chi_squared, spare, weighted, rounding);

    LoadingSearch found;
    LoadingCandidate best;
    if (begins_exponentially(form)) {
        settle_two_stages(rivals, form, knots.back(), found, best);
    } else {
        settle_other_form(sum, rivals, form, knots, weighted, rounding, found, best);
    }
    const double grown = begins_exponentially(found.form)
                             ? best.p[0]
                             : loading_factor(scaled_law<double>(found.form, best.p), 1.0) - 1.0;
    if (!(sum.without_growth() - best.chi_squared > 3.841 * rivals.scatter) || !(grown > 2.5e-4)) {
        throw NoSolution(
            "fit_loading: the pressure does not grow with the dust beyond the scatter of the readings (best growth "
            "over "
            "the " +
            std::to_string(sum.size()) + " readings with dust: " +
            number_text(100.0 * (begins_exponentially(found.form) ? std::expm1(grown) : grown)) +
            " %; tried: every growth from 0.02 % up). Likely the dust did not reach the filter, fell off it or was too "
            "little, or the flow was not read with each pressure");
    }
    found.parameters = best.p;
    if (found.form == LoadingForm::exponential) found.parameters[1] = 0.0;
    if (found.form != LoadingForm::kinked) found.parameters[2] = 0.0;
    found.chi_squared = best.chi_squared;
    linearise_loading(sum, data, found);
    return found;
}

/// The verdict in words; which form is reported for it.
template <Deferred...>
inline std::string verdict_text(LoadingStages stages, LoadingForm asked, LoadingForm reported) {
    const bool by_stages = begins_exponentially(asked);
    std::string text;
    switch (stages) {
        case LoadingStages::both:
            text = "the readings show the exponential stage and the cake stage";
            if (asked == LoadingForm::kinked && reported == LoadingForm::smooth) {
                text += "; no slope of the cake's own is told from the tangent: reported is the smooth form";
            }
            break;
        case LoadingStages::exponential_only:
            text = asked == LoadingForm::exponential
                       ? "the readings show exponential growth"
                       : "the readings show the exponential stage only: the transition to the cake stage lies beyond "
                         "them and is not identified";
            if (by_stages && asked != LoadingForm::exponential) text += "; reported is the exponential form";
            break;
        case LoadingStages::cake_only:
            text = "the readings show linear growth from the first one on: no exponential stage is identified";
            if (by_stages) text += "; reported is a transition at zero";
            break;
        case LoadingStages::undecided:
            text = "the readings do not tell exponential from linear growth: no transition is identified";
            if (by_stages) text += "; reported is the exponential form, which grows faster beyond the readings";
            break;
    }
    if (by_stages || reported == asked) return text;
    return text + (asked == LoadingForm::quadratic
                       ? "; no curvature is told from zero: reported is the linear form"
                       : "; no growth in the length of fibres is told from zero: reported is the linear form");
}

}   // namespace detail
}   // namespace filterflow
