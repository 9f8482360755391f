// SPDX-License-Identifier: BSL-1.0
// Fans at fixed speed: a published table, density, rising parts, refusals.

#include <limits>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("a published fan table is passed, its efficiencies follow", "[outside]") {
    // A 36-inch centrifugal fan at 600 rpm (Fox and McDonald, Introduction to Fluid Mechanics, ch. 10 example, through
    // an open companion): tests/reference/fan_curves.csv. Its printed efficiency 0.37 at the second point contradicts
    // the table's own pressure and power (0.392), as that row says; the others are cut to two decimals.
    const FanCurve fan = fan_curve(test::reference_fan_table("centrifugal_36in_600rpm"));
    CHECK(fan.rising_parts().size() == 1);   // from shut-off to the second row
    CHECK_FALSE(fan.falls_throughout());
    for (const auto& row : test::ReferenceTable("fan_curves.csv")) {
        if (row["fan_id"] != "centrifugal_36in_600rpm") continue;
        const VolumeFlow flow = row.number("flow_m3_s") * m3_per_s;
        CHECK(fan_pressure(fan, flow, fan_table_air()) / Pa ==
              Approx(row.number("pressure_Pa")).epsilon(1e-12).margin(1e-9));
        CHECK(*fan_power(fan, flow, fan_table_air()) / W == Approx(row.number("power_W")).epsilon(1e-12));
        if (row.number("efficiency") == 0.37) continue;
        CHECK(efficiency_of_duty({flow, row.number("pressure_Pa") * Pa}, row.number("power_W") * W) ==
              Approx(row.number("efficiency")).margin(0.01).epsilon(0));
    }
}

TEST_CASE("density factors apply to pressure and power", "[own]") {
    // tests/reference/airflow_checks.csv: the worked example beside a table of density factors whose title is not
    // recorded: 1.5 inH2O at a factor of 0.643 is to be looked up at 2.33 inH2O, 3.53 hp there become 2.27 hp. The
    // factors themselves are checked in air/altitude_test.cpp.
    const test::ReferenceTable table("airflow_checks.csv");
    const double looked_up = table.row("inputs", "1.5 in at factor .643").number("expected");
    FanTable rows{.points = {{0 * cfm, 3 * inH2O, 3.53 * hp}, {1000 * cfm, looked_up * inH2O, 3.53 * hp}},
                  .stated_air = fan_table_air()};
    AirState thin = fan_table_air();
    thin.density *= 0.643;
    CHECK(fan_pressure(fan_curve(rows), 1000 * cfm, thin) / inH2O == Approx(1.5).epsilon(0.002));
    CHECK(*fan_power(fan_curve(rows), 1000 * cfm, thin) / hp ==
          Approx(table.row("quantity", "bhp at density").number("expected")).epsilon(0.002));
}

TEST_CASE("rows may come in any order, rising parts are marked", "[own]") {
    const FanTable table = test::reference_fan_table("dip_normalised");
    const FanCurve fan = fan_curve(table);
    FanTable other = table;
    other.points.clear();
    for (std::size_t i = 0; i < table.points.size(); ++i) {
        other.points.push_back(table.points[(7 * i + 5) % table.points.size()]);
    }
    const FanCurve shuffled = fan_curve(other);
    for (double q = 0.0; q <= 1.0; q += 0.05) {
        CHECK(fan_pressure(shuffled, q * m3_per_s, fan_table_air()) ==
              fan_pressure(fan, q * m3_per_s, fan_table_air()));
    }
    REQUIRE(fan.rising_parts().size() == 1);
    CHECK(fan.rising_parts()[0].lower / m3_per_s == Approx(0.2));
    CHECK(fan.rising_parts()[0].upper / m3_per_s == Approx(0.6));
    CHECK_FALSE(fan.falls_throughout());
    CHECK(fan_curve(test::reference_fan_table("FC_PSC_synthetic")).falls_throughout());
    CHECK_FALSE(fan_power(fan, 0.5 * m3_per_s, fan_table_air()));
}

TEST_CASE("a fan's pressure carries derivatives to flow and density", "[own]") {
    using D = Dual<2>;
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    auto air = air_as<D>(fan_table_air());
    air.density = BasicDensity<D>::from_value(D::input(1.1, 0));
    AirState plain = fan_table_air();
    plain.density = 1.1 * kg_per_m3;
    const D p = fan_pressure(fan, BasicVolumeFlow<D>::from_value(D::input(0.55, 1)), air).value();
    CHECK(p.value == Approx(fan_pressure(fan, 0.55 * m3_per_s, plain) / Pa).epsilon(1e-15));
    CHECK(p.derivative[0] == Approx(p.value / 1.1).epsilon(1e-14));
    const double e = 1e-7;
    CHECK(p.derivative[1] ==
          Approx((fan_pressure(fan, (0.55 + e) * m3_per_s, plain) - fan_pressure(fan, (0.55 - e) * m3_per_s, plain))
                     .value() /
                 (2 * e))
              .epsilon(1e-7));
}

TEST_CASE("fan tables that contradict themselves are refused by row", "[own]") {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const auto table = [](std::vector<FanPoint> points) {
        return FanTable{
            .points = std::move(points), .kind = FanPressureKind::static_pressure, .stated_air = fan_table_air()};
    };
    CHECK_THROWS_WITH(
        fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, {}}, {0.1 * m3_per_s, 9 * Pa, {}}})),
        Contains("row 1 (0.1 m3/s, 9 Pa)") && Contains("row 3 (0.1 m3/s, 9 Pa)") && Contains("same point twice"));
    CHECK_THROWS_WITH(
        fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, {}}, {0.1 * m3_per_s, 8 * Pa, {}}})),
        Contains("row 1") && Contains("row 3") && Contains("contradict each other"));
    CHECK_THROWS_WITH(fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}, {-0.3 * m3_per_s, 5 * Pa, {}}})),
                      Contains("row 2: flow = -0.3 m3/s"));
    CHECK_THROWS_WITH(fan_curve(table({{0.1 * m3_per_s, nan * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, {}}})),
                      Contains("row 1: pressure"));
    CHECK_THROWS_WITH(fan_curve(table({{0.1 * m3_per_s, 9 * Pa, 100 * W}, {0.3 * m3_per_s, 5 * Pa, {}}})),
                      Contains("row 2 has no power"));
    CHECK_THROWS_WITH(fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, 100 * W}})),
                      Contains("row 2 has a power"));
    CHECK_THROWS_AS(fan_curve(table({{0.1 * m3_per_s, 9 * Pa, 0 * W}, {0.3 * m3_per_s, 5 * Pa, 100 * W}})),
                    DomainError);
    CHECK_THROWS_WITH(fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}})), Contains("number of rows = 1"));
    CHECK_THROWS_AS(fan_curve(FanTable{.points = {{0.1 * m3_per_s, 9 * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, {}}}}),
                    DomainError);   // no air
    const FanCurve fan = fan_curve(table({{0.1 * m3_per_s, 9 * Pa, {}}, {0.3 * m3_per_s, 5 * Pa, {}}}));
    CHECK_THROWS_WITH(fan_pressure(fan, 0.31 * m3_per_s, fan_table_air()),
                      Contains("flow = 0.31 m3/s") && Contains("from 0.1 to 0.3 m3/s"));
    CHECK_THROWS_AS(fan_pressure(fan, 0.05 * m3_per_s, fan_table_air()), DomainError);
    CHECK_THROWS_AS(fan_power(fan, nan * m3_per_s, fan_table_air()), DomainError);
    CHECK_THROWS_AS(fan_pressure(fan, 0.2 * m3_per_s, AirState{}), DomainError);
}
