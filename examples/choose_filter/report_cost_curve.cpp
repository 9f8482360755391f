// SPDX-License-Identifier: BSL-1.0

#include "report_cost_curve.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

namespace choose_filter {

using namespace filterflow;

namespace {

/// What is known of a candidate at one time since the change.
struct CostNode {
    double hours;
    double air;             ///< delivered until there, in any unit
    double spent;           ///< yearly cost times that air: linear in what was spent until there
    double flow;            ///< there, in that unit an hour
    double power;           ///< of the fan
    double growth = 0.0;    ///< of what was spent, an hour
};

/// Flow and power at a time of the life; nothing outside it or without power.
std::optional<std::pair<double, double>> flow_and_power(const std::vector<LifeSample>& life, double hours) {
    for (std::size_t k = 0; k < life.size(); ++k) {
        const double here = life[k].time / units::h;
        if (here < hours * (1.0 - 1e-9)) continue;
        const LifeSample& before = life[k > 0 ? k - 1 : 0];
        if (!life[k].power || !before.power || (k == 0 && here > hours + 1e-9)) return std::nullopt;
        const double step = here - before.time / units::h;
        const double share = step > 0.0 ? (hours - before.time / units::h) / step : 1.0;
        const auto between = [&](double a, double b) { return a + share * (b - a); };
        return std::pair(between(before.flow.value(), life[k].flow.value()),
                         between(before.power->value(), life[k].power->value()));
    }
    return std::nullopt;
}

/// Cubic through two nodes with the growth of both.
double between_nodes(const CostNode& a, const CostNode& b, double hours) {
    const double step = b.hours - a.hours, t = (hours - a.hours) / step;
    const double rise = b.spent - a.spent;
    return a.spent + t * (step * a.growth + t * (3.0 * rise - step * (2.0 * a.growth + b.growth) +
                                                 t * (step * (a.growth + b.growth) - 2.0 * rise)));
}

/// Air delivered until a time between two nodes, the flow changing in a straight line.
double air_between(const CostNode& a, const CostNode& b, double hours) {
    const double step = b.hours - a.hours, past = hours - a.hours;
    return a.air + past * (a.flow + 0.5 * past / step * (b.flow - a.flow));
}

/// The samples with the air delivered until each, and before them the change itself; empty if the life says too little.
std::vector<CostNode> cost_nodes(const CandidateResult& candidate) {
    if (candidate.cost_rate.empty() || !candidate.annual_filter_cost || !candidate.change_interval) return {};
    const auto start = flow_and_power(candidate.life, 0.0);
    if (!start) return {};
    std::vector<CostNode> nodes{{0.0, 0.0, 0.0, start->first, start->second}};
    for (const CostRateSample& sample : candidate.cost_rate) {
        const double hours = sample.interval / units::h;
        const auto there = flow_and_power(candidate.life, hours);
        if (!there || !(hours > nodes.back().hours)) return {};
        CostNode node{hours, 0.0, 0.0, there->first, there->second};
        node.air = air_between(nodes.back(), node, hours);
        node.spent = sample.annual_cost.value() * node.air;
        nodes.push_back(node);
    }
    // The price of a change: the yearly cost of filters is it over the air of an interval.
    const double interval = candidate.change_interval->value / units::h;
    const auto end =
        std::find_if(nodes.begin() + 1, nodes.end(), [&](const CostNode& n) { return n.hours >= interval; });
    const CostNode& after = end == nodes.end() ? nodes.back() : *end;
    const CostNode& before = *(&after - 1);
    nodes.front().spent = candidate.annual_filter_cost->value.value() * air_between(before, after, interval);
    return nodes;
}

}   // namespace

std::vector<CostCurvePoint> cost_curve(const CandidateResult& candidate, double from_hours) {
    std::vector<CostNode> nodes = cost_nodes(candidate);
    std::vector<CostCurvePoint> curve;
    if (nodes.empty()) {   // the samples alone
        for (const CostRateSample& sample : candidate.cost_rate) {
            const double hours = sample.interval / units::h;
            const double cost = sample.annual_cost.value();
            if (hours >= from_hours && std::isfinite(cost)) curve.push_back({hours, cost});
        }
        return curve;
    }
    // Growth of what was spent: in the parts beside a node as much for each watt as over the whole part.
    for (std::size_t k = 0; k < nodes.size(); ++k) {
        double price = 0.0, parts = 0.0;
        for (const std::size_t end : {k, k + 1}) {
            if (end == 0 || end == nodes.size()) continue;
            const CostNode &a = nodes[end - 1], &b = nodes[end];
            price += (b.spent - a.spent) / (0.5 * (a.power + b.power) * (b.hours - a.hours));
            parts += 1.0;
        }
        nodes[k].growth = nodes[k].power * price / parts;
    }
    const double last = nodes.back().hours, first = std::clamp(from_hours, 1e-3 * last, last);
    constexpr int steps = 160;   // even on the logarithmic axis
    std::vector<double> times;
    for (int i = 0; i <= steps; ++i) times.push_back(first * std::pow(last / first, i / double(steps)));
    times.back() = last;
    for (const CostNode& node : nodes) {
        if (node.hours > first) times.push_back(node.hours);
    }
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    std::size_t k = 1;
    for (const double hours : times) {
        while (k + 1 < nodes.size() && nodes[k].hours < hours) ++k;
        const CostNode &a = nodes[k - 1], &b = nodes[k];
        const double cost = between_nodes(a, b, hours) / air_between(a, b, hours);
        if (std::isfinite(cost)) curve.push_back({hours, cost});
    }
    return curve;
}

double cost_on(const std::vector<CostCurvePoint>& curve, double hours) {
    const auto after =
        std::find_if(curve.begin(), curve.end(), [&](const CostCurvePoint& p) { return p.hours >= hours; });
    if (after == curve.begin() || after == curve.end()) {
        return curve.empty() ? std::nan("") : (after == curve.end() ? curve.back() : curve.front()).annual_cost;
    }
    const CostCurvePoint& before = *(after - 1);
    const double share = (hours - before.hours) / (after->hours - before.hours);
    return before.annual_cost + share * (after->annual_cost - before.annual_cost);
}

}   // namespace choose_filter
