// SPDX-License-Identifier: BSL-1.0
// Draws and quantiles against Boost.Math's distributions, moments against theirs, and draws against themselves however
// they are cut.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <span>
#include <string>
#include <vector>

#include <boost/math/distributions/arcsine.hpp>
#include <boost/math/distributions/lognormal.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/distributions/triangular.hpp>
#include <boost/math/distributions/uniform.hpp>

#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/distribution_quantiles.hpp>
#include <filterflow/numeric/random_draws.hpp>

#include "support/catch.hpp"
#include "support/kolmogorov_smirnov.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

namespace {

std::vector<double> draws(const RandomDistribution& d, std::size_t n, std::uint64_t input = 0,
                          std::uint64_t first = 0) {
    std::vector<double> x(n);
    fill_draws(d, {.seed = 31, .input = input}, first, x);
    return x;
}

/// Draws against a distribution of Boost.Math, and the moments of both.
template <class Reference>
void check_draws(const std::string& name, const RandomDistribution& d, const Reference& reference, std::size_t full) {
    INFO(name);
    const std::size_t n = test::sweep_length(full);
    for (const std::uint64_t input : {0U, 3U}) {
        CHECK(test::kolmogorov_statistic(draws(d, n, input), [&](double x) { return cdf(reference, x); }) <
              test::kolmogorov_critical_1_percent);
    }
    CHECK(mean_of(d) == Approx(mean(reference)).epsilon(1e-13));
    CHECK(standard_deviation_of(d) == Approx(standard_deviation(reference)).epsilon(1e-13));
    double worst = 0.0;
    for (const double p : {1e-12, 1e-5, 0.01, 0.2, 0.4999, 0.5, 0.6, 0.93, 0.99999}) {
        const double theirs = quantile(reference, p);
        worst = std::max(worst, std::abs(quantile_of(d, p) - theirs) / std::max(std::abs(theirs), 0.1));
    }
    CHECK(worst < 1e-13);
}

const std::vector<double> few{3.0, 1.0, 4.0, 1.5, 9.0, 2.6};

std::vector<RandomDistribution> one_of_each() {
    return {NormalDistribution{1.0, 2.0},          UniformDistribution{-1.0, 3.0}, StudentDistribution{0.5, 2.0, 3.0},
            TriangularDistribution{0.0, 1.0, 4.0}, LognormalDistribution{2.0, 1.5}, ArcsineDistribution{-1.0, 1.0},
            StudentDistribution{0.0, 1.0, 1.0},    resampled_distribution(few),    NormalDistribution{},
            CurvilinearTrapezoidDistribution{0.0, 1.0, 0.2}};
}

}   // namespace

TEST_CASE("draws, moments and quantiles against Boost.Math", "[outside]") {
    namespace bm = boost::math;
    check_draws("uniform", UniformDistribution{-2.0, 5.0}, bm::uniform_distribution<>(-2.0, 5.0), 200000);
    check_draws("normal", NormalDistribution{20.0, 0.5}, bm::normal_distribution<>(20.0, 0.5), 200000);
    check_draws("lognormal", LognormalDistribution{3.0, 2.2},
                bm::lognormal_distribution<>(std::log(3.0), std::log(2.2)), 200000);
    check_draws("triangular", TriangularDistribution{-1.0, 0.3, 5.0}, bm::triangular_distribution<>(-1.0, 0.3, 5.0),
                200000);
    check_draws("triangular to the right", TriangularDistribution{0.0, 2.0, 2.0},
                bm::triangular_distribution<>(0.0, 2.0, 2.0), 50000);
    check_draws("arcsine", ArcsineDistribution{-0.5, 0.5}, bm::arcsine_distribution<>(-0.5, 0.5), 200000);
}

TEST_CASE("Student's draws and quantiles against Boost.Math", "[outside]") {
    for (const double nu : {0.5, 1.0, 2.5, 5.0, 30.0, 9e5}) {
        INFO(nu);
        const boost::math::students_t_distribution<> reference(nu);
        const RandomDistribution d = StudentDistribution{10.0, 2.0, nu};
        for (const std::uint64_t input : {0U, 1U, 2U, 3U}) {
            const auto cumulative = [&](double x) { return cdf(reference, 0.5 * (x - 10.0)); };
            CHECK(test::kolmogorov_statistic(draws(d, test::sweep_length(15000), input), cumulative) <
                  test::kolmogorov_critical_1_percent);
        }
        for (const double p : {1e-6, 0.01, 0.3, 0.5, 0.975}) {
            CHECK(quantile_of(d, p) == Approx(10.0 + 2.0 * quantile(reference, p)).epsilon(1e-12));
        }
    }
    // The statistic tells three degrees of freedom from four.
    const boost::math::students_t_distribution<> three(3.0);
    CHECK(test::kolmogorov_statistic(draws(StudentDistribution{0.0, 1.0, 4.0}, 100000),
                                     [&](double x) { return cdf(three, x); }) > test::kolmogorov_critical_1_percent);
    CHECK(standard_deviation_of(StudentDistribution{0.0, 2.0, 4.0}) == Approx(2.0 * std::sqrt(2.0)));
    // From a million degrees of freedom on it is the normal distribution.
    CHECK(draws(StudentDistribution{0.0, 1.0, 2e6}, 100) == draws(NormalDistribution{}, 100));
    CHECK(draws(StudentDistribution{0.0, 1.0, std::numeric_limits<double>::infinity()}, 9) ==
          draws(NormalDistribution{}, 9));
    CHECK(quantile_of(StudentDistribution{0.0, 1.0, 2e6}, 0.975) == Approx(1.959963984540054).epsilon(1e-14));
}

TEST_CASE("the normal quantile against Boost.Math", "[outside]") {
    const boost::math::normal_distribution<> reference;
    std::mt19937_64 random(8);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    double worst = 0.0;
    for (std::size_t i = 0; i < test::sweep_length(20000); ++i) {
        const double p = i % 2 == 0 ? unit(random) : std::pow(10.0, -300.0 * unit(random));
        if (!(p > 0.0 && p < 1.0)) continue;
        const double z = quantile(reference, p);
        worst = std::max(worst, std::abs(normal_quantile(p) - z) / std::max(1.0, std::abs(z)));
    }
    CHECK(worst < 1e-15);
    CHECK(normal_quantile(0.5) == 0.0);
    CHECK(normal_quantile(0.25) == -normal_quantile(0.75));
    CHECK_THROWS_AS(normal_quantile(0.0), DomainError);
    CHECK_THROWS_AS(normal_quantile(1.0), DomainError);
    CHECK_THROWS_AS(normal_quantile(std::nan("")), DomainError);
}

TEST_CASE("mean and spread of draws are those of the distribution", "[own]") {
    const std::size_t n = test::sweep_length(200000);
    const double root = std::sqrt(static_cast<double>(n));
    std::vector<RandomDistribution> all = one_of_each();
    all[6] = interpolated_distribution(few);
    all.push_back(CurvilinearTrapezoidDistribution{-1.0, 3.0, 1.5});
    all.push_back(tabulated_distribution(std::array{0.0, 1.0, 5.0}, std::array{0.0, 0.8, 1.0}));
    all.push_back(resampled_distribution(few, std::array{1.0, 0.0, 2.0, 0.5, 0.25, 3.0}));
    for (std::size_t k = 0; k < all.size(); ++k) {
        INFO("distribution " << k);
        const test::SampleMoments moments = test::sample_moments(draws(all[k], n, k));
        const double spread = standard_deviation_of(all[k]);
        CHECK(std::abs(moments.mean - mean_of(all[k])) < 4.0 * spread / root);
        if (k == 2) continue;   // three degrees of freedom: the variance of the sample has none itself
        CHECK(std::abs(moments.variance / (spread * spread) - 1.0) < 4.0 * std::sqrt(moments.kurtosis + 2.0) / root);
    }
}

TEST_CASE("limits known roughly: the curvilinear trapezoid", "[own]") {
    // The distribution function by quadrature over the limits, as a second method: mean of clamped straight lines.
    const auto cumulative = [](double half, double rough, double x) {
        double sum = 0.0;
        constexpr int steps = 20000;
        for (int i = 0; i < steps; ++i) {
            const double reach = half - rough + 2.0 * rough * (i + 0.5) / steps;
            sum += std::clamp(0.5 + 0.5 * x / reach, 0.0, 1.0);
        }
        return sum / steps;
    };
    for (const double rough : {0.1, 0.5, 1.0}) {
        INFO(rough);
        const RandomDistribution d = CurvilinearTrapezoidDistribution{4.0, 6.0, rough};
        for (const double p : {0.001, 0.02, 0.1, 0.4, 0.5, 0.77, 0.97, 0.9999}) {
            CHECK(cumulative(1.0, rough, quantile_of(d, p) - 5.0) == Approx(p).margin(1e-7));
        }
        std::vector<double> exact;   // quantiles at even steps: their distribution function is the statistic's
        for (int i = 1; i < 1000; ++i) exact.push_back(quantile_of(d, i / 1000.0));
        const auto share = [&](double x) {   // of even steps; within 0.001, far below what the statistic tells
            return static_cast<double>(std::lower_bound(exact.begin(), exact.end(), x) - exact.begin()) / 1000.0 +
                   0.0005;
        };
        for (const std::uint64_t input : {0U, 1U, 2U, 3U}) {
            CHECK(test::kolmogorov_statistic(draws(d, test::sweep_length(20000), input), share) <
                  test::kolmogorov_critical_1_percent);
        }
    }
    // JCGM 101:2008, 6.4.3: the limits' uncertainty adds d^2/9 to the variance (from memory).
    CHECK(standard_deviation_of(CurvilinearTrapezoidDistribution{0.0, 2.0, 0.3}) ==
          Approx(std::sqrt(1.0 / 3.0 + 0.01)).epsilon(1e-14));
}

TEST_CASE("empirical distributions give what they were given", "[own]") {
    const RandomDistribution again = resampled_distribution(few);
    std::vector<double> x = draws(again, 60000);
    for (const double value : few) {
        const double share = static_cast<double>(std::count(x.begin(), x.end(), value)) / 60000.0;
        CHECK(share == Approx(1.0 / 6.0).margin(4.0 * std::sqrt(5.0 / 36.0 / 60000.0)));
    }
    CHECK(quantile_of(again, 1.0 / 6.0) == 1.0);
    CHECK(quantile_of(again, 0.17) == 1.5);
    CHECK(quantile_of(again, 0.99) == 9.0);
    const std::array weights{0.0, 1.0, 0.0, 0.0, 3.0, 0.0};
    const auto weighted = resampled_distribution(few, weights);
    CHECK(weighted.points() == std::vector<double>{1.0, 9.0});
    CHECK(quantile_of(weighted, 0.25) == 1.0);
    CHECK(quantile_of(weighted, 0.2501) == 9.0);
    // Straight between the points; the median of few is 2.8.
    const RandomDistribution smooth = interpolated_distribution(few);
    CHECK(quantile_of(smooth, 0.5) == Approx(2.8).epsilon(1e-15));
    CHECK(quantile_of(smooth, 0.2) == Approx(1.5).epsilon(1e-15));
    const RandomDistribution table = tabulated_distribution(std::array{0.0, 1.0, 5.0}, std::array{0.0, 0.8, 1.0});
    CHECK(quantile_of(table, 0.4) == Approx(0.5));
    CHECK(quantile_of(table, 0.9) == Approx(3.0));
    CHECK(test::kolmogorov_statistic(draws(table, 50000),
                                     [](double v) { return v < 1.0 ? 0.8 * v : 0.8 + 0.05 * (v - 1.0); }) <
          test::kolmogorov_critical_1_percent);
    // Many points with very uneven shares, where the guide is of little help.
    std::vector<double> points{0.0}, shares{0.0};
    for (int i = 1; i <= 200; ++i) {
        points.push_back(i);
        shares.push_back(i < 200 ? 1e-6 * i : 1.0);
    }
    const RandomDistribution uneven = tabulated_distribution(points, shares);
    CHECK(quantile_of(uneven, 0.5e-6) == Approx(0.5));
    CHECK(quantile_of(uneven, 1.5e-6) == Approx(1.5));
    CHECK(quantile_of(uneven, 0.9) == Approx(199.0 + (0.9 - 199e-6) / (1.0 - 199e-6)));
}

TEST_CASE("draws do not depend on parts, order or the other inputs, bit for bit", "[own]") {
    const std::vector<RandomDistribution> inputs = one_of_each();
    constexpr std::size_t n = 1000;
    std::vector<double> together(inputs.size() * n);
    fill_draws(inputs, {.seed = 31}, 50, together);
    for (std::size_t k = 0; k < inputs.size(); ++k) {
        std::vector<double> parts(n);
        for (std::size_t begin : {777U, 130U, 0U}) {
            const std::size_t end = begin == 777 ? n : begin == 130 ? 777 : 130;
            fill_draws(inputs[k], {.seed = 31, .input = k}, 50 + begin, std::span(parts).subspan(begin, end - begin));
        }
        CHECK(std::equal(parts.begin(), parts.end(), together.begin() + static_cast<std::ptrdiff_t>(k * n)));
    }
    // Inputs that begin in the middle of a block of four.
    std::vector<double> later(3 * n);
    fill_draws(std::span(inputs).subspan(3, 3), {.seed = 31, .input = 3}, 50, later);
    CHECK(std::equal(later.begin(), later.end(), together.begin() + 3 * n));
}

TEST_CASE("distributions and draws refuse what they cannot be", "[own]") {
    std::vector<double> x(3);
    const double nan = std::nan("");
    const auto refuse = [&](const RandomDistribution& d, const char* words) {
        CHECK_THROWS_WITH(fill_draws(d, {}, 0, x), Contains(words));
        CHECK_THROWS_AS(mean_of(d), DomainError);
        CHECK_THROWS_AS(quantile_of(d, 0.5), DomainError);
    };
    refuse(UniformDistribution{1.0, 1.0}, "upper limit = 1; required: above the lower limit");
    refuse(UniformDistribution{nan, 1.0}, "lower limit");
    refuse(UniformDistribution{-1e308, 1e308}, "distance of the limits");
    refuse(NormalDistribution{0.0, 0.0}, "standard_deviation");
    refuse(NormalDistribution{nan, 1.0}, "mean");
    refuse(LognormalDistribution{0.0, 2.0}, "median");
    refuse(LognormalDistribution{1.0, 1.0}, "geometric_standard_deviation");
    refuse(TriangularDistribution{0.0, 2.0, 1.0}, "mode = 2; required: from 0 to 1");
    refuse(ArcsineDistribution{1.0, -1.0}, "upper limit");
    refuse(CurvilinearTrapezoidDistribution{0.0, 1.0, 0.6}, "limits_uncertainty = 0.6; required: from 0 to 0.5");
    refuse(CurvilinearTrapezoidDistribution{0.0, 1.0, 0.0}, "limits_uncertainty");
    refuse(StudentDistribution{0.0, 1.0, 0.1}, "degrees_of_freedom");
    refuse(StudentDistribution{0.0, -1.0, 3.0}, "scale");
    CHECK_THROWS_AS(standard_deviation_of(StudentDistribution{0.0, 1.0, 2.0}), DomainError);
    CHECK_THROWS_AS(mean_of(StudentDistribution{0.0, 1.0, 1.0}), DomainError);
    CHECK_THROWS_AS(quantile_of(NormalDistribution{}, 1.0), DomainError);
    CHECK_THROWS_AS(resampled_distribution(std::span<const double>()), DomainError);
    CHECK_THROWS_AS(resampled_distribution(few, std::array{1.0}), DomainError);
    CHECK_THROWS_AS(resampled_distribution(std::array{1.0, 2.0}, std::array{0.0, 0.0}), DomainError);
    CHECK_THROWS_AS(resampled_distribution(std::array{nan}), DomainError);
    CHECK_THROWS_WITH(tabulated_distribution(std::array{0.0, 1.0, 1.0}, std::array{0.0, 0.5, 1.0}),
                      Contains("point 3"));
    CHECK_THROWS_WITH(tabulated_distribution(std::array{0.0, 1.0}, std::array{0.1, 1.0}),
                      Contains("0, and the last one 1"));
    CHECK_THROWS_AS(tabulated_distribution(std::array{0.0}, std::array{0.0}), DomainError);
    CHECK_THROWS_AS(interpolated_distribution(std::array{1.0, 1.0}), DomainError);
    CHECK_THROWS_AS(interpolated_distribution(std::array{1.0}), DomainError);
    const std::vector<RandomDistribution> two(2);
    CHECK_THROWS_WITH(fill_draws(two, {}, 0, x), Contains("a multiple of the number of inputs"));
}
