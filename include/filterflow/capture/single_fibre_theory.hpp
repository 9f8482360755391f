// SPDX-License-Identifier: BSL-1.0
#pragma once

// Which term a theory takes for each mechanism, how they combine, and which of them left the range of its source.

#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/capture/single_fibre_charge.hpp>
#include <filterflow/capture/single_fibre_diffusion.hpp>
#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/capture/single_fibre_trajectories.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/media/range_status.hpp>
#include <filterflow/particle/slip.hpp>

namespace filterflow {

/// Which diffusion term a theory uses.
enum class DiffusionTerm {
    lee_liu,           ///< lee_liu_diffusion alone
    hinds,             ///< hinds_diffusion with diffusion_interception
    boundary_layer,    ///< boundary_layer_diffusion
    stechkina_fuchs,   ///< stechkina_fuchs_diffusion with diffusion_interception
    fan_model,         ///< fan_model_diffusion with diffusion_interception
    kanaoka            ///< kanaoka_diffusion alone: rectangular electret fibres
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
    image,         ///< image_capture: charged particles, neutral fibre
    kanaoka        ///< the electric parts of kanaoka_electret_capture at the surface charge of the fibre, on the groups
                   ///< of electret; goes with DiffusionTerm::kanaoka
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
    bool fibre_slip = false;        ///< true: diffusion_slip_factor and interception_slip_factor; the latter counts
                                    ///< for nothing with trajectories, as theory_conflicts says
    bool limited_diffusion = false; ///< true: E_D/(1 + E_D) in place of E_D (Payet 1992, from memory)
    ParticleCharge particle_charge{};   ///< for the electric terms
};

/// Single-fibre efficiencies at one particle size, by mechanism.
template <class T>
struct BasicSingleFibreEfficiency {
    BasicFibreGroups<T> groups;           ///< what they depend on
    T diffusion = T(0);                   ///< >= 0, may exceed 1 before combination
    T diffusion_interception = T(0);      ///< >= 0; 0 with a diffusion term that goes without it
    T interception = T(0);                ///< >= 0, may exceed 1 before combination; slip included where counted
    T impaction = T(0);                   ///< at most 1; by trajectories what they add to interception, may be < 0
    T gravity = T(0);                     ///< negative in air that flows up
    T polarisation = T(0);                ///< >= 0, may exceed 1 before combination
    T coulomb = T(0);                     ///< mean over the particles' charges; image force included
    T combined = T(0);                    ///< >= 0; at most 1 unless summed; coulomb as its mean
    bool diffusion_outside = false;       ///< Pe or solidity outside the range of the diffusion term
    bool impaction_outside = false;       ///< R, Stk or solidity outside the data of the impaction term
    bool interception_replaced = false;   ///< trajectories overrode the interception the theory names, or its slip
};
using SingleFibreEfficiency = BasicSingleFibreEfficiency<double>;

/// A term of the theory beside the range of its source.
struct TermRange {
    std::string_view term;   ///< name of the term's function, or of the flow
    RangeStatus status;      ///< of one of its groups
};

namespace detail {

constexpr bool adds_diffusion_interception(DiffusionTerm term) {
    return term == DiffusionTerm::hinds || term == DiffusionTerm::stechkina_fuchs || term == DiffusionTerm::fan_model;
}

/// Range of a diffusion term, as far as its source has one (from memory; the limit of Pe is common practice). A term
/// without a range of solidity holds as far as the cell of Kuwabara does, which is checked.
struct DiffusionRange {
    std::string_view term;
    double least_peclet = 10.0;
    double least_solidity = 0.0;
    double greatest_solidity = kuwabara_greatest_solidity;

    bool has_solidity() const { return least_solidity > 0.0; }
};
constexpr DiffusionRange diffusion_range(DiffusionTerm term) {
    switch (term) {
        case DiffusionTerm::lee_liu: return {"lee_liu_diffusion", 10.0, 0.0086, 0.151};
        case DiffusionTerm::hinds: return {"hinds_diffusion"};
        case DiffusionTerm::boundary_layer: return {"boundary_layer_diffusion"};
        case DiffusionTerm::stechkina_fuchs: return {"stechkina_fuchs_diffusion"};
        case DiffusionTerm::fan_model: return {"fan_model_diffusion", 10.0, 0.01, 0.15};
        case DiffusionTerm::kanaoka: return {"kanaoka_diffusion"};
    }
    return {};
}

template <class T>
bool diffusion_outside(const BasicFibreGroups<T>& g, const SingleFibreTheory& theory) {
    const DiffusionRange range = diffusion_range(theory.diffusion);
    const double a = plain_value(g.solidity);
    return plain_value(g.peclet) < range.least_peclet || a < range.least_solidity || a > range.greatest_solidity;
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

template <Deferred...>
inline void check(const SingleFibreTheory& theory, std::string_view where) {
    check(theory.slip, where);
    check(theory.particle_charge, where);
}

/// Whether trajectories take the place of another interception than their own, exact and without slip.
constexpr bool replaces_interception(const SingleFibreTheory& theory) {
    return theory.impaction == ImpactionTerm::trajectories &&
           (theory.fibre_slip || theory.interception != InterceptionTerm::streamline);
}

/// Whether a theory takes the charge of an electret fibre.
constexpr bool takes_surface_charge(const SingleFibreTheory& theory) {
    return theory.electric == ElectricTerm::electret || theory.electric == ElectricTerm::kanaoka;
}

}   // namespace detail

/// Choices of a theory that another of its choices overrides, and terms that do not belong together.
///
/// Equation: none
/// Symbols:  none
/// Validity: any theory; what is listed is computed all the same, as its text says
/// @param  theory  choices
/// @return one text for each, to print beside the result; empty: none
/// @throws nothing
/// @source definitions of the terms; test: capture/single_fibre_choices_test.cpp
template <Deferred...>
inline std::vector<std::string> theory_conflicts(const SingleFibreTheory& theory) {
    std::vector<std::string> list;
    if (theory.impaction == ImpactionTerm::trajectories && theory.fibre_slip) {
        list.push_back("slip on the fibre counts for diffusion alone: impaction by trajectories takes the place of "
                       "interception and was computed without slip");
    }
    if (theory.impaction == ImpactionTerm::trajectories && theory.interception != InterceptionTerm::streamline) {
        list.push_back("the interception of Lee and Liu counts for nothing: impaction by trajectories takes the place "
                       "of interception, with the exact streamline");
    }
    const bool diffusion = theory.diffusion == DiffusionTerm::kanaoka;
    const bool electric = theory.electric == ElectricTerm::kanaoka;
    if (diffusion && !electric) {
        list.push_back("the diffusion of Kanaoka is that of charged rectangular fibres, about a third of other terms: "
                       "it goes with the electric term of Kanaoka");
    }
    if (electric && !diffusion) {
        list.push_back("the electric term of Kanaoka was fitted together with its own diffusion, 0.54 Pe^(-2/3), and "
                       "not with the one chosen");
    }
    if (electric) {
        list.push_back("the electric term of Kanaoka stands on groups of ours: its source's could not be checked, its "
                       "numbers are from memory; fit the charge");
    }
    return list;
}

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
template <Deferred...>
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
    const detail::DiffusionRange diffusion = detail::diffusion_range(theory.diffusion);
    add(diffusion.term, "Peclet number", pe, diffusion.least_peclet, any);
    if (diffusion.has_solidity()) {
        add(diffusion.term, "solidity", a, diffusion.least_solidity, diffusion.greatest_solidity);
    }
    if (detail::adds_diffusion_interception(theory.diffusion)) {
        add("diffusion_interception", "Peclet number", pe, 100.0, any);
    }
    const bool trajectories = theory.impaction == ImpactionTerm::trajectories;
    if (!theory.fibre_slip || trajectories) {
        add(theory.fibre_slip ? "trajectory_capture" : "flow without slip", "fibre Knudsen number",
            groups.fibre_knudsen, 0.0, 0.02);
    }
    if (trajectories) {
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
