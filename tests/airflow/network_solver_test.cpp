// SPDX-License-Identifier: BSL-1.0
// Networks: what is refused and named, what limits a solution, one shape with many parameter sets, names and indices.

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network.hpp>
#include <filterflow/airflow/network_names.hpp>
#include <filterflow/airflow/operating_point.hpp>

#include "airflow/airflow_fans.hpp"
#include "airflow/network_support.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

Fitting grille() { return {0.1 * m2, 2.0}; }

FanCurve normalised_dip_fan() {
    FanTable table = test::reference_fan_table("dip_normalised");
    table.kind = FanPressureKind::total;
    return fan_curve(table);
}

DuctNetwork two_rooms() {
    DuctNetwork n(duct_design_air());
    n.add_branch({.name = "fan", .from = "outdoors", .to = "plenum", .part = test::falling_fan(300, 2)});
    n.add_branch({.name = "filter", .from = "plenum", .to = "hall",
                  .part = ElementCurve{30 * Pa_s_per_m3, 20 * Pa_s2_per_m6, duct_design_air()}});
    n.add_branch(
        {.name = "to stage", .from = "hall", .to = "stage", .part = DuctSegment{.length = 9 * m, .diameter = 0.3 * m}});
    n.add_branch({.name = "hall grille", .from = "hall", .to = "outdoors", .part = grille()});
    n.add_branch({.name = "stage grille", .from = "stage", .to = "outdoors", .part = grille()});
    n.fix_pressure("outdoors", 0 * Pa);
    return n;
}

template <class Change>
void refused(const Change& change, const std::string& text) {
    DuctNetwork n = two_rooms();
    CHECK_THROWS_WITH([&] {
        change(n);
        return NetworkSolver(std::move(n));
    }(), Contains(text));
}

}   // namespace

TEST_CASE("networks that are none are refused by name", "[own]") {
    refused([](DuctNetwork& n) { n.add_branch({.name = "filter", .from = "a", .to = "b", .part = grille()}); },
            "two branches 'filter'");
    refused([](DuctNetwork& n) { n.add_branch({.name = "ring", .from = "hall", .to = "hall", .part = grille()}); },
            "branch 'ring' begins and ends at 'hall'");
    refused([](DuctNetwork& n) { n.add_branch({.name = "", .from = "a", .to = "b", .part = grille()}); },
            "a name and two nodes");
    refused([](DuctNetwork& n) { n.add_branch({.name = "leak", .from = "hall", .to = "", .part = grille()}); },
            "branch 'leak'");
    refused(
        [](DuctNetwork& n) {
            n.add_branch({.name = "duct", .from = "a", .to = "b", .part = DuctSegment{.length = 1 * m}});
        },
        "branch 'duct': DuctNetwork::add_branch: duct width = 0 m");
    refused([](DuctNetwork& n) { n.add_branch({.name = "duct", .from = "hall", .to = "fojer", .part = grille()}); },
            "a single branch dangles at node 'fojer'");
    refused([](DuctNetwork& n) { n.fix_pressure("attic", 0 * Pa); }, "no branch reaches node 'attic'");
    refused([](DuctNetwork& n) {
        n.add_branch({.name = "1", .from = "shed", .to = "barn", .part = grille()});
        n.add_branch({.name = "2", .from = "shed", .to = "barn", .part = grille()});
        n.set_demand("barn", 0 * m3_per_s);
    }, "no path leads from node 'shed', 'barn' to a fixed pressure");
    refused(
        [](DuctNetwork& n) {
            for (int i = 0; i < 8; ++i) {
                n.add_branch(
                    {.name = std::to_string(i), .from = "hall", .to = "end " + std::to_string(i), .part = grille()});
            }
        },
        "'end 0', 'end 1', 'end 2', 'end 3', 'end 4' and 3 more");
    refused([](DuctNetwork& n) { n.fix_pressure("outdoors", 0 * Pa); },
            "node 'outdoors' has a pressure or a demand already");
    refused([](DuctNetwork& n) { n.set_demand("outdoors", 0 * m3_per_s); }, "node 'outdoors' has a pressure");
    refused([](DuctNetwork& n) { n.set_demand("hall", NAN * m3_per_s); }, "demand = nan");
    refused([](DuctNetwork& n) { n.fix_pressure("hall", INFINITY * Pa); }, "pressure = inf");
    CHECK_THROWS_WITH(NetworkSolver(DuctNetwork(duct_design_air())), Contains("no branches"));
    CHECK_THROWS_AS(DuctNetwork(AirState{}), DomainError);
    // A network is as it was after a refusal.
    DuctNetwork n = two_rooms();
    CHECK_THROWS_AS(n.add_branch({.name = "bad", .from = "x", .to = "y", .part = Fitting{}}), DomainError);
    CHECK(n.branch_count() == 5);
    CHECK(n.node_count() == 4);
    CHECK(NetworkSolver(std::move(n)).solve().found());
}

TEST_CASE("a closed end is a demand of nothing", "[own]") {
    DuctNetwork n = two_rooms();
    n.add_branch({.name = "stub", .from = "hall", .to = "end", .part = grille()});
    n.set_demand("end", 0 * m3_per_s);
    const NetworkSolution found = NetworkSolver(std::move(n)).solve();
    CHECK(found.flow("stub") / m3_per_s == Approx(0.0).margin(1e-12));
    CHECK(found.pressure("end") / Pa == Approx(found.pressure("hall") / Pa).margin(1e-7));
}

TEST_CASE("a network without cause has no flow", "[own]") {
    DuctNetwork n(duct_design_air());
    n.add_branch({.name = "a", .from = "1", .to = "2", .part = grille()});
    n.add_branch({.name = "b", .from = "2", .to = "3", .part = DuctSegment{.length = 2 * m, .diameter = 0.2 * m}});
    n.add_branch({.name = "c", .from = "2", .to = "1", .part = LeakagePath{1 * m3_per_s, 1 * Pa}});
    n.fix_pressure("1", 7 * Pa);
    n.fix_pressure("3", 7 * Pa);
    const NetworkSolution found = NetworkSolver(std::move(n)).solve();
    for (std::size_t k = 0; k < 3; ++k) CHECK(found.flow(k) / m3_per_s == 0.0);
    CHECK(found.pressure("2") / Pa == 7.0);
}

TEST_CASE("results are read by name and by index", "[own]") {
    const DuctNetwork n = two_rooms();
    CHECK(n.branch_name(n.branch_index("to stage")) == "to stage");
    CHECK(n.node_name(n.node_index_of("stage")) == "stage");
    NetworkSolver solver(n);
    const NetworkSolution found = solver.solve();
    CHECK(found.flow("to stage") == found.flow(n.branch_index("to stage")));
    CHECK(found.pressure("hall") == found.pressure(n.node_index_of("hall")));
    CHECK(found.supply("outdoors") == found.supply(n.node_index_of("outdoors")));
    CHECK(found.pressure_drop("filter") / Pa ==
          Approx(found.pressure("plenum") / Pa - found.pressure("hall") / Pa).epsilon(1e-12));
    CHECK(found.limits().empty());
    CHECK(found.last_flows().size() == n.branch_count());
    CHECK_THROWS_WITH(found.flow("fliter"), Contains("there is no branch 'fliter'"));
    CHECK_THROWS_WITH(found.pressure("halle"), Contains("there is no node 'halle'"));
    CHECK_THROWS_WITH(found.flow(5), Contains("no branch of index 5"));
    CHECK_THROWS_WITH(solver.set_part(5, grille()), Contains("index of a branch = 5"));
    CHECK_THROWS_WITH(solver.set_pressure("hall", 1 * Pa), Contains("is not fixed"));
    CHECK_THROWS_WITH(solver.set_demand("outdoors", 1 * m3_per_s), Contains("'outdoors' is fixed"));
    CHECK_THROWS_AS(solver.set_demand("hall", NAN * m3_per_s), DomainError);
    CHECK_THROWS_AS(solver.set_part("filter", Fitting{}), DomainError);
    CHECK_THROWS_WITH(solver.solve({.relative_pressure_tolerance = 0.0}), Contains("relative_pressure_tolerance"));
    CHECK_THROWS_WITH(solver.solve({.relative_flow_tolerance = NAN}), Contains("relative_flow_tolerance"));
    CHECK_THROWS_WITH(solver.solve({.iteration_limit = 0}), Contains("iteration_limit = 0"));
    CHECK_THROWS_WITH(solver.solve_from(std::vector<VolumeFlow>(4)), Contains("number of flows = 4"));
    CHECK_THROWS_AS(solver.solve_from(std::vector<VolumeFlow>(5, NAN * m3_per_s)), DomainError);
}

TEST_CASE("one shape with many parameter sets is each network by itself", "[own]") {
    test::RandomNetworks random(43);
    const AirState air = duct_design_air();
    for (std::size_t trial = 0; trial < test::sweep_length(60); ++trial) {
        test::ListedNetwork n = random.network(3 + random.below(15), random.below(10));
        n.add("fan", "room", n.branches[0].to == "room" ? n.branches[0].from : n.branches[0].to,
              test::falling_fan(300, 5));
        NetworkSolver solver(n.network(air));
        NetworkSolution last = solver.solve();
        for (int change = 0; change < 6; ++change) {
            const std::size_t k = random.below(n.branches.size());
            n.branches[k].part =
                k + 1 == n.branches.size() ? BranchPart(test::falling_fan(random.uniform(100, 500), 5)) : random.part();
            solver.set_part(n.branches[k].name, n.branches[k].part);
            if (!n.demands.empty()) {
                n.demands[0].second = random.uniform(-0.1, 0.1) * m3_per_s;
                solver.set_demand(n.demands[0].first, n.demands[0].second);
            }
            n.pressures[0].second = random.uniform(-50, 50) * Pa;
            solver.set_pressure("room", n.pressures[0].second);
            const NetworkSolution alone = NetworkSolver(n.network(air)).solve();
            const NetworkSolution warm = solver.solve_from(last.last_flows());
            const NetworkSolution cold = solver.solve();
            for (std::size_t b = 0; b < n.branches.size(); ++b) {
                CHECK(cold.flow(b) == alone.flow(b));
                CHECK(warm.flow(b) / m3_per_s == Approx(alone.flow(b) / m3_per_s).margin(1e-6));
            }
            last = warm;
        }
    }
}

TEST_CASE("a filter that loads is followed in few iterations", "[own]") {
    NetworkSolver solver(two_rooms());
    NetworkSolution found = solver.solve();
    double before = found.flow("fan") / m3_per_s;
    for (int step = 1; step <= 20; ++step) {
        solver.set_part("filter",
                        ElementCurve{(30.0 + 4.0 * step) * Pa_s_per_m3, 20 * Pa_s2_per_m6, duct_design_air()});
        found = solver.solve_from(found.last_flows());
        CHECK(found.iterations() <= 4);
        CHECK(found.flow("fan") / m3_per_s < before);
        before = found.flow("fan") / m3_per_s;
    }
}

TEST_CASE("first-order changes are those of solving again", "[own]") {
    // Second method: central differences with a constant drop in series.
    test::RandomNetworks random(47);
    const AirState air = duct_design_air();
    for (std::size_t trial = 0; trial < test::sweep_length(60); ++trial) {
        test::ListedNetwork n = random.network(3 + random.below(15), random.below(10));
        n.add("fan", "room", n.branches[0].to == "room" ? n.branches[0].from : n.branches[0].to,
              test::falling_fan(400, 5));
        const std::size_t k = random.below(n.branches.size() - 1);
        SystemCurve part;
        part.elements.push_back({random.uniform(10, 100) * Pa_s_per_m3, 100 * Pa_s2_per_m6, air});
        const auto solved = [&](double extra, NetworkSolver& solver) {
            part.constant_pressure = extra * Pa;
            solver.set_part(k, part);
            return solver.solve({.relative_pressure_tolerance = 1e-13});
        };
        NetworkSolver solver(n.network(air));
        const double step = 1e-3;
        const NetworkSolution up = solved(step, solver), down = solved(-step, solver), middle = solved(0.0, solver);
        if (!up.found() || !down.found() || !middle.found()) continue;
        const auto changes = solver.flow_changes(k, 1 * Pa);
        double most = 0.0;
        for (const VolumeFlow& change : changes) most = std::max(most, std::abs(change / m3_per_s));
        for (std::size_t b = 0; b < n.branches.size(); ++b) {
            CHECK(changes[b] / m3_per_s ==
                  Approx((up.flow(b) - down.flow(b)) / m3_per_s / (2 * step)).margin(2e-3 * most + 1e-9));
        }
        CHECK(changes[k] / m3_per_s <= 1e-15);
        CHECK(solver.solve_from(middle.last_flows()).flow(k) / m3_per_s ==
              Approx(middle.flow(k) / m3_per_s).margin(1e-7));
    }
    NetworkSolver solver(two_rooms());
    CHECK_THROWS_AS(solver.flow_changes(0, 1 * Pa), NoSolution);
    REQUIRE(solver.solve().found());
    CHECK(solver.flow_changes(1, 1 * Pa).size() == 5);
    CHECK_THROWS_AS(solver.flow_changes(5, 1 * Pa), DomainError);
    CHECK_THROWS_AS(solver.flow_changes(1, NAN * Pa), DomainError);
    solver.set_part("filter", grille());
    CHECK_THROWS_WITH(solver.flow_changes(1, 1 * Pa), Contains("not those of a solution"));
}

TEST_CASE("a solver may be copied, and a network used again", "[own]") {
    DuctNetwork n = two_rooms();
    NetworkSolver solver(n);
    NetworkSolver copy = solver;
    copy.set_part("filter", Fitting{1 * m2, 1.0});
    n.add_branch({.name = "door", .from = "stage", .to = "outdoors", .part = grille()});
    const NetworkSolution found = solver.solve();
    CHECK(found.flow("fan") / m3_per_s < copy.solve().flow("fan") / m3_per_s);
    CHECK_THROWS_AS(found.flow("door"), DomainError);
    CHECK(NetworkSolver(n).solve().flow("door") / m3_per_s > 0.0);
}

TEST_CASE("a network says which kind of pressure it took a fan for, and refuses one that does not state it", "[own]") {
    FanTable table{.stated_air = duct_design_air()};
    for (const auto& [q, p] : {std::pair(0.0, 300.0), std::pair(1.0, 200.0), std::pair(2.0, 0.0)}) {
        table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    }
    const auto with = [&](FanPressureKind kind) {
        table.kind = kind;
        return Branch{.name = "attic fan", .from = "outdoors", .to = "plenum", .part = fan_curve(table)};
    };
    DuctNetwork n(duct_design_air());
    CHECK_THROWS_WITH(n.add_branch(with(FanPressureKind::not_stated)),
                      Contains("'attic fan'") && Contains("kind of the fan's pressure is not stated"));
    n.add_branch(with(FanPressureKind::total));
    n.add_branch({.name = "outlet", .from = "plenum", .to = "outdoors", .part = grille()});
    n.fix_pressure("outdoors", 0 * Pa);
    NetworkSolver solver(std::move(n));
    const NetworkSolution total = solver.solve();
    CHECK(total.limits().empty());
    for (const auto& [kind, words] : {std::pair(FanPressureKind::static_pressure, "static pressure, taken as the rise"),
                                      std::pair(FanPressureKind::external_static, "external static pressure, taken")}) {
        solver.set_part("attic fan", with(kind).part);
        const NetworkSolution found = solver.solve();
        CHECK(found.found());
        CHECK(found.flow("attic fan") == total.flow("attic fan"));
        REQUIRE(found.limits().size() == 1);
        CHECK(found.limits()[0].kind == NetworkLimitKind::fan_pressure_kind);
        CHECK_THAT(found.limits()[0].text, Contains("'attic fan'") && Contains(words));
    }
    CHECK_THROWS_WITH(solver.set_part("attic fan", with(FanPressureKind::not_stated).part), Contains("not stated"));
}

TEST_CASE("a fan outside its table limits the network, by name", "[own]") {
    DuctNetwork n(duct_design_air());
    FanTable table{.kind = FanPressureKind::total, .stated_air = duct_design_air()};
    for (const auto& [q, p] : {std::pair(0.5, 300.0), std::pair(1.0, 200.0), std::pair(1.5, 50.0)}) {
        table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    }
    n.add_branch({.name = "small fan", .from = "outdoors", .to = "plenum", .part = fan_curve(table)});
    n.add_branch({.name = "outlet", .from = "plenum", .to = "outdoors", .part = Fitting{1 * m2, 1.0}});
    n.fix_pressure("outdoors", 0 * Pa);
    NetworkSolver solver(std::move(n));
    const NetworkSolution beyond = solver.solve();
    CHECK(beyond.status() == NetworkStatus::fan_outside_table);
    CHECK_FALSE(beyond.found());
    REQUIRE(beyond.limits().size() == 1);
    CHECK(beyond.limits()[0].kind == NetworkLimitKind::fan_outside_table);
    CHECK(beyond.limits()[0].branch == 0);
    CHECK_THAT(beyond.limits()[0].text, Contains("'small fan'") && Contains("0.5 to 1.5 m3/s"));
    CHECK_THROWS_WITH(beyond.flow("outlet"), Contains("a fan would run outside its table") && Contains("'small fan'"));
    CHECK(beyond.last_flows()[0] / m3_per_s > 1.5);
    solver.set_part("outlet", Fitting{0.001 * m2, 1.0});   // all but closed: before the first row
    CHECK(solver.solve().status() == NetworkStatus::fan_outside_table);
    solver.set_part("outlet", Fitting{0.05 * m2, 1.0});
    CHECK(solver.solve().found());
}

TEST_CASE("a fan against a closed end stands at shut-off", "[own]") {
    for (const double leak : {0.0, 1e-4}) {
        DuctNetwork n(fan_table_air());
        n.add_branch({.name = "fan", .from = "outdoors", .to = "plenum", .part = test::falling_fan(300, 2)});
        n.add_branch(
            {.name = "duct", .from = "plenum", .to = "end", .part = DuctSegment{.length = 9 * m, .diameter = 0.3 * m}});
        n.fix_pressure("outdoors", 0 * Pa);
        n.set_demand("end", leak * m3_per_s);
        const NetworkSolution found = NetworkSolver(std::move(n)).solve();
        REQUIRE(found.found());
        CHECK(found.flow("fan") / m3_per_s == Approx(leak).margin(1e-12));
        CHECK(found.pressure("end") / Pa == Approx(300.0).epsilon(1e-4));
    }
}

TEST_CASE("an iteration limit that is met is said, with the worst branch", "[own]") {
    NetworkSolver solver(two_rooms());
    const NetworkSolution found = solver.solve({.iteration_limit = 1});
    CHECK(found.status() == NetworkStatus::not_converged);
    REQUIRE(found.limits().size() == 1);
    CHECK(found.limits()[0].kind == NetworkLimitKind::not_converged);
    CHECK_THAT(found.limits()[0].text, Contains("still misses its law by"));
    CHECK(found.greatest_residual() / Pa > 1e-3);
    CHECK_THROWS_AS(found.pressure("hall"), NoSolution);
    for (const auto status : {NetworkStatus::solved, NetworkStatus::fan_outside_table, NetworkStatus::unstable,
                              NetworkStatus::not_converged}) {
        CHECK(status_text(status) != "unknown status");
    }
}

TEST_CASE("a fan with a dip settles where it is stable, from wherever it starts", "[own]") {
    // The dip fan of tests/reference/fan_curves.csv against 0.79 + 0.05 q^2 crosses three times; the middle one is
    // unstable. Second method: operating_point.
    const AirState air = fan_table_air();
    const FanCurve fan = normalised_dip_fan();
    SystemCurve system{.constant_pressure = 0.79 * Pa};
    system.elements.push_back({0 * Pa_s_per_m3, 0.05 * Pa_s2_per_m6, air});
    const OperatingPoint points = operating_point(fan, system, air);
    REQUIRE(points.crossings.size() == 3);
    DuctNetwork n(air);
    n.add_branch({.name = "fan", .from = "outdoors", .to = "plenum", .part = fan});
    n.add_branch({.name = "rest", .from = "plenum", .to = "space", .part = system.elements[0]});
    n.fix_pressure("outdoors", 0 * Pa);
    n.fix_pressure("space", 0.79 * Pa);
    NetworkSolver solver(std::move(n));
    std::size_t low = 0, high = 0;
    for (double q = 0.01; q < 1.0; q += 0.013) {
        const NetworkSolution found = solver.solve_from(std::vector<VolumeFlow>(2, q * m3_per_s));
        CAPTURE(q, found.iterations());
        REQUIRE(found.found());
        const bool at_low = std::abs(found.flow(0) / m3_per_s - points.crossings[0].flow / m3_per_s) < 1e-7;
        const bool at_high = std::abs(found.flow(0) / m3_per_s - points.crossings[2].flow / m3_per_s) < 1e-7;
        CHECK((at_low || at_high));
        low += at_low;
        high += at_high;
    }
    CHECK(low > 0);
    CHECK(high > 0);
    // Put right on the middle one it stays, and says what that is worth.
    const NetworkSolution middle = solver.solve_from(std::vector<VolumeFlow>(2, points.crossings[1].flow));
    if (middle.status() == NetworkStatus::unstable) {
        CHECK(middle.limits()[0].kind == NetworkLimitKind::fan_rises);
    } else {
        CHECK(std::abs(middle.flow(0) / m3_per_s - points.crossings[1].flow / m3_per_s) > 1e-3);
    }
}

TEST_CASE("a fan that rises but is stable is watched", "[own]") {
    const AirState air = fan_table_air();
    const FanCurve fan = normalised_dip_fan();
    REQUIRE_FALSE(fan.rising_parts().empty());
    const FlowRange rising = fan.rising_parts().front();
    const double q = 0.5 * (rising.lower / m3_per_s + rising.upper / m3_per_s);
    const double quadratic =
        fan_pressure(fan, q * m3_per_s, air) / Pa / (q * q);   // quadratic through the origin: stable
    DuctNetwork n(air);
    n.add_branch({.name = "fan", .from = "outdoors", .to = "plenum", .part = fan});
    n.add_branch({.name = "rest",
                  .from = "plenum",
                  .to = "outdoors",
                  .part = ElementCurve{0 * Pa_s_per_m3, quadratic * Pa_s2_per_m6, air}});
    n.fix_pressure("outdoors", 0 * Pa);
    const NetworkSolution solution = NetworkSolver(std::move(n)).solve();
    CHECK(solution.found());
    CHECK(solution.flow("fan") / m3_per_s == Approx(q).epsilon(1e-8));
    REQUIRE(solution.limits().size() == 1);
    CHECK(solution.limits()[0].kind == NetworkLimitKind::fan_rises);
    CHECK_THAT(solution.limits()[0].text, Contains("'fan'") && Contains("rises with flow"));
}

TEST_CASE("a negative coefficient is allowed where the rest outweighs it", "[own]") {
    const AirState air = duct_design_air();
    DuctNetwork n(air);
    n.add_branch({.name = "fan", .from = "outdoors", .to = "tee", .part = test::falling_fan(200, 1)});
    n.add_branch({.name = "tee branch", .from = "tee", .to = "behind", .part = Fitting{0.05 * m2, -0.3}});
    n.add_branch({.name = "run", .from = "behind", .to = "outdoors", .part = Fitting{0.05 * m2, 2.0}});
    n.fix_pressure("outdoors", 0 * Pa);
    const NetworkSolution found = NetworkSolver(std::move(n)).solve();
    DuctNetwork sum(air);
    sum.add_branch({.name = "fan", .from = "outdoors", .to = "tee", .part = test::falling_fan(200, 1)});
    sum.add_branch({.name = "rest", .from = "tee", .to = "outdoors", .part = Fitting{0.05 * m2, 1.7}});
    sum.fix_pressure("outdoors", 0 * Pa);
    CHECK(found.flow("fan") / m3_per_s ==
          Approx(NetworkSolver(std::move(sum)).solve().flow("fan") / m3_per_s).epsilon(1e-8));
    REQUIRE(found.limits().size() == 1);
    CHECK(found.limits()[0].kind == NetworkLimitKind::drop_falls);
    CHECK(found.pressure_drop("tee branch") / Pa < 0.0);
}

TEST_CASE("a law of one's own is a branch", "[own]") {
    DuctNetwork n = two_rooms();
    const FlowLaw own = [](VolumeFlow q) {
        const double x = q / m3_per_s;
        return FlowLawPoint{(30.0 * x + 20.0 * x * std::abs(x)) * Pa, (30.0 + 40.0 * std::abs(x)) * Pa_s_per_m3};
    };
    NetworkSolver solver(std::move(n));
    const double filter = solver.solve().flow("fan") / m3_per_s;
    solver.set_part("filter", own);
    CHECK(solver.solve().flow("fan") / m3_per_s == Approx(filter).epsilon(1e-8));
    solver.set_part("filter", FlowLaw([](VolumeFlow) { return FlowLawPoint{NAN * Pa, 1 * Pa_s_per_m3}; }));
    CHECK_THROWS_WITH(solver.solve(), Contains("law of a branch given as a function: drop = nan"));
    // A law with a kink, and one that is flat over a stretch, beside the grille.
    for (const double flat : {0.0, 0.3}) {
        solver.set_part("filter", FlowLaw([flat](VolumeFlow q) {
            const double x = q / m3_per_s, beyond = std::max(std::abs(x) - flat, 0.0);
            return FlowLawPoint{std::copysign(200.0 * beyond, x) * Pa, (beyond > 0.0 ? 200.0 : 0.0) * Pa_s_per_m3};
        }));
        const NetworkSolution found = solver.solve();
        CHECK(found.found());
        CHECK(found.pressure_drop("filter") / Pa ==
              Approx(200.0 * (found.flow("filter") / m3_per_s - flat)).margin(1e-5));
    }
}

TEST_CASE("names are found again among very many", "[own]") {
    detail::NameTable table;
    CHECK_FALSE(table.find("a"));
    const std::size_t count = test::sweep_length(20000);
    for (std::size_t i = 0; i < count; ++i) CHECK(table.add("name " + std::to_string(i * 7919)).index == i);
    CHECK(table.size() == count);
    for (std::size_t i = 0; i < count; ++i) {
        CHECK(table.find("name " + std::to_string(i * 7919)) == i);
        CHECK(table.name(i) == "name " + std::to_string(i * 7919));
    }
    CHECK_FALSE(table.add("name 0").is_new);
    CHECK_FALSE(table.find("name 1"));
}
