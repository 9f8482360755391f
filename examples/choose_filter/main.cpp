// SPDX-License-Identifier: BSL-1.0

// choose_filter: a study of filters, from bench readings to a recommendation.
//   choose_filter STUDY.toml [--out DIR]   reads a study, prints the comparison, writes the report into DIR
//   choose_filter --start DIR              writes a commented study to begin from
// Ends with 0 if all went well, 1 for input that cannot be used (the message says where), 2 for wrong usage.

#include <exception>
#include <filesystem>
#include <iostream>
#include <string>

#include <CLI/CLI.hpp>

#include <filterflow/study/run_study.hpp>

#include "data_error.hpp"
#include "output_directory.hpp"
#include "report_console.hpp"
#include "report_writer.hpp"
#include "start_study.hpp"
#include "study_reader.hpp"

namespace {

void run(const std::string& study_file, const std::string& out) {
    using namespace choose_filter;
    const filterflow::StudyInput study = read_study(study_file);
    const filterflow::StudyResult result = filterflow::run_study(study);
    const std::string table = console_table(study, result);
    if (!out.empty()) {
        OutputDirectory directory(out);
        write_report(study, result, directory.path());
        directory.keep();
    }
    std::cout << table;
    if (!table.empty() && table.back() != '\n') std::cout << '\n';
    if (!out.empty()) std::cout << "Report: " << (std::filesystem::path(out) / "report.html").string() << '\n';
}

}   // namespace

int main(int argc, char** argv) {
    CLI::App app{"Compares air filters from bench readings, in the systems that they would serve.", "choose_filter"};
    std::string study_file, out, start;
    auto* study_option = app.add_option("STUDY", study_file, "study file (TOML); it names the tables of readings (CSV)")
                             ->type_name("FILE");
    auto* out_option = app.add_option("--out", out, "directory for report.html, results.csv and results.json")
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
        const int code = app.exit(error, std::cout, std::cerr);
        return code == 0 ? 0 : 2;
    }
    try {
        if (!start.empty()) {
            choose_filter::write_start_study(start);
            std::cout << "Wrote a study to begin from into " << start << ".\nRun it:  choose_filter "
                      << (std::filesystem::path(start) / "study.toml").string() << " --out "
                      << (std::filesystem::path(start) / "report").string() << '\n';
        } else {
            run(study_file, out);
        }
    } catch (const std::exception& error) {
        std::cerr << "choose_filter: " << error.what() << '\n';
        return 1;
    }
    return 0;
}
