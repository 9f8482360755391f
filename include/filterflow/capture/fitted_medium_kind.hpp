// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fit of fibres to the filter at hand as a kind of medium of a prior, so that an estimate from bands rests on it.

#include <cmath>
#include <string>
#include <string_view>

#include <filterflow/capture/capture_prior.hpp>
#include <filterflow/capture/single_fibre_fit_types.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

namespace detail {

/// Range that is even in the logarithm and has, to first order, the standard uncertainty of a fitted value.
template <class Q>
Interval<Q> even_range(const Uncertain<Q>& fitted, std::string_view where, const std::string& name) {
    const double relative = fitted.standard_uncertainty() / fitted.value;
    require_between(where, "relative standard uncertainty of " + name, relative, 0.0, 0.5, "-");
    const double factor = std::exp(std::sqrt(3.0) * relative);
    return {fitted.value / factor, fitted.value * factor};
}

}   // namespace detail

/// Kind of medium with the ranges of fibres that a fit leaves: given as the only kind of a CapturePrior, an estimate
/// from bands is of that medium.
///
/// Equation: from x exp(-3^(1/2) u/x) to x exp(3^(1/2) u/x), evenly in the logarithm: standard deviation u/x of ln x
/// Symbols:  x fibre diameter, solidity, surface charge of the fit, u standard uncertainty
/// Validity: a fit in the theory of the prior, the default one with or without the electret term. Each range goes by
///           the value's own variance; that the three vary together is left out, so the ranges allow media that the
///           fit does not. The prior's theory_factor and theory_slope stay: a fit does not say how well it holds at
///           sizes and velocities that it did not see
/// @param  name  what results call it
/// @param  fit  result of fit_fibres
/// @param  velocity  flow over area of medium when the bands were counted [m/s], > 0
/// @return kind with weight 1; charged where the fit has a charge, not charged where it has none
/// @throws DomainError if the fit did not converge or ended at a limit, its charge is not separable, its theory is
///         another one, or a relative standard uncertainty is above 0.5
/// @source own; standard deviation of an even distribution: JCGM 100:2008, 4.3.7; test:
///         capture/fitted_medium_kind_test.cpp
template <Deferred...>
inline MediumKind fitted_medium_kind(const std::string& name, const FibreFit& fit,
                                     const Interval<Velocity>& velocity) {
    constexpr auto where = "fitted_medium_kind";
    const auto refuse = [&](const std::string& why) { throw DomainError(std::string(where) + ": " + why); };
    if (!fit.converged) refuse("the fit did not converge; required: a converged one");
    if (fit.at_limit) refuse("the fit ended at a limit of its search; required: one inside");
    if (fit.charge_verdict == ChargeVerdict::not_separable) {
        refuse("the charge is not told apart from fibre diameter and solidity; required: readings at a second "
               "velocity, or a known solidity or fibre diameter");
    }
    const SingleFibreTheory& theory = fit.layer.theory;
    const SingleFibreTheory usual;
    const bool same_electric = theory.electric == ElectricTerm::none || theory.electric == ElectricTerm::electret;
    if (!same_electric || theory.diffusion != usual.diffusion || theory.interception != usual.interception ||
        theory.impaction != usual.impaction || theory.gravity != usual.gravity ||
        theory.combination != usual.combination || theory.fibre_slip || theory.limited_diffusion ||
        !theory.interstitial_velocity) {
        refuse("the fit is in another theory than the curves of a prior; required: the default one, with or without "
               "the electret term");
    }
    MediumKind kind;
    kind.name = name;
    kind.thickness = {fit.layer.medium.thickness, fit.layer.medium.thickness};
    kind.solidity = detail::even_range(fit.solidity, where, "solidity");
    kind.geometric_fibre_diameter = detail::even_range(fit.fibre_diameter, where, "fibre_diameter");
    kind.velocity = velocity;
    detail::check_range(velocity, where, "velocity");
    if (fit.surface_charge.value > SurfaceCharge{}) {
        kind.charged_share = 1.0;
        kind.surface_charge = detail::even_range(fit.surface_charge, where, "surface_charge");
    }
    return kind;
}

}   // namespace filterflow
