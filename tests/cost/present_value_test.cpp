// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"
#include "support/reference.hpp"

#include <cmath>

#include <filterflow/cost/present_value.hpp>
#include <filterflow/numeric/dual.hpp>

using namespace filterflow;
using namespace filterflow::units;

// Standard annuity table (from memory).
TEST_CASE("uniform present value of a table", "[outside][cost]") {
    const test::ReferenceTable table("cost_checks.csv");
    const double factor = uniform_present_value_factor({.discount_rate = 0.03, .years = 20});
    CHECK(factor == Approx(table.row("id", "annuity factor").number("expected")).epsilon(1e-4));
    CHECK(uniform_present_value_factor({.discount_rate = 0.03, .years = 20}) *
              capital_recovery_factor({.discount_rate = 0.03, .years = 20}) ==
          Approx(1.0).epsilon(1e-14));
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

TEST_CASE("present value refuses what cannot be", "[own][cost]") {
    CHECK_THROWS_WITH(uniform_present_value_factor({.discount_rate = -1.0, .years = 5}),
                      Contains("1 + discount_rate = 0"));
    CHECK_THROWS_WITH(uniform_present_value_factor({.discount_rate = 0.03}),
                      Contains("years = 0 years; required: > 0"));
    CHECK_THROWS_AS(present_value({.energy = Money::from_value(std::nan(""))}, {.years = 3}), DomainError);
}
