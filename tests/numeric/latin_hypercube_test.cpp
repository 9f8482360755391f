// SPDX-License-Identifier: BSL-1.0
// Latin hypercubes: each slice once, orders all as likely, and means that vary less.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <vector>

#include <filterflow/core/errors.hpp>
#include <filterflow/numeric/latin_hypercube.hpp>
#include <filterflow/numeric/random_draws.hpp>

#include "support/catch.hpp"
#include "support/kolmogorov_smirnov.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

TEST_CASE("each slice of each input is drawn once", "[own]") {
    for (const std::size_t n : {1U, 7U, 64U, 1000U}) {
        const std::vector<RandomDistribution> inputs(5, UniformDistribution{});
        std::vector<double> u(inputs.size() * n);
        fill_latin_hypercube(inputs, {.seed = 3, .input = 2}, u);
        for (std::size_t k = 0; k < inputs.size(); ++k) {
            std::vector<int> drawn(n, 0);
            for (std::size_t i = 0; i < n; ++i) {
                ++drawn.at(static_cast<std::size_t>(u[k * n + i] * static_cast<double>(n)));
            }
            CHECK(std::all_of(drawn.begin(), drawn.end(), [](int count) { return count == 1; }));
            if (n >= 64 && k > 0) {   // in another order than the first input's
                CHECK_FALSE(std::equal(u.begin(), u.begin() + static_cast<std::ptrdiff_t>(n),
                                       u.begin() + static_cast<std::ptrdiff_t>(k * n), [&](double a, double b) {
                                           return std::abs(a - b) < 1.0 / static_cast<double>(n);
                                       }));
            }
        }
    }
}

TEST_CASE("all orders are as likely", "[own]") {
    std::map<std::vector<std::uint32_t>, int> counts;
    const std::size_t n = test::sweep_length(24000);
    for (std::uint64_t seed = 0; seed < n; ++seed) {
        ++counts[detail::random_order(4, {.seed = seed, .candidate = 1, .input = seed % 4})];
    }
    REQUIRE(counts.size() == 24);
    const double expected = static_cast<double>(n) / 24.0;
    double chi_squared = 0.0;
    for (const auto& [order, count] : counts) chi_squared += (count - expected) * (count - expected) / expected;
    CHECK(chi_squared <
          41.64);   // exceeded in one case of a hundred with 23 degrees of freedom (any table, from memory)
    CHECK(chi_squared > 10.20);   // and fallen short of in another one
}

TEST_CASE("a hypercube's mean varies less where inputs add up, and is right where they do not", "[own]") {
    const std::vector<RandomDistribution> inputs{NormalDistribution{}, UniformDistribution{0.0, 2.0},
                                                 LognormalDistribution{1.0, 1.5}, StudentDistribution{0.0, 1.0, 9.0},
                                                 TriangularDistribution{0.0, 0.5, 2.0}};
    constexpr std::size_t n = 50;
    const auto means = [&](bool hypercube, bool product) {
        std::vector<double> all;
        std::vector<double> x(inputs.size() * n);
        for (std::uint64_t seed = 0; seed < test::sweep_length(400); ++seed) {
            if (hypercube) {
                fill_latin_hypercube(inputs, {.seed = seed}, x);
            } else {
                fill_draws(inputs, {.seed = seed}, 0, x);
            }
            double sum = 0.0;
            for (std::size_t i = 0; i < n; ++i) {
                double y = product ? 1.0 : 0.0;
                for (std::size_t k = 0; k < inputs.size(); ++k) {
                    y = product ? y * (k == 0 || k == 3 ? 1.0 + x[k * n + i] : x[k * n + i]) : y + x[k * n + i];
                }
                sum += y;
            }
            all.push_back(sum / n);
        }
        return test::sample_moments(all);
    };
    const double sum = mean_of(inputs[1]) + mean_of(inputs[2]) + mean_of(inputs[4]);
    const double product = mean_of(inputs[1]) * mean_of(inputs[2]) * mean_of(inputs[4]);
    const auto even = means(true, false), independent = means(false, false), products = means(true, true);
    const double count = static_cast<double>(test::sweep_length(400));
    CHECK(even.variance < 0.05 * independent.variance);
    CHECK(std::abs(even.mean - sum) < 4.0 * std::sqrt(even.variance / count));
    CHECK(std::abs(independent.mean - sum) < 4.0 * std::sqrt(independent.variance / count));
    CHECK(std::abs(products.mean - product) < 4.0 * std::sqrt(products.variance / count));
}

TEST_CASE("hypercubes refuse what they cannot fill", "[own]") {
    std::vector<double> x(3);
    const std::vector<RandomDistribution> two(2), none;
    CHECK_THROWS_WITH(fill_latin_hypercube(two, {}, x), Contains("a multiple of the number of inputs"));
    CHECK_THROWS_AS(fill_latin_hypercube(none, {}, x), DomainError);
    CHECK_THROWS_AS(fill_latin_hypercube(std::vector<RandomDistribution>{UniformDistribution{1.0, 0.0}}, {}, x),
                    DomainError);
    fill_latin_hypercube(none, {}, std::span<double>());
}
