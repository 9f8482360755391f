// SPDX-License-Identifier: BSL-1.0
#pragma once

// Invented grids and trees of branches with dp = r Q + s Q |Q|, and the plain way to solve them: each step of Newton's
// method a sparse matrix for Eigen's simplicial LDLT, analysed once, in Eigen's own ordering or in ours.

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <random>
#include <string_view>
#include <vector>

#include <Eigen/SparseCholesky>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network.hpp>

namespace raw_networks {

using namespace filterflow;
using namespace filterflow::units;

/// Branches between numbered nodes; pressures of nodes from 0 to free_count - 1 are sought.
struct Shape {
    std::size_t node_count = 0;
    std::vector<int> from, to;
    std::vector<double> linear, quadratic;
    std::vector<char> fixed;
    std::vector<double> value;   // of nodes: fixed pressure or demand
};

inline void add(Shape& s, std::size_t a, std::size_t b, std::mt19937_64& random, double size = 1.0) {
    std::uniform_real_distribution<double> share(0.0, 1.0);
    s.from.push_back(static_cast<int>(a));
    s.to.push_back(static_cast<int>(b));
    s.linear.push_back(5.0 * size * share(random));
    s.quadratic.push_back(size * std::pow(10.0, 2.0 * share(random)));
}

/// A square grid, resistances over two decades, random demands, one corner at 0 Pa.
inline Shape grid(std::size_t side) {
    Shape s;
    std::mt19937_64 random(1);
    s.node_count = side * side;
    for (std::size_t i = 0; i < side; ++i) {
        for (std::size_t j = 0; j < side; ++j) {
            if (i + 1 < side) add(s, i * side + j, (i + 1) * side + j, random);
            if (j + 1 < side) add(s, i * side + j, i * side + j + 1, random);
        }
    }
    s.fixed.assign(s.node_count, 0);
    s.fixed[0] = 1;
    s.value.resize(s.node_count);
    double sum = 0.0;
    for (double& d : s.value) sum += d = std::uniform_real_distribution<double>(-0.5, 0.5)(random);
    for (double& d : s.value) d -= sum / static_cast<double>(s.node_count);
    s.value[0] = 0.0;
    return s;
}

/// Nodes and branches in no order, as a list of branches may have them.
inline Shape shuffled(const Shape& s) {
    std::mt19937_64 random(3);
    std::vector<int> node(s.node_count), branch(s.from.size());
    std::iota(node.begin(), node.end(), 0);
    std::iota(branch.begin(), branch.end(), 0);
    std::shuffle(node.begin(), node.end(), random);
    std::shuffle(branch.begin(), branch.end(), random);
    Shape t = s;
    for (std::size_t i = 0; i < s.node_count; ++i) {
        t.fixed[static_cast<std::size_t>(node[i])] = s.fixed[i];
        t.value[static_cast<std::size_t>(node[i])] = s.value[i];
    }
    for (std::size_t k = 0; k < s.from.size(); ++k) {
        const auto at = static_cast<std::size_t>(branch[k]);
        t.from[at] = node[static_cast<std::size_t>(s.from[k])];
        t.to[at] = node[static_cast<std::size_t>(s.to[k])];
        t.linear[at] = s.linear[k];
        t.quadratic[at] = s.quadratic[k];
    }
    return t;
}

/// A tree that ends in rooms at 0 Pa, from a plenum at 1 kPa; later branches are narrower.
inline Shape tree(std::size_t branches) {
    Shape s;
    std::mt19937_64 random(2);
    s.node_count = branches + 1;
    std::vector<int> ends(s.node_count, 0);
    for (std::size_t i = 1; i <= branches; ++i) {
        const std::size_t back =
            std::uniform_int_distribution<std::size_t>(0, std::min<std::size_t>(i / 8, 20))(random);
        const std::size_t up = i < 4 ? 0 : (i - 1) / 2 - std::min((i - 1) / 2, back);
        ++ends[up];
        ++ends[i];
        add(s, up, i, random, 1.0 + 100.0 * static_cast<double>(i) / static_cast<double>(branches));
    }
    s.fixed.assign(s.node_count, 0);
    s.value.assign(s.node_count, 0.0);
    for (std::size_t i = 0; i < s.node_count; ++i) s.fixed[i] = i == 0 || ends[i] == 1;
    s.value[0] = 1000.0;
    return s;
}

/// The same as the library has it, every branch and node with a name; or round ducts in the branches' places, with a
/// fifth of the demands.
enum class Parts { elements, ducts };
inline DuctNetwork named(const Shape& s, Parts parts = Parts::elements) {
    const AirState air = fan_table_air();
    DuctNetwork n(air);
    n.reserve(s.node_count, s.from.size());
    char text[3][24] = {{'n'}, {'n'}, {'b'}};
    const auto name = [&](int which, std::size_t number) {
        char* const begin = text[which];
        return std::string_view(begin,
                                static_cast<std::size_t>(std::to_chars(begin + 1, begin + 24, number).ptr - begin));
    };
    const double demands = parts == Parts::elements ? 1.0 : 0.2;
    const auto part = [&](std::size_t k) -> BranchPart {
        if (parts == Parts::elements) {
            return ElementCurve{s.linear[k] * Pa_s_per_m3, s.quadratic[k] * Pa_s2_per_m6, air};
        }
        return DuctSegment{.length = (1.0 + 10.0 * std::log10(s.quadratic[k])) * m,
                           .diameter = (0.1 + 0.1 * s.linear[k]) * m};
    };
    for (std::size_t k = 0; k < s.from.size(); ++k) {
        n.add_branch({.name = name(2, k), .from = name(0, static_cast<std::size_t>(s.from[k])),
                      .to = name(1, static_cast<std::size_t>(s.to[k])),
                      .part = part(k)});
    }
    for (std::size_t i = 0; i < s.node_count; ++i) {
        if (s.fixed[i] != 0) n.fix_pressure(name(0, i), s.value[i] * Pa);
        else n.set_demand(name(0, i), demands * s.value[i] * m3_per_s);
    }
    return n;
}

/// The library's method without names and results, to time its steps alone.
using Newton = detail::NetworkNewton<detail::SparseCore>;
inline Newton unnamed(const Shape& s) {
    const AirState air = fan_table_air();
    const detail::NetworkGraph graph{s.node_count, s.from, s.to, s.fixed};
    detail::NetworkTopology topology = detail::network_topology(
        graph, [](const detail::UpperPattern& pattern) { return detail::core_order(pattern).place; });
    detail::LawStore laws;
    for (std::size_t k = 0; k < s.from.size(); ++k) {
        laws.add(ElementCurve{s.linear[k] * Pa_s_per_m3, s.quadratic[k] * Pa_s2_per_m6, air}, air, "unnamed");
    }
    laws = laws.in_order(topology.old_link);
    Newton newton(topology, std::move(laws));
    for (std::size_t i = 0; i < s.node_count; ++i) {
        const auto at = static_cast<std::size_t>(topology.new_node[i]);
        (s.fixed[i] != 0 ? newton.pressures() : newton.demands())[at] = s.value[i];
    }
    return newton;
}

/// The plain way; the ordering is Eigen's own, or ours to see what it is worth.
template <class Ordering = Eigen::AMDOrdering<int>>
class Sparse {
public:
    explicit Sparse(const Shape& s) : s_(s) {
        unknown_.assign(s.node_count, -1);
        int count = 0;
        for (std::size_t i = 0; i < s.node_count; ++i) {
            if (s.fixed[i] == 0) unknown_[i] = count++;
        }
        std::vector<Eigen::Triplet<double>> entries;
        for (int i = 0; i < count; ++i) entries.emplace_back(i, i, 1.0);
        for (std::size_t k = 0; k < s.from.size(); ++k) {
            const int a = end(s.from, k), b = end(s.to, k);
            if (a >= 0 && b >= 0) entries.emplace_back(std::max(a, b), std::min(a, b), 0.0);
        }
        matrix_.resize(count, count);
        matrix_.setFromTriplets(entries.begin(), entries.end());
        for (std::size_t k = 0; k < s.from.size(); ++k) {   // where each branch goes
            const int a = end(s.from, k), b = end(s.to, k);
            place_.push_back(a >= 0 && b >= 0 ? &matrix_.coeffRef(std::max(a, b), std::min(a, b)) : nullptr);
        }
        for (int i = 0; i < count; ++i) diagonal_.push_back(&matrix_.coeffRef(i, i));
        solver_.analyzePattern(matrix_);
        flow_.assign(s.from.size(), 0.0);
        pressure_ = Eigen::VectorXd::Zero(count);
        right_ = Eigen::VectorXd::Zero(count);
    }

    /// One step: laws, matrix, factorisation, flows. The first puts straight lines in place of the laws.
    void step(bool first) {
        std::fill(matrix_.valuePtr(), matrix_.valuePtr() + matrix_.nonZeros(), 0.0);
        for (std::size_t i = 0; i < s_.node_count; ++i) {
            if (unknown_[i] >= 0) right_[unknown_[i]] = -s_.value[i];
        }
        for (std::size_t k = 0; k < flow_.size(); ++k) {
            const double g = conductance(k, first), y = flow_[k] - g * drop(k);
            const int a = end(s_.from, k), b = end(s_.to, k);
            if (place_[k] != nullptr) *place_[k] -= g;
            if (a >= 0) {
                *diagonal_[static_cast<std::size_t>(a)] += g;
                right_[a] += g * (b < 0 ? s_.value[static_cast<std::size_t>(s_.to[k])] : 0.0) - y;
            }
            if (b >= 0) {
                *diagonal_[static_cast<std::size_t>(b)] += g;
                right_[b] += g * (a < 0 ? s_.value[static_cast<std::size_t>(s_.from[k])] : 0.0) + y;
            }
        }
        factorise_and_solve();
        for (std::size_t k = 0; k < flow_.size(); ++k) {
            const double g = conductance(k, first);
            flow_[k] += g * (pressure_at(s_.from, k) - pressure_at(s_.to, k) - drop(k));
        }
    }
    void factorise_and_solve() {
        solver_.factorize(matrix_);
        pressure_ = solver_.solve(right_);
    }
    double residual() const {
        double most = 0.0;
        for (std::size_t k = 0; k < flow_.size(); ++k) {
            most = std::max(most, std::abs(drop(k) - pressure_at(s_.from, k) + pressure_at(s_.to, k)));
        }
        return most;
    }
    const std::vector<double>& flows() const { return flow_; }
    bool solved() const { return solver_.info() == Eigen::Success; }

private:
    int end(const std::vector<int>& ends, std::size_t k) const { return unknown_[static_cast<std::size_t>(ends[k])]; }
    double pressure_at(const std::vector<int>& ends, std::size_t k) const {
        const int i = end(ends, k);
        return i >= 0 ? pressure_[i] : s_.value[static_cast<std::size_t>(ends[k])];
    }
    double drop(std::size_t k) const { return (s_.linear[k] + s_.quadratic[k] * std::abs(flow_[k])) * flow_[k]; }
    double conductance(std::size_t k, bool first) const {
        return 1.0 / (s_.linear[k] + s_.quadratic[k] * (first ? 1.0 : 2.0 * std::abs(flow_[k])) + 1e-12);
    }

    const Shape& s_;
    std::vector<int> unknown_;
    Eigen::SparseMatrix<double> matrix_;
    std::vector<double*> place_, diagonal_;
    Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower, Ordering> solver_;
    std::vector<double> flow_;
    Eigen::VectorXd pressure_, right_;
};

}   // namespace raw_networks
