// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/loading/dust_calendar.hpp>
#include <filterflow/loading/dust_schedule.hpp>
#include <filterflow/loading/dust_translation.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Offices: the fan runs on weekdays from 7 to 19, with more dust in the morning.
std::vector<DutyHour> office_week() {
    std::vector<DutyHour> week(168);
    for (std::size_t i = 0; i < 168; ++i) {
        const std::size_t day = i / 24, hour = i % 24;
        week[i].concentration = (hour >= 7 && hour < 10 ? 60 : 35) * ug_per_m3;
        week[i].running = day < 5 && hour >= 7 && hour < 19 ? 1.0 : 0.0;
        week[i].level = hour < 12 ? 1 : 0;
    }
    return week;
}

}   // namespace

TEST_CASE("a constant schedule is concentration times running share times time", "[own][loading]") {
    const DustSchedule schedule = constant_schedule(40 * ug_per_m3, 0.25);
    CHECK(schedule.running_fraction() == Approx(0.25));
    CHECK(schedule.mean_concentration() / ug_per_m3 == Approx(40.0));
    for (const double t : {0.0, 100.0, 3600.0, 1e7, 3.7e8}) {
        CHECK(dose_until(schedule, Time::from_value(t)).value() == Approx(0.25 * 40e-9 * t).epsilon(1e-13));
        CHECK(calendar_time_at(schedule, DustDose::from_value(0.25 * 40e-9 * t)).value() == Approx(t).epsilon(1e-12));
    }
}

TEST_CASE("a week that repeats, hour by hour", "[own][loading]") {
    const std::vector<DutyHour> hours_of_week = office_week();
    const DustSchedule schedule = weekly_schedule(hours_of_week);
    CHECK(schedule.running_time() / h == Approx(60.0));
    CHECK(schedule.running_fraction() == Approx(60.0 / 168.0));
    CHECK(schedule.mean_concentration() / ug_per_m3 == Approx((3 * 60 + 9 * 35) / 12.0));
    CHECK(schedule.levels() == 2);
    CHECK(schedule.dusts() == 1);
    // By adding up, at random times over several weeks.
    std::mt19937 random(3);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    const std::size_t trials = filterflow::test::sweep_length(300);
    for (std::size_t trial = 0; trial < trials; ++trial) {
        const double hours = 168.0 * 5 * uniform(random);
        double dose = 0.0, running = 0.0;
        for (std::size_t i = 0; static_cast<double>(i) < hours; ++i) {
            const double part = std::min(1.0, hours - static_cast<double>(i));
            running += 3600.0 * part * hours_of_week[i % 168].running;
            dose += 3600.0 * part * hours_of_week[i % 168].running * hours_of_week[i % 168].concentration.value();
        }
        CHECK(dose_until(schedule, hours * h).value() == Approx(dose).epsilon(1e-11).margin(1e-15));
        CHECK(running_time_until(schedule, hours * h).value() == Approx(running).epsilon(1e-11).margin(1e-6));
        if (!(dose > 0.0)) continue;
        const Time back = calendar_time_at(schedule, DustDose::from_value(dose));
        // A pause is not waited for (a hair less dose, as the sums round).
        CHECK(calendar_time_at(schedule, DustDose::from_value(dose * (1.0 - 1e-11))).value() <= hours * 3600.0);
        CHECK(dose_until(schedule, back).value() == Approx(dose).epsilon(1e-11));
    }
    // What is complete with the last hour before a pause is complete then, also with the last of a period.
    CHECK(calendar_time_at(schedule, schedule.dose()) / h == Approx(4 * 24 + 19.0).epsilon(1e-12));
    CHECK(calendar_time_at(schedule, 2.0 * schedule.dose()) / h == Approx(168 + 4 * 24 + 19.0).epsilon(1e-12));
}

TEST_CASE("time at a dose carries the derivative of the hour that it falls in", "[own][loading]") {
    const DustSchedule schedule = weekly_schedule(office_week());
    using D = Dual<1>;
    const double dose = 1.3 * schedule.dose().value();
    const auto time = calendar_time_at(schedule, BasicDustDose<D>::from_value(D::input(dose, 0)));
    const double d = 1e-6 * dose;
    const double slope = (calendar_time_at(schedule, DustDose::from_value(dose + d)) -
                          calendar_time_at(schedule, DustDose::from_value(dose - d)))
                             .value() /
                         (2.0 * d);
    CHECK(time.value().derivative[0] == Approx(slope).epsilon(1e-6));
}

TEST_CASE("seasons change a week by the month", "[own][loading]") {
    SeasonFactors seasons;
    seasons.running = {0.9, 0.9, 0.7, 0.5, 0.4, 0.8, 1, 1, 0.6, 0.5, 0.7, 0.9};
    seasons.concentration[0] = 1.5;
    const DustSchedule annual = seasonal_schedule(office_week(), seasons);
    REQUIRE(annual.hours().size() == 8760);
    CHECK(annual.hours()[7].running == Approx(0.9));
    CHECK(annual.hours()[7].concentration / ug_per_m3 == Approx(90.0));
    // The year's first hour is a Monday's; 12 June (day 162, the second of a week) at noon.
    const std::size_t hour = 162 * 24 + 12;
    CHECK(annual.hours()[hour].running == Approx(0.8));
    CHECK(annual.hours()[hour].concentration / ug_per_m3 == Approx(35.0));
    CHECK(annual.hours()[hour - 36].running == Approx(0.0));   // Monday at midnight
    seasons.running[3] = 1.2;
    CHECK_THROWS_WITH(seasonal_schedule(office_week(), seasons), Contains("month 4: running share = 1.2"));
}

TEST_CASE("a change falls by the months in which its dust comes together", "[own][loading]") {
    SeasonFactors seasons;
    seasons.running = {1, 1, 0.8, 0.5, 0.3, 0.2, 0.2, 0, 0.4, 0.7, 0.9, 1};
    seasons.concentration = {1.5, 1.4, 1.2, 1, 1, 0.9, 0.8, 0.8, 1, 1.1, 1.2, 1.4};
    const DustSchedule schedule = seasonal_schedule(office_week(), seasons);
    const Time interval = 0.3 * schedule.running_time();
    const ChangeCalendar calendar = change_calendar(schedule, interval);
    // Second way: the year turned so that it begins with the month, walked hour by hour.
    const std::size_t first_days[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
    const double wanted = 0.3 * schedule.dose().value();
    for (std::size_t month = 0; month < 12; ++month) {
        double dose = 0.0;
        std::size_t hours = 0;
        while (dose < wanted) {
            const DutyHour& hour = schedule.hours()[(24 * first_days[month] + hours++) % 8760];
            dose += 3600.0 * hour.running * hour.concentration.value();
        }
        INFO("month " << month + 1);
        CHECK(calendar.from[month] / h == Approx(static_cast<double>(hours)).margin(1.0));
        CHECK(calendar.from[calendar.shortest] <= calendar.from[month]);
        CHECK(calendar.from[calendar.longest] >= calendar.from[month]);
    }
    CHECK(calendar.from[calendar.longest] > 2.0 * calendar.from[calendar.shortest]);
    const Time age = 0.25 * year;
    const ChangeCalendar aged = change_calendar(schedule, interval, age);
    for (std::size_t month = 0; month < 12; ++month) CHECK(aged.from[month] == std::min(calendar.from[month], age));
    CHECK(aged.from[aged.longest] == age);
    CHECK_THROWS_WITH(change_calendar(schedule, interval, 0 * h), Contains("greatest_age = 0"));
    const ChangeCalendar even = change_calendar(constant_schedule(20 * ug_per_m3, 0.4), 1000 * h);
    for (const Time& time : even.from) CHECK(time / h == Approx(2500.0).epsilon(1e-9));
    CHECK_THROWS_WITH(change_calendar(schedule, 0 * h), Contains("running_interval = 0"));
}

TEST_CASE("schedules refuse what cannot be", "[own][loading]") {
    CHECK_THROWS_WITH(hourly_schedule({}), Contains("number of hours = 0"));
    CHECK_THROWS_WITH(hourly_schedule({{.concentration = 1 * ug_per_m3}, {.concentration = -1 * ug_per_m3}}),
                      Contains("hour 2: concentration = -1e-09 kg/m3"));
    CHECK_THROWS_WITH(constant_schedule(1 * ug_per_m3, 1.5), Contains("hour 1: running = 1.5"));
    CHECK_THROWS_WITH(constant_schedule(0 * ug_per_m3, 0.5), Contains("dust dose of the period = 0"));
    CHECK_THROWS_WITH(weekly_schedule(std::vector<DutyHour>(24)), Contains("number of hours = 24; required: 168"));
    const DustSchedule schedule = constant_schedule(1 * ug_per_m3, 0.5);
    CHECK_THROWS_AS(dose_until(schedule, -1 * s), DomainError);
    CHECK_THROWS_AS(calendar_time_at(schedule, DustDose::from_value(std::nan(""))), DomainError);
}

TEST_CASE("the translation from bench to building dust is measured or an assumption with a range", "[own][loading]") {
    const DustTranslation field = measured_translation(uncertain(0.6, 0.05, "field test"), "field test of 2 filters");
    CHECK_FALSE(field.assumed);
    CHECK(field.range.lower == Approx(0.6 - 1.96 * 0.05).epsilon(1e-3));
    const DustTranslation guess = assumed_translation({0.3, 1.2}, "no field test");
    CHECK(guess.assumed);
    CHECK(guess.factor.value == Approx(0.6).epsilon(1e-14));
    CHECK(guess.factor.standard_uncertainty() == Approx(0.6 * std::log(4.0) / std::sqrt(12.0)).epsilon(1e-12));
    CHECK_THROWS_WITH(assumed_translation({0.5, 0.5}, ""), Contains("an assumption without a range"));
    CHECK_THROWS_AS(assumed_translation({0.0, 0.5}, ""), DomainError);
    CHECK_THROWS_WITH(measured_translation(uncertain(0.1, 0.2, "test"), ""), Contains("lower end"));
}
