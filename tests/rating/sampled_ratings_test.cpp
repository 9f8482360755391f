// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <map>
#include <random>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/sampled_ratings.hpp>

#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace rating_curves;

namespace {

TwelveSizeCurves both(const TwelveEfficiencies& untreated, const TwelveEfficiencies& conditioned) {
    TwelveSizeCurves curves;
    curves.untreated = untreated;
    curves.conditioned = conditioned;
    curves.composite = composite_minimum(untreated, conditioned);
    return curves;
}

/// Three replicates about a curve, for each state, two of them apart; invented.
ReplicateCurves replicates() {
    std::mt19937_64 random(2);
    std::normal_distribution<double> normal(0.0, 0.02);
    ReplicateCurves result;
    for (int k = 0; k < 3; ++k) {
        const double off = 3.0 * (k - 1);
        TwelveEfficiencies before = groups(64 + off, 82 + off, 93), after = groups(50 - off, 79 + off, 92);
        for (double& e : before) e = std::min(1.0, e + normal(random));
        for (double& e : after) e = std::min(1.0, e + normal(random));
        result.untreated.push_back(before);
        result.conditioned.push_back(after);
    }
    return result;
}

}   // namespace

TEST_CASE("drawing one normal size agrees with the normal distribution", "[own]") {
    // E1 is (0.9 + x)/4 with x normal about 0.6, 0.1: P(E1 >= 0.35) = P(x >= 0.5) = Phi(1). 100 000 draws, 0.006 is
    // over five standard deviations.
    std::mt19937_64 random(13);
    std::normal_distribution<double> normal;
    const SampledRatings result = sampled_ratings(
        [&] {
            TwelveEfficiencies e = groups(30, 82, 93);
            e[3] = 0.6 + 0.1 * normal(random);
            return both(e, e);
        },
        100000);
    CHECK(probability(result.minimum_efficiency, "12") == Approx(0.8413).margin(0.006));
    CHECK(probability(result.minimum_efficiency, "11") == Approx(0.1587).margin(0.006));
    CHECK(sum(result.minimum_efficiency) == Approx(1.0).epsilon(1e-12));
    CHECK(sum(result.particulate_matter) == Approx(1.0).epsilon(1e-12));
    CHECK(result.draws == 100000);
}

TEST_CASE("drawing agrees with first order where first order holds", "[own]") {
    // Independent normal sizes, the conditioned curve well below the untreated one, so that it is the composite.
    const TwelveEfficiencies untreated = groups(75, 92, 97), conditioned = groups(49, 80, 90);
    constexpr double u = 0.03;
    std::mt19937_64 random(19);
    std::normal_distribution<double> normal(0.0, u);
    const SampledRatings drawn = sampled_ratings(
        [&] {
            TwelveEfficiencies a = untreated, b = conditioned;
            for (double& e : a) e += normal(random);
            for (double& e : b) e += normal(random);
            TwelveSizeCurves curves = both(a, b);
            curves.composite = b;
            return curves;
        },
        100000);
    const auto value = minimum_efficiency_rating(curve(conditioned, u));
    for (const ClassProbability& c : value.probabilities) {
        CHECK(c.probability == Approx(probability(drawn.minimum_efficiency, c.name)).margin(0.007));
    }
    const auto matter = particulate_matter_class(curve(untreated, u), curve(conditioned, u));
    for (const ClassProbability& c : matter.probabilities) {
        CHECK(c.probability == Approx(probability(drawn.particulate_matter, c.name)).margin(0.007));
    }
    CHECK(drawn.particulate_matter.size() > 2);
}

TEST_CASE("the bootstrap agrees with every resample there is", "[own]") {
    // Second method: three replicates of two states have 27 times 27 equally likely resamples.
    const ReplicateCurves data = replicates();
    std::map<int, double> values;
    std::map<std::string, double> classes;
    const auto mean = [](const std::vector<TwelveEfficiencies>& curves, int code) {
        TwelveEfficiencies result{};
        for (int k = 0; k < 3; ++k, code /= 3) {
            for (std::size_t i = 0; i < 12; ++i) result[i] += curves[static_cast<std::size_t>(code % 3)][i] / 3;
        }
        return result;
    };
    for (int a = 0; a < 27; ++a) {
        for (int b = 0; b < 27; ++b) {
            const FractionalEfficiency before = curve(mean(data.untreated, a));
            const FractionalEfficiency after = curve(mean(data.conditioned, b));
            const auto value = minimum_efficiency_rating(composite_minimum(std::vector{before, after}));
            values[*value.estimate] += 1.0 / 729;
            classes[particulate_matter_class(before, after).class_text] += 1.0 / 729;
        }
    }
    CHECK(values.size() > 1);
    CHECK(classes.size() > 1);
    const SampledRatings drawn = bootstrap_ratings(data, 100000, 5);
    for (const auto& [value, share] : values) {
        CHECK(probability(drawn.minimum_efficiency, std::to_string(value)) == Approx(share).margin(0.007));
    }
    for (const auto& [name, share] : classes) {
        CHECK(probability(drawn.particulate_matter, name) == Approx(share).margin(0.007));
    }
    const SampledRatings again = bootstrap_ratings(data, 1000, 5), same = bootstrap_ratings(data, 1000, 5);
    for (const ClassProbability& c : again.particulate_matter) {
        CHECK(probability(same.particulate_matter, c.name) == c.probability);
    }
}

TEST_CASE("arrestance that was not drawn leaves 1 to 4 and the coarse group open", "[own]") {
    const auto coarse = [] { return both(groups(0, 0, 12), groups(0, 0, 10)); };
    const SampledRatings open = sampled_ratings(coarse, 10);
    CHECK(probability(open.minimum_efficiency, "1 to 4") == 1.0);
    CHECK(probability(open.particulate_matter, "ISO Coarse, initial arrestance not measured") == 1.0);
    const SampledRatings weighed = sampled_ratings(
        [&] {
            TwelveSizeCurves curves = coarse();
            curves.average_arrestance = curves.initial_arrestance = 0.72;
            return curves;
        },
        10);
    CHECK(probability(weighed.minimum_efficiency, "3") == 1.0);
    CHECK(probability(weighed.particulate_matter, "ISO Coarse 70 %") == 1.0);
}

TEST_CASE("draws that are no numbers, too few replicates and no draws are refused", "[own]") {
    CHECK_THROWS_WITH(sampled_ratings([] { return both(flat(0.5), flat(std::nan(""))); }, 1),
                      Contains("sum of a draw's efficiencies = nan"));
    CHECK_THROWS_WITH(sampled_ratings([] { return both(flat(0.5), flat(0.4)); }, 0), Contains("draws = 0"));
    ReplicateCurves one = replicates();
    one.conditioned.resize(1);
    CHECK_THROWS_WITH(bootstrap_ratings(one, 10, 1), Contains("number of replicates = 1") && Contains(">= 2"));
}
