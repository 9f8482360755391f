// SPDX-License-Identifier: BSL-1.0
#pragma once

// A fan at fixed speed: its table, checked and sorted, as a monotone cubic of pressure (and power) over flow.
// The table is stated for one air; at the same speed another air moves the same volume, with pressure and power
// in proportion to density.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

/// Which pressure a fan table states. The system that the fan meets must be stated in the same kind.
enum class FanPressureKind {
    total,             ///< fan total pressure: total at the outlet less total at the inlet
    static_pressure,   ///< fan static pressure: fan total pressure less the velocity pressure at the outlet
    external_static,   ///< static rise across the whole cabinet, whose own parts are inside the table
    not_stated         ///< unknown: what depends on the kind refuses the table
};

/// Which power a fan table states.
enum class FanPowerKind {
    not_stated,   ///< unknown: what depends on the kind refuses the table
    shaft,        ///< at the fan's shaft
    electric      ///< drawn from the supply, all losses of drive, motor and controller included
};

/// One row of a fan table.
struct FanPoint {
    VolumeFlow flow{};            ///< at the fan, >= 0
    Pressure pressure{};          ///< of the table's kind, >= 0
    std::optional<Power> power;   ///< electric or shaft, as the table states it, > 0; in every row or in none
};

/// A fan table as printed, rows in any order.
struct FanTable {
    std::vector<FanPoint> points{}; ///< at one speed
    FanPressureKind kind = FanPressureKind::not_stated;   ///< which pressure is stated
    AirState stated_air{};          ///< air for which pressure and power hold
    FanPowerKind power_kind = FanPowerKind::not_stated;   ///< which power is stated
    std::optional<Rate> stated_speed{};   ///< revolutions per time at which the rows hold, > 0; empty: unknown
};

/// A stretch of flow.
struct FlowRange {
    VolumeFlow lower{};   ///< lower end
    VolumeFlow upper{};   ///< upper end
};

/// What is not known exactly about a fan: factors on its table's pressure and power, one if the table is taken
/// as printed, and on the flow that its drive holds.
template <class T>
struct BasicFanScale {
    T pressure_factor{1.0};   ///< on pressure, > 0
    T power_factor{1.0};      ///< on power, > 0
    T held_flow_factor{1.0};  ///< on the set flow of a flow-holding fan; one, with derivatives if T has them: for
                              ///< another value the fan is made by with_held_flow
};
using FanScale = BasicFanScale<double>;

class FanCurve;
namespace detail {
struct FanCurveParts;
template <Deferred...>
FanCurve assembled_fan_curve(FanCurveParts parts);

template <class T>
void check(const BasicFanScale<T>& fan_scale, const char* where) {
    require_positive(where, "fan_scale.pressure_factor", fan_scale.pressure_factor, "-");
    require_positive(where, "fan_scale.power_factor", fan_scale.power_factor, "-");
    const double held = plain_value(fan_scale.held_flow_factor);
    if (held != 1.0) {
        throw_domain_error(where, "fan_scale.held_flow_factor", held, "-",
                           "1 (with_held_flow makes a fan of another held flow)");
    }
}
}   // namespace detail

/// A fan at fixed speed: pressure and, if the table has it, power over flow. Made by fan_curve.
class FanCurve {
public:
    FanPressureKind kind() const { return kind_; }
    FanPowerKind power_kind() const { return power_kind_; }
    const AirState& stated_air() const { return stated_air_; }
    const std::optional<Rate>& stated_speed() const { return stated_speed_; }     ///< empty: unknown
    const MonotoneCubic& pressure_curve() const { return pressure_; }             ///< Pa over m3/s, stated air
    const std::optional<MonotoneCubic>& power_curve() const { return power_; }    ///< W over m3/s, stated air
    template <Deferred...>
    VolumeFlow least_flow() const { return VolumeFlow::from_value(pressure_.lowest()); }       ///< first row
    template <Deferred...>
    VolumeFlow greatest_flow() const { return VolumeFlow::from_value(pressure_.highest()); }   ///< last row
    bool falls_throughout() const { return falls_; }   ///< pressure strictly falls with flow
    const std::vector<FlowRange>& rising_parts() const { return rising_parts_; }   ///< where pressure rises with flow:
                                                                                   ///< risk of stall and surge

private:
    friend FanCurve detail::assembled_fan_curve(detail::FanCurveParts parts);
    FanCurve() = default;

    FanPressureKind kind_{};
    FanPowerKind power_kind_{};
    AirState stated_air_{};
    std::optional<Rate> stated_speed_;
    MonotoneCubic pressure_;
    std::optional<MonotoneCubic> power_;
    std::vector<FlowRange> rising_parts_;
    bool falls_ = false;
};

namespace detail {

/// What a fan curve is made of. Pressure and power have the same knots; between two of them pressure does not turn.
struct FanCurveParts {
    FanPressureKind kind;
    FanPowerKind power_kind;
    AirState stated_air;
    std::optional<Rate> stated_speed;
    MonotoneCubic pressure;
    std::optional<MonotoneCubic> power;
};

template <Deferred...>
inline FanCurve assembled_fan_curve(FanCurveParts parts) {
    FanCurve fan;
    fan.kind_ = parts.kind;
    fan.power_kind_ = parts.power_kind;
    fan.stated_air_ = parts.stated_air;
    fan.stated_speed_ = parts.stated_speed;
    const auto flow = parts.pressure.knots();
    const auto pressure = parts.pressure.values();
    for (std::size_t i = 1; i < flow.size(); ++i) {
        if (!(pressure[i] > pressure[i - 1])) continue;
        const VolumeFlow lower = VolumeFlow::from_value(flow[i - 1]);
        const VolumeFlow upper = VolumeFlow::from_value(flow[i]);
        if (!fan.rising_parts_.empty() && fan.rising_parts_.back().upper == lower) {
            fan.rising_parts_.back().upper = upper;
        } else {
            fan.rising_parts_.push_back({lower, upper});
        }
    }
    fan.falls_ = parts.pressure.direction() < 0;
    fan.pressure_ = std::move(parts.pressure);
    fan.power_ = std::move(parts.power);
    return fan;
}

struct NumberedFanPoint {
    double flow, pressure, power;
    std::size_t row;   // counted from one, as printed
};

template <Deferred...>
inline std::string text_of(const NumberedFanPoint& point) {
    return "row " + std::to_string(point.row) + " (" + number_text(point.flow) + " m3/s, " +
           number_text(point.pressure) + " Pa)";
}

/// The table's rows, each checked, ordered by flow or by pressure, with a zero power where the table has none.
template <Deferred...>
inline std::vector<NumberedFanPoint> checked_fan_points(const FanTable& table, bool by_pressure, const char* where) {
    require_positive(where, "stated_air.density", table.stated_air.density.value(), "kg/m3");
    if (table.stated_speed) require_positive(where, "stated_speed", table.stated_speed->value(), "1/s");
    const std::size_t n = table.points.size();
    if (n < 2) throw_domain_error(where, "number of rows", static_cast<double>(n), "", "at least 2");
    std::vector<NumberedFanPoint> sorted;
    const bool with_power = table.points.front().power.has_value();
    for (std::size_t i = 0; i < n; ++i) {
        const FanPoint& p = table.points[i];
        const std::string row = "row " + std::to_string(i + 1) + ": ";
        require_non_negative(where, row + "flow", p.flow.value(), "m3/s");
        require_non_negative(where, row + "pressure", p.pressure.value(), "Pa");
        if (p.power.has_value() != with_power) {
            throw DomainError(std::string(where) + ": row " + std::to_string(i + 1) +
                              (with_power ? " has no power while row 1 has" : " has a power while row 1 has none") +
                              "; required: power in every row or in none");
        }
        if (p.power) require_positive(where, row + "power", p.power->value(), "W");
        const NumberedFanPoint point{p.flow.value(), p.pressure.value(), p.power ? p.power->value() : 0.0, i + 1};
        const auto before = [by_pressure](const NumberedFanPoint& a, const NumberedFanPoint& b) {
            return by_pressure ? a.pressure < b.pressure : a.flow < b.flow;
        };
        std::size_t place = sorted.size();
        while (place > 0 && before(point, sorted[place - 1])) --place;
        sorted.insert(sorted.begin() + static_cast<std::ptrdiff_t>(place), point);
    }
    // Two rows closer than this in the ordering variable are the same row typed twice, in whatever units.
    const double same = 1e-9 * (by_pressure ? sorted.back().pressure : sorted.back().flow);
    for (std::size_t i = 1; i < n; ++i) {
        const NumberedFanPoint& a = sorted[i - 1];
        const NumberedFanPoint& b = sorted[i];
        const double gap = by_pressure ? b.pressure - a.pressure : b.flow - a.flow;
        if (gap > same) continue;
        const double other = by_pressure ? b.flow - a.flow : b.pressure - a.pressure;
        const double size = by_pressure ? b.flow + a.flow : b.pressure + a.pressure;
        const bool repeated = std::abs(other) <= 1e-9 * size && std::abs(b.power - a.power) <= 1e-9 * b.power;
        throw DomainError(std::string(where) + ": " + text_of(a) + " and " + text_of(b) +
                          (repeated ? " are the same point twice"
                                    : std::string(" contradict each other: one ") +
                                          (by_pressure ? "pressure" : "flow") + ", two values") +
                          "; required: each " + (by_pressure ? "pressure" : "flow") + " once");
    }
    return sorted;
}

/// Pressure of the fan [Pa] at a flow inside its table.
template <class T>
T fan_pressure_value(const FanCurve& fan, const T& flow, const T& density_ratio) {
    return density_ratio * T(fan.pressure_curve().value(flow));
}

template <class T>
T fan_density_ratio(const AirState& stated_air, const BasicAirState<T>& air) {
    return air.density.value() / T(stated_air.density.value());
}

template <class T>
void check_fan_flow(const FanCurve& fan, const T& flow, const BasicAirState<T>& air, const char* where) {
    require_positive(where, "air density", air.density.value(), "kg/m3");
    require_between(where, "flow", flow, fan.pressure_curve().lowest(), fan.pressure_curve().highest(), "m3/s");
}

}   // namespace detail

/// The curve of a fan at fixed speed through the rows of its table.
///
/// Equation: monotone cubic of pressure, and of power, over flow
/// Symbols:  as MonotoneCubic
/// Validity: at least two rows at different flows. Rising parts of the curve are kept and marked, not smoothed
/// @param  table  rows in any order, one kind of pressure, one air
/// @return the curve, with its rising parts listed
/// @throws DomainError if a number is negative or not finite (a stated speed: not > 0), a flow appears twice (the same
///         point repeated, or contradictory pressures), power is given in some rows only, or there are fewer than two
///         rows
/// @source monotone cubic after Fritsch and Butland 1984; test: airflow/fan_test.cpp
template <Deferred...>
inline FanCurve fan_curve(const FanTable& table) {
    const auto sorted = detail::checked_fan_points(table, false, "fan_curve");
    std::vector<double> flow, pressure, power;
    for (const auto& p : sorted) {
        flow.push_back(p.flow);
        pressure.push_back(p.pressure);
        power.push_back(p.power);
    }
    std::optional<MonotoneCubic> power_curve;
    if (table.points.front().power) power_curve = MonotoneCubic(flow, std::move(power));
    return detail::assembled_fan_curve({table.kind, table.power_kind, table.stated_air, table.stated_speed,
                                        MonotoneCubic(std::move(flow), std::move(pressure)), std::move(power_curve)});
}

/// Pressure of a fan at fixed speed, of its table's kind.
///
/// Equation: p = (rho / rho0) p0(Q)
/// Symbols:  p pressure [Pa], Q volume flow [m3/s], rho density [kg/m3], 0 the table's air
/// Validity: flows of the table; no extrapolation (throws)
/// @param  fan  fan at fixed speed
/// @param  flow  volume flow at the fan [m3/s], within the table
/// @param  air  air at the fan
/// @return pressure [Pa]
/// @throws DomainError if the flow lies outside the table or the air's density is not > 0
/// @source fan laws at constant speed (Abulencia and Theodore, ch. 17); test: airflow/fan_test.cpp
template <class T>
BasicPressure<T> fan_pressure(const FanCurve& fan, BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    detail::check_fan_flow(fan, flow.value(), air, "fan_pressure(FanCurve)");
    return BasicPressure<T>::from_value(
        detail::fan_pressure_value(fan, flow.value(), detail::fan_density_ratio(fan.stated_air(), air)));
}
template <Deferred...>
inline Pressure fan_pressure(const FanCurve& fan, VolumeFlow flow, const AirState& air) {
    return fan_pressure<double>(fan, flow, air);
}

/// Power of a fan at fixed speed, as its table states it (electric or shaft).
///
/// Equation: P = (rho / rho0) P0(Q)
/// Symbols:  P power [W], otherwise as fan_pressure; for electric power the motor's efficiency is taken as unchanged
/// Validity: as fan_pressure
/// @param  fan  fan at fixed speed
/// @param  flow  volume flow at the fan [m3/s], within the table
/// @param  air  air at the fan
/// @return power [W]; empty if the table has none
/// @throws DomainError as fan_pressure
/// @source as fan_pressure; test: airflow/fan_test.cpp
template <class T>
std::optional<BasicPower<T>> fan_power(const FanCurve& fan, BasicVolumeFlow<T> flow, const BasicAirState<T>& air) {
    detail::check_fan_flow(fan, flow.value(), air, "fan_power(FanCurve)");
    if (!fan.power_curve()) return std::nullopt;
    return BasicPower<T>::from_value(detail::fan_density_ratio(fan.stated_air(), air) *
                                     T(fan.power_curve()->value(flow.value())));
}
template <Deferred...>
inline std::optional<Power> fan_power(const FanCurve& fan, VolumeFlow flow, const AirState& air) {
    return fan_power<double>(fan, flow, air);
}

}   // namespace filterflow
