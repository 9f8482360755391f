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
#include <filterflow/core/units.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>

namespace filterflow {

/// What an estimate says of one class.
enum class ClassVerdict {
    excluded,   ///< probability below 1 %
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

namespace detail {

/// Index of the highest row whose requirements on E1, E2, E3 are met; rows that go by arrestance count as met.
inline std::size_t highest_row(std::span<const MinimumEfficiencyRow> table, const std::array<double, 3>& efficiency) {
    const auto met = [](double value, double least_percent) {
        return !(least_percent > 0.0) || 100.0 * value >= least_percent - rounding_of_percent;
    };
    std::size_t highest = 0;
    for (std::size_t i = 0; i < table.size(); ++i) {
        if (met(efficiency[0], table[i].least_E1) && met(efficiency[1], table[i].least_E2) &&
            met(efficiency[2], table[i].least_E3)) {
            highest = i;
        }
    }
    return highest;
}

}   // namespace detail

/// What an estimate from bands says of each minimum efficiency reporting value of an edition.
///
/// Equation: probability = sum of the weights of the draws whose highest row met is the class's
/// Symbols:  rows: requirements of the edition on E1, E2, E3
/// Validity: of the clean filter in the estimate's sense; the standard takes the lowest of all states, so its value is
///           at most this. Values that go by arrestance alone are given together. An estimate, never a rating.
/// @param  estimate  not refused
/// @param  table  rows of the edition, lowest value first
/// @return a verdict for each class, lowest first; probabilities sum to one
/// @throws DomainError if the estimate was refused or the table is empty
/// @source definition of the table; test: rating/class_verdict_test.cpp
inline std::vector<MinimumEfficiencyVerdict> minimum_efficiency_verdicts(
    const BandEstimate& estimate, std::span<const MinimumEfficiencyRow> table = minimum_efficiency_table()) {
    constexpr auto where = "minimum_efficiency_verdicts";
    if (table.empty()) detail::throw_domain_error(where, "rows of the table", 0.0, "", ">= 1");
    if (estimate.draws.empty()) {
        throw DomainError(std::string(where) + ": the estimate was refused (" + estimate.refused +
                          "); required: one with draws");
    }
    std::vector<double> by_row(table.size(), 0.0);
    for (const WeightedAverages& draw : estimate.draws) by_row[detail::highest_row(table, draw.efficiency)] += draw.weight;
    std::vector<MinimumEfficiencyVerdict> verdicts;
    for (std::size_t i = 0; i < table.size(); ++i) {
        if (!verdicts.empty() && table[i].least_arrestance > 0.0) {
            verdicts.back().highest = table[i].value;
            verdicts.back().probability += by_row[i];
        } else {
            verdicts.push_back({table[i].value, table[i].value, by_row[i]});
        }
    }
    double total = 0.0;
    for (const MinimumEfficiencyVerdict& verdict : verdicts) total += verdict.probability;
    double above = 0.0;
    for (auto verdict = verdicts.rbegin(); verdict != verdicts.rend(); ++verdict) {
        verdict->probability /= total;
        above += verdict->probability;
        verdict->at_least = std::min(above, 1.0);
        if (verdict->probability >= 0.01) verdict->verdict = ClassVerdict::possible;
    }
    std::vector<std::size_t> order(verdicts.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return verdicts[a].probability > verdicts[b].probability; });
    double held = 0.0;
    for (const std::size_t i : order) {
        if (held >= 2.0 / 3.0) break;
        held += verdicts[i].probability;
        verdicts[i].verdict = ClassVerdict::likely;
    }
    return verdicts;
}

/// How verdicts may be printed: likely, possible and excluded values, as an estimate by an edition at a velocity.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of minimum_efficiency_verdicts
/// @param  verdicts  of minimum_efficiency_verdicts
/// @param  edition  standard with its edition, whose table was used
/// @param  face_velocity  at which the bands were measured [m/s], > 0
/// @return one sentence
/// @throws DomainError if the velocity is not > 0
/// @source common practice: only an accredited laboratory's test gives a rating; test: rating/class_verdict_test.cpp
inline std::string minimum_efficiency_verdict_text(std::span<const MinimumEfficiencyVerdict> verdicts,
                                                   std::string_view edition, const Velocity& face_velocity) {
    const auto listed = [&](ClassVerdict wanted) {
        std::string text;
        for (std::size_t i = 0; i < verdicts.size(); ++i) {
            if (verdicts[i].verdict != wanted) continue;
            std::size_t last = i;
            while (last + 1 < verdicts.size() && verdicts[last + 1].verdict == wanted) ++last;
            const int from = verdicts[i].lowest;
            const int to = verdicts[last].highest;
            text += (text.empty() ? "" : ", ") + std::to_string(from);
            if (to > from) text += (to == from + 1 ? ", " : " to ") + std::to_string(to);
            i = last;
        }
        return text.empty() ? std::string("none") : text;
    };
    return "minimum efficiency reporting value of the filter as measured, clean: likely " +
           listed(ClassVerdict::likely) + "; possible " + listed(ClassVerdict::possible) + "; excluded " +
           listed(ClassVerdict::excluded) + " (the standard, which goes by the lowest of all states, may find less): " +
           estimate_text(edition, face_velocity);
}

}   // namespace filterflow
