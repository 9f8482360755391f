// SPDX-License-Identifier: BSL-1.0
#pragma once

// A straight duct with its fittings, and the measures of its section: area, hydraulic and equivalent diameter of round,
// rectangular and flat oval ducts.

#include <cmath>
#include <initializer_list>
#include <string>
#include <utility>

#include <filterflow/airflow/friction.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// What a duct with width and height looks like from its end.
enum class DuctSection {
    rectangular,   ///< four corners
    flat_oval      ///< two half circles joined by flat sides; the longer of width and height is the major axis
};

/// Which diameter friction is computed with in a duct that is not round.
enum class FrictionDiameter {
    hydraulic,            ///< four times area over perimeter, as Darcy and Weisbach's equation states it
    laminar_equivalent,   ///< hydraulic diameter scaled so that laminar flow is exact: rectangular ducts only
    equivalent            ///< round duct that takes as much at the same flow: equivalent_diameter, as sizing tables do
};

/// A round duct (diameter given), or a rectangular or flat oval one (width and height given), with its fittings.
template <class T>
struct BasicDuctSegment {
    BasicLength<T> length{};     ///< >= 0
    BasicLength<T> diameter{};   ///< of a round duct, > 0; left at zero for any other
    BasicLength<T> width{};      ///< of a duct that is not round, > 0; left at zero for a round one
    BasicLength<T> height{};     ///< of a duct that is not round, > 0; left at zero for a round one
    BasicLength<T> roughness{BasicLength<T>::from_value(T(0.09e-3))};   ///< galvanised sheet steel, average: 0.09 mm
    T loss_coefficient{};        ///< sum of the fittings' coefficients on the velocity in this duct; a tee may make
                                 ///< it negative
    FrictionDiameter friction_diameter = FrictionDiameter::hydraulic;   ///< for ducts that are not round
    DuctSection section = DuctSection::rectangular;                     ///< of ducts that are not round
};
using DuctSegment = BasicDuctSegment<double>;

namespace detail {

template <class T>
bool is_round(const BasicDuctSegment<T>& duct) {
    return duct.diameter.value() > T(0.0);
}

/// Longer and shorter side.
template <class T>
struct DuctSides {
    T longer, shorter;
};
template <class T>
DuctSides<T> duct_sides(const BasicDuctSegment<T>& duct) {
    const T width = duct.width.value(), height = duct.height.value();
    return width < height ? DuctSides<T>{height, width} : DuctSides<T>{width, height};
}

inline constexpr double quarter_pi = 0.7853981633974483;

template <class T>
T duct_area(const BasicDuctSegment<T>& duct) {
    if (is_round(duct)) return T(quarter_pi) * duct.diameter.value() * duct.diameter.value();
    if (duct.section == DuctSection::rectangular) return duct.width.value() * duct.height.value();
    const DuctSides<T> s = duct_sides(duct);
    return s.shorter * (T(quarter_pi) * s.shorter + (s.longer - s.shorter));
}

template <class T>
T duct_perimeter(const BasicDuctSegment<T>& duct) {
    if (is_round(duct)) return T(4.0 * quarter_pi) * duct.diameter.value();
    if (duct.section == DuctSection::rectangular) return T(2) * (duct.width.value() + duct.height.value());
    const DuctSides<T> s = duct_sides(duct);
    return T(4.0 * quarter_pi) * s.shorter + T(2) * (s.longer - s.shorter);
}

template <class T>
T duct_hydraulic_diameter(const BasicDuctSegment<T>& duct) {
    if (is_round(duct)) return duct.diameter.value();
    return T(4) * duct_area(duct) / duct_perimeter(duct);
}

template <class T>
T duct_equivalent_diameter(const BasicDuctSegment<T>& duct) {
    using std::pow;
    if (is_round(duct)) return duct.diameter.value();
    if (duct.section == DuctSection::flat_oval) {
        return T(1.55) * pow(duct_area(duct), 0.625) / pow(duct_perimeter(duct), 0.25);
    }
    const T sum = duct.width.value() + duct.height.value();
    return T(1.30) * pow(duct_area(duct), 0.625) / pow(sum, 0.25);
}

inline constexpr double greatest_aspect_ratio = 8.0;   // of what equivalent diameters rest on

template <class T>
void check_aspect_ratio(const BasicDuctSegment<T>& duct, const char* where) {
    const DuctSides<T> s = duct_sides(duct);
    require_between(where, "duct aspect ratio", s.longer / s.shorter, 1.0, greatest_aspect_ratio, "-");
}

/// What the way to compute friction asks of a duct that is not round.
template <class T>
void check_section(const BasicDuctSegment<T>& duct, const char* where) {
    if (duct.friction_diameter == FrictionDiameter::equivalent) check_aspect_ratio(duct, where);
    if (duct.friction_diameter == FrictionDiameter::laminar_equivalent && duct.section == DuctSection::flat_oval) {
        throw DomainError(std::string(where) + ": laminar_equivalent friction in a flat oval duct; required: hydraulic "
                                               "or equivalent");
    }
}

template <class T>
void check(const BasicDuctSegment<T>& duct, const char* where) {
    require_non_negative(where, "duct length", duct.length.value(), "m");
    require_non_negative(where, "duct diameter", duct.diameter.value(), "m");
    const bool round = is_round(duct);
    for (const auto& [name, size] : {std::pair{"duct width", plain_value(duct.width.value())},
                                     std::pair{"duct height", plain_value(duct.height.value())}}) {
        if (round && size != 0.0) throw_domain_error(where, name, size, "m", "none (0) beside a diameter");
        if (!round && !(size > 0.0 && std::isfinite(size))) {
            throw_domain_error(where, name, size, "m", "width and height > 0 and finite, or a diameter instead");
        }
    }
    if (!round) check_section(duct, where);
    require_non_negative(where, "duct roughness", duct.roughness.value(), "m");
    require_between(where, "duct roughness over diameter", duct.roughness.value() / duct_hydraulic_diameter(duct), 0.0,
                    greatest_relative_roughness, "-");
    require_finite(where, "duct loss_coefficient", duct.loss_coefficient, "-");
}

}   // namespace detail

/// Hydraulic diameter of a duct: four times its area over its perimeter.
///
/// Equation: D_h = 4 A / P; the diameter itself for a round duct
/// Symbols:  A area, P perimeter
/// Validity: any duct; to be used with the actual velocity
/// @param  duct  round, rectangular or flat oval
/// @return hydraulic diameter [m]
/// @throws DomainError if the duct's sizes are not those of a duct
/// @source definition; test: airflow/duct_test.cpp
template <class T>
BasicLength<T> hydraulic_diameter(const BasicDuctSegment<T>& duct) {
    detail::check(duct, "hydraulic_diameter");
    return BasicLength<T>::from_value(detail::duct_hydraulic_diameter(duct));
}
template <Deferred...>
inline Length hydraulic_diameter(const DuctSegment& duct) { return hydraulic_diameter<double>(duct); }

/// Area of a duct's section.
///
/// Equation: A = pi D^2/4; a b; pi b^2/4 + b (a - b)
/// Symbols:  D diameter; a, b width and height, in the flat oval b the shorter
/// Validity: round, rectangular, flat oval
/// @param  duct  round, rectangular or flat oval
/// @return area [m2]
/// @throws DomainError as hydraulic_diameter
/// @source geometry; test: airflow/duct_test.cpp
template <class T>
BasicArea<T> section_area(const BasicDuctSegment<T>& duct) {
    detail::check(duct, "section_area");
    return BasicArea<T>::from_value(detail::duct_area(duct));
}
template <Deferred...>
inline Area section_area(const DuctSegment& duct) { return section_area<double>(duct); }

/// Equivalent diameter of a duct: of the round duct in which the same flow loses as much a metre.
///
/// Equation: rectangular D_e = 1.30 (a b)^0.625 / (a + b)^0.25; flat oval D_e = 1.55 A^0.625 / P^0.25
/// Symbols:  a, b width and height [m], A area, P perimeter
/// Validity: aspect ratio 1 to 8, turbulent flow; to be used with the actual flow, not with the actual velocity
/// @param  duct  round (its own diameter), rectangular or flat oval
/// @return equivalent diameter [m]
/// @throws DomainError as hydraulic_diameter, or if the aspect ratio is above 8
/// @source Huebscher 1948; Heyt and Diaz 1975 (both from memory); test: airflow/duct_test.cpp
template <class T>
BasicLength<T> equivalent_diameter(const BasicDuctSegment<T>& duct) {
    detail::check(duct, "equivalent_diameter");
    if (!detail::is_round(duct)) detail::check_aspect_ratio(duct, "equivalent_diameter");
    return BasicLength<T>::from_value(detail::duct_equivalent_diameter(duct));
}
template <Deferred...>
inline Length equivalent_diameter(const DuctSegment& duct) { return equivalent_diameter<double>(duct); }

}   // namespace filterflow
