// SPDX-License-Identifier: BSL-1.0
// Networks: published ones, and what must hold for any: one solution from any start, balanced nodes, laws that are met,
// trees as loops, parallel branches as their sum, one loop as an operating point, resistance that never raises a flow.

#include <cmath>
#include <algorithm>
#include <map>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network.hpp>
#include <filterflow/airflow/operating_point.hpp>

#include "airflow/airflow_fans.hpp"
#include "airflow/network_support.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Greatest misfit of parts and of nodes, by the public functions of the parts.
void check_solution(const test::ListedNetwork& n, const NetworkSolution& solution, const AirState& air) {
    double greatest_drop = 0.0, inflow = 0.0;
    std::map<std::string, double> gain;
    for (const auto& b : n.branches) {
        const double q = solution.flow(b.name) / m3_per_s;
        greatest_drop = std::max(greatest_drop, std::abs(solution.pressure_drop(b.name) / Pa));
        gain[b.from] -= q;
        gain[b.to] += q;
    }
    for (const auto& b : n.branches) {
        CAPTURE(b.name, b.part.index());
        CHECK(test::drop_of(b.part, solution.flow(b.name) / m3_per_s, air) ==
              Approx(solution.pressure(b.from) / Pa - solution.pressure(b.to) / Pa).margin(3e-9 * greatest_drop));
    }
    for (const auto& [node, flow] : gain) inflow += std::max(0.0, solution.supply(node) / m3_per_s);
    for (const auto& [node, flow] : gain) {
        CHECK(flow + solution.supply(node) / m3_per_s == Approx(0.0).margin(1e-9 * inflow + 1e-15));
    }
    for (const auto& [node, demand] : n.demands) CHECK(solution.supply(node) == -demand);
}

PowerLawPart power_part(double r, double n, const AirState& air) {
    return {.reference_pressure = r * Pa, .reference_flow = 1 * m3_per_s, .exponent = n, .stated_air = air};
}

}   // namespace

TEST_CASE("the network of Todini and Rossman has its published flows and heads", "[outside]") {
    // Todini and Rossman 2013, J. Hydraul. Eng.: tests/reference/networks.csv and network_checks.csv. Heads stand for
    // Pa, flows for m3/s. The coefficients are printed with six digits, hence 1e-6.
    const AirState air = fan_table_air();
    const test::ReferenceTable table("networks.csv"), checks("network_checks.csv");
    DuctNetwork network(air);
    std::vector<std::pair<std::string, double>> published;
    for (const auto& row : table) {
        if (row["network"] != "TR2013") continue;
        const std::string name = "link (" + row["from"] + ", " + row["to"] + ")";
        network.add_branch({.name = name,
                            .from = row["from"],
                            .to = row["to"],
                            .part = power_part(row.number("parameters"), 1.852, air)});
        published.emplace_back(name, row.number("flow"));
    }
    network.fix_pressure("0", 100 * Pa);
    for (int i = 1; i <= 4; ++i) network.set_demand(std::to_string(i), 10.0 * i * m3_per_s);
    const NetworkSolution solution = NetworkSolver(network).solve();
    REQUIRE(published.size() == 7);
    for (const auto& [name, flow] : published) {
        CHECK(solution.flow(name) / m3_per_s == Approx(flow).epsilon(1e-6));
        CHECK(flow == checks.row("quantity", "Todini-Rossman 2013 network, " + name).number("expected"));
    }
    for (const std::string node : {"1", "2", "3", "4"}) {
        CHECK(solution.pressure(node) / Pa ==
              Approx(checks.row("quantity", "Todini-Rossman head node " + node).number("expected")).epsilon(1e-6));
    }
    CHECK(solution.supply("0") / m3_per_s == Approx(100.0).epsilon(1e-12));
    CHECK(solution.iterations() <= 7);
}

TEST_CASE("seven pipes with Colebrook's friction carry their published flows", "[outside]") {
    // University course example 1.11 (Mississippi State), tests/reference/networks.csv: water, ft and slugs.
    AirState water = fan_table_air();
    water.density = 1.94 * 515.378818 * kg_per_m3;
    water.viscosity = DynamicViscosity::from_value(3.104e-5 * 47.8802590);
    DuctNetwork network(water);
    std::vector<std::pair<std::string, double>> published;
    for (const auto& row : test::ReferenceTable("networks.csv")) {
        if (row["network"] != "MSU1.11") continue;
        const std::string text = row["parameters"];   // "D=12 in;L=2000 ft"
        const double diameter = std::stod(text.substr(2)), length = std::stod(text.substr(text.find("L=") + 2));
        published.emplace_back(row["from"] + row["to"], row.number("flow"));
        network.add_branch(
            {.name = published.back().first,
             .from = row["from"],
             .to = row["to"],
             .part = DuctSegment{.length = length * ft, .diameter = diameter * inch, .roughness = 1.5e-4 * ft}});
    }
    network.fix_pressure("a", 0 * Pa);
    network.set_demand("c", 2 * 60 * cfm);   // ft3/s
    network.set_demand("d", 1 * 60 * cfm);
    const NetworkSolution solution = NetworkSolver(network).solve();
    REQUIRE(published.size() == 7);
    for (const auto& [name, flow] : published) CHECK(solution.flow(name) / cfm / 60.0 == Approx(flow).epsilon(1e-3));
    CHECK(solution.supply("a") / cfm / 60.0 == Approx(3.0).epsilon(1e-12));
}

TEST_CASE("three parallel airways resist as the parallel rule says", "[own]") {
    // The rule, as in McPherson, Subsurface Ventilation Engineering, ch. 7 (from memory): network_checks.csv.
    const double expected =
        test::ReferenceTable("network_checks.csv").row("id", "parallel resistances").number("expected");
    const AirState air = fan_table_air();
    DuctNetwork network(air);
    for (const double r : {4.0, 6.25, 9.0}) {
        network.add_branch({.name = std::to_string(r), .from = "in", .to = "out", .part = power_part(r, 2.0, air)});
    }
    network.fix_pressure("out", 0 * Pa);
    network.set_demand("in", -10 * m3_per_s);
    const NetworkSolution solution = NetworkSolver(network).solve();
    CHECK(solution.pressure("in") / Pa / 100.0 == Approx(expected).epsilon(1e-3));
    CHECK(solution.pressure("in") / Pa / 100.0 == Approx(std::pow(1 / 2.0 + 1 / 2.5 + 1 / 3.0, -2)).epsilon(1e-12));
}

TEST_CASE("random networks meet every law and balance every node", "[own]") {
    test::RandomNetworks random(5);
    const AirState air = moist_air({.temperature = from_celsius(35), .pressure = 98 * kPa, .relative_humidity = 0.4});
    int greatest = 0;
    std::size_t solved = 0, trials = test::sweep_length(300);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        test::ListedNetwork n = random.network(2 + random.below(40), random.below(30));
        for (std::size_t f = random.below(3); f-- > 0;) {   // fans from the open air, which is a little above the room
            n.add("fan " + std::to_string(f), "outdoors", n.branches[random.below(n.branches.size())].to,
                  test::falling_fan(random.uniform(50, 600), random.uniform(2, 8)));
        }
        if (n.branches.back().from == "outdoors") n.pressures.emplace_back("outdoors", 5 * Pa);
        const NetworkSolution solution = NetworkSolver(n.network(air)).solve();
        CAPTURE(trial, solution.iterations());
        greatest = std::max(greatest, solution.iterations());
        if (solution.status() == NetworkStatus::fan_outside_table) continue;   // one blows back through the other
        REQUIRE(solution.found());
        check_solution(n, solution, air);
        ++solved;
    }
    CHECK(solved > trials / 2);
    CHECK(greatest <= 16);
}

TEST_CASE("two hundred random starts end at one solution", "[own]") {
    const AirState air = duct_design_air();
    test::ListedNetwork n;   // a fan, a filter known as a power law of 1.3, two loops
    n.add("fan", "outdoors", "box", test::falling_fan(500.0, 2.0));
    n.add("filter", "box", "plenum", PowerLawPart{60 * Pa, 0.6 * m3_per_s, 1.3, air});
    n.add("left", "plenum", "hall", DuctSegment{.length = 20 * m, .diameter = 0.25 * m, .loss_coefficient = 2.0});
    n.add("right", "plenum", "stage", DuctSegment{.length = 10 * m, .diameter = 0.2 * m});
    n.add("across", "hall", "stage", DuctSegment{.length = 5 * m, .diameter = 0.15 * m});
    n.add("hall outlet", "hall", "room", Fitting{0.03 * m2, 1.8});
    n.add("stage outlet", "stage", "room", Fitting{0.02 * m2, 1.8});
    n.add("door", "room", "outdoors", LeakagePath{0.3 * m3_per_s, 10 * Pa, 0.6});
    n.pressures = {{"outdoors", 0 * Pa}};
    NetworkSolver solver(n.network(air));
    const NetworkRules rules{.relative_pressure_tolerance = 1e-13};
    const NetworkSolution from_scratch = solver.solve(rules);
    check_solution(n, from_scratch, air);
    test::RandomNetworks random(17);
    std::vector<VolumeFlow> start(n.branches.size());
    for (std::size_t trial = 0; trial < test::sweep_length(200); ++trial) {
        for (VolumeFlow& q : start) q = random.uniform(-3.0, 3.0) * m3_per_s;
        const NetworkSolution solution = solver.solve_from(start, rules);
        for (std::size_t k = 0; k < start.size(); ++k) {
            CHECK(solution.flow(k) / m3_per_s == Approx(from_scratch.flow(k) / m3_per_s).epsilon(1e-11));
        }
        CHECK(solution.iterations() <= 20);
    }
}

TEST_CASE("a tree is solved alike with and without elimination", "[own]") {
    test::RandomNetworks random(29);
    const AirState air = duct_design_air();
    for (std::size_t trial = 0; trial < test::sweep_length(150); ++trial) {
        const test::ListedNetwork n = random.network(2 + random.below(60), trial % 2 == 0 ? 0 : random.below(6));
        const NetworkSolution trees = NetworkSolver(n.network(air)).solve();
        const NetworkSolution loops = detail::solver_without_trees(n.network(air)).solve();
        double most = 0.0;
        for (std::size_t k = 0; k < n.branches.size(); ++k) most = std::max(most, std::abs(trees.flow(k) / m3_per_s));
        for (std::size_t k = 0; k < n.branches.size(); ++k) {
            CHECK(trees.flow(k) / m3_per_s == Approx(loops.flow(k) / m3_per_s).margin(1e-7 * most));
        }
    }
}

TEST_CASE("parallel branches carry the sum of what each carries at that pressure", "[own]") {
    test::RandomNetworks random(31);
    const AirState air = duct_design_air();
    for (std::size_t trial = 0; trial < test::sweep_length(200); ++trial) {
        const BranchPart one = random.part(), other = random.part();
        const Pressure pressure = random.uniform(-200.0, 200.0) * Pa;
        const auto flow_of = [&](const std::vector<BranchPart>& parts) {
            DuctNetwork n(air);
            for (const BranchPart& p : parts) {
                n.add_branch({.name = std::to_string(n.branch_count()), .from = "a", .to = "b", .part = p});
            }
            n.add_branch({.name = "after", .from = "b", .to = "c", .part = Fitting{1 * m2, 1e-6}});
            n.fix_pressure("a", pressure);
            n.fix_pressure("c", 0 * Pa);
            return NetworkSolver(std::move(n)).solve().flow("after") / m3_per_s;
        };
        CHECK(flow_of({one, other}) == Approx(flow_of({one}) + flow_of({other})).epsilon(1e-5));
    }
}

TEST_CASE("a network of one loop works where fan and system meet", "[own]") {
    test::RandomNetworks random(37);
    const AirState air = moist_air({.temperature = from_celsius(5), .pressure = 90 * kPa, .relative_humidity = 0.8});
    for (std::size_t trial = 0; trial < test::sweep_length(200); ++trial) {
        const FanCurve fan = test::falling_fan(random.uniform(100, 800), random.uniform(1, 4));
        SystemCurve system{.constant_pressure = random.uniform(-20, 20) * Pa};
        DuctNetwork n(air);
        n.add_branch({.name = "fan", .from = "outdoors", .to = "1", .part = fan});
        const ElementCurve filter{random.uniform(10, 200) * Pa_s_per_m3, random.uniform(10, 100) * Pa_s2_per_m6,
                                  duct_design_air()};
        const DuctSegment duct{
            .length = random.uniform(1, 60) * m, .diameter = random.uniform(0.2, 0.5) * m, .loss_coefficient = 3.0};
        n.add_branch({.name = "filter", .from = "1", .to = "2", .part = filter});
        n.add_branch({.name = "duct", .from = "2", .to = "room", .part = duct});
        n.fix_pressure("outdoors", 0 * Pa);
        n.fix_pressure("room", system.constant_pressure);
        const OperatingPoint point = operating_point(fan, in_series(system, filter, duct), air);
        const NetworkSolution solution = NetworkSolver(std::move(n)).solve();
        REQUIRE(solution.found() == point.found());
        if (!point.found()) continue;
        CHECK(solution.flow("fan") / m3_per_s == Approx(point.flow() / m3_per_s).epsilon(1e-8));
        CHECK(-(solution.pressure_drop("fan") / Pa) == Approx(point.pressure() / Pa).epsilon(1e-8));
    }
}

TEST_CASE("a filter added never raises the flow of its branch", "[own]") {
    test::RandomNetworks random(41);
    const AirState air = duct_design_air();
    std::size_t compared = 0, trials = test::sweep_length(200);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        test::ListedNetwork n = random.network(3 + random.below(20), random.below(15));
        n.add("fan", "room", n.branches[0].to == "room" ? n.branches[0].from : n.branches[0].to,
              test::falling_fan(400, 5));
        const std::size_t k = random.below(n.branches.size());   // the fan's branch, too
        const NetworkSolution without = NetworkSolver(n.network(air)).solve();
        const std::string to = n.branches[k].to;
        n.branches[k].to = "before the filter";
        n.add("filter", "before the filter", to,
              ElementCurve{random.uniform(1, 300) * Pa_s_per_m3, 50 * Pa_s2_per_m6, air});
        const NetworkSolution with = NetworkSolver(n.network(air)).solve();
        if (!without.found() || !with.found()) continue;   // the fan is blown through, outside its table
        ++compared;
        const double before = without.flow(k) / m3_per_s, after = with.flow(k) / m3_per_s;
        CAPTURE(trial, k, before, after);
        CHECK(std::abs(after) <= std::abs(before) + 1e-8);
        CHECK(after * before >= -1e-8);
    }
    CHECK(compared > trials / 2);
}

TEST_CASE("corrections loop by loop reach the same flows", "[own]") {
    // Second method: Hardy Cross, flows that balance the nodes corrected in each loop until its drops cancel.
    const AirState air = fan_table_air();
    const double r[] = {3.0, 5.0, 2.0, 8.0, 4.0};   // in-top, in-bottom, top-bottom, top-out, bottom-out
    double q[] = {0.6, 0.4, 0.0, 0.6, 0.4};
    const auto drop = [&](int k) { return r[k] * q[k] * std::abs(q[k]); };
    const auto correct = [&](const std::vector<std::pair<int, int>>& loop) {
        double sum = 0.0, slope = 0.0;
        for (const auto& [k, sign] : loop) {
            sum += sign * drop(k);
            slope += 2.0 * r[k] * std::abs(q[k]);
        }
        for (const auto& [k, sign] : loop) q[k] -= sign * sum / slope;
    };
    for (int round = 0; round < 500; ++round) {
        correct({{0, 1}, {2, 1}, {1, -1}});
        correct({{3, 1}, {4, -1}, {2, -1}});
    }
    DuctNetwork n(air);
    const char* ends[][2] = {{"in", "top"}, {"in", "bottom"}, {"top", "bottom"}, {"top", "out"}, {"bottom", "out"}};
    for (int k = 0; k < 5; ++k) {
        n.add_branch(
            {.name = std::to_string(k), .from = ends[k][0], .to = ends[k][1], .part = power_part(r[k], 2.0, air)});
    }
    n.fix_pressure("out", 0 * Pa);
    n.set_demand("in", -1 * m3_per_s);
    const NetworkSolution solution = NetworkSolver(std::move(n)).solve();
    for (std::size_t k = 0; k < 5; ++k) CHECK(solution.flow(k) / m3_per_s == Approx(q[k]).margin(1e-8));
}

TEST_CASE("a balanced bridge carries nothing across", "[own]") {
    const AirState air = duct_design_air();
    for (const BranchPart& across :
         {BranchPart(Fitting{0.01 * m2, 1.0}), BranchPart(DuctSegment{.length = 3 * m, .diameter = 0.1 * m}),
          BranchPart(LeakagePath{0.1 * m3_per_s, 50 * Pa, 0.5}),
          BranchPart(ElementCurve{20 * Pa_s_per_m3, 5 * Pa_s2_per_m6, air}),
          BranchPart(PowerLawPart{50 * Pa, 0.1 * m3_per_s, 3.0, air})}) {
        DuctNetwork n(air);
        const auto add = [&](const char* name, const char* from, const char* to, double r) {
            n.add_branch({.name = name, .from = from, .to = to, .part = power_part(r, 2.0, air)});
        };
        add("1", "in", "left", 100.0);
        add("2", "in", "right", 200.0);
        add("3", "left", "out", 300.0);
        add("4", "right", "out", 600.0);
        n.add_branch({.name = "across", .from = "left", .to = "right", .part = across});
        n.fix_pressure("in", 100 * Pa);
        n.fix_pressure("out", 0 * Pa);
        const NetworkSolution solution = NetworkSolver(std::move(n)).solve();
        CHECK(std::abs(solution.flow("across") / m3_per_s) < 1e-5);
        CHECK(std::abs(solution.pressure_drop("across") / Pa) < 1e-6);
        CHECK(solution.flow("1") / m3_per_s == Approx(0.5).epsilon(1e-6));
        CHECK(solution.iterations() <= 25);
    }
}
