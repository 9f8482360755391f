// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <map>
#include <random>

#include <filterflow/rating/withdrawn_en_779.hpp>

#include "rating/printed_cell.hpp"
#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace rating_curves;
using filterflow::test::ReferenceTable;
using printed_cell::lower_end;

namespace {

std::size_t place(const std::string& name) {
    const auto classes = withdrawn_en_779_classes();
    for (std::size_t i = 0; i < classes.size(); ++i) {
        if (classes[i].name == name) return i + 1;
    }
    return 0;
}

}   // namespace

TEST_CASE("the withdrawn classes are those of the 2012 edition", "[outside]") {
    // tests/reference/withdrawn_en_779.csv: read in a secondary copy.
    const ReferenceTable table("withdrawn_en_779.csv");
    REQUIRE(table.size() == 9);
    std::size_t i = 0;
    for (const auto& row : table) {
        const WithdrawnEn779Class c = withdrawn_en_779_classes()[i++];
        CHECK(c.name == row["class"]);
        CHECK(c.least_average_arrestance == lower_end(row["average_arrestance_pct"]));
        CHECK(c.least_average_efficiency == lower_end(row["average_efficiency_pct"]));
        CHECK(c.least_minimum_efficiency == lower_end(row["minimum_efficiency_pct"]));
        CHECK(find_withdrawn_en_779_class(row["class"]).least_average_efficiency == c.least_average_efficiency);
    }
    CHECK_THROWS_WITH(find_withdrawn_en_779_class("F5"), Contains("class \"F5\"") && Contains("G1 to G4, M5"));
}

TEST_CASE("final resistances of the withdrawn test, from memory", "[own]") {
    for (const auto& row : ReferenceTable("withdrawn_en_779.csv")) {
        CHECK(find_withdrawn_en_779_class(row["class"]).final_resistance / Pa == row.number("final_resistance_Pa"));
    }
}

TEST_CASE("class of old data, its limits and its words", "[own]") {
    const WithdrawnEn779Rating fine = withdrawn_en_779_rating({.average_efficiency = 0.86, .minimum_efficiency = 0.37});
    CHECK(fine.class_name == "F7");
    CHECK(fine.governing_limit == "minimum efficiency at 0.4 um = 37.0 %, F7 required 35.0 %");
    CHECK(fine.margin == Approx(2.0));
    CHECK(fine.next_limit ==
          "average efficiency at 0.4 um = 86.0 %, F8 required 90.0 %; minimum efficiency at 0.4 um = "
          "37.0 %, F8 required 55.0 %");
    CHECK(withdrawn_en_779_rating({.average_efficiency = 0.91, .minimum_efficiency = 0.37}).next_limit ==
          "minimum efficiency at 0.4 um = 37.0 %, F8 required 55.0 %");
    CHECK(fine.shortfall == Approx(18.0));
    CHECK(withdrawn_en_779_text(fine, 2.7 * m_per_s) ==
          "F7: estimate from bench data by EN 779:2012 (withdrawn in 2018, for reading old data) at 2.70 m/s (531 "
          "fpm), not a rating");
    CHECK(withdrawn_en_779_rating({.average_efficiency = 0.86, .minimum_efficiency = 0.34}).class_name == "M6");
    CHECK(withdrawn_en_779_rating({.average_efficiency = 0.97, .minimum_efficiency = 0.75}).next_limit.empty());
    const auto coarse = withdrawn_en_779_rating(
        {.average_efficiency = 0.1, .minimum_efficiency = {}, .average_arrestance = uncertain(0.82, 0.02, "weighing")});
    CHECK(coarse.class_name == "G3");
    CHECK(probability(coarse.probabilities, "G2") == Approx(0.1587).margin(1e-4));   // one standard deviation below
    CHECK(withdrawn_en_779_rating({.average_efficiency = 0.1, .minimum_efficiency = {}, .average_arrestance = 0.3})
              .class_name == "below G1");

    const auto open = withdrawn_en_779_rating({.average_efficiency = 0.86});
    CHECK(open.class_name == "not determinable");
    CHECK(open.missing.at(0) == "minimum efficiency at 0.4 um, which F7 to F9 limit");
    const auto near = withdrawn_en_779_rating({.average_efficiency = uncertain(0.79, 0.02, "counts")});
    CHECK(near.class_name == "M6");
    CHECK(near.probabilities.empty());
    CHECK(near.missing.size() == 1);
    CHECK(withdrawn_en_779_rating({.average_efficiency = 0.3}).missing.at(0) ==
          "average arrestance, which decides G1 to G4");
    CHECK(withdrawn_en_779_rating({}).missing.at(0) == "average efficiency at 0.4 um");
    CHECK_THROWS_WITH(withdrawn_en_779_rating({.average_efficiency = 1.2}), Contains("average_efficiency = 1.2"));
    CHECK_THROWS_WITH(withdrawn_en_779_rating({.average_efficiency = 0.9, .minimum_efficiency = -0.1}),
                      Contains("minimum_efficiency = -0.1"));
    CHECK_THROWS_WITH(withdrawn_en_779_text(fine, 0 * m_per_s), Contains("face_velocity = 0 m/s"));
}

TEST_CASE("a withdrawn class never rises when a value falls; its probabilities agree with drawing", "[own]") {
    std::mt19937_64 random(37);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t n = 0; n < test::sweep_length(1000); ++n) {
        const double average = unit(random), lowest = unit(random) * average, arrestance = unit(random);
        const auto better = withdrawn_en_779_rating(
            {.average_efficiency = average, .minimum_efficiency = lowest, .average_arrestance = arrestance});
        const auto worse =
            withdrawn_en_779_rating({.average_efficiency = uncertain(average * unit(random), 0.04, "E"),
                                     .minimum_efficiency = uncertain(lowest * unit(random), 0.05, "M"),
                                     .average_arrestance = uncertain(arrestance * unit(random), 0.05, "A")});
        CHECK(place(worse.class_name) <= place(better.class_name));
        CHECK(sum(worse.probabilities) == Approx(1.0).epsilon(1e-12));
        CHECK(probability(better.probabilities, better.class_name) == Approx(1.0).epsilon(1e-12));
    }
    const auto shared = uncertain(0.0, 1.0, "calibration");
    const auto rating = withdrawn_en_779_rating(
        {.average_efficiency = uncertain(0.81, 0.02, "average") + scaled(shared, 0.03),
         .minimum_efficiency = uncertain(0.36, 0.02, "lowest") + scaled(shared, 0.03)});
    std::normal_distribution<double> normal;
    std::map<std::string, double> drawn;
    for (int n = 0; n < 200000; ++n) {   // 0.005 is over four standard deviations of a share
        const double z = normal(random);
        const double average = 0.81 + 0.02 * normal(random) + 0.03 * z;
        const double lowest = 0.36 + 0.02 * normal(random) + 0.03 * z;
        const bool f7 = average >= 0.80 && lowest >= 0.35, f8 = average >= 0.90 && lowest >= 0.55;
        drawn[f8 ? "F8" : f7 ? "F7" : average >= 0.60 ? "M6" : "M5"] += 1.0 / 200000;
    }
    for (const auto& [name, share] : drawn) {
        CHECK(probability(rating.probabilities, name) == Approx(share).margin(0.005));
    }
    CHECK(drawn["M6"] > 0.2);
}
