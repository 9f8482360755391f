// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a particle moves in still air: relaxation time, settling velocity in Stokes' range, diffusion.

#include <numbers>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// A particle: a sphere, or a body with the diameter of the sphere of its volume and a shape factor.
template <class T>
struct BasicParticle {
    BasicLength<T> diameter;                                          ///< of the sphere of its volume, > 0
    BasicDensity<T> density = BasicDensity<T>::from_value(T(1000));   ///< of its substance, > 0
    T dynamic_shape_factor = T(1);   ///< Stokes drag over that of the sphere of its volume, > 0; 1 for a sphere
};
using Particle = BasicParticle<double>;

namespace detail {

inline constexpr double standard_gravity = 9.80665;         // m/s2
inline constexpr double boltzmann_constant = 1.380649e-23;  // J/K, exact since 2019

template <class T>
T relaxation_time(const BasicParticle<T>& particle, const T& slip, const T& viscosity) {
    const T d = particle.diameter.value();
    return particle.density.value() * d * d * slip / (T(18) * viscosity * particle.dynamic_shape_factor);
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
    require_positive(where, "dynamic shape factor", particle.dynamic_shape_factor, "-");
}

}   // namespace detail

/// Relaxation time: how long a particle takes to follow a change of the flow.
///
/// Equation: tau = rho_p d^2 Cc / (18 mu chi)
/// Symbols:  rho_p particle density [kg/m3], d diameter of the sphere of its volume [m], Cc slip correction at d [-],
///           mu viscosity [Pa s], chi dynamic shape factor [-]
/// Validity: particle Reynolds number below 1; slip of a body that is no sphere is approximated by that of the sphere
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return relaxation time [s]
/// @throws DomainError if diameter, density, shape factor, temperature, pressure or viscosity is not > 0
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
template <Deferred...>
inline Time relaxation_time(const Particle& particle, const AirState& air, const SlipLaw& law = kim_slip()) {
    return relaxation_time<double>(particle, air, law);
}

/// Settling velocity in still air.
///
/// Equation: v = tau g
/// Symbols:  tau relaxation time [s], g standard gravity 9.80665 m/s2
/// Validity: Stokes drag, particle Reynolds number rho v d/mu <= 1 (throws above: about 79 um at unit density;
///           settling_beyond_stokes goes on); at Reynolds number 1 the true velocity is about 12 % lower. Buoyancy is
///           neglected
/// @param  particle  diameter, density and shape factor
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
    if (!(detail::plain_value(reynolds) <= 1.0)) {
        const double size = detail::plain_value(particle.diameter.value()) / 1e-6;
        detail::throw_domain_error(where, "particle Reynolds number of " + detail::number_text(size) + " um",
                                   detail::plain_value(reynolds), "-", "from 0 to 1; settling_beyond_stokes goes on");
    }
    return BasicVelocity<T>::from_value(v);
}
template <Deferred...>
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
template <Deferred...>
inline DiffusionCoefficient diffusion_coefficient(const Length& diameter, const AirState& air,
                                                  const SlipLaw& law = kim_slip()) {
    return diffusion_coefficient<double>(diameter, air, law);
}

/// Diffusion coefficient of a particle that need not be a sphere.
///
/// Equation: D = k T Cc / (3 pi mu d chi)
/// Symbols:  as above; d diameter of the sphere of its volume [m], chi dynamic shape factor [-]
/// Validity: as relaxation_time
/// @param  particle  diameter and shape factor; its density is not used but must be one
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return diffusion coefficient [m2/s]
/// @throws DomainError as relaxation_time
/// @source Einstein 1905, shape factor as in Hinds 1999 (from memory); test: particle/particle_motion_test.cpp
template <class T>
BasicDiffusionCoefficient<T> diffusion_coefficient(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                                                   const SlipLaw& law = kim_slip()) {
    detail::check(particle, "diffusion_coefficient");
    return BasicDiffusionCoefficient<T>::from_value(diffusion_coefficient<T>(particle.diameter, air, law).value() /
                                                    particle.dynamic_shape_factor);
}
template <Deferred...>
inline DiffusionCoefficient diffusion_coefficient(const Particle& particle, const AirState& air,
                                                  const SlipLaw& law = kim_slip()) {
    return diffusion_coefficient<double>(particle, air, law);
}

}   // namespace filterflow
