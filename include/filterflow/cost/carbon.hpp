// SPDX-License-Identifier: BSL-1.0
#pragma once

// Carbon dioxide of electricity. The figure belongs to a grid and a year, so there is no default.

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {
using mass_per_energy_unit = si_unit<-2, 0, 2>;
}
template <class T>
using BasicCarbonIntensity = boost::units::quantity<detail::mass_per_energy_unit, T>;
using CarbonIntensity = BasicCarbonIntensity<double>;   ///< mass of carbon dioxide equivalent per electric energy

namespace units {
inline constexpr auto kg_per_kWh = named<CarbonIntensity>(1.0 / 3.6e6);
inline constexpr auto g_per_kWh = named<CarbonIntensity>(1e-3 / 3.6e6);
}   // namespace units

/// Carbon dioxide of an amount of electric energy.
///
/// Equation: m = I E
/// Symbols:  I carbon intensity of the electricity [kg/J], E energy [J]
/// Validity: the intensity is that of the energy in question (mean of a grid and a year, or marginal): say which
/// @param  energy  electric energy [J]; negative for energy saved
/// @param  intensity  carbon intensity [kg/J], >= 0
/// @return mass of carbon dioxide equivalent [kg]
/// @throws DomainError if the energy is not finite or the intensity is not >= 0
/// @source definition; test: cost/tariff_test.cpp
template <class T>
BasicMass<T> carbon_of(BasicEnergy<T> energy, BasicCarbonIntensity<T> intensity) {
    constexpr auto where = "carbon_of";
    const T e = detail::require_finite(where, "energy", energy.value(), "J");
    const T i = detail::require_non_negative(where, "intensity", intensity.value(), "kg/J");
    return BasicMass<T>::from_value(e * i);
}
template <Deferred...>
inline Mass carbon_of(Energy energy, CarbonIntensity intensity) { return carbon_of<double>(energy, intensity); }

}   // namespace filterflow
