// SPDX-License-Identifier: BSL-1.0
#pragma once

// All dimensions of a pleat pack with a medium of some thickness: what air has to pass, for either shape of pleat.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>

namespace filterflow {

/// What a medium of a thickness makes of a pack. Gaps are measured along the face. A rectangular pleat has the same gap
/// at mouth and tip.
template <class T>
struct BasicPleatGeometry {
    BasicLength<T> pitch;               ///< width of the face that one pleat takes
    BasicLength<T> inlet_mouth;         ///< gap where the air comes in
    BasicLength<T> inlet_tip;           ///< gap at the closed end of an inlet channel
    BasicLength<T> outlet_mouth;        ///< gap where the air leaves
    BasicLength<T> outlet_tip;          ///< gap at the closed end of an outlet channel
    BasicLength<T> wall_length;         ///< of a wall from fold to fold, >= depth
    BasicLength<T> thickness_on_face;   ///< of the medium, measured along the face, >= thickness
    BasicArea<T> media_area;            ///< both walls of every pleat, folds left out
    BasicArea<T> face_area;             ///< width times fold length
    T area_ratio;                       ///< media area over face area
};
using PleatGeometry = BasicPleatGeometry<double>;

namespace detail {

/// In SI; the pack and the thickness were checked and the pitch comes from there.
template <class T>
struct PleatDimensions {
    T pitch, inlet_mouth, inlet_tip, outlet_mouth, outlet_tip, wall_length, face_thickness;
};

/// Mouth gap less tip gap of a triangular pleat, d = h0 - h_tip: the root of
/// d + 2 h_tip + 2 t sqrt(1 + d^2/(2 L)^2) = p, written without the difference of near numbers.
template <class T>
T triangular_taper(const T& pitch, const T& tip, const T& thickness, const T& depth) {
    using std::sqrt;
    const T open = pitch - T(2) * tip;
    const T slant = thickness * thickness / (depth * depth), square = T(4) * thickness * thickness;
    const T root = sqrt(slant * open * open + square * (T(1) - slant));
    return (open - T(2) * thickness) * (open + T(2) * thickness) / (open + root);
}

template <class T>
PleatDimensions<T> triangular_dimensions(const BasicPleatPack<T>& pack, const T& thickness, const T& pitch) {
    using std::sqrt;
    const T depth = pack.depth.value();
    const T tip = T(2) * pack.fold_radius.value();
    const T taper = triangular_taper(pitch, tip, thickness, depth);
    const T stretch = sqrt(T(1) + T(0.25) * taper * taper / (depth * depth));   // 1/cos of half the opening angle
    return {pitch, tip + taper, tip, tip + taper, tip, depth * stretch, thickness * stretch};
}

template <class T>
inline PleatDimensions<T> rectangular_dimensions(const BasicPleatPack<T>& pack, const T& thickness, const T& pitch) {
    const T open = pitch - T(2) * thickness;
    const T inlet = pack.inlet_gap_share * open, outlet = open - inlet;
    return {pitch, inlet, inlet, outlet, outlet, pack.depth.value(), thickness};
}

template <class T>
inline PleatDimensions<T> pleat_dimensions(const BasicPleatPack<T>& pack, const T& thickness, const T& pitch) {
    return pack.shape == PleatShape::rectangular ? rectangular_dimensions(pack, thickness, pitch)
                                                 : triangular_dimensions(pack, thickness, pitch);
}

}   // namespace detail

/// All dimensions of a pack with a medium of a thickness.
///
/// Equation: rectangular: h1 + h2 = p - 2 t, h1 = a (h1 + h2), A = 2 N L B. Triangular:
///           p = h0 + h_tip + 2 t/cos(theta), h_tip = 2 r, tan(theta) = (h0 - h_tip)/(2 L), A = 2 N B L/cos(theta)
/// Symbols:  p pitch [m], h gap [m] (1 inlet, 2 outlet, 0 mouth), t thickness [m], a inlet gap share [-], L depth [m],
///           N count [-], B fold length [m], r fold radius [m], theta half the opening angle, A media area [m2]
/// Validity: any pack that can be folded (refused otherwise, with the greatest count). The medium is not squeezed;
///           folds count neither as area nor as depth: depth_of_walls has it from a ruler's
/// @param  pack  geometry
/// @param  thickness  of the medium [m], > 0 and below the depth
/// @return pitch, gaps, wall length [m], areas [m2], area ratio [-]
/// @throws DomainError if a dimension is out of range or the pack cannot be folded
/// @source geometry; test: media/pleat_geometry_test.cpp
template <class T>
BasicPleatGeometry<T> pleat_geometry(const BasicPleatPack<T>& pack, BasicLength<T> thickness) {
    constexpr auto where = "pleat_geometry";
    const T pitch = detail::checked_pitch(pack, thickness.value(), where);
    const detail::PleatDimensions<T> d = detail::pleat_dimensions(pack, thickness.value(), pitch);
    const T area = T(2) * pack.count * d.wall_length * pack.length.value();
    const T face = pack.width.value() * pack.length.value();
    detail::require_finite(where, "media area", area, "m2");
    detail::require_positive(where, "face area", face, "m2");
    const auto length = [](const T& x) { return BasicLength<T>::from_value(x); };
    return {.pitch = length(d.pitch),
            .inlet_mouth = length(d.inlet_mouth),
            .inlet_tip = length(d.inlet_tip),
            .outlet_mouth = length(d.outlet_mouth),
            .outlet_tip = length(d.outlet_tip),
            .wall_length = length(d.wall_length),
            .thickness_on_face = length(d.face_thickness),
            .media_area = BasicArea<T>::from_value(area),
            .face_area = BasicArea<T>::from_value(face),
            .area_ratio = detail::require_finite(where, "area ratio", T(area / face), "-")};
}
template <Deferred...>
inline PleatGeometry pleat_geometry(const PleatPack& pack, Length thickness) {
    return pleat_geometry<double>(pack, thickness);
}

}   // namespace filterflow
