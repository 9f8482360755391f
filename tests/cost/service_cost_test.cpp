// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/service_history.hpp>

#include "installation.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace filterflow::test;

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
    // Carbon and clean air where they are given.
    CHECK_FALSE(cost.annual_carbon.has_value());
    CHECK_FALSE(cost.per_clean_air.has_value());
    ServicePrices with_carbon = prices;
    with_carbon.carbon = 300 * g_per_kWh;
    Cycle cleaning = cycle;
    cleaning.clean_air = 0.4 * cycle.delivered;
    const ServiceCost more = service_cost(cleaning, with_carbon);
    CHECK(*more.annual_carbon / kg == Approx(0.3 * (cost.annual_energy / kWh)).epsilon(1e-12));
    CHECK(more.per_clean_air->value() == Approx(cost.per_volume.value() / 0.4).epsilon(1e-12));
    with_carbon.carbon = -1 * g_per_kWh;
    CHECK_THROWS_WITH(service_cost(cycle, with_carbon), Contains("carbon"));
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
