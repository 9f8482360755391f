// SPDX-License-Identifier: BSL-1.0
#pragma once

// Theory of deposition onto the smooth inner surfaces of a room: Brownian and turbulent diffusion through the boundary
// layer, and settling. Below a micrometre it stays a tenth of what is measured in furnished houses, so the measured
// tables of deposition.hpp are the default and this is asked for by name.

#include <cmath>
#include <numbers>
#include <string>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/zone/deposition.hpp>

namespace filterflow {

/// An empty room with smooth surfaces.
struct SmoothWalledRoom {
    Volume volume{};                ///< > 0
    Area walls{};                   ///< upright surfaces, >= 0
    Area floor{};                   ///< surfaces that face up, >= 0
    Area ceiling{};                 ///< surfaces that face down, >= 0
    Velocity friction_velocity{};   ///< of the air at the surfaces, > 0; 0.5 to 3 cm/s in rooms (from memory)
    Density particle_density = Density::from_value(1000.0);   ///< > 0
};

namespace detail {

/// Resistance of the boundary layer, over the friction velocity: integral of dy+ / (nu_t/nu + 1/Sc) from the particle's
/// radius to 30, for nu_t/nu = 7.669e-4 y+^3 below 4.3, 1.00e-3 y+^2.8214 to 12.5, 1.07e-2 y+^1.8895 to 30.
template <Deferred...>
inline double boundary_layer_integral(double schmidt, double radius_plus) {
    const double k = 10.92 / std::cbrt(schmidt);   // y+ where turbulent and Brownian diffusion are equal
    const double root3 = std::numbers::sqrt3;
    const auto part = [&](double y) {
        return 0.5 * std::log((y + k) * (y + k) * (y + k) / (1.0 / schmidt + 7.669e-4 * y * y * y)) +
               root3 * std::atan((2.0 * y - k) / (root3 * k));
    };
    const double s = std::cbrt(schmidt);
    return 3.64 * s * s * (part(4.3) - part(radius_plus)) + 39.0;
}

template <Deferred...>
inline void check(const SmoothWalledRoom& room, const char* where) {
    require_positive(where, "volume", room.volume.value(), "m3");
    require_non_negative(where, "walls", room.walls.value(), "m2");
    require_non_negative(where, "floor", room.floor.value(), "m2");
    require_non_negative(where, "ceiling", room.ceiling.value(), "m2");
    require_positive(where, "friction_velocity", room.friction_velocity.value(), "m/s");
    require_positive(where, "particle_density", room.particle_density.value(), "kg/m3");
}

}   // namespace detail

/// Deposition rate in a room with smooth surfaces, by theory.
///
/// Equation: k = (v_w A_w + v_f A_f + v_c A_c)/V; v_w = u/I, v_f = v_s/(1 - exp(-v_s I/u)),
///           v_c = v_s/(exp(v_s I/u) - 1); I = 3.64 Sc^(2/3) (a - b) + 39
/// Symbols:  A_w, A_f, A_c walls, floor, ceiling, V volume, u friction velocity, v_s settling velocity, Sc = nu/D
///           Schmidt number, a and b the integral of the boundary layer at y+ = 4.3 and at the particle's radius
/// Validity: smooth surfaces, air that mixes the room; particles whose radius lies below y+ = 4.3 (throws). Furniture,
///           rough surfaces and faster air raise measured rates ten times and more below 1 um
/// @param  room  volume, surfaces, friction velocity
/// @param  diameter  of the particles [m], > 0
/// @param  air  state of the air
/// @return deposition rate [1/s]
/// @throws DomainError if an argument is outside its range or the particle is too large
/// @source Lai and Nazaroff 2000, J. Aerosol Sci. 31:463 (from memory, checked against quadrature of its profile);
///         test: zone/deposition_test.cpp
template <Deferred...>
inline Rate smooth_wall_deposition(const SmoothWalledRoom& room, Length diameter, const AirState& air) {
    constexpr auto where = "smooth_wall_deposition";
    detail::check(room, where);
    const double d = detail::require_positive(where, "diameter", diameter.value(), "m");
    const double nu = air.viscosity.value() / air.density.value();
    const double u = room.friction_velocity.value();
    const double radius_plus = 0.5 * d * u / nu;
    detail::require_between(where, "particle radius in units of the boundary layer", radius_plus, 0.0, 4.3, "-");
    const double schmidt = nu / diffusion_coefficient(diameter, air).value();
    const double settling = settling_velocity({diameter, room.particle_density, 1.0}, air).value();
    const double integral = detail::boundary_layer_integral(schmidt, radius_plus);
    const double x = settling * integral / u;
    const double down = settling / -std::expm1(-x), up = x < 700.0 ? settling / std::expm1(x) : 0.0;
    const double rate = (u / integral * room.walls.value() + down * room.floor.value() + up * room.ceiling.value()) /
                        room.volume.value();
    return Rate::from_value(detail::require_positive(where, "result", rate, "1/s"));
}

/// Theory of a smooth-walled room as a table, to be used like the measured ones.
///
/// Equation: as smooth_wall_deposition at 65 diameters from 0.1 to 10 um in equal ratios
/// Symbols:  as smooth_wall_deposition
/// Validity: as smooth_wall_deposition; interpolated between the diameters within 0.3 %
/// @param  room  volume, surfaces, friction velocity
/// @param  air  state of the air
/// @return table, named by its theory and friction velocity
/// @throws DomainError as smooth_wall_deposition
/// @source as smooth_wall_deposition; test: zone/deposition_test.cpp
template <Deferred...>
inline DepositionTable smooth_wall_table(const SmoothWalledRoom& room, const AirState& air) {
    const std::string speed = detail::number_text(100.0 * room.friction_velocity.value());
    DepositionTable table{"smooth walls, friction velocity " + speed + " cm/s (Lai and Nazaroff 2000)", {}};
    constexpr int steps = 64;
    for (int i = 0; i <= steps; ++i) {
        const double share = static_cast<double>(i) / steps;
        const Length diameter = i == steps ? 10 * units::um : 0.1 * std::pow(100.0, share) * units::um;
        table.points.push_back({diameter, smooth_wall_deposition(room, diameter, air)});
    }
    return table;
}

}   // namespace filterflow
