// SPDX-License-Identifier: BSL-1.0
#pragma once

// Friction factors of straight ducts, all Darcy's (four times Fanning's): laminar, Colebrook to full precision,
// Churchill's single formula, and the blend that duct segments use. The blend works on G = f Re^2, which is the
// pressure drop without dimension: a line below Re = 2000, Colebrook above 4000, and between them the cubic that
// meets both in value and slope. G rises strictly with Re, so that a pressure drop belongs to one flow only.

#include <cmath>

#include <filterflow/core/checks.hpp>

namespace filterflow {

namespace detail {

inline constexpr double laminar_limit = 2000.0;     // Reynolds number where the blend begins
inline constexpr double turbulent_limit = 4000.0;   // and where it ends
inline constexpr double greatest_relative_roughness = 0.1;

/// X = 1/sqrt(f) over u = Re sqrt(f), in which Colebrook's equation is explicit, and its slope times u.
template <class T>
struct ColebrookPoint {
    T x;
    T slope_times_u;
};

template <class T>
ColebrookPoint<T> colebrook_point(const T& u, const T& relative_roughness) {
    using std::log;
    constexpr double c = 0.8685889638065036;   // 2 / ln 10
    const T w = T(2.51) / u;
    const T sum = relative_roughness / T(3.7) + w;
    return {T(-c) * log(sum), T(c) * w / sum};
}

/// u = Re sqrt(f) from u X(u) = Re: Newton in ln u, a fixed number of steps from Haaland's formula.
inline double colebrook_u(double reynolds_number, double relative_roughness) {
    const double inverse_root =
        -1.8 * std::log10(std::pow(relative_roughness / 3.7, 1.11) + 6.9 / reynolds_number);
    double u = reynolds_number / inverse_root;
    for (int step = 0; step < 3; ++step) {   // from 1.5 % to round-off
        const auto [x, slope_times_u] = colebrook_point(u, relative_roughness);
        u -= (u * x - reynolds_number) / (x + slope_times_u);
    }
    return u;
}

/// The same for dual numbers: solved in double, then one Newton step in T.
template <class T>
T colebrook_u(const T& reynolds_number, const T& relative_roughness) {
    const T u(colebrook_u(plain_value(reynolds_number), plain_value(relative_roughness)));
    const auto [x, slope_times_u] = colebrook_point(u, relative_roughness);
    return u - (u * x - reynolds_number) / (x + slope_times_u);
}

/// G = f Re^2 and dG/dRe.
template <class T>
struct FrictionPoint {
    T g;
    T slope;
};

template <class T>
FrictionPoint<T> turbulent_friction(const T& reynolds_number, const T& relative_roughness) {
    const T u = colebrook_u(reynolds_number, relative_roughness);
    const auto [x, slope_times_u] = colebrook_point(u, relative_roughness);
    return {u * u, T(2) * u / (x + slope_times_u)};
}

/// The blend between the limits: end values and slopes of a cubic in t = (Re - 2000) / 2000.
template <class T>
struct FrictionBlend {
    T c0, c1, c2, c3;
};

template <class T>
FrictionBlend<T> friction_blend(const T& relative_roughness) {
    const T width(turbulent_limit - laminar_limit);
    const T g0(64.0 * laminar_limit);
    const T s0 = T(64.0) * width;
    const FrictionPoint<T> end = turbulent_friction(T(turbulent_limit), relative_roughness);
    const T s1 = end.slope * width;
    const T rise = end.g - g0;
    return {g0, s0, T(3) * rise - T(2) * s0 - s1, s0 + s1 - T(2) * rise};
}

/// G and its slope over all Reynolds numbers >= 0; once continuously differentiable and strictly rising.
template <class T>
FrictionPoint<T> blended_friction(const T& reynolds_number, const T& relative_roughness) {
    const double re = plain_value(reynolds_number);
    if (re <= laminar_limit) return {T(64.0) * reynolds_number, T(64.0)};
    if (re >= turbulent_limit) return turbulent_friction(reynolds_number, relative_roughness);
    const FrictionBlend<T> b = friction_blend(relative_roughness);
    const T width(turbulent_limit - laminar_limit);
    const T t = (reynolds_number - T(laminar_limit)) / width;
    return {b.c0 + t * (b.c1 + t * (b.c2 + t * b.c3)), (b.c1 + t * (T(2) * b.c2 + t * T(3) * b.c3)) / width};
}

template <class T>
void check_friction(const T& reynolds_number, const T& relative_roughness, double least, double greatest,
                    const char* where) {
    require_between(where, "reynolds_number", reynolds_number, least, greatest, "-");
    require_between(where, "relative_roughness", relative_roughness, 0.0, greatest_relative_roughness, "-");
}

}   // namespace detail

/// Darcy friction factor of laminar flow in a round duct.
///
/// Equation: f = 64 / Re
/// Symbols:  f Darcy friction factor, Re Reynolds number on the diameter
/// Validity: 0 < Re <= 2300; throws outside
/// @param  reynolds_number  on the diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Hagen and Poiseuille, exact; test: airflow/friction_test.cpp
template <class T>
T laminar_friction_factor(const T& reynolds_number) {
    constexpr auto where = "laminar_friction_factor";
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    detail::require_between(where, "reynolds_number", reynolds_number, 0.0, 2300.0, "-");
    return T(64.0) / reynolds_number;
}

/// Darcy friction factor of turbulent flow, Colebrook's equation solved to round-off.
///
/// Equation: 1/sqrt f = -2 log10[eps/(3.7 D) + 2.51/(Re sqrt f)], solved as u X(u) = Re with u = Re sqrt f
/// Symbols:  f Darcy friction factor, eps roughness, D diameter, Re Reynolds number, X = 1/sqrt f
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Colebrook 1939, J. Inst. Civil Eng. 11:133; test: airflow/friction_test.cpp
template <class T>
T colebrook_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit, 1e9,
                           "colebrook_friction_factor");
    const T root = detail::colebrook_u(reynolds_number, relative_roughness) / reynolds_number;
    return root * root;
}

/// Darcy friction factor over laminar, transitional and turbulent flow by one explicit formula.
///
/// Equation: f = 8 [(8/Re)^12 + (A + B)^(-3/2)]^(1/12), A = {2.457 ln[1/((7/Re)^0.9 + 0.27 eps/D)]}^16,
///           B = (37530/Re)^16
/// Symbols:  as colebrook_friction_factor
/// Validity: 1 <= Re <= 1e9, 0 <= eps/D <= 0.1; within 3 % of Colebrook's equation from Re 4000 to 1e6 and eps/D to
///           0.01; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Churchill 1977, Chemical Engineering 84(24):91; test: airflow/friction_test.cpp
template <class T>
T churchill_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    using std::log;
    using std::pow;
    detail::check_friction(reynolds_number, relative_roughness, 1.0, 1e9, "churchill_friction_factor");
    const T a = pow(T(-2.457) * log(pow(T(7.0) / reynolds_number, 0.9) + T(0.27) * relative_roughness), 16.0);
    const T b = pow(T(37530.0) / reynolds_number, 16.0);
    return T(8.0) * pow(pow(T(8.0) / reynolds_number, 12.0) + pow(a + b, -1.5), 1.0 / 12.0);
}

/// Darcy friction factor that duct segments use: laminar, Colebrook, and a blend that keeps the pressure drop
/// strictly rising between them.
///
/// Equation: f = G / Re^2; G = 64 Re to Re = 2000, G = f_Colebrook Re^2 from Re = 4000, between them the cubic in
///           Re that meets both in value and slope
/// Symbols:  as colebrook_friction_factor
/// Validity: 0 < Re <= 1e9, 0 <= eps/D <= 0.1; throws outside. Between 2000 and 4000 real ducts scatter; the blend is
///           smooth, not measured
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source as laminar_friction_factor and colebrook_friction_factor; the blend is our own; test: airflow/friction_test.cpp
template <class T>
T darcy_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    constexpr auto where = "darcy_friction_factor";
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    detail::check_friction(reynolds_number, relative_roughness, 0.0, 1e9, where);
    return detail::blended_friction(reynolds_number, relative_roughness).g / (reynolds_number * reynolds_number);
}

}   // namespace filterflow
