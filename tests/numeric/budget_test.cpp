// SPDX-License-Identifier: BSL-1.0
// Budgets and expanded uncertainties against GUM H.1 and EURACHEM/CITAC A1, and their own sums.

#include <array>
#include <cmath>
#include <string>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/budget.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

#include "support/catch.hpp"
#include "support/gum_examples.hpp"

using namespace filterflow;
using filterflow::test::ReferenceTable;

TEST_CASE("GUM H.1: the budget of the end gauge", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "GUM H.1", item); };
    const auto input = [&](const char* item) {
        const std::string text = get(item);
        return uncertain(std::stod(text), test::number_after(text, "u", 0), item,
                         test::number_after(text, "dof", HUGE_VAL));
    };
    const auto rectangular = [&](const char* item, double rough) {
        const std::string text = get(item);
        return plus_minus(std::stod(text), test::number_after(text, "half width", 0), StatedMeaning::rectangular, item,
                          rough);
    };
    const Uncertain<double> d = input("d0 / nm") + input("d1 random") + input("d2 systematic");
    const Uncertain<double> theta =
        input("theta mean") + plus_minus(0.0, test::number_after(get("Delta cyclic"), "half width", 0),
                                         StatedMeaning::arcsine, "cyclic variation");
    const std::array inputs{input("lS / nm"), d, rectangular("da / 1/K", 0.1), theta, rectangular("aS / 1/K", 0.0),
                            rectangular("dtheta / K", 0.5)};
    const Uncertain<double> l = propagate<6>(
        [](const auto& x) { return std::array{x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5])}; }, inputs)[0];
    const UncertaintyBudget<double> budget = uncertainty_budget(l);
    CHECK(budget.standard_uncertainty == Approx(std::stod(get("u_c(l) first order"))).epsilon(2e-5));
    CHECK(budget.effective_degrees_of_freedom == Approx(std::stod(get("effective dof"))).epsilon(0.01));
    REQUIRE(budget.rows.size() == 6);   // first order does not see the others: their sensitivities are zero
    CHECK(budget.rows[0].name == "lS / nm");
    CHECK(budget.rows[1].name == "dtheta / K");
    CHECK(budget.rows[1].contribution == Approx(std::stod(get("component dtheta"))).epsilon(1e-4));
    CHECK(budget.rows[1].degrees_of_freedom == Approx(2.0));
    CHECK(budget.rows[1].shape == InputShape::rectangular);
    for (const BudgetRow<double>& row : budget.rows) {
        if (row.name == "da / 1/K") CHECK(row.contribution == Approx(std::stod(get("component da"))).epsilon(1e-4));
    }
    // The GUM rounds: 16 degrees of freedom, k = 2.92, U99 = 93 nm.
    const ExpandedUncertainty<double> expanded = expanded_uncertainty(l, 0.99);
    CHECK(expanded.degrees_of_freedom == budget.effective_degrees_of_freedom);
    CHECK(expanded.coverage_factor == Approx(std::stod(get("t99(16)"))).epsilon(0.01));
    CHECK(expanded.expanded_uncertainty == Approx(std::stod(get("U99"))).epsilon(0.015));
}

TEST_CASE("EURACHEM/CITAC A1: the budget of the cadmium standard", "[outside]") {
    const ReferenceTable table("gum_examples.csv");
    const auto get = [&](const char* item) { return test::example_cell(table, "EURACHEM", item); };
    const std::string volume = get("V / mL");
    const std::array inputs{
        uncertain(std::stod(get("m / mg")), test::number_after(get("m / mg"), "u", 0), "m"),
        plus_minus(std::stod(get("P")), test::number_after(get("P"), "half width", 0), StatedMeaning::rectangular, "P"),
        plus_minus(std::stod(volume), test::number_after(volume, "triangular half width", 0), StatedMeaning::triangular,
                   "V") +
            uncertain(0.0, test::number_after(volume, "plus normal u", 0), "V") +
            plus_minus(0.0, test::number_after(volume, "plus rectangular half width", 0), StatedMeaning::rectangular,
                       "V")};
    const auto c = propagate<3>([](const auto& x) { return std::array{1000.0 * x[0] * x[1] / x[2]}; }, inputs)[0];
    const UncertaintyBudget<double> budget = uncertainty_budget(c, BudgetRows::by_name);
    REQUIRE(budget.rows.size() == 3);
    CHECK(budget.standard_uncertainty == Approx(std::stod(get("u(c)"))).epsilon(1e-6));
    const std::string components = get("components m,V,P");   // "0.49995 ; 0.666525 ; 0.0578967"
    const std::size_t second = components.find(';') + 1, third = components.find(';', second) + 1;
    CHECK(budget.rows[0].name == "V");
    CHECK(budget.rows[0].inputs == 3);
    CHECK(budget.rows[0].contribution == Approx(std::stod(components.substr(second))).epsilon(1e-6));
    CHECK(budget.rows[1].name == "m");
    CHECK(budget.rows[1].contribution == Approx(std::stod(components)).epsilon(1e-6));
    CHECK(budget.rows[2].name == "P");
    CHECK(budget.rows[2].contribution == Approx(std::stod(components.substr(third))).epsilon(1e-6));
}

TEST_CASE("shares of a budget add up, and rows stand by their weight", "[own]") {
    using namespace filterflow::units;
    const Uncertain<Pressure> shared = uncertain(0 * Pa, 2 * Pa, "gain", 7);
    Uncertain<Pressure> sum = shared;
    for (int i = 0; i < 12; ++i) sum = sum + uncertain(10 * Pa, 0.3 * Pa, "display");
    sum = sum + uncertain(0 * Pa, 0 * Pa, "exact") - scaled(shared, 0.5);
    const UncertaintyBudget<Pressure> each = uncertainty_budget(sum),
                                      named = uncertainty_budget(sum, BudgetRows::by_name);
    CHECK(each.rows.size() == 14);
    REQUIRE(named.rows.size() == 3);
    for (const auto* budget : {&each, &named}) {
        double shares = 0.0;
        for (std::size_t i = 0; i < budget->rows.size(); ++i) {
            shares += budget->rows[i].share;
            if (i > 0) CHECK(budget->rows[i].share <= budget->rows[i - 1].share);
        }
        CHECK(shares == Approx(1.0).epsilon(1e-14));
        CHECK(budget->standard_uncertainty == sum.standard_uncertainty());
    }
    CHECK(named.rows[0].name == "display");
    CHECK(named.rows[0].inputs == 12);
    CHECK(named.rows[0].contribution / Pa == Approx(0.3 * std::sqrt(12.0)));
    CHECK(named.rows[1].name == "gain");
    CHECK(named.rows[1].sensitivity == Approx(0.5));
    CHECK(named.rows[1].contribution / Pa == Approx(1.0));
    CHECK(named.rows[1].degrees_of_freedom == Approx(7.0));
    CHECK(named.rows[2].share == 0.0);
    // An exact value has an empty budget.
    CHECK(uncertainty_budget(Uncertain<double>(3.0)).rows.empty());
    CHECK(expanded_uncertainty(Uncertain<double>(3.0)).expanded_uncertainty == 0.0);
    const auto u = expanded_uncertainty(sum, 0.95);
    CHECK(u.expanded_uncertainty / Pa == Approx(u.coverage_factor * (sum.standard_uncertainty() / Pa)));
    CHECK(coverage_interval(sum).upper / Pa == Approx(sum.value / Pa + u.expanded_uncertainty / Pa));
}
