// SPDX-License-Identifier: BSL-1.0
// The belt-driven fan of one air handler at other speeds and at other altitudes, against ducts and a filter; what its
// power goes into; and the same wheel on three kinds of motor as the filter loads. All data are invented; the building,
// the Tern Lane Arts Centre, does not exist.
// Power rises with the cube of speed: a larger pulley overloads the motor. Current and speed on the nameplates decide.
#include <cstdio>
#include <utility>
#include <vector>

#include <filterflow/airflow/constant_airflow_motor.hpp>
#include <filterflow/airflow/driven_fan.hpp>
#include <filterflow/airflow/fan_efficiency.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/operating_point.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// At 900 rpm, with the power at the shaft.
FanTable printed_table() {
    FanTable table{.kind = FanPressureKind::external_static, .stated_air = fan_test_air(),
                   .power_kind = FanPowerKind::shaft, .stated_speed = 900 * rpm};
    const double rows[][3] = {{0.0, 520, 420},  {0.4, 545, 610},  {0.8, 505, 800}, {1.1, 425, 920},
                              {1.4, 300, 1000}, {1.7, 130, 1040}, {1.85, 30, 1040}};
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    return table;
}

void print_efficiencies(const FanTable& table) {
    // Belt, motor and controller are each stated; there is no controller, so it passes everything.
    const DriveTrain train{.drive = 0.94, .motor = 0.80, .controller = 1.0};
    const FanAreas openings{.inlet = 0.36 * m2, .outlet = 0.16 * m2};
    const FanCurve shaft = fan_curve(table), wire = fan_curve(electric_fan_table(table, train));
    const FanCurve total = fan_curve(fan_table_of_kind(table, FanPressureKind::total, openings));
    std::printf("\n%6s  %9s %9s  %9s %9s  %10s  %9s\n", "flow", "ext. st.", "total", "eff. st.", "eff. tot.",
                "electric", "wire to");
    std::printf("%6s  %9s %9s  %9s %9s  %10s  %9s\n", "m3/s", "Pa", "Pa", "-", "-", "W", "air, tot.");
    const AirState air = fan_test_air();
    for (const double q : {0.4, 0.8, 1.1, 1.4, 1.7}) {
        const VolumeFlow flow = q * m3_per_s;
        const FanEfficiencies fan = fan_efficiencies(shaft, flow, air, openings);
        std::printf("%6.2f  %9.1f %9.1f  %9.3f %9.3f  %10.0f  %9.3f\n", q, fan_pressure(shaft, flow, air) / Pa,
                    fan_pressure(total, flow, air) / Pa, *fan.static_pressure, *fan.total,
                    *fan_power(wire, flow, air) / W, *fan_efficiencies(wire, flow, air, openings).total);
    }
    const FanPoint rated = table.points[3];
    const FanPoint larger = fan_point_at(rated, {.speed = 0.8, .diameter = 1.25});
    std::printf("a similar fan 1.25 times as large at 0.8 times the speed: %.2f m3/s for %.2f, %.0f Pa, %.0f W\n",
                larger.flow / m3_per_s, rated.flow / m3_per_s, larger.pressure / Pa, *larger.power / W);
    std::printf("a model of a quarter the size has the same Reynolds number in the same air at %.0f times the speed\n",
                speed_ratio_at_equal_reynolds_number({.diameter = 0.25}));
}

/// The same wheel on three motors, all but the low tap of which give about 1.28 m3/s with the clean filter.
void print_motors(const FanTable& table, const SystemCurve& ducts) {
    const AirState air = fan_test_air();
    const FanTransmission belt{.speed_ratio = 0.625, .efficiency = 0.94};
    const InductionMotor induction{.synchronous_speed = 1500 * rpm, .rated_speed = 1430 * rpm, .rated_power = 1.1 * kW,
                                   .rated_efficiency = 0.80, .breakdown_torque_ratio = 2.2};
    const ConstantTorqueMotor torque{
        .power = 1.03 * kW, .speed = 1440 * rpm, .greatest_speed = 1750 * rpm, .efficiency = 0.84};
    const ConstantAirflowMotor airflow{
        .held = 1.285 * m3_per_s, .greatest_speed = 1800 * rpm, .greatest_power = 1.4 * kW, .efficiency = 0.84};
    struct Driven {
        const char* name;
        Fan fan;
    };
    std::vector<Driven> motors;
    for (const SpeedTap& tap : {SpeedTap{"high", 1.0}, SpeedTap{"low", 0.3}}) {
        motors.push_back({tap.name == "high" ? "induction, high tap" : "induction, low tap",
                          fan_curve(fan_on_induction_motor(table, induction, tap, belt, air).table)});
    }
    motors.push_back({"constant torque", fan_curve(fan_on_constant_torque_motor(table, torque, belt, air).table)});
    const AirflowHoldingFan held = fan_on_constant_airflow_motor(table, airflow, belt, air);
    motors.push_back({"constant airflow", held.fan});
    std::printf("\nelectric power; the filter's resistance times 1, 2, 3 and 4\n%-20s", "");
    for (int load = 1; load <= 4; ++load) std::printf("   m3/s     W");
    std::printf("\n");
    for (const Driven& motor : motors) {
        std::printf("%-20s", motor.name);
        for (const double load : {1.0, 2.0, 3.0, 4.0}) {
            const ElementCurve filter{load * 90 * Pa_s_per_m3, load * 16 * Pa_s2_per_m6, duct_design_air()};
            const OperatingPoint point = operating_point(motor.fan, in_series(ducts, filter), air);
            std::printf("  %5.3f %5.0f", point.flow() / m3_per_s, *point.power() / W);
        }
        std::printf("\n");
    }
    std::printf("the last holds %.3f m3/s up to %.0f Pa, where it is at its greatest %s\n",
                held.fan.held_flow() / m3_per_s, held.fan.give_up_pressure() / Pa,
                held.limit == AirflowLimit::power ? "power" : "speed");
}

}   // namespace

int main() {
    const FanTable table = printed_table();
    SystemCurve ducts = system_from_design_point(
        {.flow = 1.2 * m3_per_s, .pressure = 185 * Pa, .exponent = 2.0, .air = duct_design_air()});
    const ElementCurve filter{90 * Pa_s_per_m3, 16 * Pa_s2_per_m6, duct_design_air()};
    const SystemCurve with_filter = in_series(ducts, filter);
    const AirState air = fan_test_air();

    std::printf("invented data; the air of the fan's table, 1.2 kg/m3; power at the shaft\n\n");
    std::printf("%-6s  %-32s  %s\n", "rpm", "ducts alone (quadratic)", "ducts and filter");
    std::printf("%-6s  %6s %7s %7s %9s  %6s %7s %7s %9s\n", "", "m3/s", "Pa", "W", "J/m3", "m3/s", "Pa", "W", "J/m3");
    for (const double speed : {630.0, 720.0, 810.0, 900.0, 990.0, 1080.0}) {
        const FanCurve fan = fan_curve(fan_table_at_speed(table, speed * rpm));
        std::printf("%6.0f", speed);
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
        "the power at the shaft follows density; what heats or cools is mass\n");
    print_efficiencies(table);
    print_motors(table, ducts);
    return 0;
}

