// SPDX-License-Identifier: BSL-1.0
#pragma once

// One homogeneous porous layer: pressure drop from velocity (Darcy plus an inertial term) and back; the layers that
// mats of fibres and beds of grains are.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/media/granular_medium.hpp>
#include <filterflow/resistance/inertial_factor.hpp>

namespace filterflow {

/// A homogeneous porous layer crossed at right angles.
template <class T>
struct BasicPorousLayer {
    BasicLength<T> thickness;                  ///< along the flow, > 0
    BasicPermeability<T> permeability;         ///< Darcy permeability, > 0
    BasicInverseLength<T> inertial_factor{};   ///< b in rho b L v^2, Forchheimer coefficient, >= 0; zero: Darcy's law
};
using PorousLayer = BasicPorousLayer<double>;

namespace detail {

/// dp = viscous v + inertial v |v|, in SI.
template <class T>
struct LayerCoefficients {
    T viscous;    // Pa s / m
    T inertial;   // Pa s2 / m2
};

template <class T>
LayerCoefficients<T> layer_coefficients(const BasicPorousLayer<T>& layer, const BasicAirState<T>& air) {
    const T thickness = layer.thickness.value();
    return {air.viscosity.value() * thickness / layer.permeability.value(),
            air.density.value() * layer.inertial_factor.value() * thickness};
}

template <class T>
T layer_pressure_drop(const LayerCoefficients<T>& c, const T& v) {
    using std::abs;
    return (c.viscous + c.inertial * abs(v)) * v;
}

/// The root of viscous v + inertial v |v| = dp in the form that stays exact as inertial -> 0. Ratios are taken before
/// they are multiplied, so that no square leaves the range of numbers; where the ratio itself does, there is nothing
/// but inertia.
template <class T>
T layer_velocity(const LayerCoefficients<T>& c, const T& dp) {
    using std::abs;
    using std::sqrt;
    const T viscous_velocity = dp / c.viscous;
    const T ratio = (c.inertial / c.viscous) * abs(viscous_velocity);
    if (!(plain_value(ratio) < 1e300)) {
        const T speed = sqrt(abs(dp) / c.inertial);
        return plain_value(dp) < 0.0 ? -speed : speed;
    }
    return viscous_velocity * (T(2) / (T(1) + sqrt(T(1) + T(4) * ratio)));
}

template <class T>
void check(const BasicPorousLayer<T>& layer, const BasicAirState<T>& air, const char* where) {
    require_positive(where, "thickness", layer.thickness.value(), "m");
    require_positive(where, "permeability", layer.permeability.value(), "m2");
    require_non_negative(where, "inertial_factor", layer.inertial_factor.value(), "1/m");
    check_air(air, where);
}

}   // namespace detail

/// The porous layer that a fibrous medium is, with Davies' permeability, without slip.
///
/// Equation: k by permeability(FibrousMedium); b = 0
/// Symbols:  k permeability [m2], b inertial factor [1/m]
/// Validity: as permeability(FibrousMedium), which throws outside; permeability_estimate gives a number with a status
///           that goes into a PorousLayer. For fibres above 6 um, and for an effective diameter that was found from a
///           drop in air like that of operation, whose slip it contains. Finer fibres: with the mean free path, below
/// @param  medium  thickness [m], effective fibre diameter [m], solidity [-]
/// @return layer
/// @throws DomainError as permeability(FibrousMedium)
/// @source Davies 1953; test: resistance/porous_layer_test.cpp
template <class T>
BasicPorousLayer<T> porous_layer(const BasicFibrousMedium<T>& medium) {
    return {medium.thickness, permeability(medium), BasicInverseLength<T>::from_value(T(0))};
}
template <Deferred...>
inline PorousLayer porous_layer(const FibrousMedium& medium) { return porous_layer<double>(medium); }

/// The porous layer that a mat of fine fibres is: Davies' permeability, with the drag that slip of the gas takes off.
/// The usual choice for fibres under 6 um of which a microscope tells the diameter.
///
/// Equation: k by permeability(FibrousMedium) over slip_drag_factor; b = 0
/// Symbols:  k permeability [m2], b inertial factor [1/m]
/// Validity: as permeability(FibrousMedium) and slip_drag_factor. For fibres finer than those of Davies' data, which
///           contain what slip there was: above some 6 um nothing changes
/// @param  medium  thickness [m], effective and geometric fibre diameter [m], solidity [-]
/// @param  mean_free_path  of the air [m], > 0, as mean_free_path(air) of the room particle gives it
/// @return layer, for air of this mean free path
/// @throws DomainError as permeability(FibrousMedium) and slip_drag_factor
/// @source Davies 1953; slip as slip_drag_factor; test: resistance/porous_layer_test.cpp
template <class T>
BasicPorousLayer<T> porous_layer(const BasicFibrousMedium<T>& medium, BasicLength<T> mean_free_path) {
    const T factor = slip_drag_factor<T>(medium, mean_free_path);
    return {medium.thickness, BasicPermeability<T>::from_value(permeability<T>(medium).value() / factor),
            BasicInverseLength<T>::from_value(T(0))};
}
template <Deferred...>
inline PorousLayer porous_layer(const FibrousMedium& medium, Length mean_free_path) {
    return porous_layer<double>(medium, mean_free_path);
}

/// The porous layer that a bed of grains is, by Ergun's equation.
///
/// Equation: k = e^3 d^2/(150 (1 - e)^2); b = 1.75 (1 - e)/(e^3 d)
/// Symbols:  k permeability [m2], b inertial factor [1/m], e voidage [-], d diameter of a grain times its sphericity
///           [m]
/// Validity: voidage 0.3 to 0.6 (throws outside); ergun_range judges the velocity; never for fibres
/// @param  medium  thickness [m] > 0, grain diameter [m] > 0, voidage, sphericity [-] above 0 to 1
/// @return layer
/// @throws DomainError outside the validity, or if permeability or inertial factor is not finite
/// @source Ergun 1952 (voidage by common practice); test: resistance/porous_layer_test.cpp
template <class T>
BasicPorousLayer<T> porous_layer(const BasicGranularMedium<T>& medium) {
    const BasicInverseLength<T> inertial_factor = ergun_inertial_factor<T>(medium);
    return {medium.thickness, permeability_estimate<T>(medium, GranularPermeability::ergun).permeability,
            inertial_factor};
}
template <Deferred...>
inline PorousLayer porous_layer(const GranularMedium& medium) { return porous_layer<double>(medium); }

/// Pressure drop across the layer; odd in the velocity.
///
/// Equation: dp = mu L v / k + rho b L v |v|
/// Symbols:  mu viscosity [Pa s], rho density [kg/m3], L thickness [m], k permeability [m2],
///           b inertial factor [1/m], v face velocity [m/s]
/// Validity: continuum flow; with b = 0 a fibre Reynolds number below about 1
/// @param  layer  thickness [m] > 0, permeability [m2] > 0, inertial factor [1/m] >= 0
/// @param  face_velocity  volume flow over face area [m/s], any finite value
/// @param  air  air of operation
/// @return pressure drop [Pa]
/// @throws DomainError if thickness, permeability, density or viscosity is not > 0, the inertial
///         factor is < 0, or any argument or the result is not finite
/// @source Darcy 1856; Forchheimer 1901; test: resistance/porous_layer_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicPorousLayer<T>& layer, BasicVelocity<T> face_velocity,
                               const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(PorousLayer)";
    detail::check(layer, air, where);
    const T v = detail::require_finite(where, "face_velocity", face_velocity.value(), "m/s");
    return BasicPressure<T>::from_value(detail::require_finite(
        where, "result", detail::layer_pressure_drop(detail::layer_coefficients(layer, air), v), "Pa"));
}
template <Deferred...>
inline Pressure pressure_drop(const PorousLayer& layer, Velocity face_velocity, const AirState& air) {
    return pressure_drop<double>(layer, face_velocity, air);
}

/// Face velocity that a pressure drop drives through the layer: the exact inverse of pressure_drop.
///
/// Equation: v = 2 (dp/r) / (1 + sqrt(1 + 4 s |dp|/r^2)), r = mu L / k, s = rho b L
/// Symbols:  as pressure_drop; dp pressure drop [Pa]
/// Validity: as pressure_drop
/// @param  layer  as pressure_drop
/// @param  drop  pressure drop [Pa], any finite value
/// @param  air  air of operation
/// @return face velocity [m/s]
/// @throws DomainError as pressure_drop
/// @source the root of the quadratic above; test: resistance/porous_layer_test.cpp
template <class T>
BasicVelocity<T> face_velocity(const BasicPorousLayer<T>& layer, BasicPressure<T> drop,
                               const BasicAirState<T>& air) {
    constexpr auto where = "face_velocity(PorousLayer)";
    detail::check(layer, air, where);
    const T dp = detail::require_finite(where, "drop", drop.value(), "Pa");
    return BasicVelocity<T>::from_value(detail::require_finite(
        where, "result", detail::layer_velocity(detail::layer_coefficients(layer, air), dp), "m/s"));
}
template <Deferred...>
inline Velocity face_velocity(const PorousLayer& layer, Pressure drop, const AirState& air) {
    return face_velocity<double>(layer, drop, air);
}

}   // namespace filterflow
