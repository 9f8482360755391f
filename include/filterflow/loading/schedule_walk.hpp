// SPDX-License-Identifier: BSL-1.0
#pragma once

// The walk of a life through the hours of a schedule: hours alike are one block; dose advances by what the block
// brings, time integrals by those over dose divided by the block's concentration. Where fan level and kind of dust
// never change the life is integrated once, in dose, and the walk only reads it; else each block is a segment of its
// own level. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_segment.hpp>

namespace filterflow::detail {

/// Hours of a schedule that are alike, cut at a calendar time.
struct ScheduleBlock {
    double begin, end;   // calendar time [s]
    DutyHour hour;       // of all of it
};

inline bool alike(const DutyHour& a, const DutyHour& b) {
    return a.concentration == b.concentration && a.running == b.running && a.level == b.level && a.dust == b.dust;
}

template <Deferred...>
inline ScheduleBlock next_block(const DustSchedule& schedule, double begin, double cut) {
    const auto hours = schedule.hours();
    double number = std::floor(begin / 3600.0 + 1e-9);
    const auto hour_at = [&](double n) {
        return hours[static_cast<std::size_t>(std::fmod(n, static_cast<double>(hours.size())))];
    };
    ScheduleBlock block{begin, 0.0, hour_at(number)};
    if (hours.size() == 1) {
        block.end = cut;
        return block;
    }
    do {
        number += 1.0;
        block.end = 3600.0 * number;
    } while (block.end < cut && alike(hour_at(number), block.hour));
    block.end = std::min(block.end, cut);
    return block;
}

/// Time integrals of a life so far.
template <class T>
struct LifeTotals {
    T running{0.0}, dose{0.0}, arrived{0.0};
    std::vector<T> over_time;   // in the order of LifeModel's integrals

    /// Adds a stretch of running time at one concentration: integrals over dose, or rates where no dust came.
    void add(const std::vector<T>& over_dose, const T& dose_step, double concentration) {
        running = running + dose_step / T(concentration);
        dose = dose + dose_step;
        arrived = arrived + over_dose[0];
        for (std::size_t j = 0; j < over_time.size(); ++j)
            over_time[j] = over_time[j] + over_dose[j] / T(concentration);
    }
    void add_without_dust(const std::vector<T>& rates, std::size_t stages, const T& time) {
        running = running + time;
        for (std::size_t j = 0; j < over_time.size(); ++j) over_time[j] = over_time[j] + rates[stages + j] * time;
    }
};

template <class T>
BasicLifeMoment<T> scheduled_moment(const LifeModel<T>& model, const LifeTotals<T>& totals,
                                    const std::vector<T>& masses, const LifePoint<T>& p) {
    const std::size_t n = model.stages();
    std::vector<T> y = masses;
    y.resize(n);
    const T c = model.input().dust.concentration.value();
    for (const T& integral : totals.over_time) y.push_back(integral * c);   // life_moment divides by it
    BasicLifeMoment<T> moment = life_moment(model, totals.dose, y, p);
    moment.time = BasicTime<T>::from_value(totals.running);
    return moment;
}

/// How a walk ended.
template <class T>
struct WalkEnd {
    LifeEnd end = LifeEnd::horizon;
    std::size_t stage = 0;
    bool derivatives_known = true;
    T age{0.0};   // calendar time
};

/// The last calendar time that a life may reach, and why: the horizon or a stage's age.
template <class T>
WalkEnd<T> calendar_limit(const BasicFilterLifeInput<T>& installation, const T& horizon) {
    WalkEnd<T> limit{LifeEnd::horizon, 0, true, horizon};
    for (std::size_t k = 0; k < installation.stages.size(); ++k) {
        const auto& age = installation.stages[k].greatest_age;
        if (age && age->value() < limit.age) limit = {LifeEnd::age, k, true, age->value()};
    }
    return limit;
}

/// What a walk tells of itself: the beginning, each time asked for, the end.
template <class T>
struct WalkSample {
    T age;
    DutyHour hour;
    BasicLifeMoment<T> moment;
};

/// One regime: fan level and kind of dust.
template <class T>
using Regimes = std::vector<std::optional<LifeModel<T>>>;

template <class T>
class ScheduleWalk {
public:
    /// models: by dust + dusts * level; those that occur.
    ScheduleWalk(const DustSchedule& schedule, const Regimes<T>& models, std::size_t dusts)
        : schedule_(schedule), models_(models), dusts_(dusts) {}

    const LifeModel<T>& model_of(const DutyHour& hour) const { return *models_[hour.dust + dusts_ * hour.level]; }

    /// Follows a life that was integrated in dose through the hours, until a calendar time.
    void follow(const LifeModel<T>& model, const LifeSegment<T>& segment, const WalkEnd<T>& end, double every) {
        begin(model);
        const T last_dose = segment.doses.back();
        std::vector<T> y = segment.states.front();
        T dose(0.0);
        const double stop = plain_value(end.age);
        sample(model, T(0.0), block_at(0.0), y, segment.points.front());
        std::vector<T> over_dose(totals_.over_time.size());
        double asked = every;
        for (double t = 0.0; t < stop;) {
            const ScheduleBlock block = next_block(schedule_, t, std::min(asked, stop));
            const bool last = block.end >= stop;
            const T until = last ? end.age : T(block.end);
            const double c = block.hour.concentration.value();
            const T running = T(block.hour.running) * (until - T(t));
            if (c > 0.0 && block.hour.running > 0.0) {
                T next = last ? last_dose : T(dose + T(c) * running);
                if (next > last_dose) next = last_dose;
                const std::vector<T> z = state_between(segment, next);
                for (std::size_t j = 0; j < over_dose.size(); ++j) {
                    over_dose[j] = z[model.stages() + j] - y[model.stages() + j];
                }
                totals_.add(over_dose, T(next - dose), c);
                y = z;
                dose = next;
            } else if (block.hour.running > 0.0) {
                LifePoint<T> p;
                std::vector<T> rates;
                model.point(y, p);
                model.rates_at(p, rates);
                totals_.add_without_dust(rates, model.stages(), running);
            }
            t = block.end;
            if (last || t >= asked) {
                LifePoint<T> p;
                if (!model.point(y, p)) p = segment.points.back();
                sample(model, until, block.hour, y, p);
                asked += every;
            }
        }
        masses_ = y;
    }

    /// Walks block by block, each by its own level and dust.
    WalkEnd<T> walk(const WalkEnd<T>& limit, double every) {
        const LifeModel<T>& first = model_of(first_running_hour());
        const std::size_t n = first.stages();
        begin(first);
        std::vector<T> masses(n, T(0.0));
        const std::vector<T> no_ages(n, T(0.0));
        const double stop = plain_value(limit.age);
        WalkEnd<T> end = limit;
        double asked = every;
        LifePoint<T> p;
        if (!first.point(masses, p)) return {LifeEnd::no_operating_point, 0, false, T(0.0)};
        sample(first, T(0.0), first_running_hour(), masses, p);
        for (double t = 0.0; t < stop;) {
            const ScheduleBlock block = next_block(schedule_, t, std::min(asked, stop));
            const bool last = block.end >= stop;
            T until = last ? limit.age : T(block.end);
            const double c = block.hour.concentration.value(), running = block.hour.running;
            bool ended = false;
            if (running > 0.0) {
                const LifeModel<T>& model = model_of(block.hour);
                const T time = T(running) * (until - T(t));
                if (c > 0.0) {
                    const auto segment = run_life_segment(model, masses, no_ages, T(T(c) * time), 1);
                    ended = segment.end != LifeEnd::horizon;
                    if (!segment.doses.empty()) {
                        const std::vector<T>& y = segment.states.back();
                        const std::vector<T> over_dose(y.begin() + static_cast<std::ptrdiff_t>(n), y.end());
                        totals_.add(over_dose, segment.doses.back(), c);
                        for (std::size_t k = 0; k < n; ++k) masses[k] = y[k];
                        p = segment.points.back();
                    }
                    if (ended) {
                        const T used = segment.doses.empty() ? T(0.0) : segment.doses.back();
                        until = T(t) + used / T(c * running);
                        end = {segment.end, segment.stage, segment.derivatives_known, until};
                    }
                } else {
                    std::vector<T> rates;
                    ended = !model.point(masses, p);
                    if (ended) end = {LifeEnd::no_operating_point, 0, false, T(t)};
                    for (const LifeEvent<T>& event :
                         ended ? std::vector<LifeEvent<T>>{} : life_events(model, masses, p)) {
                        if (event.value < T(0.0) || ended) continue;
                        ended = true;
                        end = {event.end, event.stage, false, T(t)};
                    }
                    if (!ended) {
                        model.rates_at(p, rates);
                        totals_.add_without_dust(rates, n, time);
                    } else {
                        until = T(t);
                    }
                }
                if (ended || last || block.end >= asked) sample(model, until, block.hour, masses, p);
            } else if (last || block.end >= asked) {
                const LifeModel<T>& model = model_of(first_running_hour());
                if (model.point(masses, p)) sample(model, until, first_running_hour(), masses, p);
            }
            if (block.end >= asked) asked += every;
            if (ended) break;
            t = block.end;
        }
        masses_ = masses;
        return end;
    }

    const LifeTotals<T>& totals() const { return totals_; }
    const std::vector<T>& masses() const { return masses_; }
    std::vector<WalkSample<T>>& samples() { return samples_; }

    DutyHour first_running_hour() const {
        for (const DutyHour& hour : schedule_.hours()) {
            if (hour.running > 0.0) return hour;
        }
        return schedule_.hours().front();
    }

private:
    void begin(const LifeModel<T>& model) {
        totals_ = {};
        totals_.over_time.assign(model.integrals(), T(0.0));
        samples_.clear();
    }
    DutyHour block_at(double t) const { return next_block(schedule_, t, t + 1.0).hour; }
    void sample(const LifeModel<T>& model, const T& age, const DutyHour& hour, const std::vector<T>& y,
                const LifePoint<T>& p) {
        samples_.push_back({age, hour, scheduled_moment(model, totals_, y, p)});
    }

    const DustSchedule& schedule_;
    const Regimes<T>& models_;
    std::size_t dusts_;
    LifeTotals<T> totals_;
    std::vector<T> masses_;
    std::vector<WalkSample<T>> samples_;
};

}   // namespace filterflow::detail
