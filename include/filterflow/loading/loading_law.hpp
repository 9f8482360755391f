// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a filter's resistance grows with the dust on it. The law is a factor on the viscous part r of r Q + s Q |Q|,
// never on the whole curve: the inertial part belongs to pleat mouths and frames, which dust does not change. All forms
// (loading_form.hpp) are continuous, monotone and have an inverse, explicit but for two populations.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// Factor by which dust multiplies the viscous resistance of the clean filter.
///
/// Equation: F = exp(W/W*) for W <= W_c; beyond: F_c + k (W - W_c), F_c = exp(W_c/W*), with k = F_c/W* (smooth) or k
///           free (kinked); the exponential form has no W_c. F = 1 + k W (linear); 1 + k W + c W^2 (quadratic);
///           (1 + l W)^(1/2) (1 + a W) (two populations)
/// Symbols:  W retained dust per reference area [kg/m2], W* growth scale, W_c transition [kg/m2], k slope [m2/kg], c
///           curvature [m4/kg2], l growth of the fibres' length, a of their surface [m2/kg]
/// Validity: W >= 0; as an extrapolation beyond the readings of a fit it is a guess, which the fit and a filter's
///           life report
/// @param  law  loading law
/// @param  retained  dust on the filter per reference area [kg/m2], >= 0
/// @return factor [-], >= 1
/// @throws DomainError if a parameter or the retained mass is outside its range, or the result is not finite
/// @source exponential depth stage and linear cake stage: common practice in dust loading; the joints are our own; two
///         populations: Bergman et al. 1978 (from memory); test: loading/loading_law_test.cpp
template <class T>
T resistance_factor(const BasicLoadingLaw<T>& law, BasicMassPerArea<T> retained) {
    constexpr auto where = "resistance_factor(LoadingLaw)";
    detail::check_loading_law(law, where);
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    return detail::require_finite(where, "result", detail::loading_factor(detail::loading_coefficients(law), mass),
                                  "-");
}
template <Deferred...>
inline double resistance_factor(const LoadingLaw& law, MassPerArea retained) {
    return resistance_factor<double>(law, retained);
}

/// Dust per reference area at which the viscous resistance has grown by a factor: the exact inverse.
///
/// Equation: W = W* ln F for F <= F_c; W = W_c + (F - F_c)/k beyond; (F - 1)/k linear;
///           2 (F - 1)/(k + (k^2 + 4 c (F - 1))^(1/2)) quadratic; two populations: Newton's method on a convex cubic
/// Symbols:  as resistance_factor
/// Validity: F >= 1
/// @param  law  loading law
/// @param  factor  on the clean viscous resistance [-], >= 1
/// @return retained dust per reference area [kg/m2]
/// @throws DomainError if a parameter is outside its range or the factor is below 1
/// @source inverse of resistance_factor; test: loading/loading_law_test.cpp
template <class T>
BasicMassPerArea<T> mass_at_resistance_factor(const BasicLoadingLaw<T>& law, const T& factor) {
    constexpr auto where = "mass_at_resistance_factor";
    detail::check_loading_law(law, where);
    if (!(detail::plain_value(factor) >= 1.0) || !std::isfinite(detail::plain_value(factor))) {
        detail::throw_domain_error(where, "factor", detail::plain_value(factor), "-", ">= 1 and finite");
    }
    return BasicMassPerArea<T>::from_value(detail::loading_mass(detail::loading_coefficients(law), factor));
}
template <Deferred...>
inline MassPerArea mass_at_resistance_factor(const LoadingLaw& law, double factor) {
    return mass_at_resistance_factor<double>(law, factor);
}

/// How fast the factor grows with the dust.
///
/// Equation: dF/dW
/// Symbols:  as resistance_factor
/// Validity: as resistance_factor; at the transition of a kinked law the slope before it
/// @param  law  loading law
/// @param  retained  dust on the filter per reference area [kg/m2], >= 0
/// @return slope [m2/kg], >= 0
/// @throws DomainError as resistance_factor
/// @source derivative of resistance_factor; test: loading/loading_law_test.cpp
template <class T>
BasicAreaPerMass<T> resistance_factor_slope(const BasicLoadingLaw<T>& law, BasicMassPerArea<T> retained) {
    constexpr auto where = "resistance_factor_slope";
    detail::check_loading_law(law, where);
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    return BasicAreaPerMass<T>::from_value(detail::require_finite(
        where, "result", detail::loading_slope(detail::loading_coefficients(law), mass), "m2/kg"));
}
template <Deferred...>
inline AreaPerMass resistance_factor_slope(const LoadingLaw& law, MassPerArea retained) {
    return resistance_factor_slope<double>(law, retained);
}

/// The curve of a filter with dust on it.
///
/// Equation: dp = F(W) r Q + s Q |Q|
/// Symbols:  r, s of the clean filter, F resistance_factor, Q volume flow [m3/s]
/// Validity: as resistance_factor
/// @param  clean  curve of the clean filter
/// @param  law  loading law
/// @param  retained  dust on the filter per reference area [kg/m2], >= 0
/// @return curve of the loaded filter, stated for the same air
/// @throws DomainError as resistance_factor
/// @source as resistance_factor; test: loading/loading_law_test.cpp
template <class T>
BasicElementCurve<T> loaded_curve(const BasicElementCurve<T>& clean, const BasicLoadingLaw<T>& law,
                                  BasicMassPerArea<T> retained) {
    BasicElementCurve<T> loaded = clean;
    loaded.linear = BasicLinearResistance<T>::from_value(clean.linear.value() * resistance_factor(law, retained));
    return loaded;
}
template <Deferred...>
inline ElementCurve loaded_curve(const ElementCurve& clean, const LoadingLaw& law, MassPerArea retained) {
    return loaded_curve<double>(clean, law, retained);
}

/// Whether the growth slows down where the cake stage begins: a kinked law whose line is flatter than the end of its
/// exponential. Possible on paper (the growth scale was read over too short a stretch); dust loading does not do it.
///
/// Equation: k < F_c / W*
/// Symbols:  as resistance_factor
/// Validity: kinked form; false for the others
/// @param  law  loading law
/// @return true if the slope falls at the transition
/// @throws DomainError as resistance_factor
/// @source definition; test: loading/loading_law_test.cpp
template <Deferred...>
inline bool slope_falls_at_transition(const LoadingLaw& law) {
    detail::check_loading_law(law, "slope_falls_at_transition");
    if (law.form != LoadingForm::kinked) return false;
    const double end_of_exponential =
        std::exp(law.transition.value() / law.growth_scale.value()) / law.growth_scale.value();
    return law.cake_slope.value() < end_of_exponential * (1.0 - 1e-12);
}

/// Where a filter's pressure drop is looked at: a final resistance, the flow it is measured at.
template <class T>
struct BasicFinalResistance {
    BasicPressure<T> pressure{};   ///< across the filter, above the clean one
    BasicVolumeFlow<T> flow{};     ///< at which it is measured, > 0
};
using FinalResistance = BasicFinalResistance<double>;

/// Dust per reference area at which a filter reaches a final resistance at a flow.
///
/// Equation: F = (dp - s' Q^2) / (r' Q), r' and s' in the air of the measurement; W from mass_at_resistance_factor
/// Symbols:  dp final resistance [Pa], Q flow [m3/s]
/// Validity: dp at least the clean pressure drop at that flow
/// @param  clean  curve of the clean filter, with a viscous part
/// @param  law  loading law
/// @param  final_resistance  pressure [Pa] and the flow [m3/s] at which it is measured
/// @param  air  air of that measurement
/// @return retained dust per reference area [kg/m2]
/// @throws DomainError if the final resistance is below the clean pressure drop (both are named), the flow is not >
///         0, or the curve has no viscous part
/// @source inverse of loaded_curve; test: loading/loading_law_test.cpp
template <class T>
BasicMassPerArea<T> mass_at_final_resistance(const BasicElementCurve<T>& clean, const BasicLoadingLaw<T>& law,
                                             const BasicFinalResistance<T>& final_resistance,
                                             const BasicAirState<T>& air) {
    constexpr auto where = "mass_at_final_resistance";
    const T flow = detail::require_positive(where, "flow", final_resistance.flow.value(), "m3/s");
    const T target = detail::require_positive(where, "final resistance", final_resistance.pressure.value(), "Pa");
    detail::require_positive(where, "linear resistance of the clean filter", clean.linear.value(), "Pa s/m3");
    const T clean_drop = pressure_drop(clean, final_resistance.flow, air).value();
    if (target < clean_drop) {
        detail::throw_domain_error(where, "final resistance", detail::plain_value(target), "Pa",
                                   "at least the clean pressure drop " +
                                       detail::number_text(detail::plain_value(clean_drop)) + " Pa at " +
                                       detail::number_text(detail::plain_value(flow)) + " m3/s");
    }
    BasicElementCurve<T> viscous = clean;
    viscous.quadratic = BasicQuadraticResistance<T>::from_value(T(0.0));
    const T viscous_drop = pressure_drop(viscous, final_resistance.flow, air).value();
    T factor = T(1.0) + (target - clean_drop) / viscous_drop;
    return mass_at_resistance_factor(law, factor);
}
template <Deferred...>
inline MassPerArea mass_at_final_resistance(const ElementCurve& clean, const LoadingLaw& law,
                                            const FinalResistance& final_resistance, const AirState& air) {
    return mass_at_final_resistance<double>(clean, law, final_resistance, air);
}

}   // namespace filterflow
