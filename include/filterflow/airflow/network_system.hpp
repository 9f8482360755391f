// SPDX-License-Identifier: BSL-1.0
#pragma once

// The linear system of one step of a network's iterations,
//     A dp = c + B g e,   dq = -g e + g B' dp,   A = B g B'
// with g = 1/slope of each link, e = drop - pressure difference (energy), c the flow that a node gains. Trees are
// eliminated leaf by leaf without a subtraction, the core by a sparse factorisation.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_topology.hpp>

namespace filterflow::detail {

/// Core is the sparse solver: analyse(pattern), clear(), add(entry, node, node, conductance), factorise(excess,
/// negative pivots), solve(load). Links and nodes are numbered as the topology has them.
template <class Core>
struct NetworkSystem {
    explicit NetworkSystem(NetworkTopology analysed) : topology(std::move(analysed)) {
        const auto nodes = static_cast<std::size_t>(topology.node_count);
        for (auto* of_links : {&flow, &conductance, &energy, &change}) of_links->assign(topology.from.size(), 0.0);
        for (auto* of_nodes : {&pressure, &demand, &gain, &load, &excess}) of_nodes->assign(nodes, 0.0);
        share.assign(topology.parent.size(), 0.0);
        if (topology.core_count > 0) core.analyse(std::move(topology.core));
    }

    std::size_t from(std::size_t k) const { return static_cast<std::size_t>(topology.from[k]); }
    std::size_t to(std::size_t k) const { return static_cast<std::size_t>(topology.to[k]); }
    std::size_t core_count() const { return static_cast<std::size_t>(topology.core_count); }
    std::size_t free_count() const { return static_cast<std::size_t>(topology.free_count); }

    /// Puts the linear system together from the conductances that law(link, from, to) gives, and eliminates
    /// the trees from their leaves on. Counts negative pivots.
    template <class Conductance>
    void gather(const Conductance& law) {
        for (std::size_t i = 0; i < gain.size(); ++i) gain[i] = load[i] = -demand[i];
        std::fill(excess.begin(), excess.end(), 0.0);
        if (topology.core_count > 0) core.clear();
        negative = 0;
        vanishing = false;
        double gain_most = 0.0;
        const auto enter = [&](std::size_t k, std::size_t a, std::size_t b) {
            const double g = law(k, a, b);
            const double q = flow[k], own = g * energy[k] - q;
            gain[a] -= q;
            gain[b] += q;
            load[a] += own;
            load[b] -= own;
            return g;
        };
        const auto core_links = static_cast<std::size_t>(topology.core_links);
        const std::size_t tree_end = core_links + static_cast<std::size_t>(topology.tree_links);
        const std::size_t ground_end = tree_end + static_cast<std::size_t>(topology.ground_links);
        for (std::size_t k = 0; k < core_links; ++k) {
            core.add(static_cast<std::size_t>(topology.entry[k]), from(k), to(k), enter(k, from(k), to(k)));
        }
        for (std::size_t k = tree_end; k < ground_end; ++k) {
            excess[std::min(from(k), to(k))] += enter(k, from(k), to(k));
        }
        for (std::size_t k = ground_end; k < flow.size(); ++k) enter(k, from(k), to(k));
        std::size_t k = tree_end;
        for (std::size_t i = free_count(); i-- > core_count();) {
            double g = 0.0;   // conductance to the parent, of all parallel links
            for (; k > core_links && std::max(from(k - 1), to(k - 1)) == i; --k) {
                g += enter(k - 1, from(k - 1), to(k - 1));
            }
            eliminate(i, g);
            gain_most = std::max(gain_most, std::abs(gain[i]));
        }
        for (std::size_t i = 0; i < core_count(); ++i) gain_most = std::max(gain_most, std::abs(gain[i]));
        greatest_gain = gain_most;
    }

    /// Factorises the core. True if the content has a minimum along continuity, that is if as many pivots as slopes
    /// are negative (inertia of the bordered matrix).
    bool factorise(std::size_t falling) {
        if (vanishing) return false;
        std::size_t pivots = negative;
        return (topology.core_count == 0 || core.factorise(excess, pivots)) && pivots == falling;
    }

    /// Corrects pressures and flows by a whole step. Gives the sum of energy times change.
    double step() {
        double descent = 0.0;
        const auto correct_link = [&](std::size_t k) {
            change[k] = conductance[k] * (load[from(k)] - load[to(k)] - energy[k]);
            descent += energy[k] * change[k];
            flow[k] += change[k];
        };
        std::fill(load.begin() + topology.free_count, load.end(), 0.0);
        if (topology.core_count > 0) core.solve(load);
        for (std::size_t i = 0; i < core_count(); ++i) pressure[i] += load[i];
        std::size_t k = 0;
        for (; k < static_cast<std::size_t>(topology.core_links); ++k) correct_link(k);
        const std::size_t tree_end = k + static_cast<std::size_t>(topology.tree_links);
        for (std::size_t i = core_count(); i < free_count(); ++i) {
            const NodeNumber p = topology.parent[i - core_count()];
            if (p >= 0) load[i] += share[i - core_count()] * load[static_cast<std::size_t>(p)];
            pressure[i] += load[i];
            for (; k < tree_end && std::max(from(k), to(k)) == i; ++k) correct_link(k);
        }
        for (; k < flow.size(); ++k) correct_link(k);
        return descent;
    }

    NetworkTopology topology;
    Core core;
    std::vector<double> flow, conductance, energy, change;        // of links
    std::vector<double> pressure, demand, gain, load, excess;     // of nodes
    double greatest_gain = 0.0;                                   // of a free node

private:
    /// Node i, a leaf by now, leaves a load on its parent and a conductance from there to fixed pressures.
    void eliminate(std::size_t i, double g) {
        const NodeNumber p = topology.parent[i - core_count()];
        const double x = excess[i];
        const double pivot = g + x;
        negative += pivot < 0.0;
        vanishing = vanishing || pivot == 0.0;
        const double inverse = 1.0 / pivot, passed_on = g * inverse;
        if (p >= 0) {
            excess[static_cast<std::size_t>(p)] += passed_on * x;
            load[static_cast<std::size_t>(p)] += passed_on * load[i];
        }
        share[i - core_count()] = passed_on;
        load[i] *= inverse;
    }

    std::vector<double> share;      // of tree nodes: what a load on them leaves on the parent
    std::size_t negative = 0;       // pivots of trees below zero
    bool vanishing = false;         // a pivot of a tree is zero
};

}   // namespace filterflow::detail
