// SPDX-License-Identifier: BSL-1.0
#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/capture/particle_counts.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

SizeRangeCounts channel(double threshold, std::vector<double> up, std::vector<double> down) {
    SizeRangeCounts c;
    c.range = sizes_above(threshold * um);
    c.upstream = std::move(up);
    c.downstream = std::move(down);
    return c;
}

}   // namespace

TEST_CASE("two cumulative channels support one band and one open band", "[own]") {
    const std::vector channels{channel(2.5, {120, 110}, {20}), channel(0.5, {1000, 1010}, {500})};
    const std::vector<SizeRangeCounts> bands = differential_counts(channels);
    REQUIRE(bands.size() == 2);
    CHECK(range_text(bands[0].range) == "0.5-2.5 um");
    CHECK(bands[0].upstream == std::vector<double>{880, 900});
    CHECK(bands[0].downstream == std::vector<double>{480});
    CHECK(bands[1].range.open_above);
    CHECK(range_text(bands[1].range) == "above 2.5 um");
    CHECK(bands[1].upstream == std::vector<double>{120, 110});

    const FractionalEfficiency efficiency = fractional_efficiency(bands);
    CHECK(efficiency.ranges[0].penetration.value == Approx(480.0 / 890));
    CHECK(efficiency.ranges[1].penetration.value == Approx(20.0 / 115));
    CHECK(efficiency.ranges[1].range.open_above);
}

TEST_CASE("background and correlation channels are differenced too", "[own]") {
    SizeRangeCounts low = channel(0.5, {1000, 1010}, {500});
    SizeRangeCounts high = channel(2.5, {120, 110}, {20});
    low.upstream_background = {12};
    high.upstream_background = {2};
    low.correlation_upstream = {1000, 1000};
    high.correlation_upstream = {100, 100};
    low.correlation_downstream = {980};
    high.correlation_downstream = {90};
    const auto bands = differential_counts(std::vector{low, high});
    CHECK(bands[0].upstream_background == std::vector<double>{10});
    CHECK(bands[0].correlation_downstream == std::vector<double>{890});
    CHECK(bands[1].correlation_downstream == std::vector<double>{90});
}

TEST_CASE("channels that are not cumulative are refused", "[own]") {
    const SizeRangeCounts low = channel(0.5, {1000, 1010}, {500});
    const SizeRangeCounts high = channel(2.5, {120, 1100}, {20});
    CHECK_THROWS_WITH(differential_counts(std::vector{low, high}), Contains("are the channels swapped"));
    CHECK_THROWS_WITH(differential_counts(std::vector{low}), Contains("number of channels = 1"));
    CHECK_THROWS_WITH(differential_counts(std::vector{low, low}), Contains("different thresholds"));
    SizeRangeCounts closed = low;
    closed.range = {.lower = 0.3 * um, .upper = 0.5 * um};
    CHECK_THROWS_WITH(differential_counts(std::vector{closed, high}), Contains("is closed"));
    const SizeRangeCounts shorter = channel(2.5, {120}, {20});
    CHECK_THROWS_WITH(differential_counts(std::vector{low, shorter}), Contains("as many as of the lower threshold"));
}
