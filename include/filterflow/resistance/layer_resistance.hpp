// SPDX-License-Identifier: BSL-1.0
#pragma once

// Porous layers in series: their resistances R and S in dp = R v + S v |v| add up. The drop with the part of each
// layer, its exact inverse, and what other air changes.

#include <cmath>
#include <span>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/porous_layer.hpp>

namespace filterflow {

/// What layers in series oppose to a face velocity v in one air: dp = R v + S v |v|.
template <class T>
struct BasicLayerResistance {
    BasicLinearLayerResistance<T> linear;         ///< R, viscous, > 0
    BasicQuadraticLayerResistance<T> quadratic;   ///< S, inertial, >= 0
};
using LayerResistance = BasicLayerResistance<double>;

/// The part of one layer in the drop of layers in series.
template <class T>
struct BasicLayerDrop {
    BasicPressure<T> viscous;    ///< R v
    BasicPressure<T> inertial;   ///< S v |v|
    T share;                     ///< of the layer in the whole drop, 0 to 1; at rest that of the slowest flow
};
using LayerDrop = BasicLayerDrop<double>;

/// The drop of layers in series and its parts.
template <class T>
struct BasicSeriesDrop {
    BasicPressure<T> total;                  ///< of all layers
    BasicPressure<T> viscous;                ///< of all layers
    BasicPressure<T> inertial;               ///< of all layers
    std::vector<BasicLayerDrop<T>> layers;   ///< in the order of the layers
};
using SeriesDrop = BasicSeriesDrop<double>;

namespace detail {

template <class T>
LayerCoefficients<T> coefficients_of(const BasicLayerResistance<T>& resistance) {
    return {resistance.linear.value(), resistance.quadratic.value()};
}

template <class T>
BasicLayerResistance<T> resistance_of(const LayerCoefficients<T>& c, const char* where) {
    require_positive(where, "linear resistance", c.viscous, "Pa s/m");
    require_non_negative(where, "quadratic resistance", c.inertial, "Pa s2/m2");
    return {BasicLinearLayerResistance<T>::from_value(c.viscous),
            BasicQuadraticLayerResistance<T>::from_value(c.inertial)};
}

template <class T>
void check(const BasicLayerResistance<T>& resistance, const char* where) {
    require_positive(where, "linear resistance", resistance.linear.value(), "Pa s/m");
    require_non_negative(where, "quadratic resistance", resistance.quadratic.value(), "Pa s2/m2");
}

}   // namespace detail

/// Resistance of one layer in an air.
///
/// Equation: R = mu L/k, S = rho b L
/// Symbols:  mu viscosity [Pa s], rho density [kg/m3], L thickness [m], k permeability [m2], b inertial factor [1/m]
/// Validity: as pressure_drop of the layer
/// @param  layer  thickness [m] > 0, permeability [m2] > 0, inertial factor [1/m] >= 0
/// @param  air  air of operation
/// @return R [Pa s/m], S [Pa s2/m2]
/// @throws DomainError if an input is outside or R is not > 0 and finite or S not finite
/// @source Darcy 1856; Forchheimer 1901; test: resistance/layer_resistance_test.cpp
template <class T>
BasicLayerResistance<T> layer_resistance(const BasicPorousLayer<T>& layer, const BasicAirState<T>& air) {
    constexpr auto where = "layer_resistance(PorousLayer)";
    detail::check(layer, air, where);
    return detail::resistance_of(detail::layer_coefficients(layer, air), where);
}
template <Deferred...>
inline LayerResistance layer_resistance(const PorousLayer& layer, const AirState& air) {
    return layer_resistance<double>(layer, air);
}

/// Resistance of layers in series in an air.
///
/// Equation: R = sum of mu L/k, S = sum of rho b L
/// Symbols:  as layer_resistance of one layer
/// Validity: layers of one area, each as pressure_drop of a layer
/// @param  layers  one after the other; shape (n), n >= 1
/// @param  air  air of operation
/// @return R [Pa s/m], S [Pa s2/m2]
/// @throws DomainError if there is no layer or as layer_resistance of one
/// @source drops in series add up; test: resistance/layer_resistance_test.cpp
template <class T>
BasicLayerResistance<T> layer_resistance(std::span<const BasicPorousLayer<T>> layers, const BasicAirState<T>& air) {
    constexpr auto where = "layer_resistance(layers)";
    if (layers.empty()) detail::throw_domain_error(where, "number of layers", 0.0, "-", "at least 1");
    detail::LayerCoefficients<T> sum{T(0), T(0)};
    for (const BasicPorousLayer<T>& layer : layers) {
        detail::check(layer, air, where);
        const detail::LayerCoefficients<T> c = detail::layer_coefficients(layer, air);
        sum.viscous += c.viscous;
        sum.inertial += c.inertial;
    }
    return detail::resistance_of(sum, where);
}
template <Deferred...>
inline LayerResistance layer_resistance(std::span<const PorousLayer> layers, const AirState& air) {
    return layer_resistance<double>(layers, air);
}

/// A resistance in another air: the viscous part goes with the viscosity, the inertial part with the density.
///
/// Equation: R' = R mu'/mu, S' = S rho'/rho
/// Symbols:  mu viscosity [Pa s], rho density [kg/m3]; with a prime: of the other air
/// Validity: as pressure_drop of a layer; slip of fine fibres changes with the mean free path besides
/// @param  resistance  R [Pa s/m] > 0, S [Pa s2/m2] >= 0
/// @param  stated_air  air that it is stated for
/// @param  air  air of operation
/// @return R [Pa s/m], S [Pa s2/m2] in that air
/// @throws DomainError if an input is outside or the result is not finite
/// @source Darcy 1856; Forchheimer 1901; test: resistance/layer_resistance_test.cpp
template <class T>
BasicLayerResistance<T> resistance_in_air(const BasicLayerResistance<T>& resistance, const BasicAirState<T>& stated_air,
                                          const BasicAirState<T>& air) {
    constexpr auto where = "resistance_in_air";
    detail::check(resistance, where);
    detail::check_air(stated_air, where);
    detail::check_air(air, where);
    return detail::resistance_of(
        detail::LayerCoefficients<T>{
            resistance.linear.value() * (air.viscosity.value() / stated_air.viscosity.value()),
            resistance.quadratic.value() * (air.density.value() / stated_air.density.value())},
        where);
}
template <Deferred...>
inline LayerResistance resistance_in_air(const LayerResistance& resistance, const AirState& stated_air,
                                         const AirState& air) {
    return resistance_in_air<double>(resistance, stated_air, air);
}

/// Pressure drop over a resistance; odd in the velocity.
///
/// Equation: dp = R v + S v |v|
/// Symbols:  R, S resistance, v face velocity [m/s]
/// Validity: as pressure_drop of a layer
/// @param  resistance  R [Pa s/m] > 0, S [Pa s2/m2] >= 0
/// @param  face_velocity  volume flow over face area [m/s], any finite value
/// @return pressure drop [Pa]
/// @throws DomainError if an input is outside or the result is not finite
/// @source Darcy 1856; Forchheimer 1901; test: resistance/layer_resistance_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicLayerResistance<T>& resistance, BasicVelocity<T> face_velocity) {
    constexpr auto where = "pressure_drop(LayerResistance)";
    detail::check(resistance, where);
    const T v = detail::require_finite(where, "face_velocity", face_velocity.value(), "m/s");
    return BasicPressure<T>::from_value(detail::require_finite(
        where, "result", detail::layer_pressure_drop(detail::coefficients_of(resistance), v), "Pa"));
}
template <Deferred...>
inline Pressure pressure_drop(const LayerResistance& resistance, Velocity face_velocity) {
    return pressure_drop<double>(resistance, face_velocity);
}

/// Face velocity that a pressure drop drives through a resistance: the exact inverse of pressure_drop.
///
/// Equation: v = 2 (dp/R)/(1 + (1 + 4 S |dp|/R^2)^(1/2)), the same as 2 dp/(R + (R^2 + 4 S |dp|)^(1/2))
/// Symbols:  R, S resistance, dp pressure drop [Pa]
/// Validity: as pressure_drop of a layer; accurate as S goes to zero, and at zero
/// @param  resistance  R [Pa s/m] > 0, S [Pa s2/m2] >= 0
/// @param  drop  pressure drop [Pa], any finite value
/// @return face velocity [m/s]
/// @throws DomainError if an input is outside or the result is not finite
/// @source the root of the quadratic above; test: resistance/layer_resistance_test.cpp
template <class T>
BasicVelocity<T> face_velocity(const BasicLayerResistance<T>& resistance, BasicPressure<T> drop) {
    constexpr auto where = "face_velocity(LayerResistance)";
    detail::check(resistance, where);
    const T dp = detail::require_finite(where, "drop", drop.value(), "Pa");
    return BasicVelocity<T>::from_value(detail::require_finite(
        where, "result", detail::layer_velocity(detail::coefficients_of(resistance), dp), "m/s"));
}
template <Deferred...>
inline Velocity face_velocity(const LayerResistance& resistance, Pressure drop) {
    return face_velocity<double>(resistance, drop);
}

/// Pressure drop of layers in series, with the part of each.
///
/// Equation: dp_i = (R_i + S_i |v|) v, share_i = (R_i + S_i |v|)/(R + S |v|)
/// Symbols:  R_i, S_i resistance of a layer, R, S of all, v face velocity [m/s]
/// Validity: as layer_resistance of layers
/// @param  layers  one after the other; shape (n), n >= 1
/// @param  face_velocity  volume flow over face area [m/s], any finite value
/// @param  air  air of operation
/// @return drop [Pa], whole and by kind; of each layer its kinds and its share; shape (n)
/// @throws DomainError if an input is outside or the drop is not finite
/// @source drops in series add up; test: resistance/layer_resistance_test.cpp
template <class T>
BasicSeriesDrop<T> pressure_drop_parts(std::span<const BasicPorousLayer<T>> layers, BasicVelocity<T> face_velocity,
                                       const BasicAirState<T>& air) {
    using std::abs;
    const BasicLayerResistance<T> all = layer_resistance<T>(layers, air);
    BasicSeriesDrop<T> result{pressure_drop<T>(all, face_velocity), {}, {}, {}};
    const T v = face_velocity.value();
    const detail::LayerCoefficients<T> sum = detail::coefficients_of(all);
    const T whole = sum.viscous + sum.inertial * abs(v);
    result.viscous = BasicPressure<T>::from_value(sum.viscous * v);
    result.inertial = BasicPressure<T>::from_value(sum.inertial * abs(v) * v);
    result.layers.reserve(layers.size());
    for (const BasicPorousLayer<T>& layer : layers) {
        const detail::LayerCoefficients<T> c = detail::layer_coefficients(layer, air);
        result.layers.push_back({BasicPressure<T>::from_value(c.viscous * v),
                                 BasicPressure<T>::from_value(c.inertial * abs(v) * v),
                                 (c.viscous + c.inertial * abs(v)) / whole});
    }
    return result;
}
template <Deferred...>
inline SeriesDrop pressure_drop_parts(std::span<const PorousLayer> layers, Velocity face_velocity,
                                      const AirState& air) {
    return pressure_drop_parts<double>(layers, face_velocity, air);
}

/// Pressure drop of layers in series.
///
/// Equation: dp = R v + S v |v|, R and S by layer_resistance
/// Symbols:  R, S resistance of all layers, v face velocity [m/s]
/// Validity: as layer_resistance of layers
/// @param  layers  one after the other; shape (n), n >= 1
/// @param  face_velocity  volume flow over face area [m/s], any finite value
/// @param  air  air of operation
/// @return pressure drop [Pa]
/// @throws DomainError if an input is outside or the drop is not finite
/// @source drops in series add up; test: resistance/layer_resistance_test.cpp
template <class T>
BasicPressure<T> pressure_drop(std::span<const BasicPorousLayer<T>> layers, BasicVelocity<T> face_velocity,
                               const BasicAirState<T>& air) {
    return pressure_drop<T>(layer_resistance<T>(layers, air), face_velocity);
}
template <Deferred...>
inline Pressure pressure_drop(std::span<const PorousLayer> layers, Velocity face_velocity, const AirState& air) {
    return pressure_drop<double>(layers, face_velocity, air);
}

/// Face velocity that a pressure drop drives through layers in series: the exact inverse of their pressure_drop.
///
/// Equation: as face_velocity of a resistance, R and S by layer_resistance
/// Symbols:  R, S resistance of all layers, dp pressure drop [Pa]
/// Validity: as layer_resistance of layers
/// @param  layers  one after the other; shape (n), n >= 1
/// @param  drop  pressure drop [Pa], any finite value
/// @param  air  air of operation
/// @return face velocity [m/s]
/// @throws DomainError if an input is outside or the result is not finite
/// @source the root of the quadratic; test: resistance/layer_resistance_test.cpp
template <class T>
BasicVelocity<T> face_velocity(std::span<const BasicPorousLayer<T>> layers, BasicPressure<T> drop,
                               const BasicAirState<T>& air) {
    return face_velocity<T>(layer_resistance<T>(layers, air), drop);
}
template <Deferred...>
inline Velocity face_velocity(std::span<const PorousLayer> layers, Pressure drop, const AirState& air) {
    return face_velocity<double>(layers, drop, air);
}

}   // namespace filterflow
