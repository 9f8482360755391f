// SPDX-License-Identifier: BSL-1.0
#pragma once

// The flow through a flow element from its differential pressure: discharge coefficient and Reynolds number are
// solved together, the limits of the standard that are crossed come back in words.

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/stand/discharge_coefficient.hpp>
#include <filterflow/stand/flow_element_limits.hpp>

namespace filterflow {

/// An orifice plate, nozzle or Venturi tube as built. Copies are the same element and share the error of its
/// coefficient.
struct FlowElement {
    FlowElementKind kind{};                            ///< which coefficient and which limits hold
    std::optional<Uncertain<Length>> pipe_diameter{};    ///< inner, upstream; none: draws from a room or chamber
    Uncertain<Length> throat_diameter{};                 ///< smallest, > 0
    std::optional<Uncertain<double>> stated_coefficient{};   ///< instead of the law; needed for a stated nozzle
    std::optional<Length> straight_upstream{};           ///< straight pipe before it, if known
    std::optional<Length> straight_downstream{};         ///< straight pipe behind it, if known
    double isentropic_exponent = 1.4;                  ///< of the gas
    InputHandle coefficient_input = elementary_input("discharge coefficient", 1.0);   ///< the law's error, in
                                                       ///< units of its standard uncertainty; shared by all readings
};

/// A flow found by a flow element.
struct ElementFlow {
    Uncertain<VolumeFlow> flow;           ///< in the air at the upstream tap
    double discharge_coefficient = 0.0;   ///< solved, or as stated
    double expansibility = 1.0;           ///< of the gas
    double reynolds_number = 0.0;         ///< of the pipe; of the throat if there is no pipe or a chamber nozzle
    std::vector<std::string> flags;       ///< crossed limits of the standard, with value and limit
};

/// What a mass flow through a flow element is computed from.
template <class T>
struct BasicElementDifferential {
    BasicFlowElementBore<T> bore{};                 ///< kind and diameters
    BasicPressure<T> differential_pressure{};       ///< between its taps, > 0
    T coefficient_factor{1.0};                      ///< on the law's coefficient; where stated, the coefficient
    bool coefficient_is_stated = false;             ///< the factor is the whole coefficient, no law holds
    double isentropic_exponent = 1.4;               ///< of the gas
};
using ElementDifferential = BasicElementDifferential<double>;

namespace detail {

/// The diameter of the Reynolds number that the kind's law is written with.
template <class T>
T reynolds_diameter(const BasicFlowElementBore<T>& bore) {
    return bore.pipe_diameter && needs_pipe(bore.kind) ? bore.pipe_diameter->value() : bore.throat_diameter.value();
}

template <class T>
T element_volume_flow(const BasicElementDifferential<T>& reading, const BasicAirState<T>& air, const char* where) {
    using std::sqrt;
    constexpr double pi = 3.141592653589793;
    const T beta = checked_diameter_ratio(reading.bore, where);
    const T dp = reading.differential_pressure.value();
    const T throat = reading.bore.throat_diameter.value();
    const T density = air.density.value();
    const T tau = T(1.0) - dp / air.pressure.value();
    const T eps = expansibility(BasicElementExpansion<T>{reading.bore.kind, beta, tau, reading.isentropic_exponent});
    // Mass flow = coefficient * ideal; Reynolds number = coefficient * ideal_reynolds.
    const T ideal = eps * T(pi / 4.0) * throat * throat * sqrt(T(2.0) * dp * density) /
                    sqrt(T(1.0) - beta * beta * beta * beta);
    const T ideal_reynolds = T(4.0 / pi) * ideal / (air.viscosity.value() * reynolds_diameter(reading.bore));
    const T pipe = reading.bore.pipe_diameter ? reading.bore.pipe_diameter->value() : T(0.0);
    const FlowElementKind kind = reading.bore.kind;
    // Solved in double for the coefficient; the law's slope comes from a one-input dual.
    const double reynolds_0 = plain_value(ideal_reynolds);
    const double factor_0 = plain_value(reading.coefficient_factor);
    if (reading.coefficient_is_stated) return reading.coefficient_factor * ideal / density;
    const auto balance = [&](double c) {
        const Dual<1> by_law = coefficient_by_law<Dual<1>>(kind, Dual<1>(plain_value(pipe)), Dual<1>(plain_value(beta)),
                                                           Dual<1>::input(c * reynolds_0, 0));
        return std::pair(c - factor_0 * by_law.value, 1.0 - factor_0 * by_law.derivative[0] * reynolds_0);
    };
    constexpr double lowest = 0.3;
    constexpr double highest = 1.4;
    if (!(balance(lowest).first < 0.0 && balance(highest).first > 0.0)) {
        throw_domain_error(where, "Reynolds number at a coefficient of one", reynolds_0, "-",
                           "high enough for the coefficient's law to give between 0.3 and 1.4; differential pressure "
                           "too small for this element, or a factor far from one");
    }
    const Root root = find_root(balance, lowest, highest);
    // One Newton step in T carries the derivatives (implicit function theorem).
    const T c = T(root.location);
    const T residual = c - reading.coefficient_factor * coefficient_by_law<T>(kind, pipe, beta, c * ideal_reynolds);
    const T solved = c - residual / T(balance(root.location).second);
    return solved * ideal / density;
}

template <class T>
void check(const BasicElementDifferential<T>& reading, const BasicAirState<T>& air, const char* where) {
    require_positive(where, "air pressure", air.pressure.value(), "Pa");
    require_positive(where, "air density", air.density.value(), "kg/m3");
    require_positive(where, "air viscosity", air.viscosity.value(), "Pa s");
    require_positive(where, "differential_pressure", reading.differential_pressure.value(), "Pa");
    require_positive(where, "coefficient_factor", reading.coefficient_factor, "-");
    if (reading.bore.kind == FlowElementKind::stated_nozzle && !reading.coefficient_is_stated) {
        throw DomainError(std::string(where) + ": the coefficient is not stated; required: the discharge coefficient "
                                               "of a stated nozzle");
    }
}

}   // namespace detail

/// Volume flow through a flow element, in the air at its upstream tap.
///
/// Equation: Q = C(Re) eps (pi/4) d^2 sqrt(2 dp/rho)/sqrt(1 - beta^4), Re = 4 rho Q/(pi mu D)
/// Symbols:  C discharge coefficient times its factor, eps expansibility, d throat and D pipe diameter, beta = d/D
///           (0 without a pipe), dp differential pressure, rho density, mu viscosity; Re takes d for a chamber
///           nozzle and where there is no pipe
/// Validity: as discharge_coefficient and expansibility; a coefficient between 0.3 and 1.4
/// @param  reading  bore, differential pressure > 0 [Pa], factor on the coefficient > 0 [-]
/// @param  air  air at the upstream tap, its absolute pressure included
/// @return volume flow [m3/s]
/// @throws DomainError for a non-physical bore, pressure or factor, a choked element, or a Reynolds number too low
///         for the law
/// @source ISO 5167-1:2003, 3.4 and 5; test: stand/flow_element_test.cpp
template <class T>
BasicVolumeFlow<T> volume_flow(const BasicElementDifferential<T>& reading, const BasicAirState<T>& air) {
    constexpr auto where = "volume_flow(ElementDifferential)";
    detail::check(reading, air, where);
    return BasicVolumeFlow<T>::from_value(
        detail::require_finite(where, "result", detail::element_volume_flow(reading, air, where), "m3/s"));
}
template <Deferred...>
inline VolumeFlow volume_flow(const ElementDifferential& reading, const AirState& air) {
    return volume_flow<double>(reading, air);
}

/// Volume flow from a reading of a flow element's differential pressure, with its uncertainty and with the limits
/// of the standard that it crosses.
///
/// Equation: as volume_flow(ElementDifferential); inputs of the uncertainty are the reading, the two diameters and
///           the coefficient (stated, or the law times one plus its relative uncertainty times one shared input)
/// Symbols:  as volume_flow(ElementDifferential)
/// Validity: outside its standard's limits an element is flagged, not refused. The uncertainty of the expansibility
///           (below 0.02 % at fan pressures) and of the air's density are not carried
/// @param  element  flow element as built
/// @param  differential_pressure  between its taps [Pa], > 0
/// @param  air  air at the upstream tap
/// @return flow, coefficient, expansibility, Reynolds number and flags
/// @throws DomainError for non-physical input, or a stated nozzle without a coefficient
/// @source ISO 5167-1:2003, 5 and 8 (uncertainty); test: stand/flow_element_test.cpp
template <Deferred...>
inline ElementFlow element_flow(const FlowElement& element, const Uncertain<Pressure>& differential_pressure,
                                const AirState& air) {
    constexpr auto where = "element_flow";
    FlowElementBore bore{element.kind, std::nullopt, element.throat_diameter.value};
    if (element.pipe_diameter) bore.pipe_diameter = element.pipe_diameter->value;
    const bool stated = element.stated_coefficient.has_value();
    const ElementDifferential differential{.bore = bore,
                                           .differential_pressure = differential_pressure.value,
                                           .coefficient_is_stated = stated,
                                           .isentropic_exponent = element.isentropic_exponent};
    detail::check(differential, air, where);
    const double beta = detail::checked_diameter_ratio(bore, where);
    ElementFlow result;
    const double tau = 1.0 - differential_pressure.value.value() / air.pressure.value();
    result.expansibility = expansibility(ElementExpansion{element.kind, beta, tau, element.isentropic_exponent});
    const double reynolds_per_flow = 4.0 * air.density.value() /
                                     (3.141592653589793 * air.viscosity.value() * detail::reynolds_diameter(bore));
    Uncertain<double> factor(1.0);
    if (stated) {
        factor = *element.stated_coefficient;
        detail::require_between(where, "stated_coefficient", factor.value, 0.3, 1.4, "-");
    } else {
        const double re = reynolds_per_flow * volume_flow(differential, air).value();
        factor.gradient.add(Gradient(element.coefficient_input), relative_coefficient_uncertainty(bore, re));
    }
    const Uncertain<Length> pipe = element.pipe_diameter.value_or(Uncertain<Length>());
    const auto stage = [&](const std::array<Dual<4>, 4>& x) {
        BasicElementDifferential<Dual<4>> r;
        r.bore.kind = element.kind;
        if (element.pipe_diameter) r.bore.pipe_diameter = BasicLength<Dual<4>>::from_value(x[2]);
        r.bore.throat_diameter = BasicLength<Dual<4>>::from_value(x[1]);
        r.differential_pressure = BasicPressure<Dual<4>>::from_value(x[0]);
        r.coefficient_factor = x[3];
        r.coefficient_is_stated = stated;
        r.isentropic_exponent = element.isentropic_exponent;
        return std::array<Dual<4>, 1>{detail::element_volume_flow(r, air_as<Dual<4>>(air), where)};
    };
    const auto flow = propagate(stage, std::array{to_si(differential_pressure), to_si(element.throat_diameter),
                                                  to_si(pipe), factor});
    result.flow = from_si<VolumeFlow>(flow[0]);
    result.reynolds_number = reynolds_per_flow * result.flow.value.value();
    result.discharge_coefficient = stated ? factor.value : discharge_coefficient(bore, result.reynolds_number);
    FlowElementBore judged = bore;
    if (stated) judged.kind = FlowElementKind::stated_nozzle;   // a calibration is bound to no standard's range
    result.flags = flow_element_flags(judged, {result.reynolds_number, tau, element.straight_upstream,
                                               element.straight_downstream});
    return result;
}

}   // namespace filterflow
