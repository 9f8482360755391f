// SPDX-License-Identifier: BSL-1.0
#pragma once

// The part of a fan's table that each lane of hourly_lives looks at: two segments and the knot between them, as powers
// of the distance t from it. Value and slope are the same from both sides, so that a lane goes over the knot without a
// search: it only chooses between two pairs of coefficients. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow::detail {

inline constexpr std::size_t lane_count = 64;
using Lane = std::array<double, lane_count>;

/// Neighbouring segments as powers from the knot they share.
struct PairOfSegments {
    double c0, c1, left2, left3, right2, right3;
};

/// The segments at both sides of a knot; at an end of the table the one there is twice.
template <Deferred...>
inline PairOfSegments pair_at(const MonotoneCubic& table, std::size_t knot) {
    const std::size_t last = table.segments().size(), before = knot == 0 ? 0 : knot - 1;
    const CubicSegment &left = table.segments()[before], &right = table.segments()[knot == last ? last - 1 : knot];
    const double h = knot == 0 ? 0.0 : table.knots()[knot] - table.knots()[before];
    const double bend = left.c2 + 3.0 * left.c3 * h;
    if (knot == last) return {cubic_value(left, h), cubic_slope(left, h), bend, left.c3, bend, left.c3};
    return {right.c0, right.c1, bend, left.c3, right.c2, right.c3};
}

/// Where each lane of a block looks.
struct alignas(64) LaneWindow {
    Lane knot{}, lower{}, upper{};                           // ends as distances from the knot
    Lane c0{}, c1{}, left2{}, left3{}, right2{}, right3{};   // p0 - C x^2
    Lane power0{}, power1{}, power_left2{}, power_left3{}, power_right2{}, power_right3{};

    /// Takes the two segments around the knot of x's segment that is nearer to x and inside the table; of a table of
    /// one segment that. The quadratic part of the system is taken off.
    template <Deferred...>
    void take(std::size_t i, double x, std::size_t segment, const MonotoneCubic& table, const MonotoneCubic* power,
              double square) {
        const auto knots = table.knots();
        const std::size_t last = knots.size() - 1;
        const std::size_t nearest = knots[segment + 1] - x < x - knots[segment] ? segment + 1 : segment;
        const std::size_t at = last == 1 ? nearest : std::min(std::max(nearest, std::size_t{1}), last - 1);
        const PairOfSegments p = pair_at(table, at), w = power != nullptr ? pair_at(*power, at) : PairOfSegments{};
        const double k = knots[at];
        knot[i] = k;
        lower[i] = knots[at == 0 ? 0 : at - 1] - k;
        upper[i] = knots[at == last ? last : at + 1] - k;
        c0[i] = p.c0 - square * k * k;
        c1[i] = p.c1 - 2.0 * square * k;
        left2[i] = p.left2 - square;
        right2[i] = p.right2 - square;
        left3[i] = p.left3;
        right3[i] = p.right3;
        power0[i] = w.c0;
        power1[i] = w.c1;
        power_left2[i] = w.left2;
        power_left3[i] = w.left3;
        power_right2[i] = w.right2;
        power_right3[i] = w.right3;
    }

    /// Nothing to be found: a line through zero, without end.
    template <Deferred...>
    void rest(std::size_t i) {
        for (Lane* lane : {&knot, &c0, &left2, &left3, &right2, &right3, &power0, &power1, &power_left2, &power_left3,
                           &power_right2, &power_right3}) {
            (*lane)[i] = 0.0;
        }
        c1[i] = -1.0;
        lower[i] = -HUGE_VAL;
        upper[i] = HUGE_VAL;
    }
};

}   // namespace filterflow::detail
