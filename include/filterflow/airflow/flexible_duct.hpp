// SPDX-License-Identifier: BSL-1.0
#pragma once

// Flexible duct that is not pulled out. How far it is compressed nobody knows to a per cent, and layouts with bends and
// sag resist more still: what comes out is a range.

#include <cmath>

#include <filterflow/airflow/duct.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A piece of flexible duct as laid.
struct FlexibleDuct {
    Length diameter{};               ///< inner, 150 to 250 mm
    double length_over_stretched{};  ///< installed length over the length fully stretched, 0.7 to 1
};

/// A piece of flexible duct of which is known between what it is compressed.
struct FlexibleDuctRange {
    Length diameter{};                         ///< inner, 150 to 250 mm
    double least_length_over_stretched{};      ///< at the most compressed, 0.7 to 1
    double greatest_length_over_stretched = 1.0;   ///< at the least compressed, not below the other, at most 1
    Length installed_length{};                 ///< as laid, >= 0; for flexible_duct_segments
    Length roughness = 0.9 * units::mm;        ///< of the duct fully stretched, >= 0
};

/// Factors on the pressure drop of the stretched duct.
struct FlexibleDuctFactors {
    double least;      ///< at the least compression
    double greatest;   ///< at the most; layouts with bends and sag exceed it
};

/// The ducts that stand for the ends of the range in a system.
struct FlexibleDuctSegments {
    DuctSegment least;      ///< of least resistance
    DuctSegment greatest;   ///< of greatest resistance
};

/// How much more a compressed flexible duct resists than the same length of it fully stretched.
///
/// Equation: F = 1 + 0.58 r exp(-0.126 D), r = 100 (1 - L/L_s)
/// Symbols:  D inner diameter [in], L installed length, L_s stretched length, r compression [%]
/// Validity: D 150 to 250 mm, compression up to 30 %; layouts with bends and sag reach more
/// @param  duct  diameter and installed over stretched length
/// @return factor on the pressure drop of the stretched duct [-]
/// @throws DomainError outside the ranges
/// @source form of Abushakra, Walker and Sherman (coefficients from memory); test: airflow/fittings_test.cpp
template <Deferred...>
inline double flexible_duct_factor(const FlexibleDuct& duct) {
    constexpr auto where = "flexible_duct_factor";
    const double d = detail::require_between(where, "diameter", duct.diameter.value(), 0.150, 0.250, "m");
    const double share =
        detail::require_between(where, "length_over_stretched", duct.length_over_stretched, 0.7, 1.0, "-");
    return 1.0 + 58.0 * (1.0 - share) * std::exp(-0.126 * d / 0.0254);
}

/// How much more a flexible duct resists whose compression is known as a range.
///
/// Equation: F of flexible_duct_factor at both ends
/// Symbols:  as flexible_duct_factor
/// Validity: as flexible_duct_factor; measured layouts with bends and sag exceed the greater one (ten times the
///           stretched duct and more)
/// @param  duct  diameter and both lengths
/// @return both factors on the pressure drop of the stretched duct [-]
/// @throws DomainError outside the ranges or if the lengths are swapped
/// @source as flexible_duct_factor; Weaver and Culp (more than tenfold in some layouts); test:
///         airflow/fittings_test.cpp
template <Deferred...>
inline FlexibleDuctFactors flexible_duct_factors(const FlexibleDuctRange& duct) {
    detail::require_between("flexible_duct_factors", "least_length_over_stretched", duct.least_length_over_stretched,
                            0.7, duct.greatest_length_over_stretched, "-");
    return {flexible_duct_factor({duct.diameter, duct.greatest_length_over_stretched}),
            flexible_duct_factor({duct.diameter, duct.least_length_over_stretched})};
}

/// The ends of the range as duct segments: stretched ducts as much longer as their resistance is greater.
///
/// Equation: length F L
/// Symbols:  L installed length, F factors of flexible_duct_factors
/// Validity: as flexible_duct_factors
/// @param  duct  diameter, both lengths over the stretched one, installed length and roughness
/// @return segments of least and greatest resistance
/// @throws DomainError as flexible_duct_factors, or if length or roughness is negative or not finite
/// @source as flexible_duct_factors; test: airflow/fittings_test.cpp
template <Deferred...>
inline FlexibleDuctSegments flexible_duct_segments(const FlexibleDuctRange& duct) {
    constexpr auto where = "flexible_duct_segments";
    const auto [least, greatest] = flexible_duct_factors(duct);
    const double length = detail::require_non_negative(where, "installed_length", duct.installed_length.value(), "m");
    detail::require_non_negative(where, "roughness", duct.roughness.value(), "m");
    DuctSegment segment;
    segment.diameter = duct.diameter;
    segment.roughness = duct.roughness;
    FlexibleDuctSegments segments{segment, segment};
    segments.least.length = Length::from_value(least * length);
    segments.greatest.length = Length::from_value(greatest * length);
    return segments;
}

}   // namespace filterflow
