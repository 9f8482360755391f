// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a filter that was tested clean and then opened says about its medium: pleats counted, depth, thickness and
// width measured with a ruler.
//
// One curve has one viscous coefficient. It tells one number: the permeability, if the friction of the channels is
// computed from the geometry. Nothing in the readings tells the medium from the channels; the ruler does, and the
// channels' friction goes with the cube of the gap. The inertial coefficient holds frame, mouths, momentum in the
// channels and the medium's own inertia together, and is not used.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/pleat_pack.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
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
    std::optional<Uncertain<Area>> media_area;   ///< unfolded and measured; if absent, that of the geometry
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
    Uncertain<double> medium_share;         ///< of the medium in the viscous part
    Uncertain<double> channel_share;        ///< of the channels' friction in the viscous part
    /// 95 %, the inputs moved together as far as they may be; absent if some such input admits no medium at all.
    std::optional<Interval<Permeability>> permeability_interval;
    Interval<double> channel_share_interval;   ///< likewise, within 0 to 1; upper end 1 where the inputs set no bound
    double uncertainty_of_readings = 0;   ///< relative standard uncertainty of the permeability by the curve, >= 0
    double uncertainty_of_geometry = 0;   ///< the same by ruler and channel model, >= 0
    OpenedVerdict verdict = OpenedVerdict::separated;   ///< whether medium and channels are told apart
    Uncertain<QuadraticResistance> mouths;      ///< inertial part of entry and exit of the pack, by the model
    Uncertain<QuadraticResistance> unassigned;  ///< the rest of the curve's inertial part: frame, momentum, medium
    bool inertia_contradicts = false;           ///< the mouths alone cost more than the whole inertial part read
    std::optional<Uncertain<double>> area_ratio;   ///< area measured over area of the geometry, where it was measured
    bool area_contradicts = false;              ///< the two areas differ by more than their uncertainties explain
};

/// The pressure drop of an opened filter at a flow, divided as far as it can be.
struct OpenedDrop {
    Uncertain<Pressure> total;              ///< of the fitted curve
    Uncertain<Pressure> medium;             ///< viscous, by the permeability found
    Uncertain<Pressure> channel_friction;   ///< viscous
    Uncertain<Pressure> inertial;           ///< the curve's inertial part, undivided
    Uncertain<double> medium_share;         ///< of the total, 0 to 1
    Uncertain<double> channel_share;        ///< friction of the channels in the total, 0 to 1
    Uncertain<double> inertial_share;       ///< of the total, 0 to 1: frame, mouths, momentum, medium
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

inline double covariance_of(const Gradient& a, const Gradient& b) {
    double sum = 0.0;
    for (const Gradient::Term& term : a.terms()) {
        const double u = term.input->standard_uncertainty;
        sum += term.derivative * b.derivative(term.input) * u * u;
    }
    return sum;
}

}   // namespace detail

namespace detail {

/// The stage's inputs: r and the eight of the geometry, in this order.
inline constexpr std::size_t opened_inputs = 9;

template <class T>
BasicMeasuredPack<T> measured_pack(const std::array<T, opened_inputs>& x) {
    BasicMeasuredPack<T> m;
    m.pack = {.count = x[1],
              .depth = BasicLength<T>::from_value(x[2]),
              .width = BasicLength<T>::from_value(x[3]),
              .length = BasicLength<T>::from_value(x[4]),
              .inlet_gap_share = x[5]};
    m.thickness = BasicLength<T>::from_value(x[6]);
    m.friction_factor = x[7];
    m.media_area = BasicArea<T>::from_value(x[8]);
    return m;
}

inline std::array<Uncertain<double>, opened_inputs> opened_stage(const ElementFit& fit, const OpenedFilter& opened) {
    return {to_si(fit.linear),     opened.count,           to_si(opened.depth),
            to_si(opened.width),   to_si(opened.length),   opened.inlet_gap_share,
            to_si(opened.thickness), opened.friction_factor,
            opened.media_area ? to_si(*opened.media_area) : Uncertain<double>(0.0)};
}

/// The split with all inputs moved by a number of standard uncertainties of an output along its gradient: each by its
/// covariance with it. Absent where the inputs moved so far admit no medium.
inline std::optional<ViscousSplit> moved_split(const std::array<Uncertain<double>, opened_inputs>& inputs,
                                               const Gradient& output, double deviations, const AirState& air) {
    const double u = std::sqrt(output.variance());
    std::array<double, opened_inputs> x{};
    for (std::size_t i = 0; i < opened_inputs; ++i) {
        x[i] = inputs[i].value;
        if (u > 0.0) x[i] += deviations * covariance_of(inputs[i].gradient, output) / u;
    }
    try {
        return viscous_split<double>(LinearResistance::from_value(x[0]), measured_pack<double>(x), air);
    } catch (const DomainError&) {
        return std::nullopt;   // the pleats touch, or nothing is left of the viscous part
    } catch (const NoSolution&) {
        return std::nullopt;   // the channels alone resist more
    }
}

}   // namespace detail

/// Permeability of the medium of an opened filter and the share of the channels, with the uncertainty of readings,
/// ruler and channel model, and whether medium and channels are told apart.
///
/// Equation: viscous_split of the curve's r; intervals by moving all inputs to x -+ t u(x, y)/u(y), y = ln k or share
/// Symbols:  r linear part of the curve [Pa s/m3], k permeability [m2], x inputs, t coverage factor
/// Validity: as viscous_split; parallel pleats. The readings give r alone: how it divides rests on the geometry
///           and on the channel model. Told apart if the 95 % interval of k spans less than a factor of two. A curve
///           whose form was assumed, or that is inertial only, is refused
/// @param  fit  clean element curve, tare removed
/// @param  opened  geometry as measured, with uncertainties
/// @return permeability, shares, intervals, verdict, and what the inertial part can be assigned to
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
    const auto inputs = detail::opened_stage(fit, opened);
    if (opened.media_area) detail::require_positive(where, "media_area", inputs[8].value, "m2");
    constexpr std::size_t n = detail::opened_inputs;
    using D = Dual<n>;
    std::array<D, n> x;
    for (std::size_t i = 0; i < n; ++i) x[i] = D::input(inputs[i].value, i);
    const auto measured = detail::measured_pack<D>(x);
    const auto flowing = air_as<D>(air);
    const auto split = viscous_split<D>(BasicLinearResistance<D>::from_value(x[0]), measured, flowing);
    const D k = split.permeability.value();
    const auto parts = detail::pack_parts<D>(measured, k, flowing);
    const D log_k = log(k);
    const D model_area = flowing.viscosity.value() * measured.thickness.value() / (k * parts.medium);
    const auto chained = [&](const D& y, std::size_t first, std::size_t last) {
        Gradient gradient;
        for (std::size_t i = first; i < last; ++i) gradient.add(inputs[i].gradient, y.derivative[i]);
        return gradient;
    };
    const auto uncertain_of = [&](const D& y) { return Uncertain<double>(y.value, chained(y, 0, n)); };

    OpenedMedium result;
    result.permeability = from_si<Permeability>(uncertain_of(k));
    result.medium_share = uncertain_of(split.medium_share);
    result.channel_share = uncertain_of(D(1.0) - split.medium_share);
    result.mouths = from_si<QuadraticResistance>(uncertain_of(parts.mouths));
    result.unassigned = fit.quadratic - result.mouths;
    // Where the inertial part was held at zero, its uncertainty is not known.
    result.inertia_contradicts = fit.form == ElementFitForm::viscous_and_inertial &&
                                 coverage_interval(result.unassigned).upper.value() < 0.0;
    if (opened.media_area) {
        result.area_ratio = uncertain_of(x[8] / model_area);
        result.area_contradicts = !coverage_interval(*result.area_ratio).contains(1.0);
    }
    const Gradient all = chained(log_k, 0, n);   // an input of readings and ruler counts in both parts below
    result.uncertainty_of_readings = std::sqrt(chained(log_k, 0, 1).variance());
    result.uncertainty_of_geometry = std::sqrt(chained(log_k, 1, n).variance());

    const double factor = coverage_factor(all.effective_degrees_of_freedom());
    const auto least = detail::moved_split(inputs, all, -factor, air);
    const auto greatest = detail::moved_split(inputs, all, factor, air);
    if (least && greatest) result.permeability_interval = {least->permeability, greatest->permeability};
    const double share_factor = coverage_factor(result.channel_share.gradient.effective_degrees_of_freedom());
    const auto few = detail::moved_split(inputs, result.channel_share.gradient, -share_factor, air);
    const auto many = detail::moved_split(inputs, result.channel_share.gradient, share_factor, air);
    result.channel_share_interval = {few ? 1.0 - few->medium_share : 0.0, many ? 1.0 - many->medium_share : 1.0};
    const bool separated = result.permeability_interval &&
                           result.permeability_interval->upper <
                               detail::separation_factor * result.permeability_interval->lower;
    result.verdict = separated ? OpenedVerdict::separated
                     : result.uncertainty_of_readings > result.uncertainty_of_geometry
                         ? OpenedVerdict::readings_do_not_separate
                         : OpenedVerdict::geometry_does_not_separate;
    return result;
}

/// The same with a geometry that is taken as exact: the uncertainty is that of the readings alone.
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
                               .media_area = std::nullopt});
}

/// Pressure drop of an opened filter at a flow and what medium and channels cost of it.
///
/// Equation: medium a r (mu/mu0) Q; channels (1 - a) r (mu/mu0) Q; inertial s (rho/rho0) Q^2
/// Symbols:  a medium's share of the viscous part, r and s of the curve, Q flow [m3/s], mu viscosity, rho density, 0 of
///           the stated air
/// Validity: between the least and greatest flow of the fit. The inertial part stays whole: frame, mouths, momentum in
///           the channels and the medium's inertia look the same in it. What the channels cost in all lies
///           between channel_share and 1 - medium_share
/// @param  fit  the curve that the medium was found from
/// @param  medium  of opened_medium
/// @param  flow  [m3/s], > 0
/// @param  air  air of operation
/// @return total and parts [Pa], and shares of the total
/// @throws DomainError as pressure_drop(ElementFit), or if the flow is not > 0
/// @source own; JCGM 100:2008 (GUM), 5.1; test: resistance/opened_filter_test.cpp
[[nodiscard]] inline OpenedDrop opened_drop(const ElementFit& fit, const OpenedMedium& medium, VolumeFlow flow,
                                            const AirState& air) {
    constexpr auto where = "opened_drop";
    const double q = detail::require_positive(where, "flow", flow.value(), "m3/s");
    OpenedDrop result;
    result.total = pressure_drop(fit, flow, air);
    const detail::AirFactors f = detail::air_factors(air, fit.curve.stated_air);
    using D = Dual<3>;
    const auto parts = propagate<3>(
        [&](const std::array<D, 3>& x) {
            const D viscous = x[0] * (f.viscosity * q);
            const D inertial = x[1] * (f.density * q * q);
            const D total = viscous + inertial;
            const D through = viscous * x[2], along = viscous * (D(1.0) - x[2]);
            return std::array{through, along, inertial, D(through / total), D(along / total), D(inertial / total)};
        },
        std::array{to_si(fit.linear), to_si(fit.quadratic), medium.medium_share});
    result.medium = from_si<Pressure>(parts[0]);
    result.channel_friction = from_si<Pressure>(parts[1]);
    result.inertial = from_si<Pressure>(parts[2]);
    result.medium_share = parts[3];
    result.channel_share = parts[4];
    result.inertial_share = parts[5];
    return result;
}

}   // namespace filterflow
