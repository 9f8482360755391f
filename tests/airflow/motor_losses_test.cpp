// SPDX-License-Identifier: BSL-1.0
// What a motor loses at part of its load.

#include <cmath>
#include <map>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/motor_losses.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

PartLoadMotor small_motor() {
    return {.rated_power = 750 * W, .full_load_efficiency = 0.75, .half_load_efficiency = 0.979 * 0.75};
}

}   // namespace

TEST_CASE("a motor known at two loads has the efficiencies of its class between them", "[outside]") {
    // tests/reference/motor_part_load.csv: three classes; their efficiencies at full load, invented, hardly matter.
    const test::ReferenceTable table("motor_part_load.csv");
    const std::map<std::string, double> full_load{{"up to 1 hp", 0.75}, {"1.5 to 5 hp", 0.82}, {"10 hp", 0.885}};
    for (const auto& [name, full] : full_load) {
        std::map<double, double> published;
        Power rated{};
        for (const auto& row : table) {
            if (row["motor"] != name) continue;
            published[row.number("load")] = row.number("efficiency_over_full_load");
            rated = row.number("rated_W") * W;
        }
        REQUIRE(published.size() == 4);
        const PartLoadMotor motor{
            .rated_power = rated, .full_load_efficiency = full, .half_load_efficiency = published.at(0.5) * full};
        const auto found = [&, whole = full](double load) { return motor_efficiency(motor, load * rated) / whole; };
        INFO(name << ": " << found(0.25) << " at a quarter of the load, " << found(0.75) << " at three quarters");
        CHECK(found(0.75) == Approx(published.at(0.75)).epsilon(0.02));
        // As documented: outside the range, where it may be too good.
        CHECK((found(0.25) > 0.98 * published.at(0.25) && found(0.25) < 1.17 * published.at(0.25)));
        CHECK_FALSE(motor_load_range(motor, 0.25 * rated).inside());
    }
}

TEST_CASE("a motor's losses give back both stated efficiencies", "[own]") {
    const PartLoadMotor motor = small_motor();
    CHECK(motor_efficiency(motor, 750 * W) == Approx(0.75).epsilon(1e-14));
    CHECK(motor_efficiency(motor, 375 * W) == Approx(0.979 * 0.75).epsilon(1e-14));
    const MotorLosses losses = motor_losses(motor);
    CHECK((losses.fixed + losses.at_full_load) / W == Approx(250.0).epsilon(1e-13));
    CHECK(motor_input_power(motor, 0 * W) / W == Approx(losses.fixed / W).epsilon(1e-14));
    CHECK(motor_efficiency(motor, 0 * W) == 0.0);
    // Best where the losses are equal (derivative of the equation).
    const double best = std::sqrt(losses.fixed / losses.at_full_load);
    for (const double step : {0.99, 1.01}) {
        CHECK(motor_efficiency(motor, best * 750 * W) > motor_efficiency(motor, step * best * 750 * W));
    }
    CHECK(motor_load_range(motor, 100 * W).inside() == false);
    CHECK(motor_load_range(motor, 500 * W).inside());
}

TEST_CASE("a fan table's shaft powers become electric ones by load", "[own]") {
    const FanTable shaft{.points = {{0.2 * m3_per_s, 300 * Pa, 200 * W}, {0.8 * m3_per_s, 100 * Pa, 600 * W}},
                         .kind = FanPressureKind::total,
                         .stated_air = fan_table_air(),
                         .power_kind = FanPowerKind::shaft};
    const PartLoadDriveTrain train{.drive = 0.95, .motor = small_motor(), .controller = 0.98};
    const FanTable electric = electric_fan_table(shaft, train);
    CHECK(electric.power_kind == FanPowerKind::electric);
    for (std::size_t i = 0; i < 2; ++i) {
        const Power motor_shaft = *shaft.points[i].power / 0.95;
        const double efficiency = motor_efficiency(train.motor, motor_shaft);
        const DriveTrain same{.drive = 0.95, .motor = efficiency, .controller = 0.98};
        CHECK(*electric.points[i].power / W == Approx(electric_power(*shaft.points[i].power, same) / W).epsilon(1e-14));
    }
    // At a quarter of its load the motor is worse than at three quarters.
    const auto of_row = [&](std::size_t i) { return *shaft.points[i].power / *electric.points[i].power; };
    CHECK(of_row(0) < of_row(1));
}

TEST_CASE("a motor that is not stated, or would need a negative loss, is refused", "[own]") {
    CHECK_THROWS_WITH(motor_losses({.rated_power = 750 * W, .full_load_efficiency = 0.75}),
                      Contains("half_load_efficiency = 0") && Contains("stated, above 0 and below 1"));
    CHECK_THROWS_WITH(
        motor_losses({.rated_power = 750 * W, .full_load_efficiency = 0.75, .half_load_efficiency = 0.55}),
        Contains("from 0.6 to 0.857143"));
    CHECK_THROWS_WITH(motor_losses({.rated_power = 750 * W, .full_load_efficiency = 0.75, .half_load_efficiency = 0.9}),
                      Contains("half_load_efficiency = 0.9"));
    CHECK_THROWS_AS(motor_losses({.full_load_efficiency = 0.75, .half_load_efficiency = 0.7}), DomainError);
    CHECK_THROWS_WITH(motor_efficiency(small_motor(), -1 * W), Contains("shaft_power = -1 W"));
    FanTable table{.points = {{0.2 * m3_per_s, 300 * Pa, 200 * W}, {0.8 * m3_per_s, 100 * Pa, 600 * W}},
                   .kind = FanPressureKind::total, .stated_air = fan_table_air(), .power_kind = FanPowerKind::electric};
    const PartLoadDriveTrain train{.drive = 1.0, .motor = small_motor(), .controller = 1.0};
    CHECK_THROWS_WITH(electric_fan_table(table, train), Contains("does not state shaft powers"));
    table.power_kind = FanPowerKind::shaft;
    CHECK_THROWS_WITH(electric_fan_table(table, PartLoadDriveTrain{.drive = 1.0, .motor = small_motor()}),
                      Contains("efficiency of the controller"));
}
