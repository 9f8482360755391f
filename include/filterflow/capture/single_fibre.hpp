// SPDX-License-Identifier: BSL-1.0
#pragma once

// Penetration of a layer of fibres from single-fibre theory, at one particle size and over many.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre_theory.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// A layer of fibres in a flow.
template <class T>
struct BasicFibreLayer {
    BasicFibrousMedium<T> medium;      ///< thickness, geometric fibre diameter, solidity
    BasicVelocity<T> velocity;         ///< superficial: volume flow over area of medium (not of the face), > 0
    SingleFibreTheory theory;          ///< choices
    BasicFibreCharge<T> charge{};      ///< of the fibres, for the electric terms of the theory
};
using FibreLayer = BasicFibreLayer<double>;

namespace detail {

/// What all sizes of a layer share, raw SI. Factors stand where a size would divide.
template <class T>
struct LayerConstants {
    T fibre_diameter, velocity, solidity, exponent;   // exponent: -ln P for a single-fibre efficiency of one
    T mean_free_path, viscosity, temperature, surface_charge, line_charge, electret_flow;
    FlowFactors<T> flow;
    T per_fibre;      // R over d
    T per_drag;       // Pe over d chi/Cc
    T per_mass;       // tau over rho_p d^2 Cc/chi
    T per_time;       // Stk over tau
    T per_fall;       // G over tau
    T per_path;       // Cunningham's exponent over d
    T fibre_knudsen, fibre_reynolds;
    double fibre_permittivity;
};

template <class T>
LayerConstants<T> layer_constants(const BasicFibreLayer<T>& layer, const BasicAirState<T>& air, std::string_view where) {
    using std::pow;
    const T d_f = detail::geometric_fibre_diameter(layer.medium, where);
    detail::check(layer.medium, 0.0, kuwabara_greatest_solidity, where);
    detail::require_positive(where, "velocity", layer.velocity.value(), "m/s");
    detail::check(layer.theory, where);
    detail::check(layer.charge, where);
    detail::check_gas(air, where);
    detail::require_non_negative(where, "air density", air.density.value(), "kg/m3");
    const T a = layer.medium.solidity, u = layer.velocity.value();
    const T mu = air.viscosity.value(), temperature = air.temperature.value();
    const T share = layer.theory.interstitial_velocity ? T(1) - a : T(1);
    const FlowFactors<T> flow = flow_factors(a);
    const T path = detail::mean_free_path(air, layer.theory.slip.mean_free_path);
    return {.fibre_diameter = d_f,
            .velocity = u,
            .solidity = a,
            .exponent = T(4) * a * layer.medium.thickness.value() / (T(std::numbers::pi) * d_f * share),
            .mean_free_path = path,
            .viscosity = mu,
            .temperature = temperature,
            .surface_charge = layer.charge.surface_charge.value(),
            .line_charge = layer.charge.line_charge.value(),
            .electret_flow = layer.theory.electric == ElectricTerm::electret ? T(pow(flow.space, 0.4)) : T(0),
            .flow = flow,
            .per_fibre = T(1) / d_f,
            .per_drag = T(3 * std::numbers::pi / boltzmann_constant) * u * d_f * mu / temperature,
            .per_mass = T(1) / (T(18) * mu),
            .per_time = u / d_f,
            .per_fall = T(standard_gravity) / u,
            .per_path = T(-0.5 * layer.theory.slip.C) / path,
            .fibre_knudsen = T(2) * path / d_f,
            .fibre_reynolds = air.density.value() * u * d_f / mu,
            .fibre_permittivity = layer.charge.relative_permittivity};
}

/// Slip correction and groups of a particle; its shape factor divides the slip.
template <class T>
struct SlipAndGroups {
    T slip_over_shape;
    BasicFibreGroups<T> groups;
};

template <class T>
void fill(SlipAndGroups<T>& at, const LayerConstants<T>& c, const SlipLaw& law, const BasicParticle<T>& particle) {
    using std::exp;
    const T d = particle.diameter.value();
    const T kn = T(2) * c.mean_free_path / d;
    const T slip = (T(1) + kn * (T(law.A) + T(law.B) * exp(c.per_path * d))) / particle.dynamic_shape_factor;
    const T tau = particle.density.value() * d * d * slip * c.per_mass;
    at.slip_over_shape = slip;
    at.groups.solidity = c.solidity;
    at.groups.peclet = c.per_drag * d / slip;
    at.groups.interception_parameter = d * c.per_fibre;
    at.groups.stokes = tau * c.per_time;
    at.groups.fibre_knudsen = c.fibre_knudsen;
    at.groups.gravity = tau * c.per_fall;
    at.groups.fibre_reynolds = c.fibre_reynolds;
}
template <class T>
SlipAndGroups<T> slip_and_groups(const LayerConstants<T>& c, const SlipLaw& law, const BasicParticle<T>& particle) {
    SlipAndGroups<T> at;
    fill(at, c, law, particle);
    return at;
}

/// The electric terms of a layer at one size and its -ln P.
template <class T>
struct ElectricCapture {
    T polarisation, coulomb, exponent;
};

/// Over a charge distribution each particle keeps its charge through the layer, so that penetrations are averaged, not
/// efficiencies. The sum runs in exponents, from the least one met so far.
template <class T>
void average_over_charges(ElectricCapture<T>& capture, const LayerConstants<T>& c, const SingleFibreTheory& theory,
                          const MechanicalTerms<T>& terms, const BasicChargeGroups<T>& groups, const T& diameter) {
    using std::exp;
    using std::log;
    T least = T(0), passed = T(0), total = T(0), coulomb = T(0);
    const auto visit = [&](double n, const T& weight) {
        const T e = coulomb_of(groups, n, c.electret_flow, theory);
        const T exponent = c.exponent * combined(terms, capture.polarisation, e, theory);
        if (!(plain_value(total) > 0.0)) {
            least = exponent;
            passed = weight;
        } else if (plain_value(exponent) < plain_value(least)) {
            passed = passed * exp(exponent - least) + weight;
            least = exponent;
        } else {
            passed += weight * exp(least - exponent);
        }
        total += weight;
        coulomb += weight * e;
    };
    visit_boltzmann(boltzmann_ratio(diameter, c.temperature), [&](int n, const T& weight) {
        if (n == 0) {
            visit(0.0, weight);
        } else if (theory.electric == ElectricTerm::line_charge) {
            visit(n, weight);
            visit(-n, weight);
        } else {
            visit(n, T(T(2) * weight));
        }
    });
    capture.coulomb = coulomb / total;
    capture.exponent = least - log(passed / total);
}

template <class T>
ElectricCapture<T> electric_capture(const LayerConstants<T>& c, const SingleFibreTheory& theory,
                                    const MechanicalTerms<T>& terms, const T& diameter, const T& slip_over_shape) {
    const BasicChargeGroups<T> charges = charge_groups<T>(
        {diameter, slip_over_shape, c.viscosity, c.fibre_diameter, c.velocity, c.surface_charge, c.line_charge,
         c.fibre_permittivity, theory.particle_charge.relative_permittivity});
    ElectricCapture<T> capture{T(0), T(0), T(0)};
    if (theory.electric == ElectricTerm::electret) {
        capture.polarisation = detail::electret_capture(charges.electret_polarisation, c.electret_flow);
    } else if (theory.electric == ElectricTerm::line_charge) {
        capture.polarisation = detail::line_polarisation_capture(charges.line_polarisation);
    }
    if (theory.particle_charge.state == ParticleChargeState::boltzmann) {
        average_over_charges(capture, c, theory, terms, charges, diameter);
    } else {
        capture.coulomb = coulomb_of(charges, theory.particle_charge.elementary_charges, c.electret_flow, theory);
        capture.exponent = c.exponent * combined(terms, capture.polarisation, capture.coulomb, theory);
    }
    return capture;
}

/// -ln P of a layer at one size.
template <class T>
T layer_exponent(const LayerConstants<T>& c, const SingleFibreTheory& theory, const T& diameter,
                 const SlipAndGroups<T>& at, const MechanicalTerms<T>& terms) {
    if (theory.electric == ElectricTerm::none) return c.exponent * combined(terms, T(0), T(0), theory);
    return electric_capture(c, theory, terms, diameter, at.slip_over_shape).exponent;
}
template <class T>
T layer_exponent(const LayerConstants<T>& c, const SingleFibreTheory& theory, const BasicParticle<T>& particle) {
    const SlipAndGroups<T> at = slip_and_groups(c, theory.slip, particle);
    return layer_exponent(c, theory, T(particle.diameter.value()), at, mechanical_terms(at.groups, c.flow, theory));
}

}   // namespace detail

/// Single-fibre efficiencies of a layer at one particle size, by mechanism.
///
/// Equation: Pe = U d_f/D, R = d/d_f, Stk = tau U/d_f, G = tau g/U, Kn_f = 2 l/d_f; E = 1 - prod(1 - E_i), or the sum
/// Symbols:  U superficial velocity [m/s], d_f geometric fibre diameter [m], D diffusion coefficient [m2/s], d particle
///           diameter, tau relaxation time [s], l mean free path [m]
/// Validity: creeping flow, particles that stick; the result's flags say which term left its data, term_ranges by how
///           much
/// @param  layer  medium, velocity, theory and charge
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @return efficiencies by mechanism and combined [-]
/// @throws DomainError if a dimension, the velocity, the density or the air is not > 0, the geometric fibre diameter
///         is not given, the solidity is above 0.25, or a charge or permittivity is out of its range
/// @source as the terms; product form as Hinds 1999 (from memory); test: capture/single_fibre_test.cpp
template <class T>
BasicSingleFibreEfficiency<T> single_fibre_efficiency(const BasicFibreLayer<T>& layer,
                                                      const BasicParticle<T>& particle,
                                                      const BasicAirState<T>& air) {
    constexpr auto where = "single_fibre_efficiency";
    const detail::LayerConstants<T> constants = detail::layer_constants(layer, air, where);
    detail::check(particle, where);
    const SingleFibreTheory& theory = layer.theory;
    const detail::SlipAndGroups<T> at = detail::slip_and_groups(constants, theory.slip, particle);
    const BasicFibreGroups<T>& g = at.groups;
    const detail::MechanicalTerms<T> terms = detail::mechanical_terms(g, constants.flow, theory);
    BasicSingleFibreEfficiency<T> e{.groups = g,
                                    .diffusion = terms.diffusion,
                                    .diffusion_interception = terms.diffusion_interception,
                                    .interception = terms.interception,
                                    .impaction = terms.impaction,
                                    .gravity = terms.gravity};
    if (theory.electric != ElectricTerm::none) {
        const detail::ElectricCapture<T> electric = detail::electric_capture(
            constants, theory, terms, T(particle.diameter.value()), at.slip_over_shape);
        e.polarisation = electric.polarisation;
        e.coulomb = electric.coulomb;
    }
    e.combined = detail::combined(terms, e.polarisation, e.coulomb, theory);
    const double a = detail::plain_value(g.solidity);
    e.diffusion_outside = detail::plain_value(g.peclet) < 10.0 || a < 0.0086 || a > 0.151;
    e.impaction_outside = detail::impaction_outside(g, theory);
    detail::require_finite(where, "result", e.combined, "-");
    return e;
}
inline SingleFibreEfficiency single_fibre_efficiency(const FibreLayer& layer, const Particle& particle,
                                                     const AirState& air) {
    return single_fibre_efficiency<double>(layer, particle, air);
}

/// Penetration of a layer of fibres at one particle size.
///
/// Equation: P = exp(-4 a E L / (pi d_f (1 - a))), or without (1 - a) as the theory chooses; over the charges of
///           particles in equilibrium with ions the mean of P
/// Symbols:  a solidity, E combined single-fibre efficiency, L thickness [m], d_f geometric fibre diameter [m]
/// Validity: as single_fibre_efficiency; an ideal, even layer: real media let more through
/// @param  layer  medium, velocity, theory and charge
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @return penetration [-], from 0 to 1
/// @throws DomainError as single_fibre_efficiency
/// @source Tan 2014, equation 6.96; test: capture/single_fibre_test.cpp
template <class T>
T penetration(const BasicFibreLayer<T>& layer, const BasicParticle<T>& particle, const BasicAirState<T>& air) {
    using std::exp;
    constexpr auto where = "penetration(FibreLayer)";
    const detail::LayerConstants<T> constants = detail::layer_constants(layer, air, where);
    detail::check(particle, where);
    return detail::require_finite(where, "result",
                                  T(exp(-detail::layer_exponent(constants, layer.theory, particle))), "-");
}
inline double penetration(const FibreLayer& layer, const Particle& particle, const AirState& air) {
    return penetration<double>(layer, particle, air);
}

/// Penetration of layers in series at one particle size: what one layer passes reaches the next.
///
/// Equation: P = prod P_i
/// Symbols:  P_i penetration of layer i
/// Validity: as penetration of a layer; charges of particles are taken anew in each layer
/// @param  layers  in any order; shape (n), n >= 1
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @return penetration [-], from 0 to 1
/// @throws DomainError as single_fibre_efficiency, or if there is no layer
/// @source definition; test: capture/single_fibre_test.cpp
template <class T>
T penetration(std::span<const BasicFibreLayer<T>> layers, const BasicParticle<T>& particle,
              const BasicAirState<T>& air) {
    detail::require_positive("penetration(layers)", "number of layers", static_cast<double>(layers.size()), "");
    T passed = T(1);
    for (const BasicFibreLayer<T>& layer : layers) passed *= penetration<T>(layer, particle, air);
    return passed;
}

/// Penetration of a layer of fibres over particle size: a curve for the cost of its transcendental functions.
///
/// Equation: as penetration
/// Symbols:  as penetration
/// Validity: as penetration
/// @param  layer  medium, velocity, theory and charge
/// @param  diameters  particle sizes [m], > 0; shape (n)
/// @param  particle_density  [kg/m3], > 0; spheres
/// @param  air  state of the air
/// @return penetrations [-]; shape (n)
/// @throws DomainError as single_fibre_efficiency
/// @source as penetration; test: capture/single_fibre_test.cpp
template <class T>
std::vector<T> penetration_curve(const BasicFibreLayer<T>& layer, std::span<const BasicLength<T>> diameters,
                                 BasicDensity<T> particle_density, const BasicAirState<T>& air) {
    using std::exp;
    constexpr auto where = "penetration_curve";
    const detail::LayerConstants<T> constants = detail::layer_constants(layer, air, where);
    BasicParticle<T> particle{BasicLength<T>::from_value(T(1)), particle_density};
    detail::check(particle, where);
    std::vector<T> curve(diameters.size());
    // One step for a block of sizes before the next step: the sizes' transcendental functions then overlap.
    constexpr std::size_t block = 16;
    std::array<detail::SlipAndGroups<T>, block> at;
    std::array<detail::MechanicalTerms<T>, block> terms;
    for (std::size_t first = 0; first < curve.size(); first += block) {
        const std::size_t count = std::min(block, curve.size() - first);
        for (std::size_t i = 0; i < count; ++i) {
            particle.diameter = diameters[first + i];
            detail::require_positive(where, "particle diameter", particle.diameter.value(), "m");
            detail::fill(at[i], constants, layer.theory.slip, particle);
        }
        for (std::size_t i = 0; i < count; ++i) {
            detail::fill(terms[i], at[i].groups, constants.flow, layer.theory);
        }
        for (std::size_t i = 0; i < count; ++i) {
            const T d = diameters[first + i].value();
            curve[first + i] = exp(-detail::layer_exponent(constants, layer.theory, d, at[i], terms[i]));
        }
    }
    for (const T& p : curve) detail::require_finite(where, "result", p, "-");
    return curve;
}
inline std::vector<double> penetration_curve(const FibreLayer& layer, std::span<const Length> diameters,
                                             const Density& particle_density, const AirState& air) {
    return penetration_curve<double>(layer, diameters, particle_density, air);
}

}   // namespace filterflow
