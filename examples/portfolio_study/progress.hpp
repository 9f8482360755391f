// SPDX-License-Identifier: BSL-1.0
#pragma once

// A line that says how far the work is, how fast it goes and how long it will take, on a terminal; silence elsewhere.

#include <chrono>
#include <cstddef>
#include <mutex>
#include <ostream>
#include <string>

namespace portfolio_study {

/// "1 200 of 50 000 systems, 2 100 a second, 23 s left".
std::string progress_text(std::size_t done, std::size_t total, double seconds);

class Progress {
public:
    /// `out` is written to if it is a terminal, as `is_terminal` says.
    Progress(std::ostream& out, bool is_terminal, std::size_t total);
    /// Clears the line.
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// One system more is done; from any thread.
    void add();

private:
    using Clock = std::chrono::steady_clock;
    std::ostream& out_;
    bool shown_;
    std::size_t total_, done_ = 0;
    std::size_t width_ = 0;   // of the line on the screen
    Clock::time_point start_, last_;
    std::mutex mutex_;
};

}   // namespace portfolio_study
