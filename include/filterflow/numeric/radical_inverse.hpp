// SPDX-License-Identifier: BSL-1.0
#pragma once

// Points that fill a unit interval, or cube, evenly: the same on every machine and in every run.

#include <array>
#include <cstddef>
#include <cstdint>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

namespace detail {

inline constexpr std::array<std::uint32_t, 12> small_primes{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37};

inline double radical_inverse(std::uint64_t index, std::uint32_t base) {
    double result = 0.0;
    double weight = 1.0;
    const double step = 1.0 / base;
    for (; index > 0; index /= base) {
        weight *= step;
        result += weight * static_cast<double>(index % base);
    }
    return result;
}

}   // namespace detail

/// Number whose digits are those of an index mirrored at the point: van der Corput's sequence. With prime bases, one a
/// coordinate, and one index for all, it makes Halton's points, which fill a cube more evenly than chance does.
///
/// Equation: i = sum_k a_k b^k gives sum_k a_k b^(-k-1)
/// Symbols:  i index, b base, a_k digits
/// Validity: coordinates with large bases b_1, b_2 are evenly filled together only by many more than b_1 b_2 points
/// @param  index  0, 1, 2, ...
/// @param  base  >= 2
/// @return number from 0 (included) to 1 (excluded)
/// @throws DomainError if the base is below 2
/// @source van der Corput 1935; Halton 1960, Numer. Math. 2:84 (from memory); test: numeric/radical_inverse_test.cpp
template <Deferred...>
inline double radical_inverse(std::uint64_t index, std::uint32_t base) {
    if (base < 2) detail::throw_domain_error("radical_inverse", "base", base, "", ">= 2");
    return detail::radical_inverse(index, base);
}

}   // namespace filterflow
