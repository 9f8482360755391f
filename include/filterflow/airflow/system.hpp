// SPDX-License-Identifier: BSL-1.0
#pragma once

// Everything a fan works against, in series: a constant pressure, parts known by a point and an exponent, filter
// elements, filter elements with a gap around them, and duct segments. Each part keeps the air it was stated for
// and is evaluated in the air at hand.

#include <cmath>
#include <limits>
#include <type_traits>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// A part known by one point and an exponent: dp = p0 (Q/Q0)^n in its stated air.
template <class T>
struct BasicPowerLawPart {
    BasicPressure<T> reference_pressure{};   ///< p0, >= 0
    BasicVolumeFlow<T> reference_flow{};     ///< Q0, > 0
    T exponent{2.0};                         ///< n, 1 (viscous) to 3; 2 for fully turbulent flow
    AirState stated_air{};                   ///< air in which the point was found
};
using PowerLawPart = BasicPowerLawPart<double>;

/// The resistance a fan meets: the sum of its parts.
template <class T>
struct BasicSystemCurve {
    BasicPressure<T> constant_pressure{};                       ///< at any flow, of either sign: a pressurised space
    std::vector<BasicPowerLawPart<T>> power_laws{};             ///< coils, grilles, ducts known by a design point
    std::vector<BasicElementCurve<T>> elements{};               ///< filters without bypass
    std::vector<BasicBypassedElement<T>> bypassed_elements{};   ///< filters with a gap around them
    std::vector<BasicDuctSegment<T>> ducts{};                   ///< friction and fittings
};
using SystemCurve = BasicSystemCurve<double>;

/// A system's design point.
template <class T>
struct BasicDesignPoint {
    BasicVolumeFlow<T> flow{};   ///< > 0
    BasicPressure<T> pressure{}; ///< >= 0, of the kind that the fan table states
    T exponent{2.0};             ///< 1 to 3; ducts with filters and coils lie between 1.5 and 2
    AirState air{};              ///< air of the design point
};
using DesignPoint = BasicDesignPoint<double>;

namespace detail {

/// p0 / Q0^n in the air at hand. Dimensions alone tell how a power law scales: dp ~ rho^(n-1) mu^(2-n).
template <class T>
T power_law_factor(const BasicPowerLawPart<T>& part, const BasicAirState<T>& air) {
    using std::pow;
    const T density = air.density.value() / T(part.stated_air.density.value());
    if (part.exponent == T(2.0)) return density;
    const T viscosity = air.viscosity.value() / T(part.stated_air.viscosity.value());
    if (part.exponent == T(1.0)) return viscosity;
    if constexpr (std::is_same_v<T, double>) {
        if (density == 1.0 && viscosity == 1.0) return 1.0;   // stated for the air at hand
    }
    return pow(density, part.exponent - T(1.0)) * pow(viscosity, T(2.0) - part.exponent);
}

/// The same part stated for another air: there its factor is one, so that it is worked out once and not at each flow.
template <Deferred...>
inline PowerLawPart stated_in(PowerLawPart part, const AirState& air) {
    part.reference_pressure = part.reference_pressure * power_law_factor(part, air);
    part.stated_air = air;
    return part;
}

/// (Q/Q0)^n; a dual exponent keeps its derivative.
template <class T>
T power_law_shape(const BasicPowerLawPart<T>& part, const T& flow) {
    using std::pow;
    return pow(T(flow / part.reference_flow.value()), part.exponent);
}
inline double power_law_shape(const PowerLawPart& part, const double& flow) {
    const double x = flow / part.reference_flow.value();
    if (part.exponent == 2.0) return x * x;
    if (part.exponent == 1.0) return x;
    return std::pow(x, part.exponent);
}

template <class T>
T part_pressure_drop(const BasicPowerLawPart<T>& part, const T& flow, const BasicAirState<T>& air) {
    return part.reference_pressure.value() * power_law_factor(part, air) * power_law_shape(part, flow);
}

template <class T>
T part_pressure_drop(const BasicElementCurve<T>& part, const T& flow, const BasicAirState<T>& air) {
    return element_pressure_drop(element_coefficients(part, air), flow);
}

template <class T>
T part_pressure_drop(const BasicBypassedElement<T>& part, const T& flow, const BasicAirState<T>& air) {
    const auto c = element_coefficients(part.element, air);
    const T q = flow_through_element(c, gap_conductance(part, T(air.density.value())), flow);
    return (c.linear + c.quadratic * q) * q;
}

template <class T>
T part_pressure_drop(const BasicDuctSegment<T>& part, const T& flow, const BasicAirState<T>& air) {
    return duct_pressure_drop(duct_coefficients(part, air.density.value(), air.viscosity.value()), flow);
}

/// Pressure drop of a system [Pa] at a flow >= 0, no checks.
template <class T>
T system_pressure_drop(const BasicSystemCurve<T>& system, const T& flow, const BasicAirState<T>& air) {
    T sum = system.constant_pressure.value();
    for (const auto& part : system.power_laws) sum += part_pressure_drop(part, flow, air);
    for (const auto& part : system.elements) sum += part_pressure_drop(part, flow, air);
    for (const auto& part : system.bypassed_elements) sum += part_pressure_drop(part, flow, air);
    for (const auto& part : system.ducts) sum += part_pressure_drop(part, flow, air);
    return sum;
}

template <class T>
void check(const BasicPowerLawPart<T>& part, const char* where) {
    require_non_negative(where, "part reference_pressure", part.reference_pressure.value(), "Pa");
    require_positive(where, "part reference_flow", part.reference_flow.value(), "m3/s");
    require_between(where, "part exponent", part.exponent, 1.0, 3.0, "-");
    check_air(part.stated_air, where);
}

// Every check of the parts that fast solves consist of, as one cheap question. Only where the answer is no are the
// checks made one by one, to say which failed.
inline bool is_number_from_zero(double x) { return x >= 0.0 && x <= std::numeric_limits<double>::max(); }

template <class T>
bool is_valid(const BasicPowerLawPart<T>& part) {
    const double n = plain_value(part.exponent);
    return is_number_from_zero(plain_value(part.reference_pressure.value())) &&
           is_positive_number(plain_value(part.reference_flow.value())) && n >= 1.0 && n <= 3.0 &&
           is_valid(part.stated_air);
}
template <class T>
bool is_valid(const BasicElementCurve<T>& part) {
    return is_number_from_zero(plain_value(part.linear.value())) &&
           is_number_from_zero(plain_value(part.quadratic.value())) && is_valid(part.stated_air);
}

template <class T>
void check(const BasicSystemCurve<T>& system, const BasicAirState<T>& air, const char* where) {
    check_air(air, where);
    require_finite(where, "constant_pressure", system.constant_pressure.value(), "Pa");
    for (const auto& part : system.power_laws) {
        if (!is_valid(part)) check(part, where);
    }
    for (const auto& part : system.elements) {
        if (!is_valid(part)) check(part, where);
    }
    for (const auto& part : system.bypassed_elements) check(part, where);
    for (const auto& part : system.ducts) check(part, where);
}

}   // namespace detail

/// Pressure drop of a system.
///
/// Equation: dp = p_c + sum p0 (Q/Q0)^n (rho/rho0)^(n-1) (mu/mu0)^(2-n) + sum (r mu/mu0 Q + s rho/rho0 Q^2)
///           + elements with bypass + ducts
/// Symbols:  p_c constant pressure, p0, Q0, n a part's point and exponent, r, s an element's resistances, rho density,
///           mu viscosity, 0 the air a part was stated for
/// Validity: as its parts; flows >= 0
/// @param  system  sum of parts
/// @param  flow  volume flow [m3/s], >= 0
/// @param  air  air in the system
/// @return pressure drop [Pa]
/// @throws DomainError if a part or the air is not valid, the flow is negative, or the result is not finite
/// @source each part's own; scaling with air from dimensional analysis; test: airflow/system_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicSystemCurve<T>& system, BasicVolumeFlow<T> flow,
                               const BasicAirState<T>& air) {
    constexpr auto where = "pressure_drop(SystemCurve)";
    detail::check(system, air, where);
    detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    return BasicPressure<T>::from_value(
        detail::require_finite(where, "result", detail::system_pressure_drop(system, T(flow.value()), air), "Pa"));
}
template <Deferred...>
inline Pressure pressure_drop(const SystemCurve& system, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(system, flow, air);
}

/// A system known by its design point alone.
///
/// Equation: dp = p (Q/Q_d)^n
/// Symbols:  Q_d, p design point, n exponent
/// Validity: near the design point; far below it the exponent of real ducts drifts
/// @param  design  flow, pressure, exponent and the air they hold for
/// @return the system, of one part
/// @throws DomainError if the flow is not > 0, the pressure is negative, the exponent lies outside 1 to 3 or the air is
///         not valid
/// @source common practice; test: airflow/system_test.cpp
template <class T>
BasicSystemCurve<T> system_from_design_point(const BasicDesignPoint<T>& design) {
    BasicPowerLawPart<T> part{design.pressure, design.flow, design.exponent, design.air};
    detail::check(part, "system_from_design_point");
    BasicSystemCurve<T> system;
    system.power_laws.push_back(part);
    return system;
}
template <Deferred...>
inline SystemCurve system_from_design_point(const DesignPoint& design) {
    return system_from_design_point<double>(design);
}

namespace detail {
template <class T>
void append(BasicSystemCurve<T>& s, const BasicPowerLawPart<T>& part) {
    s.power_laws.push_back(part);
}
template <class T> void append(BasicSystemCurve<T>& s, const BasicElementCurve<T>& part) { s.elements.push_back(part); }
template <class T> void append(BasicSystemCurve<T>& s, const BasicBypassedElement<T>& part) {
    s.bypassed_elements.push_back(part);
}
template <class T> void append(BasicSystemCurve<T>& s, const BasicDuctSegment<T>& part) { s.ducts.push_back(part); }
/// A fitting is a duct of its area without length.
template <class T> void append(BasicSystemCurve<T>& s, const BasicFitting<T>& part) {
    using std::sqrt;
    check(part, "in_series(Fitting)");
    BasicDuctSegment<T> duct;
    duct.diameter = BasicLength<T>::from_value(sqrt(T(part.area.value() / T(quarter_pi))));
    duct.roughness = BasicLength<T>::from_value(T(0.0));
    duct.loss_coefficient = part.loss_coefficient;
    s.ducts.push_back(duct);
}
template <class T> void append(BasicSystemCurve<T>& s, const BasicSystemCurve<T>& other) {
    s.constant_pressure += other.constant_pressure;
    for (const auto& part : other.power_laws) s.power_laws.push_back(part);
    for (const auto& part : other.elements) s.elements.push_back(part);
    for (const auto& part : other.bypassed_elements) s.bypassed_elements.push_back(part);
    for (const auto& part : other.ducts) s.ducts.push_back(part);
}
}   // namespace detail

/// A system with further parts behind it: their pressure drops add at one flow.
///
/// Equation: dp = dp_system + sum dp_part
/// Symbols:  dp pressure drops at the same volume flow
/// Validity: series connection; density the same along it
/// @param  system  what is there already
/// @param  parts  element curves, elements with bypass, power-law parts, duct segments, fittings or whole systems
/// @return the system with the parts added
/// @throws DomainError for a fitting without area; the other parts are checked when the system is evaluated
/// @source definition of a series connection; test: airflow/system_test.cpp
template <class T, class... Parts>
BasicSystemCurve<T> in_series(BasicSystemCurve<T> system, const Parts&... parts) {
    (detail::append(system, parts), ...);
    return system;
}

}   // namespace filterflow
