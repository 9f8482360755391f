// SPDX-License-Identifier: BSL-1.0
// Friction factors: published values, a second solution of Colebrook's equation, a blend that strictly rises.

#include <cmath>
#include <limits>

#include <filterflow/airflow/friction.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;

TEST_CASE("published friction factors are met", "[outside]") {
    // tests/reference/airflow_checks.csv (a general fluids library's test values, exact 64/Re).
    const test::ReferenceTable table("airflow_checks.csv");
    CHECK(colebrook_friction_factor(1e5, 1e-4) ==
          Approx(table.row("quantity", "Colebrook Darcy f").number("expected")).epsilon(1e-12));
    CHECK(darcy_friction_factor(1e5, 1e-4) == Approx(colebrook_friction_factor(1e5, 1e-4)).epsilon(1e-15));
    CHECK(churchill_friction_factor(1e5, 1e-4) ==
          Approx(table.row("quantity", "Churchill 1977 Darcy f").number("expected")).epsilon(1e-12));
    CHECK(laminar_friction_factor(128.0) == table.row("quantity", "laminar f").number("expected"));
    CHECK(darcy_friction_factor(128.0, 0.01) == table.row("quantity", "laminar f").number("expected"));
}

TEST_CASE("the computed grid of friction factors is met", "[own]") {
    // tests/reference/friction_grid.csv: computed from the cited equations, six decimals.
    for (const auto& row : test::ReferenceTable("friction_grid.csv")) {
        const double re = row.number("Re");
        const double roughness = row.number("eps_over_D");
        CAPTURE(re, roughness);
        CHECK(churchill_friction_factor(re, roughness) == Approx(row.number("Churchill")).margin(6e-7).epsilon(0));
        if (row.has("Colebrook")) {
            CHECK(colebrook_friction_factor(re, roughness) == Approx(row.number("Colebrook")).margin(6e-7).epsilon(0));
            CHECK(darcy_friction_factor(re, roughness) == Approx(colebrook_friction_factor(re, roughness)).epsilon(1e-15));
        } else {
            CHECK(laminar_friction_factor(re) == Approx(row.number("laminar")).margin(6e-7).epsilon(0));
            CHECK(darcy_friction_factor(re, roughness) == Approx(laminar_friction_factor(re)).epsilon(1e-15));
        }
    }
    const test::ReferenceTable table("airflow_checks.csv");
    CHECK(churchill_friction_factor(1000.0, 1e-3) ==
          Approx(table.row("quantity", "Churchill f laminar limit").number("expected")).epsilon(0.002));
}

TEST_CASE("Colebrook's equation holds to round-off over its whole range", "[own]") {
    // Second method: the equation itself, evaluated at the answer; and bisection for 1/sqrt f.
    for (double re = 4000.0; re < 1e9; re *= 2.3) {
        for (const double roughness : {0.0, 1e-6, 1e-4, 3e-3, 0.02, 0.1}) {
            CAPTURE(re, roughness);
            const double f = colebrook_friction_factor(re, roughness);
            const auto residual = [&](double x) { return x + 2.0 * std::log10(roughness / 3.7 + 2.51 * x / re); };
            CHECK(residual(1.0 / std::sqrt(f)) == Approx(0.0).margin(2e-14));
            double low = 0.5, high = 40.0;
            while (high - low > 1e-15 * high) {
                const double middle = 0.5 * (low + high);
                if (middle == low || middle == high) break;
                (residual(middle) < 0.0 ? low : high) = middle;
            }
            CHECK(f == Approx(1.0 / (low * low)).epsilon(1e-13));
        }
    }
}

TEST_CASE("the pressure drop of a duct strictly rises with flow, without a kink", "[own]") {
    for (const double roughness : {0.0, 1e-4, 1e-2, 0.05, 0.1}) {
        double before = 0.0;
        for (double re = 1.0; re < 20000.0; re += 7.0) {
            const double g = detail::blended_friction(re, roughness).g;
            REQUIRE(g > before);
            REQUIRE(detail::blended_friction(re, roughness).slope > 0.0);
            before = g;
        }
        for (const double limit : {detail::laminar_limit, detail::turbulent_limit}) {
            const auto below = detail::blended_friction(limit * (1.0 - 1e-9), roughness);
            const auto above = detail::blended_friction(limit * (1.0 + 1e-9), roughness);
            CHECK(below.g == Approx(above.g).epsilon(1e-8));
            CHECK(below.slope == Approx(above.slope).epsilon(1e-6));
        }
        // The turbulent branch bends upwards: what bounds of its slope rest on.
        double slope = 0.0;
        for (double re = 4000.0; re < 1e8; re *= 1.05) {
            const double s = detail::turbulent_friction(re, roughness).slope;
            REQUIRE(s > slope);
            slope = s;
        }
    }
}

TEST_CASE("friction factors carry derivatives", "[own]") {
    using D = Dual<2>;
    for (const double re : {500.0, 2600.0, 3900.0, 5000.0, 3e5}) {
        const double roughness = 2e-3;
        const D f = darcy_friction_factor(D::input(re, 0), D::input(roughness, 1));
        const double h = re * 1e-5, e = roughness * 1e-5;
        CHECK(f.value == Approx(darcy_friction_factor(re, roughness)).epsilon(1e-14));
        CHECK(f.derivative[0] ==
              Approx((darcy_friction_factor(re + h, roughness) - darcy_friction_factor(re - h, roughness)) / (2 * h)).epsilon(1e-7));
        CHECK(f.derivative[1] ==
              Approx((darcy_friction_factor(re, roughness + e) - darcy_friction_factor(re, roughness - e)) / (2 * e))
                  .epsilon(1e-6)
                  .margin(1e-12));
    }
}

TEST_CASE("friction factors refuse what lies outside", "[own]") {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(laminar_friction_factor(2301.0), DomainError);
    CHECK_THROWS_AS(laminar_friction_factor(0.0), DomainError);
    CHECK_THROWS_WITH(colebrook_friction_factor(3999.0, 0.0), Contains("reynolds_number = 3999") && Contains("from 4000"));
    CHECK_THROWS_AS(colebrook_friction_factor(1e5, 0.11), DomainError);
    CHECK_THROWS_AS(colebrook_friction_factor(1e5, -1e-9), DomainError);
    CHECK_THROWS_AS(churchill_friction_factor(0.5, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(0.0, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(nan, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(1e5, nan), DomainError);
}
