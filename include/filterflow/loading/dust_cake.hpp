// SPDX-License-Identifier: BSL-1.0
#pragma once

// A cake of dust on the surface of a medium: its resistance K2 from the properties of the dust by Kozeny and Carman,
// its thickness, its pressure drop. K2 is what dust per area adds to the pressure drop per face velocity: dp = K2 V W.

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/granular_medium.hpp>
#include <filterflow/media/range_status.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// Dust as it lies in a cake.
template <class T>
struct BasicDustCake {
    BasicDensity<T> particle_density;   ///< of the grains, > 0
    BasicLength<T> diameter;            ///< mean of volume over surface of the grains, > 0; times their sphericity
    T porosity;                         ///< volume of gaps over volume of cake, between 0 and 1; dust cakes are loose
    T slip_correction{1.0};             ///< at that diameter, >= 1: 1 leaves slip out
};
using DustCake = BasicDustCake<double>;

/// Dust known by its sizes.
struct DustProperties {
    SizeDistribution sizes;     ///< by any weighting
    Density particle_density;   ///< of the grains, > 0
    double sphericity = 1.0;    ///< above 0 and at most 1
    double porosity = 0.8;      ///< of the cake it makes, between 0 and 1; seldom known better than 0.1
};

/// Resistance of a cake with its standing to the range of the equation.
template <class T>
struct BasicCakeResistance {
    BasicRate<T> resistance;   ///< K2, > 0
    RangeStatus porosity;      ///< beside the range of Kozeny and Carman, which loose cakes exceed
};
using CakeResistance = BasicCakeResistance<double>;

namespace detail {

template <class T>
void check(const BasicDustCake<T>& cake, const char* where) {
    require_positive(where, "particle_density", cake.particle_density.value(), "kg/m3");
    require_positive(where, "diameter", cake.diameter.value(), "m");
    const double e = plain_value(cake.porosity);
    if (!(e > 0.0 && e < 1.0)) throw_domain_error(where, "porosity", e, "-", "between 0 and 1, exclusive");
    if (!(plain_value(cake.slip_correction) >= 1.0) || !std::isfinite(plain_value(cake.slip_correction))) {
        throw_domain_error(where, "slip_correction", plain_value(cake.slip_correction), "-", ">= 1 and finite");
    }
}

template <class T>
T cake_thickness(const BasicDustCake<T>& cake, const T& mass) {
    return mass / (cake.particle_density.value() * (T(1.0) - cake.porosity));
}

}   // namespace detail

/// The cake that a dust makes: its mean diameter from the size distribution, slip in an air.
///
/// Equation: d = psi d_32, d_32 = M_3/M_2; Cc of d
/// Symbols:  d_32 mean of volume over surface [m], M moments of the distribution, psi sphericity [-], Cc slip
///           correction
/// Validity: all sizes in the cake as in the distribution; the porosity is the user's
/// @param  dust  sizes, density, sphericity, porosity
/// @param  air  air of operation, for the slip
/// @return the cake
/// @throws DomainError if a value is out of its range
/// @source definition of the surface mean; slip: Kim et al. 2005; test: loading/growth_laws_test.cpp
template <Deferred...>
inline DustCake dust_cake(const DustProperties& dust, const AirState& air) {
    constexpr auto where = "dust_cake";
    detail::require_positive(where, "sphericity", dust.sphericity, "-");
    detail::require_between(where, "sphericity", dust.sphericity, 0.0, 1.0, "-");
    const Length diameter = dust.sphericity * mean_size(dust.sizes, SizeWeighting::volume, SizeWeighting::surface);
    const DustCake cake{dust.particle_density, diameter, dust.porosity, slip_correction(diameter, air)};
    detail::check(cake, where);
    return cake;
}

/// Resistance of a cake by Kozeny and Carman from the properties of its dust.
///
/// Equation: K2 = mu/(k rho_p (1 - e)), k = e^3 d^2 Cc/(180 (1 - e)^2), that is 180 mu (1 - e)/(e^3 rho_p d^2 Cc)
/// Symbols:  mu viscosity [Pa s], e porosity [-], rho_p particle density [kg/m3], d mean diameter [m], Cc slip
///           correction [-]
/// Validity: an estimate within a factor of about three at best: K2 goes with (1 - e)/e^3 and 1/d^2, neither known
///           well; loose cakes (e > 0.7) lie outside the equation's range, which the status tells. Fit K2 to loading
///           readings where there are any
/// @param  cake  density [kg/m3], diameter [m], porosity [-], slip correction [-]
/// @param  air  air of operation
/// @return K2 [1/s] and the standing of the porosity
/// @throws DomainError if a value is out of its range or the result is not finite
/// @source Carman 1937; slip as common practice for dust cakes (from memory); test: loading/growth_laws_test.cpp
template <class T>
BasicCakeResistance<T> cake_resistance(const BasicDustCake<T>& cake, const BasicAirState<T>& air) {
    constexpr auto where = "cake_resistance";
    detail::check(cake, where);
    detail::check_air(air, where);
    const BasicGranularMedium<T> layer{BasicLength<T>::from_value(T(1.0)), cake.diameter, cake.porosity};
    const auto estimate = permeability_estimate(layer, GranularPermeability::kozeny_carman);
    const T k = estimate.permeability.value() * cake.slip_correction;
    const T resistance = air.viscosity.value() * detail::cake_thickness(cake, T(1.0)) / k;
    RangeStatus porosity =
        range_status({.quantity = "porosity of the cake",
                      .unit = "-",
                      .value = detail::plain_value(cake.porosity),
                      .least = permeability_range(GranularPermeability::kozeny_carman).least_voidage,
                      .greatest = permeability_range(GranularPermeability::kozeny_carman).greatest_voidage});
    return {BasicRate<T>::from_value(detail::require_positive(where, "result", resistance, "1/s")), porosity};
}
template <Deferred...>
inline CakeResistance cake_resistance(const DustCake& cake, const AirState& air) {
    return cake_resistance<double>(cake, air);
}

/// Thickness of a cake.
///
/// Equation: delta = W/(rho_p (1 - e))
/// Symbols:  W dust per area [kg/m2], rho_p particle density [kg/m3], e porosity [-]
/// Validity: dust that lies on the surface
/// @param  cake  density and porosity
/// @param  mass  dust on the surface per area [kg/m2], >= 0
/// @return thickness [m]
/// @throws DomainError if a value is out of its range
/// @source definition of the porosity; test: loading/growth_laws_test.cpp
template <class T>
BasicLength<T> cake_thickness(const BasicDustCake<T>& cake, BasicMassPerArea<T> mass) {
    constexpr auto where = "cake_thickness";
    detail::check(cake, where);
    const T w = detail::require_non_negative(where, "mass", mass.value(), "kg/m2");
    return BasicLength<T>::from_value(detail::require_finite(where, "result", detail::cake_thickness(cake, w), "m"));
}
template <Deferred...>
inline Length cake_thickness(const DustCake& cake, MassPerArea mass) { return cake_thickness<double>(cake, mass); }

}   // namespace filterflow
