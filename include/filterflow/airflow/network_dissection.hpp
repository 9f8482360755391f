// SPDX-License-Identifier: BSL-1.0
#pragma once

// Nested dissection: an order of elimination for symmetric sparse matrices in which a separator comes after the two
// sides it separates, and so on within each side (George 1973; Lipton, Rose and Tarjan 1979 for planar graphs). On
// large grids it fills in less than minimum degree, and what belongs together lies together in memory. Small parts are
// eliminated by minimum degree, counting also neighbours among the separators, which come later (Pellegrini, Roman and
// Amestoy 2000).

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <span>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_separator.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// Orders a small part by exact minimum degree, rows of its matrix as sets of bits.
class SmallPartOrder {
public:
    static constexpr std::size_t greatest_part = 128;

    template <Deferred...>
    explicit SmallPartOrder(std::size_t node_count) : local_(node_count, -1), rows_(capacity) {}

    /// Puts `nodes`, which are a whole part, in the order of their elimination.
    template <Deferred...>
    void order(const NodeGraph& graph, std::span<NodeNumber> nodes) {
        const std::size_t own = nodes.size();
        lay_out(graph, nodes);
        std::array<std::int32_t, greatest_part> degree, left;
        for (std::size_t k = 0; k < own; ++k) {
            degree[k] = count(rows_[k]);
            left[k] = static_cast<std::int32_t>(k);
        }
        std::array<NodeNumber, greatest_part> result;
        for (std::size_t k = 0; k < own; ++k) {
            const auto end = left.begin() + static_cast<std::ptrdiff_t>(own - k);
            const auto least = std::min_element(left.begin(), end, [&](std::int32_t a, std::int32_t b) {
                return degree[static_cast<std::size_t>(a)] < degree[static_cast<std::size_t>(b)];
            });
            const auto node = static_cast<std::size_t>(*least);
            std::copy(least + 1, end, least);
            result[k] = nodes[node];
            eliminate(node, own, degree);
        }
        std::copy(result.begin(), result.begin() + static_cast<std::ptrdiff_t>(own), nodes.begin());
    }

private:
    static constexpr std::size_t words = 6, capacity = 64 * words;
    using Row = std::array<std::uint64_t, words>;

    template <Deferred...>
    static std::int32_t count(const Row& row) {
        std::int32_t sum = 0;
        for (const std::uint64_t word : row) sum += std::popcount(word);
        return sum;
    }
    void join(std::int32_t a, std::int32_t b) {
        rows_[static_cast<std::size_t>(a)][static_cast<std::size_t>(b) / 64] |= std::uint64_t{1} << (b % 64);
    }
    std::int32_t& local(NodeNumber node) { return local_[static_cast<std::size_t>(node)]; }

    /// Numbers the part, then its neighbours as far as there is room.
    template <Deferred...>
    void lay_out(const NodeGraph& graph, std::span<const NodeNumber> nodes) {
        numbered_.assign(nodes.begin(), nodes.end());
        for (std::size_t k = 0; k < nodes.size(); ++k) {
            local(nodes[k]) = static_cast<std::int32_t>(k);
            rows_[k] = {};
        }
        for (const NodeNumber node : nodes) {
            for (const NodeNumber other : graph.of(node)) {
                if (local(other) < 0) {
                    if (numbered_.size() == capacity) continue;
                    local(other) = static_cast<std::int32_t>(numbered_.size());
                    rows_[numbered_.size()] = {};
                    numbered_.push_back(other);
                }
                join(local(node), local(other));
                join(local(other), local(node));
            }
        }
        for (const NodeNumber node : numbered_) local(node) = -1;
    }

    /// Joins the neighbours of a node with each other and takes it out.
    template <Deferred...>
    void eliminate(std::size_t node, std::size_t own, std::array<std::int32_t, greatest_part>& degree) {
        const Row gone = rows_[node];
        for (std::size_t w = 0; w < words; ++w) {
            for (std::uint64_t bits = gone[w]; bits != 0; bits &= bits - 1) {
                const std::size_t other = 64 * w + static_cast<std::size_t>(std::countr_zero(bits));
                if (other >= own) continue;   // rows of neighbours outside are never asked for
                Row& row = rows_[other];
                for (std::size_t k = 0; k < words; ++k) row[k] |= gone[k];
                row[other / 64] &= ~(std::uint64_t{1} << (other % 64));
                row[node / 64] &= ~(std::uint64_t{1} << (node % 64));
                degree[other] = count(row);
            }
        }
    }

    std::vector<std::int32_t> local_;
    std::vector<NodeNumber> numbered_;
    std::vector<Row> rows_;
};

/// `order_whole` orders what is too large for SmallPartOrder and cannot be cut: it takes a graph and gives its nodes in
/// the order of their elimination.
template <class OrderWhole>
class NestedDissection {
public:
    NestedDissection(const NodeGraph& graph, const OrderWhole& order_whole)
        : graph_(graph), order_whole_(order_whole), parts_(graph), small_(graph.size()), seen_(graph.size(), -1) {}

    /// All nodes in the order of their elimination; none if it takes more operations (multiplications with an addition)
    /// than the limit to eliminate the separators alone.
    std::vector<NodeNumber> order(double operation_limit) {
        order_.resize(graph_.size());
        std::iota(order_.begin(), order_.end(), 0);
        operations_ = 0.0;
        put_by({0, order_.size(), false});
        for (std::size_t k = 0; k < wide_.size() && operations_ <= operation_limit; ++k) {
            const Range range = wide_[k];
            take(range);
        }
        while (!narrow_.empty() && operations_ <= operation_limit) {
            const Range range = narrow_.back();
            narrow_.pop_back();
            take(range);
        }
        if (operations_ > operation_limit) return {};
        return std::move(order_);
    }

private:
    /// A part is a range of the order; what is cut from it takes the end of the range.
    struct Range {
        std::size_t first, last;
        bool connected;
    };

    /// What is wide comes first, as it costs most; what is narrow to its end at once, while it is in the cache.
    void put_by(const Range& range) { (range.last - range.first > 32768 ? wide_ : narrow_).push_back(range); }
    void take(const Range& range) {
        if (range.last - range.first <= SmallPartOrder::greatest_part) finish_small(range);
        else if (!range.connected) divide(range);
        else cut(range);
    }

    std::span<NodeNumber> nodes(const Range& range) {
        return std::span(order_).subspan(range.first, range.last - range.first);
    }
    void finish_small(const Range& range) {
        if (range.first == range.last) return;
        small_.order(graph_, nodes(range));
        for (const NodeNumber node : nodes(range)) parts_.part(node) = GraphParts::ordered;
    }

    /// Into what is connected.
    void divide(const Range& range) {
        const std::vector<NodeNumber> all(nodes(range).begin(), nodes(range).end());
        const std::int32_t old = parts_.part(all.front());
        std::size_t at = range.first;
        for (const NodeNumber node : all) {
            if (parts_.part(node) != old) continue;
            parts_.reach(node);
            parts_.forget_levels();
            const std::size_t first = at;
            for (const NodeNumber reached : parts_.reached()) {
                order_[at++] = reached;
                parts_.part(reached) = next_part_;
            }
            ++next_part_;
            put_by({first, at, true});
        }
    }

    void cut(const Range& range) {
        if (!parts_.cut(order_[range.first])) return finish_whole(range);
        const auto& count = parts_.count();
        count_operations(static_cast<double>(count[GraphParts::separator]));
        const std::array<std::int32_t, 3> new_part{next_part_, next_part_ + 1, GraphParts::ordered};
        next_part_ += 2;
        std::array<std::size_t, 3> at{range.first, range.first, range.first};
        at[GraphParts::high] += static_cast<std::size_t>(count[GraphParts::low]);
        at[GraphParts::separator] = at[GraphParts::high] + static_cast<std::size_t>(count[GraphParts::high]);
        put_by({at[GraphParts::low], at[GraphParts::high], false});
        put_by({at[GraphParts::high], at[GraphParts::separator], false});
        for (const NodeNumber node : parts_.reached()) {
            order_[at[parts_.side(node)]++] = node;
            parts_.part(node) = new_part[parts_.side(node)];
        }
    }

    /// A separator is joined with all that borders on its part, once the two sides are eliminated.
    void count_operations(double width) {
        double border = 0.0;
        const std::int32_t own = parts_.part(parts_.reached().front());
        for (const NodeNumber node : parts_.reached()) {
            for (const NodeNumber other : graph_.of(node)) {
                if (parts_.part(other) == own || std::exchange(seen_[static_cast<std::size_t>(other)], own) == own) {
                    continue;
                }
                border += 1.0;
            }
        }
        operations_ += width * (border * border + width * border + width * width / 3.0);
    }

    void finish_whole(const Range& range) {
        const std::vector<NodeNumber> all(nodes(range).begin(), nodes(range).end());
        const std::int32_t own = parts_.part(all.front());
        for (std::size_t k = 0; k < all.size(); ++k) {
            seen_[static_cast<std::size_t>(all[k])] = static_cast<std::int32_t>(k);
        }
        NodeGraph inner;
        for (const NodeNumber node : all) {
            for (const NodeNumber other : graph_.of(node)) {
                if (parts_.part(other) == own) inner.list.push_back(seen_[static_cast<std::size_t>(other)]);
            }
            inner.begin.push_back(static_cast<std::int32_t>(inner.list.size()));
        }
        const std::vector<NodeNumber> inner_order = order_whole_(inner);
        for (std::size_t k = 0; k < all.size(); ++k) {
            order_[range.first + k] = all[static_cast<std::size_t>(inner_order[k])];
            parts_.part(all[k]) = GraphParts::ordered;
            seen_[static_cast<std::size_t>(all[k])] = -1;
        }
    }

    const NodeGraph& graph_;
    const OrderWhole& order_whole_;
    GraphParts parts_;
    SmallPartOrder small_;
    std::vector<std::int32_t> seen_;   // by which part a node was last counted as border
    std::vector<NodeNumber> order_;
    std::vector<Range> wide_, narrow_;   // not yet in order
    std::int32_t next_part_ = 1;
    double operations_ = 0.0;
};

}   // namespace filterflow::detail
