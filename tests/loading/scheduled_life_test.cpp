// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <random>
#include <vector>

#include <filterflow/loading/scheduled_life.hpp>

#include "loading/invented_installation.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::as_dual;
using filterflow::test::falling_table;
using filterflow::test::random_installation;

namespace {

/// One stage that lasts about a thousand hours.
FilterLifeInput installation() {
    std::mt19937_64 random(41);
    FilterLifeInput input = random_installation(random);
    input.fan = fan_curve(falling_table());
    input.limits = {};
    input.stages[0].greatest_age.reset();
    input.stages[0].law = {.form = LoadingForm::smooth, .growth_scale = 60 * g_per_m2, .transition = 40 * g_per_m2};
    input.stages[0].final_resistance = 220 * Pa;
    return input;
}

std::vector<DutyHour> week_of_two_shifts(std::size_t night_level) {
    std::vector<DutyHour> week(168);
    for (std::size_t i = 0; i < 168; ++i) {
        const bool day = i / 24 < 5 && i % 24 >= 6 && i % 24 < 20;
        week[i].concentration = (day ? 90 : 40) * ug_per_m3;
        week[i].running = day ? 1.0 : i % 24 < 3 ? 0.0 : 0.3;
        week[i].level = day ? 0 : night_level;
    }
    return week;
}

/// The plain way: an hour at a time by the rates at its beginning and its middle (midpoint rule), `parts` to an hour.
struct PlainLife {
    double mass = 0.0, running = 0.0, calendar = 0.0, delivered = 0.0, energy = 0.0;
};
PlainLife hour_by_hour(const ScheduledLifeInput& input, double until, int parts) {
    std::vector<detail::LifeModel<double>> models;
    for (std::size_t level = 0; level <= input.further_levels.size(); ++level) {
        models.emplace_back(detail::regime_input(input, level, 0));
    }
    PlainLife life;
    const auto hours = input.schedule.hours();
    for (std::size_t i = 0; life.calendar < until; ++i) {
        const DutyHour& hour = hours[i % hours.size()];
        const double whole = std::min(3600.0, until - life.calendar);
        for (int part = 0; part < parts && hour.running > 0.0; ++part) {
            const double seconds = whole * hour.running / parts, dose = seconds * hour.concentration.value();
            detail::LifePoint<double> p;
            models[hour.level].point({life.mass}, p);
            const double middle = life.mass + 0.5 * dose * p.flow * p.caught[0];
            models[hour.level].point({middle}, p);
            life.mass += dose * p.flow * p.caught[0];
            life.running += seconds;
            life.delivered += seconds * p.flow;
            life.energy += seconds * p.power;
        }
        life.calendar += whole;
    }
    return life;
}

}   // namespace

TEST_CASE("a constant schedule is filter_life", "[own][loading]") {
    FilterLifeInput input = installation();
    input.dust.concentration = 70 * ug_per_m3;
    input.running_fraction = 0.3;
    const FilterLife expected = filter_life(input);
    const ScheduledLife found = scheduled_life(
        {.installation = input, .schedule = constant_schedule(70 * ug_per_m3, 0.3), .horizon = 20 * year});
    CHECK_FALSE(found.by_levels);
    CHECK(found.life.end == expected.end);
    CHECK(found.life.time.value() == Approx(expected.time.value()).epsilon(1e-10));
    CHECK(found.life.age.value() == Approx(expected.age.value()).epsilon(1e-10));
    CHECK(found.life.mean_flow.value() == Approx(expected.mean_flow.value()).epsilon(1e-10));
    CHECK(found.life.mean_power->value() == Approx(expected.mean_power->value()).epsilon(1e-10));
    CHECK(found.life.dust_caught.value() == Approx(expected.dust_caught.value()).epsilon(1e-10));
    CHECK(found.life.moments.size() == 2);
}

TEST_CASE("life in dose equals life by the hour in the limit", "[own][loading]") {
    const ScheduledLifeInput input{
        .installation = installation(), .schedule = weekly_schedule(week_of_two_shifts(0)), .horizon = 20 * year};
    const ScheduledLife found = scheduled_life(input);
    REQUIRE(found.life.end == LifeEnd::final_resistance);
    const double until = found.life.age.value();
    double before = HUGE_VAL;
    for (const int parts : {1, 2, 4}) {
        const PlainLife plain = hour_by_hour(input, until, parts);
        const double off = std::abs(plain.mass / found.life.dust_caught.value() - 1.0);
        CHECK(off < 1e-6);
        CHECK(off < 0.35 * before);   // second order: a quarter each time
        before = off;
        CHECK(plain.running == Approx(found.life.time.value()).epsilon(1e-10));
        CHECK(plain.delivered == Approx(found.life.moments.back().delivered.value()).epsilon(1e-6));
        CHECK(plain.energy == Approx(found.life.moments.back().fan_energy->value()).epsilon(1e-6));
    }
}

TEST_CASE("fan speed levels have their own curves and limits", "[own][loading]") {
    FanTable slow = falling_table();
    for (FanPoint& point : slow.points) {   // three quarters of the speed
        point.flow *= 0.75;
        point.pressure *= 0.5625;
        point.power = 0.421875 * *point.power;
    }
    ScheduledLifeInput input{
        .installation = installation(), .schedule = weekly_schedule(week_of_two_shifts(1)), .horizon = 20 * year};
    input.further_levels.push_back({.fan = fan_curve(slow)});
    const ScheduledLife found = scheduled_life(input);
    CHECK(found.by_levels);
    REQUIRE(found.life.end == LifeEnd::final_resistance);
    const PlainLife plain = hour_by_hour(input, found.life.age.value(), 4);
    CHECK(plain.mass == Approx(found.life.dust_caught.value()).epsilon(1e-8));
    CHECK(plain.running == Approx(found.life.time.value()).epsilon(1e-10));
    CHECK(plain.delivered == Approx(found.life.moments.back().delivered.value()).epsilon(1e-8));
    CHECK(plain.energy == Approx(found.life.moments.back().fan_energy->value()).epsilon(1e-8));
    // The event lies where the drop is the final resistance, at the level that runs then.
    CHECK(found.life.moments.back().stage_drops[0] / Pa == Approx(220.0).epsilon(1e-10));
    CHECK(found.calendar.back().hour.level == 0);
    // Two levels that are one.
    ScheduledLifeInput same{.installation = input.installation, .schedule = input.schedule, .horizon = input.horizon};
    same.further_levels.push_back({.fan = input.installation.fan, .scale = input.installation.fan_scale});
    ScheduledLifeInput one{.installation = input.installation,
                           .schedule = weekly_schedule(week_of_two_shifts(0)),
                           .horizon = input.horizon};
    CHECK(scheduled_life(same).life.age.value() == Approx(scheduled_life(one).life.age.value()).epsilon(1e-9));
    CHECK(scheduled_life(same).life.mean_power->value() ==
          Approx(scheduled_life(one).life.mean_power->value()).epsilon(1e-9));
    // A limit of the slow level alone is met while it runs.
    input.further_levels[0].limits.least_airflow = 0.85 * m3_per_s;
    const ScheduledLife limited = scheduled_life(input);
    CHECK(limited.life.end == LifeEnd::least_airflow);
    CHECK(limited.calendar.back().hour.level == 1);
    CHECK(limited.life.age < found.life.age);
}

TEST_CASE("samples at a resolution lie on the life", "[own][loading]") {
    ScheduledLifeInput input{
        .installation = installation(), .schedule = weekly_schedule(week_of_two_shifts(0)), .horizon = 20 * year};
    input.resolution = 1 * day;
    const ScheduledLife found = scheduled_life(input);
    REQUIRE(found.calendar.size() == found.life.moments.size());
    REQUIRE(found.calendar.size() == static_cast<std::size_t>(std::ceil(found.life.age / day)) + 1);
    for (std::size_t i = 1; i < found.calendar.size(); ++i) {
        const LifeMoment& moment = found.life.moments[i];
        CHECK(found.calendar[i].moment == i);
        CHECK(moment.dose.value() == Approx(dose_until(input.schedule, found.calendar[i].age).value()).epsilon(1e-9));
        CHECK(moment.time.value() ==
              Approx(running_time_until(input.schedule, found.calendar[i].age).value()).epsilon(1e-9));
        CHECK(moment.retained[0] >= found.life.moments[i - 1].retained[0]);
        if (i + 1 < found.calendar.size()) CHECK(found.calendar[i].age / day == Approx(static_cast<double>(i)));
    }
}

TEST_CASE("age and horizon are of the calendar", "[own][loading]") {
    ScheduledLifeInput input{
        .installation = installation(), .schedule = weekly_schedule(week_of_two_shifts(0)), .horizon = 20 * year};
    const ScheduledLife free = scheduled_life(input);
    for (const std::size_t level : {std::size_t(0), std::size_t(1)}) {
        input.schedule = weekly_schedule(week_of_two_shifts(level));
        if (level == 1) input.further_levels.push_back({.fan = input.installation.fan});
        input.installation.stages[0].greatest_age = 0.4 * free.life.age;
        ScheduledLife aged = scheduled_life(input);
        CHECK(aged.life.end == LifeEnd::age);
        CHECK(aged.life.age.value() == Approx(0.4 * free.life.age.value()).epsilon(1e-12));
        CHECK(aged.life.time.value() ==
              Approx(running_time_until(input.schedule, aged.life.age).value()).epsilon(1e-9));
        input.horizon = 0.2 * free.life.age;
        aged = scheduled_life(input);
        CHECK(aged.life.end == LifeEnd::horizon);
        CHECK_FALSE(aged.life.limit_met);
        input.horizon = 20 * year;
    }
}

TEST_CASE("hours without dust count as time, not as dose; dusts differ by their classes", "[own][loading]") {
    FilterLifeInput of = installation();
    of.dust.classes = {{{0 * um, 1 * um, false}, 0.3}, {sizes_above(1 * um), 0.7}};
    of.stages[0].by_size = {{.mechanical = 0.3}, {.mechanical = 2.0}};
    std::vector<DutyHour> hours{{.concentration = 80 * ug_per_m3}, {.concentration = 0 * ug_per_m3, .running = 0.5}};
    ScheduledLifeInput input{.installation = of, .schedule = hourly_schedule(hours), .horizon = 20 * year};
    const ScheduledLife even = scheduled_life(input);
    const ScheduledLife dusty =
        scheduled_life({.installation = of, .schedule = constant_schedule(80 * ug_per_m3, 1.0), .horizon = 20 * year});
    CHECK(even.life.moments.back().dose.value() == Approx(dusty.life.moments.back().dose.value()).epsilon(1e-10));
    CHECK(even.life.time.value() == Approx(1.5 * dusty.life.time.value()).epsilon(1e-3));
    CHECK(even.life.mean_flow.value() == Approx(dusty.life.mean_flow.value()).epsilon(1e-4));
    // A finer dust in the second hour is caught less: more dust arrives until the filter is full.
    hours[1] = {.concentration = 80 * ug_per_m3, .dust = 1};
    input.schedule = hourly_schedule(hours);
    input.further_dusts = {{{{0 * um, 1 * um, false}, 0.9}, {sizes_above(1 * um), 0.1}}};
    const ScheduledLife mixed = scheduled_life(input);
    CHECK(mixed.by_levels);
    CHECK(mixed.life.dust_caught.value() == Approx(dusty.life.dust_caught.value()).epsilon(1e-9));
    CHECK(mixed.life.dust_arrived > dusty.life.dust_arrived);
    CHECK(mixed.life.clean_air_by_size[1] > mixed.life.clean_air_by_size[0]);
}

TEST_CASE("derivatives of scheduled lives agree with differences", "[own][loading]") {
    using D = Dual<1>;
    for (const bool levels : {false, true}) {
        const FilterLifeInput of = installation();
        const DustSchedule schedule = weekly_schedule(week_of_two_shifts(levels ? 1 : 0));
        const auto plain = [&](double factor) {
            ScheduledLifeInput input{.installation = of, .schedule = schedule, .horizon = 20 * year};
            input.installation.stages[0].area *= factor;
            if (levels) input.further_levels.push_back({.fan = of.fan, .scale = {0.8, 0.8}});
            return scheduled_life(input).life;
        };
        BasicScheduledLifeInput<D> dual{.installation = as_dual(of),
                                        .schedule = schedule,
                                        .horizon = BasicTime<D>::from_value(D((20 * year).value()))};
        dual.installation.stages[0].area = BasicArea<D>::from_value(D::input(1.0, 0) * D(of.stages[0].area.value()));
        if (levels) dual.further_levels.push_back({.fan = of.fan, .scale = {D(0.8), D(0.8)}});
        const auto life = scheduled_life(dual).life;
        const double d = 1e-5;
        CHECK(life.age.value().value == Approx(plain(1.0).age.value()).epsilon(1e-8));
        CHECK(life.time.value().derivative[0] ==
              Approx((plain(1 + d).time - plain(1 - d).time).value() / (2 * d)).epsilon(1e-4));
        CHECK(life.dust_caught.value().derivative[0] ==
              Approx((plain(1 + d).dust_caught - plain(1 - d).dust_caught).value() / (2 * d)).epsilon(1e-4));
    }
}

TEST_CASE("an assumed translation widens a life, a measured one less", "[own][loading]") {
    const FilterLifeInput input = installation();
    const FilterLifeRange wide = filter_life_range(input, assumed_translation({0.4, 1.6}, "no field test"));
    CHECK(wide.assumed);
    CHECK(wide.shortest.time < wide.estimate.time);
    CHECK(wide.estimate.time < wide.longest.time);
    // The masses at one limit are as one over the factor.
    CHECK(wide.longest.dust_caught.value() == Approx(4.0 * wide.shortest.dust_caught.value()).epsilon(1e-9));
    const FilterLifeRange narrow =
        filter_life_range(input, measured_translation(uncertain(0.8, 0.05, "field test"), "field test"));
    CHECK_FALSE(narrow.assumed);
    CHECK(narrow.longest.time - narrow.shortest.time < 0.4 * (wide.longest.time - wide.shortest.time));
}

TEST_CASE("scheduled lives refuse what cannot be", "[own][loading]") {
    ScheduledLifeInput input{
        .installation = installation(), .schedule = weekly_schedule(week_of_two_shifts(1)), .horizon = 20 * year};
    CHECK_THROWS_WITH(scheduled_life(input), Contains("fan speed levels of the schedule = 2; required: at most the 1"));
    input.schedule = weekly_schedule(week_of_two_shifts(0));
    input.horizon = 0 * year;
    CHECK_THROWS_WITH(scheduled_life(input), Contains("horizon = 0 s"));
    input.horizon = 1 * year;
    input.resolution = 0 * h;
    CHECK_THROWS_AS(scheduled_life(input), DomainError);
    input.resolution.reset();
    input.installation.ducts.constant_pressure = 900 * Pa;
    const ScheduledLife none = scheduled_life(input);
    CHECK(none.life.end == LifeEnd::no_operating_point);
    CHECK(none.life.moments.empty());
}
