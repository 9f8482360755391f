// SPDX-License-Identifier: BSL-1.0
#pragma once

// Penetration of a layer of fibres from single-fibre theory, at one particle size and over many.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre_layer.hpp>
#include <filterflow/capture/single_fibre_theory.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/particle_motion.hpp>

namespace filterflow {

/// Single-fibre efficiencies of a layer at one particle size, by mechanism.
///
/// Equation: Pe = U d_f/D, R = d/d_f, Stk = tau U/d_f, G = tau g/U, Kn_f = 2 l/d_f; E = 1 - prod(1 - E_i), or the sum
/// Symbols:  U superficial velocity [m/s], d_f geometric fibre diameter [m], D diffusion coefficient [m2/s], d
///           particle diameter, tau relaxation time [s], l mean free path [m]
/// Validity: creeping flow, particles that stick; the result's flags say which term left its data, term_ranges by how
///           much, theory_conflicts which choice counts for nothing
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
    const BasicFibreGroups<T> g = detail::fibre_groups(constants, theory.slip, particle);
    const detail::MechanicalTerms<T> terms = detail::mechanical_terms(g, constants.flow, theory);
    BasicSingleFibreEfficiency<T> e{.groups = g,
                                    .diffusion = terms.diffusion,
                                    .diffusion_interception = terms.diffusion_interception,
                                    .interception = terms.interception,
                                    .impaction = terms.impaction,
                                    .gravity = terms.gravity};
    if (theory.electric != ElectricTerm::none) {
        const detail::ElectricCapture<T> electric = detail::electric_capture(
            constants, theory, terms, T(particle.diameter.value()), g.peclet);
        e.polarisation = electric.polarisation;
        e.coulomb = electric.coulomb;
    }
    e.combined = detail::combined(terms, e.polarisation, e.coulomb, theory);
    e.diffusion_outside = detail::diffusion_outside(g, theory);
    e.impaction_outside = detail::impaction_outside(g, theory);
    e.interception_replaced = detail::replaces_interception(theory);
    detail::require_finite(where, "result", e.combined, "-");
    return e;
}
template <Deferred...>
inline SingleFibreEfficiency single_fibre_efficiency(const FibreLayer& layer, const Particle& particle,
                                                     const AirState& air) {
    return single_fibre_efficiency<double>(layer, particle, air);
}

/// How a layer and a particle stand to the ranges of the terms that the layer's theory uses.
///
/// Equation: as range_status, of the groups of single_fibre_efficiency
/// Symbols:  none
/// Validity: as term_ranges of the groups; where particles carry Boltzmann's charges, their size beside the least one of
///           that law, too. The sources of the other electric terms state no range that was at hand
/// @param  layer  medium, velocity, theory and charge
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @return one entry a term and group that has a stated range, inside or not
/// @throws DomainError as single_fibre_efficiency
/// @source as the terms; test: capture/single_fibre_test.cpp
template <Deferred...>
inline std::vector<TermRange> term_ranges(const FibreLayer& layer, const Particle& particle, const AirState& air) {
    std::vector<TermRange> list = term_ranges(single_fibre_efficiency(layer, particle, air).groups, layer.theory);
    if (layer.theory.electric != ElectricTerm::none &&
        layer.theory.particle_charge.state == ParticleChargeState::boltzmann) {
        list.push_back({"boltzmann_charge_shares",
                        range_status({.quantity = "particle diameter", .unit = "m", .value = particle.diameter.value(),
                                      .least = 0.05e-6, .greatest = std::numeric_limits<double>::infinity()})});
    }
    return list;
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
template <Deferred...>
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
    const T density = detail::require_positive(where, "particle density", particle_density.value(), "kg/m3");
    std::vector<T> curve(diameters.size());
    constexpr std::size_t block = 16;
    std::array<T, block> size, part;
    detail::GroupColumns<T, block> groups;
    detail::TermColumns<T, block> terms;
    for (std::size_t first = 0; first < curve.size(); first += block) {
        const std::size_t count = std::min(block, curve.size() - first);
        for (std::size_t i = 0; i < count; ++i) {
            size[i] = detail::require_positive(where, "particle diameter", diameters[first + i].value(), "m");
        }
        detail::fill(groups, constants, layer.theory.slip, size, count, density);
        detail::fill(terms, groups, count, constants.flow, layer.theory);
        if (layer.theory.electric == ElectricTerm::none) {
            detail::combine(part, terms, count, layer.theory);
            for (std::size_t i = 0; i < count; ++i) part[i] = -constants.exponent * part[i];
        } else {
            for (std::size_t i = 0; i < count; ++i) {
                part[i] = -detail::layer_exponent(constants, layer.theory, size[i], groups.at(i), terms.at(i));
            }
        }
        for (std::size_t i = 0; i < count; ++i) curve[first + i] = exp(part[i]);
    }
    double sum = 0.0;   // finite if all are
    for (const T& p : curve) sum += detail::plain_value(p);
    detail::require_finite(where, "sum of the result", sum, "-");
    return curve;
}
template <Deferred...>
inline std::vector<double> penetration_curve(const FibreLayer& layer, std::span<const Length> diameters,
                                             const Density& particle_density, const AirState& air) {
    return penetration_curve<double>(layer, diameters, particle_density, air);
}

}   // namespace filterflow
