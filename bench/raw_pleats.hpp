// SPDX-License-Identifier: BSL-1.0
#pragma once

// The twin of pressure_drop_parts(PleatedFilter) in raw doubles with the same checks, for equal gaps and a Darcy
// medium; and invented filters to compare the two on.

#include <cmath>
#include <cstddef>
#include <limits>
#include <random>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/resistance/pleated_curve.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace raw_pleats {

using namespace filterflow;
using namespace filterflow::units;

struct RawAir {
    double temperature, pressure, humidity_ratio, density, viscosity;
};
struct RawFilter {
    double thickness, permeability, inertial_factor;
    double count, depth, width, length, gap_share;
    PleatShape shape;
    double fold_radius, contraction, momentum_factor, expansion_factor, development;
};
struct RawDrop {
    double total, medium, channels, entry, exit, peak, reynolds;
    bool laminar;
    double medium_share, channels_share, entry_share, exit_share, entry_length;
    ChannelFlow channel_flow;
    int points;
};

inline bool positive(double x) { return x > 0.0 && x <= std::numeric_limits<double>::max(); }

inline bool not_negative(double x) { return x >= 0.0 && x <= std::numeric_limits<double>::max(); }

[[gnu::cold]] inline void refuse(const RawFilter& f, double flow, const RawAir& air) {
    for (const double x :
         {f.thickness, f.permeability, f.inertial_factor, f.count, f.depth, f.width, f.length, f.gap_share,
          f.fold_radius, f.contraction, f.momentum_factor, f.expansion_factor, f.development, flow, air.density,
          air.viscosity}) {
        detail::require_non_negative("raw_drop", "value", x, "");
    }
}
[[gnu::cold]] inline void refuse(double x) { detail::require_finite("raw_drop", "result", x, ""); }

inline RawDrop raw_drop(const RawFilter& f, double flow, const RawAir& air) {
    const bool sides = f.shape == PleatShape::rectangular
                           ? f.gap_share > 0.0 && f.gap_share < 1.0 && (f.fold_radius == 0.0 || positive(f.fold_radius))
                           : f.gap_share == 0.5 && positive(f.fold_radius);
    if (!(positive(f.thickness) && positive(f.permeability) && not_negative(f.inertial_factor) &&
          not_negative(f.contraction) && not_negative(f.momentum_factor) && not_negative(f.expansion_factor) &&
          not_negative(f.development) && not_negative(flow) && positive(air.density) && positive(air.viscosity) &&
          positive(f.count) && positive(f.depth) && positive(f.width) && positive(f.length) && sides)) {
        refuse(f, flow, air);
    }
    const double pitch = f.width / f.count, open = pitch - 2.0 * f.thickness;
    if (!(open > 0.0) || !(f.thickness < f.depth) || f.fold_radius > 0.0 || f.shape != PleatShape::rectangular ||
        f.inertial_factor != 0.0 || f.gap_share != 0.5) {
        throw DomainError("raw_drop: not a case of the twin");
    }
    const double inlet = f.gap_share * open, outlet = open - inlet;
    const double q = flow / (f.count * f.length), viscous = air.viscosity * f.thickness / f.permeability;
    const double v = q / (2.0 * f.depth), even = viscous * v, per_drop = 2.0 * f.depth / viscous;
    const double friction = 12.0 * air.viscosity * f.depth * per_drop;
    const double momentum = air.density * f.momentum_factor * q * per_drop;
    const double narrow = 1.0 / inlet, over2 = narrow * narrow;
    const auto two = detail::two_equal_channels(2.0 * friction * narrow * over2, momentum * over2);
    const double per_pitch = 1.0 / pitch, s1 = inlet * per_pitch, s2 = outlet * per_pitch;
    const double u1 = q / inlet, u2 = q / outlet, lost = f.expansion_factor * (1.0 - s2) * (1.0 - s2);
    RawDrop d{};
    d.medium = even;
    d.channels = even * two.excess;
    d.entry = 0.5 * air.density * u1 * u1 * (1.0 - s1 * s1 + f.contraction + f.development);
    d.exit = -0.5 * air.density * u2 * u2 * (1.0 - s2 * s2 - lost);
    d.total = d.medium + d.channels + d.entry + d.exit;
    d.peak = two.peak;
    d.reynolds = 2.0 * air.density * q / air.viscosity;
    d.laminar = d.reynolds < 2000.0;
    if (d.total != 0.0) {
        const double over = 1.0 / d.total;
        d.medium_share = d.medium * over;
        d.channels_share = d.channels * over;
        d.entry_share = d.entry * over;
        d.exit_share = d.exit * over;
    } else {
        d.medium_share = 1.0 / (1.0 + two.excess);
        d.channels_share = two.excess / (1.0 + two.excess);
    }
    d.entry_length = 0.1 * d.reynolds * (s1 > s2 ? inlet : outlet) / f.depth;
    d.channel_flow = !d.laminar               ? ChannelFlow::not_laminar
                     : d.entry_length <= 0.25 ? ChannelFlow::developed
                     : d.entry_length <= 4.0  ? ChannelFlow::developing
                                              : ChannelFlow::undeveloped;
    if (!std::isfinite(d.total + d.medium_share + d.peak + d.entry_length)) refuse(d.total);
    return d;
}

/// Drops of one filter at many flows: what does not depend on the flow is checked and computed once.
[[gnu::noinline]] inline void raw_drops(const RawFilter& f, const std::vector<double>& flows, const RawAir& air,
                      std::vector<double>& drops) {
    if (drops.size() != flows.size()) throw DomainError("raw_drops: lengths differ");
    raw_drop(f, 0.0, air);
    const double pitch = f.width / f.count, open = pitch - 2.0 * f.thickness;
    const double inlet = f.gap_share * open, outlet = open - inlet;
    const double per_flow = 1.0 / (f.count * f.length), viscous = air.viscosity * f.thickness / f.permeability;
    const double per_drop = 2.0 * f.depth / viscous;
    const double x2 = 24.0 * air.viscosity * f.depth * per_drop / (inlet * inlet * inlet);
    const double momentum = air.density * f.momentum_factor * per_drop * per_flow / (inlet * inlet);
    const double s1 = inlet / pitch, s2 = outlet / pitch, lost = f.expansion_factor * (1.0 - s2) * (1.0 - s2);
    const double even = viscous / (2.0 * f.depth) * per_flow;
    const double square = 0.5 * air.density * per_flow * per_flow *
                          ((1.0 - s1 * s1 + f.contraction + f.development) / (inlet * inlet) -
                           (1.0 - s2 * s2 - lost) / (outlet * outlet));
    for (std::size_t i = 0; i < flows.size(); ++i) {
        const double q = flows[i];
        if (!not_negative(q)) refuse(f, q, air);
        const double excess = detail::two_equal_channels(x2, momentum * q).excess;
        const double total = (even * (1.0 + excess) + square * q) * q;
        if (!std::isfinite(total)) refuse(total);
        drops[i] = total;
    }
}

inline RawAir raw(const AirState& air) {
    return {air.temperature.value(), air.pressure.value(), air.humidity_ratio, air.density.value(),
            air.viscosity.value()};
}

inline RawFilter raw(const PleatedFilter& f) {
    return {f.medium.thickness.value(),
            f.medium.permeability.value(),
            f.medium.inertial_factor.value(),
            f.pack.count,
            f.pack.depth.value(),
            f.pack.width.value(),
            f.pack.length.value(),
            f.pack.inlet_gap_share,
            f.pack.shape,
            f.pack.fold_radius.value(),
            f.contraction_coefficient,
            f.momentum_factor,
            f.expansion_factor,
            f.development_coefficient};
}

/// The compiler must take it that somebody reads and changes x here.
template <class X>
void keep_in_memory(X& x) {
    asm volatile("" : : "r"(&x) : "memory");
}

inline constexpr std::size_t count = 256;

struct Cases {
    std::vector<PleatedFilter> filters;
    std::vector<VolumeFlow> flows;
};

/// Invented filters of one square metre around what is built: thickness 0.4 to 1 mm, medium 200 to 1200 Pa s/m, gaps
/// 1.2 to 3 mm, depth 20 to 60 mm, face velocity 0.5 to 2 m/s.
inline Cases cases(double momentum_factor, double share, double inertia) {
    std::mt19937_64 random(11);
    const auto between = [&](double a, double b) { return std::uniform_real_distribution<double>(a, b)(random); };
    Cases c;
    for (std::size_t i = 0; i < count; ++i) {
        const double thickness = between(0.4e-3, 1e-3), gap = between(1.2e-3, 3e-3), resistance = between(200, 1200);
        c.filters.push_back({.medium = {.thickness = thickness * m,
                                        .permeability = 1.81e-5 * thickness / resistance * m2,
                                        .inertial_factor = inertia * per_m},
                             .pack = {.count = 1.0 / (2.0 * (gap + thickness)),
                                      .depth = between(20e-3, 60e-3) * m,
                                      .width = 1 * m,
                                      .length = 1 * m,
                                      .inlet_gap_share = share},
                             .momentum_factor = momentum_factor});
        c.flows.push_back(between(0.5, 2.0) * m3_per_s);
    }
    return c;
}

}   // namespace raw_pleats
