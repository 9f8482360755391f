// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>
#include <sstream>

#include <filterflow/capture/count_reduction.hpp>
#include <filterflow/numeric/coverage.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

std::vector<double> numbers(const std::string& text) {
    std::istringstream in(text);
    std::vector<double> values;
    for (double x; in >> x;) values.push_back(x);
    return values;
}

SizeRangeCounts worked_example(const ReferenceTable& table) {
    const auto input = [&](const std::string& name) { return numbers(table.row("quantity", name)["value"]); };
    SizeRangeCounts c;
    c.range = {.lower = 0.55 * um, .upper = 0.7 * um};
    c.upstream = input("test (device in): upstream counts");
    c.downstream = input("test (device in): downstream counts");
    c.upstream_background = input("test (device in): upstream_background counts");
    c.downstream_background = input("test (device in): downstream_background counts");
    c.correlation_upstream = input("correlation (no device): upstream counts");
    c.correlation_downstream = input("correlation (no device): downstream counts");
    c.correlation_upstream_background = input("correlation (no device): upstream_background counts");
    c.correlation_downstream_background = input("correlation (no device): downstream_background counts");
    return c;
}

SizeRangeCounts plain_counts(double lower, double upper, std::vector<double> up, std::vector<double> down) {
    SizeRangeCounts c;
    c.range = {.lower = lower * um, .upper = upper * um};
    c.upstream = std::move(up);
    c.downstream = std::move(down);
    return c;
}

bool any_contains(const std::vector<std::string>& texts, const std::string& part) {
    for (const std::string& text : texts) {
        if (text.find(part) != std::string::npos) return true;
    }
    return false;
}

}   // namespace

TEST_CASE("penetration of the worked example", "[own]") {
    const ReferenceTable table("counts_example.csv");   // computed beside the table by the standard's rule
    const SizeRangeCounts counts = worked_example(table);
    const FractionalEfficiency result = fractional_efficiency(std::vector{counts});
    REQUIRE(result.ranges.size() == 1);
    const SizeEfficiency& e = result.ranges[0];
    CHECK(e.penetration.value ==
          Approx(table.row("quantity", "penetration P = mean_test/mean_correlation").number("value")).margin(1e-9));
    CHECK(e.correlation_measured);
    CHECK(e.upstream_count == 12072);
    CHECK(e.downstream_count == 3036);

    // The standard's combination of the two half widths, from its own parts.
    const CountRatio test = count_ratio(detail::test_series(counts));
    const CountRatio correlation = count_ratio(detail::correlation_series(counts));
    const double half = e.penetration.value * std::hypot(test.spread_half_width / test.value,
                                                         correlation.spread_half_width / correlation.value);
    CHECK(e.spread_half_width == Approx(half).epsilon(1e-12));
    CHECK(half == Approx(table.row("quantity", "combined 95 % half width (relative root-sum-square of half widths)")
                             .number("value")).margin(1e-9));
    // Poisson alone is wider than that, and is what is reported.
    CHECK(e.interval_source == PenetrationIntervalSource::counting_statistics);
    CHECK(e.penetration_interval.upper - e.penetration.value > 1.5 * half);
}

TEST_CASE("where the spread decides, the interval is the standard's", "[own]") {
    SizeRangeCounts c = plain_counts(1.0, 1.3, {90000, 100000, 95000, 105000, 98000}, {30000, 36000, 28000, 34000});
    c.correlation_upstream = {100000, 101000, 99000, 100500};
    c.correlation_downstream = {99000, 104000, 95000};
    const FractionalEfficiency result = fractional_efficiency(std::vector{c});
    const SizeEfficiency& e = result.ranges[0];
    const CountRatio t = count_ratio(detail::test_series(c));
    const CountRatio r = count_ratio(detail::correlation_series(c));
    REQUIRE(t.interval_source == PenetrationIntervalSource::sample_spread);
    REQUIRE(r.interval_source == PenetrationIntervalSource::sample_spread);
    const double half =
        e.penetration.value * std::hypot(t.spread_half_width / t.value, r.spread_half_width / r.value);
    CHECK(e.penetration_interval.upper == Approx(e.penetration.value + half).epsilon(1e-12));
    CHECK(e.interval_source == PenetrationIntervalSource::sample_spread);
}

TEST_CASE("counts of different ranges are independent, a stated correlation and a flow ratio are shared", "[own]") {
    SizeRangeCounts a = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {300, 300});
    SizeRangeCounts b = plain_counts(0.4, 0.55, {1000, 1000, 1000}, {300, 300});
    const FractionalEfficiency apart = fractional_efficiency(std::vector{a, b});
    const double u = apart.ranges[0].penetration.standard_uncertainty();
    CHECK((apart.ranges[0].penetration - apart.ranges[1].penetration).standard_uncertainty() ==
          Approx(std::sqrt(2.0) * u));

    const Uncertain<double> shared = uncertain(0.95, 0.04, "correlation ratio");
    a.stated_correlation = shared;
    b.stated_correlation = shared;
    const FractionalEfficiency together = fractional_efficiency(std::vector{a, b});
    CHECK(together.ranges[0].penetration.standard_uncertainty() > u / 0.95);
    CHECK((together.ranges[0].penetration - together.ranges[1].penetration).standard_uncertainty() ==
          Approx(std::sqrt(2.0) * u / 0.95));   // what is shared cancels

    const FractionalEfficiency two_counters =
        fractional_efficiency(std::vector{a, b}, uncertain(1.02, 0.03, "flow ratio of the two counters"));
    CHECK(two_counters.ranges[0].penetration.value == Approx(0.3 / 0.95 / 1.02));
    CHECK((two_counters.ranges[0].penetration - two_counters.ranges[1].penetration).standard_uncertainty() ==
          Approx(std::sqrt(2.0) * u / 0.95 / 1.02));
}

TEST_CASE("a measured correlation ratio may serve several filters", "[own]") {
    SizeRangeCounts c = plain_counts(0.3, 0.4, {1000, 1000}, {300});
    c.correlation_upstream = {1000, 1000, 1000};
    c.correlation_downstream = {960, 960};
    const Uncertain<double> r = correlation_ratio(c);
    CHECK(r.value == Approx(0.96));
    SizeRangeCounts stated = c;
    stated.stated_correlation = r;
    const FractionalEfficiency one = fractional_efficiency(std::vector{stated});
    const FractionalEfficiency other = fractional_efficiency(std::vector{c});
    CHECK(one.ranges[0].penetration.value == Approx(other.ranges[0].penetration.value));
    CHECK(one.ranges[0].penetration.gradient.derivative(r.gradient.terms()[0].input) != 0.0);
}

TEST_CASE("verdicts say what failed and what to do", "[own]") {
    SizeRangeCounts few = plain_counts(0.3, 0.4, {60, 60}, {20});
    const auto quality = fractional_efficiency(std::vector{few}).ranges[0].quality;
    CHECK(any_contains(quality, "only 120 particles counted upstream, 500 wanted; count longer"));
    CHECK(any_contains(quality, "only 1 downstream samples, 3 wanted"));
    CHECK(any_contains(quality, "no background measured upstream"));
    CHECK(any_contains(quality, "no correlation ratio measured: taken as 1"));
    CHECK(any_contains(quality, "penetration known to"));

    SizeRangeCounts dirty = plain_counts(0.3, 0.4, {4000, 4000, 4000, 4000}, {1500, 1500, 1500});
    dirty.upstream_background = {300, 310, 290};
    dirty.downstream_background = {1, 0, 1};
    dirty.correlation_upstream = {4000, 4000, 4000, 4000};
    dirty.correlation_downstream = {3000, 3000, 3000};
    const auto verdicts = fractional_efficiency(std::vector{dirty}).ranges[0].quality;
    CHECK(any_contains(verdicts, "background upstream: its upper 95 % limit is"));
    CHECK_FALSE(any_contains(verdicts, "background downstream"));
    CHECK(any_contains(verdicts, "correlation ratio 0.75, allowed 1 -+ 0.1"));

    SizeRangeCounts good = dirty;
    good.upstream_background = {1, 1, 2};
    good.correlation_downstream = {3950, 4010, 3990};
    good.correlation_upstream_background = good.correlation_downstream_background = {1, 1, 1};
    CHECK(fractional_efficiency(std::vector{good}).ranges[0].quality.empty());
}

TEST_CASE("samples without a filter are judged as those with one", "[own]") {
    SizeRangeCounts c = plain_counts(0.3, 0.4, {4000, 4000, 4000, 4000}, {1500, 1500, 1500});
    c.upstream_background = c.downstream_background = {1, 1, 1};
    c.correlation_upstream = {40, 41, 39, 40};
    c.correlation_downstream = {40, 39, 41};
    c.correlation_upstream_background = c.correlation_downstream_background = {20, 20, 20};
    const auto quality = [&] { return fractional_efficiency(std::vector{c}).ranges[0].quality; };
    CHECK(any_contains(quality(), "only 160 particles counted upstream without a filter, 500 wanted; count longer"));
    // 60 counts: Garwood's upper limit is 77.23, over three samples 25.74, of 40 it is 64 %.
    CHECK(any_contains(quality(), "background upstream without a filter: its upper 95 % limit is 64 % of the mean "
                                  "upstream count, limit 5 %; clean the duct"));
    CHECK(any_contains(quality(), "background downstream without a filter: its upper 95 % limit is 64 %"));
    c.correlation_upstream_background.clear();
    CHECK(any_contains(quality(), "no background measured upstream without a filter: taken as none"));
    c.stated_correlation = Uncertain<double>(1.0);   // then they are not used, and not judged
    CHECK_FALSE(any_contains(quality(), "without a filter"));
}

TEST_CASE("intervals cover the penetration in simulated counts, correlation ratio and background measured", "[own]") {
    // 10 000 tests a case, each with samples without a filter and backgrounds. As in count_ratio_test.cpp: five
    // standard deviations of a share of 0.95 are allowed either way. The wider of two intervals counts on both sides of
    // the ratio, which is conservative: 98.1 and 98.2 % were held.
    struct Case {
        double upstream, penetration, correlation, background;
    };
    constexpr double greatest = 0.982;
    const std::size_t trials = test::sweep_length(10000);
    const double noise = 5.0 * std::sqrt(0.95 * 0.05 / static_cast<double>(trials));
    std::mt19937_64 random(53);
    for (const Case& c : {Case{2000, 0.3, 0.95, 2}, Case{300, 0.05, 0.9, 1}}) {
        std::poisson_distribution<int> up(c.upstream), background(c.background);
        std::poisson_distribution<int> behind((c.upstream - c.background) * c.penetration * c.correlation +
                                              c.background);
        std::poisson_distribution<int> without((c.upstream - c.background) * c.correlation + c.background);
        const auto drawn = [&](std::poisson_distribution<int>& from, std::size_t n) {
            std::vector<double> counts;
            while (counts.size() < n) counts.push_back(from(random));
            return counts;
        };
        std::size_t held = 0;
        for (std::size_t t = 0; t < trials; ++t) {
            SizeRangeCounts counts = plain_counts(0.3, 0.4, drawn(up, 6), drawn(behind, 5));
            counts.upstream_background = drawn(background, 3);
            counts.downstream_background = drawn(background, 3);
            counts.correlation_upstream = drawn(up, 6);
            counts.correlation_downstream = drawn(without, 5);
            counts.correlation_upstream_background = drawn(background, 3);
            counts.correlation_downstream_background = drawn(background, 3);
            const FractionalEfficiency result = fractional_efficiency(std::vector{counts});
            held += result.ranges.at(0).penetration_interval.contains(c.penetration) ? 1 : 0;
        }
        const double share = static_cast<double>(held) / static_cast<double>(trials);
        INFO("upstream " << c.upstream << ", penetration " << c.penetration << ": " << share);
        CHECK(share >= 0.95 - noise);
        CHECK(share <= greatest + noise);
    }
}

TEST_CASE("half widths are judged by the spread between samples, as the standard does", "[own]") {
    const auto judged = [](std::vector<double> up, std::vector<double> down) {
        SizeRangeCounts c = plain_counts(0.3, 0.4, std::move(up), std::move(down));
        c.upstream_background = c.downstream_background = {0, 0, 0};
        c.correlation_upstream_background = c.correlation_downstream_background = {0, 0, 0};
        c.correlation_upstream = {50000, 50000, 50000, 50000};
        c.correlation_downstream = {50000, 50010, 49990};
        return fractional_efficiency(std::vector{c}).ranges[0];
    };
    // Many particles, unsteady: the spread is far beyond 0.05, counting statistics far within.
    const SizeEfficiency unsteady = judged({50000, 50000, 50000, 50000}, {20000, 25000, 22000});
    CHECK(unsteady.spread_half_width > 0.1);
    CHECK(any_contains(unsteady.quality, "by the spread between samples, -+0.05 wanted; steady the aerosol"));
    CHECK(unsteady.quality.size() == 1);
    // Few particles that agree by luck: the standard's rule is kept, and the interval is not.
    const SizeEfficiency lucky = judged({200, 200, 200, 200}, {100, 101, 99});
    CHECK(lucky.spread_half_width < 0.05);
    CHECK(lucky.penetration_interval.upper - lucky.penetration.value > 0.05);
    CHECK(lucky.quality.size() == 1);
    CHECK(any_contains(lucky.quality, "by counting statistics, -+0.05 wanted, although the samples agree within that"));
    // One sample has no spread: counting statistics alone.
    const SizeEfficiency single = judged({200, 200}, {100});
    CHECK(single.spread_half_width == 0.0);
    CHECK(any_contains(single.quality, "by counting statistics, -+0.05 wanted; count longer"));
    // Of the correlation ratio likewise; a stated one is judged as stated.
    SizeRangeCounts c = plain_counts(0.3, 0.4, {50000, 50000, 50000, 50000}, {20000, 20000, 20000});
    c.correlation_upstream = {50000, 50000, 50000};
    c.correlation_downstream = {48000, 52000};
    const auto shaky = fractional_efficiency(std::vector{c}).ranges[0].quality;
    CHECK(any_contains(shaky, "correlation ratio known to -+0.51 by the spread between samples, -+0.05 wanted"));
    CHECK(any_contains(shaky, "only 2 downstream samples without a filter, 3 wanted"));
    c.stated_correlation = uncertain(1.0, 0.04, "correlation ratio");
    const auto stated = fractional_efficiency(std::vector{c}).ranges[0].quality;
    CHECK(any_contains(stated, "correlation ratio known to -+0.078 as stated, -+0.05 wanted; count longer"));
    CHECK_FALSE(any_contains(stated, "without a filter, 3 wanted"));
}

TEST_CASE("more downstream than upstream beyond noise is a warning with size and cause; the value stays", "[own]") {
    const SizeRangeCounts swapped = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {1500, 1500});
    const SizeEfficiency e = fractional_efficiency(std::vector{swapped}).ranges[0];
    CHECK(e.penetration.value == Approx(1.5));
    CHECK(any_contains(e.quality, "more particles behind the filter than before it (1.5 times as many)"));
    CHECK(any_contains(e.quality, "leak"));
    const SizeRangeCounts twice = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {2000, 2000});
    CHECK(any_contains(fractional_efficiency(std::vector{twice}).ranges[0].quality, "(twice as many)"));
    const SizeRangeCounts flood = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {123000, 123000});
    CHECK(any_contains(fractional_efficiency(std::vector{flood}).ranges[0].quality, "(123 times as many)"));
    const SizeRangeCounts noise = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {1010, 1015});
    CHECK_FALSE(any_contains(fractional_efficiency(std::vector{noise}).ranges[0].quality, "more particles"));
}

TEST_CASE("a range without upstream particles is undetermined, one below background is zero", "[own]") {
    SizeRangeCounts empty = plain_counts(7, 10, {0, 0, 0}, {0, 0});
    SizeRangeCounts below = plain_counts(0.3, 0.4, {1000, 1000, 1000}, {1, 0});
    below.downstream_background = {3, 4, 5};
    const FractionalEfficiency result = fractional_efficiency(std::vector{empty, below});
    REQUIRE(result.undetermined.size() == 1);
    CHECK_THAT(result.undetermined[0].reason, Contains("no upstream particles"));
    REQUIRE(result.ranges.size() == 1);
    CHECK(result.ranges[0].penetration.value == 0.0);
    CHECK(result.ranges[0].penetration_interval.lower == 0.0);
    CHECK(result.ranges[0].penetration_interval.upper > 0.0);
    CHECK(any_contains(result.ranges[0].quality, "reported as 0"));
}

TEST_CASE("a leaky correlation test or mismatched lists are refused or named", "[own]") {
    SizeRangeCounts c = plain_counts(0.3, 0.4, {1000, 1000}, {300});
    c.correlation_upstream = {0, 0};
    c.correlation_downstream = {0};
    CHECK_THAT(fractional_efficiency(std::vector{c}).undetermined.at(0).reason, Contains("correlation samples"));
    c.correlation_upstream.clear();
    CHECK_THROWS_WITH(fractional_efficiency(std::vector{c}), Contains("on one side only"));
    const SizeRangeCounts a = plain_counts(0.3, 0.5, {1000, 1000}, {300});
    const SizeRangeCounts b = plain_counts(0.4, 0.6, {1000, 1000}, {300});
    CHECK_THROWS_WITH(fractional_efficiency(std::vector{a, b}), Contains("overlap"));
    const SizeRangeCounts d = plain_counts(0.3, 0.5, {1000}, {300, 300});
    CHECK_THROWS_WITH(fractional_efficiency(std::vector{d}), Contains("0.3-0.5 um"));
}
