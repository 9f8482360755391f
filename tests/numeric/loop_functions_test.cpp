// SPDX-License-Identifier: BSL-1.0
#include <cmath>
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
