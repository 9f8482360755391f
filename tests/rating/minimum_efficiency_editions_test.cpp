// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <string>

#include <filterflow/rating/conditioned_minimum_efficiency.hpp>
#include <filterflow/rating/loading_test_conditions.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>

#include "rating/printed_cell.hpp"
#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace rating_curves;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;
using printed_cell::lower_end;

namespace {

using Edition = MinimumEfficiencyEdition;
constexpr MinimumEfficiencyRule until_2012{Edition::editions_1999_to_2012, AverageRounding::as_computed};
constexpr MinimumEfficiencyRule whole_percent{Edition::edition_2017, AverageRounding::to_whole_percent};

}   // namespace

TEST_CASE("the superseded table is that of 1999 to 2012", "[outside]") {
    // tests/reference/minimum_efficiency_1999_to_2012.csv: read in a reprint, final resistances in inches of water.
    const ReferenceTable table("minimum_efficiency_1999_to_2012.csv");
    REQUIRE(table.size() == 16);
    std::size_t i = 0;
    for (const ReferenceRow& row : table) {
        const auto& ours = minimum_efficiency_table(MinimumEfficiencyEdition::editions_1999_to_2012)[i++];
        INFO("value " << row["merv"]);
        CHECK(ours.value == row.number("merv"));
        CHECK(ours.least_E1 == lower_end(row["E1_pct"]));
        CHECK(ours.least_E2 == lower_end(row["E2_pct"]));
        CHECK(ours.least_E3 == lower_end(row["E3_pct"]));
        CHECK(ours.least_arrestance == lower_end(row["avg_arrestance_pct"]));
        CHECK(least_final_resistance(ours.value) / inH2O ==
              Approx(row.number("least_final_resistance_inH2O")).margin(0.01));
    }
}

TEST_CASE("final resistances in pascals, from memory", "[own]") {
    for (const ReferenceRow& row : ReferenceTable("minimum_efficiency_1999_to_2012.csv")) {
        CHECK(least_final_resistance(static_cast<int>(row.number("merv"))) / Pa ==
              row.number("least_final_resistance_Pa"));
    }
}

TEST_CASE("test velocities are those of the standard", "[outside]") {
    // tests/reference/minimum_efficiency_velocities.csv: read in a reprint of table 12-1.
    const ReferenceTable table("minimum_efficiency_velocities.csv");
    REQUIRE(table.size() == 7);
    std::size_t i = 0;
    for (const ReferenceRow& row : table) {
        const Velocity ours = minimum_efficiency_test_velocities()[i++];
        CHECK(ours / fpm == Approx(row.number("face_velocity_fpm")));
        CHECK(ours / m_per_s == Approx(row.number("face_velocity_m_s")).epsilon(0.002));
    }
}

TEST_CASE("no row of a table requires less than the one before it", "[own]") {
    for (const auto edition : {Edition::edition_2017, Edition::editions_1999_to_2012}) {
        const auto& table = minimum_efficiency_table(edition);
        for (std::size_t i = 5; i < 16; ++i) {
            CHECK(table[i].least_E1 >= table[i - 1].least_E1);
            CHECK(table[i].least_E2 >= table[i - 1].least_E2);
            CHECK(table[i].least_E3 >= table[i - 1].least_E3);
        }
    }
}

TEST_CASE("classification by both editions", "[own]") {
    const ReferenceTable table("minimum_efficiency_classification.csv");   // inputs made up, the tables applied by hand
    for (const ReferenceRow& row : table) {
        const FractionalEfficiency curve_of_row =
            curve(groups(row.number("E1"), row.number("E2"), row.number("E3")));
        std::optional<Uncertain<double>> arrestance;
        if (row.has("avg_arrestance")) arrestance = row.number("avg_arrestance") / 100;
        INFO(row["E1"] << ' ' << row["E2"] << ' ' << row["E3"]);
        const MinimumEfficiencyRating old = minimum_efficiency_rating(curve_of_row, arrestance, until_2012);
        CHECK(old.estimate == static_cast<int>(row.number("merv_1999_2012_rule")));
        CHECK(minimum_efficiency_rating(curve_of_row, arrestance).estimate ==
              static_cast<int>(row.number("merv_2017_rule")));
    }
}

TEST_CASE("limits and words are those of the edition", "[own]") {
    const MinimumEfficiencyRating old = minimum_efficiency_rating(curve(groups(40, 78, 88)), std::nullopt, until_2012);
    CHECK(old.estimate == 11);
    CHECK_THAT(old.governing_limit, Contains("E3 (3-10 um) = 88.0 %, value 11 requires 85.0 %"));
    CHECK(old.margin == Approx(3.0));
    CHECK_THAT(old.next_limit, Contains("value 12 requires"));
    CHECK(minimum_efficiency_text(old, 492 * fpm) ==
          "minimum efficiency reporting value at most 11, by the states measured: estimate from bench data by the "
          "superseded table of ANSI/ASHRAE 52.2-1999 to -2012 at 2.50 m/s (492 fpm), not a rating");
    CHECK_THAT(minimum_efficiency_text(old, 2.0 * m_per_s),
               Contains("at 2.00 m/s (394 fpm), not a rating (not a test velocity of the standard; the nearest is 374 "
                        "fpm)"));
}

TEST_CASE("rounding to whole per cent is an option with a name", "[own]") {
    const FractionalEfficiency close = curve(groups(49.6, 84.5, 89.5));
    const MinimumEfficiencyRating as_computed = minimum_efficiency_rating(close);
    CHECK(as_computed.estimate == 11);
    const MinimumEfficiencyRating rounded = minimum_efficiency_rating(close, std::nullopt, whole_percent);
    CHECK(rounded.estimate == 13);   // 50, 85, 90
    CHECK(rounded.margin == 0.0);
    CHECK_THAT(minimum_efficiency_text(rounded, 492 * fpm), Contains("with averages rounded to whole per cent"));
    CHECK(minimum_efficiency_rating(curve(groups(49.4, 84.5, 89.5)), std::nullopt, whole_percent).estimate == 12);
    CHECK(minimum_efficiency_rating(curve(groups(0, 0, 10)), Uncertain<double>(0.745), whole_percent).estimate == 4);
    CHECK(minimum_efficiency_rating(curve(groups(0, 0, 10)), Uncertain<double>(0.745)).estimate == 3);
}

TEST_CASE("a negative efficiency fails no requirement that is none", "[own]") {
    FractionalEfficiency noisy = curve(groups(0, 10, 60));
    for (std::size_t i = 0; i < 4; ++i) noisy.ranges[i].penetration = uncertain(1.03, 0.04, "counts that scatter");
    CHECK(minimum_efficiency_rating(noisy).estimate == 7);
}

TEST_CASE("sizes that only a later curve was measured in are undetermined, not forgotten", "[own]") {
    FractionalEfficiency clean = curve(groups(30, 60, 85));
    clean.ranges.pop_back();
    const FractionalEfficiency composite = composite_minimum(std::vector{clean, curve(groups(30, 60, 85))});
    CHECK(composite.ranges.size() == 11);
    REQUIRE(composite.undetermined.size() == 1);
    CHECK(composite.undetermined[0].reason == "not measured in curve 1");
    CHECK(range_text(composite.undetermined[0].range) == "7-10 um");
}

TEST_CASE("a loading test measures six curves, at resistances told beforehand", "[own]") {
    const LoadingSteps steps = loading_steps(100 * Pa, 260 * Pa);
    CHECK(steps.conditioned_at_most / Pa == Approx(110));
    CHECK(steps.loaded[0] / Pa == Approx(140));
    CHECK(steps.loaded[2] / Pa == Approx(220));
    CHECK(steps.loaded[3] / Pa == Approx(260));
    CHECK_THROWS_WITH(loading_steps(100 * Pa, 199 * Pa), Contains("final_resistance = 199 Pa") && Contains("200 Pa"));
    CHECK_THROWS_WITH(loading_steps(0 * Pa, 199 * Pa), Contains("initial = 0 Pa"));
    CHECK_THROWS_WITH(least_final_resistance(17), Contains("value = 17"));
    CHECK_THROWS_WITH(least_final_resistance(0), Contains("value = 0"));
}

TEST_CASE("the conditioned value of Appendix J is never the plain one", "[own]") {
    // A charged pleat: 11 as delivered, 8 after the salt aerosol has taken its charge.
    AerosolConditionedCurves curves{
        curve(groups(35, 70, 90)), {curve(groups(20, 50, 84)), curve(groups(8, 33, 74))}, {}};
    const ConditionedMinimumEfficiency result = conditioned_minimum_efficiency(curves);
    const MinimumEfficiencyRating& rating = result.with_aerosol_conditioning;
    CHECK(rating.estimate == 8);
    CHECK(minimum_efficiency_rating(curves.clean).estimate == 11);
    CHECK(rating.governing_limit == "E3-A (3-10 um) = 74.0 %, value 8-A requires 70.0 %");
    CHECK(rating.next_limit == "E2-A (1-3 um) = 33.0 %, value 9-A requires 35.0 %; E3-A (3-10 um) = 74.0 %, value 9-A "
                               "requires 75.0 %");
    CHECK(conditioned_minimum_efficiency_text(result, 295 * fpm) ==
          "conditioned minimum efficiency reporting value at most 8-A, by the states measured: estimate from "
          "bench data by ANSI/ASHRAE 52.2-2017, Appendix J (after conditioning with salt aerosol) at 1.50 m/s (295 "
          "fpm), not a rating");
    CHECK(probability(rating.probabilities, "8-A") == Approx(1.0));
    CHECK(probability(rating.probabilities, "1-A to 4-A") == 0.0);
    CHECK(rating.missing.back() == "curves at 25, 50, 75 and 100 % of the resistance's rise (0 given)");
    curves.loaded.assign(4, curves.clean);
    const ConditionedMinimumEfficiency whole = conditioned_minimum_efficiency(curves);
    CHECK(whole.with_aerosol_conditioning.missing.empty());
    CHECK_THAT(conditioned_minimum_efficiency_text(whole, 295 * fpm), Contains("value 8-A: estimate"));
    curves.conditioned.clear();
    CHECK_THROWS_WITH(conditioned_minimum_efficiency(curves), Contains("number of conditioned curves = 0"));
    CHECK_THROWS_WITH(conditioned_minimum_efficiency_text(result, 0 * fpm), Contains("face_velocity = 0"));
}
