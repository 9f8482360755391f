// SPDX-License-Identifier: BSL-1.0
#pragma once

// A reading of an element, and the kernel that fits such readings: weights, gradients to the readings' inputs, and
// what their scatter adds.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/errors.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/resistance/fit_check.hpp>

namespace filterflow {

/// One reading of an element: what flowed, what it cost in pressure, in which air.
struct ElementReading {
    Uncertain<VolumeFlow> flow;   ///< > 0, at the density of the air of the reading
    Uncertain<Pressure> drop;     ///< of the element alone; noise may make it negative
    AirState air;                 ///< in the duct at the reading
};

namespace detail {

/// Factors by which r and s of the stated air change in the air of a reading.
struct AirFactors {
    double viscosity;
    double density;
};

inline AirFactors air_factors(const AirState& air, const AirState& stated) {
    return {air.viscosity.value() / stated.viscosity.value(), air.density.value() / stated.density.value()};
}

template <std::size_t N>
struct ReadingsFit {
    LeastSquares<N> squares;
    std::array<Gradient, N> gradients;   // of the parameters to the readings' inputs and to their scatter
    std::vector<double> weights;
    bool own_uncertainty = false;        // every reading has some that it shares with no other
    FitCheck check;
    std::vector<FitResidual> residuals;
    std::vector<Gradient> errors;        // of drop less curve, to the readings' inputs
};

/// Part of a variance that comes from inputs of this reading alone. `used` holds the serial of each input once for
/// each reading that depends on it, sorted.
template <Deferred...>
inline double own_variance(const Gradient& error, const std::vector<std::size_t>& used) {
    double sum = 0.0;
    for (const Gradient::Term& term : error.terms()) {
        const auto [first, last] = std::equal_range(used.begin(), used.end(), term.input->serial);
        const double component = term.derivative * term.input->standard_uncertainty;
        if (last - first == 1) sum += component * component;
    }
    return sum;
}

template <Deferred...>
inline std::vector<std::size_t> inputs_used(std::span<const ElementReading> readings) {
    std::vector<std::size_t> used;
    for (const ElementReading& reading : readings) {
        Gradient both = reading.flow.gradient;   // an input of both counts once
        both.add(reading.drop.gradient, 1.0);
        for (const Gradient::Term& term : both.terms()) used.push_back(term.input->serial);
    }
    std::sort(used.begin(), used.end());
    return used;
}

/// Effects of the inputs that more than one reading uses, of unit uncertainty and weighted: one vector each.
template <Deferred...>
inline std::vector<std::vector<double>> shared_effects(const std::vector<Gradient>& errors,
                                                       const std::vector<double>& root_of_weight,
                                                       const std::vector<std::size_t>& used) {
    std::vector<std::size_t> serials;
    for (std::size_t i = 1; i < used.size(); ++i) {
        if (used[i] == used[i - 1] && (serials.empty() || serials.back() != used[i])) serials.push_back(used[i]);
    }
    std::vector<std::vector<double>> shared(serials.size(), std::vector<double>(errors.size(), 0.0));
    for (std::size_t i = 0; i < errors.size(); ++i) {
        for (const Gradient::Term& term : errors[i].terms()) {
            const auto at = std::lower_bound(serials.begin(), serials.end(), term.input->serial);
            if (at == serials.end() || *at != term.input->serial) continue;
            shared[static_cast<std::size_t>(at - serials.begin())][i] =
                root_of_weight[i] * term.derivative * term.input->standard_uncertainty;
        }
    }
    return shared;
}

/// Compares the residuals with what chance allows, and lists them. errors: gradients of drop less model; design: of the
/// fit; used: as of inputs_used.
template <std::size_t N, class Bend>
void judge(ReadingsFit<N>& fit, std::span<const ElementReading> readings,
           const std::vector<std::array<double, N>>& design, const std::vector<Gradient>& errors,
           const std::vector<std::size_t>& used, const Bend& bend) {
    const std::size_t n = readings.size();
    std::vector<double> root(n), weighted(n), bent(n);
    for (std::size_t i = 0; i < n; ++i) {
        root[i] = std::sqrt(fit.weights[i]);
        weighted[i] = root[i] * fit.squares.residuals[i];
        bent[i] = root[i] * bend(i, fit.squares.held);
    }
    std::vector<std::vector<double>> fitted, shared;
    for (std::size_t j = 0; j < N; ++j) {
        if (fit.squares.held[j]) continue;
        fitted.emplace_back(n);
        for (std::size_t i = 0; i < n; ++i) fitted.back()[i] = root[i] * design[i][j];
    }
    if (fit.own_uncertainty) {
        shared = shared_effects(errors, root, used);
    }
    fit.check = fit_check(ResidualSpace(fitted, std::move(shared)), weighted, std::move(bent),
                          fit.squares.degrees_of_freedom, fit.own_uncertainty);
    const double dof = static_cast<double>(fit.squares.degrees_of_freedom);
    const double unit = fit.own_uncertainty ? 1.0 : dof > 0.0 ? std::sqrt(fit.check.chi_squared / dof) : 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        double leverage = 0.0;
        for (std::size_t j = 0; j < N; ++j) leverage += fit.squares.influence[i][j] * design[i][j];
        leverage = std::clamp(leverage, 0.0, 1.0);   // rounding alone leaves the range
        const double spread = unit * std::sqrt(1.0 - leverage);
        const bool stated = errors[i].variance() > 0.0;
        fit.residuals.push_back({readings[i].flow.value,
                                 readings[i].drop.value - Pressure::from_value(fit.squares.residuals[i]),
                                 Pressure::from_value(fit.squares.residuals[i]),
                                 Pressure::from_value(stated ? 1.0 / root[i] : 0.0),
                                 1.0 - leverage > 1e-9 && spread > 0.0 ? weighted[i] / spread : 0.0, leverage});
    }
}

/// Fits drop = sum_j p_j row_j(reading), p >= 0. The weights are one over the variance of drop less slope times flow
/// (effective variance), worked out again at each of a few passes: the part of it that a reading shares with no
/// other or, if some reading has none, the whole. row(i) and row_slope(i) give the design and its derivative to the
/// flow; bend(i, held) is the reading's row in a column that the curve may lack, given what it was held to.
template <std::size_t N, class Row, class RowSlope, class Bend>
ReadingsFit<N> fit_readings(std::span<const ElementReading> readings, const Row& row, const RowSlope& row_slope,
                            const Bend& bend, const char* where) {
    const std::size_t n = readings.size();
    std::vector<std::array<double, N>> design(n), slope(n);
    std::vector<double> drops(n), weights(n, 1.0);
    double least_variance = 0.0;
    double greatest_variance = 0.0;
    const std::vector<std::size_t> used = inputs_used(readings);
    for (std::size_t i = 0; i < n; ++i) {
        design[i] = row(i);
        slope[i] = row_slope(i);
        drops[i] = readings[i].drop.value.value();
    }
    ReadingsFit<N> fit;
    std::vector<Gradient> errors(n);   // of drop less model at fixed parameters
    const auto set_errors = [&] {
        for (std::size_t i = 0; i < n; ++i) {
            double model_slope = 0.0;
            for (std::size_t j = 0; j < N; ++j) model_slope += fit.squares.parameters[j] * slope[i][j];
            errors[i] = readings[i].drop.gradient;
            errors[i].add(readings[i].flow.gradient, -model_slope);
            const double variance = errors[i].variance();
            least_variance = i == 0 ? variance : std::min(least_variance, variance);
            greatest_variance = i == 0 ? variance : std::max(greatest_variance, variance);
            weights[i] = variance > 0.0 ? 1.0 / variance : 1.0;
        }
        std::vector<double> own(n);
        for (std::size_t i = 0; i < n; ++i) own[i] = own_variance(errors[i], used);
        fit.own_uncertainty = std::all_of(own.begin(), own.end(), [](double v) { return v > 0.0; });
        if (fit.own_uncertainty) {
            for (std::size_t i = 0; i < n; ++i) weights[i] = 1.0 / own[i];
        }
    };
    const auto solve = [&] {
        try {
            fit.squares = least_squares<N>(design, drops, weights, ParameterBounds::non_negative);
        } catch (const DomainError&) {   // one reading outweighs the others by more than the digits of a number
            std::size_t heaviest = 0;
            const auto weight = [&](std::size_t i) { return weights[i] * design[i][N - 1] * design[i][N - 1]; };
            for (std::size_t i = 1; i < n; ++i) heaviest = weight(i) > weight(heaviest) ? i : heaviest;
            throw_domain_error(where, "flow of reading " + std::to_string(heaviest + 1),
                               readings[heaviest].flow.value.value(), "m3/s",
                               "flows and uncertainties with which this reading does not outweigh all others: they "
                               "tell nothing beside it");
        }
    };
    solve();
    for (int pass = 0; pass < 8; ++pass) {
        set_errors();
        if (greatest_variance > 0.0 && !(least_variance > 0.0)) {
            throw_domain_error(where, "least standard uncertainty of a reading", 0.0, "Pa",
                               "> 0 for every reading, or zero for all of them (then they weigh the same)");
        }
        solve();
    }
    set_errors();
    fit.weights = weights;
    for (std::size_t j = 0; j < N; ++j) {
        for (std::size_t i = 0; i < n; ++i) {
            fit.gradients[j].add(errors[i], fit.squares.influence[i][j]);
            double tilt = 0.0;   // the flow also moves the design, as far as there is a residual
            for (std::size_t k = 0; k < N; ++k) tilt += fit.squares.covariance[j * N + k] * slope[i][k];
            fit.gradients[j].add(readings[i].flow.gradient, tilt * weights[i] * fit.squares.residuals[i]);
        }
    }
    judge(fit, readings, design, errors, used, bend);
    fit.errors = errors;
    // Scatter beyond what the readings' uncertainties explain; all of it where they state none of their own.
    if (fit.squares.degrees_of_freedom > 0) {
        const double dof = static_cast<double>(fit.squares.degrees_of_freedom);
        const double excess = fit.check.chi_squared / dof - (fit.own_uncertainty ? 1.0 : 0.0);
        if (excess > 0.0) {
            std::array<double, N * N> covariance = fit.squares.covariance;
            for (double& c : covariance) c *= excess;
            const auto block =
                correlated_block(fit.squares.parameters, covariance, "scatter of the readings about the curve", dof);
            for (std::size_t j = 0; j < N; ++j) fit.gradients[j].add(block[j].gradient, 1.0);
        }
    }
    return fit;
}

template <Deferred...>
inline void check_readings(std::span<const ElementReading> readings, const AirState& stated_air, const char* where) {
    if (readings.empty()) throw_domain_error(where, "number of readings", 0.0, "", "at least one");
    check_air(stated_air, where);
    for (std::size_t i = 0; i < readings.size(); ++i) {
        const ElementReading& reading = readings[i];
        const std::string of = " of reading " + std::to_string(i + 1);
        require_positive(where, "flow" + of, reading.flow.value.value(), "m3/s");
        require_finite(where, "drop" + of, reading.drop.value.value(), "Pa");
        // Beyond anything measured, but such that no square of a fit leaves the range of numbers.
        require_between(where, "flow" + of, reading.flow.value.value(), 1e-30, 1e30, "m3/s");
        require_between(where, "drop" + of, reading.drop.value.value(), -1e60, 1e60, "Pa");
        const double flow = reading.flow.standard_uncertainty().value();
        const double drop = reading.drop.standard_uncertainty().value();
        require_between(where, "uncertainty of the flow" + of, flow, 0.0, 1e30, "m3/s");
        require_between(where, "uncertainty of the drop" + of, drop, 0.0, 1e60, "Pa");
        if (drop > 0.0) require_between(where, "uncertainty of the drop" + of, drop, 1e-60, 1e60, "Pa");
        check_air(reading.air, where);
    }
}

}   // namespace detail

}   // namespace filterflow
