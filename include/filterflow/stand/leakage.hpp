// SPDX-License-Identifier: BSL-1.0
#pragma once

// Leakage through seals and seams between the filter and the place where the flow is measured, from a leak test.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// Which flow the leakage makes greater.
enum class LeakageEffect {
    measured_exceeds_filter,   ///< flow measured behind the filter under suction, or before it under pressure
    filter_exceeds_measured    ///< flow measured before the filter under suction, or behind it under pressure
};

/// Leakage as found by a leak test (filter place blocked off, flow that holds a pressure). Copies share its error.
struct SealLeakage {
    Uncertain<VolumeFlow> flow;     ///< at the test pressure, >= 0
    Pressure pressure{};            ///< of the leak test, > 0
    double exponent = 0.65;         ///< of pressure, 0.5 (orifices) to 1 (fine cracks)
    LeakageEffect effect = LeakageEffect::measured_exceeds_filter;   ///< what it does to the measured flow
};

/// Leakage flow at a pressure between the duct and the room.
///
/// Equation: Q = Q_t (p/p_t)^n, odd in p
/// Symbols:  Q_t flow of the leak test at pressure p_t, n exponent
/// Validity: air and seals as at the leak test; exponent 0.5 to 1. At p = 0 the flow is zero and, as the law has no
///           slope there, carries no uncertainty
/// @param  leakage  leak test
/// @param  pressure  between the leaking part of the duct and the room [Pa], of either sign
/// @return leakage flow [m3/s], with the uncertainty of the test (shared) and of the pressure
/// @throws DomainError if the test's flow is < 0, its pressure is not > 0, the exponent is not 0.5 to 1, or the
///         pressure is not finite
/// @source power law of duct leakage, exponent 0.65 as in the leakage classes of sheet metal ducts (SMACNA leakage
///         test manual, read in a secondary manual); test: stand/leakage_test.cpp
template <Deferred...>
inline Uncertain<VolumeFlow> leakage_flow(const SealLeakage& leakage, const Uncertain<Pressure>& pressure) {
    constexpr auto where = "leakage_flow";
    const double tested = detail::require_non_negative(where, "flow", leakage.flow.value.value(), "m3/s");
    const double at = detail::require_positive(where, "pressure of the leak test", leakage.pressure.value(), "Pa");
    const double n = detail::require_between(where, "exponent", leakage.exponent, 0.5, 1.0, "-");
    const double p = detail::require_finite(where, "pressure", pressure.value.value(), "Pa");
    Uncertain<VolumeFlow> flow;
    if (p == 0.0) return flow;
    const double part = std::copysign(std::pow(std::abs(p) / at, n), p);
    flow.value = VolumeFlow::from_value(part * tested);
    flow.gradient.add(leakage.flow.gradient, part);
    flow.gradient.add(pressure.gradient, n * part * tested / p);
    return flow;
}

/// Flow through the filter from the measured one.
///
/// Equation: Q_filter = Q_measured - Q_leak where the measured flow exceeds the filter's, plus where it falls short
/// Symbols:  as leakage_flow
/// Validity: as leakage_flow; densities at the filter and at the leak alike
/// @param  leakage  leak test and what it does
/// @param  measured  measured flow [m3/s]
/// @param  pressure  magnitude between the leaking part of the duct and the room [Pa], >= 0
/// @return flow through the filter [m3/s]
/// @throws DomainError as leakage_flow, if the pressure is < 0, or if the leakage eats up the whole measured flow
/// @source balance of flows; test: stand/leakage_test.cpp
template <Deferred...>
inline Uncertain<VolumeFlow> flow_without_leakage(const SealLeakage& leakage, const Uncertain<VolumeFlow>& measured,
                                                  const Uncertain<Pressure>& pressure) {
    constexpr auto where = "flow_without_leakage";
    detail::require_non_negative(where, "pressure", pressure.value.value(), "Pa");
    const Uncertain<VolumeFlow> leak = leakage_flow(leakage, pressure);
    if (leakage.effect == LeakageEffect::filter_exceeds_measured) return measured + leak;
    if (!(leak.value < measured.value)) {
        detail::throw_domain_error(where, "measured", measured.value.value(), "m3/s",
                                   "more than the leakage " + detail::number_text(leak.value.value()) + " m3/s");
    }
    return measured - leak;
}

}   // namespace filterflow
