// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/rating/joint_normal.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using filterflow::test::ReferenceTable;

namespace {

constexpr double pi = 3.14159265358979323846;

double share(std::array<double, 3> z, detail::ThreeCorrelations r) { return detail::joint_normal_share_below(z, r); }

}   // namespace

TEST_CASE("shares of three joint normal variables are those of a general quadrature", "[outside]") {
    // tests/reference/joint_normal.csv: SciPy's adaptive quadrature, made by the script beside it.
    for (const auto& row : ReferenceTable("joint_normal.csv")) {
        const double ours = share({row.number("z1"), row.number("z2"), row.number("z3")},
                                  {row.number("r12"), row.number("r13"), row.number("r23")});
        INFO(row["z1"] << ' ' << row["r12"] << ' ' << row["r13"] << ' ' << row["r23"]);
        CHECK(ours == Approx(row.number("share")).margin(2e-9));
    }
}

TEST_CASE("shares below the means are Sheppard's", "[own]") {
    // Second method: the closed forms of Sheppard 1899 for two variables and of its extension to three (Johnson and
    // Kotz, both from memory): 1/4 + asin(r)/(2 pi) and 1/8 + (asin r12 + asin r13 + asin r23)/(4 pi).
    for (const double r : {-0.999, -0.6, -0.1, 0.0, 0.2, 0.7, 0.95, 0.9999}) {
        CHECK(detail::joint_normal_share_below(0.0, 0.0, r) == Approx(0.25 + std::asin(r) / (2 * pi)).margin(1e-10));
        const double angles = std::asin(0.3 * r) + std::asin(r) + std::asin(0.3);
        CHECK(share({0.0, 0.0, 0.0}, {0.3 * r, r, 0.3}) == Approx(0.125 + angles / (4 * pi)).margin(1e-9));
    }
}

TEST_CASE("variables that are one, opposite or certain", "[own]") {
    const auto below = [](double x) { return detail::normal_share_below(x); };
    CHECK(share({0.3, 0.7, 1.1}, {1, 1, 1}) == Approx(below(0.3)).margin(1e-12));
    CHECK(share({0.3, 0.7, 40}, {0, 0, 0}) == Approx(below(0.3) * below(0.7)).epsilon(1e-12));
    CHECK(share({0.3, 0.7, -40}, {0.5, 0, 0}) == 0.0);
    CHECK(share({0.3, 0.7, 0.9}, {-1, 0, 0}) == Approx((below(0.3) - below(-0.7)) * below(0.9)).margin(1e-12));
    CHECK(share({-0.8, 0.7, 0.9}, {-1, 0, 0}) == 0.0);
    CHECK(detail::joint_normal_share_below(0.4, 0.2, 1.0) == Approx(below(0.2)).margin(1e-14));
    CHECK(detail::joint_normal_share_below(0.4, 0.2, -1.0) == Approx(below(0.4) - below(-0.2)).margin(1e-14));
    // Two sums of the same two inputs and one of them: rank two.
    const double h = std::sqrt(0.5);
    CHECK(share({0.5, 0.2, -0.1}, {h, h, 0.0}) == Approx(share({-0.1, 0.2, 0.5}, {0.0, h, h})).margin(1e-9));
}

TEST_CASE("shares agree with sampling, whatever the variables share", "[own]") {
    // Three random sums of three or of two independent inputs (then of rank two); 200 000 draws, 0.005 is over four of
    // their standard deviations.
    std::mt19937_64 random(11);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> limit(-1.5, 2.0);
    for (std::size_t n = 0; n < test::sweep_length(24); ++n) {
        std::array<std::array<double, 3>, 3> a{};
        const std::size_t inputs = n % 2 == 0 ? 3 : 2;
        for (auto& row : a) {
            for (std::size_t j = 0; j < inputs; ++j) row[j] = normal(random);
            if (n % 3 == 0) row[0] += 3.0;   // mostly what they share
            const double scale = std::hypot(row[0], row[1], row[2]);
            for (double& x : row) x /= scale;
        }
        const std::array<double, 3> z{limit(random), limit(random), limit(random)};
        const auto r = [&](std::size_t i, std::size_t j) {
            return a[i][0] * a[j][0] + a[i][1] * a[j][1] + a[i][2] * a[j][2];
        };
        const int draws = 200000;
        int below = 0;
        for (int k = 0; k < draws; ++k) {
            const std::array<double, 3> x{normal(random), normal(random), normal(random)};
            bool all = true;
            for (std::size_t i = 0; i < 3; ++i) all = all && a[i][0] * x[0] + a[i][1] * x[1] + a[i][2] * x[2] <= z[i];
            below += all;
        }
        CHECK(share(z, {r(0, 1), r(0, 2), r(1, 2)}) == Approx(static_cast<double>(below) / draws).margin(0.005));
    }
}

TEST_CASE("a share never falls when a limit rises", "[own]") {
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> limit(-4.0, 4.0), unit(0.0, 1.0), r(-1.0, 1.0);
    for (std::size_t n = 0; n < test::sweep_length(500); ++n) {
        const double r12 = r(random), r13 = r(random);
        const double rest = std::sqrt((1 - r12 * r12) * (1 - r13 * r13));
        const double r23 = r12 * r13 + r(random) * rest;   // any that three variables can have
        std::array<double, 3> z{limit(random), limit(random), limit(random)};
        const double before = share(z, {r12, r13, r23});
        z[n % 3] += unit(random);
        const double after = share(z, {r12, r13, r23});
        CHECK(after >= before - 1e-8);
        CHECK(before >= 0.0);
        CHECK(after <= 1.0);
    }
}

TEST_CASE("correlation by shared inputs", "[own]") {
    const auto a = uncertain(0.0, 2.0, "a"), b = uncertain(0.0, 1.0, "b"), c = uncertain(0.0, 1.0, "c");
    CHECK(detail::correlation(a + b, a + c) == Approx(4.0 / 5.0));
    CHECK(detail::correlation(a + b, scaled(b, -3.0)) == Approx(-1.0 / std::sqrt(5.0)));
    CHECK(detail::correlation(b, c) == 0.0);
    CHECK(detail::correlation(b, Uncertain<double>(1.0)) == 0.0);
}
