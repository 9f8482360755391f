// SPDX-License-Identifier: BSL-1.0
#pragma once

// Explicit formulas for the friction factor, each under the name of its authors, for whoever has to repeat a
// calculation made with one of them. Duct segments use none: they solve Colebrook's equation (friction.hpp).

#include <cmath>

#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/core/checks.hpp>

namespace filterflow {

/// Darcy friction factor over laminar, transitional and turbulent flow by one explicit formula.
///
/// Equation: f = 8 [(8/Re)^12 + (A + B)^(-3/2)]^(1/12), A = {2.457 ln[1/((7/Re)^0.9 + 0.27 eps/D)]}^16,
///           B = (37530/Re)^16
/// Symbols:  f Darcy friction factor, eps roughness, D diameter, Re Reynolds number
/// Validity: 1 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 3.1 % of Colebrook's equation from Re 4000 to 1e6 and eps/D to
///           0.01; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Churchill 1977, Chemical Engineering 84(24):91; test: airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> churchill_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::log;
    using std::pow;
    detail::check_friction(reynolds_number, relative_roughness, 1.0, "churchill_friction_factor");
    const T a = pow(T(-2.457) * log(pow(T(7.0) / reynolds_number, 0.9) + T(0.27) * relative_roughness), 16.0);
    const T b = pow(T(37530.0) / reynolds_number, 16.0);
    return BasicDarcyFactor<T>{T(8.0) * pow(pow(T(8.0) / reynolds_number, 12.0) + pow(a + b, -1.5), 1.0 / 12.0)};
}

/// Darcy friction factor of turbulent flow by Haaland's formula.
///
/// Equation: 1/sqrt f = -1.8 log10[(eps/(3.7 D))^1.11 + 6.9/Re]
/// Symbols:  as churchill_friction_factor
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 1.4 % of Colebrook's equation from Re 4000 to 1e6 and eps/D
///           to 0.01; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Haaland 1983, J. Fluids Eng. 105:89; test: airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> haaland_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::log10;
    using std::pow;
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit, "haaland_friction_factor");
    const T x = T(-1.8) * log10(pow(T(relative_roughness / T(3.7)), 1.11) + T(6.9) / reynolds_number);
    return BasicDarcyFactor<T>{T(1) / (x * x)};
}

/// Darcy friction factor of turbulent flow by Swamee and Jain's formula.
///
/// Equation: f = 0.25 / {log10[eps/(3.7 D) + 5.74/Re^0.9]}^2
/// Symbols:  as churchill_friction_factor
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 3.2 % of Colebrook's equation from Re 4000 to 1e6 and eps/D
///           to 0.01 (the authors state Re from 5000 and eps/D from 1e-6 to 0.01, from memory); throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Swamee and Jain 1976, J. Hydraulics Division ASCE 102:657; test: airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> swamee_jain_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::log10;
    using std::pow;
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit,
                           "swamee_jain_friction_factor");
    const T x = T(-2) * log10(relative_roughness / T(3.7) + T(5.74) / pow(reynolds_number, 0.9));
    return BasicDarcyFactor<T>{T(1) / (x * x)};
}

/// Darcy friction factor of turbulent flow by Serghides' formula: three passes through Colebrook's equation, and what
/// they tend to.
///
/// Equation: 1/sqrt f = A - (B - A)^2/(C - 2 B + A), A = -2 log10[e + 12/Re], B = -2 log10[e + 2.51 A/Re],
///           C = -2 log10[e + 2.51 B/Re], e = eps/(3.7 D)
/// Symbols:  as churchill_friction_factor
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 0.01 % of Colebrook's equation from Re 4000 to 1e6 and eps/D
///           to 0.01; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Serghides 1984, Chemical Engineering 91(5):63 (the first of its two formulas); test:
///         airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> serghides_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::log10;
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit, "serghides_friction_factor");
    const T e = relative_roughness / T(3.7);
    const T a = T(-2) * log10(e + T(12) / reynolds_number);
    const T b = T(-2) * log10(e + T(2.51) * a / reynolds_number);
    const T c = T(-2) * log10(e + T(2.51) * b / reynolds_number);
    const T bend = c - T(2) * b + a;
    // Where roughness alone decides, the passes agree to the last digit and nothing is left to correct.
    const T x = bend == T(0.0) ? a : a - (b - a) * (b - a) / bend;
    return BasicDarcyFactor<T>{T(1) / (x * x)};
}

/// Darcy friction factor of turbulent flow by the formula of older duct handbooks.
///
/// Equation: f = g if g >= 0.018, else 0.85 g + 0.0028; g = 0.11 (eps/D + 68/Re)^0.25
/// Symbols:  as churchill_friction_factor
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 9.5 % of Colebrook's equation from Re 4000 to 1e6 and eps/D
///           to 0.01, worst in smooth and in rough ducts; not quite continuous where the pieces meet (0.5 %); throws
///           outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Altshul, modified by Tsal (duct-design chapters of older handbooks, from memory); test:
///         airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> altshul_tsal_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::pow;
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit,
                           "altshul_tsal_friction_factor");
    const T g = T(0.11) * pow(T(relative_roughness + T(68) / reynolds_number), 0.25);
    if (g >= T(0.018)) return BasicDarcyFactor<T>{g};
    return BasicDarcyFactor<T>{T(0.85) * g + T(0.0028)};
}

}   // namespace filterflow
