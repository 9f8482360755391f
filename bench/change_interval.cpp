// SPDX-License-Identifier: BSL-1.0
// The best change interval against one life of the same installation: a fan at fixed speed, one stage with a smooth
// loading law, 64 random installations. Before measuring, each interval is checked to be a least cost.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/cost/change_interval.hpp>
#include <filterflow/loading/filter_life.hpp>

namespace {

using namespace filterflow;
using namespace filterflow::units;

struct Problem {
    FilterLifeInput input;
    ServicePrices prices;
};

std::vector<Problem> problems() {   // invented
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = duct_design_air();
    std::mt19937_64 random(6);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    std::vector<Problem> list;
    for (int i = 0; i < 64; ++i) {
        Problem problem{FilterLifeInput{.fan = fan_curve(table)}, {}};
        FilterLifeInput& input = problem.input;
        input.ducts = system_from_design_point(
            {.flow = 1.0 * m3_per_s, .pressure = (100.0 + 80.0 * share(random)) * Pa, .air = duct_design_air()});
        input.stages.resize(1);
        input.stages[0].clean = {(40.0 + 60.0 * share(random)) * Pa_s_per_m3, 15.0 * share(random) * Pa_s2_per_m6,
                                 duct_design_air()};
        input.stages[0].law = {
            LoadingForm::smooth, ReferenceArea::media, (50.0 + 60.0 * share(random)) * g_per_m2, 60.0 * g_per_m2, {}};
        input.stages[0].area = 2.5 * m2;
        input.stages[0].efficiency.clean = 0.5 + 0.4 * share(random);
        input.dust = {.concentration = 60 * ug_per_m3, .equivalence = 0.8};
        input.running_fraction = 0.5;
        input.air = duct_design_air();
        input.horizon = 3 * 8760 * h;
        problem.prices = {.change = {.filters = (20.0 + 40.0 * share(random)) * money, .labour = 10 * money},
                          .electricity = 0.2 * money_per_kWh,
                          .annual_volume = 4380.0 * 3600.0 * m3};
        list.push_back(problem);
    }
    return list;
}

bool optimal(const Problem& p) {
    const ChangeInterval found = find_change_interval(p.input, p.prices);
    if (found.reason != ChangeIntervalReason::cost_optimum) return false;
    for (const double factor : {0.98, 1.02}) {
        FilterLifeInput part = p.input;
        part.horizon = factor * *found.interval;
        const ServiceCost other = service_cost(cycle_until(filter_life(part).moments.back()), p.prices);
        if (!(other.per_volume > found.cost->per_volume)) return false;
    }
    return true;
}

void optimum_interval(benchmark::State& state) {
    const auto list = problems();
    for (const Problem& p : list) {
        if (!optimal(p)) {
            state.SkipWithError("not a least cost");
            return;
        }
    }
    for (auto _ : state) {
        double sum = 0.0;
        for (const Problem& p : list) sum += find_change_interval(p.input, p.prices).interval->value();
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(list.size()));
}
BENCHMARK(optimum_interval)->Name("change_interval/optimum");

void one_life(benchmark::State& state) {
    const auto list = problems();
    for (auto _ : state) {
        double sum = 0.0;
        for (const Problem& p : list) sum += filter_life(p.input).time.value();
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(list.size()));
}
BENCHMARK(one_life)->Name("change_interval/one_life");

}   // namespace

BENCHMARK_MAIN();
