// SPDX-License-Identifier: BSL-1.0
#pragma once

// The diameter of a sphere that stands for a particle: by settling (aerodynamic) or by volume, each from the other.

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// What is known of a particle whose settling was measured.
template <class T>
struct BasicSettlingParticle {
    BasicLength<T> aerodynamic_diameter;                              ///< > 0
    BasicDensity<T> density = BasicDensity<T>::from_value(T(1000));   ///< of its substance, > 0
    T dynamic_shape_factor = T(1);                                    ///< as in BasicParticle, > 0
};
using SettlingParticle = BasicSettlingParticle<double>;

namespace detail {

inline constexpr double unit_density = 1000.0;   // kg/m3, of the sphere that defines the aerodynamic diameter

/// The x with x^2 Cc(x) = share * d^2 Cc(d).
template <class T>
T equal_settling_diameter(const T& d, const T& share, const T& path, const SlipLaw& law) {
    const T target = share * d * d * detail::slip_correction(T(2) * path / d, law);
    const double l = plain_value(path), aim = plain_value(target);
    // x^2 Cc = x^2 + 2 l x (A + B e), e = exp(-C x/(2 l)), rises with x at least as x and at most as x^2 beyond it.
    const auto slope = [&](double x) {
        const double e = law.B * std::exp(-0.5 * law.C * x / l);
        return 2.0 * x + 2.0 * l * (law.A + e) - law.C * x * e;
    };
    const double plain = plain_value(d), ratio = plain_value(share);
    const Root root = find_root(
        [&](double x) {
            return std::pair{x * x * detail::slip_correction(2.0 * l / x, law) / aim - 1.0, slope(x) / aim};
        },
        0.5 * plain * std::min(1.0, ratio), 2.0 * plain * std::max(1.0, ratio));
    // One Newton step in T: the implicit function theorem.
    const T x = T(root.location);
    const T residual = x * x * detail::slip_correction(T(2) * path / x, law) - target;
    return x - residual / T(slope(root.location));
}

}   // namespace detail

/// Aerodynamic diameter: that of the sphere of 1000 kg/m3 which settles as fast.
///
/// Equation: d_a^2 Cc(d_a) 1000 kg/m3 = d^2 Cc(d) rho_p/chi
/// Symbols:  d diameter of the sphere of its volume [m], rho_p particle density [kg/m3], Cc slip correction, chi
///           dynamic shape factor
/// Validity: Stokes drag; slip of a body that is no sphere is approximated by that of the sphere
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return aerodynamic diameter [m]
/// @throws DomainError if diameter, density, shape factor, temperature, pressure or viscosity is not > 0
/// @source definition; test: particle/equivalent_diameter_test.cpp
template <class T>
BasicLength<T> aerodynamic_diameter(const BasicParticle<T>& particle, const BasicAirState<T>& air,
                                    const SlipLaw& law = kim_slip()) {
    constexpr auto where = "aerodynamic_diameter";
    detail::check(particle, where);
    const T share = particle.density.value() / (T(detail::unit_density) * particle.dynamic_shape_factor);
    const T x = detail::equal_settling_diameter(T(particle.diameter.value()), share,
                                                T(mean_free_path<T>(air, law).value()), law);
    return BasicLength<T>::from_value(detail::require_finite(where, "result", x, "m"));
}
template <Deferred...>
inline Length aerodynamic_diameter(const Particle& particle, const AirState& air, const SlipLaw& law = kim_slip()) {
    return aerodynamic_diameter<double>(particle, air, law);
}

/// Diameter of the sphere of a particle's volume, from its aerodynamic diameter: the inverse of aerodynamic_diameter.
///
/// Equation: d^2 Cc(d) rho_p/chi = d_a^2 Cc(d_a) 1000 kg/m3
/// Symbols:  as aerodynamic_diameter
/// Validity: as aerodynamic_diameter
/// @param  particle  aerodynamic diameter, density and shape factor
/// @param  air  state of the air
/// @param  law  set of slip constants
/// @return volume-equivalent diameter [m]
/// @throws DomainError if diameter, density, shape factor, temperature, pressure or viscosity is not > 0
/// @source definition; test: particle/equivalent_diameter_test.cpp
template <class T>
BasicLength<T> volume_equivalent_diameter(const BasicSettlingParticle<T>& particle, const BasicAirState<T>& air,
                                          const SlipLaw& law = kim_slip()) {
    constexpr auto where = "volume_equivalent_diameter";
    detail::require_positive(where, "aerodynamic diameter", particle.aerodynamic_diameter.value(), "m");
    detail::require_positive(where, "particle density", particle.density.value(), "kg/m3");
    detail::require_positive(where, "dynamic shape factor", particle.dynamic_shape_factor, "-");
    const T share = T(detail::unit_density) * particle.dynamic_shape_factor / particle.density.value();
    const T x = detail::equal_settling_diameter(T(particle.aerodynamic_diameter.value()), share,
                                                T(mean_free_path<T>(air, law).value()), law);
    return BasicLength<T>::from_value(detail::require_finite(where, "result", x, "m"));
}
template <Deferred...>
inline Length volume_equivalent_diameter(const SettlingParticle& particle, const AirState& air,
                                         const SlipLaw& law = kim_slip()) {
    return volume_equivalent_diameter<double>(particle, air, law);
}

}   // namespace filterflow
