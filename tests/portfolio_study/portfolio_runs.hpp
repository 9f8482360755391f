// SPDX-License-Identifier: BSL-1.0
#pragma once

// Runs of the program in directories of their own.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include <unistd.h>

#include "portfolio_study/program.hpp"

namespace portfolio_test {

/// A directory that goes when the test ends.
class TestDirectory {
public:
    TestDirectory() {
        static int count = 0;
        path_ = std::filesystem::temp_directory_path() /
                ("portfolio_study_test_" + std::to_string(::getpid()) + "_" + std::to_string(++count));
        std::filesystem::create_directories(path_);
    }
    ~TestDirectory() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TestDirectory(const TestDirectory&) = delete;
    TestDirectory& operator=(const TestDirectory&) = delete;

    std::string operator/(const std::string& name) const { return (path_ / name).string(); }

private:
    std::filesystem::path path_;
};

inline const std::string candidates_path = "examples/tern_lane/portfolio_candidates.csv";
inline const std::string systems_path = "examples/tern_lane/portfolio.csv";

inline std::string text_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

inline void write_text(const std::string& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

/// The text with one piece, which must be there, replaced by another.
inline std::string with(std::string text, const std::string& before, const std::string& after) {
    const std::size_t at = text.find(before);
    if (at == std::string::npos) throw std::runtime_error("'" + before + "' is not in the text");
    return text.replace(at, before.size(), after);
}

struct Ran {
    int status;
    std::string out, err;
};

inline Ran run(std::vector<std::string> arguments, bool is_terminal = false) {
    arguments.insert(arguments.begin(), "portfolio_study");
    std::vector<const char*> argv;
    for (const std::string& a : arguments) argv.push_back(a.c_str());
    std::ostringstream out, err;
    const int status = portfolio_study::run_program(static_cast<int>(argv.size()), argv.data(), out, err, is_terminal);
    return {status, out.str(), err.str()};
}

/// A scenario run with further options; small blocks, so that there are many.
inline Ran run_scenario(const std::string& systems, const std::string& out, std::vector<std::string> more = {}) {
    std::vector<std::string> arguments{"--scenario", systems, "--candidates", candidates_path,
                                       "--out",      out,     "--block",      "3"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run(arguments);
}

}   // namespace portfolio_test
