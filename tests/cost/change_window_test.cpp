// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <array>
#include <cmath>

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/change_limits.hpp>
#include <filterflow/cost/change_window.hpp>
#include <filterflow/cost/least_average.hpp>

#include "installation.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace filterflow::test;

TEST_CASE("the window of a straight rise in closed form", "[own][cost]") {
    // The part of the cost that the load brings goes as (y + 1/y)/2, y = T/T*: both ends have one product.
    const FilterLifeInput line = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    const ServicePrices prices = prices_of(120.0);
    const ChangeInterval found = find_change_interval(line, prices);
    const LinearGrowthCost closed = line_cost();
    for (const double x : {0.01, 0.05}) {
        const ChangeWindow window = find_change_window(line, prices, found, x);
        CHECK_FALSE(window.ends_with_life);
        CHECK(linear_growth_penalty(closed, window.earliest) == Approx(x).epsilon(1e-5));
        CHECK(linear_growth_penalty(closed, window.latest) == Approx(x).epsilon(1e-5));
        CHECK(std::sqrt(window.earliest.value() * window.latest.value()) ==
              Approx(found.interval->value()).epsilon(1e-4));
    }
}

TEST_CASE("a window ends with the life where the cost never rises that far", "[own][cost]") {
    FilterLifeInput input = installation<double>(fixed_fan(), usual, LoadingForm::smooth);
    input.stages[0].final_resistance = 130 * Pa;
    for (const ServiceBasis basis : {ServiceBasis::air_delivered, ServiceBasis::clean_air_delivered}) {
        const ServicePrices prices = prices_of(400.0);
        const ChangeInterval found = find_change_interval(input, prices, basis);
        REQUIRE(found.reason == ChangeIntervalReason::limit);
        const ChangeWindow window = find_change_window(input, prices, found, 0.03);
        CHECK(window.ends_with_life);
        CHECK(window.latest == found.life.time);
        CHECK(window.earliest < *found.interval);
        CHECK(change_penalty(input, prices, found, window.earliest).penalty == Approx(0.03).epsilon(1e-6));
    }
}

TEST_CASE("a window has derivatives", "[own][cost]") {
    using D = Dual<1>;
    ServicePrices prices = prices_of(120.0);
    prices.demand = DemandCharge{.price = 6 * money_per_kW};
    const auto window_at = [&](double concentration) {
        std::array<double, 4> v = usual;
        v[2] = concentration;
        const auto input = installation<double>(ideal_fan(), v, LoadingForm::smooth);
        return find_change_window(input, prices, find_change_interval(input, prices), 0.02);
    };
    std::array<D, 4> v{D(usual[0]), D(usual[1]), D::input(usual[2], 0), D(usual[3])};
    auto of_dual = prices_of(D(120.0));
    of_dual.demand = BasicDemandCharge<D>{BasicDemandPrice<D>::from_value(D(6e-3)), 12.0};
    const auto input = installation<D>(ideal_fan(), v, LoadingForm::smooth);
    const auto dual = find_change_window(input, of_dual, find_change_interval(input, of_dual), 0.02);
    const double step = 0.02 * usual[2];
    const ChangeWindow more = window_at(usual[2] + step), less = window_at(usual[2] - step), here = window_at(usual[2]);
    CHECK(dual.earliest.value().value == Approx(here.earliest.value()).epsilon(1e-6));
    CHECK(dual.latest.value().value == Approx(here.latest.value()).epsilon(1e-6));
    CHECK(dual.earliest.value().derivative[0] ==
          Approx((more.earliest - less.earliest).value() / (2 * step)).epsilon(0.02));
    CHECK(dual.latest.value().derivative[0] == Approx((more.latest - less.latest).value() / (2 * step)).epsilon(0.02));
}

TEST_CASE("a window refuses what cannot be", "[own][cost]") {
    FilterLifeInput input = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    const ServicePrices prices = prices_of(120.0);
    const ChangeInterval found = find_change_interval(input, prices);
    CHECK_THROWS_WITH(find_change_window(input, prices, found, 0.0), Contains("greatest_penalty = 0"));
    input.horizon = 0.5 * *found.interval;
    CHECK_THROWS_WITH(find_change_window(input, prices, find_change_interval(input, prices), 0.02),
                      Contains("no interval was found"));
}
