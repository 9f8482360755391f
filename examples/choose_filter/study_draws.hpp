// SPDX-License-Identifier: BSL-1.0
#pragma once

// Joint Monte Carlo of a study, where it is asked for: the draws of each system and what they say of the choice.

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include <filterflow/study/joint_choice.hpp>
#include <filterflow/study/joint_draws.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace choose_filter {

/// One system, drawn.
struct SystemDraws {
    filterflow::JointDraws draws;
    std::optional<filterflow::JointChoice> choice;   // absent if no draw is left or nothing can be compared
};

/// A study, drawn.
struct StudyDraws {
    std::size_t draws = 0;   ///< of each system
    std::uint64_t seed = 1;
    std::vector<SystemDraws> systems;   // in the study's order
};

/// A line that tells how far a long work is, written over itself; nothing where it is not shown.
class ProgressLine {
public:
    using Clock = std::chrono::steady_clock;
    ProgressLine(std::ostream& out, bool shown, std::size_t total) : out_(out), shown_(shown), total_(total) {}
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;
    ~ProgressLine();
    /// Tells that so many are done at a time since the beginning; at most five times a second.
    void tell(std::size_t done, std::chrono::duration<double> since_start);
    void tell(std::size_t done) { tell(done, Clock::now() - start_); }

private:
    std::ostream& out_;
    bool shown_;
    std::size_t total_, width_ = 0;
    Clock::time_point start_ = Clock::now();
    std::chrono::duration<double> last_{-1.0};
};

/// "640 of 4000 draws (16 %), 21 a second, 2 min 40 s left".
std::string progress_text(std::size_t done, std::size_t total, double seconds);

/// Draws each system of a study. Throws filterflow::Error, with the system's name.
StudyDraws study_draws(const filterflow::StudyInput& study, const filterflow::StudyResult& result, std::size_t draws,
                       std::uint64_t seed, ProgressLine& progress);

}   // namespace choose_filter
