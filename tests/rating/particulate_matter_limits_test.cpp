// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <map>
#include <random>

#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

#include "rating/rating_curves.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace rating_curves;
using filterflow::test::ReferenceTable;

namespace {

constexpr ParticulateMatterRule cut{ChannelAtPm25::cut_at_2500_nm};

TwelveEfficiencies example(const std::string& column) {
    const ReferenceTable table("iso16890_example.csv");
    TwelveEfficiencies result;
    for (std::size_t i = 0; i < 12; ++i) {
        result[i] = table.row("item", "channel " + std::to_string(i + 1)).number(column) / 100;
    }
    return result;
}

}   // namespace

TEST_CASE("a channel cut at 2.5 um gives the efficiencies of that reading", "[own]") {
    // tests/reference/iso16890_example.csv: computed there for made-up channels, by either reading.
    const ReferenceTable table("iso16890_example.csv");
    const auto& row = table.row("item", "ePM2.5 (channel 8 cut at 2.5 um, alternative reading)");
    const auto result = particulate_matter_class(curve(example("untreated_pct")), curve(example("conditioned_pct")),
                                                 std::nullopt, cut);
    CHECK(100 * result.ePM25_untreated->value == Approx(row.number("untreated_pct")).margin(1e-5));
    CHECK(100 * result.ePM25_min->value == Approx(row.number("conditioned_pct")).margin(1e-5));
    CHECK(100 * result.ePM25->value == Approx(row.number("average_pct")).margin(1e-5));
    CHECK_THAT(particulate_matter_text(result, 2.5 * m_per_s),
               Contains("by ISO 16890-1:2016 with the channel from 2.2 to 3.0 um cut at 2.5 um at 2.50 m/s"));
    for (const auto matter : {ParticulateMatter::pm1, ParticulateMatter::pm10}) {
        CHECK(particulate_matter_weights(matter, cut) == particulate_matter_weights(matter));
    }
}

TEST_CASE("governing limit, margin, next value and finer group", "[own]") {
    const auto result = particulate_matter_class(curve(flat(0.68)), curve(flat(0.52)));
    CHECK(result.class_text == "ISO ePM1 60 %");
    CHECK(result.group == ParticulateMatterGroup::pm1);
    CHECK(result.governing_limit == "ePM1 = 60.0 %, ISO ePM1 60 % requires 60.0 %");
    CHECK(result.margin == Approx(0.0).margin(1e-9));
    CHECK(result.next_limit == "ePM1 = 60.0 %, ISO ePM1 65 % requires 65.0 %");
    CHECK(result.shortfall == Approx(5.0));
    CHECK(result.finer_group_limit.empty());

    const auto by_minimum = particulate_matter_class(curve(flat(0.77)), curve(flat(0.51)));   // average 64 %
    CHECK(by_minimum.governing_limit == "ePM1,min = 51.0 %, group ISO ePM1 requires 50.0 %");
    CHECK(by_minimum.margin == Approx(1.0));

    const auto coarser = particulate_matter_class(curve(groups(60, 70, 90)), curve(groups(30, 45, 80)));
    CHECK(coarser.group == ParticulateMatterGroup::pm10);
    CHECK_THAT(coarser.finer_group_limit, Contains("ePM2.5,min = ") && Contains("group ISO ePM2.5 requires 50.0 %"));
    CHECK(coarser.finer_group_shortfall == Approx(50 - 100 * coarser.ePM25_min->value));
    CHECK_THAT(coarser.finer_group_limit, Contains("ePM2.5 = 48.9 %") && Contains("; ePM2.5,min = "));   // both
    const auto by_one = particulate_matter_class(curve(groups(75, 85, 95)), curve(groups(30, 45, 80)));
    CHECK(by_one.ePM25->value > 0.5);
    CHECK(by_one.finer_group_limit == "ePM2.5,min = 34.7 %, group ISO ePM2.5 requires 50.0 %");

    const auto best = particulate_matter_class(curve(flat(0.99)), curve(flat(0.98)));
    CHECK(best.class_text == "ISO ePM1 > 95 %");
    CHECK(best.governing_limit == "ePM1 = 98.5 %, ISO ePM1 > 95 % requires above 95.0 %");
    CHECK(best.margin == Approx(3.5));
    CHECK(best.next_limit.empty());

    const auto coarse = particulate_matter_class(curve(flat(0.45)), curve(flat(0.35)), 0.87);
    CHECK(coarse.class_text == "ISO Coarse 85 %");
    CHECK(coarse.governing_limit == "initial arrestance = 87.0 %, ISO Coarse 85 % requires 85.0 %");
    CHECK(coarse.margin == Approx(2.0));
    CHECK(coarse.shortfall == Approx(3.0));
    CHECK(coarse.finer_group_limit == "ePM10 = 40.0 %, group ISO ePM10 requires 50.0 %");
    const auto unweighed = particulate_matter_class(curve(flat(0.45)), curve(flat(0.35)));
    CHECK(unweighed.governing_limit.empty());
    CHECK(unweighed.finer_group_shortfall == Approx(10.0));
    CHECK(particulate_matter_class(curve(flat(0.6))).governing_limit.empty());
}

TEST_CASE("an uncertain initial arrestance widens the coarse group", "[own]") {
    const auto result =
        particulate_matter_class(curve(flat(0.4)), curve(flat(0.3)), uncertain(0.84, 0.02, "weighing"));
    CHECK(result.class_text == "ISO Coarse 80 %");
    CHECK(result.lowest_class == "ISO Coarse 80 %");
    CHECK(result.highest_class == "ISO Coarse 85 %");
    CHECK(probability(result.probabilities, "ISO Coarse 85 %") ==
          Approx(detail::normal_share_below(3.0) - detail::normal_share_below(0.5)).epsilon(1e-9));
    CHECK(sum(result.probabilities) == Approx(1.0).epsilon(1e-12));
}

TEST_CASE("a constant efficiency is the efficiency for every fraction", "[own]") {
    std::mt19937_64 random(29);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t n = 0; n < test::sweep_length(200); ++n) {
        const double before = unit(random), after = unit(random) * before;
        const auto result = particulate_matter_class(curve(flat(before)), curve(flat(after)), std::nullopt,
                                                     n % 2 ? cut : ParticulateMatterRule{});
        for (const auto& e : {result.ePM1_untreated, result.ePM25_untreated, result.ePM10_untreated}) {
            CHECK(e->value == Approx(before).margin(1e-13));
        }
        for (const auto& e : {result.ePM1_min, result.ePM25_min}) CHECK(e->value == Approx(after).margin(1e-13));
        for (const auto& e : {result.ePM1, result.ePM25, result.ePM10}) {
            CHECK(e->value == Approx(0.5 * (before + after)).margin(1e-13));
        }
    }
}

TEST_CASE("efficiencies for a fraction are near the integral over its distribution", "[own]") {
    // Second method: Simpson's rule of the density over ln d with the efficiency interpolated on a smooth curve, where
    // the standard takes the middle of each channel. E = 1/(1 + (1 um/d)^1.5).
    const auto smooth = [](double d) { return 1.0 / (1.0 + std::pow(1e-6 / d, 1.5)); };
    TwelveEfficiencies e;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < 12; ++i) e[i] = smooth(geometric_mean(ranges[i]).value());
    const auto integral = [&](const SizeDistribution& distribution, double upper) {
        constexpr int n = 2000;
        const double step = std::log(upper / 0.3e-6) / n;
        double top = 0.0, bottom = 0.0;
        for (int i = 0; i <= n; ++i) {
            const double d = 0.3e-6 * std::exp(step * i), w = i == 0 || i == n ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
            const double q = volume_density(distribution, Length::from_value(d));
            top += w * q * smooth(d);
            bottom += w * q;
        }
        return top / bottom;
    };
    CHECK(particulate_matter_efficiency(e, ParticulateMatter::pm1) ==
          Approx(integral(urban_distribution(), 1e-6)).margin(0.004));
    CHECK(particulate_matter_efficiency(e, ParticulateMatter::pm25, cut) ==
          Approx(integral(urban_distribution(), 2.5e-6)).margin(0.006));
    CHECK(particulate_matter_efficiency(e, ParticulateMatter::pm25) ==
          Approx(integral(urban_distribution(), 3e-6)).margin(0.004));
    CHECK(particulate_matter_efficiency(e, ParticulateMatter::pm10) ==
          Approx(integral(rural_distribution(), 1e-5)).margin(0.004));
}

TEST_CASE("class probabilities agree with drawing the channels", "[own]") {
    // Every channel of both states has its own uncertainty, and both states share the counter's calibration; 200 000
    // draws, 0.005 is over four of their standard deviations.
    const auto shared = uncertain(0.0, 1.0, "calibration");
    const auto ranges = minimum_efficiency_size_ranges();
    const auto lift = [](TwelveEfficiencies e, double by) {
        for (double& x : e) x += by;
        return e;
    };
    const TwelveEfficiencies untreated = example("untreated_pct"), conditioned = example("conditioned_pct");
    // The last two have a conditioned curve above the untreated one, so that values may fall below their minimum.
    struct Case {
        double lift, own, tie;
        bool exchanged = false;
    };
    for (const Case c : {Case{0.06, 0.03, 0.02}, {0.185, 0.03, 0.02}, {0.185, 0.0, 0.05}, {-0.26, 0.03, 0.03},
                         {0.115, 0.03, 0.02, true}, {-0.02, 0.03, 0.05, true}}) {
        const auto build = [&](const TwelveEfficiencies& e) {
            FractionalEfficiency result;
            for (std::size_t i = 0; i < 12; ++i) {
                SizeEfficiency entry;
                entry.range = ranges[i];
                entry.penetration = uncertain(1.0 - std::min(1.0, e[i]), c.own, range_text(ranges[i])) +
                                    scaled(shared, c.tie);
                entry.penetration_interval = {0.0, 1.0};
                result.ranges.push_back(entry);
            }
            return result;
        };
        const TwelveEfficiencies before = lift(c.exchanged ? conditioned : untreated, c.lift);
        const TwelveEfficiencies after = lift(c.exchanged ? untreated : conditioned, c.lift);
        const auto result = particulate_matter_class(build(before), build(after), uncertain(0.78, 0.03, "weighing"));
        std::mt19937_64 random(3);
        std::normal_distribution<double> normal;
        std::map<std::string, double> drawn;
        constexpr int draws = 200000;
        for (int n = 0; n < draws; ++n) {
            const double z = normal(random);
            std::array<double, 5> five{};
            static const auto weights = std::array{particulate_matter_weights(ParticulateMatter::pm1),
                                                   particulate_matter_weights(ParticulateMatter::pm25),
                                                   particulate_matter_weights(ParticulateMatter::pm10)};
            std::array<double, 3> b{}, a{};
            for (std::size_t i = 0; i < 12; ++i) {
                const double e = std::min(1.0, before[i]) + c.own * normal(random) - c.tie * z;
                const double d = std::min(1.0, after[i]) + c.own * normal(random) - c.tie * z;
                for (std::size_t k = 0; k < 3; ++k) {
                    b[k] += weights[k][i] * e;
                    a[k] += weights[k][i] * d;
                }
            }
            five = {(b[0] + a[0]) / 2, a[0], (b[1] + a[1]) / 2, a[1], (b[2] + a[2]) / 2};
            const double arrestance = 0.78 + 0.03 * normal(random);
            const bool fine = five[0] >= 0.5 && five[1] >= 0.5, middle = five[2] >= 0.5 && five[3] >= 0.5;
            const auto [group, share] = fine             ? std::pair<std::string, double>{"ISO ePM1", five[0]}
                                        : middle         ? std::pair<std::string, double>{"ISO ePM2.5", five[2]}
                                        : five[4] >= 0.5 ? std::pair<std::string, double>{"ISO ePM10", five[4]}
                                                         : std::pair<std::string, double>{"ISO Coarse", arrestance};
            const double value = 100 * share;
            drawn[group + (value > 95 ? " > 95 %" : " " + std::to_string(5 * static_cast<int>(value / 5)) + " %")] +=
                1.0 / draws;
        }
        double most = 0.0;
        for (const auto& [name, share] : drawn) {
            INFO(name << " lift " << c.lift << " own " << c.own);
            CHECK(probability(result.probabilities, name) == Approx(share).margin(0.005));
            most = std::max(most, share);
        }
        CHECK(most < 0.95);   // several classes, or the check says little
        CHECK(sum(result.probabilities) == Approx(1.0).epsilon(1e-12));
    }
}

TEST_CASE("a class by particulate matter never rises when an efficiency falls", "[own]") {
    std::mt19937_64 random(31);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    std::uniform_int_distribution<std::size_t> range(0, 11);
    for (std::size_t n = 0; n < test::sweep_length(1000); ++n) {
        TwelveEfficiencies before = random_curve(random), after = before;
        const double keeps = 0.5 + 0.5 * unit(random);
        for (double& e : after) e *= keeps;
        const double arrestance = unit(random);
        const auto better = particulate_matter_class(curve(before), curve(after), arrestance);
        before[range(random)] *= unit(random);
        after[range(random)] *= unit(random);
        const auto worse = particulate_matter_class(curve(before, 0.02), curve(after, 0.02), 0.9 * arrestance);
        CHECK(static_cast<int>(*worse.group) <= static_cast<int>(*better.group));
        for (const auto& [low, high] : {std::pair{worse.ePM1, better.ePM1}, {worse.ePM25, better.ePM25},
                                        {worse.ePM10, better.ePM10}, {worse.ePM1_min, better.ePM1_min}}) {
            CHECK(low->value <= high->value + 1e-15);
        }
        if (*worse.group == *better.group) {
            const auto value = [](const ParticulateMatterClass& c) {
                return c.class_text.find('>') != std::string::npos
                           ? 100
                           : std::stoi(c.class_text.substr(c.class_text.rfind(' ', c.class_text.size() - 3)));
            };
            CHECK(value(worse) <= value(better));
        }
        CHECK(sum(worse.probabilities) == Approx(1.0).epsilon(1e-12));
        for (const ClassProbability& c : worse.probabilities) CHECK(c.probability > 0.0);
        CHECK(probability(better.probabilities, better.class_text) == Approx(1.0).epsilon(1e-12));
        for (const double x : {worse.margin, worse.shortfall, worse.finer_group_shortfall}) CHECK(x >= 0.0);
    }
}

TEST_CASE("probabilities need all channels and finite values", "[own]") {
    FractionalEfficiency partial = curve(flat(0.9));
    partial.ranges.pop_back();
    CHECK(particulate_matter_class(partial, partial).probabilities.empty());
    CHECK(particulate_matter_class(curve(flat(0.9))).probabilities.empty());
    ParticulateMatterEfficiencies five{0.6, 0.5, std::nan(""), 0.5, 0.7};
    CHECK_THROWS_WITH(particulate_matter_probabilities(five), Contains("ePM25 = nan"));
    five.ePM25 = 0.6;
    CHECK_THROWS_WITH(particulate_matter_probabilities(five, Uncertain<double>(std::nan(""))),
                      Contains("initial_arrestance = nan"));
    CHECK_THROWS_WITH(particulate_matter_class(curve(flat(0.4)), curve(flat(0.3)), 2.0),
                      Contains("initial_arrestance = 2"));
}
