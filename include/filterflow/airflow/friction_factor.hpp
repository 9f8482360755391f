// SPDX-License-Identifier: BSL-1.0
#pragma once

// The two friction factors in use, as types: Darcy's is four times Fanning's, and a number alone does not say which it
// is. Neither is taken for the other, nor for a plain number; the two functions below are the only way between them.

#include <compare>

#include <filterflow/core/checks.hpp>

namespace filterflow {

/// Darcy's friction factor f, as in dp = f (L/D) rho V^2/2.
template <class T>
struct BasicDarcyFactor {
    T value{};   ///< > 0; four times Fanning's

    constexpr BasicDarcyFactor() = default;
    constexpr explicit BasicDarcyFactor(const T& factor) : value(factor) {}

    friend constexpr bool operator==(const BasicDarcyFactor&, const BasicDarcyFactor&) = default;
    friend constexpr auto operator<=>(const BasicDarcyFactor&, const BasicDarcyFactor&) = default;
};
using DarcyFactor = BasicDarcyFactor<double>;

/// Fanning's friction factor C_f, as in dp = 4 C_f (L/D) rho V^2/2.
template <class T>
struct BasicFanningFactor {
    T value{};   ///< > 0; a quarter of Darcy's

    constexpr BasicFanningFactor() = default;
    constexpr explicit BasicFanningFactor(const T& factor) : value(factor) {}

    friend constexpr bool operator==(const BasicFanningFactor&, const BasicFanningFactor&) = default;
    friend constexpr auto operator<=>(const BasicFanningFactor&, const BasicFanningFactor&) = default;
};
using FanningFactor = BasicFanningFactor<double>;

/// Darcy's factor of a flow of which Fanning's is known.
///
/// Equation: f = 4 C_f
/// Symbols:  f Darcy's, C_f Fanning's factor
/// Validity: any factor >= 0
/// @param  factor  Fanning's [-], >= 0
/// @return Darcy's friction factor [-]
/// @throws DomainError if the factor is negative or not finite
/// @source definitions (Douglas and others, Fluid Mechanics, use Fanning's; White, Fluid Mechanics, Darcy's); test:
///         airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> darcy_factor(const BasicFanningFactor<T>& factor) {
    return BasicDarcyFactor<T>{T(4) *
                               detail::require_non_negative("darcy_factor", "Fanning factor", factor.value, "-")};
}

/// Fanning's factor of a flow of which Darcy's is known.
///
/// Equation: C_f = f / 4
/// Symbols:  f Darcy's, C_f Fanning's factor
/// Validity: any factor >= 0
/// @param  factor  Darcy's [-], >= 0
/// @return Fanning's friction factor [-]
/// @throws DomainError if the factor is negative or not finite
/// @source as darcy_factor; test: airflow/friction_test.cpp
template <class T>
BasicFanningFactor<T> fanning_factor(const BasicDarcyFactor<T>& factor) {
    return BasicFanningFactor<T>{T(0.25) *
                                 detail::require_non_negative("fanning_factor", "Darcy factor", factor.value, "-")};
}

}   // namespace filterflow
