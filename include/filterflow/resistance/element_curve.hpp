// SPDX-License-Identifier: BSL-1.0
#pragma once

// A whole element (filter, empty stand, coil): a viscous and an inertial part of its pressure drop, and the air
// that they are stated for. In other air the viscous part follows the viscosity, the inertial part the density.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// dp = r Q + s Q |Q| in the stated air.
template <class T>
struct BasicElementCurve {
    BasicLinearResistance<T> linear;         ///< r, viscous, >= 0
    BasicQuadraticResistance<T> quadratic;   ///< s, inertial, >= 0
    AirState stated_air;                     ///< the air in which r and s hold
};
using ElementCurve = BasicElementCurve<double>;

namespace detail {

/// r and s in the air of operation, in SI.
template <class T>
struct ElementCoefficients {
    T linear;      // Pa s / m3
    T quadratic;   // Pa s2 / m6
};

template <class T>
ElementCoefficients<T> element_coefficients(const BasicElementCurve<T>& curve, const BasicAirState<T>& air) {
    return {curve.linear.value() * air.viscosity.value() / T(curve.stated_air.viscosity.value()),
            curve.quadratic.value() * air.density.value() / T(curve.stated_air.density.value())};
}

template <class T>
T element_pressure_drop(const ElementCoefficients<T>& c, const T& flow) {
    using std::abs;
    return (c.linear + c.quadratic * abs(flow)) * flow;
}

/// The root of r Q + s Q |Q| = dp in the form that stays exact as s -> 0. Ratios are taken before they are multiplied,
/// so that no square leaves the range of numbers; where r is next to nothing, it is s that they are taken to.
template <class T>
T element_flow(const ElementCoefficients<T>& c, const T& drop) {
    using std::abs;
    using std::sqrt;
    if (plain_value(c.linear) > 0.0) {
        const T viscous_flow = drop / c.linear;
        const T ratio = (c.quadratic / c.linear) * abs(viscous_flow);
        if (plain_value(ratio) < 1e300) return viscous_flow * (T(2) / (T(1) + sqrt(T(1) + T(4) * ratio)));
    }
    const T inertial_flow = sqrt(abs(drop) / c.quadratic);   // of s alone
    const T half = (c.linear / c.quadratic) / (T(2) * inertial_flow);
    const T flow = inertial_flow / (half + sqrt(T(1) + half * half));
    return plain_value(drop) < 0.0 ? -flow : flow;
}

template <class T>
void check(const BasicElementCurve<T>& curve, const BasicAirState<T>& air, const char* where) {
    require_non_negative(where, "linear", curve.linear.value(), "Pa s/m3");
    require_non_negative(where, "quadratic", curve.quadratic.value(), "Pa s2/m6");
    check_air(curve.stated_air, where);
    check_air(air, where);
}

}   // namespace detail

/// Pressure drop of an element at a volume flow of the air of operation; odd in the flow.
///
/// Equation: dp = r (mu/mu0) Q + s (rho/rho0) Q |Q|
/// Symbols:  r linear [Pa s/m3], s quadratic [Pa s2/m6], Q flow [m3/s], mu viscosity [Pa s], rho density
///           [kg/m3], 0 of the stated air
/// Validity: where r and s were found; how far beyond is for the caller to say (see ElementFit)
/// @param  curve  element, r and s >= 0
/// @param  flow  at the density of the air [m3/s], any finite value
/// @param  air  air of operation
/// @return pressure drop [Pa]
/// @throws DomainError if r or s is < 0, density or viscosity is not > 0, or a value is not finite
/// @source Darcy 1856; Forchheimer 1901; common practice for whole filters; test: resistance/element_curve_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicElementCurve<T>& curve, BasicVolumeFlow<T> flow,
                               const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(ElementCurve)";
    detail::check(curve, air, where);
    const T q = detail::require_finite(where, "flow", flow.value(), "m3/s");
    return BasicPressure<T>::from_value(detail::require_finite(
        where, "result", detail::element_pressure_drop(detail::element_coefficients(curve, air), q), "Pa"));
}
inline Pressure pressure_drop(const ElementCurve& curve, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(curve, flow, air);
}

/// Volume flow that a pressure drop drives through an element: the exact inverse of pressure_drop.
///
/// Equation: Q = 2 dp/(r' + (r'^2 + 4 s' |dp|)^(1/2)), r' = r mu/mu0, s' = s rho/rho0
/// Symbols:  as pressure_drop
/// Validity: as pressure_drop; r and s not both zero
/// @param  curve  element, r and s >= 0, not both zero
/// @param  drop  pressure drop [Pa], any finite value
/// @param  air  air of operation
/// @return volume flow at the density of the air [m3/s]
/// @throws DomainError as pressure_drop, or if r and s are both zero
/// @source the root of the quadratic above; test: resistance/element_curve_test.cpp
template <class T>
BasicVolumeFlow<T> volume_flow(const BasicElementCurve<T>& curve, BasicPressure<T> drop,
                               const BasicAirState<T>& air) {
    constexpr auto where = "volume_flow(ElementCurve)";
    detail::check(curve, air, where);
    const T dp = detail::require_finite(where, "drop", drop.value(), "Pa");
    if (detail::plain_value(curve.quadratic.value()) == 0.0) {
        detail::require_positive(where, "linear", curve.linear.value(), "Pa s/m3 (with quadratic = 0)");
    }
    const auto coefficients = detail::element_coefficients(curve, air);
    // Without a viscous part the derivative of the flow at dp = 0 is infinite, its value is zero.
    const T q = detail::plain_value(dp) == 0.0 && detail::plain_value(coefficients.linear) == 0.0
                    ? T(0)
                    : detail::element_flow(coefficients, dp);
    return BasicVolumeFlow<T>::from_value(detail::require_finite(where, "result", q, "m3/s"));
}
template <Deferred...>
inline VolumeFlow volume_flow(const ElementCurve& curve, Pressure drop, const AirState& air) {
    return volume_flow<double>(curve, drop, air);
}

}   // namespace filterflow
