// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/traverse.hpp>

#include <cmath>
#include <sstream>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

TraverseRule rule_of(const std::string& name) {
    if (name == "log-linear") return TraverseRule::log_linear;
    if (name == "log-Tchebycheff") return TraverseRule::log_tchebycheff;
    REQUIRE(name == "equal area");
    return TraverseRule::equal_area;
}

TraverseSection round_duct(std::size_t points, std::size_t diameters) {
    return {.rule = TraverseRule::log_linear, .shape = SectionShape::circle, .diameter = Length(250 * mm),
            .points_per_diameter = points, .diameters = diameters};
}

std::vector<Uncertain<Velocity>> velocities_of(const TraverseSection& section, const auto& profile) {
    std::vector<Uncertain<Velocity>> velocities;
    for (const TraversePoint& p : traverse_points(section)) velocities.emplace_back(Velocity(profile(p) * m_per_s));
    return velocities;
}

}   // namespace

TEST_CASE("positions of the log rules", "[outside]") {
    // ISO 3966 and ASHRAE Fundamentals, from memory.
    const ReferenceTable table("traverse_positions.csv");
    std::size_t checked = 0;
    for (const ReferenceRow& row : table) {
        const bool circle = row["section"] == "circle";
        const std::size_t count = static_cast<std::size_t>(row.number("points_per_radius_or_side")) * (circle ? 2 : 1);
        const std::vector<double> fractions =
            traverse_fractions(rule_of(row["rule"]), circle ? SectionShape::circle : SectionShape::rectangle, count);
        CHECK(fractions.size() == count);
        for (const char* column : {"from_near_wall_fraction", "mirror_fraction"}) {
            const double wanted = row.number(column);
            bool found = false;
            for (const double f : fractions) found = found || std::abs(f - wanted) < 1e-9;
            CAPTURE(row["rule"], count, wanted);
            CHECK(found);
        }
        ++checked;
    }
    CHECK(checked == 34);
}

TEST_CASE("log rules keep the mean of the logarithm", "[own]") {
    // What the rules are made for: mean ln(2 y/D) is -3/2 in a circle, -1 along a side, within their digits.
    for (const TraverseRule rule : {TraverseRule::log_linear, TraverseRule::log_tchebycheff}) {
        for (const std::size_t n : {6u, 8u, 10u}) {
            double sum = 0.0;
            for (const double f : traverse_fractions(rule, SectionShape::circle, n))
                sum += std::log(2 * std::min(f, 1 - f));
            CHECK(std::abs(sum / static_cast<double>(n) + 1.5) < 0.003);
        }
    }
    for (const std::size_t n : {5u, 6u, 7u}) {
        double sum = 0.0;
        for (const double f : traverse_fractions(TraverseRule::log_tchebycheff, SectionShape::rectangle, n)) {
            sum += std::log(2 * std::min(f, 1 - f));
        }
        CHECK(std::abs(sum / static_cast<double>(n) + 1.0) < 0.016);
    }
}

TEST_CASE("equal-area positions", "[outside]") {
    // US EPA Method 1, table 1-2 (40 CFR 60 appendix A-1), from memory: per cent of the diameter, one decimal.
    const ReferenceTable table("equal_area_positions.csv");
    CHECK(table.size() == 70);
    for (const ReferenceRow& row : table) {
        const auto n = static_cast<std::size_t>(row.number("points_per_diameter"));
        const auto i = static_cast<std::size_t>(row.number("point"));
        const std::vector<double> fractions = traverse_fractions(TraverseRule::equal_area, SectionShape::circle, n);
        CAPTURE(n, i);
        CHECK(std::abs(100 * fractions[i - 1] - row.number("percent_of_diameter")) < 0.0501);
    }
}

TEST_CASE("error of the rules on power-law profiles", "[own]") {
    // Second coding, in Python: u = (y/R)^(1/n), exact mean 2 n^2/((n + 1)(2 n + 1)); product of two in a square.
    const ReferenceTable table("traverse_rule_error.csv");
    CHECK(table.size() == 26);
    for (const ReferenceRow& row : table) {
        const bool circle = row["section"] == "circle";
        const double n = row.number("power_law_n");
        const auto count = static_cast<std::size_t>(row.number("points_per_radius_or_side"));
        TraverseSection section{.rule = rule_of(row["rule"]),
                                .shape = circle ? SectionShape::circle : SectionShape::rectangle};
        section.diameter = Length(1 * m);
        section.points_per_diameter = 2 * count;
        section.width = section.height = Length(1 * m);
        section.points_along_width = section.points_along_height = count;
        const auto wall = [n](double f) { return std::pow(2 * std::min(f, 1 - f), 1 / n); };
        const TraverseFlow flow = traverse_flow(section, velocities_of(section, [&](const TraversePoint& p) {
            return circle ? wall(p.depth.value()) : wall(p.x.value()) * wall(p.y.value());
        }));
        CAPTURE(row["rule"], row["section"], count, n);
        CHECK(flow.mean_velocity.value.value() == Approx(row.number("rule_mean_over_max")).margin(1e-8));
        const double exact = circle ? 2 * n * n / ((n + 1) * (2 * n + 1)) : n * n / ((n + 1) * (n + 1));
        CHECK(exact == Approx(row.number("exact_mean_over_max")).margin(1e-8));
        CHECK(100 * (flow.mean_velocity.value.value() / exact - 1) == Approx(row.number("error_pct")).margin(1e-4));
    }
}

TEST_CASE("velocity pressures are averaged as velocities", "[own]") {
    const ReferenceTable table("pitot_example.csv");
    std::istringstream text(table.row("item", "velocity pressures Pa")["value"]);
    std::vector<Uncertain<Pressure>> pressures;
    for (double p = 0; text >> p;) pressures.emplace_back(uncertain(p * Pa, 0.5 * Pa, "velocity pressure"));
    REQUIRE(pressures.size() == 6);
    AirState air = fan_test_air();
    air.density = table.row("item", "density kg/m3").number("value") * kg_per_m3;
    TraverseSection duct = round_duct(6, 1);
    duct.diameter = uncertain(table.row("item", "duct diameter m").number("value") * m, 1 * mm, "diameter");
    const TraverseFlow flow = traverse_flow(duct, pressures, air);
    CHECK(flow.mean_velocity.value.value() ==
          Approx(table.row("item", "mean velocity m/s (mean of square roots)").number("value")).margin(1e-6));
    CHECK(flow.flow.value.value() == Approx(table.row("item", "flow m3/s").number("value")).margin(1e-6));
    CHECK(std::abs(flow.mean_velocity.value.value() -
                   table.row("item", "WRONG value m/s from root of mean pressure").number("value")) > 0.007);
    CHECK(flow.flags.empty());
    // Uncertainty by hand: readings, diameter (twice relative), rule.
    double readings = 0.0;
    for (const auto& p : pressures)
        readings += std::pow(0.5 * 0.5 * pitot_velocity(p.value, air).value() / p.value.value() / 6, 2);
    const double v = flow.mean_velocity.value.value();
    const double relative = std::sqrt(readings / (v * v) + std::pow(2 * 0.001 / 0.25, 2) + 0.01 * 0.01);
    CHECK(flow.flow.standard_uncertainty().value() == Approx(relative * flow.flow.value.value()).epsilon(1e-9));
    CHECK(pitot_velocity(Pressure(60 * Pa), fan_test_air()).value() == Approx(10.0).epsilon(1e-12));
}

TEST_CASE("positions and their order", "[own]") {
    const std::vector<TraversePoint> round = traverse_points(round_duct(6, 2));
    REQUIRE(round.size() == 12);
    CHECK(round[0].depth.value() == Approx(0.0321 * 0.25));
    CHECK(round[0].y.value() == Approx(0.125));
    CHECK(round[6].line == 1);
    CHECK(round[6].x.value() == Approx(0.125));
    CHECK(round[6].y.value() == Approx(0.0321 * 0.25));
    TraverseSection box;
    box.width = Length(600 * mm);
    box.height = Length(300 * mm);
    box.points_along_width = 6;
    box.points_along_height = 5;
    const std::vector<TraversePoint> grid = traverse_points(box);
    REQUIRE(grid.size() == 30);
    CHECK(grid[1].x.value() == Approx(0.235 * 0.6));
    CHECK(grid[1].y.value() == Approx(0.074 * 0.3));
    CHECK(grid[6].line == 1);
    // Equal velocities: width times height times velocity.
    CHECK(traverse_flow(box, velocities_of(box, [](const TraversePoint&) { return 3.0; })).flow.value.value() ==
          Approx(0.54).epsilon(1e-12));
}

TEST_CASE("positions of the user are compared with the rule", "[own]") {
    TraverseLine line{.rule = TraverseRule::log_linear, .shape = SectionShape::circle, .length = 200 * mm,
                      .distances = {6.4 * mm, 27 * mm, 64 * mm, 136 * mm, 173 * mm, 194 * mm}, .tolerance = 1 * mm};
    CHECK(traverse_position_flags(line).empty());
    line.distances[2] = 60 * mm;
    const auto flags = traverse_position_flags(line);
    REQUIRE(flags.size() == 1);
    CHECK(flags[0] == "position 3 is 60 mm from the wall; the rule has it at 64.14 mm");
    line.distances[5] = 201 * mm;
    CHECK_THROWS_WITH(traverse_position_flags(line), Contains("position 6"));
}

TEST_CASE("what a traverse refuses and flags", "[own]") {
    const TraverseSection duct = round_duct(6, 1);
    const auto flow = [&](std::vector<double> v) {
        std::vector<Uncertain<Velocity>> velocities;
        for (const double x : v) velocities.emplace_back(Velocity(x * m_per_s));
        return traverse_flow(duct, velocities);
    };
    CHECK_THROWS_WITH(flow({1, 2, 3}), Contains("6 positions"));
    CHECK_THROWS_WITH(flow({1, 2, 3, 3, 2, -1}), Contains("reversed flow"));
    CHECK_THROWS_WITH(flow({0, 0, 0, 0, 0, 0}), Contains("greatest velocity"));
    CHECK(flow({5, 5, 1, 5, 5, 5}).flags.empty());
    CHECK(flow({5, 5, 1, 1, 5, 5}).flags.size() == 1);
    CHECK_THROWS_WITH(traverse_flow(round_duct(7, 1), std::vector<Uncertain<Velocity>>(7)), Contains("6, 8 or 10"));
    CHECK_THROWS_WITH(traverse_fractions(TraverseRule::log_linear, SectionShape::rectangle, 6),
                      Contains("no log-linear"));
    CHECK_THROWS_WITH(traverse_fractions(TraverseRule::equal_area, SectionShape::circle, 5), Contains("even number"));
    CHECK_THROWS_WITH(traverse_fractions(TraverseRule::equal_area, SectionShape::rectangle, 0), Contains("at least 1"));
    CHECK(traverse_fractions(TraverseRule::equal_area, SectionShape::rectangle, 4)[1] == Approx(0.375));
    const std::vector<Uncertain<Pressure>> zero(6, Uncertain<Pressure>(Pressure(0 * Pa)));
    CHECK_THROWS_WITH(traverse_flow(duct, zero, fan_test_air()), Contains("velocity pressure 1"));
    CHECK_THROWS_AS(pitot_velocity(Pressure(-1 * Pa), fan_test_air()), DomainError);
}
