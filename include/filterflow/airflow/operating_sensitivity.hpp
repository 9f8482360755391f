// SPDX-License-Identifier: BSL-1.0
#pragma once

// How an operating point answers to first order to what it depends on, from one solve: a change of the system's
// pressure drop moves flow, pressure and power along the fan's curve (implicit function theorem). What a parameter does
// is what it adds to the drop at this flow. Derivatives to parameters that enter otherwise: operating_state with dual
// numbers.

#include <cmath>
#include <concepts>
#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <variant>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

/// A small change of an operating point.
struct OperatingChange {
    VolumeFlow flow{};     ///< at the fan
    Pressure pressure{};   ///< of the fan table's kind
    Power power{};         ///< as the fan table states it; zero if it has none
};

/// What a system takes at a flow, by the laws of its parts.
struct SystemDrops {
    Pressure constant{};    ///< the constant pressure, of either sign
    Pressure linear{};      ///< viscous parts: of elements, power laws of exponent one
    Pressure quadratic{};   ///< inertial parts: of elements, power laws of exponent two, fittings
    Pressure other{};       ///< ducts, elements with a gap, power laws of other exponents
};

/// An operating point with its answer to more resistance.
struct OperatingSensitivities {
    OperatingStatus status = OperatingStatus::below_table;   ///< what was found
    std::optional<OperatingState> state{};   ///< the crossing that operating_point chooses; empty if it chooses none
    OperatingChange per_pascal{};            ///< for one pascal more at this flow
    SystemDrops drops{};                     ///< what takes how much at this flow
};

/// The flow of an operating point, with what the parts of the system do to it: first-order changes for a relative
/// change of one (from a resistance to twice it; a tenth of it for ten per cent more).
struct OperatingFlowChanges {
    OperatingStatus status = OperatingStatus::below_table;   ///< what was found
    std::optional<VolumeFlow> flow{};   ///< of the crossing that operating_point chooses; empty if it chooses none
    VolumeFlow for_constant{};          ///< for the constant pressure
    VolumeFlow for_linear{};            ///< for the viscous resistances together
    VolumeFlow for_quadratic{};         ///< for the inertial resistances together
    VolumeFlow for_other{};             ///< for the parts of other laws together
};

namespace detail {

/// The answer is written in place: it is too large to be handed on by value.
template <Deferred...>
inline void set_state(OperatingSensitivities& s, double flow, double pressure, double flow_slope,
                      double pressure_slope) {
    s.state.emplace();
    s.state->flow = VolumeFlow::from_value(flow);
    s.state->pressure = Pressure::from_value(pressure);
    s.per_pascal.flow = VolumeFlow::from_value(flow_slope);
    s.per_pascal.pressure = Pressure::from_value(pressure_slope);
}
inline void set_power(OperatingSensitivities& s, double power, double power_slope) {
    s.state->power = Power::from_value(power);
    s.per_pascal.power = Power::from_value(power_slope);
}

template <Deferred...>
inline SystemDrops system_drops(const SystemCurve& system, double flow, const AirState& air) {
    double linear = 0.0, quadratic = 0.0, other = 0.0;
    for (const PowerLawPart& part : system.power_laws) {
        (part.exponent == 1.0   ? linear
         : part.exponent == 2.0 ? quadratic
                                : other) += part_pressure_drop(part, flow, air);
    }
    for (const ElementCurve& part : system.elements) {
        const auto c = element_coefficients(part, air);
        linear += c.linear * flow;
        quadratic += c.quadratic * flow * flow;
    }
    for (const BypassedElement& part : system.bypassed_elements) other += part_pressure_drop(part, flow, air);
    for (const DuctSegment& part : system.ducts) {
        (part.length.value() == 0.0 ? quadratic : other) += part_pressure_drop(part, flow, air);
    }
    return {system.constant_pressure, Pressure::from_value(linear), Pressure::from_value(quadratic),
            Pressure::from_value(other)};
}

/// At a flow in a segment of the fan's table, with the answer of the flow to a pascal.
template <Deferred...>
inline void set_response(OperatingSensitivities& s, const FanCurve& fan, double flow, std::size_t segment,
                         double per_pascal, double density_ratio) {
    const MonotoneCubic& table = fan.pressure_curve();
    const CubicSegment& c = table.segments()[segment];
    const double t = flow - table.knots()[segment];
    set_state(s, flow, density_ratio * cubic_value(c, t), per_pascal, density_ratio * cubic_slope(c, t) * per_pascal);
    if (fan.power_curve()) {
        const CubicSegment& p = fan.power_curve()->segments()[segment];   // same knots as the pressure
        set_power(s, density_ratio * cubic_value(p, t), density_ratio * cubic_slope(p, t) * per_pascal);
    }
}

template <Deferred...>
inline void set_general_sensitivities(OperatingSensitivities& s, const FanCurve& fan, const SystemCurve& system,
                                      const AirState& air) {
    const OperatingFlow found = general_operating_flow(fan, system, air, 1.0);
    s.status = found.status;
    if (!found.flow) return;
    const double q = found.flow->value(), ratio = fan_density_ratio(fan.stated_air(), air);
    const std::size_t segment = fan.pressure_curve().segment_of(q);
    const double fan_slope =
        cubic_slope(fan.pressure_curve().segments()[segment], q - fan.pressure_curve().knots()[segment]);
    set_response(s, fan, q, segment, 1.0 / (ratio * fan_slope - system_with_slope(system, q, air).slope), ratio);
    s.drops = system_drops(system, q, air);
}

template <Deferred...>
inline void set_sensitivities(OperatingSensitivities& s, const FanCurve& fan, const SystemCurve& system,
                              const AirState& air) {
    const double scale = table_scale(fan.stated_air(), air, 1.0);
    const PolynomialSystem p = polynomial_system(system, air, scale);
    if (!(fan.falls_throughout() && p.complete)) return set_general_sensitivities(s, fan, system, air);
    const FallingFanRoot root = falling_fan_root(fan.pressure_curve(), p.constant, p.linear, p.quadratic);
    s.status = root.status;
    if (root.status != OperatingStatus::single_crossing) return;
    const double q = root.flow, ratio = fan_density_ratio(fan.stated_air(), air);
    const double linear = ratio * p.linear * q, quadratic = ratio * p.quadratic * q * q;
    set_response(s, fan, q, root.segment, root.answer * scale, ratio);
    s.drops.constant = system.constant_pressure;
    s.drops.linear = Pressure::from_value(linear);
    s.drops.quadratic = Pressure::from_value(quadratic);
}

template <Deferred...>
inline void set_sensitivities(OperatingSensitivities& s, const FlowHoldingFan& fan, const SystemCurve& system,
                              const AirState& air) {
    const OperatingFlow found = operating_flow_of(fan, system, air, 1.0);
    s.status = found.status;
    if (!found.flow) return;
    const double q = found.flow->value(), ratio = fan_density_ratio(fan.stated_air(), air);
    const MonotoneCubic& table = fan.flow_curve();
    const ValueAndSlope drop = system_with_slope(system, q, air);
    double at = drop.value / ratio;   // back in the table but for rounding
    if (at < table.lowest()) at = table.lowest();
    if (at > table.highest()) at = table.highest();
    const double fan_slope = table.slope(at);   // m3/s per pascal of the table
    const double per_pascal = 1.0 / (ratio - drop.slope * fan_slope);   // of the table's pressure
    set_state(s, q, drop.value, fan_slope * per_pascal, ratio * per_pascal);
    if (fan.power_curve()) {
        set_power(s, ratio * fan.power_curve()->value(at), ratio * fan.power_curve()->slope(at) * per_pascal);
    }
    s.drops = system_drops(system, q, air);
}

template <Deferred...>
inline void set_sensitivities(OperatingSensitivities& s, const Fan& fan, const SystemCurve& system,
                              const AirState& air) {
    std::visit([&](const auto& f) { set_sensitivities(s, f, system, air); }, fan);
}

/// What operating_flow_changes gives, as plain numbers: the compiler keeps these in registers, quantities in memory.
struct FlowChangeNumbers {
    OperatingStatus status;
    bool found = false;
    double flow = 0.0, constant = 0.0, linear = 0.0, quadratic = 0.0, other = 0.0;
};

/// From the sensitivities of any fan.
template <AnyFan F>
[[gnu::cold]] void set_general_flow_changes(FlowChangeNumbers& changes, const F& fan, const SystemCurve& system,
                                            const AirState& air) {
    const OperatingSensitivities s = operating_sensitivities(fan, system, air);
    changes.status = s.status;
    if (!s.state) return;
    const double per_pascal = s.per_pascal.flow.value();
    changes.found = true;
    changes.flow = s.state->flow.value();
    changes.constant = per_pascal * s.drops.constant.value();
    changes.linear = per_pascal * s.drops.linear.value();
    changes.quadratic = per_pascal * s.drops.quadratic.value();
    changes.other = per_pascal * s.drops.other.value();
}

/// Where a fan falls throughout against a system of constant, linear and quadratic parts.
template <Deferred...>
[[gnu::always_inline]] inline FlowChangeNumbers falling_flow_changes(const FanCurve& fan, const PolynomialSystem& p) {
    const FallingFanRoot root = falling_fan_root(fan.pressure_curve(), p.constant, p.linear, p.quadratic);
    if (root.status != OperatingStatus::single_crossing) return {root.status};
    const double q = root.flow, per_pascal = root.answer, by_flow = q * per_pascal;   // of the table
    if (!(per_pascal < 0.0)) refuse_flat_crossing("operating_sensitivities");
    return {root.status, true, q, p.constant * per_pascal, p.linear * by_flow, (p.quadratic * q) * by_flow};
}

/// The one or the other. Laid into its callers: as a call its results would go by memory, and wait for it.
template <AnyFan F>
[[gnu::always_inline]] inline FlowChangeNumbers flow_change_numbers(const F& fan, const SystemCurve& system,
                                                                    const AirState& air) {
    if constexpr (std::same_as<F, FanCurve>) {
        const auto p = polynomial_system(system, air, table_scale(fan.stated_air(), air, 1.0));
        if (fan.falls_throughout() && p.complete) return falling_flow_changes(fan, p);
    }
    FlowChangeNumbers general{OperatingStatus::below_table};
    set_general_flow_changes(general, fan, system, air);
    return {general.status,   general.found,     general.flow, general.constant,
            general.linear, general.quadratic, general.other};
}

}   // namespace detail

/// The operating point that operating_point chooses, with its first-order answer to more resistance and the drops of
/// the system by law.
///
/// Equation: dQ/dp = 1 / (p_fan'(Q) - p_sys'(Q)), dp_fan/dp = p_fan' dQ/dp, dP/dp = P' dQ/dp; for a flow-holding fan
///           the same over its pressure
/// Symbols:  as operating_point; dp pressure added at the flow Q, P power
/// Validity: as operating_point; the crossing is none of curves that touch
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  system  what it works against
/// @param  air  air at the fan and in the system
/// @return status, state, change for one pascal more, drops
/// @throws DomainError as operating_point; NoSolution if fan and system are both flat where they meet
/// @source implicit function theorem; test: airflow/operating_sensitivity_test.cpp against differences and dual numbers
template <AnyFan F>
OperatingSensitivities operating_sensitivities(const F& fan, const SystemCurve& system, const AirState& air) {
    OperatingSensitivities s;
    detail::set_sensitivities(s, fan, system, air);
    if (!(std::abs(s.per_pascal.flow.value()) + std::abs(s.per_pascal.pressure.value()) <=
          std::numeric_limits<double>::max())) {
        detail::refuse_flat_crossing("operating_sensitivities");
    }
    return s;
}

/// The flow of operating_flow, with its first-order changes for relative changes of the system's constant pressure,
/// viscous and inertial resistances: what costs least beyond the solve itself.
///
/// Equation: dQ = p_k (dQ/dp) for a relative change of one of what takes p_k
/// Symbols:  as operating_sensitivities; p_k part of the system's pressure drop by one law
/// Validity: as operating_sensitivities
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  system  what it works against
/// @param  air  air at the fan and in the system
/// @return status, flow and its changes [m3/s]
/// @throws DomainError as operating_point; NoSolution as operating_sensitivities
/// @source as operating_sensitivities; test: airflow/operating_sensitivity_test.cpp
template <AnyFan F>
[[gnu::always_inline]] inline OperatingFlowChanges operating_flow_changes(const F& fan, const SystemCurve& system,
                                                                          const AirState& air) {
    const detail::FlowChangeNumbers n = detail::flow_change_numbers(fan, system, air);
    OperatingFlowChanges changes{.status = n.status};
    if (n.found) changes.flow = VolumeFlow::from_value(n.flow);
    changes.for_constant = VolumeFlow::from_value(n.constant);
    changes.for_linear = VolumeFlow::from_value(n.linear);
    changes.for_quadratic = VolumeFlow::from_value(n.quadratic);
    changes.for_other = VolumeFlow::from_value(n.other);
    return changes;
}

/// First-order change of an operating point for a pressure added at its flow: with the drop of a part times its
/// relative change, what that part does.
///
/// Equation: dQ = (dQ/dp) dp, and so for pressure and power
/// Symbols:  as operating_sensitivities
/// Validity: small changes; a change by a tenth of the pressure is good to about a twentieth of itself
/// @param  sensitivities  of the operating point
/// @param  added  more pressure taken at its flow [Pa]; negative: less
/// @return change of flow, pressure and power
/// @throws DomainError if the pressure is not finite; NoSolution if there is no operating point
/// @source as operating_sensitivities; test: airflow/operating_sensitivity_test.cpp
template <Deferred...>
inline OperatingChange change_for(const OperatingSensitivities& sensitivities, Pressure added) {
    if (!sensitivities.state) throw NoSolution("change_for: " + std::string(status_text(sensitivities.status)));
    const double dp = detail::require_finite("change_for", "added", added.value(), "Pa");
    const OperatingChange& c = sensitivities.per_pascal;
    return {dp * c.flow, dp * c.pressure, dp * c.power};
}

}   // namespace filterflow
