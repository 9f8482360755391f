// SPDX-License-Identifier: BSL-1.0
#pragma once

// Cuts a connected part of a graph in two by a small set of nodes, its separator: the smallest level, not far from the
// middle, of the distances from a node at the part's rim (George and Liu 1978), made smaller by moves of single nodes
// (Fiduccia and Mattheyses 1982; Hendrickson and Rothberg 1998 for separators of nodes). Time is proportional to the
// size of the part, whatever its shape.

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <span>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_topology.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// Neighbours of each node, one list for all, without the node itself; each pair is in the lists of both.
struct NodeGraph {
    std::vector<std::int32_t> begin{0};
    std::vector<NodeNumber> list;

    std::size_t size() const { return begin.size() - 1; }
    std::span<const NodeNumber> of(NodeNumber node) const {
        const auto first = static_cast<std::size_t>(begin[static_cast<std::size_t>(node)]);
        return {list.data() + first, static_cast<std::size_t>(begin[static_cast<std::size_t>(node) + 1]) - first};
    }
};

/// A graph divided into parts, of which one at a time is cut.
class GraphParts {
public:
    static constexpr std::int32_t ordered = -1;   // the part of nodes that belong to none any more
    enum Side : std::uint8_t { low, high, separator };

    template <Deferred...>
    explicit GraphParts(const NodeGraph& graph)
        : graph_(graph), part_(graph.size(), 0), level_(graph.size(), -1), side_(graph.size(), low),
          locked_(graph.size(), 0) {}

    std::int32_t& part(NodeNumber i) { return part_[static_cast<std::size_t>(i)]; }
    std::int32_t part(NodeNumber i) const { return part_[static_cast<std::size_t>(i)]; }
    Side side(NodeNumber i) const { return side_[static_cast<std::size_t>(i)]; }
    /// Nodes reached last, nearest first.
    const std::vector<NodeNumber>& reached() const { return reached_; }
    /// Of those, how many lie on each side and in the separator.
    const std::array<std::int32_t, 3>& count() const { return count_; }

    /// Reaches all nodes of a node's part that are joined to it.
    template <Deferred...>
    void reach(NodeNumber root) {
        const std::int32_t own = part(root);
        neighbours_seen_ = 0;
        reached_.assign(1, root);
        level(root) = 0;
        for (std::size_t k = 0; k < reached_.size(); ++k) {
            const NodeNumber node = reached_[k];
            const auto neighbours = graph_.of(node);
            neighbours_seen_ += neighbours.size();
            for (const NodeNumber other : neighbours) {
                if (part(other) != own || level(other) >= 0) continue;
                level(other) = level(node) + 1;
                reached_.push_back(other);
            }
        }
    }
    template <Deferred...>
    void forget_levels() {
        for (const NodeNumber node : reached_) level(node) = -1;
    }

    /// Cuts the connected part that a node belongs to; all of it is reached then. False where no level separates
    /// enough of it, as where all nodes are near to each other.
    template <Deferred...>
    bool cut(NodeNumber member) {
        reach_from_rim(member);
        const bool found = choose_level();
        if (found) shrink_separator();
        forget_levels();
        return found;
    }

private:
    using Candidate = std::pair<std::int32_t, NodeNumber>;   // by how much the separator would shrink, and the node
    struct Change {
        NodeNumber node;
        Side before;
    };

    std::int32_t& level(NodeNumber i) { return level_[static_cast<std::size_t>(i)]; }
    void put(NodeNumber i, Side to) { side_[static_cast<std::size_t>(i)] = to; }
    template <Deferred...>
    bool free_in_separator(NodeNumber i) const {
        return side(i) == separator && locked_[static_cast<std::size_t>(i)] != pass_;
    }

    /// Levels from a node that is about as far from others as any: from the last level again, while that finds more.
    template <Deferred...>
    void reach_from_rim(NodeNumber member) {
        reach(member);
        for (int trial = 0; trial < 5; ++trial) {
            const std::int32_t depth = level(reached_.back());
            NodeNumber root = reached_.back();   // of least degree, on the last level
            for (std::size_t k = reached_.size(); k-- > 0 && level(reached_[k]) == depth;) {
                if (graph_.of(reached_[k]).size() < graph_.of(root).size()) root = reached_[k];
            }
            forget_levels();
            reach(root);
            if (level(reached_.back()) <= depth) return;
        }
    }

    template <Deferred...>
    bool choose_level() {
        const auto all = static_cast<std::int32_t>(reached_.size());
        std::vector<std::int32_t> size(static_cast<std::size_t>(level(reached_.back())) + 1, 0);
        for (const NodeNumber node : reached_) ++size[static_cast<std::size_t>(level(node))];
        std::int32_t chosen = -1;
        for (const double share : {greatest_share, 0.8}) {   // a lopsided cut is better than none
            double least = 0.3 * all;
            std::int32_t below = 0;
            for (std::size_t k = 0; k < size.size(); ++k) {
                const std::int32_t above = all - below - size[k];
                const double uneven = std::abs(static_cast<double>(above - below)) / all;
                const double cost = size[k] * (1.0 + 0.3 * uneven);
                if (below > 0 && above > 0 && std::max(below, above) <= share * all && cost < least) {
                    least = cost;
                    chosen = static_cast<std::int32_t>(k);
                }
                below += size[k];
            }
            if (chosen >= 0) break;
        }
        if (chosen < 0) return false;
        for (const NodeNumber node : reached_) {
            put(node, level(node) < chosen ? low : level(node) > chosen ? high : separator);
        }
        count_ = {};
        const std::int32_t own = part(reached_.front());
        for (const NodeNumber node : reached_) {
            const auto above = [&](NodeNumber other) { return part(other) == own && side(other) == high; };
            const auto neighbours = graph_.of(node);
            if (side(node) == separator && std::none_of(neighbours.begin(), neighbours.end(), above)) put(node, low);
            ++count_[side(node)];
        }
        return true;
    }

    /// What the separator loses in nodes if one of it goes to a side: its neighbours opposite come in.
    template <Deferred...>
    std::int32_t gain(NodeNumber node, Side to) {
        const Side opposite = to == low ? high : low;
        const std::int32_t own = part(node);
        std::int32_t result = 1;
        const auto neighbours = graph_.of(node);
        work_ += neighbours.size();
        for (const NodeNumber other : neighbours) result -= part(other) == own && side(other) == opposite;
        return result;
    }
    template <Deferred...>
    void offer(NodeNumber node) {
        if (!free_in_separator(node)) return;
        for (const Side to : {low, high}) {
            candidates_[to].emplace_back(gain(node, to), node);
            std::push_heap(candidates_[to].begin(), candidates_[to].end());
        }
    }
    template <Deferred...>
    Candidate take(Side to) {
        auto& heap = candidates_[to];
        std::pop_heap(heap.begin(), heap.end());
        const Candidate best = heap.back();
        heap.pop_back();
        return best;
    }
    /// Puts the best candidate that still holds in front; false if there is none, or no room for it.
    template <Deferred...>
    bool is_ready(Side to) {
        auto& heap = candidates_[to];
        if (count_[to] + 1 > greatest_share * static_cast<double>(reached_.size())) return false;
        while (!heap.empty()) {
            const auto [shrinks, node] = heap.front();
            if (free_in_separator(node) && gain(node, to) == shrinks) return true;
            take(to);
        }
        return false;
    }
    template <Deferred...>
    void change_side(NodeNumber node, Side to) {
        changes_.push_back({node, side(node)});
        --count_[side(node)];
        ++count_[to];
        put(node, to);
    }
    /// Moves a node of the separator to a side, and into the separator what it joins on the other.
    template <Deferred...>
    void move(NodeNumber node, Side to) {
        const std::int32_t own = part(node);
        locked_[static_cast<std::size_t>(node)] = pass_;
        change_side(node, to);
        for (const NodeNumber other : graph_.of(node)) {
            if (part(other) != own) continue;
            if (side(other) == (to == low ? high : low)) {
                change_side(other, separator);
                for (const NodeNumber further : graph_.of(other)) {
                    if (part(further) == own) offer(further);
                }
            }
            offer(other);
        }
    }

    /// Passes of moves, the best first, each node once a pass, also such as make the separator greater for a while;
    /// each pass is taken back to where it was best.
    template <Deferred...>
    void shrink_separator() {
        constexpr int greatest_pass_count = 6, patience = 60;
        const auto measure = [this] { return std::pair(count_[separator], std::abs(count_[low] - count_[high])); };
        const std::size_t work_limit = 8 * (neighbours_seen_ + reached_.size());
        work_ = 0;
        for (int k = 0; k < greatest_pass_count && work_ < work_limit; ++k) {
            ++pass_;
            for (auto& heap : candidates_) heap.clear();
            for (const NodeNumber node : reached_) offer(node);
            changes_.clear();
            const auto before = measure();
            auto best = before;
            auto best_count = count_;
            std::size_t kept = 0;
            for (int idle = 0; idle < patience && work_ < work_limit;) {
                const bool can_low = is_ready(low), can_high = is_ready(high);
                if (!can_low && !can_high) break;
                const std::int32_t more = !can_low ? 1 : !can_high ? -1
                                        : candidates_[high].front().first - candidates_[low].front().first;
                const Side to = more > 0 || (more == 0 && count_[high] < count_[low]) ? high : low;
                move(take(to).second, to);
                ++idle;
                if (measure() >= best) continue;
                best = measure();
                best_count = count_;
                kept = changes_.size();
                idle = 0;
            }
            for (; changes_.size() > kept; changes_.pop_back()) put(changes_.back().node, changes_.back().before);
            count_ = best_count;
            if (!(best < before)) return;
        }
    }

    static constexpr double greatest_share = 0.67;   // of a part, on one side

    const NodeGraph& graph_;
    std::vector<std::int32_t> part_, level_;
    std::vector<Side> side_;
    std::vector<std::int32_t> locked_;   // the pass in which a node was moved
    std::int32_t pass_ = 0;
    std::vector<NodeNumber> reached_;
    std::array<std::int32_t, 3> count_{};
    std::array<std::vector<Candidate>, 2> candidates_;   // heaps, with entries that no longer hold
    std::vector<Change> changes_;
    std::size_t neighbours_seen_ = 0, work_ = 0;
};

}   // namespace filterflow::detail
