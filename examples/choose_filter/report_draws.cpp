// SPDX-License-Identifier: BSL-1.0

#include "report_draws.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report_candidate.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// "1st", "2nd", "3rd", "11th".
std::string ordinal(std::size_t n) {
    const bool teen = n % 100 >= 11 && n % 100 <= 13;
    const char* end = teen || n % 10 > 3 || n % 10 == 0 ? "th" : n % 10 == 1 ? "st" : n % 10 == 2 ? "nd" : "rd";
    return std::to_string(n) + end;
}

std::vector<std::vector<std::string>> heads_begin() { return {{"#", "candidate"}, {"", ""}, {"", ""}}; }

void add_head(DrawsTable& table, const std::string& word, const std::string& second, const std::string& unit) {
    table.heads[0].push_back(word);
    table.heads[1].push_back(second);
    table.heads[2].push_back(unit);
}

}   // namespace

std::string chance_text(double probability) {
    if (probability > 0.0 && probability < 0.005) return "<1";
    if (probability < 1.0 && probability >= 0.995) return ">99";
    return fixed_text(100.0 * probability, 0);
}

std::vector<std::size_t> drawn_in_order(const SystemResult& system, const SystemDraws& drawn) {
    std::vector<std::size_t> places;
    for (const std::size_t c : candidates_in_order(system)) {
        const auto at = std::find(drawn.draws.candidates.begin(), drawn.draws.candidates.end(), c);
        if (at != drawn.draws.candidates.end())
            places.push_back(static_cast<std::size_t>(at - drawn.draws.candidates.begin()));
    }
    return places;
}

std::size_t ranks_taken(const ChoiceStatistics& statistics) {
    std::size_t taken = 0;
    for (const CandidateChances& c : statistics.candidates) {
        for (std::size_t r = taken; r < c.rank.size(); ++r) taken = c.rank[r] > 0.0 ? r + 1 : taken;
    }
    return taken;
}

Estimate regret_estimate(const SystemDraws& drawn, std::size_t place) {
    const CandidateChances& c = drawn.choice->statistics->candidates.at(place);
    const double half = 2.0 * c.regret_standard_error;
    return not_negative({c.expected_regret, c.expected_regret - half, c.expected_regret + half});
}

DrawsTable rank_table(const StudyInput& study, const SystemResult& system, const SystemDraws& drawn) {
    DrawsTable table;
    if (!drawn.choice || !drawn.choice->statistics) return table;
    const ChoiceStatistics& s = *drawn.choice->statistics;
    table.heads = heads_begin();
    const std::size_t shown = ranks_taken(s);
    for (std::size_t r = 0; r < shown; ++r) add_head(table, ordinal(r + 1), "", "[%]");
    add_head(table, "none", "", "[%]");
    add_head(table, "regret", "a year", "[" + cut_to_width(currency_name(study), 14) + "]");
    const auto names = place_names(system);
    for (const std::size_t k : drawn_in_order(system, drawn)) {
        const std::size_t c = drawn.draws.candidates[k];
        std::vector<std::string> row{names[c], one_line(system.candidates[c].name)};
        for (std::size_t r = 0; r < shown; ++r) row.push_back(chance_text(s.candidates[k].rank[r]));
        row.push_back(chance_text(s.candidates[k].without_rank));
        const bool mostly_fails = s.candidates[k].without_rank > 0.5;   // a cost that no one may choose
        row.push_back(mostly_fails ? "-" : estimate_text(regret_estimate(drawn, k)));
        table.rows.push_back(std::move(row));
    }
    return table;
}

DrawsTable limits_table(const SystemResult& system, const SystemDraws& drawn) {
    DrawsTable table;
    if (!drawn.choice || (drawn.draws.limits.empty() && drawn.choice->front.empty())) return table;
    table.heads = heads_begin();
    for (const JointLimit& limit : drawn.draws.limits) {
        const std::string name = limit.name == "external static pressure" ? "external static"
                                 : limit.name == "removal of PM2.5"       ? "PM2.5 removal"
                                                                          : limit.name;
        const std::size_t space = name.find(' ');
        add_head(table, name.substr(0, space), space == std::string::npos ? "" : name.substr(space + 1), "holds [%]");
    }
    const bool front = !drawn.choice->front.empty();
    if (front) {
        add_head(table, "on the front", "in draws", "[%]");
        add_head(table, "on the front", "by the means", "");
    }
    const auto names = place_names(system);
    for (const std::size_t k : drawn_in_order(system, drawn)) {
        const std::size_t c = drawn.draws.candidates[k];
        std::vector<std::string> row{names[c], one_line(system.candidates[c].name)};
        for (std::size_t l = 0; l < drawn.draws.limits.size(); ++l) {
            const bool not_drawn =
                drawn.draws.limits[l].name == "removal of PM2.5" && system.candidates[c].pm25_removal_as_it_runs;
            row.push_back(not_drawn ? "in doubt" : chance_text(drawn.choice->limits[k][l]));
        }
        if (front) {
            const FrontPlace& place = drawn.choice->front[k];
            std::vector<std::string> by;
            for (const std::size_t other : place.beaten_by) by.push_back(names[drawn.draws.candidates[other]]);
            std::sort(by.begin(), by.end());
            row.push_back(chance_text(place.probability));
            row.push_back(place.is_on_front ? "yes" : "beaten by " + joined(by));
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

std::string doubted_words(const SystemResult& system) {
    std::vector<std::string> names;
    for (const CandidateResult& c : system.candidates) {
        if (c.failed_limits.empty() && c.pm25_removal_as_it_runs) names.push_back("'" + c.name + "'");
    }
    if (names.empty()) return "";
    return "Removal is drawn as it was counted, at the velocity of the counts, which does not tell whether " +
           joined(names) + (names.size() == 1 ? " meets" : " meet") +
           " the limit at the velocity that it runs at: in doubt.";
}

}   // namespace choose_filter
