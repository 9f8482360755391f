// SPDX-License-Identifier: BSL-1.0
#pragma once

// The chosen operating point with its derivatives to whatever is uncertain about fan, system and air: solved in
// double, then one Newton step in the dual number (implicit function theorem).

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

/// Flow, pressure and power of an operating point, with derivatives where T is a dual number.
template <class T>
struct BasicOperatingState {
    BasicVolumeFlow<T> flow;               ///< at the fan
    BasicPressure<T> pressure;             ///< of the fan table's kind
    std::optional<BasicPower<T>> power;    ///< as the fan table states it; empty if it has none
};
using OperatingState = BasicOperatingState<double>;

namespace detail {

/// A generic system or air at its values.
inline const SystemCurve& plain_system(const SystemCurve& system) { return system; }
template <class T>
SystemCurve plain_system(const BasicSystemCurve<T>& s) {
    const auto plain = []<class Q>(const Q& q) { return plain_value(q.value()); };
    const auto element = [&](const BasicElementCurve<T>& e) {
        return ElementCurve{LinearResistance::from_value(plain(e.linear)),
                            QuadraticResistance::from_value(plain(e.quadratic)), e.stated_air};
    };
    SystemCurve p;
    p.constant_pressure = Pressure::from_value(plain(s.constant_pressure));
    for (const auto& x : s.power_laws) {
        p.power_laws.push_back({Pressure::from_value(plain(x.reference_pressure)),
                                VolumeFlow::from_value(plain(x.reference_flow)), plain_value(x.exponent),
                                x.stated_air});
    }
    for (const auto& x : s.elements) p.elements.push_back(element(x));
    for (const auto& x : s.bypassed_elements) {
        p.bypassed_elements.push_back(
            {element(x.element), Area::from_value(plain(x.gap_area)), plain_value(x.discharge_coefficient)});
    }
    for (const auto& x : s.ducts) {
        const auto length = [&](const BasicLength<T>& l) { return Length::from_value(plain(l)); };
        p.ducts.push_back({length(x.length), length(x.diameter), length(x.width), length(x.height), length(x.roughness),
                           plain_value(x.loss_coefficient), x.friction_diameter, x.section});
    }
    return p;
}

template <Deferred...>
[[noreturn]] inline void refuse_flat_crossing(const char* where) {
    std::string message(where);
    message.append(": fan and system are both flat where they meet");
    throw NoSolution(message);
}

/// A place in a fan's table, and one over the slope of fan minus system there [m3/(Pa s)].
struct SolvedFlow {
    double flow;
    std::size_t segment;
    double answer;
};

/// One Newton step in T from a solution in double: the implicit function theorem.
template <class T>
BasicOperatingState<T> state_at_flow(const FanCurve& fan, const SolvedFlow& at, const BasicSystemCurve<T>& system,
                                     const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    if (!std::isfinite(at.answer)) refuse_flat_crossing("operating_state");
    const MonotoneCubic& table = fan.pressure_curve();
    const double t = at.flow - table.knots()[at.segment];
    const T ratio = fan_density_ratio(fan.stated_air(), air), factor = fan_scale.pressure_factor * ratio;
    const T fan_here = factor * T(cubic_value(table.segments()[at.segment], t));
    const T step = (system_pressure_drop(system, T(at.flow), air) - fan_here) * T(at.answer);
    // Pressure and power are continued along the fan: the step may leave the table by rounding at its ends.
    const T pressure = fan_here + factor * T(cubic_slope(table.segments()[at.segment], t)) * step;
    BasicOperatingState<T> state{BasicVolumeFlow<T>::from_value(T(at.flow) + step),
                                 BasicPressure<T>::from_value(pressure), std::nullopt};
    if (fan.power_curve()) {
        const CubicSegment& c = fan.power_curve()->segments()[at.segment];   // same knots as the pressure
        const T power = T(cubic_value(c, t)) + T(cubic_slope(c, t)) * step;
        state.power = BasicPower<T>::from_value(fan_scale.power_factor * ratio * power);
    }
    return state;
}

/// The same for a flow-holding fan, whose unknown is the pressure in its table.
template <class T>
BasicOperatingState<T> state_at_pressure(const FlowHoldingFan& fan, double pressure, double slope,
                                         const BasicSystemCurve<T>& system, const BasicAirState<T>& air,
                                         const BasicFanScale<T>& fan_scale) {
    const auto ratio = holding_ratios(fan, T(fan_density_ratio(fan.stated_air(), air)), pressure);
    const T scale = fan_scale.pressure_factor * ratio.pressure;
    const T held = pressure <= fan.give_up_pressure().value() ? fan_scale.held_flow_factor : T(1.0);
    const T flow = held * ratio.flow * T(fan.flow_curve().value(pressure));
    const T p = T(pressure) - (scale * T(pressure) - system_pressure_drop(system, flow, air)) / T(slope);
    const T step = p - T(pressure);
    BasicOperatingState<T> state{
        BasicVolumeFlow<T>::from_value(flow + ratio.flow * T(fan.flow_curve().slope(pressure)) * step),
        BasicPressure<T>::from_value(scale * p), std::nullopt};
    if (fan.power_curve()) {
        // By the fan laws P ~ Q^3 at p ~ Q^2.
        const T on_table = step + T(pressure) * (T(1.0) / (held * held) - T(1.0));
        const T power = T(fan.power_curve()->value(pressure)) + T(fan.power_curve()->slope(pressure)) * on_table;
        state.power = BasicPower<T>::from_value(fan_scale.power_factor * ratio.power * (held * held * held) * power);
    }
    return state;
}

template <class T>
BasicOperatingState<T> state_of_crossing(const FanCurve& fan, VolumeFlow flow, Pressure,
                                         const SystemCurve& plain, const AirState& here,
                                         const BasicSystemCurve<T>& system, const BasicAirState<T>& air,
                                         const BasicFanScale<T>& fan_scale) {
    const double q = flow.value();
    const std::size_t segment = fan.pressure_curve().segment_of(q);
    const double fan_slope =
        cubic_slope(fan.pressure_curve().segments()[segment], q - fan.pressure_curve().knots()[segment]);
    const double slope =
        plain_value(fan_scale.pressure_factor) * fan_density_ratio(fan.stated_air(), here) * fan_slope -
        system_with_slope(plain, q, here).slope;
    return state_at_flow(fan, {q, segment, 1.0 / slope}, system, air, fan_scale);
}
template <class T>
BasicOperatingState<T> state_of_crossing(const FlowHoldingFan& fan, VolumeFlow flow, Pressure pressure,
                                         const SystemCurve& plain, const AirState& here,
                                         const BasicSystemCurve<T>& system, const BasicAirState<T>& air,
                                         const BasicFanScale<T>& fan_scale) {
    const double factor = plain_value(fan_scale.pressure_factor) * fan_density_ratio(fan.stated_air(), here);
    double at = pressure.value() / factor;   // back in the table but for rounding
    if (at < fan.flow_curve().lowest()) at = fan.flow_curve().lowest();
    if (at > fan.flow_curve().highest()) at = fan.flow_curve().highest();
    const double slope =
        factor - system_with_slope(plain, flow.value(), here).slope * fan.flow_curve().slope(at);
    return state_at_pressure(fan, at, slope, system, air, fan_scale);
}

/// Status and, if there is a crossing to choose, its state with derivatives; no checks.
template <class T>
struct FoundOperatingState {
    OperatingStatus status;
    std::optional<BasicOperatingState<T>> state;
};

template <AnyFan F, class T>
FoundOperatingState<T> general_operating_state(const F& fan, const BasicSystemCurve<T>& system,
                                               const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    const SystemCurve& plain = plain_system(system);
    const AirState& here = plain_air(air);
    const OperatingFlow found = operating_flow_of(fan, plain, here, plain_value(fan_scale.pressure_factor));
    if (!found.flow) return {found.status, std::nullopt};
    const double drop = system_pressure_drop(plain, found.flow->value(), here);
    return {found.status, state_of_crossing(fan, *found.flow, Pressure::from_value(drop), plain, here, system, air,
                                            fan_scale)};
}

template <class T>
FoundOperatingState<T> find_operating_state(const FlowHoldingFan& fan, const BasicSystemCurve<T>& system,
                                            const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    return general_operating_state(fan, system, air, fan_scale);
}

/// The fast way needs no copy of the system without derivatives.
template <class T>
FoundOperatingState<T> find_operating_state(const FanCurve& fan, const BasicSystemCurve<T>& system,
                                            const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    const double scale = fan.stated_air().density.value() /
                         (plain_value(air.density.value()) * plain_value(fan_scale.pressure_factor));
    const PolynomialSystem p = polynomial_system(system, air, scale);
    if (!(fan.falls_throughout() && p.complete)) return general_operating_state(fan, system, air, fan_scale);
    const FallingFanRoot root = falling_fan_root(fan.pressure_curve(), p.constant, p.linear, p.quadratic);
    if (root.status != OperatingStatus::single_crossing) return {root.status, std::nullopt};
    return {root.status, state_at_flow(fan, {root.flow, root.segment, root.answer * scale}, system, air, fan_scale)};
}
template <class T>
FoundOperatingState<T> find_operating_state(const Fan& fan, const BasicSystemCurve<T>& system,
                                            const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    return std::visit([&](const auto& f) { return find_operating_state(f, system, air, fan_scale); }, fan);
}

template <AnyFan F, class T>
BasicOperatingState<T> operating_state(const F& fan, const BasicSystemCurve<T>& system,
                                       const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale) {
    auto found = find_operating_state(fan, system, air, fan_scale);
    if (!found.state) throw NoSolution("operating_state: " + std::string(status_text(found.status)));
    return std::move(*found.state);
}

template <class T>
void check_operation(const BasicSystemCurve<T>& system, const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale,
                     const char* where) {
    check(system, air, where);
    check(fan_scale, where);
}

}   // namespace detail

/// Flow, pressure and power of the chosen operating point, with derivatives to whatever the dual numbers carry.
///
/// Equation: Q_T = Q - F_T(Q) / F'(Q), F = f (rho/rho0) p0(Q) - p_sys(Q): implicit function theorem
/// Symbols:  as operating_point; f pressure factor; T the scalar with derivatives
/// Validity: as operating_point; the derivatives hold where the curves cross, not where they touch
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  system  what it works against, parts in T
/// @param  air  air at the fan and in the system
/// @param  fan_scale  factors on the table's pressure and power, > 0, and on the held flow, one, which power
///         follows by the fan laws
/// @return flow [m3/s], pressure [Pa], power [W] if the table has it
/// @throws DomainError as operating_point or if a factor is out of its range; NoSolution if operating_point would choose
///         none or fan and system are both flat where they meet
/// @source implicit function theorem; test: airflow/operating_state_test.cpp against central differences
template <AnyFan F, class T>
BasicOperatingState<T> operating_state(const F& fan, const BasicSystemCurve<T>& system,
                                       const BasicAirState<T>& air, const BasicFanScale<T>& fan_scale = {}) {
    detail::check_operation(system, air, fan_scale, "operating_state");
    return detail::operating_state(fan, system, air, fan_scale);
}

}   // namespace filterflow
