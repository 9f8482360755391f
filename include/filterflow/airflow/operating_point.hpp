// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where a fan meets its system. Every crossing inside the fan's table is found and told stable or not; a fan that
// never meets the system inside its table is a status, not an error, and no number is invented beyond the table.
// The usual case, a falling fan curve against a system of linear and quadratic parts, has a fast way of its own.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A flow and pressure that fan and system share.
struct Crossing {
    VolumeFlow flow{};            ///< at the fan
    Pressure pressure{};          ///< of the fan table's kind
    std::optional<Power> power;   ///< as the fan table states it; empty if it has none
    bool stable = false;          ///< the fan's curve is less steep than the system's: a small disturbance dies away
    bool touching = false;        ///< the curves touch without crossing: the least change makes two points or none
    bool fan_rises = false;       ///< on a part where the fan's pressure rises with flow: risk of stall and surge
};

/// Every crossing of a fan and a system.
struct OperatingPoint {
    OperatingStatus status = OperatingStatus::below_table;   ///< what was found
    std::vector<Crossing> crossings;                         ///< in the order of rising flow
    std::optional<std::size_t> chosen;   ///< the stable one of greatest flow; empty if there is none, or if a further
                                         ///< one lies beyond the table

    bool found() const { return chosen.has_value(); }
    /// The chosen crossing; throws NoSolution with the status in words if there is none.
    template <Deferred...>
    const Crossing& point() const {
        if (!chosen) throw NoSolution("operating_point: " + std::string(status_text(status)));
        return crossings[*chosen];
    }
    template <Deferred...>
    VolumeFlow flow() const { return point().flow; }              ///< of the chosen crossing
    template <Deferred...>
    Pressure pressure() const { return point().pressure; }        ///< of the chosen crossing
    template <Deferred...>
    std::optional<Power> power() const { return point().power; }  ///< of the chosen crossing
};

/// The flow at which a fan and a system work, without the rest.
struct OperatingFlow {
    OperatingStatus status = OperatingStatus::below_table;   ///< what was found
    std::optional<VolumeFlow> flow;                          ///< of the crossing that operating_point would choose
};

namespace detail {

/// Pressure of the fan's table over that of the fan as it runs.
inline double table_scale(const AirState& stated_air, const AirState& air, double pressure_factor) {
    return stated_air.density.value() / (air.density.value() * pressure_factor);
}

template <Deferred...>
inline void choose(OperatingPoint& point, double d_last, OperatingStatus none) {
    if (d_last > 0.0) {
        point.status = OperatingStatus::beyond_table;
        return;
    }
    for (std::size_t i = 0; i < point.crossings.size(); ++i) {
        if (point.crossings[i].stable) point.chosen = i;
    }
    point.status = point.crossings.empty()       ? none
                   : !point.chosen               ? OperatingStatus::touching_only
                   : point.crossings.size() == 1 ? OperatingStatus::single_crossing
                                                 : OperatingStatus::several_crossings;
}

template <Deferred...>
inline OperatingStatus status_below(const FanCurve& fan) {
    return fan.pressure_curve().lowest() == 0.0 ? OperatingStatus::above_shut_off : OperatingStatus::below_table;
}
template <Deferred...>
inline OperatingStatus status_of_held(const FlowHoldingFan& fan, double table_pressure) {
    return table_pressure <= fan.give_up_pressure().value() ? OperatingStatus::flow_held : OperatingStatus::fan_gave_up;
}

template <Deferred...>
inline OperatingPoint operating_point_of(const FanCurve& fan, const SystemCurve& system, const AirState& air,
                                         const FanScale& fan_scale) {
    const double scale = table_scale(fan.stated_air(), air, fan_scale.pressure_factor);
    const FlowDifference difference{fan.pressure_curve(), system, air, scale};
    double d_first, d_last;
    OperatingPoint point;
    for (const CrossingLocation& c : find_crossings(difference, d_first, d_last)) {
        const double fan_slope =
            cubic_slope(fan.pressure_curve().segments()[c.segment], c.x - fan.pressure_curve().knots()[c.segment]);
        Crossing crossing;
        crossing.flow = VolumeFlow::from_value(c.x);
        crossing.pressure = Pressure::from_value(fan.pressure_curve().value(c.x) / scale);
        if (fan.power_curve()) {
            crossing.power = Power::from_value(fan.power_curve()->value(c.x) * fan_scale.power_factor *
                                               fan_density_ratio(fan.stated_air(), air));
        }
        crossing.stable = c.slope < 0.0;
        crossing.touching = c.slope == 0.0;
        crossing.fan_rises = fan_slope > 0.0;
        point.crossings.push_back(crossing);
    }
    choose(point, d_last, status_below(fan));
    return point;
}

template <Deferred...>
inline OperatingPoint operating_point_of(const FlowHoldingFan& fan, const SystemCurve& system, const AirState& air,
                                         const FanScale& fan_scale) {
    check_holding_air(fan, air.density.value(), "operating_point");
    const double scale = table_scale(fan.stated_air(), air, fan_scale.pressure_factor);
    const PressureDifference difference{fan.flow_curve(), system, air, scale};
    double d_first, d_last;
    OperatingPoint point;
    auto found = find_crossings(difference, d_first, d_last);
    for (std::size_t i = found.size(); i-- > 0;) {   // by rising flow, that is by falling pressure
        const CrossingLocation& c = found[i];
        Crossing crossing;
        crossing.flow = VolumeFlow::from_value(fan.flow_curve().value(c.x));
        crossing.pressure = Pressure::from_value(c.x / scale);
        if (fan.power_curve()) {
            crossing.power = Power::from_value(fan.power_curve()->value(c.x) * fan_scale.power_factor *
                                               fan_density_ratio(fan.stated_air(), air));
        }
        crossing.stable = c.slope > 0.0;
        crossing.touching = c.slope == 0.0;
        point.crossings.push_back(crossing);
    }
    // At the lowest pressure the difference is positive if the system needs less than the table begins with.
    choose(point, d_first, OperatingStatus::below_table);
    if (point.status == OperatingStatus::single_crossing) point.status = status_of_held(fan, found.front().x);
    return point;
}

template <Deferred...>
inline OperatingPoint operating_point_of(const Fan& fan, const SystemCurve& system, const AirState& air,
                                         const FanScale& fan_scale) {
    return std::visit([&](const auto& f) { return operating_point_of(f, system, air, fan_scale); }, fan);
}

/// The row from which on a fan's pressure strictly falls, if its system, which never falls, stays below the fan for sure
/// before that; none if they might meet there.
template <Deferred...>
inline std::optional<std::size_t> first_row_of_crossing(const FanCurve& fan, const SystemCurve& system,
                                                        const AirState& air, double scale) {
    if (fan.falls_throughout()) return 0;
    const auto x = fan.pressure_curve().knots(), y = fan.pressure_curve().values();
    std::size_t peak = x.size() - 1;
    while (peak > 0 && y[peak - 1] > y[peak]) --peak;
    if (peak + 1 == x.size()) return std::nullopt;
    double least = y[peak];   // between two rows the pressure does not turn
    for (std::size_t i = 0; i < peak; ++i) least = y[i] < least ? y[i] : least;
    const double greatest_drop = scale * system_pressure_drop(system, x[peak], air);
    return greatest_drop < least ? std::optional(peak) : std::nullopt;
}

/// What the fast way does not serve, with all checks: other parts, a fan that rises somewhere.
template <Deferred...>
inline OperatingFlow general_operating_flow(const FanCurve& fan, const SystemCurve& system, const AirState& air,
                                            double pressure_factor) {
    check(system, air, "operating_flow");
    const double scale = table_scale(fan.stated_air(), air, pressure_factor);
    const auto first = never_falls(system) ? first_row_of_crossing(fan, system, air, scale) : std::nullopt;
    if (first) {
        const OnlyCrossing c = only_crossing(FlowDifference{fan.pressure_curve(), system, air, scale}, -1.0, *first);
        if (c.found) return {OperatingStatus::single_crossing, VolumeFlow::from_value(c.x)};
        return {c.beyond_last ? OperatingStatus::beyond_table : status_below(fan), std::nullopt};
    }
    const OperatingPoint point = operating_point_of(fan, system, air, {pressure_factor, 1.0});
    if (!point.found()) return {point.status, std::nullopt};
    return {point.status, point.flow()};
}

/// Checked: the fast way where it applies, else the crossing that operating_point chooses.
template <Deferred...>
inline OperatingFlow operating_flow_of(const FanCurve& fan, const SystemCurve& system, const AirState& air,
                                       double pressure_factor) {
    const double scale = table_scale(fan.stated_air(), air, pressure_factor);
    const PolynomialSystem polynomial = polynomial_system(system, air, scale);
    if (!(fan.falls_throughout() && polynomial.complete)) {
        return general_operating_flow(fan, system, air, pressure_factor);
    }
    const FallingFanRoot root =
        falling_fan_root<false>(fan.pressure_curve(), polynomial.constant, polynomial.linear, polynomial.quadratic);
    if (root.status != OperatingStatus::single_crossing) return {root.status, std::nullopt};
    return {root.status, VolumeFlow::from_value(root.flow)};
}
template <Deferred...>
inline OperatingFlow operating_flow_of(const FlowHoldingFan& fan, const SystemCurve& system, const AirState& air,
                                       double pressure_factor) {
    check(system, air, "operating_flow");
    check_holding_air(fan, air.density.value(), "operating_flow");
    if (never_falls(system)) {
        const double scale = table_scale(fan.stated_air(), air, pressure_factor);
        const OnlyCrossing c = only_crossing(PressureDifference{fan.flow_curve(), system, air, scale}, 1.0);
        if (c.found) return {status_of_held(fan, c.x), VolumeFlow::from_value(fan.flow_curve().value(c.x))};
        return {c.beyond_last ? OperatingStatus::below_table : OperatingStatus::beyond_table, std::nullopt};
    }
    const OperatingPoint point = operating_point_of(fan, system, air, {pressure_factor, 1.0});
    if (!point.found()) return {point.status, std::nullopt};
    return {point.status, point.flow()};
}

template <Deferred...>
inline OperatingFlow operating_flow_of(const Fan& fan, const SystemCurve& system, const AirState& air,
                                       double pressure_factor) {
    return std::visit([&](const auto& f) { return operating_flow_of(f, system, air, pressure_factor); }, fan);
}

}   // namespace detail

/// Every operating point of a fan and a system, inside the fan's table.
///
/// Equation: (rho/rho0) p0(Q) = p_sys(Q); stable where d p_fan/dQ < d p_sys/dQ
/// Symbols:  p0 fan's table [Pa], Q volume flow [m3/s], p_sys pressure drop of the system, rho density, 0 the table's
///           air
/// Validity: flows of the table; the system's pressure is of the kind the table states. Roots are isolated by bounds of
///           difference and slope on each piece, not by signs at the rows; curves that touch within 1e-14 of the fan's
///           pressure are reported as touching. Static stability only: surge is a matter of dynamics too
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  system  what it works against
/// @param  air  air at the fan and in the system
/// @return status, crossings and the one of greatest flow among the stable ones
/// @throws DomainError if the system or the air is not valid; a fan that never meets the system is a status
/// @source Hundy, Trott and Welch, ch. 24 (fan and system curves); stability criterion: common practice; test:
///         airflow/operating_point_test.cpp
template <AnyFan F>
OperatingPoint operating_point(const F& fan, const SystemCurve& system, const AirState& air) {
    detail::check(system, air, "operating_point");
    return detail::operating_point_of(fan, system, air, {});
}

/// The flow of the operating point that operating_point would choose, without allocation where the fan's curve falls
/// throughout and the system has linear and quadratic parts only.
///
/// Equation: as operating_point
/// Symbols:  as operating_point
/// Validity: as operating_point
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  system  what it works against
/// @param  air  air at the fan and in the system
/// @return status and, if a stable point lies in the table, its flow [m3/s]
/// @throws DomainError as operating_point
/// @source secant start, Halley's method and a Newton step that checks them; test: airflow/operating_point_test.cpp
///         against Boost TOMS 748
template <AnyFan F>
OperatingFlow operating_flow(const F& fan, const SystemCurve& system, const AirState& air) {
    return detail::operating_flow_of(fan, system, air, 1.0);
}

}   // namespace filterflow
