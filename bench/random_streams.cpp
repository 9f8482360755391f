// SPDX-License-Identifier: BSL-1.0
// Random numbers: streams by counter against the C++ standard library's generator and its normal distribution, each
// filling an array of the same length.

#include <array>
#include <cstddef>
#include <cstdint>
#include <random>
#include <span>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/numeric/random_streams.hpp>

namespace {

using namespace filterflow;

constexpr std::size_t draws = 1024, inputs = 12;

/// Numbers of twelve inputs, input by input.
std::vector<double>& numbers() {
    static std::vector<double> all(draws * inputs);
    return all;
}

template <class Fill>
void run(benchmark::State& state, const Fill& fill) {
    std::uint64_t first = 0;
    for (auto _ : state) {
        fill(first);
        first += draws;
        benchmark::DoNotOptimize(numbers().data());
        benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(static_cast<std::int64_t>(state.iterations() * draws * inputs));
}

std::array<std::span<double>, 4> four(std::size_t input) {
    const auto row = [&](std::size_t k) { return std::span(numbers()).subspan((input + k) * draws, draws); };
    return {row(0), row(1), row(2), row(3)};
}

void words(benchmark::State& state) {
    detail::RandomLanes lanes;
    std::vector<std::uint64_t> all(draws * inputs);
    run(state, [&](std::uint64_t first) {
        std::size_t at = 0;
        for (std::size_t block = 0; block < inputs / 4; ++block) {
            for (std::size_t i = 0; i < draws; i += detail::random_lanes) {
                detail::fill_random_words(7, first + i, 0, block, 0, lanes);
                for (const auto& row : lanes.words) {
                    for (const std::uint64_t word : row) all[at++] = word;
                }
            }
        }
        benchmark::DoNotOptimize(all.data());
    });
}
void words_mt19937_64(benchmark::State& state) {
    std::mt19937_64 random(7);
    std::vector<std::uint64_t> all(draws * inputs);
    run(state, [&](std::uint64_t) {
        for (std::uint64_t& word : all) word = random();
        benchmark::DoNotOptimize(all.data());
    });
}
void uniforms(benchmark::State& state) {
    run(state, [](std::uint64_t first) {
        for (std::size_t k = 0; k < inputs; k += 4) fill_uniforms({.seed = 7, .input = k}, first, four(k));
    });
}
void uniforms_standard(benchmark::State& state) {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> uniform;
    run(state, [&](std::uint64_t) {
        for (double& u : numbers()) u = uniform(random);
    });
}
void normals(benchmark::State& state) {
    run(state, [](std::uint64_t first) {
        for (std::size_t k = 0; k < inputs; k += 4) fill_normals({.seed = 7, .input = k}, first, four(k));
    });
}
void normals_one_input(benchmark::State& state) {
    run(state, [](std::uint64_t first) {
        for (std::size_t k = 0; k < inputs; ++k) {
            fill_normals({.seed = 7, .input = k}, first, std::span(numbers()).subspan(k * draws, draws));
        }
    });
}
void normals_standard(benchmark::State& state) {
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    run(state, [&](std::uint64_t) {
        for (double& z : numbers()) z = normal(random);
    });
}

}   // namespace

BENCHMARK(words)->Name("random_streams/words");
BENCHMARK(words_mt19937_64)->Name("random_streams/words_mt19937_64");
BENCHMARK(uniforms)->Name("random_streams/uniforms");
BENCHMARK(uniforms_standard)->Name("random_streams/uniforms_standard");
BENCHMARK(normals)->Name("random_streams/normals");
BENCHMARK(normals_one_input)->Name("random_streams/normals_one_input");
BENCHMARK(normals_standard)->Name("random_streams/normals_standard");
BENCHMARK_MAIN();
