// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where a report is written: a temporary directory beside the wanted one, moved into place when everything is there.
// If anything fails on the way, nothing is left behind and what was there before stays.

#include <filesystem>

namespace choose_filter {

class OutputDirectory {
public:
    /// Makes the temporary directory. Throws DataError if that is not possible.
    explicit OutputDirectory(std::filesystem::path wanted);
    /// Removes the temporary directory, if its files were not kept.
    ~OutputDirectory();
    OutputDirectory(const OutputDirectory&) = delete;
    OutputDirectory& operator=(const OutputDirectory&) = delete;

    /// Where to write.
    const std::filesystem::path& path() const { return temporary_; }
    /// Moves what was written into the wanted directory. Files of the same names are replaced, others stay.
    void keep();

private:
    std::filesystem::path wanted_;
    std::filesystem::path temporary_;
};

}   // namespace choose_filter
