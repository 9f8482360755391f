// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where the readers get their files from: the disk, or memory (tests, fuzzing).

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <string>
#include <system_error>
#include <utility>

namespace choose_filter {

/// The text of a file, or why there is none.
struct FileText {
    bool found = false;
    std::string text;     ///< bytes of the file
    std::string reason;   ///< "no such file", where it was not found
};

/// Gives the text of files by path.
class FileSource {
public:
    virtual ~FileSource() = default;
    virtual FileText read(const std::string& path) const = 0;
};

/// Files on the disk.
class DiskFiles : public FileSource {
public:
    FileText read(const std::string& path) const override {
        constexpr std::uintmax_t greatest_size = 32u << 20u;
        std::error_code error;
        const auto status = std::filesystem::status(path, error);
        if (!std::filesystem::exists(status)) return {false, {}, "no such file"};
        if (std::filesystem::is_directory(status)) return {false, {}, "it is a directory"};
        if (std::filesystem::is_regular_file(status) && std::filesystem::file_size(path, error) > greatest_size) {
            return {false, {}, "it is larger than 32 MiB"};
        }
        errno = 0;
        std::ifstream in(path, std::ios::binary);
        if (!in) return {false, {}, errno != 0 ? std::strerror(errno) : "it cannot be opened"};
        std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
        if (in.bad()) return {false, {}, "reading it failed"};
        return {true, std::move(text), {}};
    }
};

/// Files in memory, by path.
class MemoryFiles : public FileSource {
public:
    MemoryFiles() = default;
    explicit MemoryFiles(std::map<std::string, std::string> files) : files_(std::move(files)) {}

    void add(const std::string& path, std::string text) { files_[path] = std::move(text); }

    FileText read(const std::string& path) const override {
        const auto found = files_.find(path);
        if (found == files_.end()) return {false, {}, "no such file"};
        return {true, found->second, {}};
    }

private:
    std::map<std::string, std::string> files_;
};

}   // namespace choose_filter
