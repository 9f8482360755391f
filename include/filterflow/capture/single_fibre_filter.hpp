// SPDX-License-Identifier: BSL-1.0
#pragma once

// From a layer of fibres to a filter: the velocity that varies along a pleat, and the efficiency in size ranges.

#include <cmath>
#include <span>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// Part of a medium's area and the velocity through it.
struct MediumShare {
    double area_share = 0.0;       ///< of the whole area, > 0
    double velocity_ratio = 0.0;   ///< local velocity over the mean one, >= 0
};

namespace detail {

template <Deferred...>
inline void check(std::span<const MediumShare> shares, std::string_view where) {
    double area = 0.0, flow = 0.0;
    for (const MediumShare& part : shares) {
        area += require_positive(where, "area_share", part.area_share, "-");
        flow += part.area_share * require_non_negative(where, "velocity_ratio", part.velocity_ratio, "-");
    }
    if (!(std::abs(area - 1.0) < 1e-6)) throw_domain_error(where, "sum of the area shares", area, "-", "1");
    if (!(std::abs(flow - 1.0) < 0.02)) {
        throw_domain_error(where, "mean of the velocity ratios", flow, "-", "1 within 0.02");
    }
}

}   // namespace detail

/// Penetration of a medium through which the velocity varies, as along a pleat: the mean over the flow.
///
/// Equation: P = sum_i s_i r_i P(r_i U) / sum_i s_i r_i
/// Symbols:  s area share, r velocity over its mean, U mean superficial velocity [m/s]
/// Validity: as penetration of a layer at each velocity; resistance/pleat_profile.hpp gives velocities along a pleat
/// @param  layer  medium, mean velocity, theory and charge
/// @param  shares  area shares that sum to one, velocity ratios whose mean is one (within 0.02); shape (n)
/// @param  particle  diameter, density and shape factor
/// @param  air  state of the air
/// @return penetration [-], from 0 to 1
/// @throws DomainError as single_fibre_efficiency, or if the shares are none
/// @source definition; test: capture/single_fibre_filter_test.cpp
template <class T>
T penetration(const BasicFibreLayer<T>& layer, std::span<const MediumShare> shares, const BasicParticle<T>& particle,
              const BasicAirState<T>& air) {
    constexpr auto where = "penetration(MediumShare)";
    detail::check(shares, where);
    detail::require_positive(where, "velocity", layer.velocity.value(), "m/s");
    T passed = T(0);
    double flow = 0.0;
    BasicFibreLayer<T> part = layer;
    for (const MediumShare& share : shares) {
        if (share.velocity_ratio == 0.0) continue;   // nothing flows there
        part.velocity = BasicVelocity<T>::from_value(T(share.velocity_ratio) * layer.velocity.value());
        passed += T(share.area_share * share.velocity_ratio) * penetration<T>(part, particle, air);
        flow += share.area_share * share.velocity_ratio;
    }
    return passed / T(flow);
}
template <Deferred...>
inline double penetration(const FibreLayer& layer, std::span<const MediumShare> shares, const Particle& particle,
                          const AirState& air) {
    return penetration<double>(layer, shares, particle, air);
}

/// Efficiency of layers in series in size ranges, each range by its geometric mean size: what rating and study take.
///
/// Equation: E = 1 - prod P_i(d), d = (d_lower d_upper)^(1/2)
/// Symbols:  P_i penetration of layer i
/// Validity: as penetration; a prediction without uncertainty of its own
/// @param  layers  in any order; shape (n), n >= 1
/// @param  ranges  closed size ranges, ascending; shape (k)
/// @param  particle_density  [kg/m3], > 0
/// @param  air  state of the air
/// @return efficiency in each range; shape (k)
/// @throws DomainError as single_fibre_efficiency, or if a range is open or the ranges overlap
/// @source definition; test: capture/single_fibre_filter_test.cpp
template <Deferred...>
inline FractionalEfficiency predicted_efficiency(std::span<const FibreLayer> layers, std::span<const SizeRange> ranges,
                                                 const Density& particle_density, const AirState& air) {
    FractionalEfficiency result;
    for (const SizeRange& range : ranges) {
        const Particle particle{geometric_mean(range), particle_density};
        result.ranges.push_back(
            stated_efficiency(range, Uncertain<double>(1.0 - penetration<double>(layers, particle, air))));
    }
    detail::check(result, "predicted_efficiency");
    return result;
}

}   // namespace filterflow
