// SPDX-License-Identifier: BSL-1.0
// Uncertainty of a corrected pressure drop with eight inputs: first order against one plain evaluation, and draws of
// all inputs with an evaluation each against the C++ standard library's generator and distributions. Then of a filter's
// yearly cost with eight inputs: its curve, fan, ducts, dust and price through four operating points from clean to
// loaded, change interval and cost at equal service; first order against one plain evaluation. The inputs are invented.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <type_traits>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/loading_law.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

#include "ten_point_fan.hpp"

namespace {

using namespace filterflow;
using namespace filterflow::units;

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
    return {uncertain(55.0, 0.5, "drop", 4),         displayed(6.2, 0.1, "nozzle"),
            uncertain(0.975, 0.0075, "coefficient"), uncertain(1.4, 0.09, "exponent"),
            uncertain(1.0, 0.006, "scale"),          uncertain(297.15, 0.3, "thermometer"),
            uncertain(99200.0, 100.0, "barometer"),  uncertain(0.4, 0.03, "humidity")};
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

/// A filter's year: linear and quadratic resistance, fan's pressure and power, ducts, dust, its effect, price to the
/// yearly cost and the change interval.
class FilterYear {
public:
    FilterYear() {
        law_.growth_scale = 60.0 * g_per_m2;
        law_.transition = 45.0 * g_per_m2;
    }
    template <class T, std::size_t N>
    auto operator()(const std::array<T, N>& x) const {
        const BasicElementCurve<T> clean{BasicLinearResistance<T>::from_value(x[0]),
                                         BasicQuadraticResistance<T>::from_value(x[1]), air_};
        BasicLoadingLaw<T> law;
        law.growth_scale = BasicMassPerArea<T>::from_value(T(law_.growth_scale.value()));
        law.transition = BasicMassPerArea<T>::from_value(T(law_.transition.value()));
        const BasicAirState<T> air = air_as<T>(air_);
        BasicSystemCurve<T> system;
        system.elements.push_back({BasicLinearResistance<T>::from_value(T(0.0)),
                                   BasicQuadraticResistance<T>::from_value(x[4] * T(320.0)), air_});
        system.elements.push_back(clean);
        T time(0.0), volume(0.0), energy(0.0);
        for (std::size_t load = 0; load < 4; ++load) {
            system.elements.back() =
                loaded_curve(clean, law, BasicMassPerArea<T>::from_value(x[6] * T(0.07 * places[load])));
            const auto state = operating_state(fan_, system, air, BasicFanScale<T>{x[2], x[3]});
            const T share = T(0.75 * weights[load]) / (x[5] * state.flow.value());
            time += share;
            volume += share * state.flow.value();
            energy += share * state.power->value();
        }
        BasicServicePrices<T> prices;
        prices.change.filters = BasicMoney<T>::from_value(T(60.0));
        prices.electricity = BasicEnergyPrice<T>::from_value(x[7]);
        prices.annual_volume = BasicVolume<T>::from_value(T(1.2e7));
        const BasicServiceCost<T> cost = service_cost<T>(BasicCycle<T>{BasicTime<T>::from_value(time),
                                                                       BasicVolume<T>::from_value(volume),
                                                                       BasicEnergy<T>::from_value(energy),
                                                                       {}},
                                                         prices);
        return std::array<T, 2>{cost.annual_cost.value(), time};
    }

private:
    static constexpr std::array<double, 4> places{0.0, 0.276393, 0.723607, 1.0};
    static constexpr std::array<double, 4> weights{1.0 / 12.0, 5.0 / 12.0, 5.0 / 12.0, 1.0 / 12.0};
    AirState air_ = fan_table_air();
    FanCurve fan_ = ten_point_fan();
    LoadingLaw law_;
};

std::array<Uncertain<double>, 8> year_inputs() {
    return {uncertain(70.0, 1.5, "r"),
            uncertain(18.0, 2.0, "s"),
            uncertain(1.0, 0.03, "fan pressure"),
            uncertain(1.0, 0.04, "fan power"),
            uncertain(1.0, 0.06, "ducts"),
            uncertain(50e-9, 10e-9, "dust"),
            uncertain(0.8, 0.1, "equivalence"),
            uncertain(0.25 / 3.6e6, 0.02 / 3.6e6, "price")};
}
void year_evaluation(benchmark::State& state) {
    const FilterYear year;
    const auto all = year_inputs();
    std::array<double, 8> x;
    for (std::size_t i = 0; i < 8; ++i) x[i] = all[i].value;
    for (auto _ : state) {
        benchmark::DoNotOptimize(x);
        benchmark::DoNotOptimize(year(x));
    }
    state.SetItemsProcessed(state.iterations());
}
void year_first_order(benchmark::State& state) {
    const FilterYear year;
    const auto all = year_inputs();
    for (auto _ : state) benchmark::DoNotOptimize(propagate<8>(year, all));
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
BENCHMARK(year_evaluation)->Name("uncertainty/year_evaluation");
BENCHMARK(year_first_order)->Name("uncertainty/year_first_order");
BENCHMARK(joint_draws)->Name("uncertainty/joint_draws");
BENCHMARK(standard_draws)->Name("uncertainty/standard_draws");
BENCHMARK_MAIN();
