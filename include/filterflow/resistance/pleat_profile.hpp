// SPDX-License-Identifier: BSL-1.0
#pragma once

// What goes on along the depth of a pleat: how much air is left in the inlet channel, where it crosses the medium, and
// the pressures on both sides.

#include <cstddef>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/pleat_collocation.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// One place along the depth of a pleat.
struct PleatPlace {
    Length depth;                  ///< from the inlet mouths
    double inlet_flow_share = 0;   ///< of the flow that is still in the inlet channel
    Velocity media_velocity;       ///< through the medium there
    Pressure inlet_pressure;       ///< in the inlet channel, over the pressure in the outlet mouths
    Pressure outlet_pressure;      ///< in the outlet channel, over the pressure in the outlet mouths
};

/// Flow, velocity through the medium and pressures along the depth of a pleat.
///
/// Equation: as pressure_drop_parts, whose parts `medium` and `channels` add up to the inlet pressure at depth zero
/// Symbols:  as pressure_drop_parts
/// Validity: as pressure_drop_parts
/// @param  filter  medium and pack
/// @param  flow  volume flow [m3/s], >= 0
/// @param  air  air of operation
/// @param  count  of places, evenly spaced from the inlet to the outlet mouths, 2 to 10000
/// @return the places, shape (count)
/// @throws DomainError, NoSolution as pressure_drop_parts; DomainError if the count is out of range
/// @source collocation, as pressure_drop_parts; test: resistance/pleat_profile_test.cpp
template <Deferred...>
[[nodiscard]] inline std::vector<PleatPlace> pleat_profile(const PleatedFilter& filter, VolumeFlow flow,
                                                           const AirState& air, std::size_t count) {
    constexpr auto where = "pleat_profile";
    detail::require_between(where, "count", static_cast<double>(count), 2.0, 1e4, "-");
    const detail::PleatFlowCase<double> flow_case = detail::pleat_flow_case(filter, flow, air, where);
    const detail::LayerCoefficients<double> layer = detail::layer_coefficients(filter.medium, air);
    const detail::PleatProblem<double> problem = detail::pleat_problem(layer, flow_case);
    const detail::PleatSolution solution = detail::solve_pleat(problem, where);
    const detail::GaussCollocation& rule = detail::gauss_collocation(solution.size_index);
    const detail::DepthStretching stretching(problem);
    detail::PleatEquations<double> equations(problem, stretching, rule);
    equations.integrate(solution.z);

    const double mean = detail::media_velocity(flow_case), even = layer.viscous * mean;
    const double sigma = problem.wall_inertia;
    const double drop = 1.0 + sigma + equations.result(solution.z).excess;
    std::vector<double> fall(rule.points);
    for (std::size_t i = 0; i < rule.points; ++i) {
        const auto& point = equations.point(i);
        fall[i] = -point.place.rate * detail::channel_pressure_slope(point.inlet, point.flow, point.depth_slope);
    }
    const std::vector<double> bend = rule.coefficients(solution.z), falling = rule.coefficients(fall);
    const double slope_at_mouth = -1.0 - 0.5 * bend[0] + bend[1] / 6.0;   // y(1) = 0
    std::vector<double> p(rule.points + 2), once(rule.points + 1), twice(rule.points);
    std::vector<PleatPlace> places(count);
    for (std::size_t i = 0; i < count; ++i) {
        const double x = static_cast<double>(i) / static_cast<double>(count - 1);
        const double s = stretching.from_depth(x);
        detail::GaussCollocation::legendre(2.0 * s - 1.0, p);
        detail::GaussCollocation::integrals(p.data(), s, once, twice);
        double slope = slope_at_mouth, level = 1.0 + s * slope_at_mouth, fallen = 0.0;
        for (std::size_t n = 0; n < rule.points; ++n) {
            slope += once[n] * bend[n];
            level += twice[n] * bend[n];
            fallen += once[n] * falling[n];
        }
        const double velocity = -slope / stretching.at(s).rate;
        const double inlet = drop - fallen;
        places[i] = {
            .depth = Length::from_value(x * flow_case.depth),
            .inlet_flow_share = detail::require_finite(where, "flow share", level, "-"),
            .media_velocity = Velocity::from_value(mean * velocity),
            .inlet_pressure = Pressure::from_value(even * inlet),
            .outlet_pressure = Pressure::from_value(even * (inlet - velocity * (1.0 + sigma * std::abs(velocity))))};
        detail::require_finite(where, "media velocity", places[i].media_velocity.value(), "m/s");
        detail::require_finite(where, "inlet pressure", places[i].inlet_pressure.value(), "Pa");
        detail::require_finite(where, "outlet pressure", places[i].outlet_pressure.value(), "Pa");
    }
    return places;
}

}   // namespace filterflow
