// SPDX-License-Identifier: BSL-1.0
#pragma once

// Money as a quantity, in the currency of the study, with its named units: a price per energy times an energy is money.
// A header of its own, since rooms without prices need not pay for what Boost.Units works out here.

#include <boost/units/base_dimension.hpp>
#include <boost/units/base_unit.hpp>
#include <boost/units/make_system.hpp>

#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

/// Dimension of money: a base dimension of our own, so that a price per kWh times an energy is money.
struct money_dimension_base : bu::base_dimension<money_dimension_base, 7101> {};
/// One unit of the currency of the study, whichever that is.
struct currency_base_unit : bu::base_unit<currency_base_unit, money_dimension_base::dimension_type, 7101> {
    static const char* name() { return "currency unit"; }
    static const char* symbol() { return "money"; }
};

// Boost.Units keeps a mixture of SI and our own money in a heterogeneous system. Each money unit is formed from
// such mixtures, so that every product and ratio of them is the same type again.
using energy_unit = Energy::unit_type;
using energy_price_unit = ratio<bu::unit<currency_base_unit::dimension_type,
                                         bu::make_system<currency_base_unit>::type>, energy_unit>;
using money_unit = product<energy_price_unit, energy_unit>;
using money_rate_unit = ratio<money_unit, Time::unit_type>;
using money_per_volume_unit = ratio<money_unit, Volume::unit_type>;
using money_per_area_unit = ratio<money_unit, Area::unit_type>;

}   // namespace detail

template <class T> using BasicMoney = boost::units::quantity<detail::money_unit, T>;
template <class T> using BasicEnergyPrice = boost::units::quantity<detail::energy_price_unit, T>;
template <class T> using BasicMoneyRate = boost::units::quantity<detail::money_rate_unit, T>;
template <class T> using BasicMoneyPerVolume = boost::units::quantity<detail::money_per_volume_unit, T>;
template <class T> using BasicMoneyPerArea = boost::units::quantity<detail::money_per_area_unit, T>;

using Money = BasicMoney<double>;                     ///< in the currency of the study
using EnergyPrice = BasicEnergyPrice<double>;         ///< money per energy
using MoneyRate = BasicMoneyRate<double>;             ///< money per time
using MoneyPerVolume = BasicMoneyPerVolume<double>;   ///< money per volume of (clean) air
using MoneyPerArea = BasicMoneyPerArea<double>;       ///< money per area of a filter medium

namespace units {

inline constexpr auto money = named<Money>(1.0);
inline constexpr auto money_per_kWh = named<EnergyPrice>(1.0 / 3.6e6);
inline constexpr auto money_per_h = named<MoneyRate>(1.0 / 3600.0);
inline constexpr auto money_per_year = named<MoneyRate>(1.0 / (8760.0 * 3600.0));
inline constexpr auto money_per_1000_m3 = named<MoneyPerVolume>(1e-3);
inline constexpr auto money_per_m2 = named<MoneyPerArea>(1.0);

}   // namespace units

}   // namespace filterflow
