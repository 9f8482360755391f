// SPDX-License-Identifier: BSL-1.0

#include "output_directory.hpp"

#include <system_error>
#include <utility>

#include <unistd.h>

#include <fmt/format.h>

#include "data_error.hpp"

namespace choose_filter {

namespace fs = std::filesystem;

OutputDirectory::OutputDirectory(fs::path wanted) : wanted_(std::move(wanted)) {
    std::error_code error;
    wanted_ = fs::absolute(wanted_).lexically_normal();
    if (wanted_.filename().empty()) wanted_ = wanted_.parent_path();   // "build/demo/"
    if (fs::exists(wanted_, error) && !fs::is_directory(wanted_, error)) {
        throw DataError({wanted_.string()}, "cannot write the report here: it is a file", "name a directory");
    }
    fs::create_directories(wanted_.parent_path(), error);
    temporary_ = wanted_.parent_path() / fmt::format(".{}.{}.part", wanted_.filename().string(), ::getpid());
    fs::remove_all(temporary_, error);
    if (!fs::create_directory(temporary_, error) || error) {
        throw DataError({wanted_.string()}, fmt::format("cannot write here: {}", error.message()),
                        "name another directory");
    }
}

OutputDirectory::~OutputDirectory() {
    std::error_code ignored;
    fs::remove_all(temporary_, ignored);
}

void OutputDirectory::keep() {
    std::error_code error;
    if (!fs::exists(wanted_, error)) {
        fs::rename(temporary_, wanted_, error);
        if (!error) return;
    }
    fs::create_directories(wanted_, error);
    for (const fs::directory_entry& entry : fs::directory_iterator(temporary_)) {
        const fs::path target = wanted_ / entry.path().filename();
        if (entry.is_directory()) fs::remove_all(target, error);
        fs::rename(entry.path(), target, error);
        if (error) throw DataError({target.string()}, "cannot write the file: " + error.message());
    }
}

}   // namespace choose_filter
