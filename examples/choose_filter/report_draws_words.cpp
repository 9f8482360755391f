// SPDX-License-Identifier: BSL-1.0

// Sentences about the joint draws: what was lost, what would sharpen the choice, whether the study's intervals hold.

#include "report_draws.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

namespace {

constexpr std::size_t measurements_named = 5;

std::vector<std::string> quoted_names(const SystemResult& system, const std::vector<std::size_t>& indices) {
    std::vector<std::string> names;
    for (const std::size_t i : indices) names.push_back("'" + system.candidates.at(i).name + "'");
    return names;
}

/// How many of a figure's intervals hold, fail or are not told, and those that fail.
struct FigureVerdict {
    std::string figure;
    std::size_t holds = 0, fails = 0, not_told = 0;
    double most_doubt = 0.0;              // of an end that is not told, as a part of the tolerance
    const FigureCheck* worst = nullptr;   // by the part of its width that an end is off
    double worst_part = 0.0;
};

std::vector<FigureVerdict> verdicts(const std::vector<FigureCheck>& checks) {
    std::vector<FigureVerdict> all;
    for (const FigureCheck& c : checks) {
        if (all.empty() || all.back().figure != c.figure) all.push_back({c.figure});
        FigureVerdict& v = all.back();
        if (c.check.status == FirstOrderStatus::holds) ++v.holds;
        if (c.check.status == FirstOrderStatus::fails) ++v.fails;
        if (c.check.status == FirstOrderStatus::not_told) {
            ++v.not_told;
            v.most_doubt = std::max(v.most_doubt, std::max(c.end_doubts.lower, c.end_doubts.upper) / c.check.tolerance);
        }
        const double half = 0.5 * (c.check.monte_carlo.upper - c.check.monte_carlo.lower);
        const double part = half > 0.0 ? std::max(c.check.lower_difference, c.check.upper_difference) / half : 0.0;
        if (c.check.status == FirstOrderStatus::fails && part > v.worst_part) {
            v.worst = &c;
            v.worst_part = part;
        }
    }
    return all;
}

/// A figure's interval in the unit of print.
std::string interval_words_of(const std::string& figure, const Interval<double>& interval,
                              const std::string& currency) {
    const DrawnUnit unit = drawn_unit(figure, currency);
    const double lower = interval.lower / unit.one, upper = interval.upper / unit.one;
    return interval_text(not_negative({0.5 * (lower + upper), lower, upper})) + " " + unit.name;
}

/// A difference of yearly costs that the study and draws judge differently.
std::string difference_words(const DifferenceCheck& d, const SystemResult& system, const StudyInput& study,
                             std::size_t draws) {
    const bool cheaper = d.cheaper_share >= 0.5;
    const std::string low = "'" + system.candidates.at(cheaper ? d.candidate : d.other).name + "'";
    const std::string high = "'" + system.candidates.at(cheaper ? d.other : d.candidate).name + "'";
    const double share = cheaper ? d.cheaper_share : 1.0 - d.cheaper_share;
    const auto range = [&](const Interval<double>& i) {   // of what the one costs less than the other
        const double lower = cheaper ? -i.upper : i.lower, upper = cheaper ? -i.lower : i.upper;
        return interval_text({0.5 * (lower + upper), lower, upper}) + " " + study.prices.currency;
    };
    const std::string percent = fmt::format("{:.4g} %", 100.0 * study.coverage_probability);
    return fmt::format(
        "the study is off for the difference in yearly cost of {} and {}: it {}, but {} is cheaper in {} % of {} "
        "draws, "
        "{} (less by {} with {} probability; the study: {}); go by the draws",
        low, high, d.tied_by_first_order ? "does not tell them apart" : "tells them apart", low, chance_text(share),
        draws, d.tied_by_first_order ? "which tells them apart" : "which does not tell them apart", range(d.drawn),
        percent, range(d.first_order));
}

}   // namespace

DrawnUnit drawn_unit(const std::string& figure, const std::string& currency) {
    if (figure == "yearly cost") return {1.0, currency, currency};
    if (figure == "energy") return {units::kWh.one.value(), "kWh", "kWh"};
    if (figure == "change interval") return {units::h.one.value(), "h", "h"};
    return {units::m3_per_h.one.value(), "m³/h", "m3/h"};
}

std::vector<std::string> how_drawn(const StudyInput& study, const StudyDraws& draws, std::size_t index) {
    const JointDraws& of = draws.systems.at(index).draws;
    std::vector<std::string> texts;
    for (const LostDraws& lost : of.lost) {
        texts.push_back(
            fmt::format("'{}' could not be evaluated in {} of {} draws{} (first: {})",
                        study.candidates.at(lost.candidate).name, lost.draws, of.asked,
                        lost.left_out ? ", more than one in twenty: it takes no part" : ": these are left out for all",
                        lost.reason));
    }
    if (!of.not_compared.empty()) {
        std::vector<std::string> names;
        for (const std::size_t i : of.not_compared) names.push_back("'" + study.candidates.at(i).name + "'");
        texts.push_back("not drawn, for want of what stands among the missing: " + joined(names));
    }
    return texts;
}

std::vector<std::string> sharpening_words(const StudyInput& study, const SystemResult& system,
                                          const SystemDraws& drawn) {
    if (!drawn.choice || !drawn.choice->statistics) return {};
    const std::string& money = study.prices.currency;
    if (!drawn.choice->information) {
        return {drawn.draws.used < least_draws_to_judge
                    ? fmt::format("told from {} draws on", least_draws_to_judge)
                    : "fewer than two candidates meet the limits at the estimates: no measurement is weighed"};
    }
    const InformationValue& info = *drawn.choice->information;
    const auto worth = [](double value, double error) {
        return estimate_text(not_negative({value, value - 2.0 * error, value + 2.0 * error}));
    };
    const std::string best = "'" + system.candidates[drawn.choice->informed_choice[info.best]].name + "'";
    const std::string second = "'" + system.candidates[drawn.choice->informed_choice[info.second]].name + "'";
    std::vector<std::string> texts{
        fmt::format("to know everything before choosing between {}, by cost alone, would save {} {} a year on average",
                    joined(quoted_names(system, drawn.choice->informed_choice)),
                    worth(info.perfect, info.perfect_standard_error), money)};
    std::vector<InputWorth> named;
    for (const InputWorth& w : info.inputs) {
        if (w.value > 2.0 * w.standard_error && w.value > 0.01 * info.perfect) named.push_back(w);
    }
    bool first_of_all = false;
    for (const std::size_t i : drawn.choice->informed_choice) {
        const CandidateResult& c = system.candidates[i];
        if (!c.pm25_removal_as_it_runs) continue;
        texts.push_back("first of all count '" + c.name +
                        "' at the velocity that it runs at: whether it meets its limit there is not drawn, and decides "
                        "whether it may be chosen");
        first_of_all = true;
    }
    if (named.empty()) {
        texts.push_back(std::string(first_of_all ? "apart from that, " : "") +
                        "no single measurement would change the choice by what it would tell");
        // Then what the doubt rests on still says where to measure.
        named = info.inputs;
        std::stable_sort(named.begin(), named.end(), [](const InputWorth& a, const InputWorth& b) {
            return a.explained_share > b.explained_share;
        });
        std::erase_if(named, [](const InputWorth& w) { return w.explained_share < 0.02; });
    }
    std::vector<std::string> shares;   // of those that are worth nothing alone
    for (std::size_t i = 0; i < named.size() && i < measurements_named; ++i) {
        const InputWorth& w = named[i];
        const std::string& measurement = drawn.draws.measurements.at(w.input);
        const std::string share = chance_text(std::clamp(w.explained_share, 0.0, 1.0)) + " %";
        if (w.value > 2.0 * w.standard_error) {
            texts.push_back(fmt::format("{}: worth {} {} a year, explains {} of the doubt between {} and {}",
                                        measurement, worth(w.value, w.standard_error), money, share, best, second));
        } else {
            shares.push_back(measurement + " (" + share + ")");
        }
    }
    if (!shares.empty()) {
        texts.push_back(fmt::format("the doubt between {} and {} rests on: {}", best, second, joined(shares, "; ")));
    }
    return texts;
}

std::vector<std::string> interval_check_words(const StudyInput& study, const SystemResult& system,
                                           const SystemDraws& drawn) {
    if (!drawn.choice) return {};
    std::vector<std::string> texts;
    if (drawn.choice->checks.empty()) {
        texts.push_back(fmt::format("told from {} draws on", least_draws_to_judge));
    }
    for (const FigureVerdict& v : verdicts(drawn.choice->checks)) {
        std::string text =
            fmt::format("{}: {} of {} intervals borne out", v.figure, v.holds, v.holds + v.fails + v.not_told);
        if (v.not_told > 0) {
            text += fmt::format(", {} not decided by so few draws", v.not_told);
            // The doubt of an end falls as the root of the draws; a fifth of the tolerance is asked for. A figure that
            // does not vary, or hardly does before an age, has no tolerance to ask by.
            constexpr double reasonable = 1e9, possible = 1e6;   // of draws
            const double needed = static_cast<double>(drawn.draws.used) * std::pow(5.0 * v.most_doubt, 2.0);
            if (needed > possible && needed < reasonable) text += " (it takes more than a million)";
            if (needed <= possible) {
                text += fmt::format(" (it takes some {})",
                                    significant_text(std::max(needed, static_cast<double>(drawn.draws.used)), 1));
            }
        }
        if (v.fails > 0) text += fmt::format(", {} not borne out", v.fails);
        if (v.worst) {
            const std::string unit = study.prices.currency;
            text += fmt::format(" (the farthest: '{}', {} where the draws give {})",
                                system.candidates[v.worst->candidate].name,
                                interval_words_of(v.figure, v.worst->check.first_order, unit),
                                interval_words_of(v.figure, v.worst->check.monte_carlo, unit));
        }
        texts.push_back(text);
    }
    for (const DifferenceCheck& d : drawn.choice->differences) {
        const bool told_above = system.recommended == d.candidate;
        if (d.contradicts() && !told_above) texts.push_back(difference_words(d, system, study, drawn.draws.used));
    }
    return texts;
}

std::vector<std::string> contradiction_words(const StudyInput& study, const SystemResult& system,
                                             const SystemDraws& drawn) {
    std::vector<std::string> texts;
    if (!drawn.choice) return texts;
    for (const DifferenceCheck& d : drawn.choice->differences) {
        const bool recommended = system.recommended == d.candidate;
        if (recommended && d.contradicts()) texts.push_back(difference_words(d, system, study, drawn.draws.used));
    }
    return texts;
}

}   // namespace choose_filter
