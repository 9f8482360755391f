// SPDX-License-Identifier: BSL-1.0
#pragma once

// Places of a life by inverse quadrature, and the root that finds one. Not public.

#include <algorithm>
#include <cmath>

#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow::detail {

/// The installation where fan and system meet at x.
struct InversePlace {
    double x, flow, pressure, drop, power;           // of the fan; drop of the filter
    double flow_slope, pressure_slope, drop_slope;   // to x
    double through;                                  // flow through the filter
    double loaded;                                   // dust per area
    double mass_slope;                               // of the dust on the stage to x
    double caught;                                   // flow times the share of the dust that is stopped
};

/// One segment of the fan's table.
struct InversePiece {
    double knot = 0.0;
    CubicSegment table, power;
};

/// Root of a smooth monotone function between two places: Newton's steps from the secant, halving where they leave.
/// A step of a hundred millionth of the way leaves its square.
template <class F>
double root_between(const F& f, double low, double high, double at_low, double at_high) {
    if (!(at_high - at_low != 0.0)) return low;
    const bool rising = at_high > at_low;
    const double whole = high - low;
    double x = low + whole * std::min(std::max(-at_low / (at_high - at_low), 0.0), 1.0);
    for (int i = 0; i < 100; ++i) {
        const auto [value, slope] = f(x);
        if (value == 0.0) return x;
        ((value > 0.0) == rising ? high : low) = x;
        const double next = x - value / slope;
        if (i < 30 && std::abs(next - x) <= 1e-8 * whole) return std::min(std::max(next, low), high);
        x = i < 30 && next > low && next < high ? next : 0.5 * (low + high);
        if (!(high - low > 4e-16 * high)) return x;
    }
    return x;
}

}   // namespace filterflow::detail
