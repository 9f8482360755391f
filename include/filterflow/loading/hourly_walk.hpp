// SPDX-License-Identifier: BSL-1.0
#pragma once

// One block of filters through the hours of hourly_lives: hours in lockstep, ends one by one. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <utility>

#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/hourly_input.hpp>
#include <filterflow/loading/hourly_lanes.hpp>
#include <filterflow/loading/hourly_window.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow::detail {

/// Takes a filter into a lane, clean.
template <Deferred...>
inline void take_filter(HourlyLanes& lanes, std::size_t i, const FilterStage& filter, const HourlyLivesInput& input,
                        double ducts_quadratic, double pressure_scale) {
    const auto c = element_coefficients(filter.clean, input.air);
    const auto law = loading_coefficients(filter.law);
    const double per_area = input.equivalence / filter.area.value();   // dust per area over dust
    lanes.viscous[i] = c.linear;
    lanes.inertial[i] = c.quadratic;
    lanes.square[i] = (ducts_quadratic + c.quadratic) / pressure_scale;
    if (begins_exponentially(law.form)) {
        const double rate = 1.0 / law.growth_scale;
        lanes.growth[i] = per_area * rate;
        lanes.line_origin[i] = law.form == LoadingForm::exponential ? 1e300 : law.transition / per_area;
        if (law.form != LoadingForm::exponential) {
            const double factor = std::exp(law.transition * rate);
            lanes.line_value[i] = c.linear * factor;
            lanes.line_slope[i] =
                c.linear * per_area * (law.form == LoadingForm::smooth ? factor * rate : law.cake_slope);
        }
    } else {
        lanes.line_value[i] = c.linear;
        lanes.line_slope[i] = c.linear * per_area * law.cake_slope;
        if (law.form == LoadingForm::quadratic) lanes.line_bend[i] = c.linear * per_area * per_area * law.curvature;
    }
    lanes.take_stage(i, !begins_exponentially(law.form));
    lanes.loaded[i] = filter.efficiency.clean + filter.efficiency.gain;
    lanes.gain[i] = filter.efficiency.gain;
    lanes.per_gain[i] = per_area / filter.efficiency.gain_scale.value();
    lanes.limit[i] = filter.final_resistance ? filter.final_resistance->value() : HUGE_VAL;
}

/// One block of lanes through the hours.
class HourlyWalk {
public:
    template <Deferred...>
    HourlyWalk(const HourlyLivesInput& input, std::span<const FilterStage> filters, std::span<HourlyLife> lives)
        : lives_(lives),
          ducts_(polynomial_system(input.ducts, input.air, 1.0)),
          scale_(fan_density_ratio(input.fan.stated_air(), input.air)),
          table_(input.fan.pressure_curve()),
          power_(input.fan.power_curve() ? &*input.fan.power_curve() : nullptr) {
        for (std::size_t i = 0; i < lane_count; ++i) {
            if (i < filters.size()) {
                take_filter(lanes_, i, filters[i], input, ducts_.quadratic, scale_);
                steepest_ = std::max(steepest_, std::max(lanes_.growth[i], lanes_.per_gain[i]));
                runs_[i] = true;
            } else {
                lanes_.rest(states_[0], i);
            }
        }
        lanes_.renew(states_[0]);
    }

    template <Deferred...>
    void run(std::span<const FanHour> hours) {
        LaneState *now = &states_[0], *then = &states_[1];
        std::size_t left = lives_.size();
        double speed = 0.0;   // of the last hour that the fan ran
        int carried = 0;      // hours since the exponentials were made
        for (std::size_t number = 0; number < hours.size() && left > 0; ++number) {
            const FanHour& fan = hours[number];
            if (!(fan.speed > 0.0 && fan.running > 0.0)) continue;
            const LaneHour hour = lane_hour(fan);
            bool marked = true;
            if (speed == 0.0) {
                lanes_.marked.fill(1);
            } else {
                marked = lanes_.all_lanes(hour, fan.speed == speed, *now, *then);
            }
            if (marked) left -= look_at_marked(hour, number, *now, *then);
            speed = fan.speed;
            // Anew where an hour may bring much, and now and then, since rounding adds up.
            const double most = hour.dose * hour.speed * table_.highest() * steepest_;
            carried = most > 2e-3 ? 0 : (carried + 1) % 256;
            if (carried == 0) lanes_.renew(*then);
            std::swap(now, then);
        }
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (!runs_[i]) continue;
            const double flow = speed * (lanes_.window.knot[i] + now->offset[i]);
            finish(*now, i, HourlyEnd::hours_over, 3600.0 * static_cast<double>(hours.size()), flow);
        }
    }

private:
    LaneHour lane_hour(const FanHour& fan) const {
        const double n = fan.speed, per = 1.0 / (scale_ * n), seconds = 3600.0 * fan.running;
        return {n,
                ducts_.constant * per / n,
                per,
                ducts_.linear * per,
                scale_ * n * n * n,
                seconds * fan.concentration.value(),
                seconds};
    }

    /// Lanes whose hour was not settled or in which something happened, each alone; returns how many have come to their
    /// end.
    template <Deferred...>
    std::size_t look_at_marked(const LaneHour& hour, std::size_t number, LaneState& now, LaneState& then) {
        std::size_t ended = 0;
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (lanes_.marked[i] == 0 || !runs_[i]) continue;
            if (!place_alone(hour, now, i, false)) {
                finish(now, i, HourlyEnd::no_operating_point, 3600.0 * static_cast<double>(number), 0.0);
                lanes_.rest(then, i);
                ++ended;
                continue;
            }
            lanes_.one_lane(hour, now, then, i);
            if (!lanes_.is_settled(then, i)) {
                place_alone(hour, now, i, true);
                lanes_.one_lane(hour, now, then, i);
            }
            const double flow = hour.speed * (lanes_.window.knot[i] + then.offset[i]);
            if ((then.opposed[i] + lanes_.inertial[i] * flow) * flow >= lanes_.limit[i]) {
                end_within(hour, number, now, then, i);
                lanes_.rest(then, i);
                ++ended;
            } else if (then.dust[i] > lanes_.transition[i]) {
                lanes_.take_stage(i, true);
                lanes_.renew(then, i);
            }
        }
        return ended;
    }

    /// Places a lane by the secant of the segment in which fan and system meet, its window there; false if they do not
    /// meet inside the table. Exactly: solves it to the last digits.
    template <Deferred...>
    bool place_alone(const LaneHour& hour, LaneState& state, std::size_t i, bool exactly) {
        const double linear = hour.linear + state.opposed[i] * hour.per_speed, square = lanes_.square[i];
        const auto knots = table_.knots();
        const auto excess = [&](double x, double y) { return y - (hour.constant + x * (linear + x * square)); };
        std::size_t above = 0, end = knots.size();   // rows at which the fan gives more than is needed come first
        while (above < end) {
            const std::size_t middle = (above + end) / 2;
            if (excess(knots[middle], table_.values()[middle]) > 0.0) {
                above = middle + 1;
            } else {
                end = middle;
            }
        }
        if (above == knots.size() || (above == 0 && excess(knots[0], table_.values()[0]) < 0.0)) return false;
        const std::size_t number = above == 0 ? 0 : above - 1;
        const double low = knots[number], high = knots[number + 1];
        const double at_low = excess(low, table_.values()[number]), at_high = excess(high, table_.values()[number + 1]);
        double x = low + (high - low) * (at_low / (at_low - at_high));
        if (exactly) {
            const CubicSegment& c = table_.segments()[number];
            const auto f = [&](double at) {
                const double t = at - low;
                return std::pair(excess(at, cubic_value(c, t)), cubic_slope(c, t) - linear - 2.0 * square * at);
            };
            x = bracketed_root(f, low, high, at_low, at_high, x, 0.0).location;
        }
        lanes_.window.take(i, x, number, table_, power_, square);
        state.offset[i] = x - lanes_.window.knot[i];
        return true;
    }

    /// A lane that reaches its final resistance in this hour: the dust there by Newton's method, its share of the hour
    /// by the series.
    template <Deferred...>
    void end_within(const LaneHour& hour, std::size_t number, LaneState& now, LaneState& then, std::size_t i) {
        const double begin = now.dust[i];
        const auto solve = [&](double dust) {
            now.dust[i] = dust;
            if (dust > lanes_.transition[i]) lanes_.take_stage(i, true);
            lanes_.renew(now, i);
            return place_alone(hour, now, i, true);
        };
        const bool straight = lanes_.straight[i] != 0.0;
        double end = begin, flow = 0.0;
        for (int step = 0; step < 20 && solve(end); ++step) {
            const double x = lanes_.window.knot[i] + now.offset[i], opposed = now.opposed[i];
            flow = hour.speed * x;
            const double drop = (opposed + lanes_.inertial[i] * flow) * flow;
            if (step == 0 && drop >= lanes_.limit[i]) break;   // at once: another speed than the hour before
            const double steep = table_.slope(x) - hour.linear - opposed * hour.per_speed - 2.0 * lanes_.square[i] * x;
            const double flow_by_dust = flow * now.rise[i] * hour.per_speed / steep;
            const double drop_by_dust = now.rise[i] * flow + (opposed + 2.0 * lanes_.inertial[i] * flow) * flow_by_dust;
            const double change = (lanes_.limit[i] - drop) / drop_by_dust;
            end += change;
            if (!(std::abs(change) > 1e-14 * end)) break;
        }
        double share = 0.0;   // of the hour
        if (end > begin) {
            lanes_.take_stage(i, straight);
            solve(begin);
            LaneHour part = hour;
            for (int step = 0; step < 6; ++step) {   // by what the hour so far would bring
                lanes_.one_lane(part, now, then, i);
                const double correction = (end - begin) / (then.dust[i] - begin);
                if (step == 5 || std::abs(correction - 1.0) < 1e-15) break;
                part.dose *= correction;
                part.seconds = hour.seconds * part.dose / hour.dose;
            }
            share = part.dose / hour.dose;
            then.dust[i] = end;
        }
        finish(end > begin ? then : now, i, HourlyEnd::final_resistance, 3600.0 * (static_cast<double>(number) + share),
               flow);
    }

    void finish(const LaneState& state, std::size_t i, HourlyEnd end, double age, double flow) {
        runs_[i] = false;
        HourlyLife& life = lives_[i];
        life.end = end;
        life.age = Time::from_value(age);
        life.dust_caught = Mass::from_value(state.dust[i]);
        life.flow = VolumeFlow::from_value(flow);
        life.delivered = Volume::from_value(state.delivered[i]);
        if (power_ != nullptr) life.fan_energy = Energy::from_value(state.energy[i]);
        life.filter_air_energy = Energy::from_value(state.air_energy[i]);
    }

    std::span<HourlyLife> lives_;
    PolynomialSystem ducts_;
    double scale_;
    const MonotoneCubic& table_;
    const MonotoneCubic* power_;
    double steepest_ = 0.0;   // of the exponentials, over dust
    std::array<bool, lane_count> runs_{};
    HourlyLanes lanes_;
    std::array<LaneState, 2> states_{};
};

}   // namespace filterflow::detail
