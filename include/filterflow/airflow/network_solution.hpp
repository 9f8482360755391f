// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a network's solution says: flows of branches and pressures of nodes, by name and by index, how exactly they
// meet the laws, and what limits them.

#include <cmath>
#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fan_pressure_kinds.hpp>
#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_names.hpp>
#include <filterflow/airflow/network_newton.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Whether a network's flows can be used.
enum class NetworkStatus {
    solved,              ///< flows and pressures meet all laws; see the limits for what is to be watched
    fan_outside_table,   ///< they would, if a fan's table went on in a straight line: no fan was measured there
    unstable,       ///< they do, but a fan's rising part makes them unstable: the least change moves away from them
    not_converged   ///< the iteration limit was met first, or numbers grew beyond all bounds
};

/// A status in words.
///
/// Equation: none
/// Symbols:  none
/// Validity: every status
/// @param  status  of a network's solution
/// @return what it means, as part of a sentence
/// @throws nothing
/// @source none; test: airflow/network_test.cpp
template <Deferred...>
inline std::string_view status_text(NetworkStatus status) {
    switch (status) {
        case NetworkStatus::solved: return "flows and pressures meet all laws";
        case NetworkStatus::fan_outside_table: return "a fan would run outside its table";
        case NetworkStatus::unstable: return "the flows found are unstable";
        case NetworkStatus::not_converged: return "no flows were found that meet all laws";
    }
    return "unknown status";
}

/// What limits a solution.
enum class NetworkLimitKind {
    fan_outside_table,   ///< the fan's flow lies outside its table
    fan_rises,           ///< the fan runs where its pressure rises with flow: risk of stall and surge
    fan_pressure_kind,   ///< the fan's table does not state total pressure, but is taken as the rise of it
    drop_falls,          ///< the drop of a branch other than a fan falls with flow: there may be further solutions
    not_converged        ///< this branch misses its law by most
};

/// One limit, and the branch that it comes from.
struct NetworkLimit {
    NetworkLimitKind kind;   ///< what it is
    std::size_t branch;      ///< index of the branch
    std::string text;        ///< in words, with the branch's name and the figures
};

namespace detail {
struct SolutionWriter;
struct NetworkNames {
    NameTable nodes, branches;
};
template <Deferred...>
inline std::size_t index_of_name(const NameTable& table, std::string_view name, const char* what) {
    const auto found = table.find(name);
    if (!found) {
        throw DomainError(std::string("DuctNetwork: there is no ") + what + " '" + std::string(name) +
                          "'; required: the name of a " + what);
    }
    return *found;
}
}   // namespace detail

/// Flows and pressures of a network. Made by NetworkSolver::solve.
class NetworkSolution {
public:
    NetworkStatus status() const { return status_; }
    bool found() const { return status_ == NetworkStatus::solved; }
    const std::vector<NetworkLimit>& limits() const { return limits_; }   ///< empty if nothing is to be watched
    int iterations() const { return iterations_; }                        ///< linear systems solved, >= 0
    template <Deferred...>
    VolumeFlow greatest_imbalance() const { return imbalance_; }   ///< at a node: flow in, less flow out and demand
    template <Deferred...>
    Pressure greatest_residual() const { return residual_; }       ///< of a branch: drop less pressure difference

    /// Flow of a branch from its first node to its second; throws NoSolution if none was found.
    template <Deferred...>
    VolumeFlow flow(std::size_t branch) const { return checked(flows_, branch, "branch"); }
    /// The same by name; DomainError if no branch has it.
    template <Deferred...>
    VolumeFlow flow(std::string_view branch) const {
        return flow(detail::index_of_name(names_->branches, branch, "branch"));
    }
    /// Total pressure of a node; throws NoSolution if none was found.
    template <Deferred...>
    Pressure pressure(std::size_t node) const { return checked(pressures_, node, "node"); }
    /// The same by name; DomainError if no node has it.
    template <Deferred...>
    Pressure pressure(std::string_view node) const {
        return pressure(detail::index_of_name(names_->nodes, node, "node"));
    }
    /// Drop of total pressure along a branch, negative for a fan that lifts; throws NoSolution if none was found.
    template <Deferred...>
    Pressure pressure_drop(std::size_t branch) const { return checked(drops_, branch, "branch"); }
    /// The same by name; DomainError if no branch has it.
    template <Deferred...>
    Pressure pressure_drop(std::string_view branch) const {
        return pressure_drop(detail::index_of_name(names_->branches, branch, "branch"));
    }
    /// Flow that enters the network at a node from outside: at one of fixed pressure what it supplies, elsewhere less
    /// its demand; throws NoSolution if none was found.
    template <Deferred...>
    VolumeFlow supply(std::size_t node) const { return checked(supplies_, node, "node"); }
    /// The same by name; DomainError if no node has it.
    template <Deferred...>
    VolumeFlow supply(std::string_view node) const {
        return supply(detail::index_of_name(names_->nodes, node, "node"));
    }

    /// Flows of all branches as the last iteration left them, found or not: to start another search from.
    const std::vector<VolumeFlow>& last_flows() const { return flows_; }

private:
    friend struct detail::SolutionWriter;
    NetworkSolution() = default;

    template <class Quantity>
    Quantity checked(const std::vector<Quantity>& values, std::size_t index, const char* what) const {
        if (index >= values.size()) {
            throw DomainError(std::string("NetworkSolution: there is no ") + what + " of index " +
                              std::to_string(index) + "; required: less than " + std::to_string(values.size()));
        }
        if (!found()) {
            std::string text = "NetworkSolution: " + std::string(status_text(status_));
            if (!limits_.empty()) text += " (" + limits_.front().text + ")";
            throw NoSolution(text);
        }
        return values[index];
    }

    NetworkStatus status_ = NetworkStatus::not_converged;
    std::vector<NetworkLimit> limits_;
    int iterations_ = 0;
    VolumeFlow imbalance_{};
    Pressure residual_{};
    std::vector<VolumeFlow> flows_;      // of branches
    std::vector<Pressure> drops_;        // of branches
    std::vector<Pressure> pressures_;    // of nodes
    std::vector<VolumeFlow> supplies_;   // of nodes
    std::shared_ptr<const detail::NetworkNames> names_;
};

namespace detail {

/// What a fan's table is taken for that does not state total pressure.
template <Deferred...>
inline std::string fan_kind_text(FanPressureKind kind, const std::string& branch) {
    return "the fan of " + branch + " states " + kind_words(kind) +
           " pressure, taken as the rise of total pressure: right where " +
           (kind == FanPressureKind::static_pressure ? "its outlet's velocity is lost"
                                                     : "the velocities at its inlet and outlet are equal");
}

struct SolutionWriter {
    template <class Newton>
    static NetworkSolution written(const Newton& newton, std::shared_ptr<const NetworkNames> names,
                                   const NewtonOutcome& outcome) {
        NetworkSolution s;
        s.names_ = std::move(names);
        const auto& t = newton.topology();
        const auto& laws = newton.laws();
        s.iterations_ = outcome.iterations;
        s.imbalance_ = VolumeFlow::from_value(outcome.imbalance);
        s.residual_ = Pressure::from_value(outcome.energy_residual);
        s.status_ = !outcome.converged ? NetworkStatus::not_converged
                  : outcome.stable   ? NetworkStatus::solved
                                     : NetworkStatus::unstable;
        s.flows_.resize(t.old_link.size());
        s.drops_.resize(t.old_link.size());
        s.pressures_.resize(t.new_node.size());
        s.supplies_.resize(t.new_node.size());
        std::vector<NetworkLimit> kinds;
        double worst = -1.0;
        std::size_t worst_link = 0;
        for (std::size_t k = 0; k < t.old_link.size(); ++k) {
            const auto old = static_cast<std::size_t>(t.old_link[k]);
            const double q = newton.flows()[k];
            const double difference = newton.pressures()[static_cast<std::size_t>(t.from[k])] -
                                      newton.pressures()[static_cast<std::size_t>(t.to[k])];
            s.flows_[old] = VolumeFlow::from_value(q);
            s.drops_[old] = Pressure::from_value(difference);
            const bool is_fan = laws.kind(k) == LawKind::fan;
            const auto branch = [&] { return "branch '" + std::string(s.names_->branches.name(old)) + "'"; };
            if (is_fan && laws.fan(k).kind != FanPressureKind::total) {
                kinds.push_back({NetworkLimitKind::fan_pressure_kind, old,
                                 fan_kind_text(laws.fan(k).kind, branch())});
            }
            if (!outcome.converged) {
                const double missed = std::abs(laws.at(k, q, 0.0).drop - difference);
                if (!(missed <= worst)) {
                    worst = missed;
                    worst_link = k;
                }
            } else if (is_fan && !laws.fan(k).contains(q)) {
                s.status_ = NetworkStatus::fan_outside_table;
                s.limits_.push_back({NetworkLimitKind::fan_outside_table, old,
                                     "the fan of " + branch() + " would move " + number_text(q) +
                                         " m3/s, its table has " + number_text(laws.fan(k).curve.lowest()) + " to " +
                                         number_text(laws.fan(k).curve.highest()) + " m3/s"});
            } else if (outcome.falling > 0 && laws.at(k, q, 0.0).slope < 0.0) {
                s.limits_.push_back({is_fan ? NetworkLimitKind::fan_rises : NetworkLimitKind::drop_falls, old,
                                   (is_fan ? "the pressure of the fan of " + branch() + " rises with flow at "
                                           : "the drop of " + branch() + " falls with flow at ") +
                                       number_text(q) + " m3/s"});
            }
        }
        if (!outcome.converged) {
            const auto old = static_cast<std::size_t>(t.old_link[worst_link]);
            s.limits_.push_back({NetworkLimitKind::not_converged, old,
                               "branch '" + std::string(s.names_->branches.name(old)) + "' still misses its law by " +
                                   number_text(worst) + " Pa after " + std::to_string(outcome.iterations) +
                                   " iterations"});
        }
        s.limits_.insert(s.limits_.end(), kinds.begin(), kinds.end());   // after what is worse
        for (std::size_t i = 0; i < t.new_node.size(); ++i) {
            const auto at = static_cast<std::size_t>(t.new_node[i]);
            s.pressures_[i] = Pressure::from_value(newton.pressures()[at]);
            s.supplies_[i] = VolumeFlow::from_value(t.new_node[i] < t.free_count ? -newton.demands()[at]
                                                                              : -newton.gain(at));
        }
        return s;
    }
};

}   // namespace detail

}   // namespace filterflow
