// SPDX-License-Identifier: BSL-1.0
#include <map>
#include <random>

#include <filterflow/rating/high_efficiency.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

std::size_t place(HighEfficiencyStandard standard, const std::string& name) {
    const auto classes = high_efficiency_classes(standard);
    for (std::size_t i = 0; i < classes.size(); ++i) {
        if (classes[i].name == name) return i + 1;
    }
    return 0;
}

const HighEfficiencyClass& of(const std::string& name) {
    for (const auto standard : {HighEfficiencyStandard::en_1822, HighEfficiencyStandard::iso_29463}) {
        if (const std::size_t at = place(standard, name); at > 0) return high_efficiency_classes(standard)[at - 1];
    }
    throw std::runtime_error("no class " + name);
}

double local_limit(const ReferenceRow& row) {
    return row.has("local_penetration_max_pct") ? row.number("local_penetration_max_pct") : 0.0;
}

}   // namespace

TEST_CASE("classes of high efficiency are those of the standards", "[outside]") {
    // tests/reference/high_efficiency_classes.csv: EN 1822-1 read in three agreeing secondary copies; ISO 29463-1,
    // limits of the whole filter from 35 H on, read in an open-access book.
    std::size_t rows = 0;
    for (const auto& row : ReferenceTable("high_efficiency_classes.csv")) {
        const bool en = row["standard"] == "EN 1822-1";
        if (!en && row["class"].back() == 'E') continue;
        const HighEfficiencyClass& ours = of(row["class"]);
        CHECK(ours.most_penetration == Approx(row.number("integral_penetration_max_pct")).epsilon(1e-12));
        if (en) CHECK(ours.most_local == Approx(local_limit(row)));
        ++rows;
    }
    CHECK(rows == 8 + 9);
}

TEST_CASE("classes of ISO 29463-1 from memory, and each at its own limits", "[own]") {
    // 15 E to 30 E and every local limit of ISO: table and code are both from memory.
    std::size_t rows = 0;
    for (const auto& row : ReferenceTable("high_efficiency_classes.csv")) {
        const HighEfficiencyClass& ours = of(row["class"]);
        CHECK(ours.most_penetration == Approx(row.number("integral_penetration_max_pct")).epsilon(1e-12));
        CHECK(ours.most_local == Approx(local_limit(row)));
        const auto standard = row["standard"] == "EN 1822-1" ? HighEfficiencyStandard::en_1822
                                                             : HighEfficiencyStandard::iso_29463;
        CHECK(high_efficiency_rating(standard, ours.most_penetration / 100, ours.most_local / 100).class_name ==
              row["class"]);
        ++rows;
    }
    CHECK(rows == high_efficiency_classes(HighEfficiencyStandard::en_1822).size() +
                      high_efficiency_classes(HighEfficiencyStandard::iso_29463).size());
}

TEST_CASE("local limit, margin and words of a high efficiency class", "[own]") {
    const auto iso = HighEfficiencyStandard::iso_29463;
    const HighEfficiencyRating spot = high_efficiency_rating(iso, 8e-5, 1e-3);   // 40 H but for the spot
    CHECK(spot.class_name == "ISO 35 H");
    CHECK(spot.highest_class == "ISO 40 H");
    CHECK(spot.governing_limit == "local penetration at most 0.25 %");
    CHECK(spot.margin == Approx(2.5));
    CHECK(spot.next_limit == "local penetration 0.1 %, ISO 40 H allows 0.05 %");
    CHECK(spot.shortfall == Approx(2.0));
    const HighEfficiencyRating whole = high_efficiency_rating(iso, 8e-5);
    CHECK(whole.class_name == "ISO 30 E");
    CHECK(high_efficiency_text(whole, 0.45 * m_per_s) ==
          "ISO 30 E by penetration at the most penetrating size (at most ISO 40 H, without a local test): estimate "
          "from bench data by ISO 29463-1:2017 at 0.45 m/s (89 fpm), not a rating");
    CHECK(whole.next_limit == "local penetration not measured, ISO 35 H allows 0.25 %");
    CHECK(whole.shortfall == 0.0);
    const HighEfficiencyRating en = high_efficiency_rating(HighEfficiencyStandard::en_1822, 4e-4, 1e-3);
    CHECK_THAT(high_efficiency_text(en, 0.45 * m_per_s),
               Contains("H13 by penetration at the most penetrating size: estimate from bench data by EN 1822-1:2019 "
                        "at 0.45 m/s"));
    CHECK(high_efficiency_rating(iso, 0.2).class_name == "below the lowest class");
    CHECK(high_efficiency_rating(iso, 0.2).margin == 0.0);
    CHECK_THROWS_WITH(high_efficiency_rating(iso, 1.2), Contains("penetration = 1.2"));
    CHECK_THROWS_WITH(high_efficiency_rating(iso, 0.1, -0.1), Contains("local_penetration = -0.1"));
    CHECK_THROWS_WITH(high_efficiency_text(whole, 0 * m_per_s), Contains("face_velocity = 0 m/s"));
}

TEST_CASE("a failed local test is said, with what the next class allows", "[own]") {
    const auto iso = HighEfficiencyStandard::iso_29463;
    const HighEfficiencyRating failed = high_efficiency_rating(iso, 3e-4, 5e-3);
    CHECK(failed.class_name == "ISO 30 E");
    CHECK(failed.highest_class == "ISO 35 H");
    CHECK(failed.missing.empty());
    CHECK(failed.next_limit == "local penetration 0.5 %, ISO 35 H allows 0.25 %");
    CHECK(failed.shortfall == Approx(2.0));
    CHECK(high_efficiency_text(failed, 0.45 * m_per_s) ==
          "ISO 30 E by penetration at the most penetrating size (ISO 35 H by the whole filter, but local penetration "
          "0.5 %, ISO 35 H allows 0.25 %): estimate from bench data by ISO 29463-1:2017 at 0.45 m/s (89 fpm), not a "
          "rating");

    const HighEfficiencyRating both = high_efficiency_rating(iso, 6e-4, 1e-2);   // whole filter and spot miss 35 H
    CHECK(both.next_limit ==
          "penetration 0.06 %, ISO 35 H allows 0.05 %; local penetration 1 %, ISO 35 H allows 0.25 %");
    CHECK(both.shortfall == Approx(4.0));
    CHECK_THAT(high_efficiency_text(both, 1 * m_per_s), !Contains("by the whole filter"));
    CHECK(high_efficiency_rating(iso, 0.2).next_limit == "penetration 20 %, ISO 15 E allows 5 %");
    CHECK(high_efficiency_rating(iso, 1e-8, 1e-7).next_limit.empty());   // the best class there is
}

TEST_CASE("class probabilities: first-order normal against sampling", "[own]") {
    // Whole and local penetration share the counter's calibration; 200 000 draws, 0.005 is over four of their
    // standard deviations.
    const auto en = HighEfficiencyStandard::en_1822;
    const auto shared = uncertain(0.0, 1.0, "calibration");
    const auto alone = uncertain(0.0, 1.0, "local count");
    for (const double tie : {-2e-4, 0.0, 2e-4, 8e-4}) {
        const Uncertain<double> whole = Uncertain<double>(4.5e-4) + scaled(shared, 8e-5);
        const Uncertain<double> local = Uncertain<double>(2.3e-3) + scaled(shared, tie) + scaled(alone, 3e-4);
        const HighEfficiencyRating rating = high_efficiency_rating(en, whole, local);
        std::mt19937_64 random(7);
        std::normal_distribution<double> normal;
        std::map<std::string, double> drawn;
        constexpr int draws = 200000;
        for (int i = 0; i < draws; ++i) {
            const double a = normal(random);
            const double b = normal(random);
            const double p = std::clamp(4.5e-4 + 8e-5 * a, 0.0, 1.0);
            const double q = std::clamp(2.3e-3 + tie * a + 3e-4 * b, 0.0, 1.0);
            std::string name = "below the lowest class";
            for (const HighEfficiencyClass& c : high_efficiency_classes(en)) {
                if (100 * p <= c.most_penetration && (c.most_local == 0.0 || 100 * q <= c.most_local)) name = c.name;
            }
            drawn[name] += 1.0 / draws;
        }
        double sum = 0.0;
        for (const auto& [name, probability] : rating.probabilities) {
            CHECK(probability == Approx(drawn[name]).margin(0.005));
            sum += probability;
        }
        CHECK(sum == Approx(1.0).epsilon(1e-12));
        CHECK(drawn["H13"] > 0.2);
    }
}

TEST_CASE("a high efficiency class never rises when penetration does; probabilities sum to one", "[own]") {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> power(-8.0, 0.0), more(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(2000); ++i) {
        const auto standard = i % 2 ? HighEfficiencyStandard::en_1822 : HighEfficiencyStandard::iso_29463;
        const double p = std::pow(10.0, power(random)), q = std::pow(10.0, power(random));
        const auto better = high_efficiency_rating(standard, uncertain(p, 0.3 * p, "p"), uncertain(q, 0.2 * q, "q"));
        const auto worse = high_efficiency_rating(standard, p + (1 - p) * more(random), q + (1 - q) * more(random) / 9);
        CHECK(place(standard, worse.class_name) <= place(standard, better.class_name));
        double sum = 0.0;
        for (const auto& c : better.probabilities) {
            CHECK(c.probability >= 0.0);
            sum += c.probability;
        }
        CHECK(sum == Approx(1.0).epsilon(1e-12));
        for (const auto& c : worse.probabilities) {   // certain values: one class has it all
            CHECK(c.probability == Approx(c.name == worse.class_name ? 1.0 : 0.0).margin(1e-12));
        }
    }
}
