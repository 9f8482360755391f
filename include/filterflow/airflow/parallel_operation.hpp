// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where fans in parallel meet a system: every crossing on every combination of falling and rising parts, with the flow
// of each fan, and whether it is stable. The combined curve alone does not tell that: two fans that both work on a
// rising part are never stable together, however the sum of their flows may fall with pressure.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fans_in_parallel.hpp>
#include <filterflow/airflow/parallel_search.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A state in which fans in parallel and a system agree.
struct ParallelCrossing {
    VolumeFlow flow{};                   ///< through the system
    Pressure pressure{};                 ///< of the fan tables' kind, the same for every fan
    std::vector<VolumeFlow> fan_flows;   ///< their sum is the flow; shape (number of fans)
    std::vector<bool> fan_rises;         ///< which work on a rising part: risk of stall and surge
    std::optional<Power> power;          ///< of all fans; empty if a table has none
    std::size_t branch = 0;              ///< which of the fans' branches
    bool stable = false;                 ///< small disturbances of every fan's own flow die away
    bool touching = false;               ///< the curves touch without crossing

    /// How many fans work on a rising part.
    template <Deferred...>
    std::size_t rising_fans() const {
        return static_cast<std::size_t>(std::count(fan_rises.begin(), fan_rises.end(), true));
    }
};

/// Every state in which fans in parallel and a system agree.
struct ParallelOperation {
    OperatingStatus status = OperatingStatus::below_table;   ///< what was found; below_table too where a fan would be
                                                             ///< pushed back
    std::vector<ParallelCrossing> crossings;                 ///< in the order of rising flow
    std::optional<std::size_t> chosen;   ///< the stable one of greatest flow; empty if there is none, or if a further
                                         ///< one lies beyond the tables
};

namespace detail {

/// The pieces of a branch, each between two pressures at which some fan's segment ends.
template <Deferred...>
inline void search_branch(const FansInParallel& parallel, std::size_t branch, const SystemCurve& system,
                          const AirState& air, std::vector<ParallelCrossing>& crossings, double& at_least) {
    const auto stretches = parallel.stretches(branch);
    const double lowest = parallel.branches()[branch].least.value();
    const double highest = parallel.branches()[branch].greatest.value();
    const double ratio = fan_density_ratio(parallel.stated_air(), air);
    std::vector<double> breaks{lowest, highest};
    for (std::size_t k = 0; k < stretches.size(); ++k) {
        if (stretches[k].shut) continue;
        for (std::size_t i = stretches[k].first; i <= stretches[k].last + 1; ++i) {
            const double y = parallel.pressure_curves()[k].values()[i];
            if (y > lowest && y < highest) breaks.push_back(y);
        }
    }
    std::sort(breaks.begin(), breaks.end());
    breaks.erase(std::unique(breaks.begin(), breaks.end()), breaks.end());
    for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
        std::vector<FanPiece> pieces;
        for (std::size_t k = 0; k < stretches.size(); ++k) {
            const MonotoneCubic& curve = parallel.pressure_curves()[k];
            if (stretches[k].shut) {
                pieces.push_back({{}, 0.0, 0.0, -1.0, true});
                continue;
            }
            const std::size_t j = place_on(curve, stretches[k], 0.5 * (breaks[i] + breaks[i + 1])).segment;
            pieces.push_back({curve.segments()[j], curve.knots()[j], curve.knots()[j + 1] - curve.knots()[j],
                              stretches[k].rises ? 1.0 : -1.0, false});
        }
        const ParallelSearch search(std::move(pieces), system, air, 1.0 / ratio, highest);
        const auto first = search.place_at(breaks[i]), last = search.place_at(breaks[i + 1]);
        if (i == 0) at_least = first.difference;
        std::vector<ParallelSearch::Found> found;
        search.between(first, last, found);
        if (i + 2 == breaks.size() && last.difference == 0.0) found.push_back({last, false});
        for (const ParallelSearch::Found& f : found) {
            ParallelCrossing c;
            c.flow = VolumeFlow::from_value(search.total_flow(f.place.t));
            c.pressure = Pressure::from_value(ratio * f.place.pressure);
            double power = 0.0;
            for (std::size_t k = 0; k < stretches.size(); ++k) {
                const double q = search.flow(k, f.place);
                c.fan_flows.push_back(VolumeFlow::from_value(q));
                c.fan_rises.push_back(stretches[k].rises);
                if (const FanCurve& fan = parallel.fans()[k]; fan.power_curve()) {
                    const MonotoneCubic& curve = *fan.power_curve();
                    power += fan_density_ratio(fan.stated_air(), air) *
                             curve.value(std::min(std::max(q, curve.lowest()), curve.highest()));
                }
            }
            if (parallel.has_power()) c.power = Power::from_value(power);
            c.branch = branch;
            c.touching = f.touching;
            c.stable = !f.touching && search.stable(f.place);
            crossings.push_back(std::move(c));
        }
    }
}

template <Deferred...>
inline bool same_state(const ParallelCrossing& a, const ParallelCrossing& b) {
    const double size = 1e-9 * (a.flow.value() + b.flow.value()) + std::numeric_limits<double>::min();
    for (std::size_t k = 0; k < a.fan_flows.size(); ++k) {
        if (std::abs(a.fan_flows[k].value() - b.fan_flows[k].value()) > size) return false;
    }
    return true;
}

/// The states in the order of rising flow, each once: two parts share the point where they meet.
template <Deferred...>
inline std::vector<ParallelCrossing> distinct_states(std::vector<ParallelCrossing> found) {
    std::vector<std::size_t> order(found.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return found[a].flow < found[b].flow || (found[a].flow == found[b].flow && a < b);
    });
    std::vector<ParallelCrossing> states;
    for (const std::size_t i : order) {
        const auto same =
            std::find_if(states.begin(), states.end(), [&](const auto& s) { return same_state(s, found[i]); });
        if (same == states.end()) {
            states.push_back(std::move(found[i]));
            continue;
        }
        same->touching = same->touching || found[i].touching;
        same->stable = !same->touching && (same->stable || found[i].stable);
    }
    return states;
}

}   // namespace detail

/// Every state in which fans in parallel and a system agree, inside the fans' tables.
///
/// Equation: (rho/rho0) p_i(Q_i) = p_sys(sum Q_i) for each fan i; stable if the matrix p_sys' 1 1^T - diag(p_i') is
///           positive definite
/// Symbols:  p_i pressure of fan i [Pa], Q_i its flow [m3/s], p_sys pressure drop of the system, ' slope by flow, 1 the
///           vector of ones, rho density, 0 the stated air
/// Validity: flows of the tables; the system's pressure is of their kind; without dampers a fan that is pushed back is
///           outside its table. Roots are isolated by bounds on each combination of parts; curves that come within
///           1e-12 of each other are reported as touching. Static stability only: surge is a matter of dynamics too
/// @param  parallel  fans in parallel
/// @param  system  what they work against together
/// @param  air  air at the fans and in the system
/// @return status, crossings and the one of greatest flow among the stable ones
/// @throws DomainError if the system or the air is not valid; fans that never meet the system are a status
/// @source momentum balance of the air in each fan's duct, linearised; test: airflow/parallel_operation_test.cpp
template <Deferred...>
inline ParallelOperation parallel_operation(const FansInParallel& parallel, const SystemCurve& system,
                                            const AirState& air) {
    detail::check(system, air, "parallel_operation");
    ParallelOperation operation;
    std::vector<ParallelCrossing> found;
    bool beyond = false;
    for (std::size_t b = 0; b < parallel.branches().size(); ++b) {
        double at_least = 0.0;
        detail::search_branch(parallel, b, system, air, found, at_least);
        // A branch of ordinary parts that ends where a table does, with pressure to spare, goes on beyond it.
        bool ordinary = true, table_ends = false;
        for (const detail::FanStretch& s : parallel.stretches(b)) {
            ordinary = ordinary && (s.shut || s.ends_table);
            table_ends = table_ends || (s.ends_table && s.lowest == parallel.branches()[b].least.value());
        }
        beyond = beyond || (ordinary && table_ends && at_least > 0.0);
    }
    operation.crossings = detail::distinct_states(std::move(found));
    const auto& states = operation.crossings;
    if (beyond) {
        operation.status = OperatingStatus::beyond_table;
        return operation;
    }
    for (std::size_t i = 0; i < states.size(); ++i) {
        if (states[i].stable) operation.chosen = i;
    }
    bool from_zero = true, alike = true;
    for (const MonotoneCubic& curve : parallel.pressure_curves()) {
        from_zero = from_zero && curve.lowest() == 0.0;
        alike = alike &&
                std::abs(curve.values().front() / parallel.pressure_curves().front().values().front() - 1.0) < 1e-9;
    }
    const bool shut_off = from_zero && (alike || parallel.dampers() == BackdraftDampers::fitted);
    const bool touching = std::any_of(states.begin(), states.end(), [](const auto& c) { return c.touching; });
    operation.status = operation.chosen           ? (states.size() == 1 ? OperatingStatus::single_crossing
                                                                       : OperatingStatus::several_crossings)
                       : touching                 ? OperatingStatus::touching_only
                       : states.empty() && shut_off ? OperatingStatus::above_shut_off
                                                  : OperatingStatus::below_table;
    return operation;
}

}   // namespace filterflow
