// SPDX-License-Identifier: BSL-1.0

#include "totals.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "choose_filter/report_text.hpp"

namespace portfolio_study {

namespace {

// Places of figures in their columns.
constexpr std::size_t energy_at = 8, cost_at = 10;

}   // namespace

void Totals::add(const ResultRow& row) {
    if (!open_.empty() && open_.front().number != row.number) end_system();
    open_.push_back(row);
}

void Totals::end_system() {
    ++systems_;
    const ResultRow *best = nullptr, *present = nullptr;
    for (const ResultRow& row : open_) {
        auto at = std::find(names_.begin(), names_.end(), row.candidate);
        if (at == names_.end()) {
            names_.push_back(row.candidate);
            of_candidates_.emplace_back();
            at = names_.end() - 1;
        }
        OfCandidate& totals = of_candidates_[static_cast<std::size_t>(at - names_.begin())];
        if (row.failed_limits != 0 || row.status != 0) ++totals.failing;
        if (row.present && row.figures[cost_at]) present = &row;
        if (!row.best) continue;
        best = &row;
        ++totals.best;
        totals.cost += *row.figures[cost_at];
        totals.energy += *row.figures[energy_at];
    }
    if (best == nullptr) ++without_choice_;
    if (best != nullptr && present != nullptr) {
        ++compared_;
        present_cost_ += *present->figures[cost_at];
        best_cost_ += *best->figures[cost_at];
        present_energy_ += *present->figures[energy_at];
        best_energy_ += *best->figures[energy_at];
    }
    open_.clear();
}

std::string Totals::text() {
    if (!open_.empty()) end_system();
    std::size_t width = 9;
    for (const std::string& name : names_) width = std::max(width, choose_filter::display_width(name));
    std::string text = fmt::format("{} systems, {} candidates; in {} of them none keeps to all limits\n\n{}  {:>9}  {:>13}"
                                   "  {:>13}  {:>14}\n",
                                   systems_, names_.size(), without_choice_, choose_filter::padded_right("candidate", width),
                                   "best in", "its cost", "its energy", "fails a limit");
    text += fmt::format("{}  {:>9}  {:>13}  {:>13}  {:>14}\n", std::string(width, ' '), "", "a year", "[MWh a year]",
                        "or the fan in");
    for (std::size_t k = 0; k < names_.size(); ++k) {
        const OfCandidate& t = of_candidates_[k];
        text += fmt::format("{}  {:>9}  {:>13.0f}  {:>13.1f}  {:>14}\n", choose_filter::padded_right(names_[k], width), t.best,
                            t.cost, 1e-3 * t.energy, t.failing);
    }
    if (compared_ > 0) {
        text += fmt::format("\nIn the {} systems where the present filter and the best one both have a cost: present {:.0f} a "
                            "year and {:.1f} MWh,\nbest {:.0f} a year and {:.1f} MWh. The present filter may fail a limit "
                            "that the best one keeps.\n",
                            compared_, present_cost_, 1e-3 * present_energy_, best_cost_, 1e-3 * best_energy_);
    }
    return text;
}

}   // namespace portfolio_study
