// SPDX-License-Identifier: BSL-1.0
// The belt-driven fan of one air handler at other speeds and at other altitudes, against ducts and a filter. All data
// are invented; the building, the Tern Lane Arts Centre, does not exist.
// Power rises with the cube of speed: a larger pulley overloads the motor. Current and speed on the nameplates decide.
#include <cstdio>
#include <utility>

#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/operating_point.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    FanTable table{.kind = FanPressureKind::external_static, .stated_air = fan_test_air()};
    const double rows[][3] = {{0.0, 520, 420},  {0.4, 545, 610},  {0.8, 505, 800}, {1.1, 425, 920},
                              {1.4, 300, 1000}, {1.7, 130, 1040}, {1.85, 30, 1040}};
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    SystemCurve ducts = system_from_design_point(
        {.flow = 1.2 * m3_per_s, .pressure = 185 * Pa, .exponent = 2.0, .air = duct_design_air()});
    const ElementCurve filter{90 * Pa_s_per_m3, 16 * Pa_s2_per_m6, duct_design_air()};
    const SystemCurve with_filter = in_series(ducts, filter);
    const AirState air = fan_test_air();

    std::printf("invented data; the air of the fan's table, 1.2 kg/m3\n\n");
    std::printf("%-6s  %-32s  %s\n", "speed", "ducts alone (quadratic)", "ducts and filter");
    std::printf("%-6s  %6s %7s %7s %9s  %6s %7s %7s %9s\n", "", "m3/s", "Pa", "W", "J/m3", "m3/s", "Pa", "W", "J/m3");
    for (const double speed : {0.7, 0.8, 0.9, 1.0, 1.1, 1.2}) {
        const FanCurve fan = fan_curve(fan_table_at(table, {.speed = speed}));
        std::printf("%6.2f", speed);
        for (const SystemCurve* system : {&std::as_const(ducts), &with_filter}) {
            const OperatingPoint point = operating_point(fan, *system, air);
            std::printf("  %6.3f %7.1f %7.0f %9.0f", point.flow() / m3_per_s, point.pressure() / Pa, *point.power() / W,
                        (*point.power() / W) / (point.flow() / m3_per_s));
        }
        std::printf("\n");
    }
    std::printf(
        "against a quadratic system the flow follows speed and power its cube; a filter, partly viscous, bends that\n");

    // The fan moves the same volume of thin air, and less mass; the filter's viscous part does not thin.
    std::printf("\n%8s %7s  %6s %7s %7s %7s %10s\n", "altitude", "kg/m3", "m3/s", "kg/s", "Pa", "W", "filter, Pa");
    const FanCurve fan = fan_curve(table);
    for (const double altitude : {0.0, 500.0, 1000.0, 1500.0, 2000.0, 2500.0, 3000.0}) {
        const AirState there = moist_air({.temperature = from_celsius(20),
                                          .pressure = standard_pressure_at(altitude * m),
                                          .relative_humidity = 0.4});
        const OperatingPoint point = operating_point(fan, with_filter, there);
        const double q = point.flow() / m3_per_s;
        std::printf("%6.0f m %7.4f  %6.3f %7.3f %7.1f %7.0f %10.1f\n", altitude, there.density.value(), q,
                    q * there.density.value(), point.pressure() / Pa, *point.power() / W,
                    pressure_drop(filter, point.flow(), there) / Pa);
    }
    std::printf(
        "electric power follows density only while the motor's efficiency stays; what heats or cools is mass\n");

    const FanPoint rated{1.2 * m3_per_s, 387 * Pa, 945 * W};
    const FanDuty duty{rated.flow, rated.pressure};
    std::printf("\none point, %.1f m3/s at %.0f Pa for %.0f W: the air gets %.0f W, %.1f %% static, wire to air\n",
                duty.flow / m3_per_s, duty.pressure / Pa, *rated.power / W, power_of_duty(duty, 1.0) / W,
                100 * efficiency_of_duty(duty, *rated.power));
    const FanPoint larger = fan_point_at(rated, {.speed = 0.8, .diameter = 1.25});
    std::printf("a similar fan 1.25 times as large at 0.8 times the speed: %.2f m3/s, %.0f Pa, %.0f W\n",
                larger.flow / m3_per_s, larger.pressure / Pa, *larger.power / W);
    std::printf("a model of a quarter the size has the same Reynolds number in the same air at %.0f times the speed\n",
                speed_ratio_at_equal_reynolds_number({.diameter = 0.25}));
    return 0;
}
