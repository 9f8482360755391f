// SPDX-License-Identifier: BSL-1.0
#pragma once

// Random fan tables, some with a rising part, for the tests of this room.

#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::test {

/// Seven rows from no flow on, total pressure from 300 to 600 Pa down to none, some power, and air of any density.
inline FanCurve random_fan(std::mt19937_64& random, bool falling) {
    using namespace filterflow::units;
    std::uniform_real_distribution<double> any(0.0, 1.0);
    FanTable table{.kind = FanPressureKind::total, .stated_air = fan_table_air(), .power_kind = FanPowerKind::shaft};
    table.stated_air.density *= 0.7 + 0.6 * any(random);
    double flow = 0.0, pressure = 300.0 + 300.0 * any(random);
    for (int i = 0; i < 7; ++i) {
        table.points.push_back({flow * m3_per_s, pressure * Pa, (200.0 + 400.0 * any(random)) * W});
        flow += 0.05 + 0.3 * any(random);
        // Without `falling` the second and third steps may rise.
        const double step = any(random) * pressure * 0.45 + 1.0;
        pressure += !falling && (i == 1 || i == 2) && any(random) < 0.7 ? 0.5 * step : -step;
        if (i == 5) pressure = 0.0;
    }
    return fan_curve(table);
}

}   // namespace filterflow::test
