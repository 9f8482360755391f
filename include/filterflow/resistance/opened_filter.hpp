// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter that was tested clean and then opened says about its medium: pleats counted, depth, thickness and
// width measured with a ruler (opened_inputs.hpp).
//
// A curve r Q + s Q^2 has two numbers. The second holds frame, grilles, mouths and part of the momentum in the channels
// together, so that nothing of the medium can be read from it. The first is one equation: the permeability follows
// if friction and momentum of the channels are computed from the geometry. Nothing in the readings tells the medium
// from the channels; the ruler does, and the channels' friction goes with the cube of the gap.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_geometry.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/fit_check.hpp>
#include <filterflow/resistance/opened_check.hpp>
#include <filterflow/resistance/opened_drop.hpp>
#include <filterflow/resistance/opened_inputs.hpp>
#include <filterflow/resistance/viscous_split.hpp>

namespace filterflow {

/// Whether medium and channels can be told apart.
enum class OpenedVerdict {
    separated,                    ///< the interval of the permeability spans less than a factor of two
    readings_do_not_separate,     ///< it spans more, mostly for the readings: they tell too little of the viscous part
    geometry_does_not_separate,   ///< it spans more, mostly for ruler and model: the channels may cost little or much
};

/// What an opened filter says about its medium and its channels. The three estimates are absent where the values as
/// measured leave the medium nothing, their uncertainties something, and where the curve has no viscous part.
struct OpenedMedium {
    std::optional<Uncertain<Permeability>> permeability;   ///< with the uncertainties of readings, ruler and model
    std::optional<Uncertain<double>> medium_share;         ///< of the medium in the viscous part (as the flow vanishes)
    std::optional<Uncertain<double>> channel_share;        ///< of the channels' friction in the viscous part
    Permeability least_permeability;   ///< exceeded at 97.5 %: the interval's lower end, if any; 0: no bound
    /// 95 %, the inputs moved together as far as they may be; absent if some such input admits no medium at all: then
    /// nothing bounds the permeability above.
    std::optional<Interval<Permeability>> permeability_interval;
    Interval<double> channel_share_interval;   ///< likewise, within 0 to 1; upper end 1 where the inputs set no bound
    double uncertainty_of_readings = 0;   ///< relative standard uncertainty of the permeability by the curve, >= 0
    double uncertainty_of_geometry = 0;   ///< the same by ruler and channel model, >= 0; both 0 without an estimate
    OpenedVerdict verdict = OpenedVerdict::separated;   ///< whether medium and channels are told apart
    FitCheck check;           ///< the readings against the pleat model in a frame; its bend as of fit_element
    bool lacks_fit = false;   ///< by that check; false without an estimate, as nothing is then judged
    double entry_length_share = 0;   ///< length in which the greatest flow develops in the channels, in depths
    ChannelFlow channel_flow = ChannelFlow::developed;   ///< of that flow: trust in the channel model
    std::optional<Uncertain<double>> area_ratio;   ///< area measured over area of the geometry, where it was measured
    bool area_contradicts = false;        ///< the two areas differ by more than their uncertainties explain
    bool model_contradicts = false;       ///< the pack computed costs more than the element read, at the greatest flow
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

template <Deferred...>
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
template <Deferred...>
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

/// Fills in what is left to say where the inputs as measured leave the medium nothing: how far the permeability is
/// bounded below, with the inputs moved together to where the channels resist less.
template <Deferred...>
inline void bound_permeability(OpenedMedium& result, const OpenedInputs& inputs, const PermeabilitySearch& search,
                               PleatShape shape, const DropPlan& plan, const AirState& air, const char* where) {
    using D = Dual<opened_inputs>;
    const auto x = seeds(inputs);
    const auto measured = measured_pack(x, shape);
    const D over = planned_drop(measured, D(std::exp(search.log_permeability)), plan, air_as<D>(air)) / x[0];
    const Gradient all = chained(inputs, over, 0, opened_inputs);
    const double factor = coverage_factor(all.effective_degrees_of_freedom());
    const auto least = all.variance() > 0.0 ? moved_split(inputs, all, -factor, shape, plan, air, where) : std::nullopt;
    if (!least) {
        throw NoSolution(std::string(where) + ": the channels of that geometry alone resist " +
                         number_text(over.value) +
                         " times what the element does in its viscous part, by more than the uncertainties of "
                         "readings, ruler and model explain; check count, thickness and fold length");
    }
    result.least_permeability = least->permeability;
    result.channel_share_interval = {1.0 - least->medium_share, 1.0};
    result.verdict = chained(inputs, over, 0, 1).variance() > chained(inputs, over, 1, opened_inputs).variance()
                         ? OpenedVerdict::readings_do_not_separate
                         : OpenedVerdict::geometry_does_not_separate;
}

}   // namespace detail

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
///           spans less than a factor of two. Where the values as measured leave the medium nothing, but their
///           uncertainties do, there is no estimate, only a least permeability. Momentum bends a curve a little off
///           r Q + s Q^2; the fit counts that as scatter, so that the uncertainty is rather too large. `check` judges
///           the readings by the pleat model instead. A curve whose form was assumed is refused; one that is inertial
///           only tells nothing of the medium. Where ruler and channel model leave much open, an error of the thickness
///           may make a filter look separated by luck: docs/resistance.md has the share of such cases
/// @param  fit  clean element curve, tare removed
/// @param  opened  geometry as measured, with uncertainties
/// @return permeability, shares, intervals, verdict, check of the readings and contradictions
/// @throws DomainError if a dimension is out of range, or the form was assumed; NoSolution if
///         the channels of that geometry alone resist more than the whole element did, by more than the
///         uncertainties explain
/// @source JCGM 100:2008 (GUM), 5.1; intervals as first-order reliability points (from memory);
///         test: resistance/opened_filter_test.cpp
template <Deferred...>
[[nodiscard]] inline OpenedMedium opened_medium(const ElementFit& fit, const OpenedFilter& opened) {
    constexpr auto where = "opened_medium";
    const AirState& air = fit.curve.stated_air;
    detail::check_air(air, where);
    if (fit.form_assumed) {
        detail::throw_domain_error(where, "readings of the curve", static_cast<double>(fit.reading_count), "",
                                   "two or more at different flows: a form that is assumed says nothing about the "
                                   "medium");
    }
    const detail::OpenedStage stage =
        detail::opened_stage(to_si(fit.linear), opened, fit.greatest_flow, air, where);
    const detail::OpenedInputs& inputs = stage.inputs;
    constexpr std::size_t n = detail::opened_inputs;
    using D = Dual<n>;
    const auto x = detail::seeds(inputs);
    const auto measured = detail::measured_pack(x, opened.shape);
    const auto flowing = air_as<D>(air);
    const auto uncertain_of = [&](const D& y) {
        return Uncertain<double>(y.value, detail::chained(inputs, y, 0, n));
    };

    OpenedMedium result;
    result.entry_length_share = stage.entry_length_share;
    result.channel_flow = stage.channel_flow;
    if (opened.media_area) {
        result.area_ratio = uncertain_of(x[10] / pleat_geometry(measured.pack, measured.thickness).media_area.value());
        result.area_contradicts = !coverage_interval(*result.area_ratio).contains(1.0);
    }
    if (fit.form == ElementFitForm::inertial_only) {
        result.channel_share_interval = {0.0, 1.0};
        result.verdict = OpenedVerdict::readings_do_not_separate;
        return result;
    }
    detail::require_positive(where, "linear part of the curve", fit.curve.linear.value(), "Pa s/m3");
    const detail::DropPlan plan = detail::plan_of(fit);
    const detail::PermeabilitySearch search =
        detail::search_permeability(x[0].value, detail::measured_as<double>(measured), plan, air, where);
    if (!search.found) {
        detail::bound_permeability(result, inputs, search, opened.shape, plan, air, where);
        return result;
    }
    const D k = detail::permeability_at(search.log_permeability, x[0], measured, plan, flowing, where);
    const D share = detail::viscous_medium_share(measured, k, flowing, where);
    result.permeability = from_si<Permeability>(uncertain_of(k));
    result.medium_share = uncertain_of(share);
    result.channel_share = uncertain_of(D(1.0) - share);
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
    if (least) result.least_permeability = least->permeability;
    if (least && greatest) result.permeability_interval = {least->permeability, greatest->permeability};
    const auto few = moved(result.channel_share->gradient, -1.0), many = moved(result.channel_share->gradient, 1.0);
    result.channel_share_interval = {few ? 1.0 - few->medium_share : 0.0, many ? 1.0 - many->medium_share : 1.0};
    const bool separated = result.permeability_interval &&
                           result.permeability_interval->upper <
                               detail::separation_factor * result.permeability_interval->lower;
    result.verdict = separated ? OpenedVerdict::separated
                     : result.uncertainty_of_readings > result.uncertainty_of_geometry
                         ? OpenedVerdict::readings_do_not_separate
                         : OpenedVerdict::geometry_does_not_separate;
    result.check = detail::check_against_pleats(fit, inputs, measured, k, air);
    result.lacks_fit = detail::is_lack_of_fit(result.check.verdict);
    const OpenedDrop drop = opened_drop(fit, opened, *result.permeability, fit.greatest_flow, air);
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
template <Deferred...>
[[nodiscard]] inline OpenedMedium opened_medium(const ElementFit& fit, const PleatPack& pack, Length thickness) {
    return opened_medium(fit, {.count = pack.count,
                               .depth = pack.depth + 2.0 * thickness,
                               .width = pack.width,
                               .length = pack.length,
                               .thickness = thickness,
                               .inlet_gap_share = pack.inlet_gap_share,
                               .friction_factor = 1.0,
                               .momentum_factor = 1.2,
                               .media_area = std::nullopt,
                               .shape = pack.shape,
                               .fold_radius = pack.fold_radius,
                               .entry_length_effect = 0.0,
                               .contraction_coefficient = 0.4,
                               .expansion_factor = 1.0,
                               .development_coefficient = 0.674});
}

}   // namespace filterflow
