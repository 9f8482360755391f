// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fibre diameter, solidity and charge that agree with a measured fractional efficiency: weighted nonlinear least
// squares with exact derivatives, from the best points of a grid, so that no start is asked for.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/capture/single_fibre_descent.hpp>
#include <filterflow/capture/single_fibre_fit_types.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

namespace detail {

template <Deferred...>
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
template <Deferred...>
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
template <Deferred...>
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
/// Equation: minimise sum_i ((P_i - P(d_i, U_i; d_f, a, sigma))/u_i)^2; covariance (J^T W J)^-1, raised by chi^2/nu
///           where that is above one
/// Symbols:  P penetration, u its standard uncertainty, d size, U velocity, d_f fibre diameter, a solidity, sigma
///           surface charge, J Jacobian, W = 1/u^2, nu degrees of freedom
/// Validity: as penetration. d_f 0.05 um to 1 mm, a 0.001 to 0.25, sigma to 0.1 C/m2 (at_limit says where one ends
///           there). A charge counts as shown where chi^2 without it is greater by more than 3.84 (95 % of chi^2 with
///           one degree), times chi^2/nu where that is above one. Effective values: they carry what the theory leaves
///           out
/// @param  input  readings, thickness, theory and what is known
/// @param  air  state of the air
/// @return layer, parameters with covariance, verdict on the charge, residuals
/// @throws DomainError if a value is out of its range, or there are no more readings than parameters fitted;
///         NoSolution if the readings do not tell the parameters apart
/// @source Levenberg 1944; JCGM 100:2008 for the uncertainties; test: capture/single_fibre_fit_test.cpp
template <Deferred...>
[[nodiscard]] inline FibreFit fit_fibres(const FibreFitInput& input, const AirState& air) {
    constexpr auto where = "fit_fibres";
    detail::check(input, where);
    const bool charged = detail::takes_surface_charge(input.theory);
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
    if (fitted() > 0 &&
        !detail::fibre_covariance(input, air, point.at, free, covariance, fit.charge_multiple_correlation)) {
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
    const std::array<double, 3> values{std::exp(point.at[0]), std::exp(point.at[1]),
                                       detail::charge_scale * point.at[2]};
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
