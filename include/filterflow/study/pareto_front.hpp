// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which candidates no other beats in everything: the front of cost against airflow and clean air.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/study/choice_draws.hpp>

namespace filterflow {

/// One of the things that a choice weighs.
struct Objective {
    std::string name;             ///< "yearly cost", "airflow", "clean air"
    bool less_is_better = true;   // false: more is
    CandidateDraws draws;
};

/// How a candidate stands to the front.
struct FrontPlace {
    bool is_on_front = false;          // by the means of the draws
    double probability = 0.0;          ///< share of the draws in which it is on the front, 0 to 1
    std::vector<std::size_t> beaten_by;   ///< candidates that beat it by the means; shape (any)
};

namespace detail {

/// Whether a is at least as good in everything and better in something; `a` and `b` are offsets into rows of
/// objectives.
template <Deferred...>
inline bool beats(const std::vector<double>& rows, std::size_t objectives, std::size_t a, std::size_t b) {
    bool better = false;
    for (std::size_t m = 0; m < objectives; ++m) {
        const double x = rows[a * objectives + m], y = rows[b * objectives + m];
        if (x > y) return false;
        better = better || x < y;
    }
    return better;
}

}   // namespace detail

/// Pareto front of candidates, by the means of their draws and draw by draw.
///
/// Equation: a beats b if it is at least as good in every objective and better in one; the front is what nothing beats
/// Symbols:  none
/// Validity: equal candidates do not beat each other. The more objectives, the more candidates are on the front
/// @param  objectives  draws of each, at least one
/// @return place of each candidate; shape (candidates)
/// @throws DomainError if there is no objective, shapes differ, there is no draw or a number is not finite
/// @source definition (Pareto 1906); test: study/choice_statistics_test.cpp
template <Deferred...>
inline std::vector<FrontPlace> pareto_front(std::span<const Objective> objectives) {
    constexpr auto where = "pareto_front";
    if (objectives.empty()) detail::throw_domain_error(where, "number of objectives", 0.0, "", "at least 1");
    const std::size_t candidates = objectives.front().draws.candidates, count = objectives.size();
    const std::size_t n = detail::require_draws_of(where, objectives.front().name, objectives.front().draws, candidates);
    for (const Objective& o : objectives) detail::require_draws_of(where, o.name, o.draws, candidates, n);
    std::vector<FrontPlace> places(candidates);
    std::vector<double> rows(candidates * count);
    for (std::size_t k = 0; k < candidates; ++k) {
        for (std::size_t m = 0; m < count; ++m) {
            const double mean = detail::mean_of_draws(objectives[m].draws.of(k));
            rows[k * count + m] = objectives[m].less_is_better ? mean : -mean;
        }
    }
    for (std::size_t k = 0; k < candidates; ++k) {
        for (std::size_t other = 0; other < candidates; ++other) {
            if (detail::beats(rows, count, other, k)) places[k].beaten_by.push_back(other);
        }
        places[k].is_on_front = places[k].beaten_by.empty();
    }
    std::vector<std::size_t> on_front(candidates, 0);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t k = 0; k < candidates; ++k) {
            for (std::size_t m = 0; m < count; ++m) {
                const double x = objectives[m].draws.values[k * n + i];
                rows[k * count + m] = objectives[m].less_is_better ? x : -x;
            }
        }
        for (std::size_t k = 0; k < candidates; ++k) {
            bool beaten = false;
            for (std::size_t other = 0; other < candidates && !beaten; ++other) {
                beaten = detail::beats(rows, count, other, k);
            }
            on_front[k] += !beaten;
        }
    }
    for (std::size_t k = 0; k < candidates; ++k) {
        places[k].probability = static_cast<double>(on_front[k]) / static_cast<double>(n);
    }
    return places;
}

}   // namespace filterflow
