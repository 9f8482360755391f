// SPDX-License-Identifier: BSL-1.0
// Fan laws, power and efficiency: textbook examples.

#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan_laws.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("textbook examples of fan laws are met", "[outside]") {
    // tests/reference/airflow_checks.csv; sources there on each row.
    const test::ReferenceTable table("airflow_checks.csv");
    const auto expected = [&](const char* quantity) { return table.row("quantity", quantity).number("expected"); };
    SECTION("speed from 1694 to 2100 rpm (Abulencia and Theodore, Example 17.2)") {
        const FanPoint faster = fan_point_at({12200 * cfm, 5 * inH2O, 9.25 * hp}, {.speed = 2100.0 / 1694.0});
        CHECK(faster.flow / cfm == Approx(expected("fan law, speed: flow acfm")).epsilon(0.001));
        CHECK(faster.pressure / inH2O == Approx(expected("fan law, speed: SP in wg")).epsilon(0.001));
        CHECK(*faster.power / hp == Approx(expected("fan law, speed: bhp")).epsilon(0.001));
    }
    SECTION("half as much flow again (Solberg et al., Example 10.5)") {
        const double ratio = expected("fan law, capacity +50 %: rpm") / 400.0;
        const FanPoint faster = fan_point_at({1000 * cfm, 2 * inH2O, 4 * hp}, {.speed = ratio});
        CHECK(faster.flow / cfm == Approx(1500.0).epsilon(1e-9));
        CHECK(faster.pressure / inH2O == Approx(expected("fan law, capacity +50 %: SP in")).epsilon(1e-9));
        CHECK(*faster.power / hp == Approx(expected("fan law, capacity +50 %: hp")).epsilon(1e-9));
    }
    SECTION("a model test at equal Reynolds number (Douglas et al., ch. 9)") {
        const double speed = speed_ratio_at_equal_reynolds_number({.density = 1.3 / 0.92});
        CHECK(1400 * speed == Approx(expected("model test at equal Reynolds number: speed")).epsilon(0.001));
        const FanPoint model = fan_point_at({2 * m3_per_s, 200 * Pa, {}}, {.speed = speed, .density = 1.3 / 0.92});
        CHECK(model.flow / m3_per_s == Approx(expected("model test at equal Reynolds number: Q m3/s")).epsilon(0.001));
        CHECK(model.pressure / Pa == Approx(expected("model test at equal Reynolds number: dp Pa")).epsilon(0.001));
        CHECK_FALSE(model.power);
    }
}

TEST_CASE("published powers and efficiencies are met", "[outside]") {
    const test::ReferenceTable table("airflow_checks.csv");
    // Abulencia and Theodore, Example 17.3; the book's inch of water is a warmer one, hence 0.3 %.
    CHECK(power_of_duty({6500 * cfm, 10.8 * inH2O}, 0.63) / hp ==
          Approx(table.row("id", "brake power").number("expected")).epsilon(0.003));
    // 2 cfm/W is said to be an overall efficiency between 10 and 15 % (Walker 2006): so it is at 0.5 inH2O.
    const double efficiency = efficiency_of_duty({2 * cfm, 0.5 * inH2O}, 1 * W);
    CHECK(efficiency >= table.row("quantity", "least overall efficiency at 2 cfm/W").number("expected"));
    CHECK(efficiency <= table.row("quantity", "greatest overall efficiency at 2 cfm/W").number("expected"));
}

TEST_CASE("fan laws scale whole tables and compose", "[own]") {
    const FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    const FanTable changed = fan_table_at(table, {.speed = 1.2, .diameter = 0.9});
    const FanTable back = fan_table_at(changed, {.speed = 1 / 1.2, .diameter = 1 / 0.9});
    for (std::size_t i = 0; i < table.points.size(); ++i) {
        CHECK(changed.points[i].flow / m3_per_s ==
              Approx(table.points[i].flow / m3_per_s * 1.2 * 0.729).epsilon(1e-14));
        CHECK(changed.points[i].pressure / Pa == Approx(table.points[i].pressure / Pa * 1.44 * 0.81).epsilon(1e-14));
        CHECK(back.points[i].pressure / Pa == Approx(table.points[i].pressure / Pa).epsilon(1e-14).margin(1e-12));
        CHECK(*back.points[i].power / W == Approx(*table.points[i].power / W).epsilon(1e-14));
    }
    // Density applied by fan law or by the air at hand is the same thing.
    AirState thin = fan_table_air();
    thin.density *= 0.7;
    const FanPoint row = table.points[3];
    CHECK(fan_pressure(fan_curve(table), row.flow, thin) / Pa ==
          Approx(fan_point_at(row, {.density = 0.7}).pressure / Pa).epsilon(1e-14));
    CHECK(*fan_power(fan_curve(table), row.flow, thin) / W ==
          Approx(*fan_point_at(row, {.density = 0.7}).power / W).epsilon(1e-14));
}

TEST_CASE("fan laws compose, and undo themselves", "[own]") {
    std::mt19937_64 random(36);
    std::uniform_real_distribution<double> any(0.2, 3.0);
    const auto ratios = [&] {
        return FanRatios{.speed = any(random), .diameter = any(random), .density = any(random)};
    };
    const auto close = [](const FanPoint& a, const FanPoint& b) {
        CHECK(a.flow / m3_per_s == Approx(b.flow / m3_per_s).epsilon(1e-13));
        CHECK(a.pressure / Pa == Approx(b.pressure / Pa).epsilon(1e-13));
        CHECK(*a.power / W == Approx(*b.power / W).epsilon(1e-13));
    };
    for (std::size_t trial = 0; trial < test::sweep_length(200); ++trial) {
        const FanPoint point{any(random) * m3_per_s, 100 * any(random) * Pa, 500 * any(random) * W};
        const FanRatios a = ratios(), b = ratios();
        const FanPoint both = fan_point_at(fan_point_at(point, a), b);
        close(both, fan_point_at(point, {a.speed * b.speed, a.diameter * b.diameter, a.density * b.density}));
        close(fan_point_at(both, {1 / (a.speed * b.speed), 1 / (a.diameter * b.diameter), 1 / (a.density * b.density)}),
              point);
        // Efficiency is what the laws leave alone.
        CHECK(efficiency_of_duty({both.flow, both.pressure}, *both.power) ==
              Approx(efficiency_of_duty({point.flow, point.pressure}, *point.power)).epsilon(1e-13));
    }
}

TEST_CASE("tables know their speed and may be stated for other air", "[own]") {
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    CHECK_THROWS_WITH(fan_table_at_speed(table, 700 * rpm), Contains("states no speed"));
    table.stated_speed = 600 * rpm;
    const FanTable faster = fan_table_at_speed(table, 750 * rpm);
    CHECK(*faster.stated_speed / rpm == Approx(750.0).epsilon(1e-15));
    CHECK(faster.points[3].pressure / Pa == Approx(table.points[3].pressure / Pa * 1.5625).epsilon(1e-14));
    CHECK(*fan_table_at(table, {.speed = 0.9}).stated_speed / rpm == Approx(540.0).epsilon(1e-15));
    CHECK(*fan_curve(faster).stated_speed() / rpm == Approx(750.0).epsilon(1e-15));
    CHECK_THROWS_AS(fan_table_at_speed(table, 0 * rpm), DomainError);
    table.stated_speed = 0 * rpm;
    CHECK_THROWS_WITH(fan_curve(table), Contains("stated_speed"));
    table.stated_speed.reset();

    // Stated for other air or evaluated in it is the same.
    const AirState thin = moist_air({.temperature = from_celsius(35), .pressure = 80 * kPa, .relative_humidity = 0.3});
    const FanCurve restated = fan_curve(fan_table_in(table, thin)), as_printed = fan_curve(table);
    for (const double q : {0.0, 3.3, 12.0, 27.0}) {
        CHECK(fan_pressure(restated, q * m3_per_s, fan_table_air()) / Pa ==
              Approx(fan_pressure(as_printed, q * m3_per_s, fan_table_air()) / Pa).epsilon(1e-13));
        CHECK(fan_pressure(restated, q * m3_per_s, thin) / Pa ==
              Approx(fan_pressure(as_printed, q * m3_per_s, thin) / Pa).epsilon(1e-13));
    }
    CHECK_THROWS_AS(fan_table_in(table, AirState{}), DomainError);

    CHECK(fan_law_range({.speed = 1.0}).inside());
    const RangeStatus far = fan_law_range({.speed = 1.56});
    CHECK(far.crossed == RangeLimit::greatest);
    CHECK(far.beyond == Approx(0.2).epsilon(1e-12));
    CHECK_THROWS_AS(fan_law_range({.speed = 0.0}), DomainError);
}

TEST_CASE("fan laws refuse ratios that are none", "[own]") {
    const FanPoint point{1 * m3_per_s, 100 * Pa, {}};
    CHECK_THROWS_WITH(fan_point_at(point, {.speed = 0.0}), Contains("speed ratio = 0"));
    CHECK_THROWS_AS(fan_point_at(point, {.diameter = -1.0}), DomainError);
    CHECK_THROWS_AS(fan_table_at(test::reference_fan_table("dip_normalised"), {.density = 0.9}), DomainError);
    CHECK_THROWS_AS(power_of_duty({1 * m3_per_s, 100 * Pa}, 0.0), DomainError);
    CHECK_THROWS_AS(power_of_duty({1 * m3_per_s, 100 * Pa}, 1.1), DomainError);
    CHECK_THROWS_AS(efficiency_of_duty({1 * m3_per_s, 100 * Pa}, 0 * W), DomainError);
    CHECK_THROWS_AS(speed_ratio_at_equal_reynolds_number({.density = 0.0}), DomainError);
}
