// SPDX-License-Identifier: BSL-1.0
#pragma once

// Latin hypercube sampling: each of n draws takes another one of n equally likely slices of an input, so that every
// input is covered evenly. A mean over the draws then varies less than that of independent draws, as far as the result
// is a sum of functions of one input each.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <numeric>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/distribution_quantiles.hpp>
#include <filterflow/numeric/random_distributions.hpp>
#include <filterflow/numeric/random_streams.hpp>

namespace filterflow {

namespace detail {

/// The whole numbers below n, in an order that is as likely as any other (Fisher and Yates).
template <Deferred...>
inline std::vector<std::uint32_t> random_order(std::size_t n, const RandomStream& stream) {
    std::vector<std::uint32_t> order(n);
    std::iota(order.begin(), order.end(), 0U);
    RandomLanes lanes;
    for (std::size_t done = 0; done < n; done += random_lanes) {
        fill_random_words(stream.seed, done, stream.candidate, stream.input / 4,
                          static_cast<std::uint64_t>(RandomUse::permutation), lanes);
        const std::size_t end = std::min(done + random_lanes, n);
        for (std::size_t i = done; i < end; ++i) {
            const std::uint64_t word = lanes.words[stream.input % 4][i - done];
            std::swap(order[i], order[static_cast<std::size_t>(((word >> 32) * (i + 1)) >> 32)]);
        }
    }
    return order;
}

}   // namespace detail

/// Draws of inputs as a Latin hypercube.
///
/// Equation: u_ij = (pi_j(i) + v_ij)/n; x_ij = F_j^(-1)(u_ij)
/// Symbols:  i draw, j input, n number of draws, pi_j a random order of 0 to n - 1, v uniform between 0 and 1, F_j the
///           input's distribution function
/// Validity: n below 2^32. The draws belong together: a part of them is no Latin hypercube, and a standard error from
///           their scatter is too large
/// @param  inputs  distribution of each input; shape (k)
/// @param  first  seed, candidate and the first input
/// @param  values  what is filled, input by input: draw i of input j at j n + i; shape (k n)
/// @return nothing
/// @throws DomainError if a distribution is none, or the number of values is no multiple of that of the inputs
/// @source McKay, Beckman and Conover 1979, Technometrics 21:239 (from memory); test: numeric/latin_hypercube_test.cpp
template <Deferred...>
inline void fill_latin_hypercube(std::span<const RandomDistribution> inputs, const RandomStream& first,
                                 std::span<double> values) {
    constexpr auto where = "fill_latin_hypercube";
    for (const RandomDistribution& d : inputs) detail::require_distribution(where, d);
    if (inputs.empty() ? !values.empty() : values.size() % inputs.size() != 0) {
        detail::throw_domain_error(where, "number of values", static_cast<double>(values.size()), "",
                                   "a multiple of the number of inputs");
    }
    if (inputs.empty() || values.empty()) return;
    const std::size_t n = values.size() / inputs.size();
    detail::require_between(where, "number of draws", static_cast<double>(n), 1.0, 4294967295.0, "");
    for (std::size_t j = 0; j < inputs.size(); ++j) {
        const RandomStream stream{first.seed, first.candidate, first.input + j};
        const std::span<double> row = values.subspan(j * n, n);
        fill_uniforms(stream, 0, row);
        const std::vector<std::uint32_t> order = detail::random_order(n, stream);
        for (std::size_t i = 0; i < n; ++i) {
            const double u = (static_cast<double>(order[i]) + row[i]) / static_cast<double>(n);
            row[i] = std::min(u, 1.0 - 0.5 * std::numeric_limits<double>::epsilon());   // what rounding may add
        }
        std::visit([&](const auto& d) {
            for (double& x : row) x = detail::quantile(d, x);
        }, inputs[j]);
    }
}

}   // namespace filterflow
