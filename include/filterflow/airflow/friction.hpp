// SPDX-License-Identifier: BSL-1.0
#pragma once

// Friction factors of straight ducts: laminar, Colebrook to full precision, and the blend that duct segments use. The
// blend works on G = f Re^2 (f Darcy's), which is the pressure drop without dimension: a line below Re = 2000,
// Colebrook above 4000, and between them the cubic that meets both in value and slope. G rises strictly with Re, so
// that a pressure drop belongs to one flow only. Explicit formulas stand in friction_formulas.hpp, batches in
// friction_batch.hpp.

#include <cmath>

#include <filterflow/airflow/friction_factor.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

namespace detail {

inline constexpr double laminar_limit = 2000.0;     // Reynolds number where the blend begins
inline constexpr double turbulent_limit = 4000.0;   // and where it ends
inline constexpr double greatest_reynolds_number = 1e9;
inline constexpr double greatest_relative_roughness = 0.1;
inline constexpr double colebrook_factor = 0.8685889638065036;   // 2 / ln 10

/// X = 1/sqrt(f) of Colebrook's equation X + c ln s = 0, s = eps/(3.7 D) + 2.51 X / Re. The left side is nearly a
/// line in X, so that from one evaluation at a guess two steps of Halley's method reach round-off everywhere in
/// the range. `log` is a parameter for the sake of loops that are to vectorise.
template <class Log>
inline double colebrook_x(double reynolds_number, double relative_roughness, const Log& log) {
    constexpr double c = colebrook_factor;
    const double a = relative_roughness * (1.0 / 3.7);
    const double b = 2.51 / reynolds_number;
    double x = -c * log(a + b * 6.0);   // 2 to 4 % off at the worst
    for (int step = 0; step < 2; ++step) {
        const double s = a + b * x;
        const double f = x + c * log(s);
        const double slope = s + c * b;   // times 1/s
        x -= 2.0 * f * slope * s / (2.0 * slope * slope + f * c * b * b);
    }
    return x;
}
template <Deferred...>
inline double colebrook_x(double reynolds_number, double relative_roughness) {
    return colebrook_x(reynolds_number, relative_roughness, [](double s) { return std::log(s); });
}

/// The same for dual numbers: solved in double, then one Newton step in T.
template <class T>
T colebrook_x(const T& reynolds_number, const T& relative_roughness) {
    using std::log;
    const T x(colebrook_x(plain_value(reynolds_number), plain_value(relative_roughness)));
    const T b = T(2.51) / reynolds_number;
    const T s = relative_roughness / T(3.7) + b * x;
    return x - (x + T(colebrook_factor) * log(s)) * s / (s + T(colebrook_factor) * b);
}

/// G = f Re^2 and dG/dRe.
template <class T>
struct FrictionPoint {
    T g;
    T slope;
};

/// From X where it is known.
template <class T>
FrictionPoint<T> turbulent_friction(const T& reynolds_number, const T& relative_roughness, const T& x) {
    const T u = reynolds_number / x;   // Re sqrt f, in which the equation is explicit: Re = u X(u)
    const T w = T(2.51) / u;
    return {u * u, T(2) * u / (x + T(colebrook_factor) * w / (relative_roughness / T(3.7) + w))};
}
template <class T>
FrictionPoint<T> turbulent_friction(const T& reynolds_number, const T& relative_roughness) {
    return turbulent_friction(reynolds_number, relative_roughness, colebrook_x(reynolds_number, relative_roughness));
}

/// The blend between the limits: end values and slopes of a cubic in t = (Re - 2000) / 2000.
template <class T>
struct FrictionBlend {
    T c0, c1, c2, c3;
};

/// `end` is the turbulent side's point at Re = 4000.
template <class T>
FrictionBlend<T> friction_blend(const FrictionPoint<T>& end) {
    const T width(turbulent_limit - laminar_limit);
    const T g0(64.0 * laminar_limit);
    const T s0 = T(64.0) * width;
    const T s1 = end.slope * width;
    const T rise = end.g - g0;
    return {g0, s0, T(3) * rise - T(2) * s0 - s1, s0 + s1 - T(2) * rise};
}

template <class T>
FrictionPoint<T> transitional_friction(const T& reynolds_number, const FrictionPoint<T>& end) {
    const FrictionBlend<T> b = friction_blend(end);
    const T width(turbulent_limit - laminar_limit);
    const T t = (reynolds_number - T(laminar_limit)) / width;
    return {b.c0 + t * (b.c1 + t * (b.c2 + t * b.c3)), (b.c1 + t * (T(2) * b.c2 + t * T(3) * b.c3)) / width};
}

/// G and its slope over all Reynolds numbers >= 0; once continuously differentiable and strictly rising.
template <class T>
FrictionPoint<T> blended_friction(const T& reynolds_number, const T& relative_roughness) {
    const double re = plain_value(reynolds_number);
    if (re <= laminar_limit) return {T(64.0) * reynolds_number, T(64.0)};
    if (re >= turbulent_limit) return turbulent_friction(reynolds_number, relative_roughness);
    return transitional_friction(reynolds_number, turbulent_friction(T(turbulent_limit), relative_roughness));
}

template <class T>
void check_friction(const T& reynolds_number, const T& relative_roughness, double least, const char* where) {
    require_between(where, "reynolds_number", reynolds_number, least, greatest_reynolds_number, "-");
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
BasicDarcyFactor<T> laminar_friction_factor(const T& reynolds_number) {
    constexpr auto where = "laminar_friction_factor";
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    detail::require_between(where, "reynolds_number", reynolds_number, 0.0, 2300.0, "-");
    return BasicDarcyFactor<T>{T(64.0) / reynolds_number};
}

/// Darcy friction factor of turbulent flow, Colebrook's equation solved to round-off.
///
/// Equation: 1/sqrt f = -2 log10[eps/(3.7 D) + 2.51/(Re sqrt f)], solved for 1/sqrt f by a fixed number of steps of
///           Halley's method
/// Symbols:  f Darcy friction factor, eps roughness, D diameter, Re Reynolds number
/// Validity: 4000 <= Re <= 1e9, 0 <= eps/D <= 0.1; throws outside
/// @param  reynolds_number  on the (hydraulic) diameter [-]
/// @param  relative_roughness  roughness over (hydraulic) diameter [-]
/// @return Darcy friction factor [-]
/// @throws DomainError outside the range
/// @source Colebrook 1939, J. Inst. Civil Eng. 11:133; test: airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> colebrook_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    detail::check_friction(reynolds_number, relative_roughness, detail::turbulent_limit,
                           "colebrook_friction_factor");
    const T x = detail::colebrook_x(reynolds_number, relative_roughness);
    return BasicDarcyFactor<T>{T(1) / (x * x)};
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
/// @source as laminar_friction_factor and colebrook_friction_factor; the blend is our own; test:
///         airflow/friction_test.cpp
template <class T>
BasicDarcyFactor<T> darcy_friction_factor(const T& reynolds_number, const T& relative_roughness) {
    constexpr auto where = "darcy_friction_factor";
    detail::require_positive(where, "reynolds_number", reynolds_number, "-");
    detail::check_friction(reynolds_number, relative_roughness, 0.0, where);
    if (reynolds_number <= T(detail::laminar_limit)) return BasicDarcyFactor<T>{T(64.0) / reynolds_number};
    return BasicDarcyFactor<T>{detail::blended_friction(reynolds_number, relative_roughness).g /
                               (reynolds_number * reynolds_number)};
}

}   // namespace filterflow
