// SPDX-License-Identifier: BSL-1.0
// Fittings: textbook values and the limits of each formula.

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fittings.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("published values of fittings are met", "[outside]") {
    // tests/reference/airflow_checks.csv; sources there on each row.
    const test::ReferenceTable table("airflow_checks.csv");
    // Hundy, Trott and Welch, Example 24.3: 20 % of the velocity pressure's change is lost.
    CHECK(static_regain({8 * m_per_s, 5.5 * m_per_s}, 0.8, fan_test_air()) / Pa ==
          Approx(table.row("id", "static regain").number("expected")).epsilon(0.005));
    // Crane TP-410, Problem 7-35; the printed branch value uses rounded flows.
    const TeeCoefficients tee = converging_tee_loss_coefficients(0.25);
    CHECK(tee.branch == Approx(table.row("quantity", "converging 90 deg tee, branch K (combined-flow basis)").number("expected"))
                            .margin(0.002).epsilon(0));
    CHECK(tee.run == Approx(table.row("quantity", "converging 90 deg tee, run K").number("expected")).epsilon(1e-9));
    // Leakage class 6 at 2 inH2O, per 100 ft2.
    CHECK(duct_leakage_flow({.leakage_class = 6, .surface = 100 * ft2}, 2 * inH2O) / cfm ==
          Approx(table.row("quantity", "leakage factor").number("expected")).epsilon(0.001));
    // Flexible duct: coefficients of the formula from memory; the report it follows speaks of factors near 10.
    CHECK(flexible_duct_factor({.diameter = 6 * inch, .length_over_stretched = 0.7}) ==
          Approx(table.row("id", "flexible duct").number("expected")).epsilon(0.001));
}

TEST_CASE("fittings behave at the ends of their ranges", "[own]") {
    CHECK(sudden_expansion_loss_coefficient(0.0) == 1.0);   // into a room: the whole velocity pressure
    CHECK(sudden_expansion_loss_coefficient(1.0) == 0.0);
    CHECK(sudden_expansion_loss_coefficient(0.5) == 0.25);
    CHECK(flexible_duct_factor({.diameter = 200 * mm, .length_over_stretched = 1.0}) == 1.0);
    CHECK(converging_tee_loss_coefficients(1.0).branch == Approx(0.55 * 2.0));
    CHECK(converging_tee_loss_coefficients(0.0).branch == Approx(-0.9));
    CHECK(converging_tee_loss_coefficients(0.0).run == 0.0);
    CHECK(duct_leakage_flow({.leakage_class = 6, .surface = 10 * m2}, 0 * Pa) / L_per_s == 0.0);
    // One class is 0.0014068 L/(s m2 Pa^0.65).
    CHECK(duct_leakage_flow({.leakage_class = 1, .surface = 1 * m2}, 1 * Pa) / L_per_s == Approx(0.0014068).epsilon(1e-4));
    CHECK(static_regain({8 * m_per_s, 8 * m_per_s}, 1.0, fan_test_air()) / Pa == 0.0);
}

TEST_CASE("fittings refuse what lies outside", "[own]") {
    CHECK_THROWS_AS(sudden_expansion_loss_coefficient(1.1), DomainError);
    CHECK_THROWS_AS(static_regain({5 * m_per_s, 8 * m_per_s}, 0.8, fan_test_air()), DomainError);
    CHECK_THROWS_AS(static_regain({8 * m_per_s, 5 * m_per_s}, 1.2, fan_test_air()), DomainError);
    CHECK_THROWS_AS(converging_tee_loss_coefficients(-0.1), DomainError);
    CHECK_THROWS_WITH(flexible_duct_factor({.diameter = 100 * mm, .length_over_stretched = 0.9}), Contains("diameter = 0.1 m"));
    CHECK_THROWS_AS(flexible_duct_factor({.diameter = 200 * mm, .length_over_stretched = 0.5}), DomainError);
    CHECK_THROWS_AS(duct_leakage_flow({.leakage_class = -1, .surface = 1 * m2}, 1 * Pa), DomainError);
}
