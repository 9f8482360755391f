// SPDX-License-Identifier: BSL-1.0
#pragma once

// Loss coefficients of tees and wyes, on the velocity in the leg of the whole flow. They depend on how the flow
// divides, and may be negative: one stream drags the other along. Where flows are being sought, hold the coefficients
// at the flows expected and repeat, or use total pressures at the nodes.

#include <cmath>

#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A branch that joins or leaves a straight run; the run has one area before and behind it.
template <class T>
struct BasicJunction {
    T branch_flow_share{};       ///< flow in the branch over the whole flow, 0 to 1
    T branch_area_ratio{1.0};    ///< area of the branch over that of the run, > 0 and at most 1
    double angle = 90.0;         ///< between branch and run [degrees], 30 to 90: a tee has 90, a wye less
};
using Junction = BasicJunction<double>;

/// The two coefficients of a junction, on the velocity of the joined flow.
template <class T>
struct BasicJunctionCoefficients {
    BasicLossCoefficient<T> branch;   ///< between the branch and the leg of the whole flow
    BasicLossCoefficient<T> run;      ///< straight through
};
using JunctionCoefficients = BasicJunctionCoefficients<double>;

namespace detail {

/// Crane's F over the angle, linear between its rows.
inline double wye_factor(double angle) {
    if (angle <= 45.0) return 1.74 + (angle - 30.0) / 15.0 * (1.41 - 1.74);
    if (angle <= 60.0) return 1.41 + (angle - 45.0) / 15.0 * (1.00 - 1.41);
    return 1.00 - (angle - 60.0) / 30.0;
}

inline constexpr double tee_angle = 75.0;   // from here on a junction counts as right-angled

template <class T>
void check(const BasicJunction<T>& junction, const char* where) {
    require_between(where, "branch_flow_share", junction.branch_flow_share, 0.0, 1.0, "-");
    require_positive(where, "branch_area_ratio", junction.branch_area_ratio, "-");
    require_between(where, "branch_area_ratio", junction.branch_area_ratio, 0.0, 1.0, "-");
    require_between(where, "angle", junction.angle, 30.0, 90.0, "degrees");
}

template <class T>
BasicJunctionCoefficients<T> junction_coefficients(const T& branch, const T& run) {
    return {{branch, VelocityBasis::joined_flow, 0.0}, {run, VelocityBasis::joined_flow, 0.0}};
}

}   // namespace detail

/// Loss coefficients where a branch joins a run.
///
/// Equation: K_branch = C [1 + (q/a)^2 - 2 (1 - q)^2 - F q^2/a]; C = 1 for a <= 0.35, else 0.9 (1 - q) up to q = 0.4
///           and 0.55 beyond; F = 1.74, 1.41, 1, 0 at 30, 45, 60, 90 degrees, linear between;
///           K_run = 1 - (1 - q)^2 - F q^2/a below 75 degrees, with F = 1 from 60 degrees on, else 1.55 q - q^2
/// Symbols:  q branch flow over joined flow, a branch area over run area
/// Validity: sharp edges, turbulent flow. K_branch jumps by 0.01 C at q = 0.4, K_run at 75 degrees
/// @param  junction  share of flow, ratio of areas, angle
/// @return coefficients on the velocity of the joined flow; the branch's is negative at small q
/// @throws DomainError outside the ranges
/// @source Crane TP-410 (2009); test: airflow/fittings_test.cpp
template <class T>
BasicJunctionCoefficients<T> converging_loss_coefficients(const BasicJunction<T>& junction) {
    detail::check(junction, "converging_loss_coefficients");
    const T q = junction.branch_flow_share, a = junction.branch_area_ratio, rest = T(1) - q;
    const T drag = q * q / a;
    const T c = a <= T(0.35) ? T(1.0) : q <= T(0.4) ? T(0.9) * rest : T(0.55);
    const T branch = c * (T(1) + q * q / (a * a) - T(2) * rest * rest - T(detail::wye_factor(junction.angle)) * drag);
    const T f(detail::wye_factor(junction.angle < 60.0 ? junction.angle : 60.0));
    const T run = junction.angle < detail::tee_angle ? T(T(1) - rest * rest - f * drag) : T(T(1.55) * q - q * q);
    return detail::junction_coefficients(branch, run);
}
template <Deferred...>
inline JunctionCoefficients converging_loss_coefficients(const Junction& junction) {
    return converging_loss_coefficients<double>(junction);
}

/// Loss coefficients where a branch leaves a run.
///
/// Equation: K_branch = G [1 + H (q/a)^2 - J (q/a) cos(angle)]; H = 1, J = 2 below 60 degrees or for a <= 4/9, else
///           H = 0.3, J = 0; below 75 degrees G = 1.1 - 0.7 q up to q = 0.4 and 0.85 beyond for a <= 0.35, else
///           1 - 0.6 q up to q = 0.6 and 0.6 beyond; from 75 degrees G = 1 for a <= 2/3, else 1 + 0.3 q^2;
///           K_run = M q^2, M = 0.4 for a <= 0.4, else 2 (2 q - 1) up to q = 0.5 and 0.3 (2 q - 1) beyond
/// Symbols:  q branch flow over whole flow, a branch area over run area
/// Validity: sharp edges, turbulent flow
/// @param  junction  share of flow, ratio of areas, angle
/// @return coefficients on the velocity of the whole flow; the run's is negative below q = 0.5 where it regains
/// @throws DomainError outside the ranges
/// @source Crane TP-410 (2009); limits of H and J as a general fluids library applies them; test:
///         airflow/fittings_test.cpp
template <class T>
BasicJunctionCoefficients<T> diverging_loss_coefficients(const BasicJunction<T>& junction) {
    detail::check(junction, "diverging_loss_coefficients");
    const T q = junction.branch_flow_share, a = junction.branch_area_ratio;
    const bool tee = junction.angle >= detail::tee_angle;
    const bool bends = junction.angle < 60.0 || a <= T(4.0 / 9.0);
    const double degree = 0.017453292519943295;
    const T h(bends ? 1.0 : 0.3), j(bends ? 2.0 * std::cos(junction.angle * degree) : 0.0);
    const T g = tee              ? (a <= T(2.0 / 3.0) ? T(1.0) : T(T(1) + T(0.3) * q * q))
                : a <= T(0.35)   ? (q <= T(0.4) ? T(T(1.1) - T(0.7) * q) : T(0.85))
                : q <= T(0.6)    ? T(T(1) - T(0.6) * q)
                                 : T(0.6);
    const T branch = g * (T(1) + h * q * q / (a * a) - j * q / a);
    const T m = a <= T(0.4) ? T(0.4) : q <= T(0.5) ? T(T(2) * (T(2) * q - T(1))) : T(T(0.3) * (T(2) * q - T(1)));
    return detail::junction_coefficients(branch, T(m * q * q));
}
template <Deferred...>
inline JunctionCoefficients diverging_loss_coefficients(const Junction& junction) {
    return diverging_loss_coefficients<double>(junction);
}

/// One leg of a junction as a fitting in that leg, for a network whose branch carries the leg's own flow: the
/// coefficient refers to the whole flow, of which the leg carries a share.
///
/// Equation: area q A, coefficient K: K rho/2 [Q_leg/(q A)]^2
/// Symbols:  q share of the leg, A area of the leg of the whole flow
/// Validity: near the share for which the coefficient was found
/// @param  coefficient  of the leg, on the velocity of the joined flow
/// @param  joined_area  area of the leg of the whole flow [m2], > 0
/// @param  leg_flow_share  flow in the leg over the whole flow, > 0 and at most 1
/// @return the fitting
/// @throws DomainError if the basis is another one or an argument is out of its range
/// @source continuity; test: airflow/fittings_test.cpp
template <class T>
BasicFitting<T> junction_leg(const BasicLossCoefficient<T>& coefficient, BasicArea<T> joined_area,
                             const T& leg_flow_share) {
    constexpr auto where = "junction_leg";
    if (coefficient.basis != VelocityBasis::joined_flow) {
        throw DomainError("junction_leg: coefficient on another velocity; required: VelocityBasis::joined_flow");
    }
    detail::require_positive(where, "leg_flow_share", leg_flow_share, "-");
    detail::require_between(where, "leg_flow_share", leg_flow_share, 0.0, 1.0, "-");
    return fitting_in(coefficient, BasicArea<T>::from_value(leg_flow_share * joined_area.value()));
}

}   // namespace filterflow
