// SPDX-License-Identifier: BSL-1.0

#include "study_draws.hpp"

#include <algorithm>
#include <cmath>
#include <thread>

#include <fmt/format.h>

#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string duration_text(double seconds) {
    const auto whole = static_cast<long long>(std::ceil(seconds));
    if (whole < 60) return fmt::format("{} s", whole);
    if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
    return fmt::format("{} h {} min", whole / 3600, whole / 60 % 60);
}

}   // namespace

std::string progress_text(std::size_t done, std::size_t total, double seconds) {
    const double share = static_cast<double>(done) / static_cast<double>(total);
    std::string text = fmt::format("{} of {} draws ({:.0f} %)", done, total, 100.0 * share);
    if (done == 0 || !(seconds > 0.0)) return text;
    const double rate = static_cast<double>(done) / seconds;
    return text + fmt::format(", {} a second, {} left", significant_text(rate, 2),
                              duration_text(static_cast<double>(total - done) / rate));
}

void ProgressLine::tell(std::size_t done, std::chrono::duration<double> since_start) {
    if (!shown_ || total_ == 0 || since_start - last_ < std::chrono::milliseconds(200)) return;
    last_ = since_start;
    const std::string text = progress_text(done, total_, since_start.count());
    out_ << '\r' << padded_right(text, width_) << std::flush;
    width_ = std::max(width_, text.size());
}

ProgressLine::~ProgressLine() {
    if (width_ > 0) out_ << '\r' << std::string(width_, ' ') << '\r' << std::flush;
}

StudyDraws study_draws(const StudyInput& study, const StudyResult& result, std::size_t draws, std::uint64_t seed,
                       ProgressLine& progress) {
    StudyDraws drawn{draws, seed, {}};
    for (std::size_t s = 0; s < study.systems.size(); ++s) {
        detail::in_context("draws of system '" + study.systems[s].name + "': ", [&] {
            JointDrawOptions options;
            options.draws = draws;
            options.seed = seed;
            options.threads = std::max(1U, std::thread::hardware_concurrency());
            options.progress = [&](std::size_t done) { progress.tell(s * draws + done); };
            SystemDraws system{joint_draws(study, study.systems[s], result.filters, options), std::nullopt};
            if (system.draws.used > 0 && !system.draws.candidates.empty()) {
                system.choice = joint_choice(result.systems[s], system.draws, study.coverage_probability);
            }
            drawn.systems.push_back(std::move(system));
        });
    }
    return drawn;
}

}   // namespace choose_filter
