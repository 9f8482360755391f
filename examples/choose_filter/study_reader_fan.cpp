// SPDX-License-Identifier: BSL-1.0

#include "study_reader_parts.hpp"

#include <fmt/format.h>

#include <filterflow/airflow/flow_holding_fan.hpp>

#include "study_readings.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

FanPressureKind pressure_kind(const TomlTable& fan) {
    static const std::vector<std::string> kinds = {"total", "static", "external static"};
    const auto kind = fan.choice("pressure", kinds);
    if (!kind) fan.refuse_missing("pressure", "\"static\" (or \"total\", or \"external static\")");
    return static_cast<FanPressureKind>(*kind);
}

}   // namespace

FanTable fan_table(const StudyReading& reading, const TomlTable& fan, FanControl control) {
    FanTable table;
    table.kind = pressure_kind(fan);
    table.stated_air = reading.stated_air_or_standard(fan, "stated_air");
    static const char* const words[] = {"total", "static", "external static"};
    const CsvTable csv = reading.table_file(fan, "table", fan_header(words[static_cast<std::size_t>(table.kind)]));
    table.points = fan_points(csv, table.kind);
    // One flow (for a drive that holds the flow: one pressure) has one row.
    for (std::size_t row = 0; row < table.points.size(); ++row) {
        for (std::size_t before = 0; before < row; ++before) {
            const FanPoint& a = table.points[before];
            const FanPoint& b = table.points[row];
            const bool same = control == FanControl::fixed_speed ? a.flow == b.flow : a.pressure == b.pressure;
            if (!same) continue;
            csv.refuse(row, csv.column("flow"),
                       fmt::format("this row contradicts {}: one {}, two {}", csv.origin(before),
                                   control == FanControl::fixed_speed ? "flow" : "pressure",
                                   control == FanControl::fixed_speed ? "pressures" : "flows"),
                       control == FanControl::fixed_speed
                           ? "a fan at one speed makes one pressure at a flow; if its drive holds the airflow, set "
                             "control = \"holds airflow\""
                           : "a drive that holds the airflow gives one flow at a pressure; keep one of the rows");
        }
    }
    try {
        if (control == FanControl::fixed_speed) {
            fan_curve(table);
        } else {
            flow_holding_fan(table);
        }
    } catch (const DomainError& error) {
        throw DataError(csv.place(csv.columns()[csv.column("flow")].header),
                        fmt::format("not a fan table: {}", without_function_names(error.what())));
    }
    return table;
}

FanDescription fan_description(const TomlTable& fan) {
    FanDescription description;
    if (fan.has("speed_tap")) description.speed_tap = fan.required_text("speed_tap");
    static const std::vector<std::string> motors = {"induction", "electronically commutated, constant torque",
                                                    "electronically commutated, constant airflow"};
    if (const auto motor = fan.choice("motor", motors)) description.motor = static_cast<MotorKind>(*motor);
    return description;
}

}   // namespace choose_filter
