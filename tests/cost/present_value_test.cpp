// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/cost/present_value.hpp>
#include <filterflow/cost/years_of_service.hpp>
#include <filterflow/numeric/dual.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Standard annuity table, from memory: no check from outside.
TEST_CASE("uniform present value of a table", "[own][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const double factor = uniform_present_value_factor({.discount_rate = 0.03, .years = 20});
    CHECK(factor == Approx(table.row("id", "annuity factor").number("expected")).epsilon(1e-4));
    CHECK(uniform_present_value_factor({.discount_rate = 0.03, .years = 20}) *
              capital_recovery_factor({.discount_rate = 0.03, .years = 20}) ==
          Approx(1.0).epsilon(1e-14));
}

// A port of the general-purpose library numpy-financial (make_annuity_table.cjs).
TEST_CASE("present values by a library of finance", "[outside][cost]") {
    const test::ReferenceTable table("annuity.csv");
    std::size_t payments = 0, services = 0;
    for (const test::ReferenceRow& row : table) {
        const double years = row.number("years"), rate = row.number("rate");
        if (row["kind"] == "equal payments") {
            ++payments;
            CHECK(uniform_present_value_factor(
                      {.discount_rate = rate, .escalation = row.number("escalation"), .years = years}) ==
                  Approx(row.number("value")).epsilon(1e-10));
            continue;
        }
        ++services;
        ServiceCost cost{};
        const StageChanges stage{.cost = 1 * money, .per_year = row.number("changes_per_year")};
        const YearsOfService found = years_of_service(cost, {stage}, {.discount_rate = rate, .years = years});
        CHECK(found.present_value / money == Approx(row.number("value")).epsilon(1e-10));
    }
    CHECK(payments == 4);
    CHECK(services == 4);
}

TEST_CASE("present value agrees with year-by-year sums", "[own][cost]") {
    for (const double r : {-0.02, 0.0, 1e-12, 1e-8, 1e-4, 0.03, 0.15}) {
        for (const double e : {0.0, 0.02, 0.03}) {
            double sum = 0.0;
            for (int n = 1; n <= 25; ++n) sum += std::pow((1 + e) / (1 + r), n);
            CHECK(uniform_present_value_factor({.discount_rate = r, .escalation = e, .years = 25}) ==
                  Approx(sum).epsilon(1e-12));
        }
    }
    // 313.90 a year over 15 years at 3 %: 3747.4 (own figure of a second program).
    const YearlyCost yearly{.energy = 203.904 * money, .filters = 110 * money};
    CHECK(present_value(yearly, {.discount_rate = 0.03, .years = 15}) / money == Approx(3747.4).margin(0.05));
    const double split =
        203.904 * uniform_present_value_factor({.discount_rate = 0.03, .escalation = 0.02, .years = 15}) +
        110 * uniform_present_value_factor({.discount_rate = 0.03, .years = 15});
    CHECK(present_value(yearly, {.discount_rate = 0.03, .electricity_escalation = 0.02, .years = 15}) / money ==
          Approx(split).epsilon(1e-13));
}

TEST_CASE("present value has derivatives at equal rates", "[own][cost]") {
    using D = Dual<1>;
    const auto factor = uniform_present_value_factor(BasicDiscounting<D>{D::input(0.02, 0), D(0.02), 10.0});
    const double shift = 1e-5;
    const double numeric =
        (uniform_present_value_factor({.discount_rate = 0.02 + shift, .escalation = 0.02, .years = 10}) -
         uniform_present_value_factor({.discount_rate = 0.02 - shift, .escalation = 0.02, .years = 10})) /
        (2 * shift);
    CHECK(factor.value == Approx(10.0).epsilon(1e-12));
    CHECK(factor.derivative[0] == Approx(numeric).epsilon(1e-7));
}

TEST_CASE("years of service, payment by payment", "[own][cost]") {
    ServiceCost cost{};
    cost.annual_energy = 3000 * kWh;
    cost.annual_energy_cost = 600 * money;
    cost.annual_carbon = 900 * kg;
    for (const double changes : {0.4, 1.0, 2.5, 12.0}) {
        cost.changes_per_year = changes;
        cost.annual_filter_cost = changes * 45 * money;
        for (const double years : {1.0, 7.3, 10.0}) {
            const CostOutlook outlook{
                .discount_rate = 0.04, .electricity_escalation = 0.02, .other_escalation = 0.01, .years = years};
            const YearsOfService found = years_of_service(cost, outlook);
            double paid = 0.0, bought = 0.0;
            std::size_t count = 0;
            for (; static_cast<double>(count) / changes < years - 1e-9; ++count) {
                const double t = static_cast<double>(count) / changes;
                paid += 45.0 * std::pow(1.01 / 1.04, t);
                bought += 45.0;
            }
            const double unused = static_cast<double>(count) - changes * years;
            paid -= unused * 45.0 * std::pow(1.01 / 1.04, years);
            paid += 600.0 * uniform_present_value_factor({.discount_rate = 0.04, .escalation = 0.02, .years = years});
            INFO(changes << " changes a year, " << years << " years");
            CHECK(found.present_value / money == Approx(paid).epsilon(1e-12));
            CHECK(found.purchases == count);
            CHECK(found.filter_cost / money == Approx(bought - unused * 45.0).epsilon(1e-12));
            CHECK(found.energy / kWh == Approx(3000 * years));
            CHECK(*found.carbon / kg == Approx(900 * years));
            CHECK(found.calendar_interval / year == Approx(1.0 / changes));
            // Paid when they are put in, filters cost more than at the end of each year, by less than a year's
            // interest.
            const double by_years =
                present_value({.energy = 600 * money, .filters = cost.annual_filter_cost}, outlook) / money;
            CHECK(paid > by_years);
            CHECK(paid - by_years <
                  0.04 * (1 + years) * (cost.annual_filter_cost / money) + 45.0 / changes * 0.04 * changes);
        }
    }
    // Two stages of their own: what each costs alone, and the energy once. A demand charge escalates with the energy.
    const CostOutlook outlook{.discount_rate = 0.05, .electricity_escalation = 0.03, .years = 9.0};
    const std::vector<StageChanges> both{{45 * money, 2.5}, {210 * money, 0.3}};
    cost.annual_demand_cost = 90 * money;
    const YearsOfService together = years_of_service(cost, both, outlook);
    CHECK(together.purchases_of_stages == std::vector<std::size_t>{23, 3});
    CHECK(together.purchases == 26);
    CHECK(together.energy_cost / money == Approx(9 * 690.0));
    ServiceCost nothing{};
    const double apart = years_of_service(nothing, {both[0]}, outlook).present_value / money +
                         years_of_service(nothing, {both[1]}, outlook).present_value / money;
    const double energy =
        690.0 * uniform_present_value_factor({.discount_rate = 0.05, .escalation = 0.03, .years = 9.0});
    CHECK(together.present_value / money == Approx(apart + energy).epsilon(1e-12));
    CHECK_THROWS_WITH(years_of_service(cost, std::vector<StageChanges>{}, outlook), Contains("number of stages = 0"));
    cost.changes_per_year = 0.0;
    CHECK_THROWS_WITH(years_of_service(cost, {.discount_rate = 0.03, .years = 5}), Contains("changes_per_year = 0"));
}

TEST_CASE("present value refuses what cannot be", "[own][cost]") {
    CHECK_THROWS_WITH(uniform_present_value_factor({.discount_rate = -1.0, .years = 5}),
                      Contains("1 + discount_rate = 0"));
    CHECK_THROWS_WITH(uniform_present_value_factor({.discount_rate = 0.03}),
                      Contains("years = 0 years; required: > 0"));
    CHECK_THROWS_AS(present_value({.energy = Money::from_value(std::nan(""))}, {.years = 3}), DomainError);
}
