// SPDX-License-Identifier: BSL-1.0

#include "program.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <iostream>
#include <optional>
#include <ostream>
#include <string>

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <filterflow/study/run_study.hpp>

#include "data_error.hpp"
#include "output_directory.hpp"
#include "report_console.hpp"
#include "report_writer.hpp"
#include "start_study.hpp"
#include "study_draws.hpp"
#include "study_reader.hpp"
#include "whole_number_option.hpp"

namespace choose_filter {

namespace {

// No figure of a system would stand if its fan cannot serve it with any candidate.
void refuse_unserved_systems(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                             const StudyPlaces& places) {
    for (const filterflow::SystemResult& system : result.systems) {
        const auto& candidates = system.candidates;
        const auto works = [](const filterflow::CandidateResult& c) { return c.clean_point.chosen.has_value(); };
        const auto unserved = [&](const filterflow::CandidateResult& c) {
            return !works(c) && !c.failed_limits.empty();
        };
        if (candidates.empty() || std::any_of(candidates.begin(), candidates.end(), works) ||
            !std::any_of(candidates.begin(), candidates.end(), unserved)) {
            continue;
        }
        const auto& first = *std::find_if(candidates.begin(), candidates.end(), unserved);
        throw DataError(
            places.place_of("system '" + system.name + "'", study.origin),
            fmt::format("the fan cannot serve the system '{}', whichever candidate is installed\n  '{}': {}",
                        system.name, first.name, first.failed_limits.front()),
            "check the fan table, the resistance of ducts and parts, and their units");
    }
}

/// Joint draws that are asked for.
struct DrawsAsked {
    std::size_t draws = 0;   ///< zero: none
    std::uint64_t seed = 1;
};

void run(const std::string& study_file, const std::string& directory, const DrawsAsked& asked, std::ostream& out,
         std::ostream& err) {
    const StudyFile file = read_study_file(study_file);
    const filterflow::StudyInput& study = file.study;
    const filterflow::StudyResult result = study_result(study, file.places);
    std::optional<StudyDraws> drawn;
    if (asked.draws > 0) {
        const bool watched = &err == &std::cerr && ::isatty(STDERR_FILENO) != 0;
        ProgressLine progress(err, watched, asked.draws * study.systems.size());
        drawn = study_draws(study, result, asked.draws, asked.seed, progress);
    }
    const StudyDraws* draws = drawn ? &*drawn : nullptr;
    const std::string table = console_table(study, result, draws);
    if (!directory.empty()) {
        OutputDirectory output(directory);
        write_report(study, result, output.path(), draws);
        output.keep();
    }
    out << table;
    if (!table.empty() && table.back() != '\n') out << '\n';
    if (!directory.empty()) out << "Report: " << (std::filesystem::path(directory) / "report.html").string() << '\n';
}

}   // namespace

filterflow::StudyResult study_result(const filterflow::StudyInput& study, const StudyPlaces& places) {
    try {
        filterflow::StudyResult result = filterflow::run_study(study);
        refuse_unserved_systems(study, result, places);
        return result;
    } catch (const DataError&) {
        throw;
    } catch (const filterflow::Error& error) {
        throw DataError(places.place_of(error.what(), study.origin), without_function_names(error.what()));
    }
}

int run_program(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
    CLI::App app{"Compares air filters from bench readings, in the systems that they would serve.", "choose_filter"};
    std::string study_file, directory, start;
    auto* study_option = app.add_option("STUDY", study_file, "study file (TOML); it names the tables of readings (CSV)")
                             ->type_name("FILE");
    auto* out_option =
        app.add_option("--out", directory, "directory for report.html, results.csv, filters.csv and results.json")
            ->type_name("DIR");
    auto* start_option = app.add_option("--start", start, "write a commented study to begin from into this directory")
                             ->type_name("DIR");
    DrawsAsked asked;
    auto* draws_option = add_whole_number_option(
        app, "--draws", asked.draws,
        "draw readings, system, dust and prices jointly so many times: probabilities of ranks and limits, regret, what "
        "would sharpen the choice; memory: some 200 bytes a draw, candidate and system, 24 a draw and measurement",
        std::size_t{1}, std::size_t{1'000'000});
    auto* seed_option = add_whole_number_option(app, "--seed", asked.seed,
                                                "seed of the draws: the same seed gives the same draws (1)")
                            ->type_name("S")
                            ->needs(draws_option);
    draws_option->excludes(start_option);
    seed_option->excludes(start_option);
    study_option->excludes(start_option);
    out_option->excludes(start_option);
    try {
        app.parse(argc, argv);
        if (study_file.empty() && start.empty()) {
            throw CLI::ValidationError("a study file is needed, or --start DIR to write one");
        }
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() != 0) err << "choose_filter: ";
        return app.exit(error, out, err) == 0 ? 0 : 2;
    }
    try {
        if (!start.empty()) {
            write_start_study(start);
            out << "Wrote a study to begin from into " << start << ".\nRun it:  choose_filter "
                << (std::filesystem::path(start) / "study.toml").string() << " --out "
                << (std::filesystem::path(start) / "report").string() << '\n';
        } else {
            run(study_file, directory, asked, out, err);
        }
    } catch (const std::exception& error) {
        err << "choose_filter: " << error.what() << '\n';
        return 1;
    }
    return 0;
}

}   // namespace choose_filter
