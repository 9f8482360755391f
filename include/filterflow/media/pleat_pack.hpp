// SPDX-License-Identifier: BSL-1.0
#pragma once

// Geometry of a pack of parallel (rectangular) pleats: pitch, gaps, media area, velocity through the medium.

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A pack of pleats with parallel walls. A pleat is one fold with its two walls: there are as many inlet channels
/// as pleats, and as many outlet channels.
template <class T>
struct BasicPleatPack {
    T count;                     ///< pleats across the width, > 0
    BasicLength<T> depth;        ///< of a pleat, along the air's way, > 0
    BasicLength<T> width;        ///< of the pack, across the pleats, > 0
    BasicLength<T> length;       ///< of a fold, > 0
    T inlet_gap_share = T(0.5);  ///< inlet gap over inlet and outlet gap, between 0 and 1
};
using PleatPack = BasicPleatPack<double>;

/// The open widths beside a wall of the medium.
template <class T>
struct BasicPleatGaps {
    BasicLength<T> inlet;    ///< between the walls where the air comes in, > 0
    BasicLength<T> outlet;   ///< between the walls where it leaves, > 0
};
using PleatGaps = BasicPleatGaps<double>;

namespace detail {

template <class T>
void check(const BasicPleatPack<T>& pack, const char* where) {
    require_positive(where, "count", pack.count, "-");
    require_positive(where, "depth", pack.depth.value(), "m");
    require_positive(where, "width", pack.width.value(), "m");
    require_positive(where, "length", pack.length.value(), "m");
    if (!(pack.inlet_gap_share > T(0) && pack.inlet_gap_share < T(1))) {
        throw_domain_error(where, "inlet_gap_share", plain_value(pack.inlet_gap_share), "-",
                           "between 0 and 1, exclusive");
    }
}

}   // namespace detail

/// Width of the face that one pleat takes.
///
/// Equation: p = W/N
/// Symbols:  p pitch [m], W width [m], N count [-]
/// Validity: any pack
/// @param  pack  geometry, all > 0
/// @return pitch [m]
/// @throws DomainError if a dimension is not > 0
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicLength<T> pleat_pitch(const BasicPleatPack<T>& pack) {
    detail::check(pack, "pleat_pitch");
    return BasicLength<T>::from_value(pack.width.value() / pack.count);
}
inline Length pleat_pitch(const PleatPack& pack) { return pleat_pitch<double>(pack); }

/// Gaps that a medium of a thickness leaves open.
///
/// Equation: h1 + h2 = p - 2 t, h1 = a (h1 + h2)
/// Symbols:  h1 inlet, h2 outlet gap [m], p pitch [m], t thickness of the medium [m], a inlet gap share [-]
/// Validity: pitch above twice the thickness (throws otherwise: the pleats touch)
/// @param  pack  geometry
/// @param  thickness  of the medium [m], > 0
/// @return inlet and outlet gap [m]
/// @throws DomainError if a dimension is not > 0 or the pleats leave no gap
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicPleatGaps<T> pleat_gaps(const BasicPleatPack<T>& pack, BasicLength<T> thickness) {
    constexpr auto where = "pleat_gaps";
    detail::check(pack, where);
    const T t = detail::require_positive(where, "thickness", thickness.value(), "m");
    const T open = pack.width.value() / pack.count - T(2) * t;
    if (!(open > T(0))) {
        detail::throw_domain_error(where, "pitch less twice the thickness", detail::plain_value(open), "m",
                                   "> 0: the pleats touch; fewer pleats or a thinner medium");
    }
    return {BasicLength<T>::from_value(pack.inlet_gap_share * open),
            BasicLength<T>::from_value((T(1) - pack.inlet_gap_share) * open)};
}
inline PleatGaps pleat_gaps(const PleatPack& pack, Length thickness) { return pleat_gaps<double>(pack, thickness); }

/// Area of the medium in a pack, folds left out.
///
/// Equation: A = 2 N L B
/// Symbols:  N count [-], L depth [m], B length of a fold [m]
/// Validity: any pack
/// @param  pack  geometry, all > 0
/// @return area of the medium [m2]
/// @throws DomainError if a dimension is not > 0
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicArea<T> media_area(const BasicPleatPack<T>& pack) {
    detail::check(pack, "media_area");
    return BasicArea<T>::from_value(T(2) * pack.count * pack.depth.value() * pack.length.value());
}
inline Area media_area(const PleatPack& pack) { return media_area<double>(pack); }

/// Area of the pack's face.
///
/// Equation: A_f = W B
/// Symbols:  W width [m], B length of a fold [m]
/// Validity: any pack
/// @param  pack  geometry, all > 0
/// @return area of the face [m2]
/// @throws DomainError if a dimension is not > 0
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicArea<T> face_area(const BasicPleatPack<T>& pack) {
    detail::check(pack, "face_area(PleatPack)");
    return pack.width * pack.length;
}
inline Area face_area(const PleatPack& pack) { return face_area<double>(pack); }

/// Mean velocity through the medium of a pack.
///
/// Equation: v = Q/A
/// Symbols:  Q volume flow [m3/s], A area of the medium [m2]
/// Validity: any pack; how evenly it is spread, the pleat model says
/// @param  pack  geometry, all > 0
/// @param  flow  volume flow [m3/s], finite
/// @return velocity [m/s]
/// @throws DomainError if a dimension is not > 0 or the flow is not finite
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicVelocity<T> media_velocity(const BasicPleatPack<T>& pack, BasicVolumeFlow<T> flow) {
    detail::require_finite("media_velocity", "flow", flow.value(), "m3/s");
    return flow / media_area(pack);
}
inline Velocity media_velocity(const PleatPack& pack, VolumeFlow flow) { return media_velocity<double>(pack, flow); }

}   // namespace filterflow
