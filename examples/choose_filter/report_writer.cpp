// SPDX-License-Identifier: BSL-1.0

#include "report_writer.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <string>

#include <filterflow/core/errors.hpp>

#include "report_files.hpp"
#include "report_html.hpp"
#include "report_inputs.hpp"

namespace choose_filter {

namespace {

void write_file(const std::filesystem::path& path, const std::string& text) {
    errno = 0;
    std::ofstream out(path, std::ios::binary);
    if (out) out << text;
    if (out) out.close();
    if (!out) {
        throw filterflow::Error("cannot write " + path.string() +
                                (errno != 0 ? std::string(": ") + std::strerror(errno) : std::string()));
    }
}

}   // namespace

void write_report(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                  const std::filesystem::path& directory, const StudyDraws* draws) {
    const std::string page = report_page(study, result, draws);
    const std::string csv = results_csv(study, result, draws);
    const std::string filters = filters_csv(study, result);
    const std::string json = results_json(study, result, draws);
    write_file(directory / "report.html", page);
    write_file(directory / "results.csv", csv);
    write_file(directory / "filters.csv", filters);
    write_file(directory / "results.json", json);
}

}   // namespace choose_filter
