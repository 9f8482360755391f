// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/stand_fan.hpp>

#include <random>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

FanCurve curve_of(const std::vector<std::pair<double, double>>& rows) {   // m3/s, Pa
    FanTable table;
    table.stated_air = fan_test_air();
    for (const auto& [q, p] : rows) table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    return fan_curve(table);
}

const std::vector<std::pair<double, double>> falling{{0.0, 300}, {0.2, 280}, {0.4, 230}, {0.6, 140}, {0.8, 0}};
const std::vector<std::pair<double, double>> dip{{0.0, 300}, {0.2, 200}, {0.4, 250}, {0.6, 140}, {0.8, 0}};

}   // namespace

TEST_CASE("the flow of a falling curve is its inverse", "[own]") {
    const StandFan fan{.curve = curve_of(falling)};
    AirState air = fan_test_air();
    air.density = 1.1 * kg_per_m3;
    std::mt19937_64 random(1);
    for (int i = 0; i < 200; ++i) {
        const VolumeFlow q = std::uniform_real_distribution<double>(0.01, 0.79)(random) * m3_per_s;
        const InferredFlow found = flow_from_fan_table(fan, fan_pressure(fan.curve, q, air), air);
        REQUIRE(found.status == InferredFlowStatus::found);
        CHECK(found.flow->value.value() == Approx(q.value()).epsilon(1e-10));
        CHECK(found.flows.size() == 1);
    }
}

TEST_CASE("uncertainty of an inferred flow", "[own]") {
    const AirState air = fan_test_air();
    const StandFan fan{.curve = curve_of(falling), .pressure_factor = uncertain(1.0, 0.05, "stand fan table")};
    const Uncertain<Pressure> p = uncertain(200 * Pa, 2 * Pa, "manometer");
    const InferredFlow found = flow_from_fan_table(fan, p, air);
    REQUIRE(found.flow);
    const auto flow = [&](double pressure, double factor) {
        return flow_from_fan_table({.curve = fan.curve, .pressure_factor = factor}, Pressure(pressure * Pa), air)
            .flow->value.value();
    };
    const double by_pressure = (flow(200.1, 1) - flow(199.9, 1)) / 0.2;
    const double by_factor = (flow(200, 1.001) - flow(200, 0.999)) / 0.002;
    CHECK(found.flow->gradient.derivative(p.gradient.terms()[0].input) == Approx(by_pressure).epsilon(1e-5));
    CHECK(found.flow->gradient.derivative(fan.pressure_factor.gradient.terms()[0].input) ==
          Approx(by_factor).epsilon(1e-5));
    // The table's error is shared: it does not separate two readings at one pressure.
    const InferredFlow again = flow_from_fan_table(fan, p, air);
    CHECK((*found.flow - *again.flow).standard_uncertainty().value() == 0.0);
}

TEST_CASE("where the curve does not fall every flow is returned and none is chosen", "[own]") {
    const AirState air = fan_test_air();
    const StandFan fan{.curve = curve_of(dip)};
    const InferredFlow several = flow_from_fan_table(fan, Pressure(230 * Pa), air);
    CHECK(several.status == InferredFlowStatus::ambiguous);
    REQUIRE(several.flows.size() == 3);
    for (const VolumeFlow& q : several.flows)
        CHECK(fan_pressure(fan.curve, q, air).value() == Approx(230).epsilon(1e-10));
    CHECK(!several.flow);
    REQUIRE(several.flags.size() == 1);
    CHECK_THAT(several.flags[0], Contains("several flows"));
    // At the very bottom of the dip, and at the top behind it: two flows each.
    CHECK(flow_from_fan_table(fan, Pressure(200 * Pa), air).flows.size() == 2);
    CHECK(flow_from_fan_table(fan, Pressure(250 * Pa), air).flows.size() == 2);
    // Below the dip the flow is one; just below it the uncertainty reaches the dip.
    CHECK(flow_from_fan_table(fan, Pressure(150 * Pa), air).status == InferredFlowStatus::found);
    CHECK(flow_from_fan_table(fan, Pressure(150 * Pa), air).flags.empty());
    const InferredFlow near = flow_from_fan_table(fan, uncertain(198 * Pa, 3 * Pa, "manometer"), air);
    REQUIRE(near.status == InferredFlowStatus::found);
    REQUIRE(near.flags.size() == 1);
    CHECK_THAT(near.flags[0], Contains("within its uncertainty"));
    // A flat stretch.
    const StandFan flat{.curve = curve_of({{0.0, 300}, {0.2, 200}, {0.4, 200}, {0.6, 100}})};
    CHECK(flow_from_fan_table(flat, Pressure(200 * Pa), air).status == InferredFlowStatus::ambiguous);
    // Only a rising part at that pressure.
    const StandFan rising{.curve = curve_of({{0.0, 100}, {0.2, 200}, {0.4, 180}})};
    const InferredFlow stall = flow_from_fan_table(rising, Pressure(150 * Pa), air);
    CHECK(stall.status == InferredFlowStatus::ambiguous);
    CHECK(stall.flows.size() == 1);
    CHECK_THAT(stall.flags.at(0), Contains("stall"));
}

TEST_CASE("pressures outside the table and nonsense", "[own]") {
    const AirState air = fan_test_air();
    const StandFan fan{.curve = curve_of({{0.1, 300}, {0.4, 230}, {0.6, 140}})};
    const InferredFlow above = flow_from_fan_table(fan, Pressure(320 * Pa), air);
    CHECK(above.status == InferredFlowStatus::above_table);
    CHECK_THAT(above.flags.at(0), Contains("at most 300 Pa"));
    const InferredFlow below = flow_from_fan_table(fan, Pressure(100 * Pa), air);
    CHECK(below.status == InferredFlowStatus::below_table);
    CHECK_THAT(below.flags.at(0), Contains("ends at 140 Pa"));
    CHECK_THROWS_AS(flow_from_fan_table(fan, Pressure(NAN * Pa), air), DomainError);
    CHECK_THROWS_AS(flow_from_fan_table({.curve = fan.curve, .pressure_factor = 0.0}, Pressure(200 * Pa), air),
                    DomainError);
    const StandFan steady{.curve = curve_of({{0.1, 300}, {0.4, 298}, {0.6, 140}})};
    const InferredFlow vague = flow_from_fan_table(steady, uncertain(299 * Pa, 1 * Pa, "manometer"), air);
    REQUIRE(vague.flow);
    CHECK_THAT(vague.flags.at(0), Contains("so flat"));
}
