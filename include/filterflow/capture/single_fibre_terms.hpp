// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a single fibre catches particles: each mechanism by its name, as a function of dimensionless groups. The
// Peclet, interception and Stokes numbers are based on the fibre's diameter (some authors use its radius).

#include <cmath>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/media/fibrous_medium.hpp>

namespace filterflow {

/// The groups that single-fibre efficiency depends on.
template <class T>
struct BasicFibreGroups {
    T solidity;                 ///< of the medium, > 0, at most 0.25
    T peclet;                   ///< Pe = U d_f / D, > 0
    T interception_parameter;   ///< R = d / d_f, > 0
    T stokes;                   ///< Stk = tau U / d_f, >= 0
};
using FibreGroups = BasicFibreGroups<double>;

namespace detail {

template <class T>
T lee_liu_diffusion(const BasicFibreGroups<T>& g) {
    using std::cbrt;
    return T(1.6) * cbrt((T(1) - g.solidity) / (detail::kuwabara_factor(g.solidity) * g.peclet * g.peclet));
}

template <class T>
T hinds_diffusion(const BasicFibreGroups<T>& g) {
    using std::cbrt;
    return T(2) / cbrt(g.peclet * g.peclet);
}

template <class T>
T diffusion_interception(const BasicFibreGroups<T>& g) {
    using std::cbrt;
    using std::sqrt;
    const T r = g.interception_parameter;
    return T(1.24) * cbrt(r * r) / sqrt(detail::kuwabara_factor(g.solidity) * g.peclet);
}

template <class T>
T streamline_interception(const BasicFibreGroups<T>& g) {
    using std::log1p;
    const T a = g.solidity;
    const T r = g.interception_parameter;
    const T x = (T(1) + r) * (T(1) + r);
    return (T(1) + r) / (T(2) * detail::kuwabara_factor(a)) *
           (T(2) * log1p(r) - T(1) + a + (T(1) - T(0.5) * a) / x - T(0.5) * a * x);
}

template <class T>
T lee_liu_interception(const BasicFibreGroups<T>& g) {
    const T r = g.interception_parameter;
    return T(0.6) * (T(1) - g.solidity) / detail::kuwabara_factor(g.solidity) * r * r / (T(1) + r);
}

template <class T>
T stechkina_impaction(const BasicFibreGroups<T>& g) {
    using std::pow;
    const T r = g.interception_parameter;
    const T ku = detail::kuwabara_factor(g.solidity);
    const T factor = plain_value(r) < 0.4
                         ? T((T(29.6) - T(28) * pow(g.solidity, 0.62)) * r * r - T(27.5) * pow(r, 2.8))
                         : T(2);
    const T efficiency = factor * g.stokes / (T(2) * ku * ku);
    return plain_value(efficiency) > 1.0 ? T(1) : efficiency;
}

template <class T>
void check(const BasicFibreGroups<T>& g, std::string_view where) {
    require_positive(where, "solidity", g.solidity, "-");
    require_between(where, "solidity", g.solidity, 0.0, kuwabara_greatest_solidity, "-");
    require_positive(where, "peclet", g.peclet, "-");
    require_positive(where, "interception_parameter", g.interception_parameter, "-");
    require_non_negative(where, "stokes", g.stokes, "-");
}

}   // namespace detail

/// Single-fibre efficiency of diffusion, coefficient from experiments: the default.
///
/// Equation: E_D = 1.6 ((1 - a)/Ku)^(1/3) Pe^(-2/3)
/// Symbols:  a solidity, Ku Kuwabara's factor, Pe Peclet number
/// Validity: Pe above about 10, solidity 0.0086 to 0.151 in the data (from memory); theory gives 2.9 in place of 1.6
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-]; above 1 where Pe is small
/// @throws DomainError if a group is out of its range
/// @source Lee and Liu 1982 (second-hand); test: capture/single_fibre_test.cpp
template <class T>
T lee_liu_diffusion(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "lee_liu_diffusion");
    return detail::lee_liu_diffusion(groups);
}
inline double lee_liu_diffusion(const FibreGroups& groups) { return lee_liu_diffusion<double>(groups); }

/// Single-fibre efficiency of diffusion in the textbook form; goes with diffusion_interception.
///
/// Equation: E_D = 2 Pe^(-2/3)
/// Symbols:  Pe Peclet number
/// Validity: as lee_liu_diffusion
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-]
/// @throws DomainError if a group is out of its range
/// @source Hinds 1999, chapter 9 (from memory); test: capture/single_fibre_test.cpp
template <class T>
T hinds_diffusion(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "hinds_diffusion");
    return detail::hinds_diffusion(groups);
}
inline double hinds_diffusion(const FibreGroups& groups) { return hinds_diffusion<double>(groups); }

/// What diffusing particles of some size gain by being intercepted. Not with lee_liu_diffusion, which contains it.
///
/// Equation: E_DR = 1.24 R^(2/3) / (Ku Pe)^(1/2)
/// Symbols:  R interception parameter, Ku Kuwabara's factor, Pe Peclet number
/// Validity: Pe above about 100
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-]
/// @throws DomainError if a group is out of its range
/// @source Hinds 1999, chapter 9 (from memory); test: capture/single_fibre_test.cpp
template <class T>
T diffusion_interception(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "diffusion_interception");
    return detail::diffusion_interception(groups);
}
inline double diffusion_interception(const FibreGroups& groups) { return diffusion_interception<double>(groups); }

/// Single-fibre efficiency of interception, exact in Kuwabara's flow: the streamline that passes a particle's radius
/// away from the fibre.
///
/// Equation: E_R = (1 + R)/(2 Ku) (2 ln(1 + R) - 1 + a + (1 - a/2)/(1 + R)^2 - (a/2)(1 + R)^2)
/// Symbols:  R interception parameter, a solidity, Ku Kuwabara's factor
/// Validity: creeping flow, particles inside the cell of their fibre (R of a few at most)
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-], up to 1 + R
/// @throws DomainError if a group is out of its range
/// @source Kuwabara 1959 (stream function); test: capture/single_fibre_test.cpp
template <class T>
T streamline_interception(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "streamline_interception");
    return detail::streamline_interception(groups);
}
inline double streamline_interception(const FibreGroups& groups) { return streamline_interception<double>(groups); }

/// Single-fibre efficiency of interception with the coefficient from experiments.
///
/// Equation: E_R = 0.6 ((1 - a)/Ku) R^2/(1 + R)
/// Symbols:  as streamline_interception
/// Validity: as lee_liu_diffusion, with which it is summed
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-]
/// @throws DomainError if a group is out of its range
/// @source Lee and Liu 1982 (second-hand); test: capture/single_fibre_test.cpp
template <class T>
T lee_liu_interception(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "lee_liu_interception");
    return detail::lee_liu_interception(groups);
}
inline double lee_liu_interception(const FibreGroups& groups) { return lee_liu_interception<double>(groups); }

/// Single-fibre efficiency of impaction, the textbook form; not more than 1.
///
/// Equation: E_I = J Stk/(2 Ku^2); J = (29.6 - 28 a^0.62) R^2 - 27.5 R^2.8 for R < 0.4, else 2
/// Symbols:  Stk Stokes number on the fibre's diameter, a solidity, R interception parameter, Ku Kuwabara's factor
/// Validity: R 0.01 to 0.4, solidity 0.0035 to 0.111 (from memory). Trajectories in the same flow, own and unpublished,
///           lie well below it for R >= 0.2 and differ by a factor of two elsewhere: take it as an order of size.
/// @param  groups  dimensionless groups
/// @return efficiency on the fibre's frontal area [-], at most 1
/// @throws DomainError if a group is out of its range
/// @source Stechkina, Kirsch and Fuchs 1969, as Hinds 1999 writes it (from memory); test: capture/single_fibre_test.cpp
template <class T>
T stechkina_impaction(const BasicFibreGroups<T>& groups) {
    detail::check(groups, "stechkina_impaction");
    return detail::stechkina_impaction(groups);
}
inline double stechkina_impaction(const FibreGroups& groups) { return stechkina_impaction<double>(groups); }

}   // namespace filterflow
