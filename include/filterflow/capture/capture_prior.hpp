// SPDX-License-Identifier: BSL-1.0
#pragma once

// What is known of a filter before it is measured: ranges of its medium, of the counter's errors and of the theory's,
// from which single-fibre theory makes curves of penetration over size. A caller who knows better replaces any of it.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/radical_inverse.hpp>

namespace filterflow {

/// A kind of medium: ranges, each quantity anywhere within its own, evenly in its logarithm.
struct MediumKind {
    std::string name;                            ///< what a result prints
    double weight = 1.0;                         ///< how often among the filters in question, relative, > 0
    Interval<Length> thickness;                  ///< of the medium
    Interval<double> solidity;                   ///< [-], > 0, at most 0.25
    Interval<Length> geometric_fibre_diameter;   ///< as seen, not the one that gives the pressure drop
    Interval<Velocity> velocity;                 ///< flow over area of medium
    double charged_share = 0.0;                  ///< of the filters of this kind [-], from 0 to 1
    Interval<SurfaceCharge> surface_charge{SurfaceCharge::from_value(1e-5),
                                           SurfaceCharge::from_value(1e-4)};   ///< of charged ones
};

/// All that is assumed: kinds of media, and how far the counter, its air and the theory may be off.
struct CapturePrior {
    std::string source;                                ///< where the ranges are from; results repeat it
    std::vector<MediumKind> kinds;                     ///< at least one
    Interval<double> theory_factor{0.4, 1.4};          ///< true over computed -ln P at 1 um [-], > 0
    Interval<double> theory_slope{-0.3, 0.3};          ///< s in a further factor (d/1 um)^s [-]
    Interval<double> number_slope{2.0, 4.0};           ///< m of the air's dN/dln d ~ d^-m [-]
    Interval<double> threshold_factor{0.85, 1.2};      ///< true over stated size of the counter's thresholds [-], > 0
    Interval<double> leak_share{0.0, 0.03};            ///< of the flow past the medium, on the bench [-]
    Interval<Density> particle_density{Density::from_value(1000.0), Density::from_value(2200.0)};   ///< of the dust
    Length open_end = Length::from_value(10e-6);       ///< where a range that is open above is taken to end
    std::size_t media = 65536;                         ///< media drawn, >= 100
    std::size_t draws_per_medium = 12;                 ///< draws of the counter and the theory for each, >= 1
};

/// Ranges of ordinary ventilation media, no kind favoured.
///
/// Equation: none
/// Symbols:  none
/// Validity: engineering ranges of low confidence: a prior, never data. Fibre diameters are the effective ones of the
///           ranges, from half of that (uneven media) to all of it. Shares of charged media, the limits on theory,
///           counter, air and leaks are assumptions of this library, wide on purpose: the theory misses
///           real media by about a factor of two in -ln P (from memory). Air outdoors has m of about 3 (Junge).
/// @return the prior
/// @throws nothing
/// @source thickness, solidity, fibre diameter, velocity: engineering ranges from memory; surface charge from memory;
///         Junge 1963 for m (from memory); test: capture/band_estimate_test.cpp
template <Deferred...>
inline CapturePrior typical_capture_prior() {
    using namespace units;
    const auto mm_range = [](double a, double b) { return Interval<Length>{a * mm, b * mm}; };
    const auto um_range = [](double a, double b) { return Interval<Length>{a * um, b * um}; };
    const auto velocity = [](double a, double b) { return Interval<Velocity>{a * m_per_s, b * m_per_s}; };
    CapturePrior prior;
    prior.source = "engineering ranges of ventilation media (low confidence) and the library's own allowances";
    prior.kinds = {
        {"coarse bonded panel", 1.0, mm_range(5, 25), {0.005, 0.02}, um_range(12.5, 50), velocity(0.5, 1.5), 0.25},
        {"pleated cotton and polyester", 1.0, mm_range(0.8, 2), {0.05, 0.12}, um_range(7.5, 25),
         velocity(0.15, 0.5), 0.5},
        {"charged melt-blown", 1.0, mm_range(0.5, 2.5), {0.04, 0.10}, um_range(1, 8), velocity(0.05, 0.25), 1.0},
        {"micro-glass, fine", 1.0, mm_range(0.4, 0.6), {0.06, 0.09}, um_range(1, 4), velocity(0.05, 0.15), 0.0},
        {"micro-glass, high efficiency", 1.0, mm_range(0.4, 0.6), {0.06, 0.10}, um_range(0.5, 0.8),
         velocity(0.02, 0.053), 0.0}};
    return prior;
}

namespace detail {

/// Sizes at which -ln P of a medium is kept, evenly in ln d; between them it is interpolated.
struct SizeNodes {
    static constexpr std::size_t count = 42;
    double first = std::log(0.12e-6);
    double step = (std::log(18e-6) - first) / static_cast<double>(count - 1);

    double at(std::size_t node) const { return first + step * static_cast<double>(node); }
};

/// -ln P at the nodes, log d at them as SizeNodes has it.
using ExponentCurve = std::array<double, SizeNodes::count>;

template <Deferred...>
inline double interpolated(const ExponentCurve& curve, const SizeNodes& nodes, double log_size) {
    const double place = std::clamp((log_size - nodes.first) / nodes.step, 0.0, SizeNodes::count - 1.000001);
    const auto node = static_cast<std::size_t>(place);
    const double part = place - static_cast<double>(node);
    return curve[node] + part * (curve[node + 1] - curve[node]);
}

enum class RangeSign { positive, any };

template <class Q>
void check_range(const Interval<Q>& range, std::string_view where, const std::string& name,
                 RangeSign sign = RangeSign::positive) {
    const auto plain = [](const Q& x) {
        if constexpr (std::is_same_v<Q, double>) return x;
        else return x.value();
    };
    const double lower = require_finite(where, name + ".lower", plain(range.lower), "SI");
    const double upper = require_finite(where, name + ".upper", plain(range.upper), "SI");
    if (sign == RangeSign::positive) require_positive(where, name + ".lower", lower, "SI");
    if (!(upper >= lower)) {
        throw_domain_error(where, name + ".upper", upper, "SI", ">= lower, " + number_text(lower) + " SI");
    }
}

template <Deferred...>
inline void check(const CapturePrior& prior, std::string_view where) {
    if (prior.kinds.empty()) throw_domain_error(where, "number of kinds of media", 0.0, "", ">= 1");
    for (const MediumKind& kind : prior.kinds) {
        require_positive(where, "weight of " + kind.name, kind.weight, "-");
        require_between(where, "charged_share of " + kind.name, kind.charged_share, 0.0, 1.0, "-");
        check_range(kind.thickness, where, "thickness of " + kind.name);
        check_range(kind.geometric_fibre_diameter, where, "geometric_fibre_diameter of " + kind.name);
        check_range(kind.velocity, where, "velocity of " + kind.name);
        check_range(kind.solidity, where, "solidity of " + kind.name);
        check_range(kind.surface_charge, where, "surface_charge of " + kind.name);
        require_between(where, "solidity of " + kind.name, kind.solidity.upper, 0.0, kuwabara_greatest_solidity, "-");
    }
    check_range(prior.theory_factor, where, "theory_factor");
    check_range(prior.theory_slope, where, "theory_slope", RangeSign::any);
    check_range(prior.number_slope, where, "number_slope", RangeSign::any);
    check_range(prior.threshold_factor, where, "threshold_factor");
    check_range(prior.particle_density, where, "particle_density");
    check_range(prior.leak_share, where, "leak_share", RangeSign::any);
    require_between(where, "leak_share.lower", prior.leak_share.lower, 0.0, 0.5, "-");
    require_between(where, "leak_share.upper", prior.leak_share.upper, 0.0, 0.5, "-");
    require_between(where, "threshold_factor.lower", prior.threshold_factor.lower, 0.5, 2.0, "-");
    require_between(where, "threshold_factor.upper", prior.threshold_factor.upper, 0.5, 2.0, "-");
    require_between(where, "open_end", prior.open_end / units::um, 1.0, 15.0, "um");
    require_between(where, "media", static_cast<double>(prior.media), 100.0, 1e7, "");
    require_between(where, "draws_per_medium", static_cast<double>(prior.draws_per_medium), 1.0, 1e4, "");
}

inline double log_between(double lower, double upper, double share) { return lower * std::pow(upper / lower, share); }

/// One medium of the prior: its kind, its curve, and its curve once the charge is gone.
struct DrawnMedium {
    std::size_t kind = 0;
    bool charged = false;
    ExponentCurve exponent{};
    ExponentCurve discharged{};   // the same where not charged
};

template <Deferred...>
inline DrawnMedium drawn_medium(const CapturePrior& prior, const AirState& air, const SizeNodes& nodes,
                                std::size_t index) {
    const auto coordinate = [&](std::size_t k) { return radical_inverse(index + 1, small_primes[k]); };
    double weights = 0.0;
    for (const MediumKind& kind : prior.kinds) weights += kind.weight;
    double left = coordinate(0) * weights;
    DrawnMedium medium;
    while (medium.kind + 1 < prior.kinds.size() && left >= prior.kinds[medium.kind].weight) {
        left -= prior.kinds[medium.kind++].weight;
    }
    const MediumKind& kind = prior.kinds[medium.kind];
    const auto within = [&](const auto& range, std::size_t k) {
        return log_between(range.lower.value(), range.upper.value(), coordinate(k));
    };
    FibreLayer layer;
    layer.medium.thickness = Length::from_value(within(kind.thickness, 1));
    layer.medium.solidity = log_between(kind.solidity.lower, kind.solidity.upper, coordinate(2));
    layer.medium.geometric_fibre_diameter = Length::from_value(within(kind.geometric_fibre_diameter, 3));
    layer.velocity = Velocity::from_value(within(kind.velocity, 4));
    const Density density = Density::from_value(within(prior.particle_density, 6));
    const auto fill = [&](ExponentCurve& curve) {
        for (std::size_t i = 0; i < SizeNodes::count; ++i) {
            const Particle particle{.diameter = Length::from_value(std::exp(nodes.at(i))), .density = density};
            curve[i] = -std::log(std::max(penetration(layer, particle, air), 1e-300));
        }
    };
    fill(medium.discharged);
    medium.charged = coordinate(5) < kind.charged_share;
    if (medium.charged) {
        layer.theory.electric = ElectricTerm::electret;
        layer.charge.surface_charge =
            SurfaceCharge::from_value(log_between(kind.surface_charge.lower.value(), kind.surface_charge.upper.value(),
                                                  coordinate(5) / kind.charged_share));
        fill(medium.exponent);
    } else {
        medium.exponent = medium.discharged;
    }
    return medium;
}

}   // namespace detail

}   // namespace filterflow
