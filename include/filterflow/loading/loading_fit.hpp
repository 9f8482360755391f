// SPDX-License-Identifier: BSL-1.0
#pragma once

// The loading law that a loading test supports: dust fed and passed, pressure and flow at each step, the clean
// curve known. Weighted least squares over one to three parameters: a grid first, then guarded Gauss-Newton steps (for
// two stages between each two readings, where the law has its kink), so that no start is asked for. What the readings
// do not reach is not reported: if they never leave the exponential stage, the fit is the exponential and says so.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/loading/loading_residuals.hpp>
#include <filterflow/loading/loading_search.hpp>
#include <filterflow/loading/loading_test.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/element_reading.hpp>

namespace filterflow {

/// The loading law that best agrees with a loading test.
///
/// Equation: minimise sum_i [(dp_i - s' Q_i^2 - F(W_i) r' Q_i) / u_i]^2 over the law's parameters; covariance of the
///           parameters by a linearised step, dp = C J^T (d residual), C = (J^T J)^-1
/// Symbols:  dp_i pressure [Pa], Q_i flow [m3/s], u_i standard uncertainty [Pa] that the reading shares with no other
///           (the whole where some have none of their own, 1 Pa where none has any), r' and s' of the clean filter in
///           the air of the reading, W_i retained dust per area, F the law, J weighted Jacobian
/// Validity: as many readings with dust as parameters (1 exponential and linear, 3 kinked, 2 the others). A transition
///           is reported where it improves the fit beyond 95 % confidence over the exponential alone, a cake slope of
///           its own where it does over the tangent (else the smooth form: a kink without an angle may be anywhere), a
///           second parameter of the other forms where it does over a line; `stages` is by the smooth law for them.
///           Readings without dust are counted in the residuals only. Chi-squared takes what readings share (the
///           clean curve, gains of instruments) for covariance; it lacks fit where chance gives as much in 1 % of
///           sound tests
/// @param  input  readings, clean curve, area, form
/// @return law with uncertainties over the readings' inputs, verdict on the stages, arrestance, residuals
/// @throws DomainError if a value is outside its range, dust fed does not rise, there are fewer readings with dust
///         than parameters, the clean curve has no viscous part, or uncertainties are stated for some readings only;
///         NoSolution if the pressure does not grow with the dust
/// @source weighted nonlinear least squares (JCGM 100:2008, 5.1.2 for the uncertainties); test:
///         loading/loading_fit_test.cpp
template <Deferred...>
inline LoadingFit fit_loading(const LoadingFitInput& input) {
    constexpr auto where = "fit_loading";
    const double area = detail::require_positive(where, "area", input.area.value(), "m2");
    const double r = input.clean.curve.linear.value();
    detail::require_positive(where, "linear resistance of the clean filter", r, "Pa s/m3");
    LoadingFit fit;
    fit.asked_form = input.form;
    fit.area = input.area;
    detail::account_for_dust(input, fit);

    std::vector<detail::LoadingDatum> data;
    std::vector<std::size_t> rows;
    std::vector<Gradient> errors;
    const std::vector<std::size_t> used = detail::loading_inputs_used(input);
    std::size_t with_uncertainty = 0, with_own = 0;
    double greatest = 0.0;
    for (std::size_t i = 0; i < input.readings.size(); ++i) {
        const LoadingTestReading& reading = input.readings[i];
        const std::string name = "reading " + std::to_string(i + 1) + ": ";
        detail::require_positive(where, name + "flow", reading.flow.value.value(), "m3/s");
        detail::require_positive(where, name + "pressure drop", reading.drop.value.value(), "Pa");
        const double mass = fit.retained[i].value.value() / area;
        if (!(mass > 0.0)) continue;
        const detail::UnitDrops unit = detail::unit_drops(input.clean.curve, reading);
        const double inertial = input.clean.curve.quadratic.value() * unit.quadratic;
        // Weights by the reading's own uncertainty, with the measured pressure in place of the model's.
        const double viscous = reading.drop.value.value() - inertial;
        Gradient error = reading.drop.gradient;
        error.add(reading.flow.gradient, -(viscous + 2.0 * inertial) / reading.flow.value.value());
        if (error.variance() > 0.0) ++with_uncertainty;
        if (detail::own_variance(error, used) > 0.0) ++with_own;
        greatest = std::max(greatest, mass);
        data.push_back({mass, viscous, r * unit.linear, 1.0});
        errors.push_back(std::move(error));
        rows.push_back(i);
    }
    const std::size_t parameters = detail::parameter_count(input.form);
    if (data.size() < parameters) {
        detail::throw_domain_error(where, "number of readings with dust", static_cast<double>(data.size()), "",
                                   "at least the " + std::to_string(parameters) + " parameters of the form");
    }
    if (with_uncertainty != 0 && with_uncertainty != data.size()) {
        detail::throw_domain_error(where, "number of readings with an uncertainty",
                                   static_cast<double>(with_uncertainty), "",
                                   "all of the " + std::to_string(data.size()) + " readings with dust, or none");
    }
    const bool weighted = with_own == data.size();
    for (std::size_t n = 0; n < data.size() && with_uncertainty != 0; ++n) {
        data[n].uncertainty = std::sqrt(weighted ? detail::own_variance(errors[n], used) : errors[n].variance());
    }
    detail::LoadingSearch found = detail::search_loading(data, input.form, greatest, weighted);
    const detail::UnscaledLoading unscaled = detail::unscaled_loading(found, greatest);
    fit.law = loading_law<double>(found.form, input.reference, unscaled.values);
    fit.greatest_retained = MassPerArea::from_value(greatest);
    fit.stages = found.stages;
    fit.verdict = detail::verdict_text(found.stages, input.form, found.form);
    fit.slope_falls = slope_falls_at_transition(fit.law);
    if (fit.slope_falls) {
        fit.notes.push_back(
            "the slope falls where the cake stage begins, which dust loading does not do: more readings, "
            "or the smooth form, are called for");
    }
    if (found.alternative) {
        fit.notes.push_back("another pair of growths fits as well: surface " +
                            detail::number_text((*found.alternative)[0] / greatest) + ", length " +
                            detail::number_text((*found.alternative)[1] / greatest) +
                            " m2/kg; the growth of resistance is known, the fibres are not");
    }
    fit.degrees_of_freedom = data.size() - found.covariance_order.size();
    FitCheck check;
    check.chi_squared = found.chi_squared;
    if (weighted) check = detail::loading_check(input, fit, found, data, rows, used);
    fit.chi_squared = check.chi_squared;
    fit.lacks_fit = detail::is_lack_of_fit(check.verdict);
    for (std::size_t i = 0; i < input.readings.size(); ++i) {
        const detail::UnitDrops unit = detail::unit_drops(input.clean.curve, input.readings[i]);
        const double factor =
            detail::loading_factor(detail::loading_coefficients(fit.law), fit.retained[i].value.value() / area);
        fit.residuals.push_back(Pressure::from_value(input.readings[i].drop.value.value() - r * unit.linear * factor -
                                                     input.clean.curve.quadratic.value() * unit.quadratic));
    }

    // Uncertainty: the readings' inputs by the linearised step, and a block for scatter that they do not explain.
    for (std::size_t k = 0; k < unscaled.values.size(); ++k) fit.parameters[k].value = unscaled.values[k];
    const std::size_t free = found.covariance_order.size();
    const auto place = [&](std::size_t a) { return unscaled.place[found.covariance_order[a]]; };
    const auto scale = [&](std::size_t a) { return unscaled.scale[found.covariance_order[a]]; };
    for (std::size_t n = 0; n < rows.size(); ++n) {
        const Gradient g = detail::residual_gradient(input, fit, rows[n]);
        for (std::size_t a = 0; a < free; ++a) {
            fit.parameters[place(a)].gradient.add(g, scale(a) * found.step[a * rows.size() + n]);
        }
    }
    const double dof = static_cast<double>(fit.degrees_of_freedom);
    const double unexplained = dof > 0.0 ? fit.chi_squared / dof - (weighted ? 1.0 : 0.0) : 0.0;
    if (unexplained > 0.0) {
        std::vector<double> zero(free, 0.0), covariance(free * free);
        for (std::size_t a = 0; a < free; ++a) {
            for (std::size_t b = 0; b < free; ++b) {
                covariance[a * free + b] = unexplained * found.covariance[a * free + b] * scale(a) * scale(b);
            }
        }
        const auto scatter = correlated_block(zero, covariance, "scatter of the loading fit", dof);
        for (std::size_t a = 0; a < free; ++a) {
            fit.parameters[place(a)].gradient.add(scatter[a].gradient, 1.0);
        }
    }
    if (with_uncertainty == 0 && fit.degrees_of_freedom == 0) {
        fit.notes.push_back(
            "no reading has an uncertainty and no reading is left over: the fit's uncertainty is unknown, "
            "not zero");
    }
    return fit;
}

/// Dust that a filter holds when it reaches a final resistance.
struct DustHoldingCapacity {
    Uncertain<MassPerArea> per_area;      ///< retained per reference area
    Uncertain<Mass> retained;             ///< on the filter
    std::optional<Uncertain<Mass>> fed;   ///< dust fed by then; absent if no arrestance is known
    bool beyond_readings = false;         ///< the law was extrapolated beyond the readings
    bool is_upper_bound = false;          ///< passed dust was not weighed
};

/// Dust holding capacity of a fitted filter at a final resistance.
///
/// Equation: W from mass_at_final_resistance; retained M = W A; fed = f_i + (M - M_i)/A_i with the weighing i before M
///           and A_i the arrestance of the increment that holds M (beyond the last weighing that of the last
///           increment); where nothing was weighed M over the stated arrestance
/// Symbols:  A area of the fit [m2], f_i dust fed and M_i retained until weighing i [kg]
/// Validity: final resistance at least the clean pressure drop; flagged beyond the readings
/// @param  fit  fitted loading law
/// @param  clean  fit of the clean filter, the one fit_loading was given
/// @param  final_resistance  pressure [Pa] and the flow [m3/s] at which it is measured
/// @param  air  air of that measurement
/// @return capacity with uncertainties
/// @throws DomainError if the final resistance is below the clean pressure drop (both are named) or the flow not > 0
/// @source definitions of ASHRAE 52.2 loading tests, from memory; test: loading/loading_fit_test.cpp
template <Deferred...>
inline DustHoldingCapacity dust_holding_capacity(const LoadingFit& fit, const ElementFit& clean,
                                                 const FinalResistance& final_resistance, const AirState& air) {
    mass_at_final_resistance(clean.curve, fit.law, final_resistance, air);   // checks in double, plain messages
    constexpr std::size_t n = std::tuple_size_v<LoadingParameters<double>>;
    using D = Dual<n + 2>;
    const auto stage = [&](const std::array<D, n + 2>& x) -> std::array<D, 1> {
        const BasicElementCurve<D> curve{BasicLinearResistance<D>::from_value(x[n]),
                                         BasicQuadraticResistance<D>::from_value(x[n + 1]), clean.curve.stated_air};
        LoadingParameters<D> parameters;
        for (std::size_t i = 0; i < n; ++i) parameters[i] = x[i];
        const auto law = loading_law<D>(fit.law.form, fit.law.reference, parameters);
        const BasicFinalResistance<D> end{BasicPressure<D>::from_value(D(final_resistance.pressure.value())),
                                          BasicVolumeFlow<D>::from_value(D(final_resistance.flow.value()))};
        return {mass_at_final_resistance(curve, law, end, air_as<D>(air)).value()};
    };
    std::array<Uncertain<double>, n + 2> inputs;
    std::copy(fit.parameters.begin(), fit.parameters.end(), inputs.begin());
    inputs[n] = to_si(clean.linear);
    inputs[n + 1] = to_si(clean.quadratic);
    const auto per_area = propagate<n + 2>(stage, inputs)[0];
    DustHoldingCapacity capacity;
    capacity.per_area = from_si<MassPerArea>(per_area);
    capacity.retained = from_si<Mass>(scaled(per_area, fit.area.value()));
    capacity.beyond_readings = per_area.value > fit.greatest_retained.value();
    capacity.is_upper_bound = fit.retained_mass == RetainedMass::upper_bound;
    capacity.fed = detail::dust_fed_by(fit, to_si(capacity.retained));
    return capacity;
}

}   // namespace filterflow
