// SPDX-License-Identifier: BSL-1.0
#pragma once

// A life that answers for any moment of it: states in between come from the integration itself (its dense output), not
// from a life computed anew; flow, pressures and power at them from one operating point. And the outcome of a life
// alone, without the way there.

#include <algorithm>
#include <cstddef>
#include <memory>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dormand_prince.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/filter_stage.hpp>
#include <filterflow/loading/inverse_course.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_segment.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow {

namespace detail {

/// Dust on the stages and running integrals at a dose between the first and the last of a segment.
template <class T>
std::vector<T> state_between(const LifeSegment<T>& s, const T& dose) {
    if (s.doses.size() == 1) return s.states.front();
    const double at = plain_value(dose);
    const auto after = std::upper_bound(s.doses.begin() + 1, s.doses.end() - 1, at,
                                        [](double x, const T& d) { return x < plain_value(d); });
    const auto i = static_cast<std::size_t>(after - s.doses.begin()) - 1;
    const T size = s.doses[i + 1] - s.doses[i], share = (dose - s.doses[i]) / size;
    std::vector<T> y(s.states[i].size());
    for (std::size_t j = 0; j < y.size(); ++j) {
        y[j] = dormand_prince_between(s.states[i][j], s.rates[i][j], s.states[i + 1][j], s.rates[i + 1][j],
                                      s.bends[i][j], size, share);
    }
    return y;
}

}   // namespace detail

/// A life and all of its moments. Made by life_course; cheap to copy. Copies share what moments are computed with: ask
/// them from one thread at a time.
template <class T>
class BasicLifeCourse {
public:
    const BasicFilterLife<T>& life() const { return *life_; }
    const detail::LifeModel<T>& model() const { return *model_; }
    const detail::LifeSegment<T>& segment() const { return *segment_; }

    /// The course of a checked input.
    static BasicLifeCourse of(const BasicFilterLifeInput<T>& input, const char* where) {
        BasicLifeCourse course;
        auto model = std::make_shared<const detail::LifeModel<T>>(detail::checked_life_model(input, where));
        const std::vector<T> clean(model->stages(), T(0.0));
        const T whole = input.horizon.value() * input.dust.concentration.value();
        auto segment =
            std::make_shared<const detail::LifeSegment<T>>(detail::life_segment(*model, clean, clean, whole, true));
        course.life_ = std::make_shared<const BasicFilterLife<T>>(detail::life_of_segment(*model, *segment));
        course.model_ = std::move(model);
        course.segment_ = std::move(segment);
        return course;
    }

private:
    BasicLifeCourse() = default;

    std::shared_ptr<const detail::LifeModel<T>> model_;
    std::shared_ptr<const detail::LifeSegment<T>> segment_;
    std::shared_ptr<const BasicFilterLife<T>> life_;
};
using LifeCourse = BasicLifeCourse<double>;

/// The life of a filter installation with all of its moments.
///
/// Equation: as filter_life; in between by the dense output of the integration
/// Symbols:  as filter_life
/// Validity: as filter_life; in between within 1e-8 of the masses at the end
/// @param  input  fan, ducts, stages, dust, running fraction, air, limits, horizon
/// @return the course; life() is what filter_life returns, with moments closer together
/// @throws DomainError as filter_life
/// @source as filter_life; test: loading/life_course_test.cpp
template <std::size_t N>
BasicLifeCourse<Dual<N>> life_course(const BasicFilterLifeInput<Dual<N>>& input) {
    return BasicLifeCourse<Dual<N>>::of(input, "life_course");
}
template <Deferred...>
inline LifeCourse life_course(const FilterLifeInput& input) { return LifeCourse::of(input, "life_course"); }

/// The installation at any moment of its life.
///
/// Equation: as life_course
/// Symbols:  as life_course
/// Validity: from the clean filter to the end of the life; nothing beyond is made up
/// @param  course  of a life that has begun
/// @param  time  running time [s], 0 to the life's
/// @return the moment
/// @throws DomainError if there was no operating point to begin with, or the time lies outside the life
/// @source as life_course; test: loading/life_course_test.cpp
template <class T>
BasicLifeMoment<T> life_moment_at(const BasicLifeCourse<T>& course, BasicTime<T> time) {
    constexpr auto where = "life_moment_at";
    if (course.life().moments.empty()) {
        throw DomainError(std::string(where) + ": the life has no moment: " + course.life().reason);
    }
    const double end = detail::plain_value(course.life().time.value());
    detail::require_between(where, "time", time.value(), 0.0, end * (1.0 + 1e-12), "s");
    const T dose = time.value() * course.model().input().dust.concentration.value();
    const std::vector<T> y = detail::state_between(course.segment(), dose);
    detail::LifePoint<T> p;
    if (!course.model().point(y, p)) p = course.segment().points.back();   // a hair past the end of the fan's table
    return detail::life_moment(course.model(), dose, y, p);
}
template <Deferred...>
inline LifeMoment life_moment_at(const LifeCourse& course, Time time) { return life_moment_at<double>(course, time); }

/// A life in moments an even running time apart.
///
/// Equation: as life_moment_at, at 0, step, 2 step, ... and at the end
/// Symbols:  none
/// Validity: as life_moment_at
/// @param  course  of a life that has begun
/// @param  step  running time between moments [s], > 0
/// @return moments in order of time, the last at the life's end
/// @throws DomainError as life_moment_at, or if the step is not > 0 or asks for more than 10 million moments
/// @source as life_course; test: loading/life_course_test.cpp
template <class T>
std::vector<BasicLifeMoment<T>> life_series(const BasicLifeCourse<T>& course, Time step) {
    constexpr auto where = "life_series";
    const double seconds = detail::require_positive(where, "step", step.value(), "s");
    const double end = detail::plain_value(course.life().time.value());
    detail::require_between(where, "number of moments", end / seconds, 0.0, 1e7, "-");
    std::vector<BasicLifeMoment<T>> series;
    series.reserve(static_cast<std::size_t>(end / seconds) + 2);
    for (double i = 0.0; i * seconds < end * (1.0 - 1e-12); i += 1.0) {
        series.push_back(life_moment_at(course, BasicTime<T>::from_value(T(i * seconds))));
    }
    series.push_back(life_moment_at(course, course.life().time));
    return series;
}

/// What a life came to, without the way there.
struct LifeOutcome {
    LifeEnd end = LifeEnd::horizon;       ///< what ended it
    std::size_t stage = 0;                ///< which stage, from zero, for final_resistance, age and bridging
    bool begun = false;                   ///< false: there is no operating point to begin with, and nothing else holds
    Time time{};                          ///< running time until the end
    DustDose dose{};                      ///< until the end
    VolumeFlow flow{};                    ///< at the end
    Pressure filter_drop{};               ///< of all stages, at the end
    std::optional<Power> power{};         ///< at the end; absent if the fan's table has none
    Mass dust_arrived{};                  ///< with the air
    Mass dust_caught{};                   ///< by all stages
    Volume delivered{};                   ///< air
    std::optional<Energy> fan_energy{};   ///< absent if the fan's table has no power
    Energy filter_air_energy{};           ///< flow times filter pressure drop
};

namespace detail {

template <Deferred...>
inline LifeOutcome outcome_of(const FilterLife& life) {
    LifeOutcome outcome{.end = life.end, .stage = life.stage};
    if (life.moments.empty()) return outcome;
    const LifeMoment& last = life.moments.back();
    outcome.begun = true;
    outcome.time = last.time;
    outcome.dose = last.dose;
    outcome.flow = last.flow;
    outcome.filter_drop = last.filter_drop;
    outcome.power = last.power;
    outcome.dust_arrived = life.dust_arrived;
    outcome.dust_caught = life.dust_caught;
    outcome.delivered = last.delivered;
    outcome.fan_energy = last.fan_energy;
    outcome.filter_air_energy = last.filter_air_energy;
    return outcome;
}

}   // namespace detail

/// The outcome of a life: where it ends and what it did until then, some ten times as fast as the whole life where it
/// is found by inverse quadrature.
///
/// Equation: as filter_life
/// Symbols:  as filter_life
/// Validity: as filter_life; the fast way for one stage without pleats, a fan that falls throughout or holds its flow,
///           ducts that never fall; else what filter_life finds
/// @param  input  fan, ducts, stages, dust, running fraction, air, limits, horizon
/// @return what ended the life and the totals until then
/// @throws DomainError as filter_life
/// @source as filter_life; test: loading/life_course_test.cpp
template <Deferred...>
inline LifeOutcome life_outcome(const FilterLifeInput& input) {
    constexpr auto where = "life_outcome";
    detail::check(input, where);
    if (!detail::InverseLife::applies(input)) return detail::outcome_of(detail::filter_life_of(input));
    detail::InverseCourse course(input);
    const double c = input.dust.concentration.value();
    const auto [limit, at_limit] = detail::dose_limit(input, 0.0, input.horizon.value() * c);
    if (!course.run(input, 0.0, limit, at_limit, 1)) return detail::outcome_of(detail::filter_life_of(input));
    if (course.end() == LifeEnd::final_resistance && course.nodes().size() == 1) {
        return detail::outcome_of(detail::filter_life_of(input));   // refuses a final resistance below the clean drop
    }
    const detail::InverseNode& last = course.nodes().back();
    const detail::InversePlace place = course.life().at(last.x);
    LifeOutcome outcome{.end = course.end(), .begun = true};
    outcome.time = Time::from_value(last.sums[0] / c);
    outcome.dose = DustDose::from_value(last.sums[0]);
    outcome.flow = VolumeFlow::from_value(place.flow);
    outcome.filter_drop = Pressure::from_value(place.drop);
    outcome.dust_arrived = Mass::from_value(last.sums[1]);
    outcome.dust_caught = Mass::from_value(last.sums[5]);
    outcome.delivered = Volume::from_value(last.sums[1] / c);
    if (course.life().has_power()) {
        outcome.power = Power::from_value(place.power);
        outcome.fan_energy = Energy::from_value(last.sums[2] / c);
    }
    outcome.filter_air_energy = Energy::from_value(last.sums[3] / c);
    return outcome;
}

}   // namespace filterflow
