// SPDX-License-Identifier: BSL-1.0
#pragma once

// A mat of fibres: thickness, two fibre diameters, solidity; its permeability by Davies (measured media) and by
// Kuwabara (ordered theory), and what slip of the gas on fine fibres changes.

#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A flat medium of fibres. The two diameters of uneven media differ by up to a factor of 2: each model takes the one
/// that it is for and refuses a medium without it. Who knows one alone and takes it for both says so by giving it
/// twice.
template <class T>
struct BasicFibrousMedium {
    BasicLength<T> thickness;                                               ///< along the flow, > 0
    std::optional<BasicLength<T>> effective_fibre_diameter = std::nullopt;   ///< that gives the pressure drop, > 0
    std::optional<BasicLength<T>> geometric_fibre_diameter = std::nullopt;   ///< as seen in a microscope, > 0
    T solidity;                                                             ///< volume of fibres over volume of medium
};
using FibrousMedium = BasicFibrousMedium<double>;

namespace detail {

inline constexpr double davies_least_solidity = 0.006;
inline constexpr double davies_greatest_solidity = 0.3;
inline constexpr double kuwabara_greatest_solidity = 0.25;

template <class T>
T davies_permeability(const T& diameter, const T& solidity) {
    using std::sqrt;
    return diameter * diameter /
           (T(64) * solidity * sqrt(solidity) * (T(1) + T(56) * solidity * solidity * solidity));
}

template <class T>
T kuwabara_factor(const T& solidity) {
    using std::log;
    return T(-0.5) * log(solidity) - T(0.75) + solidity - T(0.25) * solidity * solidity;
}

template <class T>
T slip_drag_factor(const T& solidity, const T& knudsen) {
    using std::log;
    const T slip = T(1.996) * knudsen;
    const T ku = detail::kuwabara_factor(solidity);
    return (T(1) + slip) * ku / (ku + slip * (T(-0.5) * log(solidity) - T(0.25) + T(0.25) * solidity * solidity));
}

template <class T>
const T& given_diameter(const std::optional<BasicLength<T>>& diameter, std::string_view where, const char* name) {
    if (!diameter) {
        std::string message(where);
        message.append(": ").append(name).append(" is not given; required: > 0, as this model rests on it");
        throw DomainError(message);
    }
    return require_positive(where, name, diameter->value(), "m");
}

template <class T>
const T& effective_fibre_diameter(const BasicFibrousMedium<T>& medium, std::string_view where) {
    return given_diameter(medium.effective_fibre_diameter, where, "effective_fibre_diameter");
}

template <class T>
const T& geometric_fibre_diameter(const BasicFibrousMedium<T>& medium, std::string_view where) {
    return given_diameter(medium.geometric_fibre_diameter, where, "geometric_fibre_diameter");
}

template <class T>
void check(const BasicFibrousMedium<T>& medium, double least, double greatest, std::string_view where) {
    require_positive(where, "thickness", medium.thickness.value(), "m");
    require_positive(where, "solidity", medium.solidity, "-");
    require_between(where, "solidity", medium.solidity, least, greatest, "-");
}

}   // namespace detail

/// Darcy permeability of a fibrous medium by Davies' correlation of measured pads and papers.
///
/// Equation: k = d^2 / (64 a^1.5 (1 + 56 a^3))
/// Symbols:  k permeability [m2], d effective fibre diameter [m], a solidity [-]
/// Validity: solidity 0.006 to 0.3 (throws outside; permeability_estimate with FibrePermeability::davies answers there,
///           too, with a status); fibre Reynolds number below about 1; fibres of 1.6 to 80 um in the data (from
///           memory), which contain what slip there was
/// @param  medium  thickness [m], effective fibre diameter [m], solidity [-]
/// @return permeability [m2]
/// @throws DomainError if the thickness is not > 0, the effective diameter is not given or not > 0, the solidity is
///         outside, or the result is not > 0 and finite
/// @source Davies 1953, as in Tan 2014, equations 6.100 and 6.101 (titles: docs/media.md);
///         test: media/fibrous_medium_test.cpp
template <class T>
BasicPermeability<T> permeability(const BasicFibrousMedium<T>& medium) {
    constexpr auto where = "permeability(FibrousMedium)";
    detail::check(medium, detail::davies_least_solidity, detail::davies_greatest_solidity, where);
    const T k = detail::davies_permeability(detail::effective_fibre_diameter(medium, where), medium.solidity);
    return BasicPermeability<T>::from_value(detail::require_positive(where, "result", k, "m2"));
}
template <Deferred...>
inline Permeability permeability(const FibrousMedium& medium) { return permeability<double>(medium); }

/// Kuwabara's hydrodynamic factor of fibres across the flow.
///
/// Equation: Ku = -ln(a)/2 - 3/4 + a - a^2/4
/// Symbols:  a solidity [-]
/// Validity: 0 < a <= 0.25 (throws outside); creeping flow
/// @param  solidity  volume of fibres over volume of medium [-]
/// @return hydrodynamic factor [-]
/// @throws DomainError outside the validity
/// @source Kuwabara 1959; test: media/fibrous_medium_test.cpp
template <class T>
T kuwabara_factor(const T& solidity) {
    constexpr auto where = "kuwabara_factor";
    detail::require_positive(where, "solidity", solidity, "-");
    return detail::kuwabara_factor(
        detail::require_between(where, "solidity", solidity, 0.0, detail::kuwabara_greatest_solidity, "-"));
}
template <Deferred...>
inline double kuwabara_factor(double solidity) { return kuwabara_factor<double>(solidity); }

/// Kuwabara's permeability of fibres across the flow, evenly spaced (ordered): the theory that single-fibre
/// efficiencies rest on. Real media, being uneven, are more permeable; their fibre diameter is the geometric one here.
///
/// Equation: k = d^2 Ku / (16 a)
/// Symbols:  k permeability [m2], d geometric fibre diameter [m], a solidity [-], Ku Kuwabara's factor [-]
/// Validity: 0 < a <= 0.25 (throws outside; permeability_estimate with FibrePermeability::kuwabara answers there, too,
///           with a status); creeping flow, no slip
/// @param  medium  thickness [m], geometric fibre diameter [m], solidity [-]
/// @return permeability [m2]
/// @throws DomainError if the thickness is not > 0, the geometric diameter is not given or not > 0, the solidity is
///         outside, or the result is not > 0 and finite
/// @source Kuwabara 1959; test: media/fibrous_medium_test.cpp
template <class T>
BasicPermeability<T> ordered_permeability(const BasicFibrousMedium<T>& medium) {
    constexpr auto where = "ordered_permeability";
    detail::check(medium, 0.0, detail::kuwabara_greatest_solidity, where);
    const T d = detail::geometric_fibre_diameter(medium, where);
    const T k = d * d * detail::kuwabara_factor(medium.solidity) / (T(16) * medium.solidity);
    return BasicPermeability<T>::from_value(detail::require_positive(where, "result", k, "m2"));
}
template <Deferred...>
inline Permeability ordered_permeability(const FibrousMedium& medium) { return ordered_permeability<double>(medium); }

/// Factor by which slip of the gas on fine fibres lowers the pressure drop of a medium.
///
/// Equation: F = (1 + 1.996 Kn) Ku / (Ku + 1.996 Kn (-ln(a)/2 - 1/4 + a^2/4)), Kn = 2 lambda/d
/// Symbols:  Kn Knudsen number of the fibre [-], lambda mean free path [m], d geometric fibre diameter [m],
///           a solidity [-], Ku Kuwabara's factor [-]
/// Validity: solidity as kuwabara_factor, Kn <= 1; throws beyond both, without a status: the slip condition is of first
///           order in Kn and has no answer there. Matters from Kn of about 0.02 (fibres under 6 um)
/// @param  medium  thickness [m] > 0, geometric fibre diameter [m] > 0, solidity [-]
/// @param  mean_free_path  of the gas [m], > 0
/// @return factor on the pressure drop [-], at most 1
/// @throws DomainError outside the validity, or if the geometric diameter is not given
/// @source Kuwabara's cell with Maxwell slip, own derivation (form from memory, confirmed numerically);
///         test: media/fibrous_medium_test.cpp
template <class T>
T slip_drag_factor(const BasicFibrousMedium<T>& medium, BasicLength<T> mean_free_path) {
    constexpr auto where = "slip_drag_factor";
    detail::check(medium, 0.0, detail::kuwabara_greatest_solidity, where);
    detail::require_positive(where, "mean_free_path", mean_free_path.value(), "m");
    const T knudsen = T(2) * mean_free_path.value() / detail::geometric_fibre_diameter(medium, where);
    detail::require_between(where, "Knudsen number of the fibre", knudsen, 0.0, 1.0, "-");
    return detail::slip_drag_factor(medium.solidity, knudsen);
}
template <Deferred...>
inline double slip_drag_factor(const FibrousMedium& medium, Length mean_free_path) {
    return slip_drag_factor<double>(medium, mean_free_path);
}

}   // namespace filterflow
