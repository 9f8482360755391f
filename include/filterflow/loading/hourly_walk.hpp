// SPDX-License-Identifier: BSL-1.0
#pragma once

// One block of filters through the hours of hourly_lives: hours in lockstep, ends one by one. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/hourly_input.hpp>
#include <filterflow/loading/hourly_lanes.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow::detail {

/// Takes a filter into a lane.
inline void take_filter(HourlyLanes& lanes, std::size_t i, const FilterStage& filter, const HourlyLivesInput& input,
                        double pressure_scale) {
    const auto c = element_coefficients(filter.clean, input.air);
    const auto law = loading_coefficients(filter.law);
    lanes.viscous[i] = c.linear;
    lanes.inertial[i] = c.quadratic;
    lanes.scaled_inertial[i] = c.quadratic / pressure_scale;
    if (begins_exponentially(law.form)) lanes.growth[i] = 1.0 / law.growth_scale;
    switch (law.form) {
        case LoadingForm::exponential:
            lanes.transition[i] = 1e300;
            break;
        case LoadingForm::smooth:
            lanes.transition[i] = law.transition;
            lanes.slope[i] = std::exp(law.transition / law.growth_scale) / law.growth_scale;
            break;
        case LoadingForm::kinked:
            lanes.transition[i] = law.transition;
            lanes.slope[i] = law.cake_slope;
            break;
        default:
            lanes.slope[i] = law.cake_slope;
            lanes.curvature[i] = law.form == LoadingForm::quadratic ? law.curvature : 0.0;
            break;
    }
    lanes.per_area[i] = input.equivalence / filter.area.value();
    lanes.clean[i] = filter.efficiency.clean;
    lanes.gain[i] = filter.efficiency.gain;
    lanes.per_gain[i] = 1.0 / filter.efficiency.gain_scale.value();
    lanes.limit[i] =
        filter.final_resistance ? filter.final_resistance->value() : 1e300;   // a number: zero times it is zero
    lanes.active[i] = 1.0;
}

/// One block of lanes through the hours.
class HourlyWalk {
public:
    HourlyWalk(const HourlyLivesInput& input, std::span<const FilterStage> filters, std::span<const FanHour> hours,
               std::span<HourlyLife> lives)
        : hours_(hours),
          lives_(lives),
          ducts_(polynomial_system(input.ducts, input.air)),
          scale_(fan_density_ratio(input.fan.stated_air(), input.air)),
          table_(input.fan.pressure_curve()),
          power_(input.fan.power_curve() ? &*input.fan.power_curve() : nullptr) {
        for (std::size_t i = 0; i < lane_count; ++i) {   // what is left over repeats the first, at rest
            take_filter(lanes_, i, filters[i < filters.size() ? i : 0], input, scale_);
            if (i >= filters.size()) lanes_.active[i] = 0.0;
            lanes_.segment[i] = -1;
            const double greatest = std::max(lanes_.clean[i], lanes_.clean[i] + lanes_.gain[i]);
            fastest_ =
                std::max(fastest_, std::max(lanes_.growth[i], lanes_.per_gain[i]) * lanes_.per_area[i] * greatest);
        }
        double speed = 0.0;
        for (const FanHour& hour : hours) speed = std::max(speed, hour.speed);
        fastest_ *= 2.0 * speed * table_.highest();   // twice: for the second order of an hour
    }

    void run() {
        std::size_t left = lives_.size();
        double speed = 0.0, last_dose = HUGE_VAL;   // of the last hour that the fan ran
        std::size_t followed = 0;                   // hours since exponentials were computed anew
        for (std::size_t number = 0; number < hours_.size() && left > 0; ++number) {
            const FanHour& fan = hours_[number];
            if (!(fan.speed > 0.0 && fan.running > 0.0)) continue;
            const LaneHour hour = lane_hour(fan);
            const bool follow = last_dose * fastest_ <= 1.5e-3 && ++followed < 256;
            if (!follow) followed = 0;
            last_dose = hour.dose;
            const bool same = fan.speed == speed;
            speed = fan.speed;
            if (same && follow && lanes_.steady_hour(hour)) {
                lanes_.take_next();
            } else {
                left -= hour_by_parts(hour, follow, same, number);
            }
        }
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (lanes_.active[i] == 0.0) continue;
            finish(i, HourlyEnd::hours_over, 3600.0 * static_cast<double>(hours_.size()), speed * lanes_.now->place[i]);
        }
    }

private:
    LaneHour lane_hour(const FanHour& fan) const {
        const double n = fan.speed, per = 1.0 / (scale_ * n), seconds = 3600.0 * fan.running;
        return {n,
                ducts_.constant * per / n,
                per,
                ducts_.linear * per,
                ducts_.quadratic / scale_,
                scale_ * n * n * n,
                seconds * fan.concentration.value(),
                seconds};
    }

    /// An hour at another speed, with exponentials anew, or in which some lane needs a look; returns how many lanes have
    /// come to their end.
    std::size_t hour_by_parts(const LaneHour& hour, bool follow, bool same, std::size_t number) {
        lanes_.exponentials(follow);
        if (!same) lanes_.start(hour, table_, power_);
        std::size_t ended = 0;
        if (lanes_.loaded_hour(hour)) {
            lanes_.take_next();
            return 0;
        }
        LaneState& s = *lanes_.now;
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (lanes_.active[i] == 0.0) continue;
            LanePoint p;
            p.place = s.place[i];
            lanes_.oppose(hour, s.dust[i], s.exponential[i], i, p);
            lanes_.newton(hour, i, p);
            if (lanes_.margin(i, p) < 0.0 && !lanes_.solve_alone(i, hour, table_, power_, p)) {
                finish(i, HourlyEnd::no_operating_point, 3600.0 * static_cast<double>(number), 0.0);
                ++ended;
                continue;
            }
            if (lanes_.advance(hour, s, i, s.exponential[i], s.fading[i], p, *lanes_.next) < 0.0) {
                end_within(i, hour, number, p);
                ++ended;
            }
        }
        lanes_.take_next();
        return ended;
    }

    /// A lane that reaches its final resistance in this hour: the dust there by Newton's method, its share of the hour by
    /// the series. p is its operating point at the beginning.
    void end_within(std::size_t i, const LaneHour& hour, std::size_t number, const LanePoint& p) {
        const LaneState& from = *lanes_.now;
        LaneState& to = *lanes_.next;
        const double begin = from.dust[i];
        double end = begin, flow = hour.speed * p.place;
        LanePoint at = p;
        for (int step = 0; step < 20; ++step) {
            const double drop = (at.opposed + lanes_.inertial[i] * flow) * flow;
            if (step == 0 && drop >= lanes_.limit[i]) break;   // at once: another speed than the hour before
            const double flow_by_dust = flow * lanes_.viscous[i] * hour.per_speed / at.steepness * at.factor_slope;
            const double drop_by_dust = lanes_.viscous[i] * at.factor_slope * flow +
                                        (at.opposed + 2.0 * lanes_.inertial[i] * flow) * flow_by_dust;
            const double change = (lanes_.limit[i] - drop) / drop_by_dust;
            end += change;
            const double depth = end < lanes_.transition[i] ? end : lanes_.transition[i];
            lanes_.oppose(hour, end, std::exp(lanes_.growth[i] * depth), i, at);
            if (!lanes_.solve_alone(i, hour, table_, power_, at)) break;
            flow = hour.speed * at.place;
            if (!(std::abs(change) > 1e-14 * end)) break;
        }
        double share = 0.0;   // of the hour
        if (end > begin) {
            LanePoint first = p;
            lanes_.solve_alone(i, hour, table_, power_, first);   // and its segment
            LaneHour part = hour;
            for (int step = 0; step < 6; ++step) {   // by what the hour so far would bring
                lanes_.advance(part, from, i, from.exponential[i], from.fading[i], first, to);
                const double correction = (end - begin) / to.added[i];
                if (step == 5 || std::abs(correction - 1.0) < 1e-15) break;
                part.dose *= correction;
                part.seconds = hour.seconds * part.dose / hour.dose;
            }
            share = part.dose / hour.dose;
        } else {
            to.delivered[i] = from.delivered[i];
            to.energy[i] = from.energy[i];
            to.air_energy[i] = from.air_energy[i];
        }
        to.dust[i] = end;
        lanes_.take_next();   // where finish looks
        finish(i, HourlyEnd::final_resistance, 3600.0 * (static_cast<double>(number) + share), flow);
        lanes_.take_next();
    }

    void finish(std::size_t i, HourlyEnd end, double age, double flow) {
        lanes_.active[i] = 0.0;
        HourlyLife& life = lives_[i];
        life.end = end;
        life.age = Time::from_value(age);
        life.dust_caught = Mass::from_value(lanes_.now->dust[i] / lanes_.per_area[i]);
        life.flow = VolumeFlow::from_value(flow);
        life.delivered = Volume::from_value(lanes_.now->delivered[i]);
        if (power_ != nullptr) life.fan_energy = Energy::from_value(lanes_.now->energy[i]);
        life.filter_air_energy = Energy::from_value(lanes_.now->air_energy[i]);
    }

    std::span<const FanHour> hours_;
    std::span<HourlyLife> lives_;
    PolynomialSystem ducts_;
    double scale_, fastest_ = 0.0;   // fastest_: change of an exponent per dose
    const MonotoneCubic& table_;
    const MonotoneCubic* power_;
    HourlyLanes lanes_;
};

}   // namespace filterflow::detail
