// SPDX-License-Identifier: BSL-1.0

#include "atomic_file.hpp"

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

#include "choose_filter/data_error.hpp"

namespace portfolio_study {

AtomicFile::AtomicFile(std::string path) : path_(std::move(path)) {
    std::array<char, 256> host{};
    if (::gethostname(host.data(), host.size() - 1) != 0) host[0] = '\0';
    temporary_ = path_ + "." + host.data() + "." + std::to_string(::getpid()) + ".part";
    file_ = ::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (file_ < 0) refuse("cannot write here");
}

AtomicFile::~AtomicFile() {
    if (file_ >= 0) {
        ::close(file_);
        ::unlink(temporary_.c_str());
    }
}

void AtomicFile::append(std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(file_, text.data(), text.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) refuse("cannot write the file");
        text.remove_prefix(static_cast<std::size_t>(written));
    }
}

void AtomicFile::keep() {
    if (::fsync(file_) != 0) refuse("cannot write the file");
    const int closed = ::close(std::exchange(file_, -1));
    if (closed != 0 || std::rename(temporary_.c_str(), path_.c_str()) != 0) {
        const int reason = errno;
        ::unlink(temporary_.c_str());
        errno = reason;
        refuse("cannot write the file");
    }
    flush_directory();
}

void AtomicFile::flush_directory() const {
    const std::string parent = std::filesystem::path(path_).parent_path().string();
    const int directory = ::open(parent.empty() ? "." : parent.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    // Some file systems have nothing to flush for a directory and say that the call is invalid.
    const bool flushed = directory >= 0 && (::fsync(directory) == 0 || errno == EINVAL);
    const int reason = errno;
    if (directory >= 0) ::close(directory);
    errno = reason;
    if (!flushed) refuse("cannot flush the directory of this file to the disk");
}

bool AtomicFile::is_leftover(std::string_view file_name) {
    return file_name.size() > 5 && file_name.substr(file_name.size() - 5) == ".part";
}

void AtomicFile::refuse(const char* what) const {
    throw choose_filter::DataError({path_}, std::string(what) + ": " + std::strerror(errno));
}

}   // namespace portfolio_study
