// SPDX-License-Identifier: BSL-1.0
#pragma once

// The fan that several benchmarks share.

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/units.hpp>

/// Invented: a falling curve, 620 Pa at no flow, in ten points up to 1.2 m3/s and nothing there.
inline filterflow::FanCurve ten_point_fan() {
    using namespace filterflow::units;
    filterflow::FanTable table{.kind = filterflow::FanPressureKind::static_pressure,
                               .stated_air = filterflow::fan_table_air()};
    for (int i = 0; i < 10; ++i) {
        const double x = i / 9.0;
        table.points.push_back(
            {(1.2 * x) * m3_per_s, (620.0 * (1.0 - 0.25 * x - 0.75 * x * x * x)) * Pa, (300.0 + 250.0 * x) * W});
    }
    return filterflow::fan_curve(table);
}
