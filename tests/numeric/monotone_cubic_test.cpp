// SPDX-License-Identifier: BSL-1.0
// Monotone cubics: against Boost.Math's PCHIP, monotone where the data are, derivatives, inverse, refusals.

#include <math.h>   // Boost 1.74's pchip.hpp needs it before

#include <boost/math/interpolators/pchip.hpp>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

#include "support/catch.hpp"

using namespace filterflow;

namespace {

struct Points {
    std::vector<double> x, y;
};

Points random_points(std::mt19937_64& random, std::size_t n, bool falling) {
    std::uniform_real_distribution<double> step(0.05, 2.0), any(-1.0, 1.0);
    Points p{{any(random)}, {any(random)}};
    while (p.x.size() < n) {
        p.x.push_back(p.x.back() + step(random));
        p.y.push_back(falling ? p.y.back() - step(random) * step(random) : any(random));
    }
    return p;
}

}   // namespace

TEST_CASE("a monotone cubic is Boost.Math's PCHIP with the same end slopes", "[own]") {
    std::mt19937_64 random(1);
    for (int trial = 0; trial < 50; ++trial) {
        const Points p = random_points(random, 8, trial % 2 == 0);
        const MonotoneCubic ours(p.x, p.y);
        const boost::math::interpolators::pchip<std::vector<double>> theirs(
            std::vector<double>(p.x), std::vector<double>(p.y), ours.slope(p.x.front()), ours.slope(p.x.back()));
        std::uniform_real_distribution<double> inside(p.x.front(), p.x.back());
        for (int i = 0; i < 40; ++i) {
            const double x = inside(random);
            CHECK(ours.value(x) == Approx(theirs(x)).epsilon(1e-12).margin(1e-13));
            CHECK(ours.slope(x) == Approx(theirs.prime(x)).epsilon(1e-11).margin(1e-12));
        }
    }
}

TEST_CASE("end slopes are the three-point ones, kept monotone", "[own]") {
    // A parabola's slope at the end is met exactly by the three-point formula where it keeps its sign.
    const std::vector<double> x{1.0, 2.0, 4.0, 5.0};
    std::vector<double> y;
    for (const double v : x) y.push_back(v * v);
    const MonotoneCubic rising(x, y);
    CHECK(rising.slope(1.0) == Approx(2.0).epsilon(1e-14));
    CHECK(rising.slope(5.0) == Approx(10.0).epsilon(1e-14));
    CHECK(MonotoneCubic({0.0, 1.0, 2.0}, {0.0, 0.1, 5.0}).slope(0.0) == 0.0);                  // would turn: flat
    CHECK(MonotoneCubic({0.0, 1.0, 2.0}, {0.0, 0.1, -9.0}).slope(0.0) == Approx(0.3));   // at most thrice the secant
    CHECK(MonotoneCubic({0.0, 2.0}, {1.0, 0.0}).slope(0.7) == Approx(-0.5));                   // two knots: a line
}

TEST_CASE("a monotone cubic passes the knots and stays between them", "[own]") {
    std::mt19937_64 random(2);
    for (int trial = 0; trial < 200; ++trial) {
        const Points p = random_points(random, 12, true);
        const MonotoneCubic c(p.x, p.y);
        CHECK(c.direction() == -1);
        double previous = c.value(p.x.front());
        for (std::size_t i = 0; i < p.x.size(); ++i)
            CHECK(c.value(p.x[i]) == Approx(p.y[i]).epsilon(1e-13).margin(1e-13));
        for (int i = 1; i <= 300; ++i) {
            const double x = std::min(p.x.front() + (p.x.back() - p.x.front()) * i / 300.0, p.x.back());
            const double y = c.value(x);
            REQUIRE(y <= previous + 1e-14 * std::abs(previous));
            REQUIRE(c.slope(x) <= 1e-12);
            previous = y;
        }
    }
}

TEST_CASE("value, slope and inverse carry derivatives", "[own]") {
    using Slope = Dual<1>;
    const MonotoneCubic c({0.0, 1.0, 2.5, 4.0}, {9.0, 8.0, 4.0, 0.0});
    for (const double x : {0.2, 1.0, 1.7, 3.9}) {
        const Slope v = c.value(Slope::input(x, 0));
        CHECK(v.value == c.value(x));
        CHECK(v.derivative[0] == Approx(c.slope(x)).epsilon(1e-14));
        const double h = 1e-6;
        CHECK(c.slope(Slope::input(x, 0)).derivative[0] ==
              Approx((c.slope(x + h) - c.slope(x - h)) / (2 * h)).epsilon(1e-5).margin(x == 1.0 ? 10.0 : 1e-6));
        const Slope back = c.argument_at(v);
        CHECK(back.value == Approx(x).epsilon(1e-14));
        CHECK(back.derivative[0] == Approx(1.0).epsilon(1e-12));
    }
    CHECK(c.argument_at(9.0) == 0.0);
    CHECK(c.argument_at(0.0) == 4.0);
    CHECK(c.argument_at(4.0) == Approx(2.5).epsilon(1e-14));
    // Ordinates with derivatives: the curve moves with them.
    const BasicMonotoneCubic<Slope> moved({0.0, 1.0, 2.5, 4.0},
                                          {Slope::input(9.0, 0), Slope(8.0), Slope(4.0), Slope(0.0)});
    const double e = 1e-6;
    const MonotoneCubic up({0.0, 1.0, 2.5, 4.0}, {9.0 + e, 8.0, 4.0, 0.0}),
        down({0.0, 1.0, 2.5, 4.0}, {9.0 - e, 8.0, 4.0, 0.0});
    CHECK(moved.value(0.4).derivative[0] == Approx((up.value(0.4) - down.value(0.4)) / (2 * e)).epsilon(1e-7));
    CHECK(moved.argument_at(8.3).derivative[0] ==
          Approx((up.argument_at(8.3) - down.argument_at(8.3)) / (2 * e)).epsilon(1e-6));
}

TEST_CASE("a monotone cubic refuses what is no table and does not extrapolate", "[own]") {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(MonotoneCubic({1.0}, {1.0}), DomainError);
    CHECK_THROWS_AS(MonotoneCubic({1.0, 2.0}, {1.0}), DomainError);
    CHECK_THROWS_WITH(MonotoneCubic({1.0, 1.0}, {1.0, 2.0}),
                      Contains("knot 2 = 1") && Contains("> the knot before, 1"));
    CHECK_THROWS_AS(MonotoneCubic({1.0, nan}, {1.0, 2.0}), DomainError);
    CHECK_THROWS_AS(MonotoneCubic({1.0, 2.0}, {nan, 2.0}), DomainError);
    const MonotoneCubic c({0.0, 1.0, 2.0}, {2.0, 1.0, 0.5});
    CHECK_THROWS_WITH(c.value(2.1), Contains("argument = 2.1") && Contains("from 0 to 2"));
    CHECK_THROWS_AS(c.value(-1e-9), DomainError);
    CHECK_THROWS_AS(c.value(nan), DomainError);
    CHECK_THROWS_AS(c.argument_at(0.4), DomainError);
    CHECK_THROWS_AS(MonotoneCubic({0.0, 1.0, 2.0}, {2.0, 1.0, 1.5}).argument_at(1.2), DomainError);
    CHECK_THROWS_AS(MonotoneCubic().value(0.0), DomainError);
    CHECK(c.contains(2.0));
    CHECK_FALSE(c.contains(nan));
}

TEST_CASE("a curve of known pieces is the curve they came from", "[own]") {
    const MonotoneCubic c({0.0, 1.0, 2.5, 3.0}, {2.0, 1.0, 0.5, -1.0});
    const MonotoneCubic again =
        MonotoneCubic::of_segments({c.knots().begin(), c.knots().end()}, {c.segments().begin(), c.segments().end()});
    for (double x = 0.0; x <= 3.0; x += 0.125) {
        CHECK(again.value(x) == c.value(x));
        CHECK(again.slope(x) == c.slope(x));
    }
    CHECK(again.values().back() == Approx(-1.0).epsilon(1e-15));
    CHECK(again.direction() == -1);
    CHECK(again.argument_at(0.7) == Approx(c.argument_at(0.7)).epsilon(1e-15));
    const CubicSegment line{1.0, 1.0, 0.0, 0.0}, away{5.0, 1.0, 0.0, 0.0};
    CHECK_THROWS_WITH(MonotoneCubic::of_segments({0.0, 1.0, 2.0}, {line, away}), Contains("gap between pieces = 3"));
    CHECK_THROWS_AS(MonotoneCubic::of_segments({0.0}, {}), DomainError);
    CHECK_THROWS_AS(MonotoneCubic::of_segments({0.0, 1.0, 2.0}, {line}), DomainError);
    CHECK_THROWS_AS(MonotoneCubic::of_segments({0.0, 0.0}, {line}), DomainError);
    CHECK_THROWS_AS(
        MonotoneCubic::of_segments({0.0, 1.0}, {CubicSegment{std::numeric_limits<double>::infinity(), 0.0, 0.0, 0.0}}),
        DomainError);
}
