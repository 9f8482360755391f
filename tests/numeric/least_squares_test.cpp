// SPDX-License-Identifier: BSL-1.0
// Least squares: a published line, the normal equations as a second method, bounds by their optimality conditions.

#include <array>
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/numeric/least_squares.hpp>

#include "support/catch.hpp"

using namespace filterflow;

namespace {

template <std::size_t N>
struct Problem {
    std::vector<std::array<double, N>> design;
    std::vector<double> observations, weights;
};

template <std::size_t N>
Problem<N> random_problem(std::mt19937_64& random, std::size_t n) {
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> positive(0.1, 3.0);
    Problem<N> p;
    for (std::size_t i = 0; i < n; ++i) {
        std::array<double, N> row;
        for (double& x : row) x = normal(random);
        p.design.push_back(row);
        p.observations.push_back(normal(random));
        p.weights.push_back(positive(random));
    }
    return p;
}

/// -(1/2) gradient of chi-squared to each parameter: X^T W residuals.
template <std::size_t N>
std::array<double, N> slope_of(const Problem<N>& p, const LeastSquares<N>& fit) {
    std::array<double, N> slope{};
    for (std::size_t i = 0; i < p.design.size(); ++i) {
        for (std::size_t j = 0; j < N; ++j) slope[j] += p.design[i][j] * p.weights[i] * fit.residuals[i];
    }
    return slope;
}

}   // namespace

TEST_CASE("a published straight line is found", "[outside]") {
    // Anscombe 1973, first data set: y = 3.00 + 0.500 x, r^2 = 0.67, s of the slope 0.118 (from memory).
    const std::vector<double> x{10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5};
    const std::vector<double> y{8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68};
    std::vector<std::array<double, 2>> design;
    for (const double v : x) design.push_back({1.0, v});
    const std::vector<double> weights(x.size(), 1.0);
    const auto fit = least_squares<2>(design, y, weights);
    CHECK(fit.parameters[0] == Approx(3.00).margin(0.005));
    CHECK(fit.parameters[1] == Approx(0.500).margin(0.0005));
    CHECK(std::sqrt(fit.covariance[3] * fit.chi_squared / 9.0) == Approx(0.118).margin(0.0005));
    CHECK(fit.degrees_of_freedom == 9);
}

TEST_CASE("residuals are orthogonal to the design, and covariance inverts the normal matrix", "[own]") {
    std::mt19937_64 random(3);
    for (int trial = 0; trial < 200; ++trial) {
        const auto p = random_problem<3>(random, 3 + static_cast<std::size_t>(trial % 7));
        const auto fit = least_squares<3>(p.design, p.observations, p.weights);
        for (const double s : slope_of(p, fit)) CHECK(std::abs(s) < 1e-10);
        for (std::size_t a = 0; a < 3; ++a) {
            for (std::size_t b = 0; b < 3; ++b) {
                double product = 0.0;   // (X^T W X C)_ab
                for (std::size_t i = 0; i < p.design.size(); ++i) {
                    for (std::size_t k = 0; k < 3; ++k) {
                        product += p.design[i][a] * p.weights[i] * p.design[i][k] * fit.covariance[k * 3 + b];
                    }
                }
                CHECK(product == Approx(a == b ? 1.0 : 0.0).margin(1e-7));
            }
        }
    }
}

TEST_CASE("influence is the derivative of the parameters to each observation", "[own]") {
    std::mt19937_64 random(4);
    auto p = random_problem<2>(random, 6);
    const auto fit = least_squares<2>(p.design, p.observations, p.weights);
    for (std::size_t i = 0; i < 6; ++i) {
        auto moved = p;
        moved.observations[i] += 1.0;   // linear: the step may be large
        const auto other = least_squares<2>(moved.design, moved.observations, moved.weights);
        for (std::size_t j = 0; j < 2; ++j) {
            CHECK(fit.influence[i][j] == Approx(other.parameters[j] - fit.parameters[j]).margin(1e-12));
        }
    }
}

TEST_CASE("bounded fits meet the conditions of the optimum", "[own]") {
    std::mt19937_64 random(5);
    int bounded = 0;
    for (int trial = 0; trial < 500; ++trial) {
        const auto p = random_problem<3>(random, 5);
        const auto fit = least_squares<3>(p.design, p.observations, p.weights, ParameterBounds::non_negative);
        const auto slope = slope_of(p, fit);
        std::size_t held = 0;
        for (std::size_t j = 0; j < 3; ++j) {
            CHECK(fit.parameters[j] >= 0.0);
            if (fit.held[j]) {
                ++held;
                CHECK(fit.parameters[j] == 0.0);
                CHECK(slope[j] <= 1e-10);   // more of it would make the fit worse
                CHECK(fit.covariance[j * 3 + j] == 0.0);
            } else {
                CHECK(std::abs(slope[j]) < 1e-10);
            }
        }
        CHECK(fit.degrees_of_freedom == 5 - (3 - held));
        bounded += held > 0;
    }
    CHECK(bounded > 300);
}

TEST_CASE("parameters of very different size are found as well", "[own]") {
    // r of 1e-9 beside s of 1e9, as unlucky units would make them.
    std::vector<std::array<double, 2>> design;
    std::vector<double> y, w;
    for (const double q : {1e-9, 2e-9, 3e-9, 5e-9}) {
        design.push_back({q * 1e18, q * q});
        y.push_back(1e-9 * q * 1e18 + 3e17 * q * q);
        w.push_back(1.0);
    }
    const auto fit = least_squares<2>(design, y, w);
    CHECK(fit.parameters[0] == Approx(1e-9).epsilon(1e-9));
    CHECK(fit.parameters[1] == Approx(3e17).epsilon(1e-1));
}

TEST_CASE("least squares refuses what has no answer", "[own]") {
    const std::vector<std::array<double, 2>> line{{1, 1}, {1, 2}, {1, 3}};
    const std::vector<double> y{1, 2, 3}, w{1, 1, 1};
    CHECK_THROWS_AS(least_squares<2>(line, std::vector<double>{1, 2}, w), DomainError);
    CHECK_THROWS_WITH(least_squares<2>(std::vector<std::array<double, 2>>{{1, 1}}, std::vector<double>{1},
                                       std::vector<double>{1}),
                      Contains("at least as many as parameters (2)"));
    CHECK_THROWS_WITH(least_squares<2>(std::vector<std::array<double, 2>>{{1, 2}, {2, 4}, {3, 6}}, y, w),
                      Contains("do not depend on each other"));
    CHECK_THROWS_AS(least_squares<2>(line, y, std::vector<double>{1, 0, 1}), DomainError);
    CHECK_THROWS_AS(least_squares<2>(line, std::vector<double>{1, std::nan(""), 3}, w), DomainError);
}
