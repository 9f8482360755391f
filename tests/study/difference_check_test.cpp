// SPDX-License-Identifier: BSL-1.0
// Whether draws tell two costs apart: by closed forms of the binomial limits, of a normal difference and of a lopsided
// one, where first order ties what no draw ties.

#include "support/catch.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/study/difference_check.hpp>

using namespace filterflow;

namespace {

/// Normal numbers of one stream.
std::vector<double> normal_numbers(std::size_t n, std::uint64_t seed) {
    std::vector<double> z(n);
    fill_normals({.seed = seed}, 0, z);
    return z;
}

DifferenceCheck checked(double mean, double deviation, const std::vector<double>& a, const std::vector<double>& b) {
    return check_difference(uncertain(mean, deviation, "difference"), a, b, 0.95);
}

}   // namespace

TEST_CASE("no draw on one side tells two costs apart once 0.975^n < 0.025, not before", "[own][study]") {
    // Upper limit of a share of which none was seen: 1 - 0.025^(1/n) < 0.025 from n = 146 on.
    const auto of = [](std::size_t n) {
        return checked(1.0, 1.0, std::vector<double>(n, 3.0), std::vector<double>(n, 2.0)).by_draws;
    };
    CHECK(of(1) == DrawnTie::not_told);
    CHECK(of(145) == DrawnTie::not_told);
    CHECK(of(146) == DrawnTie::apart);
    const std::vector<double> same(200, 2.0);
    CHECK(checked(0.0, 1.0, same, same).by_draws == DrawnTie::tied);
    CHECK(checked(0.0, 1.0, same, same).cheaper_share == 0.0);
}

TEST_CASE("of a normal difference first order and draws say the same", "[own][study]") {
    const std::size_t n = 4000;
    const std::vector<double> z = normal_numbers(n, 5), shared = normal_numbers(n, 6);
    for (const double mean : {-4.0, -1.0, 0.0, 1.0, 4.0}) {   // apart from 1.96 standard deviations on
        std::vector<double> a(n), b(n);
        for (std::size_t i = 0; i < n; ++i) {
            b[i] = 100.0 + 30.0 * shared[i];   // what they share cancels
            a[i] = b[i] + mean + z[i];
        }
        const DifferenceCheck d = checked(mean, 1.0, a, b);
        INFO("mean " << mean);
        CHECK(d.tied_by_first_order == (std::abs(mean) < 1.96));
        CHECK(d.by_draws == (std::abs(mean) < 1.96 ? DrawnTie::tied : DrawnTie::apart));
        CHECK_FALSE(d.contradicts());
        CHECK(d.cheaper_share == Approx(0.5 * std::erfc(mean / std::sqrt(2.0))).margin(4.0 * 0.5 / std::sqrt(4000.0)));
        CHECK(d.drawn.lower == Approx(mean - 1.96).margin(0.25));
        CHECK(d.drawn.upper == Approx(mean + 1.96).margin(0.25));
        REQUIRE(d.check);
        CHECK(d.check->status != FirstOrderStatus::fails);
    }
}

TEST_CASE("a lopsided difference that no draw makes negative is tied by first order, and that is told",
          "[own][study]") {
    // exp(z): mean exp(0.5), spread mean (e - 1)^0.5; y - 1.96 u is below zero, no draw is.
    for (const std::size_t n : {std::size_t{200}, std::size_t{4000}}) {
        const std::vector<double> z = normal_numbers(n, 5);
        std::vector<double> a(n), b(n, 100.0);
        for (std::size_t i = 0; i < n; ++i) a[i] = b[i] + std::exp(z[i]);
        const double mean = std::exp(0.5), deviation = mean * std::sqrt(std::exp(1.0) - 1.0);
        const DifferenceCheck d = checked(mean, deviation, a, b), turned = checked(-mean, deviation, b, a);
        CHECK(d.tied_by_first_order);
        CHECK(d.by_draws == DrawnTie::apart);
        CHECK(d.contradicts());
        CHECK(d.cheaper_share == 0.0);
        CHECK(d.drawn.lower > 0.0);
        CHECK(turned.contradicts());
        CHECK(turned.cheaper_share == 1.0);
        CHECK(d.check.has_value() == (n >= least_draws_to_judge));
        if (d.check) CHECK(d.check->status == FirstOrderStatus::fails);
    }
    // The other way about: first order sees a spread too small, the draws lie on both sides.
    const std::vector<double> z = normal_numbers(4000, 8), zero(4000, 0.0);
    const DifferenceCheck narrow = checked(1.0, 0.1, z, zero);
    CHECK_FALSE(narrow.tied_by_first_order);
    CHECK(narrow.by_draws == DrawnTie::tied);
    CHECK(narrow.contradicts());
}

TEST_CASE("a check of a difference refuses what is none", "[own][study]") {
    const std::vector<double> two{1.0, 2.0}, three{1.0, 2.0, 3.0}, none, broken{1.0, HUGE_VAL};
    CHECK_THROWS_AS(checked(0.0, 1.0, two, three), DomainError);
    CHECK_THROWS_AS(checked(0.0, 1.0, none, none), DomainError);
    CHECK_THROWS_AS(checked(0.0, 1.0, broken, two), DomainError);
    CHECK_THROWS_AS(check_difference(uncertain(0.0, 1.0, "d"), two, two, 1.5), DomainError);
}
