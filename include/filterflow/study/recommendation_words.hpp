// SPDX-License-Identifier: BSL-1.0
#pragma once

// Parts of a recommendation's sentences: money, change interval, service, limits that fail, what stands in the way.
// Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/core/money.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/study/covered_figure.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow::detail {

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
        const std::string number = rounded(months, 2);
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

}   // namespace filterflow::detail
