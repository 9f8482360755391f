// SPDX-License-Identifier: BSL-1.0
#pragma once

// Draws of chi-squared: what an estimate of a variance is spread like. Values that rest on one such estimate (the
// parameters of a fit) share its draw.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/random_streams.hpp>

namespace filterflow {

namespace detail {

/// One draw, twice a gamma variate of shape nu/2 by Marsaglia and Tsang's rejection: attempt after attempt from
/// counters of its own, so that no draw touches another's words.
template <Deferred...>
[[gnu::noinline]] inline double chi_squared_draw(double degrees_of_freedom, const RandomStream& stream,
                                                 std::uint64_t draw) {
    const double shape = 0.5 * degrees_of_freedom;
    const double d = (shape < 1.0 ? shape + 1.0 : shape) - 1.0 / 3.0, c = 1.0 / std::sqrt(9.0 * d);
    for (std::uint64_t attempt = 0;; ++attempt) {
        const std::uint64_t use = static_cast<std::uint64_t>(RandomUse::chi_squared) + (attempt << 8);
        const RandomWords words = threefry_words({draw, stream.candidate, stream.input, use}, {stream.seed, 0, 0, 0});
        const double z = std::sqrt(-2.0 * std::log(unit_number(words[0]))) * loop_circle_point(words[1]).cosine;
        const double root = 1.0 + c * z;
        if (!(root > 0.0)) continue;
        const double v = root * root * root;
        if (!(std::log(unit_number(words[2])) < 0.5 * z * z + d - d * v + d * std::log(v))) continue;
        return 2.0 * d * v * (shape < 1.0 ? std::pow(unit_number(words[3]), 1.0 / shape) : 1.0);
    }
}

}   // namespace detail

/// Draws of chi-squared.
///
/// Equation: 2 d v with v = (1 + c z)^3 where ln u < z^2/2 + d - d v + d ln v, else again; d = nu/2 - 1/3, c = (9
///           d)^(-1/2); below two degrees of freedom those of nu + 2, times u'^(2/nu)
/// Symbols:  nu degrees of freedom, z standard normal, u, u' uniform
/// Validity: nu from 0.25 to 1e6
/// @param  degrees_of_freedom  [-], 0.25 to 1e6
/// @param  stream  seed, candidate and input; unrelated to its uniform and normal numbers
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw; shape (n)
/// @return nothing
/// @throws DomainError outside the validity, or if the draws' numbers do not fit 64 bits
/// @source Marsaglia and Tsang 2000, ACM Trans. Math. Softw. 26:363 (from memory); test: numeric/input_draws_test.cpp
template <Deferred...>
inline void fill_chi_squared(double degrees_of_freedom, const RandomStream& stream, std::uint64_t first_draw,
                             std::span<double> values) {
    constexpr auto where = "fill_chi_squared";
    detail::require_between(where, "degrees_of_freedom", degrees_of_freedom, 0.25, 1e6, "");
    detail::require_draws(where, first_draw, values.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = detail::chi_squared_draw(degrees_of_freedom, stream, first_draw + i);
    }
}

}   // namespace filterflow
