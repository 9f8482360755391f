// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <cmath>

#include <filterflow/loading/arrestance.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Invented feeding steps, the arithmetic of the standard done by a second program; the definitions are from memory
// of ASHRAE 52.2.
TEST_CASE("arrestance by increments and its mass-weighted average", "[own][loading]") {
    const test::ReferenceTable table("arrestance_example.csv");
    std::vector<DustIncrement> steps;
    std::vector<double> expected;
    for (const auto& row : table) {
        if (row["increment"] == "total") continue;
        steps.push_back({Mass(row.number("fed_g") * g), Mass(row.number("passed_g") * g)});
        expected.push_back(row.number("arrestance_pct"));
    }
    const Arrestance found = arrestance(steps);
    REQUIRE(found.increments.size() == 5);
    for (std::size_t i = 0; i < expected.size(); ++i) {
        CHECK(100.0 * found.increments[i].value == Approx(expected[i]).epsilon(1e-6));
    }
    CHECK(100.0 * found.average.value ==
          Approx(table.row("increment", "total").number("arrestance_pct")).epsilon(1e-6));
    CHECK(found.retained.value / g == Approx(212.2).epsilon(1e-12));   // the note in the table's total row
    CHECK(found.fed.value / g == Approx(255.0).epsilon(1e-12));
}

TEST_CASE("uncertainty of arrestance", "[own][loading]") {
    // A = 1 - p/f with u(f) = 0.5 g on 50 g, u(p) = 0.2 g on 10 g, by hand.
    const std::vector<DustIncrement> steps{{uncertain(50 * g, 0.5 * g, "fed"), uncertain(10 * g, 0.2 * g, "passed")}};
    const auto found = arrestance(steps);
    const double u = std::hypot(0.2 / 50.0, 10.0 * 0.5 / 2500.0);
    CHECK(found.average.standard_uncertainty() == Approx(u).epsilon(1e-12));
    CHECK(found.increments[0].standard_uncertainty() == Approx(u).epsilon(1e-12));
}

TEST_CASE("arrestance refuses what cannot be", "[own][loading]") {
    CHECK_THROWS_WITH(arrestance({}), Contains("arrestance: number of increments = 0"));
    const std::vector<DustIncrement> more{{Mass(1 * g), Mass(2 * g)}};
    CHECK_THROWS_WITH(arrestance(more), Contains("increment 1: dust passed = 0.002 kg; required: from 0 to 0.001 kg"));
    const std::vector<DustIncrement> none{{Mass(0 * g), Mass(0 * g)}};
    CHECK_THROWS_AS(arrestance(none), DomainError);
}
