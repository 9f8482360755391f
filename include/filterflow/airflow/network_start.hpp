// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where a network's iterations start: straight lines in place of the laws, through rest and one flow that is typical of
// the whole network.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// The flow at which a law has taken a drop, beside what it takes at rest; bisection on its power of ten.
template <Deferred...>
inline double flow_at_drop(const LawStore& laws, std::size_t k, double drop) {
    const double at_rest = laws.at(k, 0.0, 0.0).drop;
    double low = -9.0, high = 6.0;   // m3/s
    for (int step = 0; step < 30; ++step) {
        const double middle = 0.5 * (low + high);
        (laws.at(k, std::pow(10.0, middle), 0.0).drop - at_rest < drop ? low : high) = middle;
    }
    return std::pow(10.0, low);
}

/// The middle of the flows at which an eighth of the network's pressure is lost in one link, of some sixty links; where
/// no pressure drives it, the greatest demand.
template <Deferred...>
inline double start_flow(const LawStore& laws, const std::vector<std::size_t>& passive, double pressure,
                         double demand) {
    if (!(pressure > 0.0) || passive.empty()) return demand > 0.0 ? demand : 1.0;
    std::vector<double> flows;
    const std::size_t stride = passive.size() / 61 + 1;
    for (std::size_t k = 0; k < passive.size(); k += stride) {
        flows.push_back(flow_at_drop(laws, passive[k], pressure / 8.0));
    }
    const auto middle = flows.begin() + static_cast<std::ptrdiff_t>(flows.size() / 2);
    std::nth_element(flows.begin(), middle, flows.end());
    return *middle;
}

/// A straight line through rest and the typical flow; a fan's own curve where it is.
template <Deferred...>
inline LawPoint start_point(const LawStore& laws, std::size_t k, double flow, double typical_flow, double scale) {
    if (laws.kind(k) == LawKind::fan) return laws.at(k, flow, scale);
    const double at_rest = laws.at(k, 0.0, scale).drop;
    const LawPoint point = laws.at(k, typical_flow, scale);
    const double slope = (point.drop - at_rest) / typical_flow;
    return {at_rest, slope > 0.0 ? slope : std::abs(point.slope)};
}

}   // namespace filterflow::detail
