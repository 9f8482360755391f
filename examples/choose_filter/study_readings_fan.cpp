// SPDX-License-Identifier: BSL-1.0

#include "study_readings.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

std::string fan_header(std::string_view pressure) {
    return fmt::format("flow [cfm],{}pressure [inH2O],power [W]", pressure.empty() ? "" : std::string(pressure) + " ");
}

std::vector<FanPoint> fan_points(const CsvTable& table, FanPressureKind kind) {
    const char* names[] = {"total pressure", "static pressure", "external static pressure"};
    const std::string own = names[static_cast<std::size_t>(kind)];
    for (const char* name : names) {
        if (own != name && table.find_column(name)) {
            throw DataError(table.place(table.columns()[*table.find_column(name)].header),
                            fmt::format("the table states the {}, the study file says '{}'", name, own),
                            "write in the study file which pressure the fan table states: pressure = \"total\", "
                            "\"static\" or \"external static\"");
        }
    }
    table.refuse_unknown_columns({"flow", "pressure", own, "power", "note"});
    const std::size_t flow = table.column("flow");
    const auto stated = table.find_column(own);
    const std::size_t pressure = stated ? *stated : table.column("pressure");
    const auto power = table.find_column("power");
    table.require_rows(2, "a fan table");
    std::vector<FanPoint> points;
    double best_efficiency = 0.0;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        FanPoint point;
        point.flow = table.quantity<VolumeFlow>(row, flow);
        point.pressure = table.quantity<Pressure>(row, pressure);
        if (point.flow.value() < 0.0) table.refuse_value(row, flow, "is negative", "0 {} or more");
        if (point.pressure.value() < 0.0) {
            table.refuse_value(row, pressure, "is negative", "0 {} or more",
                               "a fan table states pressures that the fan makes, 0 or more");
        }
        if (power) {
            if (table.is_empty(row, *power)) {
                table.refuse(row, *power, "this row has no power, others have",
                             "state the power in every row, or leave the column out");
            }
            point.power = table.quantity<Power>(row, *power);
            if (!(point.power->value() > 0.0)) table.refuse_value(row, *power, "is not above 0", "above 0 {}");
            const Power air_power = point.flow * point.pressure;
            best_efficiency = std::max<double>(best_efficiency, air_power / *point.power);
            if (air_power > *point.power) {
                table.refuse_value(row, *power,
                                   fmt::format("is less than the air gets in this row, {:.3g} W (flow times pressure): "
                                               "an efficiency of {:.3g} %",
                                               air_power.value(), 100.0 * (air_power / *point.power)),
                                   fmt::format("at least {:.3g} {{}}, an efficiency of 100 % or less",
                                               air_power.value() / table.unit_of<Power>(*power)),
                                   "fans and their motors reach 20 to 70 %; check the units of flow, pressure and "
                                   "power in the header");
            }
        }
        for (std::size_t before = 0; before < row; ++before) {
            if (points[before].flow == point.flow && points[before].pressure == point.pressure) {
                table.refuse(row, flow, fmt::format("this point is the same as that of {}", table.origin(before)),
                             "remove one of the two rows");
            }
        }
        points.push_back(point);
    }
    if (power && best_efficiency > 0.0 && best_efficiency < 1e-3) {
        const FanPoint& last = points.back();
        const double air_power = last.flow.value() * last.pressure.value();
        table.refuse_value(
            points.size() - 1, *power,
            fmt::format("is thousands of times what the air gets, {:.3g} W in this row (flow times pressure): no "
                        "row has an efficiency of 0.1 %",
                        air_power),
            fmt::format("up to {:.3g} {{}}, an efficiency of 0.1 % or more",
                        1e3 * air_power / table.unit_of<Power>(*power)),
            "is the power in W where the header says kW, or the pressure in another unit?");
    }
    return points;
}

}   // namespace choose_filter
