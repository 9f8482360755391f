// SPDX-License-Identifier: BSL-1.0

#include "report_draws_files.hpp"

#include <algorithm>

#include "report_candidate.hpp"
#include "report_draws.hpp"
#include "report_json_values.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

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

Json interval_of(const Interval<double>& i, double one) {
    return Json{{"lower", number(i.lower / one)}, {"upper", number(i.upper / one)}};
}

/// A mean over the draws with its standard error.
Json mean_of(double mean, double standard_error, const std::string& unit) {
    return Json{{"value", number(mean)}, {"standard_error", number(standard_error)}, {"unit", unit}};
}

Json information_of(const SystemDraws& drawn, const SystemResult& system, const std::string& money_a_year) {
    if (!drawn.choice || !drawn.choice->information) return nullptr;
    const InformationValue& info = *drawn.choice->information;
    Json between = Json::array(), measurements = Json::array();
    for (const std::size_t c : drawn.choice->informed_choice) between.push_back(system.candidates.at(c).name);
    for (const InputWorth& w : info.inputs) {
        measurements.push_back({{"measurement", drawn.draws.measurements.at(w.input)},
                                {"worth", mean_of(w.value, w.standard_error, money_a_year)},
                                {"explained_share", number(w.explained_share)}});
    }
    return Json{{"between", between},
                {"perfect", mean_of(info.perfect, info.perfect_standard_error, money_a_year)},
                {"measurements", measurements}};
}

/// The intervals of the study beside those of the draws.
Json interval_checks_of(const JointChoice& choice, const SystemResult& system, const std::string& money) {
    Json checks = Json::array();
    for (const FigureCheck& c : choice.checks) {
        const DrawnUnit unit = drawn_unit(c.figure, money);
        checks.push_back({{"candidate", system.candidates.at(c.candidate).name},
                          {"figure", c.figure},
                          {"unit", unit.file_name},
                          {"status", status_name(c.check.status)},
                          {"tolerance", number(c.check.tolerance / unit.one)},
                          {"mean_of_draws", number(c.mean / unit.one)},
                          {"interval_of_study", interval_of(c.check.first_order, unit.one)},
                          {"interval_of_draws", interval_of(c.check.monte_carlo, unit.one)}});
    }
    return checks;
}

/// Differences of yearly costs, by the study and by the draws.
Json differences_of(const JointChoice& choice, const SystemResult& system, const std::string& money) {
    Json differences = Json::array();
    for (const DifferenceCheck& d : choice.differences) {
        differences.push_back({{"candidate", system.candidates.at(d.candidate).name},
                               {"other", system.candidates.at(d.other).name},
                               {"unit", money},
                               {"cheaper_share", number(d.cheaper_share)},
                               {"tied_by_study", d.tied_by_first_order},
                               {"by_draws", tie_name(d.by_draws)},
                               {"contradicts", d.contradicts()},
                               {"interval_of_study", interval_of(d.first_order, 1.0)},
                               {"interval_of_draws", interval_of(d.drawn, 1.0)},
                               {"status", d.check ? Json(status_name(d.check->status)) : Json(nullptr)}});
    }
    return differences;
}

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
    const std::string money = currency_name(study), money_a_year = money + "/year";
    Json lost = Json::array(), candidates = Json::array();
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
            one["probability_without_rank"] = number(c.without_rank);
            one["expected_annual_cost"] = Json{{"value", number(c.expected_cost)}, {"unit", money}};
            one["expected_regret"] = c.without_rank < 1.0
                                         ? mean_of(c.expected_regret, c.regret_standard_error, money_a_year)
                                         : Json(nullptr);
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
    Json not_compared = Json::array();
    for (const std::size_t i : of.not_compared) not_compared.push_back(study.candidates.at(i).name);
    return Json{
        {"asked", of.asked},
        {"used", of.used},
        {"seed", draws.seed},
        {"probability_without_choice",
         drawn.choice && drawn.choice->statistics ? Json(drawn.choice->statistics->without_choice) : Json(nullptr)},
        {"objectives", drawn.choice ? Json(drawn.choice->objectives) : Json::array()},
        {"candidates", candidates},
        {"not_compared", not_compared},
        {"lost", lost},
        {"information", information_of(drawn, system, money_a_year)},
        {"interval_checks", drawn.choice ? interval_checks_of(*drawn.choice, system, money) : Json::array()},
        {"differences", drawn.choice ? differences_of(*drawn.choice, system, money) : Json::array()}};
}

}   // namespace choose_filter
