// SPDX-License-Identifier: BSL-1.0
#pragma once

// Newton's method on flows and pressures together (the global gradient method of Todini and Pilati 1987), written for
// corrections, so that rounding shrinks with them; network_system.hpp has the linear system. A correction keeps
// continuity, so the sum of energy times change along it is the slope of the network's content (convex for laws that
// rise): where the full step overshoots, a point where that slope has nearly vanished is searched for at the cost of a
// few evaluations.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/airflow/network_laws.hpp>
#include <filterflow/airflow/network_start.hpp>
#include <filterflow/airflow/network_system.hpp>
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

/// Core is the sparse solver of NetworkSystem.
template <class Core>
class NetworkNewton {
public:
    NetworkNewton(NetworkTopology topology, LawStore laws) : s_(std::move(topology)), laws_(std::move(laws)) {}

    const NetworkTopology& topology() const { return s_.topology; }
    LawStore& laws() { return laws_; }
    const LawStore& laws() const { return laws_; }
    std::vector<double>& flows() { return s_.flow; }   // of new links
    const std::vector<double>& flows() const { return s_.flow; }
    std::vector<double>& pressures() { return s_.pressure; }   // of new nodes; the fixed ones are given
    const std::vector<double>& pressures() const { return s_.pressure; }
    std::vector<double>& demands() { return s_.demand; }   // of new nodes, taken out of free ones
    const std::vector<double>& demands() const { return s_.demand; }
    double gain(std::size_t new_node) const { return s_.gain[new_node]; }   // flow in less flow out (and demand)

    /// From the flows that straight lines in place of the laws would give.
    NewtonOutcome solve_from_scratch(const NewtonRules& rules) {
        start();
        measure([this](std::size_t k) { return start_point(laws_, k, s_.flow[k], start_flow_, scale_); });
        if (!correct()) return {};
        scale_ = 0.0;   // straight lines were measured at rest: their drops tell nothing
        for (std::size_t k = 0; k < s_.flow.size(); ++k) {
            scale_ = std::max(scale_, std::abs(s_.pressure[s_.from(k)] - s_.pressure[s_.to(k)]));
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
        if (!balanced) measure([this](std::size_t k) { return laws_.at(k, s_.flow[k], scale_); });   // for the scale
        for (;; ++outcome.iterations) {
            measure([this](std::size_t k) { return laws_.at(k, s_.flow[k], scale_); });
            if (outcome.iterations >= first_checked && greatest_energy_ > near_solution * scale_ &&
                along_ > 0.5 * std::abs(content_slope)) {
                shorten_step(content_slope);
                measure([this](std::size_t k) { return laws_.at(k, s_.flow[k], scale_); });
            }
            outcome.falling = falling_;
            outcome.energy_residual = greatest_energy_;
            outcome.imbalance = s_.greatest_gain;
            if (!std::isfinite(outcome.energy_residual + outcome.imbalance)) return outcome;
            if (outcome.energy_residual <= rules.pressure_tolerance * scale_ &&
                outcome.imbalance <= rules.flow_tolerance * greatest_flow_) {
                outcome.converged = true;
                outcome.stable = falling_ == 0 || s_.factorise(falling_);
                return outcome;
            }
            if (outcome.iterations == rules.iteration_limit || !correct()) return outcome;
            content_slope = along_;
        }
    }

    /// First-order changes of all flows where link k drops `extra` more: one more solve of the system at the solution.
    /// Empty where the system is singular or the solution unstable.
    std::vector<double> flow_changes(std::size_t k, double extra) {
        const std::vector<double> flow = s_.flow, pressure = s_.pressure;
        measure([this](std::size_t link) { return laws_.at(link, s_.flow[link], scale_); });
        std::fill(s_.energy.begin(), s_.energy.end(), 0.0);
        s_.energy[k] = scale_;
        s_.gather([this](std::size_t link, std::size_t, std::size_t) { return s_.conductance[link]; });
        const bool stable = s_.factorise(falling_);
        if (stable) s_.step();
        s_.flow = flow;
        s_.pressure = pressure;
        if (!stable || !(scale_ > 0.0)) return {};
        std::vector<double> changes = s_.change;
        for (double& change : changes) change *= extra / scale_;
        return changes;
    }

private:
    /// Flow scale and pressure scale before anything is known.
    void start() {
        std::fill(s_.flow.begin(), s_.flow.end(), 0.0);
        double low = 0.0, high = 0.0, demand = 0.0;
        if (s_.free_count() < s_.pressure.size()) {
            const auto [least, most] =
                std::minmax_element(s_.pressure.begin() + s_.topology.free_count, s_.pressure.end());
            low = *least;
            high = *most;
        }
        std::fill(s_.pressure.begin(), s_.pressure.begin() + s_.topology.free_count, low + 0.5 * (high - low));
        for (const double d : s_.demand) demand = std::max(demand, std::abs(d));
        scale_ = high - low;
        std::vector<std::size_t> passive;
        for (std::size_t k = 0; k < s_.flow.size(); ++k) {
            if (laws_.kind(k) == LawKind::fan) {
                const MonotoneCubic& curve = laws_.fan(k).curve;
                s_.flow[k] = 0.5 * (curve.lowest() + curve.highest());
            } else {
                passive.push_back(k);
            }
            scale_ = std::max(scale_, std::abs(laws_.at(k, s_.flow[k], 0.0).drop));
        }
        start_flow_ = start_flow(laws_, passive, scale_, demand);
    }

    /// Evaluates all links and puts the linear system together.
    template <class Law>
    void measure(const Law& law) {
        double energy_most = 0.0, drop_most = 0.0, flow_most = 0.0, along = 0.0;
        falling_ = 0;
        s_.gather([&](std::size_t k, std::size_t a, std::size_t b) {
            const LawPoint point = law(k);
            const double e = point.drop - (s_.pressure[a] - s_.pressure[b]);
            const double g = 1.0 / (std::abs(point.slope) > least_slope ? point.slope : least_slope);
            falling_ += point.slope < 0.0;
            energy_most = std::max(energy_most, std::abs(e));
            drop_most = std::max(drop_most, std::abs(point.drop));
            flow_most = std::max(flow_most, std::abs(s_.flow[k]));
            along += e * s_.change[k];
            s_.energy[k] = e;
            s_.conductance[k] = g;
            return g;
        });
        greatest_energy_ = energy_most;
        greatest_flow_ = flow_most;
        scale_ = drop_most;
        along_ = along;
    }

    static constexpr double least_slope = 1e-30;
    static constexpr double near_solution = 1e-7;   // of the pressure scale; below, slopes of the content are rounding

    /// Corrects pressures and flows by a whole step. A falling law enters as it is if the step still descends, or else
    /// as one that rises a little.
    bool correct() {
        if (!s_.factorise(falling_)) {
            if (falling_ == 0) return false;
            for (double& g : s_.conductance) g = g < 0.0 ? -1e3 * g : g;
            s_.gather([this](std::size_t k, std::size_t, std::size_t) { return s_.conductance[k]; });
            falling_ = 0;
            if (!s_.factorise(falling_)) return false;
        }
        along_ = s_.step();
        return true;
    }

    void take_step(double share) {
        for (std::size_t k = 0; k < s_.flow.size(); ++k) s_.flow[k] += share * s_.change[k];
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
            for (std::size_t k = 0; k < s_.flow.size(); ++k) {
                slope += (laws_.at(k, s_.flow[k], scale_).drop - (s_.pressure[s_.from(k)] - s_.pressure[s_.to(k)])) *
                         s_.change[k];
            }
            if (std::abs(slope) <= 0.5 * std::abs(slope_at_start)) break;
            (slope < 0.0 ? low : high) = at;
            (slope < 0.0 ? slope_low : slope_high) = slope;
        }
        for (double& c : s_.change) c = 0.0;
    }

    NetworkSystem<Core> s_;
    LawStore laws_;
    double scale_ = 0.0, start_flow_ = 1.0;
    double greatest_energy_ = 0.0, greatest_flow_ = 0.0, along_ = 0.0;
    std::size_t falling_ = 0;   // slopes below zero
};

}   // namespace filterflow::detail
