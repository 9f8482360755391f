// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/cost/change_interval.hpp>
#include <filterflow/cost/demand_charge.hpp>
#include <filterflow/loading/service_history.hpp>

#include "installation.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace filterflow::test;

namespace {

/// Moments of a fan whose power follows a function of its age, invented.
template <class F>
std::vector<LifeMoment> moments_of(double months, int count, const F& power) {
    std::vector<LifeMoment> moments(static_cast<std::size_t>(count) + 1);
    for (std::size_t i = 0; i < moments.size(); ++i) {
        const double age = months * static_cast<double>(i) / count;
        moments[i].time = Time::from_value(age * month.one.value());
        moments[i].power = power(age) * W;
    }
    return moments;
}

/// Second way: month after month of many years, changes falling where they fall, the greatest of many instants.
template <class F>
double peak_by_months(double months, const F& power) {
    constexpr int years = 400, instants = 400;
    double sum = 0.0;
    for (int m = 0; m < 12 * years; ++m) {
        double most = 0.0;
        for (int i = 0; i <= instants; ++i) {
            const double t = m + 0.123 + static_cast<double>(i) / instants;
            most = std::max(most, power(std::fmod(t, months)));
        }
        sum += most;
    }
    return sum / (12.0 * years);
}

ServicePrices prices_with_demand(double per_kW) {
    ServicePrices prices = prices_of(120.0);
    prices.demand = DemandCharge{.price = per_kW * money_per_kW};
    return prices;
}

}   // namespace

TEST_CASE("a demand charge is price times power times months", "[own][cost]") {
    CHECK(annual_demand_cost({.price = 12.5 * money_per_kW}, 3000 * W) / money == Approx(450.0).epsilon(1e-14));
    CHECK(annual_demand_cost({.price = 12.5 * money_per_kW, .months = 7}, 3000 * W) / money ==
          Approx(262.5).epsilon(1e-14));
    CHECK_THROWS_WITH(annual_demand_cost({.price = -1 * money_per_kW}, 1 * W), Contains("price of the months'"));
    CHECK_THROWS_WITH(annual_demand_cost({.price = 1 * money_per_kW, .months = 13}, 1 * W), Contains("months = 13"));
    CHECK_THROWS_WITH(annual_demand_cost({.price = 1 * money_per_kW}, -1 * W), Contains("monthly_peak = -1"));
}

TEST_CASE("the months' greatest power of a straight rise and fall in closed form", "[own][cost]") {
    for (const double tau : {1.2, 3.7, 9.0}) {
        const auto rise = moments_of(tau, 7, [](double a) { return 900.0 + 40.0 * a; });
        CHECK(mean_monthly_peak(rise, 1.0) / W ==
              Approx(900.0 + 40.0 * ((tau * tau - 1.0) / (2.0 * tau) + 1.0)).epsilon(1e-12));
        const auto fall = moments_of(tau, 7, [](double a) { return 900.0 - 40.0 * a; });
        CHECK(mean_monthly_peak(fall, 1.0) / W ==
              Approx(900.0 - 40.0 * (tau - 1.0) * (tau - 1.0) / (2.0 * tau)).epsilon(1e-12));
        // A fan that runs half the time loads half as fast.
        CHECK(mean_monthly_peak(moments_of(0.5 * tau, 7, [](double a) { return 900.0 + 80.0 * a; }), 0.5) / W ==
              Approx(mean_monthly_peak(rise, 1.0) / W).epsilon(1e-12));
    }
    CHECK(mean_monthly_peak(moments_of(0.9, 5, [](double a) { return 900.0 + 40.0 * a; }), 1.0) / W == Approx(936.0));
}

TEST_CASE("the months' greatest power month by month", "[own][cost]") {
    const auto curved = [](double a) { return 700.0 + 30.0 * std::exp(0.4 * a); };
    const auto hump = [](double a) { return 800.0 + 90.0 * a - 14.0 * a * a; };   // greatest at 3.2 months
    for (const double tau : {2.618034, 5.236068}) {
        CHECK(mean_monthly_peak(moments_of(tau, 24, curved), 1.0) / W ==
              Approx(peak_by_months(tau, curved)).epsilon(2e-4));
        CHECK(mean_monthly_peak(moments_of(tau, 24, hump), 1.0) / W == Approx(peak_by_months(tau, hump)).epsilon(2e-4));
    }
}

TEST_CASE("a change interval with a demand charge is the least on a fine grid", "[own][cost]") {
    for (const Fan& fan : {Fan(ideal_fan()), Fan(fixed_fan())}) {
        const FilterLifeInput input = installation<double>(fan, usual, LoadingForm::smooth);
        const ChangeInterval without = find_change_interval(input, prices_of(120.0));
        const ServicePrices prices = prices_with_demand(9.0);
        const ChangeInterval with = find_change_interval(input, prices);
        REQUIRE(with.reason == ChangeIntervalReason::cost_optimum);
        // What it says of itself adds up, and the curve has the charge in it.
        const double parts =
            (with.cost->annual_energy_cost + with.cost->annual_filter_cost + *with.cost->annual_demand_cost) / money;
        CHECK(with.cost->annual_cost / money == Approx(parts).epsilon(1e-12));
        CHECK(with.cost->per_volume.value() * prices.annual_volume.value() == Approx(parts).epsilon(1e-12));
        double least = 1e300, at = 0.0;
        for (int i = 1; i <= 300; ++i) {
            FilterLifeInput until = input;
            until.horizon = Time::from_value(2.5 * with.interval->value() * i / 300.0);
            const FilterLife life = filter_life(until);
            Cycle cycle = cycle_until(life.moments.back());
            cycle.monthly_peak = mean_monthly_peak(life.moments, 0.5);
            const double cost = service_cost(cycle, prices).annual_cost / money;
            if (cost < least) at = life.time.value();
            least = std::min(least, cost);
        }
        CHECK(with.cost->annual_cost / money <= least * (1.0 + 1e-6));
        CHECK(with.interval->value() == Approx(at).epsilon(0.02));
        // A power that rises with the load calls for an earlier change, one that falls for a later one.
        const bool rises = with.life.moments.back().power > with.life.moments.front().power;
        CHECK((*with.interval < *without.interval) == rises);
        for (const ChangeIntervalSample& sample : with.curve) CHECK(*sample.penalty > -1e-6);
    }
}

TEST_CASE("a change interval with a demand charge has derivatives", "[own][cost]") {
    using D = Dual<2>;
    const auto found = [](double concentration, double price) {
        std::array<double, 4> v = usual;
        v[2] = concentration;
        return find_change_interval(installation<double>(ideal_fan(), v, LoadingForm::smooth),
                                    prices_with_demand(price));
    };
    std::array<D, 4> v{D(usual[0]), D(usual[1]), D::input(usual[2], 0), D(usual[3])};
    auto prices = prices_of(D(120.0));
    prices.demand = BasicDemandCharge<D>{BasicDemandPrice<D>::from_value(D::input(9e-3, 1)), 12.0};
    const auto dual = find_change_interval(installation<D>(ideal_fan(), v, LoadingForm::smooth), prices);
    const double c = 0.02 * usual[2], p = 0.4;
    const auto more = found(usual[2] + c, 9.0), less = found(usual[2] - c, 9.0);
    const auto dearer = found(usual[2], 9.0 + p), cheaper = found(usual[2], 9.0 - p);
    CHECK(dual.interval->value().derivative[0] ==
          Approx((more.interval->value() - less.interval->value()) / (2 * c)).epsilon(0.02));
    CHECK(dual.interval->value().derivative[1] ==
          Approx((dearer.interval->value() - cheaper.interval->value()) / (2e-3 * p)).epsilon(0.02));
    CHECK(dual.cost->annual_cost.value().derivative[0] ==
          Approx((more.cost->annual_cost - less.cost->annual_cost).value() / (2 * c)).epsilon(2e-3));
    CHECK(dual.cost->annual_cost.value().derivative[1] ==
          Approx((dearer.cost->annual_cost - cheaper.cost->annual_cost).value() / (2e-3 * p)).epsilon(2e-3));
}

TEST_CASE("the months' greatest power of a history is that of its lives", "[own][cost]") {
    FilterLifeInput input = installation<double>(ideal_fan(), usual, LoadingForm::smooth);
    input.stages[0].final_resistance = 160 * Pa;
    const FilterLife life = filter_life(input);
    FilterLifeInput years = input;
    years.horizon = 40.0 * life.time;
    const ServiceHistory history = service_history(years);
    REQUIRE(history.change_counts[0] >= 38);
    CHECK(mean_monthly_peak(history, 0.5) / W == Approx(mean_monthly_peak(life.moments, 0.5) / W).epsilon(2e-3));
    StagePrices prices;
    prices.changes = {prices_of(120.0).change};
    prices.electricity = 0.2 * money_per_kWh;
    prices.annual_volume = 1e7 * m3;
    const ServiceCost without = service_cost(history, prices);
    prices.demand = DemandCharge{.price = 10 * money_per_kW};
    prices.running_fraction = 0.5;
    const ServiceCost with = service_cost(history, prices);
    CHECK((with.annual_cost - without.annual_cost) / money ==
          Approx(0.12 * (mean_monthly_peak(history, 0.5) / W)).epsilon(1e-9));
}

TEST_CASE("a demand charge refuses what cannot be", "[own][cost]") {
    Cycle cycle{100 * h, 1000 * m3, 50 * kWh};
    CHECK_THROWS_WITH(service_cost(cycle, prices_with_demand(9.0)), Contains("without monthly_peak"));
    auto moments = moments_of(3.0, 4, [](double) { return 100.0; });
    CHECK_THROWS_WITH(mean_monthly_peak(moments, 0.0), Contains("running_fraction = 0"));
    CHECK_THROWS_WITH(mean_monthly_peak(std::vector<LifeMoment>{moments[0]}, 1.0), Contains("span no time"));
    moments[2].power.reset();
    CHECK_THROWS_WITH(mean_monthly_peak(moments, 1.0), Contains("no power"));
}
