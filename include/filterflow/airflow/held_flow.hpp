// SPDX-License-Identifier: BSL-1.0
#pragma once

// A flow-holding fan at another set flow than its table has: the drive holds more or less, its limit stays where it is.
// So a set flow that is known within a tolerance can be drawn, and what its derivative says can be tried.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/system_bounds.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

namespace detail {

/// A segment counted from another place.
template <Deferred...>
inline CubicSegment segment_from(const CubicSegment& c, double t) {
    return {cubic_value(c, t), cubic_slope(c, t), c.c2 + 3.0 * t * c.c3, c.c3};
}

/// A fan's limit before the pressure where it gives up: on with the slope that it has to the row behind.
struct ContinuedLimit {
    double pressure, flow, slope;
    double flow_at(double p) const { return flow + slope * (p - pressure); }
};

/// Where a fan that holds another flow gives up; none if it holds throughout its table.
struct NewLimit {
    std::optional<double> pressure;
    ContinuedLimit before;
};
template <Deferred...>
inline NewLimit new_limit(const FlowHoldingFan& fan, double flow) {
    const MonotoneCubic& curve = fan.flow_curve();
    const double held = fan.held_flow().value(), give_up = fan.give_up_pressure().value();
    NewLimit found{std::nullopt, {give_up, held, 0.0}};
    if (!fan.limit_is_known()) return found;
    std::size_t next = 0;
    while (curve.knots()[next] <= give_up) ++next;
    found.before.slope = (curve.values()[next] - held) / (curve.knots()[next] - give_up);
    if (flow > held) {
        const double p = give_up + (flow - held) / found.before.slope;
        found.pressure = p > curve.lowest() ? p : curve.lowest();
    } else if (flow > curve.values().back()) {
        found.pressure = table_pressure_at(curve, flow);
    }
    return found;
}

/// Power of a drive while it holds its flow, over pressure: its table, continued straight at both ends.
class HeldPower {
public:
    template <Deferred...>
    explicit HeldPower(const FlowHoldingFan& fan)
        : power_(*fan.power_curve()), give_up_(fan.give_up_pressure().value()) {
        // Below not steeper than in proportion to pressure, so that it stays above zero.
        const double lowest = power_.lowest(), at_limit = power_.value(give_up_);
        const CubicSegment& first = power_.segments().front();
        const double proportional = lowest > 0.0 ? first.c0 / lowest : std::numeric_limits<double>::infinity();
        double end_slope = give_up_ > 0.0 ? at_limit / give_up_ : 0.0;   // of one row that holds
        if (give_up_ > lowest) {
            std::size_t last = 0;
            while (power_.knots()[last + 1] < give_up_) ++last;
            end_slope = cubic_slope(power_.segments()[last], give_up_ - power_.knots()[last]);
        }
        below_ = {first.c0, std::fmin(give_up_ > lowest ? first.c1 : end_slope, proportional), 0.0, 0.0};
        above_ = {at_limit, end_slope, 0.0, 0.0};
    }
    /// The piece that holds a pressure, counted from another one in it.
    template <Deferred...>
    CubicSegment piece(double inside, double from) const {
        if (inside < power_.lowest()) return segment_from(below_, from - power_.lowest());
        if (inside > give_up_) return segment_from(above_, from - give_up_);
        const std::size_t i = power_.segment_of(inside);
        return segment_from(power_.segments()[i], from - power_.knots()[i]);
    }
    template <Deferred...>
    double value(double p) const { return piece(p, p).c0; }

private:
    const MonotoneCubic& power_;
    double give_up_;
    CubicSegment below_, above_;
};

}   // namespace detail

/// A flow-holding fan that is set to another flow.
///
/// Equation: Q(p) = f Q_h as far as the limit L(p) allows, then L(p); P(p) = k^3 P_0(p/k^2), k = Q(p)/Q_h, where the
///           flow is held or the limit continued
/// Symbols:  f factor, Q_h held flow, L flow at the drive's limit, p pressure, P power, 0 the fan as it is
/// Validity: small changes of the set flow. The limit is the fan's own curve beyond the pressure where it gives up; for
///           a greater flow it is continued from there straight, which is an estimate. Power follows the fan laws from
///           the same point of rating, motor and electronics losing the same share; its table is continued straight
///           where that leaves it, and joined straight to the power at the limit. A fan whose limit lies beyond its
///           table holds any flow throughout it
/// @param  fan  flow-holding fan
/// @param  factor  on its held flow, 0.5 to 1.5
/// @return the fan at the new set flow; at factor one the same
/// @throws DomainError if the factor is out of its range
/// @source definition of the control (flow held up to a limit), fan laws; test: airflow/held_flow_test.cpp against a
///         wheel on a motor that holds its airflow
template <Deferred...>
inline FlowHoldingFan with_held_flow(const FlowHoldingFan& fan, double factor) {
    detail::require_between("with_held_flow", "factor", factor, 0.5, 1.5, "-");
    if (factor == 1.0) return fan;
    const MonotoneCubic& curve = fan.flow_curve();
    const double held = fan.held_flow().value(), flow = factor * held, give_up = fan.give_up_pressure().value();
    const double lowest = curve.lowest(), highest = curve.highest(), square = factor * factor;
    const detail::NewLimit limit = detail::new_limit(fan, flow);
    const double meets = limit.pressure ? *limit.pressure : highest;
    // To `known` the fan laws have the power, from `joined` on the table.
    const double known = std::fmax(lowest, !limit.pressure ? highest : factor < 1.0 ? square * give_up : meets);
    const double joined = std::fmax(meets, give_up);
    std::vector<double> knots{lowest, known, meets, joined, highest};
    for (const double knot : curve.knots()) {
        if (knot <= give_up && square * knot > lowest && square * knot < known) knots.push_back(square * knot);
        if (knot > joined) knots.push_back(knot);
    }
    std::sort(knots.begin(), knots.end());
    const double least_width = 1e-13 * (highest - lowest);
    const auto is_close = [&](double a, double b) { return b - a <= least_width; };
    knots.erase(std::unique(knots.begin(), knots.end(), is_close), knots.end());
    knots.back() = highest;
    std::optional<detail::HeldPower> power;
    if (fan.power_curve()) power.emplace(fan);
    const double ratio_at_known = known <= meets && meets > lowest ? factor : limit.before.flow_at(known) / held;
    std::vector<CubicSegment> flows, powers;
    for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
        const double from = knots[i], middle = from + 0.5 * (knots[i + 1] - from);
        const std::size_t old = curve.segment_of(middle);
        const double t = from - curve.knots()[old];
        if (middle < meets) {
            flows.push_back({flow, 0.0, 0.0, 0.0});
        } else if (middle < give_up) {
            flows.push_back({limit.before.flow_at(from), limit.before.slope, 0.0, 0.0});
        } else {
            flows.push_back(detail::segment_from(curve.segments()[old], t));
        }
        if (!power) continue;
        if (middle < known) {
            const CubicSegment c = power->piece(middle / square, from / square);
            powers.push_back({factor * square * c.c0, factor * c.c1, c.c2 / factor, c.c3 / (factor * square)});
        } else if (middle < joined) {
            const double k = ratio_at_known, first = k * k * k * power->value(known / (k * k));
            const double slope = (fan.power_curve()->value(joined) - first) / (joined - known);
            powers.push_back({first + slope * (from - known), slope, 0.0, 0.0});
        } else {
            powers.push_back(detail::segment_from(fan.power_curve()->segments()[old], t));
        }
    }
    detail::FlowHoldingFanParts parts{.kind = fan.kind(),
                                      .power_kind = fan.power_kind(),
                                      .holds = fan.holds(),
                                      .stated_air = fan.stated_air(),
                                      .flow = {},
                                      .power = {},
                                      .held_flow = flow,
                                      .held_flow_spread = factor * fan.held_flow_spread().value(),
                                      .give_up_pressure = meets,
                                      .limit_is_known = limit.pressure.has_value()};
    if (power) parts.power = MonotoneCubic::of_segments(knots, std::move(powers));
    parts.flow = MonotoneCubic::of_segments(std::move(knots), std::move(flows));
    return detail::assembled_flow_holding_fan(std::move(parts));
}

}   // namespace filterflow
