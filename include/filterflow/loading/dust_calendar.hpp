// SPDX-License-Identifier: BSL-1.0
#pragma once

// When changes fall in a year whose months differ: the same dust comes together sooner where the fan runs more or the
// air is dustier, so filters put in before the busy season last for fewer months.

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/common_year.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/loading/dust_schedule.hpp>

namespace filterflow {

/// Calendar time between two changes by the month in which the first falls.
struct ChangeCalendar {
    std::array<Time, 12> from{};   ///< begun at the first of January to December
    std::size_t shortest = 0;      ///< month of the least of these, from 0
    std::size_t longest = 0;       ///< month of the greatest
    std::optional<Time> greatest_age{};   ///< calendar age that none of these goes beyond, where there is such a rule
};

/// Calendar time that a running time between changes takes, by the month in which it begins.
///
/// Equation: theta(s + t) - theta(s) = C t_run, C = theta(period)/t_run(period)
/// Symbols:  theta dust dose, s beginning of the month, t calendar time, t_run running time between changes at the mean
///           concentration C over running hours
/// Validity: a fan of one speed, for which a life is a dose of dust whatever the hours bring (scheduled_life)
/// @param  schedule  of a year, shape (8760); shorter periods repeat and give every month the same
/// @param  running_interval  running time between changes at the mean concentration [s], > 0
/// @param  greatest_age  calendar age at which filters are changed whatever their dust [s], > 0; none: no such rule
/// @return calendar times [s]
/// @throws DomainError if the interval or the age is not > 0 or not finite
/// @source as scheduled_life; test: loading/dust_schedule_test.cpp, against scheduled lives
template <Deferred...>
inline ChangeCalendar change_calendar(const DustSchedule& schedule, Time running_interval,
                                      std::optional<Time> greatest_age = std::nullopt) {
    constexpr auto where = "change_calendar";
    const double interval = detail::require_positive(where, "running_interval", running_interval.value(), "s");
    if (greatest_age) detail::require_positive(where, "greatest_age", greatest_age->value(), "s");
    const DustDose dose = DustDose::from_value(interval * schedule.mean_concentration().value());
    ChangeCalendar calendar;
    calendar.greatest_age = greatest_age;
    for (std::size_t month = 0; month < 12; ++month) {
        const Time begin = Time::from_value(86400.0 * static_cast<double>(detail::days_before_month[month]));
        const Time dusty = calendar_time_at(schedule, DustDose(dose_until(schedule, begin) + dose)) - begin;
        calendar.from[month] = greatest_age ? std::min(dusty, *greatest_age) : dusty;
        if (calendar.from[month] < calendar.from[calendar.shortest]) calendar.shortest = month;
        if (calendar.from[month] > calendar.from[calendar.longest]) calendar.longest = month;
    }
    return calendar;
}

}   // namespace filterflow
