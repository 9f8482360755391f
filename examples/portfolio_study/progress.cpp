// SPDX-License-Identifier: BSL-1.0

#include "progress.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace portfolio_study {

namespace {

/// A whole number in groups of three.
std::string grouped(double number) {
    std::string text = fmt::format("{:.0f}", number);
    for (std::size_t i = text.size(); i > 3; i -= 3) text.insert(i - 3, 1, ' ');
    return text;
}

std::string time_text(double seconds) {
    if (seconds < 100.0) return fmt::format("{:.0f} s", seconds);
    if (seconds < 6000.0) return fmt::format("{:.0f} min", seconds / 60.0);
    return fmt::format("{:.1f} h", seconds / 3600.0);
}

}   // namespace

std::string progress_text(std::size_t done, std::size_t total, double seconds) {
    std::string text = grouped(static_cast<double>(done)) + " of " + grouped(static_cast<double>(total)) + " systems";
    if (done == 0 || !(seconds > 0.0)) return text;
    const double rate = static_cast<double>(done) / seconds;
    text += rate >= 10.0 ? ", " + grouped(rate) + " a second" : fmt::format(", {:.2g} a second", rate);
    return text + ", " + time_text(static_cast<double>(total - done) / rate) + " left";
}

Progress::Progress(std::ostream& out, bool is_terminal, std::size_t total)
    : out_(out), shown_(is_terminal), total_(total), start_(Clock::now()), last_(start_) {}

Progress::~Progress() {
    if (width_ > 0) out_ << '\r' << std::string(width_, ' ') << '\r' << std::flush;
}

void Progress::add() {
    const std::scoped_lock lock(mutex_);
    ++done_;
    if (!shown_) return;
    const Clock::time_point now = Clock::now();
    if (now - last_ < std::chrono::milliseconds(250)) return;
    last_ = now;
    const std::string text = progress_text(done_, total_, std::chrono::duration<double>(now - start_).count());
    out_ << '\r' << text << std::string(width_ > text.size() ? width_ - text.size() : 0, ' ') << std::flush;
    width_ = std::max(width_, text.size());
}

}   // namespace portfolio_study
