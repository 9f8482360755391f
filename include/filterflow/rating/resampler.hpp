// SPDX-License-Identifier: BSL-1.0
#pragma once

// Drawing rows with replacement and averaging them, many thousand times: what a bootstrap does.

#include <array>
#include <cstddef>
#include <cstdint>
#include <random>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// Means of as many rows as there are, drawn with replacement. Rows are drawn by the block, from a table of the sums of
/// all blocks there are: five rows in blocks of three and two are two look-ups instead of five.
template <std::size_t Width>
class Resampler {
public:
    using Row = std::array<double, Width>;

    explicit Resampler(const std::vector<Row>& rows) {
        const std::size_t n = rows.size();
        std::size_t block = 1, combinations = n;
        while (block < n && combinations * n <= greatest_table) {
            combinations *= n;
            ++block;
        }
        whole_blocks_ = n / block;
        blocks_ = sums(rows, block);
        if (n % block > 0) rest_ = sums(rows, n % block);
    }
    /// Adds up one resample; each look-up takes 32 random bits from a callable.
    template <class Bits>
    void draw(Bits& bits, Row& mean) const {
        mean = one(blocks_, bits());
        for (std::size_t k = 1; k < whole_blocks_; ++k) add(mean, one(blocks_, bits()));
        if (!rest_.empty()) add(mean, one(rest_, bits()));
    }

private:
    static constexpr std::size_t greatest_table = 512;

    static const Row& one(const std::vector<Row>& table, std::uint64_t bits) {
        return table[static_cast<std::size_t>((bits * table.size()) >> 32)];
    }
    static void add(Row& sum, const Row& row) {
        for (std::size_t i = 0; i < Width; ++i) sum[i] += row[i];
    }
    /// Of all blocks of rows, over the number of rows; the place of a block has its rows as digits.
    static std::vector<Row> sums(const std::vector<Row>& rows, std::size_t block) {
        std::vector<Row> table(1, Row{});
        const double share = 1.0 / static_cast<double>(rows.size());
        for (std::size_t k = 0; k < block; ++k) {
            std::vector<Row> longer;
            for (const Row& begun : table) {
                for (const Row& row : rows) {
                    longer.push_back(begun);
                    for (std::size_t i = 0; i < Width; ++i) longer.back()[i] += share * row[i];
                }
            }
            table = std::move(longer);
        }
        return table;
    }

    std::vector<Row> blocks_, rest_;
    std::size_t whole_blocks_ = 0;
};

/// 32 random bits at a time of a generator of 64.
class HalfWords {
public:
    template <Deferred...>
    explicit HalfWords(std::uint64_t seed) : random_(seed) {}
    template <Deferred...>
    std::uint64_t operator()() {
        half_ = !half_;
        if (!half_) return bits_ >> 32;
        bits_ = random_();
        return bits_ & 0xffffffffu;
    }

private:
    std::mt19937_64 random_;
    std::uint64_t bits_ = 0;
    bool half_ = false;
};

}   // namespace filterflow::detail
