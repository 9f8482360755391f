// SPDX-License-Identifier: BSL-1.0
#pragma once

// Growth laws by name, made from what is known of medium and dust: a cake by its resistance K2, dust inside the medium
// by its growth scale, both stages in two forms, two populations of fibres from a medium and the size of the dust.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A cake that grows on a medium from the start.
template <class T>
struct BasicLinearCake {
    BasicRate<T> resistance{};                      ///< K2, > 0: of cake_resistance or of a fit
    BasicLinearLayerResistance<T> clean_medium{};   ///< R in dp = R V, viscous, > 0, in the same air
};
using LinearCake = BasicLinearCake<double>;

/// Growth scale and transition of a law with two stages.
template <class T>
struct BasicTwoStages {
    BasicMassPerArea<T> growth_scale{};   ///< W*, > 0
    BasicMassPerArea<T> transition{};     ///< W_c, >= 0
};
using TwoStages = BasicTwoStages<double>;

/// Dust that settles among fibres as further fibres.
template <class T>
struct BasicFibreDeposit {
    BasicLength<T> diameter{};            ///< of the dust, > 0
    BasicDensity<T> particle_density{};   ///< of the dust, > 0
};
using FibreDeposit = BasicFibreDeposit<double>;

/// Viscous resistance of the medium inside an element, per face velocity.
///
/// Equation: R = r A
/// Symbols:  r linear resistance of the element [Pa s/m3], A area of its medium [m2], R of the medium [Pa s/m]
/// Validity: the element's viscous part is the medium's: true for flat media and wide pleats, else R holds the viscous
///           drop of the channels too
/// @param  curve  clean element, in its stated air
/// @param  area  of the medium [m2], > 0
/// @return R [Pa s/m]
/// @throws DomainError if the area or the linear resistance is not > 0
/// @source definition; test: loading/growth_laws_test.cpp
template <class T>
BasicLinearLayerResistance<T> medium_resistance(const BasicElementCurve<T>& curve, BasicArea<T> area) {
    constexpr auto where = "medium_resistance";
    detail::require_positive(where, "area", area.value(), "m2");
    return BasicLinearLayerResistance<T>::from_value(
        detail::require_positive(where, "linear resistance", curve.linear.value(), "Pa s/m3") * area.value());
}
template <Deferred...>
inline LinearLayerResistance medium_resistance(const ElementCurve& curve, Area area) {
    return medium_resistance<double>(curve, area);
}

/// Linear growth: a cake from the first dust on.
///
/// Equation: dp = dp_0 + K2 V W, as F = 1 + (K2/R) W
/// Symbols:  K2 resistance of the cake [1/s], R of the clean medium [Pa s/m], V face velocity of the medium [m/s], W
///           dust per media area [kg/m2]
/// Validity: surface filters, and others once a cake covers them. Both resistances go with the viscosity, so the law
///           holds in any air
/// @param  cake  K2 and the clean medium's resistance, in one air
/// @return the law, over dust per media area
/// @throws DomainError if a resistance is not > 0
/// @source Darcy's law for medium and cake in series; test: loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> linear_cake_law(const BasicLinearCake<T>& cake) {
    constexpr auto where = "linear_cake_law";
    const T k2 = detail::require_positive(where, "resistance", cake.resistance.value(), "1/s");
    const T clean = detail::require_positive(where, "clean_medium", cake.clean_medium.value(), "Pa s/m");
    BasicLoadingLaw<T> law;
    law.form = LoadingForm::linear;
    law.cake_slope = BasicAreaPerMass<T>::from_value(detail::require_positive(where, "slope", T(k2 / clean), "m2/kg"));
    return law;
}
template <Deferred...>
inline LoadingLaw linear_cake_law(const LinearCake& cake) { return linear_cake_law<double>(cake); }

/// Resistance of the cake that a law's last stage amounts to: the inverse of linear_cake_law.
///
/// Equation: K2 = R dF/dW at the mass given
/// Symbols:  as linear_cake_law
/// Validity: where the law has a cake stage there: linear, kinked and smooth forms beyond the transition
/// @param  law  loading law over dust per media area
/// @param  clean_medium  R of the clean medium [Pa s/m], > 0
/// @param  retained  dust per media area at which to look [kg/m2], at or beyond the transition
/// @return K2 [1/s]
/// @throws DomainError if the law has no cake stage at that mass, or a value is out of range
/// @source as linear_cake_law; test: loading/growth_laws_test.cpp
template <class T>
BasicRate<T> cake_resistance_of(const BasicLoadingLaw<T>& law, BasicLinearLayerResistance<T> clean_medium,
                                BasicMassPerArea<T> retained) {
    constexpr auto where = "cake_resistance_of";
    detail::check_loading_law(law, where);
    const T clean = detail::require_positive(where, "clean_medium", clean_medium.value(), "Pa s/m");
    const T mass = detail::require_non_negative(where, "retained", retained.value(), "kg/m2");
    const bool two_stages = law.form == LoadingForm::smooth || law.form == LoadingForm::kinked;
    if (!two_stages && law.form != LoadingForm::linear) {
        throw DomainError(
            "cake_resistance_of: the form of the law has no cake stage; required: linear, smooth or kinked");
    }
    if (two_stages && mass < law.transition.value()) {
        detail::throw_domain_error(
            where, "retained", detail::plain_value(mass), "kg/m2",
            "at least the transition " + detail::number_text(detail::plain_value(law.transition.value())) + " kg/m2");
    }
    auto c = detail::loading_coefficients(law);
    const T slope = law.form == LoadingForm::kinked ? c.cake_slope : detail::loading_slope(c, mass);
    return BasicRate<T>::from_value(detail::require_finite(where, "result", T(clean * slope), "1/s"));
}
template <Deferred...>
inline Rate cake_resistance_of(const LoadingLaw& law, LinearLayerResistance clean_medium, MassPerArea retained) {
    return cake_resistance_of<double>(law, clean_medium, retained);
}

/// Exponential growth: dust inside the medium.
///
/// Equation: F = exp(W/W*)
/// Symbols:  W dust per media area [kg/m2], W* growth scale [kg/m2]
/// Validity: until a cake forms
/// @param  growth_scale  W* [kg/m2], > 0
/// @return the law, over dust per media area
/// @throws DomainError if the growth scale is not > 0
/// @source common practice; test: loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> exponential_depth_law(BasicMassPerArea<T> growth_scale) {
    BasicLoadingLaw<T> law;
    law.form = LoadingForm::exponential;
    law.growth_scale = growth_scale;
    detail::check_loading_law(law, "exponential_depth_law");
    return law;
}
template <Deferred...>
inline LoadingLaw exponential_depth_law(MassPerArea growth_scale) {
    return exponential_depth_law<double>(growth_scale);
}

/// Two stages joined without a kink: exponential up to the transition, then its tangent.
///
/// Equation: F = exp(W/W*) to W_c, then exp(W_c/W*) (1 + (W - W_c)/W*)
/// Symbols:  W dust per media area, W* growth scale, W_c transition [kg/m2]
/// Validity: as resistance_factor
/// @param  stages  growth scale and transition
/// @return the law, over dust per media area
/// @throws DomainError if a value is out of its range
/// @source own joint of two stages of common practice; test: loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> smooth_two_stage_law(const BasicTwoStages<T>& stages) {
    BasicLoadingLaw<T> law;
    law.form = LoadingForm::smooth;
    law.growth_scale = stages.growth_scale;
    law.transition = stages.transition;
    detail::check_loading_law(law, "smooth_two_stage_law");
    return law;
}
template <Deferred...>
inline LoadingLaw smooth_two_stage_law(const TwoStages& stages) { return smooth_two_stage_law<double>(stages); }

/// Two stages with a kink: exponential up to the transition, then a cake of its own resistance.
///
/// Equation: F = exp(W/W*) to W_c, then exp(W_c/W*) + (K2/R) (W - W_c)
/// Symbols:  as smooth_two_stage_law and linear_cake_law
/// Validity: as resistance_factor; slope_falls_at_transition tells where the slope falls, which dust does not do
/// @param  stages  growth scale and transition
/// @param  cake  K2 and the clean medium's resistance, in one air
/// @return the law, over dust per media area
/// @throws DomainError if a value is out of its range
/// @source as smooth_two_stage_law; test: loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> kinked_two_stage_law(const BasicTwoStages<T>& stages, const BasicLinearCake<T>& cake) {
    BasicLoadingLaw<T> law = smooth_two_stage_law(stages);
    law.form = LoadingForm::kinked;
    law.cake_slope = linear_cake_law(cake).cake_slope;
    return law;
}
template <Deferred...>
inline LoadingLaw kinked_two_stage_law(const TwoStages& stages, const LinearCake& cake) {
    return kinked_two_stage_law<double>(stages, cake);
}

/// Two populations: dust settles in the medium as further fibres of its own diameter.
///
/// Equation: dp = 64 mu V L (a_f/d_f^2 + a_p/d_p^2)^(1/2) (a_f/d_f + a_p/d_p), a_p = W/(rho_p L); so
///           F = (1 + l W)^(1/2) (1 + a W), a = d_f/(d_p a_f rho_p L), l = a d_f/d_p
/// Symbols:  a_f solidity, d_f effective diameter of the fibres [m], L thickness [m], a_p, d_p, rho_p of the dust, V
///           face velocity [m/s], W dust per media area [kg/m2]
/// Validity: dust spread evenly through the medium, where Davies' law holds (solidity with the dust 0.006 to 0.3, a_p
///           small beside the gaps); no cake, no dendrites: the passage to a cake is gradual in measurements (Thomas et
///           al. 2001)
/// @param  medium  thickness, effective fibre diameter, solidity 0.006 to 0.3
/// @param  deposit  diameter and density of the dust
/// @return the law, over dust per media area
/// @throws DomainError if a value is out of its range or the effective fibre diameter is not given
/// @source Bergman et al. 1978 (from memory); clean limit: leading term of Davies 1953; test:
///         loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> two_population_law(const BasicFibrousMedium<T>& medium, const BasicFibreDeposit<T>& deposit) {
    constexpr auto where = "two_population_law";
    detail::check(medium, detail::davies_least_solidity, detail::davies_greatest_solidity, where);
    const T ratio = detail::effective_fibre_diameter(medium, where) /
                    detail::require_positive(where, "diameter of the dust", deposit.diameter.value(), "m");
    const T density = detail::require_positive(where, "particle_density", deposit.particle_density.value(), "kg/m3");
    BasicLoadingLaw<T> law;
    law.form = LoadingForm::two_population;
    const T a = ratio / (medium.solidity * density * medium.thickness.value());
    law.surface_growth = BasicAreaPerMass<T>::from_value(a);
    law.length_growth = BasicAreaPerMass<T>::from_value(a * ratio);
    detail::check_loading_law(law, where);
    return law;
}
template <Deferred...>
inline LoadingLaw two_population_law(const FibrousMedium& medium, const FibreDeposit& deposit) {
    return two_population_law<double>(medium, deposit);
}

/// Quadratic growth, for empirical use.
///
/// Equation: dp = dp_0 + A W + B W^2 at one flow, as F = 1 + (A/dp_v) W + (B/dp_v) W^2
/// Symbols:  W dust per area [kg/m2], dp_v viscous part of the clean pressure drop at that flow; k = A/dp_v [m2/kg],
///           c = B/dp_v [m4/kg2]
/// Validity: within the readings it was fitted to
/// @param  slope  k [m2/kg], >= 0
/// @param  curvature  c [m4/kg2], >= 0, not zero with the slope
/// @param  reference  area that the dust is counted on
/// @return the law
/// @throws DomainError if a value is out of its range
/// @source none: empirical; test: loading/growth_laws_test.cpp
template <class T>
BasicLoadingLaw<T> quadratic_law(BasicAreaPerMass<T> slope, BasicAreaPerMassSquared<T> curvature,
                                 ReferenceArea reference) {
    BasicLoadingLaw<T> law;
    law.form = LoadingForm::quadratic;
    law.reference = reference;
    law.cake_slope = slope;
    law.curvature = curvature;
    detail::check_loading_law(law, "quadratic_law");
    return law;
}
template <Deferred...>
inline LoadingLaw quadratic_law(AreaPerMass slope, AreaPerMassSquared curvature, ReferenceArea reference) {
    return quadratic_law<double>(slope, curvature, reference);
}

}   // namespace filterflow
