// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <array>

#include <filterflow/numeric/radical_inverse.hpp>

using namespace filterflow;

TEST_CASE("radical inverses mirror the digits", "[own]") {
    const std::array<double, 8> binary{0.0, 0.5, 0.25, 0.75, 0.125, 0.625, 0.375, 0.875};   // by hand
    for (std::uint64_t i = 0; i < binary.size(); ++i) CHECK(radical_inverse(i, 2) == binary[i]);
    CHECK(radical_inverse(5, 3) == Approx(2.0 / 3 + 1.0 / 9).epsilon(1e-15));    // 12 in base 3
    CHECK(radical_inverse(1234567, 10) == Approx(0.7654321).epsilon(1e-15));
    CHECK(radical_inverse(0xFFFFFFFFu, 2) < 1.0);
    CHECK_THROWS_AS(radical_inverse(1, 1), DomainError);
}

TEST_CASE("the first points of a base fill the interval evenly", "[own]") {
    // Definition: among any b^k points from a multiple of b^k on, each interval of length b^-k holds exactly one.
    for (const std::uint32_t base : {2u, 3u, 7u, 13u}) {
        const std::uint32_t cells = base * base * base;
        std::vector<int> held(cells, 0);
        for (std::uint32_t i = 0; i < cells; ++i) {
            ++held[static_cast<std::size_t>(radical_inverse(5ull * cells + i, base) * cells + 1e-9)];
        }
        for (const int points : held) CHECK(points == 1);
    }
}
