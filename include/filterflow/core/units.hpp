// SPDX-License-Identifier: BSL-1.0
#pragma once

// The quantities of the library (Boost.Units in SI behind short aliases) and the named units that make and
// read them: `300 * cfm` is a VolumeFlow, `flow / cfm` is a plain number again.

#include <concepts>

#include <boost/units/dimensionless_type.hpp>
#include <boost/units/physical_dimensions/current.hpp>
#include <boost/units/physical_dimensions/length.hpp>
#include <boost/units/physical_dimensions/mass.hpp>
#include <boost/units/physical_dimensions/time.hpp>
#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/base.hpp>
#include <boost/units/systems/si/temperature.hpp>

namespace filterflow {

namespace detail {

namespace bu = boost::units;

template <class X, class Y>
using product = typename bu::multiply_typeof_helper<X, Y>::type;
template <class X, class Y>
using ratio = typename bu::divide_typeof_helper<X, Y>::type;

// Dimensions are written out, since to work them out from products and ratios takes the compiler several times as long.
// Boost.Units has a dimension as the list of its base dimensions with their exponents, in this order and without those
// of exponent zero.
template <class Base, long Exponent, class Others>
struct PrependedDimension {
    using type = bu::list<bu::dim<Base, bu::static_rational<Exponent>>, Others>;
};
template <class Base, class Others>
struct PrependedDimension<Base, 0, Others> {
    using type = Others;
};
template <class Base, long Exponent, class Others>
using prepended = typename PrependedDimension<Base, Exponent, Others>::type;

/// The SI unit with these exponents of metre, kilogram, second and ampere.
template <long Length, long Mass, long Time, long Current = 0>
using si_unit = bu::unit<
    prepended<bu::length_base_dimension, Length,
              prepended<bu::mass_base_dimension, Mass,
                        prepended<bu::time_base_dimension, Time,
                                  prepended<bu::current_base_dimension, Current, bu::dimensionless_type>>>>,
    bu::si::system>;

}   // namespace detail

template <class T> using BasicLength = boost::units::quantity<detail::si_unit<1, 0, 0>, T>;
template <class T> using BasicArea = boost::units::quantity<detail::si_unit<2, 0, 0>, T>;
template <class T> using BasicVolume = boost::units::quantity<detail::si_unit<3, 0, 0>, T>;
template <class T> using BasicTime = boost::units::quantity<detail::si_unit<0, 0, 1>, T>;
template <class T> using BasicMass = boost::units::quantity<detail::si_unit<0, 1, 0>, T>;
template <class T> using BasicTemperature = boost::units::quantity<boost::units::si::temperature, T>;
template <class T> using BasicVelocity = boost::units::quantity<detail::si_unit<1, 0, -1>, T>;
template <class T> using BasicVolumeFlow = boost::units::quantity<detail::si_unit<3, 0, -1>, T>;
template <class T> using BasicMassFlow = boost::units::quantity<detail::si_unit<0, 1, -1>, T>;
template <class T> using BasicPressure = boost::units::quantity<detail::si_unit<-1, 1, -2>, T>;
template <class T> using BasicDensity = boost::units::quantity<detail::si_unit<-3, 1, 0>, T>;
template <class T> using BasicMassConcentration = BasicDensity<T>;
template <class T> using BasicDynamicViscosity = boost::units::quantity<detail::si_unit<-1, 1, -1>, T>;
template <class T> using BasicPower = boost::units::quantity<detail::si_unit<2, 1, -3>, T>;
template <class T> using BasicEnergy = boost::units::quantity<detail::si_unit<2, 1, -2>, T>;
template <class T> using BasicPermeability = BasicArea<T>;
template <class T> using BasicInverseLength = boost::units::quantity<detail::si_unit<-1, 0, 0>, T>;
template <class T> using BasicMassPerArea = boost::units::quantity<detail::si_unit<-2, 1, 0>, T>;
template <class T> using BasicLinearResistance = boost::units::quantity<detail::si_unit<-4, 1, -1>, T>;
template <class T> using BasicQuadraticResistance = boost::units::quantity<detail::si_unit<-7, 1, 0>, T>;
template <class T> using BasicLinearLayerResistance = boost::units::quantity<detail::si_unit<-2, 1, -1>, T>;
template <class T> using BasicQuadraticLayerResistance = boost::units::quantity<detail::si_unit<-3, 1, 0>, T>;
template <class T> using BasicNumberConcentration = boost::units::quantity<detail::si_unit<-3, 0, 0>, T>;
template <class T> using BasicDiffusionCoefficient = boost::units::quantity<detail::si_unit<2, 0, -1>, T>;
template <class T> using BasicRate = boost::units::quantity<detail::si_unit<0, 0, -1>, T>;
template <class T> using BasicSpecificEnergy = boost::units::quantity<detail::si_unit<2, 0, -2>, T>;
template <class T> using BasicSurfaceCharge = boost::units::quantity<detail::si_unit<-2, 0, 1, 1>, T>;
template <class T> using BasicLineCharge = boost::units::quantity<detail::si_unit<-1, 0, 1, 1>, T>;

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
