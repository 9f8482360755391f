// SPDX-License-Identifier: BSL-1.0
#pragma once

// Any finite number a function can be handed: every bit pattern, and numbers of ordinary size between them, so that
// some calls get past the checks.

#include <bit>
#include <cmath>
#include <cstdint>
#include <random>

namespace filterflow::test {

class AnyNumber {
public:
    explicit AnyNumber(std::uint64_t seed) : random_(seed) {}

    double operator()() {
        if (random_() % 3 != 0) {   // ordinary size, mostly positive
            const double size = std::pow(10.0, std::uniform_real_distribution<double>(-12.0, 6.0)(random_));
            return random_() % 8 == 0 ? -size : size;
        }
        if (random_() % 16 == 0) return 0.0;
        for (;;) {
            const double x = std::bit_cast<double>(random_());
            if (std::isfinite(x)) return x;
        }
    }
    /// Between 0 and 1 most of the time.
    double share() {
        return random_() % 4 != 0 ? std::uniform_real_distribution<double>(0.0, 1.0)(random_) : (*this)();
    }

private:
    std::mt19937_64 random_;
};

}   // namespace filterflow::test
