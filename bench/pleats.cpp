// SPDX-License-Identifier: BSL-1.0
// Pleated filters: the closed form against a tridiagonal solve of the same problem, the general model against shooting,
// the optimum count against thirty evaluations, and the typed function against raw doubles with the same checks.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>
#include <math.h>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/generation/generation_runge_kutta_dopri5.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>

#include <filterflow/air/air_state.hpp>
#include <filterflow/resistance/pleat_count.hpp>
#include <filterflow/resistance/pleated_curve.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

#include "raw_pleats.hpp"

namespace raw_pleats {

using namespace filterflow;

// ---- The plain ways -----------------------------------------------------------------------------------------------

/// Drop of the linear problem over R v_m by finite volumes: y'' = A1 y - A2 (1 - y), y(0) = 1, y(1) = 0, on 100 cells,
/// by elimination in one sweep and substitution in another; second-order differences for the velocity at the end.
double tridiagonal_drop(double a1, double a2) {
    constexpr std::size_t n = 100;
    constexpr double dx = 1.0 / n;
    std::array<double, n - 1> upper, right;
    const double middle = -(2.0 + (a1 + a2) * dx * dx), source = -a2 * dx * dx;
    double u = 1.0 / middle, r = (source - 1.0) * u;
    upper[0] = u;
    right[0] = r;
    for (std::size_t i = 1; i + 1 < n; ++i) {
        const double pivot = 1.0 / (middle - u);
        u = pivot;
        r = (source - r) * pivot;
        upper[i] = u;
        right[i] = r;
    }
    std::array<double, n + 1> y;
    y[0] = 1.0;
    y[n] = 0.0;
    for (std::size_t i = n; i-- > 1;) y[i] = right[i - 1] - (i + 1 < n ? upper[i - 1] * y[i + 1] : 0.0);
    double sum = 0.5 * (y[0] + y[n]);
    for (std::size_t i = 1; i < n; ++i) sum += y[i];
    const double at_end = (4.0 * y[n - 1] - y[n - 2] - 3.0 * y[n]) / (2.0 * dx);
    return at_end + a1 * sum * dx;
}

/// The general problem by shooting with Boost.Numeric.Odeint's Dormand-Prince method at 1e-9: Newton's method on the
/// velocity at the mouth, whose sensitivity is integrated along; from half of the mean velocity.
double shooting_drop(const detail::PleatProblem<double>& p) {
    namespace odeint = boost::numeric::odeint;
    using State = std::array<double, 5>;   // y, wall pressure difference, inlet pressure, and dy, dw to the start
    const double a1 = p.friction / (p.inlet_mouth * p.inlet_mouth * p.inlet_mouth);
    const double a2 = p.friction / (p.outlet_mouth * p.outlet_mouth * p.outlet_mouth);
    const double b1 = p.momentum / (p.inlet_mouth * p.inlet_mouth), b2 = p.momentum / (p.outlet_mouth * p.outlet_mouth);
    const double sigma = p.wall_inertia;
    const auto system = [&](const State& s, State& d, double) {
        const double root = std::sqrt(1.0 + 4.0 * sigma * std::abs(s[1]));
        const double g = 2.0 * s[1] / (1.0 + root), dg = s[4] / root;
        const double inlet = -a1 * s[0] + 2.0 * b1 * s[0] * g,
                     outlet = -a2 * (1.0 - s[0]) - 2.0 * b2 * (1.0 - s[0]) * g;
        d[0] = -g;
        d[1] = inlet - outlet;
        d[2] = inlet;
        d[3] = -dg;
        d[4] = (-a1 - a2 + 2.0 * (b1 - b2) * g) * s[3] + 2.0 * (b1 * s[0] + b2 * (1.0 - s[0])) * dg;
    };
    double start = 0.5;
    for (int i = 0; i < 20; ++i) {
        State s{1.0, start + sigma * start * std::abs(start), 0.0, 0.0, 1.0 + 2.0 * sigma * std::abs(start)};
        odeint::integrate_adaptive(odeint::make_controlled<odeint::runge_kutta_dopri5<State>>(1e-9, 1e-9), system, s,
                                   0.0, 1.0, 0.1);
        const double change = -s[0] / s[3];
        if (std::abs(change) < 1e-9) return s[1] - s[2];
        start += change;
    }
    return std::numeric_limits<double>::quiet_NaN();
}

}   // namespace raw_pleats

namespace {

using namespace filterflow;
using namespace filterflow::units;
using namespace raw_pleats;

void count_items(benchmark::State& state, std::size_t items = count) {
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(items));
}

std::vector<detail::PleatProblem<double>> problems(const Cases& c, const AirState& air) {
    std::vector<detail::PleatProblem<double>> list;
    for (std::size_t i = 0; i < count; ++i) {
        list.push_back(detail::pleat_problem(detail::layer_coefficients(c.filters[i].medium, air),
                                             detail::pleat_flow_case(c.filters[i], c.flows[i], air, "bench")));
    }
    return list;
}

/// The two ways must agree, or their times say nothing.
void require_agreement(benchmark::State& state, double a, double b, double tolerance) {
    if (!(std::abs(a - b) <= tolerance * std::abs(b))) state.SkipWithError("the two ways do not agree");
}

void evaluate(benchmark::State& state, const Cases& c) {
    AirState air = fan_test_air();
    keep_in_memory(air);
    std::vector<Pressure> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) drops[i] = pressure_drop(c.filters[i], c.flows[i], air);
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}

void linear_closed_form(benchmark::State& state) { evaluate(state, cases(0.0, 0.5, 0.0)); }
BENCHMARK(linear_closed_form)->Name("pleats/linear_pressure_drop");

void unequal_closed_form(benchmark::State& state) { evaluate(state, cases(0.0, 0.55, 0.0)); }
BENCHMARK(unequal_closed_form)->Name("pleats/linear_unequal_pressure_drop");

void momentum_closed_form(benchmark::State& state) { evaluate(state, cases(1.2, 0.5, 0.0)); }
BENCHMARK(momentum_closed_form)->Name("pleats/momentum_pressure_drop");

void closed_form_kernel(benchmark::State& state) {
    const auto list = problems(cases(0.0, 0.5, 0.0), fan_test_air());
    std::vector<double> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) {
            const double a = list[i].friction / (list[i].inlet_mouth * list[i].inlet_mouth * list[i].inlet_mouth);
            drops[i] = 1.0 + detail::two_channel(2.0 * a, 0.5).excess;
        }
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    for (std::size_t i = 0; i < count; ++i) {
        const double a = list[i].friction / (list[i].inlet_mouth * list[i].inlet_mouth * list[i].inlet_mouth);
        require_agreement(state, drops[i], tridiagonal_drop(a, a), 1e-3);
    }
    count_items(state);
}
BENCHMARK(closed_form_kernel)->Name("pleats/linear_closed_form");

void tridiagonal(benchmark::State& state) {
    const auto list = problems(cases(0.0, 0.5, 0.0), fan_test_air());
    std::vector<double> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) {
            const double a = list[i].friction / (list[i].inlet_mouth * list[i].inlet_mouth * list[i].inlet_mouth);
            drops[i] = tridiagonal_drop(a, a);
        }
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(tridiagonal)->Name("pleats/tridiagonal_100_cells");

void general(benchmark::State& state) {
    const Cases c = cases(1.2, 0.55, 2000.0);
    const auto list = problems(c, fan_test_air());
    for (const auto& p : list) {
        require_agreement(state, 1.0 + p.wall_inertia + detail::pleat_flow(p, "bench").excess, shooting_drop(p), 1e-7);
    }
    evaluate(state, c);
}
BENCHMARK(general)->Name("pleats/general_pressure_drop");

void shooting(benchmark::State& state) {
    const auto list = problems(cases(1.2, 0.55, 2000.0), fan_test_air());
    std::vector<double> drops(count);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) drops[i] = shooting_drop(list[i]);
        benchmark::DoNotOptimize(drops.data());
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(shooting)->Name("pleats/shooting_1e-9");

/// A pack that holds just over 200 pleats.
PleatedFilter wide_pack(double share) {
    return {.medium = {.thickness = 0.6 * mm, .permeability = 2e-11 * m2},
            .pack = {.count = 100, .depth = 44 * mm, .width = 241 * mm, .length = 500 * mm, .inlet_gap_share = share}};
}

void optimum(benchmark::State& state, double share) {
    PleatedFilter filter = wide_pack(share);
    AirState air = fan_test_air();
    keep_in_memory(filter);
    keep_in_memory(air);
    for (auto _ : state) {
        const OptimumPleatCount best = find_optimum_pleat_count(filter, 0.18 * m3_per_s, air);
        benchmark::DoNotOptimize(best.count);
    }
    count_items(state, 1);
}
BENCHMARK_CAPTURE(optimum, equal, 0.5)->Name("pleats/optimum_count");
BENCHMARK_CAPTURE(optimum, unequal, 0.52)->Name("pleats/optimum_count_general");

/// One item is thirty evaluations, at counts from 5 to 179.
void thirty(benchmark::State& state, double share) {
    PleatedFilter filter = wide_pack(share);
    AirState air = fan_test_air();
    keep_in_memory(filter);
    keep_in_memory(air);
    for (auto _ : state) {
        double sum = 0.0;
        for (int i = 0; i < 30; ++i) {
            filter.pack.count = 5 + 6 * i;
            sum += pressure_drop(filter, 0.18 * m3_per_s, air).value();
        }
        benchmark::DoNotOptimize(sum);
    }
    count_items(state, 1);
}
BENCHMARK_CAPTURE(thirty, equal, 0.5)->Name("pleats/thirty_evaluations");
BENCHMARK_CAPTURE(thirty, unequal, 0.52)->Name("pleats/thirty_evaluations_general");

void parts_typed(benchmark::State& state) {
    const Cases c = cases(1.2, 0.5, 0.0);
    AirState air = fan_test_air();
    keep_in_memory(air);
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) {
            PleatedDrop drop = pressure_drop_parts(c.filters[i], c.flows[i], air);
            keep_in_memory(drop);
        }
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(parts_typed)->Name("pleats/parts_typed");

void parts_raw(benchmark::State& state) {
    const Cases c = cases(1.2, 0.5, 0.0);
    const AirState from = fan_test_air();
    RawAir air = raw_pleats::raw(from);
    keep_in_memory(air);
    std::vector<RawFilter> filters;
    std::vector<double> flows;
    for (std::size_t i = 0; i < count; ++i) {
        filters.push_back(raw_pleats::raw(c.filters[i]));
        flows.push_back(c.flows[i].value());
        require_agreement(state, raw_drop(filters[i], flows[i], air).total,
                          pressure_drop(c.filters[i], c.flows[i], from).value(), 1e-14);
    }
    for (auto _ : state) {
        for (std::size_t i = 0; i < count; ++i) {
            RawDrop drop = raw_drop(filters[i], flows[i], air);
            keep_in_memory(drop);
        }
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(parts_raw)->Name("pleats/parts_raw");

void curve_typed(benchmark::State& state) {
    const Cases c = cases(1.2, 0.5, 0.0);
    AirState air = fan_test_air();
    keep_in_memory(air);
    std::vector<Pressure> drops(count);
    for (auto _ : state) {
        pressure_drops(c.filters[0], c.flows, air, drops);
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(curve_typed)->Name("pleats/curve_typed");

void curve_raw(benchmark::State& state) {
    const Cases c = cases(1.2, 0.5, 0.0);
    RawAir air = raw_pleats::raw(fan_test_air());
    keep_in_memory(air);
    const RawFilter filter = raw_pleats::raw(c.filters[0]);
    std::vector<double> flows, drops(count);
    for (const VolumeFlow& flow : c.flows) flows.push_back(flow.value());
    raw_drops(filter, flows, air, drops);
    for (std::size_t i = 0; i < count; ++i) {
        require_agreement(state, drops[i], pressure_drop(c.filters[0], c.flows[i], fan_test_air()).value(), 1e-13);
    }
    for (auto _ : state) {
        raw_drops(filter, flows, air, drops);
        benchmark::ClobberMemory();
    }
    count_items(state);
}
BENCHMARK(curve_raw)->Name("pleats/curve_raw");

}   // namespace

BENCHMARK_MAIN();
