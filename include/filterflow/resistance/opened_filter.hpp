// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter that was tested clean and then opened says about its medium: pleats counted, depth, thickness and
// width measured with a ruler.
//
// A curve r Q + s Q^2 has two numbers. The second holds frame, grilles, mouths and part of the momentum in the channels
// together, so that nothing of the medium can be read from it. The first is one equation: the permeability follows
// if friction and momentum of the channels are computed from the geometry. Nothing in the readings tells the medium
// from the channels; the ruler does, and the channels' friction goes with the cube of the gap.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/fit_check.hpp>
#include <filterflow/resistance/viscous_split.hpp>

namespace filterflow {

/// An opened filter with the uncertainties of ruler and model. Readings of one ruler may share an input.
struct OpenedFilter {
    Uncertain<double> count;         ///< pleats, > 0
    Uncertain<Length> depth;         ///< of a pleat, > 0
    Uncertain<Length> width;         ///< of the pack, across the pleats, > 0
    Uncertain<Length> length;        ///< of a fold, > 0
    Uncertain<Length> thickness;     ///< of the medium, > 0
    Uncertain<double> inlet_gap_share = 0.5;   ///< inlet gap over both gaps, between 0 and 1
    /// Friction of the channels over that of the model, which is good to some 20 %; give filters that are compared
    /// the same one.
    Uncertain<double> friction_factor = uncertain(1.0, 0.12, "friction of the channels, over the model's");
    /// Momentum factor of the channels: 1.2 for developed laminar flow, 1 for evenly spread; likewise.
    Uncertain<double> momentum_factor = uncertain(1.2, 0.12, "momentum factor of the channels");
    std::optional<Uncertain<Area>> media_area = std::nullopt;   ///< unfolded and measured; absent: of the geometry
    PleatShape shape = PleatShape::rectangular;  ///< of the walls
    Uncertain<Length> fold_radius = Length();    ///< of the tightest fold, >= 0; > 0 if triangular
};

/// Whether medium and channels can be told apart.
enum class OpenedVerdict {
    separated,                    ///< the interval of the permeability spans less than a factor of two
    readings_do_not_separate,     ///< it spans more, mostly for the readings: they tell too little of the viscous part
    geometry_does_not_separate,   ///< it spans more, mostly for ruler and model: the channels may cost little or much
};

/// What an opened filter says about its medium and its channels.
struct OpenedMedium {
    Uncertain<Permeability> permeability;   ///< with the uncertainties of readings, ruler and model
    Uncertain<double> medium_share;         ///< of the medium in the viscous part (as the flow vanishes)
    Uncertain<double> channel_share;        ///< of the channels' friction in the viscous part
    /// 95 %, the inputs moved together as far as they may be; absent if some such input admits no medium at all.
    std::optional<Interval<Permeability>> permeability_interval;
    Interval<double> channel_share_interval;   ///< likewise, within 0 to 1; upper end 1 where the inputs set no bound
    double uncertainty_of_readings = 0;   ///< relative standard uncertainty of the permeability by the curve, >= 0
    double uncertainty_of_geometry = 0;   ///< the same by ruler and channel model, >= 0
    OpenedVerdict verdict = OpenedVerdict::separated;   ///< whether medium and channels are told apart
    std::optional<Uncertain<double>> area_ratio;   ///< area measured over area of the geometry, where it was measured
    bool area_contradicts = false;        ///< the two areas differ by more than their uncertainties explain
    bool model_contradicts = false;       ///< the pack computed costs more than the element read, at the greatest flow
};

/// The pressure drop of an opened filter at a flow by its parts. What is left beside the pack is frame, grilles and
/// whatever the model misses.
struct OpenedDrop {
    Uncertain<Pressure> total;        ///< of the fitted curve
    Uncertain<Pressure> medium;       ///< by the permeability found
    Uncertain<Pressure> channels;     ///< friction and momentum in the channels
    Uncertain<Pressure> mouths;       ///< entry and exit of the pack
    Uncertain<Pressure> unassigned;   ///< the total less these three
    Uncertain<double> medium_share;   ///< of the total
    Uncertain<double> channel_share;  ///< of the total, without the mouths
    Uncertain<double> mouth_share;    ///< of the total
};

/// What a verdict means, in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: every verdict
/// @param  verdict  of an opened filter
/// @return one clause without a full stop
/// @throws nothing
/// @source none needed; test: resistance/opened_filter_test.cpp
constexpr std::string_view description(OpenedVerdict verdict) {
    switch (verdict) {
        case OpenedVerdict::separated: return "medium and channels are told apart";
        case OpenedVerdict::readings_do_not_separate:
            return "medium and channels are not told apart: the readings tell too little of the viscous part";
        case OpenedVerdict::geometry_does_not_separate:
            return "medium and channels are not told apart: ruler and channel model leave open what the channels cost";
    }
    return "";
}

namespace detail {

inline constexpr double separation_factor = 2.0;   // greatest over least permeability that still counts as separated

/// The stage's inputs: r (or the permeability) and the ten of the geometry, in this order.
inline constexpr std::size_t opened_inputs = 11;
using OpenedInputs = std::array<Uncertain<double>, opened_inputs>;

template <class T>
BasicMeasuredPack<T> measured_pack(const std::array<T, opened_inputs>& x, PleatShape shape) {
    return {.pack = {.count = x[1],
                     .depth = BasicLength<T>::from_value(x[2]),
                     .width = BasicLength<T>::from_value(x[3]),
                     .length = BasicLength<T>::from_value(x[4]),
                     .inlet_gap_share = x[5],
                     .shape = shape,
                     .fold_radius = BasicLength<T>::from_value(x[6])},
            .thickness = BasicLength<T>::from_value(x[7]),
            .friction_factor = x[8],
            .momentum_factor = x[9],
            .media_area = BasicArea<T>::from_value(x[10])};
}

inline OpenedInputs opened_stage(const Uncertain<double>& first, const OpenedFilter& opened) {
    return {first,
            opened.count,
            to_si(opened.depth),
            to_si(opened.width),
            to_si(opened.length),
            opened.inlet_gap_share,
            to_si(opened.fold_radius),
            to_si(opened.thickness),
            opened.friction_factor,
            opened.momentum_factor,
            opened.media_area ? to_si(*opened.media_area) : Uncertain<double>(0.0)};
}

/// Dual numbers of the inputs that are uncertain at all; exact ones stay constants, for which the model has short ways.
inline std::array<Dual<opened_inputs>, opened_inputs> seeds(const OpenedInputs& inputs) {
    std::array<Dual<opened_inputs>, opened_inputs> x;
    for (std::size_t i = 0; i < opened_inputs; ++i) {
        x[i] = inputs[i].gradient.terms().empty() ? Dual<opened_inputs>(inputs[i].value)
                                                  : Dual<opened_inputs>::input(inputs[i].value, i);
    }
    return x;
}

inline Gradient chained(const OpenedInputs& inputs, const Dual<opened_inputs>& y, std::size_t first,
                        std::size_t last) {
    Gradient gradient;
    for (std::size_t i = first; i < last; ++i) gradient.add(inputs[i].gradient, y.derivative[i]);
    return gradient;
}

/// The fitted r as a functional of the drops at the readings' flows. Of a curve with both parts it does not see what
/// goes with the square of the flow: mouths, frame and grilles cancel.
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

inline double covariance_of(const Gradient& a, const Gradient& b) {
    double sum = 0.0;
    for (const Gradient::Term& term : a.terms()) {
        const double u = term.input->standard_uncertainty;
        sum += term.derivative * b.derivative(term.input) * u * u;
    }
    return sum;
}

/// Permeability and share with all inputs moved by a number of standard uncertainties of an output along its gradient:
/// each by its covariance with it. Absent where the inputs moved so far admit no medium.
inline std::optional<ViscousSplit> moved_split(const OpenedInputs& inputs, const Gradient& output, double deviations,
                                               PleatShape shape, const DropPlan& plan, const AirState& air,
                                               const char* where) {
    const double u = std::sqrt(output.variance());
    std::array<double, opened_inputs> x{};
    for (std::size_t i = 0; i < opened_inputs; ++i) {
        x[i] = inputs[i].value;
        if (u > 0.0) x[i] += deviations * covariance_of(inputs[i].gradient, output) / u;
    }
    try {
        const MeasuredPack measured = measured_pack<double>(x, shape);
        check(measured, where);
        const double r = require_positive(where, "linear part of the curve", x[0], "Pa s/m3");
        const double k = planned_permeability<double>(r, measured, plan, air, where);
        return ViscousSplit{Permeability::from_value(k), viscous_medium_share<double>(measured, k, air, where)};
    } catch (const DomainError&) {
        return std::nullopt;   // the pleats touch, or nothing is left of the viscous part
    } catch (const NoSolution&) {
        return std::nullopt;   // the channels alone resist more
    }
}

}   // namespace detail

/// Pressure drop of an opened filter at a flow by its parts.
///
/// Equation: medium, channels and mouths of pressure_drop_parts with the permeability found; unassigned = total - these
/// Symbols:  total drop of the fitted curve [Pa]
/// Validity: between the least and greatest flow of the fit, in air near the stated one. Channels and mouths are good
///           to some 20 %, which is in the uncertainty as far as friction and momentum factor carry it
/// @param  fit  the curve that the permeability was found from
/// @param  opened  geometry as measured, as for opened_medium
/// @param  permeability  of opened_medium
/// @param  flow  [m3/s], > 0
/// @param  air  air of operation
/// @return total and parts [Pa], and shares of the total
/// @throws DomainError as pressure_drop(ElementFit), or if the flow is not > 0; NoSolution as pressure_drop_parts
/// @source own; JCGM 100:2008 (GUM), 5.1; test: resistance/opened_filter_test.cpp
[[nodiscard]] inline OpenedDrop opened_drop(const ElementFit& fit, const OpenedFilter& opened,
                                            const Uncertain<Permeability>& permeability, VolumeFlow flow,
                                            const AirState& air) {
    constexpr auto where = "opened_drop";
    const double q = detail::require_positive(where, "flow", flow.value(), "m3/s");
    detail::require_positive(where, "permeability", permeability.value.value(), "m2");
    const auto inputs = detail::opened_stage(to_si(permeability), opened);
    const auto x = detail::seeds(inputs);
    const auto measured = detail::measured_pack(x, opened.shape);
    detail::check(measured, where);
    const auto parts = detail::pack_parts(measured, x[0], q, air_as<Dual<detail::opened_inputs>>(air));
    OpenedDrop result;
    result.total = pressure_drop(fit, flow, air);
    const auto pressure_of = [&](const Dual<detail::opened_inputs>& y) {
        return Uncertain<Pressure>(Pressure::from_value(y.value),
                                   detail::chained(inputs, y, 0, detail::opened_inputs));
    };
    result.medium = pressure_of(parts.medium);
    result.channels = pressure_of(parts.channels);
    result.mouths = pressure_of(parts.mouths);
    result.unassigned = result.total - result.medium - result.channels - result.mouths;
    const double total = detail::require_positive(where, "total drop", result.total.value.value(), "Pa");
    const auto share_of = [&](const Uncertain<Pressure>& part) {
        Uncertain<double> share(part.value.value() / total);
        share.gradient.add(part.gradient, 1.0 / total);
        share.gradient.add(result.total.gradient, -share.value / total);
        return share;
    };
    result.medium_share = share_of(result.medium);
    result.channel_share = share_of(result.channels);
    result.mouth_share = share_of(result.mouths);
    return result;
}

/// Permeability of the medium of an opened filter and the share of the channels, with the uncertainty of readings,
/// ruler and channel model, and whether medium and channels are told apart.
///
/// Equation: r = sum_i a_i dp(Q_i; k), solved for k: dp of the pleat model (friction, momentum, medium), a_i the
///           derivative of the fitted r to reading i; intervals by moving all inputs to x -+ t u(x, y)/u(y), y = ln k
///           or share
/// Symbols:  r linear part of the curve [Pa s/m3], k permeability [m2], Q_i flows of the readings, x inputs, t coverage
///           factor
/// Validity: as pressure_drop_parts, readings in air near the stated one. Frame and grilles may cost anything that goes
///           with the square of the flow; of a viscous-only curve they must cost nothing. The readings give r alone:
///           how it divides rests on the geometry and on the channel model. Told apart if the 95 % interval of k
///           spans less than a factor of two. Momentum bends a curve a little off r Q + s Q^2; the fit counts that as
///           scatter, so that the uncertainty is rather too large. A curve whose form was assumed, or that is inertial
///           only, is refused
/// @param  fit  clean element curve, tare removed
/// @param  opened  geometry as measured, with uncertainties
/// @return permeability, shares, intervals, verdict and contradictions
/// @throws DomainError if a dimension is out of range, the form was assumed or has no viscous part; NoSolution if
///         the channels of that geometry alone resist more than the whole element did
/// @source JCGM 100:2008 (GUM), 5.1; intervals as first-order reliability points (from memory);
///         test: resistance/opened_filter_test.cpp
[[nodiscard]] inline OpenedMedium opened_medium(const ElementFit& fit, const OpenedFilter& opened) {
    constexpr auto where = "opened_medium";
    const AirState& air = fit.curve.stated_air;
    detail::check_air(air, where);
    if (fit.form_assumed) {
        detail::throw_domain_error(where, "readings of the curve", static_cast<double>(fit.reading_count), "",
                                   "two or more at different flows: a form that is assumed says nothing about the "
                                   "medium");
    }
    detail::require_positive(where, "linear part of the curve", fit.curve.linear.value(), "Pa s/m3");
    const auto inputs = detail::opened_stage(to_si(fit.linear), opened);
    if (opened.media_area) detail::require_positive(where, "media_area", opened.media_area->value.value(), "m2");
    constexpr std::size_t n = detail::opened_inputs;
    using D = Dual<n>;
    const auto x = detail::seeds(inputs);
    const auto measured = detail::measured_pack(x, opened.shape);
    detail::check(measured, where);
    const auto flowing = air_as<D>(air);
    const detail::DropPlan plan = detail::plan_of(fit);
    const D k = detail::planned_permeability(x[0], measured, plan, flowing, where);
    const D share = detail::viscous_medium_share(measured, k, flowing, where);
    const auto uncertain_of = [&](const D& y) {
        return Uncertain<double>(y.value, detail::chained(inputs, y, 0, n));
    };

    OpenedMedium result;
    result.permeability = from_si<Permeability>(uncertain_of(k));
    result.medium_share = uncertain_of(share);
    result.channel_share = uncertain_of(D(1.0) - share);
    if (opened.media_area) {
        result.area_ratio = uncertain_of(x[10] / pleat_geometry(measured.pack, measured.thickness).media_area.value());
        result.area_contradicts = !coverage_interval(*result.area_ratio).contains(1.0);
    }
    const D log_k = log(k);
    const Gradient all = detail::chained(inputs, log_k, 0, n);
    // An input of readings and ruler counts in both.
    result.uncertainty_of_readings = std::sqrt(detail::chained(inputs, log_k, 0, 1).variance());
    result.uncertainty_of_geometry = std::sqrt(detail::chained(inputs, log_k, 1, n).variance());

    const auto moved = [&](const Gradient& output, double side) {
        const double factor = side * coverage_factor(output.effective_degrees_of_freedom());
        return detail::moved_split(inputs, output, factor, opened.shape, plan, air, where);
    };
    const auto least = moved(all, -1.0), greatest = moved(all, 1.0);
    if (least && greatest) result.permeability_interval = {least->permeability, greatest->permeability};
    const auto few = moved(result.channel_share.gradient, -1.0), many = moved(result.channel_share.gradient, 1.0);
    result.channel_share_interval = {few ? 1.0 - few->medium_share : 0.0, many ? 1.0 - many->medium_share : 1.0};
    const bool separated = result.permeability_interval &&
                           result.permeability_interval->upper <
                               detail::separation_factor * result.permeability_interval->lower;
    result.verdict = separated ? OpenedVerdict::separated
                     : result.uncertainty_of_readings > result.uncertainty_of_geometry
                         ? OpenedVerdict::readings_do_not_separate
                         : OpenedVerdict::geometry_does_not_separate;
    const OpenedDrop drop = opened_drop(fit, opened, result.permeability, fit.greatest_flow, air);
    result.model_contradicts = coverage_interval(drop.unassigned).upper.value() < 0.0;
    return result;
}

/// The same with a geometry and a channel model that are taken as exact: the uncertainty is that of the readings alone.
///
/// Equation: as opened_medium above
/// Symbols:  as opened_medium above
/// Validity: as opened_medium above; a verdict of `separated` then says nothing of ruler and channel model
/// @param  fit  clean element curve, tare removed
/// @param  pack  geometry
/// @param  thickness  of the medium [m], > 0
/// @return as opened_medium above
/// @throws DomainError, NoSolution as opened_medium above
/// @source as opened_medium above; test: resistance/opened_filter_test.cpp
[[nodiscard]] inline OpenedMedium opened_medium(const ElementFit& fit, const PleatPack& pack, Length thickness) {
    return opened_medium(fit, {.count = pack.count,
                               .depth = pack.depth,
                               .width = pack.width,
                               .length = pack.length,
                               .thickness = thickness,
                               .inlet_gap_share = pack.inlet_gap_share,
                               .friction_factor = 1.0,
                               .momentum_factor = 1.2,
                               .media_area = std::nullopt,
                               .shape = pack.shape,
                               .fold_radius = pack.fold_radius});
}

}   // namespace filterflow
