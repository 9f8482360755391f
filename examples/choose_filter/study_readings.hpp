// SPDX-License-Identifier: BSL-1.0
#pragma once

// The CSV files of a study: bench readings, loading readings, particle counts, fan tables.

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/study/study_input.hpp>

#include "csv_table.hpp"
#include "file_source.hpp"

namespace choose_filter {

/// Words for the flow methods in the study file, in the order of StandFlowMethod.
const std::vector<std::string>& flow_method_words();

/// A header line of a table of pressure readings, of particle counts, of a loading test, of a fan table: for hints.
std::string pressure_header(filterflow::StandFlowMethod method);
std::string counts_header();
std::string loading_header(filterflow::StandFlowMethod method);
std::string fan_header(std::string_view pressure);

/// Clean readings of a filter, or of the empty stand, as `purpose` says.
std::vector<filterflow::BenchReading> bench_readings(const CsvTable& table, filterflow::StandFlowMethod method,
                                                     std::string_view purpose = "a filter");

/// Loading readings: running totals of dust with pressure and flow.
std::vector<filterflow::LoadingReading> loading_readings(const CsvTable& table, filterflow::StandFlowMethod method);

/// Particle counts: one row a sample, one column a channel. Cumulative channels ("> 0.5 [um]") become the bands that
/// they support. Correlation ratios by channel, where the stand has them, are shared by all filters. `notes` receives
/// doubts in sentences.
std::vector<filterflow::SizeRangeCounts> particle_counts(
    const CsvTable& table, const std::vector<filterflow::SizeRangeCounts>& correlation_of_stand,
    std::vector<std::string>& notes);

/// Samples without a filter: the ratio of the two sampling lines by channel, as one shared input each.
std::vector<filterflow::SizeRangeCounts> correlation_counts(const CsvTable& table, std::vector<std::string>& notes);

/// A fan table; power in every row or in none.
std::vector<filterflow::FanPoint> fan_points(const CsvTable& table, filterflow::FanPressureKind kind);

}   // namespace choose_filter
