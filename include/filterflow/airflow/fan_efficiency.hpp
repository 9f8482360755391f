// SPDX-License-Identifier: BSL-1.0
#pragma once

// How much of its power a fan gives to the air, in total and in static pressure, and the way from the wire to the air
// through controller, motor and drive. Every part has to be stated: one that is not there has efficiency 1.

#include <optional>
#include <string>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/fan_pressure_kinds.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// What stands between the supply and a fan's shaft. A part that is not stated (zero) is refused; one that is not there
/// is stated as 1.
struct DriveTrain {
    double drive = 0.0;        ///< belt or coupling, > 0 to 1; a wheel on the motor's shaft: 1
    double motor = 0.0;        ///< shaft power over input, > 0 to 1, at the load at hand
    double controller = 0.0;   ///< speed drive or electronics, > 0 to 1; none: 1
};

/// Efficiencies of a fan at one flow. A static one needs the table's kind or the areas to allow it.
struct FanEfficiencies {
    std::optional<double> total;              ///< of the fan total pressure [-]; empty: the areas are not known
    std::optional<double> static_pressure;    ///< of the fan static pressure [-]; empty: the areas are not known
    FanPowerKind of = FanPowerKind::shaft;    ///< shaft: of the fan alone; electric: from the wire to the air
};

namespace detail {
template <Deferred...>
inline double stated_efficiency(const char* where, const char* part, double value) {
    if (!(value > 0.0 && value <= 1.0)) {
        std::string name = "efficiency of the ";
        name += part;
        throw_domain_error(where, name, value, "-", "stated, > 0 and at most 1 (1 for a part that is not there)");
    }
    return value;
}
template <Deferred...>
inline double drive_train_efficiency(const DriveTrain& train, const char* where) {
    return stated_efficiency(where, "drive", train.drive) * stated_efficiency(where, "motor", train.motor) *
           stated_efficiency(where, "controller", train.controller);
}

/// A table whose shaft powers become what `electric` makes of each.
template <class Electric>
FanTable with_electric_powers(FanTable table, const char* where, const Electric& electric) {
    if (table.power_kind != FanPowerKind::shaft) {
        throw DomainError(std::string(where) + ": the table does not state shaft powers; required: power_kind shaft");
    }
    for (FanPoint& point : table.points) {
        if (!point.power) throw DomainError(std::string(where) + ": a row has no power; required: power in every row");
        point.power = electric(*point.power);
    }
    table.power_kind = FanPowerKind::electric;
    return table;
}
}   // namespace detail

/// Efficiency from the wire to the fan's shaft.
///
/// Equation: eta = eta_drive eta_motor eta_controller
/// Symbols:  eta efficiencies of the parts at the load at hand
/// Validity: parts in a row, each > 0 to 1
/// @param  train  every part stated
/// @return efficiency [-]
/// @throws DomainError if a part is not stated or not an efficiency
/// @source definition of efficiency; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline double drive_train_efficiency(const DriveTrain& train) {
    return detail::drive_train_efficiency(train, "drive_train_efficiency");
}

/// Efficiency from the wire to the air.
///
/// Equation: eta = eta_fan eta_drive eta_motor eta_controller
/// Symbols:  eta efficiencies; the fan's total or static, and the result is of that kind
/// Validity: parts in a row, each > 0 to 1
/// @param  fan_efficiency  air power over shaft power, > 0 to 1
/// @param  train  every other part stated
/// @return efficiency [-]
/// @throws DomainError if a part is not stated or not an efficiency
/// @source definition of efficiency; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline double wire_to_air_efficiency(double fan_efficiency, const DriveTrain& train) {
    constexpr auto where = "wire_to_air_efficiency";
    return detail::stated_efficiency(where, "fan", fan_efficiency) * detail::drive_train_efficiency(train, where);
}

/// Power drawn from the supply for a power at the fan's shaft.
///
/// Equation: P_el = P_shaft / (eta_drive eta_motor eta_controller)
/// Symbols:  P powers [W], eta efficiencies
/// Validity: as drive_train_efficiency
/// @param  shaft_power  at the fan's shaft [W], >= 0
/// @param  train  every part stated
/// @return electric power [W]
/// @throws DomainError as drive_train_efficiency, or if the power is negative
/// @source definition of efficiency; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline Power electric_power(Power shaft_power, const DriveTrain& train) {
    constexpr auto where = "electric_power";
    const double p = detail::require_non_negative(where, "shaft_power", shaft_power.value(), "W");
    return Power::from_value(p / detail::drive_train_efficiency(train, where));
}

/// Power at the fan's shaft of a power drawn from the supply.
///
/// Equation: P_shaft = P_el eta_drive eta_motor eta_controller
/// Symbols:  P powers [W], eta efficiencies
/// Validity: as drive_train_efficiency
/// @param  electric_power  drawn from the supply [W], >= 0
/// @param  train  every part stated
/// @return shaft power [W]
/// @throws DomainError as drive_train_efficiency, or if the power is negative
/// @source definition of efficiency; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline Power shaft_power(Power electric_power, const DriveTrain& train) {
    constexpr auto where = "shaft_power";
    const double p = detail::require_non_negative(where, "electric_power", electric_power.value(), "W");
    return Power::from_value(p * detail::drive_train_efficiency(train, where));
}

/// A fan table whose shaft powers are made electric ones.
///
/// Equation: as electric_power, row by row with the same efficiencies
/// Symbols:  as electric_power
/// Validity: efficiencies that hold at every row; a motor's that follows its load: motor_losses.hpp
/// @param  table  fan table that states shaft powers
/// @param  train  every part stated
/// @return the table with electric powers
/// @throws DomainError if the table does not state shaft powers, or as electric_power
/// @source as electric_power; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline FanTable electric_fan_table(FanTable table, const DriveTrain& train) {
    constexpr auto where = "electric_fan_table";
    return detail::with_electric_powers(std::move(table), where,
                                        [&](Power shaft) { return electric_power(shaft, train); });
}

/// Total and static efficiency of a fan at a flow.
///
/// Equation: eta_t = Q p_t / P, eta_s = Q p_s / P
/// Symbols:  Q volume flow, p_t fan total pressure, p_s fan static pressure, P power
/// Validity: flows of the table; incompressible (below about 2.5 kPa). A value above one says that the table is wrong;
///           it is returned as it is
/// @param  fan  fan at fixed speed that states its kinds of pressure and power
/// @param  flow  volume flow at the fan [m3/s], within the table
/// @param  air  air at the fan
/// @param  areas  at inlet and outlet [m2], for the kind of pressure that the table does not state
/// @return efficiencies, of the fan alone or from the wire as the table's power is; one is empty where an area is
///         missing
/// @throws DomainError if a kind is not stated, the table has no power, or the flow lies outside it
/// @source definition of efficiency; test: airflow/fan_efficiency_test.cpp
template <Deferred...>
inline FanEfficiencies fan_efficiencies(const FanCurve& fan, VolumeFlow flow, const AirState& air,
                                        const FanAreas& areas = {}) {
    constexpr auto where = "fan_efficiencies";
    if (fan.power_kind() == FanPowerKind::not_stated || !fan.power_curve()) {
        throw DomainError(std::string(where) +
                          ": the fan's table states no power, or not whether it is at the shaft or "
                          "electric; required: both");
    }
    const FanPressureReading reading{flow, fan_pressure(fan, flow, air), fan.kind()};
    const Power power = *fan_power(fan, flow, air);
    FanEfficiencies result;
    result.of = fan.power_kind();
    const auto of_kind = [&](FanPressureKind kind) -> std::optional<double> {
        const bool needs_inlet = fan.kind() == FanPressureKind::external_static;
        const bool needs_outlet = (fan.kind() == FanPressureKind::total) != (kind == FanPressureKind::total);
        if ((needs_inlet && !areas.inlet) || (needs_outlet && !areas.outlet)) return std::nullopt;
        const Pressure p = fan_pressure_of_kind(reading, kind, areas, air);
        return flow.value() * p.value() / power.value();
    };
    result.total = of_kind(FanPressureKind::total);
    result.static_pressure = of_kind(FanPressureKind::static_pressure);
    return result;
}

}   // namespace filterflow
