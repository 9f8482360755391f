// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which term a theory takes for each mechanism, how they combine, and which of them left the range of its source.

#include <cmath>
#include <limits>
#include <numbers>
#include <string_view>
#include <vector>

#include <filterflow/capture/single_fibre_charge.hpp>
#include <filterflow/capture/single_fibre_diffusion.hpp>
#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/capture/single_fibre_trajectories.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/media/range_status.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// Which diffusion term a theory uses.
enum class DiffusionTerm {
    lee_liu,           ///< lee_liu_diffusion alone
    hinds,             ///< hinds_diffusion with diffusion_interception
    boundary_layer,    ///< boundary_layer_diffusion
    stechkina_fuchs,   ///< stechkina_fuchs_diffusion with diffusion_interception
    fan_model          ///< fan_model_diffusion with diffusion_interception
};

/// Which interception term a theory uses.
enum class InterceptionTerm {
    streamline,   ///< streamline_interception
    lee_liu       ///< lee_liu_interception
};

/// Which impaction term a theory uses.
enum class ImpactionTerm {
    stechkina,          ///< stechkina_impaction, the classic formula
    landahl_herrmann,   ///< landahl_herrmann_impaction
    trajectories,       ///< trajectory_capture, in place of interception and impaction together
    none                ///< no impaction
};

/// Which way the air flows, for settling on the fibre.
enum class GravityTerm {
    none,              ///< settling left out
    flow_down,         ///< G (1 + R)
    flow_up,           ///< -G (1 + R)
    flow_horizontal    ///< G^2
};

/// Which electric forces a theory counts.
enum class ElectricTerm {
    none,          ///< no charge on fibres and particles
    electret,      ///< electret_capture: polarisation and Coulomb's force at the surface charge of the fibre
    line_charge,   ///< line_polarisation_capture and line_coulomb_capture at its line charge
    image          ///< image_capture: charged particles, neutral fibre
};

/// How the mechanisms combine.
enum class FibreCombination {
    independent,   ///< E = 1 - prod(1 - E_i), each E_i taken as at most 1
    sum            ///< E = sum E_i, which may exceed 1
};

/// Choices of single-fibre theory on which authors differ.
struct SingleFibreTheory {
    DiffusionTerm diffusion = DiffusionTerm::lee_liu;                    ///< diffusion term
    bool interstitial_velocity = true;   ///< true: exponent with (1 - solidity), the strict derivation
    SlipLaw slip = kim_slip();           ///< slip constants with their mean free path
    InterceptionTerm interception = InterceptionTerm::streamline;        ///< interception term
    ImpactionTerm impaction = ImpactionTerm::stechkina;                  ///< impaction term
    GravityTerm gravity = GravityTerm::none;                             ///< settling on the fibre
    ElectricTerm electric = ElectricTerm::none;                          ///< electric forces
    FibreCombination combination = FibreCombination::independent;        ///< how they combine
    bool fibre_slip = false;        ///< true: diffusion_slip_factor and interception_slip_factor
    bool limited_diffusion = false; ///< true: E_D/(1 + E_D) in place of E_D (Payet 1992, from memory)
    ParticleCharge particle_charge{};   ///< for the electric terms
};

/// Single-fibre efficiencies at one particle size, by mechanism.
template <class T>
struct BasicSingleFibreEfficiency {
    BasicFibreGroups<T> groups;           ///< what they depend on
    T diffusion = T(0);                   ///< >= 0, may exceed 1 before combination
    T diffusion_interception = T(0);      ///< >= 0; 0 with a diffusion term that goes without it
    T interception = T(0);                ///< >= 0, may exceed 1 before combination
    T impaction = T(0);                   ///< at most 1; by trajectories what they add to interception, may be < 0
    T gravity = T(0);                     ///< negative in air that flows up
    T polarisation = T(0);                ///< >= 0, may exceed 1 before combination
    T coulomb = T(0);                     ///< mean over the particles' charges; image force included
    T combined = T(0);                    ///< >= 0; at most 1 unless summed; coulomb as its mean
    bool diffusion_outside = false;       ///< Pe or solidity outside the data of the diffusion term
    bool impaction_outside = false;       ///< R, Stk or solidity outside the data of the impaction term
};
using SingleFibreEfficiency = BasicSingleFibreEfficiency<double>;

/// A term of the theory beside the range of its source.
struct TermRange {
    std::string_view term;   ///< name of the term's function, or of the flow
    RangeStatus status;      ///< of one of its groups
};

namespace detail {

template <class T>
T escape(const T& efficiency) {   // 1 - E, E taken as at most 1
    const T rest = T(1) - efficiency;
    return plain_value(rest) > 0.0 ? rest : T(0);
}

constexpr bool adds_diffusion_interception(DiffusionTerm term) {
    return term == DiffusionTerm::hinds || term == DiffusionTerm::stechkina_fuchs || term == DiffusionTerm::fan_model;
}

template <class T>
T diffusion_of(const BasicFibreGroups<T>& g, const FlowFactors<T>& f, DiffusionTerm term) {
    switch (term) {
        case DiffusionTerm::hinds: return detail::hinds_diffusion(g, f);
        case DiffusionTerm::boundary_layer: return detail::boundary_layer_diffusion(g, f);
        case DiffusionTerm::stechkina_fuchs: return detail::stechkina_fuchs_diffusion(g, f);
        case DiffusionTerm::fan_model: return detail::fan_model_diffusion(g, f);
        case DiffusionTerm::lee_liu: break;
    }
    return detail::lee_liu_diffusion(g, f);
}

template <class T>
T gravity_of(const BasicFibreGroups<T>& g, const FlowFactors<T>& f, GravityTerm term) {
    switch (term) {
        case GravityTerm::flow_down: return detail::gravity_downward(g, f);
        case GravityTerm::flow_up: return -detail::gravity_downward(g, f);
        case GravityTerm::flow_horizontal: return g.gravity * g.gravity;
        case GravityTerm::none: break;
    }
    return T(0);
}

/// The mechanisms without electric forces and without their combination. Few numbers, so that they stay in registers.
template <class T>
struct MechanicalTerms {
    T diffusion, diffusion_interception, interception, impaction, gravity;
};

/// Written in place: a copy of what was just written piece by piece stalls.
template <class T>
void fill(MechanicalTerms<T>& e, const BasicFibreGroups<T>& g, const FlowFactors<T>& f,
          const SingleFibreTheory& theory) {
    e.diffusion = diffusion_of(g, f, theory.diffusion);
    if (theory.fibre_slip) e.diffusion *= detail::diffusion_slip_factor(g, f);
    if (theory.limited_diffusion) e.diffusion /= T(1) + e.diffusion;
    e.diffusion_interception =
        adds_diffusion_interception(theory.diffusion) ? detail::diffusion_interception(g, f) : T(0);
    e.gravity = gravity_of(g, f, theory.gravity);
    e.interception = theory.interception == InterceptionTerm::lee_liu ? detail::lee_liu_interception(g, f)
                                                                      : detail::streamline_interception(g, f);
    if (theory.fibre_slip) e.interception *= detail::interception_slip_factor(g, f);
    switch (theory.impaction) {
        case ImpactionTerm::stechkina: e.impaction = detail::stechkina_impaction(g, f); break;
        case ImpactionTerm::landahl_herrmann: e.impaction = detail::landahl_herrmann_impaction(g, f); break;
        case ImpactionTerm::trajectories: e.impaction = detail::trajectory_capture(g, f) - e.interception; break;
        case ImpactionTerm::none: e.impaction = T(0); break;
    }
}
template <class T>
MechanicalTerms<T> mechanical_terms(const BasicFibreGroups<T>& g, const FlowFactors<T>& f,
                                    const SingleFibreTheory& theory) {
    MechanicalTerms<T> e;
    fill(e, g, f, theory);
    return e;
}

template <class T>
bool impaction_outside(const BasicFibreGroups<T>& g, const SingleFibreTheory& theory) {
    const double a = plain_value(g.solidity), r = plain_value(g.interception_parameter);
    switch (theory.impaction) {
        case ImpactionTerm::stechkina: return r < 0.01 || r > 0.4 || a < 0.0035 || a > 0.111;
        case ImpactionTerm::landahl_herrmann:
            return plain_value(g.fibre_reynolds) < 5.0 || plain_value(g.fibre_reynolds) > 20.0;
        case ImpactionTerm::trajectories: return detail::outside_trajectories(g);
        case ImpactionTerm::none: break;
    }
    return false;
}

/// All mechanisms together, with some efficiency of the electric ones.
template <class T>
T combined(const MechanicalTerms<T>& e, const T& polarisation, const T& coulomb, const SingleFibreTheory& theory) {
    if (theory.combination == FibreCombination::sum) {
        const T all = e.diffusion + e.diffusion_interception + e.interception + e.impaction + e.gravity +
                      polarisation + coulomb;
        return plain_value(all) > 0.0 ? all : T(0);
    }
    const T contact = theory.impaction == ImpactionTerm::trajectories ? escape(T(e.interception + e.impaction))
                                                                      : escape(e.interception) * escape(e.impaction);
    T pass = escape(e.diffusion) * contact;
    if (adds_diffusion_interception(theory.diffusion)) pass *= escape(e.diffusion_interception);
    if (theory.gravity != GravityTerm::none) pass *= escape(e.gravity);
    if (theory.electric != ElectricTerm::none) pass *= escape(polarisation) * escape(coulomb);
    return escape(pass);   // what settles or is driven off leaves nothing to catch
}

/// Efficiency of Coulomb's or the image force at n elementary charges; n < 0: opposite to the line charge.
template <class T>
T coulomb_of(const BasicChargeGroups<T>& groups, double n, const T& electret_flow, const SingleFibreTheory& theory) {
    switch (theory.electric) {
        case ElectricTerm::electret:
            return detail::electret_capture(T(T(std::abs(n)) * groups.electret_coulomb), electret_flow);
        case ElectricTerm::line_charge: return T(-n * std::numbers::pi) * groups.line_coulomb;
        case ElectricTerm::image: return image_capture<T>(T(n * n) * groups.image);
        case ElectricTerm::none: break;
    }
    return T(0);
}

inline void check(const SingleFibreTheory& theory, std::string_view where) {
    check(theory.slip, where);
    check(theory.particle_charge, where);
}

}   // namespace detail

/// How the groups of a fibre stand to the ranges of the terms that a theory uses.
///
/// Equation: as range_status
/// Symbols:  none
/// Validity: any groups; ranges of the sources are from memory, those of Pe and Re_f are common practice
/// @param  groups  dimensionless groups
/// @param  theory  choices
/// @return one entry a term and group that has a stated range, inside or not
/// @throws DomainError if a group is out of what the theory can be
/// @source as the terms; test: capture/single_fibre_test.cpp
inline std::vector<TermRange> term_ranges(const FibreGroups& groups, const SingleFibreTheory& theory) {
    detail::check(groups, "term_ranges");
    constexpr double any = std::numeric_limits<double>::infinity();
    const double a = groups.solidity, r = groups.interception_parameter, pe = groups.peclet;
    std::vector<TermRange> list;
    const auto add = [&](std::string_view term, std::string_view quantity, double value, double least,
                         double greatest) {
        list.push_back({term, range_status({.quantity = quantity, .unit = "-", .value = value, .least = least,
                                            .greatest = greatest})});
    };
    add("creeping flow", "fibre Reynolds number", groups.fibre_reynolds, 0.0, 1.0);
    add("diffusion", "Peclet number", pe, 10.0, any);
    if (theory.diffusion == DiffusionTerm::lee_liu) add("lee_liu_diffusion", "solidity", a, 0.0086, 0.151);
    if (theory.diffusion == DiffusionTerm::fan_model) add("fan_model_diffusion", "solidity", a, 0.01, 0.15);
    if (detail::adds_diffusion_interception(theory.diffusion)) {
        add("diffusion_interception", "Peclet number", pe, 100.0, any);
    }
    if (!theory.fibre_slip) add("flow without slip", "fibre Knudsen number", groups.fibre_knudsen, 0.0, 0.02);
    if (theory.impaction == ImpactionTerm::trajectories) {
        const TrajectoryCapture capture = trajectory_capture(groups);
        for (const RangeStatus& status : {capture.solidity, capture.interception_parameter, capture.stokes}) {
            list.push_back({"trajectory_capture", status});
        }
        return list;
    }
    if (theory.interception == InterceptionTerm::lee_liu) {
        add("lee_liu_interception", "solidity", a, 0.0086, 0.151);
    } else {
        add("streamline_interception", "interception parameter", r, 0.0, 1.0 / std::sqrt(a) - 1.0);
    }
    if (theory.impaction == ImpactionTerm::stechkina) {
        add("stechkina_impaction", "solidity", a, 0.0035, 0.111);
        add("stechkina_impaction", "interception parameter", r, 0.01, 0.4);
    }
    if (theory.impaction == ImpactionTerm::landahl_herrmann) {
        add("landahl_herrmann_impaction", "fibre Reynolds number", groups.fibre_reynolds, 5.0, 20.0);
    }
    return list;
}

}   // namespace filterflow
