// SPDX-License-Identifier: BSL-1.0
#pragma once

// Candidates of a system in order, ties told by differences, and one recommendation in sentences that say what it
// rests on. What ranks is the yearly cost at equal service; counterfactual power is never looked at.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/cost_difference.hpp>
#include <filterflow/study/covered_figure.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

namespace detail {

template <Deferred...>
inline std::string listed(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + in_quotes(names[i]);
    }
    return text;
}

/// "812 +- 60" with the half width of the interval, rounded by it; "812 (770 to 900)" where it is lopsided.
template <Deferred...>
inline std::string money_words(Money value, const Interval<Money>& interval, const std::string& currency) {
    const double x = value.value(), lower = interval.lower.value(), upper = interval.upper.value();
    const double half = 0.5 * (upper - lower);
    if (std::abs(lower + upper - 2.0 * x) <= 1e-6 * half) return rounded_with(x, half) + " " + currency;
    const int decimals = decimals_of(half);
    return to_decimals(x, decimals_of_end(x, decimals)) + " (" + range_words(lower, upper, decimals) + ") " + currency;
}

/// The change interval, rounded by its coverage interval, which stands beside it.
template <Deferred...>
inline std::string interval_words(const CandidateResult& candidate, const SystemInput& system, double probability) {
    if (!candidate.change_interval) return "";
    const CoveredUncertain<Time>& interval = *candidate.change_interval;
    const Interval<Time> covered = coverage_interval(interval, probability);
    const double hours = interval.value / units::h;
    const double lower = std::max(0.0, covered.lower / units::h), upper = covered.upper / units::h;
    const bool exact = !(upper - lower > 1e-9 * upper);   // an age is exact but for rounding
    const int decimals = exact ? 0 : decimals_of(hours, lower, upper);
    std::string beside;
    if (system.hours_per_year) {
        const double per_hour = 12.0 * units::h.one / *system.hours_per_year;
        const double months = per_hour * hours;
        const bool cut = !exact && (hours == upper || hours == lower);
        const std::string number =
            exact || cut ? rounded(months, 2) : rounded_by(months, per_hour * 0.5 * (upper - lower));
        beside = "about " + number + (number == "1" ? " month" : " months") + " at the " +
                 rounded(*system.hours_per_year / units::h, 4) + " h a year that the fan runs";
    }
    if (!exact) {
        beside += (beside.empty() ? "" : "; ") + number_text(100.0 * probability) + " % interval " +
                  range_words(lower, upper, std::min(0, decimals)) + " h";
    }
    const std::string text =
        (exact ? four_digits(hours) : to_decimals(hours, std::min(0, decimals))) + " running hours";
    return beside.empty() ? text : text + " (" + beside + ")";
}

/// What equal service means here: whose air it is, and how long the candidate runs for it.
template <Deferred...>
inline std::string service_words(const SystemInput& system, const SystemResult& result,
                                 const CandidateResult& candidate, double probability) {
    std::string text = "the same air for every candidate";
    if (system.hours_per_year) {
        const bool present_known = std::any_of(
            result.candidates.begin(), result.candidates.end(),
            [&](const CandidateResult& c) { return c.name == system.present_candidate && c.clean.has_value(); });
        text += ": " +
                std::string(present_known          ? "what the present filter moves clean"
                            : system.least_airflow ? "the least airflow asked for"
                                                   : "what the least delivering candidate moves clean") +
                " in those " + rounded(*system.hours_per_year / units::h, 4) + " h";
    }
    if (candidate.annual_running_time) {
        text += ", which this one delivers in " + hours_words(*candidate.annual_running_time, probability);
    }
    return text;
}

/// What "not told apart" means, where it is first said.
template <Deferred...>
inline std::string tie_meaning(double probability) {
    return ", as the " + number_text(100.0 * probability) + " % interval of the difference contains zero";
}

template <Deferred...>
inline bool only_not_known(const CandidateResult& c) {
    return !c.failed_limits.empty() &&
           std::all_of(c.failed_limits.begin(), c.failed_limits.end(),
                       [](const std::string& text) { return text.find(" is not known") != std::string::npos; });
}

template <Deferred...>
inline std::string failure_words(const CandidateResult& c) {
    return (only_not_known(c) ? "is not known to meet every limit (" : "fails a limit (") + c.failed_limits.front() +
           ")";
}

/// The candidate against what is installed now; empty where there is nothing to compare with.
template <Deferred...>
inline std::string present_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                 std::size_t chosen) {
    const auto at = std::find_if(result.candidates.begin(), result.candidates.end(),
                                 [&](const CandidateResult& c) { return c.name == system.present_candidate; });
    if (at == result.candidates.end()) return "";
    const CandidateResult& present = *at;
    if (present.name == result.candidates[chosen].name) return " It is what is installed now.";
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
            text = " Its yearly cost is not told apart from that of " + name;
            meaning = tie_meaning(study.coverage_probability);
        } else if (more.value() > 0.0) {
            text = " It costs " + words(other, chosen) + " a year less than " + name;
        } else {
            text = " It costs " + words(chosen, other) + " a year more than " + name;
        }
        if (!present.failed_limits.empty()) text += ", which " + failure_words(present);
        text += meaning;
    } else if (!present.failed_limits.empty()) {
        text = " What is installed now, " + in_quotes(present.name) + ", " + failure_words(present);
    } else {
        text = " What " + name + " costs a year is not known";
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
    bool present_is_tied = false, all_counted = c.clean_air_pm25.has_value();
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const CandidateResult& other = result.candidates[i];
        const bool listed_here =
            std::find(tied_cheapest.begin(), tied_cheapest.end(), other.name) != tied_cheapest.end();
        if (listed_here && !other.clean_air_pm25) all_counted = false;
        if (other.name == system.present_candidate && other.name != c.name && other.annual_cost) {
            present_is_tied = costs_tied(result, i, chosen, study.coverage_probability);
        }
    }
    const std::string reason =
        all_counted        ? "it is named because by the estimates it delivers most air cleaned of PM2.5."
        : c.clean_air_pm25 ? "it is named because of those that were counted it delivers most air cleaned of PM2.5."
                           : "it is named because its estimate is the lowest.";
    std::erase(tied_cheapest, system.present_candidate);
    if (tied_cheapest.empty()) return " Cost does not decide between the two: " + reason;
    return std::string(present_is_tied ? " Nor is its cost" : " Its yearly cost is not") + " told apart from that of " +
           listed(tied_cheapest) + (present_is_tied ? "" : tie_meaning(study.coverage_probability)) + ": " + reason;
}

/// Why nothing can be recommended unconditionally; empty if nothing stands in the way.
template <Deferred...>
inline std::string unmet_conditions(const StudyInput& study, const SystemInput& system) {
    const bool no_tare = study.stand && study.stand->empty_stand.empty();
    if (system.least_airflow && !no_tare) return "";
    const std::string tare =
        "o empty stand was read (every pressure contains the stand's own resistance, and airflow, life and cost rest "
        "on it)";
    if (system.least_airflow) return "N" + tare;
    return "No least airflow was given" + (no_tare ? " and n" + tare : "");
}

/// What the named one cleans, where nobody asked for a least removal: cost alone would name an empty frame.
template <Deferred...>
inline std::string removal_words(const StudyInput& study, const CandidateResult& c) {
    const std::string text = " No least removal of PM2.5 was asked for, so this goes by cost: ";
    if (!c.lasting_pm25_removal) return text + "what it removes is not known.";
    const auto input = std::find_if(study.candidates.begin(), study.candidates.end(),
                                    [&](const CandidateInput& x) { return x.name == c.name; });
    const bool gap = input != study.candidates.end() && input->bypass_gap && input->bypass_gap->value() > 0.0;
    return text + "it removes " + percent_words(*c.lasting_pm25_removal, study.coverage_probability) +
           (gap ? ", the air past its gap counted." : " if no air goes past it.");
}

template <Deferred...>
inline std::string recommendation_words(const StudyInput& study, const SystemInput& system, const SystemResult& result,
                                        std::size_t chosen, const std::vector<std::string>& tied_cheapest) {
    const CandidateResult& c = result.candidates[chosen];
    const std::string interval = interval_words(c, system, study.coverage_probability);
    std::string unmet = unmet_conditions(study, system);
    if (c.counts_contradict) {
        unmet += std::string(unmet.empty() ? "C" : " and c") +
                 "ounts of this candidate show more particles behind a filter than before it";
    }
    if (!result.doubted_inputs.empty()) {
        unmet += std::string(unmet.empty() ? "S" : " and s") + "ome inputs are outside what is usual (";
        for (const InputDoubt& doubt : result.doubted_inputs) {
            unmet += (&doubt == &result.doubted_inputs.front() ? "" : "; ") + doubt.what;
        }
        unmet += ")";
    }
    std::string text = unmet.empty()
                           ? "Fit " + in_quotes(c.name) + " and change it every " + interval
                           : unmet + ", so nothing is recommended unconditionally; by cost alone it would be " +
                                 in_quotes(c.name) + ", changed every " + interval;
    text += ": " + money_words(c.annual_cost->value, coverage_interval(*c.annual_cost, study.coverage_probability),
                               study.prices.currency) +
            " a year at equal service (" + service_words(system, result, c, study.coverage_probability) +
            "); with clean filters it moves " + flow_words(c.clean->flow, study.coverage_probability);
    if (system.least_airflow) text += ", limit " + flow_words(*system.least_airflow);
    text +=
        "." + present_words(study, system, result, chosen) + tie_words(study, system, result, chosen, tied_cheapest);
    if (c.pm25_removal && c.pm25_removal_discharged && c.pm25_removal_discharged->value < 0.8 * c.pm25_removal->value) {
        text += " Of PM2.5 it removes " + percent_words(c.pm25_removal->value) + " new and " +
                percent_words(c.pm25_removal_discharged->value) + " when its charge is gone.";
    }
    if (!system.least_pm25_removal) text += removal_words(study, c);
    for (const std::string& doubt : c.doubted_limits) text += " In doubt: its " + doubt + ".";
    std::vector<std::string> not_compared;
    for (const CandidateResult& other : result.candidates) {
        if (!other.annual_cost && other.failed_limits.empty()) not_compared.push_back(other.name);
    }
    if (!not_compared.empty()) {
        text += " Not compared, for want of what stands beside it as missing: " + listed(not_compared) + ".";
    }
    text += " This rests on the bench readings";
    if (system.dust_equivalence_is_assumed) text += ", an assumed equivalence of bench and building dust";
    text +=
        ", the fan table and the prices stated; check airflow and external static pressure against the equipment's "
        "nameplate before and after the change.";
    return text;
}

}   // namespace detail

/// Ranks the candidates of a system by yearly cost at equal service and recommends one.
///
/// Equation: order by annual cost, those that meet every limit first; a tie of any two: 0 in the interval of the
///           difference, by the system's draws where it has any, else to first order;
///           recommended: of those tied with the cheapest, the one that delivers most clean air (PM2.5)
/// Symbols:  none
/// Validity: without a least airflow or an empty stand, or with inputs outside what is usual, the recommendation is
///           conditional and says so; without costs
///           there is none
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
    result.conditional = !detail::unmet_conditions(study, system).empty();
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
    const std::size_t cheapest = eligible.front();
    std::size_t chosen = cheapest;
    for (const std::size_t i : eligible) {
        if (told_apart(i, cheapest)) continue;
        const auto& best = candidates[chosen].clean_air_pm25;
        const auto& other = candidates[i].clean_air_pm25;
        if (best && other && other->value > best->value) chosen = i;
    }
    std::vector<std::string> tied_cheapest;
    for (const std::size_t i : eligible) {
        if (i != chosen && !told_apart(i, chosen) && !told_apart(i, cheapest)) {
            tied_cheapest.push_back(candidates[i].name);
        }
    }
    result.recommended = chosen;
    result.conditional = result.conditional || candidates[chosen].counts_contradict || !result.doubted_inputs.empty();
    result.recommendation = detail::recommendation_words(study, system, result, chosen, tied_cheapest);
}

}   // namespace filterflow
