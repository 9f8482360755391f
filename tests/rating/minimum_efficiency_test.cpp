// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/rating/minimum_efficiency.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

/// The twelve ranges, each group at its average; efficiencies in percent.
FractionalEfficiency by_group(double e1, double e2, double e3, double u = 0.0) {
    FractionalEfficiency result;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < 12; ++i) {
        const double percent = i < 4 ? e1 : i < 8 ? e2 : e3;
        result.ranges.push_back(stated_efficiency(ranges[i], uncertain(percent / 100, u, range_text(ranges[i]))));
    }
    return result;
}

std::optional<Uncertain<double>> arrestance(const ReferenceRow& row) {
    if (!row.has("avg_arrestance")) return std::nullopt;
    return Uncertain<double>(row.number("avg_arrestance") / 100);
}

bool any_contains(const std::vector<std::string>& texts, const std::string& part) {
    for (const std::string& text : texts) {
        if (text.find(part) != std::string::npos) return true;
    }
    return false;
}

}   // namespace

TEST_CASE("the lowest rows of the 2017 table are those of public guidance", "[outside]") {
    // tests/reference/minimum_efficiency_2017.csv, values 1 to 6: E3 read in guidance of the US EPA, arrestance in a
    // reprint of ANSI/ASHRAE 52.2-2007, table 12-1.
    const ReferenceTable table("minimum_efficiency_2017.csv");
    for (std::size_t i = 0; i < 6; ++i) {
        const ReferenceRow& row = table.row("merv", std::to_string(i + 1));
        const MinimumEfficiencyRow ours = minimum_efficiency_table()[i];
        CHECK(ours.value == row.number("merv"));
        if (ours.value > 4) CHECK(ours.least_E3 == row.number("E3_pct"));
        if (ours.value <= 4) {   // "<20": below what value 5 requires
            CHECK(std::stod(row["E3_pct"].substr(1)) == minimum_efficiency_table()[4].least_E3);
            CHECK(ours.least_E3 == 0.0);
        }
        if (ours.value > 1 && ours.value <= 4) {
            CHECK(row["avg_arrestance_pct"] == ">=" + std::to_string(static_cast<int>(ours.least_arrestance)));
        }
    }
}

TEST_CASE("the upper rows of the 2017 table, from memory", "[own]") {
    // Values 7 to 16: table and code are both from memory.
    const ReferenceTable table("minimum_efficiency_2017.csv");
    REQUIRE(table.size() == 16);
    for (std::size_t i = 0; i < 16; ++i) {
        const ReferenceRow& row = table.row("merv", std::to_string(i + 1));
        const MinimumEfficiencyRow ours = minimum_efficiency_table()[i];
        CHECK(ours.least_E1 == (row.has("E1_min_pct") ? row.number("E1_min_pct") : 0.0));
        CHECK(ours.least_E2 == (row.has("E2_min_pct") ? row.number("E2_min_pct") : 0.0));
        if (ours.value > 6) CHECK(ours.least_E3 == row.number("E3_pct"));
    }
}

TEST_CASE("a filter that stops three quarters of 3-10 um and a quarter of 1-3 um is sold as 8", "[own]") {
    // Common practice, no source.
    CHECK(minimum_efficiency_rating(by_group(5, 25, 75)).estimate == 8);
}

TEST_CASE("averages below zero beyond their noise give no value", "[own]") {
    FractionalEfficiency efficiency = by_group(10, 30, 75);
    for (std::size_t i = 0; i < 4; ++i) efficiency.ranges[i].penetration = uncertain(1.7, 0.05, "counts of a leak");
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(efficiency);
    CHECK(rating.contradicted);
    CHECK_FALSE(rating.lowest);
    CHECK_FALSE(rating.highest);
    CHECK_FALSE(rating.estimate);
    CHECK_FALSE(rating.E1);
    REQUIRE(rating.E2);
    CHECK(rating.E2->value == Approx(0.30));
    CHECK(rating.probabilities.empty());
    CHECK(any_contains(rating.reasons, "E1 (0.3-1 um) would be below zero"));
    CHECK_THAT(minimum_efficiency_text(rating, 1.5 * m_per_s), Contains("not determinable: E1 (0.3-1 um) would be"));
    // Within the noise it is a filter that stops nothing of these sizes.
    for (std::size_t i = 0; i < 4; ++i) efficiency.ranges[i].penetration = uncertain(1.05, 0.2, "few counts");
    CHECK_FALSE(minimum_efficiency_rating(efficiency).contradicted);
    CHECK(minimum_efficiency_rating(efficiency).estimate == 8);
}

TEST_CASE("classification without rounding", "[own]") {
    const ReferenceTable table("minimum_efficiency_classification.csv");   // inputs made up, the table applied by hand
    for (const ReferenceRow& row : table) {
        const MinimumEfficiencyRating rating =
            minimum_efficiency_rating(by_group(row.number("E1"), row.number("E2"), row.number("E3")), arrestance(row));
        INFO(row["E1"] << ' ' << row["E2"] << ' ' << row["E3"]);
        CHECK(rating.estimate == static_cast<int>(row.number("merv_2017_rule")));
        CHECK(rating.lowest == rating.estimate);
        CHECK(rating.highest == rating.estimate);
        CHECK(rating.reasons.empty());
    }
}

TEST_CASE("composite minimum of a worked loading test", "[own]") {
    const ReferenceTable table("composite_example.csv");   // curves made up, minimum computed beside them
    const auto ranges = minimum_efficiency_size_ranges();
    MinimumEfficiencyCurves curves;
    const auto curve = [&](const std::string& column) {
        FractionalEfficiency result;
        for (std::size_t i = 0; i < 12; ++i) {
            result.ranges.push_back(stated_efficiency(
                ranges[i], table.row("range", std::to_string(i + 1)).number(column) / 100));
        }
        return result;
    };
    curves.clean = curve("clean");
    curves.conditioned = curve("conditioned");
    for (const char* step : {"load25", "load50", "load75", "load100"}) curves.loaded.push_back(curve(step));

    std::vector<FractionalEfficiency> all{curves.clean, *curves.conditioned};
    all.insert(all.end(), curves.loaded.begin(), curves.loaded.end());
    const FractionalEfficiency composite = composite_minimum(all);
    for (std::size_t i = 0; i < 12; ++i) {
        CHECK(100 * (1 - composite.ranges[i].penetration.value) ==
              Approx(table.row("range", std::to_string(i + 1)).number("composite_min")));
    }
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(curves);
    CHECK(100 * rating.E1->value == Approx(23.75));   // the table's last row
    CHECK(100 * rating.E2->value == Approx(61.0));
    CHECK(100 * rating.E3->value == Approx(88.0));
    CHECK(rating.estimate == 10);
    CHECK(rating.missing.empty());
    CHECK_THAT(rating.governing_limit, Contains("E3 (3-10 um) = 88.0 %, value 10 requires 80.0 %"));
    CHECK(rating.margin == Approx(8.0));
    CHECK(rating.next_limit == "E2 (1-3 um) = 61.0 %, value 11 requires 65.0 %");   // 20 and 85 % are met
    CHECK(rating.shortfall == Approx(4.0));
    // 11 asks 20, 65 and 85 %: all three are missed, E3 by most.
    const MinimumEfficiencyRating far = minimum_efficiency_rating(by_group(19, 63, 81));
    CHECK(far.estimate == 10);
    CHECK(far.next_limit == "E1 (0.3-1 um) = 19.0 %, value 11 requires 20.0 %; E2 (1-3 um) = 63.0 %, value 11 requires "
                            "65.0 %; E3 (3-10 um) = 81.0 %, value 11 requires 85.0 %");
    CHECK(far.shortfall == Approx(4.0));

    CHECK_FALSE(rating.upper_bound);

    curves.conditioned.reset();
    curves.loaded.clear();
    // One curve is that of the clean filter, however it is given.
    for (const MinimumEfficiencyRating& clean :
         {minimum_efficiency_rating(curves), minimum_efficiency_rating(curves.clean)}) {
        CHECK(any_contains(clean.missing, "conditioning"));
        CHECK(any_contains(clean.missing, "(0 given)"));
        CHECK(clean.upper_bound);
        CHECK(clean.estimate == 10);
        CHECK_THAT(minimum_efficiency_text(clean, 295 * fpm), Contains("value at most 10, by the states measured: "));
    }
}

TEST_CASE("the composite keeps the worse limits and names what a curve lacks", "[own]") {
    FractionalEfficiency a = by_group(30, 60, 85, 0.01);
    FractionalEfficiency b = by_group(32, 58, 85, 0.05);
    b.ranges.pop_back();
    const FractionalEfficiency composite = composite_minimum(std::vector{a, b});
    CHECK(composite.ranges.size() == 11);
    REQUIRE(composite.undetermined.size() == 1);
    CHECK(composite.undetermined[0].reason == "not measured in curve 2");
    CHECK(composite.ranges[0].penetration.value == Approx(0.70));
    CHECK(composite.ranges[0].penetration_interval.upper == b.ranges[0].penetration_interval.upper);
    CHECK(composite.ranges[0].penetration_interval.lower == a.ranges[0].penetration_interval.lower);
    CHECK(composite.ranges[4].penetration.value == Approx(0.42));
    CHECK_THROWS_AS(composite_minimum(std::span<const FractionalEfficiency>{}), DomainError);
}

TEST_CASE("uncertainty widens the range of values that the data allow", "[own]") {
    // E2 = 49 % with u = 0.02 / 2 (four independent ranges): 95 % from 47.04 to 50.96 %.
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(by_group(10, 49, 95, 0.02));
    CHECK(rating.estimate == 9);
    CHECK(rating.lowest == 9);
    CHECK(rating.highest == 10);
    CHECK(rating.bounds[1].upper == Approx(0.49 + 1.959964 * 0.01).epsilon(1e-6));
    // E1 (8 to 12 %) and E3 (93 to 97 %) are as uncertain, but no value hangs on them.
    CHECK(rating.reasons == std::vector<std::string>{"E2 (1-3 um) is from 47.0 % to 51.0 % (95 %)"});
    CHECK(minimum_efficiency_text(rating, 492 * fpm) ==
          "minimum efficiency reporting value at most 9 (9 to 10 by the uncertainty of the states measured): estimate "
          "from bench data by ANSI/ASHRAE 52.2-2017 at 2.50 m/s (492 fpm), not a rating");
    // With every state the range bounds the filter itself.
    const FractionalEfficiency state = by_group(10, 49, 95, 0.02);
    const MinimumEfficiencyRating whole = minimum_efficiency_rating({state, state, {state, state, state, state}});
    CHECK_THAT(minimum_efficiency_text(whole, 492 * fpm), Contains("value 9 (the data allow 9 to 10): estimate"));
}

TEST_CASE("sizes that were not measured are bounded by 0 and 1 and by nothing else", "[own]") {
    FractionalEfficiency partial = by_group(0, 60, 88);
    partial.ranges.erase(partial.ranges.begin(), partial.ranges.begin() + 4);   // nothing below 1 um
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(partial);
    CHECK_FALSE(rating.E1.has_value());
    CHECK(rating.bounds[0].lower == 0.0);
    CHECK(rating.bounds[0].upper == 1.0);
    CHECK(rating.lowest == 10);
    CHECK(rating.highest == 10);   // E2 keeps it from 11 whatever E1 is
    CHECK(rating.estimate == 10);
    CHECK_THAT(rating.next_limit, Contains("E2 (1-3 um)"));
    CHECK(any_contains(rating.missing, "efficiency in 0.3-0.4 um"));

    FractionalEfficiency fine = by_group(0, 92, 96);
    fine.ranges.erase(fine.ranges.begin(), fine.ranges.begin() + 4);
    const MinimumEfficiencyRating open = minimum_efficiency_rating(fine);
    CHECK(open.lowest == 10);
    CHECK(open.highest == 15);
    CHECK_FALSE(open.estimate.has_value());
    CHECK(open.reasons ==
          std::vector<std::string>{"E1 (0.3-1 um) is bounded by 0.0 % and 100.0 %: not every size was measured"});
    CHECK_THAT(minimum_efficiency_text(open, 1 * m_per_s),
               Contains("value at most 15 (10 to 15 by the uncertainty of the states measured): estimate"));

    FractionalEfficiency one_gap = by_group(40, 82, 92);
    one_gap.ranges.erase(one_gap.ranges.begin() + 11);   // nothing in 7-10 um
    const MinimumEfficiencyRating gap = minimum_efficiency_rating(one_gap);
    CHECK(gap.bounds[2].lower == Approx(0.69));
    CHECK(gap.bounds[2].upper == Approx(0.94));
    CHECK(gap.lowest == 7);
    CHECK(gap.highest == 12);
    CHECK(gap.reasons == std::vector<std::string>{"E3 (3-10 um) is bounded by 69.0 % and 94.0 %: not every size was "
                                                  "measured"});
}

TEST_CASE("the bands of a simple counter give no value", "[own]") {
    FractionalEfficiency bands;
    bands.ranges.push_back(stated_efficiency({.lower = 0.5 * um, .upper = 2.5 * um}, 0.5));
    bands.ranges.push_back(stated_efficiency(sizes_above(2.5 * um), 0.9));
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(bands);
    CHECK_FALSE(rating.lowest.has_value());
    CHECK_FALSE(rating.highest.has_value());
    CHECK_FALSE(rating.estimate.has_value());
    CHECK(rating.missing.size() >= 12);
    CHECK_THAT(minimum_efficiency_text(rating, 2.5 * m_per_s), Contains("not determinable from these sizes"));
}

TEST_CASE("below 5 arrestance decides, and is asked for", "[own]") {
    const MinimumEfficiencyRating unknown = minimum_efficiency_rating(by_group(0, 2, 12));
    CHECK(unknown.lowest == 1);
    CHECK(unknown.highest == 4);
    CHECK_FALSE(unknown.estimate.has_value());
    CHECK(any_contains(unknown.missing, "average arrestance"));
    CHECK(unknown.reasons == std::vector<std::string>{"average arrestance was not measured"});
    const MinimumEfficiencyRating known =
        minimum_efficiency_rating(by_group(0, 2, 12), uncertain(0.72, 0.03, "weighing"));
    CHECK(known.estimate == 3);
    CHECK(known.lowest == 2);
    CHECK(known.highest == 4);
    CHECK(known.reasons == std::vector<std::string>{"average arrestance is from 66.1 % to 77.9 % (95 %)"});
    // Either of two may be what limits: both decide.
    const MinimumEfficiencyRating two = minimum_efficiency_rating(by_group(10, 50, 80, 0.02));   // 10 asks 50 and 80 %
    REQUIRE(two.reasons.size() == 2);
    CHECK_THAT(two.reasons[0], Contains("E2 (1-3 um) is from 48.0 % to 52.0 %"));
    CHECK_THAT(two.reasons[1], Contains("E3 (3-10 um) is from 78.0 % to 82.0 %"));
    CHECK(known.margin == Approx(2.0));
    CHECK_THAT(known.next_limit, Contains("average arrestance = 72.0 %, value 4 requires 75.0 %"));
    CHECK_THROWS_WITH(minimum_efficiency_rating(by_group(0, 2, 12), 1.4), Contains("average_arrestance = 1.4"));
}
