// SPDX-License-Identifier: BSL-1.0
#pragma once

// The results as a netCDF file: variables over (system, candidate), with units and meanings in the file. The classic
// format with 64-bit offsets, which every netCDF library reads, also those without HDF5.

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "result_rows.hpp"

namespace portfolio_study {

/// Whether this program was built with netCDF.
bool has_netcdf();

/// How large the file is to be.
struct NetcdfShape {
    std::size_t systems = 0;               ///< >= 1
    std::vector<std::string> candidates;   // in the order of the rows
    std::size_t longest_name = 1;          ///< of a system [bytes], >= 1
};

class NetcdfFile {
public:
    /// Throws DataError if it cannot be written, or netCDF was not built in.
    NetcdfFile(std::string path, const NetcdfShape& shape);
    ~NetcdfFile();
    NetcdfFile(const NetcdfFile&) = delete;
    NetcdfFile& operator=(const NetcdfFile&) = delete;

    /// The rows of the next systems, all candidates of each. Throws DataError.
    void add(const std::vector<ResultRow>& rows);
    /// Gives the file its name. Throws DataError.
    void keep();

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

}   // namespace portfolio_study
