// SPDX-License-Identifier: BSL-1.0
// Orders of elimination: each node once whatever the graph, fewer entries than minimum degree on large grids, counts as
// Eigen's factorisation has them, and which one a network takes.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <numeric>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/SparseCholesky>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network.hpp>
#include <filterflow/airflow/network_ordering.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

using NodePairs = std::vector<std::pair<int, int>>;

detail::NodeGraph graph_of_pairs(std::size_t nodes, NodePairs pairs) {
    for (auto& [a, b] : pairs) {
        if (a > b) std::swap(a, b);
    }
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
    detail::UpperPattern upper{{0}, {}};
    std::size_t column = 0;
    std::sort(pairs.begin(), pairs.end(), [](const auto& x, const auto& y) {
        return std::pair(x.second, x.first) < std::pair(y.second, y.first);
    });
    for (std::size_t k = 0; column < nodes; ++column) {
        for (; k < pairs.size() && static_cast<std::size_t>(pairs[k].second) == column; ++k) {
            upper.inner.push_back(pairs[k].first);
        }
        upper.inner.push_back(static_cast<int>(column));
        upper.outer.push_back(static_cast<int>(upper.inner.size()));
    }
    return detail::node_graph(upper);
}

/// A square grid of rooms: with four neighbours each, or also with those across the corners.
detail::NodeGraph square_mesh(int side, bool corners = false) {
    NodePairs pairs;
    for (int i = 0; i < side; ++i) {
        for (int j = 0; j < side; ++j) {
            const int at = i * side + j;
            if (i + 1 < side) pairs.emplace_back(at, at + side);
            if (j + 1 < side) pairs.emplace_back(at, at + 1);
            if (corners && i + 1 < side && j + 1 < side) pairs.emplace_back(at, at + side + 1);
            if (corners && i + 1 < side && j > 0) pairs.emplace_back(at, at + side - 1);
        }
    }
    return graph_of_pairs(static_cast<std::size_t>(side) * static_cast<std::size_t>(side), pairs);
}

/// Triangles over a square, of which some sides are missing; nodes are numbered at random.
detail::NodeGraph triangle_mesh(int side, double kept, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<double> share(0.0, 1.0);
    std::vector<int> number(static_cast<std::size_t>(side) * static_cast<std::size_t>(side));
    std::iota(number.begin(), number.end(), 0);
    std::shuffle(number.begin(), number.end(), random);
    NodePairs pairs;
    const auto join = [&](int a, int b) {
        if (share(random) < kept) {
            pairs.emplace_back(number[static_cast<std::size_t>(a)], number[static_cast<std::size_t>(b)]);
        }
    };
    for (int i = 0; i < side; ++i) {
        for (int j = 0; j < side; ++j) {
            const int at = i * side + j;
            if (i + 1 < side) join(at, at + side);
            if (j + 1 < side) join(at, at + 1);
            if (i + 1 == side || j + 1 == side) continue;
            if (share(random) < 0.5) join(at, at + side + 1);
            else join(at + 1, at + side);
        }
    }
    return graph_of_pairs(number.size(), pairs);
}

detail::NodeGraph random_pairs(std::size_t nodes, std::size_t count, std::mt19937_64& random) {
    std::uniform_int_distribution<int> any(0, static_cast<int>(nodes) - 1);
    NodePairs pairs;
    for (std::size_t k = 0; k < count; ++k) {
        const int a = any(random), b = any(random);
        if (a != b) pairs.emplace_back(a, b);
    }
    return graph_of_pairs(nodes, pairs);
}

bool has_each_node_once(const detail::NodeGraph& graph, std::vector<detail::NodeNumber> order) {
    std::sort(order.begin(), order.end());
    std::vector<detail::NodeNumber> all(graph.size());
    std::iota(all.begin(), all.end(), 0);
    return order == all;
}

/// Conductances between neighbours, and from each node to somewhere fixed.
Eigen::SparseMatrix<double> conductance_matrix(const detail::NodeGraph& graph, std::mt19937_64& random) {
    std::uniform_real_distribution<double> some(0.1, 10.0);
    std::vector<Eigen::Triplet<double>> entries;
    for (int node = 0; static_cast<std::size_t>(node) < graph.size(); ++node) {
        entries.emplace_back(node, node, some(random));
        for (const int other : graph.of(node)) {
            if (other > node) continue;
            const double g = some(random);
            entries.emplace_back(node, other, -g);
            entries.emplace_back(other, node, -g);
            entries.emplace_back(node, node, g);
            entries.emplace_back(other, other, g);
        }
    }
    const auto n = static_cast<Eigen::Index>(graph.size());
    Eigen::SparseMatrix<double> matrix(n, n);
    matrix.setFromTriplets(entries.begin(), entries.end());
    return matrix;
}

using FactorInOurOrder =
    Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower, detail::NestedDissectionOrdering>;

double lower_entries(const FactorInOurOrder& factor) {
    return static_cast<double>(factor.matrixL().nestedExpression().nonZeros());
}

detail::FactorCount dissected(const detail::NodeGraph& graph) {
    return detail::count_factor(graph, detail::nested_dissection_order(graph));
}
detail::FactorCount by_minimum_degree(const detail::NodeGraph& graph) {
    return detail::count_factor(graph, detail::minimum_degree_order(graph));
}

}   // namespace

TEST_CASE("nested dissection of a grid stays below George's bounds", "[outside]") {
    // George 1973, SIAM J. Numer. Anal. 10:345, for n x n nodes joined also across corners (from memory): the factor
    // has 31/4 n^2 log2 n entries and takes 829/84 n^3 operations, both to leading order, the latter the sum of
    // c (c + 3) / 2 over columns of c entries. Without the corners' links the same order takes no more. Hoffman, Martin
    // and Rose 1973, SIAM J. Numer. Anal. 10:364 (from memory): no order takes fewer operations than a full factor of n
    // nodes, n^3 / 6.
    for (const int side : {31, 63, 127}) {
        CAPTURE(side);
        const double n = side;
        const detail::FactorCount count = dissected(square_mesh(side));
        const double operations = 0.5 * (count.operations + 3.0 * count.entries);
        CHECK(count.entries < 7.75 * n * n * std::log2(n));
        CHECK(operations < 829.0 / 84.0 * n * n * n);
        CHECK(operations > n * n * n / 6.0);
        CHECK(dissected(square_mesh(side, true)).entries < 7.75 * n * n * std::log2(n));
    }
}

TEST_CASE("nested dissection fills in less than minimum degree on large grids", "[own]") {
    // Second method: approximate minimum degree, as Eigen has it.
    double before = 1.0;
    for (const int side : {40, 80, 160}) {
        const detail::NodeGraph graph = square_mesh(side);
        const detail::FactorCount ours = dissected(graph), other = by_minimum_degree(graph);
        CAPTURE(side, ours.entries, other.entries, ours.operations, other.operations);
        CHECK(ours.entries < 0.9 * other.entries);
        CHECK(ours.operations < 0.8 * other.operations);
        CHECK(ours.operations / other.operations < before);   // the more so the larger
        before = ours.operations / other.operations;
    }
}

TEST_CASE("nested dissection comes near minimum degree on meshes in no order", "[own]") {
    // Second method: approximate minimum degree. Where sides are missing it is hard to beat; the better one is taken.
    for (std::size_t trial = 0; trial < test::sweep_length(10); ++trial) {
        const double kept = 0.6 + 0.04 * static_cast<double>(trial);
        const detail::NodeGraph graph = triangle_mesh(90, kept, trial);
        const detail::FactorCount ours = dissected(graph), other = by_minimum_degree(graph);
        CAPTURE(trial, kept, ours.entries, other.entries);
        CHECK(ours.entries < 1.4 * other.entries);
    }
}

TEST_CASE("an order of elimination has each node once and solves", "[own]") {
    std::mt19937_64 random(71);
    for (std::size_t trial = 0; trial < test::sweep_length(200); ++trial) {
        const std::size_t nodes = 1 + random() % 1500;
        const double density = std::uniform_real_distribution<double>(0.3, 3.0)(random);
        const detail::NodeGraph graph =
            random_pairs(nodes, static_cast<std::size_t>(density * static_cast<double>(nodes)), random);
        CAPTURE(trial, nodes, density);
        const std::vector<detail::NodeNumber> order = detail::nested_dissection_order(graph);
        REQUIRE(has_each_node_once(graph, order));
        if (nodes > 600) continue;
        const Eigen::SparseMatrix<double> matrix = conductance_matrix(graph, random);
        const FactorInOurOrder factor(matrix);
        REQUIRE(factor.info() == Eigen::Success);
        CHECK(lower_entries(factor) == detail::count_factor(graph, order).entries);
        const Eigen::VectorXd x = Eigen::VectorXd::LinSpaced(matrix.rows(), -1.0, 2.0);
        const Eigen::VectorXd back = factor.solve(matrix * x);
        CHECK((back - x).lpNorm<Eigen::Infinity>() < 1e-10);
    }
}

TEST_CASE("counts are those of the factor", "[own]") {
    // Second method: Eigen's factorisation. Operations: squares of the entries of its columns.
    std::mt19937_64 random(73);
    for (const bool corners : {false, true}) {
        const detail::NodeGraph graph = square_mesh(40, corners);
        const FactorInOurOrder factor(conductance_matrix(graph, random));
        const auto& lower = factor.matrixL().nestedExpression();
        double operations = 0.0;
        for (Eigen::Index k = 0; k < lower.cols(); ++k) {
            const double entries = lower.outerIndexPtr()[k + 1] - lower.outerIndexPtr()[k];
            operations += entries * entries;
        }
        const detail::FactorCount count = dissected(graph);
        CHECK(count.entries == lower_entries(factor));
        CHECK(count.operations == operations);
        CHECK(count_factor(graph, detail::nested_dissection_order(graph), 1000.0).operations < 2000.0);   // stops there
    }
}

TEST_CASE("orders of elimination of graphs that are hard to cut", "[own]") {
    // Long, flat, in many pieces, around a hub, all joined with all. What takes a square of the size would not end.
    const int n = static_cast<int>(test::sweep_length(50000));
    const auto of = [](int nodes, const auto& each) {
        NodePairs pairs;
        for (int i = 0; i < nodes; ++i) each(i, pairs);
        return pairs;
    };
    const auto size = [](int nodes) { return static_cast<std::size_t>(nodes); };
    struct Case {
        std::string name;
        detail::NodeGraph graph;
        double most_entries;   // a node; as many as the best order has, twice that for long ones
    };
    const std::vector<Case> cases{
        {"nothing", graph_of_pairs(0, {}), 0.0},
        {"one", graph_of_pairs(1, {}), 0.0},
        {"none joined", graph_of_pairs(size(n), {}), 0.0},
        {"chain", graph_of_pairs(size(n), of(n - 1, [](int i, auto& p) { p.emplace_back(i, i + 1); })), 2.0},
        {"ring", graph_of_pairs(size(n), of(n, [n](int i, auto& p) { p.emplace_back(i, (i + 1) % n); })), 2.0},
        {"star", graph_of_pairs(size(n), of(n - 1, [](int i, auto& p) { p.emplace_back(0, i + 1); })), 1.0},
        {"wheel", graph_of_pairs(size(n + 1), of(n, [n](int i, auto& p) {
             p.emplace_back(n, i);
             p.emplace_back(i, (i + 1) % n);
         })), 4.0},
        {"triangles", graph_of_pairs(size(3 * n), of(n, [](int i, auto& p) {
             for (int k = 0; k < 3; ++k) p.emplace_back(3 * i + k, 3 * i + (k + 1) % 3);
         })), 1.0},
        {"ladder", graph_of_pairs(size(2 * n + 2), of(n, [](int i, auto& p) {
             for (int k = 0; k < 2; ++k) p.emplace_back(2 * i + k, 2 * i + 2 + k);
             p.emplace_back(2 * i, 2 * i + 1);
         })), 4.0},
        {"two hubs", graph_of_pairs(size(n + 2), of(n, [n](int i, auto& p) {
             p.emplace_back(i, n);
             p.emplace_back(i, n + 1);
         })), 2.1},
        {"pieces", graph_of_pairs(size(10 * n), of(n, [](int i, auto& p) {
             for (int k = 0; k + 1 < i % 11; ++k) p.emplace_back(10 * i + k, 10 * i + (7 * k + 3) % 10);
         })), 2.0},
        {"all with all", graph_of_pairs(200, of(200, [](int i, auto& p) {
             for (int k = 0; k < i; ++k) p.emplace_back(i, k);
         })), 99.5}};
    for (const Case& c : cases) {
        CAPTURE(c.name);
        const std::vector<detail::NodeNumber> order = detail::nested_dissection_order(c.graph);
        CHECK(has_each_node_once(c.graph, order));
        CHECK(detail::count_factor(c.graph, order).entries <= c.most_entries * static_cast<double>(c.graph.size()));
    }
    NodePairs edges_of_a_floor;   // a hub joined to a tenth of a grid's nodes comes last, and the grid is cut as before
    constexpr int side = 70, hub = side * side;
    for (int i = 0; i < hub; ++i) {
        if ((i + 1) % side != 0) edges_of_a_floor.emplace_back(i, i + 1);
        if (i + side < hub) edges_of_a_floor.emplace_back(i, i + side);
        if (i % 6 == 0) edges_of_a_floor.emplace_back(i, hub);
    }
    const detail::NodeGraph with_hub = graph_of_pairs(hub + 1, edges_of_a_floor);
    const std::vector<detail::NodeNumber> order = detail::nested_dissection_order(with_hub);
    REQUIRE(has_each_node_once(with_hub, order));
    CHECK(order.back() == hub);
    CHECK(detail::count_factor(with_hub, order).entries < dissected(square_mesh(side)).entries + hub + 1);
}

TEST_CASE("a dissection that costs more than it is worth is given up", "[own]") {
    const detail::NodeGraph graph = square_mesh(60);
    CHECK(detail::nested_dissection_order(graph, 0.05 * dissected(graph).operations).empty());
    CHECK(detail::nested_dissection_order(graph, dissected(graph).operations).size() == graph.size());
}

TEST_CASE("a network takes the order of fewer operations, and says which", "[own]") {
    const AirState air = duct_design_air();
    const auto grid_of = [&](int side) {
        DuctNetwork n(air);
        const auto name = [&](int i, int j) { return std::to_string(i) + " " + std::to_string(j); };
        for (int i = 0; i < side; ++i) {
            for (int j = 0; j < side; ++j) {
                const ElementCurve part{(1.0 + (3 * i + 5 * j) % 7) * Pa_s_per_m3, 5.0 * Pa_s2_per_m6, air};
                if (i + 1 < side) n.add_branch({.name = "a " + name(i, j), .from = name(i, j), .to = name(i + 1, j),
                                                .part = part});
                if (j + 1 < side) n.add_branch({.name = "b " + name(i, j), .from = name(i, j), .to = name(i, j + 1),
                                                .part = part});
            }
        }
        n.add_branch({.name = "stub", .from = name(1, 1), .to = "stub", .part = Fitting{0.1 * m2, 1.0}});
        n.set_demand("stub", 0.1 * m3_per_s);
        n.fix_pressure(name(0, 0), 0 * Pa);
        n.set_demand(name(side - 1, side - 1), 1 * m3_per_s);
        return n;
    };
    NetworkSolver small(grid_of(10)), large(grid_of(110));
    CHECK(small.shape().loop_nodes == 99);
    CHECK(small.shape().tree_nodes == 1);
    CHECK(small.shape().ordering == LoopOrdering::minimum_degree);
    CHECK(small.shape().factor_entries == small.shape().minimum_degree_entries);
    CHECK(large.shape().ordering == LoopOrdering::nested_dissection);
    CHECK(large.shape().factor_entries < 0.9 * large.shape().minimum_degree_entries);
    CHECK(large.shape().factor_operations < 0.8 * large.shape().minimum_degree_operations);
    const NetworkSolution found = large.solve();
    REQUIRE(found.found());
    CHECK(found.supply("0 0") / m3_per_s == Approx(1.1).epsilon(1e-9));
    CHECK(NetworkSolver(large).solve().pressure("109 109") == found.pressure("109 109"));
}

TEST_CASE("the order taken never costs more than minimum degree", "[own]") {
    std::mt19937_64 random(79);
    for (std::size_t trial = 0; trial < test::sweep_length(12); ++trial) {
        const detail::NodeGraph graph = trial % 3 == 0   ? square_mesh(60 + static_cast<int>(random() % 60))
                                        : trial % 3 == 1 ? triangle_mesh(100, 0.9, trial)
                                                         : random_pairs(2000, 4000, random);
        detail::UpperPattern upper{{0}, {}};
        for (int node = 0; static_cast<std::size_t>(node) < graph.size(); ++node) {
            for (const int other : graph.of(node)) {
                if (other < node) upper.inner.push_back(other);
            }
            upper.inner.push_back(node);
            upper.outer.push_back(static_cast<int>(upper.inner.size()));
        }
        const detail::CoreOrder order = detail::core_order(upper);
        REQUIRE(has_each_node_once(graph, order.place));
        CHECK(order.count.operations <= order.minimum_degree.operations);
        std::vector<detail::NodeNumber> in_order(graph.size());
        for (std::size_t k = 0; k < graph.size(); ++k) {
            in_order[static_cast<std::size_t>(order.place[k])] = static_cast<int>(k);
        }
        CHECK(detail::count_factor(graph, in_order).operations == order.count.operations);
    }
}
