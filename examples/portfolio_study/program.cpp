// SPDX-License-Identifier: BSL-1.0

#include "program.hpp"

#include <algorithm>
#include <exception>
#include <filesystem>
#include <memory>
#include <optional>
#include <ostream>
#include <string>
#include <thread>
#include <unordered_map>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <filterflow/study/run_study.hpp>

#include "atomic_file.hpp"
#include "block_work.hpp"
#include "candidate_table.hpp"
#include "choose_filter/study_reader.hpp"
#include "choose_filter/whole_number_option.hpp"
#include "merge.hpp"
#include "netcdf_file.hpp"
#include "progress.hpp"
#include "ranks.hpp"

namespace portfolio_study {

namespace {

using choose_filter::DataError;

struct Options {
    std::string systems, candidates, out, candidates_of, write_systems;
    std::vector<std::string> merged;
    std::size_t scenario = 0, threads = 0, block = 256, draws = 0, shard = 1, shards = 1;
    std::uint64_t seed = 1;
    bool netcdf = false;
};

// Shards times ranks (2^31 at most) and systems are added up in 64 bits, far from their end.
constexpr std::size_t most_shards = 1'000'000, most_systems = 1'000'000'000, most_in_block = 1'000'000;
// 48 bytes a draw and candidate in each thread: with a hundred candidates 0.5 GB. A share of so many draws has a
// standard error of 0.002 at most.
constexpr std::size_t most_draws = 100'000;

/// "2/3" as shard 2 of 3; a text that says what is wrong otherwise.
std::string take_shard(const std::string& text, Options& options) {
    const std::string wrong =
        fmt::format("--shard: '{}' is no shard: it is written I/N in digits, as 2/3: the second of three", text);
    const std::size_t slash = text.find('/');
    if (slash == std::string::npos) return wrong;
    const auto shard = choose_filter::whole_number(std::string_view(text).substr(0, slash));
    const auto shards = choose_filter::whole_number(std::string_view(text).substr(slash + 1));
    if (!shard || !shards) return wrong;
    if (*shard < 1 || *shard > *shards || *shards > most_shards) {
        return fmt::format("--shard: '{}' is no shard: of I/N, I is from 1 to N, and N is from 1 to {}", text,
                           most_shards);
    }
    options.shard = *shard;
    options.shards = *shards;
    return {};
}

/// A portfolio with everything that its blocks are computed from.
struct Portfolio {
    choose_filter::DiskFiles files;
    std::string candidate_text;
    std::vector<PortfolioCandidate> candidates;
    std::unique_ptr<RowSource> source;
    std::unique_ptr<SystemReader> reader;
    std::unique_ptr<BlockWork> work;

    explicit Portfolio(const Options& o) {
        choose_filter::FileText file = files.read(o.candidates);
        if (!file.found) throw DataError({o.candidates}, "cannot read the candidates: " + file.reason);
        candidate_text = std::move(file.text);
        candidates = read_candidates(choose_filter::CsvTable(o.candidates, candidate_text, candidate_header()));
        if (o.scenario > 0) {
            std::vector<std::string> names;
            for (const PortfolioCandidate& c : candidates) names.push_back(c.name);
            source = std::make_unique<ScenarioRows>(o.scenario, o.seed, o.block,
                                                    std::filesystem::path(o.candidates).parent_path().string(),
                                                    std::move(names));
        } else {
            source = std::make_unique<FileRows>(o.systems, o.block);
        }
        reader = std::make_unique<SystemReader>(source->directory(), candidates, files);
        reader->check_columns(source->header());
        work = std::make_unique<BlockWork>(*source, *reader, candidates, candidate_text, DrawOptions{o.draws, o.seed});
    }
};

/// What one process has to do, and what of it is done already.
struct Plan {
    std::vector<std::size_t> open;      // blocks to compute
    std::vector<BlockLabel> labels;     // of all blocks, those of this process filled
    std::size_t own = 0, systems = 0;   // blocks of this process; systems in the open ones
};

/// Reads and checks all rows of this process before anything is computed.
Plan plan_of(const Portfolio& portfolio, const Options& o, const Ranks& ranks) {
    Plan plan;
    const RowSource& source = *portfolio.source;
    plan.labels.resize(source.block_count());
    const std::size_t parts = o.shards * static_cast<std::size_t>(ranks.size());
    const std::size_t own = (o.shard - 1) + o.shards * static_cast<std::size_t>(ranks.rank());
    const std::string directory = blocks_directory(o.out);
    std::unordered_map<std::string, std::size_t> names;
    for (std::size_t b = own; b < source.block_count(); b += parts) {
        ++plan.own;
        plan.labels[b] = portfolio.work->checked(b, names);
        const std::string path = block_path(directory, b);
        if (const auto before = read_block(path)) {
            BlockLabel other_rows = before->label;
            other_rows.rows = plan.labels[b].rows;
            if (!(other_rows == plan.labels[b])) {
                throw DataError({path}, "this directory holds results of another study",
                                "name another one with --out, or remove it: portfolio, candidates, --draws, --seed and "
                                "--block must be the same to go on with it");
            }
            if (before->label == plan.labels[b]) continue;   // done
        }
        plan.open.push_back(b);
        plan.systems += std::min(source.block_length(), source.count() - source.first_of(b));
    }
    return plan;
}

void compute(const Portfolio& portfolio, const Plan& plan, const Options& o, const Ranks& ranks, std::ostream& err,
             bool is_terminal) {
    const std::string directory = blocks_directory(o.out);
    std::error_code error;
    std::filesystem::create_directories(directory, error);
    if (!std::filesystem::is_directory(directory)) {
        throw DataError({directory},
                        "cannot write results here: " + (error ? error.message() : std::string("it is no directory")));
    }
    const std::size_t threads = o.threads > 0      ? o.threads
                                : ranks.size() > 1 ? 1
                                                   : std::max(1u, std::thread::hardware_concurrency());
    Progress progress(err, is_terminal && ranks.rank() == 0, plan.systems);
    for_each_block(plan.open, threads, [&](std::size_t block) {
        write_block(directory, plan.labels[block], portfolio.work->results(block, [&] { progress.add(); }));
    });
}

/// Runs a part of the work on every rank; where it fails on any, the first that failed says why and all end.
template <class Work>
bool all_succeed(const Ranks& ranks, std::ostream& err, const Work& work) {
    std::optional<std::string> problem;
    try {
        work();
    } catch (const std::exception& error) {
        problem = error.what();
    }
    const int first = ranks.first_with(problem.has_value());
    if (first == ranks.rank()) err << "portfolio_study: " << *problem << '\n';
    return first == ranks.size();
}

int run(const Options& o, std::ostream& out, std::ostream& err, bool is_terminal) {
    const Ranks ranks;
    std::optional<Portfolio> portfolio;
    Plan plan;
    const auto prepare = [&] {
        if (o.netcdf && !has_netcdf()) throw filterflow::Error("--netcdf: this program was built without netCDF");
        portfolio.emplace(o);
        plan = plan_of(*portfolio, o, ranks);
    };
    if (!all_succeed(ranks, err, prepare)) return 1;
    if (!all_succeed(ranks, err, [&] { compute(*portfolio, plan, o, ranks, err, is_terminal); })) return 1;
    if (o.shards > 1) {
        const std::size_t own = ranks.size() > 1 ? 0 : plan.own;
        if (ranks.rank() == 0) {
            out << fmt::format(
                "Shard {} of {} is done{}.\nWhen all are:  portfolio_study --merge {} --out {}\n", o.shard, o.shards,
                own > 0 ? fmt::format(": {} blocks, {} of them computed now", own, plan.open.size()) : "", o.out,
                o.out);
        }
        return 0;
    }
    return all_succeed(ranks, err,
                       [&] {
                           if (ranks.rank() != 0) return;
                           out << merge({{o.out}, o.out, o.netcdf})
                               << "Results: " << (std::filesystem::path(o.out) / "results.csv").string() << '\n';
                       })
               ? 0
               : 1;
}

void write_candidates(const Options& o, std::ostream& out) {
    const auto study = choose_filter::read_study_file(o.candidates_of);
    std::vector<std::string> left_out;
    const std::string text = candidate_table(study.study, filterflow::run_study(study.study), left_out);
    AtomicFile file(o.out);
    file.append(text);
    file.keep();
    for (const std::string& sentence : left_out) out << sentence << '\n';
    out << "Candidates: " << o.out << '\n';
}

void write_systems(const Options& o, std::ostream& out) {
    const Portfolio portfolio(o);
    AtomicFile file(o.write_systems);
    file.append("# An invented portfolio, written by portfolio_study --scenario: no building, no survey.\n" +
                system_header() + "\n");
    for (std::size_t b = 0; b < portfolio.source->block_count(); ++b) file.append(portfolio.source->rows(b).text);
    file.keep();
    out << "Systems: " << o.write_systems << '\n';
}

/// What is asked for twice or not at all; an empty text if all is well.
std::string usage_problem(const Options& o) {
    const int tasks = !o.systems.empty() + (o.scenario > 0) + !o.merged.empty() + !o.candidates_of.empty();
    if (tasks != 1) return "one of SYSTEMS, --scenario N, --merge DIR and --candidates-of STUDY is needed";
    if (o.out.empty() && o.write_systems.empty()) return "--out is needed";
    if (!o.write_systems.empty() && o.scenario == 0) return "--write-systems goes with --scenario";
    if (o.merged.empty() && o.candidates_of.empty() && o.candidates.empty()) return "--candidates is needed";
    if (o.netcdf && (o.shards > 1 || !o.candidates_of.empty()))
        return "--netcdf goes with a whole portfolio or with --merge";
    return {};
}

}   // namespace

int run_program(int argc, const char* const* argv, std::ostream& out, std::ostream& err, bool is_terminal) {
    Options o;
    std::string shard;
    CLI::App app{"Finds the best filter for each of many systems over a year.", "portfolio_study"};
    app.add_option("SYSTEMS", o.systems, "table of systems (CSV), one a row")->type_name("FILE");
    const auto whole_number = [&app](const char* name, std::size_t& number, const char* description, std::size_t most) {
        choose_filter::add_whole_number_option<std::size_t>(app, name, number, description, 1, most);
    };
    whole_number("--scenario", o.scenario, "an invented portfolio of so many systems instead", most_systems);
    app.add_option("--candidates", o.candidates, "table of candidates (CSV)")->type_name("FILE");
    app.add_option("--out", o.out, "directory for results.csv and the blocks it is put together from")
        ->type_name("DIR");
    whole_number("--threads", o.threads, "threads of this process (default: as many as processors; 1 under MPI)", 1024);
    const auto* shard_option =
        app.add_option("--shard", shard, "compute one of several parts only, to be merged")->type_name("I/N");
    whole_number("--draws", o.draws,
                 "joint draws of what is uncertain, for each system (default: none; at most 100000); a thread needs 48 "
                 "bytes a draw and candidate",
                 most_draws);
    choose_filter::add_whole_number_option(app, "--seed", o.seed, "of draws and scenario (default: 1)");
    whole_number("--block", o.block, "systems that are saved together (default: 256)", most_in_block);
    app.add_flag("--netcdf", o.netcdf, "write results.nc too");
    app.add_option("--merge", o.merged, "put the blocks of these directories together")->type_name("DIR");
    app.add_option("--write-systems", o.write_systems, "write the scenario's table of systems and end")
        ->type_name("FILE");
    app.add_option("--candidates-of", o.candidates_of, "write the candidates of a study of choose_filter to --out")
        ->type_name("STUDY");
    try {
        app.parse(argc, argv);
        std::string problem = shard_option->count() == 0 ? std::string() : take_shard(shard, o);
        if (problem.empty()) problem = usage_problem(o);
        if (!problem.empty()) throw CLI::ValidationError(problem);
    } catch (const CLI::ParseError& error) {
        return app.exit(error, out, err) == 0 ? 0 : 2;
    }
    try {
        if (!o.candidates_of.empty()) {
            write_candidates(o, out);
        } else if (!o.merged.empty()) {
            out << merge({o.merged, o.out, o.netcdf})
                << "Results: " << (std::filesystem::path(o.out) / "results.csv").string() << '\n';
        } else if (!o.write_systems.empty()) {
            write_systems(o, out);
        } else {
            return run(o, out, err, is_terminal);
        }
    } catch (const std::exception& error) {
        err << "portfolio_study: " << error.what() << '\n';
        return 1;
    }
    return 0;
}

}   // namespace portfolio_study
