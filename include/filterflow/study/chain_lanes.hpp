// SPDX-License-Identifier: BSL-1.0
#pragma once

// The loops of a chain: 64 draws of one candidate at a time through fit, operating points at four loads, efficiency
// averages and costs, in plain loops over arrays that compilers turn into vector code. Nothing here is inlined into
// what calls it, so that a number does not depend on the place that asks for it. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <span>
#include <vector>

#include <filterflow/airflow/operating_batch.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/input_draws.hpp>
#include <filterflow/numeric/least_squares.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/numeric/random_draws.hpp>
#include <filterflow/numeric/random_streams.hpp>
#include <filterflow/particle/particulate_matter_weights.hpp>
#include <filterflow/study/chain_input.hpp>

namespace filterflow::detail {

inline constexpr std::size_t chain_lanes = random_lanes;
using ChainRow = NumberRow;
using ChainBlock = OperatingBlock<chain_lanes>;

inline constexpr std::size_t chain_loads = 4;
// Gauss and Lobatto's places from clean to end of life and their weights: exact to the fifth power.
inline constexpr std::array<double, chain_loads> load_places{0.0, 0.27639320225002103, 0.7236067977499790, 1.0};
inline constexpr std::array<double, chain_loads> load_weights{1.0 / 12.0, 5.0 / 12.0, 5.0 / 12.0, 1.0 / 12.0};
inline constexpr double greatest_growth =
    100.0;   // natural logarithm of a resistance factor beyond which nothing flows

/// What of a candidate the loops read, all in the system's air and SI.
struct ChainFilter {
    std::uint64_t stream;
    double linear, quadratic;                            // of the fit to the readings as they are, maybe negative
    std::vector<std::array<double, 2>> influence;        // of a standard uncertainty of each reading on both
    double linear_for_quadratic, quadratic_for_linear;   // by which one takes over what the other loses at its bound
    std::array<double, 4> averages, deviations;          // E1, E2, E3, ePM2.5; the last one's own part
    std::array<double, 2> shared_deviations;             // of ePM2.5 with E1 and E2
    LoadingCoefficients<double> law;
    double law_logarithm;                   // of the geometric standard deviation
    std::array<double, chain_loads> dust;   // as the bench's, kg/m2
    LoadedEfficiency efficiency;
    double efficiency_deviation, dust_mass, change_cost;
};

/// What of the system.
struct ChainAir {
    FanForBatch fan;
    std::vector<PlacedSegment> power;
    double scale, power_ratio;   // of pressures to the table's air, of its powers to the system's
    PolynomialSystem ducts;
    double concentration, price, volume;
};

template <Deferred...>
inline std::array<double, 3> chain_sums(const std::vector<std::array<double, 2>>& design,
                                        std::span<const double> weights) {
    std::array<double, 3> sums{};
    for (std::size_t i = 0; i < design.size(); ++i) {
        sums[0] += weights[i] * design[i][0] * design[i][0];
        sums[1] += weights[i] * design[i][0] * design[i][1];
        sums[2] += weights[i] * design[i][1] * design[i][1];
    }
    return sums;
}

template <Deferred...>
inline ChainFilter chain_filter(const ChainCandidate& c, const AirState& air, double equivalence) {
    ChainFilter f{};
    f.stream = c.stream;
    std::vector<std::array<double, 2>> design;
    std::vector<double> drops, weights;
    for (const ChainReading& reading : c.readings) {
        const double q = reading.flow.value(), u = reading.standard_uncertainty.value();
        design.push_back({q, q * q});
        drops.push_back(reading.drop.value());
        weights.push_back(1.0 / (u * u));
    }
    const auto fit = least_squares<2>(design, drops, weights);
    const double viscosity = air.viscosity.value() / c.bench_air.viscosity.value();
    const double density = air.density.value() / c.bench_air.density.value();
    f.linear = viscosity * fit.parameters[0];
    f.quadratic = density * fit.parameters[1];
    for (std::size_t i = 0; i < drops.size(); ++i) {
        const double u = c.readings[i].standard_uncertainty.value();
        f.influence.push_back({viscosity * fit.influence[i][0] * u, density * fit.influence[i][1] * u});
    }
    const std::array<double, 3> sums = chain_sums(design, weights);
    f.linear_for_quadratic = (viscosity / density) * sums[1] / sums[0];
    f.quadratic_for_linear = (density / viscosity) * sums[1] / sums[2];
    // Averages are sums of independent errors by size: E1 to E3 share none, ePM2.5 shares with E1 and E2.
    const std::array<double, 3> groups = minimum_efficiency_averages(c.efficiencies);
    const auto weight = particulate_matter_weights(ParticulateMatter::pm25);
    double matter_variance = 0.0;
    for (std::size_t g = 0; g < 3; ++g) {
        double variance = 0.0, shared = 0.0;
        for (std::size_t i = 4 * g; i < 4 * g + 4; ++i) {
            const double u = c.efficiency_uncertainties[i];
            variance += u * u / 16.0;
            shared += 0.25 * weight[i] * u * u;
            matter_variance += weight[i] * weight[i] * u * u;
        }
        f.averages[g] = groups[g];
        f.deviations[g] = std::sqrt(variance);
        if (g == 2 || !(variance > 0.0)) continue;
        f.shared_deviations[g] = shared / f.deviations[g];
        matter_variance -= f.shared_deviations[g] * f.shared_deviations[g];
    }
    f.averages[3] = particulate_matter_efficiency(c.efficiencies, ParticulateMatter::pm25);
    f.deviations[3] = std::sqrt(matter_variance > 0.0 ? matter_variance : 0.0);
    f.law = loading_coefficients(c.law);
    f.law_logarithm = std::log(c.law_spread);
    for (std::size_t k = 0; k < chain_loads; ++k) {
        f.dust[k] = load_places[k] * equivalence * c.dust_at_change.value();
    }
    f.efficiency = c.dust_efficiency;
    f.efficiency_deviation = c.dust_efficiency_uncertainty;
    f.dust_mass = c.dust_at_change.value() * c.area.value();
    f.change_cost = change_cost(c.change, "chain_model");
    return f;
}

template <Deferred...>
inline ChainAir chain_air(const ChainSystem& s, const PolynomialSystem& ducts) {
    ChainAir a{fan_for_batch(s.fan),
               {},
               table_scale(s.fan.stated_air(), s.air, 1.0),
               fan_density_ratio(s.fan.stated_air(), s.air),
               ducts,
               s.dust.concentration.value(),
               s.electricity.value(),
               s.annual_volume.value()};
    const MonotoneCubic& power = *s.fan.power_curve();
    for (std::size_t i = 0; i < power.segments().size(); ++i) {
        const CubicSegment& c = power.segments()[i];
        a.power.push_back({power.knots()[i], power.knots()[i + 1] - power.knots()[i], c.c0, c.c1, c.c2, c.c3});
    }
    a.power.push_back(a.power.back());
    return a;
}

/// Factors that all candidates of a draw share.
struct SharedRows {
    std::array<ChainRow, 8>
        factors;   // flow, pressure, fan pressure, fan power, ducts, price, concentration, equivalence
};

template <Deferred...>
[[gnu::noinline]] inline void shared_rows(const ChainUncertainties& u, std::uint64_t seed, std::uint64_t first_draw,
                                          SharedRows& rows) {
    const std::array<double, 8> width{u.bench_flow,
                                      u.bench_pressure,
                                      u.fan_pressure,
                                      u.fan_power,
                                      u.duct_pressure,
                                      u.electricity,
                                      std::log(u.dust_concentration),
                                      std::log(u.dust_equivalence)};
    for (std::size_t block = 0; block < 2; ++block) {
        NumberLanes normals;
        normal_lanes(seed, first_draw, 0, block, normals);
        for (std::size_t k = 0; k < 4; ++k) {
            ChainRow& row = rows.factors[4 * block + k];
            const double w = width[4 * block + k];
            for (std::size_t j = 0; j < chain_lanes; ++j) row[j] = w * normals.numbers[k][j];
        }
    }
    for (std::size_t k = 0; k < 6; ++k) {
        for (double& x : rows.factors[k]) x = 1.0 + x;
    }
    for (std::size_t k = 6; k < 8; ++k) {
        for (double& x : rows.factors[k]) x = loop_exp(x);
    }
}

/// The draws of one candidate: its fitted curve and figures.
struct ChainRows {
    ChainRow linear, quadratic, law_scale, efficiency;   // curve of the clean filter, factor on dust's effect
    std::array<ChainRow, 4> averages;                    // E1, E2, E3, ePM2.5
    ChainRow exponent, stops_dust;                       // greatest of the law; one, or zero
    ChainRow volume, time, energy;                       // of a change interval: means of 1/E, 1/(E Q), P/(E Q)
    std::array<ChainRow, chain_loads> flow;              // zero: none
};

/// Fits all readings of the draws at once; the bounds of both parameters at zero are exact.
template <Deferred...>
[[gnu::noinline]] inline void fit_rows(const ChainFilter& f, const std::vector<NumberLanes>& normals,
                                       const SharedRows& shared, ChainRows& rows) {
    rows.linear.fill(f.linear);
    rows.quadratic.fill(f.quadratic);
    for (std::size_t i = 0; i < f.influence.size(); ++i) {
        add_scaled(rows.linear, normals[i / 4].numbers[i % 4], f.influence[i][0]);
        add_scaled(rows.quadratic, normals[i / 4].numbers[i % 4], f.influence[i][1]);
    }
    const double r_for_s = f.linear_for_quadratic, s_for_r = f.quadratic_for_linear;
    ChainRow linear;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double r = rows.linear[j], r_alone = r + r_for_s * rows.quadratic[j];
        linear[j] = rows.quadratic[j] < 0.0 ? r_alone : r;
    }
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double s = rows.quadratic[j], s_alone = s + s_for_r * rows.linear[j];
        rows.quadratic[j] = rows.linear[j] < 0.0 ? s_alone : s;
    }
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double per_flow = 1.0 / shared.factors[0][j], scale = shared.factors[1][j] * per_flow;
        rows.linear[j] = scale * (linear[j] > 0.0 ? linear[j] : 0.0);
        rows.quadratic[j] = scale * per_flow * (rows.quadratic[j] > 0.0 ? rows.quadratic[j] : 0.0);
    }
}

template <Deferred...>
[[gnu::noinline]] inline void figure_rows(const ChainFilter& f, const std::vector<NumberLanes>& normals,
                                          ChainRows& rows) {
    const std::size_t first = f.influence.size();
    const auto z = [&](std::size_t k) -> const ChainRow& { return normals[(first + k) / 4].numbers[(first + k) % 4]; };
    for (std::size_t k = 0; k < 4; ++k) {
        rows.averages[k].fill(f.averages[k]);
        add_scaled(rows.averages[k], z(k), f.deviations[k]);
    }
    for (std::size_t k = 0; k < 2; ++k) add_scaled(rows.averages[3], z(k), f.shared_deviations[k]);
    const ChainRow &growth = z(4), &stopped = z(5);
    const double clean = f.efficiency.clean, gain = f.efficiency.gain, deviation = f.efficiency_deviation;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        rows.law_scale[j] = loop_exp(f.law_logarithm * growth[j]);
        const double e = clean + deviation * stopped[j], loaded = e + gain;
        const bool is_share = (e > 0.0) & (e <= 1.0) & (loaded > 0.0) & (loaded <= 1.0);
        rows.efficiency[j] = is_share ? e : clean;
        rows.stops_dust[j] = is_share ? 1.0 : 0.0;
    }
}

/// Factor on the viscous resistance at a mass of dust per area, times a factor for each draw.
template <Deferred...>
[[gnu::noinline]] inline void growth_row(const ChainFilter& f, double dust, const SharedRows& shared, ChainRows& rows,
                                         ChainRow& factor) {
    const ChainRow& equivalence = shared.factors[7];
    if (!begins_exponentially(f.law.form)) {
        for (std::size_t j = 0; j < chain_lanes; ++j) {
            factor[j] = loading_factor(f.law, dust * equivalence[j] * rows.law_scale[j]);
        }
        return;
    }
    const double per_scale = 1.0 / f.law.growth_scale;
    const double end = f.law.form == LoadingForm::exponential ? 1e300 : f.law.transition * per_scale;
    const bool kinked = f.law.form == LoadingForm::kinked;
    const double tangent = kinked ? 0.0 : 1.0, slope = kinked ? f.law.cake_slope * f.law.growth_scale : 0.0;
    // Loops with one choice each, as compilers make branches of two that hang together.
    ChainRow exponent, capped;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        factor[j] = dust * equivalence[j] * rows.law_scale[j] * per_scale;
        exponent[j] = factor[j] < end ? factor[j] : end;
    }
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double before = rows.exponent[j];
        rows.exponent[j] = exponent[j] > before ? exponent[j] : before;
    }
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        capped[j] = exponent[j] < greatest_growth ? exponent[j] : greatest_growth;
    }
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double grown = loop_exp(capped[j]);
        factor[j] = grown + (factor[j] - exponent[j]) * (tangent * grown + slope);
    }
}

}   // namespace filterflow::detail
