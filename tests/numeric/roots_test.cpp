// SPDX-License-Identifier: BSL-1.0
// Root search against Boost.Math's TOMS 748 (a second method), and where it must refuse.

#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <utility>

#include <boost/math/tools/toms748_solve.hpp>

#include <filterflow/numeric/roots.hpp>

#include "support/catch.hpp"

using namespace filterflow;

namespace {

template <class F>
double toms748(const F& f, double lower, double upper) {
    std::uintmax_t limit = 500;
    const auto [a, b] = boost::math::tools::toms748_solve(
        [&](double x) { return f(x).first; }, lower, upper,
        [](double x, double y) { return std::abs(x - y) <= 4e-16 * std::abs(x); }, limit);
    return 0.5 * (a + b);
}

template <class F>
void compare(const char* name, const F& f, double lower, double upper) {
    INFO(name << " in " << lower << ".." << upper);
    const Root root = find_root(f, lower, upper);
    CHECK(root.converged);
    CHECK(root.location == Approx(toms748(f, lower, upper)).epsilon(2e-14));
}

}   // namespace

TEST_CASE("roots agree with Boost.Math's TOMS 748", "[own]") {
    compare("cubic", [](double x) { return std::pair(x * x * x - 2 * x - 5, 3 * x * x - 2); }, 2, 3);   // Wallis
    compare("cosine", [](double x) { return std::pair(std::cos(x) - x, -std::sin(x) - 1); }, 0, 1);
    compare("steep", [](double x) { return std::pair(std::exp(20 * x) - 1e5, 20 * std::exp(20 * x)); }, 0, 1);
    const auto flat = [](double x) {
        return std::pair(std::atan(50 * (x - 0.3)), 50 / (1 + 2500 * (x - 0.3) * (x - 0.3)));
    };
    compare("flat", flat, -10, 20);
    compare("falling", [](double x) { return std::pair(1 / x - 4, -1 / (x * x)); }, 0.01, 100);
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> decades(-4, 4);
    for (int i = 0; i < 500; ++i) {
        const double p0 = std::pow(10, decades(random)), r = std::pow(10, decades(random)),
                     s = std::pow(10, decades(random));
        const auto residual = [&](double q) { return std::pair(p0 - r * q - s * q * q, -r - 2 * s * q); };
        const double upper = 1.1 * std::min(p0 / r, std::sqrt(p0 / s)) + 1e-3;
        compare("resistance", residual, 0.0, upper);
    }
}

TEST_CASE("a published root is found", "[outside]") {
    // x^3 - 2 x - 5 = 0, Wallis's example for Newton's method: 2.0945514815423265 (from memory).
    const Root root = find_root([](double x) { return std::pair(x * x * x - 2 * x - 5, 3 * x * x - 2); }, 2, 3);
    CHECK(root.location == Approx(2.0945514815423265).epsilon(1e-15));
    CHECK(std::abs(root.residual) < 1e-14);
    CHECK(root.iterations < 12);
}

TEST_CASE("a misleading slope or a root at an end does not derail the search", "[own]") {
    // Slopes that are zero, wrong in sign, or not a number: bisection alone still arrives.
    for (const double slope : {0.0, -1.0, std::numeric_limits<double>::quiet_NaN(), 1e-300}) {
        const Root root = find_root([&](double x) { return std::pair(x * x * x - 0.125, slope); }, 0, 4);
        CHECK(root.converged);
        CHECK(root.location == Approx(0.5).epsilon(1e-14));
        CHECK(root.iterations < 120);
    }
    const auto line = [](double x) { return std::pair(x, 1.0); };
    CHECK(find_root(line, 0, 1).location == 0.0);
    CHECK(find_root(line, -1, 0).location == 0.0);
    CHECK(find_root(line, 0, 1).converged);
}

TEST_CASE("a root at zero is found to the absolute tolerance", "[own]") {
    const Root root = find_root([](double x) { return std::pair(std::expm1(x) * (1 + x * x), 1.0); }, -1, 0.7, 1e-12);
    CHECK(root.converged);
    CHECK(std::abs(root.location) <= 1e-12);
}

TEST_CASE("what is no bracket is refused", "[own]") {
    const auto line = [](double x) { return std::pair(x, 1.0); };
    CHECK_THROWS_AS(find_root(line, 1, -1), DomainError);
    CHECK_THROWS_AS(find_root(line, 1, 1), DomainError);
    CHECK_THROWS_WITH(find_root(line, 1, 2), Contains("find_root: function(upper) = 2") && Contains("opposite sign"));
    CHECK_THROWS_AS(find_root(line, std::nan(""), 2), DomainError);
    CHECK_THROWS_AS(find_root([](double x) { return std::pair(std::log(x), 1 / x); }, 0, 2), DomainError);
}

TEST_CASE("a search that meets its limit says so", "[own]") {
    const auto hard = [](double x) { return std::pair(x * x * x - 0.1, 0.0); };
    const Root root = detail::bracketed_root(hard, 0.0, 1.0, -0.1, 0.9, 0.5, 0.0, 5);
    CHECK_FALSE(root.converged);
}
