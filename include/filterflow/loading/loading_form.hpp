// SPDX-License-Identifier: BSL-1.0
#pragma once

// The forms in which a filter's resistance grows with the dust on it, by name, and their shared shape: a factor F(W) on
// the viscous part r of r Q + s Q |Q|, one at W = 0. Here the law as data and its kernels; public functions in
// loading_law.hpp, laws from physical properties in growth_laws.hpp.
//
//   exponential      dust settles inside the medium                    F = exp(W/W*)
//   smooth           exponential up to W_c, then its tangent
//   kinked           exponential up to W_c, then a slope k of its own
//   linear           a cake on the surface from the start              F = 1 + k W
//   quadratic        empirical                                         F = 1 + k W + c W^2
//   two_population   dust settles as further fibres                    F = (1 + l W)^(1/2) (1 + a W)

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {
using area_per_mass_unit = si_unit<2, -1, 0>;
using area_per_mass_squared_unit = product<area_per_mass_unit, area_per_mass_unit>;
}   // namespace detail
template <class T>
using BasicAreaPerMass = boost::units::quantity<detail::area_per_mass_unit, T>;
using AreaPerMass = BasicAreaPerMass<double>;   ///< growth of a resistance factor per dust on an area
template <class T>
using BasicAreaPerMassSquared = boost::units::quantity<detail::area_per_mass_squared_unit, T>;
using AreaPerMassSquared = BasicAreaPerMassSquared<double>;   ///< growth per square of dust on an area

namespace units {
inline constexpr auto m2_per_g = named<AreaPerMass>(1e3);
inline constexpr auto m2_per_kg = named<AreaPerMass>(1.0);
inline constexpr auto m4_per_kg2 = named<AreaPerMassSquared>(1.0);
}   // namespace units

/// Which form of the law.
enum class LoadingForm {
    smooth,          ///< exponential, then its tangent from the transition on
    kinked,          ///< exponential, then a line of free slope from the transition on
    exponential,     ///< exponential throughout: dust inside the medium, the transition was not reached
    linear,          ///< a line from the start: a cake on the surface
    quadratic,       ///< a line and a square: empirical
    two_population   ///< dust as further fibres among those of the medium
};

/// Which stages of loading the readings show.
enum class LoadingStages {
    both,               ///< exponential stage and cake stage: the transition is identified
    exponential_only,   ///< the transition lies beyond the readings: reported as the exponential form
    cake_only,          ///< linear from the first reading on: transition at zero
    undecided           ///< exponential and linear growth fit alike: reported as the exponential form, which grows
                        ///< faster beyond the readings
};

/// Which area the dust is counted on.
enum class ReferenceArea {
    media,   ///< area of the filter medium, unfolded
    face     ///< area of the face: where the media area is not known
};

/// Growth of the viscous resistance with the dust retained per reference area. Each form has its own parameters; the
/// others are not read.
template <class T>
struct BasicLoadingLaw {
    LoadingForm form = LoadingForm::smooth;           ///< which form
    ReferenceArea reference = ReferenceArea::media;   ///< what the masses per area refer to
    BasicMassPerArea<T> growth_scale{};               ///< W*: the factor grows e-fold over it at first; > 0; of the
                                                      ///< exponential, smooth and kinked forms
    BasicMassPerArea<T> transition{};                 ///< W_c: where the cake stage begins; >= 0; smooth and kinked
    BasicAreaPerMass<T> cake_slope{};         ///< k: growth of the factor; > 0 kinked (cake stage) and linear, >= 0
                                              ///< quadratic
    BasicAreaPerMassSquared<T> curvature{};   ///< c, >= 0; quadratic, where c and k are not both zero
    BasicAreaPerMass<T> surface_growth{};     ///< a: relative growth of the fibres' surface, > 0; two populations
    BasicAreaPerMass<T> length_growth{};      ///< l: relative growth of the fibres' length, >= 0; two populations
};
using LoadingLaw = BasicLoadingLaw<double>;

namespace detail {

/// The law in raw SI numbers.
template <class T>
struct LoadingCoefficients {
    LoadingForm form;
    T growth_scale, transition, cake_slope;
    T curvature{0.0}, surface_growth{0.0}, length_growth{0.0};
};

template <class T>
LoadingCoefficients<T> loading_coefficients(const BasicLoadingLaw<T>& law) {
    return {law.form,
            law.growth_scale.value(),
            law.transition.value(),
            law.cake_slope.value(),
            law.curvature.value(),
            law.surface_growth.value(),
            law.length_growth.value()};
}

/// Whether the form begins with an exponential.
constexpr bool begins_exponentially(LoadingForm form) {
    return form == LoadingForm::smooth || form == LoadingForm::kinked || form == LoadingForm::exponential;
}

template <class T>
T loading_factor(const LoadingCoefficients<T>& c, const T& mass) {
    using std::exp;
    using std::sqrt;
    switch (c.form) {
        case LoadingForm::linear:
            return T(1.0) + c.cake_slope * mass;
        case LoadingForm::quadratic:
            return T(1.0) + (c.cake_slope + c.curvature * mass) * mass;
        case LoadingForm::two_population:
            return sqrt(T(1.0) + c.length_growth * mass) * (T(1.0) + c.surface_growth * mass);
        default:
            break;
    }
    if (c.form == LoadingForm::exponential || mass <= c.transition) return exp(mass / c.growth_scale);
    const T at_transition = exp(c.transition / c.growth_scale);
    const T slope = c.form == LoadingForm::smooth ? T(at_transition / c.growth_scale) : c.cake_slope;
    return at_transition + slope * (mass - c.transition);
}

/// dF/dW; at the transition of a kinked law the slope before it.
template <class T>
T loading_slope(const LoadingCoefficients<T>& c, const T& mass) {
    using std::exp;
    using std::sqrt;
    switch (c.form) {
        case LoadingForm::linear:
            return c.cake_slope;
        case LoadingForm::quadratic:
            return c.cake_slope + T(2.0) * c.curvature * mass;
        case LoadingForm::two_population: {
            const T root = sqrt(T(1.0) + c.length_growth * mass);
            return c.surface_growth * root + T(0.5) * c.length_growth * (T(1.0) + c.surface_growth * mass) / root;
        }
        default:
            break;
    }
    if (c.form == LoadingForm::exponential || mass <= c.transition) return exp(mass / c.growth_scale) / c.growth_scale;
    return c.form == LoadingForm::smooth ? T(exp(c.transition / c.growth_scale) / c.growth_scale) : c.cake_slope;
}

/// W of two populations: with u = 1 + a W, (1 - l/a) u^2 + (l/a) u^3 = F^2, which rises and bends upwards for u >= 1,
/// so that Newton's steps from above (u <= F) come down on the root without overshooting.
template <class T>
T two_population_mass(const T& surface_growth, const T& length_growth, const T& factor) {
    const double square = plain_value(factor) * plain_value(factor);
    const double ratio = plain_value(length_growth) / plain_value(surface_growth);
    double u = plain_value(factor);
    for (int i = 0; i < 200; ++i) {
        const double step = (u * u * (1.0 - ratio + ratio * u) - square) / (u * (2.0 - 2.0 * ratio + 3.0 * ratio * u));
        u = u - step > 1.0 ? u - step : 1.0;
        if (!(step > 4e-16 * u)) break;
    }
    const double mass = (u - 1.0) / plain_value(surface_growth);
    // One Newton step in T, on the factor itself, carries the derivatives and takes the last rounding away.
    const LoadingCoefficients<T> c{
        LoadingForm::two_population, T(1.0), T(0.0), T(0.0), T(0.0), surface_growth, length_growth};
    const T at(mass);
    return at + (factor - loading_factor(c, at)) / loading_slope(c, at);
}

/// W at a factor >= 1: the inverse of loading_factor.
template <class T>
T loading_mass(const LoadingCoefficients<T>& c, const T& factor) {
    using std::exp;
    using std::log;
    using std::sqrt;
    const T grown = factor - T(1.0);
    switch (c.form) {
        case LoadingForm::linear:
            return grown / c.cake_slope;
        case LoadingForm::quadratic: {
            if (!(plain_value(grown) > 0.0)) return plain_value(c.cake_slope) > 0.0 ? T(grown / c.cake_slope) : T(0.0);
            return T(2.0) * grown / (c.cake_slope + sqrt(c.cake_slope * c.cake_slope + T(4.0) * c.curvature * grown));
        }
        case LoadingForm::two_population:
            return two_population_mass(c.surface_growth, c.length_growth, factor);
        default:
            break;
    }
    if (c.form == LoadingForm::exponential) return c.growth_scale * log(factor);
    const T at_transition = exp(c.transition / c.growth_scale);
    if (factor <= at_transition) return c.growth_scale * log(factor);
    const T slope = c.form == LoadingForm::smooth ? T(at_transition / c.growth_scale) : c.cake_slope;
    return c.transition + (factor - at_transition) / slope;
}

template <class T>
void check_loading_law(const BasicLoadingLaw<T>& law, const char* where) {
    if (begins_exponentially(law.form)) require_positive(where, "growth_scale", law.growth_scale.value(), "kg/m2");
    switch (law.form) {
        case LoadingForm::smooth:
            require_non_negative(where, "transition", law.transition.value(), "kg/m2");
            break;
        case LoadingForm::kinked:
            require_non_negative(where, "transition", law.transition.value(), "kg/m2");
            require_positive(where, "cake_slope", law.cake_slope.value(), "m2/kg");
            break;
        case LoadingForm::exponential:
            break;
        case LoadingForm::linear:
            require_positive(where, "cake_slope", law.cake_slope.value(), "m2/kg");
            break;
        case LoadingForm::quadratic:
            require_non_negative(where, "cake_slope", law.cake_slope.value(), "m2/kg");
            require_non_negative(where, "curvature", law.curvature.value(), "m4/kg2");
            if (!(law.cake_slope.value() > T(0.0)) && !(law.curvature.value() > T(0.0))) {
                throw_domain_error(where, "curvature", 0.0, "m4/kg2", "> 0 where the cake_slope is zero");
            }
            break;
        case LoadingForm::two_population:
            require_positive(where, "surface_growth", law.surface_growth.value(), "m2/kg");
            require_non_negative(where, "length_growth", law.length_growth.value(), "m2/kg");
            break;
    }
}

}   // namespace detail

}   // namespace filterflow
