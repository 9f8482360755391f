// SPDX-License-Identifier: BSL-1.0

#include "program.hpp"

#include <algorithm>
#include <exception>
#include <filesystem>
#include <ostream>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <filterflow/study/run_study.hpp>

#include "data_error.hpp"
#include "output_directory.hpp"
#include "report_console.hpp"
#include "report_writer.hpp"
#include "start_study.hpp"
#include "study_reader.hpp"

namespace choose_filter {

namespace {

// No figure of a system would stand if its fan cannot serve it with any candidate.
void refuse_unserved_systems(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                             const StudyPlaces& places) {
    for (const filterflow::SystemResult& system : result.systems) {
        const auto& candidates = system.candidates;
        const auto works = [](const filterflow::CandidateResult& c) { return c.clean_point.chosen.has_value(); };
        const auto unserved = [&](const filterflow::CandidateResult& c) { return !works(c) && !c.failed_limits.empty(); };
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

void run(const std::string& study_file, const std::string& directory, std::ostream& out) {
    const StudyFile file = read_study_file(study_file);
    const filterflow::StudyInput& study = file.study;
    const filterflow::StudyResult result = study_result(study, file.places);
    const std::string table = console_table(study, result);
    if (!directory.empty()) {
        OutputDirectory output(directory);
        write_report(study, result, output.path());
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
    auto* out_option = app.add_option("--out", directory, "directory for report.html, results.csv, filters.csv and results.json")
                           ->type_name("DIR");
    auto* start_option = app.add_option("--start", start, "write a commented study to begin from into this directory")
                             ->type_name("DIR");
    study_option->excludes(start_option);
    out_option->excludes(start_option);
    try {
        app.parse(argc, argv);
        if (study_file.empty() && start.empty()) {
            throw CLI::ValidationError("a study file is needed, or --start DIR to write one");
        }
    } catch (const CLI::ParseError& error) {
        return app.exit(error, out, err) == 0 ? 0 : 2;
    }
    try {
        if (!start.empty()) {
            write_start_study(start);
            out << "Wrote a study to begin from into " << start << ".\nRun it:  choose_filter "
                << (std::filesystem::path(start) / "study.toml").string() << " --out "
                << (std::filesystem::path(start) / "report").string() << '\n';
        } else {
            run(study_file, directory, out);
        }
    } catch (const std::exception& error) {
        err << "choose_filter: " << error.what() << '\n';
        return 1;
    }
    return 0;
}

}   // namespace choose_filter
