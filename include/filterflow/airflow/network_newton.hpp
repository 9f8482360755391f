// SPDX-License-Identifier: BSL-1.0
#pragma once

// Newton's method on flows and pressures together (the global gradient method of Todini and Pilati 1987), written for
// corrections, so that rounding shrinks with them:
//     A dp = c + B g e,   dq = -g e + g B' dp,   A = B g B'
// with g = 1/slope of each link, e = drop - pressure difference (energy), c the flow that a node gains. Trees are
// eliminated leaf by leaf without a subtraction, the core by a sparse factorisation. A correction keeps continuity, so
// the sum of e dq along it is the slope of the network's content (convex for laws that rise): where the full step
// overshoots, a point where that slope has nearly vanished is searched for at the cost of a few evaluations.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_start.hpp>
#include <filterflow/airflow/network_topology.hpp>

namespace filterflow::detail {

struct NewtonRules {
    double pressure_tolerance = 1e-9;   // of the greatest drop of one link
    double flow_tolerance = 1e-10;      // of the greatest flow of one link
    int iteration_limit = 100;
};

struct NewtonOutcome {
    bool converged = false;
    bool stable = true;           // meaningful where converged
    int iterations = 0;           // linear systems solved
    std::size_t falling = 0;      // links whose drop falls with flow where the search ended
    double energy_residual = 0;   // greatest |drop - pressure difference| of a link [Pa]
    double imbalance = 0;         // greatest |flow in - flow out - demand| of a free node [m3/s]
};

/// Core is the sparse solver: analyse(pattern), clear(), add(entry, node, node, conductance), factorise(excess,
/// negative pivots), solve(load).
template <class Core>
class NetworkNewton {
public:
    NetworkNewton(NetworkTopology topology, LawStore laws) : t_(std::move(topology)), laws_(std::move(laws)) {
        const std::size_t links = t_.from.size();
        const auto nodes = static_cast<std::size_t>(t_.node_count);
        for (auto* of_links : {&flow_, &conductance_, &energy_, &change_}) of_links->assign(links, 0.0);
        for (auto* of_nodes : {&pressure_, &demand_, &gain_, &load_, &excess_}) of_nodes->assign(nodes, 0.0);
        share_.assign(t_.parent.size(), 0.0);
        if (t_.core_count > 0) core_.analyse(std::move(t_.core));
    }

    const NetworkTopology& topology() const { return t_; }
    LawStore& laws() { return laws_; }
    const LawStore& laws() const { return laws_; }
    std::vector<double>& flows() { return flow_; }              // of new links
    const std::vector<double>& flows() const { return flow_; }
    std::vector<double>& pressures() { return pressure_; }      // of new nodes; the fixed ones are given
    const std::vector<double>& pressures() const { return pressure_; }
    std::vector<double>& demands() { return demand_; }          // of new nodes, taken out of free ones
    const std::vector<double>& demands() const { return demand_; }
    double gain(std::size_t new_node) const { return gain_[new_node]; }   // flow in less flow out (and demand)

    /// From the flows that straight lines in place of the laws would give.
    NewtonOutcome solve_from_scratch(const NewtonRules& rules) {
        start();
        measure([this](std::size_t k) { return start_point(laws_, k, flow_[k], start_flow_, scale_); });
        if (!correct()) return {};
        scale_ = 0.0;   // straight lines were measured at rest: their drops tell nothing
        for (std::size_t k = 0; k < flow_.size(); ++k) {
            scale_ = std::max(scale_, std::abs(pressure_[from(k)] - pressure_[to(k)]));
        }
        NewtonOutcome outcome = iterate(rules, true);
        ++outcome.iterations;
        return outcome;
    }

    /// From the flows as they are. Where they are not balanced at the nodes the first correction balances them; from
    /// then on the content is a measure of progress.
    NewtonOutcome iterate(const NewtonRules& rules, bool balanced = false) {
        NewtonOutcome outcome;
        double content_slope = 0.0;
        const int first_checked = balanced ? 1 : 2;
        if (!balanced) measure([this](std::size_t k) { return laws_.at(k, flow_[k], scale_); });   // for the scale
        for (;; ++outcome.iterations) {
            measure([this](std::size_t k) { return laws_.at(k, flow_[k], scale_); });
            if (outcome.iterations >= first_checked && greatest_energy_ > near_solution * scale_ &&
                along_ > 0.5 * std::abs(content_slope)) {
                shorten_step(content_slope);
                measure([this](std::size_t k) { return laws_.at(k, flow_[k], scale_); });
            }
            outcome.falling = falling_;
            outcome.energy_residual = greatest_energy_;
            outcome.imbalance = greatest_gain_;
            if (!std::isfinite(outcome.energy_residual + outcome.imbalance)) return outcome;
            if (outcome.energy_residual <= rules.pressure_tolerance * scale_ &&
                outcome.imbalance <= rules.flow_tolerance * greatest_flow_) {
                outcome.converged = true;
                outcome.stable = falling_ == 0 || factorise();
                return outcome;
            }
            if (outcome.iterations == rules.iteration_limit || !correct()) return outcome;
            content_slope = along_;
        }
    }

    /// First-order changes of all flows where link k drops `extra` more: one more solve of the system at the solution.
    /// Empty where the system is singular or the solution unstable.
    std::vector<double> flow_changes(std::size_t k, double extra) {
        const std::vector<double> flow = flow_, pressure = pressure_;
        measure([this](std::size_t link) { return laws_.at(link, flow_[link], scale_); });
        std::fill(energy_.begin(), energy_.end(), 0.0);
        energy_[k] = scale_;
        gather([this](std::size_t link, std::size_t, std::size_t) { return conductance_[link]; });
        const bool stable = factorise();
        if (stable) step_from_system();
        flow_ = flow;
        pressure_ = pressure;
        if (!stable || !(scale_ > 0.0)) return {};
        std::vector<double> changes = change_;
        for (double& change : changes) change *= extra / scale_;
        return changes;
    }

private:
    /// Flow scale and pressure scale before anything is known.
    void start() {
        std::fill(flow_.begin(), flow_.end(), 0.0);
        double low = 0.0, high = 0.0, demand = 0.0;
        if (free_count() < pressure_.size()) {
            const auto [least, most] = std::minmax_element(pressure_.begin() + t_.free_count, pressure_.end());
            low = *least;
            high = *most;
        }
        std::fill(pressure_.begin(), pressure_.begin() + t_.free_count, low + 0.5 * (high - low));
        for (const double d : demand_) demand = std::max(demand, std::abs(d));
        scale_ = high - low;
        std::vector<std::size_t> passive;
        for (std::size_t k = 0; k < flow_.size(); ++k) {
            if (laws_.kind(k) == LawKind::fan) {
                const MonotoneCubic& curve = laws_.fan(k).curve;
                flow_[k] = 0.5 * (curve.lowest() + curve.highest());
            } else {
                passive.push_back(k);
            }
            scale_ = std::max(scale_, std::abs(laws_.at(k, flow_[k], 0.0).drop));
        }
        start_flow_ = start_flow(laws_, passive, scale_, demand);
    }

    /// Evaluates all links and puts the linear system together.
    template <class Law>
    void measure(const Law& law) {
        double energy_most = 0.0, drop_most = 0.0, flow_most = 0.0, along = 0.0;
        falling_ = 0;
        gather([&](std::size_t k, std::size_t a, std::size_t b) {
            const LawPoint point = law(k);
            const double e = point.drop - (pressure_[a] - pressure_[b]);
            const double g = 1.0 / (std::abs(point.slope) > least_slope ? point.slope : least_slope);
            falling_ += point.slope < 0.0;
            energy_most = std::max(energy_most, std::abs(e));
            drop_most = std::max(drop_most, std::abs(point.drop));
            flow_most = std::max(flow_most, std::abs(flow_[k]));
            along += e * change_[k];
            energy_[k] = e;
            conductance_[k] = g;
            return g;
        });
        greatest_energy_ = energy_most;
        greatest_flow_ = flow_most;
        scale_ = drop_most;
        along_ = along;
    }

    static constexpr double least_slope = 1e-30;
    static constexpr double near_solution = 1e-7;   // of the pressure scale; below it slopes of the content are rounding

    std::size_t from(std::size_t k) const { return static_cast<std::size_t>(t_.from[k]); }
    std::size_t to(std::size_t k) const { return static_cast<std::size_t>(t_.to[k]); }
    std::size_t core_count() const { return static_cast<std::size_t>(t_.core_count); }
    std::size_t free_count() const { return static_cast<std::size_t>(t_.free_count); }

    /// Puts the linear system together from the conductances that conductance(link, from, to) gives, and eliminates
    /// the trees from their leaves on. Counts negative pivots.
    template <class Conductance>
    void gather(const Conductance& conductance) {
        for (std::size_t i = 0; i < gain_.size(); ++i) gain_[i] = load_[i] = -demand_[i];
        std::fill(excess_.begin(), excess_.end(), 0.0);
        if (t_.core_count > 0) core_.clear();
        negative_ = 0;
        vanishing_ = false;
        double gain_most = 0.0;
        const auto enter = [&](std::size_t k, std::size_t a, std::size_t b) {
            const double g = conductance(k, a, b);
            const double q = flow_[k], own = g * energy_[k] - q;
            gain_[a] -= q;
            gain_[b] += q;
            load_[a] += own;
            load_[b] -= own;
            return g;
        };
        const auto core_links = static_cast<std::size_t>(t_.core_links);
        const std::size_t tree_end = core_links + static_cast<std::size_t>(t_.tree_links);
        const std::size_t ground_end = tree_end + static_cast<std::size_t>(t_.ground_links);
        for (std::size_t k = 0; k < core_links; ++k) {
            core_.add(static_cast<std::size_t>(t_.entry[k]), from(k), to(k), enter(k, from(k), to(k)));
        }
        for (std::size_t k = tree_end; k < ground_end; ++k) {
            excess_[std::min(from(k), to(k))] += enter(k, from(k), to(k));
        }
        for (std::size_t k = ground_end; k < flow_.size(); ++k) enter(k, from(k), to(k));
        std::size_t k = tree_end;
        for (std::size_t i = free_count(); i-- > core_count();) {
            double g = 0.0;   // conductance to the parent, of all parallel links
            for (; k > core_links && std::max(from(k - 1), to(k - 1)) == i; --k) g += enter(k - 1, from(k - 1), to(k - 1));
            eliminate(i, g);
            gain_most = std::max(gain_most, std::abs(gain_[i]));
        }
        for (std::size_t i = 0; i < core_count(); ++i) gain_most = std::max(gain_most, std::abs(gain_[i]));
        greatest_gain_ = gain_most;
    }

    /// Node i, a leaf by now, leaves a load on its parent and a conductance from there to fixed pressures.
    void eliminate(std::size_t i, double g) {
        const NodeNumber p = t_.parent[i - core_count()];
        const double x = excess_[i];
        const double pivot = g + x;
        negative_ += pivot < 0.0;
        vanishing_ = vanishing_ || pivot == 0.0;
        const double inverse = 1.0 / pivot, share = g * inverse;
        if (p >= 0) {
            excess_[static_cast<std::size_t>(p)] += share * x;
            load_[static_cast<std::size_t>(p)] += share * load_[i];
        }
        share_[i - core_count()] = share;
        load_[i] *= inverse;
    }

    /// Factorises the core. True if the content has a minimum along continuity, that is if as many pivots as slopes
    /// are negative (inertia of the bordered matrix).
    bool factorise() {
        if (vanishing_) return false;
        std::size_t negative = negative_;
        return (t_.core_count == 0 || core_.factorise(excess_, negative)) && negative == falling_;
    }

    /// Corrects pressures and flows by a whole step. A falling law enters as it is if the step still descends, or else
    /// as one that rises a little.
    bool correct() {
        if (!factorise()) {
            if (falling_ == 0) return false;
            for (double& g : conductance_) g = g < 0.0 ? -1e3 * g : g;
            gather([this](std::size_t k, std::size_t, std::size_t) { return conductance_[k]; });
            falling_ = 0;
            if (!factorise()) return false;
        }
        step_from_system();
        return true;
    }

    void step_from_system() {
        double along = 0.0;
        const auto correct_link = [&](std::size_t k) {
            const double change = conductance_[k] * (load_[from(k)] - load_[to(k)] - energy_[k]);
            along += energy_[k] * change;
            flow_[k] += change;
            change_[k] = change;
        };
        std::fill(load_.begin() + t_.free_count, load_.end(), 0.0);
        if (t_.core_count > 0) core_.solve(load_);
        for (std::size_t i = 0; i < core_count(); ++i) pressure_[i] += load_[i];
        std::size_t k = 0;
        for (; k < static_cast<std::size_t>(t_.core_links); ++k) correct_link(k);
        const std::size_t tree_end = k + static_cast<std::size_t>(t_.tree_links);
        for (std::size_t i = core_count(); i < free_count(); ++i) {
            const NodeNumber p = t_.parent[i - core_count()];
            if (p >= 0) load_[i] += share_[i - core_count()] * load_[static_cast<std::size_t>(p)];
            pressure_[i] += load_[i];
            for (; k < tree_end && std::max(from(k), to(k)) == i; ++k) correct_link(k);
        }
        for (; k < flow_.size(); ++k) correct_link(k);
        along_ = along;
    }

    void take_step(double share) {
        for (std::size_t k = 0; k < flow_.size(); ++k) flow_[k] += share * change_[k];
    }

    /// Goes back along the last step to where the content's slope is at most half of what it was.
    void shorten_step(double slope_at_start) {
        double low = 0.0, high = 1.0, at = 1.0;
        double slope_low = slope_at_start, slope_high = along_;
        for (int trial = 0; trial < 20; ++trial) {
            const double secant = low + (high - low) * slope_low / (slope_low - slope_high);
            const double next = std::clamp(secant, low + 0.05 * (high - low), high - 0.05 * (high - low));
            take_step(next - at);
            at = next;
            double slope = 0.0;
            for (std::size_t k = 0; k < flow_.size(); ++k) {
                slope += (laws_.at(k, flow_[k], scale_).drop - (pressure_[from(k)] - pressure_[to(k)])) * change_[k];
            }
            if (std::abs(slope) <= 0.5 * std::abs(slope_at_start)) break;
            (slope < 0.0 ? low : high) = at;
            (slope < 0.0 ? slope_low : slope_high) = slope;
        }
        for (double& c : change_) c = 0.0;
    }

    NetworkTopology t_;
    LawStore laws_;
    Core core_;
    std::vector<double> flow_, conductance_, energy_, change_;         // of links
    std::vector<double> pressure_, demand_, gain_, load_, excess_;     // of nodes
    std::vector<double> share_;   // of tree nodes: what a load on them leaves on the parent
    double scale_ = 0.0, start_flow_ = 1.0;
    double greatest_energy_ = 0.0, greatest_flow_ = 0.0, greatest_gain_ = 0.0, along_ = 0.0;
    std::size_t falling_ = 0, negative_ = 0;   // slopes, and pivots of trees, below zero
    bool vanishing_ = false;                   // a pivot of a tree is zero
};

}   // namespace filterflow::detail
