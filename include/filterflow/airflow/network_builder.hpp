// SPDX-License-Identifier: BSL-1.0
#pragma once

// A network of ducts, filters, fans and leaks as its user states it: branches between named nodes, pressures that are
// fixed, air that is taken out. Nodes carry total pressures, so that no static regain needs to be booked.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_parts.hpp>
#include <filterflow/airflow/network_solution.hpp>
#include <filterflow/airflow/network_topology.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A branch: what lies between two nodes. Its flow counts positive from the first to the second.
struct Branch {
    std::string_view name{};   ///< of its own
    std::string_view from{};   ///< node
    std::string_view to{};     ///< another node
    BranchPart part{};         ///< duct segment, fitting, filter, fan (lifts from `from` to `to`), leak, own law
};

/// A network of branches in one air.
class DuctNetwork {
public:
    /// A network without branches, in an air whose density is taken to be the same throughout.
    template <Deferred...>
    explicit DuctNetwork(const AirState& air) : air_(air) {
        detail::check_air(air, "DuctNetwork");
    }

    /// Makes room, where very many are to come.
    template <Deferred...>
    void reserve(std::size_t nodes, std::size_t branches) {
        names_.nodes.reserve(nodes);
        names_.branches.reserve(branches);
        laws_.reserve(branches);
        for (auto* ends : {&graph_.from, &graph_.to}) ends->reserve(branches);
        graph_.fixed.reserve(nodes);
        values_.reserve(nodes);
    }

    /// Adds a branch, and its nodes where they are new; gives its index, counted from 0. DomainError if the name is
    /// taken or empty, the branch ends where it begins, its part is out of range, or a fan does not state which kind of
    /// pressure it has; another kind than total is taken as total, which the solution's limits say.
    template <Deferred...>
    std::size_t add_branch(const Branch& branch) {
        constexpr auto where = "DuctNetwork::add_branch";
        if (branch.name.empty() || branch.from.empty() || branch.to.empty()) {
            throw DomainError(std::string(where) + ": branch '" + std::string(branch.name) + "' from '" +
                              std::string(branch.from) + "' to '" + std::string(branch.to) +
                              "'; required: a name and two nodes");
        }
        if (branch.from == branch.to) {
            throw DomainError(std::string(where) + ": branch '" + std::string(branch.name) + "' begins and ends at '" +
                              std::string(branch.from) + "'; required: two different nodes");
        }
        if (names_.branches.find(branch.name)) {
            throw DomainError(std::string(where) + ": there are two branches '" + std::string(branch.name) +
                              "'; required: a name of its own for each");
        }
        try {
            laws_.add(branch.part, air_, where);
        } catch (const DomainError& error) {
            throw DomainError("branch '" + std::string(branch.name) + "': " + error.what());
        }
        graph_.from.push_back(node_index(branch.from));
        graph_.to.push_back(node_index(branch.to));
        return names_.branches.add(branch.name).index;
    }

    /// States the total pressure of a node (a room, the open air). DomainError if one was stated, or a demand.
    template <Deferred...>
    void fix_pressure(std::string_view node, Pressure pressure) {
        constexpr auto where = "DuctNetwork::fix_pressure";
        const std::size_t i = stated_node(node, where);
        values_[i] = detail::require_finite(where, "pressure", pressure.value(), "Pa");
        graph_.fixed[i] = 1;
    }

    /// States the flow taken out of a node, negative for air put in; zero for a closed end. DomainError if one was
    /// stated, or a pressure.
    template <Deferred...>
    void set_demand(std::string_view node, VolumeFlow demand) {
        constexpr auto where = "DuctNetwork::set_demand";
        const std::size_t i = stated_node(node, where);
        values_[i] = detail::require_finite(where, "demand", demand.value(), "m3/s");
    }

    const AirState& air() const { return air_; }
    std::size_t branch_count() const { return laws_.size(); }                        ///< how many, >= 0
    std::size_t node_count() const { return values_.size(); }                        ///< how many, >= 0
    template <Deferred...>
    std::string_view branch_name(std::size_t index) const { return names_.branches.name(index); }
    template <Deferred...>
    std::string_view node_name(std::size_t index) const { return names_.nodes.name(index); }
    /// Index of a branch; DomainError if there is none of that name.
    template <Deferred...>
    std::size_t branch_index(std::string_view name) const {
        return detail::index_of_name(names_.branches, name, "branch");
    }
    /// Index of a node; DomainError if there is none of that name.
    template <Deferred...>
    std::size_t node_index_of(std::string_view name) const { return detail::index_of_name(names_.nodes, name, "node"); }

private:
    friend class NetworkSolver;

    static constexpr double not_stated = std::numeric_limits<double>::infinity();

    template <Deferred...>
    detail::NodeNumber node_index(std::string_view name) {
        const auto entry = names_.nodes.add(name);
        if (entry.is_new) {
            values_.push_back(not_stated);
            graph_.fixed.push_back(0);
        }
        return static_cast<detail::NodeNumber>(entry.index);
    }

    template <Deferred...>
    std::size_t stated_node(std::string_view name, const char* where) {
        const auto i = static_cast<std::size_t>(node_index(name));
        if (values_[i] != not_stated) {
            throw DomainError(std::string(where) + ": node '" + std::string(name) +
                              "' has a pressure or a demand already; required: one of them, once");
        }
        return i;
    }

    AirState air_;
    detail::NetworkNames names_;
    detail::NetworkGraph graph_;
    detail::LawStore laws_;
    std::vector<double> values_;   // of nodes: pressure where fixed, else demand, or not_stated
};

namespace detail {

/// "'a', 'b' and 7 more".
template <Deferred...>
inline std::string some_names(const NameTable& names, const std::vector<std::size_t>& indices) {
    constexpr std::size_t shown = 5;
    std::string text;
    for (std::size_t k = 0; k < indices.size() && k < shown; ++k) {
        text += (k == 0 ? "'" : ", '") + std::string(names.name(indices[k])) + "'";
    }
    if (indices.size() > shown) text += " and " + std::to_string(indices.size() - shown) + " more";
    return text;
}

/// Refuses nodes without branches, with one only and nothing stated, and parts without a fixed pressure.
template <Deferred...>
inline void check_network(const NetworkGraph& graph, const NameTable& names, const std::vector<double>& values) {
    const std::size_t n = graph.node_count;
    if (graph.from.empty()) throw DomainError("DuctNetwork: no branches; required: at least one");
    std::vector<std::int32_t> degree(n, 0);
    std::vector<NodeNumber> group(n);   // union of what is joined, by the least index
    for (std::size_t i = 0; i < n; ++i) group[i] = static_cast<NodeNumber>(i);
    const auto head = [&](NodeNumber i) {
        while (group[static_cast<std::size_t>(i)] != i) {
            NodeNumber& up = group[static_cast<std::size_t>(i)];
            up = group[static_cast<std::size_t>(up)];
            i = up;
        }
        return i;
    };
    for (std::size_t k = 0; k < graph.from.size(); ++k) {
        ++degree[static_cast<std::size_t>(graph.from[k])];
        ++degree[static_cast<std::size_t>(graph.to[k])];
        const NodeNumber a = head(graph.from[k]), b = head(graph.to[k]);
        if (a < b) group[static_cast<std::size_t>(b)] = a;
        else group[static_cast<std::size_t>(a)] = b;
    }
    std::vector<char> held(n, 0);
    std::vector<std::size_t> alone, dangling, floating;
    for (std::size_t i = 0; i < n; ++i) {
        if (graph.fixed[i] != 0) held[static_cast<std::size_t>(head(static_cast<NodeNumber>(i)))] = 1;
        if (degree[i] == 0) alone.push_back(i);
        if (degree[i] == 1 && graph.fixed[i] == 0 && !(std::abs(values[i]) < std::numeric_limits<double>::infinity())) {
            dangling.push_back(i);
        }
    }
    if (!alone.empty()) {
        throw DomainError("DuctNetwork: no branch reaches node " + some_names(names, alone) +
                          "; required: at least one branch at each node");
    }
    for (std::size_t i = 0; i < n; ++i) {
        if (held[static_cast<std::size_t>(head(static_cast<NodeNumber>(i)))] == 0) floating.push_back(i);
    }
    if (!floating.empty()) {
        throw DomainError("DuctNetwork: no path leads from node " + some_names(names, floating) +
                          " to a fixed pressure; required: a fixed pressure in each part of the network");
    }
    if (!dangling.empty()) {
        throw DomainError("DuctNetwork: a single branch dangles at node " + some_names(names, dangling) +
                          "; required: a second branch (is a name mistyped?), a fixed pressure, or a demand, zero for "
                          "a closed end");
    }
}

}   // namespace detail

}   // namespace filterflow
