// SPDX-License-Identifier: BSL-1.0
// Ratings of resampled curves: ten thousand bootstrap resamples of five replicate curves in each of seven states (as
// delivered, discharged, conditioned by dust, loaded in four steps), each rated by ANSI/ASHRAE 52.2-2017 (lowest of its
// six states) and by ISO 16890-1 (its two). All ways draw the same resamples and must count the same classes, or their
// times say nothing.
//
// - resampled: bootstrap_ratings of the library. Arrays of fixed size, weights computed once, blocks of replicates
//   summed beforehand, no text before the end.
// - plain_scalar: what one writes without thinking of speed, nothing of the library in it but the random numbers. For
//   each resample a vector of sizes with efficiencies; generic functions, called one after the other, that know
//   neither the channels nor the weights beforehand: the mean efficiency between two sizes, the efficiency for a
//   mixture of lognormal modes between two sizes, the row of a table. No uncertainty, no text.
// - plain_scalar_weights_kept: the same, but the weights of the distributions are computed once and kept.
// - full_results: the library's full results of each resample, with their intervals, words and probabilities.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
#include <numbers>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/rating/minimum_efficiency.hpp>
#include <filterflow/rating/particulate_matter.hpp>
#include <filterflow/rating/sampled_ratings.hpp>

namespace {

using namespace filterflow;

constexpr std::size_t draw_count = 10000;
constexpr std::uint64_t seed = 20;
constexpr std::array<double, 13> edges{0.3, 0.4, 0.55, 0.7, 1.0, 1.3, 1.6, 2.2, 3.0, 4.0, 5.5, 7.0, 10.0};

// Invented: five sets of counts of a charged medium as delivered, and five in each other state.
ReplicateCurves replicates() {
    std::mt19937_64 random(4);
    std::normal_distribution<double> normal;
    const auto state = [&](double least, double rise) {
        std::vector<TwelveEfficiencies> curves(5);
        for (TwelveEfficiencies& curve : curves) {
            const double shift = 0.03 * normal(random);
            for (std::size_t i = 0; i < 12; ++i) {
                const double x = static_cast<double>(i) / 11.0;
                curve[i] = std::min(1.0, least + rise * x + shift * (1.0 - x) + 0.01 * normal(random));
            }
        }
        return curves;
    };
    ReplicateCurves result;
    result.untreated = state(0.50, 0.47);
    result.discharged = state(0.34, 0.62);
    result.dust_conditioned = state(0.384, 0.54);
    for (const double least : {0.44, 0.50, 0.58, 0.66}) result.loaded.push_back(state(least, 0.97 - least));
    return result;
}

using Counts = std::pair<std::map<std::string, double>, std::map<std::string, double>>;

Counts counted(const SampledRatings& ratings) {
    Counts counts;
    for (const auto& c : ratings.minimum_efficiency) counts.first[c.name] += c.probability;
    for (const auto& c : ratings.particulate_matter) counts.second[c.name] += c.probability;
    return counts;
}

bool agree(const Counts& a, const Counts& b) {
    const auto same = [](const std::map<std::string, double>& x, const std::map<std::string, double>& y) {
        if (x.size() != y.size()) return false;
        for (const auto& [name, share] : x) {
            const auto at = y.find(name);
            if (at == y.end() || !(std::abs(at->second - share) < 1e-9)) return false;
        }
        return true;
    };
    return a.first.size() > 1 && a.second.size() > 1 && same(a.first, b.first) && same(a.second, b.second);
}

// ---- The plain way ------------------------------------------------------------------------------------------------

struct SizeAndEfficiency {
    double lower, upper, efficiency;   // um, um, -
};
using Curve = std::vector<SizeAndEfficiency>;

struct Mode {
    double weight, median, deviation;   // -, um, -
};
const std::vector<Mode> urban{{0.45, 0.3, 2.2}, {0.55, 10.0, 3.1}}, rural{{0.18, 0.25, 2.2}, {0.82, 11.0, 4.0}};

/// The library's random numbers, so that all ways see the same resamples of five: 32 bits make three indices, the next
/// 32 two.
std::vector<std::size_t> drawn_indices(detail::HalfWords& bits) {
    std::vector<std::size_t> indices;
    for (const std::size_t block : {3, 2}) {
        std::size_t place = (bits() * (block == 3 ? 125 : 25)) >> 32;
        for (std::size_t k = 0; k < block; ++k) {
            indices.push_back(place % 5);
            place /= 5;
        }
    }
    return indices;
}

Curve resample(const std::vector<TwelveEfficiencies>& curves, detail::HalfWords& bits) {
    const std::vector<std::size_t> indices = drawn_indices(bits);
    Curve mean;
    for (std::size_t i = 0; i < 12; ++i) {
        double sum = 0.0;
        for (const std::size_t k : indices) sum += curves[k][i];
        mean.push_back({edges[i], edges[i + 1], sum * (1.0 / static_cast<double>(curves.size()))});
    }
    return mean;
}

/// The states of one draw, in the library's order.
struct Drawn {
    std::vector<Curve> of_52_2;   // as delivered first
    Curve discharged;
};
Drawn drawn_states(const ReplicateCurves& data, detail::HalfWords& bits) {
    Drawn drawn;
    drawn.of_52_2.push_back(resample(data.untreated, bits));
    drawn.of_52_2.push_back(resample(data.dust_conditioned, bits));
    for (const auto& state : data.loaded) drawn.of_52_2.push_back(resample(state, bits));
    drawn.discharged = resample(data.discharged, bits);
    return drawn;
}

Curve lowest_of(const std::vector<Curve>& curves) {
    Curve result = curves[0];
    for (const Curve& curve : curves) {
        for (std::size_t i = 0; i < result.size(); ++i) {
            result[i].efficiency = std::min(result[i].efficiency, curve[i].efficiency);
        }
    }
    return result;
}

double mean_between(const Curve& curve, double lower, double upper) {
    double sum = 0.0;
    int n = 0;
    for (const SizeAndEfficiency& e : curve) {
        if (e.lower < lower || e.upper > upper) continue;
        sum += e.efficiency;
        ++n;
    }
    return sum / n;
}

double density(const std::vector<Mode>& modes, double size) {
    double sum = 0.0;
    for (const Mode& m : modes) {
        const double width = std::log(m.deviation), x = std::log(size / m.median) / width;
        sum += m.weight * std::exp(-0.5 * x * x) / (std::sqrt(2.0 * std::numbers::pi) * width);
    }
    return sum;
}

double mass_efficiency_between(const Curve& curve, const std::vector<Mode>& modes, double upper) {
    double top = 0.0, bottom = 0.0;
    for (const SizeAndEfficiency& e : curve) {
        if (e.upper > upper) continue;
        const double weight = density(modes, std::sqrt(e.lower * e.upper)) * std::log(e.upper / e.lower);
        top += weight * e.efficiency;
        bottom += weight;
    }
    return top / bottom;
}

double mass_efficiency_kept(const Curve& curve, const std::vector<double>& weights) {
    double sum = 0.0;
    for (std::size_t i = 0; i < weights.size(); ++i) sum += weights[i] * curve[i].efficiency;
    return sum;
}

int value_of(const std::vector<double>& percent) {
    static const std::vector<std::vector<double>> rows{
        {5, 0, 0, 20},    {6, 0, 0, 35},    {7, 0, 0, 50},    {8, 0, 20, 70},   {9, 0, 35, 75},   {10, 0, 50, 80},
        {11, 20, 65, 85}, {12, 35, 80, 90}, {13, 50, 85, 90}, {14, 75, 90, 95}, {15, 85, 90, 95}, {16, 95, 95, 95}};
    int value = 0;
    for (const auto& row : rows) {
        if (percent[0] >= row[1] && percent[1] >= row[2] && percent[2] >= row[3]) value = static_cast<int>(row[0]);
    }
    return value;
}

std::pair<int, int> class_of(const std::array<double, 3>& before, const std::array<double, 3>& after) {
    const auto step = [](double share) {
        return share > 0.95 ? 100 : 5 * static_cast<int>(std::floor(20.0 * share));
    };
    const double pm1 = 0.5 * (before[0] + after[0]), pm25 = 0.5 * (before[1] + after[1]);
    const double pm10 = 0.5 * (before[2] + after[2]);
    if (after[0] >= 0.5 && pm1 >= 0.5) return {3, step(pm1)};
    if (after[1] >= 0.5 && pm25 >= 0.5) return {2, step(pm25)};
    return {pm10 >= 0.5 ? 1 : 0, pm10 >= 0.5 ? step(pm10) : 0};
}

template <class MassEfficiencies>
Counts plain_ratings(const ReplicateCurves& data, const MassEfficiencies& mass_efficiencies) {
    detail::HalfWords bits(seed);
    std::map<int, int> values;
    std::map<std::pair<int, int>, int> classes;
    for (std::size_t n = 0; n < draw_count; ++n) {
        const Drawn drawn = drawn_states(data, bits);
        const Curve lowest = lowest_of(drawn.of_52_2);
        const std::vector<double> percent{100 * mean_between(lowest, 0.3, 1.0), 100 * mean_between(lowest, 1.0, 3.0),
                                          100 * mean_between(lowest, 3.0, 10.0)};
        ++values[value_of(percent)];
        ++classes[class_of(mass_efficiencies(drawn.of_52_2[0]), mass_efficiencies(drawn.discharged))];
    }
    Counts counts;
    const double draws = static_cast<double>(draw_count);
    for (const auto& [value, n] : values) counts.first[value == 0 ? "1 to 4" : std::to_string(value)] = n / draws;
    for (const auto& [c, n] : classes) {
        const auto group = static_cast<ParticulateMatterGroup>(c.first);
        counts.second[c.first == 0 ? detail::coarse_without_arrestance() : detail::class_name(group, c.second)] =
            n / draws;
    }
    return counts;
}

Counts plain_scalar_ratings(const ReplicateCurves& data) {
    return plain_ratings(data, [](const Curve& curve) {
        return std::array{mass_efficiency_between(curve, urban, 1.0), mass_efficiency_between(curve, urban, 3.0),
                          mass_efficiency_between(curve, rural, 10.0)};
    });
}

Counts plain_ratings_weights_kept(const ReplicateCurves& data) {
    const auto weights = [](const std::vector<Mode>& modes, std::size_t channels) {
        std::vector<double> result;
        double sum = 0.0;
        for (std::size_t i = 0; i < channels; ++i) {
            result.push_back(density(modes, std::sqrt(edges[i] * edges[i + 1])) * std::log(edges[i + 1] / edges[i]));
            sum += result.back();
        }
        for (double& w : result) w /= sum;
        return result;
    };
    const std::vector<double> pm1 = weights(urban, 4), pm25 = weights(urban, 8), pm10 = weights(rural, 12);
    return plain_ratings(data, [&](const Curve& curve) {
        return std::array{mass_efficiency_kept(curve, pm1), mass_efficiency_kept(curve, pm25),
                          mass_efficiency_kept(curve, pm10)};
    });
}

Counts full_result_ratings(const ReplicateCurves& data, std::size_t draws) {
    detail::HalfWords bits(seed);
    const auto ranges = minimum_efficiency_size_ranges();
    const auto full = [&](const Curve& curve) {
        FractionalEfficiency result;
        for (std::size_t i = 0; i < curve.size(); ++i) {
            result.ranges.push_back(stated_efficiency(ranges[i], std::min(1.0, curve[i].efficiency)));
        }
        return result;
    };
    Counts counts;
    for (std::size_t n = 0; n < draws; ++n) {
        const Drawn drawn = drawn_states(data, bits);
        const FractionalEfficiency before = full(drawn.of_52_2[0]), after = full(drawn.discharged);
        MinimumEfficiencyCurves curves{before, full(drawn.of_52_2[1]), {}};
        for (std::size_t k = 2; k < 6; ++k) curves.loaded.push_back(full(drawn.of_52_2[k]));
        const auto value = minimum_efficiency_rating(curves);
        counts.first[std::to_string(*value.estimate)] += 1.0 / static_cast<double>(draws);
        counts.second[particulate_matter_class(before, after).class_text] += 1.0 / static_cast<double>(draws);
    }
    return counts;
}

void count_items(benchmark::State& state, std::size_t items = draw_count) {
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(items));
}

template <class Ratings>
void against_resampled(benchmark::State& state, const Ratings& ratings) {
    const ReplicateCurves data = replicates();
    if (!agree(counted(bootstrap_ratings(data, draw_count, seed)), ratings(data))) {
        state.SkipWithError("the ways do not count the same classes");
    }
    for (auto _ : state) {
        const Counts counts = ratings(data);
        benchmark::DoNotOptimize(counts.first.size());
    }
    count_items(state);
}

// ---- Benchmarks ---------------------------------------------------------------------------------------------------

void resampled(benchmark::State& state) {
    const ReplicateCurves data = replicates();
    for (auto _ : state) {
        const SampledRatings ratings = bootstrap_ratings(data, draw_count, seed);
        benchmark::DoNotOptimize(ratings.minimum_efficiency.data());
    }
    count_items(state);
}
BENCHMARK(resampled)->Name("ratings/resampled");

void plain_scalar(benchmark::State& state) { against_resampled(state, plain_scalar_ratings); }
BENCHMARK(plain_scalar)->Name("ratings/plain_scalar");

void plain_weights_kept(benchmark::State& state) { against_resampled(state, plain_ratings_weights_kept); }
BENCHMARK(plain_weights_kept)->Name("ratings/plain_scalar_weights_kept");

void full_results(benchmark::State& state) {
    const ReplicateCurves data = replicates();
    constexpr std::size_t few = 200;
    if (!agree(counted(bootstrap_ratings(data, few, seed)), full_result_ratings(data, few))) {
        state.SkipWithError("the ways do not count the same classes");
    }
    for (auto _ : state) {
        const Counts counts = full_result_ratings(data, few);
        benchmark::DoNotOptimize(counts.first.size());
    }
    count_items(state, few);
}
BENCHMARK(full_results)->Name("ratings/full_results");

/// One curve of twelve sizes to both ratings, checks included.
void one_curve(benchmark::State& state) {
    const ReplicateCurves data = replicates();
    TwelveSizeCurves curves;
    curves.untreated = data.untreated[0];
    curves.conditioned = data.discharged[0];
    for (auto _ : state) {
        benchmark::DoNotOptimize(curves);
        curves.composite = composite_minimum(curves.untreated, data.dust_conditioned[0]);
        TwelveSizeRatings ratings = twelve_size_ratings(curves);
        benchmark::DoNotOptimize(ratings);
    }
    count_items(state, 1);
}
BENCHMARK(one_curve)->Name("ratings/one_curve");

}   // namespace

BENCHMARK_MAIN();
