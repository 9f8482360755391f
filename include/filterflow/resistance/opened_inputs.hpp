// SPDX-License-Identifier: BSL-1.0
#pragma once

// An opened filter as counted and measured, and the uncertain inputs that it gives to the pleat model.

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/pleated_filter.hpp>
#include <filterflow/resistance/viscous_split.hpp>

namespace filterflow {

/// An opened filter with the uncertainties of ruler and model. Readings of one ruler may share an input; filters that
/// are compared should share the factors of the model.
struct OpenedFilter {
    Uncertain<double> count;         ///< pleats, > 0
    Uncertain<Length> depth;         ///< of a pleat, over the folds on both sides as a ruler has it, > two thicknesses
    Uncertain<Length> width;         ///< of the pack, across the pleats, > 0
    Uncertain<Length> length;        ///< of a fold, > 0
    Uncertain<Length> thickness;     ///< of the medium, > 0
    Uncertain<double> inlet_gap_share = 0.5;   ///< inlet gap over both gaps, between 0 and 1
    /// Friction of the channels over that of the model where the flow develops early.
    Uncertain<double> friction_factor = uncertain(1.0, 0.12, "friction of the channels, over the model's");
    /// Momentum factor of the channels: 1.2 for developed laminar flow, 1 for evenly spread.
    Uncertain<double> momentum_factor = uncertain(1.2, 0.12, "momentum factor of the channels");
    std::optional<Uncertain<Area>> media_area = std::nullopt;   ///< unfolded and measured; absent: of the geometry
    PleatShape shape = PleatShape::rectangular;  ///< of the walls
    Uncertain<Length> fold_radius = Length();    ///< of the tightest fold, >= 0; > 0 if triangular
    /// How far a late development of the flow changes the channels' friction: added to friction_factor times 0.03 a
    /// depth of entry length (at most 0.5) at the greatest flow of the readings. An exact zero leaves it out.
    Uncertain<double> entry_length_effect = uncertain(0.0, 1.0, "late development of the flow in the channels");
    /// Loss where the air enters the gaps, as PleatedFilter.
    Uncertain<double> contraction_coefficient = uncertain(0.4, 0.1, "contraction at the inlet mouths");
    /// Loss where it leaves, over that of a sudden expansion.
    Uncertain<double> expansion_factor = uncertain(1.0, 0.1, "expansion at the outlet mouths");
    /// Loss while the profile develops, as PleatedFilter: 0.674 to 1.4.
    Uncertain<double> development_coefficient = uncertain(0.674, 0.3, "development behind the inlet mouths");
};

namespace detail {

/// The stage's inputs: r (or the permeability), the ten of the geometry, the three of the mouths, in this order.
inline constexpr std::size_t opened_inputs = 14;
using OpenedInputs = std::array<Uncertain<double>, opened_inputs>;

inline constexpr double friction_change_by_entry_length = 0.03;
inline constexpr double greatest_friction_change = 0.5;

template <class T>
BasicMeasuredPack<T> measured_pack(const std::array<T, opened_inputs>& x, PleatShape shape) {
    return {.pack = {.count = x[1],
                     .depth = BasicLength<T>::from_value(x[2] - T(2) * x[7]),
                     .width = BasicLength<T>::from_value(x[3]),
                     .length = BasicLength<T>::from_value(x[4]),
                     .inlet_gap_share = x[5],
                     .shape = shape,
                     .fold_radius = BasicLength<T>::from_value(x[6])},
            .thickness = BasicLength<T>::from_value(x[7]),
            .friction_factor = x[8],
            .momentum_factor = x[9],
            .media_area = BasicArea<T>::from_value(x[10]),
            .contraction_coefficient = x[11],
            .expansion_factor = x[12],
            .development_coefficient = x[13]};
}

/// The inputs with a filter's friction widened by its entry length, and the flow in its channels, at a flow.
struct OpenedStage {
    OpenedInputs inputs;
    double entry_length_share;   // in depths
    ChannelFlow channel_flow;
};

template <Deferred...>
inline OpenedStage opened_stage(const Uncertain<double>& first, const OpenedFilter& opened, VolumeFlow flow,
                                const AirState& air, const char* where) {
    if (opened.media_area) require_positive(where, "media_area", opened.media_area->value.value(), "m2");
    OpenedStage stage{{first, opened.count, to_si(opened.depth), to_si(opened.width), to_si(opened.length),
                       opened.inlet_gap_share, to_si(opened.fold_radius), to_si(opened.thickness),
                       opened.friction_factor, opened.momentum_factor,
                       opened.media_area ? to_si(*opened.media_area) : Uncertain<double>(0.0),
                       opened.contraction_coefficient, opened.expansion_factor, opened.development_coefficient},
                      0.0,
                      ChannelFlow::developed};
    std::array<double, opened_inputs> x{};
    for (std::size_t i = 0; i < opened_inputs; ++i) x[i] = stage.inputs[i].value;
    if (!(x[2] > 2.0 * x[7])) {
        throw_domain_error(where, "depth", x[2], "m",
                           "above two thicknesses of the medium, " + number_text(2.0 * x[7]) +
                               " m, which the folds take of what a ruler measures");
    }
    require_finite(where, "entry_length_effect", opened.entry_length_effect.value, "-");
    const MeasuredPack measured = measured_pack(x, opened.shape);
    check(measured, where);
    const PleatFlowCase<double> flow_case = pleat_flow_case(
        PleatedFilter{.medium = {measured.thickness, Permeability::from_value(1e-10)}, .pack = measured.pack}, flow,
        air, where);
    const double reynolds = channel_reynolds_number(flow_case);
    stage.entry_length_share = entry_length_share(flow_case, reynolds);
    stage.channel_flow = channel_flow_kind(reynolds, stage.entry_length_share);
    const double change =
        std::min(friction_change_by_entry_length * stage.entry_length_share, greatest_friction_change);
    stage.inputs[8].value += change * opened.entry_length_effect.value;
    stage.inputs[8].gradient.add(opened.entry_length_effect.gradient, change);
    return stage;
}

/// Dual numbers of the inputs that are uncertain at all; exact ones stay constants, for which the model has short ways.
template <Deferred...>
inline std::array<Dual<opened_inputs>, opened_inputs> seeds(const OpenedInputs& inputs) {
    std::array<Dual<opened_inputs>, opened_inputs> x;
    for (std::size_t i = 0; i < opened_inputs; ++i) {
        x[i] = inputs[i].gradient.terms().empty() ? Dual<opened_inputs>(inputs[i].value)
                                                  : Dual<opened_inputs>::input(inputs[i].value, i);
    }
    return x;
}

template <Deferred...>
inline Gradient chained(const OpenedInputs& inputs, const Dual<opened_inputs>& y, std::size_t first,
                        std::size_t last) {
    Gradient gradient;
    for (std::size_t i = first; i < last; ++i) gradient.add(inputs[i].gradient, y.derivative[i]);
    return gradient;
}

/// The fitted r as a functional of the drops at the readings' flows. Of a curve with both parts it does not see what
/// goes with the square of the flow: mouths, frame and grilles cancel.
template <Deferred...>
inline DropPlan plan_of(const ElementFit& fit) {
    std::vector<std::array<double, 2>> both;
    std::vector<std::array<double, 1>> one;
    std::vector<double> drops, weights;
    DropPlan plan;
    plan.mouths = fit.form == ElementFitForm::viscous_only;
    for (const FitResidual& point : fit.residual_points) {
        const double q = point.flow.value(), u = point.standard_uncertainty.value();
        plan.flows.push_back(q);
        both.push_back({q, q * q});
        one.push_back({q});
        drops.push_back(point.fitted.value());
        weights.push_back(u > 0.0 ? 1.0 / (u * u) : 1.0);
    }
    if (plan.mouths) {
        for (const auto& row : least_squares<1>(one, drops, weights).influence) plan.factors.push_back(row[0]);
    } else {
        for (const auto& row : least_squares<2>(both, drops, weights).influence) plan.factors.push_back(row[0]);
    }
    return plan;
}

}   // namespace detail

}   // namespace filterflow
