// SPDX-License-Identifier: BSL-1.0
#include <filterflow/capture/band_estimate.hpp>
#include <filterflow/rating/class_verdict.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

BandEstimate estimate_of(std::vector<WeightedAverages> draws) {
    BandEstimate estimate;
    estimate.draws = std::move(draws);
    return estimate;
}

MinimumEfficiencyVerdict of(const MinimumEfficiencyVerdicts& verdicts, int value) {
    for (const MinimumEfficiencyVerdict& verdict : verdicts.values) {
        if (verdict.lowest <= value && value <= verdict.highest) return verdict;
    }
    throw std::runtime_error("no such value");
}

}   // namespace

TEST_CASE("draws fall into the classes of the table", "[own]") {
    // By hand from the rows of 2017: 11 asks 20, 65, 85; 12 asks 35, 80, 90; 13 asks 50, 85, 90.
    const auto verdicts = minimum_efficiency_verdicts(estimate_of({{{0.30, 0.70, 0.86}, 0.50},     // 11
                                                                   {{0.36, 0.80, 0.90}, 0.30},     // 12
                                                                   {{0.55, 0.84, 0.95}, 0.15},     // 12: E2 short of 13
                                                                   {{0.55, 0.86, 0.95}, 0.045},    // 13
                                                                   {{0.05, 0.10, 0.19}, 0.005}})); // below 5
    CHECK(of(verdicts, 11).probability == Approx(0.50));
    CHECK(of(verdicts, 12).probability == Approx(0.45));
    CHECK(of(verdicts, 13).probability == Approx(0.045));
    CHECK(of(verdicts, 12).at_least == Approx(0.495));
    CHECK(of(verdicts, 3).lowest == 1);
    CHECK(of(verdicts, 3).highest == 4);
    CHECK(of(verdicts, 3).at_least == Approx(1.0));
    CHECK(of(verdicts, 11).verdict == ClassVerdict::likely);
    CHECK(of(verdicts, 12).verdict == ClassVerdict::likely);   // 0.50 alone is not two thirds
    CHECK(of(verdicts, 13).verdict == ClassVerdict::possible);
    CHECK(of(verdicts, 3).verdict == ClassVerdict::excluded);
    CHECK(of(verdicts, 10).verdict == ClassVerdict::excluded);
    double total = 0.0;
    for (const MinimumEfficiencyVerdict& verdict : verdicts.values) total += verdict.probability;
    CHECK(total == Approx(1.0));
    CHECK(
        minimum_efficiency_verdict_text(verdicts, 295 * fpm) ==
        "minimum efficiency reporting value of the filter as measured, clean: likely 11, 12; possible 13; excluded 1 "
        "to "
        "10, 14 to 16 (the standard, which goes by the lowest of all states, may find less): estimate from bench data "
        "by ANSI/ASHRAE 52.2-2017 at 1.50 m/s (295 fpm), not a rating");
}

TEST_CASE("another edition's table gives other classes", "[own]") {
    // 1999 to 2012: 8, 9 and 10 ask E3 of 70, 85, and 85 with E2 of 50. 2017: 9 asks E2 of 35 and E3 of 75.
    const MinimumEfficiencyRule until_2012{MinimumEfficiencyEdition::editions_1999_to_2012};
    const BandEstimate estimate = estimate_of({{{0.1, 0.40, 0.86}, 1.0}});
    CHECK(of(minimum_efficiency_verdicts(estimate, until_2012), 9).verdict == ClassVerdict::likely);
    CHECK(of(minimum_efficiency_verdicts(estimate), 9).verdict == ClassVerdict::likely);
    const BandEstimate weaker = estimate_of({{{0.1, 0.10, 0.86}, 1.0}});
    const MinimumEfficiencyVerdicts older = minimum_efficiency_verdicts(weaker, until_2012);
    CHECK(of(older, 9).verdict == ClassVerdict::likely);
    CHECK(of(minimum_efficiency_verdicts(weaker), 9).verdict == ClassVerdict::excluded);
    CHECK(of(minimum_efficiency_verdicts(weaker), 7).verdict == ClassVerdict::likely);
    // The words are those of the rule that the verdicts were told by.
    CHECK_THAT(minimum_efficiency_verdict_text(older, 2.0 * m_per_s),
               Contains("likely 9;") &&
                   Contains("by the superseded table of ANSI/ASHRAE 52.2-1999 to -2012 at 2.00 m/s") &&
                   Contains("not a test velocity of the standard"));
    const MinimumEfficiencyRule whole{MinimumEfficiencyEdition::edition_2017, AverageRounding::to_whole_percent};
    const BandEstimate close = estimate_of({{{0.1, 0.346, 0.747}, 1.0}});   // 35 and 75 % by whole per cent
    CHECK(of(minimum_efficiency_verdicts(close), 8).verdict == ClassVerdict::likely);
    CHECK(of(minimum_efficiency_verdicts(close, whole), 9).verdict == ClassVerdict::likely);
    CHECK_THAT(minimum_efficiency_verdict_text(minimum_efficiency_verdicts(close, whole), 295 * fpm),
               Contains("with averages rounded to whole per cent"));
}

TEST_CASE("verdicts refuse a refused estimate", "[own]") {
    BandEstimate refused;
    refused.refused = "no medium of the prior gives these bands";
    CHECK_THROWS_WITH(minimum_efficiency_verdicts(refused), Contains("was refused (no medium"));
}
