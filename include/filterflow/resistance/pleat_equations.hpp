// SPDX-License-Identifier: BSL-1.0
#pragma once

// The general two-channel problem: gaps that change along the depth, momentum of the air in the channels, a medium with
// inertia. In the units of two_channel.hpp, with Q1 = y, Q2 = 1 - y, g = -y':
//
//     (g + sigma g |g|)' = p1' - p2',   p_i' = -A_i Q_i - 2 B_i Q_i Q_i' + B_i Q_i^2 h_i'/h_i
//
// that is p' = -12 mu Q/h^3 - (rho beta/h) (Q^2/h)', which is Bernoulli's equation where nothing leaves the channel.
// Here the equations at the collocation points, their matrix, and what follows from a solution; solved in
// pleat_collocation.hpp.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <type_traits>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/resistance/gauss_collocation.hpp>

namespace filterflow::detail {

/// Two channels with straight walls, in units of q, L and R v_m.
template <class T>
struct PleatProblem {
    T friction;                                           // 12 mu q L/(R v_m) [m3]: A = friction/h^3
    T momentum;                                           // rho beta q^2/(R v_m) [m2]: B = momentum/h^2
    T wall_inertia;                                       // sigma = S v_m/R
    T inlet_mouth, inlet_tip, outlet_mouth, outlet_tip;   // gaps [m]
};

/// What one channel is at a place: A, B and h'/h.
template <class T>
struct ChannelPlace {
    T friction, momentum, taper;
};

template <class T>
ChannelPlace<T> channel_place(const PleatProblem<T>& p, const T& at_start, const T& at_end, double x) {
    const T widening = at_end - at_start;
    const T narrow = T(1) / (at_start + widening * T(x));
    const T b = p.momentum * narrow * narrow;
    return {p.friction * narrow * narrow * narrow, b, widening * narrow};
}

template <class T>
ChannelPlace<T> inlet_place(const PleatProblem<T>& p, double x) {
    return channel_place(p, p.inlet_mouth, p.inlet_tip, x);
}

template <class T>
ChannelPlace<T> outlet_place(const PleatProblem<T>& p, double x) {
    return channel_place(p, p.outlet_tip, p.outlet_mouth, x);
}

/// dp/dx in a channel with flow Q and dQ/dx.
template <class T>
T channel_pressure_slope(const ChannelPlace<T>& c, const T& flow, const T& flow_slope) {
    return -(c.friction + c.momentum * (T(2) * flow_slope - flow * c.taper)) * flow;
}

/// What is asked of the solution, over the medium's even drop R v_m.
template <class T>
struct PleatFlow {
    T excess;     // drop/(R v_m) - 1 - sigma
    T peak;       // greatest v/v_m
    int points;   // of the collocation
};

/// Stretching of the depth that widens tips: x = (1 + tanh(c (2 s - 1))/tanh(c))/2, with c so that the place where the
/// straight walls of a tapered channel would meet goes to infinity. None where the channels are not tapered.
struct DepthStretching {
    double c = 0.0, tanh_c = 1.0;

    template <Deferred...>
    explicit DepthStretching(const PleatProblem<double>& p) {
        const double beyond =
            std::min(tip_distance(p.inlet_mouth, p.inlet_tip), tip_distance(p.outlet_mouth, p.outlet_tip));
        if (beyond < 100.0) {
            c = 0.5 * std::log1p(1.0 / beyond);
            tanh_c = std::tanh(c);
        }
    }
    /// From the tip to where the walls would meet, over the depth.
    static double tip_distance(double mouth, double tip) { return mouth > tip ? tip / (mouth - tip) : 1e300; }

    /// s of a place x.
    template <Deferred...>
    double from_depth(double x) const { return c > 0.0 ? 0.5 + 0.5 * std::atanh((2.0 * x - 1.0) * tanh_c) / c : x; }

    struct Place {
        double x, rate, inverse_rate, bend;   // x(s), dx/ds, ds/dx, (d2x/ds2)/(dx/ds)
    };
    template <Deferred...>
    Place at(double s) const {
        if (!(c > 0.0)) return {s, 1.0, 1.0, 0.0};
        const double t = std::tanh(c * (2.0 * s - 1.0));
        const double rate = c * (1.0 - t * t) / tanh_c;
        return {0.5 + 0.5 * t / tanh_c, rate, 1.0 / rate, -4.0 * c * t};
    }
};

/// The discrete problem of one size: residual, Newton's method and what follows from a solution. Derivatives of y are
/// to the stretched depth s; flow and velocity are to x.
template <class T>
class PleatEquations {
public:
    PleatEquations(const PleatProblem<T>& problem, const DepthStretching& stretching, const GaussCollocation& rule)
        : problem_(problem),
          rule_(rule),
          first_rate_(stretching.at(0.0).rate),
          last_rate_(stretching.at(1.0).rate),
          points_(rule.points),
          slope_(rule.points),
          level_(rule.points) {
        for (std::size_t i = 0; i < rule.points; ++i) {
            Point& point = points_[i];
            point.place = stretching.at(rule.node[i]);
            point.inlet = inlet_place(problem, point.place.x);
            point.outlet = outlet_place(problem, point.place.x);
        }
    }

    /// y, dy/ds and dy/dx of z at the points.
    void integrate(const std::vector<T>& z) {
        const std::size_t k = rule_.points;
        for (std::size_t i = 0; i < k; ++i) {
            slope_[i] = T(-1);
            level_[i] = T(1.0 - rule_.node[i]);
        }
        for (std::size_t j = 0; j < k; ++j) {   // column by column, which compilers turn into vector operations
            const T factor = z[j];
            const double *slope = &rule_.slope_columns[j * k], *level = &rule_.level_columns[j * k];
            for (std::size_t i = 0; i < k; ++i) slope_[i] += T(slope[i]) * factor;
            for (std::size_t i = 0; i < k; ++i) level_[i] += T(level[i]) * factor;
        }
        for (std::size_t i = 0; i < k; ++i) {
            points_[i].flow = level_[i];
            points_[i].slope = slope_[i];
            points_[i].depth_slope = slope_[i] * T(points_[i].place.inverse_rate);
        }
    }

    /// Minus the residual, with momentum and sigma scaled by theta; after integrate(z).
    void minus_residual(const std::vector<T>& z, double theta, T* out) const {
        using std::abs;
        for (std::size_t i = 0; i < rule_.points; ++i) {
            const Point& p = points_[i];
            const T in = channel_pressure_slope(scaled(p.inlet, theta), p.flow, p.depth_slope);
            const T back = channel_pressure_slope(scaled(p.outlet, theta), T(T(1) - p.flow), T(-p.depth_slope));
            const T wall = T(1) + T(2.0 * theta) * problem_.wall_inertia * abs(p.depth_slope);
            out[i] = T(p.place.rate * p.place.rate) * (back - in) - wall * (z[i] - T(p.place.bend) * p.slope);
        }
    }

    /// Newton's matrix at z; after integrate(z).
    void matrix(const std::vector<T>& z, double theta, SmallSystem& system) const requires std::is_same_v<T, double> {
        const std::size_t k = rule_.points;
        for (std::size_t i = 0; i < k; ++i) {
            const Point& p = points_[i];
            const ChannelPlace<double> in = scaled(p.inlet, theta), out = scaled(p.outlet, theta);
            const double y = p.flow, rest = 1.0 - y, v = p.depth_slope, rate = p.place.rate;
            const double sigma = theta * problem_.wall_inertia, wall = 1.0 + 2.0 * sigma * std::abs(v);
            const double by_level = rate * rate *
                                    (-in.friction - out.friction +
                                     2.0 * (in.momentum * (y * in.taper - v) + out.momentum * (rest * out.taper + v)));
            const double by_slope =
                -2.0 * rate * (in.momentum * y + out.momentum * rest) - wall * p.place.bend +
                (v < 0.0 ? -2.0 : 2.0) * sigma * p.place.inverse_rate * (z[i] - p.place.bend * p.slope);
            double* row = system.row(i);
            const double *level = &rule_.level[i * k], *slope = &rule_.slope[i * k];
            for (std::size_t j = 0; j < k; ++j) row[j] = by_level * level[j] + by_slope * slope[j];
            row[i] += wall;
        }
    }

    /// After integrate(z): drop and greatest velocity.
    PleatFlow<T> result(const std::vector<T>& z) const {
        using std::abs;
        T fall = T(0), end = T(0), start = T(0);
        for (std::size_t i = 0; i < rule_.points; ++i) {
            const Point& p = points_[i];
            const T w = T(rule_.weight[i]);
            fall -= w * T(p.place.rate) * channel_pressure_slope(p.inlet, p.flow, p.depth_slope);
            end -= w * T(rule_.node[i]) * z[i];
            start += w * T(1.0 - rule_.node[i]) * z[i];
        }
        const T first = (T(1) + start) * T(1.0 / first_rate_), last = (T(1) + end) * T(1.0 / last_rate_);   // v/v_m
        const T wall = last - T(1) + problem_.wall_inertia * (last * abs(last) - T(1));
        return {wall + fall, peak(first > last ? first : last), static_cast<int>(rule_.points)};
    }

    struct Point {
        DepthStretching::Place place;
        ChannelPlace<T> inlet, outlet;
        T flow, slope, depth_slope;   // y, dy/ds, dy/dx
    };
    const Point& point(std::size_t i) const { return points_[i]; }

private:
    static ChannelPlace<T> scaled(const ChannelPlace<T>& c, double theta) {
        return {c.friction, T(theta) * c.momentum, c.taper};
    }

    /// The greatest v/v_m of ends and points; where it is an inner point, of the parabola through it and its
    /// neighbours.
    T peak(T greatest) const {
        std::size_t at = rule_.points;
        for (std::size_t i = 0; i < rule_.points; ++i) {
            if (-points_[i].depth_slope > greatest) {
                greatest = -points_[i].depth_slope;
                at = i;
            }
        }
        if (at == 0 || at + 1 >= rule_.points) return greatest;
        const T a = T(rule_.node[at] - rule_.node[at - 1]), b = T(rule_.node[at + 1] - rule_.node[at]);
        const T left = (greatest + points_[at - 1].depth_slope) / a,
                right = (greatest + points_[at + 1].depth_slope) / b;
        const T curvature = (left + right) / (a + b), tilt = (left * b - right * a) / (a + b);
        return plain_value(curvature) > 0.0 ? T(greatest + tilt * tilt / (T(4) * curvature)) : greatest;
    }

    PleatProblem<T> problem_;
    const GaussCollocation& rule_;
    double first_rate_, last_rate_;
    std::vector<Point> points_;
    std::vector<T> slope_, level_;
};

}   // namespace filterflow::detail
