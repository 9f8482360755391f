// SPDX-License-Identifier: BSL-1.0
// Duct networks: a looped grid against as many bare factorisations and solves, growth with size, a tree against the
// sparse way, parameter sets on one shape against starting afresh. The greatest ones, of a million branches, run where
// FILTERFLOW_BENCH_LARGE is set in the environment.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include <benchmark/benchmark.h>

#include "raw_networks.hpp"

namespace raw_networks {

/// Peak memory of this process [MiB] since it was last reset; nothing where the system does not tell.
void reset_peak_memory() { std::ofstream("/proc/self/clear_refs") << "5"; }
std::optional<double> peak_memory() {
    std::ifstream in("/proc/self/status");
    for (std::string word; in >> word;) {
        double kilobytes = 0.0;
        if (word == "VmHWM:" && in >> kilobytes) return kilobytes / 1024.0;
    }
    return std::nullopt;
}

void report(benchmark::State& state, std::size_t items, int steps) {
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(items));
    state.counters["linear systems"] = steps;
}

/// From the analysed network to its flows; the item is a branch.
void solve_grid(benchmark::State& state, std::size_t side, Parts parts) {
    const Shape shape = grid(side);
    NetworkSolver solver(named(shape, parts));
    int steps = 0;
    for (auto _ : state) {
        const NetworkSolution solution = solver.solve();
        if (!solution.found()) return state.SkipWithError("not solved");
        steps = solution.iterations();
    }
    report(state, shape.from.size(), steps);
}

/// As many factorisations and solves of that matrix as a solution takes, and nothing else.
template <class Ordering>
void bare_grid(benchmark::State& state, std::size_t side, Parts parts) {
    const Shape shape = grid(side);
    const int steps = NetworkSolver(named(shape, parts)).solve().iterations();
    Sparse<Ordering> sparse(shape);
    for (int k = 0; k < 3; ++k) sparse.step(k == 0);
    for (auto _ : state) {
        for (int k = 0; k < steps; ++k) sparse.factorise_and_solve();
        if (!sparse.solved()) return state.SkipWithError("not factorised");
    }
    report(state, shape.from.size(), steps);
}

/// From names and parts to flows: building, checks, analysis, solution; the item is a branch.
void whole_grid(benchmark::State& state, std::size_t side) {
    const Shape shape = grid(side);
    int steps = 0;
    NetworkShape analysed;
    reset_peak_memory();
    const std::optional<double> before = peak_memory();
    std::optional<double> peak;
    for (auto _ : state) {
        NetworkSolver solver(named(shape));
        const NetworkSolution solution = solver.solve();
        if (!solution.found()) return state.SkipWithError("not solved");
        steps = solution.iterations();
        analysed = solver.shape();
        if (!peak) peak = peak_memory();
    }
    report(state, shape.from.size(), steps);
    state.counters["nested dissection"] = analysed.ordering == LoopOrdering::nested_dissection ? 1 : 0;
    state.counters["entries"] = analysed.factor_entries;
    state.counters["by minimum degree"] = analysed.minimum_degree_entries;
    if (before && peak) {
        state.counters["MiB before"] = *before;
        state.counters["MiB at peak"] = *peak;
    }
}

constexpr int tree_step_count = 16;

/// The item is a branch in one step, of a tree eliminated leaf by leaf. Its nodes and branches are in no order.
void tree_steps(benchmark::State& state, std::size_t branches) {
    const Shape shape = shuffled(tree(branches));
    Newton newton = unnamed(shape);
    if (!newton.solve_from_scratch({}).converged) return state.SkipWithError("not solved");
    for (auto _ : state) {
        const auto outcome = newton.iterate({1e-300, 1e-300, tree_step_count}, true);
        if (outcome.iterations != tree_step_count) return state.SkipWithError("fewer steps");
    }
    report(state, branches * tree_step_count, tree_step_count);
}

/// The same, each step by a sparse factorisation.
void sparse_tree_steps(benchmark::State& state, std::size_t branches) {
    const Shape shape = shuffled(tree(branches));
    const NetworkSolution expected = NetworkSolver(named(shape)).solve();
    Sparse<> sparse(shape);
    bool first = true;
    for (auto _ : state) {
        for (int k = 0; k < tree_step_count; ++k) sparse.step(std::exchange(first, false));
    }
    if (!(sparse.residual() < 1e-5)) return state.SkipWithError("not solved");
    for (std::size_t k = 0; k < branches; ++k) {
        if (!(std::abs(sparse.flows()[k] - expected.flow(k) / m3_per_s) < 1e-6)) {
            return state.SkipWithError("other flows");
        }
    }
    report(state, branches * tree_step_count, tree_step_count);
}

/// A hundred branches, one of them a filter that loads by a hundredth each time; the item is a network.
void same_shape(benchmark::State& state) {
    const Shape shape = grid(8);
    NetworkSolver solver(named(shape));
    NetworkSolution solution = solver.solve();
    double load = 1.0;
    for (auto _ : state) {
        load = load < 3.0 ? 1.01 * load : 1.0;
        solver.set_part(50, ElementCurve{shape.linear[50] * load * Pa_s_per_m3, shape.quadratic[50] * Pa_s2_per_m6,
                                         fan_table_air()});
        solution = solver.solve_from(solution.last_flows());
        if (!solution.found()) return state.SkipWithError("not solved");
    }
    report(state, 1, solution.iterations());
}
void afresh(benchmark::State& state) {
    const Shape shape = grid(8);
    int steps = 0;
    for (auto _ : state) {
        const NetworkSolution solution = NetworkSolver(named(shape)).solve();
        steps = solution.iterations();
    }
    report(state, 1, steps);
}

void add_all() {
    const auto add_one = [](const char* name, const auto& run) {
        return benchmark::RegisterBenchmark(name, run)->Unit(benchmark::kMillisecond);
    };
    const std::pair<const char*, std::size_t> sizes[] = {
        {"1e3", 23}, {"1e4", 72}, {"1e5", 224}};   // 1012, 10224, 99904
    for (const auto& [size, side] : sizes) {
        const std::size_t length = side;
        add_one(("networks/whole_" + std::string(size)).c_str(),
                [length](benchmark::State& state) { whole_grid(state, length); });
    }
    using Plain = Eigen::AMDOrdering<int>;
    using Ours = detail::NestedDissectionOrdering;
    for (const auto& [suffix, parts] : {std::pair("1e5", Parts::elements), std::pair("ducts_1e5", Parts::ducts)}) {
        const Parts what = parts;
        const std::string which = suffix;
        add_one(("networks/grid_" + std::string(parts == Parts::ducts ? "of_" : "") + which).c_str(),
                [what](benchmark::State& state) { solve_grid(state, 224, what); });
        add_one(("networks/bare_factorisations_" + which).c_str(),
                [what](benchmark::State& state) { bare_grid<Plain>(state, 224, what); });
        add_one(("networks/bare_in_our_order_" + which).c_str(),
                [what](benchmark::State& state) { bare_grid<Ours>(state, 224, what); });
    }
    add_one("networks/tree_1e5", [](benchmark::State& state) { tree_steps(state, 100000); });
    add_one("networks/sparse_tree_1e5", [](benchmark::State& state) { sparse_tree_steps(state, 100000); });
    benchmark::RegisterBenchmark("networks/same_shape", same_shape);
    benchmark::RegisterBenchmark("networks/afresh", afresh);
    if (std::getenv("FILTERFLOW_BENCH_LARGE") == nullptr) return;
    add_one("networks/whole_1e6", [](benchmark::State& state) { whole_grid(state, 708); });   // 1 001 112
    add_one("networks/tree_1e6", [](benchmark::State& state) { tree_steps(state, 1000000); });
    add_one("networks/sparse_tree_1e6", [](benchmark::State& state) { sparse_tree_steps(state, 1000000); });
}

}   // namespace raw_networks

int main(int argc, char** argv) {
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 1;
    raw_networks::add_all();
    benchmark::RunSpecifiedBenchmarks();
    benchmark::Shutdown();
    return 0;
}
