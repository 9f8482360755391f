// SPDX-License-Identifier: BSL-1.0
#pragma once

// Penetration of a layer of fibres from single-fibre theory (mechanical capture, no electric charge), and the size
// of particle that penetrates most.

#include <cmath>
#include <numbers>
#include <string_view>

#include <filterflow/capture/single_fibre_terms.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/media/fibrous_medium.hpp>
#include <filterflow/particle/particle_motion.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// Which diffusion term a theory uses.
enum class DiffusionTerm {
    lee_liu,   ///< lee_liu_diffusion alone
    hinds      ///< hinds_diffusion with diffusion_interception
};

/// Choices of single-fibre theory on which authors differ.
struct SingleFibreTheory {
    DiffusionTerm diffusion = DiffusionTerm::lee_liu;   ///< diffusion term
    bool interstitial_velocity = true;   ///< true: exponent with (1 - solidity), the strict derivation
    SlipLaw slip = kim_slip();           ///< slip constants with their mean free path
};

/// A layer of fibres in a flow.
template <class T>
struct BasicFibreLayer {
    BasicFibrousMedium<T> medium;      ///< thickness, geometric fibre diameter, solidity
    BasicVelocity<T> velocity;         ///< volume flow over area of medium (not of the filter's face), > 0
    SingleFibreTheory theory;          ///< choices
};
using FibreLayer = BasicFibreLayer<double>;

/// Single-fibre efficiencies of a layer at one particle size, by mechanism.
template <class T>
struct BasicSingleFibreEfficiency {
    BasicFibreGroups<T> groups;      ///< what they depend on
    T diffusion;                     ///< may exceed 1 before combination
    T diffusion_interception;        ///< 0 with lee_liu_diffusion
    T interception;                  ///< may exceed 1 before combination
    T impaction;                     ///< at most 1
    T combined;                      ///< 1 - prod(1 - E), each term taken as at most 1
    bool diffusion_outside = false;  ///< Pe or solidity outside the data of the diffusion term
    bool impaction_outside = false;  ///< R or solidity outside the data of the impaction term
};
using SingleFibreEfficiency = BasicSingleFibreEfficiency<double>;

/// The size that penetrates most.
struct MostPenetratingSize {
    Length diameter{};           ///< particle size
    double penetration = 0.0;    ///< there
    bool at_limit = false;       ///< true: the greatest penetration is at an end of the sizes searched
    int evaluations = 0;         ///< of the penetration
};

namespace detail {

template <class T>
T escape(const T& efficiency) {   // 1 - E, E taken as at most 1
    return plain_value(efficiency) < 1.0 ? T(1) - efficiency : T(0);
}

template <class T>
BasicSingleFibreEfficiency<T> single_fibre_efficiency(const BasicFibreGroups<T>& g, DiffusionTerm diffusion) {
    BasicSingleFibreEfficiency<T> e{g, T(0), T(0), T(0), T(0), T(0)};
    const bool hinds = diffusion == DiffusionTerm::hinds;
    e.diffusion = hinds ? detail::hinds_diffusion(g) : detail::lee_liu_diffusion(g);
    e.diffusion_interception = hinds ? detail::diffusion_interception(g) : T(0);
    e.interception = detail::streamline_interception(g);
    e.impaction = detail::stechkina_impaction(g);
    e.combined = T(1) - escape(e.diffusion) * escape(e.diffusion_interception) * escape(e.interception) *
                            escape(e.impaction);
    const double a = plain_value(g.solidity);
    const double r = plain_value(g.interception_parameter);
    e.diffusion_outside = plain_value(g.peclet) < 10.0 || a < 0.0086 || a > 0.151;
    e.impaction_outside = r < 0.01 || r > 0.4 || a < 0.0035 || a > 0.111;
    return e;
}

/// -ln P.
template <class T>
T layer_exponent(const BasicFibreLayer<T>& layer, const T& combined) {
    const T a = layer.medium.solidity;
    const T share = layer.theory.interstitial_velocity ? T(1) - a : T(1);
    return T(4) * a * combined * layer.medium.thickness.value() /
           (T(std::numbers::pi) * layer.medium.geometric_fibre_diameter->value() * share);
}

template <class T>
void check(const BasicFibreLayer<T>& layer, std::string_view where) {
    require_positive(where, "thickness", layer.medium.thickness.value(), "m");
    detail::geometric_fibre_diameter(layer.medium, where);
    require_positive(where, "solidity", layer.medium.solidity, "-");
    require_between(where, "solidity", layer.medium.solidity, 0.0, kuwabara_greatest_solidity, "-");
    require_positive(where, "velocity", layer.velocity.value(), "m/s");
}

}   // namespace detail

/// Single-fibre efficiencies of a layer at one particle size, by mechanism.
///
/// Equation: Pe = U d_f/D, R = d/d_f, Stk = tau U/d_f; E = 1 - (1 - E_D)(1 - E_DR)(1 - E_R)(1 - E_I)
/// Symbols:  U velocity [m/s], d_f geometric fibre diameter [m], D diffusion coefficient [m2/s], d particle diameter,
///           tau relaxation time [s]
/// Validity: creeping flow, uncharged fibres, particles that stick; the result's flags say which term left its data
/// @param  layer  medium, velocity and theory
/// @param  particle  diameter and density
/// @param  air  state of the air
/// @return efficiencies by mechanism and combined [-]
/// @throws DomainError if a dimension, the velocity, the density or the air is not > 0, the geometric fibre diameter
///         is not given, or the solidity is above 0.25
/// @source as the terms; product form as Hinds 1999 (from memory); test: capture/single_fibre_test.cpp
template <class T>
BasicSingleFibreEfficiency<T> single_fibre_efficiency(const BasicFibreLayer<T>& layer,
                                                      const BasicParticle<T>& particle,
                                                      const BasicAirState<T>& air) {
    constexpr auto where = "single_fibre_efficiency";
    detail::check(layer, where);
    detail::check(particle, where);
    const T d_f = layer.medium.geometric_fibre_diameter->value();
    const T u = layer.velocity.value();
    const BasicFibreGroups<T> groups{
        layer.medium.solidity,
        u * d_f / diffusion_coefficient<T>(particle.diameter, air, layer.theory.slip).value(),
        particle.diameter.value() / d_f, relaxation_time<T>(particle, air, layer.theory.slip).value() * u / d_f};
    BasicSingleFibreEfficiency<T> e = detail::single_fibre_efficiency(groups, layer.theory.diffusion);
    detail::require_finite(where, "result", e.combined, "-");
    return e;
}
inline SingleFibreEfficiency single_fibre_efficiency(const FibreLayer& layer, const Particle& particle,
                                                     const AirState& air) {
    return single_fibre_efficiency<double>(layer, particle, air);
}

/// Penetration of a layer of fibres at one particle size.
///
/// Equation: P = exp(-4 a E L / (pi d_f (1 - a))), or without (1 - a) as the theory chooses
/// Symbols:  a solidity, E combined single-fibre efficiency, L thickness [m], d_f geometric fibre diameter [m]
/// Validity: as single_fibre_efficiency; an ideal, even layer: real media let more through
/// @param  layer  medium, velocity and theory
/// @param  particle  diameter and density
/// @param  air  state of the air
/// @return penetration [-], from 0 to 1
/// @throws DomainError as single_fibre_efficiency
/// @source Tan 2014, equation 6.96; test: capture/single_fibre_test.cpp
template <class T>
T penetration(const BasicFibreLayer<T>& layer, const BasicParticle<T>& particle, const BasicAirState<T>& air) {
    using std::exp;
    return exp(-detail::layer_exponent(layer, single_fibre_efficiency<T>(layer, particle, air).combined));
}
inline double penetration(const FibreLayer& layer, const Particle& particle, const AirState& air) {
    return penetration<double>(layer, particle, air);
}

/// Particle size that penetrates a layer of fibres most, between 0.005 and 20 um.
///
/// Equation: d = argmin -ln P(d): a scan of 24 sizes a decade, then golden section on ln d to 1e-6
/// Symbols:  P penetration
/// Validity: as penetration. At the size itself the penetration's derivatives to the layer are those of penetration
///           at this fixed size (envelope theorem).
/// @param  layer  medium, velocity and theory
/// @param  particle_density  [kg/m3], > 0
/// @param  air  state of the air
/// @return size, penetration there, whether it lies at an end of the search
/// @throws DomainError as single_fibre_efficiency
/// @source golden section, Kiefer 1953; test: capture/single_fibre_test.cpp
[[nodiscard]] inline MostPenetratingSize find_most_penetrating_size(const FibreLayer& layer,
                                                                    const Density& particle_density,
                                                                    const AirState& air) {
    MostPenetratingSize result;
    const auto exponent = [&](double log_diameter) {
        ++result.evaluations;
        const Particle particle{Length::from_value(std::exp(log_diameter)), particle_density};
        return detail::layer_exponent(layer, single_fibre_efficiency(layer, particle, air).combined);
    };
    const double first = std::log(0.005e-6);
    const double step = std::log(10.0) / 24.0;
    constexpr int last = 87;   // 20.8 um
    int best = 0;
    double least = exponent(first);
    for (int i = 1; i <= last; ++i) {
        const double value = exponent(first + i * step);
        if (value < least) {
            least = value;
            best = i;
        }
    }
    result.at_limit = best == 0 || best == last;
    double location = first + best * step;
    if (!result.at_limit) {
        const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
        double a = location - step;
        double b = location + step;
        double x1 = b - golden * (b - a);
        double x2 = a + golden * (b - a);
        double f1 = exponent(x1);
        double f2 = exponent(x2);
        while (b - a > 1e-6) {
            if (f1 < f2) {
                b = x2;
                x2 = x1;
                f2 = f1;
                x1 = b - golden * (b - a);
                f1 = exponent(x1);
            } else {
                a = x1;
                x1 = x2;
                f1 = f2;
                x2 = a + golden * (b - a);
                f2 = exponent(x2);
            }
        }
        location = 0.5 * (a + b);
        least = exponent(location);
    }
    result.diameter = Length::from_value(std::exp(location));
    result.penetration = std::exp(-least);
    return result;
}

}   // namespace filterflow
