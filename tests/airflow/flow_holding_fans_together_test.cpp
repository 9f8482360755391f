// SPDX-License-Identifier: BSL-1.0
// Fans that hold their flow, in parallel and in series, beside each fan alone.

#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/airflow/flow_holding_fans_together.hpp>
#include <filterflow/airflow/operating_point.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

FanTable holding_table() {
    FanTable table = test::reference_fan_table("FC_CA_synthetic");
    table.kind = FanPressureKind::external_static;
    return table;
}

/// A fan like it at another speed.
FlowHoldingFan at_speed(double ratio) { return flow_holding_fan(fan_table_at(holding_table(), {.speed = ratio})); }

/// What a fan at its limit gives at a flow, by bisection of fan_flow.
double limit_pressure(const FlowHoldingFan& fan, double flow) {
    double low = fan.give_up_pressure().value(), high = fan.greatest_pressure().value();
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (fan_flow(fan, middle * Pa, fan.stated_air()).value() > flow ? low : high) = middle;
    }
    return low;
}

}   // namespace

TEST_CASE("flows of parallel flow-holding fans add at equal pressure", "[own]") {
    const std::vector<FlowHoldingFan> fans{at_speed(1.0), at_speed(0.95), at_speed(1.05)};
    const FlowHoldingFan sum = flow_holding_fans_in_parallel(fans);
    CHECK(sum.held_flow() / m3_per_s == Approx(3.0 * fans[0].held_flow().value()).epsilon(1e-12));
    CHECK(sum.give_up_pressure() == fans[1].give_up_pressure());
    CHECK(sum.limit_is_known());
    AirState thin = fan_table_air();
    thin.density *= 0.8;
    for (const AirState& air : {fan_table_air(), thin}) {
        const double ratio = air.density / sum.stated_air().density;
        const double low = ratio * sum.least_pressure().value(), high = ratio * sum.greatest_pressure().value();
        for (int i = 0; i <= 300; ++i) {
            const Pressure p = (i < 300 ? low + (high - low) * i / 300 : high) * Pa;
            VolumeFlow flow{};
            Power power{};
            for (const FlowHoldingFan& fan : fans) {
                flow += fan_flow(fan, p, air);
                power += *fan_power(fan, p, air);
            }
            CHECK(fan_flow(sum, p, air) / flow == Approx(1.0).epsilon(1e-12));
            CHECK(*fan_power(sum, p, air) / power == Approx(1.0).epsilon(1e-12));
        }
    }
    const std::vector<FlowHoldingFan> one{fans[0]};
    CHECK(flow_holding_fans_in_parallel(one).give_up_pressure() == fans[0].give_up_pressure());
}

TEST_CASE("in series the drive of the least flow holds it and the others run at their limits", "[own]") {
    const std::vector<FlowHoldingFan> fans{at_speed(1.0), at_speed(0.985)};
    const FlowHoldingFan sum = flow_holding_fans_in_series(fans);
    const AirState air = sum.stated_air();
    const FlowHoldingFan &strong = fans[0], &weak = fans[1];
    const double held = weak.held_flow().value(), beside = limit_pressure(strong, held);
    CHECK(sum.held_flow() == weak.held_flow());
    CHECK(sum.least_pressure() / Pa == Approx(beside + weak.least_pressure().value()).epsilon(1e-10));
    CHECK(sum.give_up_pressure() / Pa == Approx(beside + weak.give_up_pressure().value()).epsilon(1e-10));
    for (double p = weak.least_pressure().value() + 1e-6; p <= weak.give_up_pressure().value(); p += 3.7) {
        const Pressure total = (p + beside) * Pa;
        const Power power = *fan_power(weak, p * Pa, air) + *fan_power(strong, beside * Pa, air);
        CHECK(fan_flow(sum, total, air) / weak.held_flow() == Approx(1.0).epsilon(1e-12));
        CHECK(*fan_power(sum, total, air) / power == Approx(1.0).epsilon(1e-9));
    }
    const double least = fan_flow(sum, sum.greatest_pressure(), air).value();
    CHECK(least == Approx(strong.flow_curve().values().back()).epsilon(1e-12));
    for (int i = 1; i < 200; ++i) {
        const double flow = held + (least - held) * i / 200.0;
        const double a = limit_pressure(strong, flow), b = limit_pressure(weak, flow);
        CHECK(fan_flow(sum, (a + b) * Pa, air) / m3_per_s == Approx(flow).epsilon(1e-9));
        const Power power = *fan_power(strong, a * Pa, air) + *fan_power(weak, b * Pa, air);
        CHECK(*fan_power(sum, (a + b) * Pa, air) / power == Approx(1.0).epsilon(1e-8));
    }
    // Against a system: where the pressures of both, at the flow that is found, add to what the system takes.
    const SystemCurve system = system_from_design_point(
        {.flow = held * m3_per_s, .pressure = 1.1 * sum.give_up_pressure(), .air = air});
    const OperatingPoint point = operating_point(sum, system, air);
    REQUIRE(point.status == OperatingStatus::fan_gave_up);
    const double flow = point.flow() / m3_per_s;
    CHECK(limit_pressure(strong, flow) + limit_pressure(weak, flow) ==
          Approx(pressure_drop(system, point.flow(), air) / Pa).epsilon(1e-8));
}

TEST_CASE("equal flow-holding fans in series hold together, their powers open", "[own]") {
    const std::vector<FlowHoldingFan> fans{at_speed(1.0), at_speed(1.0)};
    const FlowHoldingFan sum = flow_holding_fans_in_series(fans);
    const AirState air = sum.stated_air();
    CHECK_FALSE(sum.power_curve());
    CHECK(sum.least_pressure() / Pa == Approx(2.0 * fans[0].least_pressure().value()).epsilon(1e-12));
    CHECK(sum.give_up_pressure() / Pa == Approx(2.0 * fans[0].give_up_pressure().value()).epsilon(1e-12));
    CHECK(sum.greatest_pressure() / Pa == Approx(2.0 * fans[0].greatest_pressure().value()).epsilon(1e-9));
    for (double p = fans[0].least_pressure().value(); p < fans[0].greatest_pressure().value(); p += 1.3) {
        CHECK(fan_flow(sum, 2.0 * p * Pa, air) / fan_flow(fans[0], p * Pa, air) == Approx(1.0).epsilon(1e-8));
    }
}

TEST_CASE("flow-holding fans that do not go together are refused", "[own]") {
    const auto parallel = [](std::vector<FlowHoldingFan> fans) { return flow_holding_fans_in_parallel(fans); };
    const auto series = [](std::vector<FlowHoldingFan> fans) { return flow_holding_fans_in_series(fans); };
    CHECK_THROWS_WITH(parallel({}), Contains("number of fans = 0"));
    FanTable other = holding_table();
    other.kind = FanPressureKind::static_pressure;
    const FlowHoldingFan static_fan = flow_holding_fan(other);
    CHECK_THROWS_WITH(parallel({at_speed(1.0), static_fan}), Contains("fan 2 states another kind of pressure"));
    CHECK_THROWS_WITH(series({static_fan, static_fan}), Contains("fan static pressures, which do not add"));
    const FlowHoldingFan mass = flow_holding_fan(holding_table(), 0.01, HeldFlow::mass);
    CHECK_THROWS_WITH(parallel({at_speed(1.0), mass}), Contains("all volume flow or all mass flow"));
    const FlowHoldingFan thin = flow_holding_fan(fan_table_in(holding_table(), isa_sea_level_air()));
    CHECK_THROWS_WITH(parallel({at_speed(1.0), thin}), Contains("stated density of fan 2 = 1.225 kg/m3"));
    CHECK_THROWS_WITH(series({at_speed(1.0), at_speed(1.3)}), Contains("least flow in the table of fan 2"));
    // A weak fan whose drive gives up below the first pressure of the other.
    CHECK_THROWS_WITH(parallel({at_speed(1.0), at_speed(0.25)}), Contains("least pressure of all tables"));
}
