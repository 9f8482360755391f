// SPDX-License-Identifier: BSL-1.0
#pragma once

// Blocks of results, from one directory or from several, put together: one table in the order of the systems, and what
// the whole portfolio comes to. In which order and by whom the blocks were made leaves no trace.

#include <string>
#include <vector>

namespace portfolio_study {

struct MergeOptions {
    std::vector<std::string> directories;   // each holds blocks/
    std::string out;                        // where results.csv goes
    bool netcdf = false;                    ///< results.nc too
};

/// Merges and returns the summary to print. Throws DataError, and writes nothing, if a block is missing or damaged, if
/// blocks belong to different settings, or if two of one number differ.
std::string merge(const MergeOptions& options);

/// Directory of the blocks in a directory of results.
std::string blocks_directory(const std::string& directory);

}   // namespace portfolio_study
