// SPDX-License-Identifier: BSL-1.0
#pragma once

// The dimensionless groups that the capture by a single fibre depends on. All of them are based on the fibre's
// diameter and on the superficial velocity U, volume flow over area of medium; some authors use the radius (twice the
// Stokes number, half the Peclet number) or the velocity between the fibres, U/(1 - solidity).

#include <cmath>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/media/fibrous_medium.hpp>

namespace filterflow {

/// The groups that single-fibre efficiency depends on. U is the superficial velocity, d_f the fibre's diameter.
template <class T>
struct BasicFibreGroups {
    T solidity;                 ///< of the medium, > 0, at most 0.25
    T peclet;                   ///< Pe = U d_f/D, D diffusion coefficient of the particle, > 0
    T interception_parameter;   ///< R = d/d_f, d particle diameter, > 0
    T stokes;                   ///< Stk = tau U/d_f, tau relaxation time of the particle, >= 0
    T fibre_knudsen = T(0);     ///< Kn_f = 2 l/d_f, l mean free path of the gas, >= 0; 0: no slip on the fibre
    T gravity = T(0);           ///< G = tau g/U, settling over superficial velocity, >= 0
    T fibre_reynolds = T(0);    ///< Re_f = rho U d_f/mu, >= 0
};
using FibreGroups = BasicFibreGroups<double>;

namespace detail {

/// What all terms take from the solidity.
template <class T>
struct FlowFactors {
    T kuwabara;        // Ku
    T half_inverse;    // 1/(2 Ku)
    T space;           // (1 - a)/Ku
    T space_cbrt;      // its cube root
    T stechkina;       // 29.6 - 28 a^0.62
};

template <class T>
FlowFactors<T> flow_factors(const T& solidity) {
    using std::cbrt;
    using std::pow;
    const T ku = detail::kuwabara_factor(solidity);
    const T space = (T(1) - solidity) / ku;
    return {ku, T(0.5) / ku, space, cbrt(space), T(29.6) - T(28) * pow(solidity, 0.62)};
}

template <class T>
void check(const BasicFibreGroups<T>& g, std::string_view where) {
    require_positive(where, "solidity", g.solidity, "-");
    require_between(where, "solidity", g.solidity, 0.0, kuwabara_greatest_solidity, "-");
    require_positive(where, "peclet", g.peclet, "-");
    require_positive(where, "interception_parameter", g.interception_parameter, "-");
    require_non_negative(where, "stokes", g.stokes, "-");
    require_non_negative(where, "fibre_knudsen", g.fibre_knudsen, "-");
    require_non_negative(where, "gravity", g.gravity, "-");
    require_non_negative(where, "fibre_reynolds", g.fibre_reynolds, "-");
}

/// A term of the theory as a public function: groups checked, result finite.
template <class T, class Kernel>
T checked_term(std::string_view where, const BasicFibreGroups<T>& groups, const Kernel& kernel) {
    check(groups, where);
    return require_finite(where, "result", kernel(groups, flow_factors(groups.solidity)), "-");
}

}   // namespace detail

}   // namespace filterflow
