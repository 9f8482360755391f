// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_limits.hpp>
#include <filterflow/cost/least_average.hpp>

#include "installation.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace filterflow::test;

TEST_CASE("what changing early or late costs", "[own][cost]") {
    const FilterLifeInput line = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    const ServicePrices prices = prices_of(120.0);
    const ChangeInterval found = find_change_interval(line, prices);
    const LinearGrowthCost closed = line_cost();
    for (const double x : {0.4, 0.8, 1.0, 1.2, 1.9}) {
        const ChangePenalty penalty = change_penalty(line, prices, found, x * *found.interval);
        CHECK(penalty.penalty == Approx(linear_growth_penalty(closed, x * *found.interval)).margin(1e-9));
        CHECK(penalty.average == Approx((1.0 + penalty.penalty) * found.cost->per_volume.value()).epsilon(1e-9));
    }
    CHECK_THROWS_WITH(change_penalty(line, prices, found, 1.01 * found.life.time), Contains("interval"));
    FilterLifeInput brief = line;
    brief.horizon = 0.5 * *found.interval;
    CHECK_THROWS_WITH(change_penalty(brief, prices, find_change_interval(brief, prices), 1 * h),
                      Contains("no interval was found"));
}

TEST_CASE("every limit and when it would bind", "[own][cost]") {
    FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    CHECK(change_limits(input).size() <= 1);   // none but the end of the fan's table
    input.stages[0].final_resistance = 160 * Pa;
    input.stages[0].greatest_age = 0.4 * year;
    input.limits.least_airflow = 1.1 * m3_per_s;
    input.limits.greatest_external_static_pressure = 390 * Pa;
    const auto limits = change_limits(input);
    REQUIRE(limits.size() >= 4);
    const FilterLife life = filter_life(input);
    CHECK(limits.front().end == life.end);
    CHECK(limits.front().time.value() == life.time.value());
    for (std::size_t i = 0; i < limits.size(); ++i) {
        if (i > 0) CHECK(limits[i].time >= limits[i - 1].time);
        FilterLifeInput alone = input;   // second way: that limit and no other
        alone.stages[0].final_resistance.reset();
        alone.stages[0].greatest_age.reset();
        alone.limits = {};
        if (limits[i].end == LifeEnd::final_resistance) alone.stages[0].final_resistance = 160 * Pa;
        if (limits[i].end == LifeEnd::age) alone.stages[0].greatest_age = 0.4 * year;
        if (limits[i].end == LifeEnd::least_airflow) alone.limits.least_airflow = 1.1 * m3_per_s;
        if (limits[i].end == LifeEnd::external_static_pressure) {
            alone.limits.greatest_external_static_pressure = 390 * Pa;
        }
        const FilterLife only = filter_life(alone);
        INFO(limits[i].text);
        CHECK(only.end == limits[i].end);
        CHECK(only.time.value() == Approx(limits[i].time.value()).epsilon(1e-9));
    }
    // With a fan that needs more power as the filter loads, its greatest power is one, too.
    FilterLifeInput held = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    held.limits.greatest_power = 600 * W;
    held.stages[0].greatest_age = 4 * year;
    const auto of_power = change_limits(held);
    REQUIRE(of_power.size() >= 2);
    CHECK(of_power[0].end == LifeEnd::greatest_power);
    CHECK(of_power[1].end == LifeEnd::age);
    // The interval is bound by the first of them.
    const ChangeInterval bound = find_change_interval(input, prices_of(4000.0));
    CHECK(bound.reason == ChangeIntervalReason::limit);
    CHECK(bound.interval->value() == limits.front().time.value());
    CHECK_THAT(bound.text, Contains(limits.front().text));
}
