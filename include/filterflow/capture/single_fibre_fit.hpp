// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fibre diameter, solidity and charge that agree with a measured fractional efficiency: weighted nonlinear least squares
// with exact derivatives, from the best points of a grid, so that no start is asked for.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/single_fibre_fit_types.hpp>
#include <filterflow/core/checks.hpp>
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
inline FibreRows fibre_rows(const FibreFitInput& input, const AirState& air, const FibreParameters& p) {
    using D = Dual<3>;
    const BasicAirState<D> dual_air = air_as<D>(air);
    FibreRows rows;
    for (const FibreReading& reading : input.readings) {
        const D model = fitted_penetration<D>(input, dual_air, {D::input(p[0], 0), D::input(p[1], 1), D::input(p[2], 2)},
                                              reading);
        const double weight = 1.0 / reading.standard_uncertainty;
        std::array<double, 3> row{};
        for (std::size_t j = 0; j < 3; ++j) row[j] = weight * model.derivative[j];
        rows.design.push_back(row);
        rows.residual.push_back(weight * (reading.penetration - model.value));
    }
    return rows;
}

/// Levenberg's damped steps, each parameter scaled by its own column, from one point within the limits.
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

inline void check(const FibreFitInput& input, std::string_view where) {
    require_positive(where, "thickness", input.thickness.value(), "m");
    require_positive(where, "particle_density", input.particle_density.value(), "kg/m3");
    if (input.known_solidity) require_between(where, "known_solidity", *input.known_solidity, 0.001, 0.25, "-");
    if (input.known_fibre_diameter) {
        require_between(where, "known_fibre_diameter", input.known_fibre_diameter->value(), 0.05e-6, 1e-3, "m");
    }
    for (std::size_t i = 0; i < input.readings.size(); ++i) {
        const std::string name = "reading " + std::to_string(i + 1) + ": ";
        require_positive(where, name + "size", input.readings[i].size.value(), "m");
        require_positive(where, name + "velocity", input.readings[i].velocity.value(), "m/s");
        require_non_negative(where, name + "penetration", input.readings[i].penetration, "-");
        require_positive(where, name + "standard_uncertainty", input.readings[i].standard_uncertainty, "-");
    }
}

/// Covariance in the fit's own parameters, and the multiple correlation of the charge; false if not independent.
inline bool fibre_covariance(const FibreFitInput& input, const AirState& air, const FibreParameters& at,
                             const std::array<bool, 3>& free, std::array<double, 9>& covariance, double& correlation) {
    const FibreRows rows = fibre_rows(input, air, at);
    const std::vector<double> weights(rows.design.size(), 1.0);
    LeastSquares<3> linear;
    if (!solve_free<3>(rows.design, rows.residual, weights, free, linear)) return false;
    covariance = linear.covariance;
    double alone = 0.0;
    for (const auto& row : rows.design) alone += row[2] * row[2];
    correlation = free[2] && alone > 0.0 ? std::sqrt(std::max(0.0, 1.0 - 1.0 / (alone * covariance[8]))) : 0.0;
    return true;
}

}   // namespace detail

/// Readings of a measured fractional efficiency, at the geometric mean of each range.
///
/// Equation: none
/// Symbols:  none
/// Validity: closed ranges with an uncertainty; others are left out, as nothing can be fitted to them
/// @param  efficiency  measured
/// @param  velocity  superficial, through the medium [m/s], > 0
/// @return readings; shape (at most that of the ranges)
/// @throws DomainError if the efficiency is none or the velocity is not > 0
/// @source definition; test: capture/single_fibre_fit_test.cpp
inline std::vector<FibreReading> fibre_readings(const FractionalEfficiency& efficiency, const Velocity& velocity) {
    constexpr auto where = "fibre_readings";
    detail::check(efficiency, where);
    detail::require_positive(where, "velocity", velocity.value(), "m/s");
    std::vector<FibreReading> readings;
    for (const SizeEfficiency& entry : efficiency.ranges) {
        const double u = entry.penetration.standard_uncertainty();
        if (entry.range.open_above || !(entry.range.lower.value() > 0.0) || !(u > 0.0)) continue;
        readings.push_back({geometric_mean(entry.range), velocity, entry.penetration.value, u});
    }
    return readings;
}

/// Fibre diameter, solidity and charge that agree best with measured penetrations.
///
/// Equation: minimise sum_i ((P_i - P(d_i, U_i; d_f, a, sigma))/u_i)^2; covariance (J^T W J)^-1, raised by chi^2/nu where
///           that is above one
/// Symbols:  P penetration, u its standard uncertainty, d size, U velocity, d_f fibre diameter, a solidity, sigma surface
///           charge, J Jacobian, W = 1/u^2, nu degrees of freedom
/// Validity: as penetration. d_f 0.05 um to 1 mm, a 0.001 to 0.25, sigma to 0.1 C/m2 (at_limit says where one ends there).
///           A charge counts as shown where chi^2 without it is greater by more than 3.84 (95 % of chi^2 with one degree),
///           times chi^2/nu where that is above one. Effective values: they carry what the theory leaves out
/// @param  input  readings, thickness, theory and what is known
/// @param  air  state of the air
/// @return layer, parameters with covariance, verdict on the charge, residuals
/// @throws DomainError if a value is out of its range, or there are no more readings than parameters fitted; NoSolution
///         if the readings do not tell the parameters apart
/// @source Levenberg 1944; JCGM 100:2008 for the uncertainties; test: capture/single_fibre_fit_test.cpp
[[nodiscard]] inline FibreFit fit_fibres(const FibreFitInput& input, const AirState& air) {
    constexpr auto where = "fit_fibres";
    detail::check(input, where);
    const bool charged = input.theory.electric == ElectricTerm::electret;
    std::array<bool, 3> free{!input.known_fibre_diameter, !input.known_solidity, charged};
    const auto fitted = [&] { return static_cast<std::size_t>(std::count(free.begin(), free.end(), true)); };
    if (input.readings.size() <= fitted()) {
        detail::throw_domain_error(where, "number of readings", static_cast<double>(input.readings.size()), "",
                                   "more than the " + std::to_string(fitted()) + " parameters fitted");
    }
    FibreFit fit;
    const std::array<bool, 3> neutral{free[0], free[1], false};
    detail::FibrePoint point = detail::best_fibres(input, air, neutral);
    fit.chi_squared_without_charge = point.chi_squared;
    std::array<double, 9> covariance{};
    if (charged) {
        const detail::FibrePoint with = detail::best_fibres(input, air, free);
        const double dof = static_cast<double>(input.readings.size() - fitted());
        const double gain = point.chi_squared - with.chi_squared;
        if (!(gain > 3.841458820694124 * std::max(1.0, with.chi_squared / dof)) || !(with.at[2] > 0.0)) {
            fit.charge_verdict = ChargeVerdict::within_noise;
            free[2] = false;
        } else {
            point = with;
            const bool apart = detail::fibre_covariance(input, air, with.at, free, covariance,
                                                        fit.charge_multiple_correlation);
            const double raised = covariance[8] * std::max(1.0, with.chi_squared / dof);
            fit.charge_verdict = apart && std::sqrt(raised) < 0.5 * with.at[2] ? ChargeVerdict::identified
                                                                               : ChargeVerdict::not_separable;
        }
    }
    if (fitted() > 0 && !detail::fibre_covariance(input, air, point.at, free, covariance, fit.charge_multiple_correlation)) {
        throw NoSolution("fit_fibres: the readings do not tell the parameters apart at chi-squared " +
                         detail::number_text(point.chi_squared) + "; give the solidity or the fibre diameter as known");
    }
    fit.chi_squared = point.chi_squared;
    fit.converged = point.converged;
    fit.steps = point.steps;
    fit.degrees_of_freedom = input.readings.size() - fitted();
    fit.scatter_factor = std::max(1.0, fit.chi_squared / static_cast<double>(fit.degrees_of_freedom));
    for (std::size_t j = 0; j < 2; ++j) {
        const double width = 1e-6;
        fit.at_limit = fit.at_limit || (free[j] && (point.at[j] < detail::fibre_least[j] + width ||
                                                    point.at[j] > detail::fibre_greatest[j] - width));
    }
    fit.layer = detail::fibre_layer<double>(input, point.at);
    fit.layer.velocity = input.readings.front().velocity;
    const std::array<double, 3> values{std::exp(point.at[0]), std::exp(point.at[1]), detail::charge_scale * point.at[2]};
    const std::array<double, 3> scale{values[0], values[1], detail::charge_scale};
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t j = 0; j < 3; ++j) {
            fit.covariance[i * 3 + j] = fit.scatter_factor * covariance[i * 3 + j] * scale[i] * scale[j];
        }
    }
    const std::vector<Uncertain<double>> block = correlated_block(values, fit.covariance, "fit of fibres",
                                                                  static_cast<double>(fit.degrees_of_freedom));
    fit.fibre_diameter = from_si<Length>(block[0]);
    fit.solidity = block[1];
    fit.surface_charge = from_si<SurfaceCharge>(block[2]);
    for (const FibreReading& reading : input.readings) {
        fit.residuals.push_back(reading.penetration -
                                detail::fitted_penetration<double>(input, air, point.at, reading));
    }
    return fit;
}

}   // namespace filterflow
