// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/capture/fractional_efficiency.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

SizeRange range(double lower, double upper) { return {.lower = lower * um, .upper = upper * um}; }

FractionalEfficiency one_range(const Uncertain<double>& efficiency) {
    FractionalEfficiency result;
    result.ranges.push_back(stated_efficiency(range(0.3, 0.4), efficiency));
    return result;
}

}   // namespace

TEST_CASE("stages in series multiply penetrations", "[own]") {
    const FractionalEfficiency a = one_range(uncertain(0.5, 0.02, "first stage"));
    const FractionalEfficiency b = one_range(uncertain(0.8, 0.03, "second stage"));
    const SizeEfficiency e = in_series(std::vector{a, b}).ranges.at(0);
    CHECK(e.penetration.value == Approx(0.1));
    CHECK(e.penetration.standard_uncertainty() == Approx(std::hypot(0.02 * 0.2, 0.03 * 0.5)));
    CHECK(e.penetration_interval.upper - 0.1 == Approx(1.959964 * std::hypot(0.02 * 0.2, 0.03 * 0.5)).epsilon(1e-6));
    // The same filter twice: its input counts twice, not in quadrature.
    CHECK(in_series(std::vector{a, a}).ranges.at(0).penetration.standard_uncertainty() == Approx(2 * 0.5 * 0.02));
}

TEST_CASE("a stage that lets nothing through keeps its upper limit in series", "[own]") {
    FractionalEfficiency tight = one_range(1.0);
    tight.ranges[0].penetration_interval = {0.0, 0.004};
    const FractionalEfficiency whole = in_series(std::vector{one_range(0.5), tight});
    CHECK(whole.ranges[0].penetration.value == 0.0);
    CHECK(whole.ranges[0].penetration_interval.upper == Approx(0.002));
}

TEST_CASE("ranges that a stage lacks are undetermined in series", "[own]") {
    FractionalEfficiency more = one_range(0.5);
    more.ranges.push_back(stated_efficiency(range(0.4, 0.55), 0.6));
    const FractionalEfficiency whole = in_series(std::vector{one_range(0.5), more});
    CHECK(whole.ranges.size() == 1);
    REQUIRE(whole.undetermined.size() == 1);
    CHECK(whole.undetermined[0].reason == "not measured in stage 1");
    CHECK(range_text(whole.undetermined[0].range) == "0.4-0.55 um");
    CHECK_THROWS_WITH(in_series(std::span<const FractionalEfficiency>{}), Contains("number of stages = 0"));
}

TEST_CASE("a bypass mixes what it lets past", "[own]") {
    FractionalEfficiency filter = one_range(uncertain(0.9, 0.01, "filter"));
    filter.ranges.push_back(stated_efficiency(range(0.4, 0.55), 0.95));
    const Uncertain<double> gap = uncertain(0.05, 0.01, "bypass");
    const FractionalEfficiency installed = with_bypass(filter, gap);
    CHECK(installed.ranges[0].penetration.value == Approx(0.05 + 0.95 * 0.1));
    CHECK(installed.ranges[0].penetration.standard_uncertainty() == Approx(std::hypot(0.95 * 0.01, 0.9 * 0.01)));
    // One gap: the ranges share its uncertainty.
    CHECK((installed.ranges[0].penetration - installed.ranges[1].penetration).gradient.derivative(
              gap.gradient.terms()[0].input) == Approx(0.9 - 0.95));
    CHECK(with_bypass(filter, 0.0).ranges[0].penetration.value == Approx(0.1));
    // The interval with a bypass is no longer that of the samples; without one it stays.
    filter.ranges[0].interval_source = PenetrationIntervalSource::sample_spread;
    filter.ranges[0].spread_half_width = 0.02;
    CHECK(with_bypass(filter, gap).ranges[0].interval_source == PenetrationIntervalSource::stated);
    CHECK(with_bypass(filter, gap).ranges[0].spread_half_width == 0.0);
    CHECK(with_bypass(filter, 0.0).ranges[0].interval_source == PenetrationIntervalSource::sample_spread);
    CHECK(with_bypass(filter, 0.0).ranges[0].spread_half_width == 0.02);
    CHECK(with_bypass(filter, 1.0).ranges[0].penetration.value == 1.0);
    CHECK_THROWS_WITH(with_bypass(filter, 1.2), Contains("bypass_fraction = 1.2; required: from 0 to 1"));
}

TEST_CASE("efficiencies out of range or order are refused", "[own]") {
    CHECK_THROWS_WITH(stated_efficiency(range(0.3, 0.4), 1.2), Contains("efficiency = 1.2"));
    CHECK_THROWS_WITH(stated_efficiency(range(0.4, 0.3), 0.2), Contains("range.upper"));
    FractionalEfficiency wrong = one_range(0.5);
    wrong.ranges.push_back(stated_efficiency(range(0.2, 0.3), 0.5));
    CHECK_THROWS_WITH(in_series(std::vector{wrong}), Contains("not in ascending order"));
}
