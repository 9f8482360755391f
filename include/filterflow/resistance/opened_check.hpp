// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether the readings of an opened filter lie about its pleat model, with a frame of any resistance that goes with
// the square of the flow around it. The curve r Q + s Q^2 that was fitted is only an approximation of that.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/element_reading.hpp>
#include <filterflow/resistance/fit_check.hpp>
#include <filterflow/resistance/opened_inputs.hpp>
#include <filterflow/resistance/viscous_split.hpp>

namespace filterflow::detail {

/// The readings against the model with a permeability that follows from r and the other inputs. What the fitted columns
/// represent drops out of both; what ruler and model leave open of the bend counts as shared by all readings.
template <Deferred...>
inline FitCheck check_against_pleats(const ElementFit& fit, const OpenedInputs& inputs,
                                     const BasicMeasuredPack<Dual<opened_inputs>>& measured,
                                     const Dual<opened_inputs>& permeability, const AirState& air) {
    const std::size_t n = fit.residual_points.size();
    const auto flowing = air_as<Dual<opened_inputs>>(air);
    std::vector<Gradient> errors = fit.reading_errors;
    std::vector<std::size_t> used;
    std::vector<double> residuals(n), root(n), linear(n), square(n), bend(n);
    for (std::size_t i = 0; i < n; ++i) {
        const FitResidual& point = fit.residual_points[i];
        const auto parts = pack_parts(measured, permeability, point.flow.value(), flowing);
        const Dual<opened_inputs> model = parts.medium + parts.channels + parts.mouths;
        residuals[i] = point.fitted.value() + point.residual.value() - model.value;
        errors[i].add(chained(inputs, model, 1, opened_inputs), -1.0);
        for (const Gradient::Term& term : errors[i].terms()) used.push_back(term.input->serial);
        const double u = point.standard_uncertainty.value(), x = point.flow / fit.greatest_flow;
        root[i] = u > 0.0 ? 1.0 / u : 1.0;
        residuals[i] *= root[i];
        linear[i] = root[i] * x;
        square[i] = linear[i] * x;
        bend[i] = -linear[i] * std::sqrt(x);
    }
    std::sort(used.begin(), used.end());
    const bool own = std::all_of(errors.begin(), errors.end(),
                                 [&](const Gradient& error) { return own_variance(error, used) > 0.0; });
    std::vector<std::vector<double>> fitted{linear};
    if (fit.form == ElementFitForm::viscous_and_inertial) {
        fitted.push_back(square);
    } else {
        bend = square;
    }
    std::vector<std::vector<double>> shared;
    if (own) shared = shared_effects(errors, root, used);
    return fit_check(ResidualSpace(fitted, std::move(shared)), residuals, bend, fit.degrees_of_freedom, own);
}

}   // namespace filterflow::detail
