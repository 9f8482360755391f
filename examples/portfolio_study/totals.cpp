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
        if (row.failed_limits != 0 || row.status != 0) ++totals.unfit;
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
    std::string text =
        fmt::format("{} systems, {} candidates; {} of the systems without a candidate that keeps to all limits\n\n",
                    systems_, names_.size(), without_choice_);
    const auto line = [&](const std::string& name, const auto&... cells) {
        text += choose_filter::padded_right(name, width);
        ((text += "  " + choose_filter::padded_left(cells, 13)), ...);
        text += '\n';
    };
    line("candidate", "best in", "cost there", "energy there", "unfit in");
    line("", "[systems]", "[a year]", "[MWh a year]", "[systems]");
    for (std::size_t k = 0; k < names_.size(); ++k) {
        const OfCandidate& t = of_candidates_[k];
        line(names_[k], std::to_string(t.best), fmt::format("{:.0f}", t.cost), fmt::format("{:.1f}", 1e-3 * t.energy),
             std::to_string(t.unfit));
    }
    text += "Unfit: it fails a limit, or fan, final resistance or life leave it without a yearly cost.\n";
    if (compared_ > 0) {
        text += fmt::format(
            "\nIn {} systems the present filter and the best one both have a cost: together {:.0f} a year and {:.1f} "
            "MWh\n"
            "with the present ones, {:.0f} a year and {:.1f} MWh with the best ones, at equal service. A present\n"
            "filter may fail a limit that the best one keeps, and so be cheaper.\n",
            compared_, present_cost_, 1e-3 * present_energy_, best_cost_, 1e-3 * best_energy_);
    }
    return text;
}

}   // namespace portfolio_study
