// SPDX-License-Identifier: BSL-1.0
#pragma once

// Loss coefficients of single fittings, each with the velocity it refers to: entries and exits, changes of section,
// round bends and mitres by formula. Tables of sheet-metal elbows stand in elbow_tables.hpp, tees in junctions.hpp.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Mean velocities before and after a widening.
struct VelocityChange {
    Velocity before{};   ///< upstream, >= 0
    Velocity after{};    ///< downstream, >= 0
};

/// How a duct ends that takes air in from the open.
enum class DuctEnd {
    plain,    ///< cut off
    flanged   ///< with a flange around its edge
};

/// A cone that widens a round duct.
struct ConicalDiffuser {
    double area_ratio{};      ///< area before over area after, > 0 and at most 1
    double angle{};           ///< included, between opposite walls [degrees], > 0 and at most 180
    DarcyFactor friction{};   ///< of its walls, at the inlet, >= 0
};

/// A smooth round bend.
struct RoundBend {
    double angle = 90.0;          ///< by which the flow turns [degrees], > 0 and at most 180
    double radius_over_diameter;  ///< of the centre line, 0.5 to 20
    DarcyFactor friction{};       ///< of the duct, >= 0
};

namespace detail {

inline constexpr double elbow_uncertainty = 0.3;   // published values of one elbow scatter by a factor near 1.5
inline constexpr double radians_per_degree = 0.017453292519943295;

/// Losses of a jet that contracts to 1/lambda of its section and widens again (Rennels and Hudson).
inline double contraction_loss(double lambda, double factor) {
    return 0.0696 * factor * lambda * lambda + (lambda - 1.0) * (lambda - 1.0);
}

}   // namespace detail

/// Loss coefficient of a sharp-edged entry from a room or plenum, flush with the wall.
///
/// Equation: K = 0.5
/// Symbols:  K loss coefficient
/// Validity: turbulent flow; other authors give up to 0.57, which the uncertainty covers
/// @return coefficient on the velocity in the duct
/// @throws nothing
/// @source Idelchik; Crane TP-410 (both as held by a general fluids library); test: airflow/fittings_test.cpp
inline LossCoefficient flush_entry_loss_coefficient() { return {0.5, VelocityBasis::duct, 0.15}; }

/// Loss coefficient of an entry whose thin-walled duct projects into the room or plenum.
///
/// Equation: K = 1
/// Symbols:  K loss coefficient
/// Validity: turbulent flow, projecting half a diameter or more, wall much thinner than the duct is wide
/// @return coefficient on the velocity in the duct
/// @throws nothing
/// @source Borda's momentum balance (the jet contracts to half); Idelchik, diagram 3-1 (from memory); test:
///         airflow/fittings_test.cpp
inline LossCoefficient reentrant_entry_loss_coefficient() { return {1.0, VelocityBasis::duct, 0.15}; }

/// Loss coefficient of a duct that simply ends in the open and takes air in there.
///
/// Equation: K = 0.93 plain, 0.49 with a flange
/// Symbols:  K loss coefficient
/// Validity: turbulent flow, no wall near the opening
/// @param  end  plain or flanged
/// @return coefficient on the velocity in the duct
/// @throws nothing
/// @source manuals of industrial ventilation (from memory); uncertainty: common practice; test:
///         airflow/fittings_test.cpp
inline LossCoefficient open_duct_end_loss_coefficient(DuctEnd end) {
    return {end == DuctEnd::plain ? 0.93 : 0.49, VelocityBasis::duct, 0.15};
}

/// Loss coefficient of an entry from a room or plenum with a rounded edge.
///
/// Equation: K = 0.0696 (1 - 0.569 r/D) lambda^2 + (lambda - 1)^2, lambda = 1 + 0.622 (1 - 0.30 sqrt(r/D) - 0.70 r/D)^4
/// Symbols:  r radius of the edge, D duct diameter
/// Validity: r/D 0 to 1; turbulent flow. Other authors give a third to a half less
/// @param  radius_over_diameter  r/D, 0 (sharp: 0.57) to 1
/// @return coefficient on the velocity in the duct
/// @throws DomainError outside the range
/// @source Rennels and Hudson 2012, Pipe Flow (as held by a general fluids library); test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient rounded_entry_loss_coefficient(double radius_over_diameter) {
    const double r = detail::require_between("rounded_entry_loss_coefficient", "radius_over_diameter",
                                             radius_over_diameter, 0.0, 1.0, "-");
    const double edge = 1.0 - 0.30 * std::sqrt(r) - 0.70 * r;
    const double lambda = 1.0 + 0.622 * edge * edge * edge * edge;
    return {detail::contraction_loss(lambda, 1.0 - 0.569 * r), VelocityBasis::duct, 0.5};
}

/// Loss coefficient of a discharge into a room or plenum: all velocity pressure.
///
/// Equation: K = 1
/// Symbols:  K loss coefficient
/// Validity: even velocity (a developed turbulent profile carries some 5 % more)
/// @return coefficient on the velocity in the duct
/// @throws nothing
/// @source energy balance; test: airflow/fittings_test.cpp
inline LossCoefficient exit_loss_coefficient() { return {1.0, VelocityBasis::duct, 0.05}; }

/// Loss coefficient of a sudden widening.
///
/// Equation: K = (1 - A1/A2)^2
/// Symbols:  A1 area before, A2 area after
/// Validity: turbulent flow, sharp edge
/// @param  area_ratio  A1/A2, 0 (discharge into a room) to 1
/// @return coefficient on the velocity in the smaller section
/// @throws DomainError outside the range
/// @source Borda and Carnot, momentum balance; test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient sudden_expansion_loss_coefficient(double area_ratio) {
    detail::require_between("sudden_expansion_loss_coefficient", "area_ratio", area_ratio, 0.0, 1.0, "-");
    return {(1.0 - area_ratio) * (1.0 - area_ratio), VelocityBasis::smaller_section, 0.0};
}

/// Loss coefficient of a sudden narrowing.
///
/// Equation: K = 0.0696 (1 - b^5) lambda^2 + (lambda - 1)^2, lambda = 1 + 0.622 (1 - 0.215 b^2 - 0.785 b^5), b^2 =
///           A2/A1
/// Symbols:  A1 area before, A2 area after
/// Validity: turbulent flow, sharp edge
/// @param  area_ratio  A2/A1, 0 (entry from a room) to 1
/// @return coefficient on the velocity in the smaller section
/// @throws DomainError outside the range
/// @source Rennels and Hudson 2012, Pipe Flow (as held by a general fluids library); test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient sudden_contraction_loss_coefficient(double area_ratio) {
    const double b2 = detail::require_between("sudden_contraction_loss_coefficient", "area_ratio", area_ratio, 0.0,
                                              1.0, "-");
    const double b5 = b2 * b2 * std::sqrt(b2);
    const double lambda = 1.0 + 0.622 * (1.0 - 0.215 * b2 - 0.785 * b5);
    return {detail::contraction_loss(lambda, 1.0 - b5), VelocityBasis::smaller_section, 0.0};
}

/// Loss coefficient of a conical diffuser.
///
/// Equation: with b^2 = A1/A2, w friction part f (1 - b^4)/(8 sin(a/2)): 8.30 tan(a/2)^1.75 (1 - b^2)^2 + w to 20
///           degrees; [1.366 sqrt(sin(2 pi (a - 15)/180)) - 0.170 - s sqrt((a - 20)/40)] (1 - b^2)^2 + w to 60 degrees;
///           [1.205 - s - 12.8 b^6 sqrt((a - 60)/120)] (1 - b^2)^2 beyond for b < 0.5,
///           [1.205 - 0.20 sqrt((a - 60)/120)] (1 - b^2)^2 else; s = 3.28 (0.0625 - b^4) for b < 0.5, else 0
/// Symbols:  a included angle, A1 area before, A2 after, f Darcy friction factor
/// Validity: even flow before it, straight duct behind it. Published methods lie within some 25 % of each other
/// @param  diffuser  ratio of areas, angle and friction
/// @return coefficient on the velocity in the smaller section, before it
/// @throws DomainError outside the ranges
/// @source Rennels and Hudson 2012, Pipe Flow (as held by a general fluids library); test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient conical_diffuser_loss_coefficient(const ConicalDiffuser& diffuser) {
    constexpr auto where = "conical_diffuser_loss_coefficient";
    const double b2 = detail::require_positive(where, "area_ratio", diffuser.area_ratio, "-");
    detail::require_between(where, "area_ratio", b2, 0.0, 1.0, "-");
    const double angle = detail::require_positive(where, "angle", diffuser.angle, "degrees");
    detail::require_between(where, "angle", angle, 0.0, 180.0, "degrees");
    const double f = detail::require_non_negative(where, "friction", diffuser.friction.value, "-");
    const double half = 0.5 * angle * detail::radians_per_degree, b4 = b2 * b2;
    const double step = (1.0 - b2) * (1.0 - b2);
    const double wall = f * (1.0 - b4) / (8.0 * std::sin(half));
    const double narrow = b2 < 0.25 ? 3.28 * (0.0625 - b4) : 0.0;
    double k;
    if (angle <= 20.0) {
        k = 8.30 * std::pow(std::tan(half), 1.75) * step + wall;
    } else if (angle <= 60.0) {
        k = (1.366 * std::sqrt(std::sin(2.0 * (angle - 15.0) * detail::radians_per_degree)) - 0.170 -
             narrow * std::sqrt((angle - 20.0) / 40.0)) * step + wall;
    } else {
        const double wide = (b2 < 0.25 ? 12.8 * b4 * b2 : 0.20) * std::sqrt((angle - 60.0) / 120.0);
        k = (1.205 - narrow - wide) * step;
    }
    return {k, VelocityBasis::smaller_section, 0.25};
}

/// Loss coefficient of a smooth round bend, its friction included.
///
/// Equation: K = f a r/D + (0.10 + 2.4 f) s + 6.6 f (sqrt s + s)/(r/D)^(4 a/pi), s = sin(a/2)
/// Symbols:  f Darcy friction factor, a angle [rad], r radius of the centre line, D diameter
/// Validity: r/D from 0.5, angles to 180 degrees, straight duct on both sides
/// @param  bend  angle, radius and friction
/// @return coefficient on the velocity in the duct, +-30 %
/// @throws DomainError outside the ranges
/// @source Rennels and Hudson 2012, Pipe Flow (as held by a general fluids library); uncertainty from how far published
///         values lie apart; test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient round_bend_loss_coefficient(const RoundBend& bend) {
    constexpr auto where = "round_bend_loss_coefficient";
    detail::require_positive(where, "angle", bend.angle, "degrees");
    detail::require_between(where, "angle", bend.angle, 0.0, 180.0, "degrees");
    const double r = detail::require_between(where, "radius_over_diameter", bend.radius_over_diameter, 0.5, 20.0, "-");
    const double f = detail::require_non_negative(where, "friction", bend.friction.value, "-");
    const double angle = bend.angle * detail::radians_per_degree, s = std::sin(0.5 * angle);
    const double k = f * angle * r + (0.10 + 2.4 * f) * s +
                     6.6 * f * (std::sqrt(s) + s) / std::pow(r, bend.angle / 45.0);
    return {k, VelocityBasis::duct, detail::elbow_uncertainty};
}

/// Loss coefficient of a mitred bend of one cut, without vanes.
///
/// Equation: K = 0.42 s + 2.56 s^3, s = sin(a/2)
/// Symbols:  a angle by which the flow turns
/// Validity: angles to 150 degrees, round or square duct, turbulent flow
/// @param  angle  [degrees], 0 to 150
/// @return coefficient on the velocity in the duct, +-30 %
/// @throws DomainError outside the range
/// @source as round_bend_loss_coefficient; test: airflow/fittings_test.cpp
template <Deferred...>
inline LossCoefficient mitred_bend_loss_coefficient(double angle) {
    detail::require_between("mitred_bend_loss_coefficient", "angle", angle, 0.0, 150.0, "degrees");
    const double s = std::sin(0.5 * angle * detail::radians_per_degree);
    return {0.42 * s + 2.56 * s * s * s, VelocityBasis::duct, detail::elbow_uncertainty};
}

/// Loss coefficient of a right-angled rectangular mitre with turning vanes of single thickness.
///
/// Equation: K = 0.13
/// Symbols:  K loss coefficient
/// Validity: vanes in every place; tables have 0.11 to 0.15 by their radius and spacing, which the uncertainty covers
/// @return coefficient on the velocity in the duct, +-30 %
/// @throws nothing
/// @source elbow tables of the sheet-metal trade and of ASHRAE (from memory); test: airflow/fittings_test.cpp
inline LossCoefficient vaned_mitre_loss_coefficient() { return {0.13, VelocityBasis::duct, detail::elbow_uncertainty}; }

/// Rise of static pressure where a duct widens.
///
/// Equation: dp_s = R rho/2 (V1^2 - V2^2)
/// Symbols:  R recovery, rho density, V1, V2 mean velocities before and after
/// Validity: R from 0 (none) to 1 (ideal); negative result for a narrowing is not covered (throws)
/// @param  change  velocities, after not above before
/// @param  recovery  R, 0 to 1
/// @param  air  air in the duct
/// @return rise of static pressure [Pa]
/// @throws DomainError if an argument is out of its range
/// @source Hundy, Trott and Welch, ch. 24; test: airflow/fittings_test.cpp
template <Deferred...>
inline Pressure static_regain(const VelocityChange& change, double recovery, const AirState& air) {
    constexpr auto where = "static_regain";
    detail::check_air(air, where);
    const double v1 = detail::require_non_negative(where, "velocity before", change.before.value(), "m/s");
    const double v2 = detail::require_between(where, "velocity after", change.after.value(), 0.0, v1, "m/s");
    detail::require_between(where, "recovery", recovery, 0.0, 1.0, "-");
    return Pressure::from_value(recovery * 0.5 * air.density.value() * (v1 * v1 - v2 * v2));
}

}   // namespace filterflow
