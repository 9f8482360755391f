// SPDX-License-Identifier: BSL-1.0

#include "report_draws_files.hpp"

#include <algorithm>

#include "report_candidate.hpp"
#include "report_draws.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

using Json = nlohmann::ordered_json;

const char* status_name(FirstOrderStatus status) {
    switch (status) {
        case FirstOrderStatus::holds:
            return "holds";
        case FirstOrderStatus::fails:
            return "fails";
        case FirstOrderStatus::not_told:
            return "not_told";
    }
    return "";
}

const char* tie_name(DrawnTie tie) {
    switch (tie) {
        case DrawnTie::apart:
            return "apart";
        case DrawnTie::tied:
            return "tied";
        case DrawnTie::not_told:
            return "not_told";
    }
    return "";
}

/// Ranks that results.csv has columns for: the most candidates of a system.
std::size_t most_ranks(const StudyDraws& draws) {
    std::size_t most = 0;
    for (const SystemDraws& s : draws.systems) most = std::max(most, s.draws.candidates.size());
    return most;
}

std::vector<std::string> limit_names(const StudyDraws& draws) {
    std::vector<std::string> names;
    for (const SystemDraws& s : draws.systems) {
        for (const JointLimit& limit : s.draws.limits) {
            if (std::find(names.begin(), names.end(), limit.name) == names.end()) names.push_back(limit.name);
        }
    }
    return names;
}

Json interval_of(const Interval<double>& i) { return Json::array({i.lower, i.upper}); }

}   // namespace

std::vector<std::string> draws_csv_heads(const StudyInput& study, const StudyDraws& draws) {
    std::vector<std::string> heads;
    for (std::size_t r = 0; r < most_ranks(draws); ++r)
        heads.push_back("probability rank " + std::to_string(r + 1) + " [1]");
    heads.push_back("probability without rank [1]");
    heads.push_back(csv_text("expected_regret [" + currency_name(study) + "]"));
    for (const std::string& name : limit_names(draws))
        heads.push_back(csv_text("probability limit holds: " + name + " [1]"));
    heads.push_back("probability on_front [1]");
    heads.push_back("on_front");
    heads.push_back("draws_used");
    return heads;
}

std::vector<std::string> draws_csv_cells(const StudyInput&, const StudyDraws& draws, std::size_t index,
                                         std::size_t candidate) {
    const SystemDraws& drawn = draws.systems.at(index);
    const auto& compared = drawn.draws.candidates;
    const auto at = std::find(compared.begin(), compared.end(), candidate);
    const bool is_there = at != compared.end() && drawn.choice;
    const std::size_t k = is_there ? static_cast<std::size_t>(at - compared.begin()) : 0;
    const CandidateChances* chances =
        is_there && drawn.choice->statistics ? &drawn.choice->statistics->candidates[k] : nullptr;
    std::vector<std::string> cells;
    for (std::size_t r = 0; r < most_ranks(draws); ++r) {
        cells.push_back(chances && r < chances->rank.size() ? exact_text(chances->rank[r]) : "");
    }
    cells.push_back(chances ? exact_text(chances->without_rank) : "");
    cells.push_back(chances && chances->without_rank < 1.0 ? exact_text(chances->expected_regret) : "");
    for (const std::string& name : limit_names(draws)) {
        std::string text;
        for (std::size_t l = 0; is_there && l < drawn.draws.limits.size(); ++l) {
            if (drawn.draws.limits[l].name == name) text = exact_text(drawn.choice->limits[k][l]);
        }
        cells.push_back(text);
    }
    const FrontPlace* front = is_there && !drawn.choice->front.empty() ? &drawn.choice->front[k] : nullptr;
    cells.push_back(front ? exact_text(front->probability) : "");
    cells.push_back(front ? (front->is_on_front ? "yes" : "no") : "");
    cells.push_back(std::to_string(drawn.draws.used));
    return cells;
}

Json draws_json(const StudyInput& study, const StudyResult& result, const StudyDraws& draws, std::size_t index) {
    const SystemDraws& drawn = draws.systems.at(index);
    const JointDraws& of = drawn.draws;
    const SystemResult& system = result.systems.at(index);
    Json lost = Json::array(), candidates = Json::array(), measurements = Json::array(), checks = Json::array();
    for (const LostDraws& l : of.lost) {
        lost.push_back({{"candidate", study.candidates.at(l.candidate).name},
                        {"draws", l.draws},
                        {"reason", l.reason},
                        {"left_out", l.left_out}});
    }
    const auto name_of = [&](std::size_t c) { return system.candidates.at(c).name; };
    for (std::size_t k = 0; k < of.candidates.size() && drawn.choice; ++k) {
        Json one{{"name", name_of(of.candidates[k])}};
        if (drawn.choice->statistics) {
            const CandidateChances& c = drawn.choice->statistics->candidates[k];
            one["rank_probabilities"] = c.rank;
            one["without_rank"] = c.without_rank;
            one["expected_cost"] = c.expected_cost;
            const bool ever = c.without_rank < 1.0;
            one["expected_regret"] = ever ? Json(c.expected_regret) : Json(nullptr);
            one["expected_regret_standard_error"] = ever ? Json(c.regret_standard_error) : Json(nullptr);
        }
        Json limits = Json::object();
        for (std::size_t l = 0; l < of.limits.size(); ++l) limits[of.limits[l].name] = drawn.choice->limits[k][l];
        one["limit_probabilities"] = limits;
        if (!drawn.choice->front.empty()) {
            const FrontPlace& f = drawn.choice->front[k];
            Json by = Json::array();
            for (const std::size_t other : f.beaten_by) by.push_back(name_of(of.candidates[other]));
            one["on_front"] = f.is_on_front;
            one["on_front_probability"] = f.probability;
            one["beaten_by"] = by;
        }
        candidates.push_back(std::move(one));
    }
    Json information = nullptr;
    if (drawn.choice && drawn.choice->information) {
        const InformationValue& info = *drawn.choice->information;
        for (const InputWorth& w : info.inputs) {
            measurements.push_back({{"measurement", of.measurements.at(w.input)},
                                    {"worth", w.value},
                                    {"standard_error", w.standard_error},
                                    {"explained_share", w.explained_share}});
        }
        Json between = Json::array();
        for (const std::size_t c : drawn.choice->informed_choice) between.push_back(name_of(c));
        information = Json{{"between", between},
                           {"perfect", info.perfect},
                           {"perfect_standard_error", info.perfect_standard_error},
                           {"measurements", measurements}};
    }
    if (drawn.choice) {
        for (const FigureCheck& c : drawn.choice->checks) {
            checks.push_back({{"candidate", name_of(c.candidate)},
                              {"figure", c.figure},
                              {"status", status_name(c.check.status)},
                              {"tolerance", c.check.tolerance},
                              {"mean_of_draws", c.mean},
                              {"first_order", interval_of(c.check.first_order)},
                              {"draws", interval_of(c.check.monte_carlo)}});
        }
    }
    Json differences = Json::array();
    for (std::size_t i = 0; drawn.choice && i < drawn.choice->differences.size(); ++i) {
        const DifferenceCheck& d = drawn.choice->differences[i];
        differences.push_back({{"candidate", name_of(d.candidate)},
                               {"other", name_of(d.other)},
                               {"cheaper_share", d.cheaper_share},
                               {"tied_by_first_order", d.tied_by_first_order},
                               {"by_draws", tie_name(d.by_draws)},
                               {"contradicts", d.contradicts()},
                               {"first_order", interval_of(d.first_order)},
                               {"draws", interval_of(d.drawn)},
                               {"status", d.check ? Json(status_name(d.check->status)) : Json(nullptr)}});
    }
    Json not_compared = Json::array();
    for (const std::size_t i : of.not_compared) not_compared.push_back(study.candidates.at(i).name);
    return Json{
        {"asked", of.asked},
        {"used", of.used},
        {"seed", draws.seed},
        {"without_choice",
         drawn.choice && drawn.choice->statistics ? Json(drawn.choice->statistics->without_choice) : Json(nullptr)},
        {"objectives", drawn.choice ? Json(drawn.choice->objectives) : Json::array()},
        {"candidates", candidates},
        {"not_compared", not_compared},
        {"lost", lost},
        {"information", information},
        {"first_order", checks},
        {"differences", differences}};
}

}   // namespace choose_filter
