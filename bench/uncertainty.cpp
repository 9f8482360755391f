// SPDX-License-Identifier: BSL-1.0
// Uncertainty of a corrected pressure drop with eight inputs: first order against one plain evaluation, and draws of all
// inputs with an evaluation each against the C++ standard library's generator and distributions. The inputs are invented.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <type_traits>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace {

using namespace filterflow;

/// Drop, nozzle's drop, nozzle's coefficient, exponent, scale, temperature, pressure, humidity to the corrected drop.
constexpr auto corrected = [](const auto& x) {
    using T = std::remove_cvref_t<decltype(x[0])>;
    using std::pow;
    using std::sqrt;
    const BasicAirState<T> air = moist_air<T>({.temperature = BasicTemperature<T>::from_value(x[5]),
                                               .pressure = BasicPressure<T>::from_value(x[6]),
                                               .relative_humidity = x[7]});
    const T density = air.density.value(), viscosity = air.viscosity.value(), n = x[3];
    const T flow = x[2] * T(0.0201) * sqrt(T(2) * x[1] / density);
    return std::array{x[0] * x[4] * pow(T(0.07) / flow, n) * pow(T(1.8134e-5) / viscosity, T(2) - n) *
                      pow(T(1.204) / density, n - T(1))};
};

std::array<Uncertain<double>, 8> inputs() {
    return {uncertain(55.0, 0.5, "drop", 4),       displayed(6.2, 0.1, "nozzle"),
            uncertain(0.975, 0.0075, "coefficient"), uncertain(1.4, 0.09, "exponent"),
            uncertain(1.0, 0.006, "scale"),        uncertain(297.15, 0.3, "thermometer"),
            uncertain(99200.0, 100.0, "barometer"), uncertain(0.4, 0.03, "humidity")};
}

void one_evaluation(benchmark::State& state) {
    const auto all = inputs();
    std::array<double, 8> x;
    for (std::size_t i = 0; i < 8; ++i) x[i] = all[i].value;
    for (auto _ : state) {
        benchmark::DoNotOptimize(x);
        benchmark::DoNotOptimize(corrected(x));
    }
    state.SetItemsProcessed(state.iterations());
}
void first_order(benchmark::State& state) {
    const auto all = inputs();
    for (auto _ : state) benchmark::DoNotOptimize(propagate<8>(corrected, all));
    state.SetItemsProcessed(state.iterations());
}

constexpr std::size_t draws = 1024;

template <class Fill>
void evaluate_draws(benchmark::State& state, const Fill& fill) {
    std::vector<double> values(8 * draws);
    for (auto _ : state) {
        fill(values);
        double sum = 0.0;
        for (std::size_t i = 0; i < draws; ++i) {
            std::array<double, 8> x;
            for (std::size_t k = 0; k < 8; ++k) x[k] = values[k * draws + i];
            sum += corrected(x)[0];
        }
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(draws));
}
void joint_draws(benchmark::State& state) {
    const auto all = inputs();
    const InputDraws source(all, 5);
    std::uint64_t first = 0;
    evaluate_draws(state, [&](std::vector<double>& values) {
        source.fill(first, values);
        first += draws;
    });
}
void standard_draws(benchmark::State& state) {
    const auto all = inputs();
    std::mt19937_64 random(5);
    std::normal_distribution<double> normal;
    std::student_t_distribution<double> student(4.0);
    std::uniform_real_distribution<double> uniform(-0.05, 0.05);
    evaluate_draws(state, [&](std::vector<double>& values) {
        for (std::size_t k = 0; k < 8; ++k) {
            const double u = all[k].standard_uncertainty();
            for (std::size_t i = 0; i < draws; ++i) {
                const double error = k == 0 ? u * student(random) : k == 1 ? uniform(random) : u * normal(random);
                values[k * draws + i] = all[k].value + error;
            }
        }
    });
}

}   // namespace

BENCHMARK(one_evaluation)->Name("uncertainty/one_evaluation");
BENCHMARK(first_order)->Name("uncertainty/first_order");
BENCHMARK(joint_draws)->Name("uncertainty/joint_draws");
BENCHMARK(standard_draws)->Name("uncertainty/standard_draws");
BENCHMARK_MAIN();
