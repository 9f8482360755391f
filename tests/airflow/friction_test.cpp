// SPDX-License-Identifier: BSL-1.0
// Friction factors: published values, a second solution of Colebrook's equation, a blend that strictly rises, batches.

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <type_traits>
#include <vector>

#include <filterflow/airflow/friction_batch.hpp>
#include <filterflow/airflow/friction_formulas.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

TEST_CASE("published friction factors are met", "[outside]") {
    // tests/reference/airflow_checks.csv and duct_checks.csv (a general fluids library's test values, exact 64/Re).
    const test::ReferenceTable table("airflow_checks.csv"), duct("duct_checks.csv");
    CHECK(colebrook_friction_factor(1e5, 1e-4).value ==
          Approx(table.row("quantity", "Colebrook Darcy f").number("expected")).epsilon(1e-12));
    CHECK(darcy_friction_factor(1e5, 1e-4).value == Approx(colebrook_friction_factor(1e5, 1e-4).value).epsilon(1e-15));
    CHECK(churchill_friction_factor(1e5, 1e-4).value ==
          Approx(table.row("quantity", "Churchill 1977 Darcy f").number("expected")).epsilon(1e-12));
    CHECK(haaland_friction_factor(1e5, 1e-4).value ==
          Approx(duct.row("quantity", "Haaland").number("expected")).epsilon(1e-12));
    CHECK(serghides_friction_factor(1e5, 1e-4).value ==
          Approx(duct.row("quantity", "Serghides").number("expected")).epsilon(1e-12));
    CHECK(altshul_tsal_friction_factor(1e5, 1e-4).value ==
          Approx(duct.row("quantity", "Altshul-Tsal").number("expected")).epsilon(1e-12));
    // The library writes Swamee and Jain's formula for Fanning's factor, with a constant rounded otherwise.
    CHECK(swamee_jain_friction_factor(1e5, 1e-4).value ==
          Approx(duct.row("quantity", "Swamee-Jain").number("expected")).epsilon(1e-4));
    CHECK(laminar_friction_factor(128.0).value == table.row("quantity", "laminar f").number("expected"));
    CHECK(darcy_friction_factor(128.0, 0.01).value == table.row("quantity", "laminar f").number("expected"));
    CHECK(churchill_friction_factor(1000.0, 1e-3).value ==
          Approx(table.row("quantity", "Churchill f laminar limit").number("expected")).epsilon(0.002));
}

TEST_CASE("a general fluids library's grid of friction factors is met", "[outside]") {
    // tests/reference/friction_grid.csv, made by fluids 1.0.22 (make_friction_table.py makes it again).
    for (const auto& row : test::ReferenceTable("friction_grid.csv")) {
        const double re = row.number("Re"), roughness = row.number("eps_over_D");
        CAPTURE(re, roughness);
        CHECK(churchill_friction_factor(re, roughness).value == Approx(row.number("Churchill")).epsilon(1e-10));
        if (row.has("Colebrook")) {
            CHECK(colebrook_friction_factor(re, roughness).value == Approx(row.number("Colebrook")).epsilon(1e-11));
            CHECK(darcy_friction_factor(re, roughness).value ==
                  Approx(colebrook_friction_factor(re, roughness).value).epsilon(1e-15));
            CHECK(haaland_friction_factor(re, roughness).value == Approx(row.number("Haaland")).epsilon(1e-10));
            CHECK(serghides_friction_factor(re, roughness).value == Approx(row.number("Serghides")).epsilon(1e-10));
            CHECK(altshul_tsal_friction_factor(re, roughness).value ==
                  Approx(row.number("Altshul_Tsal")).epsilon(1e-10));
            CHECK(swamee_jain_friction_factor(re, roughness).value == Approx(row.number("Swamee_Jain")).epsilon(1e-4));
        } else {
            CHECK(laminar_friction_factor(re).value == Approx(row.number("laminar")).epsilon(1e-12));
            CHECK(darcy_friction_factor(re, roughness).value ==
                  Approx(laminar_friction_factor(re).value).epsilon(1e-15));
        }
    }
}

TEST_CASE("explicit formulas are as near Colebrook's equation as their comments say", "[own]") {
    double churchill = 0.0, haaland = 0.0, swamee_jain = 0.0, serghides = 0.0, altshul_tsal = 0.0;
    const auto meet = [](double& worst, DarcyFactor f, double exact) {
        worst = std::max(worst, std::abs(f.value / exact - 1.0));
    };
    for (double re = 4000.0; re <= 1.0001e6; re *= std::pow(10.0, 0.02)) {
        for (const double e : {0.0, 1e-6, 1e-5, 1e-4, 3e-4, 1e-3, 2e-3, 5e-3, 1e-2}) {
            const double exact = colebrook_friction_factor(re, e).value;
            meet(churchill, churchill_friction_factor(re, e), exact);
            meet(haaland, haaland_friction_factor(re, e), exact);
            meet(swamee_jain, swamee_jain_friction_factor(re, e), exact);
            meet(serghides, serghides_friction_factor(re, e), exact);
            meet(altshul_tsal, altshul_tsal_friction_factor(re, e), exact);
        }
    }
    CAPTURE(churchill, haaland, swamee_jain, serghides, altshul_tsal);
    CHECK((churchill > 0.029 && churchill < 0.031));
    CHECK((haaland > 0.013 && haaland < 0.0145));
    CHECK((swamee_jain > 0.030 && swamee_jain < 0.032));
    CHECK((serghides > 1e-5 && serghides < 1e-4));
    CHECK((altshul_tsal > 0.09 && altshul_tsal < 0.095));
    // Where roughness alone decides, Serghides' three passes are one number.
    CHECK(serghides_friction_factor(1e9, 0.1).value == Approx(colebrook_friction_factor(1e9, 0.1).value).epsilon(1e-9));
}

TEST_CASE("Darcy's factor is four times Fanning's, and by name only", "[own]") {
    CHECK(darcy_factor(FanningFactor{0.005}).value == 0.02);
    CHECK(fanning_factor(DarcyFactor{0.02}).value == 0.005);
    CHECK(darcy_factor(fanning_factor(DarcyFactor{0.0187})) == DarcyFactor{0.0187});
    static_assert(!std::is_convertible_v<FanningFactor, DarcyFactor> &&
                  !std::is_constructible_v<DarcyFactor, FanningFactor>);
    static_assert(!std::is_convertible_v<DarcyFactor, double> && !std::is_convertible_v<double, DarcyFactor>);
    CHECK_THROWS_WITH(darcy_factor(FanningFactor{-0.005}), Contains("Fanning factor = -0.005"));
    CHECK_THROWS_AS(fanning_factor(DarcyFactor{std::nan("")}), DomainError);
}

TEST_CASE("friction factors of a batch are those of the single function", "[own]") {
    // Lanes in every regime, at the limits, and outside; a length that is no multiple of the block's.
    constexpr double nan = std::numeric_limits<double>::quiet_NaN(), infinity = std::numeric_limits<double>::infinity();
    std::vector<double> re{0.0,      -5.0,   nan,    infinity, 1e9, 1.1e9, 2000.0, 2000.0001,
                           3999.999, 4000.0, 1e-300, 1e5,      1e5, 1e5,   1e5,    1e5},
        roughness(11, 1e-3);
    for (const double e : {0.0, 0.1, 0.11, -1e-9, nan}) roughness.push_back(e);
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(20000); ++i) {
        re.push_back(std::pow(10.0, 9.0 * unit(random)));
        roughness.push_back(i % 5 == 0 ? 0.0 : std::pow(10.0, -7.0 + 6.0 * unit(random)));
    }
    std::vector<DarcyFactor> factors(re.size(), DarcyFactor{-1.0});
    std::vector<FrictionStatus> status(re.size());
    const std::size_t in_range = darcy_friction_factors({re, roughness}, factors, status);
    std::size_t counted = 0;
    for (std::size_t i = 0; i < re.size(); ++i) {
        CAPTURE(i, re[i], roughness[i]);
        const bool sound = re[i] > 0.0 && re[i] <= 1e9 && roughness[i] >= 0.0 && roughness[i] <= 0.1;
        REQUIRE((status[i] != FrictionStatus::out_of_range) == sound);
        if (!sound) {
            REQUIRE(factors[i].value == 0.0);
            continue;
        }
        ++counted;
        REQUIRE(factors[i].value == Approx(darcy_friction_factor(re[i], roughness[i]).value).epsilon(1e-14));
        REQUIRE((status[i] == FrictionStatus::laminar) == (re[i] <= 2000.0));
        REQUIRE((status[i] == FrictionStatus::turbulent) == (re[i] >= 4000.0));
    }
    CHECK(in_range == counted);
    CHECK(darcy_friction_factors({}, {}, {}) == 0);
    CHECK_THROWS_WITH(darcy_friction_factors({re, roughness}, {}, status), Contains("length of a column = 0"));
}

TEST_CASE("Colebrook's equation holds to round-off over its whole range", "[own]") {
    // Second method: the equation itself, evaluated at the answer; and bisection for 1/sqrt f.
    for (double re = 4000.0; re < 1e9; re *= 2.3) {
        for (const double roughness : {0.0, 1e-6, 1e-4, 3e-3, 0.02, 0.1}) {
            CAPTURE(re, roughness);
            const double f = colebrook_friction_factor(re, roughness).value;
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
        const D f = darcy_friction_factor(D::input(re, 0), D::input(roughness, 1)).value;
        const double h = re * 1e-5, e = roughness * 1e-5;
        const auto at = [](double r, double k) { return darcy_friction_factor(r, k).value; };
        CHECK(f.value == Approx(at(re, roughness)).epsilon(1e-14));
        CHECK(f.derivative[0] == Approx((at(re + h, roughness) - at(re - h, roughness)) / (2 * h)).epsilon(1e-7));
        CHECK(f.derivative[1] ==
              Approx((at(re, roughness + e) - at(re, roughness - e)) / (2 * e)).epsilon(1e-6).margin(1e-12));
    }
}

TEST_CASE("friction factors refuse what lies outside", "[own]") {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(laminar_friction_factor(2301.0), DomainError);
    CHECK_THROWS_AS(laminar_friction_factor(0.0), DomainError);
    CHECK_THROWS_WITH(colebrook_friction_factor(3999.0, 0.0),
                      Contains("reynolds_number = 3999") && Contains("from 4000"));
    CHECK_THROWS_AS(colebrook_friction_factor(1e5, 0.11), DomainError);
    CHECK_THROWS_AS(colebrook_friction_factor(1e5, -1e-9), DomainError);
    CHECK_THROWS_AS(churchill_friction_factor(0.5, 0.0), DomainError);
    CHECK_THROWS_AS(haaland_friction_factor(3999.0, 0.0), DomainError);
    CHECK_THROWS_AS(swamee_jain_friction_factor(1e5, 0.2), DomainError);
    CHECK_THROWS_AS(serghides_friction_factor(2e9, 0.0), DomainError);
    CHECK_THROWS_AS(altshul_tsal_friction_factor(nan, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(0.0, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(nan, 0.0), DomainError);
    CHECK_THROWS_AS(darcy_friction_factor(1e5, nan), DomainError);
}
