// SPDX-License-Identifier: BSL-1.0
#pragma once

// A pack of pleats as two channels that share a porous wall, with the losses where the air enters and leaves the pack.
//
// Inlet flow Q1(x), per unit length of fold, falls from q at the mouth to zero at the end, Q2 = q - Q1; two walls a
// channel, of length Ls over the depth L:
//   Q1' = -2 v Ls/L,  p1 - p2 = R v + S v^2,  p_i' = -12 mu Q_i/h_i^3 - (rho beta/h_i) (Q_i^2/h_i)'.
// Closed forms where there are any (two_channel.hpp), else collocation (pleat_collocation.hpp).

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/resistance/pleat_collocation.hpp>
#include <filterflow/resistance/porous_layer.hpp>
#include <filterflow/resistance/two_channel.hpp>

namespace filterflow {

/// A medium folded into a pack.
template <class T>
struct BasicPleatedFilter {
    BasicPorousLayer<T> medium;           ///< the medium, flat
    BasicPleatPack<T> pack;               ///< how it is folded
    T contraction_coefficient = T(0.4);   ///< loss where the air enters the gaps, on its velocity there, >= 0
    T momentum_factor = T(1.2);   ///< of the channels, >= 0: 1.2 developed laminar, 1 evenly spread, 0 no inertia
    T expansion_factor = T(1);    ///< loss where the air leaves, over that of a sudden expansion, >= 0
    /// Loss while the profile in an inlet channel develops from the even one in its mouth, on the velocity there, >= 0:
    /// 0.674 as in a straight channel between parallel plates; up to 1.4 where nothing develops; 0 leaves it out.
    T development_coefficient = T(0.674);
};
using PleatedFilter = BasicPleatedFilter<double>;

/// What the flow in the channels means for trust in their part of the pressure drop.
enum class ChannelFlow {
    developed,     ///< laminar, its entry length at most a quarter of the depth: 0.05 rho u^2 may be missing
    developing,    ///< laminar, its entry length at most four times the depth: up to 0.15 rho u^2 may be missing
    undeveloped,   ///< laminar, its entry length longer still: up to 0.36 rho u^2 may be missing
    not_laminar    ///< Reynolds number 2000 or more: friction is higher than computed
};

/// Pressure drop of a pleated filter by its parts, and what it rests on.
template <class T>
struct BasicPleatedDrop {
    BasicPressure<T> total;        ///< sum of the parts
    BasicPressure<T> medium;       ///< of the medium, if the air were spread evenly
    BasicPressure<T> channels;     ///< of friction and momentum in the channels and of the uneven spread they cause
    BasicPressure<T> entry;        ///< acceleration into the gaps, contraction and development of the profile, >= 0
    BasicPressure<T> exit;         ///< out of the gaps: recovery less expansion loss, < 0 where more is recovered
    T greatest_velocity_ratio;     ///< greatest over mean velocity through the medium, >= 1
    T channel_reynolds_number;     ///< on twice the gap, the same in every mouth
    bool laminar = false;          ///< that number is below 2000; if not, the channels' part is too low
    T medium_share = T(0);         ///< of the total; the four shares add up to one
    T channels_share = T(0);       ///< of the total
    T entry_share = T(0);          ///< of the total
    T exit_share = T(0);           ///< of the total, < 0 where pressure is recovered
    T entry_length_share = T(0);   ///< length in which the flow at the mouths would develop, in depths
    ChannelFlow channel_flow = ChannelFlow::developed;   ///< trust in channels and entry; u there: at an inlet mouth
    int points = 0;   ///< of the collocation along the depth; 0 where a closed form holds
};
using PleatedDrop = BasicPleatedDrop<double>;

namespace detail {

inline constexpr double laminar_channel_limit = 2000.0;
inline constexpr double developed_channel_limit = 0.25;
inline constexpr double developing_channel_limit = 4.0;

/// What the flow in the channels is by its Reynolds number and its entry length in depths.
inline ChannelFlow channel_flow_kind(double reynolds, double entry_length) {
    if (!(reynolds < laminar_channel_limit)) return ChannelFlow::not_laminar;
    if (entry_length <= developed_channel_limit) return ChannelFlow::developed;
    return entry_length <= developing_channel_limit ? ChannelFlow::developing : ChannelFlow::undeveloped;
}

/// The flow through a pack per unit length of fold, in SI.
template <class T>
struct PleatFlowCase {
    PleatDimensions<T> dimensions;
    T depth, flow, density, viscosity, momentum_factor;
    bool rectangular;
};

template <class T>
T media_velocity(const PleatFlowCase<T>& c) {
    return c.rectangular ? c.flow / (T(2) * c.depth) : c.flow / (T(2) * c.dimensions.wall_length);
}

/// Reynolds number on twice the gap: u h is the flow in every mouth.
template <class T>
T channel_reynolds_number(const PleatFlowCase<T>& c) {
    return T(2) * c.density * c.flow / c.viscosity;
}

/// Length in which the flow at the wider mouths develops, 0.05 Re (2 h), over the depth.
template <class T>
T entry_length_share(const PleatFlowCase<T>& c, const T& reynolds) {
    const T inlet = c.dimensions.inlet_mouth, outlet = c.dimensions.outlet_mouth;
    const T wider = inlet > outlet ? inlet : outlet;
    return T(0.1) * reynolds * wider / c.depth;
}

template <class T>
PleatProblem<T> pleat_problem(const LayerCoefficients<T>& layer, const PleatFlowCase<T>& c) {
    const PleatDimensions<T>& d = c.dimensions;
    const T per_drop = T(2) * d.wall_length / layer.viscous;   // q over R v_m
    return {T(12) * c.viscosity * c.depth * per_drop,
            c.density * c.momentum_factor * c.flow * per_drop,
            layer.inertial * media_velocity(c) / layer.viscous,
            d.inlet_mouth,
            d.inlet_tip,
            d.outlet_mouth,
            d.outlet_tip};
}

/// Closed form or collocation, whichever the case allows.
template <class T>
PleatFlow<T> channel_flow(const LayerCoefficients<T>& layer, const PleatFlowCase<T>& c, const T& share,
                          const char* where) {
    if (c.rectangular && is_constant(layer.inertial, 0.0)) {
        const T per_drop = T(2) * c.depth / layer.viscous;   // q over R v_m
        const T friction = T(12) * c.viscosity * c.depth * per_drop;
        const T h1 = c.dimensions.inlet_mouth, h2 = c.dimensions.outlet_mouth;
        if (is_constant(share, 0.5)) {
            const T narrow = T(1) / h1, over2 = narrow * narrow;
            const T b = c.density * c.momentum_factor * c.flow * per_drop * over2;
            const TwoChannel<T> two = two_equal_channels(T(T(2) * friction * narrow * over2), b);
            return {two.excess, two.peak, 0};
        }
        if (is_constant(c.momentum_factor, 0.0)) {
            const T a1 = friction / (h1 * h1 * h1), a2 = friction / (h2 * h2 * h2);
            const TwoChannel<T> two = two_channel(T(a1 + a2), T(a2 / (a1 + a2)));
            return {two.excess, two.peak, 0};
        }
    }
    return pleat_flow(pleat_problem(layer, c), where);
}

/// The parts of a pressure drop [Pa].
template <class T>
struct PleatParts {
    T medium, channels, entry, exit;
};

template <class T>
PleatParts<T> pleat_parts(const LayerCoefficients<T>& layer, const PleatFlowCase<T>& c,
                          const BasicPleatedFilter<T>& filter, const T& excess) {
    const T v = media_velocity(c), even = layer.viscous * v;
    const T per_pitch = T(1) / c.dimensions.pitch;
    const T s1 = c.dimensions.inlet_mouth * per_pitch, s2 = c.dimensions.outlet_mouth * per_pitch;
    const T u1 = c.flow / c.dimensions.inlet_mouth, u2 = c.flow / c.dimensions.outlet_mouth;
    const T lost = filter.expansion_factor * (T(1) - s2) * (T(1) - s2);
    return {even + layer.inertial * v * v, even * excess,
            T(0.5) * c.density * u1 * u1 *
                (T(1) - s1 * s1 + filter.contraction_coefficient + filter.development_coefficient),
            T(-0.5) * c.density * u2 * u2 * (T(1) - s2 * s2 - lost)};
}

template <class T>
BasicPleatedDrop<T> pleated_drop(const LayerCoefficients<T>& layer, const PleatFlowCase<T>& c,
                                 const BasicPleatedFilter<T>& filter, const char* where) {
    const PleatFlow<T> flow = channel_flow(layer, c, filter.pack.inlet_gap_share, where);
    const PleatParts<T> parts = pleat_parts(layer, c, filter, flow.excess);
    const T medium = parts.medium, channels = parts.channels, entry = parts.entry, exit = parts.exit;
    const T total = medium + channels + entry + exit;
    const T reynolds = channel_reynolds_number(c);
    const T entry_length = entry_length_share(c, reynolds);
    const bool laminar = plain_value(reynolds) < laminar_channel_limit;
    const auto pressure = [](const T& p) { return BasicPressure<T>::from_value(p); };
    BasicPleatedDrop<T> drop{pressure(total), pressure(medium), pressure(channels), pressure(entry),
                             pressure(exit),  flow.peak,        reynolds,           laminar};
    if (plain_value(total) != 0.0) {
        const T over = T(1) / total;
        drop.medium_share = medium * over;
        drop.channels_share = channels * over;
        drop.entry_share = entry * over;
        drop.exit_share = exit * over;
    } else {   // the limit of a vanishing flow
        drop.medium_share = T(1) / (T(1) + flow.excess);
        drop.channels_share = flow.excess / (T(1) + flow.excess);
    }
    drop.entry_length_share = entry_length;
    drop.channel_flow = channel_flow_kind(plain_value(reynolds), plain_value(entry_length));
    drop.points = flow.points;
    return drop;
}

/// Says which of a filter's values, the flow or the air is out of its range.
template <class T>
[[gnu::cold]] void refuse_case(const BasicPleatedFilter<T>& filter, const BasicVolumeFlow<T>& flow,
                               const BasicAirState<T>& air, const char* where) {
    check(filter.medium, air, where);
    require_non_negative(where, "contraction_coefficient", filter.contraction_coefficient, "-");
    require_non_negative(where, "momentum_factor", filter.momentum_factor, "-");
    require_non_negative(where, "expansion_factor", filter.expansion_factor, "-");
    require_non_negative(where, "development_coefficient", filter.development_coefficient, "-");
    require_non_negative(where, "flow", flow.value(), "m3/s");
    check(filter.pack, where);
}

/// Checks a filter, a flow and the air, and forms the case. Asks one question of all numbers; the words are made where
/// the answer is no.
template <class T>
PleatFlowCase<T> pleat_flow_case(const BasicPleatedFilter<T>& filter, const BasicVolumeFlow<T>& flow,
                                 const BasicAirState<T>& air, const char* where) {
    const auto positive = [](const T& x) { return is_positive_finite(plain_value(x)); };
    const auto not_negative = [](const T& x) { return is_non_negative_finite(plain_value(x)); };
    if (!(positive(filter.medium.thickness.value()) && positive(filter.medium.permeability.value()) &&
          not_negative(filter.medium.inertial_factor.value()) && not_negative(filter.contraction_coefficient) &&
          not_negative(filter.momentum_factor) && not_negative(filter.expansion_factor) &&
          not_negative(filter.development_coefficient) && not_negative(flow.value()) && is_valid(air) &&
          is_valid(filter.pack))) {
        refuse_case(filter, flow, air, where);
    }
    const T thickness = filter.medium.thickness.value();
    const T pitch = filter.pack.width.value() / filter.pack.count;
    if (!can_be_folded(filter.pack, thickness, pitch)) refuse_folding(filter.pack, thickness, where);
    const bool rectangular = filter.pack.shape == PleatShape::rectangular;
    check_depth(filter.pack, thickness, where);
    return {pleat_dimensions(filter.pack, thickness, pitch),
            filter.pack.depth.value(),
            flow.value() / (filter.pack.count * filter.pack.length.value()),
            air.density.value(),
            air.viscosity.value(),
            filter.momentum_factor,
            rectangular};
}

template <class T>
[[gnu::cold]] void refuse_result(const BasicPleatedDrop<T>& drop, const char* where) {
    require_finite(where, "pressure drop", drop.total.value(), "Pa");
    require_finite(where, "medium's part", drop.medium.value(), "Pa");
    require_finite(where, "greatest velocity over mean", drop.greatest_velocity_ratio, "-");
    require_finite(where, "channel Reynolds number", drop.channel_reynolds_number, "-");
    require_finite(where, "entry length over depth", drop.entry_length_share, "-");
    require_finite(where, "medium's share", drop.medium_share, "-");
}

}   // namespace detail

/// Pressure drop of a pleated filter by its parts.
///
/// Equation: medium R v + S v^2; channels: what p1(0) - p2(L) is more, from Q1' = -2 v Ls/L, p1 - p2 = R v + S v|v|,
///           p_i' = -12 mu Q_i/h_i^3 - (rho beta/h_i)(Q_i^2/h_i)'; entry rho u1^2/2 (1 - f1^2 + K + D);
///           exit -rho u2^2/2 (1 - f2^2 - E (1 - f2)^2). Parallel walls, S = 0, equal gaps:
///           channels R v (W (cosh W + cosh B)/(2 sinh W) + X^2/4 - 1), W^2 = X^2 + B^2, X^2 = 48 mu L^2/(h^3 R),
///           B = 2 rho beta q L/(h^2 R)
/// Symbols:  R = mu t/k [Pa s/m], S = rho b t [Pa s2/m2], v velocity through the medium [m/s], L depth, Ls wall length
///           [m], Q flow and q all of it per fold length [m2/s], h gap [m] and u velocity [m/s] at the mouth of inlet
///           (1) and outlet (2), beta momentum factor, f = h/pitch, K contraction coefficient, D development
///           coefficient, E expansion factor, b inertial factor (Forchheimer) of the medium, t its thickness
/// Validity: walls straight and stiff; friction and momentum of developed laminar flow, with D = 0.674 for what its
///           development costs in a straight channel. Where air leaves through the walls that is the least: D is 0.76
///           where the flow develops within a seventh of the depth, 0.8 to 1.2 where entry_length_share is 1 to 10,
///           1.4 where nothing develops. `channel_flow` grades what may be missing; beside it the losses of the mouths
///           are common practice. The momentum factor 1.2 goes with D; with 1 the growth of momentum, 0.4, leaves D
/// @param  filter  medium and pack; the pleats must leave a gap
/// @param  flow  volume flow through the pack at the density of the air [m3/s], >= 0
/// @param  air  air of operation
/// @return the parts [Pa], their sum and shares, the spread of velocity, and the status of the channels
/// @throws DomainError if a dimension or the air is out of range, the pack cannot be folded, the flow is < 0, or the
///         result is not finite; NoSolution, saying what was tried, where friction or momentum is so strong that the
///         flow through the medium cannot be resolved
/// @source own solution, confirmed by shooting and collocation; momentum term: Berman 1953; K of 0.3 to 0.5 for sharp
///         edges (from memory); D: Shah and London 1978, parallel plates (from memory), with suction a boundary layer
///         marched along the channel; entry length 0.05 Re, laminar below 2000: common practice for ducts;
///         test: resistance/pleated_filter_test.cpp, resistance/developing_channel_test.cpp
template <class T>
BasicPleatedDrop<T> pressure_drop_parts(const BasicPleatedFilter<T>& filter, BasicVolumeFlow<T> flow,
                                        const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(PleatedFilter)";
    const detail::PleatFlowCase<T> flow_case = detail::pleat_flow_case(filter, flow, air, where);
    const BasicPleatedDrop<T> drop =
        detail::pleated_drop(detail::layer_coefficients(filter.medium, air), flow_case, filter, where);
    if (!std::isfinite(detail::plain_value(drop.total.value()) + detail::plain_value(drop.medium_share) +
                       detail::plain_value(drop.greatest_velocity_ratio) +
                       detail::plain_value(drop.entry_length_share))) {
        detail::refuse_result(drop, where);
    }
    return drop;
}
template <Deferred...>
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
/// @throws DomainError, NoSolution as pressure_drop_parts
/// @source as pressure_drop_parts; test: resistance/pleated_filter_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicPleatedFilter<T>& filter, BasicVolumeFlow<T> flow,
                               const BasicAirState<T>& air) {
    return pressure_drop_parts(filter, flow, air).total;
}
template <Deferred...>
inline Pressure pressure_drop(const PleatedFilter& filter, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(filter, flow, air);
}

}   // namespace filterflow
