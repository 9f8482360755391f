// SPDX-License-Identifier: BSL-1.0
// A fan whose curve dips, as some forward-curved and axial ones do, against a supply into a space held above its
// surroundings: they meet three times. Fan and system are synthetic, made to show it.
// A fan in such a dip may surge, and its motor overheat: keep it out of there.
#include <cstdio>
#include <optional>
#include <string>

#include <filterflow/airflow/operating_point.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = fan_test_air();
    FanTable table{.kind = FanPressureKind::static_pressure, .stated_air = air};
    const double pressures[] = {360, 320, 304, 320, 360, 392, 400, 376, 312, 200, 8};   // Pa, each 0.2 m3/s
    for (int i = 0; i <= 10; ++i) table.points.push_back({0.2 * i * m3_per_s, pressures[i] * Pa, std::nullopt});
    const FanCurve fan = fan_curve(table);
    for (const FlowRange& part : fan.rising_parts()) {
        std::printf("# the fan's pressure rises with flow from %.1f to %.1f m3/s: risk of stall and surge\n",
                    part.lower / m3_per_s, part.upper / m3_per_s);
    }

    SystemCurve system{.constant_pressure = 310 * Pa};
    system.elements.push_back({0 * Pa_s_per_m3, 5 * Pa_s2_per_m6, duct_design_air()});

    std::printf("# synthetic: flow [m3/s], fan [Pa], system [Pa]\n");
    for (int i = 0; i <= 40; ++i) {
        const VolumeFlow flow = 0.05 * i * m3_per_s;
        std::printf("%5.2f %6.1f %6.1f\n", flow / m3_per_s, fan_pressure(fan, flow, air) / Pa,
                    pressure_drop(system, flow, air) / Pa);
    }

    for (const bool stable : {true, false}) {
        std::printf("\n\n# crossings that are %s: flow [m3/s], pressure [Pa]\n", stable ? "stable" : "not stable");
        for (const Crossing& c : operating_point(fan, system, air).crossings) {
            if (c.stable == stable) std::printf("%6.4f %6.2f\n", c.flow / m3_per_s, c.pressure / Pa);
        }
    }

    // What a step of the system's constant part does: crossings appear and vanish in pairs.
    std::printf("\n\n# constant part [Pa], crossings, chosen flow [m3/s] or status\n");
    for (const double constant : {290.0, 300.0, 310.0, 330.0, 358.0, 380.0, 400.0}) {
        system.constant_pressure = constant * Pa;
        const OperatingPoint point = operating_point(fan, system, air);
        std::printf("# %3.0f %zu ", constant, point.crossings.size());
        if (point.found()) {
            std::printf("%.4f\n", point.flow() / m3_per_s);
        } else {
            std::printf("%s\n", std::string(status_text(point.status)).c_str());
        }
    }
    return 0;
}
