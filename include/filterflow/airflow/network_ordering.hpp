// SPDX-License-Identifier: BSL-1.0
#pragma once

// In which order a sparse symmetric matrix is eliminated: by approximate minimum degree (Amestoy, Davis and Duff 1996,
// Eigen's) or by nested dissection, whichever takes fewer operations, counted without a number of the matrix.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

#include <Eigen/SparseCholesky>

#include <filterflow/airflow/network_dissection.hpp>
#include <filterflow/airflow/network_topology.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// How the nodes of a network's loops are put in order for the factorisation.
enum class LoopOrdering {
    minimum_degree,      ///< the node with fewest neighbours next
    nested_dissection    ///< halves first, what separates them last, and so on in each half
};

namespace detail {

/// What a factorisation takes: entries of its lower triangle below the diagonal, and multiplications with an addition.
struct FactorCount {
    double entries = 0.0;
    double operations = 0.0;
};

/// Counts along each row of the factor (Liu 1990, elimination trees). Stops where the operations exceed the limit.
template <Deferred...>
inline FactorCount count_factor(const NodeGraph& graph, const std::vector<NodeNumber>& order,
                                double operation_limit = std::numeric_limits<double>::infinity()) {
    const std::size_t n = graph.size();
    std::vector<std::int32_t> place(n), parent(n, -1), row_seen(n, -1), column(n, 0);
    for (std::size_t k = 0; k < n; ++k) place[static_cast<std::size_t>(order[k])] = static_cast<std::int32_t>(k);
    FactorCount result;
    for (std::size_t k = 0; k < n && result.operations <= operation_limit; ++k) {
        const auto row = static_cast<std::int32_t>(k);
        for (const NodeNumber other : graph.of(order[k])) {
            for (std::int32_t at = place[static_cast<std::size_t>(other)]; at < row;) {
                const auto i = static_cast<std::size_t>(at);
                if (row_seen[i] == row) break;
                row_seen[i] = row;
                result.entries += 1.0;
                result.operations += 2.0 * column[i]++ + 1.0;
                if (parent[i] < 0) parent[i] = row;
                at = parent[i];
            }
        }
    }
    return result;
}

/// All neighbours from the upper half.
template <Deferred...>
inline NodeGraph node_graph(const UpperPattern& pattern) {
    const std::size_t n = pattern.outer.size() - 1;
    NodeGraph graph;
    graph.begin.assign(n + 1, 0);
    const auto each_pair = [&](const auto& use) {
        for (std::size_t column = 0; column < n; ++column) {
            for (std::int32_t at = pattern.outer[column]; at < pattern.outer[column + 1]; ++at) {
                const auto row = static_cast<std::size_t>(pattern.inner[static_cast<std::size_t>(at)]);
                if (row != column) use(row, column);
            }
        }
    };
    each_pair([&](std::size_t a, std::size_t b) {
        ++graph.begin[a + 1];
        ++graph.begin[b + 1];
    });
    std::partial_sum(graph.begin.begin(), graph.begin.end(), graph.begin.begin());
    graph.list.resize(static_cast<std::size_t>(graph.begin[n]));
    std::vector<std::int32_t> next(graph.begin.begin(), graph.begin.end() - 1);
    each_pair([&](std::size_t a, std::size_t b) {
        graph.list[static_cast<std::size_t>(next[a]++)] = static_cast<NodeNumber>(b);
        graph.list[static_cast<std::size_t>(next[b]++)] = static_cast<NodeNumber>(a);
    });
    return graph;
}

/// Nodes in the order of their elimination by approximate minimum degree.
template <Deferred...>
inline std::vector<NodeNumber> minimum_degree_order(const NodeGraph& graph) {
    const auto n = static_cast<Eigen::Index>(graph.size());
    UpperPattern upper{{0}, {}};
    for (NodeNumber node = 0; node < n; ++node) {
        for (const NodeNumber other : graph.of(node)) {
            if (other < node) upper.inner.push_back(other);
        }
        upper.inner.push_back(node);
        upper.outer.push_back(static_cast<std::int32_t>(upper.inner.size()));
    }
    const std::vector<float> zeros(upper.inner.size(), 0.0F);
    const Eigen::Map<const Eigen::SparseMatrix<float>> matrix(n, n, static_cast<Eigen::Index>(upper.inner.size()),
                                                              upper.outer.data(), upper.inner.data(), zeros.data());
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> inverse;
    Eigen::AMDOrdering<int>()(matrix.selfadjointView<Eigen::Upper>(), inverse);
    return {inverse.indices().begin(), inverse.indices().end()};
}

/// The same by nested dissection; none where that takes more operations than the limit. Nodes with very many
/// neighbours, which would bring all others near to each other, come last. The dissection runs on a copy whose nodes
/// are numbered by their distance from the first, so that it goes through memory in order.
template <Deferred...>
inline std::vector<NodeNumber> nested_dissection_order(
    const NodeGraph& graph, double operation_limit = std::numeric_limits<double>::infinity()) {
    const std::size_t n = graph.size();
    const double most = std::max(16.0, 10.0 * std::sqrt(static_cast<double>(n)));
    std::vector<NodeNumber> kept, number(n, -1);   // nodes of the copy; their numbers there
    kept.reserve(n);
    NodeGraph copy;
    copy.begin.reserve(graph.begin.size());
    copy.list.reserve(graph.list.size());
    const auto reach = [&](NodeNumber node) {
        NodeNumber& to = number[static_cast<std::size_t>(node)];
        if (to >= 0 || static_cast<double>(graph.of(node).size()) > most) return to >= 0;
        to = static_cast<NodeNumber>(kept.size());
        kept.push_back(node);
        return true;
    };
    std::size_t done = 0;
    for (NodeNumber start = 0; static_cast<std::size_t>(start) < n; ++start) {
        reach(start);
        for (; done < kept.size(); ++done) {
            for (const NodeNumber other : graph.of(kept[done])) {
                if (reach(other)) copy.list.push_back(number[static_cast<std::size_t>(other)]);
            }
            copy.begin.push_back(static_cast<std::int32_t>(copy.list.size()));
        }
    }
    const auto order_whole = [](const NodeGraph& whole) { return minimum_degree_order(whole); };
    std::vector<NodeNumber> order = NestedDissection(copy, order_whole).order(operation_limit);
    if (order.size() < kept.size()) return {};
    for (NodeNumber& node : order) node = kept[static_cast<std::size_t>(node)];
    for (NodeNumber node = 0; order.size() < n; ++node) {
        if (number[static_cast<std::size_t>(node)] < 0) order.push_back(node);
    }
    return order;
}

/// Nested dissection as Eigen's sparse factorisations take an ordering.
class NestedDissectionOrdering {
public:
    using PermutationType = Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int>;

    /// `inverse` becomes the permutation from places to rows; the pattern must be symmetric.
    template <class Matrix>
    void operator()(const Matrix& matrix, PermutationType& inverse) const {
        NodeGraph graph;
        for (Eigen::Index column = 0; column < matrix.outerSize(); ++column) {
            for (typename Matrix::InnerIterator entry(matrix, column); entry; ++entry) {
                if (entry.index() != column) graph.list.push_back(static_cast<NodeNumber>(entry.index()));
            }
            graph.begin.push_back(static_cast<std::int32_t>(graph.list.size()));
        }
        const std::vector<NodeNumber> order = nested_dissection_order(graph);
        inverse.resize(static_cast<Eigen::Index>(order.size()));
        std::copy(order.begin(), order.end(), inverse.indices().begin());
    }
};

/// An order of elimination, and what led to it.
struct CoreOrder {
    std::vector<NodeNumber> place;   // of each node
    LoopOrdering ordering = LoopOrdering::minimum_degree;
    FactorCount count;            // of this order
    FactorCount minimum_degree;   // of that by minimum degree
};

/// The better of both. Where elimination by minimum degree takes few operations a node, nothing is to be gained that
/// would be worth a dissection.
template <Deferred...>
inline CoreOrder core_order(const UpperPattern& pattern) {
    constexpr double worth_a_dissection = 1000.0;   // operations a node: there one solution repays it
    const NodeGraph graph = node_graph(pattern);
    CoreOrder result;
    std::vector<NodeNumber> order = minimum_degree_order(graph);
    result.count = result.minimum_degree = count_factor(graph, order);
    const double limit = result.minimum_degree.operations;
    if (limit > worth_a_dissection * static_cast<double>(graph.size())) {
        std::vector<NodeNumber> other = nested_dissection_order(graph, limit);
        const FactorCount count = other.empty() ? result.count : count_factor(graph, other, limit);
        if (count.operations < limit) {
            order = std::move(other);
            result.ordering = LoopOrdering::nested_dissection;
            result.count = count;
        }
    }
    result.place.resize(order.size());
    for (std::size_t k = 0; k < order.size(); ++k) {
        result.place[static_cast<std::size_t>(order[k])] = static_cast<NodeNumber>(k);
    }
    return result;
}

}   // namespace detail

}   // namespace filterflow
