// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <vector>

#include <filterflow/capture/single_fibre_filter.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

FibreLayer medium() {
    return {.medium = {.thickness = 0.6 * mm, .geometric_fibre_diameter = 4 * um, .solidity = 0.06},
            .velocity = 0.1 * m_per_s,
            .theory = {}};
}

}   // namespace

TEST_CASE("an uneven velocity lies between those of its parts", "[own]") {
    const AirState air = duct_design_air();
    const std::array<MediumShare, 1> even{{{1.0, 1.0}}};
    const std::array<MediumShare, 3> uneven{{{0.25, 0.4}, {0.5, 1.0}, {0.25, 1.6}}};
    for (const double size : {0.05, 0.3, 1.0}) {
        const Particle particle{size * um};
        CHECK(penetration(medium(), even, particle, air) ==
              Approx(penetration(medium(), particle, air)).epsilon(1e-14));
        FibreLayer part = medium();
        double passed = 0, lowest = 1, greatest = 0;
        for (const MediumShare& share : uneven) {
            part.velocity = share.velocity_ratio * 0.1 * m_per_s;
            const double p = penetration(part, particle, air);
            passed += share.area_share * share.velocity_ratio * p;
            lowest = std::min(lowest, p);
            greatest = std::max(greatest, p);
        }
        const double p = penetration(medium(), uneven, particle, air);
        CHECK(p == Approx(passed).epsilon(1e-12));
        CHECK((p > lowest && p < greatest));
    }
    // Diffusion: more passes than at the mean velocity, as the fast parts carry more.
    CHECK(penetration(medium(), uneven, Particle{0.05 * um}, air) > penetration(medium(), Particle{0.05 * um}, air));
    const std::array<MediumShare, 2> dead{{{0.5, 0.0}, {0.5, 2.0}}};
    FibreLayer fast = medium();
    fast.velocity = 0.2 * m_per_s;
    CHECK(penetration(medium(), dead, Particle{0.1 * um}, air) ==
          Approx(penetration(fast, Particle{0.1 * um}, air)).epsilon(1e-12));
}

TEST_CASE("shares that are none are refused", "[own]") {
    const AirState air = duct_design_air();
    const Particle particle{0.3 * um};
    const std::array<MediumShare, 1> half{{{0.5, 1.0}}};
    CHECK_THROWS_WITH(penetration(medium(), half, particle, air), Contains("sum of the area shares = 0.5"));
    const std::array<MediumShare, 1> slow{{{1.0, 0.5}}};
    CHECK_THROWS_WITH(penetration(medium(), slow, particle, air), Contains("mean of the velocity ratios = 0.5"));
    const std::array<MediumShare, 2> back{{{0.5, -0.5}, {0.5, 2.5}}};
    CHECK_THROWS_WITH(penetration(medium(), back, particle, air), Contains("velocity_ratio = -0.5"));
}

TEST_CASE("efficiency in ranges is that at their mean sizes", "[own]") {
    const AirState air = duct_design_air();
    const std::array<FibreLayer, 2> layers{medium(), medium()};
    const auto ranges = minimum_efficiency_size_ranges();
    const FractionalEfficiency efficiency = predicted_efficiency(layers, ranges, 1000 * kg_per_m3, air);
    REQUIRE(efficiency.ranges.size() == 12);
    for (std::size_t i = 0; i < 12; ++i) {
        const double p = penetration(medium(), Particle{geometric_mean(ranges[i])}, air);
        CHECK(efficiency.ranges[i].penetration.value == Approx(p * p).epsilon(1e-9).margin(1e-15));
    }
    const std::array<SizeRange, 1> open{sizes_above(10 * um)};
    CHECK_THROWS_WITH(predicted_efficiency(layers, open, 1000 * kg_per_m3, air), Contains("is open"));
}
