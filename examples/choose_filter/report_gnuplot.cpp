// SPDX-License-Identifier: BSL-1.0

#include "report_plot.hpp"

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include <filterflow/core/errors.hpp>

#include "report_text.hpp"

extern char** environ;   // NOLINT: POSIX

namespace choose_filter {

namespace {

/// A directory of its own for the files of one run, removed at the end.
class ScratchDirectory {
public:
    ScratchDirectory() {
        std::string pattern = (std::filesystem::temp_directory_path() / "filterflow-plot-XXXXXX").string();
        if (::mkdtemp(pattern.data()) == nullptr) {
            throw filterflow::Error("cannot make a directory for drawing in " +
                                    std::filesystem::temp_directory_path().string() + ": " + std::strerror(errno));
        }
        path_ = pattern;
    }
    ScratchDirectory(const ScratchDirectory&) = delete;
    ScratchDirectory& operator=(const ScratchDirectory&) = delete;
    ~ScratchDirectory() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    std::string file(const char* name) const { return (path_ / name).string(); }

private:
    std::filesystem::path path_;
};

std::string text_of_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

}   // namespace

std::string gnuplot_output(const std::string& script, const std::string& program) {
    const ScratchDirectory scratch;
    const std::string script_file = scratch.file("script.gp");
    const std::string output_file = scratch.file("output.svg");
    const std::string message_file = scratch.file("messages.txt");
    {
        std::ofstream out(script_file, std::ios::binary);
        out << script;
        if (!out.flush()) throw filterflow::Error("cannot write " + script_file + " for drawing");
    }

    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    constexpr int flags = O_WRONLY | O_CREAT | O_TRUNC;
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, output_file.c_str(), flags, 0600);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, message_file.c_str(), flags, 0600);
    std::string name = program;
    std::string default_settings = "--default-settings";
    std::string file = script_file;
    std::array<char*, 4> arguments{name.data(), default_settings.data(), file.data(), nullptr};
    pid_t child = 0;
    const int failed = ::posix_spawnp(&child, program.c_str(), &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (failed != 0) {
        throw filterflow::Error(
            "cannot start '" + program + "', which draws the figures of the report: " + std::strerror(failed) +
            (failed == ENOENT ? "; install it (Debian package gnuplot-nox) and run again" : ""));
    }
    int status = 0;
    while (::waitpid(child, &status, 0) < 0) {
        if (errno != EINTR) throw filterflow::Error(std::string("waiting for gnuplot failed: ") + std::strerror(errno));
    }
    std::string output = text_of_file(output_file);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        std::string said = one_line(text_of_file(message_file));
        const std::string how = WIFEXITED(status) ? fmt::format("status {}", WEXITSTATUS(status))
                                                  : fmt::format("signal {}", WTERMSIG(status));
        if (WIFEXITED(status) && WEXITSTATUS(status) == 127 && said.empty()) {
            throw filterflow::Error("cannot start '" + program +
                                    "', which draws the figures of the report; install it (Debian package "
                                    "gnuplot-nox) and run again");
        }
        throw filterflow::Error("gnuplot failed (" + how + ") and said: " + (said.empty() ? "nothing" : said));
    }
    return output;
}

}   // namespace choose_filter
