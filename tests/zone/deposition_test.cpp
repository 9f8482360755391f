// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>

#include <filterflow/zone/deposition.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Abstracts of Thatcher and others 2003 and of Howard-Reed and others 2003: the ends of their ranges.
TEST_CASE("measured deposition at the ends of the published ranges", "[outside][zone]") {
    const auto houses = deposition_in_two_houses();
    CHECK(deposition_rate(houses, 0.1 * um) / per_h == Approx(0.1).epsilon(1e-12));
    CHECK(deposition_rate(houses, 10 * um) / per_h == Approx(5.0).epsilon(1e-12));
    const auto off = deposition_in_a_townhouse(CentralFan::off);
    CHECK(deposition_rate(off, 0.4 * um) / per_h == Approx(0.3).epsilon(0.05));
    CHECK(deposition_rate(off, 10 * um) / per_h == Approx(5.2).epsilon(1e-12));
    const auto on = deposition_in_a_townhouse(CentralFan::on);
    CHECK(deposition_rate(on, 0.4 * um) / deposition_rate(off, 0.4 * um) == Approx(2.0).epsilon(0.02));
}

TEST_CASE("between the ends rates follow a power of the diameter", "[own][zone]") {
    const auto houses = deposition_in_two_houses();
    CHECK(deposition_rate(houses, 1 * um) / per_h == Approx(std::sqrt(0.1 * 5.0)).epsilon(1e-12));
    DepositionTable bent = houses;
    bent.points.insert(bent.points.begin() + 1, DepositionPoint{1 * um, 0.2 * per_h});
    CHECK(deposition_rate(bent, std::sqrt(0.1) * um) / per_h == Approx(std::sqrt(0.1 * 0.2)).epsilon(1e-12));
    CHECK(deposition_rate(bent, std::sqrt(10.0) * um) / per_h == Approx(std::sqrt(0.2 * 5.0)).epsilon(1e-12));
}

TEST_CASE("deposition tables do not extrapolate", "[own][zone]") {
    CHECK_THROWS_WITH(deposition_rate(deposition_in_two_houses(), 20 * um),
                      Contains("diameter = 2e-05 m; required: from 1e-07"));
    CHECK_THROWS_AS(deposition_rate({"empty", {}}, 1 * um), DomainError);
    CHECK_THROWS_AS(deposition_rate({"backwards", {{2 * um, 1 * per_h}, {1 * um, 1 * per_h}}}, 1 * um), DomainError);
}
