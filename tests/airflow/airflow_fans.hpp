// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fan tables from tests/reference/fan_curves.csv, for the tests of this room.

#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/units.hpp>

#include "support/reference.hpp"

namespace filterflow::test {

inline FanTable reference_fan_table(const std::string& fan_id) {
    using namespace filterflow::units;
    FanTable table;
    table.stated_air = fan_table_air();
    for (const auto& row : ReferenceTable("fan_curves.csv")) {
        if (row["fan_id"] != fan_id) continue;
        FanPoint point{row.number("flow_m3_s") * m3_per_s, row.number("pressure_Pa") * Pa, std::nullopt};
        if (row.has("power_W")) point.power = row.number("power_W") * W;
        table.points.push_back(point);
    }
    return table;
}

}   // namespace filterflow::test
