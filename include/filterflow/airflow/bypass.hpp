// SPDX-License-Identifier: BSL-1.0
#pragma once

// A filter element with a gap around it: the gap is an orifice in parallel, so the two share one pressure drop and
// split the flow. The split has a closed form, exact from no gap to a gap that takes nearly everything.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow {

/// An element in a frame that leaks.
template <class T>
struct BasicBypassedElement {
    BasicElementCurve<T> element;       ///< the filter, or stages in series behind one frame
    BasicArea<T> gap_area{};            ///< of all gaps past the element, >= 0
    T discharge_coefficient{0.6};       ///< of the gap as a sharp-edged slot, > 0 and <= 1
};
using BypassedElement = BasicBypassedElement<double>;

/// How a flow divides between an element and the gap around it.
template <class T>
struct BasicFlowSplit {
    BasicVolumeFlow<T> through_element;   ///< filtered
    BasicVolumeFlow<T> through_gap;       ///< past the element
    BasicPressure<T> drop;                ///< shared by both
};
using FlowSplit = BasicFlowSplit<double>;

namespace detail {

/// k in Q_gap = k sqrt(dp): Cd A sqrt(2 / rho).
template <class T>
T gap_conductance(const BasicBypassedElement<T>& part, const T& density) {
    using std::sqrt;
    return part.discharge_coefficient * part.gap_area.value() * sqrt(T(2) / density);
}

/// Twice the flow through the gap per unit flow through the element, times the total flow: the positive root of
/// r q + s q^2 = [(Q - q)/k]^2 is q = 2 Q^2/(2 Q + x), which loses no digits as k -> 0 (no gap) or s k^2 -> 1.
template <class T>
T gap_term(const ElementCoefficients<T>& c, const T& k, const T& flow) {
    using std::sqrt;
    const T rk = c.linear * k;
    return k * (rk + sqrt(rk * rk + T(4) * flow * (c.linear + c.quadratic * flow)));
}
template <class T>
T flow_through_element(const ElementCoefficients<T>& c, const T& k, const T& flow) {
    if (!(flow > T(0.0))) return T(0.0);
    return T(2) * flow * flow / (T(2) * flow + gap_term(c, k, flow));
}
template <class T>
T flow_through_gap(const ElementCoefficients<T>& c, const T& k, const T& flow) {
    if (!(flow > T(0.0))) return T(0.0);
    const T x = gap_term(c, k, flow);
    return flow * x / (T(2) * flow + x);
}

template <class T>
void check(const BasicElementCurve<T>& element, const char* where) {
    require_non_negative(where, "part of the resistance in proportion to flow", element.linear.value(), "Pa s/m3");
    require_non_negative(where, "part of the resistance with the square of flow", element.quadratic.value(),
                         "Pa s2/m6");
    check_air(element.stated_air, where);
}

template <class T>
void check(const BasicBypassedElement<T>& part, const char* where) {
    check(part.element, where);
    require_non_negative(where, "gap_area", part.gap_area.value(), "m2");
    require_positive(where, "discharge_coefficient", part.discharge_coefficient, "-");
    require_between(where, "discharge_coefficient", part.discharge_coefficient, 0.0, 1.0, "-");
    if (!(part.element.linear.value() > T(0.0)) && !(part.element.quadratic.value() > T(0.0))) {
        throw_domain_error(where, "element resistance", 0.0, "Pa s/m3", "> 0, or the split is not determined");
    }
}

}   // namespace detail

/// How a flow divides between an element and the gap around it.
///
/// Equation: r q + s q^2 = rho/2 [(Q - q)/(Cd A)]^2 = dp
/// Symbols:  q flow through the element, Q total flow, r, s element's resistances in the air at hand, Cd discharge
///           coefficient, A gap area, rho density, dp shared pressure drop
/// Validity: the gap is short and its Reynolds number high enough for a constant coefficient; a long narrow slot lets
///           less through, so the figure is an upper bound there
/// @param  part  element, gap area and discharge coefficient
/// @param  flow  total volume flow [m3/s], >= 0
/// @param  air  air at the element
/// @return flows through element and gap and their pressure drop
/// @throws DomainError if an argument is out of its range or the element has no resistance
/// @source orifice equation with common practice's coefficient 0.6; closed form of the quadratic; test:
///         airflow/bypass_test.cpp
template <class T>
BasicFlowSplit<T> flow_split(const BasicBypassedElement<T>& part, BasicVolumeFlow<T> flow,
                             const BasicAirState<T>& air) {
    constexpr auto where = "flow_split(BypassedElement)";
    detail::check(part, where);
    detail::check_air(air, where);
    const T total = detail::require_non_negative(where, "flow", flow.value(), "m3/s");
    const auto c = detail::element_coefficients(part.element, air);
    const T k = detail::gap_conductance(part, T(air.density.value()));
    const T q = detail::flow_through_element(c, k, total);
    return {BasicVolumeFlow<T>::from_value(q), BasicVolumeFlow<T>::from_value(detail::flow_through_gap(c, k, total)),
            BasicPressure<T>::from_value(
                detail::require_finite(where, "drop", T((c.linear + c.quadratic * q) * q), "Pa"))};
}
template <Deferred...>
inline FlowSplit flow_split(const BypassedElement& part, VolumeFlow flow, const AirState& air) {
    return flow_split<double>(part, flow, air);
}

/// Pressure drop of an element with a gap around it.
///
/// Equation: as flow_split
/// Symbols:  as flow_split
/// Validity: as flow_split
/// @param  part  element, gap area and discharge coefficient
/// @param  flow  total volume flow [m3/s], >= 0
/// @param  air  air at the element
/// @return pressure drop [Pa]
/// @throws DomainError as flow_split
/// @source as flow_split; test: airflow/bypass_test.cpp
template <class T>
BasicPressure<T> pressure_drop(const BasicBypassedElement<T>& part, BasicVolumeFlow<T> flow,
                               const BasicAirState<T>& air) {
    return flow_split<T>(part, flow, air).drop;
}
template <Deferred...>
inline Pressure pressure_drop(const BypassedElement& part, VolumeFlow flow, const AirState& air) {
    return pressure_drop<double>(part, flow, air);
}

}   // namespace filterflow
