// SPDX-License-Identifier: BSL-1.0
#pragma once

// How much the air's inertia adds to the drop of a porous layer: the factor b in rho b L v^2 (Forchheimer coefficient) by
// name, and the Reynolds numbers that say whether it matters.

#include <cmath>
#include <limits>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/granular_medium.hpp>
#include <filterflow/media/range_status.hpp>

namespace filterflow {

/// Ward's coefficient for grains.
inline constexpr double ward_granular_coefficient = 0.55;
/// Ward's coefficient for fibres and foams, middle of 0.07 to 0.15.
inline constexpr double ward_fibre_coefficient = 0.1;

namespace detail {

inline constexpr double darcy_greatest_reynolds = 1.0;
inline constexpr double ergun_greatest_reynolds = 2300.0;

template <class T>
T ergun_inertial_factor(const BasicGranularMedium<T>& medium) {
    const T& e = medium.voidage;
    return T(1.75) * (T(1) - e) / (e * e * e * surface_diameter(medium));
}

template <class T>
T reynolds_number(const T& diameter, const T& velocity, const BasicAirState<T>& air) {
    using std::abs;
    return air.density.value() * abs(velocity) * diameter / air.viscosity.value();
}

}   // namespace detail

/// Inertial factor (Forchheimer coefficient) of a layer from its permeability, by Ward.
///
/// Equation: b = c/k^(1/2)
/// Symbols:  b inertial factor [1/m], c Ward's coefficient [-], k permeability [m2]
/// Validity: c of 0.55 for grains, 0.07 to 0.15 for fibres and foams (from memory); another one is the caller's
/// @param  permeability  [m2], > 0
/// @param  coefficient  Ward's coefficient [-], >= 0: ward_granular_coefficient, ward_fibre_coefficient or measured
/// @return inertial factor [1/m]
/// @throws DomainError if the permeability is not > 0, the coefficient is < 0, or the result is not finite
/// @source Ward 1964; Beavers and Sparrow 1969 (coefficients from memory); test: resistance/inertial_factor_test.cpp
template <class T>
BasicInverseLength<T> ward_inertial_factor(BasicPermeability<T> permeability, const T& coefficient) {
    constexpr auto where = "ward_inertial_factor";
    using std::sqrt;
    const T k = detail::require_positive(where, "permeability", permeability.value(), "m2");
    detail::require_non_negative(where, "coefficient", coefficient, "-");
    return BasicInverseLength<T>::from_value(
        detail::require_finite(where, "result", T(coefficient / sqrt(k)), "1/m"));
}
template <Deferred...>
inline InverseLength ward_inertial_factor(Permeability permeability, double coefficient) {
    return ward_inertial_factor<double>(permeability, coefficient);
}

/// Inertial factor (Forchheimer coefficient) of a layer of grains, by Ergun.
///
/// Equation: b = 1.75 (1 - e)/(e^3 d)
/// Symbols:  b inertial factor [1/m], e voidage [-], d diameter of a grain times its sphericity [m]
/// Validity: voidage 0.3 to 0.6 (throws outside); never for fibres, whose inertia it puts far too high
/// @param  medium  thickness [m] > 0, grain diameter [m] > 0, voidage, sphericity [-] above 0 to 1
/// @return inertial factor [1/m]
/// @throws DomainError outside the validity or if the result is not finite
/// @source Ergun 1952 (voidage by common practice); fibres: Tamayol, Wong and Bahrami 2010 (abstract);
///         test: resistance/inertial_factor_test.cpp
template <class T>
BasicInverseLength<T> ergun_inertial_factor(const BasicGranularMedium<T>& medium) {
    constexpr auto where = "ergun_inertial_factor";
    detail::check(medium, where);
    detail::require_between(where, "voidage", medium.voidage, detail::ergun_least_voidage,
                            detail::ergun_greatest_voidage, "-");
    return BasicInverseLength<T>::from_value(
        detail::require_finite(where, "result", detail::ergun_inertial_factor(medium), "1/m"));
}
template <Deferred...>
inline InverseLength ergun_inertial_factor(const GranularMedium& medium) {
    return ergun_inertial_factor<double>(medium);
}

/// Reynolds number of the flow about a fibre.
///
/// Equation: Re = rho |v| d/mu
/// Symbols:  rho density [kg/m3], v face velocity [m/s], d fibre diameter [m], mu viscosity [Pa s]
/// Validity: any; darcy_range judges it
/// @param  fibre_diameter  geometric [m], > 0
/// @param  face_velocity  volume flow over area of the layer [m/s], finite
/// @param  air  air of operation
/// @return Reynolds number [-], >= 0
/// @throws DomainError if an input or the result is outside
/// @source definition; test: resistance/inertial_factor_test.cpp
template <class T>
T fibre_reynolds_number(BasicLength<T> fibre_diameter, BasicVelocity<T> face_velocity, const BasicAirState<T>& air) {
    constexpr auto where = "fibre_reynolds_number";
    const T d = detail::require_positive(where, "fibre_diameter", fibre_diameter.value(), "m");
    const T v = detail::require_finite(where, "face_velocity", face_velocity.value(), "m/s");
    detail::check_air(air, where);
    return detail::require_finite(where, "result", detail::reynolds_number(d, v, air), "-");
}
template <Deferred...>
inline double fibre_reynolds_number(Length fibre_diameter, Velocity face_velocity, const AirState& air) {
    return fibre_reynolds_number<double>(fibre_diameter, face_velocity, air);
}

/// Reynolds number of Ergun's equation.
///
/// Equation: Re = rho |v| d/(mu (1 - e))
/// Symbols:  rho density [kg/m3], v face velocity [m/s], d diameter of a grain times its sphericity [m],
///           mu viscosity [Pa s], e voidage [-]
/// Validity: any; ergun_range judges it
/// @param  medium  thickness [m] > 0, grain diameter [m] > 0, voidage between 0 and 1, sphericity [-] above 0 to 1
/// @param  face_velocity  volume flow over area of the layer [m/s], finite
/// @param  air  air of operation
/// @return Reynolds number [-], >= 0
/// @throws DomainError if an input or the result is outside
/// @source Ergun 1952; test: resistance/inertial_factor_test.cpp
template <class T>
T grain_reynolds_number(const BasicGranularMedium<T>& medium, BasicVelocity<T> face_velocity,
                        const BasicAirState<T>& air) {
    constexpr auto where = "grain_reynolds_number";
    detail::check(medium, where);
    const T v = detail::require_finite(where, "face_velocity", face_velocity.value(), "m/s");
    detail::check_air(air, where);
    return detail::require_finite(
        where, "result", T(detail::reynolds_number(detail::surface_diameter(medium), v, air) / (T(1) - medium.voidage)),
        "-");
}
template <Deferred...>
inline double grain_reynolds_number(const GranularMedium& medium, Velocity face_velocity, const AirState& air) {
    return grain_reynolds_number<double>(medium, face_velocity, air);
}

/// How a flow stands to the range of Darcy's law in fibres, where the inertial term may be left out.
///
/// Equation: Re <= 1
/// Symbols:  Re Reynolds number of a fibre [-]
/// Validity: any Reynolds number
/// @param  fibre_reynolds_number  [-], >= 0
/// @return status: at most 1 is inside
/// @throws DomainError if the number is < 0 or not finite
/// @source from memory (media of filters in ventilation have 0.01 to 0.5); test: resistance/inertial_factor_test.cpp
template <Deferred...>
inline RangeStatus darcy_range(double fibre_reynolds_number) {
    detail::require_non_negative("darcy_range", "fibre_reynolds_number", fibre_reynolds_number, "-");
    return range_status({.quantity = "Reynolds number of a fibre",
                         .unit = "-",
                         .value = fibre_reynolds_number,
                         .least = 0.0,
                         .greatest = detail::darcy_greatest_reynolds});
}

/// How a flow stands to the range of Ergun's equation.
///
/// Equation: Re <= 2300
/// Symbols:  Re Reynolds number of grain_reynolds_number [-]
/// Validity: any Reynolds number; below 1, where the stated range ends, the viscous part alone is left, which holds
///           there
/// @param  grain_reynolds_number  [-], >= 0
/// @return status: at most 2300 is inside (above about 700 the drop is put too high)
/// @throws DomainError if the number is < 0 or not finite
/// @source documentation of Ergun's equation in the Python library fluids 1.0.22; test:
///         resistance/inertial_factor_test.cpp
template <Deferred...>
inline RangeStatus ergun_range(double grain_reynolds_number) {
    detail::require_non_negative("ergun_range", "grain_reynolds_number", grain_reynolds_number, "-");
    return range_status({.quantity = "Reynolds number of a grain",
                         .unit = "-",
                         .value = grain_reynolds_number,
                         .least = 0.0,
                         .greatest = detail::ergun_greatest_reynolds});
}

}   // namespace filterflow
