// SPDX-License-Identifier: BSL-1.0
#pragma once

// The general two-channel problem: gaps that change along the depth, momentum of the air in the channels, a medium with
// inertia. In the units of two_channel.hpp, with Q1 = y, Q2 = 1 - y, g = -y':
//
//     (g + sigma g |g|)' = p1' - p2',   p_i' = -A_i Q_i - 2 B_i Q_i Q_i' + B_i Q_i^2 h_i'/h_i
//
// that is p' = -12 mu Q/h^3 - (rho beta/h) (Q^2/h)', which is Bernoulli's equation where nothing leaves the channel.
// Method: y'' is a polynomial through Gauss points, where the equation holds exactly; y follows by integration, so that
// both ends are met and the equations are well conditioned. Newton's method, continued from the linear solution in
// momentum and sigma; the number of points grows until the polynomial's last coefficients vanish.

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/resistance/two_channel.hpp>

namespace filterflow::detail {

/// Collocation of y'' = z on [0, 1] with y(0) = 1, y(1) = 0 at Gauss points. Matrices row by row.
struct GaussCollocation {
    std::size_t points;
    std::vector<double> node, weight;   // of quadrature on [0, 1]
    std::vector<double> slope;          // y' = -1 + slope z
    std::vector<double> level;          // y = 1 - x + level z
    std::vector<double> analysis;       // coefficients of z in Legendre polynomials

    explicit GaussCollocation(std::size_t k)
        : points(k), node(k), weight(k), slope(k * k), level(k * k), analysis(k * k) {
        std::vector<double> p(k + 2), at(k * (k + 2));
        for (std::size_t j = 0; j < k; ++j) {
            double t = std::cos(3.14159265358979323846 * (static_cast<double>(k - j) - 0.25) / (static_cast<double>(k) + 0.5));
            double derivative = 1.0;
            for (int i = 0; i < 8; ++i) {
                legendre(t, p);
                derivative = static_cast<double>(k) * (t * p[k] - p[k - 1]) / (t * t - 1.0);
                t -= p[k] / derivative;
            }
            legendre(t, p);
            derivative = static_cast<double>(k) * (t * p[k] - p[k - 1]) / (t * t - 1.0);
            node[j] = 0.5 * (1.0 + t);
            weight[j] = 1.0 / ((1.0 - t * t) * derivative * derivative);
            std::copy(p.begin(), p.end(), at.begin() + static_cast<std::ptrdiff_t>(j * (k + 2)));
            for (std::size_t n = 0; n < k; ++n) analysis[n * k + j] = static_cast<double>(2 * n + 1) * weight[j] * p[n];
        }
        // Integrals from 0 of P_n in x: once s_n = (P_(n+1) - P_(n-1))/(2 (2n + 1)), and twice.
        std::vector<double> once(k + 1), twice(k);
        for (std::size_t i = 0; i < k; ++i) {
            integrals(&at[i * (k + 2)], node[i], once, twice);
            for (std::size_t j = 0; j < k; ++j) {
                double first = 0.0, second = 0.0;
                for (std::size_t n = 0; n < k; ++n) {
                    first += once[n] * analysis[n * k + j];
                    second += twice[n] * analysis[n * k + j];
                }
                const double at_start = weight[j] * (1.0 - node[j]);   // y'(0) = -1 - sum of these times z
                slope[i * k + j] = first - at_start;
                level[i * k + j] = second - node[i] * at_start;
            }
        }
    }

    /// Legendre coefficients of the polynomial through values at the points.
    std::vector<double> coefficients(const std::vector<double>& values) const {
        std::vector<double> c(points, 0.0);
        for (std::size_t n = 0; n < points; ++n) {
            for (std::size_t j = 0; j < points; ++j) c[n] += analysis[n * points + j] * values[j];
        }
        return c;
    }

    static void legendre(double t, std::vector<double>& p) {
        p[0] = 1.0;
        p[1] = t;
        for (std::size_t n = 1; n + 1 < p.size(); ++n) {
            const double m = static_cast<double>(n);
            p[n + 1] = ((2.0 * m + 1.0) * t * p[n] - m * p[n - 1]) / (m + 1.0);
        }
    }

    /// Integrals of P_0 to P_(k-1) from 0 to x; p holds P_0 to P_(k+1) there.
    static void integrals(const double* p, double x, std::vector<double>& once, std::vector<double>& twice) {
        once[0] = x;
        for (std::size_t n = 1; n < once.size(); ++n) {
            once[n] = (p[n + 1] - p[n - 1]) / (2.0 * static_cast<double>(2 * n + 1));
        }
        twice[0] = 0.5 * x * x;
        for (std::size_t n = 1; n < twice.size(); ++n) {
            twice[n] = (once[n + 1] - once[n - 1]) / (2.0 * static_cast<double>(2 * n + 1));
        }
    }
};

inline constexpr std::array<std::size_t, 11> collocation_sizes{6, 8, 10, 14, 20, 28, 40, 56, 80, 112, 160};

template <std::size_t K>
const GaussCollocation& gauss_collocation() {
    static const GaussCollocation rule(K);
    return rule;
}

inline const GaussCollocation& gauss_collocation(std::size_t size_index) {
    return [size_index]<std::size_t... I>(std::index_sequence<I...>) -> const GaussCollocation& {
        const GaussCollocation* rule = nullptr;
        static_cast<void>(((I == size_index ? (rule = &gauss_collocation<collocation_sizes[I]>(), true) : false) || ...));
        return *rule;
    }(std::make_index_sequence<collocation_sizes.size()>());
}

/// Two channels with straight walls, in units of q, L and R v_m.
template <class T>
struct PleatProblem {
    T friction;       // 12 mu q L/(R v_m) [m3]: A = friction/h^3
    T momentum;       // rho beta q^2/(R v_m) [m2]: B = momentum/h^2
    T wall_inertia;   // sigma = S v_m/R
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
    T excess;      // drop/(R v_m) - 1 - sigma
    T peak;        // greatest v/v_m
    int points;    // of the collocation
};

/// A matrix, decomposed in place into triangles, with row exchanges.
class SmallSystem {
public:
    explicit SmallSystem(std::size_t n) : n_(n), a_(n * n), row_(n) {}

    double* row(std::size_t i) { return &a_[i * n_]; }

    bool decompose() {
        for (std::size_t k = 0; k < n_; ++k) {
            std::size_t best = k;
            for (std::size_t i = k + 1; i < n_; ++i) {
                if (std::abs(a_[i * n_ + k]) > std::abs(a_[best * n_ + k])) best = i;
            }
            row_[k] = best;
            if (best != k) std::swap_ranges(&a_[k * n_], &a_[k * n_] + n_, &a_[best * n_]);
            const double pivot = a_[k * n_ + k];
            if (!(std::abs(pivot) > 0.0) || !std::isfinite(pivot)) return false;
            const double inverse = 1.0 / pivot;
            const double* upper = &a_[k * n_];
            for (std::size_t i = k + 1; i < n_; ++i) {
                double* lower = &a_[i * n_];
                const double factor = lower[k] * inverse;
                lower[k] = factor;
                for (std::size_t j = k + 1; j < n_; ++j) lower[j] -= factor * upper[j];
            }
        }
        return true;
    }

    template <class T>
    void solve(T* x) const {
        for (std::size_t k = 0; k < n_; ++k) {
            if (row_[k] != k) std::swap(x[k], x[row_[k]]);
        }
        for (std::size_t i = 1; i < n_; ++i) {
            for (std::size_t k = 0; k < i; ++k) x[i] -= T(a_[i * n_ + k]) * x[k];
        }
        for (std::size_t k = n_; k-- > 0;) {
            for (std::size_t j = k + 1; j < n_; ++j) x[k] -= T(a_[k * n_ + j]) * x[j];
            x[k] /= T(a_[k * n_ + k]);
        }
    }

private:
    std::size_t n_;
    std::vector<double> a_;
    std::vector<std::size_t> row_;
};

/// Stretching of the depth that widens tips: x = (1 + tanh(c (2 s - 1))/tanh(c))/2, with c so that the place where the
/// straight walls of a tapered channel would meet goes to infinity. None where the channels are not tapered.
struct DepthStretching {
    double c = 0.0, tanh_c = 1.0;

    explicit DepthStretching(const PleatProblem<double>& p) {
        const double beyond = std::min(tip_distance(p.inlet_mouth, p.inlet_tip), tip_distance(p.outlet_mouth, p.outlet_tip));
        if (beyond < 100.0) {
            c = 0.5 * std::log1p(1.0 / beyond);
            tanh_c = std::tanh(c);
        }
    }
    /// From the tip to where the walls would meet, over the depth.
    static double tip_distance(double mouth, double tip) { return mouth > tip ? tip / (mouth - tip) : 1e300; }

    /// s of a place x.
    double from_depth(double x) const { return c > 0.0 ? 0.5 + 0.5 * std::atanh((2.0 * x - 1.0) * tanh_c) / c : x; }

    struct Place {
        double x, rate, bend;   // x(s), dx/ds, (d2x/ds2)/(dx/ds)
    };
    Place at(double s) const {
        if (!(c > 0.0)) return {s, 1.0, 0.0};
        const double t = std::tanh(c * (2.0 * s - 1.0));
        return {0.5 + 0.5 * t / tanh_c, c * (1.0 - t * t) / tanh_c, -4.0 * c * t};
    }
};

/// The discrete problem of one size: residual, Newton's method and what follows from a solution. Derivatives of y are to
/// the stretched depth s; flow and velocity are to x.
template <class T>
class PleatEquations {
public:
    PleatEquations(const PleatProblem<T>& problem, const DepthStretching& stretching, const GaussCollocation& rule)
        : problem_(problem), rule_(rule), first_rate_(stretching.at(0.0).rate), last_rate_(stretching.at(1.0).rate),
          points_(rule.points) {
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
            T slope = T(-1), level = T(1.0 - rule_.node[i]);
            for (std::size_t j = 0; j < k; ++j) {
                slope += T(rule_.slope[i * k + j]) * z[j];
                level += T(rule_.level[i * k + j]) * z[j];
            }
            points_[i].flow = level;
            points_[i].slope = slope;
            points_[i].depth_slope = slope * T(1.0 / points_[i].place.rate);
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
    void matrix(const std::vector<T>& z, double theta, SmallSystem& system) const
        requires std::is_same_v<T, double>
    {
        const std::size_t k = rule_.points;
        for (std::size_t i = 0; i < k; ++i) {
            const Point& p = points_[i];
            const ChannelPlace<double> in = scaled(p.inlet, theta), out = scaled(p.outlet, theta);
            const double y = p.flow, rest = 1.0 - y, v = p.depth_slope, rate = p.place.rate;
            const double sigma = theta * problem_.wall_inertia, wall = 1.0 + 2.0 * sigma * std::abs(v);
            const double by_level = rate * rate * (-in.friction - out.friction +
                                                   2.0 * (in.momentum * (y * in.taper - v) + out.momentum * (rest * out.taper + v)));
            const double by_slope = -2.0 * rate * (in.momentum * y + out.momentum * rest) - wall * p.place.bend +
                                    (v < 0.0 ? -2.0 : 2.0) * sigma / rate * (z[i] - p.place.bend * p.slope);
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

    /// The greatest v/v_m of ends and points; where it is an inner point, of the parabola through it and its neighbours.
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
        const T left = (greatest + points_[at - 1].depth_slope) / a, right = (greatest + points_[at + 1].depth_slope) / b;
        const T curvature = (left + right) / (a + b), tilt = (left * b - right * a) / (a + b);
        return plain_value(curvature) > 0.0 ? T(greatest + tilt * tilt / (T(4) * curvature)) : greatest;
    }

    PleatProblem<T> problem_;
    const GaussCollocation& rule_;
    double first_rate_, last_rate_;
    std::vector<Point> points_;
};

/// A converged solution in double, at the points of one size.
struct PleatSolution {
    std::size_t size_index = 0;
    std::vector<double> z;
};

/// Newton's method at one theta; false if it does not settle in ten steps.
inline bool newton(PleatEquations<double>& equations, const GaussCollocation& rule, double theta, std::vector<double>& z,
                   SmallSystem& system, std::vector<double>& step) {
    double before = 0.0;
    for (int i = 0; i < 10; ++i) {
        equations.integrate(z);
        equations.matrix(z, theta, system);
        equations.minus_residual(z, theta, step.data());
        if (!system.decompose()) return false;
        system.solve(step.data());
        double change = 0.0, size = 1.0;
        for (std::size_t j = 0; j < rule.points; ++j) {
            z[j] += step[j];
            change = std::max(change, std::abs(step[j]));
            size = std::max(size, std::abs(z[j]));
            if (!std::isfinite(z[j])) return false;
        }
        // The linear problem is met by one step; else the error after a step is of the order of its square.
        if (theta == 0.0 || change < 1e-6 * size) return true;
        if (i > 3 && change > before) return false;
        before = change;
    }
    return false;
}

/// Whether the last three Legendre coefficients of z are small. The drop's error is of the order of their square, as
/// Gauss points have it.
inline bool is_resolved(const GaussCollocation& rule, const std::vector<double>& z) {
    const std::size_t k = rule.points;
    double size = 1.0, tail = 0.0;
    for (const double value : z) size = std::max(size, std::abs(value));
    for (std::size_t n = k - 3; n < k; ++n) {
        double c = 0.0;
        for (std::size_t j = 0; j < k; ++j) c += rule.analysis[n * k + j] * z[j];
        tail = std::max(tail, std::abs(c));
    }
    return tail < 1e-5 * size;
}

/// The polynomial of z at the points of a finer rule.
inline std::vector<double> carried_over(const GaussCollocation& from, const std::vector<double>& z, const GaussCollocation& to) {
    const std::vector<double> coefficient = from.coefficients(z);
    std::vector<double> p(from.points + 1), fine(to.points, 0.0);
    for (std::size_t i = 0; i < to.points; ++i) {
        GaussCollocation::legendre(2.0 * to.node[i] - 1.0, p);
        for (std::size_t n = 0; n < from.points; ++n) fine[i] += coefficient[n] * p[n];
    }
    return fine;
}

/// The number of points to begin with: what exponential layers and narrow tips need, to be checked afterwards.
inline std::size_t first_size(const PleatProblem<double>& p, const DepthStretching& stretching) {
    double rate = 0.0;
    for (const double x : {0.0, 1.0}) {
        const ChannelPlace<double> in = inlet_place(p, x), out = outlet_place(p, x);
        const double b = x == 0.0 ? in.momentum : out.momentum, a = in.friction + out.friction;
        rate = std::max(rate, (b + std::sqrt(b * b + a)) / (1.0 + p.wall_inertia) * stretching.at(x).rate);
    }
    const double wanted = 4.0 + 2.2 * std::sqrt(rate);
    std::size_t index = 0;
    while (index + 1 < collocation_sizes.size() && static_cast<double>(collocation_sizes[index]) < wanted) ++index;
    return index;
}

inline PleatSolution solve_pleat(const PleatProblem<double>& problem, const char* where) {
    for (const double x : {0.0, 1.0}) {
        const ChannelPlace<double> in = inlet_place(problem, x), out = outlet_place(problem, x);
        require_finite(where, "friction of the inlet channel over the medium's drop", in.friction, "-");
        require_finite(where, "friction of the outlet channel over the medium's drop", out.friction, "-");
        require_finite(where, "momentum in the inlet channel over the medium's drop", in.momentum, "-");
        require_finite(where, "momentum in the outlet channel over the medium's drop", out.momentum, "-");
    }
    require_finite(where, "inertia of the medium over its viscous drop", problem.wall_inertia, "-");

    PleatSolution solution;
    const DepthStretching stretching(problem);
    double reached = 0.0;
    int trials = 0;
    bool started = false;
    const bool mild =
        inlet_place(problem, 0.0).momentum + outlet_place(problem, 1.0).momentum + 2.0 * problem.wall_inertia < 4.0;
    for (solution.size_index = first_size(problem, stretching); solution.size_index < collocation_sizes.size(); ++solution.size_index) {
        const GaussCollocation& rule = gauss_collocation(solution.size_index);
        PleatEquations<double> equations(problem, stretching, rule);
        SmallSystem system(rule.points);
        std::vector<double> step(rule.points);
        bool settled = false;
        if (started) {   // from the solution with fewer points
            solution.z = carried_over(gauss_collocation(solution.size_index - 1), solution.z, rule);
            settled = newton(equations, rule, 1.0, solution.z, system, step);
        }
        if (!settled && mild) {   // uniform flow is near enough
            solution.z.assign(rule.points, 0.0);
            settled = newton(equations, rule, 1.0, solution.z, system, step);
            if (settled) reached = 1.0;
        }
        if (!settled) {   // from the linear solution
            solution.z.assign(rule.points, 0.0);
            double theta = 0.0, stride = 1.0;
            settled = newton(equations, rule, 0.0, solution.z, system, step);
            while (settled && theta < 1.0) {
                std::vector<double> trial = solution.z;
                const double next = std::min(1.0, theta + stride);
                ++trials;
                if (newton(equations, rule, next, trial, system, step)) {
                    solution.z = std::move(trial);
                    theta = next;
                    stride *= 2.0;
                } else {
                    stride *= 0.25;
                    settled = stride > 1e-4;
                }
            }
            reached = std::max(reached, theta);
        }
        started = settled;
        if (settled && is_resolved(rule, solution.z)) return solution;
    }
    const PleatProblem<double>& p = problem;
    throw NoSolution(std::string(where) + ": no solution was found; tried: up to " +
                     number_text(static_cast<double>(collocation_sizes.back())) + " points along the depth, " +
                     number_text(trials) + " steps of inertia from the solution without it, of which " +
                     number_text(100.0 * reached) +
                     " % was reached. Over the medium's even drop, friction at inlet mouth and tip is " +
                     number_text(inlet_place(p, 0.0).friction) + " and " + number_text(inlet_place(p, 1.0).friction) +
                     ", momentum at the inlet mouth " + number_text(inlet_place(p, 0.0).momentum) +
                     "; wider gaps or a less permeable medium lower them");
}

template <class T>
PleatFlow<T> pleat_flow(const PleatProblem<T>& p, const char* where) {
    const PleatProblem<double> plain{plain_value(p.friction),     plain_value(p.momentum),  plain_value(p.wall_inertia),
                                     plain_value(p.inlet_mouth),  plain_value(p.inlet_tip), plain_value(p.outlet_mouth),
                                     plain_value(p.outlet_tip)};
    const PleatSolution solution = solve_pleat(plain, where);
    const GaussCollocation& rule = gauss_collocation(solution.size_index);
    const DepthStretching stretching(plain);
    PleatEquations<T> equations(p, stretching, rule);
    std::vector<T> z(solution.z.begin(), solution.z.end());
    equations.integrate(z);
    if constexpr (!std::is_same_v<T, double>) {   // one Newton step at the solution carries the derivatives
        PleatEquations<double> equations_there(plain, stretching, rule);
        SmallSystem system(rule.points);
        equations_there.integrate(solution.z);
        equations_there.matrix(solution.z, 1.0, system);
        std::vector<T> step(rule.points);
        equations.minus_residual(z, 1.0, step.data());
        if (!system.decompose()) throw NoSolution(std::string(where) + ": the solution has no derivative");
        system.solve(step.data());
        for (std::size_t i = 0; i < rule.points; ++i) z[i] += step[i];
        equations.integrate(z);
    }
    return equations.result(z);
}

}   // namespace filterflow::detail
