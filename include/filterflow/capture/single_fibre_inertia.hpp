// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a single fibre catches particles by their size, inertia and weight: each form by its name, as a function of
// dimensionless groups (single_fibre_groups.hpp says on what they are based). Impaction by trajectories is in
// single_fibre_trajectories.hpp.

#include <cmath>

#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

namespace detail {

/// Whether a particle is wider than the cell of its fibre.
template <class T>
bool wider_than_cell(const T& a, const T& r) {
    return plain_value((T(1) + r) * (T(1) + r) * a) > 1.0;
}

/// Of R and ln(1 + R), inside the cell.
template <class T>
T streamline_inside(const T& a, const T& r, const T& log, const FlowFactors<T>& f) {
    const T one = T(1) + r, x = one * one;
    return one * f.half_inverse * (T(2) * log - T(1) + a + (T(1) - T(0.5) * a) / x - T(0.5) * a * x);
}

template <class T>
T streamline_interception(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    using std::log1p;
    const T r = g.interception_parameter;
    if (wider_than_cell(g.solidity, r)) return T(1) + r;
    return streamline_inside(g.solidity, r, T(log1p(r)), f);
}

template <class T>
T lee_liu_interception(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    const T r = g.interception_parameter;
    return T(0.6) * f.space * r * r / (T(1) + r);
}

template <class T>
T interception_slip_factor(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    return T(1) + T(1.996) * g.fibre_knudsen / g.interception_parameter;
}

inline constexpr double stechkina_greatest_ratio = 0.4;   // from there on J is 2

/// J of R and R^2.8, below that R.
template <class T>
T stechkina_fine(const T& r, const T& power, const FlowFactors<T>& f) {
    return f.stechkina * r * r - T(27.5) * power;
}

template <class T>
T stechkina_impaction(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    using std::pow;
    const T r = g.interception_parameter;
    const T factor = plain_value(r) < stechkina_greatest_ratio ? stechkina_fine(r, T(pow(r, 2.8)), f) : T(2);
    const T efficiency = factor * g.stokes * (T(2) * f.half_inverse * f.half_inverse);
    return plain_value(efficiency) > 1.0 ? T(1) : efficiency;
}

template <class T>
T landahl_herrmann_impaction(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    const T s = g.stokes;
    if (plain_value(s) > 1e50) return T(1);
    return s * s * s / (T(0.22) + s * s * (T(0.77) + s));
}

template <class T>
T gravity_downward(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    return g.gravity * (T(1) + g.interception_parameter);
}

}   // namespace detail

/// Single-fibre efficiency of interception, exact in the flow of Kuwabara: the streamline that passes a radius of the
/// particle away from the fibre.
///
/// Equation: E_R = (1 + R)/(2 Ku) (2 ln(1 + R) - 1 + a + (1 - a/2)/(1 + R)^2 - (a/2)(1 + R)^2)
/// Symbols:  R = d/d_f interception parameter, a solidity, Ku factor of Kuwabara
/// Validity: creeping flow, particles inside the cell of their fibre, R <= a^(-1/2) - 1; beyond it 1 + R, all that the
///           particle can touch
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-], at most 1 + R
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Kuwabara 1959 (stream function); test: capture/single_fibre_terms_test.cpp
template <class T>
T streamline_interception(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("streamline_interception", groups, detail::streamline_interception<T>);
}
template <Deferred...>
inline double streamline_interception(const FibreGroups& groups) {
    return streamline_interception<double>(groups);
}

/// Single-fibre efficiency of interception with the coefficient from experiments.
///
/// Equation: E_R = 0.6 ((1 - a)/Ku) R^2/(1 + R)
/// Symbols:  as streamline_interception
/// Validity: as lee_liu_diffusion, with which it is summed
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Lee and Liu 1982 (second-hand); test: capture/single_fibre_terms_test.cpp
template <class T>
T lee_liu_interception(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("lee_liu_interception", groups, detail::lee_liu_interception<T>);
}
template <Deferred...>
inline double lee_liu_interception(const FibreGroups& groups) {
    return lee_liu_interception<double>(groups);
}

/// Factor by which slip of the gas on fine fibres raises the efficiency of interception.
///
/// Equation: F = 1 + 1.996 Kn_f/R
/// Symbols:  Kn_f = 2 l/d_f Knudsen number of the fibre, on its radius; R interception parameter
/// Validity: made for lee_liu_interception; fibres finer than about 6 um, first order in Kn_f and R
/// @param  groups  dimensionless groups
/// @return factor [-], >= 1
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Liu and Rubow 1990 (from memory). The constant is twice 0.998, the slip coefficient, as in the pressure drop
///         with slip: flow with slip in the cell of Kuwabara gives it; test: capture/single_fibre_terms_test.cpp
template <class T>
T interception_slip_factor(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("interception_slip_factor", groups, detail::interception_slip_factor<T>);
}
template <Deferred...>
inline double interception_slip_factor(const FibreGroups& groups) {
    return interception_slip_factor<double>(groups);
}

/// Single-fibre efficiency of impaction, the textbook form; not more than 1.
///
/// Equation: E_I = J Stk/(2 Ku^2); J = (29.6 - 28 a^0.62) R^2 - 27.5 R^2.8 for R < 0.4, else 2
/// Symbols:  Stk = tau U/d_f Stokes number on the diameter of the fibre, a solidity, R interception parameter, Ku
///           factor of Kuwabara
/// Validity: R 0.01 to 0.4, solidity 0.0035 to 0.111 (from memory). J is not continuous at R = 0.4: there it steps down
///           by 20 % at solidity 0.0035, up by 4 % at 0.05 and by 61 % at 0.15, and penetration with it. Trajectories
///           in the same flow (trajectory_capture, own and unpublished) lie well below it for R >= 0.2 and differ by a
///           factor of two elsewhere: take it as an order of size
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-], at most 1
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Stechkina, Kirsch and Fuchs 1969, as Hinds 1999 writes it (from memory); test:
///         capture/single_fibre_terms_test.cpp
template <class T>
T stechkina_impaction(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("stechkina_impaction", groups, detail::stechkina_impaction<T>);
}
template <Deferred...>
inline double stechkina_impaction(const FibreGroups& groups) {
    return stechkina_impaction<double>(groups);
}

/// Single-fibre efficiency of impaction where the flow is not creeping.
///
/// Equation: E_I = Stk^3/(Stk^3 + 0.77 Stk^2 + 0.22)
/// Symbols:  Stk = tau U/d_f Stokes number on the diameter of the fibre: on the radius the formula would catch more than
///           flow without friction does, which no other flow can
/// Validity: fibre Reynolds number about 10
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-], at most 1
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Landahl and Herrmann 1949 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T landahl_herrmann_impaction(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("landahl_herrmann_impaction", groups, detail::landahl_herrmann_impaction<T>);
}
template <Deferred...>
inline double landahl_herrmann_impaction(const FibreGroups& groups) {
    return landahl_herrmann_impaction<double>(groups);
}

/// Single-fibre efficiency of settling in air that flows down; against the flow it is taken off, across it is the
/// square of G.
///
/// Equation: E_G = G (1 + R)
/// Symbols:  G = tau g/U settling over superficial velocity, R interception parameter
/// Validity: small G; negligible below 2 um at velocities of ventilation
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Hinds 1999, chapter 9 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T gravity_downward(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("gravity_downward", groups, detail::gravity_downward<T>);
}
template <Deferred...>
inline double gravity_downward(const FibreGroups& groups) {
    return gravity_downward<double>(groups);
}

}   // namespace filterflow
