// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <chrono>
#include <vector>

#include <filterflow/cost/carbon.hpp>
#include <filterflow/cost/tariff.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented: dear on winter evenings of working days, cheap at night and, above all, on Sundays.
TimeOfUseTariff tariff() {
    return {.base = 0.20 * money_per_kWh,
            .windows = {{.first_hour = 22, .end_hour = 6, .price = 0.12 * money_per_kWh},
                        {.first_hour = 17,
                         .end_hour = 21,
                         .days = TariffDays::working_days,
                         .first_month = 11,
                         .last_month = 2,
                         .price = 0.35 * money_per_kWh},
                        {.days = TariffDays::weekend, .price = 0.10 * money_per_kWh}}};
}

/// Calendar of the standard library, as the second way.
struct Clock {
    int hour, weekday, month;   // weekday 0 is Monday
};
Clock clock_of(std::size_t hour) {   // of 2026, a common year
    namespace date = std::chrono;
    const date::sys_days day = date::sys_days(date::year(2026) / 1 / 1) + date::days(static_cast<int>(hour / 24));
    return {static_cast<int>(hour % 24), static_cast<int>(date::weekday(day).iso_encoding()) - 1,
            static_cast<int>(static_cast<unsigned>(date::year_month_day(day).month()))};
}
constexpr int thursday = 3;   // 1 January 2026

}   // namespace

TEST_CASE("the price of every hour of a year by another calendar", "[own][cost]") {
    for (std::size_t i = 0; i < 8760; ++i) {
        const Clock c = clock_of(i);
        double expected = c.hour >= 22 || c.hour < 6 ? 0.12 : 0.20;
        if (c.weekday < 5 && (c.month >= 11 || c.month <= 2) && c.hour >= 17 && c.hour < 21) expected = 0.35;
        if (c.weekday >= 5) expected = 0.10;
        INFO("hour " << i);
        REQUIRE(electricity_price_at(tariff(), {i, thursday}) / money_per_kWh == Approx(expected).epsilon(1e-14));
    }
}

TEST_CASE("a fan pays for the hours in which it runs", "[own][cost]") {
    // All hours: a third of them at night.
    const TimeOfUseTariff two_rates{.base = 0.3 * money_per_kWh,
                                    .windows = {{.first_hour = 22, .end_hour = 6, .price = 0.15 * money_per_kWh}}};
    std::vector<double> use(8760, 1.0);
    CHECK(mean_electricity_price(two_rates, use, 0) / money_per_kWh ==
          Approx((16 * 0.3 + 8 * 0.15) / 24).epsilon(1e-12));
    // At night alone, then half an hour of each hour by day too.
    for (std::size_t i = 0; i < 8760; ++i) use[i] = i % 24 >= 22 || i % 24 < 6 ? 1.0 : 0.0;
    CHECK(mean_electricity_price(two_rates, use, 0) / money_per_kWh == Approx(0.15).epsilon(1e-12));
    for (double& u : use) u = u > 0.0 ? 1.0 : 0.5;
    CHECK(mean_electricity_price(two_rates, use, 0) / money_per_kWh ==
          Approx((8 * 0.3 + 8 * 0.15) / 16).epsilon(1e-12));
    // An unequal year, counted the other way round: hours of each price.
    double hours = 0.0, money_used = 0.0;
    for (std::size_t i = 0; i < 8760; ++i) {
        const Clock c = clock_of(i);
        use[i] = c.weekday < 5 && c.hour >= 8 && c.hour < 19 ? (c.month >= 6 && c.month <= 8 ? 0.3 : 1.0) : 0.0;
        const double price = c.hour >= 17 && (c.month >= 11 || c.month <= 2) ? 0.35 : 0.20;
        hours += use[i];
        money_used += use[i] * price;
    }
    CHECK(mean_electricity_price(tariff(), use, thursday) / money_per_kWh == Approx(money_used / hours).epsilon(1e-12));
}

TEST_CASE("shares of a fan's use at each price", "[own][cost]") {
    std::vector<double> use(8760);
    for (std::size_t i = 0; i < 8760; ++i) use[i] = clock_of(i).hour >= 7 ? 0.4 + 0.05 * (i % 13 == 0) : 0.0;
    const TariffShares shares = tariff_shares(tariff(), use, thursday);
    REQUIRE(shares.windows.size() == 3);
    double sum = shares.base, mean = 0.20 * shares.base, all = 0.0, weekend = 0.0;
    const double prices[] = {0.12, 0.35, 0.10};
    for (std::size_t k = 0; k < 3; ++k) {
        sum += shares.windows[k];
        mean += shares.windows[k] * prices[k];
    }
    for (std::size_t i = 0; i < 8760; ++i) {
        all += use[i];
        weekend += clock_of(i).weekday >= 5 ? use[i] : 0.0;
    }
    CHECK(sum == Approx(1.0).epsilon(1e-13));
    CHECK(shares.windows[2] == Approx(weekend / all).epsilon(1e-12));   // the last window holds whatever the others say
    CHECK(mean_electricity_price(tariff(), use, thursday) / money_per_kWh == Approx(mean).epsilon(1e-12));
    CHECK_THROWS_WITH(tariff_shares(tariff(), std::vector<double>(8760, 0.0), 0), Contains("sum of hourly_use = 0"));
}

TEST_CASE("carbon of energy used and saved", "[own][cost]") {
    CHECK(carbon_of(2000 * kWh, 250 * g_per_kWh) / kg == Approx(500.0).epsilon(1e-14));
    CHECK(carbon_of(-2000 * kWh, 0.25 * kg_per_kWh) / kg == Approx(-500.0).epsilon(1e-14));
    CHECK_THROWS_WITH(carbon_of(1 * kWh, -1 * g_per_kWh), Contains("intensity"));
}

TEST_CASE("a tariff refuses what cannot be", "[own][cost]") {
    const std::vector<double> use(8760, 1.0);
    TimeOfUseTariff wrong = tariff();
    wrong.windows[1].first_hour = 24;
    CHECK_THROWS_WITH(mean_electricity_price(wrong, use, 0),
                      Contains("window 2: first_hour = 24; required: from 0 to 23"));
    wrong = tariff();
    wrong.windows[0].last_month = 13;
    CHECK_THROWS_WITH(electricity_price_at(wrong, {0, 0}), Contains("window 1: last_month = 13"));
    wrong = tariff();
    wrong.base = -1 * money_per_kWh;
    CHECK_THROWS_WITH(electricity_price_at(wrong, {0, 0}), Contains("base"));
    CHECK_THROWS_WITH(electricity_price_at(tariff(), {8760, 0}), Contains("hour = 8760"));
    CHECK_THROWS_WITH(electricity_price_at(tariff(), {0, 7}), Contains("new_years_weekday = 7"));
    CHECK_THROWS_WITH(mean_electricity_price(tariff(), std::vector<double>(8759, 1.0), 0), Contains("required: 8760"));
    CHECK_THROWS_WITH(mean_electricity_price(tariff(), std::vector<double>(8760, 0.0), 0),
                      Contains("sum of hourly_use = 0"));
}
