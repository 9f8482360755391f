// SPDX-License-Identifier: BSL-1.0
#pragma once

// A layer of fibres in a flow, and the kernels of its capture: what all sizes share, the groups of a size, -ln P.

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre_mechanisms.hpp>
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
LayerConstants<T> layer_constants(const BasicFibreLayer<T>& layer, const BasicAirState<T>& air,
                                  std::string_view where) {
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
    const T per_fibre = T(1) / d_f, per_viscosity = T(1) / mu;
    return {.fibre_diameter = d_f,
            .velocity = u,
            .solidity = a,
            .exponent = T(4 / std::numbers::pi) * a * layer.medium.thickness.value() * per_fibre / share,
            .mean_free_path = path,
            .viscosity = mu,
            .temperature = temperature,
            .surface_charge = layer.charge.surface_charge.value(),
            .line_charge = layer.charge.line_charge.value(),
            .electret_flow = layer.theory.electric == ElectricTerm::electret ? T(pow(flow.space, 0.4)) : T(0),
            .flow = flow,
            .per_fibre = per_fibre,
            .per_drag = T(3 * std::numbers::pi / boltzmann_constant) * u * d_f * mu / temperature,
            .per_mass = T(1.0 / 18.0) * per_viscosity,
            .per_time = u * per_fibre,
            .per_fall = T(standard_gravity) / u,
            .per_path = T(-0.5 * layer.theory.slip.C) / path,
            .fibre_knudsen = T(2) * path * per_fibre,
            .fibre_reynolds = air.density.value() * u * d_f * per_viscosity,
            .fibre_permittivity = layer.charge.relative_permittivity};
}

/// Groups of spheres of some sizes; called as particles of one shape factor by dividing Cc by it. Cc = q/d saves a
/// division.
template <class T, std::size_t N>
void fill(GroupColumns<T, N>& groups, const LayerConstants<T>& c, const SlipLaw& law, const std::array<T, N>& size,
          std::size_t count, const T& density, const T& inverse_shape = T(1)) {
    using std::exp;
    groups.solidity = c.solidity;
    groups.fibre_knudsen = c.fibre_knudsen;
    groups.fibre_reynolds = c.fibre_reynolds;
    std::array<T, N> slip;
    for (std::size_t i = 0; i < count; ++i) slip[i] = exp(c.per_path * size[i]);
    const T two_paths = T(2) * c.mean_free_path, mass = density * c.per_mass;
    for (std::size_t i = 0; i < count; ++i) {
        const T d = size[i];
        const T q = (d + two_paths * (T(law.A) + T(law.B) * slip[i])) * inverse_shape;
        const T tau = d * q * mass;
        groups.peclet[i] = c.per_drag * d * d / q;
        groups.interception_parameter[i] = d * c.per_fibre;
        groups.stokes[i] = tau * c.per_time;
        groups.gravity[i] = tau * c.per_fall;
    }
}
template <class T>
BasicFibreGroups<T> fibre_groups(const LayerConstants<T>& c, const SlipLaw& law, const BasicParticle<T>& particle) {
    GroupColumns<T, 1> groups;
    fill(groups, c, law, std::array<T, 1>{particle.diameter.value()}, 1, T(particle.density.value()),
         T(T(1) / particle.dynamic_shape_factor));
    return groups.at(0);
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
                                    const MechanicalTerms<T>& terms, const T& diameter, const T& peclet) {
    const T slip_over_shape = c.per_drag * diameter / peclet;
    const BasicChargeGroups<T> charges = charge_groups<T>(
        {diameter, slip_over_shape, c.viscosity, c.fibre_diameter, c.velocity, c.surface_charge, c.line_charge,
         c.fibre_permittivity, theory.particle_charge.relative_permittivity});
    ElectricCapture<T> capture{T(0), T(0), T(0)};
    if (theory.electric == ElectricTerm::electret) {
        capture.polarisation = detail::electret_capture(charges.electret_polarisation, c.electret_flow);
    } else if (theory.electric == ElectricTerm::line_charge) {
        capture.polarisation = detail::line_polarisation_capture(charges.line_polarisation);
    } else if (theory.electric == ElectricTerm::kanaoka) {
        capture.polarisation = detail::kanaoka_induced(charges.electret_polarisation);
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
                 const BasicFibreGroups<T>& groups, const MechanicalTerms<T>& terms) {
    if (theory.electric == ElectricTerm::none) return c.exponent * combined(terms, T(0), T(0), theory);
    return electric_capture(c, theory, terms, diameter, groups.peclet).exponent;
}
template <class T>
T layer_exponent(const LayerConstants<T>& c, const SingleFibreTheory& theory, const BasicParticle<T>& particle) {
    const BasicFibreGroups<T> groups = detail::fibre_groups(c, theory.slip, particle);
    return layer_exponent(c, theory, T(particle.diameter.value()), groups, mechanical_terms(groups, c.flow, theory));
}

}   // namespace detail

}   // namespace filterflow
