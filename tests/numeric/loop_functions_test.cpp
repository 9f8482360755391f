// SPDX-License-Identifier: BSL-1.0
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>

#include <filterflow/numeric/loop_functions.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;

TEST_CASE("functions for loops against the standard's", "[outside]") {
    // The general-purpose reference: the C++ standard library's exp and log, in long double.
    std::mt19937_64 random(23);
    std::uniform_real_distribution<double> exponent(-708.0, 708.0), unit(-1.0, 1.0);
    double worst_exp = 0.0, worst_log = 0.0;
    for (std::size_t i = 0; i < test::sweep_length(200000); ++i) {
        const double x = i % 2 == 0 ? exponent(random) : unit(random);
        const long double e = std::exp(static_cast<long double>(x));
        worst_exp = std::max(worst_exp,
                             std::abs(static_cast<double>(static_cast<long double>(detail::loop_exp(x)) / e - 1.0L)));
        const double y = i % 2 == 0 ? std::exp(exponent(random)) : 1.0 + 0.5 * unit(random);
        const long double l = std::log(static_cast<long double>(y));
        worst_log = std::max(worst_log, std::abs(static_cast<double>((detail::loop_log(y) - l) /
                                                                     std::max(1.0L, std::abs(l)))));
    }
    CHECK(worst_exp < 1e-15);
    CHECK(worst_log < 1e-15);
    CHECK(detail::loop_exp(0.0) == 1.0);
    CHECK(detail::loop_log(1.0) == 0.0);
}

TEST_CASE("root, sine and cosine for loops against the standard's", "[outside]") {
    std::mt19937_64 random(24);
    std::uniform_real_distribution<double> exponent(-700.0, 700.0), unit(-1.0, 1.0);
    double worst_root = 0.0, worst_sine = 0.0, worst_point = 0.0;
    for (std::size_t i = 0; i < test::sweep_length(200000); ++i) {
        const double x = i % 2 == 0 ? std::exp(exponent(random)) : 1.0 + unit(random);
        worst_root = std::max(worst_root, std::abs(detail::loop_sqrt(x) / std::sqrt(x) - 1.0));
        const double angle = 1.5707963267948966 * unit(random);
        worst_sine = std::max(worst_sine, std::abs(detail::loop_sine(angle) - std::sin(angle)));
        const std::uint64_t bits = random();
        const long double place = static_cast<long double>((bits << 2) >> 12) * 0x1p-52L + 0x1p-53L - 0.5L;
        const long double turn = 0.25L * (static_cast<long double>(bits >> 62) + place);
        const detail::CirclePoint point = detail::loop_circle_point(bits);
        const long double radians = turn * 6.283185307179586476925L;
        worst_point = std::max({worst_point, std::abs(static_cast<double>(point.cosine - std::cos(radians))),
                                std::abs(static_cast<double>(point.sine - std::sin(radians)))});
    }
    CHECK(worst_root < 5e-16);
    CHECK(worst_sine < 5e-16);
    CHECK(worst_point < 5e-16);
    CHECK(detail::loop_sqrt(0.0) == 0.0);
    CHECK(detail::loop_sqrt(4.0) == 2.0);
}
