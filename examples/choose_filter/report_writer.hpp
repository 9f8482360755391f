// SPDX-License-Identifier: BSL-1.0
#pragma once

// Writes the report of a study.

#include <filesystem>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

#include "study_draws.hpp"

namespace choose_filter {

/// Writes report.html, results.csv and results.json into a directory that exists. Throws filterflow::Error if
/// gnuplot is missing or fails, or a file cannot be written; everything is made before the first file is opened.
void write_report(const filterflow::StudyInput& study, const filterflow::StudyResult& result,
                  const std::filesystem::path& directory, const StudyDraws* draws = nullptr);

}   // namespace choose_filter
