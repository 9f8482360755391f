// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans in series that hold their flow, point by point: the one of the least held flow leads, the others are at their
// limits. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/airflow/fans_in_series.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow::detail {

/// A point of fans in series: the pressure they give together, their flow and power there, and the slopes of both.
struct SeriesPoint {
    double lead_pressure, pressure, flow, flow_slope, power, power_slope;
};

/// Fans in series from the pressure of the one that leads, the one of the least held flow: the others are at their
/// limits and give what their tables have at its flow. Drives that hold the same flow share the pressure as they like
/// until all have given up.
class HoldingSeries {
public:
    template <Deferred...>
    HoldingSeries(std::span<const FlowHoldingFan> fans, const char* where) : fans_(fans) {
        for (std::size_t i = 1; i < fans.size(); ++i) {
            if (fans[i].held_flow() < fans[lead_].held_flow()) lead_ = i;
        }
        const double held = lead().held_flow().value();
        least_flow_ = lead().flow_curve().values().back();
        for (std::size_t i = 0; i < fans.size(); ++i) {
            const double least = fans[i].flow_curve().values().back();
            share_.push_back(fans[i].held_flow().value() <= held * (1.0 + 1e-9));
            if (share_[i]) {
                limit_is_known_ = limit_is_known_ && fans[i].limit_is_known();
                sharing_ += i == lead_ ? 0 : 1;
            } else if (!(least < held)) {
                throw_domain_error(where, "least flow in the table of fan " + std::to_string(i + 1), least, "m3/s",
                                   "below what fan " + std::to_string(lead_ + 1) + " holds, " + number_text(held) +
                                       " m3/s, or it is not known what the stronger fan does there");
            }
            least_flow_ = std::max(least_flow_, least);
        }
    }

    const FlowHoldingFan& lead() const { return fans_[lead_]; }
    bool limit_is_known() const { return limit_is_known_; }
    /// Whether the drives that share the pressure leave the powers open.
    bool powers_are_open() const { return sharing_ > 0; }

    /// While the lead holds: its pressure, what the others give at its flow, and what shares the flow with it at
    /// `share` of the way from its first row to where it gives up.
    template <Deferred...>
    SeriesPoint held_point(double lead_pressure, double share) const {
        SeriesPoint p{lead_pressure, lead_pressure, lead().held_flow().value(), 0.0, power_of(lead_, lead_pressure),
                      power_slope_of(lead_, lead_pressure)};
        for (std::size_t i = 0; i < fans_.size(); ++i) {
            if (i == lead_) continue;
            const double first = fans_[i].least_pressure().value(), last = fans_[i].give_up_pressure().value();
            const double own =
                share_[i] ? first + share * (last - first) : table_pressure_at(fans_[i].flow_curve(), p.flow);
            p.pressure += own;
            p.power += power_of(i, own);
        }
        return p;
    }

    /// Beyond that, all at their limits.
    template <Deferred...>
    SeriesPoint falling_point(double lead_pressure) const {
        SeriesPoint p{lead_pressure, 0.0, lead().flow_curve().value(lead_pressure), 0.0, 0.0, 0.0};
        const double flattest = 1e-12 * lead().held_flow().value() / lead().greatest_pressure().value();
        double weights = 0.0, power_slope = 0.0;   // pressure changes go with one over the slopes of flow
        for (std::size_t i = 0; i < fans_.size(); ++i) {
            const double own = i == lead_ ? lead_pressure : pressure_of(i, p.flow);
            const double weight = 1.0 / std::max(std::abs(fans_[i].flow_curve().slope(own)), flattest);
            p.pressure += own;
            p.power += power_of(i, own);
            weights += weight;
            power_slope += weight * power_slope_of(i, own);
        }
        p.flow_slope = -1.0 / weights;
        p.power_slope = power_slope / weights;
        return p;
    }

    /// Pressures of the lead at which a table has a row, from where it gives up to where one of the tables ends.
    template <Deferred...>
    std::vector<double> falling_rows() const {
        const double first = lead().give_up_pressure().value();
        const double last = pressure_of(lead_, least_flow_);
        std::vector<double> rows{first, last};
        for (std::size_t i = 0; i < fans_.size(); ++i) {
            const MonotoneCubic& curve = fans_[i].flow_curve();
            for (std::size_t k = 0; k < curve.knots().size(); ++k) {
                if (!(curve.values()[k] < lead().held_flow().value() && curve.values()[k] > least_flow_)) continue;
                rows.push_back(i == lead_ ? curve.knots()[k] : pressure_of(lead_, curve.values()[k]));
            }
        }
        std::sort(rows.begin(), rows.end());
        const auto same = [last](double a, double b) { return b - a <= 1e-9 * last; };
        rows.erase(std::unique(rows.begin(), rows.end(), same), rows.end());
        return rows;
    }

private:
    template <Deferred...>
    double pressure_of(std::size_t i, double flow) const {
        const FlowHoldingFan& fan = fans_[i];
        if (flow >= fan.held_flow().value()) return fan.give_up_pressure().value();
        if (flow <= fan.flow_curve().values().back()) return fan.greatest_pressure().value();
        return table_pressure_at(fan.flow_curve(), flow);
    }
    template <Deferred...>
    double power_of(std::size_t i, double pressure) const {
        return fans_[i].power_curve() ? fans_[i].power_curve()->value(pressure) : 0.0;
    }
    template <Deferred...>
    double power_slope_of(std::size_t i, double pressure) const {
        return fans_[i].power_curve() ? fans_[i].power_curve()->slope(pressure) : 0.0;
    }

    std::span<const FlowHoldingFan> fans_;
    std::vector<char> share_;   // holds the same flow as the lead
    std::size_t lead_ = 0, sharing_ = 0;
    double least_flow_ = 0.0;
    bool limit_is_known_ = true;
};

/// Adds b and, before it, as many points between as cubics need to meet the fans.
template <Deferred...>
inline void refine_series(const HoldingSeries& series, const SeriesPoint& a, const SeriesPoint& b, int depth,
                          std::vector<SeriesPoint>& points) {
    const SeriesPoint middle = series.falling_point(0.5 * (a.lead_pressure + b.lead_pressure));
    const double width = b.pressure - a.pressure, t = middle.pressure - a.pressure;
    const double flow = cubic_value(hermite_segment(a.flow, a.flow_slope, b.flow, b.flow_slope, width), t);
    const double power = cubic_value(hermite_segment(a.power, a.power_slope, b.power, b.power_slope, width), t);
    const bool power_met = series.powers_are_open() || std::abs(power - middle.power) <= 1e-10 * middle.power;
    if (depth > 0 && !(power_met && std::abs(flow - middle.flow) <= 1e-10 * series.lead().held_flow().value())) {
        refine_series(series, a, middle, depth - 1, points);
        refine_series(series, middle, b, depth - 1, points);
    } else {
        points.push_back(b);
    }
}

}   // namespace filterflow::detail
