// SPDX-License-Identifier: BSL-1.0
#pragma once

// Candidates of a system in order, ties told by differences, and one recommendation in a sentence that says what it
// rests on. What ranks is the yearly cost at equal service; counterfactual power is never looked at.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

namespace detail {

inline std::string listed(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + ("'" + names[i] + "'");
    }
    return text;
}

/// "812 +- 60" with the half width of the interval, rounded by it.
inline std::string money_words(const Uncertain<Money>& x, const std::string& currency, double probability) {
    const Interval<Money> interval = coverage_interval(x, probability);
    const double half = 0.5 * (interval.upper.value() - interval.lower.value());
    const int digits = half > 0.0 ? std::clamp(static_cast<int>(std::floor(std::log10(std::abs(x.value.value()) / half))) + 2,
                                               1, 6)
                                  : 4;
    return rounded(x.value.value(), digits) + (half > 0.0 ? " +- " + rounded(half, 2) : "") + " " + currency;
}

inline std::string interval_words(const CandidateResult& candidate, const SystemInput& system) {
    if (!candidate.change_interval) return "";
    std::string text = hours_words(candidate.change_interval->value);
    if (system.hours_per_year) {
        const double months = 12.0 * (candidate.change_interval->value / *system.hours_per_year);
        text += " (about " + rounded(months, 2) + (months < 1.5 ? " month)" : " months)");
    }
    return text;
}

inline std::string present_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                 std::size_t chosen) {
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const CandidateResult& present = result.candidates[i];
        if (present.name != system.present_candidate || !present.annual_cost) continue;
        if (i == chosen) return "; it is what is installed now";
        const Uncertain<Money> more = *present.annual_cost - *result.candidates[chosen].annual_cost;
        const Interval<Money> interval = coverage_interval(more, study.coverage_probability);
        const std::string words = money_words(more, study.prices.currency, study.coverage_probability);
        if (interval.contains(Money{})) {
            return "; its cost is not told apart from that of the present " + ("'" + present.name + "'");
        }
        return more.value.value() > 0.0
                   ? "; the present '" + present.name + "' costs " + words + " a year more"
                   : "; the present '" + present.name + "' costs " +
                         money_words(scaled(more, -1.0), study.prices.currency, study.coverage_probability) +
                         " a year less" + (present.failed_limits.empty() ? "" : " but breaks a limit");
    }
    return "";
}

inline std::string recommendation_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                        std::size_t chosen, const std::vector<std::string>& tied_cheapest) {
    const CandidateResult& c = result.candidates[chosen];
    std::string text = result.conditional
                           ? "No least airflow was given, so nothing is recommended unconditionally; by cost alone it "
                             "would be '" + c.name + "', changed every "
                           : "Fit '" + c.name + "' and change it every ";
    text += interval_words(c, system);
    text += ": " + money_words(*c.annual_cost, study.prices.currency, study.coverage_probability) +
            " a year at equal service";
    text += present_words(study, system, result, chosen);
    if (!tied_cheapest.empty()) {
        text += "; in cost it is not told apart from " + listed(tied_cheapest) +
                (c.pm25_removal ? ", and of these it delivers most air cleaned of PM2.5" : "");
    }
    text += "; with clean filters it moves " + flow_words(c.clean->flow.value);
    if (system.least_airflow) text += " (limit " + flow_words(*system.least_airflow) + ")";
    text += ". This rests on the bench readings";
    if (system.dust_equivalence_is_assumed) text += ", an assumed equivalence of bench and building dust";
    text += ", the fan table and the prices stated; check airflow and external static pressure against the equipment's "
            "nameplate before and after the change.";
    return text;
}

}   // namespace detail

/// Ranks the candidates of a system by yearly cost at equal service and recommends one.
///
/// Equation: order by annual cost among those that meet every limit; a tie: 0 in the interval of the difference;
///           recommended: of those tied with the cheapest, the one that delivers most clean air (PM2.5)
/// Symbols:  none
/// Validity: without a least airflow the recommendation is conditional and says so; without costs there is none
/// @param  study  prices and coverage probability
/// @param  system  limits and present candidate
/// @param  result  evaluated candidates; receives ranks, ties and the recommendation
/// @return nothing
/// @throws nothing
/// @source fair ranking at equal service: common practice would rank by fan power, which rewards a filter that starves
///         the system; test: study/run_study_test.cpp
inline void rank_candidates(const StudyInput& study, const SystemInput& system, SystemResult& result) {
    const double p = study.coverage_probability;
    auto& candidates = result.candidates;
    std::vector<std::size_t> eligible, others;
    for (std::size_t i = 0; i < candidates.size(); ++i) {
        (candidates[i].annual_cost && candidates[i].failed_limits.empty() ? eligible : others).push_back(i);
    }
    const auto by_cost = [&](std::size_t a, std::size_t b) {
        return candidates[a].annual_cost->value < candidates[b].annual_cost->value;
    };
    std::stable_sort(eligible.begin(), eligible.end(), by_cost);
    for (std::size_t k = 0; k < eligible.size(); ++k) candidates[eligible[k]].rank = k + 1;
    for (const std::size_t i : eligible) {
        for (const std::size_t j : eligible) {
            if (i != j && tied(*candidates[i].annual_cost, *candidates[j].annual_cost, p)) {
                candidates[i].tied_with.push_back(candidates[j].name);
            }
        }
    }
    result.ranking = eligible;
    result.ranking.insert(result.ranking.end(), others.begin(), others.end());
    result.conditional = !system.least_airflow;
    if (eligible.empty()) {
        const bool any_cost = std::any_of(candidates.begin(), candidates.end(),
                                          [](const CandidateResult& c) { return c.annual_cost.has_value(); });
        result.recommendation = any_cost ? "No candidate meets every limit: nothing is recommended. The reasons stand "
                                           "beside each candidate."
                                         : "No yearly cost can be computed for any candidate: nothing is recommended. What "
                                           "is missing stands beside each candidate.";
        return;
    }
    std::size_t chosen = eligible.front();
    std::vector<std::string> tied_cheapest;
    for (const std::size_t i : eligible) {
        if (i == eligible.front() || !tied(*candidates[i].annual_cost, *candidates[eligible.front()].annual_cost, p)) continue;
        const auto& best = candidates[chosen].clean_air_pm25;
        const auto& other = candidates[i].clean_air_pm25;
        if (best && other && other->value > best->value) chosen = i;
    }
    for (const std::string& name : candidates[chosen].tied_with) {
        if (chosen == eligible.front() || name == candidates[eligible.front()].name ||
            std::find(candidates[eligible.front()].tied_with.begin(), candidates[eligible.front()].tied_with.end(), name) !=
                candidates[eligible.front()].tied_with.end()) {
            tied_cheapest.push_back(name);
        }
    }
    result.recommended = chosen;
    result.recommendation = detail::recommendation_words(study, system, result, chosen, tied_cheapest);
}

}   // namespace filterflow
