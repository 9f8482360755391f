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

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/loading_form.hpp>
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

/// A block of filters. Each array is as long as a few vector registers.
struct alignas(64) HourlyLanes {
    // Of the filters: r; s; s/k; F = exp(g min(W, W_c)) + k max(W - W_c, 0) + c W^2; e/A;
    // E = E_0 + dE (1 - exp(-W/W_E)); final resistance.
    Lane viscous{}, inertial{}, scaled_inertial{}, growth{}, transition{}, slope{}, curvature{}, per_area{}, clean{},
        gain{}, per_gain{}, limit{};
    // State: W, x, 1 while it runs, else 0; integrals over time.
    Lane dust{}, place{}, active{}, delivered{}, energy{}, air_energy{};
    // The segment held: knots, cubics of pressure and power, pressure at the upper knot.
    Lane low{}, high{}, c0{}, c1{}, c2{}, c3{}, top{}, p0{}, p1{}, p2{}, p3{};
    std::array<int, lane_count> segment{};
    // Of the hour: exp(g min(W, W_c)), exp(-W/W_E), r F, dF/dW, B, C, the last step, R', pressure drop at its end.
    Lane exponential{}, fading{}, opposed{}, factor_slope{}, linear{}, square{}, step{}, steepness{}, drop_after{};

    template <Deferred...>
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

    template <Deferred...>
    void exponential_of(std::size_t i) {
        const double inside = dust[i] < transition[i] ? dust[i] : transition[i];
        exponential[i] = loop_exp(growth[i] * inside);
    }
    template <Deferred...>
    void fading_of(std::size_t i) { fading[i] = loop_exp(-dust[i] * per_gain[i]); }
    template <Deferred...>
    void exponentials() {
        for (std::size_t i = 0; i < lane_count; ++i) exponential_of(i);
        for (std::size_t i = 0; i < lane_count; ++i) fading_of(i);
    }

    /// exp(x) for |x| up to 0.01, to 2e-15: an hour changes little.
    static double near_one(double x) {
        return 1.0 + x * (1.0 + x * (1.0 / 2 + x * (1.0 / 6 + x * (1.0 / 24 + x * (1.0 / 120)))));
    }

    /// Carries the exponentials over the hour's dust; where that is much, makes them anew.
    template <Deferred...>
    void carry_exponentials(const Lane& before) {
        long much = 0;
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double from = before[i] < transition[i] ? before[i] : transition[i];
            const double to = dust[i] < transition[i] ? dust[i] : transition[i];
            const double grown = growth[i] * (to - from), faded = per_gain[i] * (dust[i] - before[i]);
            exponential[i] *= near_one(grown);
            fading[i] *= near_one(-faded);
            much += int(grown > 0.01) | int(faded > 0.01);
        }
        if (much == 0) return;
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double most = growth[i] > per_gain[i] ? growth[i] : per_gain[i];
            if (!(most * (dust[i] - before[i]) > 0.01)) continue;
            exponential_of(i);
            fading_of(i);
        }
    }

    /// r F, dF/dW, B and C of all lanes.
    void oppose(const LaneHour& hour) {
        for (std::size_t i = 0; i < lane_count; ++i) oppose(hour, i);
    }
    void oppose(const LaneHour& hour, std::size_t i) {
        // One comparison and products, so that the loop stays free of branches.
        const double depth = dust[i] < transition[i] ? dust[i] : transition[i];
        const double inside = dust[i] < transition[i] ? 1.0 : 0.0;
        const double factor = exponential[i] + slope[i] * (dust[i] - depth) + curvature[i] * dust[i] * dust[i];
        const double first = inside * (growth[i] * exponential[i]) + (1.0 - inside) * slope[i];
        opposed[i] = viscous[i] * factor;
        factor_slope[i] = first + 2.0 * curvature[i] * dust[i];
        linear[i] = hour.linear + opposed[i] * hour.per_speed;
        square[i] = hour.square + scaled_inertial[i];
    }

    /// Places by the secant of each lane's segment, the one where the fan comes down to filter and ducts.
    template <Deferred...>
    void start(const LaneHour& hour, const MonotoneCubic& table, const MonotoneCubic* power) {
        Lane above{};
        const std::size_t rows = table.knots().size();
        for (std::size_t row = 0; row < rows; ++row) {
            const double x = table.knots()[row], y = table.values()[row] - hour.constant;
            for (std::size_t i = 0; i < lane_count; ++i) above[i] += y > x * (linear[i] + x * square[i]) ? 1.0 : 0.0;
        }
        for (std::size_t i = 0; i < lane_count; ++i) {
            const int number = static_cast<int>(above[i]) - 1;
            if (number != segment[i] && number >= 0 && number + 1 < static_cast<int>(rows)) {
                take_segment(i, static_cast<std::size_t>(number), table, power);
            }
        }
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double at_low = c0[i] - hour.constant - low[i] * (linear[i] + low[i] * square[i]);
            const double at_high = top[i] - hour.constant - high[i] * (linear[i] + high[i] * square[i]);
            place[i] = low[i] + (high[i] - low[i]) * (at_low / (at_low - at_high));
        }
    }

    /// One of Newton's steps on the segments held.
    void newton(const LaneHour& hour) {
        for (std::size_t i = 0; i < lane_count; ++i) {
            const double x = place[i], t = x - low[i];
            const double value =
                c0[i] + t * (c1[i] + t * (c2[i] + t * c3[i])) - (hour.constant + x * (linear[i] + x * square[i]));
            const double steep = c1[i] + t * (2.0 * c2[i] + t * (3.0 * c3[i])) - (linear[i] + 2.0 * square[i] * x);
            steepness[i] = steep;
            step[i] = value / steep;
            place[i] = x - step[i];
        }
    }

    /// Whether some running lane did not settle in its segment.
    bool any_unsettled() const {
        long count = 0;
        for (std::size_t i = 0; i < lane_count; ++i) count += unsettled(i);
        return count > 0;
    }
    int unsettled(std::size_t i) const {
        const double x = place[i], size = step[i] < 0.0 ? -step[i] : step[i];
        const int inside = int(x >= low[i]) & int(x <= high[i]) & int(size <= 2e-8 * x);
        return int(active[i] != 0.0) & (1 - inside);
    }

    /// Dust and integrals over the hour, the place to begin the next with.
    void advance(const LaneHour& hour) {
        for (std::size_t i = 0; i < lane_count; ++i) advance(hour, i);
    }
    void advance(const LaneHour& hour, std::size_t i) {
        const double x = place[i], flow = hour.speed * x;
        const double by_dust = x * viscous[i] * hour.per_speed / steepness[i] * factor_slope[i];   // dx/dW
        const double flow_by_dust = hour.speed * by_dust;
        const double efficiency = clean[i] + gain[i] * (1.0 - fading[i]);
        const double rate = per_area[i] * flow * efficiency;
        const double rate_slope = per_area[i] * (flow_by_dust * efficiency + flow * gain[i] * per_gain[i] * fading[i]);
        const double more = hour.dose * rate * (1.0 + 0.5 * hour.dose * rate_slope) * active[i];
        const double drop = (opposed[i] + inertial[i] * flow) * flow;
        const double drop_by_dust =
            viscous[i] * factor_slope[i] * flow + (opposed[i] + 2.0 * inertial[i] * flow) * flow_by_dust;
        const double t = x - low[i], seconds = hour.seconds * active[i], half = 0.5 * more;
        const double power = p0[i] + t * (p1[i] + t * (p2[i] + t * p3[i]));
        const double power_by_place = p1[i] + t * (2.0 * p2[i] + t * (3.0 * p3[i]));
        delivered[i] += seconds * (flow + half * flow_by_dust);
        energy[i] += seconds * hour.power * (power + half * power_by_place * by_dust);
        air_energy[i] += seconds * (drop * flow + half * (drop_by_dust * flow + drop * flow_by_dust));
        drop_after[i] = drop + drop_by_dust * more;
        dust[i] += more;
        place[i] = x + by_dust * more;
    }

    /// Whether some running lane reaches its final resistance by the end of the hour.
    bool any_at_limit() const {
        long count = 0;
        for (std::size_t i = 0; i < lane_count; ++i) count += int(drop_after[i] >= limit[i]) & int(active[i] != 0.0);
        return count > 0;
    }

    /// Solves a lane alone, to the last digits; false if fan and system do not meet inside the table.
    template <Deferred...>
    bool solve_alone(std::size_t i, const LaneHour& hour, const MonotoneCubic& table, const MonotoneCubic* power) {
        const auto knots = table.knots();
        const auto excess = [&](double x, double y) { return y - (hour.constant + x * (linear[i] + x * square[i])); };
        std::size_t above = 0;
        while (above < knots.size() && excess(knots[above], table.values()[above]) > 0.0) ++above;
        if (above == knots.size() || (above == 0 && excess(knots[0], table.values()[0]) < 0.0)) return false;
        const std::size_t number = above == 0 ? 0 : above - 1;
        take_segment(i, number, table, power);
        const CubicSegment& c = table.segments()[number];
        const auto f = [&](double x) {
            const double t = x - low[i];
            return std::pair(excess(x, cubic_value(c, t)), cubic_slope(c, t) - linear[i] - 2.0 * square[i] * x);
        };
        const double at_low = excess(low[i], c.c0), at_high = excess(high[i], top[i]);
        const double guess = low[i] + (high[i] - low[i]) * (at_low / (at_low - at_high));
        place[i] = bracketed_root(f, low[i], high[i], at_low, at_high, guess, 0.0).location;
        steepness[i] = f(place[i]).second;
        step[i] = 0.0;
        return true;
    }

    /// One lane's hour by exact means: exponentials, factors, the solution.
    template <Deferred...>
    bool solve_hour_alone(std::size_t i, const LaneHour& hour, const MonotoneCubic& table, const MonotoneCubic* power) {
        exponential_of(i);
        fading_of(i);
        oppose(hour, i);
        return solve_alone(i, hour, table, power);
    }
};

}   // namespace filterflow::detail
