// SPDX-License-Identifier: BSL-1.0
#pragma once

// What joint draws of a system's candidates are drawn from: the uncertain parameters of every candidate, with their
// elementary inputs in an order that does not depend on that of candidates and filters; and these inputs put together
// to measurements that somebody could repeat or refine. Not public.

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/study/candidate_evaluation.hpp>
#include <filterflow/study/candidate_limits.hpp>
#include <filterflow/study/candidate_model.hpp>
#include <filterflow/study/candidate_preparation.hpp>
#include <filterflow/study/input_order.hpp>
#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>
#include <filterflow/study/study_words.hpp>
#include <filterflow/study/system_evaluation.hpp>

namespace filterflow::detail {

/// A candidate that is drawn.
struct JointCandidate {
    std::size_t index = 0;   // in the study
    PreparedCandidate prepared;
    CandidateFigures<Uncertain<double>> figures;   // to first order
    std::optional<Uncertain<double>> removal;      // of PM2.5, as it lasts
    std::size_t first_value = 0;                   // of its parameters among the values drawn; the removal follows them
};

/// Elementary inputs that one measurement or statement would sharpen, by the difference in yearly cost that they move
/// most.
struct JointMeasurement {
    std::string name;
    Uncertain<double> effect;   // sum of the inputs' effects; of one input alone, the input itself
};

/// Candidates that have an operating point at the estimates, by name, ready to be drawn; their values are appended.
template <Deferred...>
inline std::vector<JointCandidate> joint_candidates(const StudyInput& study, const SystemInput& system,
                                                    const std::vector<FilterResult>& filters,
                                                    std::vector<Uncertain<double>>& values) {
    DustCaught kept;
    std::vector<std::optional<Uncertain<VolumeFlow>>> clean;
    for (const CandidateInput& c : study.candidates) clean.push_back(clean_airflow(study, system, c, filters, kept));
    SystemResult ignored;
    const Volume annual = equal_service(study, system, clean, ignored);
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < study.candidates.size(); ++i) {
        if (clean[i]) order.push_back(i);
    }
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return study.candidates[a].name < study.candidates[b].name; });
    std::vector<JointCandidate> candidates;
    for (const std::size_t i : order) {
        CandidateResult result;
        auto prepared = prepared_candidate(study, system, study.candidates[i], filters, kept, result);
        prepared->model.annual_volume = annual;
        if (!(annual.value() > 0.0)) prepared->model.with_cost = false;
        CandidateCourse course;
        JointCandidate candidate{i, std::move(*prepared), {}, {}, values.size()};
        candidate.figures = uncertain_figures(candidate.prepared.model, candidate.prepared.parameters, course);
        candidate.prepared.model.with_middle = false;   // draws do not look at it, nor at what follows
        candidate.prepared.model.change_penalty = 0.0;
        candidate.prepared.model.step_error = steps_of_draws;
        candidate.prepared.model.service = {};
        result.clean = candidate_moment(*candidate.figures.clean);
        set_removal(candidate.prepared, candidate.figures, result);
        candidate.removal = result.lasting_pm25_removal;
        const auto& parameters = candidate.prepared.parameters;
        values.insert(values.end(), parameters.begin(), parameters.end());
        values.push_back(candidate.removal.value_or(Uncertain<double>{}));
        candidates.push_back(std::move(candidate));
    }
    return candidates;
}

/// What an input is known by that several filters share.
template <Deferred...>
inline std::string shared_measurement_name(const std::string& input, bool by_counts) {
    if (by_counts) return "correlation ratios of the sampling lines";
    const bool of_readings = input.starts_with("scatter of") || input.ends_with(" resolution");
    return of_readings ? "readings of the empty stand" : input;   // which all filters' net pressures contain
}

/// What an elementary input is known by to whoever might measure it again; empty if no cost rests on it.
template <Deferred...>
inline std::string measurement_name(const std::vector<JointCandidate>& candidates, const InputUse& use) {
    using Places = ParameterPlaces;
    std::set<std::string> by_pressure, by_loading, by_counts;
    const JointCandidate* counted = nullptr;   // what stages upstream catch changes what later ones are given
    for (const auto& [value, derivative] : use.places) {
        const auto owner = std::prev(std::find_if(candidates.begin(), candidates.end(),
                                                  [&, v = value](const auto& c) { return c.first_value > v; }));
        const std::size_t place = value - owner->first_value;
        if (place >= owner->prepared.parameters.size()) continue;   // the removal, which is not in the cost
        if (place < Places::first_stage) return use.input->name;
        const std::size_t what = (place - Places::first_stage) % Places::a_stage;
        const FilterResult& filter = *owner->prepared.filters[(place - Places::first_stage) / Places::a_stage];
        if (what == Places::price) return use.input->name;
        if (what == Places::linear || what == Places::quadratic) {
            by_pressure.insert(filter.name);
        } else if (what != Places::efficiency || !filter.efficiency) {
            by_loading.insert(filter.name);
        } else if (counted != &*owner) {
            by_counts.insert(filter.name);
            counted = &*owner;
        }
    }
    const auto of = [&](const char* what, const std::set<std::string>& names, bool counts = false) {
        return names.size() == 1 ? what + in_quotes(*names.begin()) : shared_measurement_name(use.input->name, counts);
    };
    if (!by_pressure.empty()) return of("pressure readings of ", by_pressure);
    if (!by_loading.empty()) return of("loading readings of ", by_loading);
    if (!by_counts.empty()) return of("particle counts of ", by_counts, true);
    return "";
}

/// Elementary inputs of the yearly costs, put together by what would sharpen them; by name.
template <Deferred...>
inline std::vector<JointMeasurement> joint_measurements(const std::vector<JointCandidate>& candidates,
                                                        std::span<const Uncertain<double>> values) {
    std::vector<const JointCandidate*> priced;
    for (const JointCandidate& c : candidates) {
        if (c.figures.annual_cost) priced.push_back(&c);
    }
    if (priced.empty()) return {};
    const JointCandidate& best = **std::min_element(priced.begin(), priced.end(), [](const auto* a, const auto* b) {
        return a->figures.annual_cost->value < b->figures.annual_cost->value;
    });
    std::map<std::string, std::vector<InputHandle>> inputs;
    for (const InputUse& use : inputs_in_order_of_use(values)) {
        if (!(use.input->standard_uncertainty > 0.0)) continue;
        const std::string name = measurement_name(candidates, use);
        if (!name.empty()) inputs[name].push_back(use.input);
    }
    std::vector<JointMeasurement> measurements;
    for (const auto& [name, members] : inputs) {
        if (members.size() == 1) {
            measurements.push_back({name, {0.0, Gradient(members.front())}});
            continue;
        }
        Uncertain<double> strongest;
        for (const JointCandidate* c : priced) {
            Uncertain<double> effect;
            for (const InputHandle& input : members) {
                const double difference = c->figures.annual_cost->gradient.derivative(input) -
                                          best.figures.annual_cost->gradient.derivative(input);
                effect.gradient.add(Gradient(input), difference);
            }
            if (effect.gradient.variance() > strongest.gradient.variance()) strongest = effect;
        }
        if (strongest.gradient.variance() > 0.0) measurements.push_back({name, std::move(strongest)});
    }
    return measurements;
}

}   // namespace filterflow::detail
