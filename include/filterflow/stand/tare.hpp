// SPDX-License-Identifier: BSL-1.0
#pragma once

// The stand's own resistance between the pressure taps (tare), found without a filter and taken off each reading
// at the flow of that reading: a stand whose fan slows has another tare under every filter.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/element_fit.hpp>
#include <filterflow/stand/flag_words.hpp>

namespace filterflow {

namespace detail {

/// A stand whose gauge showed nothing at any flow: no pressure to take off, as uncertain as the reading at the greatest
/// flow, and growing with the square of the flow. The other readings make it no surer: all were rounded alike.
template <Deferred...>
inline ElementFit zero_tare(std::span<const ElementReading> empty_stand, const AirState& stated_air) {
    constexpr auto where = "fit_tare";
    check_readings(empty_stand, stated_air, where);
    const auto density = [&](std::size_t i) { return air_factors(empty_stand[i].air, stated_air).density; };
    const auto flow = [&](std::size_t i) { return empty_stand[i].flow.value.value(); };
    const auto fit = fit_readings<1>(
        empty_stand, [&](std::size_t i) { return std::array{density(i) * flow(i) * flow(i)}; },
        [&](std::size_t i) { return std::array{2.0 * density(i) * flow(i)}; },
        [](std::size_t, const std::array<bool, 1>&) { return 0.0; }, where);
    ElementFit result = element_fit_of(empty_stand, fit);
    std::size_t last = 0;
    for (std::size_t i = 1; i < empty_stand.size(); ++i) last = flow(i) > flow(last) ? i : last;
    result.form = ElementFitForm::inertial_only;
    result.form_assumed = true;
    result.quadratic.gradient.add(empty_stand[last].drop.gradient, 1.0 / (density(last) * flow(last) * flow(last)));
    result.curve = {result.linear.value, result.quadratic.value, stated_air};
    return result;
}

inline bool takes_nothing_off(const ElementFit& tare) {
    return !(tare.curve.linear.value() > 0.0) && !(tare.curve.quadratic.value() > 0.0);
}

}   // namespace detail

/// Curve of the empty stand between its pressure taps.
///
/// Equation: dp = r Q + s Q^2 as fit_element; where all readings are at one flow, the inertial share at that flow is
///           taken as 0.9 with a standard uncertainty of 0.058 (evenly between 0.8 and 1: an exponent of 1.8 to 2);
///           where all readings are zero, r = 0 and s = 0 +- u Q^-2 of the reading at the greatest flow
/// Symbols:  as fit_element; u standard uncertainty of a reading of zero
/// Validity: between the least and greatest flow of the readings; the assumed share is reported as form_assumed, and so
///           is the square of a tare of zero, whose taps lie at the filter
/// @param  empty_stand  readings without a filter; shape (n), n >= 1
/// @param  stated_air  air for which the curve is stated
/// @return fitted curve; its parameters are shared by everything that the tare is taken off
/// @throws DomainError as fit_element; readings of zero alone are no error
/// @source common practice for the exponent of empty ducts (no source); test: stand/tare_test.cpp
template <Deferred...>
[[nodiscard]] inline ElementFit fit_tare(std::span<const ElementReading> empty_stand, const AirState& stated_air) {
    double least = std::numeric_limits<double>::infinity();
    double greatest = 0.0;
    for (const ElementReading& r : empty_stand) {
        least = std::min(least, r.flow.value.value());
        greatest = std::max(greatest, r.flow.value.value());
    }
    const bool zero = std::all_of(empty_stand.begin(), empty_stand.end(),
                                  [](const ElementReading& r) { return r.drop.value.value() == 0.0; });
    if (!empty_stand.empty() && zero) return detail::zero_tare(empty_stand, stated_air);
    if (!empty_stand.empty() && greatest < detail::distinct_flow_ratio * least) {
        return fit_element(empty_stand, stated_air,
                           uncertain(0.9, 0.2 / std::sqrt(12.0), "inertial share of the empty stand"));
    }
    return fit_element(empty_stand, stated_air);
}

namespace detail {

template <Deferred...>
inline ElementReading net_reading(const ElementReading& raw, const ElementFit& tare, const char* where,
                                  const std::string& which) {
    const Uncertain<Pressure> own = pressure_drop(tare, raw.flow, raw.air);
    Uncertain<Pressure> drop = raw.drop - own;
    const double u = drop.standard_uncertainty().value();
    const double rounding = 1e-12 * std::abs(raw.drop.value.value());
    if (drop.value.value() < -(3.0 * u + rounding)) {
        throw_domain_error(where, "net pressure" + which, drop.value.value(), "Pa",
                           "not below zero by more than three standard uncertainties (" + digits_text(3.0 * u, 2) +
                               " Pa). The reading is " + number_text(raw.drop.value.value()) +
                               " Pa, while the empty stand alone takes " + digits_text(own.value.value(), 3) +
                               " Pa at " + stand_flow_text(raw.flow.value) +
                               ". Check taps, zero and the flow of this reading, and the readings of the empty "
                               "stand");
    }
    return {raw.flow, std::move(drop), raw.air};
}

}   // namespace detail

/// Readings of a filter in the stand, freed of the stand's own resistance at each reading's flow and in its air.
///
/// Equation: dp_net = dp - r (mu/mu0) Q - s (rho/rho0) Q^2
/// Symbols:  r, s of the tare (0 of its stated air), Q flow of the reading, mu viscosity, rho density of its air
/// Validity: as the tare's; tare_flags says where it is extrapolated
/// @param  readings  raw pressure across the filter's place over flow; shape (n)
/// @param  tare  curve of the empty stand between the same taps
/// @return net readings, in the order of the raw ones; shape (n). What they share with the tare stays shared
/// @throws DomainError if a net pressure is negative by more than three of its standard uncertainties: the tare,
///         the taps, the zero or the flow of that reading is wrong
/// @source subtraction at equal flow; test: stand/tare_test.cpp
template <Deferred...>
[[nodiscard]] inline std::vector<ElementReading> net_of_tare(std::span<const ElementReading> readings,
                                                             const ElementFit& tare) {
    std::vector<ElementReading> net;
    net.reserve(readings.size());
    for (std::size_t i = 0; i < readings.size(); ++i) {
        net.push_back(detail::net_reading(readings[i], tare, "net_of_tare", " of reading " + std::to_string(i + 1)));
    }
    return net;
}

/// What weakens taking a tare off one reading, in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: everywhere
/// @param  reading  raw reading
/// @param  tare  curve of the empty stand
/// @return sentences on extrapolation, on an assumed form, and on a net pressure below zero or within its noise
/// @throws DomainError as pressure_drop(ElementFit)
/// @source own; test: stand/tare_test.cpp
template <Deferred...>
inline std::vector<std::string> tare_flags(const ElementReading& reading, const ElementFit& tare) {
    std::vector<std::string> flags;
    if (detail::takes_nothing_off(tare)) {
        const bool exact = !(tare.quadratic.standard_uncertainty().value() > 0.0);
        flags.push_back(std::string("the empty stand read 0 at every flow: nothing is taken off") +
                        (exact ? ", and as no resolution of the gauge is stated, that is taken as exact"
                               : ", within what its gauge resolves"));
    } else if (extrapolates(tare, reading.flow.value)) {
        flags.push_back("tare extrapolated: taken off at " + detail::stand_flow_text(reading.flow.value) +
                        ", read from " + detail::stand_flow_text(tare.least_flow) + " to " +
                        detail::stand_flow_text(tare.greatest_flow));
    }
    if (tare.form_assumed && !detail::takes_nothing_off(tare)) {
        flags.push_back("tare read at one flow: its shape between viscous and inertial is assumed");
    }
    const Uncertain<Pressure> net = reading.drop - pressure_drop(tare, reading.flow, reading.air);
    const double u = net.standard_uncertainty().value();
    if (net.value.value() < 2.0 * u) {
        flags.push_back("net pressure " + detail::digits_text(net.value.value(), 3) +
                        " Pa is not told from zero (standard uncertainty " + detail::digits_text(u, 2) + " Pa)");
    }
    return flags;
}

}   // namespace filterflow
