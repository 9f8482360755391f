// SPDX-License-Identifier: BSL-1.0
#pragma once

// Geometry of a pack of pleats with parallel walls (rectangular) or with slanting ones (triangular): pitch, gaps, what
// can be folded at all. Media area and velocity of the rectangular pack; of both shapes in pleat_geometry.hpp, where
// the thickness of the medium is known.

#include <cmath>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// How the walls of a pleat stand.
enum class PleatShape {
    rectangular,   ///< parallel: each gap is the same from mouth to end
    triangular     ///< straight from fold to fold: each gap narrows from its mouth to its tip
};

/// A pack of pleats. A pleat is one fold with its two walls: there are as many inlet channels as pleats, and as many
/// outlet channels. Air goes from the mouth of an inlet channel through a wall and leaves by an outlet mouth.
template <class T>
struct BasicPleatPack {
    T count;                                      ///< pleats across the width, > 0
    BasicLength<T> depth;   ///< of the walls, along the air's way, without the folds (depth_of_walls), > thickness
    BasicLength<T> width;                         ///< of the pack, across the pleats, > 0
    BasicLength<T> length;                        ///< of a fold, > 0
    T inlet_gap_share = T(0.5);                   ///< inlet gap over inlet and outlet gap, between 0 and 1
    PleatShape shape = PleatShape::rectangular;   ///< of the walls
    BasicLength<T> fold_radius{};                 ///< inner radius of the tightest fold, >= 0; > 0 if triangular
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

/// Says which dimension of a pack is out of its range. Cold, so that the question in check stays small.
template <class T>
[[gnu::cold]] void refuse(const BasicPleatPack<T>& pack, const char* where) {
    if (pack.shape != PleatShape::rectangular && pack.shape != PleatShape::triangular) {
        throw_domain_error(where, "shape", static_cast<double>(pack.shape), "-", "a value of PleatShape");
    }
    require_positive(where, "count", pack.count, "-");
    require_positive(where, "depth", pack.depth.value(), "m");
    require_positive(where, "width", pack.width.value(), "m");
    require_positive(where, "length", pack.length.value(), "m");
    require_non_negative(where, "fold_radius", pack.fold_radius.value(), "m");
    if (!(pack.inlet_gap_share > T(0) && pack.inlet_gap_share < T(1))) {
        throw_domain_error(where, "inlet_gap_share", plain_value(pack.inlet_gap_share), "-",
                           "between 0 and 1, exclusive");
    }
    if (pack.shape == PleatShape::triangular) {
        if (pack.inlet_gap_share != T(0.5)) {
            throw_domain_error(where, "inlet_gap_share", plain_value(pack.inlet_gap_share), "-",
                               "0.5: the two sides of straight walls are alike");
        }
        require_positive(where, "fold_radius of a triangular pleat", pack.fold_radius.value(), "m");
    }
}

inline bool is_positive_finite(double x) { return x > 0.0 && x <= 1.7976931348623157e308; }
inline bool is_non_negative_finite(double x) { return x >= 0.0 && x <= 1.7976931348623157e308; }

template <class T>
inline bool is_valid(const BasicPleatPack<T>& pack) {
    const double share = plain_value(pack.inlet_gap_share), radius = plain_value(pack.fold_radius.value());
    const bool sides = pack.shape == PleatShape::rectangular
                           ? share > 0.0 && share < 1.0 && (radius == 0.0 || is_positive_finite(radius))
                           : pack.shape == PleatShape::triangular && share == 0.5 && is_positive_finite(radius);
    return is_positive_finite(plain_value(pack.count)) && is_positive_finite(plain_value(pack.depth.value())) &&
           is_positive_finite(plain_value(pack.width.value())) &&
           is_positive_finite(plain_value(pack.length.value())) && sides;
}

template <class T>
void check(const BasicPleatPack<T>& pack, const char* where) {
    if (!is_valid(pack)) refuse(pack, where);
}

/// Width that the two walls of a pleat and its two tightest folds take: with less the pack cannot be folded.
template <class T>
T folded_width(const BasicPleatPack<T>& pack, const T& thickness) {
    const T radius = pack.fold_radius.value();
    if (pack.shape == PleatShape::triangular) return T(2) * thickness + T(4) * radius;
    const T narrow = pack.inlet_gap_share < T(0.5) ? pack.inlet_gap_share : T(1) - pack.inlet_gap_share;
    return T(2) * thickness + T(2) * radius / narrow;
}

/// Whether a pitch holds that width; without a fold radius a gap must be left.
inline bool can_be_folded(double pitch, double folded, bool rounded) {
    return rounded ? pitch >= folded * (1.0 - 1e-12) : pitch > folded;
}

/// Refuses walls that are not deeper than their medium is thick.
template <class T>
void check_depth(const BasicPleatPack<T>& pack, const T& thickness, const char* where) {
    if (thickness < pack.depth.value()) return;
    throw_domain_error(where, "thickness", plain_value(thickness), "m",
                       "below the depth " + number_text(plain_value(pack.depth.value())) + " m of the walls");
}

template <class T>
double greatest_pleat_count(const BasicPleatPack<T>& pack, double thickness) {
    if (!(thickness < plain_value(pack.depth.value()))) return 0.0;
    const double width = plain_value(pack.width.value());
    const double folded = plain_value(folded_width(pack, T(thickness)));
    const bool rounded = plain_value(pack.fold_radius.value()) > 0.0;
    double count = std::floor(width / folded * (1.0 + 1e-12));
    while (count > 0.0 && count < 9e15 && !can_be_folded(width / count, folded, rounded)) count -= 1.0;
    return count;
}

template <class T>
[[noreturn, gnu::cold]] void refuse_folding(const BasicPleatPack<T>& pack, const T& thickness, const char* where) {
    const double most = greatest_pleat_count(pack, plain_value(thickness));
    const double radius = plain_value(pack.fold_radius.value());
    const std::string on = " on a width of " + number_text(plain_value(pack.width.value())) + " m with a medium " +
                           number_text(plain_value(thickness)) + " m thick" +
                           (radius > 0.0 ? " and a fold radius of " + number_text(radius) + " m" : "");
    throw_domain_error(
        where, "count", plain_value(pack.count), "-",
        (most >= 1.0 ? "at most " + number_text(most) + on
                     : std::string("a wider pack or a thinner medium, for not even one pleat has room") + on) +
            "; beyond it the pleats touch");
}

/// Whether a medium of a thickness fits into the pitch; pack and thickness are valid.
template <class T>
bool can_be_folded(const BasicPleatPack<T>& pack, const T& thickness, const T& pitch) {
    const double p = plain_value(pitch);
    if (plain_value(pack.fold_radius.value()) > 0.0 &&
        !can_be_folded(p, plain_value(folded_width(pack, thickness)), true)) {
        return false;
    }
    return p - 2.0 * plain_value(thickness) > 0.0;
}

/// Checks pack and thickness and returns the pitch.
template <class T>
T checked_pitch(const BasicPleatPack<T>& pack, const T& thickness, const char* where) {
    check(pack, where);
    require_positive(where, "thickness", thickness, "m");
    check_depth(pack, thickness, where);
    const T pitch = pack.width.value() / pack.count;
    if (!can_be_folded(pack, thickness, pitch)) refuse_folding(pack, thickness, where);
    return pitch;
}

}   // namespace detail

/// Depth of the walls of a pleat, from what a ruler measures over the folds on both sides.
///
/// Equation: L = D - 2 t
/// Symbols:  D depth over all, t thickness of the medium, L depth of the walls [m]
/// Validity: folds bent about the medium at either end, which take a thickness each and count neither as area nor as
///           channel: of a pack 20 mm deep with a medium 1.3 mm thick 13 %
/// @param  overall_depth  from fold to fold outside [m], > 0
/// @param  thickness  of the medium [m], > 0, less than a third of the overall depth
/// @return depth [m], as PleatPack takes it
/// @throws DomainError if an argument is out of range
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicLength<T> depth_of_walls(BasicLength<T> overall_depth, BasicLength<T> thickness) {
    constexpr auto where = "depth_of_walls";
    const T outer = detail::require_positive(where, "overall_depth", overall_depth.value(), "m");
    const T t = detail::require_positive(where, "thickness", thickness.value(), "m");
    if (!(T(3) * t < outer)) {
        detail::throw_domain_error(where, "thickness", detail::plain_value(t), "m",
                                   "below a third of the overall depth " +
                                       detail::number_text(detail::plain_value(outer)) + " m");
    }
    return BasicLength<T>::from_value(outer - T(2) * t);
}
template <Deferred...>
inline Length depth_of_walls(Length overall_depth, Length thickness) {
    return depth_of_walls<double>(overall_depth, thickness);
}

/// Width of the face that one pleat takes.
///
/// Equation: p = W/N
/// Symbols:  p pitch [m], W width [m], N count [-]
/// Validity: any pack
/// @param  pack  geometry, all > 0
/// @return pitch [m]
/// @throws DomainError if a dimension is out of range
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicLength<T> pleat_pitch(const BasicPleatPack<T>& pack) {
    detail::check(pack, "pleat_pitch");
    return BasicLength<T>::from_value(pack.width.value() / pack.count);
}
template <Deferred...>
inline Length pleat_pitch(const PleatPack& pack) { return pleat_pitch<double>(pack); }

/// The greatest whole number of pleats that a pack's width holds.
///
/// Equation: N <= W/(2 t + 2 r/a) rectangular with a the smaller gap share; N <= W/(2 t + 4 r) triangular; with r = 0
///           less than W/(2 t); none if t >= L
/// Symbols:  W width [m], t thickness of the medium [m], r fold radius [m], L depth of the walls [m]
/// Validity: any pack; folds bent to the inner radius r, the medium not squeezed
/// @param  pack  geometry; its own count does not matter
/// @param  thickness  of the medium [m], > 0
/// @return count [-], a whole number; 0 if not even one pleat has room
/// @throws DomainError if a dimension is out of range
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
double greatest_pleat_count(BasicPleatPack<T> pack, BasicLength<T> thickness) {
    constexpr auto where = "greatest_pleat_count";
    pack.count = T(1);
    detail::check(pack, where);
    detail::require_positive(where, "thickness", thickness.value(), "m");
    return detail::require_finite(where, "result",
                                  detail::greatest_pleat_count(pack, detail::plain_value(thickness.value())), "-");
}
template <Deferred...>
inline double greatest_pleat_count(const PleatPack& pack, Length thickness) {
    return greatest_pleat_count<double>(pack, thickness);
}

/// Gaps that a medium of a thickness leaves open between parallel walls.
///
/// Equation: h1 + h2 = p - 2 t, h1 = a (h1 + h2)
/// Symbols:  h1 inlet, h2 outlet gap [m], p pitch [m], t thickness of the medium [m], a inlet gap share [-]
/// Validity: rectangular pleats whose gaps hold the folds; refused otherwise, with the greatest count that can be
///           folded. Gaps of triangular pleats: pleat_geometry
/// @param  pack  geometry
/// @param  thickness  of the medium [m], > 0
/// @return inlet and outlet gap [m]
/// @throws DomainError if a dimension is out of range, the pleats touch or are triangular
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicPleatGaps<T> pleat_gaps(const BasicPleatPack<T>& pack, BasicLength<T> thickness) {
    constexpr auto where = "pleat_gaps";
    const T open = detail::checked_pitch(pack, thickness.value(), where) - T(2) * thickness.value();
    if (pack.shape != PleatShape::rectangular) {
        throw DomainError(std::string(where) +
                          ": the pleats are triangular, their gaps narrow from mouth to tip; "
                          "required: rectangular pleats, or pleat_geometry");
    }
    return {BasicLength<T>::from_value(pack.inlet_gap_share * open),
            BasicLength<T>::from_value((T(1) - pack.inlet_gap_share) * open)};
}
template <Deferred...>
inline PleatGaps pleat_gaps(const PleatPack& pack, Length thickness) { return pleat_gaps<double>(pack, thickness); }

/// Area of the medium in a pack with parallel walls, folds left out.
///
/// Equation: A = 2 N L B
/// Symbols:  N count [-], L depth of the walls [m], B length of a fold [m]
/// Validity: rectangular pleats; slanting walls depend on the thickness: pleat_geometry
/// @param  pack  geometry, all > 0
/// @return area of the medium [m2]
/// @throws DomainError if a dimension is out of range or the pleats are triangular
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicArea<T> media_area(const BasicPleatPack<T>& pack) {
    constexpr auto where = "media_area";
    detail::check(pack, where);
    if (pack.shape != PleatShape::rectangular) {
        throw DomainError(std::string(where) +
                          ": the walls of triangular pleats slant by what the thickness of the "
                          "medium leaves; required: rectangular pleats, or pleat_geometry");
    }
    return BasicArea<T>::from_value(T(2) * pack.count * pack.depth.value() * pack.length.value());
}
template <Deferred...>
inline Area media_area(const PleatPack& pack) { return media_area<double>(pack); }

/// Area of the pack's face.
///
/// Equation: A_f = W B
/// Symbols:  W width [m], B length of a fold [m]
/// Validity: any pack
/// @param  pack  geometry, all > 0
/// @return area of the face [m2]
/// @throws DomainError if a dimension is out of range
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicArea<T> face_area(const BasicPleatPack<T>& pack) {
    detail::check(pack, "face_area(PleatPack)");
    return pack.width * pack.length;
}
template <Deferred...>
inline Area face_area(const PleatPack& pack) { return face_area<double>(pack); }

/// Mean velocity through the medium of a pack with parallel walls.
///
/// Equation: v = Q/A
/// Symbols:  Q volume flow [m3/s], A area of the medium [m2]
/// Validity: rectangular pleats; how evenly it is spread, the pleat model says
/// @param  pack  geometry, all > 0
/// @param  flow  volume flow [m3/s], finite
/// @return velocity [m/s]
/// @throws DomainError as media_area, or if the flow is not finite
/// @source geometry; test: media/pleat_pack_test.cpp
template <class T>
BasicVelocity<T> media_velocity(const BasicPleatPack<T>& pack, BasicVolumeFlow<T> flow) {
    detail::require_finite("media_velocity", "flow", flow.value(), "m3/s");
    return flow / media_area(pack);
}
template <Deferred...>
inline Velocity media_velocity(const PleatPack& pack, VolumeFlow flow) { return media_velocity<double>(pack, flow); }

}   // namespace filterflow
