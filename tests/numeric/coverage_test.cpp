// SPDX-License-Identifier: BSL-1.0
// Coverage factors against Student's t.

#include <cmath>
#include <limits>

#include <filterflow/numeric/coverage.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("coverage factors equal tabulated Student t", "[own]") {
    // Computed with another library; the same digits stand in any textbook's table.
    const ReferenceTable table("student_t.csv");
    for (const ReferenceRow& row : table) {
        INFO("dof " << row["dof"]);
        CHECK(coverage_factor(row.number("dof"), 0.95) == Approx(row.number("t_0.975")).epsilon(0).margin(5.1e-7));
    }
}

TEST_CASE("coverage factors of the GUM's table G.2", "[outside]") {
    // JCGM 100:2008, table G.2 (digits from memory).
    CHECK(coverage_factor(1, 0.95) == Approx(12.71).epsilon(5e-4));
    CHECK(coverage_factor(10, 0.6827) == Approx(1.05).margin(0.005));
    CHECK(coverage_factor(10, 0.99) == Approx(3.17).margin(0.005));
    CHECK(coverage_factor(20, 0.9545) == Approx(2.13).margin(0.005));
    CHECK(coverage_factor(std::numeric_limits<double>::infinity(), 0.95) == Approx(1.960).margin(0.0005));
    CHECK(coverage_factor(std::numeric_limits<double>::infinity(), 0.99) == Approx(2.576).margin(0.0005));
}

TEST_CASE("the t of very many degrees of freedom meets the normal quantile", "[own]") {
    CHECK(coverage_factor(0.999e6, 0.95) == Approx(coverage_factor(1.001e6, 0.95)).epsilon(3e-6));
    CHECK(coverage_factor(2.5, 0.95) > coverage_factor(3.0, 0.95));   // broken degrees of freedom
}

TEST_CASE("coverage of an exact value is the value", "[own]") {
    const auto interval = coverage_interval(Uncertain<double>(4.0));
    CHECK(interval.lower == 4.0);
    CHECK(interval.upper == 4.0);
    CHECK(interval.contains(4.0));
}

TEST_CASE("coverage refuses what is no probability", "[own]") {
    CHECK_THROWS_AS(coverage_factor(5, 0.0), DomainError);
    CHECK_THROWS_AS(coverage_factor(5, 1.0), DomainError);
    CHECK_THROWS_AS(coverage_factor(0, 0.95), DomainError);
    CHECK_THROWS_AS(coverage_factor(std::nan(""), 0.95), DomainError);
}
