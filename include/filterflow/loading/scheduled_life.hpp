// SPDX-License-Identifier: BSL-1.0
#pragma once

// A life by the hours of a schedule: dust, running time, fan speed levels and kinds of dust as they come. With one
// level and one kind of dust it is integrated once, in dose, and the hours only map dose to time; with several, each
// has its own curve and the life passes from one to the other as the schedule says. And a life with the range that an
// assumed translation from bench to building dust leaves.

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dust_classes.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/loading/dust_translation.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/life_course.hpp>
#include <filterflow/loading/schedule_walk.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

/// A speed level of the fan, with limits of its own.
template <class T>
struct BasicFanLevel {
    Fan fan;                       ///< its table at that level
    BasicFanScale<T> scale{};      ///< factors on the table
    BasicLifeLimits<T> limits{};   ///< while it runs at that level
};
using FanLevel = BasicFanLevel<double>;

/// An installation and the hours that it runs.
template <class T>
struct BasicScheduledLifeInput {
    BasicFilterLifeInput<T>
        installation;         ///< fan, scale and limits are those of level 0, dust classes those of dust 0;
                              ///< concentration, running fraction and horizon are the schedule's instead
    DustSchedule schedule;    ///< begins with the clean filter
    BasicTime<T> horizon{};   ///< calendar time after which to stop if no limit is met, > 0
    std::vector<BasicFanLevel<T>> further_levels{};        ///< of the fan, from level 1 on
    std::vector<std::vector<DustClass>> further_dusts{};   ///< from dust 1 on: other shares of the same classes
    std::optional<Time> resolution{};                      ///< calendar time between samples, > 0; absent: none
};
using ScheduledLifeInput = BasicScheduledLifeInput<double>;

/// When a moment of a scheduled life is.
template <class T>
struct BasicScheduledMoment {
    BasicTime<T> age{};       ///< calendar time since the beginning
    DutyHour hour{};          ///< of the schedule; where the fan stands still, the moment is as it runs at its level
    std::size_t moment = 0;   ///< place among the life's moments
};
using ScheduledMoment = BasicScheduledMoment<double>;

/// A life by the hours.
template <class T>
struct BasicScheduledLife {
    BasicFilterLife<T> life;                           ///< as of filter_life; moments: beginning, samples, end
    std::vector<BasicScheduledMoment<T>> calendar{};   ///< of each moment
    bool by_levels = false;                            ///< passed from level to level, or from dust to dust
};
using ScheduledLife = BasicScheduledLife<double>;

/// A life with the range that the translation from bench to building dust leaves.
struct FilterLifeRange {
    FilterLife shortest;   ///< with the greatest translation factor of the range
    FilterLife estimate;   ///< with its estimate
    FilterLife longest;    ///< with the least
    bool assumed = true;   ///< the translation is an assumption, not a field test
    std::string basis;     ///< of the translation, in words
};

namespace detail {

template <class T>
void check(const BasicScheduledLifeInput<T>& input, const char* where) {
    require_positive(where, "horizon", input.horizon.value(), "s");
    if (input.resolution) require_positive(where, "resolution", input.resolution->value(), "s");
    const std::size_t levels = 1 + input.further_levels.size(), dusts = 1 + input.further_dusts.size();
    if (input.schedule.levels() > levels) {
        throw_domain_error(where, "fan speed levels of the schedule", static_cast<double>(input.schedule.levels()), "",
                           "at most the " + std::to_string(levels) + " that are given");
    }
    if (input.schedule.dusts() > dusts) {
        throw_domain_error(where, "kinds of dust of the schedule", static_cast<double>(input.schedule.dusts()), "",
                           "at most the " + std::to_string(dusts) + " that are given");
    }
    for (const auto& classes : input.further_dusts) {
        check(std::span<const DustClass>(classes), where);
        if (classes.size() != input.installation.dust.classes.size()) {
            throw_domain_error(
                where, "number of a further dust's classes", static_cast<double>(classes.size()), "",
                "the number of the first dust's, " + std::to_string(input.installation.dust.classes.size()));
        }
    }
}

/// The installation at one level with one dust, as filter_life takes it, without limits of the calendar.
template <class T>
BasicFilterLifeInput<T> regime_input(const BasicScheduledLifeInput<T>& input, std::size_t level, std::size_t dust) {
    BasicFilterLifeInput<T> regime = input.installation;
    if (level > 0) {
        const BasicFanLevel<T>& of = input.further_levels[level - 1];
        regime.fan = of.fan;
        regime.fan_scale = of.scale;
        regime.limits = of.limits;
    }
    if (dust > 0) regime.dust.classes = input.further_dusts[dust - 1];
    regime.dust.concentration = BasicMassConcentration<T>::from_value(T(input.schedule.mean_concentration().value()));
    regime.running_fraction = T(1.0);
    regime.horizon = input.horizon;
    for (auto& stage : regime.stages) stage.greatest_age.reset();
    return regime;
}

/// Fills in the figures of a life from where a walk has come to.
template <class T>
BasicScheduledLife<T> scheduled_life_of_walk(const LifeModel<T>& model, ScheduleWalk<T>& walk, const WalkEnd<T>& end) {
    BasicScheduledLife<T> result;
    BasicFilterLife<T>& life = result.life;
    life.end = end.end;
    life.stage = end.stage;
    life.reason = life_end_text(end.end, end.stage, model.stages());
    life.limit_met = end.end != LifeEnd::horizon && end.end != LifeEnd::no_operating_point;
    life.derivatives_known = end.derivatives_known;
    if (walk.samples().empty()) return result;
    for (WalkSample<T>& sample : walk.samples()) {
        result.calendar.push_back({BasicTime<T>::from_value(sample.age), sample.hour, life.moments.size()});
        life.moments.push_back(std::move(sample.moment));
    }
    life.age = BasicTime<T>::from_value(end.age);
    take_totals(model.input(), walk.masses(), walk.totals().arrived, life);
    return result;
}

template <class T>
BasicScheduledLife<T> scheduled_life_of(const BasicScheduledLifeInput<T>& input) {
    constexpr auto where = "scheduled_life";
    check(input, where);
    const double every = input.resolution ? input.resolution->value() : HUGE_VAL;
    const std::size_t dusts = 1 + input.further_dusts.size();
    Regimes<T> models(dusts * (1 + input.further_levels.size()));
    bool several = false;
    std::optional<std::size_t> only;
    for (const DutyHour& hour : input.schedule.hours()) {
        if (!(hour.running > 0.0)) continue;
        const std::size_t r = hour.dust + dusts * hour.level;
        several = several || (only && *only != r);
        if (models[r]) continue;
        only = r;
        models[r].emplace(checked_life_model(regime_input(input, hour.level, hour.dust), where));
    }
    ScheduleWalk<T> walk(input.schedule, models, dusts);
    const DutyHour first = walk.first_running_hour();
    const WalkEnd<T> limit = calendar_limit(input.installation, T(input.horizon.value()));
    if (several) {
        const WalkEnd<T> end = walk.walk(limit, every);
        BasicScheduledLife<T> life = scheduled_life_of_walk(walk.model_of(first), walk, end);
        life.by_levels = true;
        return life;
    }
    const LifeModel<T>& model = walk.model_of(first);
    const std::vector<T> clean(model.stages(), T(0.0));
    const T whole = sum_until(input.schedule, input.schedule.dose_sums(), limit.age);
    const LifeSegment<T> segment = life_segment(model, clean, clean, whole, true);
    WalkEnd<T> end = limit;
    if (segment.end != LifeEnd::horizon) {
        end = {segment.end, segment.stage, segment.derivatives_known, T(0.0)};
        if (!segment.doses.empty()) {
            end.age = time_of_sum(input.schedule, input.schedule.dose_sums(), segment.doses.back());
        }
    }
    if (!segment.doses.empty()) walk.follow(model, segment, end, every);
    return scheduled_life_of_walk(model, walk, end);
}

}   // namespace detail

/// The life of an installation by the hours of a schedule.
///
/// Equation: as filter_life with theta = integral of C f dt; time integrals of X are sums over the hours of
///           (1/C) times the integral of X over the dose of the hour
/// Symbols:  theta dust dose, C concentration and f running share of the hour
/// Validity: as filter_life; within an hour concentration and running are even, and the fan runs at one level. Age
///           counts calendar time. Levels: each limit holds while its level runs, so a limit may be met at the first
///           hour of a higher level. Of several levels derivatives to the calendar time hold but at the boundaries of
///           hours
/// @param  input  installation, schedule, horizon, levels, dusts, resolution
/// @return the life with samples at the resolution asked for, and their calendar
/// @throws DomainError as filter_life, or if the schedule has more levels or dusts than are given
/// @source as filter_life; test: loading/scheduled_life_test.cpp
template <std::size_t N>
BasicScheduledLife<Dual<N>> scheduled_life(const BasicScheduledLifeInput<Dual<N>>& input) {
    return detail::scheduled_life_of(input);
}
template <Deferred...>
inline ScheduledLife scheduled_life(const ScheduledLifeInput& input) { return detail::scheduled_life_of(input); }

/// A life with the range that the translation from bench to building dust leaves.
///
/// Equation: filter_life with the equivalence at the range's ends and at its estimate
/// Symbols:  none
/// Validity: more dust of the bench's kind loads faster, so the greatest factor gives the shortest life
/// @param  input  as filter_life; its equivalence is not read
/// @param  translation  measured, or assumed with a range
/// @return the three lives
/// @throws DomainError as filter_life
/// @source as filter_life; test: loading/scheduled_life_test.cpp
template <Deferred...>
inline FilterLifeRange filter_life_range(FilterLifeInput input, const DustTranslation& translation) {
    const auto with = [&](double factor) {
        input.dust.equivalence = factor;
        return filter_life(input);
    };
    return {with(translation.range.upper), with(translation.factor.value), with(translation.range.lower),
            translation.assumed, translation.basis};
}

}   // namespace filterflow
