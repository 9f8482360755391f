// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans side by side between one inlet and one outlet: their pressures are equal, their flows add. A fan whose curve
// rises somewhere has several flows at one pressure, so fans in parallel have several total flows at one pressure: one
// for each combination of falling and rising parts. All of them are kept; which one a plant settles at depends on its
// history (parallel_operation.hpp finds where each meets a system, and which are stable).

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow {

/// What keeps air from flowing backwards through a fan that the others overpower.
enum class BackdraftDampers {
    none,    ///< nothing does: flows below those of its table are not known
    fitted   ///< a tight damper shuts: above its pressure at zero flow a fan delivers nothing
};

/// One combination of parts of the fans' curves, each rising or falling throughout, over the pressures that all have.
struct ParallelBranch {
    std::vector<FlowRange> fan_flows;   ///< of each fan; zero to zero where its damper is shut; shape (number of fans)
    std::vector<bool> shut;             ///< whether the fan's damper is shut; shape (number of fans)
    Pressure least{};                   ///< in the stated air
    Pressure greatest{};                ///< in the stated air
    std::size_t rising_fans = 0;        ///< how many work where their pressure rises with flow: risk of stall and surge
};

/// The flow of each fan at one pressure.
struct ParallelFlows {
    std::vector<VolumeFlow> fans;   ///< in the order of the fans; shape (number of fans)
    VolumeFlow total{};             ///< their sum
};

namespace detail {

/// A part of a fan's curve without turning points: segments first to last, or none where the damper is shut.
struct FanStretch {
    std::size_t first, last;
    double lowest, highest;   // pressure [Pa]
    bool rises, shut, ends_table;
};

/// The stretches of a curve in rising order of flow.
template <Deferred...>
inline std::vector<FanStretch> stretches_of(const MonotoneCubic& curve, std::size_t fan, const char* where) {
    const auto y = curve.values();
    std::vector<FanStretch> found;
    for (std::size_t i = 0; i + 1 < y.size(); ++i) {
        if (y[i] == y[i + 1]) {
            throw_domain_error(where, "pressure of fan " + std::to_string(fan + 1), y[i], "Pa",
                               "another at " + number_text(curve.knots()[i]) + " m3/s than at " +
                                   number_text(curve.knots()[i + 1]) + " m3/s: a level part has no flow of its own");
        }
        const bool rises = y[i + 1] > y[i];
        if (found.empty() || found.back().rises != rises) found.push_back({i, i, 0.0, 0.0, rises, false, false});
        found.back().last = i;
    }
    for (FanStretch& s : found) {
        s.lowest = std::max(0.0, std::min(y[s.first], y[s.last + 1]));   // zero but for rounding
        s.highest = std::max(y[s.first], y[s.last + 1]);
        s.ends_table = s.last + 2 == y.size();
    }
    return found;
}

/// Where within a segment a pressure lies; pressures that are outside by rounding belong to its ends.
template <Deferred...>
inline double segment_argument(const CubicSegment& c, double width, double pressure) {
    const CubicSegment d{c.c0 - pressure, c.c1, c.c2, c.c3};
    const double at_start = d.c0, at_end = cubic_value(d, width);
    if (at_start * at_end >= 0.0) return std::abs(at_start) <= std::abs(at_end) ? 0.0 : width;
    const auto f = [&](double t) { return std::pair(cubic_value(d, t), cubic_slope(d, t)); };
    return bracketed_root(f, 0.0, width, at_start, at_end, width * at_start / (at_start - at_end), 0.0).location;
}

/// A fan's segment and the place in it at a pressure of a stretch.
struct StretchPlace {
    std::size_t segment;
    double argument;
};
template <Deferred...>
inline StretchPlace place_on(const MonotoneCubic& curve, const FanStretch& stretch, double pressure) {
    const auto y = curve.values();
    std::size_t i = stretch.first;
    while (i < stretch.last && (stretch.rises ? y[i + 1] < pressure : y[i + 1] > pressure)) ++i;
    return {i, segment_argument(curve.segments()[i], curve.knots()[i + 1] - curve.knots()[i], pressure)};
}

}   // namespace detail

class FansInParallel;
template <Deferred...>
FansInParallel fans_in_parallel(std::span<const FanCurve> fans, BackdraftDampers dampers);

/// Fans side by side. Made by fans_in_parallel.
class FansInParallel {
public:
    template <Deferred...>
    FanPressureKind kind() const { return fans_.front().kind(); }
    template <Deferred...>
    const AirState& stated_air() const { return fans_.front().stated_air(); }   ///< of the first fan
    BackdraftDampers dampers() const { return dampers_; }
    const std::vector<FanCurve>& fans() const { return fans_; }
    const std::vector<ParallelBranch>& branches() const { return branches_; }   ///< every combination of parts
    template <Deferred...>
    bool has_power() const { return detail::all_have_power(fans_); }            ///< whether every fan's table has it

    /// Pressure of each fan over its flow, in the stated air; shape (number of fans).
    const std::vector<MonotoneCubic>& pressure_curves() const { return curves_; }
    /// The parts that a branch combines; shape (number of fans).
    std::span<const detail::FanStretch> stretches(std::size_t branch) const {
        return {stretches_.data() + branch * fans_.size(), fans_.size()};
    }

private:
    template <Deferred...>
    friend FansInParallel fans_in_parallel(std::span<const FanCurve> fans, BackdraftDampers dampers);
    FansInParallel() = default;

    std::vector<FanCurve> fans_;
    std::vector<MonotoneCubic> curves_;
    std::vector<ParallelBranch> branches_;
    std::vector<detail::FanStretch> stretches_;   // of branch b: fans_.size() from b * fans_.size()
    BackdraftDampers dampers_{};
};

/// Fans in parallel: every combination of the falling and rising parts of their curves.
///
/// Equation: Q(p) = sum Q_i(p) on each combination, Q_i the inverse of fan i's curve on the part chosen for it
/// Symbols:  Q volume flows, p pressure, equal for all
/// Validity: pressures that all parts of a combination have. Equal pressures between common inlet and outlet: for total
///           pressures the outlet velocities are taken as equal or as lost alike. Without dampers the flow of a fan
///           that others push back is not known, and no combination has it
/// @param  fans  at fixed speed, one kind of pressure; shape (n), n >= 1
/// @param  dampers  whether backdraft dampers are fitted
/// @return the combinations, those of the last (ordinary) parts among them
/// @throws DomainError if there is no fan, kinds differ or are not stated, a table has a level part (two rows of one
///         pressure), or there are more than 10000 combinations
/// @source definition of a parallel connection; test: airflow/fans_in_parallel_test.cpp
template <Deferred...>
inline FansInParallel fans_in_parallel(std::span<const FanCurve> fans, BackdraftDampers dampers) {
    constexpr auto where = "fans_in_parallel";
    const std::vector<double> factors = detail::density_factors(fans, where);
    if (fans[0].kind() == FanPressureKind::not_stated) {
        throw DomainError(std::string(where) + ": the tables do not say which pressure they state; required: one kind");
    }
    FansInParallel parallel;
    parallel.fans_.assign(fans.begin(), fans.end());
    parallel.dampers_ = dampers;
    std::vector<std::vector<detail::FanStretch>> parts;
    double combinations = 1.0;
    for (std::size_t k = 0; k < fans.size(); ++k) {
        const MonotoneCubic* curve = &fans[k].pressure_curve();
        const std::vector<double> knots(curve->knots().begin(), curve->knots().end());
        parallel.curves_.push_back(MonotoneCubic::of_segments(
            knots, detail::summed_segments(std::span(&curve, 1), std::span(&factors[k], 1), knots)));
        parts.push_back(detail::stretches_of(parallel.curves_[k], k, where));
        if (dampers == BackdraftDampers::fitted && knots.front() == 0.0) {
            parts[k].push_back({0, 0, parallel.curves_[k].values().front(), std::numeric_limits<double>::infinity(),
                                false, true, false});
        }
        combinations *= static_cast<double>(parts[k].size());
    }
    if (combinations > 1e4) {
        detail::throw_domain_error(where, "number of combinations", combinations, "", "at most 10000");
    }
    std::vector<std::size_t> choice(fans.size(), 0);
    for (std::size_t left = static_cast<std::size_t>(combinations); left > 0; --left) {
        double lowest = 0.0, highest = std::numeric_limits<double>::infinity();
        ParallelBranch branch;
        for (std::size_t k = 0; k < fans.size(); ++k) {
            const detail::FanStretch& s = parts[k][choice[k]];
            const auto knots = parallel.curves_[k].knots();
            lowest = std::max(lowest, s.lowest);
            highest = std::min(highest, s.highest);
            branch.fan_flows.push_back(s.shut ? FlowRange{} : FlowRange{VolumeFlow::from_value(knots[s.first]),
                                                                        VolumeFlow::from_value(knots[s.last + 1])});
            branch.shut.push_back(s.shut);
            branch.rising_fans += s.rises ? 1 : 0;
        }
        if (lowest < highest && highest < std::numeric_limits<double>::infinity()) {   // not with every damper shut
            branch.least = Pressure::from_value(lowest);
            branch.greatest = Pressure::from_value(highest);
            parallel.branches_.push_back(std::move(branch));
            for (std::size_t k = 0; k < fans.size(); ++k) parallel.stretches_.push_back(parts[k][choice[k]]);
        }
        for (std::size_t k = 0; k < fans.size() && ++choice[k] == parts[k].size(); ++k) choice[k] = 0;
    }
    return parallel;
}

/// Flow of each fan in parallel at a pressure, on one branch.
///
/// Equation: p = (rho / rho0) p_i(Q_i) for each fan i; Q = sum Q_i
/// Symbols:  p pressure [Pa], Q volume flows [m3/s], rho density, 0 the stated air
/// Validity: pressures of the branch times rho / rho0; no extrapolation (throws)
/// @param  parallel  fans in parallel
/// @param  branch  which of its branches, from 0
/// @param  pressure  of the fans' kind [Pa]
/// @param  air  air at the fans
/// @return flows and their sum
/// @throws DomainError if there is no such branch, the pressure lies outside it or the air's density is not > 0
/// @source definition; fan laws at constant speed; test: airflow/fans_in_parallel_test.cpp
template <Deferred...>
inline ParallelFlows parallel_flows(const FansInParallel& parallel, std::size_t branch, Pressure pressure,
                                    const AirState& air) {
    constexpr auto where = "parallel_flows";
    if (branch >= parallel.branches().size()) {
        detail::throw_domain_error(where, "branch", static_cast<double>(branch), "",
                                   "below " + std::to_string(parallel.branches().size()));
    }
    detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    const double ratio = detail::fan_density_ratio(parallel.stated_air(), air);
    const ParallelBranch& b = parallel.branches()[branch];
    detail::require_between(where, "pressure", pressure.value(), ratio * b.least.value(), ratio * b.greatest.value(),
                            "Pa");
    ParallelFlows flows;
    double total = 0.0;
    for (std::size_t k = 0; k < b.shut.size(); ++k) {
        double flow = 0.0;
        if (!b.shut[k]) {
            const MonotoneCubic& curve = parallel.pressure_curves()[k];
            const detail::StretchPlace at =
                detail::place_on(curve, parallel.stretches(branch)[k], pressure.value() / ratio);
            flow = curve.knots()[at.segment] + at.argument;
        }
        flows.fans.push_back(VolumeFlow::from_value(flow));
        total += flow;
    }
    flows.total = VolumeFlow::from_value(total);
    return flows;
}

}   // namespace filterflow
