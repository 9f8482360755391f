// SPDX-License-Identifier: BSL-1.0
#pragma once

// A table of hours (running share, dust) as a schedule, read with the reader of choose_filter, so that what is wrong is
// shown where it stands.

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/loading/dust_schedule.hpp>

#include "choose_filter/csv_table.hpp"
#include "choose_filter/file_source.hpp"

namespace filter_life_example {

/// The hours of a table with the columns hour (0, 1, 2, ...), running (share of the hour) and dust (a concentration).
inline filterflow::DustSchedule runtime_schedule(const choose_filter::FileSource& files, const std::string& path) {
    const choose_filter::FileText file = files.read(path);
    if (!file.found) throw choose_filter::DataError({path}, "cannot be read: " + file.reason);
    const choose_filter::CsvTable table(path, file.text, "hour,running,dust [ug/m3]");
    table.refuse_unknown_columns({"hour", "running", "dust"});
    table.require_rows(1, "a schedule");
    const std::size_t hour = table.column("hour"), running = table.column("running"), dust = table.column("dust");
    std::vector<filterflow::DutyHour> hours;
    bool dusty = false;   // in some hour dust comes with the air
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        if (table.count(row, hour) != static_cast<double>(row)) {
            table.refuse(row, hour, "the hours do not follow each other: expected " + std::to_string(row));
        }
        filterflow::DutyHour of;
        of.running = table.number(row, running);
        if (!(of.running >= 0.0 && of.running <= 1.0)) {
            table.refuse(row, running,
                         "the running share " + table.cell(row, running).text + " is no share; allowed: 0 to 1");
        }
        of.concentration = table.quantity<filterflow::MassConcentration>(row, dust);
        if (!(of.concentration.value() >= 0.0)) {
            table.refuse_value(row, dust, "is negative", "0 {} or more");
        }
        dusty = dusty || (of.running > 0.0 && of.concentration.value() > 0.0);
        hours.push_back(of);
    }
    if (!dusty) {
        throw choose_filter::DataError(
            {path}, "no dust reaches the filter: in each hour the running share or the dust is 0; "
                    "required: both above 0 in one hour at least");
    }
    return filterflow::hourly_schedule(std::move(hours));
}

}   // namespace filter_life_example
