// SPDX-License-Identifier: BSL-1.0
#pragma once

// The life of a filter installation in its system: dust arrives with the airflow that the loaded filters let through,
// until a limit is met. What each stage passes reaches the next; what goes past a stage through its gap is not
// caught there.

#include <cstddef>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/inverse_course.hpp>
#include <filterflow/loading/inverse_moments.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_result.hpp>
#include <filterflow/loading/life_segment.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

namespace detail {

template <class T>
BasicLifeMoment<T> life_moment(const LifeModel<T>& model, const T& dose, const std::vector<T>& y,
                               const LifePoint<T>& p) {
    const std::size_t n = model.stages();
    const T c = model.input().dust.concentration.value();
    BasicLifeMoment<T> moment;
    moment.time = BasicTime<T>::from_value(dose / c);
    moment.dose = BasicDustDose<T>::from_value(dose);
    T drop(0.0);
    for (std::size_t k = 0; k < n; ++k) {
        moment.retained.push_back(BasicMass<T>::from_value(y[k]));
        moment.stage_drops.push_back(BasicPressure<T>::from_value(p.drops[k]));
        drop = drop + p.drops[k];
    }
    moment.caught_share = p.caught;
    moment.flow = BasicVolumeFlow<T>::from_value(p.flow);
    moment.filter_drop = BasicPressure<T>::from_value(drop);
    moment.external_static_pressure = BasicPressure<T>::from_value(p.pressure);
    moment.delivered = BasicVolume<T>::from_value(y[n] / c);
    if (model.has_power()) {
        moment.power = BasicPower<T>::from_value(p.power);
        moment.fan_energy = BasicEnergy<T>::from_value(y[n + 1] / c);
    }
    moment.filter_air_energy = BasicEnergy<T>::from_value(y[n + 2] / c);
    moment.filter_drop_time = y[n + 3] / c;
    moment.clean_air = BasicVolume<T>::from_value(y[n + 4] / c);
    moment.removed_by_size = p.removed;
    for (std::size_t i = 0; i < model.classes(); ++i) {
        moment.clean_air_by_size.push_back(BasicVolume<T>::from_value(y[n + 5 + i] / c));
    }
    return moment;
}

/// A final resistance below the clean one is an error, since no filter could be changed at it.
template <class T>
void check_final_resistances(const LifeModel<T>& model, const LifePoint<T>& clean, const char* where) {
    for (std::size_t k = 0; k < model.stages(); ++k) {
        const auto& limit = model.input().stages[k].final_resistance;
        if (!limit || limit->value() > clean.drops[k]) continue;
        throw_domain_error(where, "stage " + std::to_string(k + 1) + ": final_resistance", plain_value(limit->value()),
                           "Pa",
                           "above the clean pressure drop " + number_text(plain_value(clean.drops[k])) + " Pa at " +
                               number_text(plain_value(clean.flow)) + " m3/s, where the system runs");
    }
}

/// A life from its segment.
template <class T>
BasicFilterLife<T> life_of_segment(const LifeModel<T>& model, const LifeSegment<T>& segment) {
    const BasicFilterLifeInput<T>& input = model.input();
    BasicFilterLife<T> life;
    take_end(segment.end, segment.stage, model.stages(), life);
    life.derivatives_known = segment.derivatives_known;
    if (segment.doses.empty()) return life;
    for (std::size_t i = 0; i < segment.doses.size(); ++i) {
        life.moments.push_back(life_moment(model, segment.doses[i], segment.states[i], segment.points[i]));
    }
    const std::vector<T>& y = segment.states.back();
    life.age = BasicTime<T>::from_value(life.moments.back().time.value() / input.running_fraction);
    take_totals(input, y, y[model.stages()], life);
    return life;
}

/// Checked input to model; a final resistance below the clean pressure drop is refused.
template <class T>
LifeModel<T> checked_life_model(const BasicFilterLifeInput<T>& input, const char* where) {
    check(input, where);
    LifeModel<T> model(input);
    LifePoint<T> start;
    if (model.point(std::vector<T>(model.stages(), T(0.0)), start)) check_final_resistances(model, start, where);
    return model;
}

template <class T>
BasicFilterLife<T> filter_life_of(const BasicFilterLifeInput<T>& input, double step_error = exact_steps) {
    if constexpr (std::is_same_v<T, double>) {
        check(input, "filter_life");
        if (std::optional<FilterLife> life = inverse_filter_life(input)) return *std::move(life);
    }
    const LifeModel<T> model = checked_life_model(input, "filter_life");
    const std::vector<T> clean(model.stages(), T(0.0));
    const T whole = input.horizon.value() * input.dust.concentration.value();
    return life_of_segment(model, life_segment(model, clean, clean, whole, false, step_error));
}

}   // namespace detail

/// The life of a filter installation: how dust builds up, how flow and pressures follow, which limit ends it and when.
///
/// Equation: dm_k/dtheta = Q(m) sum_i s_i prod_{j<k} (1 - phi_j E_ji) phi_k E_ki; resistance of stage k:
///           F_k(e m_k / A_k) r_k Q + s_k Q^2; Q where fan and system meet; theta = C t
/// Symbols:  m_k building's dust on stage k [kg], theta dust dose [kg s/m3], C concentration [kg/m3], t running time
///           [s], phi_k share of the air that goes through stage k and not past it, s_i share of dust class i, E_ki
///           efficiency for it, F_k loading law, e dust equivalence, A_k reference area [m2]
/// Validity: quasi-steady flow, constant concentration, one operating air; the operating point is the stable crossing
///           of largest flow. Within 1e-8 in dose: one stage in double by inverse quadrature where fan less ducts falls
///           throughout, else by adaptive steps. A limit that is not met is not extrapolated to: the end is then
///           the horizon, or the end of the fan's table. Laws used beyond their readings are listed
/// @param  input  fan, ducts, stages, dust, running fraction, air, limits, horizon
/// @return what ended the life, when, and the way there at the steps of the integration (close enough together to
///         draw)
/// @throws DomainError if an argument is outside its range, or a final resistance is not above the stage's clean
///         pressure drop in this system (both are named)
/// @source mass balance of the filter; Dormand and Prince 1980 for the integration; test:
///         loading/filter_life_test.cpp against quadrature and a library integrator
template <std::size_t N>
BasicFilterLife<Dual<N>> filter_life(const BasicFilterLifeInput<Dual<N>>& input) {
    return detail::filter_life_of(input);
}
template <Deferred...>
inline FilterLife filter_life(const FilterLifeInput& input) { return detail::filter_life_of(input); }

}   // namespace filterflow
