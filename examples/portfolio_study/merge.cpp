// SPDX-License-Identifier: BSL-1.0

#include "merge.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>
#include <unordered_map>

#include <fmt/format.h>

#include "atomic_file.hpp"
#include "block_file.hpp"
#include "netcdf_file.hpp"
#include "result_rows.hpp"
#include "totals.hpp"

namespace portfolio_study {

namespace fs = std::filesystem;
using choose_filter::CsvTable;
using choose_filter::DataError;

namespace {

struct FoundBlock {
    std::string path;
    BlockLabel label;
};

ReadBlock whole_block(const std::string& path) {
    auto block = read_block(path);
    if (!block) {
        throw DataError({path}, "this block of results is damaged",
                        "run the study again with the same options: it repairs what is damaged and keeps the rest");
    }
    return std::move(*block);
}

/// "3, 7 to 12"; long lists are cut.
std::string ranges(const std::vector<std::size_t>& numbers) {
    std::string text;
    std::size_t shown = 0;
    for (std::size_t i = 0; i < numbers.size(); ++shown) {
        if (shown == 8) return text + ", ...";
        std::size_t j = i;
        while (j + 1 < numbers.size() && numbers[j + 1] == numbers[j] + 1) ++j;
        text += (i > 0 ? ", " : "") + std::to_string(numbers[i]) + (j > i ? " to " + std::to_string(numbers[j]) : "");
        i = j + 1;
    }
    return text;
}

/// Where each block is. Each is read whole, so that what follows meets no surprise.
std::map<std::size_t, FoundBlock> found_blocks(const std::vector<std::string>& directories) {
    std::map<std::size_t, FoundBlock> found;
    for (const std::string& directory : directories) {
        const std::string place = blocks_directory(directory);
        std::error_code error;
        std::vector<std::string> paths;
        for (const auto& entry : fs::directory_iterator(place, error)) {
            if (block_of_name(entry.path().filename().string())) paths.push_back(entry.path().string());
        }
        if (paths.empty())
            throw DataError({place}, "no blocks of results here",
                            "name directories that portfolio_study wrote with --out");
        std::sort(paths.begin(), paths.end());
        for (const std::string& path : paths) {
            const ReadBlock block = whole_block(path);
            const auto [at, is_new] = found.try_emplace(block.label.block, FoundBlock{path, block.label});
            if (!is_new) {
                const ReadBlock other = whole_block(at->second.path);
                if (!(other.label == block.label) || other.rows != block.rows) {
                    throw DataError(
                        {path}, fmt::format("this block and {} have one number and different results", at->second.path),
                        "merge directories of one study only, computed by one build of the program");
                }
                continue;   // the same twice: counted once
            }
            const BlockLabel &first = found.begin()->second.label, &label = block.label;
            if (label.blocks != first.blocks || label.systems != first.systems ||
                label.block_length != first.block_length || label.settings != first.settings) {
                throw DataError({path},
                                fmt::format("this block belongs to another study than {}", found.begin()->second.path),
                                "portfolio, candidates, --draws, --seed and --block must be the same");
            }
        }
    }
    return found;
}

void require_all(const std::map<std::size_t, FoundBlock>& found, const MergeOptions& options) {
    const BlockLabel& label = found.begin()->second.label;
    std::vector<std::size_t> missing;
    for (std::size_t b = 0; b < label.blocks; ++b) {
        if (!found.contains(b)) missing.push_back(b + 1);
    }
    if (missing.empty()) return;
    throw DataError({blocks_directory(options.directories.front())},
                    fmt::format("{} of {} blocks are missing: {}", missing.size(), label.blocks, ranges(missing)),
                    "name the directories of all shards, or run the shard that did not end again");
}

std::vector<ResultRow> rows_of(const std::string& path, const ReadBlock& block) {
    const CsvTable table(path, "\n" + result_header() + block.rows);   // lines as in its file
    std::vector<ResultRow> rows;
    for (std::size_t row = 0; row < table.row_count(); ++row) rows.push_back(read_result(table, row));
    return rows;
}

/// Refuses a name that two systems have, across all blocks.
class SystemNames {
public:
    void add(const ResultRow& row, const std::string& path) {
        const auto [at, is_new] = numbers_.try_emplace(row.system, row.number);
        if (is_new || at->second == row.number) return;
        throw DataError({path},
                        fmt::format("the systems {} and {} are both named '{}'", at->second, row.number, row.system),
                        "give each system a name of its own: a system that is listed twice would count twice");
    }
    std::size_t longest() const {
        std::size_t length = 1;
        for (const auto& [name, number] : numbers_) length = std::max(length, name.size());
        return length;
    }

private:
    std::unordered_map<std::string, std::size_t> numbers_;
};

}   // namespace

std::string blocks_directory(const std::string& directory) { return (fs::path(directory) / "blocks").string(); }

std::string merge(const MergeOptions& options) {
    const auto found = found_blocks(options.directories);
    require_all(found, options);
    std::error_code error;
    fs::create_directories(options.out, error);
    if (!fs::is_directory(options.out)) throw DataError({options.out}, "cannot write results here: it is no directory");
    AtomicFile csv((fs::path(options.out) / "results.csv").string());
    csv.append(result_header());
    Totals totals;
    SystemNames names;
    for (const auto& [number, place] : found) {
        const ReadBlock block = whole_block(place.path);
        for (const ResultRow& row : rows_of(place.path, block)) {
            names.add(row, place.path);
            totals.add(row);
        }
        csv.append(block.rows);
    }
    const std::string text = totals.text();
    std::optional<NetcdfFile> netcdf;
    if (options.netcdf) {
        netcdf.emplace((fs::path(options.out) / "results.nc").string(),
                       NetcdfShape{found.begin()->second.label.systems, totals.candidates(), names.longest()});
        for (const auto& [number, place] : found) netcdf->add(rows_of(place.path, whole_block(place.path)));
        netcdf->keep();
    }
    csv.keep();
    for (const std::string& directory : options.directories) {   // of processes that were killed
        for (const auto& entry : fs::directory_iterator(blocks_directory(directory), error)) {
            if (AtomicFile::is_leftover(entry.path().filename().string())) fs::remove(entry.path(), error);
        }
    }
    return text;
}

}   // namespace portfolio_study
