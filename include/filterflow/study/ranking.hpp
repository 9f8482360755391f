// SPDX-License-Identifier: BSL-1.0
#pragma once

// Candidates of a system in order, ties told by differences, and one recommendation: a sentence, its condition, notes
// of what it rests on. What ranks is the yearly cost at equal service; counterfactual power is never looked at.

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/recommendation.hpp>
#include <filterflow/study/recommendation_words.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow {

/// Ranks the candidates of a system by yearly cost at equal service and recommends one.
///
/// Equation: order by annual cost, those that meet every limit first; a tie of any two: 0 in the interval of the
///           difference, by the system's draws where it has any, else to first order;
///           recommended: of those tied with the cheapest, and of these of those that meet every limit without doubt,
///           if there are any, the one that delivers most clean air (PM2.5)
/// Symbols:  none
/// Validity: without a least airflow or an empty stand, with a limit in doubt or inputs outside what is usual, the
///           recommendation is conditional and says so; without costs there is none
/// @param  study  prices and coverage probability
/// @param  system  limits and present candidate
/// @param  result  evaluated candidates; receives ranks, ties and the recommendation
/// @return nothing
/// @throws DomainError if the coverage probability is not between 0 and 1
/// @source fair ranking at equal service: common practice would rank by fan power, which rewards a filter that starves
///         the system; test: study/run_study_test.cpp
template <Deferred...>
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
    std::stable_sort(others.begin(), others.end(), [&](std::size_t a, std::size_t b) {
        return candidates[a].annual_cost && (!candidates[b].annual_cost || by_cost(a, b));
    });
    for (std::size_t k = 0; k < eligible.size(); ++k) candidates[eligible[k]].rank = k + 1;
    result.ranking = eligible;
    result.ranking.insert(result.ranking.end(), others.begin(), others.end());
    for (const std::size_t i : result.ranking) {
        for (const std::size_t j : result.ranking) {
            const auto &a = candidates[i].annual_cost, &b = candidates[j].annual_cost;
            if (i != j && a && b && detail::costs_tied(result, i, j, p))
                candidates[i].tied_with.push_back(candidates[j].name);
        }
    }
    result.condition = detail::condition_words(study, system, result, nullptr);
    result.conditional = !result.condition.empty();
    if (eligible.empty()) {
        const bool all_fail = std::none_of(candidates.begin(), candidates.end(),
                                           [](const CandidateResult& c) { return c.failed_limits.empty(); });
        const bool any_cost = std::any_of(candidates.begin(), candidates.end(),
                                          [](const CandidateResult& c) { return c.annual_cost.has_value(); });
        if (candidates.empty()) {
            result.recommendation = "There is no candidate: nothing is recommended.";
        } else if (all_fail) {
            const bool any_not_known = std::any_of(candidates.begin(), candidates.end(),
                                                   [](const auto& c) { return detail::only_not_known(c); });
            result.recommendation = std::string(any_not_known ? "No candidate is known to meet every limit"
                                                              : "No candidate meets every limit") +
                                    ": nothing is recommended. The reasons stand beside each candidate.";
        } else {
            result.recommendation = std::string("No yearly cost can be computed for any candidate") +
                                    (any_cost ? " that meets the limits" : "") +
                                    ": nothing is recommended. What is missing stands beside each candidate.";
        }
        return;
    }
    const auto told_apart = [&](std::size_t a, std::size_t b) {
        return a != b && !detail::costs_tied(result, a, b, p);
    };
    const auto in_doubt = [&](std::size_t i) { return !candidates[i].doubted_limits.empty(); };
    const std::size_t cheapest = eligible.front();
    std::vector<std::size_t> level{cheapest};
    for (const std::size_t i : eligible) {
        if (i != cheapest && !told_apart(i, cheapest)) level.push_back(i);
    }
    if (!std::all_of(level.begin(), level.end(), in_doubt)) std::erase_if(level, in_doubt);
    std::size_t chosen = level.front();
    for (const std::size_t i : level) {
        const auto& best = candidates[chosen].clean_air_pm25;
        const auto& other = candidates[i].clean_air_pm25;
        if (best && other && other->value > best->value) chosen = i;
    }
    std::vector<std::string> tied_cheapest;
    for (const std::size_t i : eligible) {
        if (i == chosen) continue;
        if (!told_apart(i, chosen) && !told_apart(i, cheapest)) tied_cheapest.push_back(candidates[i].name);
        if (!result.runner_up) result.runner_up = detail::cost_lead(result, i, chosen, p);
        if (!result.best_without_doubt && in_doubt(chosen) && !in_doubt(i)) {
            result.best_without_doubt = detail::cost_lead(result, i, chosen, p);
        }
    }
    result.recommended = chosen;
    result.condition = detail::condition_words(study, system, result, &candidates[chosen]);
    result.conditional = !result.condition.empty();
    result.recommendation = detail::recommendation_sentence(study, system, result, chosen);
    result.recommendation_notes = detail::recommendation_notes(study, system, result, chosen, tied_cheapest);
}

}   // namespace filterflow
