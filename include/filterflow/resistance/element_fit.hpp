// SPDX-License-Identifier: BSL-1.0
#pragma once

// From readings of flow and pressure to an element curve dp = r Q + s Q^2 with its uncertainty. The parameters'
// gradients go back to the readings' own inputs, so that a manometer shared by two elements cancels in their
// difference.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_curve.hpp>
#include <filterflow/resistance/element_reading.hpp>
#include <filterflow/resistance/fit_check.hpp>

namespace filterflow {

/// Which parts of the curve the fit kept.
enum class ElementFitForm {
    viscous_and_inertial,   ///< r and s
    viscous_only,           ///< s held at zero
    inertial_only,          ///< r held at zero
};

/// An element curve with what is known about it.
struct ElementFit {
    ElementCurve curve;                        ///< best estimate in the stated air
    Uncertain<LinearResistance> linear;        ///< r; exact zero where held
    Uncertain<QuadraticResistance> quadratic;  ///< s; exact zero where held
    ElementFitForm form = ElementFitForm::viscous_and_inertial;   ///< parts kept: fewer where a bound was active
    bool form_assumed = false;                 ///< the form was not shown by readings (a lone one, a stated share)
    VolumeFlow least_flow;                     ///< of the readings
    VolumeFlow greatest_flow;                  ///< of the readings
    std::size_t reading_count = 0;             ///< readings used
    double chi_squared = 0;                    ///< of the residuals, by all that is stated; see fit_element
    std::size_t degrees_of_freedom = 0;        ///< readings less parameters kept
    bool lacks_fit = false;   ///< by `check`: wrong in at most 1 % of sound sets of readings of r Q + s Q^2
    std::vector<Pressure> residuals;           ///< reading less curve, in the reading's air; shape (n)
    FitCheck check;                            ///< chi-squared and bend against chance, and the verdict
    std::vector<FitResidual> residual_points;  ///< points of a residual plot; shape (n)
    std::vector<Gradient> reading_errors;      ///< of drop less curve, to the inputs of the readings; shape (n)
};

namespace detail {

inline constexpr double distinct_flow_ratio = 1.05;   // greatest to least flow that can tell r from s

/// What does not depend on the number of parameters.
template <std::size_t N>
ElementFit element_fit_of(std::span<const ElementReading> readings, const ReadingsFit<N>& fit) {
    ElementFit result;
    result.least_flow = result.greatest_flow = readings.front().flow.value;
    for (const ElementReading& reading : readings) {
        result.least_flow = std::min(result.least_flow, reading.flow.value);
        result.greatest_flow = std::max(result.greatest_flow, reading.flow.value);
    }
    result.reading_count = readings.size();
    result.check = fit.check;
    result.residual_points = fit.residuals;
    result.reading_errors = fit.errors;
    result.chi_squared = fit.check.chi_squared;
    result.degrees_of_freedom = fit.squares.degrees_of_freedom;
    result.lacks_fit = is_lack_of_fit(fit.check.verdict);
    for (const double residual : fit.squares.residuals) result.residuals.push_back(Pressure::from_value(residual));
    return result;
}

template <Deferred...>
inline void set_curve(ElementFit& fit, Uncertain<double> linear, Uncertain<double> quadratic, const AirState& air,
                      const char* where) {
    if (!(linear.value > 0.0) && !(quadratic.value > 0.0)) {
        throw_domain_error(where, "resistance of the element", 0.0, "Pa s/m3",
                           "> 0: the readings show no pressure drop in the direction of the flow");
    }
    fit.form = !(quadratic.value > 0.0) ? ElementFitForm::viscous_only
               : !(linear.value > 0.0)  ? ElementFitForm::inertial_only
                                        : ElementFitForm::viscous_and_inertial;
    fit.linear = from_si<LinearResistance>(linear);
    fit.quadratic = from_si<QuadraticResistance>(quadratic);
    fit.curve = {fit.linear.value, fit.quadratic.value, air};
}

}   // namespace detail

/// Element curve that fits readings best, r and s not negative. A lone reading gives the viscous form, which is
/// then an assumption and flagged so.
///
/// Equation: minimise sum_i (dp_i - r (mu_i/mu0) Q_i - s (rho_i/rho0) Q_i^2)^2 / u_i^2, r, s >= 0;
///           u_i^2 = u^2(dp_i - (d dp/dQ) Q_i)
/// Symbols:  dp drop [Pa], Q flow [m3/s], mu viscosity, rho density (0 of the stated air), r, s as ElementCurve
/// Validity: between the least and greatest flow; readings of which the greatest flow is less than 1.05 times the
///           least do not tell r from s (throws unless there is one). Where a bound is active the reduced form is
///           fitted and reported; uncertainties are of that form. Weights use what a reading shares with no other
///           (its flutter); what readings share (a manometer's offset) goes through the gradients. Chi-squared is by
///           the whole covariance of the readings, so that a stated offset is no lack of fit. Scatter beyond it is
///           added as inputs of its own. Where some reading states no flutter, the scatter is found from the
///           residuals alone, chi-squared is by the whole uncertainties (by 1 Pa if there are none), and only a
///           bend can be told. The bend looked for is along -Q^1.5 (high at both ends of the flows, low between), as
///           a power law and an offset in the pressure give it; where a parameter is held at its bound, along that
///           parameter, so that `check.bend` tells how far beyond the bound the readings draw it. r Q + s Q^2 is
///           an approximation of a pleated element: momentum in its channels bends the curve by some per cent, which
///           exact enough readings show as a lack of fit; opened_medium judges them against the pleat model
/// @param  readings  flow > 0 with drop; shape (n), n >= 1; uncertainties all > 0, or all zero (equal weights)
/// @param  stated_air  air for which the curve is stated
/// @return curve, uncertain parameters, form and what the fit rests on
/// @throws DomainError if there is no reading, a value is out of range, the flows do not differ, or the readings
///         show no resistance at all
/// @source weighted least squares with effective variance (Orear 1982, from memory); JCGM 100:2008 (GUM), 5.1;
///         test: resistance/element_fit_test.cpp
template <Deferred...>
[[nodiscard]] inline ElementFit fit_element(std::span<const ElementReading> readings, const AirState& stated_air) {
    constexpr auto where = "fit_element";
    detail::check_readings(readings, stated_air, where);
    const auto factors = [&](std::size_t i) { return detail::air_factors(readings[i].air, stated_air); };
    const auto flow = [&](std::size_t i) { return readings[i].flow.value.value(); };
    if (readings.size() == 1) {
        const auto fit = detail::fit_readings<1>(
            readings, [&](std::size_t i) { return std::array{factors(i).viscosity * flow(i)}; },
            [&](std::size_t i) { return std::array{factors(i).viscosity}; },
            [](std::size_t, const std::array<bool, 1>&) { return 0.0; }, where);
        ElementFit result = detail::element_fit_of(readings, fit);
        result.form_assumed = true;
        detail::set_curve(result, {fit.squares.parameters[0], fit.gradients[0]}, 0.0, stated_air, where);
        return result;
    }
    const auto [least, greatest] = std::minmax_element(
        readings.begin(), readings.end(),
        [](const ElementReading& a, const ElementReading& b) { return a.flow.value < b.flow.value; });
    if (greatest->flow.value < detail::distinct_flow_ratio * least->flow.value) {
        detail::throw_domain_error(where, "greatest flow of the readings", greatest->flow.value.value(), "m3/s",
                                   "at least 1.05 times the least flow " +
                                       detail::number_text(least->flow.value.value()) +
                                       " m3/s: readings at one flow do not tell the viscous from the inertial part "
                                       "(state an inertial share to fit them)");
    }
    const auto row = [&](std::size_t i) {
        return std::array{factors(i).viscosity * flow(i), factors(i).density * flow(i) * flow(i)};
    };
    const double greatest_flow = greatest->flow.value.value();
    const auto fit = detail::fit_readings<2>(
        readings, row,
        [&](std::size_t i) { return std::array{factors(i).viscosity, 2.0 * factors(i).density * flow(i)}; },
        [&](std::size_t i, const std::array<bool, 2>& held) {
            const double x = flow(i) / greatest_flow;
            return held[0] ? row(i)[0] : held[1] ? row(i)[1] : -x * std::sqrt(x);
        },
        where);
    ElementFit result = detail::element_fit_of(readings, fit);
    detail::set_curve(result, {fit.squares.parameters[0], fit.gradients[0]},
                      {fit.squares.parameters[1], fit.gradients[1]}, stated_air, where);
    return result;
}

/// Element curve of readings that do not tell the viscous from the inertial part (one reading, or several at one
/// flow), with a stated share of the inertial part in the drop.
///
/// Equation: dp = c [(1 - a) (mu/mu0) Q/Q0 + a (rho/rho0) (Q/Q0)^2]; r = c (1 - a)/Q0, s = c a/Q0^2
/// Symbols:  a inertial share of the drop at Q0 in the stated air [-], Q0 mean flow of the readings, c drop at Q0
/// Validity: near the flow of the readings; the further away, the more the share decides
/// @param  readings  flow > 0 with drop; shape (n), n >= 1
/// @param  stated_air  air for which the curve is stated
/// @param  inertial_share  [-], 0 to 1; its uncertainty goes into the parameters
/// @return curve, uncertain parameters; form_assumed is true
/// @throws DomainError if there is no reading, a value is out of range, or the readings show no resistance
/// @source as fit_element above; test: resistance/element_fit_test.cpp
template <Deferred...>
[[nodiscard]] inline ElementFit fit_element(std::span<const ElementReading> readings, const AirState& stated_air,
                                            const Uncertain<double>& inertial_share) {
    constexpr auto where = "fit_element(inertial_share)";
    detail::check_readings(readings, stated_air, where);
    const double share = detail::require_between(where, "inertial_share", inertial_share.value, 0.0, 1.0, "-");
    double q0 = 0.0;
    for (const ElementReading& r : readings) q0 += r.flow.value.value() / static_cast<double>(readings.size());
    const auto parts = [&](std::size_t i) {   // viscous and inertial row for c = 1, share 0 and 1
        const detail::AirFactors f = detail::air_factors(readings[i].air, stated_air);
        const double q = readings[i].flow.value.value() / q0;
        return std::array{f.viscosity * q, f.density * q * q};
    };
    const auto fit = detail::fit_readings<1>(
        readings,
        [&](std::size_t i) {
            const auto p = parts(i);
            return std::array{(1.0 - share) * p[0] + share * p[1]};
        },
        [&](std::size_t i) {
            const auto p = parts(i);
            return std::array{((1.0 - share) * p[0] + 2.0 * share * p[1]) / readings[i].flow.value.value()};
        },
        [&](std::size_t i, const std::array<bool, 1>&) { return parts(i)[1] - parts(i)[0]; }, where);
    const double c = fit.squares.parameters[0];
    double dc_dshare = 0.0;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        const auto p = parts(i);
        const double x = (1.0 - share) * p[0] + share * p[1];
        dc_dshare += fit.squares.covariance[0] * fit.weights[i] * (p[1] - p[0]) * (fit.squares.residuals[i] - x * c);
    }
    Uncertain<double> linear(c * (1.0 - share) / q0);
    linear.gradient.add(fit.gradients[0], (1.0 - share) / q0);
    linear.gradient.add(inertial_share.gradient, (dc_dshare * (1.0 - share) - c) / q0);
    Uncertain<double> quadratic(c * share / (q0 * q0));
    quadratic.gradient.add(fit.gradients[0], share / (q0 * q0));
    quadratic.gradient.add(inertial_share.gradient, (dc_dshare * share + c) / (q0 * q0));
    ElementFit result = detail::element_fit_of(readings, fit);
    result.form_assumed = true;
    detail::set_curve(result, linear, quadratic, stated_air, where);
    return result;
}

/// Covariance of the two parameters of a fitted element, from all inputs that they rest on.
struct ParameterCovariance {
    double linear_variance = 0;      ///< of r [(Pa s/m3)^2], >= 0
    double quadratic_variance = 0;   ///< of s [(Pa s2/m6)^2], >= 0
    double covariance = 0;           ///< of r and s [Pa2 s3/m9]
    double correlation = 0;          ///< of r and s, -1 to 1; 0 where one of them is held or exact
};

/// Covariance of r and s of a fitted element.
///
/// Equation: u(r, s) = sum_i (dr/dx_i)(ds/dx_i) u^2(x_i)
/// Symbols:  x elementary inputs of the fit, scatter among them
/// Validity: first order, as the fit
/// @param  fit  fitted element
/// @return variances, covariance, correlation
/// @throws nothing
/// @source JCGM 100:2008 (GUM), F.1.2.3; test: resistance/fit_check_test.cpp
template <Deferred...>
inline ParameterCovariance parameter_covariance(const ElementFit& fit) {
    ParameterCovariance result{fit.linear.gradient.variance(), fit.quadratic.gradient.variance(), 0.0, 0.0};
    for (const Gradient::Term& term : fit.linear.gradient.terms()) {
        const double u = term.input->standard_uncertainty;
        result.covariance += term.derivative * fit.quadratic.gradient.derivative(term.input) * u * u;
    }
    const double scale = std::sqrt(result.linear_variance) * std::sqrt(result.quadratic_variance);
    if (scale > 0.0) result.correlation = std::clamp(result.covariance / scale, -1.0, 1.0);
    return result;
}

/// Pressure drop of a fitted element at an uncertain flow, with the covariance of its parameters.
///
/// Equation: dp = r (mu/mu0) Q + s (rho/rho0) Q^2, first order in r, s and Q
/// Symbols:  as ElementCurve
/// Validity: between the fit's least and greatest flow; outside see extrapolates
/// @param  fit  fitted element
/// @param  flow  at the density of the air [m3/s], >= 0
/// @param  air  air of operation
/// @return pressure drop [Pa] with its uncertainty
/// @throws DomainError as pressure_drop(ElementCurve), or if the flow is < 0
/// @source JCGM 100:2008 (GUM), 5.1.2; test: resistance/element_fit_test.cpp
template <Deferred...>
inline Uncertain<Pressure> pressure_drop(const ElementFit& fit, const Uncertain<VolumeFlow>& flow,
                                         const AirState& air) {
    constexpr auto where = "pressure_drop(ElementFit)";
    const double q = detail::require_non_negative(where, "flow", flow.value.value(), "m3/s");
    Uncertain<Pressure> drop(pressure_drop(fit.curve, flow.value, air));
    const detail::AirFactors f = detail::air_factors(air, fit.curve.stated_air);
    drop.gradient.add(fit.linear.gradient, f.viscosity * q);
    drop.gradient.add(fit.quadratic.gradient, f.density * q * q);
    drop.gradient.add(flow.gradient,
                      f.viscosity * fit.curve.linear.value() + 2.0 * f.density * fit.curve.quadratic.value() * q);
    return drop;
}
template <Deferred...>
inline Uncertain<Pressure> pressure_drop(const ElementFit& fit, VolumeFlow flow, const AirState& air) {
    return pressure_drop(fit, Uncertain<VolumeFlow>(flow), air);
}

/// Whether a flow lies outside the readings of a fit, where its form is not known to hold.
///
/// Equation: Q < 0.98 Q_least or Q > 1.02 Q_greatest
/// Symbols:  Q flow [m3/s]
/// Validity: everywhere; 2 % beyond the readings count as inside
/// @param  fit  fitted element
/// @param  flow  [m3/s]
/// @return true outside
/// @throws nothing
/// @source own; test: resistance/element_fit_test.cpp
inline bool extrapolates(const ElementFit& fit, VolumeFlow flow) {
    return !(flow >= 0.98 * fit.least_flow && flow <= 1.02 * fit.greatest_flow);
}

}   // namespace filterflow
