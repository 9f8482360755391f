// SPDX-License-Identifier: BSL-1.0
// Penetration of a layer of fibres at twelve sizes: the curve against its transcendental calls alone, on the same
// arguments, and many curves at once against one by one. One item is a curve of twelve sizes.

#include <benchmark/benchmark.h>

#include <array>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/capture.hpp>

namespace {

using namespace filterflow;
using namespace filterflow::units;

constexpr std::size_t count = 256;   // layers

struct Layers {
    std::vector<FibreLayer> layers;
    std::vector<Length> thickness, fibre;
    std::vector<double> solidity;
    std::vector<Velocity> velocity;
    std::vector<Length> sizes;

    Layers() {
        std::mt19937_64 random(7);
        std::uniform_real_distribution<double> unit(0.0, 1.0);
        for (const SizeRange& range : minimum_efficiency_size_ranges()) sizes.push_back(geometric_mean(range));
        for (std::size_t i = 0; i < count; ++i) {
            thickness.push_back((0.3 + unit(random)) * mm);
            fibre.push_back((2.0 + 18.0 * unit(random)) * um);
            solidity.push_back(0.02 + 0.1 * unit(random));
            velocity.push_back((0.05 + 0.2 * unit(random)) * m_per_s);
            layers.push_back(
                {{.thickness = thickness[i], .geometric_fibre_diameter = fibre[i], .solidity = solidity[i]},
                 velocity[i],
                 {}});
        }
    }
    FibreLayerBatch batch() const { return {thickness, fibre, solidity, velocity, {}}; }
};

void count_items(benchmark::State& state) {
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(count));
}

void curve(benchmark::State& state) {
    const Layers c;
    AirState air = duct_design_air();
    benchmark::DoNotOptimize(air);
    for (auto _ : state) {
        for (const FibreLayer& layer : c.layers) {
            std::vector<double> p = penetration_curve(layer, c.sizes, 1000 * kg_per_m3, air);
            benchmark::DoNotOptimize(p.data());
        }
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(curve)->Name("fibres/curve_12_sizes");

/// What the curve must call, its arguments stored: for each layer a logarithm, a power and a cube root,
/// for each size exp, cbrt, log1p, exp, and pow where R < 0.4.
struct Calls {
    std::vector<double> log, root;                               // a layer
    std::vector<double> slip, peclet, ratio, inertia, exponent;  // a size
    std::vector<std::size_t> inertia_begin;
};

void calls_alone(benchmark::State& state) {
    const Layers c;
    const AirState air = duct_design_air();
    Calls calls;
    for (const FibreLayer& layer : c.layers) {
        const auto constants = detail::layer_constants(layer, air, "bench");
        calls.log.push_back(layer.medium.solidity);
        calls.root.push_back(constants.flow.space);
        calls.inertia_begin.push_back(calls.inertia.size());
        for (const Length& size : c.sizes) {
            const auto e = single_fibre_efficiency(layer, Particle{size}, air);
            calls.slip.push_back(-0.997 * size.value() / (2.0 * constants.mean_free_path));
            calls.peclet.push_back(e.groups.peclet * e.groups.peclet);
            calls.ratio.push_back(e.groups.interception_parameter);
            if (e.groups.interception_parameter < 0.4) calls.inertia.push_back(e.groups.interception_parameter);
            calls.exponent.push_back(-constants.exponent * e.combined);
        }
    }
    calls.inertia_begin.push_back(calls.inertia.size());
    const std::size_t sizes = c.sizes.size();
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) {
            double sum = std::log(calls.log[i]) + std::pow(calls.log[i], 0.62) + std::cbrt(calls.root[i]);
            benchmark::DoNotOptimize(sum);
            for (std::size_t j = i * sizes; j < (i + 1) * sizes; ++j) {
                double a = std::exp(calls.slip[j]), b = std::cbrt(calls.peclet[j]);
                double d = std::log1p(calls.ratio[j]), e = std::exp(calls.exponent[j]);
                double all = a + b + d + e;
                benchmark::DoNotOptimize(all);
            }
            for (std::size_t j = calls.inertia_begin[i]; j < calls.inertia_begin[i + 1]; ++j) {
                double power = std::pow(calls.inertia[j], 2.8);
                benchmark::DoNotOptimize(power);
            }
        }
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(calls_alone)->Name("fibres/transcendental_calls_alone");

void batch(benchmark::State& state) {
    const Layers c;
    AirState air = duct_design_air();
    benchmark::DoNotOptimize(air);
    const std::vector<double> check = penetration_curves(c.batch(), c.sizes, 1000 * kg_per_m3, air);
    for (std::size_t i = 0; i < count; ++i) {
        const std::vector<double> one = penetration_curve(c.layers[i], c.sizes, 1000 * kg_per_m3, air);
        for (std::size_t j = 0; j < one.size(); ++j) {
            if (!(std::abs(one[j] - check[j * count + i]) < 1e-12)) state.SkipWithError("the two ways do not agree");
        }
    }
    for (auto _ : state) {
        std::vector<double> p = penetration_curves(c.batch(), c.sizes, 1000 * kg_per_m3, air);
        benchmark::DoNotOptimize(p.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(batch)->Name("fibres/curves_at_once");

}   // namespace

BENCHMARK_MAIN();
