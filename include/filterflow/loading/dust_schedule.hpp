// SPDX-License-Identifier: BSL-1.0
#pragma once

// When dust arrives: concentration, running share, fan speed level and kind of dust hour by hour of a period that
// repeats (one hour: constant; 168: weekly; 8760: a year, as a series or made of seasons). Its clock turns dust dose
//
//     theta(t) = integral over calendar time of C f,   C concentration, f share of the time that the fan runs
//
// into time and back, so that a filter's life is integrated in dose and the hours only map dose to time.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {
using dust_dose_unit = si_unit<-3, 1, 1>;
}   // namespace detail
template <class T>
using BasicDustDose = boost::units::quantity<detail::dust_dose_unit, T>;
using DustDose = BasicDustDose<double>;   ///< concentration of dust upstream, integrated over running time

/// One hour of a schedule.
struct DutyHour {
    MassConcentration concentration{};   ///< of dust upstream of the first stage, >= 0
    double running = 1.0;                ///< share of the hour that the fan runs, 0 to 1
    std::size_t level = 0;               ///< fan speed level while it runs, from zero
    std::size_t dust = 0;                ///< which of the building's dusts, from zero
};

/// What the months of a year do to a week, by factors; the running share may not pass one.
struct SeasonFactors {
    std::array<double, 12> running{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};         ///< on the running share, >= 0
    std::array<double, 12> concentration{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};   ///< on the concentration, >= 0
};

class DustSchedule;
template <Deferred...>
DustSchedule hourly_schedule(std::vector<DutyHour> hours);

/// Hours that repeat, with their running sums. Made by constant_, weekly_, seasonal_ or hourly_schedule.
class DustSchedule {
public:
    std::span<const DutyHour> hours() const { return hours_; }
    Time period() const { return Time::from_value(3600.0 * static_cast<double>(hours_.size())); }
    Time running_time() const { return Time::from_value(running_.back()); }          ///< in a period
    DustDose dose() const { return DustDose::from_value(dose_.back()); }             ///< in a period
    template <Deferred...>
    double running_fraction() const { return running_.back() / period().value(); }   ///< of the calendar time
    MassConcentration mean_concentration() const {                                   ///< while it runs
        return MassConcentration::from_value(dose_.back() / running_.back());
    }
    std::size_t levels() const { return levels_; }   ///< fan speed levels that occur: the highest, plus one
    std::size_t dusts() const { return dusts_; }     ///< kinds of dust that occur: the highest, plus one
    std::span<const double> dose_sums() const { return dose_; }         ///< [kg s/m3] at each hour's beginning, the end
    std::span<const double> running_sums() const { return running_; }   ///< [s] at each hour's beginning, the end

private:
    template <Deferred...>
    friend DustSchedule hourly_schedule(std::vector<DutyHour> hours);
    DustSchedule() = default;

    std::vector<DutyHour> hours_;
    std::vector<double> dose_, running_;
    std::size_t levels_ = 0, dusts_ = 0;
};

/// Hours that repeat, one after the other: a year of 8760, or any other period.
///
/// Equation: theta = sum C f dt; running time = sum f dt
/// Symbols:  C concentration [kg/m3], f running share [-], dt an hour
/// Validity: within an hour concentration and running are taken as even
/// @param  hours  of the period; shape (n), n >= 1
/// @return the schedule
/// @throws DomainError if there is no hour, a value is out of its range, or no dust arrives in all of the period
/// @source definition; test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustSchedule hourly_schedule(std::vector<DutyHour> hours) {
    constexpr auto where = "hourly_schedule";
    if (hours.empty()) detail::throw_domain_error(where, "number of hours", 0.0, "", "at least 1");
    DustSchedule schedule;
    schedule.dose_.reserve(hours.size() + 1);
    schedule.running_.reserve(hours.size() + 1);
    schedule.dose_.push_back(0.0);
    schedule.running_.push_back(0.0);
    for (std::size_t i = 0; i < hours.size(); ++i) {
        const DutyHour& hour = hours[i];
        if (!(hour.concentration.value() >= 0.0) || !std::isfinite(hour.concentration.value()) ||
            !(hour.running >= 0.0 && hour.running <= 1.0)) {
            const std::string name = "hour " + std::to_string(i + 1) + ": ";
            detail::require_non_negative(where, name + "concentration", hour.concentration.value(), "kg/m3");
            detail::require_between(where, name + "running", hour.running, 0.0, 1.0, "-");
        }
        schedule.running_.push_back(schedule.running_.back() + 3600.0 * hour.running);
        schedule.dose_.push_back(schedule.dose_.back() + 3600.0 * hour.running * hour.concentration.value());
        if (hour.running > 0.0) {
            schedule.levels_ = std::max(schedule.levels_, hour.level + 1);
            schedule.dusts_ = std::max(schedule.dusts_, hour.dust + 1);
        }
    }
    detail::require_positive(where, "dust dose of the period", schedule.dose_.back(), "kg s/m3");
    schedule.hours_ = std::move(hours);
    return schedule;
}

/// The same dust and the same running share at any time.
///
/// Equation: as hourly_schedule, of one hour
/// Symbols:  as hourly_schedule
/// Validity: a mean; how it came about does not matter as long as the fan has one speed
/// @param  concentration  of dust upstream [kg/m3], > 0
/// @param  running  share of the time that the fan runs [-], > 0 and <= 1
/// @return the schedule
/// @throws DomainError as hourly_schedule
/// @source definition; test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustSchedule constant_schedule(MassConcentration concentration, double running) {
    return hourly_schedule({{.concentration = concentration, .running = running}});
}

/// A week that repeats.
///
/// Equation: as hourly_schedule
/// Symbols:  as hourly_schedule
/// Validity: as hourly_schedule
/// @param  hours  of the week, beginning with its first; shape (168)
/// @return the schedule
/// @throws DomainError as hourly_schedule, or if there are not 168 hours
/// @source definition; test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustSchedule weekly_schedule(std::span<const DutyHour> hours) {
    if (hours.size() != 168) {
        detail::throw_domain_error("weekly_schedule", "number of hours", static_cast<double>(hours.size()), "",
                                   "168: a week");
    }
    return hourly_schedule({hours.begin(), hours.end()});
}

/// A year of 365 days made of one week and the months' factors: seasonal running and seasonal dust.
///
/// Equation: f = f_week g_month, C = C_week h_month
/// Symbols:  g, h factors of the month
/// Validity: the year begins with the week's first hour
/// @param  week  hours of a week; shape (168)
/// @param  seasons  factors of January to December
/// @return the schedule, of 8760 hours
/// @throws DomainError as weekly_schedule, or if a running share passes 1 by its factor
/// @source definition; test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustSchedule seasonal_schedule(std::span<const DutyHour> week, const SeasonFactors& seasons) {
    constexpr auto where = "seasonal_schedule";
    if (week.size() != 168) {
        detail::throw_domain_error(where, "number of hours", static_cast<double>(week.size()), "", "168: a week");
    }
    constexpr std::array<std::size_t, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    std::vector<DutyHour> hours;
    hours.reserve(8760);
    for (std::size_t month = 0; month < 12; ++month) {
        const std::string name = "month " + std::to_string(month + 1) + ": ";
        detail::require_non_negative(where, name + "factor on running", seasons.running[month], "-");
        detail::require_non_negative(where, name + "factor on concentration", seasons.concentration[month], "-");
        for (std::size_t i = 0; i < 24 * days[month]; ++i) {
            DutyHour hour = week[hours.size() % 168];
            hour.running *= seasons.running[month];
            hour.concentration *= seasons.concentration[month];
            if (!(hour.running <= 1.0)) {
                detail::throw_domain_error(where, name + "running share", hour.running, "-", "at most 1");
            }
            hours.push_back(hour);
        }
    }
    return hourly_schedule(std::move(hours));
}

namespace detail {

/// Sum until a calendar time since the schedule's beginning.
template <class T>
T sum_until(const DustSchedule& schedule, std::span<const double> sums, const T& time) {
    const double period = schedule.period().value(), seconds = plain_value(time);
    const double periods = std::floor(seconds / period);
    const double within = std::min(std::max(seconds - periods * period, 0.0), period);
    const auto slot = std::min(static_cast<std::size_t>(within / 3600.0), sums.size() - 2);
    const T into = time - T(periods * period + 3600.0 * static_cast<double>(slot));
    return T(periods * sums.back() + sums[slot]) + into * T((sums[slot + 1] - sums[slot]) / 3600.0);
}

/// The first calendar time since the schedule's beginning by which a sum (dose or running time) has come together.
template <class T>
T time_of_sum(const DustSchedule& schedule, std::span<const double> sums, const T& amount) {
    const double whole = sums.back(), plain = plain_value(amount);
    if (!(plain > 0.0)) return T(0.0);
    const double periods = std::ceil(plain / whole) - 1.0;
    const double rest = std::min(plain - periods * whole, whole);
    const auto after = std::lower_bound(sums.begin() + 1, sums.end(), rest);   // complete in the hour before it
    const auto slot = static_cast<std::size_t>(after - sums.begin()) - 1;
    const double begin = periods * schedule.period().value() + 3600.0 * static_cast<double>(slot);
    const double rate = (sums[slot + 1] - sums[slot]) / 3600.0;
    return T(begin) + (amount - T(periods * whole + sums[slot])) / T(rate);
}

}   // namespace detail

/// Dust dose that has arrived until a calendar time.
///
/// Equation: theta = integral of C f dt
/// Symbols:  as hourly_schedule
/// Validity: the schedule repeats
/// @param  schedule  hours that repeat
/// @param  time  calendar time since the schedule's beginning [s], >= 0
/// @return dose [kg s/m3]
/// @throws DomainError if the time is negative or not finite
/// @source definition; test: loading/dust_schedule_test.cpp
template <class T>
BasicDustDose<T> dose_until(const DustSchedule& schedule, BasicTime<T> time) {
    const T t = detail::require_non_negative("dose_until", "time", time.value(), "s");
    return BasicDustDose<T>::from_value(detail::sum_until(schedule, schedule.dose_sums(), t));
}
template <Deferred...>
inline DustDose dose_until(const DustSchedule& schedule, Time time) { return dose_until<double>(schedule, time); }

/// Running time until a calendar time.
///
/// Equation: integral of f dt
/// Symbols:  as hourly_schedule
/// Validity: as dose_until
/// @param  schedule  hours that repeat
/// @param  time  calendar time since the schedule's beginning [s], >= 0
/// @return running time [s]
/// @throws DomainError as dose_until
/// @source definition; test: loading/dust_schedule_test.cpp
template <class T>
BasicTime<T> running_time_until(const DustSchedule& schedule, BasicTime<T> time) {
    const T t = detail::require_non_negative("running_time_until", "time", time.value(), "s");
    return BasicTime<T>::from_value(detail::sum_until(schedule, schedule.running_sums(), t));
}
template <Deferred...>
inline Time running_time_until(const DustSchedule& schedule, Time time) {
    return running_time_until<double>(schedule, time);
}

/// Calendar time at which a dust dose is reached: the inverse of dose_until.
///
/// Equation: the first t with theta(t) = theta
/// Symbols:  as dose_until
/// Validity: as dose_until
/// @param  schedule  hours that repeat
/// @param  dose  dust dose [kg s/m3], >= 0
/// @return calendar time since the schedule's beginning [s]
/// @throws DomainError if the dose is negative or not finite
/// @source definition; test: loading/dust_schedule_test.cpp
template <class T>
BasicTime<T> calendar_time_at(const DustSchedule& schedule, BasicDustDose<T> dose) {
    const T theta = detail::require_non_negative("calendar_time_at", "dose", dose.value(), "kg s/m3");
    return BasicTime<T>::from_value(detail::time_of_sum(schedule, schedule.dose_sums(), theta));
}
template <Deferred...>
inline Time calendar_time_at(const DustSchedule& schedule, DustDose dose) {
    return calendar_time_at<double>(schedule, dose);
}

}   // namespace filterflow
