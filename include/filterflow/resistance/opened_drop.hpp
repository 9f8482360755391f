// SPDX-License-Identifier: BSL-1.0
#pragma once

// The pressure drop of an opened filter by its parts, with their uncertainties.

#include <cstddef>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/resistance/opened_inputs.hpp>
#include <filterflow/resistance/viscous_split.hpp>

namespace filterflow {

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

/// Pressure drop of an opened filter at a flow by its parts.
///
/// Equation: medium, channels and mouths of pressure_drop_parts with the permeability found; unassigned = total - these
/// Symbols:  total drop of the fitted curve [Pa]
/// Validity: between the least and greatest flow of the fit, in air near the stated one. The uncertainty of the model
///           is that of the factors in `opened`
/// @param  fit  the curve that the permeability was found from
/// @param  opened  geometry as measured, as for opened_medium
/// @param  permeability  of opened_medium
/// @param  flow  [m3/s], > 0
/// @param  air  air of operation
/// @return total and parts [Pa], and shares of the total
/// @throws DomainError as pressure_drop(ElementFit), or if the flow is not > 0; NoSolution as pressure_drop_parts
/// @source own; JCGM 100:2008 (GUM), 5.1; test: resistance/opened_filter_test.cpp
template <Deferred...>
[[nodiscard]] inline OpenedDrop opened_drop(const ElementFit& fit, const OpenedFilter& opened,
                                            const Uncertain<Permeability>& permeability, VolumeFlow flow,
                                            const AirState& air) {
    constexpr auto where = "opened_drop";
    const double q = detail::require_positive(where, "flow", flow.value(), "m3/s");
    detail::require_positive(where, "permeability", permeability.value.value(), "m2");
    const detail::OpenedInputs inputs =
        detail::opened_stage(to_si(permeability), opened, fit.greatest_flow, fit.curve.stated_air, where).inputs;
    const auto x = detail::seeds(inputs);
    const auto measured = detail::measured_pack(x, opened.shape);
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

}   // namespace filterflow
