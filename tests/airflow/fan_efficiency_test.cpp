// SPDX-License-Identifier: BSL-1.0
// Kinds of pressure, efficiencies from the wire to the air, and fans beyond their tables.

#include <cmath>
#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan_efficiency.hpp>
#include <filterflow/airflow/fan_extrapolation.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented, with shaft powers and total pressures.
FanTable efficient_wheel() {
    return {.points = {{0.5 * m3_per_s, 400 * Pa, 380 * W},
                       {1.0 * m3_per_s, 330 * Pa, 510 * W},
                       {1.5 * m3_per_s, 200 * Pa, 560 * W}},
            .kind = FanPressureKind::total,
            .stated_air = fan_test_air(),
            .power_kind = FanPowerKind::shaft};
}

}   // namespace

TEST_CASE("efficiencies of a published fan follow from its table", "[outside]") {
    // The 36-inch fan of Fox and McDonald, ch. 10 (tests/reference/fan_curves.csv); its printed 0.37 contradicts its
    // own pressure and power, as that row says. The book's "fan pressure" is taken as the total one.
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    table.kind = FanPressureKind::total;
    table.power_kind = FanPowerKind::shaft;
    const FanCurve fan = fan_curve(table);
    int checked = 0;
    for (const auto& row : test::ReferenceTable("fan_curves.csv")) {
        if (row["fan_id"] != "centrifugal_36in_600rpm" || row.number("efficiency") == 0.37) continue;
        const FanEfficiencies e = fan_efficiencies(fan, row.number("flow_m3_s") * m3_per_s, fan_table_air());
        REQUIRE(e.total);
        CHECK_FALSE(e.static_pressure);
        CHECK(e.of == FanPowerKind::shaft);
        CHECK(*e.total == Approx(row.number("efficiency")).margin(0.01).epsilon(0));
        ++checked;
    }
    CHECK(checked == 6);
}

TEST_CASE("kinds of pressure convert there and back", "[own]") {
    const FanAreas areas{.inlet = 0.12 * m2, .outlet = 0.09 * m2};
    const AirState air = fan_test_air();
    // By hand: 1 m3/s of 1.2 kg/m3 has 41.67 Pa of velocity pressure in 0.12 m2, 74.07 Pa in 0.09 m2.
    const FanPressureReading total{1 * m3_per_s, 330 * Pa, FanPressureKind::total};
    CHECK(fan_pressure_of_kind(total, FanPressureKind::static_pressure, areas, air) / Pa ==
          Approx(330 - 0.6 / 0.0081).epsilon(1e-14));
    CHECK(fan_pressure_of_kind(total, FanPressureKind::external_static, areas, air) / Pa ==
          Approx(330 - 0.6 / 0.0081 + 0.6 / 0.0144).epsilon(1e-14));
    const FanTable table = efficient_wheel();
    constexpr FanPressureKind kinds[] = {FanPressureKind::total, FanPressureKind::static_pressure,
                                         FanPressureKind::external_static};
    for (const FanPressureKind first : kinds) {
        for (const FanPressureKind second : kinds) {
            const FanTable there = fan_table_of_kind(fan_table_of_kind(table, first, areas), second, areas);
            CHECK(there.kind == second);
            const FanTable back = fan_table_of_kind(there, FanPressureKind::total, areas);
            for (std::size_t i = 0; i < 3; ++i) {
                CHECK(back.points[i].pressure / Pa == Approx(table.points[i].pressure / Pa).epsilon(1e-13));
            }
        }
    }
    // An inlet as large as the outlet: the static rise is the total one.
    const FanAreas same{.inlet = 0.1 * m2, .outlet = 0.1 * m2};
    CHECK(fan_pressure_of_kind(total, FanPressureKind::external_static, same, air) / Pa ==
          Approx(330.0).epsilon(1e-14));
    CHECK(fan_pressure_of_kind(total, FanPressureKind::total, {}, air) == total.pressure);
    CHECK_THROWS_WITH(fan_pressure_of_kind(total, FanPressureKind::static_pressure, {.inlet = 0.1 * m2}, air),
                      Contains("area of the outlet is not stated") && Contains("from total to static"));
    CHECK_THROWS_WITH(fan_pressure_of_kind({1 * m3_per_s, 1 * Pa}, FanPressureKind::total, areas, air),
                      Contains("not stated"));
    CHECK_THROWS_AS(fan_pressure_of_kind(total, FanPressureKind::static_pressure, {.outlet = 0.0 * m2}, air),
                    DomainError);
    CHECK_THROWS_AS(fan_pressure_of_kind(total, FanPressureKind::static_pressure, areas, AirState{}), DomainError);
    CHECK_THROWS_WITH(fan_table_of_kind(table, FanPressureKind::static_pressure, {.outlet = 0.05 * m2}),
                      Contains("row 3: static pressure = -"));
}

TEST_CASE("efficiencies multiply from the wire to the air", "[own]") {
    const DriveTrain train{.drive = 0.95, .motor = 0.8, .controller = 0.97};
    CHECK(drive_train_efficiency(train) == Approx(0.95 * 0.8 * 0.97).epsilon(1e-15));
    CHECK(wire_to_air_efficiency(0.6, train) == Approx(0.6 * 0.95 * 0.8 * 0.97).epsilon(1e-15));
    CHECK(shaft_power(electric_power(510 * W, train), train) / W == Approx(510.0).epsilon(1e-15));
    // A part forgotten is refused, one that is not there is stated.
    CHECK_THROWS_WITH(wire_to_air_efficiency(0.6, {.drive = 0.95, .motor = 0.8}),
                      Contains("efficiency of the controller = 0") && Contains("1 for a part that is not there"));
    CHECK_THROWS_WITH(electric_power(510 * W, {.motor = 0.8, .controller = 1.0}), Contains("efficiency of the drive"));
    CHECK_THROWS_WITH(drive_train_efficiency({.drive = 1.0, .motor = 1.2, .controller = 1.0}),
                      Contains("efficiency of the motor = 1.2"));
    CHECK_THROWS_AS(wire_to_air_efficiency(0.0, train), DomainError);
    CHECK_THROWS_AS(wire_to_air_efficiency(NAN, train), DomainError);
    CHECK_THROWS_AS(electric_power(-1 * W, train), DomainError);
    CHECK_THROWS_AS(shaft_power(-1 * W, train), DomainError);

    // The table's fan from the wire: its own efficiency times the train's, in any air.
    const FanCurve shaft = fan_curve(efficient_wheel()), wire = fan_curve(electric_fan_table(efficient_wheel(), train));
    AirState thin = fan_test_air();
    thin.density *= 0.8;
    for (const double q : {0.5, 0.8, 1.3}) {
        const FanAreas areas{.outlet = 0.09 * m2};
        const FanEfficiencies fan = fan_efficiencies(shaft, q * m3_per_s, thin, areas);
        const FanEfficiencies all = fan_efficiencies(wire, q * m3_per_s, thin, areas);
        CHECK(all.of == FanPowerKind::electric);
        CHECK(*all.total == Approx(*fan.total * drive_train_efficiency(train)).epsilon(1e-14));
        CHECK(*all.static_pressure == Approx(*fan.static_pressure * drive_train_efficiency(train)).epsilon(1e-14));
        CHECK(*fan.static_pressure < *fan.total);
        const FanEfficiencies dense = fan_efficiencies(shaft, q * m3_per_s, fan_test_air(), areas);
        CHECK(*dense.total == Approx(*fan.total).epsilon(1e-14));   // pressure and power both follow density
    }
    FanTable silent = efficient_wheel();
    silent.power_kind = FanPowerKind::not_stated;
    CHECK_THROWS_AS(fan_efficiencies(fan_curve(silent), 1 * m3_per_s, fan_test_air()), DomainError);
    CHECK_THROWS_AS(electric_fan_table(silent, train), DomainError);
    silent = efficient_wheel();
    silent.kind = FanPressureKind::not_stated;
    CHECK_THROWS_AS(fan_efficiencies(fan_curve(silent), 1 * m3_per_s, fan_test_air()), DomainError);
}

TEST_CASE("a fan beyond its table says so", "[own]") {
    const FanCurve fan = fan_curve(efficient_wheel());
    const AirState air = fan_test_air();
    const FlaggedFanPoint inside = flagged_fan_point(fan, 1.2 * m3_per_s, air);
    CHECK_FALSE(inside.extrapolated());
    CHECK(inside.point.pressure == fan_pressure(fan, 1.2 * m3_per_s, air));
    CHECK(*inside.point.power == *fan_power(fan, 1.2 * m3_per_s, air));
    const FlaggedFanPoint above = flagged_fan_point(fan, 1.65 * m3_per_s, air);
    CHECK(above.extrapolated());
    CHECK(above.table.crossed == RangeLimit::greatest);
    CHECK(above.table.beyond == Approx(0.1).epsilon(1e-12));
    CHECK(above.point.pressure / Pa == Approx(200 + 0.15 * fan.pressure_curve().slope(1.5)).epsilon(1e-12));
    CHECK(*above.point.power / W == Approx(560 + 0.15 * fan.power_curve()->slope(1.5)).epsilon(1e-12));
    const FlaggedFanPoint below = flagged_fan_point(fan, 0.4 * m3_per_s, air);
    CHECK(below.table.crossed == RangeLimit::least);
    CHECK(below.point.pressure > 400 * Pa);
    CHECK_THROWS_WITH(flagged_fan_point(fan, 3 * m3_per_s, air), Contains("continued pressure = -"));
    CHECK_THROWS_AS(flagged_fan_point(fan, -0.1 * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(flagged_fan_point(fan, 1 * m3_per_s, AirState{}), DomainError);
}
