// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <random>
#include <vector>

#include <filterflow/airflow/fan_laws.hpp>
#include <filterflow/loading/hourly_lives.hpp>
#include <filterflow/loading/scheduled_life.hpp>

#include "loading/invented_installation.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::falling_table;

namespace {

HourlyLivesInput installation(std::size_t count, unsigned seed) {
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    const auto between = [&](double a, double b) { return a + (b - a) * uniform(random); };
    HourlyLivesInput input{.fan = fan_curve(falling_table())};
    input.ducts.power_laws.push_back({120 * Pa, 1 * m3_per_s, 2.0, duct_design_air()});
    input.ducts.constant_pressure = 10 * Pa;
    input.air = moist_air({.temperature = from_celsius(24), .pressure = 99 * kPa, .relative_humidity = 0.4});
    input.equivalence = 0.8;
    for (std::size_t i = 0; i < count; ++i) {
        FilterStage filter;
        filter.clean = {between(40, 90) * Pa_s_per_m3, between(0, 25) * Pa_s2_per_m6, duct_design_air()};
        filter.law.form = static_cast<LoadingForm>(i % 5);
        filter.law.growth_scale = between(40, 90) * g_per_m2;
        filter.law.transition = between(0, 60) * g_per_m2;
        filter.law.cake_slope = between(0.02, 0.05) * m2_per_g;
        filter.law.curvature = between(10, 200) * m4_per_kg2;
        filter.area = between(3.0, 9.0) * m2;
        filter.efficiency = {between(0.3, 0.8), between(0.0, 0.2), between(10, 60) * g_per_m2};
        if (uniform(random) < 0.6) filter.final_resistance = between(110, 200) * Pa;
        input.filters.push_back(filter);
    }
    return input;
}

/// Speeds by the hour of the day, dust by the hour, with pauses.
std::vector<FanHour> hours(std::size_t count, bool arbitrary) {
    std::vector<FanHour> list(count);
    std::mt19937_64 random(8);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t of_day = i % 24;
        list[i].concentration = (30 + 60 * uniform(random)) * ug_per_m3;
        list[i].speed = of_day < 5 ? 0.0 : of_day < 8 ? 0.7 : of_day < 18 ? 1.0 : 0.85;
        if (arbitrary && list[i].speed > 0.0) list[i].speed = 0.6 + 0.45 * uniform(random);
        list[i].running = of_day == 12 ? 0.5 : 1.0;
    }
    return list;
}

/// The plain way: by the library's operating points, hour by hour, with its fan table at each speed.
struct Plain {
    double dust = 0.0, delivered = 0.0, energy = 0.0, air_energy = 0.0, age = 0.0, flow = 0.0;
    bool ended = false;
};
Plain plain_life(const HourlyLivesInput& input, const FilterStage& filter, const std::vector<FanHour>& list,
                 const FanTable& table = falling_table()) {
    Plain life;
    for (std::size_t i = 0; i < list.size(); ++i) {
        const FanHour& hour = list[i];
        life.age = 3600.0 * static_cast<double>(i + 1);
        if (!(hour.speed > 0.0)) continue;
        const FanCurve fan = fan_curve(fan_table_at(table, {.speed = hour.speed}));
        const double dose = 3600.0 * hour.running * hour.concentration.value(), seconds = 3600.0 * hour.running;
        const double e = input.equivalence / filter.area.value();
        // g and g' = dg/dm by differences, everything else from the library.
        struct At {
            double rate, flow, power, product, drop;
        };
        const auto at = [&](double dust) {
            const ElementCurve loaded = loaded_curve(filter.clean, filter.law, MassPerArea::from_value(e * dust));
            const SystemCurve system = in_series(input.ducts, loaded);
            const VolumeFlow q = *operating_flow(fan, system, input.air).flow;
            const double drop = pressure_drop(loaded, q, input.air).value();
            return At{q.value() * mass_efficiency_at(filter.efficiency, MassPerArea::from_value(e * dust)), q.value(),
                      fan_power(fan, q, input.air)->value(), q.value() * drop, drop};
        };
        const At begin = at(life.dust);
        if (filter.final_resistance && begin.drop >= filter.final_resistance->value()) {
            life.ended = true;
            life.age = 3600.0 * static_cast<double>(i);
            life.flow = begin.flow;
            return life;
        }
        const double shift = 1e-5 * (life.dust + 1e-3);
        const double slope = (at(life.dust + shift).rate - begin.rate) / shift;
        const double more = dose * begin.rate * (1.0 + 0.5 * dose * slope);
        const At end = at(life.dust + more);
        if (filter.final_resistance && end.drop >= filter.final_resistance->value()) {
            // Within the hour: bisection in dust, time by the same series.
            double low = 0.0, high = more;
            for (int k = 0; k < 60; ++k) {
                const double middle = 0.5 * (low + high);
                (at(life.dust + middle).drop < filter.final_resistance->value() ? low : high) = middle;
            }
            const double share = low / (begin.rate + 0.5 * slope * low) / dose;
            life.dust += low;
            life.age = 3600.0 * (static_cast<double>(i) + share);
            life.flow = at(life.dust).flow;
            life.ended = true;
            return life;
        }
        life.dust += more;
        life.delivered += seconds * 0.5 * (begin.flow + end.flow);
        life.energy += seconds * 0.5 * (begin.power + end.power);
        life.air_energy += seconds * 0.5 * (begin.product + end.product);
        life.flow = end.flow;
    }
    return life;
}

}   // namespace

TEST_CASE("lockstep equals the plain way by the library's operating points", "[own][loading]") {
    for (const bool arbitrary : {false, true}) {
        const HourlyLivesInput input = installation(20, 5);
        const std::vector<FanHour> list = hours(900, arbitrary);
        const std::vector<HourlyLife> lives = hourly_lives(input, list);
        int ended = 0;
        for (std::size_t k = 0; k < lives.size(); ++k) {
            INFO("filter " << k << " arbitrary " << arbitrary);
            const Plain plain = plain_life(input, input.filters[k], list);
            CHECK((lives[k].end == HourlyEnd::final_resistance) == plain.ended);
            ended += plain.ended ? 1 : 0;
            // The plain way's slope is by differences: 1e-9 of what a step's second order is.
            CHECK(lives[k].dust_caught.value() == Approx(plain.dust).epsilon(1e-9));
            CHECK(lives[k].age.value() == Approx(plain.age).epsilon(1e-8));
            CHECK(lives[k].flow.value() == Approx(plain.flow).epsilon(1e-7));
            if (plain.ended) continue;
            CHECK(lives[k].delivered.value() == Approx(plain.delivered).epsilon(1e-7));
            CHECK(lives[k].fan_energy->value() == Approx(plain.energy).epsilon(1e-7));
            CHECK(lives[k].filter_air_energy.value() == Approx(plain.air_energy).epsilon(1e-7));
        }
        CHECK(ended > 3);
        CHECK(ended < 17);
    }
}

TEST_CASE("lockstep equals the plain way whatever the rows of the fan's table and its speeds", "[own][loading]") {
    std::mt19937_64 random(31);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    int followed = 0;
    for (std::size_t run = 0; run < filterflow::test::sweep_length(40); ++run) {
        HourlyLivesInput input = installation(3, 100 + static_cast<unsigned>(run));
        // Two to fourteen rows, unevenly far apart, that fall by uneven steps.
        FanTable table;
        table.stated_air = duct_design_air();
        const std::size_t rows = 2 + random() % 13;
        double flow = 0.05, pressure = 900.0;
        for (std::size_t i = 0; i < rows; ++i) {
            table.points.push_back({flow * m3_per_s, pressure * Pa, (300.0 + 500.0 * uniform(random)) * W});
            flow += (0.05 + uniform(random) * uniform(random)) * 4.0 / static_cast<double>(rows);
            pressure *= 0.05 + 0.9 * uniform(random);
        }
        input.fan = fan_curve(table);
        // Over a span of speeds that differs from run to run; some runs bring much dust in an hour.
        const double least = 0.3 + 0.7 * uniform(random), much = run % 4 == 3 ? 20.0 : 1.0;
        std::vector<FanHour> list(200);
        for (std::size_t i = 0; i < list.size(); ++i) {
            list[i].speed = run % 3 == 0 && i % 24 != 7 ? 1.0 : least + (1.1 - least) * uniform(random);
            list[i].concentration = much * uniform(random) * 100 * ug_per_m3;
        }
        for (FilterStage& filter : input.filters) {
            filter.law.form = static_cast<LoadingForm>(random() % 5);
            filter.final_resistance.reset();
        }
        const std::vector<HourlyLife> lives = hourly_lives(input, list);
        for (std::size_t k = 0; k < lives.size(); ++k) {
            if (lives[k].end != HourlyEnd::hours_over) continue;   // the end of the fan's table
            INFO("run " << run << " rows " << rows << " filter " << k);
            const Plain plain = plain_life(input, input.filters[k], list, table);
            // The sums here are by the ends of each hour, there by its middle: apart by the square of its change.
            const double sums = much > 1.0 ? 1e-4 : 1e-6;
            CHECK(lives[k].dust_caught.value() == Approx(plain.dust).epsilon(much > 1.0 ? 1e-6 : 1e-9));
            CHECK(lives[k].delivered.value() == Approx(plain.delivered).epsilon(sums));
            CHECK(lives[k].fan_energy->value() == Approx(plain.energy).epsilon(sums));
            CHECK(lives[k].filter_air_energy.value() == Approx(plain.air_energy).epsilon(sums));
            ++followed;
        }
    }
    CHECK(followed > 0);
}

TEST_CASE("a lane does not depend on its neighbours", "[own][loading]") {
    const HourlyLivesInput input = installation(130, 6);
    const std::vector<FanHour> list = hours(1500, true);
    const std::vector<HourlyLife> lives = hourly_lives(input, list);
    for (const std::size_t k : {std::size_t(0), std::size_t(63), std::size_t(64), std::size_t(129)}) {
        HourlyLivesInput alone = input;
        alone.filters = {input.filters[k]};
        const HourlyLife life = hourly_lives(alone, list).front();
        CHECK(life.end == lives[k].end);
        CHECK(life.dust_caught.value() == Approx(lives[k].dust_caught.value()).epsilon(1e-12));
        CHECK(life.fan_energy->value() == Approx(lives[k].fan_energy->value()).epsilon(1e-12));
        CHECK(life.age.value() == Approx(lives[k].age.value()).epsilon(1e-12));
    }
}

TEST_CASE("at one speed lockstep is the life in dose, and converges to it", "[own][loading]") {
    HourlyLivesInput input = installation(5, 9);
    for (FilterStage& filter : input.filters) filter.final_resistance = 150 * Pa;
    std::vector<FanHour> list(6000);
    for (FanHour& hour : list) hour.concentration = 60 * ug_per_m3;
    const std::vector<HourlyLife> lives = hourly_lives(input, list);
    for (std::size_t k = 0; k < lives.size(); ++k) {
        FilterLifeInput one{.fan = input.fan};
        one.ducts = input.ducts;
        one.stages = {input.filters[k]};
        one.dust = {60 * ug_per_m3, input.equivalence};
        one.air = input.air;
        one.horizon = 6000 * h;
        const FilterLife life = filter_life(one);
        REQUIRE(lives[k].end == HourlyEnd::final_resistance);
        CHECK(lives[k].age.value() == Approx(life.time.value()).epsilon(1e-6));
        CHECK(lives[k].dust_caught.value() == Approx(life.dust_caught.value()).epsilon(1e-10));
        CHECK(lives[k].delivered.value() == Approx(life.moments.back().delivered.value()).epsilon(1e-6));
        CHECK(lives[k].fan_energy->value() == Approx(life.moments.back().fan_energy->value()).epsilon(1e-6));
    }
}

TEST_CASE("a filter that the fan no longer pushes air through inside its table comes to its end", "[own][loading]") {
    HourlyLivesInput input = installation(2, 3);
    input.filters[0].final_resistance.reset();
    input.filters[0].area = 0.3 * m2;
    std::vector<FanHour> list(8000);
    for (FanHour& hour : list) hour.concentration = 100 * ug_per_m3;
    const std::vector<HourlyLife> lives = hourly_lives(input, list);
    CHECK(lives[0].end == HourlyEnd::no_operating_point);
    CHECK(lives[0].age < 8000 * h);
    CHECK(hourly_lives(input, {}).front().end == HourlyEnd::hours_over);
    input.filters.clear();
    CHECK(hourly_lives(input, list).empty());
}

TEST_CASE("lockstep refuses what it does not follow", "[own][loading]") {
    HourlyLivesInput input = installation(2, 3);
    const std::vector<FanHour> list = hours(24, false);
    input.filters[1].gap_area = 5 * cm2;
    CHECK_THROWS_WITH(hourly_lives(input, list), Contains("filter 2: has a law of two populations, pleats"));
    input = installation(1, 3);
    input.ducts.power_laws[0].exponent = 1.8;
    CHECK_THROWS_WITH(hourly_lives(input, list), Contains("not linear or quadratic"));
    input = installation(1, 3);
    CHECK_THROWS_WITH(hourly_lives(input, std::vector<FanHour>{{.speed = -1.0}}), Contains("hour 1: speed = -1"));
    input.equivalence = 0.0;
    CHECK_THROWS_WITH(hourly_lives(input, list), Contains("equivalence = 0"));
    FanTable rising = falling_table();
    rising.points[0].pressure = 400 * Pa;
    input = installation(1, 3);
    input.fan = fan_curve(rising);
    CHECK_THROWS_WITH(hourly_lives(input, list), Contains("pressure rises with flow"));
}
