// SPDX-License-Identifier: BSL-1.0
// First-order answers of operating points: against differences, against dual numbers, and in what they mean.

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/loss_coefficient.hpp>
#include <filterflow/airflow/operating_sensitivity.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "airflow/random_fans.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState summer = moist_air({.temperature = from_celsius(31), .pressure = 96 * kPa, .relative_humidity = 0.4});

SystemCurve system_of(double constant, double r, double s, double law, double extra = 0.0) {
    SystemCurve system{.constant_pressure = (constant + extra) * Pa};
    system.elements.push_back({r * Pa_s_per_m3, s * Pa_s2_per_m6, duct_design_air()});
    if (law > 0.0) system.power_laws.push_back({law * Pa, 0.5 * m3_per_s, 1.85, fan_table_air()});
    return in_series(system, Fitting{0.2 * m2, 1.4});
}

std::array<double, 3> numbers(const OperatingPoint& p) {
    return {p.flow().value(), p.pressure().value(), p.power()->value()};
}
std::array<double, 3> numbers(const OperatingState& p) {
    return {p.flow.value(), p.pressure.value(), p.power->value()};
}
std::array<double, 3> numbers(const OperatingChange& c) {
    return {c.flow.value(), c.pressure.value(), c.power.value()};
}

/// Against differences: more pressure, and each group of parts scaled.
template <class F>
void compare(const F& fan, double constant, double r, double s, double law) {
    const OperatingSensitivities found = operating_sensitivities(fan, system_of(constant, r, s, law), summer);
    CAPTURE(constant, r, s, law);
    REQUIRE(found.state);
    const OperatingPoint point = operating_point(fan, system_of(constant, r, s, law), summer);
    CHECK(found.status == point.status);
    const auto here = numbers(*found.state), there = numbers(point);
    const double step = 0.01;
    const auto up = numbers(operating_point(fan, system_of(constant, r, s, law, step), summer));
    const auto down = numbers(operating_point(fan, system_of(constant, r, s, law, -step), summer));
    const auto change = numbers(found.per_pascal);
    for (std::size_t k = 0; k < 3; ++k) {
        CHECK(here[k] == Approx(there[k]).epsilon(1e-12));
        CHECK(change[k] == Approx((up[k] - down[k]) / (2.0 * step)).epsilon(1e-5).margin(1e-7 * here[k] / 100.0));
    }
    const SystemDrops& d = found.drops;
    CHECK((d.constant + d.linear + d.quadratic + d.other) / Pa == Approx(here[1]).epsilon(1e-12));
    CHECK(d.constant / Pa == constant);
    const double relative = 1e-5;
    const double flow = found.state->flow.value();
    const auto scaled_flow = [&](double a, double b) {
        return operating_flow(fan, system_of(constant, a * r, b * s, law), summer).flow->value();
    };
    CHECK(change_for(found, d.linear).flow.value() ==
          Approx((scaled_flow(1 + relative, 1) - scaled_flow(1 - relative, 1)) / (2 * relative))
              .epsilon(1e-5)
              .margin(1e-7 * flow));
    const OperatingFlowChanges changes = operating_flow_changes(fan, system_of(constant, r, s, law), summer);
    CHECK(changes.status == found.status);
    REQUIRE(changes.flow);
    CHECK(changes.flow->value() == Approx(flow).epsilon(1e-13));
    CHECK(changes.for_constant.value() ==
          Approx(change_for(found, d.constant).flow.value()).epsilon(1e-9).margin(1e-12));
    CHECK(changes.for_linear.value() == Approx(change_for(found, d.linear).flow.value()).epsilon(1e-9));
    CHECK(changes.for_quadratic.value() == Approx(change_for(found, d.quadratic).flow.value()).epsilon(1e-9));
    CHECK(changes.for_other.value() == Approx(change_for(found, d.other).flow.value()).epsilon(1e-9).margin(1e-15));
}

}   // namespace

TEST_CASE("sensitivities of a fixed-speed and of a flow-holding fan are those of differences", "[own]") {
    const FanCurve induction = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const FlowHoldingFan holding = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    for (const double law : {0.0, 60.0}) {   // with and without a part that the fast way does not serve
        compare(induction, 8.0, 90.0, 120.0, law);
        compare(induction, -5.0, 30.0, 300.0, law);
        compare(holding, 8.0, 90.0, 60.0, law);     // holds its flow
        compare(holding, 60.0 - 0.5 * law, 130.0, 150.0 - law, law);  // has given up
        compare(Fan(induction), 8.0, 90.0, 120.0, law);
    }
}

TEST_CASE("sensitivities agree with dual numbers on random systems", "[own]") {
    using D = Dual<2>;
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    std::mt19937_64 random(41);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    std::size_t met = 0;
    for (std::size_t i = 0; i < test::sweep_length(300); ++i) {
        const double r = 30.0 + 200.0 * unit(random), t = 100.0 + 900.0 * unit(random);
        BasicSystemCurve<D> dual;
        dual.elements.push_back({BasicLinearResistance<D>::from_value(D::input(r, 0)),
                                 BasicQuadraticResistance<D>::from_value(D::input(t, 1)), duct_design_air()});
        SystemCurve plain;
        plain.elements.push_back({r * Pa_s_per_m3, t * Pa_s2_per_m6, duct_design_air()});
        const OperatingFlowChanges changes = operating_flow_changes(fan, plain, summer);
        if (!changes.flow) continue;
        ++met;
        const auto state = operating_state(fan, dual, air_as<D>(summer));
        CHECK(changes.for_linear.value() == Approx(r * state.flow.value().derivative[0]).epsilon(1e-9));
        CHECK(changes.for_quadratic.value() == Approx(t * state.flow.value().derivative[1]).epsilon(1e-9));
        const OperatingSensitivities full = operating_sensitivities(fan, plain, summer);
        CHECK(change_for(full, full.drops.linear).pressure.value() ==
              Approx(r * state.pressure.value().derivative[0]).epsilon(1e-9));
        CHECK(change_for(full, full.drops.quadratic).power.value() ==
              Approx(t * state.power->value().derivative[1]).epsilon(1e-9));
    }
    CHECK(met > test::sweep_length(300) / 2);
}

TEST_CASE("the answer that the last step of a solve leaves is one over the slope at the crossing", "[own]") {
    // The crossing followed in extended precision, and what rounding of slope and flow may do to the quotient.
    std::mt19937_64 random(43);
    std::uniform_real_distribution<double> unit(0.0, 1.0), decades(-2.0, 2.0);
    std::size_t met = 0;
    double worst = 0.0, worst_of_flow = 0.0;
    for (std::size_t i = 0; i < test::sweep_length(200000); ++i) {
        const FanCurve fan = test::random_fan(random, true);
        const double a = i % 3 == 0 ? 0.0 : 400.0 * (unit(random) - 0.1);
        const double b = i % 4 == 0 ? 0.0 : 100.0 * std::pow(10.0, decades(random));
        const double c = i % 5 == 0 ? 0.0 : 10.0 * std::pow(10.0, 2.0 * decades(random));
        const detail::FallingFanRoot root = detail::falling_fan_root(fan.pressure_curve(), a, b, c);
        const detail::FallingFanRoot without = detail::falling_fan_root<false>(fan.pressure_curve(), a, b, c);
        REQUIRE(root.status == without.status);
        if (root.status != OperatingStatus::single_crossing) continue;
        worst_of_flow = std::max(worst_of_flow, std::abs(root.flow - without.flow) / root.flow);
        const CubicSegment& piece = fan.pressure_curve().segments()[root.segment];
        const long double x0 = fan.pressure_curve().knots()[root.segment];
        long double q = root.flow, slope = 0.0L, bend = 0.0L;
        for (int k = 0; k < 3; ++k) {
            const long double t = q - x0;
            const long double p = piece.c0 + t * (piece.c1 + t * (piece.c2 + t * piece.c3)) - (a + q * (b + q * c));
            slope = piece.c1 + t * (2 * piece.c2 + t * 3 * piece.c3) - (b + 2 * c * q);
            bend = 2 * piece.c2 + 6 * t * piece.c3 - 2 * c;
            q -= k < 2 ? p / slope : 0.0L;
        }
        // All but flat: rounding decides, and may send Newton's step away.
        if (!(slope < -1.0L && std::abs(q - root.flow) < 1e-12L * root.flow)) continue;
        ++met;
        const long double t = q - x0;
        const long double of_fan =
            std::abs(piece.c1) + std::abs(t) * (std::abs(2 * piece.c2) + std::abs(3 * piece.c3 * t));
        const double rounding =
            2.2e-16 * static_cast<double>((of_fan + b + 2 * c * q + std::abs(bend) * q) / -slope);
        const double error = static_cast<double>(std::abs(root.answer * slope - 1.0L));
        worst = std::max(worst, error / (1e-12 + 30.0 * rounding));
    }
    CHECK(met > test::sweep_length(200000) / 3);
    CHECK(worst < 1.0);
    CHECK(worst_of_flow < 1e-14);
}

TEST_CASE("the textbook form of a small added resistance", "[own]") {
    // d ln Q = -(dp/p) / (n - f): n and f are the slopes of ln p over ln Q of system and fan.
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const SystemCurve system = system_from_design_point(
        {.flow = 0.5 * m3_per_s, .pressure = 120 * Pa, .exponent = 1.9, .air = fan_table_air()});
    const OperatingSensitivities found = operating_sensitivities(fan, system, fan_table_air());
    REQUIRE(found.state);
    const double q = found.state->flow.value(), p = found.state->pressure.value();
    const double f = fan.pressure_curve().slope(q) * q / p;
    CHECK(change_for(found, 0.1 * found.state->pressure).flow.value() / q == Approx(-0.1 / (1.9 - f)).epsilon(1e-10));
    CHECK(f < 0.0);
    // Against the flow-holding fan while it holds, resistance costs pressure alone.
    const FlowHoldingFan holding = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    const OperatingSensitivities held = operating_sensitivities(holding, system, fan_table_air());
    REQUIRE(held.status == OperatingStatus::flow_held);
    CHECK(held.per_pascal.flow.value() == Approx(0.0).margin(1e-18));
    CHECK(held.per_pascal.pressure.value() == Approx(1.0).epsilon(1e-12));
    CHECK(held.per_pascal.power.value() > 0.0);
}

TEST_CASE("no operating point, no sensitivities", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const AirState air = fan_table_air();
    for (const double exponent : {2.0, 1.9}) {
        const SystemCurve open =
            system_from_design_point({.flow = 1 * m3_per_s, .pressure = 1 * Pa, .exponent = exponent, .air = air});
        const OperatingSensitivities none = operating_sensitivities(fan, open, air);
        CHECK(none.status == OperatingStatus::beyond_table);
        CHECK_FALSE(none.state);
        CHECK_FALSE(operating_flow_changes(fan, open, air).flow);
        CHECK(operating_flow_changes(fan, open, air).status == OperatingStatus::beyond_table);
        CHECK_THROWS_WITH(change_for(none, 1 * Pa), Contains("more flow than the fan table has"));
    }
    CHECK_THROWS_AS(operating_sensitivities(fan, SystemCurve{}, AirState{}), DomainError);
    const SystemCurve good = system_from_design_point({.flow = 1 * m3_per_s, .pressure = 450 * Pa, .air = air});
    CHECK_THROWS_AS(change_for(operating_sensitivities(fan, good, air), INFINITY * Pa), DomainError);
    // A table without power changes none; a fan that turns flat right where a constant pressure meets it has no answer.
    const OperatingSensitivities without = operating_sensitivities(
        fan_curve(test::reference_fan_table("dip_normalised")),
        system_from_design_point({.flow = 1 * m3_per_s, .pressure = 0.4 * Pa, .air = air}), air);
    REQUIRE(without.state);
    CHECK_FALSE(without.state->power);
    CHECK(without.per_pascal.power.value() == 0.0);
    FanTable flat{.points = {{1 * m3_per_s, 9 * Pa, {}}, {2 * m3_per_s, 8.99 * Pa, {}}, {3 * m3_per_s, 1 * Pa, {}}},
                  .stated_air = air};
    const FanCurve turning = fan_curve(flat);
    REQUIRE(turning.pressure_curve().slope(1.0) == 0.0);
    CHECK_THROWS_WITH(operating_flow_changes(turning, SystemCurve{.constant_pressure = 9 * Pa}, air),
                      Contains("both flat"));
    CHECK_THROWS_AS(operating_sensitivities(turning, SystemCurve{.constant_pressure = 9 * Pa}, air), NoSolution);
    CHECK_THROWS_WITH(operating_state(turning, SystemCurve{.constant_pressure = 9 * Pa}, air), Contains("both flat"));
}
