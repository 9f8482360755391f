// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a single fibre catches particles that diffuse to it: each form by its name, as a function of dimensionless
// groups (single_fibre_groups.hpp says on what they are based).

#include <cmath>

#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

namespace detail {

// Coefficients of the terms, with the flow's factor where a term has one.
inline constexpr double lee_liu_coefficient = 1.6, boundary_layer_coefficient = 2.892,
                        stechkina_fuchs_coefficient = 2.9, fan_model_coefficient = 2.7, hinds_coefficient = 2.0,
                        kanaoka_coefficient = 0.54;

/// Pe^(2/3).
template <class T>
T peclet_power(const BasicFibreGroups<T>& g) {
    using std::cbrt;
    return cbrt(g.peclet * g.peclet);
}

template <class T>
T lee_liu_diffusion(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    return T(lee_liu_coefficient) * f.space_cbrt / peclet_power(g);
}

template <class T>
T boundary_layer_diffusion(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    return T(boundary_layer_coefficient) * f.space_cbrt / peclet_power(g);
}

template <class T>
T stechkina_fuchs_diffusion(const BasicFibreGroups<T>& g, const FlowFactors<T>& f) {
    using std::cbrt;
    return T(stechkina_fuchs_coefficient) / cbrt(f.kuwabara * g.peclet * g.peclet) + T(0.624) / g.peclet;
}

template <class T>
T fan_model_diffusion(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    return T(fan_model_coefficient) / peclet_power(g);
}

template <class T>
T hinds_diffusion(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    return T(hinds_coefficient) / peclet_power(g);
}

template <class T>
T kanaoka_diffusion(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    return T(kanaoka_coefficient) / peclet_power(g);
}

template <class T>
T diffusion_interception(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    using std::cbrt;
    using std::sqrt;
    const T r = g.interception_parameter;
    return T(1.24) * cbrt(r * r) / sqrt(f.kuwabara * g.peclet);
}

template <class T>
T diffusion_slip_factor(const BasicFibreGroups<T>& g, [[maybe_unused]] const FlowFactors<T>& f) {
    using std::cbrt;
    return T(1) + T(0.388) * g.fibre_knudsen * f.space_cbrt * cbrt(g.peclet);
}

}   // namespace detail

/// Single-fibre efficiency of diffusion, coefficient from experiments: the default.
///
/// Equation: E_D = 1.6 ((1 - a)/Ku)^(1/3) Pe^(-2/3)
/// Symbols:  a solidity, Ku factor of Kuwabara, Pe = U d_f/D Peclet number on the diameter of the fibre and the
///           superficial velocity
/// Validity: Pe above about 10, solidity 0.0086 to 0.151 in the data (from memory); theory gives 2.892 in place of 1.6
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]; above 1 where Pe is small
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Lee and Liu 1982 (second-hand); test: capture/single_fibre_terms_test.cpp
template <class T>
T lee_liu_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("lee_liu_diffusion", groups, detail::lee_liu_diffusion<T>);
}
template <Deferred...>
inline double lee_liu_diffusion(const FibreGroups& groups) {
    return lee_liu_diffusion<double>(groups);
}

/// Single-fibre efficiency of diffusion by the theory of a thin boundary layer in the flow of Kuwabara.
///
/// Equation: E_D = 2.892 ((1 - a)/Ku)^(1/3) Pe^(-2/3); 2.892 = (3/4) (2 I)^(2/3) 2^(2/3)/((9/4)^(1/3) Gamma(4/3)), I
///           the integral of sin^(1/2) over half the fibre
/// Symbols:  a solidity, Ku factor of Kuwabara, Pe = U d_f/D Peclet number on the diameter of the fibre and the
///           superficial velocity
/// Validity: Pe well above 10, creeping flow; real media catch about half of it, see lee_liu_diffusion
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source published with 2.9 (Natanson 1957, Stechkina and Fuchs 1966, from memory); digits derived again; test:
///         capture/single_fibre_terms_test.cpp
template <class T>
T boundary_layer_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("boundary_layer_diffusion", groups, detail::boundary_layer_diffusion<T>);
}
template <Deferred...>
inline double boundary_layer_diffusion(const FibreGroups& groups) {
    return boundary_layer_diffusion<double>(groups);
}

/// Single-fibre efficiency of diffusion with the second term of the boundary-layer theory.
///
/// Equation: E_D = 2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe
/// Symbols:  a solidity, Ku factor of Kuwabara, Pe = U d_f/D Peclet number on the diameter of the fibre and the
///           superficial velocity
/// Validity: Pe above about 10, small solidity (there is no 1 - a), creeping flow
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Stechkina and Fuchs 1966 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T stechkina_fuchs_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("stechkina_fuchs_diffusion", groups, detail::stechkina_fuchs_diffusion<T>);
}
template <Deferred...>
inline double stechkina_fuchs_diffusion(const FibreGroups& groups) {
    return stechkina_fuchs_diffusion<double>(groups);
}

/// Single-fibre efficiency of diffusion in the fan model, grids of fibres turned at random.
///
/// Equation: E_D = 2.7 Pe^(-2/3)
/// Symbols:  a solidity, Ku factor of Kuwabara, Pe = U d_f/D Peclet number on the diameter of the fibre and the
///           superficial velocity
/// Validity: Pe above about 10, solidity 0.01 to 0.15 (from memory)
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Kirsch and Fuchs 1968 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T fan_model_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("fan_model_diffusion", groups, detail::fan_model_diffusion<T>);
}
template <Deferred...>
inline double fan_model_diffusion(const FibreGroups& groups) {
    return fan_model_diffusion<double>(groups);
}

/// Single-fibre efficiency of diffusion in the textbook form; goes with diffusion_interception.
///
/// Equation: E_D = 2 Pe^(-2/3)
/// Symbols:  a solidity, Ku factor of Kuwabara, Pe = U d_f/D Peclet number on the diameter of the fibre and the
///           superficial velocity
/// Validity: as lee_liu_diffusion
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Hinds 1999, chapter 9 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T hinds_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("hinds_diffusion", groups, detail::hinds_diffusion<T>);
}
template <Deferred...>
inline double hinds_diffusion(const FibreGroups& groups) {
    return hinds_diffusion<double>(groups);
}

/// Single-fibre efficiency of diffusion to rectangular electret fibres, as split from a film: the part of
/// kanaoka_electret_capture that is not electric.
///
/// Equation: E_D = 0.54 Pe^(-2/3)
/// Symbols:  Pe = U d_f/D Peclet number on the diameter of the fibre and the superficial velocity
/// Validity: Pe above about 10; for that kind of fibre and along with its charge alone: it is about a third of
///           lee_liu_diffusion. No range of solidity was at hand
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Kanaoka, Emi, Otani and Iiyama 1987 (form read in the abstract, coefficient from memory); test:
///         capture/single_fibre_terms_test.cpp
template <class T>
T kanaoka_diffusion(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("kanaoka_diffusion", groups, detail::kanaoka_diffusion<T>);
}
template <Deferred...>
inline double kanaoka_diffusion(const FibreGroups& groups) {
    return kanaoka_diffusion<double>(groups);
}

/// What diffusing particles of some size gain by being intercepted. Not with lee_liu_diffusion, which contains it.
///
/// Equation: E_DR = 1.24 R^(2/3)/(Ku Pe)^(1/2)
/// Symbols:  R = d/d_f interception parameter, Ku factor of Kuwabara, Pe Peclet number, as above
/// Validity: Pe above about 100
/// @param  groups  dimensionless groups
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Hinds 1999, chapter 9 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T diffusion_interception(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("diffusion_interception", groups, detail::diffusion_interception<T>);
}
template <Deferred...>
inline double diffusion_interception(const FibreGroups& groups) {
    return diffusion_interception<double>(groups);
}

/// Factor by which slip of the gas on fine fibres raises the efficiency of diffusion.
///
/// Equation: F = 1 + 0.388 Kn_f ((1 - a) Pe/Ku)^(1/3)
/// Symbols:  Kn_f = 2 l/d_f Knudsen number of the fibre, on its radius; others as above
/// Validity: made for lee_liu_diffusion; fibres finer than about 6 um
/// @param  groups  dimensionless groups
/// @return factor [-], >= 1
/// @throws DomainError if a group is out of its range or the result is no finite number
/// @source Liu and Rubow 1990 (from memory); test: capture/single_fibre_terms_test.cpp
template <class T>
T diffusion_slip_factor(const BasicFibreGroups<T>& groups) {
    return detail::checked_term("diffusion_slip_factor", groups, detail::diffusion_slip_factor<T>);
}
template <Deferred...>
inline double diffusion_slip_factor(const FibreGroups& groups) {
    return diffusion_slip_factor<double>(groups);
}

}   // namespace filterflow
