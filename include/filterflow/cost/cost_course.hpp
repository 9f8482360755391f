// SPDX-License-Identifier: BSL-1.0
#pragma once

// A life as the search for its change interval sees it: service and energy at the steps of the integration, and cubics
// between them. What is found on the cubics is then settled on the life itself. Not public, but for what service is.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/loading/life_course.hpp>

namespace filterflow {

/// What the cost of a filter is counted against.
enum class ServiceBasis {
    air_delivered,         ///< volume of air: equal service, whatever the fan does; the default
    clean_air_delivered,   ///< volume of air times the share of its dust stopped
    running_time           ///< hours: right where the airflow is held; with a fan whose power falls as the filter loads
                           ///< energy alone then names no interval
};

namespace detail {

/// Service since the change and the rate at which it comes.
template <class T>
struct ServiceSoFar {
    T amount, rate;
};

template <class T>
ServiceSoFar<T> service_so_far(const BasicLifeMoment<T>& m, ServiceBasis basis) {
    switch (basis) {
        case ServiceBasis::air_delivered:
            break;
        case ServiceBasis::clean_air_delivered: {
            T share(0.0);
            for (const T& caught : m.caught_share) share = share + caught;
            return {m.clean_air.value(), m.flow.value() * share};
        }
        case ServiceBasis::running_time:
            return {m.time.value(), T(1.0)};
    }
    return {m.delivered.value(), m.flow.value()};
}

/// p (P/x') x - p E - K: negative while the running cost p P/x' is below the average cost (K + p E)/x.
template <class T>
T running_less_average(const BasicLifeMoment<T>& m, const T& change, const T& price, ServiceBasis basis) {
    const ServiceSoFar<T> service = service_so_far(m, basis);
    return price * (m.power->value() / service.rate * service.amount - m.fan_energy->value()) - change;
}

/// One step of a life in plain numbers: time, service x, energy E, power, and energy g = P/x' of the next service.
struct CostNode {
    double time, service, energy, service_rate, power, running;
};

template <class T>
CostNode cost_node(const BasicLifeMoment<T>& m, ServiceBasis basis) {
    const ServiceSoFar<T> service = service_so_far(m, basis);
    const double rate = plain_value(service.rate), power = plain_value(m.power->value());
    return {plain_value(m.time.value()),
            plain_value(service.amount),
            plain_value(m.fan_energy->value()),
            rate,
            power,
            power / rate};
}

/// The end of a life by its outcome alone, which knows air and time, not the share that is stopped at the end.
inline CostNode cost_node(const LifeOutcome& o, ServiceBasis basis) {
    const bool by_time = basis == ServiceBasis::running_time;
    const double rate = by_time ? 1.0 : o.flow.value(), power = o.power->value();
    return {o.time.value(), by_time ? o.time.value() : o.delivered.value(), o.fan_energy->value(), rate, power,
            power / rate};
}

/// Value and slope.
struct CubicValue {
    double value, slope;
};

/// Cubic Hermite polynomial between two ends.
inline CubicValue hermite(double h, double y0, double y1, double d0, double d1, double s) {
    const double c = 3.0 * (y1 - y0) - h * (2.0 * d0 + d1), d = 2.0 * (y0 - y1) + h * (d0 + d1);
    return {y0 + s * (h * d0 + s * (c + s * d)), d0 + s * (2.0 * c + 3.0 * s * d) / h};
}

class CostCourse {
public:
    /// @param change  cost of a change
    /// @param price  of electricity
    CostCourse(double change, double price) : change_(change), price_(price) {}

    /// Appends a node later than all so far; one at the same time is left out.
    template <Deferred...>
    void append(const CostNode& node) {
        if (nodes_.empty() || node.time > nodes_.back().time * (1.0 + 1e-14)) nodes_.push_back(node);
    }
    /// Inserts a node between others.
    template <Deferred...>
    void insert(const CostNode& node) {
        const auto at = std::lower_bound(nodes_.begin(), nodes_.end(), node.time,
                                         [](const CostNode& n, double t) { return n.time < t; });
        if (at == nodes_.end() || at->time > node.time) nodes_.insert(at, node);
    }

    const std::vector<CostNode>& nodes() const { return nodes_; }
    double average(const CostNode& n) const { return (change_ + price_ * n.energy) / n.service; }
    double running(const CostNode& n) const { return price_ * n.running; }
    double excess(const CostNode& n) const { return price_ * (n.running * n.service - n.energy) - change_; }

    /// Service, energy and running energy at a time inside the course, from the cubics.
    template <Deferred...>
    CostNode at(double time) const {
        const std::size_t i = segment_of(time);
        const CostNode &a = nodes_[i], &b = nodes_[i + 1];
        const double h = b.time - a.time, s = (time - a.time) / h;
        CostNode node{};
        node.time = time;
        const CubicValue x = hermite(h, a.service, b.service, a.service_rate, b.service_rate, s);
        const CubicValue e = hermite(h, a.energy, b.energy, a.power, b.power, s);
        node.service = x.value;
        node.service_rate = x.slope;
        node.energy = e.value;
        node.power = e.slope;
        node.running = running_energy(time).value;
        return node;
    }

    /// d(excess)/dt = p x dg/dt.
    template <Deferred...>
    double excess_slope(double time) const { return price_ * at(time).service * running_energy(time).slope; }

private:
    template <Deferred...>
    std::size_t segment_of(double time) const {
        const auto above = std::upper_bound(nodes_.begin(), nodes_.end(), time,
                                            [](double t, const CostNode& n) { return t < n.time; });
        const auto i = static_cast<std::size_t>(above - nodes_.begin());
        return std::min(std::max<std::size_t>(i, 1), nodes_.size() - 1) - 1;
    }

    /// g by the polynomial through the nodes about a time: two on either side where there are so many.
    template <Deferred...>
    CubicValue running_energy(double time) const {
        const std::size_t i = segment_of(time);
        const std::size_t first = i > 0 ? i - 1 : 0, last = std::min(i + 2, nodes_.size() - 1);
        std::array<double, 4> c{};   // divided differences
        const std::size_t n = last - first + 1;
        for (std::size_t k = 0; k < n; ++k) c[k] = nodes_[first + k].running;
        for (std::size_t j = 1; j < n; ++j) {
            for (std::size_t k = n - 1; k >= j; --k) {
                c[k] = (c[k] - c[k - 1]) / (nodes_[first + k].time - nodes_[first + k - j].time);
            }
        }
        CubicValue g{c[n - 1], 0.0};
        for (std::size_t k = n - 1; k-- > 0;) {
            const double d = time - nodes_[first + k].time;
            g.slope = g.value + g.slope * d;
            g.value = c[k] + g.value * d;
        }
        return g;
    }

    std::vector<CostNode> nodes_;
    double change_, price_;
};

/// A part of a life in which the running cost rises through the average cost.
struct CostBracket {
    double lower, upper;    // times
    double best, average;   // on the cubics
    bool at_nodes;          // both ends are steps of the life: the part is there, not only on the cubics
};

/// Root of the excess between two times, by Newton steps on the cubics kept inside.
template <Deferred...>
inline double root_on_cubics(const CostCourse& course, double lower, double upper) {
    double t = lower + 0.5 * (upper - lower);
    for (int i = 0; i < 60 && upper - lower > 1e-12 * upper; ++i) {
        const double f = course.excess(course.at(t));
        (f < 0.0 ? lower : upper) = t;
        const double next = t - f / course.excess_slope(t);
        const bool inside = next > lower && next < upper;
        if (inside && std::abs(next - t) <= 1e-12 * upper) return next;
        t = inside ? next : lower + 0.5 * (upper - lower);
    }
    return t;
}

/// The part with the least average cost on the cubics; upper = 0 if there is none.
template <Deferred...>
inline CostBracket least_bracket(const CostCourse& course) {
    CostBracket least{0.0, 0.0, 0.0, HUGE_VAL, false};
    const auto& nodes = course.nodes();
    const auto rise = [&](std::size_t i) { return nodes[i + 1].running > nodes[i].running; };
    const auto take = [&](double lower, double upper, bool at_nodes) {
        const double best = root_on_cubics(course, lower, upper);
        const double average = course.average(course.at(best));
        if (average < least.average) least = {lower, upper, best, average, at_nodes};
    };
    for (std::size_t i = 0; i + 1 < nodes.size(); ++i) {
        const CostNode &a = nodes[i], &b = nodes[i + 1];
        const bool below = course.excess(a) < 0.0, below_at_end = course.excess(b) < 0.0;
        if (below && !below_at_end) take(a.time, b.time, true);
        // Within a step the running cost turns at most near a turn of its values at the steps: look closer there.
        const bool turns = (i > 0 && rise(i) != rise(i - 1)) || (i + 2 < nodes.size() && rise(i) != rise(i + 1));
        if (!turns || below != below_at_end) continue;
        constexpr int parts = 8;
        double before = a.time;
        bool below_before = below;
        for (int k = 1; k <= parts; ++k) {
            const double after = a.time + (b.time - a.time) * k / parts;
            const bool below_after = k == parts ? below_at_end : course.excess(course.at(after)) < 0.0;
            if (below_before && !below_after) take(before, after, false);
            before = after;
            below_before = below_after;
        }
    }
    return least;
}

}   // namespace detail
}   // namespace filterflow
