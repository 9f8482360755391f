// SPDX-License-Identifier: BSL-1.0
#pragma once

// A candidate in a system as the input of its life, from its uncertain parameters, and its figures with clean filters;
// generic in the scalar. Not public.

#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <variant>

#include <filterflow/airflow/held_flow.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/loading_fit.hpp>
#include <filterflow/study/candidate_figures.hpp>

namespace filterflow::detail {

/// The ducts with all their pressure drops times a factor.
template <class T>
BasicSystemCurve<T> scaled_system(const SystemCurve& s, const T& factor) {
    BasicSystemCurve<T> result;
    const auto element = [&](const ElementCurve& e) {
        return BasicElementCurve<T>{BasicLinearResistance<T>::from_value(factor * T(e.linear.value())),
                                    BasicQuadraticResistance<T>::from_value(factor * T(e.quadratic.value())),
                                    e.stated_air};
    };
    const auto length = [](const Length& l) { return BasicLength<T>::from_value(T(l.value())); };
    result.constant_pressure =
        BasicPressure<T>::from_value(T(s.constant_pressure.value()));   // of the space, not the ducts
    for (const auto& x : s.power_laws) {
        result.power_laws.push_back({BasicPressure<T>::from_value(factor * T(x.reference_pressure.value())),
                                     BasicVolumeFlow<T>::from_value(T(x.reference_flow.value())), T(x.exponent),
                                     x.stated_air});
    }
    for (const auto& x : s.elements) result.elements.push_back(element(x));
    for (const auto& x : s.bypassed_elements) {
        result.bypassed_elements.push_back(
            {element(x.element), BasicArea<T>::from_value(T(x.gap_area.value())), T(x.discharge_coefficient)});
    }
    for (const auto& x : s.ducts) {   // friction goes with length, fittings with their coefficient
        result.ducts.push_back({BasicLength<T>::from_value(factor * T(x.length.value())), length(x.diameter),
                                length(x.width), length(x.height), length(x.roughness), factor * T(x.loss_coefficient),
                                x.friction_diameter, x.section});
    }
    return result;
}

template <class T>
BasicFilterLifeInput<T> life_input(const CandidateModel& model, std::span<const T> p) {
    using Places = ParameterPlaces;
    BasicFilterLifeInput<T> input{model.fan, {}, {}, {}, {}, {}, {}, {}, {}};
    input.fan_scale = {p[Places::fan_pressure], p[Places::fan_power]};
    if (const auto* drive = std::get_if<FlowHoldingFan>(&model.fan)) {
        const double factor = plain_value(p[Places::held_airflow]);
        if (factor != 1.0) input.fan = with_held_flow(*drive, factor);
        input.fan_scale.held_flow_factor = p[Places::held_airflow] / T(factor);   // one, with its derivatives
    }
    input.ducts = scaled_system(model.ducts, p[Places::duct_pressure]);
    input.dust = {BasicMassConcentration<T>::from_value(p[Places::dust]), p[Places::equivalence]};
    input.running_fraction = T(model.running_fraction);
    input.air = air_as<T>(model.air);
    input.horizon = BasicTime<T>::from_value(T(model.horizon.value()));
    if (model.limits.least_airflow) {
        input.limits.least_airflow = BasicVolumeFlow<T>::from_value(T(model.limits.least_airflow->value()));
    }
    if (model.limits.greatest_external_static_pressure) {
        input.limits.greatest_external_static_pressure =
            BasicPressure<T>::from_value(T(model.limits.greatest_external_static_pressure->value()));
    }
    if (model.limits.greatest_power) {
        input.limits.greatest_power = BasicPower<T>::from_value(T(model.limits.greatest_power->value()));
    }
    for (std::size_t k = 0; k < model.stages.size(); ++k) {
        const StageModel& m = model.stages[k];
        const auto at = [&](std::size_t what) { return p[Places::of_stage(k, what)]; };
        BasicFilterStage<T> stage;
        stage.clean = {BasicLinearResistance<T>::from_value(at(Places::linear)),
                       BasicQuadraticResistance<T>::from_value(at(Places::quadratic)), m.stated_air};
        if (m.form) {
            stage.law = loading_law<T>(*m.form, m.reference,
                                       {at(Places::growth_scale), at(Places::transition), at(Places::cake_slope)});
        }
        stage.area = BasicArea<T>::from_value(T(m.area.value()));
        stage.efficiency.clean = at(Places::efficiency);
        stage.gap_area = BasicArea<T>::from_value(T(m.gap_area.value()));
        if (m.final_resistance) stage.final_resistance = BasicPressure<T>::from_value(T(m.final_resistance->value()));
        if (m.greatest_age) stage.greatest_age = BasicTime<T>::from_value(T(m.greatest_age->value()));
        stage.greatest_known = m.greatest_known;
        input.stages.push_back(std::move(stage));
    }
    return input;
}

template <class T>
MomentFigures<T> moment_figures(const BasicLifeMoment<T>& m) {
    MomentFigures<T> figures{m.flow.value(), m.filter_drop.value(), m.external_static_pressure.value(), std::nullopt};
    if (m.power) figures.power = m.power->value();
    return figures;
}

/// Ducts and clean filters, with the gaps around them.
template <class T>
BasicSystemCurve<T> clean_system(const BasicFilterLifeInput<T>& input) {
    BasicSystemCurve<T> system = input.ducts;
    for (const auto& stage : input.stages) {
        if (plain_value(stage.gap_area.value()) > 0.0) {
            append(system, BasicBypassedElement<T>{stage.clean, stage.gap_area, stage.discharge_coefficient});
        } else {
            append(system, stage.clean);
        }
    }
    return system;
}

template <class T>
void clean_figures(const BasicFilterLifeInput<T>& input, CandidateFigures<T>& figures) {
    const auto found = find_operating_state(input.fan, clean_system(input), input.air, input.fan_scale);
    if (!found.state) return;
    const BasicOperatingState<T>& state = *found.state;
    MomentFigures<T> clean{state.flow.value(), T(0.0), state.pressure.value(), std::nullopt};
    if (state.power) clean.power = state.power->value();
    for (const auto& stage : input.stages) {
        const BasicFlowSplit<T> split =
            flow_split<T>({stage.clean, stage.gap_area, stage.discharge_coefficient}, state.flow, input.air);
        clean.filter_drop = clean.filter_drop + split.drop.value();
        figures.through_share.push_back(split.through_element.value() / state.flow.value());
    }
    figures.clean = clean;
    const auto without = find_operating_state(input.fan, input.ducts, input.air, input.fan_scale);
    if (without.state && without.state->power) figures.power_without = without.state->power->value();
}

}   // namespace filterflow::detail
