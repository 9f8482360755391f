// SPDX-License-Identifier: BSL-1.0
#include <filterflow/rating/estimate_text.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("a class is printed as an estimate with edition and velocity", "[own]") {
    CHECK(estimate_text("ANSI/ASHRAE 52.2-2017", 1.5 * m_per_s) ==
          "estimate from bench data by ANSI/ASHRAE 52.2-2017 at 1.50 m/s (295 fpm), not a rating");
    CHECK_THROWS_WITH(estimate_text("ISO 16890-1:2016", 0 * m_per_s), Contains("face_velocity = 0 m/s"));
}
