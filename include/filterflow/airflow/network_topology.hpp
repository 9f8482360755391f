// SPDX-License-Identifier: BSL-1.0
#pragma once

// The shape of a network, found once: what hangs on it like a tree is put in the order in which it can be eliminated
// without filling anything in; what remains, its looped core, is ordered for a sparse factorisation. Nodes and links
// are renumbered so that every pass of the solver runs through memory in order:
//     nodes:  core | trees, parents before their children | nodes of fixed pressure
//     links:  core, by matrix entry | trees, by their child | free to fixed, by the free node | fixed to fixed

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

using NodeNumber = std::int32_t;

/// Links between nodes, as given.
struct NetworkGraph {
    std::size_t node_count = 0;
    std::vector<NodeNumber> from, to;   // of each link
    std::vector<char> fixed;            // of each node: its pressure is known

    bool is_fixed(NodeNumber node) const { return fixed[static_cast<std::size_t>(node)] != 0; }
};

/// Neighbours of each node, each once, among free nodes alone.
struct Neighbours {
    std::vector<std::int32_t> begin, end;   // of each node, in list
    std::vector<NodeNumber> list;
};

template <Deferred...>
inline Neighbours free_neighbours(const NetworkGraph& graph) {
    const std::size_t n = graph.node_count;
    Neighbours result{std::vector<std::int32_t>(n + 1, 0), {}, {}};
    const auto each_free_link = [&](const auto& use) {
        for (std::size_t k = 0; k < graph.from.size(); ++k) {
            if (!graph.is_fixed(graph.from[k]) && !graph.is_fixed(graph.to[k])) {
                use(static_cast<std::size_t>(graph.from[k]), static_cast<std::size_t>(graph.to[k]));
            }
        }
    };
    each_free_link([&](std::size_t a, std::size_t b) {
        ++result.begin[a + 1];
        ++result.begin[b + 1];
    });
    std::partial_sum(result.begin.begin(), result.begin.end(), result.begin.begin());
    result.list.resize(static_cast<std::size_t>(result.begin[n]));
    result.end.assign(result.begin.begin(), result.begin.end() - 1);
    each_free_link([&](std::size_t a, std::size_t b) {
        result.list[static_cast<std::size_t>(result.end[a]++)] = static_cast<NodeNumber>(b);
        result.list[static_cast<std::size_t>(result.end[b]++)] = static_cast<NodeNumber>(a);
    });
    std::vector<NodeNumber> seen_from(n, -1);
    for (std::size_t i = 0; i < n; ++i) {   // parallel links are one neighbour
        std::int32_t last = result.begin[i];
        for (std::int32_t at = result.begin[i]; at < result.end[i]; ++at) {
            const NodeNumber other = result.list[static_cast<std::size_t>(at)];
            if (seen_from[static_cast<std::size_t>(other)] == static_cast<NodeNumber>(i)) continue;
            seen_from[static_cast<std::size_t>(other)] = static_cast<NodeNumber>(i);
            result.list[static_cast<std::size_t>(last++)] = other;
        }
        result.end[i] = last;
    }
    return result;
}

/// For each node: the one it hangs on, if it can be eliminated as a leaf of a tree.
inline constexpr NodeNumber in_core = -1, root_of_tree = -2;

template <Deferred...>
inline std::vector<NodeNumber> find_parents(const NetworkGraph& graph, const Neighbours& neighbours) {
    const std::size_t n = graph.node_count;
    std::vector<NodeNumber> parent(n, in_core), left(n, 0), leaves;
    std::vector<NodeNumber> mixed(n, 0);   // exclusive or of the neighbours left: with one left, that one
    for (std::size_t i = 0; i < n; ++i) {
        left[i] = neighbours.end[i] - neighbours.begin[i];
        for (std::int32_t at = neighbours.begin[i]; at < neighbours.end[i]; ++at) {
            mixed[i] ^= neighbours.list[static_cast<std::size_t>(at)];
        }
        if (left[i] <= 1 && graph.fixed[i] == 0) leaves.push_back(static_cast<NodeNumber>(i));
    }
    for (std::size_t k = 0; k < leaves.size(); ++k) {
        const auto i = static_cast<std::size_t>(leaves[k]);
        if (left[i] == 0) {
            parent[i] = root_of_tree;
            continue;
        }
        parent[i] = mixed[i];
        const auto p = static_cast<std::size_t>(mixed[i]);
        mixed[p] ^= leaves[k];
        if (--left[p] == 1) leaves.push_back(static_cast<NodeNumber>(p));
    }
    return parent;
}

/// Columns of a symmetric pattern, the upper half with the diagonal last in each column.
struct UpperPattern {
    std::vector<std::int32_t> outer, inner;
};

/// The renumbered network.
struct NetworkTopology {
    std::int32_t core_count = 0, free_count = 0, node_count = 0;   // core nodes, and with trees, and with fixed ones
    std::vector<NodeNumber> new_node;     // new number of each node as given
    std::vector<std::int32_t> old_link;   // link as given of each new one
    std::vector<NodeNumber> from, to;     // of each new link, in new numbers
    std::vector<NodeNumber> parent;       // of each tree node less core_count; -1 for the root of a tree without core
    std::int32_t core_links = 0, tree_links = 0, ground_links = 0;   // then those between fixed nodes
    std::vector<std::int32_t> entry;      // of each core link, in the core's pattern
    UpperPattern core;
};

/// Breadth first from core and roots, so that the children of a node, and of neighbours, lie together.
template <Deferred...>
inline void number_nodes(NetworkTopology& t, const NetworkGraph& graph, const std::vector<NodeNumber>& parent,
                         const std::vector<NodeNumber>& core_in_order) {
    const std::size_t n = graph.node_count;
    std::vector<std::int32_t> begin(n + 1, 0);
    for (const NodeNumber p : parent) {
        if (p >= 0) ++begin[static_cast<std::size_t>(p) + 1];
    }
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    std::vector<NodeNumber> child(static_cast<std::size_t>(begin[n]));
    std::vector<std::int32_t> next(begin.begin(), begin.end() - 1);
    for (std::size_t i = 0; i < n; ++i) {
        if (parent[i] >= 0) {
            child[static_cast<std::size_t>(next[static_cast<std::size_t>(parent[i])]++)] = static_cast<NodeNumber>(i);
        }
    }
    std::vector<NodeNumber> order(core_in_order);
    order.reserve(n);
    for (std::size_t i = 0; i < n; ++i) {
        if (parent[i] == root_of_tree) order.push_back(static_cast<NodeNumber>(i));
    }
    for (std::size_t k = 0; k < order.size(); ++k) {
        const auto i = static_cast<std::size_t>(order[k]);
        for (std::int32_t at = begin[i]; at < begin[i + 1]; ++at) order.push_back(child[static_cast<std::size_t>(at)]);
    }
    t.core_count = static_cast<std::int32_t>(core_in_order.size());
    t.free_count = static_cast<std::int32_t>(order.size());
    t.node_count = static_cast<std::int32_t>(n);
    t.new_node.assign(n, -1);
    for (std::size_t k = 0; k < order.size(); ++k) {
        t.new_node[static_cast<std::size_t>(order[k])] = static_cast<NodeNumber>(k);
    }
    // Nodes of fixed pressure in the order of the free ones beside them.
    std::vector<NodeNumber> beside(n, t.free_count);
    const auto note = [&](NodeNumber node, NodeNumber other) {
        if (graph.is_fixed(other)) return;
        NodeNumber& least = beside[static_cast<std::size_t>(node)];
        least = std::min(least, t.new_node[static_cast<std::size_t>(other)]);
    };
    for (std::size_t k = 0; k < graph.from.size(); ++k) {
        note(graph.from[k], graph.to[k]);
        note(graph.to[k], graph.from[k]);
    }
    for (std::size_t i = 0; i < n; ++i) {
        if (graph.fixed[i] != 0) order.push_back(static_cast<NodeNumber>(i));
    }
    std::stable_sort(order.begin() + t.free_count, order.end(), [&](NodeNumber a, NodeNumber b) {
        return beside[static_cast<std::size_t>(a)] < beside[static_cast<std::size_t>(b)];
    });
    for (std::size_t k = order.size(); k-- > static_cast<std::size_t>(t.free_count);) {
        t.new_node[static_cast<std::size_t>(order[k])] = static_cast<NodeNumber>(k);
    }
    t.parent.resize(static_cast<std::size_t>(t.free_count - t.core_count));
    for (std::size_t k = 0; k < t.parent.size(); ++k) {
        const NodeNumber p = parent[static_cast<std::size_t>(order[k + static_cast<std::size_t>(t.core_count)])];
        t.parent[k] = p >= 0 ? t.new_node[static_cast<std::size_t>(p)] : -1;
    }
}

/// Sorts the links into their groups, and lays out the core's pattern.
template <Deferred...>
inline void number_links(NetworkTopology& t, const NetworkGraph& graph) {
    const std::size_t links = graph.from.size();
    // The place of a link: the greater of its free nodes decides, for core links then the lesser.
    const auto ends = [&](std::size_t k) {
        const NodeNumber a = t.new_node[static_cast<std::size_t>(graph.from[k])];
        const NodeNumber b = t.new_node[static_cast<std::size_t>(graph.to[k])];
        return std::pair(std::min(a, b), std::max(a, b));
    };
    // Core columns, tree children, free nodes with a link to ground, the rest: one counting sort over all of them.
    const auto bucket = [&](std::size_t k) -> std::size_t {
        const auto [low, high] = ends(k);
        if (high < t.free_count) return static_cast<std::size_t>(high);
        return static_cast<std::size_t>(t.free_count) +
               static_cast<std::size_t>(low < t.free_count ? low : t.free_count);
    };
    std::vector<std::int32_t> begin(2 * static_cast<std::size_t>(t.free_count) + 2, 0);
    for (std::size_t k = 0; k < links; ++k) ++begin[bucket(k) + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    t.core_links = begin[static_cast<std::size_t>(t.core_count)];
    t.tree_links = begin[static_cast<std::size_t>(t.free_count)] - t.core_links;
    t.ground_links = begin[2 * static_cast<std::size_t>(t.free_count)] - t.core_links - t.tree_links;
    t.old_link.resize(links);
    {
        std::vector<std::int32_t> next(begin);
        for (std::size_t k = 0; k < links; ++k) {
            t.old_link[static_cast<std::size_t>(next[bucket(k)]++)] = static_cast<std::int32_t>(k);
        }
    }
    t.core.outer.assign(1, 0);
    t.entry.resize(static_cast<std::size_t>(t.core_links));
    for (std::int32_t column = 0; column < t.core_count; ++column) {
        const auto first = static_cast<std::size_t>(begin[static_cast<std::size_t>(column)]);
        const auto last = static_cast<std::size_t>(begin[static_cast<std::size_t>(column) + 1]);
        const auto row = [&](std::int32_t k) { return ends(static_cast<std::size_t>(k)).first; };
        std::sort(t.old_link.begin() + static_cast<std::ptrdiff_t>(first),
                  t.old_link.begin() + static_cast<std::ptrdiff_t>(last),
                  [&](std::int32_t x, std::int32_t y) { return std::pair(row(x), x) < std::pair(row(y), y); });
        NodeNumber row_before = -1;
        for (std::size_t k = first; k < last; ++k) {
            const NodeNumber r = row(t.old_link[k]);
            if (r != row_before) t.core.inner.push_back(r);
            row_before = r;
            t.entry[k] = static_cast<std::int32_t>(t.core.inner.size()) - 1;
        }
        t.core.inner.push_back(column);
        t.core.outer.push_back(static_cast<std::int32_t>(t.core.inner.size()));
    }
    t.from.resize(links);
    t.to.resize(links);
    for (std::size_t k = 0; k < links; ++k) {
        const auto old = static_cast<std::size_t>(t.old_link[k]);
        t.from[k] = t.new_node[static_cast<std::size_t>(graph.from[old])];
        t.to[k] = t.new_node[static_cast<std::size_t>(graph.to[old])];
    }
}

/// Renumbers a network in which every node is joined to one of fixed pressure. `ordering` takes the upper pattern of
/// the core and returns the new place of each of its nodes; without trees everything free is core.
template <class Ordering>
NetworkTopology network_topology(const NetworkGraph& graph, const Ordering& ordering, bool eliminate_trees = true) {
    NetworkTopology t;
    std::vector<NodeNumber> parent, core;
    UpperPattern pattern;
    {
        const Neighbours neighbours = free_neighbours(graph);
        parent = eliminate_trees ? find_parents(graph, neighbours) : std::vector<NodeNumber>(graph.node_count, in_core);
        std::vector<NodeNumber> place(graph.node_count, -1);
        for (std::size_t i = 0; i < graph.node_count; ++i) {
            if (parent[i] != in_core || graph.fixed[i] != 0) continue;
            place[i] = static_cast<NodeNumber>(core.size());
            core.push_back(static_cast<NodeNumber>(i));
        }
        pattern.outer.assign(1, 0);
        for (const NodeNumber node : core) {
            const auto i = static_cast<std::size_t>(node);
            for (std::int32_t at = neighbours.begin[i]; at < neighbours.end[i]; ++at) {
                const NodeNumber other = place[static_cast<std::size_t>(neighbours.list[static_cast<std::size_t>(at)])];
                if (other >= 0 && other < place[i]) pattern.inner.push_back(other);
            }
            pattern.inner.push_back(place[i]);
            pattern.outer.push_back(static_cast<std::int32_t>(pattern.inner.size()));
        }
    }
    if (!core.empty()) {
        const std::vector<NodeNumber> place = ordering(std::move(pattern));
        std::vector<NodeNumber> ordered(core.size());
        for (std::size_t k = 0; k < core.size(); ++k) ordered[static_cast<std::size_t>(place[k])] = core[k];
        core = std::move(ordered);
    }
    number_nodes(t, graph, parent, core);
    number_links(t, graph);
    return t;
}

}   // namespace filterflow::detail
