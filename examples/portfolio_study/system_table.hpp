// SPDX-License-Identifier: BSL-1.0
#pragma once

// The systems of a portfolio, one a row. A fan is named by the path of its table, relative to the table that names it.

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "choose_filter/csv_table.hpp"
#include "choose_filter/file_source.hpp"
#include "portfolio_system.hpp"

namespace portfolio_study {

/// A header line of such a table with every column.
const std::string& system_header();

/// Reads rows of systems; safe to share between threads.
class SystemReader {
public:
    /// `directory` is what paths of fan tables are relative to.
    SystemReader(std::string directory, const std::vector<PortfolioCandidate>& candidates,
                 const choose_filter::FileSource& files);

    /// Throws DataError if the columns are not those of a table of systems.
    void check_columns(const choose_filter::CsvTable& table) const;

    /// One system. Throws DataError.
    PortfolioSystem system(const choose_filter::CsvTable& table, std::size_t row) const;

    /// Text of the fan tables that a row names, for telling whether results still belong to their input.
    const std::string& fan_text(const choose_filter::CsvTable& table, std::size_t row) const;

private:
    struct FanFile {
        std::string text;
        std::shared_ptr<const FanTable> table;
    };
    const FanFile& fan_file(const choose_filter::CsvTable& table, std::size_t row) const;

    std::string directory_;
    std::vector<std::string> candidates_;
    const choose_filter::FileSource& files_;
    mutable std::mutex mutex_;
    mutable std::map<std::string, FanFile, std::less<>> fans_;
};

}   // namespace portfolio_study
