// SPDX-License-Identifier: BSL-1.0
#pragma once

// Penetration curves of many layers at once, as Monte Carlo and fits on a grid ask for them: plain loops over arrays
// that the compiler turns into vector code (-O3 -march=x86-64-v3).

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/loop_functions.hpp>

namespace filterflow {

/// Layers as columns of equal length (n), one theory for all.
struct FibreLayerBatch {
    std::span<const Length> thickness;                  ///< > 0
    std::span<const Length> geometric_fibre_diameter;   ///< > 0
    std::span<const double> solidity;                   ///< > 0, at most 0.25
    std::span<const Velocity> velocity;                 ///< superficial, > 0
    SingleFibreTheory theory;   ///< lee_liu, hinds or boundary_layer; streamline, stechkina, independent; no more
};

namespace detail {

/// What a size contributes, shared by all layers; powers of what stands in the groups.
struct BatchSize {
    double diameter, relaxation, drag_power, drag_root, diameter_power, diameter_root;
};

/// What a layer contributes.
template <std::size_t Lanes>
struct BatchBlock {
    using Column = std::array<double, Lanes>;
    Column exponent, inverse_fibre, velocity_over_fibre, solidity, kuwabara_half, diffusion, enhancement, impaction,
        impaction_scale, fibre_power;
};

template <Deferred...>
inline void check(const FibreLayerBatch& batch, std::string_view where) {
    const std::size_t n = batch.thickness.size();
    for (const std::size_t other :
         {batch.geometric_fibre_diameter.size(), batch.solidity.size(), batch.velocity.size()}) {
        if (other != n) {
            throw_domain_error(where, "length of a column", static_cast<double>(other), "",
                               "that of the thickness, " + std::to_string(n));
        }
    }
    const SingleFibreTheory& t = batch.theory;
    const bool diffusion = t.diffusion == DiffusionTerm::lee_liu || t.diffusion == DiffusionTerm::hinds ||
                           t.diffusion == DiffusionTerm::boundary_layer;
    if (!diffusion || t.interception != InterceptionTerm::streamline || t.impaction != ImpactionTerm::stechkina ||
        t.gravity != GravityTerm::none || t.electric != ElectricTerm::none || t.fibre_slip || t.limited_diffusion ||
        t.combination != FibreCombination::independent) {
        throw DomainError(std::string(where) +
                          ": the theory's terms are not offered for many layers at once; required: "
                          "lee_liu, hinds or boundary_layer diffusion, streamline, stechkina, independent, no more; "
                          "or penetration_curve for each layer");
    }
    check(t, where);
    for (std::size_t i = 0; i < n; ++i) {
        const double thickness = batch.thickness[i].value(), fibre = batch.geometric_fibre_diameter[i].value();
        const double solidity = batch.solidity[i], velocity = batch.velocity[i].value();
        const auto sound = [](double x) { return x > 1e-30 && x < 1e30; };   // products of powers stay numbers
        if (sound(thickness) && sound(fibre) && sound(velocity) && solidity > 1e-30 &&
            solidity <= kuwabara_greatest_solidity) {
            continue;
        }
        const std::string lane = "layer " + std::to_string(i + 1) + ": ";
        require_between(where, lane + "thickness", thickness, 1e-30, 1e30, "m");
        require_between(where, lane + "geometric_fibre_diameter", fibre, 1e-30, 1e30, "m");
        require_between(where, lane + "velocity", velocity, 1e-30, 1e30, "m/s");
        require_between(where, lane + "solidity", solidity, 1e-30, kuwabara_greatest_solidity, "-");
    }
}

// Choices are weights of 0 and 1, or between numbers that the comparison has in hand: either vectorises.
inline double batch_escape(double e) {
    const double rest = 1.0 - e;
    return rest > 0.0 ? rest : 0.0;
}
template <Deferred...>
inline double batch_cbrt(double x) { return loop_exp(loop_log(x) * (1.0 / 3.0)); }

template <std::size_t Lanes>
void fill_block(const FibreLayerBatch& batch, std::size_t first, std::size_t count, BatchBlock<Lanes>& b) {
    std::array<double, Lanes> thickness, fibre, velocity;
    for (std::size_t i = 0; i < Lanes; ++i) {   // the last lanes repeat the last layer
        const std::size_t k = first + std::min(i, count - 1);
        thickness[i] = batch.thickness[k].value();
        fibre[i] = batch.geometric_fibre_diameter[k].value();
        velocity[i] = batch.velocity[k].value();
        b.solidity[i] = batch.solidity[k];
    }
    const bool hinds = batch.theory.diffusion == DiffusionTerm::hinds;
    const double coefficient = batch.theory.diffusion == DiffusionTerm::lee_liu ? 1.6 : 2.892;
    const double with_space = hinds ? 0.0 : coefficient, without = hinds ? 2.0 : 0.0;
    const double strict = batch.theory.interstitial_velocity ? 1.0 : 0.0;
    for (std::size_t i = 0; i < Lanes; ++i) {
        const double a = b.solidity[i], log_a = loop_log(a), log_fibre = loop_log(fibre[i]);
        const double ku = -0.5 * log_a - 0.75 + a - 0.25 * a * a;
        const double flow = velocity[i] * fibre[i];
        b.exponent[i] = 4.0 * a * thickness[i] / (std::numbers::pi * fibre[i] * (1.0 - strict * a));
        b.inverse_fibre[i] = 1.0 / fibre[i];
        b.velocity_over_fibre[i] = velocity[i] / fibre[i];
        b.kuwabara_half[i] = 0.5 / ku;
        const double space = batch_cbrt((1.0 - a) / ku);
        const double flow_power = loop_exp(loop_log(flow) * (-2.0 / 3.0));
        b.diffusion[i] = (without + with_space * space) * flow_power;
        b.enhancement[i] = 1.24 * loop_exp(log_fibre * (-2.0 / 3.0) - 0.5 * loop_log(ku * flow));
        b.impaction[i] = 29.6 - 28.0 * loop_exp(0.62 * log_a);
        b.impaction_scale[i] = 0.5 * b.velocity_over_fibre[i] / (ku * ku);
        b.fibre_power[i] = 27.5 * loop_exp(-2.8 * log_fibre);
    }
}

template <std::size_t Lanes>
void block_penetration(const BatchBlock<Lanes>& b, const BatchSize& size, bool hinds, double* out) {
    const double enhancement = hinds ? size.drag_root * size.diameter_root : 0.0;
    std::array<double, Lanes> ratio, square, stream, fine, exponent;
    for (std::size_t i = 0; i < Lanes; ++i) {
        const double a = b.solidity[i], r = size.diameter * b.inverse_fibre[i], one = 1.0 + r, x = one * one;
        ratio[i] = r;
        square[i] = x * a;
        stream[i] = one * b.kuwabara_half[i] * (2.0 * loop_log(one) - 1.0 + a + (1.0 - 0.5 * a) / x - 0.5 * a * x);
        fine[i] = b.impaction[i] * r * r - b.fibre_power[i] * size.diameter_power;
    }
    // Choices between numbers that memory holds are what a compiler turns into vector code.
    for (std::size_t i = 0; i < Lanes; ++i) square[i] = square[i] > 1.0 ? 1.0 : 0.0;
    for (std::size_t i = 0; i < Lanes; ++i) ratio[i] = ratio[i] < 0.4 ? 1.0 : 0.0;
    for (std::size_t i = 0; i < Lanes; ++i) {
        const double one = 1.0 + size.diameter * b.inverse_fibre[i];
        const double interception = square[i] * one + (1.0 - square[i]) * stream[i];
        const double factor = ratio[i] * fine[i] + (1.0 - ratio[i]) * 2.0;
        const double impaction = factor * size.relaxation * b.impaction_scale[i];
        const double all = 1.0 - batch_escape(b.diffusion[i] * size.drag_power) *
                                     batch_escape(b.enhancement[i] * enhancement) * batch_escape(interception) *
                                     batch_escape(impaction);
        exponent[i] = -b.exponent[i] * all;
    }
    for (double& x : exponent) x = x > -700.0 ? x : -700.0;
    for (std::size_t i = 0; i < Lanes; ++i) out[i] = loop_exp(exponent[i]);
}

}   // namespace detail

/// Penetration curves of many layers.
///
/// Equation: as penetration; powers of the groups as products of those of the layer and of the size
/// Symbols:  as penetration
/// Validity: as penetration, for the terms that FibreLayerBatch names; equal to penetration_curve within 1e-12; not
///           below 1e-304; dimensions and velocities from 1e-30 to 1e30 in SI
/// @param  batch  layers as columns; shape (n)
/// @param  diameters  particle sizes [m], > 0; shape (k)
/// @param  particle_density  [kg/m3], > 0; spheres
/// @param  air  state of the air
/// @return penetrations [-], size by size: that of layer i at size j in place j n + i; shape (k n)
/// @throws DomainError as penetration_curve, naming the layer, or if the columns differ in length or the theory has
///         terms that are not offered here
/// @source as penetration; test: capture/single_fibre_batch_test.cpp
template <Deferred...>
[[nodiscard]] inline std::vector<double> penetration_curves(const FibreLayerBatch& batch,
                                                            std::span<const Length> diameters,
                                                            const Density& particle_density, const AirState& air) {
    constexpr auto where = "penetration_curves";
    constexpr std::size_t lanes = 64;
    detail::check(batch, where);
    detail::check_gas(air, where);
    const double path = detail::mean_free_path(air, batch.theory.slip.mean_free_path);
    std::vector<detail::BatchSize> sizes;
    for (const Length& diameter : diameters) {
        const Particle particle{diameter, particle_density};
        detail::check(particle, where);
        detail::require_between(where, "particle diameter", diameter.value(), 1e-30, 1e30, "m");
        const double d = diameter.value(), slip = detail::slip_correction(2.0 * path / d, batch.theory.slip);
        const double drag = 3.0 * std::numbers::pi * air.viscosity.value() * d / slip /
                            (detail::boltzmann_constant * air.temperature.value());   // 1/D
        sizes.push_back({d, detail::relaxation_time(particle, slip, air.viscosity.value()),
                         1.0 / std::cbrt(drag * drag), 1.0 / std::sqrt(drag), std::pow(d, 2.8), std::cbrt(d * d)});
        detail::require_finite(where, "drag of the particle", sizes.back().drag_power, "-");
    }
    const std::size_t n = batch.thickness.size();
    std::vector<double> result(n * sizes.size());
    detail::BatchBlock<lanes> block;
    std::array<double, lanes> out;
    const bool hinds = batch.theory.diffusion == DiffusionTerm::hinds;
    for (std::size_t first = 0; first < n; first += lanes) {
        const std::size_t count = std::min(lanes, n - first);
        detail::fill_block(batch, first, count, block);
        for (std::size_t j = 0; j < sizes.size(); ++j) {
            detail::block_penetration(block, sizes[j], hinds, out.data());
            std::copy_n(out.data(), count, result.data() + j * n + first);
        }
    }
    for (const double p : result) detail::require_between(where, "result", p, 0.0, 1.0, "-");
    return result;
}

}   // namespace filterflow
