// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a charged fibre, or one that meets charged particles, catches them. The groups N are the drift velocity at the
// fibre's surface over the superficial velocity U; lengths are diameters. Confidence is low: fit the charge to a
// measured efficiency (single_fibre_fit.hpp).

#include <cmath>
#include <cstddef>
#include <numbers>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/particle/particle_motion.hpp>

namespace filterflow {

/// How particles are charged.
enum class ParticleChargeState {
    boltzmann,   ///< in equilibrium with a bipolar gas of ions: both signs alike
    fixed        ///< the same number of elementary charges on each
};

/// Charge and substance of the particles.
struct ParticleCharge {
    ParticleChargeState state = ParticleChargeState::boltzmann;   ///< how they are charged
    double elementary_charges = 0.0;      ///< on each where fixed; negative where opposite to the fibre's line charge
    double relative_permittivity = 3.0;   ///< of their substance, >= 1 (invented default: between oil and salt)
};

/// Charge of the fibres.
template <class T>
struct BasicFibreCharge {
    BasicSurfaceCharge<T> surface_charge{};   ///< of a fibre with a side of either sign (electret), >= 0
    BasicLineCharge<T> line_charge{};         ///< of a fibre of one sign, >= 0
    double relative_permittivity = 2.2;       ///< of the fibre, >= 1 (polypropylene, from memory)
};
using FibreCharge = BasicFibreCharge<double>;

/// Drift velocities at the fibre over U. Coulomb's are for one elementary charge.
template <class T>
struct BasicChargeGroups {
    T electret_polarisation = T(0);   ///< N_s0, neutral particle at an electret fibre, >= 0
    T electret_coulomb = T(0);        ///< N_sq of one elementary charge, >= 0
    T line_polarisation = T(0);       ///< N_Q0, neutral particle at a line charge, >= 0
    T line_coulomb = T(0);            ///< N_Qq of one elementary charge, >= 0
    T image = T(0);                   ///< N_i of one elementary charge at a neutral fibre, >= 0
};
using ChargeGroups = BasicChargeGroups<double>;

namespace detail {

inline constexpr double elementary_charge = 1.602176634e-19;      // C, exact since 2019
inline constexpr double vacuum_permittivity = 8.8541878128e-12;   // F/m, CODATA 2018

/// What the groups are made of, raw SI.
template <class T>
struct ChargeCase {
    T diameter, slip, viscosity, fibre_diameter, velocity, surface_charge, line_charge;
    double fibre_permittivity, particle_permittivity;
};

template <class T>
BasicChargeGroups<T> charge_groups(const ChargeCase<T>& c) {
    constexpr double e0 = vacuum_permittivity, e = elementary_charge, pi = std::numbers::pi;
    const double clausius = (c.particle_permittivity - 1.0) / (c.particle_permittivity + 2.0);
    const double outside = 1.0 + c.fibre_permittivity;
    const T drag = c.viscosity * c.velocity / c.slip;
    const T d = c.diameter, f = c.fibre_diameter, sigma = c.surface_charge, q = c.line_charge;
    return {T(2.0 / 3.0 * clausius / (e0 * outside * outside)) * sigma * sigma * d * d / (drag * f),
            T(e / (3.0 * pi * e0 * outside)) * sigma / (drag * d),
            T(clausius / (3.0 * pi * pi * e0)) * q * q * d * d / (drag * f * f * f),
            T(e / (3.0 * pi * pi * e0)) * q / (drag * d * f),
            T((c.fibre_permittivity - 1.0) / outside * e * e / (12.0 * pi * pi * e0)) /
                (c.viscosity * c.velocity * d * f * f)};
}

/// ((1 - a)/Ku)^(2/5) pi N/(1 + 2 pi N^(2/3)); the factor of the flow is handed in.
template <class T>
T electret_capture(const T& n, const T& flow) {
    using std::cbrt;
    if (!(plain_value(n) > 0.0)) return flow * T(std::numbers::pi) * n;   // its slope at zero
    const T root = cbrt(n);
    return flow * T(std::numbers::pi) * n / (T(1) + T(2.0 * std::numbers::pi) * root * root);
}

template <class T>
T line_polarisation_capture(const T& n) {
    using std::cbrt;
    if (!(plain_value(n) > 0.0)) return T(0);
    const T slow = cbrt(T(1.5 * std::numbers::pi) * n), fast = T(std::numbers::pi) * n;
    return plain_value(slow) > plain_value(fast) ? slow : fast;
}

/// The electric parts of kanaoka_electret_capture.
template <class T>
T kanaoka_coulomb(const T& group) {
    using std::pow;
    return plain_value(group) > 0.0 ? T(0.16) * pow(group, 0.75) : T(0);
}
template <class T>
T kanaoka_induced(const T& group) {
    using std::pow;
    return plain_value(group) > 0.0 ? T(0.19) * pow(group, 0.4) : T(0);
}

/// Ratio q of Boltzmann's shares: n charges are q^(n^2) as frequent as none.
template <class T>
T boltzmann_ratio(const T& diameter, const T& temperature) {
    using std::exp;
    constexpr double energy = elementary_charge * elementary_charge /
                              (4.0 * std::numbers::pi * vacuum_permittivity * boltzmann_constant);   // m K
    return exp(T(-energy) / (diameter * temperature));
}

/// Calls visit(n, weight) for n = 0, 1, 2 ... charges of one sign while the weight q^(n^2) counts. Not normalised.
template <class T, class Visit>
void visit_boltzmann(const T& ratio, const Visit& visit) {
    T weight = T(1), step = ratio;   // q^(2n+1)
    const T square = ratio * ratio;
    for (int n = 0; n < 4000; ++n) {
        visit(n, weight);
        weight *= step;
        step *= square;
        if (!(plain_value(weight) > 1e-12)) return;
    }
}

template <Deferred...>
inline void check(const ParticleCharge& charge, std::string_view where) {
    require_finite(where, "elementary_charges", charge.elementary_charges, "-");
    if (!(require_finite(where, "relative permittivity of the particle", charge.relative_permittivity, "-") >= 1.0)) {
        throw_domain_error(where, "relative permittivity of the particle", charge.relative_permittivity, "-", ">= 1");
    }
}

template <class T>
void check(const BasicFibreCharge<T>& charge, std::string_view where) {
    require_non_negative(where, "surface_charge", charge.surface_charge.value(), "C/m2");
    require_non_negative(where, "line_charge", charge.line_charge.value(), "C/m");
    if (!(require_finite(where, "relative permittivity of the fibre", charge.relative_permittivity, "-") >= 1.0)) {
        throw_domain_error(where, "relative permittivity of the fibre", charge.relative_permittivity, "-", ">= 1");
    }
}

}   // namespace detail

/// Shares of particles by their number of elementary charges, in equilibrium with bipolar ions.
///
/// Equation: f_n proportional to exp(-n^2 e^2/(4 pi eps0 d k T))
/// Symbols:  n charges of one sign, e elementary charge, d diameter [m], T temperature [K], k Boltzmann's constant
/// Validity: d from about 0.05 um; smaller particles carry more than this says
/// @param  diameter  of the particles [m], > 0
/// @param  temperature  [K], > 0
/// @return shares of particles with n = 0, 1, 2 ... charges of one sign; all but the first count twice in the sum of
///         one
/// @throws DomainError if an argument is not > 0, or the diameter is above 1 mm
/// @source Boltzmann's law, as in Hinds 1999, chapter 15 (from memory); test: capture/single_fibre_charge_test.cpp
template <Deferred...>
inline std::vector<double> boltzmann_charge_shares(const Length& diameter, const Temperature& temperature) {
    constexpr auto where = "boltzmann_charge_shares";
    detail::require_positive(where, "diameter", diameter.value(), "m");
    detail::require_between(where, "diameter", diameter.value(), 0.0, 1e-3, "m");
    detail::require_positive(where, "temperature", temperature.value(), "K");
    std::vector<double> shares;
    double sum = 0.0;
    detail::visit_boltzmann(detail::boltzmann_ratio(diameter.value(), temperature.value()), [&](int n, double weight) {
        shares.push_back(weight);
        sum += n == 0 ? weight : 2.0 * weight;
    });
    for (double& share : shares) share /= sum;
    return shares;
}

/// Single-fibre efficiency of an electret fibre, for polarisation or for Coulomb's force alike.
///
/// Equation: E = ((1 - a)/Ku)^(2/5) pi N/(1 + 2 pi N^(2/3))
/// Symbols:  a solidity, Ku Kuwabara's factor, N electret_polarisation, or electret_coulomb times the charges
/// Validity: fitted to trajectories (range not at hand); confidence low
/// @param  group  N [-], >= 0
/// @param  solidity  of the medium [-], > 0, at most 0.25
/// @return efficiency on the frontal area of the fibre [-]; may exceed 1
/// @throws DomainError if an argument is out of its range or the result is no finite number
/// @source Lathrache and Fissan 1986 (from memory); test: capture/single_fibre_charge_test.cpp
template <class T>
T electret_capture(const T& group, const T& solidity) {
    using std::pow;
    constexpr auto where = "electret_capture";
    detail::require_non_negative(where, "group", group, "-");
    const T flow = pow((T(1) - solidity) / kuwabara_factor<T>(solidity), 0.4);
    return detail::require_finite(where, "result", detail::electret_capture(group, flow), "-");
}
template <Deferred...>
inline double electret_capture(double group, double solidity) { return electret_capture<double>(group, solidity); }

/// Single-fibre efficiency of Coulomb's force at a fibre with a line charge: the flux of a drift velocity, exact.
///
/// Equation: E = pi N
/// Symbols:  N line_coulomb times the charges, positive where they attract
/// Validity: any N; where they repel the result is negative and counts against the other mechanisms
/// @param  group  N [-]
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if the group is not finite
/// @source Brown 1993 (from memory), derived again; test: capture/single_fibre_charge_test.cpp
template <class T>
T line_coulomb_capture(const T& group) {
    return T(std::numbers::pi) * detail::require_finite("line_coulomb_capture", "group", group, "-");
}
template <Deferred...>
inline double line_coulomb_capture(double group) { return line_coulomb_capture<double>(group); }

/// Single-fibre efficiency of polarisation of neutral particles at a fibre with a line charge.
///
/// Equation: E = the larger of (3 pi N/2)^(1/3), for small N, and pi N, for large
/// Symbols:  N line_polarisation
/// Validity: well below and well above N = 0.4, where the two meet
/// @param  group  N [-], >= 0
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if the group is negative or not finite
/// @source Brown 1993 (from memory); test: capture/single_fibre_charge_test.cpp
template <class T>
T line_polarisation_capture(const T& group) {
    detail::require_non_negative("line_polarisation_capture", "group", group, "-");
    return detail::line_polarisation_capture(group);
}
template <Deferred...>
inline double line_polarisation_capture(double group) { return line_polarisation_capture<double>(group); }

/// Single-fibre efficiency of a charged particle's own image in a neutral fibre.
///
/// Equation: E = 1.5 N^(1/2)
/// Symbols:  N image times the square of the charges
/// Validity: small N
/// @param  group  N [-], >= 0
/// @return efficiency on the frontal area of the fibre [-]
/// @throws DomainError if the group is negative or not finite
/// @source Natanson 1957, as Hinds 1999 writes it (from memory); test: capture/single_fibre_charge_test.cpp
template <class T>
T image_capture(const T& group) {
    using std::sqrt;
    detail::require_non_negative("image_capture", "group", group, "-");
    return detail::plain_value(group) > 0.0 ? T(1.5) * sqrt(group) : T(0);
}
template <Deferred...>
inline double image_capture(double group) { return image_capture<double>(group); }

/// Single-fibre efficiency of rectangular electret fibres, diffusion included.
///
/// Equation: E = 0.54 Pe^(-2/3) + 0.16 K_C^(3/4) + 0.19 K_In^(2/5)
/// Symbols:  Pe Peclet number on the fibre's diameter, K_C Coulomb's and K_In the induced group of the source
/// Validity: the structure was read in the abstract, the numbers are from memory, and how the source bases its groups
///           could not be checked. ElectricTerm::kanaoka takes electret_coulomb for K_C and electret_polarisation for
///           K_In, drift velocities at the fibre over U as the others: a group twice as large makes 1.7 and 1.3 times
///           the efficiency
/// @param  peclet  Pe [-], > 0
/// @param  coulomb  K_C [-], >= 0
/// @param  induced  K_In [-], >= 0
/// @return efficiency on the frontal area of the fibre [-]; may exceed 1
/// @throws DomainError if an argument is out of its range
/// @source Kanaoka, Emi, Otani and Iiyama 1987 (numbers from memory); test: capture/single_fibre_charge_test.cpp
template <Deferred...>
inline double kanaoka_electret_capture(double peclet, double coulomb, double induced) {
    constexpr auto where = "kanaoka_electret_capture";
    detail::require_positive(where, "peclet", peclet, "-");
    detail::require_non_negative(where, "coulomb", coulomb, "-");
    detail::require_non_negative(where, "induced", induced, "-");
    return 0.54 / std::cbrt(peclet * peclet) + detail::kanaoka_coulomb(coulomb) + detail::kanaoka_induced(induced);
}

}   // namespace filterflow
