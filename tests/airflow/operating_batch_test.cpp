// SPDX-License-Identifier: BSL-1.0
// Many systems at once: equal to the single function within 1e-12 on hard tables, fans that dip, lanes without a flow.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_batch.hpp>
#include <filterflow/airflow/operating_point.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Systems as columns, and each as a system of its own.
struct Systems {
    std::vector<Pressure> constant;
    std::vector<LinearResistance> linear;
    std::vector<QuadraticResistance> quadratic;

    void add(double p, double r, double s) {
        constant.push_back(p * Pa);
        linear.push_back(r * Pa_s_per_m3);
        quadratic.push_back(s * Pa_s2_per_m6);
    }
    std::size_t size() const { return linear.size(); }
    SystemBatch batch() const { return {constant, linear, quadratic}; }
    SystemCurve single(std::size_t i, const AirState& air) const {
        SystemCurve system{.constant_pressure = constant[i]};
        system.elements.push_back({linear[i], quadratic[i], air});
        return system;
    }
};

struct Answers {
    std::vector<VolumeFlow> flow;
    std::vector<OperatingStatus> status;
    std::size_t found = 0;
};

template <class F>
Answers solve(const F& fan, const Systems& systems, const AirState& air) {
    Answers answers{std::vector<VolumeFlow>(systems.size(), -1.0 * m3_per_s),
                    std::vector<OperatingStatus>(systems.size(), OperatingStatus::touching_only), 0};
    answers.found = operating_flows(fan, systems.batch(), air, {answers.flow, answers.status});
    return answers;
}

/// Compares every lane with the single function; returns the greatest relative difference of flows.
template <class F>
double compare(const F& fan, const Systems& systems, const AirState& air) {
    const Answers answers = solve(fan, systems, air);
    double worst = 0.0;
    std::size_t found = 0;
    for (std::size_t i = 0; i < systems.size(); ++i) {
        const OperatingFlow single = operating_flow(fan, systems.single(i, air), air);
        if (answers.status[i] != single.status || (single.flow ? 0.0 : answers.flow[i].value()) != 0.0) {
            CAPTURE(i, systems.constant[i].value(), systems.linear[i].value(), systems.quadratic[i].value());
            REQUIRE(answers.status[i] == single.status);
            REQUIRE(answers.flow[i].value() == 0.0);
        }
        if (!single.flow) continue;
        ++found;
        const double q = single.flow->value(), difference = std::abs(answers.flow[i].value() - q);
        worst = std::max(worst, q > 0.0 ? difference / q : difference);
    }
    REQUIRE(answers.found == found);
    return worst;
}

/// Rows that fall at once steeply and hardly, or rise here and there.
FanCurve hard_fan(std::mt19937_64& random, bool from_zero, bool with_dips) {
    std::uniform_real_distribution<double> step(0.02, 1.0);
    const std::size_t rows = 3 + random() % 20;
    FanTable table{.stated_air = fan_table_air()};
    double flow = from_zero ? 0.0 : step(random);
    std::vector<double> falls;
    double total = 0.0;
    for (std::size_t i = 1; i < rows; ++i) {
        falls.push_back(std::pow(step(random), 3));
        total += falls.back();
        if (with_dips && i + 1 < rows && random() % 4 == 0) falls.back() *= -0.5;
    }
    double pressure = 500.0;
    table.points.push_back({flow * m3_per_s, pressure * Pa, {}});
    for (const double fall : falls) {
        flow += step(random);
        pressure -= 500.0 * fall / total;
        table.points.push_back({flow * m3_per_s, (pressure > 0.0 ? pressure : 0.0) * Pa, {}});
    }
    return fan_curve(table);
}

void add_random_systems(Systems& systems, std::mt19937_64& random, std::size_t count) {
    std::uniform_real_distribution<double> unit(0.0, 1.0), decades(-2.0, 2.0);
    for (std::size_t k = 0; k < count; ++k) {
        const double constant = k % 3 == 0 ? 0.0 : 520.0 * (unit(random) - 0.1 * (k % 2 == 0 ? 1.0 : 0.0));
        systems.add(k % 7 == 0 ? 0.0 : constant, k % 4 == 0 ? 0.0 : 100.0 * std::pow(10.0, decades(random)),
                    k % 5 == 0 ? 0.0 : 100.0 * std::pow(10.0, 2.0 * decades(random) - 1.0));
    }
}

}   // namespace

TEST_CASE("a batch equals the single function to 1e-12 on 500 000 hard problems", "[own]") {
    std::mt19937_64 random(29);
    const AirState air = moist_air({.temperature = from_celsius(25), .pressure = 93000 * Pa, .relative_humidity = 0.5});
    double worst = 0.0;
    constexpr std::size_t each = 250;
    const std::size_t fans = test::sweep_length(500000) / each;
    for (std::size_t i = 0; i < fans; ++i) {
        const FanCurve fan = hard_fan(random, i % 2 == 0, false);
        Systems systems;
        add_random_systems(systems, random, each);
        worst = std::max(worst, compare(fan, systems, air));
    }
    CAPTURE(worst);
    CHECK(worst < 1e-12);
}

TEST_CASE("fans that dip are met in a batch as singly", "[own]") {
    // Systems that stay clear of the rising part go through the loops, the others singly; either way the answers agree.
    std::mt19937_64 random(31);
    double worst = 0.0;
    const std::size_t fans = test::sweep_length(60);
    for (std::size_t i = 0; i < fans; ++i) {
        const FanCurve fan = hard_fan(random, i % 2 == 0, true);
        Systems systems;
        add_random_systems(systems, random, 130);
        worst = std::max(worst, compare(fan, systems, fan_table_air()));
    }
    CAPTURE(worst);
    CHECK(worst < 1e-12);
    // The published dip: three crossings against a pressurised space, one where the system is clear of the dip; a fan
    // that rises to the end of its table.
    Systems systems;
    for (const double p : {0.0, 0.3, 0.7, 0.76, 0.79, 0.9, 1.0, 1.1}) systems.add(p, 0.0, 0.05);
    const FanCurve dip = fan_curve(test::reference_fan_table("dip_normalised"));
    CHECK(compare(dip, systems, fan_table_air()) < 1e-12);
    const Answers answers = solve(dip, systems, fan_table_air());
    CHECK(answers.status[0] == OperatingStatus::single_crossing);
    CHECK(answers.status[4] == OperatingStatus::several_crossings);
    CHECK(answers.status[7] == OperatingStatus::above_shut_off);
    FanTable rising{.points = {{0 * m3_per_s, 9 * Pa, {}}, {1 * m3_per_s, 5 * Pa, {}}, {2 * m3_per_s, 8 * Pa, {}}},
                    .stated_air = fan_table_air()};
    Systems weak;
    for (const double s : {0.0, 1.0, 2.0, 4.0, 9.0}) weak.add(1.0, 0.1, s);
    CHECK(compare(fan_curve(rising), weak, fan_table_air()) < 1e-12);
}

TEST_CASE("a batch of any length, and of any fan", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const FlowHoldingFan holding = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    std::mt19937_64 random(37);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (const std::size_t n :
         {std::size_t{0}, std::size_t{1}, std::size_t{63}, std::size_t{64}, std::size_t{65}, std::size_t{200}}) {
        Systems systems;
        for (std::size_t i = 0; i < n; ++i) {
            systems.add(40.0 * unit(random), 200.0 * unit(random), 1200.0 * unit(random));
        }
        CHECK(compare(fan, systems, fan_table_air()) < 1e-12);
        CHECK(compare(holding, systems, fan_table_air()) == 0.0);
        CHECK(compare(Fan(fan), systems, fan_table_air()) < 1e-12);
    }
    // The ends of the table, exactly, and beyond both.
    Systems ends;
    ends.add(fan.pressure_curve().values().front(), 0.0, 0.0);
    ends.add(fan.pressure_curve().values().back(), 0.0, 0.0);
    ends.add(3000.0, 0.0, 0.0);
    ends.add(-3000.0, 0.0, 0.0);
    CHECK(compare(fan, ends, fan_table_air()) == 0.0);
    const Answers answers = solve(fan, ends, fan_table_air());
    CHECK(answers.found == 2);
    CHECK(answers.status[2] == OperatingStatus::below_table);
    CHECK(answers.status[3] == OperatingStatus::beyond_table);
}

TEST_CASE("a batch names the lane that is no system", "[own]") {
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const AirState air = fan_table_air();
    Systems systems;
    for (int i = 0; i < 100; ++i) systems.add(10.0, 100.0, 900.0);
    systems.linear[76] = -1.0 * Pa_s_per_m3;
    CHECK_THROWS_WITH(solve(fan, systems, air), Contains("system 77: linear = -1 Pa s/m3"));
    systems.linear[76] = 1.0 * Pa_s_per_m3;
    systems.quadratic[99] = std::nan("") * Pa_s2_per_m6;
    CHECK_THROWS_WITH(solve(fan, systems, air), Contains("system 100: quadratic = nan"));
    systems.quadratic[99] = 1.0 * Pa_s2_per_m6;
    systems.constant[0] = INFINITY * Pa;
    CHECK_THROWS_WITH(solve(fan, systems, air), Contains("system 1: constant_pressure = inf"));
    CHECK_THROWS_AS(solve(flow_holding_fan(test::reference_fan_table("FC_CA_synthetic")), systems, air), DomainError);
    systems.constant[0] = 1.0 * Pa;
    CHECK_THROWS_AS(solve(fan, systems, AirState{}), DomainError);
    std::vector<VolumeFlow> flow(99);
    std::vector<OperatingStatus> status(100);
    CHECK_THROWS_WITH(operating_flows(fan, systems.batch(), air, {flow, status}), Contains("length of a column = 99"));
}
