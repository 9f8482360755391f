// SPDX-License-Identifier: BSL-1.0
#pragma once

// Flows and pressures of a duct network of any shape. The shape is analysed once; laws, pressures and demands may
// change between solutions (a filter that loads, draws of a Monte Carlo study).

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_builder.hpp>
#include <filterflow/airflow/network_core.hpp>
#include <filterflow/airflow/network_newton.hpp>
#include <filterflow/airflow/network_ordering.hpp>
#include <filterflow/airflow/network_solution.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// When a network counts as solved.
struct NetworkRules {
    double relative_pressure_tolerance = 1e-9;   ///< greatest residual of a branch over the greatest drop of one, > 0
    double relative_flow_tolerance = 1e-10;   ///< greatest imbalance of a node over the greatest flow of a branch, > 0
    int iteration_limit = 100;                   ///< linear systems at most, 1 to 10000
};

namespace detail {

template <Deferred...>
inline NewtonRules checked_rules(const NetworkRules& rules, const char* where) {
    require_positive(where, "relative_pressure_tolerance", rules.relative_pressure_tolerance, "-");
    require_positive(where, "relative_flow_tolerance", rules.relative_flow_tolerance, "-");
    require_between(where, "iteration_limit", static_cast<double>(rules.iteration_limit), 1.0, 1e4, "-");
    return {rules.relative_pressure_tolerance, rules.relative_flow_tolerance, rules.iteration_limit};
}

}   // namespace detail

/// What the analysis of a network's shape found: how much is eliminated as trees, and what a factorisation of the rest
/// takes.
struct NetworkShape {
    std::size_t tree_nodes = 0;                             ///< eliminated leaf by leaf, >= 0
    std::size_t loop_nodes = 0;                             ///< left for the sparse factorisation, >= 0
    LoopOrdering ordering = LoopOrdering::minimum_degree;   ///< of the nodes in loops, the one of fewer operations
    double factor_entries = 0.0;                            ///< of the factor below its diagonal, >= 0
    double factor_operations = 0.0;        ///< multiplications with an addition of one factorisation, >= 0
    double minimum_degree_entries = 0.0;   ///< what the factor would have by minimum degree, >= 0
    double minimum_degree_operations = 0.0;   ///< and its operations, >= 0
};

class NetworkSolver;

namespace detail {
/// A solver that gives trees to the sparse factorisation, too: what elimination is compared with.
template <Deferred...>
NetworkSolver solver_without_trees(DuctNetwork network);
}   // namespace detail

/// A network analysed for solution. Not to be shared between threads; a copy each may be.
class NetworkSolver {
public:
    /// Checks and analyses a network. DomainError if nodes are isolated, dangle at one branch without pressure or
    /// demand, or are joined to no fixed pressure: each names them.
    template <Deferred...>
    explicit NetworkSolver(DuctNetwork network) : NetworkSolver(std::move(network), true) {}

    /// How the network is eliminated, whatever its parts.
    const NetworkShape& shape() const { return shape_; }

    /// Puts another part in the place of a branch's. DomainError as DuctNetwork::add_branch.
    template <Deferred...>
    void set_part(std::size_t branch, const BranchPart& part) {
        found_ = false;
        newton_.laws().set(new_link(branch), part, air_, "NetworkSolver::set_part");
    }
    /// The same by name.
    template <Deferred...>
    void set_part(std::string_view branch, const BranchPart& part) {
        set_part(detail::index_of_name(names_->branches, branch, "branch"), part);
    }
    /// Changes the pressure of a node whose pressure is fixed; DomainError for any other.
    template <Deferred...>
    void set_pressure(std::string_view node, Pressure pressure) {
        constexpr auto where = "NetworkSolver::set_pressure";
        found_ = false;
        newton_.pressures()[new_node(node, true, where)] =
            detail::require_finite(where, "pressure", pressure.value(), "Pa");
    }
    /// Changes the flow taken out of a node; DomainError where its pressure is fixed.
    template <Deferred...>
    void set_demand(std::string_view node, VolumeFlow demand) {
        constexpr auto where = "NetworkSolver::set_demand";
        found_ = false;
        newton_.demands()[new_node(node, false, where)] =
            detail::require_finite(where, "demand", demand.value(), "m3/s");
    }

    /// Flows and pressures of the network.
    ///
    /// Equation: h_k(q_k) = p_a - p_b for each branch k from a to b; sum q_in - sum q_out = demand at each free node
    /// Symbols:  h drop of the branch's part, q flow [m3/s], p total pressure [Pa]
    /// Validity: one density throughout. With laws that rise with flow there is exactly one solution; a rising part of
    ///           a fan or a negative coefficient may make several: one that is stable is looked for, and the limits say
    ///           so
    /// @param  rules  tolerances and iteration limit
    /// @return flows, pressures, status and limits
    /// @throws DomainError if a rule is out of range; a network that is not solved is a status
    /// @source Todini and Pilati 1987 (global gradient method); Todini and Rossman 2013, J. Hydraul. Eng. 139:511;
    ///         uniqueness: Birkhoff and Diaz 1956; test: airflow/network_test.cpp
    template <Deferred...>
    [[nodiscard]] NetworkSolution solve(const NetworkRules& rules = {}) {
        return solution(newton_.solve_from_scratch(detail::checked_rules(rules, "NetworkSolver::solve")));
    }

    /// The same from given flows, as those of a solution with other parts: fewer iterations where little has changed.
    ///
    /// Equation: as solve
    /// Symbols:  as solve
    /// Validity: as solve; any flows will do, balanced or not
    /// @param  start  flow of each branch [m3/s], finite; shape (branches)
    /// @param  rules  tolerances and iteration limit
    /// @return flows, pressures, status and limits
    /// @throws DomainError if a flow is not finite, their number is not that of the branches, or a rule is out of range
    /// @source as solve; test: airflow/network_test.cpp
    template <Deferred...>
    [[nodiscard]] NetworkSolution solve_from(std::span<const VolumeFlow> start, const NetworkRules& rules = {}) {
        constexpr auto where = "NetworkSolver::solve_from";
        const auto checked = detail::checked_rules(rules, where);
        if (start.size() != newton_.flows().size()) {
            detail::throw_domain_error(where, "number of flows", static_cast<double>(start.size()), "",
                                       "one for each branch, " + std::to_string(newton_.flows().size()));
        }
        for (std::size_t k = 0; k < start.size(); ++k) {
            const auto old = static_cast<std::size_t>(newton_.topology().old_link[k]);
            newton_.flows()[k] = detail::require_finite(where, "flow", start[old].value(), "m3/s");
        }
        return solution(newton_.iterate(checked));
    }

    /// First-order change of every flow where one branch takes a little more pressure: for uncertain parts, whose drop
    /// changes by its own derivative, and for what a dirtier filter does to each room.
    ///
    /// Equation: h'_j dq_j + [j = k] extra = dp_a - dp_b, continuity of dq
    /// Symbols:  h' slope of each law at the solution, dq change of flow, dp of pressure, k the branch
    /// Validity: small changes about the last solution, which is to be stable and of the parts as they are
    /// @param  branch  index of the branch
    /// @param  extra  drop in its direction beside that of its part [Pa], finite
    /// @return change of the flow of each branch [m3/s]; shape (branches)
    /// @throws DomainError if the index or the drop is out of range; NoSolution if the last search found none, or
    ///         parts, pressures or demands changed since
    /// @source implicit function theorem; test: airflow/network_solver_test.cpp
    template <Deferred...>
    [[nodiscard]] std::vector<VolumeFlow> flow_changes(std::size_t branch, Pressure extra) {
        constexpr auto where = "NetworkSolver::flow_changes";
        const std::size_t k = new_link(branch);
        const double drop = detail::require_finite(where, "extra", extra.value(), "Pa");
        const std::vector<double> change = found_ ? newton_.flow_changes(k, drop) : std::vector<double>();
        if (change.empty()) throw NoSolution(std::string(where) + ": flows and parts are not those of a solution");
        std::vector<VolumeFlow> result(change.size());
        for (std::size_t link = 0; link < change.size(); ++link) {
            result[static_cast<std::size_t>(newton_.topology().old_link[link])] = VolumeFlow::from_value(change[link]);
        }
        return result;
    }

private:
    template <Deferred...>
    friend NetworkSolver detail::solver_without_trees(DuctNetwork network);

    template <Deferred...>
    NetworkSolver(DuctNetwork network, bool eliminate_trees)
        : air_(network.air_), names_(std::make_shared<const detail::NetworkNames>(std::move(network.names_))),
          newton_(analyse(network, *names_, eliminate_trees, shape_)) {
        const auto& t = newton_.topology();
        new_link_.resize(t.old_link.size());
        for (std::size_t k = 0; k < t.old_link.size(); ++k) {
            new_link_[static_cast<std::size_t>(t.old_link[k])] = static_cast<std::int32_t>(k);
        }
        for (std::size_t i = 0; i < network.values_.size(); ++i) {
            if (network.values_[i] == DuctNetwork::not_stated) continue;
            const auto at = static_cast<std::size_t>(t.new_node[i]);
            (network.graph_.fixed[i] != 0 ? newton_.pressures() : newton_.demands())[at] = network.values_[i];
        }
    }

    using Newton = detail::NetworkNewton<detail::SparseCore>;

    template <Deferred...>
    static Newton analyse(DuctNetwork& network, const detail::NetworkNames& names, bool eliminate_trees,
                          NetworkShape& shape) {
        network.graph_.node_count = network.values_.size();
        detail::check_network(network.graph_, names.nodes, network.values_);
        const auto ordering = [&shape](const detail::UpperPattern& pattern) {
            detail::CoreOrder order = detail::core_order(pattern);
            shape.ordering = order.ordering;
            shape.factor_entries = order.count.entries;
            shape.factor_operations = order.count.operations;
            shape.minimum_degree_entries = order.minimum_degree.entries;
            shape.minimum_degree_operations = order.minimum_degree.operations;
            return std::move(order.place);
        };
        auto topology = detail::network_topology(network.graph_, ordering, eliminate_trees);
        shape.loop_nodes = static_cast<std::size_t>(topology.core_count);
        shape.tree_nodes = static_cast<std::size_t>(topology.free_count - topology.core_count);
        network.graph_.from = {};
        network.graph_.to = {};
        detail::LawStore laws = network.laws_.in_order(topology.old_link);
        network.laws_ = {};
        return {std::move(topology), std::move(laws)};
    }

    template <Deferred...>
    std::size_t new_link(std::size_t branch) const {
        if (branch >= new_link_.size()) {
            detail::throw_domain_error("NetworkSolver", "index of a branch", static_cast<double>(branch), "",
                                       "less than " + std::to_string(new_link_.size()));
        }
        return static_cast<std::size_t>(new_link_[branch]);
    }

    template <Deferred...>
    std::size_t new_node(std::string_view name, bool fixed, const char* where) const {
        const std::size_t old = detail::index_of_name(names_->nodes, name, "node");
        const auto at = newton_.topology().new_node[old];
        if ((at >= newton_.topology().free_count) != fixed) {
            throw DomainError(std::string(where) + ": the pressure of node '" + std::string(name) + "' is " +
                              (fixed ? "not " : "") + "fixed; required: one whose pressure is" + (fixed ? "" : " not"));
        }
        return static_cast<std::size_t>(at);
    }

    template <Deferred...>
    NetworkSolution solution(const detail::NewtonOutcome& outcome) {
        found_ = outcome.converged && outcome.stable;
        return detail::SolutionWriter::written(newton_, names_, outcome);
    }

    AirState air_;
    std::shared_ptr<const detail::NetworkNames> names_;
    NetworkShape shape_;
    Newton newton_;
    std::vector<std::int32_t> new_link_;
    bool found_ = false;   // the flows are those of the parts as they are
};

namespace detail {
template <Deferred...>
inline NetworkSolver solver_without_trees(DuctNetwork network) { return {std::move(network), false}; }
}   // namespace detail

}   // namespace filterflow
