// SPDX-License-Identifier: BSL-1.0
#pragma once

// A file that is there whole or not at all: it is written under another name, flushed to the disk and renamed, and then
// its directory is flushed, so that the new name outlives a power cut.

#include <string>
#include <string_view>

namespace portfolio_study {

class AtomicFile {
public:
    /// Throws DataError if nothing can be written there.
    explicit AtomicFile(std::string path);
    /// Removes what was written, if it was not kept.
    ~AtomicFile();
    AtomicFile(const AtomicFile&) = delete;
    AtomicFile& operator=(const AtomicFile&) = delete;

    /// Throws DataError if it cannot be written (no space is left).
    void append(std::string_view text);
    /// Gives the file its name, for good. Throws DataError.
    void keep();
    /// Name under which it is written: that of the file, of this machine and process, so that two never share it.
    const std::string& temporary_path() const { return temporary_; }

    /// Whether a file name is one of those that stay behind when a process is killed.
    static bool is_leftover(std::string_view file_name);

private:
    void flush_directory() const;
    [[noreturn]] void refuse(const char* what) const;

    std::string path_, temporary_;
    int file_ = -1;
};

}   // namespace portfolio_study
