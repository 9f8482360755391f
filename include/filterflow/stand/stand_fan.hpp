// SPDX-License-Identifier: BSL-1.0
#pragma once

// The flow of a stand that does not measure it, inferred from the table of the stand's own fan at the pressure
// that the fan works against. Where the fan curve is not falling one pressure belongs to several flows: all are
// returned and none is chosen.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/roots.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// The fan that drives the stand, at one setting.
struct StandFan {
    FanCurve curve;                                ///< from its table, for that setting
    Uncertain<double> pressure_factor{1.0};        ///< on the table's pressure, shared by all readings; exact one
                                                   ///< takes the table as printed
};

/// Whether a pressure tells the flow.
enum class InferredFlowStatus {
    found,         ///< one flow, on a falling part of the curve
    ambiguous,     ///< several flows, or one on a rising part: no flow is chosen
    above_table,   ///< more pressure than the fan makes anywhere in its table
    below_table    ///< less: the flow lies beyond the table's last row
};

/// What a fan table says of the flow at a pressure.
struct InferredFlow {
    InferredFlowStatus status = InferredFlowStatus::ambiguous;   ///< whether the flow is known
    std::vector<VolumeFlow> flows;                 ///< every flow at that pressure inside the table, rising
    std::optional<Uncertain<VolumeFlow>> flow;     ///< where found
    std::vector<std::string> flags;                ///< why there is no flow, or what weakens it, in words
};

namespace detail {

/// Every flow at which the curve has a pressure. A curve is monotone between its knots, so that each segment holds
/// one at most; a flat segment at that pressure gives its two ends.
template <Deferred...>
inline std::vector<double> flows_at_pressure(const MonotoneCubic& curve, double pressure) {
    std::vector<double> flows;
    const std::span<const double> knots = curve.knots();
    const std::span<const double> values = curve.values();
    const auto add = [&](double flow) {
        if (flows.empty() || flow - flows.back() > 1e-12 * curve.highest()) flows.push_back(flow);
    };
    for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
        const double below = values[i] - pressure;
        const double above = values[i + 1] - pressure;
        if (below == 0.0) add(knots[i]);
        if (below * above < 0.0) {
            add(find_root([&](double q) { return std::pair(curve.value(q) - pressure, curve.slope(q)); }, knots[i],
                          knots[i + 1]).location);
        }
        if (above == 0.0) add(knots[i + 1]);
    }
    return flows;
}

template <Deferred...>
inline std::string flow_list(const std::vector<double>& flows) {
    std::string text;
    for (std::size_t i = 0; i < flows.size(); ++i) text += (i == 0 ? "" : ", ") + number_text(flows[i]);
    return text + " m3/s";
}

}   // namespace detail

/// Flow of the stand's fan at the pressure that it works against.
///
/// Equation: f (rho/rho0) p0(Q) = p, solved for Q on every segment; dQ/dp = 1/(f (rho/rho0) p0'(Q))
/// Symbols:  p0 table's pressure over flow, f factor on it, rho density (0 of the table's air), p pressure, Q flow
/// Validity: the speed and setting of the table, pressures of the table's kind, fan inlet and outlet fitted as in
///           the table's test. A flow is chosen only where one alone is possible, on a falling part; otherwise the
///           status and a sentence say why not. Flagged: another flow within two standard uncertainties of the
///           pressure, a flow known to worse than 20 %
/// @param  fan  curve and factor > 0
/// @param  pressure  that the fan works against, of the table's kind [Pa]
/// @param  air  air at the fan
/// @return status, every flow inside the table, and the chosen one
/// @throws DomainError if the factor or the density is not > 0, or the pressure is not finite
/// @source inverse of the fan's curve, fan laws at constant speed; test: stand/stand_fan_test.cpp
template <Deferred...>
inline InferredFlow flow_from_fan_table(const StandFan& fan, const Uncertain<Pressure>& pressure, const AirState& air) {
    constexpr auto where = "flow_from_fan_table";
    const double factor = detail::require_positive(where, "pressure_factor", fan.pressure_factor.value, "-");
    const double density = detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    const double p = detail::require_finite(where, "pressure", pressure.value.value(), "Pa");
    const MonotoneCubic& curve = fan.curve.pressure_curve();
    const double scale = factor * density / fan.curve.stated_air().density.value();
    const std::vector<double> flows = detail::flows_at_pressure(curve, p / scale);
    InferredFlow result;
    for (const double q : flows) result.flows.push_back(VolumeFlow::from_value(q));
    const std::string reading = "pressure " + detail::number_text(p) + " Pa: ";
    if (flows.empty()) {
        const auto [least, greatest] = std::minmax_element(curve.values().begin(), curve.values().end());
        const bool above = p > scale * *greatest;
        result.status = above ? InferredFlowStatus::above_table : InferredFlowStatus::below_table;
        result.flags.push_back(reading + (above ? "the fan makes at most " + detail::number_text(scale * *greatest) +
                                                      " Pa in its table"
                                                : "the table ends at " + detail::number_text(scale * *least) +
                                                      " Pa, the flow lies beyond it"));
        return result;
    }
    if (flows.size() > 1) {
        result.flags.push_back(reading + "the fan delivers it at several flows (" + detail::flow_list(flows) +
                               "), the flow is not known");
        return result;
    }
    const double slope = scale * curve.slope(flows.front());
    if (!(slope < 0.0)) {
        result.flags.push_back(reading + "the only flow in the table, " + detail::flow_list(flows) +
                               ", lies where the curve does not fall (stall); a greater one beyond the table is "
                               "possible, the flow is not known");
        return result;
    }
    Uncertain<VolumeFlow> flow(result.flows.front());
    flow.gradient.add(pressure.gradient, 1.0 / slope);
    flow.gradient.add(fan.pressure_factor.gradient, -p / factor / slope);
    const double noise = std::abs(slope) * std::sqrt(flow.gradient.variance());   // of the pressure and the table
    for (const double shifted : {p - 2.0 * noise, p + 2.0 * noise}) {
        const std::vector<double> others = detail::flows_at_pressure(curve, shifted / scale);
        if (others.size() > 1) {
            result.flags.push_back(reading + "within its uncertainty the fan has several flows (" +
                                   detail::flow_list(others) + ")");
        }
    }
    if (flow.standard_uncertainty() > 0.2 * flow.value) {
        result.flags.push_back(reading + "the curve is so flat there that the flow is known to " +
                               detail::number_text(100.0 * (flow.standard_uncertainty().value() / flow.value.value())) +
                               " % only");
    }
    result.status = InferredFlowStatus::found;
    result.flow = std::move(flow);
    return result;
}

}   // namespace filterflow
