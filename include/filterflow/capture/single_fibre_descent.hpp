// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a fit of fibres finds its least squares: a grid of starts, then damped steps with exact derivatives.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/capture/single_fibre_fit_types.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/least_squares.hpp>

namespace filterflow {

namespace detail {

/// Parameters of the fit: ln of fibre diameter and of solidity, charge over 10 uC/m2.
using FibreParameters = std::array<double, 3>;
inline constexpr double charge_scale = 1e-5;
inline constexpr FibreParameters fibre_least{-16.8112428315183, -6.90775527898214, 0.0};    // 0.05 um, 0.001, none
inline constexpr FibreParameters fibre_greatest{-6.90775527898214, -1.38629436112, 1e4};   // 1 mm, 0.25, 0.1 C/m2

struct FibrePoint {
    FibreParameters at{};
    double chi_squared = std::numeric_limits<double>::infinity();
    bool converged = false;
    int steps = 0;
};

template <class T>
BasicFibreLayer<T> fibre_layer(const FibreFitInput& input, const std::array<T, 3>& p) {
    using std::exp;
    BasicFibreLayer<T> layer{.medium = {.thickness = BasicLength<T>::from_value(T(input.thickness.value())),
                                        .geometric_fibre_diameter = BasicLength<T>::from_value(T(exp(p[0]))),
                                        .solidity = exp(p[1])},
                             .velocity = BasicVelocity<T>::from_value(T(1)),
                             .theory = input.theory};
    layer.charge.surface_charge = BasicSurfaceCharge<T>::from_value(T(charge_scale) * p[2]);
    layer.charge.relative_permittivity = input.fibre_permittivity;
    return layer;
}

template <class T>
T fitted_penetration(const FibreFitInput& input, const BasicAirState<T>& air, const std::array<T, 3>& p,
                     const FibreReading& reading) {
    BasicFibreLayer<T> layer = fibre_layer<T>(input, p);
    layer.velocity = BasicVelocity<T>::from_value(T(reading.velocity.value()));
    return penetration<T>(layer,
                          BasicParticle<T>{BasicLength<T>::from_value(T(reading.size.value())),
                                           BasicDensity<T>::from_value(T(input.particle_density.value()))},
                          air);
}

template <Deferred...>
inline double fibre_chi_squared(const FibreFitInput& input, const AirState& air, const FibreParameters& p) {
    double sum = 0.0;
    for (const FibreReading& reading : input.readings) {
        const double z =
            (reading.penetration - fitted_penetration<double>(input, air, p, reading)) / reading.standard_uncertainty;
        sum += z * z;
    }
    return sum;
}

/// Rows of the weighted problem at a point: slopes over uncertainty, residual over uncertainty.
struct FibreRows {
    std::vector<std::array<double, 3>> design;
    std::vector<double> residual;
};
template <Deferred...>
inline FibreRows fibre_rows(const FibreFitInput& input, const AirState& air, const FibreParameters& p) {
    using D = Dual<3>;
    const BasicAirState<D> dual_air = air_as<D>(air);
    FibreRows rows;
    for (const FibreReading& reading : input.readings) {
        const D model =
            fitted_penetration<D>(input, dual_air, {D::input(p[0], 0), D::input(p[1], 1), D::input(p[2], 2)}, reading);
        const double weight = 1.0 / reading.standard_uncertainty;
        std::array<double, 3> row{};
        for (std::size_t j = 0; j < 3; ++j) row[j] = weight * model.derivative[j];
        rows.design.push_back(row);
        rows.residual.push_back(weight * (reading.penetration - model.value));
    }
    return rows;
}

/// Levenberg's damped steps, each parameter scaled by its own column, from one point within the limits.
template <Deferred...>
inline FibrePoint descend_fibres(const FibreFitInput& input, const AirState& air, const FibreParameters& start,
                                 const std::array<bool, 3>& free) {
    FibrePoint point{start, fibre_chi_squared(input, air, start), false, 0};
    double damping = 1e-3;
    while (point.steps < 200) {
        FibreRows rows = fibre_rows(input, air, point.at);
        std::array<double, 3> norm{};
        for (const auto& row : rows.design) {
            for (std::size_t j = 0; j < 3; ++j) norm[j] += row[j] * row[j];
        }
        std::array<bool, 3> moves = free;
        for (std::size_t j = 0; j < 3; ++j) moves[j] = free[j] && norm[j] > 0.0;
        const std::size_t n = rows.design.size();
        bool better = false;
        while (!better && damping < 1e12) {
            ++point.steps;
            rows.design.resize(n);
            rows.residual.resize(n);
            for (std::size_t j = 0; j < 3; ++j) {
                std::array<double, 3> row{};
                row[j] = std::sqrt(damping * norm[j]);
                rows.design.push_back(row);
                rows.residual.push_back(0.0);
            }
            const std::vector<double> weights(rows.design.size(), 1.0);
            LeastSquares<3> step;
            if (!solve_free<3>(rows.design, rows.residual, weights, moves, step)) {
                damping *= 10.0;
                continue;
            }
            FibrePoint next = point;
            double largest = 0.0;
            for (std::size_t j = 0; j < 3; ++j) {
                next.at[j] = std::clamp(point.at[j] + step.parameters[j], fibre_least[j], fibre_greatest[j]);
                largest = std::max(largest, std::abs(next.at[j] - point.at[j]) / std::max(1.0, std::abs(next.at[j])));
            }
            next.chi_squared = fibre_chi_squared(input, air, next.at);
            better = next.chi_squared <= point.chi_squared;
            if (better) {
                const bool settled = point.chi_squared - next.chi_squared <= 1e-12 * point.chi_squared + 1e-14;
                point = next;
                damping = std::max(damping * 0.1, 1e-12);
                if (largest < 1e-10 || (settled && largest < 1e-6)) {
                    point.converged = true;
                    return point;
                }
            } else {
                damping *= 10.0;
                if (largest < 1e-10) {   // nothing to gain within rounding
                    point.converged = true;
                    return point;
                }
            }
        }
        if (!better) return point;
    }
    return point;
}

/// The best of several descents, each from one of the best points of a grid.
template <Deferred...>
inline FibrePoint best_fibres(const FibreFitInput& input, const AirState& air, const std::array<bool, 3>& free) {
    const auto grid = [](bool is_free, double known, std::vector<double> values) {
        return is_free ? values : std::vector<double>{known};
    };
    std::vector<double> fibres, solidities, charges{0.1, 0.3, 1.0, 3.0, 10.0, 30.0};
    for (int i = 0; i <= 16; ++i) fibres.push_back(std::log(0.3e-6) + 0.3 * i);   // to 36 um
    for (const double a : {0.005, 0.01, 0.02, 0.05, 0.1, 0.2}) solidities.push_back(std::log(a));
    const double known_fibre = input.known_fibre_diameter ? std::log(input.known_fibre_diameter->value()) : 0.0;
    const double known_solidity = input.known_solidity ? std::log(*input.known_solidity) : 0.0;
    std::vector<FibrePoint> points;
    for (const double fibre : grid(free[0], known_fibre, fibres)) {
        for (const double solidity : grid(free[1], known_solidity, solidities)) {
            for (const double charge : grid(free[2], 0.0, charges)) {
                const FibreParameters p{fibre, solidity, charge};
                points.push_back({p, fibre_chi_squared(input, air, p), false, 0});
            }
        }
    }
    const std::size_t starts = std::min<std::size_t>(4, points.size());
    std::partial_sort(points.begin(), points.begin() + static_cast<std::ptrdiff_t>(starts), points.end(),
                      [](const FibrePoint& a, const FibrePoint& b) { return a.chi_squared < b.chi_squared; });
    FibrePoint best;
    for (std::size_t i = 0; i < starts; ++i) {
        const FibrePoint found = descend_fibres(input, air, points[i].at, free);
        if (found.chi_squared < best.chi_squared) best = found;
    }
    return best;
}

}   // namespace detail

}   // namespace filterflow
