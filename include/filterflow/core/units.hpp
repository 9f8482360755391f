// SPDX-License-Identifier: BSL-1.0
#pragma once

// The quantities of the library (Boost.Units in SI behind short aliases) and the named units that make and
// read them: `300 * cfm` is a VolumeFlow, `flow / cfm` is a plain number again.

#include <concepts>

#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/area.hpp>
#include <boost/units/systems/si/base.hpp>
#include <boost/units/systems/si/dimensionless.hpp>
#include <boost/units/systems/si/dynamic_viscosity.hpp>
#include <boost/units/systems/si/electric_charge.hpp>
#include <boost/units/systems/si/energy.hpp>
#include <boost/units/systems/si/length.hpp>
#include <boost/units/systems/si/mass.hpp>
#include <boost/units/systems/si/mass_density.hpp>
#include <boost/units/systems/si/power.hpp>
#include <boost/units/systems/si/pressure.hpp>
#include <boost/units/systems/si/temperature.hpp>
#include <boost/units/systems/si/time.hpp>
#include <boost/units/systems/si/velocity.hpp>
#include <boost/units/systems/si/volume.hpp>

namespace filterflow {

namespace detail {

namespace bu = boost::units;

/// Dimension of money: a base dimension of our own, so that a price per kWh times an energy is money.
struct money_dimension_base : bu::base_dimension<money_dimension_base, 7101> {};
/// One unit of the currency of the study, whichever that is.
struct currency_base_unit : bu::base_unit<currency_base_unit, money_dimension_base::dimension_type, 7101> {
    static const char* name() { return "currency unit"; }
    static const char* symbol() { return "money"; }
};

template <class X, class Y>
using product = typename bu::multiply_typeof_helper<X, Y>::type;
template <class X, class Y>
using ratio = typename bu::divide_typeof_helper<X, Y>::type;
template <class X, long N>
using power = typename bu::power_typeof_helper<X, bu::static_rational<N>>::type;

using dimensionless_unit = bu::si::dimensionless;
using volume_flow_unit = ratio<bu::si::volume, bu::si::time>;
using mass_flow_unit = ratio<bu::si::mass, bu::si::time>;
using inverse_length_unit = ratio<dimensionless_unit, bu::si::length>;
using mass_per_area_unit = ratio<bu::si::mass, bu::si::area>;
using linear_resistance_unit = ratio<bu::si::pressure, volume_flow_unit>;
using quadratic_resistance_unit = ratio<linear_resistance_unit, volume_flow_unit>;
using linear_layer_resistance_unit = ratio<bu::si::pressure, bu::si::velocity>;
using quadratic_layer_resistance_unit = ratio<linear_layer_resistance_unit, bu::si::velocity>;
using number_concentration_unit = ratio<dimensionless_unit, bu::si::volume>;
using diffusion_coefficient_unit = ratio<bu::si::area, bu::si::time>;
using rate_unit = ratio<dimensionless_unit, bu::si::time>;
using specific_energy_unit = ratio<bu::si::energy, bu::si::mass>;
using surface_charge_unit = ratio<bu::si::electric_charge, bu::si::area>;
using line_charge_unit = ratio<bu::si::electric_charge, bu::si::length>;

// Boost.Units keeps a mixture of SI and our own money in a heterogeneous system. Each money unit is formed from
// such mixtures, so that every product and ratio of them is the same type again.
using energy_price_unit = ratio<bu::unit<currency_base_unit::dimension_type,
                                         bu::make_system<currency_base_unit>::type>, bu::si::energy>;
using money_unit = product<energy_price_unit, bu::si::energy>;
using money_rate_unit = ratio<money_unit, bu::si::time>;
using money_per_volume_unit = ratio<money_unit, bu::si::volume>;
using money_per_mass_unit = ratio<money_unit, bu::si::mass>;
using money_per_area_unit = ratio<money_unit, bu::si::area>;

}   // namespace detail

template <class T> using BasicLength = boost::units::quantity<boost::units::si::length, T>;
template <class T> using BasicArea = boost::units::quantity<boost::units::si::area, T>;
template <class T> using BasicVolume = boost::units::quantity<boost::units::si::volume, T>;
template <class T> using BasicTime = boost::units::quantity<boost::units::si::time, T>;
template <class T> using BasicMass = boost::units::quantity<boost::units::si::mass, T>;
template <class T> using BasicTemperature = boost::units::quantity<boost::units::si::temperature, T>;
template <class T> using BasicVelocity = boost::units::quantity<boost::units::si::velocity, T>;
template <class T> using BasicVolumeFlow = boost::units::quantity<detail::volume_flow_unit, T>;
template <class T> using BasicMassFlow = boost::units::quantity<detail::mass_flow_unit, T>;
template <class T> using BasicPressure = boost::units::quantity<boost::units::si::pressure, T>;
template <class T> using BasicDensity = boost::units::quantity<boost::units::si::mass_density, T>;
template <class T> using BasicMassConcentration = BasicDensity<T>;
template <class T> using BasicDynamicViscosity = boost::units::quantity<boost::units::si::dynamic_viscosity, T>;
template <class T> using BasicPower = boost::units::quantity<boost::units::si::power, T>;
template <class T> using BasicEnergy = boost::units::quantity<boost::units::si::energy, T>;
template <class T> using BasicPermeability = BasicArea<T>;
template <class T> using BasicInverseLength = boost::units::quantity<detail::inverse_length_unit, T>;
template <class T> using BasicMassPerArea = boost::units::quantity<detail::mass_per_area_unit, T>;
template <class T> using BasicLinearResistance = boost::units::quantity<detail::linear_resistance_unit, T>;
template <class T> using BasicQuadraticResistance = boost::units::quantity<detail::quadratic_resistance_unit, T>;
template <class T> using BasicLinearLayerResistance = boost::units::quantity<detail::linear_layer_resistance_unit, T>;
template <class T>
using BasicQuadraticLayerResistance = boost::units::quantity<detail::quadratic_layer_resistance_unit, T>;
template <class T> using BasicNumberConcentration = boost::units::quantity<detail::number_concentration_unit, T>;
template <class T> using BasicDiffusionCoefficient = boost::units::quantity<detail::diffusion_coefficient_unit, T>;
template <class T> using BasicRate = boost::units::quantity<detail::rate_unit, T>;
template <class T> using BasicSpecificEnergy = boost::units::quantity<detail::specific_energy_unit, T>;
template <class T> using BasicSurfaceCharge = boost::units::quantity<detail::surface_charge_unit, T>;
template <class T> using BasicLineCharge = boost::units::quantity<detail::line_charge_unit, T>;
template <class T> using BasicMoney = boost::units::quantity<detail::money_unit, T>;
template <class T> using BasicEnergyPrice = boost::units::quantity<detail::energy_price_unit, T>;
template <class T> using BasicMoneyRate = boost::units::quantity<detail::money_rate_unit, T>;
template <class T> using BasicMoneyPerVolume = boost::units::quantity<detail::money_per_volume_unit, T>;
template <class T> using BasicMoneyPerArea = boost::units::quantity<detail::money_per_area_unit, T>;

using Length = BasicLength<double>;
using Area = BasicArea<double>;
using Volume = BasicVolume<double>;
using Time = BasicTime<double>;
using Mass = BasicMass<double>;
using Temperature = BasicTemperature<double>;                   ///< thermodynamic, in kelvin: from_celsius, from_fahrenheit
using Velocity = BasicVelocity<double>;
using VolumeFlow = BasicVolumeFlow<double>;
using MassFlow = BasicMassFlow<double>;
using Pressure = BasicPressure<double>;
using Density = BasicDensity<double>;
using MassConcentration = BasicMassConcentration<double>;       ///< mass of particles per volume of air
using DynamicViscosity = BasicDynamicViscosity<double>;
using Power = BasicPower<double>;
using Energy = BasicEnergy<double>;
using Permeability = BasicPermeability<double>;
using InverseLength = BasicInverseLength<double>;
using MassPerArea = BasicMassPerArea<double>;                   ///< dust on a filter medium per area of medium
using LinearResistance = BasicLinearResistance<double>;         ///< r in dp = r Q + s Q^2
using QuadraticResistance = BasicQuadraticResistance<double>;   ///< s in dp = r Q + s Q^2
using LinearLayerResistance = BasicLinearLayerResistance<double>;         ///< R in dp = R v + S v^2
using QuadraticLayerResistance = BasicQuadraticLayerResistance<double>;   ///< S in dp = R v + S v^2
using NumberConcentration = BasicNumberConcentration<double>;
using DiffusionCoefficient = BasicDiffusionCoefficient<double>;
using Rate = BasicRate<double>;                                 ///< per time, as the loss rate of a room
using SpecificEnergy = BasicSpecificEnergy<double>;
using SurfaceCharge = BasicSurfaceCharge<double>;               ///< electric charge per area of fibre surface
using LineCharge = BasicLineCharge<double>;                     ///< electric charge per length of fibre
using Money = BasicMoney<double>;                               ///< in the currency of the study
using EnergyPrice = BasicEnergyPrice<double>;                   ///< money per energy
using MoneyRate = BasicMoneyRate<double>;                       ///< money per time
using MoneyPerVolume = BasicMoneyPerVolume<double>;             ///< money per volume of (clean) air
using MoneyPerArea = BasicMoneyPerArea<double>;                 ///< money per area of a filter medium

/// A unit with a name: a number times it makes a quantity, a quantity over it reads the number.
template <class Quantity>
struct NamedUnit {
    Quantity one;   ///< one of this unit, in SI

    template <class A>
        requires std::integral<A> || std::floating_point<A>
    friend constexpr Quantity operator*(A count, NamedUnit unit) {
        return Quantity::from_value(static_cast<double>(count) * unit.one.value());
    }
    friend constexpr double operator/(const Quantity& quantity, NamedUnit unit) {
        return quantity.value() / unit.one.value();
    }
};

namespace detail {
template <class Quantity>
constexpr NamedUnit<Quantity> named(double si) {
    return {Quantity::from_value(si)};
}
}   // namespace detail

namespace units {

using detail::named;

// Length. Inch and foot are exact (international inch, 1959).
inline constexpr auto m = named<Length>(1.0);
inline constexpr auto cm = named<Length>(1e-2);
inline constexpr auto mm = named<Length>(1e-3);
inline constexpr auto um = named<Length>(1e-6);
inline constexpr auto nm = named<Length>(1e-9);
inline constexpr auto inch = named<Length>(0.0254);
inline constexpr auto ft = named<Length>(0.3048);

inline constexpr auto m2 = named<Area>(1.0);
inline constexpr auto cm2 = named<Area>(1e-4);
inline constexpr auto ft2 = named<Area>(0.3048 * 0.3048);
inline constexpr auto m3 = named<Volume>(1.0);
inline constexpr auto litre = named<Volume>(1e-3);
inline constexpr auto ft3 = named<Volume>(0.3048 * 0.3048 * 0.3048);

inline constexpr auto s = named<Time>(1.0);
inline constexpr auto min = named<Time>(60.0);
inline constexpr auto h = named<Time>(3600.0);
inline constexpr auto day = named<Time>(86400.0);
inline constexpr auto year = named<Time>(8760.0 * 3600.0);         ///< 8760 hours
inline constexpr auto month = named<Time>(730.0 * 3600.0);         ///< a twelfth of 8760 hours
inline constexpr auto week = named<Time>(7 * 86400.0);

inline constexpr auto kg = named<Mass>(1.0);
inline constexpr auto g = named<Mass>(1e-3);
inline constexpr auto mg = named<Mass>(1e-6);

inline constexpr auto K = named<Temperature>(1.0);

inline constexpr auto m_per_s = named<Velocity>(1.0);
inline constexpr auto fpm = named<Velocity>(0.3048 / 60.0);        ///< feet per minute

inline constexpr auto m3_per_s = named<VolumeFlow>(1.0);
inline constexpr auto m3_per_h = named<VolumeFlow>(1.0 / 3600.0);
inline constexpr auto L_per_s = named<VolumeFlow>(1e-3);
inline constexpr auto L_per_min = named<VolumeFlow>(1e-3 / 60.0);
inline constexpr auto cfm = named<VolumeFlow>(0.3048 * 0.3048 * 0.3048 / 60.0);   ///< cubic feet per minute
inline constexpr auto kg_per_s = named<MassFlow>(1.0);

inline constexpr auto Pa = named<Pressure>(1.0);
inline constexpr auto hPa = named<Pressure>(100.0);
inline constexpr auto kPa = named<Pressure>(1000.0);
inline constexpr auto inH2O = named<Pressure>(249.08891);          ///< conventional inch of water (NIST SP 811)
inline constexpr auto inH2O_60F = named<Pressure>(248.84);         ///< water column at 60 degF (NIST SP 811)
inline constexpr auto inH2O_68F = named<Pressure>(248.64);         ///< water column at 68 degF
inline constexpr auto mmH2O = named<Pressure>(9.80665);            ///< conventional millimetre of water

inline constexpr auto kg_per_m3 = named<Density>(1.0);
inline constexpr auto lb_per_ft3 = named<Density>(0.45359237 / (0.3048 * 0.3048 * 0.3048));
inline constexpr auto mg_per_m3 = named<MassConcentration>(1e-6);
inline constexpr auto ug_per_m3 = named<MassConcentration>(1e-9);
inline constexpr auto per_cm3 = named<NumberConcentration>(1e6);

inline constexpr auto Pa_s = named<DynamicViscosity>(1.0);

inline constexpr auto W = named<Power>(1.0);
inline constexpr auto kW = named<Power>(1000.0);
inline constexpr auto hp = named<Power>(745.6998715822702);        ///< mechanical horsepower, 550 ft lbf/s
inline constexpr auto J = named<Energy>(1.0);
inline constexpr auto kWh = named<Energy>(3.6e6);

inline constexpr auto per_m = named<InverseLength>(1.0);
inline constexpr auto g_per_m2 = named<MassPerArea>(1e-3);
inline constexpr auto kg_per_m2 = named<MassPerArea>(1.0);
inline constexpr auto Pa_s_per_m3 = named<LinearResistance>(1.0);
inline constexpr auto Pa_s2_per_m6 = named<QuadraticResistance>(1.0);
inline constexpr auto Pa_s_per_m = named<LinearLayerResistance>(1.0);
inline constexpr auto Pa_s2_per_m2 = named<QuadraticLayerResistance>(1.0);
inline constexpr auto m2_per_s = named<DiffusionCoefficient>(1.0);
inline constexpr auto per_h = named<Rate>(1.0 / 3600.0);
inline constexpr auto per_s = named<Rate>(1.0);
inline constexpr auto rpm = named<Rate>(1.0 / 60.0);               ///< revolutions per minute
inline constexpr auto kJ_per_kg = named<SpecificEnergy>(1000.0);
inline constexpr auto uC_per_m2 = named<SurfaceCharge>(1e-6);
inline constexpr auto nC_per_m = named<LineCharge>(1e-9);

inline constexpr auto money = named<Money>(1.0);
inline constexpr auto money_per_kWh = named<EnergyPrice>(1.0 / 3.6e6);
inline constexpr auto money_per_h = named<MoneyRate>(1.0 / 3600.0);
inline constexpr auto money_per_year = named<MoneyRate>(1.0 / (8760.0 * 3600.0));
inline constexpr auto money_per_1000_m3 = named<MoneyPerVolume>(1e-3);
inline constexpr auto money_per_m2 = named<MoneyPerArea>(1.0);

}   // namespace units

/// Thermodynamic temperature of a Celsius reading.
///
/// Equation: T = t + 273.15
/// Symbols:  t Celsius temperature [degC], T thermodynamic temperature [K]
/// Validity: any number; a model that needs T > 0 checks it
/// @param  celsius  temperature on the Celsius scale [degC]
/// @return thermodynamic temperature [K]
/// @throws nothing
/// @source definition of the Celsius scale (SI brochure); test: core/units_test.cpp
constexpr Temperature from_celsius(double celsius) { return Temperature::from_value(celsius + 273.15); }

/// Thermodynamic temperature of a Fahrenheit reading.
///
/// Equation: T = (t + 459.67) / 1.8
/// Symbols:  t Fahrenheit temperature [degF], T thermodynamic temperature [K]
/// Validity: any number; a model that needs T > 0 checks it
/// @param  fahrenheit  temperature on the Fahrenheit scale [degF]
/// @return thermodynamic temperature [K]
/// @throws nothing
/// @source definition of the Fahrenheit scale (NIST SP 811); test: core/units_test.cpp
constexpr Temperature from_fahrenheit(double fahrenheit) {
    return Temperature::from_value((fahrenheit + 459.67) / 1.8);
}

/// Reading on the Celsius scale of a thermodynamic temperature; the inverse of from_celsius.
///
/// Equation: t = T - 273.15
/// Symbols:  as from_celsius
/// Validity: any number
/// @param  temperature  thermodynamic temperature [K]
/// @return Celsius temperature [degC]
/// @throws nothing
/// @source as from_celsius; test: core/units_test.cpp
constexpr double to_celsius(const Temperature& temperature) { return temperature.value() - 273.15; }

}   // namespace filterflow
