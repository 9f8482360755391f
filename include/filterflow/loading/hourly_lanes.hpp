// SPDX-License-Identifier: BSL-1.0
#pragma once

// The lockstep behind hourly_lives: many filters an hour at a time, in plain loops over lanes that compilers turn
// into vector code (-O3 -march=x86-64-v3). The fan at speed ratio n meets a filter where, with x = Q/n,
//
//     p0(x) = A + x (B + x C),   A = a/(k n^2), B = (b + R)/(k n), C = (c + s)/k
//
// p0 the fan's table, k its scale, a + b Q + c Q^2 the ducts, R = r F and s the filter. Dust m advances by Taylor's
// series of second order, whose derivative the solution brings along; R, its slope and the efficiency's gain that is
// still to come advance by series, too, made anew by exponentials now and then. Not public.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/hourly_window.hpp>
#include <filterflow/numeric/loop_functions.hpp>

namespace filterflow::detail {

/// Fan and ducts in one hour, the same for all lanes.
struct LaneHour {
    double speed;       // n
    double constant;    // A
    double per_speed;   // 1/(k n)
    double linear;      // b/(k n)
    double power;       // watts over the table's, times n^3
    double dose;        // C f dt
    double seconds;     // f dt
};

/// What an hour changes.
struct alignas(64) LaneState {
    Lane dust{};                                // m, of the building on the filter
    Lane opposed{}, rise{};                     // R, dR/dm
    Lane fading{};                              // dE exp(-W/W_E), what efficiency still gains
    Lane offset{};                              // x less the window's knot
    Lane delivered{}, energy{}, air_energy{};   // integrals over time
};

/// A block of filters. Each array is as long as a few vector registers.
struct alignas(64) HourlyLanes {
    LaneWindow window{};
    // Of the filters: s; C; r; rate g of the exponential stage; the stage beyond it, or the only one, as value, slope
    // and half the second derivative of R at a dust; E_0 + dE, dE, 1/m_E; final resistance.
    Lane inertial{}, square{}, viscous{}, growth{}, line_value{}, line_slope{}, line_bend{}, line_origin{}, loaded{},
        gain{}, per_gain{}, limit{};
    // The stage that a lane is in: g or 0; 0 or 1; 0 or half its second derivative; the dust at its end.
    Lane growing{}, straight{}, bend{}, transition{};
    // 1 where the hour was not settled or something happened in it.
    std::array<std::int64_t, lane_count> marked{};

    /// Makes R, its slope and the gain to come anew.
    template <Deferred...>
    void renew(LaneState& state) const {
        for (std::size_t i = 0; i < lane_count; ++i) renew(state, i);
    }
    template <Deferred...>
    [[gnu::always_inline]] void renew(LaneState& state, std::size_t i) const {
        const double m = state.dust[i], along = m - line_origin[i], in_line = straight[i], before = 1.0 - in_line;
        const double exponential = viscous[i] * loop_exp(growing[i] * m);
        const double line = line_value[i] + along * (line_slope[i] + line_bend[i] * along);
        const double line_rise = line_slope[i] + 2.0 * line_bend[i] * along;
        state.opposed[i] = before * exponential + in_line * line;   // products, so that the loop stays free of branches
        state.rise[i] = before * (growing[i] * exponential) + in_line * line_rise;
        state.fading[i] = gain[i] * loop_exp(-per_gain[i] * m);
    }

    /// Takes the stage that a lane's dust has reached.
    template <Deferred...>
    void take_stage(std::size_t i, bool is_straight) {
        growing[i] = is_straight ? 0.0 : growth[i];
        straight[i] = is_straight ? 1.0 : 0.0;
        bend[i] = is_straight ? line_bend[i] : 0.0;
        transition[i] = is_straight ? HUGE_VAL : line_origin[i];
    }

    /// Makes a lane one in which nothing happens.
    template <Deferred...>
    void rest(LaneState& state, std::size_t i) {
        window.rest(i);
        for (Lane* lane :
             {&inertial, &square, &viscous, &growth, &line_value, &line_slope, &line_bend, &line_origin, &loaded, &gain,
              &per_gain, &state.dust, &state.opposed, &state.rise, &state.fading, &state.offset}) {
            (*lane)[i] = 0.0;
        }
        limit[i] = HUGE_VAL;
        take_stage(i, true);
    }

    // Of an hour, from one loop to the next: f0 and g1 of the equation, the root, how far the last step reached, -1/f'
    // at the root, dx/dm, the hour's dust.
    Lane f0{}, g1{}, root{}, reach{}, flatness{}, by_dust{}, more{};

    /// An hour of all lanes, by two steps to the solution or, where the hour before had the same speed, by one; whether
    /// a lane is marked. One loop for each part: within a part every operation waits for the one before, so a processor
    /// needs several lanes of it at once.
    template <Deferred...>
    bool all_lanes(const LaneHour& hour, bool same_speed, const LaneState& __restrict from, LaneState& __restrict to) {
        for (std::size_t i = 0; i < lane_count; ++i) oppose(hour, from, i);
        if (!same_speed) {
            for (std::size_t i = 0; i < lane_count; ++i) root[i] = step_from(root[i], i).root();
        }
        for (std::size_t i = 0; i < lane_count; ++i) settle(i);
        for (std::size_t i = 0; i < lane_count; ++i) add_dust(hour, from, i);
        std::int64_t count = 0;
        for (std::size_t i = 0; i < lane_count; ++i) {
            carry(hour, from, to, i);
            count += marked[i];
        }
        return count != 0;
    }

    /// An hour of one lane whose place is known.
    template <Deferred...>
    void one_lane(const LaneHour& hour, const LaneState& from, LaneState& to, std::size_t i) {
        oppose(hour, from, i);
        settle(i);
        add_dust(hour, from, i);
        carry(hour, from, to, i);
    }

    /// 1 where the last step was short enough and the lane stays in its window, else 0.
    using Flag = std::int64_t;   // as long as what is compared
    template <Deferred...>
    [[gnu::always_inline]] Flag is_settled(const LaneState& to, std::size_t i) const {
        return Flag(reach[i] <= greatest_reach) & Flag(to.offset[i] >= window.lower[i]) &
               Flag(root[i] <= window.upper[i]);
    }

private:
    // The last step leaves some 5 |y| (y^2 + |z|) of itself, y and z its bend and twist: below 2e-9 of it.
    static constexpr double greatest_reach = 5e-7;

    /// A step from t to the root of f = f0 + t (g1 + t (c2 + t c3)), to the fourth order of its own size.
    struct Step {
        double t, size, inverse;   // size of Newton's step s = -f/f'; -1/f'
        double bend, twist;        // -s f2/f', -s^2 f3/f', f2 and f3 a half and a sixth of the next derivatives
        double root() const { return t + size * ((1.0 + twist) + bend * (1.0 + 2.0 * bend)); }
    };
    [[gnu::always_inline]] Step step_from(double t, std::size_t i) const {
        const bool left = t < 0.0;   // all of them are loaded, so that the loop stays free of branches
        const double left2 = window.left2[i], right2 = window.right2[i];
        const double left3 = window.left3[i], right3 = window.right3[i];
        const double c2 = left ? left2 : right2, c3 = left ? left3 : right3;
        const double half_bend = c2 + 3.0 * c3 * t;
        const double inverse = -1.0 / (g1[i] + t * (c2 + half_bend));
        const double size = (f0[i] + t * (g1[i] + t * (c2 + t * c3))) * inverse, w = inverse * size;
        return {t, size, inverse, half_bend * w, c3 * w * size};
    }

    /// The equation of the hour, and where to begin.
    [[gnu::always_inline]] void oppose(const LaneHour& hour, const LaneState& from, std::size_t i) {
        const double b = hour.linear + from.opposed[i] * hour.per_speed;
        f0[i] = window.c0[i] - hour.constant - b * window.knot[i];
        g1[i] = window.c1[i] - b;
        root[i] = from.offset[i];
    }

    /// The last step, with the slope where it ends.
    template <Deferred...>
    [[gnu::always_inline]] void settle(std::size_t i) {
        const Step step = step_from(root[i], i);
        root[i] = step.root();
        reach[i] = step.bend * step.bend + std::abs(step.twist);
        flatness[i] = step.inverse * (1.0 + 2.0 * step.bend);
    }

    /// The hour's dust: dm = theta g (1 + theta g'/2), g = Q E, Q = n x, E = E_0 + dE - fading, by Taylor's series.
    [[gnu::always_inline]] void add_dust(const LaneHour& hour, const LaneState& from, std::size_t i) {
        const double x = window.knot[i] + root[i];
        by_dust[i] = -x * from.rise[i] * hour.per_speed * flatness[i];
        const double fading = from.fading[i], efficiency = loaded[i] - fading;
        const double rate_rise = by_dust[i] * efficiency + x * (per_gain[i] * fading);
        const double dose = hour.dose * hour.speed;
        more[i] = dose * (x * efficiency) * (1.0 + 0.5 * dose * rate_rise);
    }

    /// State and integrals at the end of the hour, the latter by what is in its middle; marks the lane.
    template <Deferred...>
    [[gnu::always_inline]] void carry(const LaneHour& hour, const LaneState& from, LaneState& to, std::size_t i) {
        const double dust = more[i], t = root[i], ahead = by_dust[i] * dust, end = t + ahead, middle = t + 0.5 * ahead;
        const double flow = hour.speed * (window.knot[i] + middle), delivered = hour.seconds * flow;
        const bool left = t < 0.0;
        const double left2 = window.power_left2[i], right2 = window.power_right2[i];
        const double left3 = window.power_left3[i], right3 = window.power_right3[i];
        const double p2 = left ? left2 : right2, p3 = left ? left3 : right3;
        const double power = window.power0[i] + middle * (window.power1[i] + middle * (p2 + middle * p3));
        const double rise = from.rise[i], opposed = from.opposed[i] + 0.5 * rise * dust;
        to.delivered[i] = from.delivered[i] + delivered;
        to.energy[i] = from.energy[i] + hour.seconds * hour.power * power;
        to.air_energy[i] = from.air_energy[i] + delivered * (flow * (opposed + inertial[i] * flow));
        // R + (R' (e^z - 1)/z + bend dm) dm and its slope, z = g dm; e^z to the third order.
        const double grown = growing[i] * dust, bent = bend[i] * dust, faded = per_gain[i] * dust;
        const double mean = 1.0 + grown * (0.5 + grown * (1.0 / 6.0));
        const double opposed_then = from.opposed[i] + dust * (rise * mean + bent);
        const double dust_then = from.dust[i] + dust, flow_then = hour.speed * (window.knot[i] + end);
        to.opposed[i] = opposed_then;
        to.rise[i] = rise * (1.0 + grown * mean) + 2.0 * bent;
        to.fading[i] = from.fading[i] * (1.0 - faded * (1.0 - faded * (0.5 - faded * (1.0 / 6.0))));
        to.dust[i] = dust_then;
        to.offset[i] = end;
        const double drop_then = flow_then * (opposed_then + inertial[i] * flow_then);
        marked[i] = (1 - is_settled(to, i)) | Flag(drop_then >= limit[i]) | Flag(dust_then > transition[i]);
    }
};

}   // namespace filterflow::detail
