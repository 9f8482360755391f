// SPDX-License-Identifier: BSL-1.0
// Colebrook's equation: many at once, one by one, and the plain way, which puts 1/sqrt f into the equation until it
// stays. All to full precision, Reynolds numbers from 4000 to 4e6, relative roughness from 1e-5 to 1e-2.

#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/airflow/friction.hpp>
#include <filterflow/airflow/friction_batch.hpp>

namespace {

using namespace filterflow;

constexpr std::size_t count = 1024;

struct Flows {
    std::vector<double> reynolds_number, relative_roughness;
};

const Flows& flows() {
    static const Flows all = [] {
        std::mt19937_64 random(20);
        std::uniform_real_distribution<double> unit(0.0, 1.0);
        Flows f;
        for (std::size_t i = 0; i < count; ++i) {
            f.reynolds_number.push_back(4000.0 * std::pow(10.0, 3.0 * unit(random)));
            f.relative_roughness.push_back(std::pow(10.0, -5.0 + 3.0 * unit(random)));
        }
        return f;
    }();
    return all;
}

double fixed_point(double reynolds_number, double relative_roughness) {
    double x = 8.0;
    for (int i = 0; i < 200; ++i) {
        const double next = -2.0 * std::log10(relative_roughness / 3.7 + 2.51 * x / reynolds_number);
        const bool stays = std::abs(next - x) <= 1e-15 * next;
        x = next;
        if (stays) break;
    }
    return 1.0 / (x * x);
}

void fixed_point_each(benchmark::State& state) {
    const Flows& f = flows();
    for (auto _ : state) {
        double sum = 0.0;
        for (std::size_t i = 0; i < count; ++i) sum += fixed_point(f.reynolds_number[i], f.relative_roughness[i]);
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(count));
}
BENCHMARK(fixed_point_each)->Name("friction/fixed_point");

void single(benchmark::State& state) {
    const Flows& f = flows();
    for (auto _ : state) {
        double sum = 0.0;
        for (std::size_t i = 0; i < count; ++i) {
            sum += colebrook_friction_factor(f.reynolds_number[i], f.relative_roughness[i]).value;
        }
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(count));
}
BENCHMARK(single)->Name("friction/colebrook");

void batch(benchmark::State& state) {
    const Flows& f = flows();
    std::vector<DarcyFactor> factors(count);
    std::vector<FrictionStatus> status(count);
    const FrictionBatch columns{f.reynolds_number, f.relative_roughness};
    if (darcy_friction_factors(columns, factors, status) != count) state.SkipWithError("out of range");
    for (std::size_t i = 0; i < count; ++i) {
        const double plain = fixed_point(f.reynolds_number[i], f.relative_roughness[i]);
        if (!(std::abs(factors[i].value - plain) <= 1e-13 * plain)) {
            state.SkipWithError("another factor than the plain one");
        }
    }
    for (auto _ : state) {
        darcy_friction_factors(columns, factors, status);
        benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(count));
}
BENCHMARK(batch)->Name("friction/colebrook_batch");

}   // namespace

BENCHMARK_MAIN();
