// SPDX-License-Identifier: BSL-1.0
#pragma once

// Streams of uniform and standard normal numbers. A number belongs to its seed, candidate, input and draw, and to
// nothing else: it is the same whichever others are made, in which order, by how many threads or processes. Normal
// numbers are the same bit for bit within one build; between builds their last places may differ, as compilers
// contract products and sums. Uniform numbers are the same everywhere.

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/threefry.hpp>

namespace filterflow {

/// Where a stream of numbers stands; its draws are counted from zero.
struct RandomStream {
    std::uint64_t seed = 0;        ///< any number
    std::uint64_t candidate = 0;   ///< any number: what is compared draw by draw, or what all of it share
    std::uint64_t input = 0;       ///< any number: which of its inputs
};

namespace detail {

/// Numbers of each of four inputs for as many draws that follow each other.
struct NumberLanes {
    alignas(64) std::array<std::array<double, random_lanes>, 4> numbers;
};

/// Uniform number of a word, ends excluded: one of the 2^52 odd multiples of 2^-53.
template <Deferred...>
inline double unit_number(std::uint64_t word) {
    return std::bit_cast<double>((word >> 12) | std::bit_cast<std::uint64_t>(1.0)) - (1.0 - 0x1p-53);
}

template <Deferred...>
inline void uniform_lanes(std::uint64_t seed, std::uint64_t first_draw, std::uint64_t candidate, std::uint64_t block,
                          NumberLanes& lanes) {
    RandomLanes random;
    fill_random_words(seed, first_draw, candidate, block, static_cast<std::uint64_t>(RandomUse::uniforms), random);
    for (std::size_t k = 0; k < 4; ++k) {
        for (std::size_t i = 0; i < random_lanes; ++i) lanes.numbers[k][i] = unit_number(random.words[k][i]);
    }
}

/// Two normal numbers of two words (Box and Muller 1958): a radius by the first, a direction by the second.
/// Not inlined, so that a number does not depend on the place that asks for it.
template <Deferred...>
[[gnu::noinline]] inline void normal_lanes(std::uint64_t seed, std::uint64_t first_draw, std::uint64_t candidate,
                                           std::uint64_t block, NumberLanes& lanes) {
    RandomLanes random;
    fill_random_words(seed, first_draw, candidate, block, static_cast<std::uint64_t>(RandomUse::normals), random);
    for (std::size_t k = 0; k < 4; k += 2) {
        for (std::size_t i = 0; i < random_lanes; ++i) {
            const double radius = loop_sqrt(-2.0 * loop_log(unit_number(random.words[k][i])));
            const CirclePoint point = loop_circle_point(random.words[k + 1][i]);
            lanes.numbers[k][i] = radius * point.cosine;
            lanes.numbers[k + 1][i] = radius * point.sine;
        }
    }
}

/// Checks that draws can be counted.
template <Deferred...>
inline void require_draws(const char* where, std::uint64_t first_draw, std::size_t count) {
    if (first_draw > std::numeric_limits<std::uint64_t>::max() - count) {
        throw_domain_error(where, "first_draw", static_cast<double>(first_draw), "",
                           "at most 2^64 less the number of draws");
    }
}

/// One row of each set of lanes that `make(first, lanes)` fills, for draws that follow each other.
template <class Lanes, class Make>
void fill_row(std::size_t row, std::uint64_t first_draw, std::span<double> values, const Make& make) {
    Lanes lanes;
    for (std::size_t done = 0; done < values.size(); done += random_lanes) {
        make(first_draw + done, lanes);
        const std::size_t count = values.size() - done < random_lanes ? values.size() - done : random_lanes;
        for (std::size_t i = 0; i < count; ++i) values[done + i] = lanes.numbers[row][i];
    }
}

/// All four rows, likewise.
template <class Lanes, class Make>
void fill_rows(std::uint64_t first_draw, const std::array<std::span<double>, 4>& values, const Make& make) {
    Lanes lanes;
    const std::size_t n = values[0].size();
    for (std::size_t done = 0; done < n; done += random_lanes) {
        make(first_draw + done, lanes);
        const std::size_t count = n - done < random_lanes ? n - done : random_lanes;
        for (std::size_t k = 0; k < 4; ++k) {
            for (std::size_t i = 0; i < count; ++i) values[k][done + i] = lanes.numbers[k][i];
        }
    }
}

template <Deferred...>
inline void require_four(const char* where, const RandomStream& first, const std::array<std::span<double>, 4>& values) {
    if (first.input % 4 != 0) {
        throw_domain_error(where, "input", static_cast<double>(first.input), "", "a multiple of 4");
    }
    for (const std::span<double> v : values) {
        if (v.size() != values[0].size()) {
            throw_domain_error(where, "values", static_cast<double>(v.size()), "", "as many draws of each input");
        }
    }
}

}   // namespace detail

/// Uniform numbers between 0 and 1, ends excluded, of one stream.
///
/// Equation: u = (2 k + 1) 2^-53, k the upper 52 bits of word (input mod 4) of Threefry4x64-20 at the counter
///           (draw, candidate, input/4, 0) under the key (seed, 0, 0, 0)
/// Symbols:  as the members of RandomStream
/// Validity: any stream; the same on any machine
/// @param  stream  seed, candidate and input
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw; shape (n)
/// @return nothing
/// @throws DomainError if the draws' numbers do not fit 64 bits
/// @source as threefry_words; test: numeric/random_streams_test.cpp
template <Deferred...>
inline void fill_uniforms(const RandomStream& stream, std::uint64_t first_draw, std::span<double> values) {
    detail::require_draws("fill_uniforms", first_draw, values.size());
    detail::fill_row<detail::NumberLanes>(stream.input % 4, first_draw, values, [&](std::uint64_t at, auto& lanes) {
        detail::uniform_lanes(stream.seed, at, stream.candidate, stream.input / 4, lanes);
    });
}

/// The same of four inputs that follow each other, in the time of one.
///
/// Equation: as for one input
/// Symbols:  as for one input
/// Validity: as for one input
/// @param  first  seed, candidate and the first of the four inputs, a multiple of 4
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw for each input; shape (4 n)
/// @return nothing
/// @throws DomainError as for one input, if the input is no multiple of 4 or the spans differ in length
/// @source as threefry_words; test: numeric/random_streams_test.cpp
template <Deferred...>
inline void fill_uniforms(const RandomStream& first, std::uint64_t first_draw,
                          const std::array<std::span<double>, 4>& values) {
    detail::require_draws("fill_uniforms", first_draw, values[0].size());
    detail::require_four("fill_uniforms", first, values);
    detail::fill_rows<detail::NumberLanes>(first_draw, values, [&](std::uint64_t at, auto& lanes) {
        detail::uniform_lanes(first.seed, at, first.candidate, first.input / 4, lanes);
    });
}

/// Standard normal numbers of one stream.
///
/// Equation: (-2 ln u)^0.5 (cos a, sin a) for inputs 4 j and 4 j + 1 from words 0 and 1, for 4 j + 2 and 4 j + 3 from
///           words 2 and 3 at the counter (draw, candidate, input/4, 1): u uniform by the first word, a by the second
/// Symbols:  u number between 0 and 1, a direction, j a whole number
/// Validity: any stream; |z| <= 8.58. Unrelated to the uniform numbers of the same stream
/// @param  stream  seed, candidate and input
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw; shape (n)
/// @return nothing
/// @throws DomainError if the draws' numbers do not fit 64 bits
/// @source Box and Muller 1958, Ann. Math. Statist. 29:610 (from memory); test: numeric/random_streams_test.cpp
template <Deferred...>
inline void fill_normals(const RandomStream& stream, std::uint64_t first_draw, std::span<double> values) {
    detail::require_draws("fill_normals", first_draw, values.size());
    detail::fill_row<detail::NumberLanes>(stream.input % 4, first_draw, values, [&](std::uint64_t at, auto& lanes) {
        detail::normal_lanes(stream.seed, at, stream.candidate, stream.input / 4, lanes);
    });
}

/// The same of four inputs that follow each other, in the time of one.
///
/// Equation: as for one input
/// Symbols:  as for one input
/// Validity: as for one input
/// @param  first  seed, candidate and the first of the four inputs, a multiple of 4
/// @param  first_draw  number of the first draw, from 0
/// @param  values  what is filled, one number a draw for each input; shape (4 n)
/// @return nothing
/// @throws DomainError as for one input, if the input is no multiple of 4 or the spans differ in length
/// @source as for one input; test: numeric/random_streams_test.cpp
template <Deferred...>
inline void fill_normals(const RandomStream& first, std::uint64_t first_draw,
                         const std::array<std::span<double>, 4>& values) {
    detail::require_draws("fill_normals", first_draw, values[0].size());
    detail::require_four("fill_normals", first, values);
    detail::fill_rows<detail::NumberLanes>(first_draw, values, [&](std::uint64_t at, auto& lanes) {
        detail::normal_lanes(first.seed, at, first.candidate, first.input / 4, lanes);
    });
}

}   // namespace filterflow
