// SPDX-License-Identifier: BSL-1.0
#pragma once

// Slip of the gas at small particles: mean free path and slip correction. Each set of slip constants was fitted
// with a law for the mean free path of its own; the two are kept together and never mixed.

#include <cmath>
#include <numbers>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// The law for the mean free path that a set of slip constants was fitted with.
enum class MeanFreePathLaw {
    willeke,   ///< 66.4 nm at 293.15 K and 101.325 kPa, Sutherland's temperature dependence
    kinetic    ///< from the viscosity, by kinetic theory
};

/// Constants of the slip correction Cc = 1 + Kn (A + B exp(-C / Kn)).
struct SlipLaw {
    double A = 0.0;   ///< limit of the linear part for Kn -> 0
    double B = 0.0;   ///< A + B: free-molecule limit
    double C = 1.0;   ///< transition, > 0
    MeanFreePathLaw mean_free_path = MeanFreePathLaw::kinetic;   ///< that belongs to the constants
};

/// Slip constants of Kim, Mulholland, Kukuck and Pui (latex spheres), with Willeke's mean free path: the default.
///
/// Equation: A = 1.165, B = 0.483, C = 0.997
/// Symbols:  as SlipLaw
/// Validity: measured at Kn = 0.5 to 83
/// @return the law
/// @throws nothing
/// @source Kim et al. 2005, J. Res. NIST 110:31 (constants second-hand); test: particle/slip_test.cpp
constexpr SlipLaw kim_slip() { return {1.165, 0.483, 0.997, MeanFreePathLaw::willeke}; }

/// Slip constants of Allen and Raabe (solid spheres), with the kinetic mean free path.
///
/// Equation: A = 1.142, B = 0.558, C = 0.999
/// Symbols:  as SlipLaw
/// Validity: measured at Kn = 0.03 to 7.2. That they go with the kinetic law (65.9 nm at 296.15 K and 101.325 kPa) is
///           from memory; Willeke's law gives 67.3 nm there, which is 2 % in Cc at 0.01 um: set mean_free_path to choose
/// @return the law
/// @throws nothing
/// @source Allen and Raabe 1985 (constants read in open code, mean free path from memory); test: particle/slip_test.cpp
constexpr SlipLaw allen_raabe_slip() { return {1.142, 0.558, 0.999, MeanFreePathLaw::kinetic}; }

/// Slip constants of Davies, as textbooks of atmospheric chemistry use them, with the kinetic mean free path.
///
/// Equation: A = 1.257, B = 0.400, C = 1.10
/// Symbols:  as SlipLaw
/// Validity: Kn = 0.01 to 100 in use
/// @return the law
/// @throws nothing
/// @source Davies 1945, as in Seinfeld and Pandis 2006; test: particle/slip_test.cpp
constexpr SlipLaw davies_slip() { return {1.257, 0.400, 1.10, MeanFreePathLaw::kinetic}; }

namespace detail {

template <class T>
T mean_free_path(const BasicAirState<T>& air, MeanFreePathLaw law) {
    using std::sqrt;
    const T temperature = air.temperature.value();
    const T pressure = air.pressure.value();
    if (law == MeanFreePathLaw::willeke) {
        return T(66.4e-9 * 101325.0 / 293.15 * (1.0 + 110.4 / 293.15)) * temperature /
               (pressure * (T(1) + T(110.4) / temperature));
    }
    constexpr double gas_constant = 287.042;   // of dry air, J/(kg K)
    return air.viscosity.value() / pressure * sqrt(T(0.5 * std::numbers::pi * gas_constant) * temperature);
}

template <class T>
T slip_correction(const T& knudsen, const SlipLaw& law) {
    using std::exp;
    return T(1) + knudsen * (T(law.A) + T(law.B) * exp(T(-law.C) / knudsen));
}

template <class T>
void check_gas(const BasicAirState<T>& air, std::string_view where) {
    require_positive(where, "air temperature", air.temperature.value(), "K");
    require_positive(where, "air pressure", air.pressure.value(), "Pa");
    require_positive(where, "air viscosity", air.viscosity.value(), "Pa s");
}

template <Deferred...>
inline void check(const SlipLaw& law, std::string_view where) {
    require_non_negative(where, "slip constant A", law.A, "-");
    require_non_negative(where, "slip constant B", law.B, "-");
    require_positive(where, "slip constant C", law.C, "-");
}

}   // namespace detail

/// Mean free path of air by the law that belongs to a set of slip constants.
///
/// Equation: Willeke: l = 66.4 nm (101.325 kPa/p) (T/293.15 K) (1 + 110.4/293.15)/(1 + 110.4 K/T);
///           kinetic: l = (mu/p) (pi R T/2)^(1/2)
/// Symbols:  p pressure, T temperature, mu viscosity [Pa s], R gas constant of dry air, 287.042 J/(kg K)
/// Validity: air near room conditions
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return mean free path [m]
/// @throws DomainError if temperature, pressure or viscosity is not > 0
/// @source Willeke 1976 (from memory); kinetic theory as in Seinfeld and Pandis 2006; test: particle/slip_test.cpp
template <class T>
BasicLength<T> mean_free_path(const BasicAirState<T>& air, const SlipLaw& law = kim_slip()) {
    constexpr auto where = "mean_free_path";
    detail::check_gas(air, where);
    return BasicLength<T>::from_value(
        detail::require_finite(where, "result", detail::mean_free_path(air, law.mean_free_path), "m"));
}
template <Deferred...>
inline Length mean_free_path(const AirState& air, const SlipLaw& law = kim_slip()) {
    return mean_free_path<double>(air, law);
}

/// Slip correction at a Knudsen number: how much less drag a small particle feels than Stokes' law says.
///
/// Equation: Cc = 1 + Kn (A + B exp(-C/Kn))
/// Symbols:  Kn = 2 l/d, l mean free path, d particle diameter
/// Validity: Kn > 0; outside the range of the law's data by its limits, which are right for both ends
/// @param  knudsen_number  based on the particle's radius [-], > 0
/// @param  law  set of slip constants
/// @return slip correction [-], >= 1
/// @throws DomainError if the Knudsen number is not > 0 or a constant is out of its range
/// @source Kim et al. 2005 and as the law says; test: particle/slip_test.cpp
template <class T>
T slip_correction(const T& knudsen_number, const SlipLaw& law = kim_slip()) {
    constexpr auto where = "slip_correction";
    detail::check(law, where);
    detail::require_positive(where, "knudsen_number", knudsen_number, "-");
    return detail::slip_correction(knudsen_number, law);
}
template <Deferred...>
inline double slip_correction(double knudsen_number, const SlipLaw& law = kim_slip()) {
    return slip_correction<double>(knudsen_number, law);
}

/// Slip correction of a particle in air.
///
/// Equation: as above with Kn = 2 l/d
/// Symbols:  l mean_free_path by the law of the constants, d particle diameter
/// Validity: as above
/// @param  diameter  of the particle [m], > 0
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return slip correction [-], >= 1
/// @throws DomainError if the diameter, temperature, pressure or viscosity is not > 0
/// @source as above; test: particle/slip_test.cpp
template <class T>
T slip_correction(BasicLength<T> diameter, const BasicAirState<T>& air, const SlipLaw& law = kim_slip()) {
    constexpr auto where = "slip_correction";
    detail::require_positive(where, "diameter", diameter.value(), "m");
    return slip_correction<T>(T(2) * mean_free_path<T>(air, law).value() / diameter.value(), law);
}
template <Deferred...>
inline double slip_correction(const Length& diameter, const AirState& air, const SlipLaw& law = kim_slip()) {
    return slip_correction<double>(diameter, air, law);
}

}   // namespace filterflow
