// SPDX-License-Identifier: BSL-1.0
// The checks of arguments: what passes, what is thrown, and what the message says.

#include <cmath>
#include <limits>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"

using namespace filterflow;

TEST_CASE("checks return what they checked", "[own]") {
    const double x = 2.5;
    CHECK(&detail::require_positive("f", "x", x, "m") == &x);
    CHECK(detail::require_non_negative("f", "x", 0.0, "m") == 0.0);
    CHECK(detail::require_finite("f", "x", -1e300, "m") == -1e300);
    CHECK(detail::require_between("f", "x", 1.0, 1.0, 2.0, "m") == 1.0);
    CHECK(detail::require_between("f", "x", 2.0, 1.0, 2.0, "m") == 2.0);
}

TEST_CASE("checks refuse what is outside, and never let NaN through", "[own]") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinity = std::numeric_limits<double>::infinity();
    for (const double bad : {nan, infinity, -infinity}) {
        CHECK_THROWS_AS(detail::require_finite("f", "x", bad, "m"), DomainError);
        CHECK_THROWS_AS(detail::require_positive("f", "x", bad, "m"), DomainError);
        CHECK_THROWS_AS(detail::require_non_negative("f", "x", bad, "m"), DomainError);
        CHECK_THROWS_AS(detail::require_between("f", "x", bad, 0.0, 1.0, "m"), DomainError);
    }
    CHECK_THROWS_AS(detail::require_positive("f", "x", 0.0, "m"), DomainError);
    CHECK_THROWS_AS(detail::require_non_negative("f", "x", -1e-300, "m"), DomainError);
    CHECK_THROWS_AS(detail::require_between("f", "x", 1.0000001, 0.0, 1.0, "m"), DomainError);
}

TEST_CASE("messages name the function, the argument, its value with unit, and what is required", "[own]") {
    CHECK_THROWS_WITH(detail::require_positive("pressure_drop(PorousLayer)", "thickness", -0.001, "m"),
                      "pressure_drop(PorousLayer): thickness = -0.001 m; required: > 0 and finite");
    CHECK_THROWS_WITH(detail::require_between("moist_air", "relative_humidity", 50.0, 0.0, 1.0, "-"),
                      "moist_air: relative_humidity = 50; required: from 0 to 1");
    CHECK_THROWS_WITH(detail::require_between("f", "t", 500.0, 173.15, 473.15, "K"),
                      "f: t = 500 K; required: from 173.15 to 473.15 K");
}

TEST_CASE("a dual number is checked by its value", "[own]") {
    const auto x = Dual<2>::input(3.0, 0);
    CHECK(detail::require_positive("f", "x", x, "m").derivative[0] == 1.0);
    CHECK_THROWS_AS(detail::require_positive("f", "x", Dual<2>(-1.0), "m"), DomainError);
    CHECK(detail::plain_value(x) == 3.0);
    CHECK(detail::plain_value(3.0) == 3.0);
}

TEST_CASE("every error is an Error and a std::runtime_error", "[own]") {
    CHECK_THROWS_AS(throw DomainError("x"), Error);
    CHECK_THROWS_AS(throw NoSolution("x"), Error);
    CHECK_THROWS_AS(throw NoSolution("x"), std::runtime_error);
}
