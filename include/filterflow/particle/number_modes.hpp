// SPDX-License-Identifier: BSL-1.0
#pragma once

// Aerosols counted as they are measured in the open air: lognormal modes with a number of particles each; number,
// surface and volume of them in a volume of air; the modes that Jaenicke gives for four kinds of air.

#include <cmath>
#include <numbers>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/size_distribution.hpp>

namespace filterflow {

/// One lognormal mode with its number of particles in a volume of air.
template <class T>
struct BasicNumberMode {
    BasicNumberConcentration<T> concentration{};   ///< of particles, > 0
    BasicLength<T> median{};                       ///< median size by number, > 0
    T geometric_standard_deviation = T(0);         ///< > 1
};
using NumberMode = BasicNumberMode<double>;

namespace detail {

/// Sum over the modes of N times the mean of d^p.
template <class T>
T number_moment(std::span<const BasicNumberMode<T>> modes, double p, std::string_view where) {
    using std::exp;
    using std::log;
    using std::pow;
    T sum = T(0);
    for (const BasicNumberMode<T>& mode : modes) {
        require_positive(where, "mode.concentration", mode.concentration.value(), "1/m3");
        require_positive(where, "mode.median", mode.median.value(), "m");
        const T s = require_finite(where, "mode.geometric_standard_deviation", mode.geometric_standard_deviation, "-");
        if (!(plain_value(s) > 1.0)) {
            throw_domain_error(where, "mode.geometric_standard_deviation", plain_value(s), "-", "> 1");
        }
        const T width = log(s), median = mode.median.value();
        sum += mode.concentration.value() * T(pow(median, p)) * exp(T(0.5 * p * p) * width * width);
    }
    return require_finite(where, "result", sum, "");
}

}   // namespace detail

/// Particles in a volume of air.
///
/// Equation: N = sum_k N_k
/// Symbols:  N_k concentration of mode k [1/m3]
/// Validity: any modes
/// @param  modes  of the aerosol; shape (n)
/// @return number concentration [1/m3]; zero for no mode
/// @throws DomainError if a mode is out of its range
/// @source definition; test: particle/number_modes_test.cpp
template <class T>
BasicNumberConcentration<T> number_concentration(std::span<const BasicNumberMode<T>> modes) {
    return BasicNumberConcentration<T>::from_value(detail::number_moment<T>(modes, 0.0, "number_concentration"));
}
template <Deferred...>
inline NumberConcentration number_concentration(std::span<const NumberMode> modes) {
    return number_concentration<double>(modes);
}

/// Surface of the particles in a volume of air, as spheres.
///
/// Equation: S = pi sum_k N_k m_k^2 exp(2 ln^2 s_k)
/// Symbols:  N concentration [1/m3], m number median [m], s geometric standard deviation of mode k
/// Validity: any modes
/// @param  modes  of the aerosol; shape (n)
/// @return surface per volume of air [1/m]; zero for no mode
/// @throws DomainError if a mode is out of its range
/// @source moments of the lognormal distribution; test: particle/number_modes_test.cpp
template <class T>
BasicInverseLength<T> surface_concentration(std::span<const BasicNumberMode<T>> modes) {
    return BasicInverseLength<T>::from_value(T(std::numbers::pi) *
                                             detail::number_moment<T>(modes, 2.0, "surface_concentration"));
}
template <Deferred...>
inline InverseLength surface_concentration(std::span<const NumberMode> modes) {
    return surface_concentration<double>(modes);
}

/// Volume of the particles in a volume of air, as spheres.
///
/// Equation: V = (pi/6) sum_k N_k m_k^3 exp(4.5 ln^2 s_k)
/// Symbols:  as surface_concentration
/// Validity: any modes; wide modes hold nearly all of it in sizes that nobody counted
/// @param  modes  of the aerosol; shape (n)
/// @return volume of particles per volume of air [-] (1e-12: 1 um3/cm3); zero for no mode
/// @throws DomainError if a mode is out of its range
/// @source moments of the lognormal distribution; test: particle/number_modes_test.cpp
template <class T>
T volume_concentration(std::span<const BasicNumberMode<T>> modes) {
    return T(std::numbers::pi / 6.0) * detail::number_moment<T>(modes, 3.0, "volume_concentration");
}
template <Deferred...>
inline double volume_concentration(std::span<const NumberMode> modes) { return volume_concentration<double>(modes); }

/// The modes as a size distribution by number.
///
/// Equation: w_k = N_k/sum N
/// Symbols:  N_k concentration of mode k [1/m3]
/// Validity: at least one mode
/// @param  name  what a report prints
/// @param  modes  of the aerosol; shape (n), n >= 1
/// @return distribution by number; weighted_by turns it into one by volume
/// @throws DomainError if there is no mode or one is out of its range
/// @source definition; test: particle/number_modes_test.cpp
template <class T>
BasicSizeDistribution<T> number_distribution(std::string name, std::span<const BasicNumberMode<T>> modes) {
    constexpr auto where = "number_distribution";
    const T total = detail::number_moment<T>(modes, 0.0, where);
    detail::require_positive(where, "number of all modes", total, "1/m3");
    BasicSizeDistribution<T> result{.name = std::move(name), .modes = {}, .weighting = SizeWeighting::number};
    for (const BasicNumberMode<T>& mode : modes) {
        result.modes.push_back({mode.concentration.value() / total, mode.median, mode.geometric_standard_deviation});
    }
    return result;
}
template <Deferred...>
inline SizeDistribution number_distribution(std::string name, std::span<const NumberMode> modes) {
    return number_distribution<double>(std::move(name), modes);
}

/// Kinds of open air whose modes are at hand.
enum class AmbientAerosol {
    urban,              ///< 137 000 particles per cm3
    rural,              ///< 8 790 per cm3
    marine,             ///< 203 per cm3
    remote_continental  ///< 6 100 per cm3
};

/// Three modes of the aerosol in the open air.
///
/// Equation: as the table; the widths are given there as log10 of the geometric standard deviation
/// Symbols:  none
/// Validity: examples of their kind, not the air of a place or a day; sizes above 10 um are poorly known
/// @param  kind  of air
/// @return modes; shape (3)
/// @throws nothing
/// @source Jaenicke 1993, as Seinfeld and Pandis 2006, Table 8.3 (second-hand); test: particle/number_modes_test.cpp
template <Deferred...>
inline std::vector<NumberMode> ambient_modes(AmbientAerosol kind) {
    const auto mode = [](double per_cm3, double median_um, double log10_deviation) {
        return NumberMode{per_cm3 * units::per_cm3, median_um * units::um, std::pow(10.0, log10_deviation)};
    };
    switch (kind) {
        case AmbientAerosol::urban: break;
        case AmbientAerosol::rural:
            return {mode(6650, 0.015, 0.225), mode(147, 0.054, 0.557), mode(1990, 0.084, 0.266)};
        case AmbientAerosol::marine:
            return {mode(133, 0.008, 0.657), mode(66.6, 0.266, 0.210), mode(3.1, 0.58, 0.396)};
        case AmbientAerosol::remote_continental:
            return {mode(3200, 0.02, 0.161), mode(2900, 0.116, 0.217), mode(0.3, 1.8, 0.380)};
    }
    return {mode(99300, 0.013, 0.245), mode(1110, 0.014, 0.666), mode(36400, 0.05, 0.337)};
}

}   // namespace filterflow
