// SPDX-License-Identifier: BSL-1.0
#pragma once

// Roughness of duct walls, as the sand-grain roughness that friction is computed with. Each row has the range that was
// measured or is given, the value to design with where the table has one, and its source.

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

#include <filterflow/core/units.hpp>

namespace filterflow {

/// What a duct is made of and how it is joined; the rows of duct_roughness_table in their order.
enum class DuctSurface {
    drawn_tubing,                     ///< drawn tubing
    plastic_pipe,                     ///< smooth plastic pipe
    commercial_steel,                 ///< commercial steel, wrought iron
    aluminium_round,                  ///< aluminium, round, longitudinal seam, crimped slip joints every 0.9 m
    galvanised_round,                 ///< galvanised steel, round, longitudinal seam, joints every 1.2 m
    galvanised_round_short,           ///< the same, joints every 0.76 m: what the old friction chart stands for
    galvanised_spiral,                ///< galvanised steel, spiral seam, joints every 3 m
    galvanised_spiral_ribbed,         ///< the same with one to three ribs, joints every 3.7 m
    galvanised_spiral_corrugated,     ///< galvanised steel, spiral corrugated, beaded slip couplings every 3 m
    galvanised_rectangular,           ///< galvanised steel, rectangular, various joints every 1.2 m
    phenolic_short,                   ///< phenolic board with foil faces, sections of 1.5 m
    phenolic_long,                    ///< phenolic board with foil faces, sections of 3 m
    flexible_stretched,               ///< flexible, not metal, wire helix, fully stretched
    flexible_metal_stretched,         ///< flexible, metal, fully stretched
    glass_liner_faced,                ///< liner of glass fibre, faced
    glass_liner_sprayed,              ///< liner of glass fibre, spray coated
    concrete,                         ///< concrete
    planed_wood                       ///< well planed wood
};

/// Classes into which duct handbooks sort walls.
enum class RoughnessClass {
    smooth,          ///< near 0.0005 mm
    medium_smooth,   ///< near 0.045 mm
    average,         ///< near 0.09 mm
    medium_rough,    ///< near 0.9 mm
    rough,           ///< near 3 mm
    none             ///< not sorted
};

/// One row: a wall and its roughness.
struct DuctRoughness {
    DuctSurface surface;            ///< which wall
    Length least;                   ///< lower end of what was found
    Length greatest;                ///< upper end
    std::optional<Length> design;   ///< what to design with; empty where the table has none
    RoughnessClass roughness_class; ///< of the handbooks
    std::string_view source;        ///< study or table
    bool from_memory;               ///< nobody looked it up
};

namespace detail {

constexpr Length millimetres(double x) { return Length::from_value(1e-3 * x); }
constexpr DuctRoughness measured(DuctSurface surface, double least, double greatest, std::optional<double> design,
                                 RoughnessClass sorted, std::string_view source, bool from_memory = false) {
    return {surface, millimetres(least), millimetres(greatest),
            design ? std::optional<Length>(millimetres(*design)) : std::nullopt, sorted, source, from_memory};
}

// The studies are named as the ASHRAE Handbook's table of duct roughness names them, read in a reproduction.
inline constexpr DuctRoughness duct_roughness_rows[] = {
    measured(DuctSurface::drawn_tubing, 0.0004572, 0.0004572, 0.0004572, RoughnessClass::smooth,
             "Madison and Elliot 1946"),
    measured(DuctSurface::plastic_pipe, 0.009144, 0.04572, 0.04572, RoughnessClass::medium_smooth, "Swim 1982"),
    measured(DuctSurface::commercial_steel, 0.04572, 0.04572, 0.04572, RoughnessClass::medium_smooth, "Moody 1944"),
    measured(DuctSurface::aluminium_round, 0.03658, 0.06096, 0.04572, RoughnessClass::medium_smooth, "Hutchinson 1953"),
    measured(DuctSurface::galvanised_round, 0.04877, 0.09754, 0.09144, RoughnessClass::average,
             "Griggs and others 1987"),
    measured(DuctSurface::galvanised_round_short, 0.1524, 0.1524, 0.1524, RoughnessClass::none,
             "Wright (friction chart)"),
    measured(DuctSurface::galvanised_spiral, 0.06096, 0.1219, 0.09144, RoughnessClass::average, "Jones 1979"),
    measured(DuctSurface::galvanised_spiral_ribbed, 0.08839, 0.1158, 0.09144, RoughnessClass::average,
             "Griggs and others 1987"),
    measured(DuctSurface::galvanised_spiral_corrugated, 0.5486, 0.9144, 0.9144, RoughnessClass::medium_rough,
             "Kulkarni and others 2009"),
    measured(DuctSurface::galvanised_rectangular, 0.0823, 0.1524, 0.09144, RoughnessClass::average,
             "Griggs and Khodabakhsh-Sharifabad 1992"),
    measured(DuctSurface::phenolic_short, 0.1494, 0.3901, std::nullopt, RoughnessClass::none,
             "Idem and Paruchuri 2018"),
    measured(DuctSurface::phenolic_long, 0.0762, 0.2987, std::nullopt, RoughnessClass::none, "Idem and Paruchuri 2018"),
    measured(DuctSurface::flexible_stretched, 0.09144, 0.9144, 0.9144, RoughnessClass::medium_rough,
             "Abushakra and others 2004; Culp 2011"),
    measured(DuctSurface::flexible_metal_stretched, 1.2, 2.1, std::nullopt, RoughnessClass::rough, "ASHRAE Handbook",
             true),
    measured(DuctSurface::glass_liner_faced, 1.5, 1.5, 1.5, RoughnessClass::medium_rough, "Swim 1978", true),
    measured(DuctSurface::glass_liner_sprayed, 4.6, 4.6, 4.6, RoughnessClass::rough, "Swim 1978", true),
    measured(DuctSurface::concrete, 0.3, 3.0, std::nullopt, RoughnessClass::rough, "Moody 1944", true),
    measured(DuctSurface::planed_wood, 0.18, 0.9, std::nullopt, RoughnessClass::none,
             "reproduction of a handbook table"),
};

}   // namespace detail

/// All walls with their roughness.
///
/// Equation: none
/// Symbols:  none
/// Validity: clean and new; dust and corrosion roughen
/// @return rows in the order of DuctSurface
/// @throws nothing
/// @source a study or table on each row; test: airflow/duct_test.cpp
inline std::span<const DuctRoughness> duct_roughness_table() { return detail::duct_roughness_rows; }

/// The roughness of a wall: range, value to design with, source.
///
/// Equation: none
/// Symbols:  none
/// Validity: as duct_roughness_table
/// @param  surface  material and joints
/// @return its row
/// @throws nothing
/// @source as duct_roughness_table; test: airflow/duct_test.cpp
inline const DuctRoughness& duct_roughness(DuctSurface surface) {
    return detail::duct_roughness_rows[static_cast<std::size_t>(surface)];
}

}   // namespace filterflow
