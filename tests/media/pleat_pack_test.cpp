// SPDX-License-Identifier: BSL-1.0
// Geometry of pleat packs.

#include <filterflow/media/pleat_pack.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {
const PleatPack pack{.count = 28, .depth = 22 * mm, .width = 490 * mm, .length = 380 * mm};
}

TEST_CASE("the geometry of a pack follows from its dimensions", "[own]") {
    CHECK(pleat_pitch(pack) / mm == Approx(17.5));
    CHECK(media_area(pack) / m2 == Approx(2 * 28 * 0.022 * 0.38));
    CHECK(face_area(pack) / m2 == Approx(0.49 * 0.38));
    const PleatGaps gaps = pleat_gaps(pack, 0.6 * mm);
    CHECK(gaps.inlet / mm == Approx(8.15));
    CHECK(gaps.outlet / mm == Approx(8.15));
    // The velocities through face and medium are in the ratio of the areas: v = U p/(2 L).
    const VolumeFlow flow = 800 * cfm;
    CHECK(media_velocity(pack, flow) / m_per_s ==
          Approx(flow.value() / (face_area(pack) / m2) * 0.0175 / (2 * 0.022)).epsilon(1e-14));
}

TEST_CASE("unequal gaps share the open width", "[own]") {
    PleatPack wide_inlet = pack;
    wide_inlet.inlet_gap_share = 0.6;
    const PleatGaps gaps = pleat_gaps(wide_inlet, 0.6 * mm);
    CHECK(gaps.inlet / gaps.outlet == Approx(1.5));
    CHECK((gaps.inlet + gaps.outlet) / mm == Approx(16.3));
}

TEST_CASE("folds take a thickness each of what a ruler measures", "[own]") {
    CHECK(depth_of_walls(20 * mm, 1.3 * mm) / mm == Approx(17.4));
    CHECK_THROWS_WITH(depth_of_walls(20 * mm, 7 * mm), Contains("below a third"));
    CHECK_THROWS_AS(depth_of_walls(20 * mm, 0 * mm), DomainError);
    CHECK_THROWS_AS(depth_of_walls(-20 * mm, 1 * mm), DomainError);
}

TEST_CASE("packs refuse what they cannot be", "[own]") {
    PleatPack odd = pack;
    odd.shape = static_cast<PleatShape>(7);
    CHECK_THROWS_WITH(face_area(odd), Contains("shape = 7"));
    CHECK_THROWS_WITH(pleat_gaps(pack, 9 * mm), Contains("pleats touch"));
    CHECK_THROWS_AS(pleat_gaps(pack, 8.75 * mm), DomainError);   // gap zero
    PleatPack none = pack;
    none.count = 0;
    CHECK_THROWS_WITH(media_area(none), Contains("count = 0"));
    PleatPack skewed = pack;
    skewed.inlet_gap_share = 1.0;
    CHECK_THROWS_AS(pleat_gaps(skewed, 0.6 * mm), DomainError);
}
