// SPDX-License-Identifier: BSL-1.0
#pragma once

// Closed forms of two channels of constant width that share a porous wall, a Darcy medium. With y the share of the
// flow that is still in the inlet channel, x along the depth from 0 to 1, v over its mean -y', and in units of the
// medium's even drop R v_m:
//
//     y'' = A1 y - A2 (1 - y) + 2 y' (B1 y + B2 (1 - y)),  y(0) = 1, y(1) = 0
//     A_i = 24 mu L^2/(h_i^3 R) friction,  B_i = 2 rho beta q L/(h_i^2 R) momentum of the air in the channels
//
// It is linear without momentum, and also with it where both gaps are equal: then B1 y + B2 (1 - y) = B.

#include <cmath>

#include <filterflow/core/checks.hpp>

namespace filterflow::detail {

/// Drop of the two-channel problem over the medium's even drop R v_m.
template <class T>
struct TwoChannel {
    T excess;   // drop / (R v_m) - 1
    T peak;     // greatest v / v_m
};

/// Whether a number is just that constant: equal to it, and no derivative rides on it that a special case would lose.
template <class T>
bool is_constant(const T& x, double value) {
    if constexpr (requires { x.derivative; }) {
        for (const double d : x.derivative) {
            if (d != 0.0) return false;
        }
    }
    return plain_value(x) == value;
}

/// X coth X - 1 and X / sinh X - 1, by series in X^2 below 0.02; e^-X.
template <class T>
struct HyperbolicParts {
    T coth_part, csch_part, x, falling, span;   // falling = e^-X, span = 1 - e^(-2X); both unused in the series
    bool series;
};

template <class T>
HyperbolicParts<T> hyperbolic_parts(const T& x2) {
    using std::expm1;
    using std::sqrt;
    if (plain_value(x2) < 4e-4) {
        return {x2 * (T(1.0 / 3.0) - x2 * (T(1.0 / 45.0) - x2 * T(2.0 / 945.0))),
                x2 * (T(-1.0 / 6.0) + x2 * (T(7.0 / 360.0) - x2 * T(31.0 / 15120.0))),
                T(0),
                T(1),
                T(0),
                true};
    }
    const T x = sqrt(x2);
    const T less = expm1(-x);
    const T falling = T(1) + less;
    const T span = -less * (T(1) + falling);
    const T ratio = x / span;
    return {ratio * (T(1) + falling * falling) - T(1), T(2) * ratio * falling - T(1), x, falling, span, false};
}

/// Without momentum, any gaps. x2 = A1 + A2 = 2 (a1 + a2) L^2 / R with a_i = 12 mu/h_i^3; share = a2/(a1 + a2).
template <class T>
TwoChannel<T> two_channel(const T& x2, const T& share) {
    const T rest = T(1) - share;
    const HyperbolicParts<T> p = hyperbolic_parts(x2);
    const T tanh_ratio = p.series ? T(0.5) - x2 * (T(1.0 / 24.0) - x2 * T(1.0 / 240.0))   // tanh(X/2) / X
                                  : (T(1) - p.falling) / ((T(1) + p.falling) * p.x);
    const T excess =
        rest * p.coth_part + share * p.csch_part + share * x2 * (rest - (T(1) - T(2) * share) * tanh_ratio);
    const T at_mouth = T(1) + rest * p.coth_part + share * p.csch_part;
    const T at_end = T(1) + share * p.coth_part + rest * p.csch_part;
    return {excess, at_mouth > at_end ? at_mouth : at_end};
}

/// Equal gaps with momentum b = B1 = B2 >= 0: with W^2 = x2 + b^2, drop/(R v_m) = W (cosh W + cosh b)/(2 sinh W) +
/// x2/4; v is greatest at the end, where it is [W coth W + b + W e^b/sinh W]/2.
template <class T>
TwoChannel<T> two_equal_channels(const T& x2, const T& b) {
    using std::exp;
    const HyperbolicParts<T> p = hyperbolic_parts(T(x2 + b * b));
    if (p.series) {
        const T b2 = b * b;
        const T cosh_less = T(0.5) * b2 * (T(1) + b2 * (T(1.0 / 12.0) + b2 * T(1.0 / 360.0)));   // cosh b - 1
        const T sinh = b * (T(1) + b2 * (T(1.0 / 6.0) + b2 * T(1.0 / 120.0)));
        const T csch = T(1) + p.csch_part;
        return {T(0.5) * (p.coth_part + p.csch_part + cosh_less * csch) + T(0.25) * x2,
                T(1) + T(0.5) * (p.coth_part + p.csch_part + b + csch * (cosh_less + sinh))};
    }
    const T rise = exp(-x2 / (p.x + b));                                               // e^(b - W)
    const T fall = plain_value(rise) > 0.0 ? T(p.falling * p.falling / rise) : T(0);   // e^(-b - W)
    const T ratio = p.x / p.span;
    return {T(0.5) * (p.coth_part - T(1) + ratio * (rise + fall)) + T(0.25) * x2,
            T(0.5) * (T(1) + p.coth_part + b) + ratio * rise};
}

}   // namespace filterflow::detail
