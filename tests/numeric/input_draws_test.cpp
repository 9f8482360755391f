// SPDX-License-Identifier: BSL-1.0
// Joint draws of uncertain values: shapes, correlations, shared variances, and chi-squared.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/students_t.hpp>

#include <filterflow/core/units.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/stated_uncertainty.hpp>
#include <filterflow/numeric/uncertain.hpp>

#include "support/catch.hpp"
#include "support/kolmogorov_smirnov.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

namespace {

std::vector<std::vector<double>> drawn(const std::vector<Uncertain<double>>& inputs, std::size_t n,
                                       std::uint64_t first = 0) {
    std::vector<double> all(inputs.size() * n);
    InputDraws(inputs, 17).fill(first, all);
    std::vector<std::vector<double>> rows;
    for (std::size_t k = 0; k < inputs.size(); ++k) {
        rows.emplace_back(all.begin() + static_cast<std::ptrdiff_t>(k * n),
                          all.begin() + static_cast<std::ptrdiff_t>((k + 1) * n));
    }
    return rows;
}

double mean_product(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum / static_cast<double>(a.size());
}

}   // namespace

TEST_CASE("chi-squared draws against Boost.Math", "[outside]") {
    for (const double nu : {0.5, 1.0, 2.0, 3.0, 9.0, 200.0}) {
        INFO(nu);
        const boost::math::chi_squared_distribution<> reference(nu);
        std::vector<double> x(test::sweep_length(15000));
        fill_chi_squared(nu, {.seed = 4, .input = 9}, 0, x);
        CHECK(test::kolmogorov_statistic(x, [&](double v) { return cdf(reference, v); }) <
              test::kolmogorov_critical_1_percent);
    }
    std::vector<double> whole(100), part(40);
    fill_chi_squared(5.0, {.seed = 4}, 7, whole);
    fill_chi_squared(5.0, {.seed = 4}, 37, part);
    CHECK(std::equal(part.begin(), part.end(), whole.begin() + 30));
    CHECK_THROWS_AS(fill_chi_squared(0.1, {}, 0, whole), DomainError);
    CHECK_THROWS_AS(fill_chi_squared(HUGE_VAL, {}, 0, whole), DomainError);
}

TEST_CASE("a mean of few readings is drawn as Student's t", "[outside]") {
    // JCGM 101:2008, 6.4.9: scaled by the standard uncertainty, n - 1 degrees of freedom. Reference: Boost.Math.
    const std::array readings{4.0, 5.0, 7.0, 8.0};
    const Uncertain<double> mean = repeated(std::span<const double>(readings), "mean");
    const boost::math::students_t_distribution<> reference(3.0);
    const double u = mean.standard_uncertainty();
    CHECK(test::kolmogorov_statistic(drawn({mean}, test::sweep_length(30000))[0],
                                     [&](double x) { return cdf(reference, (x - 6.0) / u); }) <
          test::kolmogorov_critical_1_percent);
    // So is each parameter of a fit, and any sum of them, as they rest on one estimate of the variance.
    const std::array covariance{4.0, 1.9, 1.9, 1.0};
    const auto block = correlated_block(std::array{1.0, 2.0}, covariance, "fit", 3);
    const Uncertain<double> difference = block[0] - scaled(block[1], 2.0);
    for (const Uncertain<double>& x : {block[0], block[1], difference}) {
        const double spread = x.standard_uncertainty();
        const auto rows = drawn({block[0], block[1], difference, x}, test::sweep_length(30000));
        CHECK(test::kolmogorov_statistic(rows[3], [&](double v) { return cdf(reference, (v - x.value) / spread); }) <
              test::kolmogorov_critical_1_percent);
        for (std::size_t i = 0; i < 100; ++i)
            REQUIRE(rows[2][i] == Approx(rows[0][i] - 2.0 * rows[1][i]).epsilon(1e-12));
    }
}

TEST_CASE("draws have the shapes that were stated", "[own]") {
    const std::size_t n = test::sweep_length(50000);
    const std::vector<Uncertain<double>> inputs{
        plus_minus(5.0, 2.0, StatedMeaning::rectangular, "a"), plus_minus(5.0, 2.0, StatedMeaning::triangular, "b"),
        plus_minus(5.0, 2.0, StatedMeaning::arcsine, "c"), plus_minus(5.0, 2.0, StatedMeaning::rectangular, "d", 0.3),
        uncertain(5.0, 2.0, "e"), distributed(LognormalDistribution{5.0, 1.8}, "f"),
        distributed(resampled_distribution(std::array{1.0, 2.0, 9.0}), "g")};
    const auto rows = drawn(inputs, n);
    const auto check = [&](std::size_t k, const auto& cumulative) {
        INFO("input " << k);
        CHECK(test::kolmogorov_statistic(rows[k], cumulative) < test::kolmogorov_critical_1_percent);
    };
    check(0, [](double x) { return (x - 3.0) / 4.0; });
    check(1, [](double x) { return x < 5.0 ? (x - 3.0) * (x - 3.0) / 8.0 : 1.0 - (7.0 - x) * (7.0 - x) / 8.0; });
    check(2, [](double x) { return 0.5 + std::asin(std::clamp((x - 5.0) / 2.0, -1.0, 1.0)) / 3.14159265358979; });
    check(4, [](double x) { return 0.5 * std::erfc(-(x - 5.0) / 2.0 / std::sqrt(2.0)); });
    check(5, [](double x) { return 0.5 * std::erfc(-std::log(x / 5.0) / std::log(1.8) / std::sqrt(2.0)); });
    CHECK(*std::max_element(rows[3].begin(), rows[3].end()) ==
          Approx(5.0 + 2.0 * 1.3).margin(0.05));   // limits +- 30 %
    CHECK(inputs[5].value == Approx(5.0 * std::exp(0.5 * std::log(1.8) * std::log(1.8))));
    for (const double x : rows[6])
        REQUIRE((std::abs(x - 1.0) < 1e-12 || std::abs(x - 2.0) < 1e-12 || std::abs(x - 9.0) < 1e-12));
    for (std::size_t k = 0; k < inputs.size(); ++k) {
        const test::SampleMoments moments = test::sample_moments(rows[k]);
        CHECK(std::abs(moments.mean - inputs[k].value) < 4.0 * std::sqrt(moments.variance / static_cast<double>(n)));
    }
}

TEST_CASE("what values share they share in every draw", "[own]") {
    const std::size_t n = test::sweep_length(100000);
    const Uncertain<double> shared = uncertain(0.0, 2.0, "shared"), own = uncertain(10.0, 1.0, "own");
    const Uncertain<double> first = own + shared, second = scaled(shared, -0.5) + uncertain(3.0, 0.2, "other"),
                            exact(4.0);
    const auto rows = drawn({first, second, own, exact, first - own}, n);
    for (std::size_t i = 0; i < n; ++i) REQUIRE(rows[4][i] == Approx(rows[0][i] - rows[2][i]).margin(1e-12));
    CHECK(std::all_of(rows[3].begin(), rows[3].end(), [](double x) { return x == 4.0; }));
    std::vector<double> da = rows[0], db = rows[1];
    for (double& x : da) x -= 10.0;
    for (double& x : db) x -= 3.0;
    const double expected = covariance(first.gradient, second.gradient);
    // Standard error of a covariance of normal values: ((u_a^2 u_b^2 + u_ab^2)/n)^0.5
    CHECK(std::abs(mean_product(da, db) - expected) <
          4.0 * std::sqrt((first.gradient.variance() * second.gradient.variance() + expected * expected) /
                          static_cast<double>(n)));
    // In parts, whichever, the draws are the same; inputs made earlier elsewhere do not matter.
    const auto part = drawn({first, second, own, exact, first - own}, 333, 777);
    for (std::size_t k = 0; k < 5; ++k) CHECK(std::equal(part[k].begin(), part[k].end(), rows[k].begin() + 777));
    const Uncertain<double> again = uncertain(0.0, 2.0, "shared");
    CHECK(drawn({again}, 50) == drawn({shared}, 50));
    CHECK(InputDraws(std::vector{first, second, exact}, 1).elementary_inputs() == 3);
}

TEST_CASE("input draws refuse what cannot be drawn", "[own]") {
    using namespace filterflow::units;
    std::vector<double> places(3);
    const InputDraws two(std::vector{uncertain(1.0, 0.1, "a"), uncertain(1.0, 0.1, "b")}, 1);
    CHECK_THROWS_WITH(two.fill(0, places), Contains("a multiple of the number of values"));
    CHECK_THROWS_AS(InputDraws(std::vector{uncertain(1.0, 0.1, "a", 0.1)}, 1), DomainError);
    CHECK_THROWS_AS(distributed(StudentDistribution{0.0, 1.0, 2.0}, "x"), DomainError);
    const Uncertain<Pressure> p = distributed<Pressure>(UniformDistribution{10.0, 20.0}, "pressure");
    CHECK(p.value == 15 * Pa);
    CHECK(p.standard_uncertainty() / Pa == Approx(10.0 / std::sqrt(12.0)));
}

TEST_CASE("an input known by bounds is drawn between them and spread about its estimate", "[own]") {
    const InputHandle input = bounded_input({"efficiency", 0.3, 0.2, 0.9});
    CHECK(input->standard_uncertainty == Approx(0.6 / std::sqrt(3.0)));
    const std::size_t n = test::sweep_length(20000);
    const auto x = drawn({{0.3, Gradient(input)}}, n).at(0);
    CHECK(*std::min_element(x.begin(), x.end()) > 0.2);
    CHECK(*std::max_element(x.begin(), x.end()) < 0.9);
    std::vector<double> values = x;
    CHECK(test::kolmogorov_statistic(values, [](double v) { return (v - 0.2) / 0.7; }) <
          test::kolmogorov_critical_1_percent);
    CHECK(bounded_input({"exact", 0.4, 0.4, 0.4})->standard_uncertainty == 0.0);
    CHECK_THROWS_AS(bounded_input({"turned", 0.4, 0.5, 0.4}), DomainError);
    CHECK_THROWS_AS(bounded_input({"no number", std::nan(""), 0.0, 1.0}), DomainError);
}
