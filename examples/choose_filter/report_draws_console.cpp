// SPDX-License-Identifier: BSL-1.0

#include <fmt/format.h>

#include "report_console_text.hpp"
#include "report_draws.hpp"

namespace choose_filter {

using namespace filterflow;

std::string draws_text(const StudyInput& study, const StudyResult& result, const StudyDraws& draws, std::size_t index) {
    const SystemResult& system = result.systems.at(index);
    const SystemDraws& drawn = draws.systems.at(index);
    const auto list = [](const std::string& head, const std::vector<std::string>& texts) {
        if (texts.empty()) return std::string();
        std::string text = wrap_text(head, "   ", "   ");
        for (const std::string& t : texts) text += wrap_text(t, "     ", "   - ");
        return text;
    };
    std::string text = "\n" + wrap_text(fmt::format("Drawn {} times, seed {}: readings, fan and ducts, dust and prices "
                                                    "together, the same for every candidate.",
                                                    draws.draws, draws.seed));
    const auto table_text = [&](const DrawsTable& table) {
        if (table.rows.empty()) return;
        ConsoleTable lines;
        for (const auto& head : table.heads) lines.row(head);
        for (const auto& row : table.rows) lines.row(row);
        text += "\n" + lines.text(3, 2);
    };
    const DrawsTable ranks = rank_table(study, system, drawn);
    table_text(ranks);
    if (!ranks.rows.empty()) {
        text += wrap_text(
            "1st, 2nd ...: share of the draws in which it is the cheapest, the second ... of those that meet every "
            "limit in "
            "the draw; none: it fails one. Regret: what choosing it costs more than the cheapest of those, on average "
            "over the draws in which it meets every limit; - where it fails one in most.",
            "   ", "   ");
        if (const double none = drawn.choice->statistics->without_choice; none > 0.0) {
            text += wrap_text(fmt::format("In {} % of the draws no candidate meets every limit.", chance_text(none)),
                              "   ", "   ");
        }
    }
    const DrawsTable limits = limits_table(system, drawn);
    table_text(limits);
    if (!limits.rows.empty() && !drawn.choice->front.empty()) {
        text += wrap_text("On the front: no other candidate is as good in " + joined(drawn.choice->objectives, ", ") +
                              " and better in one.",
                          "   ", "   ");
    }
    if (!limits.rows.empty()) {
        const std::string doubted = doubted_words(system);
        if (!doubted.empty()) text += wrap_text(doubted, "   ", "   ");
    }
    text += list("Lost or not drawn:", how_drawn(study, draws, index));
    text += list("What would sharpen the choice:", sharpening_words(study, system, drawn));
    text += list("Whether the draws bear out the intervals above, to one digit of their half width:",
                 interval_check_words(study, system, drawn));
    return text;
}

}   // namespace choose_filter
