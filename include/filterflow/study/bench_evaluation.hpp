// SPDX-License-Identifier: BSL-1.0
#pragma once

// The bench half of a study: every reading brought to one tare, one air and, where the flow is known, an element
// curve; counts to efficiency and classes; loading readings to a loading law. What is missing is listed, not guessed.

#include <cstddef>
#include <string>

#include <filterflow/core/deferred.hpp>
#include <filterflow/study/bench_filters.hpp>
#include <filterflow/study/bench_pressures.hpp>
#include <filterflow/study/bench_stand.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>

namespace filterflow {

/// The bench half of a study: what the readings say of the stand and of each filter.
///
/// Equation: those of the rooms it calls: stand (tare, flow, leakage), resistance (r Q + s Q^2), capture (penetration
///           from counts), rating, loading (loading law)
/// Symbols:  none of its own
/// Validity: parts that the input lacks leave their figures absent, listed with what they need; clean readings without
///           a description of the stand are taken as read where the flow is not measured, as StandInput begins
/// @param  study  stand, filters and candidates (for their final resistances)
/// @param  result  receives stand, filters and what is missing
/// @return nothing
/// @throws DomainError or NoSolution from the rooms, with "stand" or the filter's name in front
/// @source the rooms' own; test: study/run_study_test.cpp
template <Deferred...>
inline void evaluate_bench(const StudyInput& study, StudyResult& result) {
    std::optional<detail::ReadyStand> ready;
    const bool pressures = std::any_of(study.filters.begin(), study.filters.end(),
                                       [](const FilterInput& filter) { return !filter.pressure_readings.empty(); });
    if (study.stand || pressures) {
        const StandInput stand = study.stand.value_or(StandInput{});
        detail::in_context("stand: ", [&] {
            ready = detail::ready_stand(study, stand);
            if (stand.flow_method == StandFlowMethod::not_measured) {
                detail::order_by_pressure(study, stand, ready->result);
            }
        });
        result.missing.insert(result.missing.end(), ready->missing.begin(), ready->missing.end());
        result.stand = ready->result;
    } else {
        result.missing.push_back({"everything that rests on bench readings", "a description of the test stand"});
    }
    for (const FilterInput& filter : study.filters) {
        FilterResult entry;
        entry.name = filter.name;
        detail::in_context("filter " + detail::in_quotes(filter.name) + ": ", [&] {
            if (ready) {
                detail::evaluate_pressures(study, *ready, filter, entry);
                detail::evaluate_loading(study, *ready, filter, entry);
            }
            detail::evaluate_capture(filter, entry);
        });
        result.filters.push_back(std::move(entry));
    }
    detail::compare_at_flows(study, result);
}

}   // namespace filterflow
