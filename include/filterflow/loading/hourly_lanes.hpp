// SPDX-License-Identifier: BSL-1.0
#pragma once

// The lockstep behind hourly_lives: many filters an hour at a time, in plain loops over lanes that compilers turn into
// vector code (-O3 -march=x86-64-v3). The fan at speed ratio n meets a filter where, with x = Q/n,
//
//     p0(x) = A + x (B + x C),   A = a/(k n^2), B = (b + r F)/(k n), C = (c + s)/k
//
// p0 the fan's table, k its scale, a + b Q + c Q^2 the ducts, r F and s the filter. A lane keeps the cubic of its
// segment of the table and leaves it seldom: then, and where Newton's steps do not settle, it is solved alone. Dust
// advances by Taylor's series of second order, whose derivative the solution brings along. Not public.

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>

#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow::detail {

inline constexpr std::size_t lane_count = 64;
using Lane = std::array<double, lane_count>;

/// Fan and ducts in one hour, the same for all lanes.
struct LaneHour {
    double speed;       // n
    double constant;    // A
    double per_speed;   // 1/(k n)
    double linear;      // b/(k n)
    double square;      // c/k
    double power;       // watts over the table's, times n^3
    double dose;        // C f dt
    double seconds;     // f dt
};

/// What an hour changes: W, x, dust added in the hour, exp(g min(W, W_c)), exp(-W/W_E), integrals over time.
struct alignas(64) LaneState {
    Lane dust{}, place{}, added{}, exponential{}, fading{}, delivered{}, energy{}, air_energy{};
};

/// A filter and its operating point in an hour.
struct LanePoint {
    double opposed, factor_slope;    // r F, dF/dW
    double linear, square;           // B, C
    double place, steepness, step;   // x, R', the last of Newton's steps
};

/// A block of filters. Each array is as long as a few vector registers.
struct alignas(64) HourlyLanes {
    // Of the filters: r; s; s/k; F = exp(g min(W, W_c)) + k max(W - W_c, 0) + c W^2; e/A;
    // E = E_0 + dE (1 - exp(-W/W_E)); final resistance; 1 while it runs, else 0.
    Lane viscous{}, inertial{}, scaled_inertial{}, growth{}, transition{}, slope{}, curvature{}, per_area{}, clean{},
        gain{}, per_gain{}, limit{}, active{};
    // The segment held: knots, cubics of pressure and power, pressure at the upper knot.
    Lane low{}, high{}, c0{}, c1{}, c2{}, c3{}, top{}, p0{}, p1{}, p2{}, p3{};
    std::array<int, lane_count> segment{};
    std::array<LaneState, 2> states{};
    LaneState* now = &states[0];
    LaneState* next = &states[1];

    HourlyLanes() = default;
    HourlyLanes(const HourlyLanes&) = delete;
    HourlyLanes& operator=(const HourlyLanes&) = delete;

    void take_segment(std::size_t i, std::size_t number, const MonotoneCubic& table, const MonotoneCubic* power) {
        const CubicSegment& c = table.segments()[number];
        segment[i] = static_cast<int>(number);
        low[i] = table.knots()[number];
        high[i] = table.knots()[number + 1];
        top[i] = table.values()[number + 1];
        c0[i] = c.c0;
        c1[i] = c.c1;
        c2[i] = c.c2;
        c3[i] = c.c3;
        if (power == nullptr) return;
        const CubicSegment& p = power->segments()[number];
        p0[i] = p.c0;
        p1[i] = p.c1;
        p2[i] = p.c2;
        p3[i] = p.c3;
    }

    // ---- One lane. Small, so that loops over lanes take them in.

    /// e^d for the small d of an hour.
    static double grown(double d) { return 1.0 + d * (1.0 + d * (0.5 + d * (1.0 / 6.0 + d * (1.0 / 24.0)))); }

    /// exp(g min(W, W_c)) from that of the hour before, where an hour changes no exponent by more than 0.0015.
    double followed_exponential(const LaneState& s, std::size_t i) const {
        const double dust = s.dust[i], before = dust - s.added[i], edge = transition[i];
        const double depth = (dust < edge ? dust : edge) - (before < edge ? before : edge);
        return s.exponential[i] * grown(growth[i] * depth);
    }
    double followed_fading(const LaneState& s, std::size_t i) const {
        return s.fading[i] * grown(-per_gain[i] * s.added[i]);
    }

    /// r F, dF/dW, B and C of a filter with dust.
    void oppose(const LaneHour& hour, double dust, double exponential, std::size_t i, LanePoint& p) const {
        // One comparison and products, so that loops stay free of branches.
        const double depth = dust < transition[i] ? dust : transition[i];
        const double inside = dust < transition[i] ? 1.0 : 0.0;
        const double factor = exponential + slope[i] * (dust - depth) + curvature[i] * dust * dust;
        const double first = inside * (growth[i] * exponential) + (1.0 - inside) * slope[i];
        p.opposed = viscous[i] * factor;
        p.factor_slope = first + 2.0 * curvature[i] * dust;
        p.linear = hour.linear + p.opposed * hour.per_speed;
        p.square = hour.square + scaled_inertial[i];
    }

    /// One of Newton's steps on the segment held.
    void newton(const LaneHour& hour, std::size_t i, LanePoint& p) const {
        const double x = p.place, t = x - low[i];
        const double value =
            c0[i] + t * (c1[i] + t * (c2[i] + t * c3[i])) - (hour.constant + x * (p.linear + x * p.square));
        p.steepness = c1[i] + t * (2.0 * c2[i] + t * (3.0 * c3[i])) - (p.linear + 2.0 * p.square * x);
        p.step = value / p.steepness;
        p.place = x - p.step;
    }

    /// Below zero where a running lane left its segment, or its last step was too long to be the last.
    double margin(std::size_t i, const LanePoint& p) const {
        const double size = p.step < 0.0 ? -p.step : p.step;
        const double above = p.place - low[i], below = high[i] - p.place, rest = 2e-8 * p.place - size;
        const double least = above < below ? above : below;
        return (least < rest ? least : rest) * active[i] + 0.0;   // no negative zero of lanes at rest
    }

    /// Dust and integrals over the hour and the place to begin the next with; returns what is left below the final
    /// resistance at its end.
    double advance(const LaneHour& hour, const LaneState& from, std::size_t i, double exponential, double fading,
                   const LanePoint& p, LaneState& to) const {
        const double x = p.place, flow = hour.speed * x;
        const double by_dust = x * viscous[i] * hour.per_speed / p.steepness * p.factor_slope;   // dx/dW
        const double flow_by_dust = hour.speed * by_dust;
        const double efficiency = clean[i] + gain[i] * (1.0 - fading);
        const double rate = per_area[i] * flow * efficiency;
        const double rate_slope = per_area[i] * (flow_by_dust * efficiency + flow * gain[i] * per_gain[i] * fading);
        const double dose = hour.dose * active[i], more = dose * rate * (1.0 + 0.5 * dose * rate_slope);
        const double drop = (p.opposed + inertial[i] * flow) * flow;
        const double drop_by_dust =
            viscous[i] * p.factor_slope * flow + (p.opposed + 2.0 * inertial[i] * flow) * flow_by_dust;
        const double t = x - low[i], seconds = hour.seconds * active[i], half = 0.5 * more;
        const double power = p0[i] + t * (p1[i] + t * (p2[i] + t * p3[i]));
        const double power_by_place = p1[i] + t * (2.0 * p2[i] + t * (3.0 * p3[i]));
        to.delivered[i] = from.delivered[i] + seconds * (flow + half * flow_by_dust);
        to.energy[i] = from.energy[i] + seconds * hour.power * (power + half * power_by_place * by_dust);
        to.air_energy[i] =
            from.air_energy[i] + seconds * (drop * flow + half * (drop_by_dust * flow + drop * flow_by_dust));
        to.added[i] = more;
        to.dust[i] = from.dust[i] + more;
        to.place[i] = x + by_dust * more;
        to.exponential[i] = exponential;
        to.fading[i] = fading;
        return (limit[i] - (drop + drop_by_dust * more)) * active[i] + 0.0;
    }

    // ---- All lanes.

    /// A whole hour in one go, at the speed of the hour before, into `next`; whether it holds: no lane unsettled, none at
    /// its final resistance.
    bool steady_hour(const LaneHour hour) {
        const LaneState& from = *now;
        LaneState& to = *next;
        std::uint64_t signs = 0;
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double exponential = followed_exponential(from, i), fading = followed_fading(from, i);
            LanePoint p;
            p.place = from.place[i];
            oppose(hour, from.dust[i], exponential, i, p);
            newton(hour, i, p);
            const double settled = margin(i, p);
            const double left = advance(hour, from, i, exponential, fading, p, to);
            signs |= std::bit_cast<std::uint64_t>(settled) | std::bit_cast<std::uint64_t>(left);
        }
        return signs >> 63 == 0;
    }
    /// The same where exponentials and places of this hour are in `now` already.
    bool loaded_hour(const LaneHour hour) {
        const LaneState& from = *now;
        LaneState& to = *next;
        std::uint64_t signs = 0;
        for (std::size_t i = 0; i < lane_count; ++i) {
            LanePoint p;
            p.place = from.place[i];
            oppose(hour, from.dust[i], from.exponential[i], i, p);
            newton(hour, i, p);
            const double settled = margin(i, p);
            const double left = advance(hour, from, i, from.exponential[i], from.fading[i], p, to);
            signs |= std::bit_cast<std::uint64_t>(settled) | std::bit_cast<std::uint64_t>(left);
        }
        return signs >> 63 == 0;
    }
    void take_next() { std::swap(now, next); }

    /// Exponentials of all lanes in `now`: anew, or from the hour before.
    void exponentials(bool follow) {
        LaneState& s = *now;
        if (follow) {
            for (std::size_t i = 0; i < lane_count; ++i) {
                s.exponential[i] = followed_exponential(s, i);
                s.fading[i] = followed_fading(s, i);
            }
            return;
        }
        for (std::size_t i = 0; i < lane_count; ++i) {
            s.exponential[i] = loop_exp(growth[i] * (s.dust[i] < transition[i] ? s.dust[i] : transition[i]));
        }
        for (std::size_t i = 0; i < lane_count; ++i) s.fading[i] = loop_exp(-s.dust[i] * per_gain[i]);
    }

    /// Places for an hour at another speed: each lane's segment by counting rows above filter and ducts, its secant, some
    /// of Newton's steps but the last. Rows are those around the segments held; a lane that leaves them is solved alone.
    void start(const LaneHour hour, const MonotoneCubic& table, const MonotoneCubic* power) {
        LaneState& s = *now;
        Lane linear, square, above{};
        for (std::size_t i = 0; i < lane_count; ++i) {
            LanePoint p;
            oppose(hour, s.dust[i], s.exponential[i], i, p);
            linear[i] = p.linear;
            square[i] = p.square;
        }
        const auto [least, greatest] = std::minmax_element(segment.begin(), segment.end());
        const int rows = static_cast<int>(table.knots().size());
        const int first = std::max(0, *least - 1), last = *least < 0 ? rows - 1 : std::min(rows - 1, *greatest + 2);
        for (int row = first; row <= last; ++row) {
            const double x = table.knots()[static_cast<std::size_t>(row)];
            const double y = table.values()[static_cast<std::size_t>(row)] - hour.constant;
            for (std::size_t i = 0; i < lane_count; ++i) above[i] += y > x * (linear[i] + x * square[i]) ? 1.0 : 0.0;
        }
        for (std::size_t i = 0; i < lane_count; ++i) {
            const int number = first + static_cast<int>(above[i]) - 1;
            if (number != segment[i] && number >= 0 && number + 1 < rows) {
                take_segment(i, static_cast<std::size_t>(number), table, power);
            }
        }
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double at_low = c0[i] - hour.constant - low[i] * (linear[i] + low[i] * square[i]);
            const double at_high = top[i] - hour.constant - high[i] * (linear[i] + high[i] * square[i]);
            LanePoint p{0.0, 0.0, linear[i], square[i], 0.0, 0.0, 0.0};
            p.place = low[i] + (high[i] - low[i]) * (at_low / (at_low - at_high));
            newton(hour, i, p);
            newton(hour, i, p);
            s.place[i] = p.place;
        }
    }

    /// A lane's operating point to the last digits; false if fan and system do not meet inside the table.
    bool solve_alone(std::size_t i, const LaneHour& hour, const MonotoneCubic& table, const MonotoneCubic* power,
                     LanePoint& p) {
        const auto knots = table.knots();
        const auto excess = [&](double x, double y) { return y - (hour.constant + x * (p.linear + x * p.square)); };
        std::size_t above = 0;
        while (above < knots.size() && excess(knots[above], table.values()[above]) > 0.0) ++above;
        if (above == knots.size() || (above == 0 && excess(knots[0], table.values()[0]) < 0.0)) return false;
        const std::size_t number = above == 0 ? 0 : above - 1;
        take_segment(i, number, table, power);
        const CubicSegment& c = table.segments()[number];
        const auto f = [&](double x) {
            const double t = x - low[i];
            return std::pair(excess(x, cubic_value(c, t)), cubic_slope(c, t) - p.linear - 2.0 * p.square * x);
        };
        const double at_low = excess(low[i], c.c0), at_high = excess(high[i], top[i]);
        const double guess = low[i] + (high[i] - low[i]) * (at_low / (at_low - at_high));
        p.place = bracketed_root(f, low[i], high[i], at_low, at_high, guess, 0.0).location;
        p.steepness = f(p.place).second;
        p.step = 0.0;
        return true;
    }
};

}   // namespace filterflow::detail
