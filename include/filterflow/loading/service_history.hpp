// SPDX-License-Identifier: BSL-1.0
#pragma once

// Several stages over a long time, each changed at its own rule: what the cost of an installation over years is made
// of. Between two changes it is filter_life's integration.

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/inverse_course.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_segment.hpp>

namespace filterflow {

/// One change of one stage.
template <class T>
struct BasicStageChange {
    BasicTime<T> time;       ///< running time since the start
    std::size_t stage = 0;   ///< which, from zero
    LifeEnd cause{};         ///< its own rule, or the limit of the system that it was changed for
};
using StageChange = BasicStageChange<double>;

/// An installation over a long time.
template <class T>
struct BasicServiceHistory {
    LifeEnd end = LifeEnd::horizon;                 ///< horizon, or what stopped the service before it
    std::string reason;                             ///< the same in words
    bool reached_horizon = false;                   ///< false: the figures are of the time until it stopped
    bool derivatives_known = true;                  ///< false where the flow jumps at the end
    std::vector<BasicStageChange<T>> changes;       ///< in order of time
    std::vector<std::size_t> change_counts;         ///< of each stage
    std::vector<BasicLifeMoment<T>> moments;        ///< all along; two at one time where a stage was changed
    std::vector<std::size_t> extrapolated_stages;   ///< stages whose law was used beyond its readings
    BasicTime<T> time{};                            ///< running time
    BasicVolume<T> delivered{};                     ///< air
    std::optional<BasicEnergy<T>> fan_energy{};     ///< absent if the fan's table has no power
    BasicEnergy<T> filter_air_energy{};             ///< flow times filter pressure drop
    BasicMass<T> dust_arrived{};                    ///< with the air
    BasicMass<T> dust_caught{};                     ///< by all filters used
};
using ServiceHistory = BasicServiceHistory<double>;

namespace detail {

/// The stage that has grown most in pressure drop at the present flow; none if all are clean.
template <class T>
std::optional<std::size_t> most_loaded_stage(const LifeModel<T>& model, const std::vector<T>& masses) {
    LifePoint<T> loaded;
    if (!model.point(masses, loaded)) return std::nullopt;
    std::optional<std::size_t> most;
    double greatest = 0.0;
    for (std::size_t k = 0; k < model.stages(); ++k) {
        const auto& stage = model.input().stages[k];
        const BasicBypassedElement<T> clean{stage.clean, stage.gap_area, stage.discharge_coefficient};
        const double grown =
            plain_value(loaded.drops[k]) - plain_value(part_pressure_drop(clean, loaded.flow, model.input().air));
        if (plain_value(masses[k]) > 0.0 && grown > greatest) {
            greatest = grown;
            most = k;
        }
    }
    return most;
}

template <class T>
BasicServiceHistory<T> service_history_of(const BasicFilterLifeInput<T>& input, double step_error = exact_steps) {
    constexpr auto where = "service_history";
    constexpr std::size_t greatest_count = 100000;
    check(input, where);
    const LifeModel<T> model(input);
    const std::size_t n = model.stages();
    BasicServiceHistory<T> history;
    history.change_counts.assign(n, 0);
    std::vector<T> masses(n, T(0.0)), ages(n, T(0.0));
    LifePoint<T> start;
    if (model.point(masses, start)) check_final_resistances(model, start, where);
    const T whole = input.horizon.value() * input.dust.concentration.value();
    T dose(0.0), caught_before(0.0);
    std::vector<T> totals(model.integrals(), T(0.0));
    if (model.has_power()) history.fan_energy = BasicEnergy<T>::from_value(T(0.0));
    for (;;) {
        const auto segment = life_segment(model, masses, ages, T(whole - dose), false, step_error);
        history.end = segment.end;
        history.derivatives_known = segment.derivatives_known;
        std::size_t stage = segment.stage;
        if (!segment.doses.empty()) {
            for (std::size_t i = 0; i < segment.doses.size(); ++i) {
                std::vector<T> y = segment.states[i];
                for (std::size_t j = 0; j < totals.size(); ++j) y[n + j] = y[n + j] + totals[j];
                history.moments.push_back(life_moment(model, T(dose + segment.doses[i]), y, segment.points[i]));
            }
            const std::vector<T>& y = segment.states.back();
            note_extrapolation(model.input(), y, history.extrapolated_stages);
            for (std::size_t k = 0; k < n; ++k) {
                masses[k] = y[k];
                ages[k] = ages[k] + segment.doses.back();
            }
            for (std::size_t j = 0; j < totals.size(); ++j) totals[j] = totals[j] + y[n + j];
            dose = dose + segment.doses.back();
        }
        const bool of_system = segment.end == LifeEnd::least_airflow ||
                               segment.end == LifeEnd::external_static_pressure ||
                               segment.end == LifeEnd::greatest_power ||
                               segment.end == LifeEnd::operating_point_lost;
        if (of_system) {
            const auto most = most_loaded_stage(model, masses);
            if (!most) break;   // the limit binds with clean filters
            stage = *most;
        } else if (segment.end != LifeEnd::final_resistance && segment.end != LifeEnd::age &&
                   segment.end != LifeEnd::bridging) {
            break;
        }
        if (!(plain_value(dose) < plain_value(whole))) {
            history.end = LifeEnd::horizon;
            break;
        }
        if (history.changes.size() == greatest_count) {
            throw NoSolution("service_history: horizon not reached; tried: 100000 changes");
        }
        caught_before = caught_before + masses[stage];
        masses[stage] = T(0.0);
        ages[stage] = T(0.0);
        ++history.change_counts[stage];
        history.changes.push_back(
            {BasicTime<T>::from_value(dose / input.dust.concentration.value()), stage, segment.end});
    }
    history.reached_horizon = history.end == LifeEnd::horizon;
    history.reason = life_end_text(history.end, 0, n);
    if (history.end == LifeEnd::horizon) history.reason = "the horizon is reached";
    const T c = input.dust.concentration.value();
    history.time = BasicTime<T>::from_value(dose / c);
    history.delivered = BasicVolume<T>::from_value(totals[0] / c);
    if (model.has_power()) history.fan_energy = BasicEnergy<T>::from_value(totals[1] / c);
    history.filter_air_energy = BasicEnergy<T>::from_value(totals[2] / c);
    history.dust_arrived = BasicMass<T>::from_value(totals[0]);
    T caught = caught_before;
    for (const T& mass : masses) caught = caught + mass;
    history.dust_caught = BasicMass<T>::from_value(caught);
    return history;
}

}   // namespace detail

/// An installation over its horizon, each stage changed when its own rule says so.
///
/// Equation: as filter_life between changes; a changed stage starts clean, the others go on
/// Symbols:  as filter_life
/// Validity: as filter_life. Where a limit of the system is met first, the stage that has grown most in pressure drop
///           is changed; where it is met with all stages clean, or the operating point is lost, the service stops
///           there and says so. Derivatives hold while the order of the changes stays: two changes that nearly
///           coincide may swap
/// @param  input  fan, ducts, stages with their rules, dust, limits, horizon
/// @return changes with their causes, totals over the time, the way there
/// @throws DomainError as filter_life; NoSolution after 100000 changes
/// @source as filter_life; test: loading/service_history_test.cpp
template <std::size_t N>
BasicServiceHistory<Dual<N>> service_history(const BasicFilterLifeInput<Dual<N>>& input) {
    return detail::service_history_of(input);
}
template <Deferred...>
inline ServiceHistory service_history(const FilterLifeInput& input) { return detail::service_history_of(input); }

}   // namespace filterflow
