// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>

#include <filterflow/numeric/lambert_w.hpp>

using namespace filterflow;

TEST_CASE("Lambert's W undoes w exp(w)", "[own][numeric]") {
    for (const double w : {-0.999, -0.5, -1e-6, 0.0, 1e-9, 0.3, 1.0, 5.0, 50.0}) {
        CHECK(lambert_w(w * std::exp(w)) == Approx(w).epsilon(w < -0.9 ? 1e-9 : 1e-13).margin(1e-300));
    }
    CHECK(lambert_w(1.0) == Approx(0.5671432904097838).epsilon(1e-15));   // the omega constant, from memory
    CHECK_THROWS_AS(lambert_w(-0.4), DomainError);
    CHECK_THROWS_AS(lambert_w(std::nan("")), DomainError);
}
