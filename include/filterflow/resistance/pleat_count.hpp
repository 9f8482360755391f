// SPDX-License-Identifier: BSL-1.0
#pragma once

// The number of pleats that costs the least pressure: few pleats leave little medium, many leave no room to breathe.

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/resistance/pleated_filter.hpp>

namespace filterflow {

/// The best whole number of pleats and its pressure drop.
struct OptimumPleatCount {
    int count = 0;            ///< pleats across the width
    PleatedDrop drop;         ///< at that count
    int greatest_count = 0;   ///< of the counts that leave a gap; all of them were tried
};

/// Number of pleats with the least pressure drop; everything else of the filter stays.
///
/// Equation: minimum of pressure_drop over N = 1, 2, ... while W/N > 2 t
/// Symbols:  N count, W width [m], t thickness of the medium [m]
/// Validity: as pressure_drop(PleatedFilter): the inertia that is left out in the channels shifts the optimum
///           towards fewer pleats
/// @param  filter  medium and pack; its own count does not matter
/// @param  flow  volume flow [m3/s], > 0
/// @param  air  air of operation
/// @return the count, its pressure drop, and the greatest count tried
/// @throws DomainError as pressure_drop(PleatedFilter), or if more than 100000 counts would have to be tried;
///         NoSolution if not even one pleat leaves a gap
/// @source every count is tried; test: resistance/pleated_filter_test.cpp
[[nodiscard]] inline OptimumPleatCount find_optimum_pleat_count(PleatedFilter filter, VolumeFlow flow,
                                                                const AirState& air) {
    constexpr auto where = "find_optimum_pleat_count";
    detail::require_positive(where, "flow", flow.value(), "m3/s");
    const double thickness = detail::require_positive(where, "thickness", filter.medium.thickness.value(), "m");
    const double width = detail::require_positive(where, "width", filter.pack.width.value(), "m");
    detail::require_between(where, "width over twice the thickness", width / (2.0 * thickness), 0.0, 1e5, "-");
    OptimumPleatCount best;
    for (int count = 1; width / count > 2.0 * thickness * (1.0 + 1e-9); ++count) {
        filter.pack.count = count;
        const double gap = width / count - 2.0 * thickness;
        if (gap < 1e-3 * thickness) break;   // channels a thousandth of the medium: long past the optimum
        const PleatedDrop drop = pressure_drop_parts(filter, flow, air);
        if (best.count == 0 || drop.total < best.drop.total) {
            best.count = count;
            best.drop = drop;
        }
        best.greatest_count = count;
    }
    if (best.count == 0) {
        throw NoSolution(std::string(where) + ": the width " + detail::number_text(width) +
                         " m does not hold one pleat of a medium " + detail::number_text(thickness) + " m thick");
    }
    return best;
}

}   // namespace filterflow
