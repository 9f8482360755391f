// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <map>
#include <random>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/minimum_efficiency_probability.hpp>

#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace rating_curves;

TEST_CASE("one average that is uncertain: the normal distribution's shares", "[outside]") {
    // Normal distribution: 15.87 % lie more than one standard deviation below the mean (any table of it).
    const std::array<Uncertain<double>, 3> averages{0.1, uncertain(0.52, 0.02, "E2"), 0.95};
    const auto classes = minimum_efficiency_probabilities(averages);
    CHECK(probability(classes, "9") == Approx(0.1587).margin(5e-5));
    CHECK(probability(classes, "10") == Approx(0.8413).margin(5e-5));
    CHECK(classes.front().name == "1 to 4");
    CHECK(classes.size() == 13);
}

TEST_CASE("probabilities agree with drawing, by either edition and rounding", "[own]") {
    // A calibration that all three averages share, and what is their own; arrestance independent. 40 000 draws, 0.011
    // is over four of their standard deviations.
    const auto shared = uncertain(0.0, 1.0, "calibration");
    const std::array<Uncertain<double>, 3> own{uncertain(0.0, 1.0, "1"), uncertain(0.0, 1.0, "2"),
                                               uncertain(0.0, 1.0, "3")};
    struct Case {
        std::array<double, 3> mean, tie, alone;
        std::optional<double> arrestance;
    };
    const std::vector<Case> cases{{{0.50, 0.85, 0.90}, {0.02, 0.02, 0.01}, {0.03, 0.02, 0.02}, {}},
                                  {{0.50, 0.85, 0.90}, {0.03, -0.02, 0.02}, {0.0, 0.0, 0.0}, {}},
                                  {{0.05, 0.20, 0.21}, {0.01, 0.05, 0.02}, {0.01, 0.0, 0.03}, 0.70},
                                  {{0.94, 0.96, 0.95}, {0.02, 0.02, 0.02}, {0.01, 0.01, 0.0}, 0.99}};
    using Edition = MinimumEfficiencyEdition;
    for (const auto edition : {Edition::edition_2017, Edition::editions_1999_to_2012}) {
        for (const auto rounding : {AverageRounding::as_computed, AverageRounding::to_whole_percent}) {
            for (const Case& c : cases) {
                const MinimumEfficiencyRule rule{edition, rounding};
                std::array<Uncertain<double>, 3> averages;
                for (std::size_t g = 0; g < 3; ++g) {
                    averages[g] = Uncertain<double>(c.mean[g]) + scaled(shared, c.tie[g]) + scaled(own[g], c.alone[g]);
                }
                std::optional<Uncertain<double>> arrestance;
                if (c.arrestance) arrestance = uncertain(*c.arrestance, 0.03, "weighing");
                const auto classes = minimum_efficiency_probabilities(averages, arrestance, rule);
                std::mt19937_64 random(7);
                std::normal_distribution<double> normal;
                std::map<int, double> drawn;
                constexpr int draws = 40000;
                for (int n = 0; n < draws; ++n) {
                    const double z = normal(random);
                    std::array<double, 3> percent;
                    for (std::size_t g = 0; g < 3; ++g) {
                        percent[g] = 100 * (c.mean[g] + c.tie[g] * z + c.alone[g] * normal(random));
                        if (rounding == AverageRounding::to_whole_percent) percent[g] = std::round(percent[g]);
                    }
                    double arrested = 100 * (c.arrestance.value_or(0.0) + 0.03 * normal(random));
                    if (rounding == AverageRounding::to_whole_percent) arrested = std::round(arrested);
                    int value = 1;
                    for (const MinimumEfficiencyRow& row : minimum_efficiency_table(edition)) {
                        if (row.value <= 4 ? arrested >= row.least_arrestance
                                           : (row.least_E1 == 0 || percent[0] >= row.least_E1) &&
                                                 (row.least_E2 == 0 || percent[1] >= row.least_E2) &&
                                                 percent[2] >= row.least_E3) {
                            value = row.value;
                        }
                    }
                    drawn[value] += 1.0 / draws;
                }
                if (!c.arrestance) drawn[0] = drawn[1] + drawn[2] + drawn[3] + drawn[4];
                for (int v = c.arrestance ? 1 : 5; v <= 16; ++v) {
                    INFO("value " << v << " mean " << c.mean[0] << ' ' << c.tie[0]);
                    CHECK(probability(classes, std::to_string(v)) == Approx(drawn[v]).margin(0.011));
                }
                if (!c.arrestance) CHECK(probability(classes, "1 to 4") == Approx(drawn[0]).margin(0.011));
                CHECK(sum(classes) == Approx(1.0).epsilon(1e-12));
            }
        }
    }
}

TEST_CASE("twelve sizes with a stated covariance", "[own]") {
    // All sizes correlated by 0.6, as one calibration would: the variance of an average of four is u^2 (1 + 3 r)/4.
    constexpr double u = 0.03, r = 0.6;
    const TwelveEfficiencies mean = groups(10, 51, 95);
    std::vector<double> covariance(144, r * u * u);
    for (std::size_t i = 0; i < 12; ++i) covariance[13 * i] = u * u;
    const auto sizes = correlated_block(mean, covariance, "calibration", HUGE_VAL);
    FractionalEfficiency efficiency;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < 12; ++i) efficiency.ranges.push_back(stated_efficiency(ranges[i], sizes[i]));
    const auto classes = minimum_efficiency_rating(efficiency).probabilities;
    const double u2 = u * std::sqrt((1 + 3 * r) / 4);
    CHECK(probability(classes, "10") == Approx(detail::normal_share_below(0.01 / u2)).epsilon(1e-6));
    CHECK(probability(classes, "9") == Approx(detail::normal_share_below(-0.01 / u2)).epsilon(1e-6));
}

TEST_CASE("probabilities of random curves: none negative, sum one, certain curves have one class", "[own]") {
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t n = 0; n < test::sweep_length(400); ++n) {
        const TwelveEfficiencies e = random_curve(random);
        const MinimumEfficiencyRule rule{
            n % 2 ? MinimumEfficiencyEdition::edition_2017 : MinimumEfficiencyEdition::editions_1999_to_2012,
            n % 4 < 2 ? AverageRounding::as_computed : AverageRounding::to_whole_percent};
        const Uncertain<double> arrestance(unit(random));
        const MinimumEfficiencyRating uncertain_rating =
            minimum_efficiency_rating(curve(e, 0.1 * unit(random)), arrestance, rule);
        for (const ClassProbability& c : uncertain_rating.probabilities) CHECK(c.probability >= 0.0);
        CHECK(uncertain_rating.probabilities.size() == 16);
        CHECK(sum(uncertain_rating.probabilities) == Approx(1.0).epsilon(1e-12));
        const MinimumEfficiencyRating certain = minimum_efficiency_rating(curve(e), arrestance, rule);
        CHECK(probability(certain.probabilities, std::to_string(*certain.estimate)) == Approx(1.0).epsilon(1e-12));
    }
}

TEST_CASE("a value never rises when an efficiency falls", "[own]") {
    std::mt19937_64 random(23);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    std::uniform_int_distribution<std::size_t> range(0, 11);
    for (std::size_t n = 0; n < test::sweep_length(2000); ++n) {
        const MinimumEfficiencyRule rule{
            n % 2 ? MinimumEfficiencyEdition::edition_2017 : MinimumEfficiencyEdition::editions_1999_to_2012,
            n % 4 < 2 ? AverageRounding::as_computed : AverageRounding::to_whole_percent};
        TwelveEfficiencies e = random_curve(random);
        const Uncertain<double> arrestance(unit(random));
        const auto better = minimum_efficiency_rating(curve(e), arrestance, rule);
        e[range(random)] *= unit(random);
        const auto worse = minimum_efficiency_rating(curve(e), scaled(arrestance, 0.99), rule);
        CHECK(*worse.estimate <= *better.estimate);
        CHECK(better.margin >= 0.0);
        CHECK(std::isfinite(better.margin));
        CHECK(std::isfinite(better.shortfall));
    }
}

TEST_CASE("no probability without all sizes; bad averages are refused", "[own]") {
    FractionalEfficiency partial = curve(groups(40, 82, 92));
    partial.ranges.pop_back();
    CHECK(minimum_efficiency_rating(partial).probabilities.empty());
    CHECK_THROWS_WITH(minimum_efficiency_probabilities({0.1, std::nan(""), 0.3}), Contains("E2 = nan"));
    CHECK_THROWS_WITH(minimum_efficiency_probabilities({0.1, 0.2, 0.3}, Uncertain<double>(HUGE_VAL)),
                      Contains("average_arrestance = inf"));
}
