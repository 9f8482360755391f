// SPDX-License-Identifier: BSL-1.0
// One operating point, a single crossing, against the plain way: Boost's TOMS 748 over the full range of the fan
// table. Both meet the same ten-point table with 1024 random systems of a constant, a linear and a quadratic part.
// The plain way works on raw numbers and checks nothing; ours takes and returns quantities and checks everything.
// Then the same systems as a batch, the flow with its three sensitivities beside the flow alone, and what has no goal.

#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <variant>
#include <vector>

#include <benchmark/benchmark.h>
#include <boost/math/tools/toms748_solve.hpp>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_batch.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/operating_sensitivity.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/numeric/dual.hpp>

#include "ten_point_fan.hpp"

namespace {

using namespace filterflow;
using namespace filterflow::units;

constexpr std::size_t problem_count = 1024;

struct Problem {
    double constant, linear, quadratic;
};

std::vector<Problem> problems() {
    std::mt19937_64 random(20);
    std::uniform_real_distribution<double> share(0.0, 1.0), log_scale(std::log(60.0), std::log(6000.0));
    std::vector<Problem> list;
    for (std::size_t i = 0; i < problem_count; ++i) {
        const double scale = std::exp(log_scale(random));   // crosses from the first to the last segment
        const double viscous = share(random);
        list.push_back({20.0 * share(random), scale * viscous * 0.5, scale * (1.0 - 0.5 * viscous)});
    }
    return list;
}

std::vector<SystemCurve> systems() {
    std::vector<SystemCurve> list;
    for (const Problem& p : problems()) {
        SystemCurve system{.constant_pressure = p.constant * Pa};
        system.elements.push_back({p.linear * Pa_s_per_m3, p.quadratic * Pa_s2_per_m6, fan_table_air()});
        list.push_back(system);
    }
    return list;
}

void scalar(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = systems();
    const AirState air = fan_table_air();
    std::size_t missing = 0;   // told after the loop: a call in it would make it keep its numbers in memory
    for (auto _ : state) {
        double sum = 0.0;
        for (const SystemCurve& system : list) {
            const OperatingFlow point = operating_flow(fan, system, air);
            if (!point.flow) {
                ++missing;
                continue;
            }
            sum += point.flow->value();
        }
        benchmark::DoNotOptimize(sum);
    }
    if (missing > 0) state.SkipWithError("no crossing");
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(scalar)->Name("operating_point/scalar");

void toms748_full_range(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = problems();
    const std::vector<double> knots(fan.pressure_curve().knots().begin(), fan.pressure_curve().knots().end());
    const std::vector<CubicSegment> segments(fan.pressure_curve().segments().begin(),
                                             fan.pressure_curve().segments().end());
    for (auto _ : state) {
        double sum = 0.0;
        for (const Problem& p : list) {
            const auto difference = [&](double q) {
                std::size_t i = 0;
                while (i + 2 < knots.size() && q >= knots[i + 1]) ++i;
                const double t = q - knots[i];
                const CubicSegment& c = segments[i];
                return c.c0 + t * (c.c1 + t * (c.c2 + t * c.c3)) - (p.constant + q * (p.linear + q * p.quadratic));
            };
            std::uintmax_t limit = 100;
            const auto bracket = boost::math::tools::toms748_solve(
                difference, knots.front(), knots.back(), boost::math::tools::eps_tolerance<double>(52), limit);
            sum += 0.5 * (bracket.first + bracket.second);
        }
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(toms748_full_range)->Name("operating_point/toms748_full_range");

void batch(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = systems();
    const AirState air = fan_table_air();
    std::vector<Pressure> constant;
    std::vector<LinearResistance> linear;
    std::vector<QuadraticResistance> quadratic;
    for (const Problem& p : problems()) {
        constant.push_back(p.constant * Pa);
        linear.push_back(p.linear * Pa_s_per_m3);
        quadratic.push_back(p.quadratic * Pa_s2_per_m6);
    }
    std::vector<VolumeFlow> flow(problem_count);
    std::vector<OperatingStatus> status(problem_count);
    const SystemBatch columns{constant, linear, quadratic};
    if (operating_flows(fan, columns, air, {flow, status}) != problem_count) state.SkipWithError("no crossing");
    for (std::size_t i = 0; i < problem_count; ++i) {
        const double single = operating_flow(fan, list[i], air).flow->value();
        if (!(std::abs(flow[i].value() - single) <= 1e-12 * single)) {
            state.SkipWithError("another flow than the single one");
        }
    }
    for (auto _ : state) {
        operating_flows(fan, columns, air, {flow, status});
        benchmark::ClobberMemory();
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(batch)->Name("operating_point/batch");

void three_sensitivities(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = systems();
    const AirState air = fan_table_air();
    std::size_t missing = 0;   // told after the loop: a call in it would make it keep its numbers in memory
    for (auto _ : state) {
        double sum = 0.0;
        for (const SystemCurve& system : list) {
            const OperatingFlowChanges changes = operating_flow_changes(fan, system, air);
            if (!changes.flow) {
                ++missing;
                continue;
            }
            sum += changes.flow->value() + changes.for_constant.value() + changes.for_linear.value() +
                   changes.for_quadratic.value();
        }
        benchmark::DoNotOptimize(sum);
    }
    if (missing > 0) state.SkipWithError("no crossing");
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(three_sensitivities)->Name("operating_point/three_sensitivities");

void all_sensitivities(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = systems();
    const AirState air = fan_table_air();
    for (auto _ : state) {
        double sum = 0.0;
        for (const SystemCurve& system : list) {
            const OperatingSensitivities s = operating_sensitivities(fan, system, air);
            const OperatingChange change = change_for(s, s.drops.linear);
            sum += change.flow.value() + change.pressure.value() + change.power.value();
        }
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(all_sensitivities)->Name("operating_point/all_sensitivities");

void every_crossing(benchmark::State& state) {
    const FanCurve fan = ten_point_fan();
    const auto list = systems();
    const AirState air = fan_table_air();
    for (auto _ : state) {
        double sum = 0.0;
        for (const SystemCurve& system : list) sum += operating_point(fan, system, air).flow().value();
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(every_crossing)->Name("operating_point/every_crossing");

void three_derivatives(benchmark::State& state) {
    using D = Dual<3>;
    const FanCurve fan = ten_point_fan();
    const auto air = air_as<D>(fan_table_air());
    std::vector<BasicSystemCurve<D>> list;
    for (const Problem& p : problems()) {
        BasicSystemCurve<D> system{.constant_pressure = BasicPressure<D>::from_value(D::input(p.constant, 0))};
        system.elements.push_back({BasicLinearResistance<D>::from_value(D::input(p.linear, 1)),
                                   BasicQuadraticResistance<D>::from_value(D::input(p.quadratic, 2)), fan_table_air()});
        list.push_back(system);
    }
    for (auto _ : state) {
        double sum = 0.0;
        for (const auto& system : list) sum += operating_state(fan, system, air).flow.value().derivative[1];
        benchmark::DoNotOptimize(sum);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(problem_count));
}
BENCHMARK(three_derivatives)->Name("operating_point/three_derivatives");

}   // namespace

BENCHMARK_MAIN();
