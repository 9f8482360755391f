// SPDX-License-Identifier: BSL-1.0
// Tail probabilities of chi-squared and Student's t against Boost.Math and printed tables.

#include <cmath>
#include <limits>

#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/gamma.hpp>

#include <filterflow/numeric/tail_probability.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;

TEST_CASE("tail of chi-squared equals the incomplete gamma function of Boost.Math", "[outside]") {
    for (const std::size_t nu : {1U, 2U, 3U, 4U, 5U, 8U, 13U, 30U, 101U, 400U, 1000U}) {
        for (const double ratio : {1e-6, 1e-3, 0.1, 0.5, 0.9, 1.0, 1.1, 1.5, 2.0, 4.0, 10.0}) {
            const double x = ratio * static_cast<double>(nu);
            const double expected = boost::math::gamma_q(0.5 * static_cast<double>(nu), 0.5 * x);
            INFO(nu << " " << x);
            CHECK(chi_squared_exceedance(x, nu) == Approx(expected).epsilon(1e-11).margin(1e-300));
        }
    }
    // Beyond where e^(-x/2) is zero as a double.
    CHECK(chi_squared_exceedance(2000.0, 2000) == Approx(boost::math::gamma_q(1000.0, 1000.0)).epsilon(1e-10));
    CHECK(chi_squared_exceedance(0.0, 3) == 1.0);
    CHECK(chi_squared_exceedance(1e300, 3) == 0.0);
}

TEST_CASE("tail of chi-squared at the critical values of printed tables", "[outside]") {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, upper critical values (digits from memory).
    CHECK(chi_squared_exceedance(3.841, 1) == Approx(0.05).margin(1e-4));
    CHECK(chi_squared_exceedance(6.635, 1) == Approx(0.01).margin(1e-5));
    CHECK(chi_squared_exceedance(11.345, 3) == Approx(0.01).margin(1e-5));
    CHECK(chi_squared_exceedance(18.307, 10) == Approx(0.05).margin(1e-5));
    CHECK(chi_squared_exceedance(50.892, 30) == Approx(0.01).margin(1e-5));
}

TEST_CASE("tail of Student's t equals Boost.Math and the tabulated quantiles", "[outside]") {
    for (const std::size_t nu : {1U, 2U, 3U, 4U, 5U, 6U, 9U, 24U, 25U, 200U, 1000U}) {
        const boost::math::students_t distribution(static_cast<double>(nu));
        for (const double t : {0.0, 1e-6, 0.1, 0.7, 1.0, 2.0, 3.5, 12.0, 300.0}) {
            const double expected = 2.0 * boost::math::cdf(boost::math::complement(distribution, t));
            INFO(nu << " " << t);
            CHECK(student_t_exceedance(t, nu) == Approx(expected).epsilon(1e-9).margin(1e-12));
            CHECK(student_t_exceedance(-t, nu) == student_t_exceedance(t, nu));
        }
    }
    const test::ReferenceTable table("student_t.csv");
    for (const test::ReferenceRow& row : table) {
        const auto nu = static_cast<std::size_t>(row.number("dof"));
        CHECK(student_t_exceedance(row.number("t_0.975"), nu) == Approx(0.05).margin(2e-7));
    }
    CHECK(student_t_exceedance(1e300, 2) == 0.0);
}

TEST_CASE("tail probabilities refuse what is no chi-squared, no t and no degree of freedom", "[own]") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_WITH(chi_squared_exceedance(-1.0, 3), Contains("chi_squared = -1"));
    CHECK_THROWS_AS(chi_squared_exceedance(nan, 3), DomainError);
    CHECK_THROWS_WITH(chi_squared_exceedance(1.0, 0), Contains("degrees_of_freedom = 0"));
    CHECK_THROWS_AS(student_t_exceedance(nan, 3), DomainError);
    CHECK_THROWS_WITH(student_t_exceedance(1.0, 0), Contains("from 1 to 1e+06"));
}
