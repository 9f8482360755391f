// SPDX-License-Identifier: BSL-1.0
#pragma once

// A pack of parallel pleats as two channels that share a porous wall: the closed form of the viscous problem, with
// equal or unequal gaps, and the losses where the air enters and leaves the pack.
//
// Inlet flow Q1(x), per unit length of fold, falls from q at the mouth to zero at the end; two walls a channel:
//   Q1' = -2 v,  p1 - p2 = R v,  p1' = -(12 mu/h1^3) Q1,  p2' = -(12 mu/h2^3)(q - Q1).
// Left out: the inertia of the air inside the channels, which adds some per cent at usual velocities and more in
// deep, narrow, fast packs.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/resistance/porous_layer.hpp>

namespace filterflow {

/// A medium folded into a pack.
template <class T>
struct BasicPleatedFilter {
    BasicPorousLayer<T> medium;            ///< the medium, flat
    BasicPleatPack<T> pack;                ///< how it is folded
    T contraction_coefficient = T(0.4);    ///< loss where the air enters the gaps, on its velocity there, >= 0
};
using PleatedFilter = BasicPleatedFilter<double>;

/// Pressure drop of a pleated filter by its parts, and what it rests on.
template <class T>
struct BasicPleatedDrop {
    BasicPressure<T> total;       ///< sum of the parts
    BasicPressure<T> medium;      ///< of the medium, if the air were spread evenly
    BasicPressure<T> channels;    ///< of the channels' friction and of the uneven spread it causes
    BasicPressure<T> entry;       ///< acceleration into the gaps and contraction, >= 0
    BasicPressure<T> exit;        ///< out of the gaps: recovery less expansion loss, <= 0
    T greatest_velocity_ratio;    ///< greatest over mean velocity through the medium, >= 1
    T channel_reynolds_number;    ///< on twice the gap, of the faster mouth
    bool laminar = false;         ///< that number is below 2000; if not, the channels' part is too low
};
using PleatedDrop = BasicPleatedDrop<double>;

namespace detail {

/// Drop of the two-channel problem over the medium's even drop R v_m.
template <class T>
struct TwoChannel {
    T excess;      // drop / (R v_m) - 1
    T peak;        // greatest v / v_m
};

/// x2 = lambda^2 L^2 = 2 (a1 + a2) L^2 / R with a_i = 12 mu/h_i^3; share = a2/(a1 + a2).
template <class T>
TwoChannel<T> two_channel(const T& x2, const T& share) {
    using std::exp;
    using std::expm1;
    using std::sqrt;
    using std::tanh;
    const T rest = T(1) - share;
    T coth_part;     // X coth X - 1
    T csch_part;     // X / sinh X - 1
    T tanh_ratio;    // tanh(X/2) / X
    if (plain_value(x2) < 4e-4) {
        coth_part = x2 * (T(1.0 / 3.0) - x2 * (T(1.0 / 45.0) - x2 * T(2.0 / 945.0)));
        csch_part = x2 * (T(-1.0 / 6.0) + x2 * (T(7.0 / 360.0) - x2 * T(31.0 / 15120.0)));
        tanh_ratio = T(0.5) - x2 * (T(1.0 / 24.0) - x2 * T(1.0 / 240.0));
    } else {
        const T x = sqrt(x2);
        const T minus_expm1 = -expm1(T(-2) * x);   // 1 - e^(-2X)
        coth_part = x * (T(2) - minus_expm1) / minus_expm1 - T(1);
        csch_part = T(2) * x * exp(-x) / minus_expm1 - T(1);
        tanh_ratio = tanh(T(0.5) * x) / x;
    }
    const T excess = rest * coth_part + share * csch_part + share * x2 * (rest - (T(1) - T(2) * share) * tanh_ratio);
    const T at_mouth = T(1) + rest * coth_part + share * csch_part;
    const T at_end = T(1) + share * coth_part + rest * csch_part;
    return {excess, at_mouth > at_end ? at_mouth : at_end};
}

/// The pack per unit length of fold, in SI.
template <class T>
struct PleatChannels {
    T inlet_gap, outlet_gap, depth, pitch, flow;
};

template <class T>
BasicPleatedDrop<T> pleated_drop(const LayerCoefficients<T>& layer, const PleatChannels<T>& c,
                                 const T& contraction, const T& density, const T& viscosity) {
    const T v = c.flow / (T(2) * c.depth);
    const T a1 = T(12) * viscosity / (c.inlet_gap * c.inlet_gap * c.inlet_gap);
    const T a2 = T(12) * viscosity / (c.outlet_gap * c.outlet_gap * c.outlet_gap);
    const TwoChannel<T> two =
        two_channel(T(T(2) * (a1 + a2) * c.depth * c.depth / layer.viscous), T(a2 / (a1 + a2)));
    const T even = layer.viscous * v;
    const T u1 = c.flow / c.inlet_gap, u2 = c.flow / c.outlet_gap;
    const T s1 = c.inlet_gap / c.pitch, s2 = c.outlet_gap / c.pitch;
    const T medium = even + layer.inertial * v * v;
    const T channels = even * two.excess;
    const T entry = T(0.5) * density * u1 * u1 * (T(1) - s1 * s1 + contraction);
    const T exit = T(-0.5) * density * u2 * u2 * (T(1) - s2 * s2 - (T(1) - s2) * (T(1) - s2));
    const T reynolds = T(2) * density * c.flow / viscosity;   // u h is the flow in both mouths
    const auto pressure = [](const T& p) { return BasicPressure<T>::from_value(p); };
    return {pressure(medium + channels + entry + exit), pressure(medium), pressure(channels), pressure(entry),
            pressure(exit), two.peak, reynolds, plain_value(reynolds) < 2000.0};
}

}   // namespace detail

/// Pressure drop of a pleated filter by its parts.
///
/// Equation: medium R v + rho b t v^2; channels R v (g - 1),
///           g = X [(1-s) coth X + s/sinh X] + s X^2 [(1-s) - (1-2s) tanh(X/2)/X], X = L sqrt(2 (a1 + a2)/R),
///           a_i = 12 mu/h_i^3, s = a2/(a1 + a2); entry rho u1^2/2 (1 - f1^2 + K); exit
///           -rho u2^2/2 (1 - f2^2 - (1 - f2)^2)
/// Symbols:  R = mu t/k [Pa s/m], v mean velocity through the medium [m/s], L depth [m], h gap [m] and u velocity
///           [m/s] at the mouth of inlet (1) and outlet (2), f = h/pitch, K contraction coefficient, b inertial
///           factor of the medium, t its thickness
/// Validity: parallel walls, laminar channels (status `laminar`), flow fully developed; without inertia inside the
///           channels; the medium's inertial part as if the air were spread evenly. Some 20 % on channels, entry
///           and exit
/// @param  filter  medium and pack; the pleats must leave a gap
/// @param  flow  volume flow through the pack at the density of the air [m3/s], >= 0
/// @param  air  air of operation
/// @return the parts [Pa], their sum, and the spread of velocity
/// @throws DomainError if a dimension or the air is out of range, the pleats touch, the flow is < 0, or the result
///         is not finite
/// @source own solution, confirmed by collocation; K of 0.3 to 0.5 for sharp edges (from memory);
///         test: resistance/pleated_filter_test.cpp
template <class T>
BasicPleatedDrop<T> pressure_drop_parts(const BasicPleatedFilter<T>& filter, BasicVolumeFlow<T> flow,
                                        const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(PleatedFilter)";
    detail::check(filter.medium, air, where);
    detail::require_non_negative(where, "contraction_coefficient", filter.contraction_coefficient, "-");
    const T q = detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    const BasicPleatGaps<T> gaps = pleat_gaps(filter.pack, filter.medium.thickness);
    const detail::PleatChannels<T> channels{gaps.inlet.value(), gaps.outlet.value(), filter.pack.depth.value(),
                                            pleat_pitch(filter.pack).value(),
                                            q / (filter.pack.count * filter.pack.length.value())};
    const BasicPleatedDrop<T> drop =
        detail::pleated_drop(detail::layer_coefficients(filter.medium, air), channels,
                             filter.contraction_coefficient, air.density.value(), air.viscosity.value());
    detail::require_finite(where, "result", drop.total.value(), "Pa");
    return drop;
}
inline PleatedDrop pressure_drop_parts(const PleatedFilter& filter, VolumeFlow flow, const AirState& air) {
    return pressure_drop_parts<double>(filter, flow, air);
}

/// Pressure drop of a pleated filter.
///
/// Equation: the sum of pressure_drop_parts
/// Symbols:  as pressure_drop_parts
/// Validity: as pressure_drop_parts
/// @param  filter  medium and pack
/// @param  flow  volume flow [m3/s], >= 0
/// @param  air  air of operation
/// @return pressure drop [Pa]
/// @throws DomainError as pressure_drop_parts
/// @source as pressure_drop_parts; test: resistance/pleated_filter_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicPleatedFilter<T>& filter, BasicVolumeFlow<T> flow,
                               const BasicAirState<T>& air) {
    return pressure_drop_parts(filter, flow, air).total;
}
inline Pressure pressure_drop(const PleatedFilter& filter, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(filter, flow, air);
}

}   // namespace filterflow
