// SPDX-License-Identifier: BSL-1.0
#pragma once

// Random words from a counter: Threefry4x64-20. A word depends on nothing but its counter and the key, so that any
// part of a stream can be made anywhere, in any order, on any number of threads or machines, and is the same bit for
// bit. The rounds are plain integer arithmetic without tables, which compilers turn into vector code.

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <utility>

#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// Four words: a counter, a key, or what is made of both.
using RandomWords = std::array<std::uint64_t, 4>;

namespace detail {

inline constexpr std::array<std::array<int, 2>, 8> threefry_rotations{
    {{14, 16}, {52, 57}, {23, 40}, {5, 37}, {25, 33}, {46, 12}, {58, 22}, {32, 32}}};
inline constexpr std::uint64_t threefry_parity = 0x1bd11bdaa9fc1a22;

/// The key's words and their parity, which makes the schedule.
constexpr std::array<std::uint64_t, 5> threefry_schedule(const RandomWords& key) {
    return {key[0], key[1], key[2], key[3], threefry_parity ^ key[0] ^ key[1] ^ key[2] ^ key[3]};
}

template <std::size_t Round>
constexpr void threefry_round(std::uint64_t& a, std::uint64_t& b, std::uint64_t& c, std::uint64_t& d,
                              const std::array<std::uint64_t, 5>& schedule) {
    constexpr int first = threefry_rotations[Round % 8][0], second = threefry_rotations[Round % 8][1];
    if constexpr (Round % 2 == 0) {
        a += b;
        b = std::rotl(b, first) ^ a;
        c += d;
        d = std::rotl(d, second) ^ c;
    } else {
        a += d;
        d = std::rotl(d, first) ^ a;
        c += b;
        b = std::rotl(b, second) ^ c;
    }
    if constexpr (Round % 4 == 3) {
        constexpr std::size_t injection = Round / 4 + 1;
        a += schedule[injection % 5];
        b += schedule[(injection + 1) % 5];
        c += schedule[(injection + 2) % 5];
        d += schedule[(injection + 3) % 5] + injection;
    }
}

template <std::size_t... Round>
[[gnu::always_inline]] constexpr void threefry_rounds(std::uint64_t& a, std::uint64_t& b, std::uint64_t& c,
                                                      std::uint64_t& d,
                                                      const std::array<std::uint64_t, 5>& schedule,
                                                      std::index_sequence<Round...>) {
    a += schedule[0];
    b += schedule[1];
    c += schedule[2];
    d += schedule[3];
    (threefry_round<Round>(a, b, c, d, schedule), ...);
}

/// Draws made at once.
inline constexpr std::size_t random_lanes = 64;

/// The four words of each of as many draws that follow each other.
struct RandomLanes {
    alignas(64) std::array<std::array<std::uint64_t, random_lanes>, 4> words;
};

/// What a block of words is used for: numbers of one kind never share words with those of another.
enum class RandomUse : std::uint64_t { uniforms, normals, first_pairs, last_pairs, permutation, chi_squared };

/// The words of the counters (first_draw + lane, candidate, block, use) under the key (seed, 0, 0, 0).
template <Deferred...>
inline void fill_random_words(std::uint64_t seed, std::uint64_t first_draw, std::uint64_t candidate,
                              std::uint64_t block, std::uint64_t use, RandomLanes& lanes) {
    const std::array<std::uint64_t, 5> schedule = threefry_schedule({seed, 0, 0, 0});
    for (std::size_t lane = 0; lane < random_lanes; ++lane) {
        std::uint64_t a = first_draw + lane, b = candidate, c = block, d = use;
        threefry_rounds(a, b, c, d, schedule, std::make_index_sequence<20>());
        lanes.words[0][lane] = a;
        lanes.words[1][lane] = b;
        lanes.words[2][lane] = c;
        lanes.words[3][lane] = d;
    }
}

}   // namespace detail

/// Four random words that belong to a counter and a key: Threefry4x64 with 20 rounds.
///
/// Equation: add-rotate-xor rounds on four words of 64 bits, the key added before the first and after each fourth
/// Symbols:  none
/// Validity: any counter, any key. Under one key the 2^256 counters give 2^256 different results; under different
///           keys they are unrelated for the purposes of statistics. Not for secrets
/// @param  counter  which words of the stream; shape (4)
/// @param  key  which stream: a seed; shape (4)
/// @return the words; shape (4)
/// @throws nothing
/// @source Salmon, Moraes, Dror and Shaw 2011, Parallel random numbers: as easy as 1, 2, 3 (SC11); constants of
///         Threefish, Ferguson et al. 2010, The Skein hash function family 1.3 (from memory, settled by the known
///         answers); test: numeric/random_streams_test.cpp
constexpr RandomWords threefry_words(const RandomWords& counter, const RandomWords& key) {
    RandomWords x = counter;
    detail::threefry_rounds(x[0], x[1], x[2], x[3], detail::threefry_schedule(key), std::make_index_sequence<20>());
    return x;
}

}   // namespace filterflow
