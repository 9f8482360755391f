// SPDX-License-Identifier: BSL-1.0
#pragma once

// Penetration of a layer of fibres from single-fibre theory, at one particle size and over many.

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

/// What all sizes of a layer share, raw SI.
template <class T>
struct LayerConstants {
    T fibre_diameter, velocity, solidity, exponent;   // exponent: -ln P for a single-fibre efficiency of one
    T mean_free_path, viscosity, temperature, air_density, surface_charge, line_charge, electret_flow;
    FlowFactors<T> flow;
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
    const T a = layer.medium.solidity;
    const T share = layer.theory.interstitial_velocity ? T(1) - a : T(1);
    const FlowFactors<T> flow = flow_factors(a);
    return {d_f, layer.velocity.value(), a,
            T(4) * a * layer.medium.thickness.value() / (T(std::numbers::pi) * d_f * share),
            detail::mean_free_path(air, layer.theory.slip.mean_free_path), air.viscosity.value(),
            air.temperature.value(), air.density.value(), layer.charge.surface_charge.value(),
            layer.charge.line_charge.value(),
            layer.theory.electric == ElectricTerm::electret ? T(pow(flow.space, 0.4)) : T(0), flow,
            layer.charge.relative_permittivity};
}

template <class T>
BasicFibreGroups<T> fibre_groups(const LayerConstants<T>& c, const BasicParticle<T>& particle, const T& slip) {
    const T d = particle.diameter.value();
    const T drag = T(3 * std::numbers::pi) * c.viscosity * d * particle.dynamic_shape_factor / slip;
    const T tau = detail::relaxation_time(particle, slip, c.viscosity);
    return {c.solidity, c.velocity * c.fibre_diameter * drag / (T(boltzmann_constant) * c.temperature),
            d / c.fibre_diameter, tau * c.velocity / c.fibre_diameter, T(2) * c.mean_free_path / c.fibre_diameter,
            T(standard_gravity) * tau / c.velocity, c.air_density * c.velocity * c.fibre_diameter / c.viscosity};
}

/// Efficiencies of a layer and its -ln P.
template <class T>
struct LayerCapture {
    BasicSingleFibreEfficiency<T> efficiency;
    T exponent;
};

/// The electric terms over a charge distribution: each particle keeps its charge through the layer, so that penetrations
/// are averaged, not efficiencies. The sum runs in exponents, from the least one met so far.
template <class T>
void add_boltzmann(LayerCapture<T>& capture, const LayerConstants<T>& c, const SingleFibreTheory& theory,
                   const BasicChargeGroups<T>& groups, const T& diameter) {
    using std::exp;
    using std::log;
    T least = T(0), passed = T(0), total = T(0), coulomb = T(0);
    const auto visit = [&](double n, const T& weight) {
        const T e = coulomb_of(groups, n, c.electret_flow, theory);
        const T exponent = c.exponent * combined(capture.efficiency, e, theory);
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
    capture.efficiency.coulomb = coulomb / total;
    capture.exponent = least - log(passed / total);
}

template <class T>
LayerCapture<T> layer_capture(const LayerConstants<T>& c, const SingleFibreTheory& theory,
                              const BasicParticle<T>& particle) {
    const T d = particle.diameter.value();
    const T slip = detail::slip_correction(T(T(2) * c.mean_free_path / d), theory.slip);
    const BasicFibreGroups<T> groups = detail::fibre_groups(c, particle, slip);
    LayerCapture<T> capture{mechanical_terms(groups, c.flow, theory), T(0)};
    BasicSingleFibreEfficiency<T>& e = capture.efficiency;
    if (theory.electric != ElectricTerm::none) {
        const BasicChargeGroups<T> charges = charge_groups<T>(
            {d, slip / particle.dynamic_shape_factor, c.viscosity, c.fibre_diameter, c.velocity, c.surface_charge,
             c.line_charge, c.fibre_permittivity, theory.particle_charge.relative_permittivity});
        if (theory.electric == ElectricTerm::electret) {
            e.polarisation = detail::electret_capture(charges.electret_polarisation, c.electret_flow);
        } else if (theory.electric == ElectricTerm::line_charge) {
            e.polarisation = detail::line_polarisation_capture(charges.line_polarisation);
        }
        if (theory.particle_charge.state == ParticleChargeState::boltzmann) {
            add_boltzmann(capture, c, theory, charges, d);
            e.combined = combined(e, e.coulomb, theory);
            return capture;
        }
        e.coulomb = coulomb_of(charges, theory.particle_charge.elementary_charges, c.electret_flow, theory);
    }
    e.combined = combined(e, e.coulomb, theory);
    capture.exponent = c.exponent * e.combined;
    return capture;
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
    BasicSingleFibreEfficiency<T> e = detail::layer_capture(constants, layer.theory, particle).efficiency;
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
                                  T(exp(-detail::layer_capture(constants, layer.theory, particle).exponent)), "-");
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
    std::vector<T> curve(diameters.size());
    for (std::size_t i = 0; i < curve.size(); ++i) {
        const BasicParticle<T> particle{diameters[i], particle_density};
        detail::check(particle, where);
        curve[i] = exp(-detail::layer_capture(constants, layer.theory, particle).exponent);
        detail::require_finite(where, "result", curve[i], "-");
    }
    return curve;
}
inline std::vector<double> penetration_curve(const FibreLayer& layer, std::span<const Length> diameters,
                                             const Density& particle_density, const AirState& air) {
    return penetration_curve<double>(layer, diameters, particle_density, air);
}

}   // namespace filterflow
