// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <array>
#include <cmath>

#include <boost/math/tools/minima.hpp>

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/exponential_growth.hpp>
#include <filterflow/cost/least_average.hpp>
#include <filterflow/cost/service_cost.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState standard = duct_design_air();

FanCurve fixed_fan() {   // invented
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = standard;
    return fan_curve(table);
}

/// Invented: holds 1.0 m3/s; its power is the air's over 0.5, so that closed forms apply.
FlowHoldingFan ideal_fan() {
    FanTable table;
    for (const double p : {1.0, 1000.0, 2000.0}) table.points.push_back({1.0 * m3_per_s, p * Pa, 2.0 * p * W});
    table.stated_air = standard;
    return flow_holding_fan(table);
}

template <class T>
BasicFilterLifeInput<T> installation(const Fan& fan, const std::array<T, 4>& v, LoadingForm form) {
    BasicFilterStage<T> s;
    s.clean = {BasicLinearResistance<T>::from_value(v[0]), BasicQuadraticResistance<T>::from_value(T(0.0)), standard};
    s.law = {
        form, ReferenceArea::media, BasicMassPerArea<T>::from_value(v[1]), BasicMassPerArea<T>::from_value(T(0.0)), {}};
    s.area = BasicArea<T>::from_value(T(2.0));
    s.efficiency.clean = T(0.8);
    BasicFilterLifeInput<T> input{.fan = fan};
    input.ducts.power_laws.push_back(
        {BasicPressure<T>::from_value(T(140.0)), BasicVolumeFlow<T>::from_value(T(1.0)), T(2.0), standard});
    input.stages = {s};
    input.dust = {BasicMassConcentration<T>::from_value(v[2]), T(1.0)};
    input.running_fraction = T(0.5);
    input.air = air_as<T>(standard);
    input.horizon = BasicTime<T>::from_value(T(5.0 * 8760 * 3600));
    return input;
}
const std::array<double, 4> usual{80.0, 0.1, 6e-8, 70.0};

template <class T>
BasicServicePrices<T> prices_of(const T& change) {
    return {.change = {BasicMoney<T>::from_value(T(change * T(0.6))), BasicMoney<T>::from_value(T(change * T(0.3))),
                       BasicMoney<T>::from_value(T(change * T(0.1)))},
            .electricity = BasicEnergyPrice<T>::from_value(T(0.2 / 3.6e6)),
            .annual_volume = BasicVolume<T>::from_value(T(4380.0 * 3600.0))};
}

}   // namespace

// Panneerselvam, Engineering Economics, example 8.1 (read).
TEST_CASE("average costs of a replacement table", "[outside][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    PeriodCosts costs{.renewal = 4000 * money, .running = {}};
    for (int i = 0; i < 7; ++i) costs.running.push_back(200 * i * money);
    const auto averages = average_costs(costs);
    int checked = 0;
    for (const auto& row : table) {
        if (row["id"] != "average cost" || row["provenance"] != "read") continue;
        CHECK(averages[static_cast<std::size_t>(checked)] / money == Approx(row.number("expected")).epsilon(1e-5));
        ++checked;
    }
    CHECK(checked == 7);
    std::size_t best = 0;
    for (std::size_t i = 1; i < averages.size(); ++i) best = averages[i] < averages[best] ? i : best;
    CHECK(best + 1 == 6);   // the book's optimum
}

TEST_CASE("the continuous form of the same table", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const auto found = find_least_average(
        4000.0,
        [](double t) {
            return RunningCost{t, 200.0 * t - 100.0, 100.0 * t * t - 100.0 * t};
        },
        20.0);
    REQUIRE(found.found);
    CHECK(found.service == Approx(std::sqrt(2 * 4000.0 / 200.0)).epsilon(1e-12));
    CHECK(found.service ==
          Approx(table.row("quantity", "continuous optimum of the same problem").number("expected")).epsilon(2e-3));
}

TEST_CASE("closed forms of the change interval and their numbers", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const LinearGrowthCost linear{.change = 60 * money,
                                  .electricity = 0.15 * money_per_kWh,
                                  .flow = 0.944 * m3_per_s,
                                  .overall_efficiency = 0.5,
                                  .first_drop = 80 * Pa,
                                  .rise = 20 * Pa,
                                  .rise_time = 1000 * h};
    const auto straight = best_interval_for_linear_growth(linear);
    CHECK(straight.interval / h == Approx(table.row("id", "linear growth").number("expected")).epsilon(1e-6));
    CHECK(straight.drop / Pa == Approx(172.06).margin(0.005));
    CHECK(straight.cost_rate / money_per_h == Approx(0.048727).margin(5e-7));
    const ExponentialGrowthCost growth{.change = 60 * money,
                                       .electricity = 0.15 * money_per_kWh,
                                       .flow = 0.944 * m3_per_s,
                                       .overall_efficiency = 0.5,
                                       .first_drop = 80 * Pa,
                                       .doubling_time = 4000 * h};
    const auto doubling = best_interval_for_exponential_growth(growth);
    CHECK(doubling.interval / h == Approx(table.row("id", "exponential growth").number("expected")).epsilon(1e-6));
    CHECK(doubling.drop / Pa == Approx(168.09).margin(0.005));

    // Second method: a library's minimiser on the average cost, and our search for where running meets average.
    const double c = 0.15 / 1000.0 * 0.944 / 0.5;   // money an hour per pascal
    const auto total_linear = [&](double t) { return c * (80.0 * t + 0.01 * t * t); };
    const auto total_growth = [&](double t) {
        return c * 80.0 * (std::exp2(t / 4000.0) - 1.0) * 4000.0 / std::log(2.0);
    };
    const auto minimum = [](const auto& total) {
        return boost::math::tools::brent_find_minima([&](double t) { return (60.0 + total(t)) / t; }, 100.0, 20000.0,
                                                     40)
            .first;
    };
    CHECK(straight.interval / h == Approx(minimum(total_linear)).epsilon(1e-5));
    CHECK(doubling.interval / h == Approx(minimum(total_growth)).epsilon(1e-5));
    const auto search = find_least_average(
        60.0,
        [&](double t) {
            return RunningCost{t, c * (80.0 + 0.02 * t), total_linear(t)};
        },
        20000.0);
    CHECK(search.service == Approx(straight.interval / h).epsilon(1e-10));
    // Penalty of a wrong interval: 0.7 T costs 3.4 % more, 1.5 T 4.5 % (own figures of a second program).
    const auto penalty = [&](double x) {
        const double t = x * (straight.interval / h);
        return (60.0 + total_linear(t)) / t / (straight.cost_rate / money_per_h) - 1.0;
    };
    CHECK(penalty(0.7) == Approx(0.034).margin(5e-4));
    CHECK(penalty(1.5) == Approx(0.045).margin(5e-4));
}

TEST_CASE("no minimum is said to be none", "[own][cost]") {
    const auto flat = find_least_average(
        10.0,
        [](double t) {
            return RunningCost{t, 2.0, 2.0 * t};
        },
        50.0);
    CHECK_FALSE(flat.found);
    CHECK(flat.service == 50.0);
    CHECK(flat.average == Approx(2.2));
}

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

TEST_CASE("cost at equal service", "[own][cost]") {
    const ServicePrices prices = prices_of(100.0);
    const Cycle cycle{.time = 2000 * h, .delivered = 2000 * 3600 * 0.9 * m3, .fan_energy = 1500 * kWh};
    const ServiceCost cost = service_cost(cycle, prices);
    const double times = 4380.0 / (2000 * 0.9);
    CHECK(cost.annual_cost / money == Approx(times * (100 + 0.2 * 1500)).epsilon(1e-12));
    CHECK(cost.annual_energy / kWh == Approx(times * 1500).epsilon(1e-12));
    CHECK(cost.annual_filter_cost / money == Approx(times * 100).epsilon(1e-12));
    CHECK(cost.annual_running_time / h == Approx(times * 2000).epsilon(1e-12));
    CHECK(cost.changes_per_year == Approx(times).epsilon(1e-12));
    CHECK_FALSE(cost.exceeds_year);
    // A filter that halves the flow at 0.6 of the power costs more for the same air, though it draws less.
    const ServiceCost starved = service_cost(Cycle{2000 * h, 0.5 * cycle.delivered, 0.6 * cycle.fan_energy}, prices);
    CHECK(starved.annual_cost > cost.annual_cost);
    CHECK(cost_per_clean_air(cost.per_volume, 0.5).value() == Approx(2.0 * cost.per_volume.value()));
    CHECK_THROWS_WITH(cost_per_clean_air(cost.per_volume, 0.0), Contains("removal = 0; required: > 0"));
    ServicePrices free = prices;
    free.change = {};
    CHECK_THROWS_WITH(service_cost(cycle, free), Contains("cost of a change = 0 money"));
}

TEST_CASE("stages changed at their own rules cost what one cycle costs if there is one", "[own][cost]") {
    FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    input.stages[0].final_resistance = 140 * Pa;
    const FilterLife life = filter_life(input);
    input.horizon = 7.3 * life.time;
    const ServiceHistory history = service_history(input);
    const ServicePrices prices = prices_of(40.0);
    const auto single =
        service_cost(Cycle{life.time, life.moments.back().delivered, *life.moments.back().fan_energy}, prices);
    const auto many = service_cost(history, StagePrices{{prices.change}, prices.electricity, prices.annual_volume});
    CHECK(history.changes.size() == 7);
    CHECK(many.annual_cost.value() == Approx(single.annual_cost.value()).epsilon(0.005));
    CHECK(many.changes_per_year == Approx(single.changes_per_year).epsilon(0.01));
    CHECK_THROWS_WITH(service_cost(history, StagePrices{{}, prices.electricity, prices.annual_volume}),
                      Contains("one for each of the 1 stages"));
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
