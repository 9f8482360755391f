// SPDX-License-Identifier: BSL-1.0
#pragma once

// The gap between pleats that costs the least pressure at a face velocity, to first order: a rule for the drawing
// board, and where the search for the optimum count begins.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/porous_layer.hpp>

namespace filterflow {

namespace detail {

/// The root h > 0 of h^4 - 2 c h - 3 c t, c = 16 k L^2/t: Newton's method on a convex function, from where it rises.
template <Deferred...>
inline double optimum_gap(double permeability, double thickness, double depth) {
    const double c = 16.0 * permeability * depth * depth / thickness;
    double h = std::fmax(std::cbrt(2.0 * c), std::sqrt(std::sqrt(3.0 * c * thickness)));
    for (int i = 0; i < 100; ++i) {
        const double cube = h * h * h;
        const double next = h - (cube * h - 2.0 * c * h - 3.0 * c * thickness) / (4.0 * cube - 2.0 * c);
        const bool settled = !(std::abs(next - h) > 4e-16 * h);
        h = next;
        if (settled) break;
    }
    return h;
}

}   // namespace detail

/// Gap between parallel pleats, on both sides alike, that costs the least pressure at a given face velocity.
///
/// Equation: h^4 - 2 c h - 3 c t = 0, c = 16 k L^2/t: the least of R v + 8 mu q L/h^3 with v = q/(2 L), q = 2 U (h + t)
/// Symbols:  h gap, t thickness of the medium, L depth of the pleats [m], k permeability [m2], R = mu t/k, U face
///           velocity [m/s], q flow per pitch and fold length [m2/s]
/// Validity: a Darcy medium and friction alone, to first order in friction over the medium's drop. Momentum, entry and
///           exit ask for wider gaps, find_optimum_pleat_count counts them. Of a thin medium h = (2 c)^(1/3), and the
///           channels cost half of what the medium does
/// @param  medium  thickness [m] > 0, permeability [m2] > 0; its inertial factor is left out
/// @param  depth  of the pleats [m], > 0
/// @return gap [m]; the pitch is twice the sum of gap and thickness
/// @throws DomainError if an argument is not > 0 or the result is not finite
/// @source own derivation; test: resistance/pleat_count_test.cpp
template <class T>
BasicLength<T> first_order_optimum_gap(const BasicPorousLayer<T>& medium, BasicLength<T> depth) {
    constexpr auto where = "first_order_optimum_gap";
    const T t = detail::require_positive(where, "thickness", medium.thickness.value(), "m");
    const T k = detail::require_positive(where, "permeability", medium.permeability.value(), "m2");
    const T l = detail::require_positive(where, "depth", depth.value(), "m");
    const T h = T(detail::optimum_gap(detail::plain_value(k), detail::plain_value(t), detail::plain_value(l)));
    detail::require_positive(where, "result", h, "m");
    const T c = T(16) * k * l * l / t;   // one more step carries the derivatives
    const T cube = h * h * h;
    return BasicLength<T>::from_value(detail::require_positive(
        where, "result", T(h - (cube * h - T(2) * c * h - T(3) * c * t) / (T(4) * cube - T(2) * c)), "m"));
}
template <Deferred...>
inline Length first_order_optimum_gap(const PorousLayer& medium, Length depth) {
    return first_order_optimum_gap<double>(medium, depth);
}

}   // namespace filterflow
