// SPDX-License-Identifier: BSL-1.0
#pragma once

// One fan table in another kind of pressure: total, static and external static pressure differ by velocity pressures at
// inlet and outlet, which follow from the areas there.

#include <optional>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Where a fan, or the cabinet whose table it is, takes its air in and lets it out.
struct FanAreas {
    std::optional<Area> inlet{};    ///< cross section of the inlet, > 0; empty: not known
    std::optional<Area> outlet{};   ///< cross section of the outlet, > 0; empty: not known
};

/// A pressure at a flow, with its kind.
struct FanPressureReading {
    VolumeFlow flow{};       ///< at the fan, >= 0
    Pressure pressure{};     ///< of that kind; may be negative
    FanPressureKind kind = FanPressureKind::not_stated;   ///< which pressure it is
};

namespace detail {

inline const char* kind_words(FanPressureKind kind) {
    switch (kind) {
        case FanPressureKind::total: return "total";
        case FanPressureKind::static_pressure: return "static";
        case FanPressureKind::external_static: return "external static";
        case FanPressureKind::not_stated: return "not stated";
    }
    return "unknown";
}

/// How many velocity pressures at inlet and outlet a pressure has more than the fan total pressure.
struct VelocityPressures {
    double inlet, outlet;
};
template <Deferred...>
inline VelocityPressures velocity_pressures_of(FanPressureKind kind, const char* where) {
    switch (kind) {
        case FanPressureKind::total: return {0.0, 0.0};
        case FanPressureKind::static_pressure: return {0.0, -1.0};
        case FanPressureKind::external_static: return {1.0, -1.0};
        case FanPressureKind::not_stated: break;
    }
    throw DomainError(std::string(where) +
                      ": a kind of pressure is not stated; required: total, static or external static");
}

/// What is added to a pressure at flow Q, over rho Q^2 / 2 [1/m4].
template <Deferred...>
inline double kind_difference(FanPressureKind from, FanPressureKind to, const FanAreas& areas, const char* where) {
    const VelocityPressures a = velocity_pressures_of(from, where), b = velocity_pressures_of(to, where);
    double sum = 0.0;
    const auto add = [&](double count, const std::optional<Area>& area, const char* name) {
        if (area) require_positive(where, std::string("area of the ") + name, area->value(), "m2");
        if (count == 0.0) return;
        if (!area) {
            throw DomainError(std::string(where) + ": the area of the " + name + " is not stated; required from " +
                              kind_words(from) + " to " + kind_words(to) + " pressure");
        }
        sum += count / (area->value() * area->value());
    };
    add(b.inlet - a.inlet, areas.inlet, "inlet");
    add(b.outlet - a.outlet, areas.outlet, "outlet");
    return sum;
}

}   // namespace detail

/// A fan's pressure as another kind.
///
/// Equation: p_s = p_t - rho V2^2/2; p_e = p_s + rho V1^2/2; V = Q/A
/// Symbols:  p_t fan total pressure, p_s fan static pressure, p_e static rise from inlet to outlet, V1, V2 mean
///           velocities at inlet and outlet, A their areas, Q volume flow, rho density
/// Validity: incompressible (below about 2.5 kPa), even velocities. The areas are those between which the reading
///           holds: of a cabinet whose parts are inside its table, the cabinet's
/// @param  reading  flow [m3/s], pressure [Pa] and its kind
/// @param  kind  wanted
/// @param  areas  at inlet and outlet [m2]; those that the change needs
/// @param  air  air at the fan
/// @return pressure of that kind [Pa]; the static one of a fan near free delivery may be negative
/// @throws DomainError if a kind or an area that is needed is not stated, an area is not > 0, the flow is negative, or
///         the air is not valid
/// @source definitions of fan total and static pressure (Hundy, Trott and Welch, ch. 24); test:
///         airflow/fan_efficiency_test.cpp
template <Deferred...>
inline Pressure fan_pressure_of_kind(const FanPressureReading& reading, FanPressureKind kind, const FanAreas& areas,
                                     const AirState& air) {
    constexpr auto where = "fan_pressure_of_kind";
    const double q = detail::require_non_negative(where, "flow", reading.flow.value(), "m3/s");
    const double p = detail::require_finite(where, "pressure", reading.pressure.value(), "Pa");
    const double rho = detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    return Pressure::from_value(p + 0.5 * rho * q * q * detail::kind_difference(reading.kind, kind, areas, where));
}

/// A fan table with each row's pressure as another kind.
///
/// Equation: as fan_pressure_of_kind, in the table's air
/// Symbols:  as fan_pressure_of_kind
/// Validity: as fan_pressure_of_kind
/// @param  table  fan table that states its kind of pressure
/// @param  kind  wanted
/// @param  areas  at inlet and outlet [m2]; those that the change needs
/// @return the table in that kind
/// @throws DomainError as fan_pressure_of_kind, or if a row's pressure would be negative: leave such rows out, since a
///         fan table has none
/// @source as fan_pressure_of_kind; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline FanTable fan_table_of_kind(FanTable table, FanPressureKind kind, const FanAreas& areas) {
    constexpr auto where = "fan_table_of_kind";
    for (std::size_t i = 0; i < table.points.size(); ++i) {
        FanPoint& point = table.points[i];
        point.pressure =
            fan_pressure_of_kind({point.flow, point.pressure, table.kind}, kind, areas, table.stated_air);
        detail::require_non_negative(where,
                                     "row " + std::to_string(i + 1) + ": " + detail::kind_words(kind) + " pressure",
                                     point.pressure.value(), "Pa");
    }
    table.kind = kind;
    return table;
}

}   // namespace filterflow
