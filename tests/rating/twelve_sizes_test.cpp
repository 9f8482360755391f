// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace rating_curves;

TEST_CASE("plain arrays are rated as full curves are", "[own]") {
    std::mt19937_64 random(41);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t n = 0; n < test::sweep_length(1000); ++n) {
        const RatingRules rules{
            {n % 2 ? MinimumEfficiencyEdition::edition_2017 : MinimumEfficiencyEdition::editions_1999_to_2012,
             n % 4 < 2 ? AverageRounding::as_computed : AverageRounding::to_whole_percent},
            {n % 8 < 4 ? ChannelAtPm25::taken_whole : ChannelAtPm25::cut_at_2500_nm}};
        TwelveSizeCurves curves;
        curves.untreated = random_curve(random);
        curves.conditioned = random_curve(random);
        curves.composite = composite_minimum(curves.untreated, curves.conditioned);
        if (n % 3 != 0) curves.average_arrestance = curves.initial_arrestance = unit(random);
        const TwelveSizeRatings ours = twelve_size_ratings(curves, rules);

        const FractionalEfficiency before = curve(curves.untreated), after = curve(curves.conditioned);
        const FractionalEfficiency composite = composite_minimum(std::vector{before, after});
        std::optional<Uncertain<double>> arrestance;
        if (curves.average_arrestance) arrestance = *curves.average_arrestance;
        const auto value = minimum_efficiency_rating(composite, arrestance, rules.minimum_efficiency);
        const auto matter = particulate_matter_class(before, after, arrestance, rules.particulate_matter);
        CHECK(ours.lowest_value == *value.lowest);
        CHECK(ours.highest_value == *value.highest);
        CHECK(ours.group == *matter.group);
        if (ours.percent) {
            CHECK(detail::class_name(ours.group, *ours.percent) == matter.class_text);
        } else {
            CHECK(matter.class_text == "ISO Coarse, initial arrestance not measured");
        }
        const TwelveEfficiencies back = *twelve_efficiencies(composite);
        for (std::size_t i = 0; i < 12; ++i) CHECK(back[i] == Approx(curves.composite[i]).margin(1e-15));
    }
}

TEST_CASE("averages and fractions carry derivatives", "[own]") {
    using D = Dual<12>;
    std::array<D, 12> e;
    for (std::size_t i = 0; i < 12; ++i) e[i] = D::input(0.05 * static_cast<double>(i), i);
    const auto averages = minimum_efficiency_averages(e);
    CHECK(averages[1].value == Approx(0.05 * 5.5));
    for (std::size_t i = 0; i < 12; ++i) CHECK(averages[1].derivative[i] == (i / 4 == 1 ? 0.25 : 0.0));
    const auto weights = particulate_matter_weights(ParticulateMatter::pm10);
    const D fraction = particulate_matter_efficiency(e, ParticulateMatter::pm10);
    for (std::size_t i = 0; i < 12; ++i) CHECK(fraction.derivative[i] == Approx(weights[i]).epsilon(1e-12));
}

TEST_CASE("an array needs all sizes, and bad efficiencies are refused", "[own]") {
    FractionalEfficiency partial = curve(flat(0.5));
    partial.ranges.erase(partial.ranges.begin() + 3);
    CHECK_FALSE(twelve_efficiencies(partial).has_value());
    std::swap(partial.ranges[0], partial.ranges[1]);
    CHECK_THROWS_AS(twelve_efficiencies(partial), DomainError);
    TwelveSizeCurves curves;
    curves.conditioned[7] = std::nan("");
    CHECK_THROWS_WITH(twelve_size_ratings(curves), Contains("efficiency = nan"));
    curves.conditioned[7] = 1.01;
    CHECK_THROWS_WITH(twelve_size_ratings(curves), Contains("efficiency = 1.01") && Contains("<= 1"));
    curves.conditioned[7] = 0.0;
    curves.initial_arrestance = -0.1;
    CHECK_THROWS_WITH(twelve_size_ratings(curves), Contains("arrestance = -0.1"));
}
