// SPDX-License-Identifier: BSL-1.0
// portfolio_study's work, from rows of input to rows of results, six candidates a system: on one thread and on two. An
// item is a system. Two threads are timed by the clock, so the processors must be free.

#include <cstddef>
#include <cstdint>
#include <numeric>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>

#include "choose_filter/file_source.hpp"
#include "portfolio_study/block_work.hpp"
#include "portfolio_study/candidate_table.hpp"

namespace {

using namespace portfolio_study;

constexpr std::size_t systems = 256, block = 8;

struct Demo {
    choose_filter::DiskFiles files;
    std::string directory = FILTERFLOW_DEMO_DIR;
    std::string text = files.read(directory + "/portfolio_candidates.csv").text;
    std::vector<PortfolioCandidate> candidates =
        read_candidates(choose_filter::CsvTable("portfolio_candidates.csv", text, candidate_header()));
    ScenarioRows rows{systems, 1, block, directory, {"flat polyester pad", "4-inch pleat"}};
    SystemReader reader{directory, candidates, files};
};

void run(benchmark::State& state, std::size_t threads, std::size_t draws) {
    static const Demo demo;
    const BlockWork work(demo.rows, demo.reader, demo.candidates, demo.text, DrawOptions{draws, 1});
    const std::size_t blocks = demo.rows.block_count() / (draws > 0 ? 8 : 1);
    std::vector<std::size_t> list(blocks);
    std::iota(list.begin(), list.end(), std::size_t{0});
    for (auto _ : state) {
        for_each_block(list, threads, [&](std::size_t b) { benchmark::DoNotOptimize(work.results(b, [] {})); });
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(blocks * block));
}

void one_thread(benchmark::State& state) { run(state, 1, 0); }
void two_threads(benchmark::State& state) { run(state, 2, 0); }
void sixteen_draws(benchmark::State& state) { run(state, 1, 16); }

}   // namespace

BENCHMARK(one_thread)->Name("portfolio/one_thread")->UseRealTime();
BENCHMARK(two_threads)->Name("portfolio/two_threads")->UseRealTime();
BENCHMARK(sixteen_draws)->Name("portfolio/sixteen_draws")->UseRealTime();

BENCHMARK_MAIN();
