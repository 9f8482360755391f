// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/sweep.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <boost/math/tools/minima.hpp>

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_limits.hpp>
#include <filterflow/cost/exponential_growth.hpp>

#include "installation.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace filterflow::test;

TEST_CASE("held flow and growth in a line or by doubling: the closed forms again", "[own][cost]") {
    // With held flow, an ideal fan and constant efficiency the filter's drop grows in closed form over time; the ducts'
    // constant share moves the level, not the interval.
    const ServicePrices prices = prices_of(120.0);
    const double rate = 0.8 * 6e-8 * 1.0 / 2.0;   // kg/m2 per second
    const FilterLifeInput line = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    const ChangeInterval found = find_change_interval(line, prices);
    REQUIRE(found.reason == ChangeIntervalReason::cost_optimum);
    const auto straight = best_interval_for_linear_growth({.change = 120 * money,
                                                           .electricity = 0.2 * money_per_kWh,
                                                           .flow = 1.0 * m3_per_s,
                                                           .overall_efficiency = 0.5,
                                                           .first_drop = 220 * Pa,
                                                           .rise = Pressure::from_value(80.0 * rate / 0.1),
                                                           .rise_time = 1 * s});
    CHECK(found.interval->value() == Approx(straight.interval.value()).epsilon(1e-7));
    CHECK(found.cost->per_volume.value() == Approx(straight.cost_rate.value() / 1.0).epsilon(1e-9));
    CHECK(found.cost->annual_cost.value() == Approx(straight.cost_rate.value() * 4380 * 3600).epsilon(1e-9));

    const FilterLifeInput doubling = installation<double>(ideal_fan(), usual, LoadingForm::exponential);
    const ChangeInterval grown = find_change_interval(doubling, prices);
    REQUIRE(grown.reason == ChangeIntervalReason::cost_optimum);
    // The ducts' 140 Pa do not grow: only the loading part decides, so the closed form takes the filter alone.
    const auto exponential =
        best_interval_for_exponential_growth({.change = 120 * money,
                                              .electricity = 0.2 * money_per_kWh,
                                              .flow = 1.0 * m3_per_s,
                                              .overall_efficiency = 0.5,
                                              .first_drop = 80 * Pa,
                                              .doubling_time = Time::from_value(std::log(2.0) * 0.1 / rate)});
    CHECK(grown.interval->value() == Approx(exponential.interval.value()).epsilon(1e-7));
}

TEST_CASE("fixed speed: power falls as the filter loads and there is an optimum all the same", "[own][cost]") {
    const FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    const ServicePrices prices = prices_of(40.0);
    const ChangeInterval found = find_change_interval(input, prices);
    REQUIRE(found.reason == ChangeIntervalReason::cost_optimum);
    CHECK(found.power_falls);
    CHECK_THAT(found.text, Contains("no saving"));
    // A library's minimiser on whole lives of varied length.
    const auto cost = [&](double hours) {
        FilterLifeInput part = input;
        part.horizon = hours * h;
        const LifeMoment end = filter_life(part).moments.back();
        return service_cost(Cycle{end.time, end.delivered, *end.fan_energy}, prices).per_volume.value();
    };
    const double hours = *found.interval / h;
    const auto minimum = boost::math::tools::brent_find_minima(cost, 0.5 * hours, 1.5 * hours, 40);
    CHECK(hours == Approx(minimum.first).epsilon(1e-5));
    CHECK(found.cost->per_volume.value() == Approx(minimum.second).epsilon(1e-11));
    // On the curve the running cost is below the average before the optimum and above it after.
    for (const ChangeIntervalSample& sample : found.curve) {
        CHECK((sample.running < sample.average) == (sample.interval < *found.interval));
        CHECK(sample.average.value() >= found.cost->per_volume.value() * (1 - 1e-12));
    }
}

TEST_CASE("a limit that comes first binds and is named", "[own][cost]") {
    FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    const ChangeInterval free = find_change_interval(input, prices_of(40.0));
    input.limits.least_airflow = free.moment->flow + 0.02 * m3_per_s;
    const ChangeInterval bound = find_change_interval(input, prices_of(40.0));
    CHECK(bound.reason == ChangeIntervalReason::limit);
    CHECK(bound.life.end == LifeEnd::least_airflow);
    CHECK_THAT(bound.text, Contains("airflow"));
    CHECK(*bound.interval < *free.interval);
    CHECK(bound.moment->flow.value() == Approx(input.limits.least_airflow->value()).epsilon(1e-9));
    input.limits.least_airflow = 1.7 * m3_per_s;
    const ChangeInterval broken = find_change_interval(input, prices_of(40.0));
    CHECK(broken.reason == ChangeIntervalReason::no_service);
    CHECK_THAT(broken.text, Contains("no interval: the clean filter already breaks a limit: the airflow falls"));
    CHECK_FALSE(broken.interval.has_value());
    input.limits.least_airflow.reset();
    input.horizon = 0.5 * *free.interval;
    const ChangeInterval none = find_change_interval(input, prices_of(40.0));
    CHECK(none.reason == ChangeIntervalReason::none_within_horizon);
    CHECK_FALSE(none.interval.has_value());
    CHECK_THAT(none.text, Contains("no interval is named"));
    input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    input.stages[0].greatest_age = 0.3 * year;
    const ChangeInterval aged = find_change_interval(input, prices_of(400.0));
    CHECK(aged.reason == ChangeIntervalReason::limit);
    CHECK(aged.life.end == LifeEnd::age);
    CHECK(*aged.age / year == Approx(0.3).epsilon(1e-12));
}

TEST_CASE("derivatives of interval and cost agree with differences", "[own][cost]") {
    using D = Dual<4>;
    std::array<D, 4> seeds;
    for (std::size_t i = 0; i < 4; ++i) seeds[i] = D::input(usual[i], i);
    for (const bool limited : {false, true}) {
        const auto run = [&](const auto& v) {
            using T = std::remove_cvref_t<decltype(v[0])>;
            auto input = installation<T>(fixed_fan(), v, LoadingForm::smooth);
            if (limited) input.stages[0].final_resistance = BasicPressure<T>::from_value(T(140.0));
            return find_change_interval(input, prices_of<T>(v[3]));
        };
        const auto dual = run(seeds);
        REQUIRE(dual.reason == (limited ? ChangeIntervalReason::limit : ChangeIntervalReason::cost_optimum));
        for (std::size_t i = 0; i < 4; ++i) {
            const double step = 2e-3 * usual[i];
            std::array<ChangeInterval, 4> moved;
            for (int k = 0; k < 4; ++k) {
                auto v = usual;
                v[i] += (k < 2 ? k - 2 : k - 1) * step;
                moved[static_cast<std::size_t>(k)] = run(v);
            }
            const auto slope = [&](const auto& of) {
                return (of(moved[0]) - 8 * of(moved[1]) + 8 * of(moved[2]) - of(moved[3])) / (12 * step);
            };
            INFO("parameter " << i << (limited ? " limited" : " optimum"));
            CHECK(dual.interval->value().derivative[i] ==
                  Approx(slope([](const ChangeInterval& x) { return x.interval->value(); }))
                      .epsilon(5e-4)
                      .margin(1e-3 * dual.interval->value().value / usual[i] * 1e-3));
            CHECK(dual.cost->per_volume.value().derivative[i] ==
                  Approx(slope([](const ChangeInterval& x) { return x.cost->per_volume.value(); })).epsilon(5e-5));
        }
    }
}

TEST_CASE("a change interval of random installations is a minimum of their lives", "[own][cost]") {
    std::mt19937_64 random(62);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    constexpr LoadingForm forms[] = {LoadingForm::smooth, LoadingForm::exponential};
    std::size_t optima = 0, limits = 0;
    for (std::size_t i = 0; i < test::sweep_length(10000); ++i) {
        const Fan fan = share(random) < 0.7 ? Fan(fixed_fan()) : Fan(ideal_fan());
        FilterLifeInput input = installation<double>(
            fan, {30.0 + 90.0 * share(random), 0.05 + 0.2 * share(random), (2.0 + 10.0 * share(random)) * 1e-8, 0.0},
            forms[i % 2]);
        if (share(random) < 0.5) input.limits.least_airflow = (0.75 + 0.25 * share(random)) * m3_per_s;
        if (share(random) < 0.3) input.stages[0].gap_area = 10 * cm2;
        input.stages[0].efficiency = {0.4 + 0.3 * share(random), 0.3 * share(random), 50 * g_per_m2};
        const ServiceBasis basis =
            share(random) < 0.5 ? ServiceBasis::air_delivered : ServiceBasis::clean_air_delivered;
        const ServicePrices prices = prices_of(15.0 * std::pow(20.0, share(random)));
        const ChangeInterval found = find_change_interval(input, prices, basis);
        if (!found.interval) continue;
        (found.reason == ChangeIntervalReason::limit ? limits : optima) += 1;
        INFO("case " << i << ": " << found.text << ", " << *found.interval / h << " h of " << found.life.time / h);
        double least = 0.0;   // at the steps of the life, which it knows to some 1e-10, and between them
        for (const ChangeIntervalSample& step : found.curve) least = std::min(least, *step.penalty);
        for (int k = 0; k < 12; ++k) {
            const Time interval = (k + share(random)) / 12.0 * found.life.time;
            if (!(interval.value() > 0.0)) continue;
            least = std::min(least, change_penalty(input, prices, found, interval).penalty);
        }
        REQUIRE(least >= -1e-9);
        // By the life itself just beside.
        if (found.reason == ChangeIntervalReason::limit || i % 50 > 0) continue;
        for (const double x : {0.97, 1.03}) {
            FilterLifeInput part = input;
            part.horizon = x * *found.interval;
            const FilterLife life = filter_life(part);
            if (life.end != LifeEnd::horizon) continue;
            const ServiceCost other = service_cost(cycle_until(life.moments.back()), prices);
            const auto of = [&](const ServiceCost& c) {
                return basis == ServiceBasis::air_delivered ? c.per_volume : *c.per_clean_air;
            };
            REQUIRE(of(other) > of(*found.cost));
            REQUIRE(change_penalty(input, prices, found, part.horizon).penalty ==
                    Approx(of(other) / of(*found.cost) - 1.0).margin(1e-9));
        }
    }
    CHECK(optima > 0);
    CHECK(limits > 0);
}

TEST_CASE("by the hour energy alone names no interval where power falls", "[own][cost]") {
    FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    const ServicePrices prices = prices_of(40.0);
    const ChangeInterval by_air = find_change_interval(input, prices);
    REQUIRE(by_air.reason == ChangeIntervalReason::cost_optimum);
    CHECK(by_air.energy_names_none);
    CHECK_THAT(by_air.text, Contains("by the hour, energy alone would name no interval"));
    input.horizon = 2.0 * *by_air.interval;
    const ChangeInterval by_hour = find_change_interval(input, prices, ServiceBasis::running_time);
    CHECK(by_hour.reason == ChangeIntervalReason::none_within_horizon);
    CHECK_FALSE(by_hour.interval.has_value());
    CHECK_THAT(by_hour.text, Contains("energy alone names no interval"));
    CHECK_THAT(by_hour.text, Contains("per clean air"));
    // A limit still does, and by clean air there is an optimum.
    input.limits.least_airflow = by_air.moment->flow;
    const ChangeInterval limited = find_change_interval(input, prices, ServiceBasis::running_time);
    CHECK(limited.reason == ChangeIntervalReason::limit);
    CHECK(limited.interval->value() == Approx(by_air.interval->value()).epsilon(1e-6));
    input.limits.least_airflow.reset();
    const ChangeInterval by_clean_air = find_change_interval(input, prices, ServiceBasis::clean_air_delivered);
    REQUIRE(by_clean_air.reason == ChangeIntervalReason::cost_optimum);
    // At constant efficiency clean air is a fixed share of the air; as it rises, the next air is worth more.
    CHECK(by_clean_air.interval->value() == Approx(by_air.interval->value()).epsilon(1e-6));
    CHECK(by_clean_air.cost->per_clean_air->value() == Approx(by_air.cost->per_volume.value() / 0.8).epsilon(1e-8));
    input.stages[0].efficiency = {0.5, 0.4, 60 * g_per_m2};
    input.horizon = 5 * year;
    CHECK(*find_change_interval(input, prices, ServiceBasis::clean_air_delivered).interval >
          *find_change_interval(input, prices).interval);

    // With held airflow hours and air are the same service.
    const FilterLifeInput held = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    const ChangeInterval hours = find_change_interval(held, prices_of(120.0), ServiceBasis::running_time);
    REQUIRE(hours.reason == ChangeIntervalReason::cost_optimum);
    CHECK_FALSE(hours.energy_names_none);
    CHECK(hours.interval->value() ==
          Approx(find_change_interval(held, prices_of(120.0)).interval->value()).epsilon(1e-9));
}

TEST_CASE("a change interval needs power and prices", "[own][cost]") {
    FanTable table;
    table.points = {{0.3 * m3_per_s, 520 * Pa, {}}, {1.9 * m3_per_s, 60 * Pa, {}}};
    table.stated_air = standard;
    const FilterLifeInput input = installation<double>(fan_curve(table), usual, LoadingForm::smooth);
    CHECK_THROWS_WITH(find_change_interval(input, prices_of(40.0)), Contains("the fan's table has no power"));
    ServicePrices prices = prices_of(40.0);
    prices.electricity = 0 * money_per_kWh;
    CHECK_THROWS_WITH(find_change_interval(installation<double>(fixed_fan(), usual, LoadingForm::smooth), prices),
                      Contains("electricity = 0 money/J"));
}
