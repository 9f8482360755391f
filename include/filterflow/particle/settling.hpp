// SPDX-License-Identifier: BSL-1.0
#pragma once

// Settling of spheres beyond Stokes' range, with the drag of Schiller and Naumann.

#include <cmath>
#include <string_view>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/particle/particle_motion.hpp>

namespace filterflow {

/// A sphere settling in still air.
template <class T>
struct BasicSettling {
    BasicVelocity<T> velocity;   ///< downward
    T reynolds_number;           ///< of the particle, rho v d/mu, from 0 to 1000
    T drag_correction;           ///< drag over Stokes' drag at this velocity, >= 1
};
using Settling = BasicSettling<double>;

namespace detail {

inline constexpr double schiller_naumann_greatest_reynolds = 1000.0;

template <class T>
T schiller_naumann_correction(const T& reynolds) {
    using std::pow;
    return T(1) + T(0.15) * pow(reynolds, 0.687);
}

/// The Reynolds number with Re (1 + 0.15 Re^0.687) = that of Stokes' velocity.
template <class T>
T settling_reynolds(const T& of_stokes) {
    const double aim = plain_value(of_stokes);
    const auto slope = [](double re) { return 1.0 + 0.15 * 1.687 * std::pow(re, 0.687); };
    const Root root = find_root(
        [&](double re) { return std::pair{re * schiller_naumann_correction(re) / aim - 1.0, slope(re) / aim}; },
        0.999 * aim / schiller_naumann_correction(aim), aim);
    const T re = T(root.location);   // one Newton step in T: the implicit function theorem
    return re - (re * schiller_naumann_correction(re) - of_stokes) / T(slope(root.location));
}

}   // namespace detail

/// Settling velocity of a sphere in still air beyond Stokes' range.
///
/// Equation: v (1 + 0.15 Re^0.687) = tau g, Re = rho v d/mu
/// Symbols:  tau relaxation time by Stokes' law with slip [s], g standard gravity 9.80665 m/s2, rho, mu density and
///           viscosity of the air, d diameter [m]
/// Validity: spheres, Re <= 1000 (throws above); the drag within about 5 % of what is measured. Below Re = 0.1, where
///           settling_velocity is the better one, it is up to 2 % low. Buoyancy is neglected
/// @param  particle  diameter and density; shape factor 1
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return velocity, Reynolds number and drag correction
/// @throws DomainError if a value is not > 0, the particle is no sphere, or Re is above 1000
/// @source Schiller and Naumann 1933 (from memory, as in Clift, Grace and Weber 1978); test:
///         particle/settling_test.cpp
template <class T>
BasicSettling<T> settling_beyond_stokes(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                                        const SlipLaw& law = kim_slip()) {
    constexpr auto where = "settling_beyond_stokes";
    const T stokes = relaxation_time<T>(particle, air, law).value() * T(detail::standard_gravity);
    if (detail::plain_value(particle.dynamic_shape_factor) != 1.0) {
        detail::throw_domain_error(where, "dynamic shape factor", detail::plain_value(particle.dynamic_shape_factor),
                                   "-", "1: the drag beyond Stokes' range is that of spheres");
    }
    detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    const T scale = air.density.value() * particle.diameter.value() / air.viscosity.value();
    // Re above 1000 means a Reynolds number of Stokes' velocity above this; told before the search can overflow.
    const double re = detail::schiller_naumann_greatest_reynolds;
    detail::require_between(where, "particle Reynolds number of Stokes' velocity", T(scale * stokes), 0.0,
                            re * detail::schiller_naumann_correction(re), "-");
    const T reynolds = detail::settling_reynolds(T(scale * stokes));
    return {BasicVelocity<T>::from_value(detail::require_positive(where, "result", T(reynolds / scale), "m/s")),
            reynolds, detail::schiller_naumann_correction(reynolds)};
}
template <Deferred...>
inline Settling settling_beyond_stokes(const Particle& particle, const AirState& air,
                                       const SlipLaw& law = kim_slip()) {
    return settling_beyond_stokes<double>(particle, air, law);
}

}   // namespace filterflow
