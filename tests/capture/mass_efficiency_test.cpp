// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <functional>

#include <boost/math/quadrature/gauss_kronrod.hpp>

#include <filterflow/capture/mass_efficiency.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

FractionalEfficiency twelve_ranges(const std::function<double(double)>& efficiency, double u = 0.01) {
    FractionalEfficiency result;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        result.ranges.push_back(
            stated_efficiency(range, uncertain(efficiency(geometric_mean(range) / um), u, range_text(range))));
    }
    return result;
}

}   // namespace

TEST_CASE("an efficiency that is the same at all sizes is the mass efficiency", "[own]") {
    const FractionalEfficiency flat = twelve_ranges([](double) { return 0.6; });
    for (const DustOfInterest& dust : {urban_pm1(), urban_pm25(), rural_pm10()}) {
        const MassEfficiency mass = mass_efficiency(flat, dust);
        CHECK(mass.estimate.value == Approx(0.6).epsilon(1e-12));
        CHECK(mass.measured_share == Approx(1.0).epsilon(1e-9));
        CHECK(mass.bounds.lower == Approx(mass.bounds.upper));
        CHECK(mass.assumptions.empty());
        CHECK(mass.estimate.standard_uncertainty() < 0.01);   // twelve independent inputs average out
    }
}

TEST_CASE("mass efficiency is the integral over the distribution", "[own]") {
    // Second method: Gauss-Kronrod quadrature of the density times a step function, range by range.
    const auto curve = [](double d) { return d / (1.0 + d); };
    const FractionalEfficiency efficiency = twelve_ranges(curve);
    const DustOfInterest dust = urban_pm25();
    double removed = 0.0;
    double all = 0.0;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        const double a = std::log(range.lower / um);
        const double b = std::log(std::min(range.upper / um, 2.5));
        if (b <= a) continue;
        const double share = boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
            [&](double x) { return volume_density(dust.distribution, std::exp(x) * um); }, a, b);
        all += share;
        removed += share * curve(geometric_mean(range) / um);
    }
    CHECK(mass_efficiency(efficiency, dust).estimate.value == Approx(removed / all).epsilon(1e-10));
}

TEST_CASE("close to the worked class efficiencies, which use midpoint weights", "[own]") {
    // tests/reference/iso16890_example.csv, channel 8 cut at 2.5 um: computed there with the midpoint rule; exact
    // volume fractions differ in the fourth digit.
    const ReferenceTable table("iso16890_example.csv");
    FractionalEfficiency untreated;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < 12; ++i) {
        untreated.ranges.push_back(stated_efficiency(
            ranges[i], table.row("item", "channel " + std::to_string(i + 1)).number("untreated_pct") / 100));
    }
    CHECK(100 * mass_efficiency(untreated, urban_pm1()).estimate.value ==
          Approx(table.row("item", "ePM1").number("untreated_pct")).margin(0.1));
    CHECK(100 * mass_efficiency(untreated, urban_pm25()).estimate.value ==
          Approx(table.row("item", "ePM2.5 (channel 8 cut at 2.5 um, alternative reading)").number("untreated_pct"))
              .margin(0.1));
    CHECK(100 * mass_efficiency(untreated, rural_pm10()).estimate.value ==
          Approx(table.row("item", "ePM10").number("untreated_pct")).margin(0.1));
}

TEST_CASE("sizes not measured leave bounds, an input and an assumption in words", "[own]") {
    FractionalEfficiency two;
    two.ranges.push_back(stated_efficiency({.lower = 0.5 * um, .upper = 2.5 * um}, uncertain(0.4, 0.01, "band")));
    two.ranges.push_back(stated_efficiency(sizes_above(2.5 * um), uncertain(0.9, 0.01, "open band")));
    const MassEfficiency mass = mass_efficiency(two, urban_pm25());
    const double missing = volume_fraction(urban_distribution(), {.lower = 0.3 * um, .upper = 0.5 * um}) /
                           volume_fraction(urban_distribution(), {.lower = 0.3 * um, .upper = 2.5 * um});
    CHECK(mass.measured_share == Approx(1 - missing).epsilon(1e-9));
    CHECK(mass.estimate.value == Approx(0.4));
    CHECK(mass.bounds.lower == Approx(0.4 * (1 - missing)).epsilon(1e-9));
    CHECK(mass.bounds.upper == Approx(0.4 * (1 - missing) + missing).epsilon(1e-9));
    REQUIRE(mass.assumptions.size() == 1);
    CHECK_THAT(mass.assumptions[0], Contains("0.3-0.5 um") && Contains("not measured, taken as in 0.5-2.5 um"));
    CHECK(mass.estimate.standard_uncertainty() ==
          Approx(std::hypot(0.01, missing * 0.6 / std::sqrt(3.0))).epsilon(1e-6));

    // The open band gives the estimate of what lies above it, but counts as not measured.
    const MassEfficiency coarse = mass_efficiency(two, rural_pm10());
    const auto part = [](double from, double to) {
        return volume_fraction(rural_distribution(), {.lower = from * um, .upper = to * um}) /
               volume_fraction(rural_distribution(), {.lower = 0.3 * um, .upper = 10 * um});
    };
    CHECK(coarse.measured_share == Approx(part(0.5, 2.5)).epsilon(1e-9));
    CHECK(coarse.estimate.value == Approx(0.4 * part(0.3, 2.5) + 0.9 * part(2.5, 10)).epsilon(1e-9));
    CHECK(coarse.bounds.lower == Approx(0.4 * part(0.5, 2.5)).epsilon(1e-9));
    CHECK(coarse.bounds.upper == Approx(0.4 * part(0.5, 2.5) + part(0.3, 0.5) + part(2.5, 10)).epsilon(1e-9));
    CHECK_THAT(coarse.assumptions.back(),
               Contains("taken as above 2.5 um, whose particles lie mostly at its lower end"));

    DustOfInterest stated = rural_pm10();
    stated.efficiency_rises_above_measured = true;
    const MassEfficiency rising = mass_efficiency(two, stated);
    CHECK(rising.bounds.lower > coarse.bounds.lower);
    CHECK(rising.bounds.upper == Approx(coarse.bounds.upper));
    CHECK_THAT(rising.assumptions.back(), Contains("stated to be no lower"));
}

TEST_CASE("one channel that is open above gives an estimate with bounds from 0 to 1", "[own]") {
    FractionalEfficiency open;
    open.ranges.push_back(stated_efficiency(sizes_above(0.5 * um), 0.3));
    for (const DustOfInterest& dust : {urban_pm25(), rural_pm10()}) {
        const MassEfficiency mass = mass_efficiency(open, dust);
        CHECK(mass.estimate.value == Approx(0.3));
        CHECK(mass.measured_share == 0.0);
        CHECK(mass.bounds.lower == Approx(0.0).margin(1e-12));
        CHECK(mass.bounds.upper == Approx(1.0));
        CHECK(mass.assumptions.size() == 2);
    }
}

TEST_CASE("air beside the filter bounds what sizes that were not measured can add", "[own]") {
    FractionalEfficiency one;
    one.ranges.push_back(stated_efficiency({.lower = 0.5 * um, .upper = 2.5 * um}, 0.3));
    DustOfInterest dust = urban_pm25();
    dust.greatest_efficiency = 0.63;
    const MassEfficiency mass = mass_efficiency(one, dust);
    CHECK(mass.bounds.upper == Approx(0.3 * mass.measured_share + 0.63 * (1.0 - mass.measured_share)).epsilon(1e-9));
    CHECK(mass.bounds.upper < mass_efficiency(one, urban_pm25()).bounds.upper);
    dust.greatest_efficiency = 1.2;
    CHECK_THROWS_WITH(mass_efficiency(one, dust), Contains("greatest_efficiency = 1.2"));
}

TEST_CASE("the open channel of a coarse counter tells what twelve channels tell", "[own]") {
    // Counts of one filter in twelve ranges and summed to two cumulative channels: the estimates lie within what
    // the two say of themselves, and nearer to each other than with the upper channel left out.
    const auto curve = [](double d) { return d * d / (4.0 + d * d); };
    const double full = mass_efficiency(twelve_ranges(curve), rural_pm10()).estimate.value;
    double counted = 0.0, caught = 0.0, fine = 0.0, fine_caught = 0.0;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        const double middle = geometric_mean(range) / um, number = std::pow(middle, -3.0);
        if (range.lower.value() < 0.54e-6) continue;
        (range.lower.value() < 2.1e-6 ? fine : counted) += number;
        (range.lower.value() < 2.1e-6 ? fine_caught : caught) += number * curve(middle);
    }
    FractionalEfficiency two;
    two.ranges.push_back(stated_efficiency({.lower = 0.55 * um, .upper = 2.2 * um}, fine_caught / fine));
    two.ranges.push_back(stated_efficiency(sizes_above(2.2 * um), caught / counted));
    const MassEfficiency coarse = mass_efficiency(two, rural_pm10());
    CHECK(std::abs(coarse.estimate.value - full) < 0.15);
    CHECK(std::abs(coarse.estimate.value - full) < 2.0 * coarse.estimate.standard_uncertainty());
    CHECK(coarse.bounds.contains(full));
    CHECK(full - fine_caught / fine > 0.3);   // what the lower channel alone would say is far off
}

TEST_CASE("all of a dust, and gaps between ranges", "[own]") {
    const SizeDistribution dust{.name = "made up", .modes = {{1.0, 2 * um, 2.0}}};
    FractionalEfficiency gap;
    gap.ranges.push_back(stated_efficiency({.lower = 0.5 * um, .upper = 1 * um}, 0.2));
    gap.ranges.push_back(stated_efficiency({.lower = 3 * um, .upper = 5 * um}, 0.8));
    const MassEfficiency mass = mass_efficiency(gap, whole_dust(dust));
    CHECK(mass.assumptions.size() == 3);
    CHECK(mass.measured_share == Approx(volume_fraction(dust, {.lower = 0.5 * um, .upper = 1 * um}) +
                                     volume_fraction(dust, {.lower = 3 * um, .upper = 5 * um})));
    CHECK(mass.bounds.lower < mass.estimate.value);
    CHECK(mass.bounds.upper > mass.estimate.value);
    CHECK(mass.bounds.upper - mass.bounds.lower == Approx(1 - mass.measured_share));
}

TEST_CASE("mass efficiency refuses what it cannot use", "[own]") {
    CHECK_THROWS_WITH(mass_efficiency(FractionalEfficiency{}, urban_pm25()), Contains("no measured size range"));
    const FractionalEfficiency flat = twelve_ranges([](double) { return 0.6; });
    DustOfInterest none{{.name = "narrow", .modes = {{1.0, 1 * um, 1.01}}}, {.lower = 5 * um, .upper = 9 * um}};
    CHECK_THROWS_WITH(mass_efficiency(flat, none), Contains("share of the dust in the sizes of interest"));
    none.distribution.modes[0].weight = 0.4;
    CHECK_THROWS_WITH(mass_efficiency(flat, none), Contains("sum of the modes' weights = 0.4"));
}
