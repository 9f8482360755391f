// SPDX-License-Identifier: BSL-1.0
#pragma once

// One block of filters through the hours of hourly_lives: hours in lockstep, ends one by one. Not public.

#include <cmath>
#include <cstddef>
#include <span>

#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/hourly_input.hpp>
#include <filterflow/loading/hourly_lanes.hpp>
#include <filterflow/loading/loading_form.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/resistance/element_curve.hpp>

namespace filterflow::detail {

/// Takes a filter into a lane.
template <Deferred...>
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
    lanes.limit[i] = filter.final_resistance ? filter.final_resistance->value() : HUGE_VAL;
    lanes.active[i] = 1.0;
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
        for (std::size_t i = 0; i < lane_count; ++i) {   // what is left over repeats the first, at rest
            take_filter(lanes_, i, filters[i < filters.size() ? i : 0], input, scale_);
            if (i >= filters.size()) lanes_.active[i] = 0.0;
            lanes_.segment[i] = -1;
        }
    }

    template <Deferred...>
    void run(std::span<const FanHour> hours) {
        std::size_t left = lives_.size();
        double speed = 0.0;   // of the last hour that the fan ran
        int carried = 0;      // hours since the exponentials were made
        for (std::size_t number = 0; number < hours.size() && left > 0; ++number) {
            const FanHour& fan = hours[number];
            if (!(fan.speed > 0.0 && fan.running > 0.0)) continue;
            const LaneHour hour = lane_hour(fan);
            if (carried == 0) lanes_.exponentials();   // anew now and then, since rounding adds up
            carried = (carried + 1) % 512;
            lanes_.oppose(hour);
            int steps = 1;
            if (fan.speed != speed) {
                lanes_.start(hour, table_, power_);
                steps = 4;
                speed = fan.speed;
            }
            for (int i = 0; i < steps; ++i) lanes_.newton(hour);
            if (lanes_.any_unsettled()) left -= settle(hour, number);
            const Lane before = lanes_.dust, place = lanes_.place, delivered = lanes_.delivered, energy = lanes_.energy,
                       air_energy = lanes_.air_energy;
            lanes_.advance(hour);
            if (lanes_.any_at_limit()) {
                for (std::size_t i = 0; i < lives_.size(); ++i) {
                    if (lanes_.active[i] == 0.0 || lanes_.drop_after[i] < lanes_.limit[i]) continue;
                    lanes_.dust[i] = before[i];
                    lanes_.place[i] = place[i];
                    lanes_.delivered[i] = delivered[i];
                    lanes_.energy[i] = energy[i];
                    lanes_.air_energy[i] = air_energy[i];
                    end_within(i, hour, number);
                    --left;
                }
            }
            lanes_.carry_exponentials(before);
        }
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (lanes_.active[i] != 0.0) {
                finish(i, HourlyEnd::hours_over, 3600.0 * static_cast<double>(hours.size()), speed * lanes_.place[i]);
            }
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

    /// Solves alone the lanes that did not settle; returns how many have come to their end.
    template <Deferred...>
    std::size_t settle(const LaneHour& hour, std::size_t number) {
        std::size_t ended = 0;
        for (std::size_t i = 0; i < lives_.size(); ++i) {
            if (lanes_.unsettled(i) == 0 || lanes_.solve_alone(i, hour, table_, power_)) continue;
            finish(i, HourlyEnd::no_operating_point, 3600.0 * static_cast<double>(number), 0.0);
            ++ended;
        }
        return ended;
    }

    /// A lane that reaches its final resistance in this hour: the dust there by Newton's method, its share of the hour
    /// by the series.
    template <Deferred...>
    void end_within(std::size_t i, const LaneHour& hour, std::size_t number) {
        HourlyLanes& l = lanes_;
        const double begin = l.dust[i];
        const auto solve = [&](double dust) {
            l.dust[i] = dust;
            return l.solve_hour_alone(i, hour, table_, power_);
        };
        double end = begin;
        for (int step = 0; step < 20 && solve(end); ++step) {
            const double flow = hour.speed * l.place[i];
            const double drop = (l.opposed[i] + l.inertial[i] * flow) * flow;
            if (step == 0 && drop >= l.limit[i]) break;   // at once: another speed than the hour before
            const double flow_by_dust = flow * l.viscous[i] * hour.per_speed / l.steepness[i] * l.factor_slope[i];
            const double drop_by_dust =
                l.viscous[i] * l.factor_slope[i] * flow + (l.opposed[i] + 2.0 * l.inertial[i] * flow) * flow_by_dust;
            const double change = (l.limit[i] - drop) / drop_by_dust;
            end += change;
            if (!(std::abs(change) > 1e-14 * end)) break;
        }
        const double flow = hour.speed * l.place[i];
        double share = 0.0;   // of the hour
        if (end > begin) {
            solve(begin);
            const double place = l.place[i], delivered = l.delivered[i], energy = l.energy[i],
                         air_energy = l.air_energy[i];
            LaneHour part = hour;
            for (int step = 0; step < 6; ++step) {   // by what the hour so far would bring
                l.dust[i] = begin;
                l.place[i] = place;
                l.delivered[i] = delivered;
                l.energy[i] = energy;
                l.air_energy[i] = air_energy;
                l.advance(part, i);
                const double correction = (end - begin) / (l.dust[i] - begin);
                if (step == 5 || std::abs(correction - 1.0) < 1e-15) break;
                part.dose *= correction;
                part.seconds = hour.seconds * part.dose / hour.dose;
            }
            share = part.dose / hour.dose;
            l.dust[i] = end;
        }
        finish(i, HourlyEnd::final_resistance, 3600.0 * (static_cast<double>(number) + share), flow);
    }

    template <Deferred...>
    void finish(std::size_t i, HourlyEnd end, double age, double flow) {
        lanes_.active[i] = 0.0;
        HourlyLife& life = lives_[i];
        life.end = end;
        life.age = Time::from_value(age);
        life.dust_caught = Mass::from_value(lanes_.dust[i] / lanes_.per_area[i]);
        life.flow = VolumeFlow::from_value(flow);
        life.delivered = Volume::from_value(lanes_.delivered[i]);
        if (power_ != nullptr) life.fan_energy = Energy::from_value(lanes_.energy[i]);
        life.filter_air_energy = Energy::from_value(lanes_.air_energy[i]);
    }

    std::span<HourlyLife> lives_;
    PolynomialSystem ducts_;
    double scale_;
    const MonotoneCubic& table_;
    const MonotoneCubic* power_;
    HourlyLanes lanes_;
};

}   // namespace filterflow::detail
