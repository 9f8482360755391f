// SPDX-License-Identifier: BSL-1.0
#pragma once

// Solution of the general two-channel problem of pleat_equations.hpp: y'' is a polynomial through Gauss points, where
// the equation holds exactly; y follows by integration, so that both ends are met and the equations are well
// conditioned. Newton's method, continued from the linear solution in momentum and sigma where these are strong; the
// number of points grows until the polynomial's last coefficients vanish.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/resistance/gauss_collocation.hpp>
#include <filterflow/resistance/pleat_equations.hpp>

namespace filterflow::detail {

/// A converged solution in double, at the points of one size.
struct PleatSolution {
    std::size_t size_index = 0;
    std::vector<double> z;
};

/// Newton's method at one theta; false if it does not settle in twelve steps. The matrix is kept while steps are small.
template <Deferred...>
inline bool newton(PleatEquations<double>& equations, const GaussCollocation& rule, double theta,
                   std::vector<double>& z, SmallSystem& system, std::vector<double>& step) {
    double before = 0.0;
    bool kept = false;
    for (int i = 0; i < 12; ++i) {
        equations.integrate(z);
        equations.minus_residual(z, theta, step.data());
        if (!kept) {
            equations.matrix(z, theta, system);
            if (!system.decompose()) return false;
        }
        system.solve(step.data());
        double change = 0.0, size = 1.0;
        for (std::size_t j = 0; j < rule.points; ++j) {
            z[j] += step[j];
            change = std::max(change, std::abs(step[j]));
            size = std::max(size, std::abs(z[j]));
            if (!std::isfinite(z[j])) return false;
        }
        // The linear problem is met by one step. With a matrix of its own, the error after a step is of the order of
        // the step's square; with a kept one steps shrink by one ratio.
        if (theta == 0.0) return true;
        const double ratio = i > 0 ? change / before : 1.0;
        if (!kept ? change < 1e-6 * size : ratio < 0.5 && change * ratio < 1e-10 * size) return true;
        if (i > 3 && ratio > 1.0) return false;
        kept = change < 0.03 * size && (!kept || ratio < 0.1);
        before = change;
    }
    return false;
}

/// Whether the last three Legendre coefficients of z are small. The drop's error is of the order of their square, as
/// Gauss points have it.
template <Deferred...>
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
template <Deferred...>
inline std::vector<double> carried_over(const GaussCollocation& from, const std::vector<double>& z,
                                        const GaussCollocation& to) {
    const std::vector<double> coefficient = from.coefficients(z);
    std::vector<double> p(from.points + 1), fine(to.points, 0.0);
    for (std::size_t i = 0; i < to.points; ++i) {
        GaussCollocation::legendre(2.0 * to.node[i] - 1.0, p);
        for (std::size_t n = 0; n < from.points; ++n) fine[i] += coefficient[n] * p[n];
    }
    return fine;
}

/// The number of points to begin with: what exponential layers and narrow tips need, to be checked afterwards.
template <Deferred...>
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

template <Deferred...>
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
    for (solution.size_index = first_size(problem, stretching); solution.size_index < collocation_sizes.size();
         ++solution.size_index) {
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
    const PleatProblem<double> plain{plain_value(p.friction),    plain_value(p.momentum),  plain_value(p.wall_inertia),
                                     plain_value(p.inlet_mouth), plain_value(p.inlet_tip), plain_value(p.outlet_mouth),
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
