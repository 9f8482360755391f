// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which minimum efficiency reporting values an estimate from a few bands excludes, leaves possible, makes likely.

#include <algorithm>
#include <array>
#include <cstddef>
#include <numeric>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/capture/band_estimate.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/loading_test_conditions.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>

namespace filterflow {

/// What an estimate says of one class.
enum class ClassVerdict {
    excluded,   ///< among the least probable classes that together hold less than 1 %
    possible,   ///< neither of the others
    likely      ///< among the most probable classes that together hold two thirds
};

/// A class, or several that only arrestance tells apart, with what an estimate says of it.
struct MinimumEfficiencyVerdict {
    int lowest = 0;             ///< reporting value, 1 to 16
    int highest = 0;            ///< the same unless arrestance decides between several
    double probability = 0.0;   ///< of just this class [-]
    double at_least = 0.0;      ///< of this class or a better one [-]
    ClassVerdict verdict = ClassVerdict::excluded;   ///< in words
};

/// Verdicts on all reporting values, with the rule by which they were told.
struct MinimumEfficiencyVerdicts {
    MinimumEfficiencyRule rule;                      ///< edition and rounding
    std::vector<MinimumEfficiencyVerdict> values;    ///< lowest first; probabilities sum to one
};

namespace detail {

/// Verdicts on classes that exclude each other; their probabilities sum to one.
template <Deferred...>
inline std::vector<ClassVerdict> class_verdicts(std::span<const double> probabilities) {
    std::vector<std::size_t> order(probabilities.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return probabilities[a] > probabilities[b]; });
    std::vector<ClassVerdict> verdicts(probabilities.size(), ClassVerdict::possible);
    double left = 0.0;
    for (auto i = order.rbegin(); i != order.rend(); ++i) {
        left += probabilities[*i];
        if (!(left < 0.01)) break;
        verdicts[*i] = ClassVerdict::excluded;
    }
    double held = 0.0;
    for (const std::size_t i : order) {
        if (held >= 2.0 / 3.0) break;
        held += probabilities[i];
        verdicts[i] = ClassVerdict::likely;
    }
    return verdicts;
}

template <Deferred...>
inline void check_not_refused(const BandEstimate& estimate, std::string_view where) {
    if (estimate.draws.empty()) {
        throw DomainError(std::string(where) + ": the estimate was refused (" + estimate.refused +
                          "); required: one with draws");
    }
}

}   // namespace detail

/// What an estimate from bands says of each minimum efficiency reporting value of an edition.
///
/// Equation: probability = sum of the weights of the draws whose highest row met is the class's
/// Symbols:  rows: requirements of the edition on E1, E2, E3
/// Validity: of the clean filter in the estimate's sense; the standard takes the lowest of all states, so its value is
///           at most this. Values that go by arrestance alone are given together. An estimate, never a rating.
/// @param  estimate  not refused
/// @param  rule  edition and rounding
/// @return a verdict for each class, and the rule
/// @throws DomainError if the estimate was refused
/// @source definition of the table; test: rating/class_verdict_test.cpp
template <Deferred...>
inline MinimumEfficiencyVerdicts minimum_efficiency_verdicts(const BandEstimate& estimate,
                                                             const MinimumEfficiencyRule& rule = {}) {
    detail::check_not_refused(estimate, "minimum_efficiency_verdicts");
    const std::array<MinimumEfficiencyRow, 16>& table = minimum_efficiency_table(rule.edition);
    std::array<double, 17> by_value{};
    for (const WeightedAverages& draw : estimate.draws) {
        std::array<double, 3> percent{};
        for (std::size_t g = 0; g < 3; ++g) percent[g] = detail::table_percent(100.0 * draw.efficiency[g], rule);
        const int value = detail::minimum_efficiency_value(percent, 100.0, rule.edition);   // 4: by arrestance
        by_value[static_cast<std::size_t>(value)] += draw.weight;
    }
    MinimumEfficiencyVerdicts result;
    result.rule = rule;
    std::vector<MinimumEfficiencyVerdict>& verdicts = result.values;
    for (const MinimumEfficiencyRow& row : table) {
        const double probability = by_value[static_cast<std::size_t>(row.value)];
        if (!verdicts.empty() && row.least_arrestance > 0.0) {
            verdicts.back().highest = row.value;
            verdicts.back().probability += probability;
        } else {
            verdicts.push_back({row.value, row.value, probability});
        }
    }
    double total = 0.0;
    for (const MinimumEfficiencyVerdict& verdict : verdicts) total += verdict.probability;
    double above = 0.0;
    for (auto verdict = verdicts.rbegin(); verdict != verdicts.rend(); ++verdict) {
        verdict->probability /= total;
        above += verdict->probability;
        verdict->at_least = std::min(above, 1.0);
    }
    std::vector<double> probabilities;
    for (const MinimumEfficiencyVerdict& verdict : verdicts) probabilities.push_back(verdict.probability);
    const std::vector<ClassVerdict> told = detail::class_verdicts(probabilities);
    for (std::size_t i = 0; i < verdicts.size(); ++i) verdicts[i].verdict = told[i];
    return result;
}

/// How verdicts may be printed: likely, possible and excluded values, as an estimate by their edition at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of minimum_efficiency_verdicts
/// @param  verdicts  of minimum_efficiency_verdicts
/// @param  face_velocity  at which the bands were measured [m/s], > 0
/// @return one sentence; it says so where the velocity is none of the standard's
/// @throws DomainError if the velocity is not > 0
/// @source common practice: only an accredited laboratory's test gives a rating; test: rating/class_verdict_test.cpp
template <Deferred...>
inline std::string minimum_efficiency_verdict_text(const MinimumEfficiencyVerdicts& verdicts,
                                                   const Velocity& face_velocity) {
    const std::vector<MinimumEfficiencyVerdict>& values = verdicts.values;
    const auto listed = [&](ClassVerdict wanted) {
        std::string text;
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (values[i].verdict != wanted) continue;
            std::size_t last = i;
            while (last + 1 < values.size() && values[last + 1].verdict == wanted) ++last;
            const int from = values[i].lowest;
            const int to = values[last].highest;
            text += (text.empty() ? "" : ", ") + std::to_string(from);
            if (to > from) text += (to == from + 1 ? ", " : " to ") + std::to_string(to);
            i = last;
        }
        return text.empty() ? std::string("none") : text;
    };
    return "minimum efficiency reporting value of the filter as measured, clean: likely " +
           listed(ClassVerdict::likely) + "; possible " + listed(ClassVerdict::possible) + "; excluded " +
           listed(ClassVerdict::excluded) + " (the standard, which goes by the lowest of all states, may find less): " +
           estimate_text(detail::edition_text(verdicts.rule), face_velocity) +
           detail::other_velocity_text(face_velocity);
}

}   // namespace filterflow
