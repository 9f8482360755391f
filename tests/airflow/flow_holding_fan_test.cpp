// SPDX-License-Identifier: BSL-1.0
// Fans whose drive holds the airflow: where it gives up, density, refusals.

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("a flow-holding fan holds its flow up to a pressure", "[own]") {
    const FanTable table = test::reference_fan_table("FC_CA_synthetic");
    const FlowHoldingFan fan = flow_holding_fan(table);
    CHECK(fan.held_flow() / m3_per_s == Approx((7 * 0.56634 + 0.56539) / 8).epsilon(1e-12));
    CHECK(fan.held_flow_spread() / m3_per_s == Approx(0.56634 - 0.56539).epsilon(1e-9));
    CHECK(fan.give_up_pressure() / Pa == Approx(199.3));
    CHECK(fan.limit_is_known());
    const AirState air = fan_table_air();
    for (const double p : {24.9, 60.0, 100.0, 199.3}) CHECK(fan_flow(fan, p * Pa, air) == fan.held_flow());
    CHECK(fan_flow(fan, 224.2 * Pa, air) / m3_per_s == Approx(0.55926).epsilon(1e-12));
    CHECK(fan_flow(fan, 249.1 * Pa, air) / m3_per_s == Approx(0.54274).epsilon(1e-12));
    CHECK(*fan_power(fan, 124.5 * Pa, air) / W == Approx(390.0));
    double before = 1.0;
    for (double p = 199.3; p < 249.1; p += 0.5) {
        const double q = fan_flow(fan, p * Pa, air) / m3_per_s;
        CHECK(q <= before);
        before = q;
    }
    // A finer tolerance calls the same rows a fan that gives up earlier, a table without a fall has no known limit.
    CHECK(flow_holding_fan(table, 0.001).give_up_pressure() / Pa == Approx(174.4));
    FanTable flat = table;
    flat.points.resize(7);
    CHECK_FALSE(flow_holding_fan(flat).limit_is_known());
}

TEST_CASE("thinner air moves a flow-holding fan's limit, not its volume flow", "[own]") {
    const FlowHoldingFan fan = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    AirState thin = fan_table_air();
    thin.density *= 0.8;
    CHECK(fan_flow(fan, 150 * Pa, thin) == fan.held_flow());
    CHECK(fan_flow(fan, 0.8 * 224.2 * Pa, thin) / m3_per_s == Approx(0.55926).epsilon(1e-12));
    CHECK(*fan_power(fan, 0.8 * 124.5 * Pa, thin) / W == Approx(0.8 * 390.0).epsilon(1e-12));
    CHECK_THROWS_WITH(fan_flow(fan, 220 * Pa, thin), Contains("pressure = 220 Pa") && Contains("199.28"));
    CHECK_THROWS_AS(fan_flow(fan, 10 * Pa, thin), DomainError);
    using D = Dual<1>;
    const D q = fan_flow(fan, BasicPressure<D>::from_value(D::input(230.0, 0)), air_as<D>(fan_table_air())).value();
    const double e = 1e-5;
    CHECK(
        q.derivative[0] ==
        Approx(
            (fan_flow(fan, (230 + e) * Pa, fan_table_air()) - fan_flow(fan, (230 - e) * Pa, fan_table_air())).value() /
            (2 * e))
            .epsilon(1e-6));
}

TEST_CASE("flow-holding tables that contradict themselves are refused by row", "[own]") {
    const auto table = [](std::vector<FanPoint> points) {
        return FanTable{
            .points = std::move(points), .kind = FanPressureKind::external_static, .stated_air = fan_table_air()};
    };
    CHECK_THROWS_WITH(
        flow_holding_fan(
            table({{0.5 * m3_per_s, 50 * Pa, {}}, {0.5 * m3_per_s, 100 * Pa, {}}, {0.4 * m3_per_s, 50 * Pa, {}}})),
        Contains("row 1") && Contains("row 3") && Contains("one pressure, two values"));
    CHECK_THROWS_WITH(
        flow_holding_fan(
            table({{0.5 * m3_per_s, 50 * Pa, {}}, {0.4 * m3_per_s, 100 * Pa, {}}, {0.45 * m3_per_s, 150 * Pa, {}}})),
        Contains("row 3") && Contains("is not below that of row 2"));
    CHECK_THROWS_WITH(flow_holding_fan(table({{0.5 * m3_per_s, 50 * Pa, {}}, {0.6 * m3_per_s, 100 * Pa, {}}})),
                      Contains("is not below"));
    CHECK_THROWS_AS(flow_holding_fan(table({{0.5 * m3_per_s, 50 * Pa, {}}})), DomainError);
    CHECK_THROWS_AS(flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"), 0.3), DomainError);
    CHECK_THROWS_AS(flow_holding_fan(table({{0.0 * m3_per_s, 50 * Pa, {}}, {0.0 * m3_per_s, 100 * Pa, {}}})),
                    DomainError);
}
