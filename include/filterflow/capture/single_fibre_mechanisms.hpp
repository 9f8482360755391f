// SPDX-License-Identifier: BSL-1.0
#pragma once

// Kernels of a theory: each mechanism at a block of particle sizes, and all of them together. A block is kept in
// columns, and calls of transcendental functions and choices stand in loops of their own: what is left are sums and
// products that the compiler turns into vector code.

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include <filterflow/capture/single_fibre_charge.hpp>
#include <filterflow/capture/single_fibre_diffusion.hpp>
#include <filterflow/capture/single_fibre_groups.hpp>
#include <filterflow/capture/single_fibre_inertia.hpp>
#include <filterflow/capture/single_fibre_theory.hpp>
#include <filterflow/capture/single_fibre_trajectories.hpp>
#include <filterflow/core/checks.hpp>

namespace filterflow::detail {

/// The groups of a block of sizes; what sizes share, once.
template <class T, std::size_t N>
struct GroupColumns {
    std::array<T, N> peclet, interception_parameter, stokes, gravity;
    T solidity, fibre_knudsen, fibre_reynolds;

    BasicFibreGroups<T> at(std::size_t i) const {
        return {solidity, peclet[i], interception_parameter[i], stokes[i], fibre_knudsen, gravity[i], fibre_reynolds};
    }
};

/// The mechanisms at one size, without electric forces.
template <class T>
struct MechanicalTerms {
    T diffusion, diffusion_interception, interception, impaction, gravity;
};

/// The mechanisms at a block of sizes, without electric forces.
template <class T, std::size_t N>
struct TermColumns {
    std::array<T, N> diffusion, diffusion_interception, interception, impaction, gravity;

    MechanicalTerms<T> at(std::size_t i) const {
        return {diffusion[i], diffusion_interception[i], interception[i], impaction[i], gravity[i]};
    }
};

/// Coefficient of Pe^(-2/3) in the terms that are nothing else.
template <class T>
T diffusion_coefficient(DiffusionTerm term, const FlowFactors<T>& f) {
    switch (term) {
        case DiffusionTerm::lee_liu: return T(lee_liu_coefficient) * f.space_cbrt;
        case DiffusionTerm::boundary_layer: return T(boundary_layer_coefficient) * f.space_cbrt;
        case DiffusionTerm::hinds: return T(hinds_coefficient);
        case DiffusionTerm::fan_model: return T(fan_model_coefficient);
        case DiffusionTerm::kanaoka: return T(kanaoka_coefficient);
        case DiffusionTerm::stechkina_fuchs: break;
    }
    return T(stechkina_fuchs_coefficient);
}

/// stechkina_impaction at the first sizes of a block.
template <class T, std::size_t N>
void fill_stechkina(std::array<T, N>& impaction, const GroupColumns<T, N>& g, std::size_t count,
                    const FlowFactors<T>& f) {
    using std::pow;
    const std::array<T, N>& r = g.interception_parameter;
    const auto each = [&](const auto& value) {
        for (std::size_t i = 0; i < count; ++i) impaction[i] = value(i);
    };
    const auto fine = [&](std::size_t i) { return plain_value(r[i]) < stechkina_greatest_ratio; };
    const T scale = T(2) * f.half_inverse * f.half_inverse;
    each([&](std::size_t i) { return fine(i) ? T(pow(r[i], 2.8)) : T(0); });
    each([&](std::size_t i) { return stechkina_fine(r[i], impaction[i], f); });
    each([&](std::size_t i) {
        const T e = (fine(i) ? impaction[i] : T(2)) * g.stokes[i] * scale;
        return plain_value(e) > 1.0 ? T(1) : e;
    });
}

/// The first sizes of a block, one mechanism for all of them before the next: each choice is made once.
template <class T, std::size_t N>
void fill(TermColumns<T, N>& e, const GroupColumns<T, N>& g, std::size_t count, const FlowFactors<T>& f,
          const SingleFibreTheory& theory) {
    using std::cbrt;
    using std::log1p;
    const auto each = [&](std::array<T, N>& column, const auto& value) {
        for (std::size_t i = 0; i < count; ++i) column[i] = value(i);
    };
    std::array<T, N> called;   // what a transcendental function gave
    if (theory.diffusion == DiffusionTerm::stechkina_fuchs) {
        each(e.diffusion, [&](std::size_t i) { return detail::stechkina_fuchs_diffusion(g.at(i), f); });
    } else {
        const T coefficient = diffusion_coefficient(theory.diffusion, f);
        each(called, [&](std::size_t i) { return cbrt(g.peclet[i] * g.peclet[i]); });
        each(e.diffusion, [&](std::size_t i) { return coefficient / called[i]; });
    }
    if (theory.fibre_slip) {
        each(e.diffusion, [&](std::size_t i) { return e.diffusion[i] * detail::diffusion_slip_factor(g.at(i), f); });
    }
    if (theory.limited_diffusion) {
        each(e.diffusion, [&](std::size_t i) { return e.diffusion[i] / (T(1) + e.diffusion[i]); });
    }
    if (adds_diffusion_interception(theory.diffusion)) {
        each(e.diffusion_interception, [&](std::size_t i) { return detail::diffusion_interception(g.at(i), f); });
    } else {
        each(e.diffusion_interception, [](std::size_t) { return T(0); });
    }
    switch (theory.gravity) {
        case GravityTerm::none: each(e.gravity, [](std::size_t) { return T(0); }); break;
        case GravityTerm::flow_down:
            each(e.gravity, [&](std::size_t i) { return detail::gravity_downward(g.at(i), f); });
            break;
        case GravityTerm::flow_up:
            each(e.gravity, [&](std::size_t i) { return -detail::gravity_downward(g.at(i), f); });
            break;
        case GravityTerm::flow_horizontal:
            each(e.gravity, [&](std::size_t i) { return g.gravity[i] * g.gravity[i]; });
            break;
    }
    const std::array<T, N>& r = g.interception_parameter;
    const bool trajectories = theory.impaction == ImpactionTerm::trajectories;   // bring their own interception
    if (theory.interception == InterceptionTerm::streamline || trajectories) {
        each(called, [&](std::size_t i) { return log1p(r[i]); });
        each(e.interception, [&](std::size_t i) {
            const T inside = streamline_inside(g.solidity, r[i], called[i], f);
            return wider_than_cell(g.solidity, r[i]) ? T(T(1) + r[i]) : inside;
        });
    } else {
        each(e.interception, [&](std::size_t i) { return detail::lee_liu_interception(g.at(i), f); });
    }
    if (theory.fibre_slip && !trajectories) {
        each(e.interception,
             [&](std::size_t i) { return e.interception[i] * detail::interception_slip_factor(g.at(i), f); });
    }
    switch (theory.impaction) {
        case ImpactionTerm::stechkina:
            fill_stechkina(e.impaction, g, count, f);
            break;
        case ImpactionTerm::landahl_herrmann:
            each(e.impaction, [&](std::size_t i) { return detail::landahl_herrmann_impaction(g.at(i), f); });
            break;
        case ImpactionTerm::trajectories:
            each(e.impaction,
                 [&](std::size_t i) { return detail::trajectory_capture(g.at(i), f) - e.interception[i]; });
            break;
        case ImpactionTerm::none: each(e.impaction, [](std::size_t) { return T(0); }); break;
    }
}

template <class T>
MechanicalTerms<T> mechanical_terms(const BasicFibreGroups<T>& g, const FlowFactors<T>& f,
                                    const SingleFibreTheory& theory) {
    const GroupColumns<T, 1> groups{{g.peclet}, {g.interception_parameter}, {g.stokes}, {g.gravity}, g.solidity,
                                    g.fibre_knudsen, g.fibre_reynolds};
    TermColumns<T, 1> e{};
    fill(e, groups, 1, f, theory);
    return e.at(0);
}

template <class T>
T escape(const T& efficiency) {   // 1 - E, E taken as at most 1
    const T rest = T(1) - efficiency;
    return plain_value(rest) > 0.0 ? rest : T(0);
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

/// The same at the first sizes of a block, without electric forces.
template <class T, std::size_t N>
void combine(std::array<T, N>& efficiency, const TermColumns<T, N>& e, std::size_t count,
             const SingleFibreTheory& theory) {
    const auto each = [&](const auto& value) {
        for (std::size_t i = 0; i < count; ++i) efficiency[i] = value(i);
    };
    if (theory.combination == FibreCombination::sum) {
        each([&](std::size_t i) { return combined(e.at(i), T(0), T(0), theory); });
        return;
    }
    const bool trajectories = theory.impaction == ImpactionTerm::trajectories;
    const bool enhanced = adds_diffusion_interception(theory.diffusion), falls = theory.gravity != GravityTerm::none;
    each([&](std::size_t i) {
        const T contact = trajectories ? escape(T(e.interception[i] + e.impaction[i]))
                                       : escape(e.interception[i]) * escape(e.impaction[i]);
        return escape(e.diffusion[i]) * contact;
    });
    if (enhanced) each([&](std::size_t i) { return efficiency[i] * escape(e.diffusion_interception[i]); });
    if (falls) each([&](std::size_t i) { return efficiency[i] * escape(e.gravity[i]); });
    each([&](std::size_t i) { return escape(efficiency[i]); });
}

/// Efficiency of Coulomb's or the image force at n elementary charges; n < 0: opposite to the line charge.
template <class T>
T coulomb_of(const BasicChargeGroups<T>& groups, double n, const T& electret_flow, const SingleFibreTheory& theory) {
    switch (theory.electric) {
        case ElectricTerm::electret:
            return detail::electret_capture(T(T(std::abs(n)) * groups.electret_coulomb), electret_flow);
        case ElectricTerm::line_charge: return T(-n * std::numbers::pi) * groups.line_coulomb;
        case ElectricTerm::image: return image_capture<T>(T(n * n) * groups.image);
        case ElectricTerm::kanaoka: return detail::kanaoka_coulomb(T(T(std::abs(n)) * groups.electret_coulomb));
        case ElectricTerm::none: break;
    }
    return T(0);
}

}   // namespace filterflow::detail
