// SPDX-License-Identifier: BSL-1.0
#pragma once

// Lives of many filters hour by hour, in lockstep: for a fan whose speed is controlled by the hour in any way, where
// dust dose is no variable to integrate in, since each speed has its own curve. Where the fan has one speed, or a few
// levels, filter_life and scheduled_life are as exact and need far less work.

#include <algorithm>
#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/hourly_input.hpp>
#include <filterflow/loading/hourly_lanes.hpp>
#include <filterflow/loading/hourly_walk.hpp>

namespace filterflow {

/// Lives of many filters hour by hour, for a fan whose speed is controlled by the hour.
///
/// Equation: at each hour the crossing of the fan at its speed with ducts and filter; dust by Taylor's series to the
///           second order of the hour's dose, dW = theta g (1 + theta g'/2), g = (e/A) Q E
/// Symbols:  W dust per area [kg/m2], theta dose of the hour [kg s/m3], Q flow [m3/s], E efficiency, e equivalence, A
///           area
/// Validity: fan laws for the speeds (electric power goes with the cube of speed: a drive's losses do not); of the
///           third order in what an hour changes: within 1e-8 for lives of months. The final resistance is located
///           within its hour. Where the fan stands still nothing happens; dust of such hours is not carried in
/// @param  input  fan, ducts, air, filters, equivalence
/// @param  hours  from the clean filters on; shape (h)
/// @return each filter's life; shape (n)
/// @throws DomainError if a value is out of its range, the fan rises somewhere, the ducts are not of constant, linear
///         and quadratic parts, or a filter has what this way does not follow
/// @source as filter_life; fan laws as fan_point_at; test: loading/hourly_lives_test.cpp
template <Deferred...>
inline std::vector<HourlyLife> hourly_lives(const HourlyLivesInput& input, std::span<const FanHour> hours) {
    detail::check(input, hours, "hourly_lives");
    std::vector<HourlyLife> lives(input.filters.size());
    const std::span<const FilterStage> filters(input.filters);
    for (std::size_t first = 0; first < lives.size(); first += detail::lane_count) {
        const std::size_t count = std::min(detail::lane_count, lives.size() - first);
        const auto walk = std::make_unique<detail::HourlyWalk>(input, filters.subspan(first, count),
                                                               std::span<HourlyLife>(lives).subspan(first, count));
        walk->run(hours);
    }
    return lives;
}

}   // namespace filterflow
