// SPDX-License-Identifier: BSL-1.0
#pragma once

// Pressure drop of a straight duct with its fittings: friction over the length plus loss coefficients, both on the
// velocity in this duct.

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/duct_segment.hpp>
#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// What Darcy and Weisbach's equation needs where the friction factor is known already.
template <class T>
struct BasicKnownFriction {
    BasicDarcyFactor<T> friction_factor{};  ///< >= 0; darcy_factor makes it from Fanning's
    BasicLength<T> length{};                ///< >= 0
    BasicLength<T> hydraulic_diameter{};    ///< > 0
    T loss_coefficient{};                   ///< sum of the fittings' coefficients on the same velocity
};
using KnownFriction = BasicKnownFriction<double>;

namespace detail {

/// f Re of laminar flow in a rectangle over that in a circle, 64 (Shah and London's fit, from memory).
template <class T>
T rectangle_laminar_factor(const T& width, const T& height) {
    const T a = width < height ? width / height : height / width;
    return T(1.5) * (T(1) - a * (T(1.3553) - a * (T(1.9467) - a * (T(1.7012) - a * (T(0.9564) - a * T(0.2537))))));
}

/// dp = friction_scale G(reynolds_per_flow Q) + quadratic Q^2, in SI.
template <class T>
struct DuctCoefficients {
    T reynolds_per_flow;
    T friction_scale;
    T relative_roughness;
    T quadratic;
};

template <class T>
DuctCoefficients<T> duct_coefficients(const BasicDuctSegment<T>& duct, const T& density, const T& viscosity) {
    const T area = duct_area(duct);
    // Of the duct whose friction is computed: its diameter in Re and roughness, its area, its diameter in L/D.
    T diameter = duct_hydraulic_diameter(duct);
    T friction_area = area;
    T length_diameter = diameter;
    if (!is_round(duct) && duct.friction_diameter == FrictionDiameter::laminar_equivalent) {
        diameter = diameter / rectangle_laminar_factor(duct.width.value(), duct.height.value());
    } else if (!is_round(duct) && duct.friction_diameter == FrictionDiameter::equivalent) {
        diameter = duct_equivalent_diameter(duct);
        length_diameter = diameter;
        friction_area = T(quarter_pi) * diameter * diameter;
    }
    return {density * diameter / (viscosity * friction_area),
            viscosity * viscosity * duct.length.value() / (T(2) * density * diameter * diameter * length_diameter),
            duct.roughness.value() / diameter, T(0.5) * density * duct.loss_coefficient / (area * area)};
}

template <class T>
T duct_pressure_drop(const DuctCoefficients<T>& c, const T& flow) {
    return c.friction_scale * blended_friction(T(c.reynolds_per_flow * flow), c.relative_roughness).g +
           c.quadratic * flow * flow;
}

}   // namespace detail

/// Reynolds number of a flow in a duct, on its hydraulic diameter.
///
/// Equation: Re = rho V D_h / mu, V = Q / A
/// Symbols:  rho density, mu viscosity, V mean velocity, D_h hydraulic diameter, A area
/// Validity: continuum flow
/// @param  duct  round, rectangular or flat oval
/// @param  flow  volume flow [m3/s], >= 0
/// @param  air  air in the duct
/// @return Reynolds number [-]
/// @throws DomainError if the duct or the air is not valid or the flow is negative or not finite
/// @source definition; test: airflow/duct_test.cpp
template <class T>
T reynolds_number(const BasicDuctSegment<T>& duct, BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    constexpr auto where = "reynolds_number(DuctSegment)";
    detail::check(duct, where);
    detail::check_air(air, where);
    detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    return air.density.value() * flow.value() * detail::duct_hydraulic_diameter(duct) /
           (air.viscosity.value() * detail::duct_area(duct));
}
template <Deferred...>
inline double reynolds_number(const DuctSegment& duct, VolumeFlow flow, const AirState& air) {
    return reynolds_number<double>(duct, flow, air);
}

/// Total pressure drop of a duct with its fittings.
///
/// Equation: dp = (f L / D_h + K) rho V^2 / 2, V = Q / A
/// Symbols:  f darcy_friction_factor at Re on D_h (or on the diameter that friction_diameter names, the equivalent one
///           with its own velocity), L length, K loss coefficient, rho density, V mean velocity, A area
/// Validity: Mach number below about 0.2; eps/D_h <= 0.1. Published coefficients of elbows scatter by about 30 %
/// @param  duct  round, rectangular or flat oval
/// @param  flow  volume flow [m3/s], >= 0
/// @param  air  air in the duct
/// @return pressure drop [Pa]
/// @throws DomainError if the duct or the air is not valid, the flow is negative, or the result is not finite
/// @source Darcy and Weisbach; White, Fluid Mechanics, ch. 6; test: airflow/duct_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicDuctSegment<T>& duct, BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(DuctSegment)";
    detail::check(duct, where);
    detail::check_air(air, where);
    detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    const auto c = detail::duct_coefficients(duct, air.density.value(), air.viscosity.value());
    return BasicPressure<T>::from_value(
        detail::require_finite(where, "result", detail::duct_pressure_drop(c, flow.value()), "Pa"));
}
template <Deferred...>
inline Pressure pressure_drop(const DuctSegment& duct, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(duct, flow, air);
}

/// Pressure drop of a duct whose friction factor is stated.
///
/// Equation: dp = (f L / D_h + K) rho V^2 / 2
/// Symbols:  f Darcy friction factor, L length, D_h hydraulic diameter, K loss coefficient, V mean velocity
/// Validity: as far as the stated factor holds
/// @param  friction  stated factor, length, diameter and loss coefficient
/// @param  velocity  mean velocity [m/s], >= 0
/// @param  air  air in the duct
/// @return pressure drop [Pa]
/// @throws DomainError if an argument is out of its range or not finite
/// @source Darcy and Weisbach; test: airflow/duct_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicKnownFriction<T>& friction, BasicVelocity<T> velocity,
                               const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(KnownFriction)";
    const T f = detail::require_non_negative(where, "friction_factor", friction.friction_factor.value, "-");
    const T length = detail::require_non_negative(where, "length", friction.length.value(), "m");
    const T diameter = detail::require_positive(where, "hydraulic_diameter", friction.hydraulic_diameter.value(), "m");
    const T k = detail::require_finite(where, "loss_coefficient", friction.loss_coefficient, "-");
    const T v = detail::require_non_negative(where, "velocity", velocity.value(), "m/s");
    const T density = detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    return BasicPressure<T>::from_value(detail::require_finite(
        where, "result", T((f * length / diameter + k) * T(0.5) * density * v * v), "Pa"));
}
template <Deferred...>
inline Pressure pressure_drop(const KnownFriction& friction, Velocity velocity, const AirState& air) {
    return pressure_drop<double>(friction, velocity, air);
}

}   // namespace filterflow
