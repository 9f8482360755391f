// SPDX-License-Identifier: BSL-1.0
#pragma once

// Sheet-metal elbows by the tables of the trade, and what an elbow right before a fan costs it. Between the rows of a
// table the coefficient is taken linear; outside there is no value.

#include <cstddef>
#include <span>

#include <filterflow/airflow/fittings.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// How a right-angled elbow of sheet metal is made.
enum class SheetMetalElbow {
    round_smooth,          ///< round, die-stamped or drawn
    round_five_pieces,     ///< round, gored from five pieces
    round_four_pieces,     ///< round, gored from four pieces
    round_three_pieces,    ///< round, gored from three pieces
    rectangular_radius     ///< rectangular with radius, no vanes, a quarter as high as wide in the plane of the bend
};

/// An elbow at the inlet of a fan: square, with a transition to the round inlet.
struct InletElbow {
    double radius_over_width{};            ///< of the elbow, 0.5 to 2
    double straight_length_in_diameters{}; ///< of straight duct between elbow and fan, 0 to 5
    bool vanes = false;                    ///< turning vanes inside
};

namespace detail {

/// Value on a line through rows of rising x; x lies within the rows.
inline double on_lines(std::span<const double> x, std::span<const double> y, double at) {
    std::size_t i = 1;
    while (i + 1 < x.size() && at > x[i]) ++i;
    return y[i - 1] + (at - x[i - 1]) / (x[i] - x[i - 1]) * (y[i] - y[i - 1]);
}

}   // namespace detail

/// Loss coefficient of a right-angled elbow of sheet metal.
///
/// Equation: table over the ratio of centre-line radius to diameter (to width, where rectangular), linear between rows
/// Symbols:  none
/// Validity: round smooth 0.5 to 2.5, gored 0.75 to 2, rectangular 0.5 to 2; straight duct on both sides
/// @param  elbow  how it is made
/// @param  radius_ratio  radius over diameter or width [-]
/// @return coefficient on the velocity in the duct, +-30 %
/// @throws DomainError outside the rows
/// @source elbow tables of the sheet-metal trade and of ASHRAE (from memory); test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient sheet_metal_elbow_loss_coefficient(SheetMetalElbow elbow, double radius_ratio) {
    static constexpr double smooth_x[] = {0.5, 0.75, 1.0, 1.5, 2.0, 2.5};
    static constexpr double smooth[] = {0.71, 0.33, 0.22, 0.15, 0.13, 0.12};
    static constexpr double gored_x[] = {0.75, 1.0, 1.5, 2.0};
    static constexpr double five[] = {0.46, 0.33, 0.24, 0.19};
    static constexpr double four[] = {0.50, 0.37, 0.27, 0.24};
    static constexpr double three[] = {0.54, 0.42, 0.34, 0.33};
    static constexpr double rectangular_x[] = {0.5, 0.75, 1.0, 1.5, 2.0};
    static constexpr double rectangular[] = {1.30, 0.57, 0.27, 0.22, 0.20};
    std::span<const double> x = gored_x, k = five;
    switch (elbow) {
        case SheetMetalElbow::round_smooth: x = smooth_x, k = smooth; break;
        case SheetMetalElbow::round_five_pieces: break;
        case SheetMetalElbow::round_four_pieces: k = four; break;
        case SheetMetalElbow::round_three_pieces: k = three; break;
        case SheetMetalElbow::rectangular_radius: x = rectangular_x, k = rectangular; break;
    }
    detail::require_between("sheet_metal_elbow_loss_coefficient", "radius_ratio", radius_ratio, x.front(), x.back(),
                            "-");
    return {detail::on_lines(x, k, radius_ratio), VelocityBasis::duct, detail::elbow_uncertainty};
}

/// Loss coefficient that stands for what an elbow right before a fan takes from its pressure (system effect): swirl and
/// uneven flow, beyond the loss of the elbow itself.
///
/// Equation: dp = K rho V^2 / 2 on the inlet's velocity, to be added to the system; K by table over radius and length
///           of straight duct (0, 2 and 5 diameters), linear between rows
/// Symbols:  K coefficient, V mean velocity in the fan's inlet
/// Validity: radius over width 0.5 to 2, up to 5 diameters of straight duct; an orientation, as fans differ
/// @param  elbow  radius, straight duct, vanes
/// @return coefficient on the velocity in the fan's inlet
/// @throws DomainError outside the table
/// @source table after ASHRAE 1988 on the page that accompanies a textbook; test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient inlet_elbow_system_effect(const InletElbow& elbow) {
    constexpr auto where = "inlet_elbow_system_effect";
    const double radius = detail::require_between(where, "radius_over_width", elbow.radius_over_width, 0.5, 2.0, "-");
    const double length = detail::require_between(where, "straight_length_in_diameters",
                                                  elbow.straight_length_in_diameters, 0.0, 5.0, "-");
    static constexpr double lengths[] = {0.0, 2.0, 5.0};
    static constexpr double radii[] = {0.5, 0.75, 1.0, 2.0};
    static constexpr double bare[4][3] = {{2.5, 1.6, 0.8}, {2.0, 1.2, 0.66}, {1.2, 0.66, 0.33}, {0.8, 0.47, 0.26}};
    static constexpr double vane_radii[] = {0.5, 1.0, 2.0};
    static constexpr double vaned[3][3] = {{0.8, 0.47, 0.26}, {0.53, 0.33, 0.18}, {0.26, 0.22, 0.14}};
    double k[4] = {};
    const std::size_t rows = elbow.vanes ? 3 : 4;
    for (std::size_t i = 0; i < rows; ++i) {
        k[i] = detail::on_lines(lengths, elbow.vanes ? vaned[i] : bare[i], length);
    }
    const std::span<const double> x =
        elbow.vanes ? std::span<const double>(vane_radii) : std::span<const double>(radii);
    return {detail::on_lines(x, std::span<const double>(k, rows), radius), VelocityBasis::fan_inlet, 0.0};
}

}   // namespace filterflow
