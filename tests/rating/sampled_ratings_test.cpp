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
        TwelveEfficiencies dusty = groups(52 + off, 81 - off, 94);
        for (TwelveEfficiencies* state : {&before, &after, &dusty}) {
            for (double& e : *state) e = std::min(1.0, e + normal(random));
        }
        result.untreated.push_back(before);
        result.discharged.push_back(after);
        result.dust_conditioned.push_back(dusty);
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
        const FractionalEfficiency before = curve(mean(data.untreated, a));
        for (int b = 0; b < 27; ++b) {
            const FractionalEfficiency dusty = curve(mean(data.dust_conditioned, b));
            const auto value = minimum_efficiency_rating(MinimumEfficiencyCurves{before, dusty, {}});
            values[*value.estimate] += 1.0 / 729;
            const FractionalEfficiency after = curve(mean(data.discharged, b));
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

TEST_CASE("each standard takes its own states, and names those that are missing", "[own]") {
    const ReplicateCurves data = replicates();
    const SampledRatings some = bootstrap_ratings(data, 2000, 5);
    CHECK(some.upper_bound);
    REQUIRE(some.missing.size() == 1);
    CHECK(some.missing[0] == "curves at 25, 50, 75 and 100 % of the resistance's rise (0 given)");
    // The discharged state moves nothing of 52.2, the states of 52.2 nothing of ISO 16890: E1 of the loaded filter lies
    // at 10 % in one state, which allows 10 and no more.
    ReplicateCurves all = data;
    all.loaded.assign(4, all.untreated);
    for (TwelveEfficiencies& e : all.loaded[2]) std::fill(e.begin(), e.begin() + 4, 0.10);
    const SampledRatings complete = bootstrap_ratings(all, 2000, 5);
    CHECK(complete.missing.empty());
    CHECK_FALSE(complete.upper_bound);
    CHECK(probability(complete.minimum_efficiency, "10") == 1.0);
    for (const ClassProbability& c : some.particulate_matter) {
        CHECK(probability(complete.particulate_matter, c.name) == Approx(c.probability).margin(0.05));
    }
    ReplicateCurves discharged_to_nothing = data;
    for (TwelveEfficiencies& e : discharged_to_nothing.discharged) e.fill(0.0);
    for (const ClassProbability& c : bootstrap_ratings(discharged_to_nothing, 2000, 5).minimum_efficiency) {
        CHECK(probability(some.minimum_efficiency, c.name) == c.probability);
    }
    ReplicateCurves clean;
    clean.untreated = data.untreated;
    const SampledRatings alone = bootstrap_ratings(clean, 1000, 5);
    CHECK(alone.particulate_matter.empty());
    CHECK(sum(alone.minimum_efficiency) == Approx(1.0).epsilon(1e-12));
    CHECK(alone.upper_bound);
    REQUIRE(alone.missing.size() == 3);
    CHECK_THAT(alone.missing[0], Contains("conditioning step"));
    CHECK_THAT(alone.missing[2], Contains("discharged state"));
}

TEST_CASE("means of resamples have the mean and the variance of the bootstrap", "[own]") {
    // Of n values with mean m and variance s^2 (over n) a resample's mean has the mean m and the variance s^2/n.
    // Numbers of rows that make one block, blocks and a rest, and single rows.
    std::mt19937_64 random(43);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (const std::size_t n : {2u, 3u, 4u, 7u, 30u, 700u}) {
        std::vector<std::array<double, 2>> rows(n);
        double mean = 0.0, square = 0.0;
        for (auto& row : rows) {
            row = {unit(random), 1.0};
            mean += row[0] / static_cast<double>(n);
        }
        for (const auto& row : rows) square += (row[0] - mean) * (row[0] - mean) / static_cast<double>(n);
        const detail::Resampler<2> resampler(rows);
        detail::HalfWords bits(7);
        constexpr int draws = 20000;
        double of_means = 0.0, of_squares = 0.0;
        for (int k = 0; k < draws; ++k) {
            std::array<double, 2> drawn;
            resampler.draw(bits, drawn);
            CHECK(drawn[1] == Approx(1.0).epsilon(1e-12));   // as many rows as there are
            of_means += drawn[0] / draws;
            of_squares += (drawn[0] - mean) * (drawn[0] - mean) / draws;
        }
        const double variance = square / static_cast<double>(n);
        CHECK(of_means == Approx(mean).margin(5 * std::sqrt(variance / draws)));
        CHECK(of_squares == Approx(variance).epsilon(0.06));   // five of its standard deviations are 0.05
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
    one.discharged.resize(1);
    CHECK_THROWS_WITH(bootstrap_ratings(one, 10, 1),
                      Contains("number of replicates, discharged = 1") && Contains(">= 2"));
    one = replicates();
    one.untreated.clear();
    CHECK_THROWS_WITH(bootstrap_ratings(one, 10, 1), Contains("number of replicates, untreated = 0"));
    one = replicates();
    one.loaded.assign(5, one.untreated);
    CHECK_THROWS_WITH(bootstrap_ratings(one, 10, 1), Contains("number of loaded states = 5"));
    one.loaded.assign(1, one.untreated);
    one.loaded[0][1][3] = std::nan("");
    CHECK_THROWS_WITH(bootstrap_ratings(one, 10, 1), Contains("efficiency, loaded = nan"));
    CHECK_THROWS_WITH(bootstrap_ratings(replicates(), 0, 1), Contains("draws = 0"));
}
