// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a particle moves in still air: relaxation time, settling velocity, diffusion; its aerodynamic diameter.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// A spherical particle.
template <class T>
struct BasicParticle {
    BasicLength<T> diameter;                                          ///< > 0
    BasicDensity<T> density = BasicDensity<T>::from_value(T(1000));   ///< of its substance, > 0
};
using Particle = BasicParticle<double>;

namespace detail {

inline constexpr double standard_gravity = 9.80665;         // m/s2
inline constexpr double boltzmann_constant = 1.380649e-23;  // J/K, exact since 2019

template <class T>
T relaxation_time(const BasicParticle<T>& particle, const T& slip, const T& viscosity) {
    const T d = particle.diameter.value();
    return particle.density.value() * d * d * slip / (T(18) * viscosity);
}

template <class T>
T diffusion_coefficient(const T& diameter, const T& slip, const BasicAirState<T>& air) {
    return T(boltzmann_constant) * air.temperature.value() * slip /
           (T(3 * std::numbers::pi) * air.viscosity.value() * diameter);
}

template <class T>
void check(const BasicParticle<T>& particle, std::string_view where) {
    require_positive(where, "particle diameter", particle.diameter.value(), "m");
    require_positive(where, "particle density", particle.density.value(), "kg/m3");
}

}   // namespace detail

/// Relaxation time: how long a particle takes to follow a change of the flow.
///
/// Equation: tau = rho_p d^2 Cc / (18 mu)
/// Symbols:  rho_p particle density [kg/m3], d diameter [m], Cc slip correction [-], mu viscosity [Pa s]
/// Validity: spheres, particle Reynolds number below 1
/// @param  particle  diameter and density
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return relaxation time [s]
/// @throws DomainError if diameter, density, temperature, pressure or viscosity is not > 0
/// @source Seinfeld and Pandis 2006, section 9.2; test: particle/particle_motion_test.cpp
template <class T>
BasicTime<T> relaxation_time(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                             const SlipLaw& law = kim_slip()) {
    constexpr auto where = "relaxation_time";
    detail::check(particle, where);
    const T slip = slip_correction<T>(particle.diameter, air, law);
    return BasicTime<T>::from_value(detail::require_finite(
        where, "result", detail::relaxation_time(particle, slip, T(air.viscosity.value())), "s"));
}
inline Time relaxation_time(const Particle& particle, const AirState& air, const SlipLaw& law = kim_slip()) {
    return relaxation_time<double>(particle, air, law);
}

/// Settling velocity in still air.
///
/// Equation: v = tau g
/// Symbols:  tau relaxation time [s], g standard gravity 9.80665 m/s2
/// Validity: Stokes drag, particle Reynolds number rho v d/mu <= 1 (throws above: about 79 um at unit density)
/// @param  particle  diameter and density
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return settling velocity [m/s], downward
/// @throws DomainError as relaxation_time, or outside the validity
/// @source Stokes 1851; test: particle/particle_motion_test.cpp
template <class T>
BasicVelocity<T> settling_velocity(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                                   const SlipLaw& law = kim_slip()) {
    constexpr auto where = "settling_velocity";
    const T v = relaxation_time<T>(particle, air, law).value() * T(detail::standard_gravity);
    detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    const T reynolds = air.density.value() * v * particle.diameter.value() / air.viscosity.value();
    detail::require_between(where, "particle Reynolds number", reynolds, 0.0, 1.0, "-");
    return BasicVelocity<T>::from_value(v);
}
inline Velocity settling_velocity(const Particle& particle, const AirState& air, const SlipLaw& law = kim_slip()) {
    return settling_velocity<double>(particle, air, law);
}

/// Diffusion coefficient of a particle in air.
///
/// Equation: D = k T Cc / (3 pi mu d)
/// Symbols:  k Boltzmann's constant 1.380649e-23 J/K, T temperature [K], Cc slip correction, mu viscosity [Pa s],
///           d diameter [m]
/// Validity: spheres
/// @param  diameter  of the particle [m], > 0
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return diffusion coefficient [m2/s]
/// @throws DomainError if the diameter, temperature, pressure or viscosity is not > 0
/// @source Einstein 1905, as in Seinfeld and Pandis 2006; test: particle/particle_motion_test.cpp
template <class T>
BasicDiffusionCoefficient<T> diffusion_coefficient(BasicLength<T> diameter, const BasicAirState<T>& air,
                                                   const SlipLaw& law = kim_slip()) {
    constexpr auto where = "diffusion_coefficient";
    const T slip = slip_correction<T>(diameter, air, law);
    return BasicDiffusionCoefficient<T>::from_value(detail::require_finite(
        where, "result", detail::diffusion_coefficient(T(diameter.value()), slip, air), "m2/s"));
}
inline DiffusionCoefficient diffusion_coefficient(const Length& diameter, const AirState& air,
                                                  const SlipLaw& law = kim_slip()) {
    return diffusion_coefficient<double>(diameter, air, law);
}

/// Aerodynamic diameter: that of the sphere of 1000 kg/m3 which settles as fast.
///
/// Equation: d_a^2 Cc(d_a) 1000 kg/m3 = d^2 Cc(d) rho_p
/// Symbols:  d diameter [m], rho_p particle density [kg/m3], Cc slip correction
/// Validity: spheres
/// @param  particle  diameter and density
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return aerodynamic diameter [m]
/// @throws DomainError if diameter, density, temperature, pressure or viscosity is not > 0
/// @source definition; test: particle/particle_motion_test.cpp
template <class T>
BasicLength<T> aerodynamic_diameter(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                                    const SlipLaw& law = kim_slip()) {
    constexpr auto where = "aerodynamic_diameter";
    detail::check(particle, where);
    const T path = mean_free_path<T>(air, law).value();
    const T density = particle.density.value();
    const T d = particle.diameter.value();
    const T target = d * d * slip_correction<T>(T(2) * path / d, law) * density / T(1000);
    // g(x) = x^2 Cc(x) = x^2 + 2 l x A + 2 l x B e^(-C x / (2 l))
    const auto slope = [&](double x, double l) {
        const double e = law.B * std::exp(-0.5 * law.C * x / l);
        return 2.0 * x + 2.0 * l * (law.A + e) - law.C * x * e;
    };
    const double l = detail::plain_value(path);
    const double aim = detail::plain_value(target);
    const double ratio = detail::plain_value(density) / 1000.0;
    const double plain = detail::plain_value(d);
    const double low = plain * std::min(1.0, ratio) * 0.5;
    const double high = plain * std::max(1.0, ratio) * 2.0;
    const Root root = find_root(
        [&](double x) {
            return std::pair{x * x * detail::slip_correction(2.0 * l / x, law) / aim - 1.0, slope(x, l) / aim};
        },
        low, high);
    // One Newton step in T: the implicit function theorem.
    const T x = T(root.location);
    const T residual = x * x * detail::slip_correction(T(2) * path / x, law) - target;
    return BasicLength<T>::from_value(
        detail::require_finite(where, "result", T(x - residual / T(slope(root.location, l))), "m"));
}
inline Length aerodynamic_diameter(const Particle& particle, const AirState& air, const SlipLaw& law = kim_slip()) {
    return aerodynamic_diameter<double>(particle, air, law);
}

}   // namespace filterflow
