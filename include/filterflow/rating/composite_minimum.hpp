// SPDX-License-Identifier: BSL-1.0
#pragma once

// The composite minimum curve of a loading test: in each size range the lowest efficiency of all its curves.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// The curves of a loading test, as the standard asks for; the composite minimum is the lowest of all.
struct MinimumEfficiencyCurves {
    FractionalEfficiency clean;                        ///< before any dust
    std::optional<FractionalEfficiency> conditioned;   ///< after the conditioning step
    std::vector<FractionalEfficiency> loaded;          ///< at 25, 50, 75 and 100 % of the resistance's rise
};

/// Composite minimum curve: in each range the lowest efficiency of several curves of one filter.
///
/// Equation: P = max_k P_k, and the same for both ends of the interval
/// Symbols:  P_k penetration of curve k
/// Validity: curves of one filter in several states, each in the same ranges; a range that a curve lacks is listed
///           as undetermined
/// @param  curves  penetration by size in each state; shape (n), n >= 1
/// @return composite curve; a range carries the inputs of the curve that decides it
/// @throws DomainError if there is no curve, or ranges overlap or are out of order
/// @source ANSI/ASHRAE 52.2-2017, composite minimum efficiency (from memory); test: rating/minimum_efficiency_test.cpp
template <Deferred...>
inline FractionalEfficiency composite_minimum(std::span<const FractionalEfficiency> curves) {
    constexpr auto where = "composite_minimum";
    if (curves.empty()) detail::throw_domain_error(where, "number of curves", 0.0, "", ">= 1");
    for (const FractionalEfficiency& curve : curves) detail::check(curve, where);
    FractionalEfficiency composite;
    composite.undetermined = curves.front().undetermined;
    for (const SizeEfficiency& first : curves.front().ranges) {
        SizeEfficiency lowest = first;
        Interval<double> interval = first.penetration_interval;
        std::string lacking;
        for (std::size_t k = 1; k < curves.size(); ++k) {
            const auto at = std::find_if(curves[k].ranges.begin(), curves[k].ranges.end(),
                                         [&](const SizeEfficiency& e) { return same_range(e.range, first.range); });
            if (at == curves[k].ranges.end()) {
                lacking += (lacking.empty() ? "" : ", ") + std::to_string(k + 1);
                continue;
            }
            interval = {std::max(interval.lower, at->penetration_interval.lower),
                        std::max(interval.upper, at->penetration_interval.upper)};
            if (at->penetration.value > lowest.penetration.value) lowest = *at;
        }
        const Interval<double> own = lowest.penetration_interval;
        if (interval.lower > own.lower || interval.upper > own.upper) {   // then it is that of no one curve
            lowest.penetration_interval = interval;
            lowest.interval_source = PenetrationIntervalSource::stated;
            lowest.spread_half_width = 0.0;
        }
        if (lacking.empty()) {
            composite.ranges.push_back(std::move(lowest));
        } else {
            composite.undetermined.push_back({first.range, "not measured in curve " + lacking});
        }
    }
    for (std::size_t k = 1; k < curves.size(); ++k) {
        for (const SizeEfficiency& entry : curves[k].ranges) {
            const auto same = [&](const auto& e) { return same_range(e.range, entry.range); };
            if (std::none_of(curves[0].ranges.begin(), curves[0].ranges.end(), same) &&
                std::none_of(composite.undetermined.begin(), composite.undetermined.end(), same)) {
                composite.undetermined.push_back({entry.range, "not measured in curve 1"});
            }
        }
    }
    return composite;
}

}   // namespace filterflow
