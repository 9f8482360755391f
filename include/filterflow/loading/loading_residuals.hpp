// SPDX-License-Identifier: BSL-1.0
#pragma once

// Residuals of a loading fit: what each depends on, and whether chance explains them. Not public.

#include <algorithm>
#include <cstddef>
#include <map>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/loading/loading_search.hpp>
#include <filterflow/loading/loading_sum.hpp>
#include <filterflow/loading/loading_test.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/fit_check.hpp>

namespace filterflow {

namespace detail {

/// Pressure per unit of r and of s that a reading sees.
struct UnitDrops {
    double linear, quadratic;
};
template <Deferred...>
inline UnitDrops unit_drops(const ElementCurve& clean, const LoadingTestReading& reading) {
    const ElementCurve linear{LinearResistance::from_value(1.0), QuadraticResistance{}, clean.stated_air};
    const ElementCurve quadratic{LinearResistance{}, QuadraticResistance::from_value(1.0), clean.stated_air};
    return {pressure_drop(linear, reading.flow.value, reading.air).value(),
            pressure_drop(quadratic, reading.flow.value, reading.air).value()};
}

/// Serial of each input once for each reading of the test that depends on it, and twice where the clean curve does:
/// sorted, as own_variance takes it.
template <Deferred...>
inline std::vector<std::size_t> loading_inputs_used(const LoadingFitInput& input) {
    std::vector<std::size_t> used;
    const auto note = [&](const Gradient& a, const Gradient& b, int times) {
        Gradient both = a;
        both.add(b, 1.0);
        for (const Gradient::Term& term : both.terms()) {
            for (int i = 0; i < times; ++i) used.push_back(term.input->serial);
        }
    };
    for (const LoadingTestReading& reading : input.readings) note(reading.flow.gradient, reading.drop.gradient, 1);
    note(input.clean.linear.gradient, input.clean.quadratic.gradient, 2);
    std::sort(used.begin(), used.end());
    return used;
}

/// Gradient of reading less model to every elementary input, at the fitted law.
template <Deferred...>
inline Gradient residual_gradient(const LoadingFitInput& input, const LoadingFit& fit, std::size_t i) {
    const LoadingTestReading& reading = input.readings[i];
    const UnitDrops unit = unit_drops(input.clean.curve, reading);
    const double r = input.clean.curve.linear.value();
    const double s = input.clean.curve.quadratic.value();
    const double flow = reading.flow.value.value();
    const auto mass = Dual<1>::input(fit.retained[i].value.value() / input.area.value(), 0);
    const LoadingCoefficients<Dual<1>> law{fit.law.form,
                                           fit.law.growth_scale.value(),
                                           fit.law.transition.value(),
                                           fit.law.cake_slope.value(),
                                           fit.law.curvature.value(),
                                           fit.law.surface_growth.value(),
                                           fit.law.length_growth.value()};
    const Dual<1> factor = loading_factor(law, mass);
    Gradient g = reading.drop.gradient;
    g.add(reading.flow.gradient, -(r * unit.linear * factor.value + 2.0 * s * unit.quadratic) / flow);
    g.add(input.clean.linear.gradient, -unit.linear * factor.value);
    g.add(input.clean.quadratic.gradient, -unit.quadratic);
    g.add(fit.retained[i].gradient, -r * unit.linear * factor.derivative[0] / input.area.value());
    return g;
}

/// Compares the residuals of the readings with dust with what chance allows, given what the readings share: the clean
/// curve, gains of instruments, the scale of the dust. data are weighted by what each has of its own.
template <Deferred...>
inline FitCheck loading_check(const LoadingFitInput& input, const LoadingFit& fit, const LoadingSearch& found,
                              const std::vector<LoadingDatum>& data, const std::vector<std::size_t>& rows,
                              const std::vector<std::size_t>& used) {
    const std::size_t n = data.size();
    const LoadingSum sum(data, fit.greatest_retained.value());
    std::vector<double> residuals(n);
    std::vector<std::vector<double>> fitted(found.covariance_order.size(), std::vector<double>(n));
    std::map<std::size_t, std::vector<double>> shared;   // by serial of the input
    for (std::size_t i = 0; i < n; ++i) {
        const Dual<3> residual = sum.residual(i, found.form, found.parameters);
        residuals[i] = residual.value;
        for (std::size_t a = 0; a < fitted.size(); ++a) fitted[a][i] = residual.derivative[found.covariance_order[a]];
        const Gradient gradient = residual_gradient(input, fit, rows[i]);   // keeps its terms alive in the loop
        for (const Gradient::Term& term : gradient.terms()) {
            const auto [first, last] = std::equal_range(used.begin(), used.end(), term.input->serial);
            if (last - first == 1) continue;   // the reading's own, already its weight
            std::vector<double>& column = shared[term.input->serial];
            column.resize(n, 0.0);
            column[i] = term.derivative * term.input->standard_uncertainty / data[i].uncertainty;
        }
    }
    std::vector<std::vector<double>> columns;
    for (auto& [serial, column] : shared) columns.push_back(std::move(column));
    return fit_check(ResidualSpace(fitted, std::move(columns)), std::move(residuals), {}, fit.degrees_of_freedom, true);
}

}   // namespace detail

}   // namespace filterflow
