// SPDX-License-Identifier: BSL-1.0
#pragma once

// A recommendation in words: one sentence, the condition it hangs on, and notes of what it rests on and compares with.
// Not public.

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/input_doubts.hpp>
#include <filterflow/study/recommendation_words.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

template <Deferred...>
inline CostLead cost_lead(const SystemResult& result, std::size_t other, std::size_t chosen, double probability) {
    const auto &a = result.candidates[other].annual_cost, &b = result.candidates[chosen].annual_cost;
    return {other, a->value - b->value, cost_difference(result, other, chosen, probability)};
}

/// "40 (3 to 90) crowns a year more", and so where zero is in the interval.
template <Deferred...>
inline std::string lead_words(const CostLead& lead, const StudyInput& study) {
    const bool less = lead.more.value() < 0.0;
    const Interval<Money> interval = less ? Interval<Money>{-lead.interval.upper, -lead.interval.lower} : lead.interval;
    std::string text = money_words(less ? -lead.more : lead.more, interval, study.prices.currency) + " a year " +
                       (less ? "less" : "more");
    if (lead.interval.contains(Money{})) text += ", which does not tell the two apart";
    return text;
}

/// The candidate against what is installed now; empty where there is nothing to compare with.
template <Deferred...>
inline std::string present_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                 std::size_t chosen) {
    const auto at = std::find_if(result.candidates.begin(), result.candidates.end(),
                                 [&](const CandidateResult& c) { return c.name == system.present_candidate; });
    if (at == result.candidates.end()) return "";
    const CandidateResult& present = *at;
    if (present.name == result.candidates[chosen].name) return "It is what is installed now.";
    const std::string name = "the present " + in_quotes(present.name);
    std::string text, meaning;
    if (present.annual_cost) {
        const std::size_t other = static_cast<std::size_t>(at - result.candidates.begin());
        const Money more = present.annual_cost->value - result.candidates[chosen].annual_cost->value;
        const auto words = [&](std::size_t dear, std::size_t cheap) {
            return money_words(dear == other ? more : -more,
                               cost_difference(result, dear, cheap, study.coverage_probability), study.prices.currency);
        };
        if (costs_tied(result, other, chosen, study.coverage_probability)) {
            text = "Its yearly cost is not told apart from that of " + name;
            meaning = tie_meaning(study.coverage_probability);
        } else if (more.value() > 0.0) {
            text = "It costs " + words(other, chosen) + " a year less than " + name;
        } else {
            text = "It costs " + words(chosen, other) + " a year more than " + name;
        }
        if (!present.failed_limits.empty()) text += ", which " + failure_words(present);
        text += meaning;
    } else if (!present.failed_limits.empty()) {
        text = "What is installed now, " + in_quotes(present.name) + ", " + failure_words(present);
    } else {
        text = "What " + name + " costs a year is not known";
    }
    text += ".";
    const bool less_air = result.candidates[chosen].below_present_airflow;
    if (less_air) text += " It delivers less air than the present one does clean.";
    return text;
}

/// Those that the cost does not tell from the recommended one, but for the present one, which was spoken of.
template <Deferred...>
inline std::string tie_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                             std::size_t chosen, std::vector<std::string> tied_cheapest) {
    if (tied_cheapest.empty()) return "";
    const CandidateResult& c = result.candidates[chosen];
    bool present_is_tied = false, all_counted = c.clean_air_pm25.has_value(), doubt_decides = false;
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const CandidateResult& other = result.candidates[i];
        const bool listed_here =
            std::find(tied_cheapest.begin(), tied_cheapest.end(), other.name) != tied_cheapest.end();
        if (listed_here && !other.clean_air_pm25) all_counted = false;
        const bool cleans_more = listed_here && other.clean_air_pm25 && c.clean_air_pm25 &&
                                 other.clean_air_pm25->value > c.clean_air_pm25->value;
        doubt_decides = doubt_decides || (cleans_more && c.doubted_limits.empty() && !other.doubted_limits.empty());
        if (other.name == system.present_candidate && other.name != c.name && other.annual_cost) {
            present_is_tied = costs_tied(result, i, chosen, study.coverage_probability);
        }
    }
    const std::string reason =
        doubt_decides      ? "it is named because it meets every limit without doubt."
        : all_counted      ? "it is named because by the estimates it delivers most air cleaned of PM2.5."
        : c.clean_air_pm25 ? "it is named because of those that were counted it delivers most air cleaned of PM2.5."
                           : "it is named because its estimate is the lowest.";
    std::erase(tied_cheapest, system.present_candidate);
    if (tied_cheapest.empty()) return "Cost does not decide between the two: " + reason;
    return std::string(present_is_tied ? "Nor is its cost" : "Its yearly cost is not") + " told apart from that of " +
           listed(tied_cheapest) + (present_is_tied ? "" : tie_meaning(study.coverage_probability)) + ": " + reason;
}

/// What the named one cleans, where nobody asked for a least removal: cost alone would name an empty frame.
template <Deferred...>
inline std::string removal_words(const StudyInput& study, const CandidateResult& c) {
    const std::string text = "No least removal of PM2.5 was asked for, so this goes by cost: ";
    if (!c.lasting_pm25_removal) return text + "what it removes is not known.";
    const auto input = std::find_if(study.candidates.begin(), study.candidates.end(),
                                    [&](const CandidateInput& x) { return x.name == c.name; });
    const bool gap = input != study.candidates.end() && input->bypass_gap && input->bypass_gap->value() > 0.0;
    return text + "it removes " + percent_words(*c.lasting_pm25_removal, study.coverage_probability) +
           (gap ? ", the air past its gap counted." : " if no air goes past it.");
}

/// Whether another candidate that cost does not tell from the chosen one, and that breaks no limit, has counts that
/// contradict: then clean air does not decide between the two.
template <Deferred...>
inline bool contradicts_beside(const CandidateResult& other, const CandidateResult& chosen) {
    return other.counts_contradict && !other.clean_air_pm25 && other.failed_limits.empty() &&
           std::find(chosen.tied_with.begin(), chosen.tied_with.end(), other.name) != chosen.tied_with.end();
}

/// What a recommendation hangs on, in sentences; empty if on nothing. Without a candidate: what any would hang on.
template <Deferred...>
inline std::string condition_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                   const CandidateResult* chosen) {
    std::string text;
    const auto add = [&](const std::string& sentence) { text += (text.empty() ? "" : " ") + sentence; };
    if (!system.least_airflow) {
        add("No least airflow was given for this system: check first what the equipment needs.");
    }
    if (study.stand && study.stand->empty_stand.empty()) {
        add("No empty stand was read: measure the stand's own resistance and run the study again.");
    }
    for (const InputDoubt& doubt : result.doubted_inputs) {
        add((&doubt == &result.doubted_inputs.front() ? "Look again: " : "And: ") + doubt_words(doubt));
    }
    if (chosen == nullptr) return text;
    for (const CandidateResult& other : result.candidates) {
        if (contradicts_beside(other, *chosen)) {
            add("Counts of " + in_quotes(other.name) +
                ", whose cost is not told apart, show more particles behind a filter than before it: count again.");
        }
    }
    if (chosen->counts_contradict) {
        add("Counts of this candidate show more particles behind a filter than before it: count again.");
    }
    for (const std::string& doubt : chosen->doubted_limits) add("In doubt: its " + doubt + ".");
    return text;
}

/// The sentence: what to fit, on which condition, changed when, for how much, and how far it is from the next.
template <Deferred...>
inline std::string recommendation_sentence(const StudyInput& study, const SystemInput& system,
                                           const SystemResult& result, std::size_t chosen) {
    const CandidateResult& c = result.candidates[chosen];
    std::string unmet = unmet_conditions(study, system);
    if (c.counts_contradict) {
        unmet += std::string(unmet.empty() ? "C" : " and c") +
                 "ounts of this candidate show more particles behind a filter than before it";
    }
    const bool contradicted_beside = std::any_of(result.candidates.begin(), result.candidates.end(),
                                                 [&](const auto& other) { return contradicts_beside(other, c); });
    if (contradicted_beside) {
        unmet += std::string(unmet.empty() ? "C" : " and c") +
                 "ounts of a candidate whose cost is not told apart show more particles behind a filter than before it";
    }
    if (!result.doubted_inputs.empty()) {
        unmet += std::string(unmet.empty() ? "S" : " and s") + "ome inputs are outside what is usual (";
        for (const InputDoubt& doubt : result.doubted_inputs) {
            unmet += (&doubt == &result.doubted_inputs.front() ? "" : "; ") + doubt.what;
        }
        unmet += ")";
    }
    std::string provided;
    for (const std::string& condition : c.doubt_conditions) {
        provided += (provided.empty() ? ", provided that " : " and that ") + condition;
    }
    if (!provided.empty()) provided += ",";
    const std::string interval = interval_words(c, system, study.coverage_probability);
    std::string text = unmet.empty()
                           ? "Fit " + in_quotes(c.name) + provided + " and change it every " + interval
                           : unmet + ", so nothing is recommended unconditionally; by cost alone it would be " +
                                 in_quotes(c.name) + provided + (provided.empty() ? ", changed" : " changed") +
                                 " every " + interval;
    text += ": " + money_words(c.annual_cost->value, coverage_interval(*c.annual_cost, study.coverage_probability),
                               study.prices.currency) +
            " a year at equal service";
    const auto &next = result.runner_up, &sure = result.best_without_doubt;
    const bool same = next && sure && next->candidate == sure->candidate;
    const auto costs = [&](const CostLead& lead) {
        return in_quotes(result.candidates[lead.candidate].name) + ", costs " + lead_words(lead, study);
    };
    if (next && !same) text += "; the next, " + costs(*next);
    if (sure) text += "; the cheapest that meets every limit without doubt, " + costs(*sure);
    if (!sure && !c.doubted_limits.empty()) text += "; none that could be compared meets every limit without doubt";
    return text + ".";
}

/// What stands below the sentence, a thought each.
template <Deferred...>
inline std::vector<std::string> recommendation_notes(const StudyInput& study, const SystemInput& system,
                                                     const SystemResult& result, std::size_t chosen,
                                                     const std::vector<std::string>& tied_cheapest) {
    const CandidateResult& c = result.candidates[chosen];
    std::vector<std::string> notes;
    const auto add = [&](const std::string& note) {
        if (!note.empty()) notes.push_back(note);
    };
    add("With clean filters it moves " + flow_words(c.clean->flow, study.coverage_probability) +
        (system.least_airflow ? ", limit " + flow_words(*system.least_airflow) : "") + ".");
    if (system.least_airflow && c.end && c.end->flow.value.value() < system.least_airflow->value() * (1.0 + 1e-6)) {
        add("At the end of that interval, which is an estimate, the airflow is down to the limit: change as soon as "
            "the filters take " + pressure_words(c.end->filter_pressure.value) + ", whatever the hours.");
    }
    add(present_words(study, system, result, chosen));
    add(tie_words(study, system, result, chosen, tied_cheapest));
    if (!result.runner_up) add("No other candidate that could be compared meets every limit.");
    if (c.pm25_removal && c.pm25_removal_discharged && c.pm25_removal_discharged->value < 0.8 * c.pm25_removal->value) {
        add("Of PM2.5 it removes " + percent_words(c.pm25_removal->value) + " new and " +
            percent_words(c.pm25_removal_discharged->value) + " when its charge is gone.");
    }
    if (!system.least_pm25_removal) add(removal_words(study, c));
    std::vector<std::string> not_compared;
    for (const CandidateResult& other : result.candidates) {
        if (!other.annual_cost && other.failed_limits.empty()) not_compared.push_back(other.name);
    }
    if (!not_compared.empty()) {
        add("Not compared, for want of what stands beside it as missing: " + listed(not_compared) + ".");
    }
    add("Equal service is " + service_words(system, result, c, study.coverage_probability) + ".");
    add("This rests on the bench readings" +
        std::string(system.dust_equivalence_is_assumed ? ", an assumed equivalence of bench and building dust" : "") +
        ", the fan table and the prices stated; check airflow and external static pressure against the equipment's "
        "nameplate before and after the change.");
    return notes;
}

}   // namespace filterflow::detail
