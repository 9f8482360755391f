// SPDX-License-Identifier: BSL-1.0
#pragma once

// How far two candidates' yearly costs are apart, by the draws of a system where there are any, else to first order.
// Not public.

#include <cstddef>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow::detail {

/// What one candidate costs more than another, which both have a cost.
template <Deferred...>
inline Interval<Money> cost_difference(const SystemResult& system, std::size_t candidate, std::size_t other,
                                       double probability) {
    for (const CostDifference& d : system.cost_differences) {
        if (d.candidate == candidate && d.other == other) return d.interval;
        if (d.candidate == other && d.other == candidate) return {-d.interval.upper, -d.interval.lower};
    }
    const auto &a = system.candidates[candidate].annual_cost, &b = system.candidates[other].annual_cost;
    return coverage_interval(*a - *b, probability);
}

/// Whether the interval of the difference contains zero.
template <Deferred...>
inline bool costs_tied(const SystemResult& system, std::size_t candidate, std::size_t other, double probability) {
    return cost_difference(system, candidate, other, probability).contains(Money{});
}

}   // namespace filterflow::detail
