// SPDX-License-Identifier: BSL-1.0
#pragma once

// The second half of a chain's loops: where the fan meets ducts and loaded filter, and what a change interval brings,
// integrated over the dust instead of the time. Not public.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include <filterflow/airflow/operating_batch.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/loop_functions.hpp>
#include <filterflow/study/chain_input.hpp>
#include <filterflow/study/chain_lanes.hpp>

namespace filterflow::detail {

/// Systems of the draws on the scale of the fan's table.
template <Deferred...>
[[gnu::noinline]] inline void system_rows(const ChainAir& air, const SharedRows& shared, const ChainRows& rows,
                                          const ChainRow& growth, ChainBlock& k) {
    const double scale = air.scale, constant = air.ducts.constant, linear = air.ducts.linear;
    const double quadratic = air.ducts.quadratic;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double on_table = scale / shared.factors[2][j], ducts = shared.factors[4][j];
        k.a[j] = on_table * constant;
        k.b[j] = on_table * (ducts * linear + growth[j] * rows.linear[j]);
        k.c[j] = on_table * (ducts * quadratic + rows.quadratic[j]);
    }
}

/// Lanes that the loops did not finish, one by one; a lane without a flow gets zero.
template <Deferred...>
[[gnu::noinline, gnu::cold]] inline void solve_apart(const FanCurve& fan, ChainBlock& k) {
    SystemCurve system;
    system.elements.emplace_back();
    const MonotoneCubic& table = fan.pressure_curve();
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        if (is_done(k, j)) continue;
        system.constant_pressure = Pressure::from_value(k.a[j]);
        system.elements.front() = {LinearResistance::from_value(k.b[j]), QuadraticResistance::from_value(k.c[j]),
                                   fan.stated_air()};
        const OperatingFlow found = operating_flow_of(fan, system, fan.stated_air(), 1.0);
        k.flow[j] = found.flow ? found.flow->value() : 0.0;
        const std::size_t segment = table.segment_of(found.flow ? k.flow[j] : table.lowest());
        k.row[j] = static_cast<double>(segment);
        k.t[j] = found.flow ? k.flow[j] - table.knots()[segment] : 0.0;
    }
}

/// Adds a load's share to volume, time and energy, in proportion to 1/E, 1/(E Q) and P/(E Q).
template <Deferred...>
[[gnu::noinline]] inline void add_load(const ChainFilter& f, const ChainAir& air, const SharedRows& shared,
                                       std::size_t load, ChainBlock& k, ChainRows& rows) {
    const PlacedSegment* segments = air.power.data();
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const PlacedSegment& s = segments[static_cast<std::ptrdiff_t>(k.row[j])];
        k.c0[j] = s.c0;
        k.c1[j] = s.c1;
        k.c2[j] = s.c2;
        k.c3[j] = s.c3;
    }
    ChainRow efficiency = rows.efficiency;
    if (f.efficiency.gain != 0.0 && load > 0) {
        const double gain = f.efficiency.gain, per_scale = -f.dust[load] / f.efficiency.gain_scale.value();
        for (std::size_t j = 0; j < chain_lanes; ++j) {
            const double x = per_scale * shared.factors[7][j];
            efficiency[j] += gain * (1.0 - loop_exp(x > -700.0 ? x : -700.0));
        }
    }
    const double weight = load_weights[load], ratio = air.power_ratio;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double t = k.t[j];
        const double power = ratio * shared.factors[3][j] * (k.c0[j] + t * (k.c1[j] + t * (k.c2[j] + t * k.c3[j])));
        const double flow = k.flow[j] > 0.0 ? k.flow[j] : 1.0;
        rows.flow[load][j] = k.flow[j];
        const double share = weight / (efficiency[j] * flow);
        rows.volume[j] += share * flow;
        rows.time[j] += share;
        rows.energy[j] += share * power;
    }
}

/// One candidate through the chain.
template <Deferred...>
inline void run_chain(const ChainFilter& f, const ChainAir& air, const FanCurve& fan, const SharedRows& shared,
                      std::uint64_t seed, std::uint64_t first_draw, std::vector<NumberLanes>& normals,
                      ChainRows& rows) {
    normals.resize((f.influence.size() + 6 + 3) / 4);
    for (std::size_t block = 0; block < normals.size(); ++block) {
        normal_lanes(seed, first_draw, f.stream, block, normals[block]);
    }
    fit_rows(f, normals, shared, rows);
    figure_rows(f, normals, rows);
    for (ChainRow* row : {&rows.volume, &rows.time, &rows.energy, &rows.exponent}) row->fill(0.0);
    ChainRow growth;
    ChainBlock block;
    for (std::size_t load = 0; load < chain_loads; ++load) {
        if (load == 0) growth.fill(1.0);
        if (load > 0) growth_row(f, f.dust[load], shared, rows, growth);
        system_rows(air, shared, rows, growth, block);
        if (solve_block(block, air.fan, fan.pressure_curve()) > 0) solve_apart(fan, block);
        add_load(f, air, shared, load, block, rows);
    }
}

/// What a candidate's draws bring in a year; zero where they are not solved.
struct ChainYear {
    ChainRow solved, clean_flow, end_flow, interval, energy, cost;
};

template <Deferred...>
[[gnu::noinline]] inline void year_rows(const ChainFilter& f, const ChainAir& air, const SharedRows& shared,
                                        const ChainRows& rows, ChainYear& year) {
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double first = rows.flow[0][j], second = rows.flow[1][j], third = rows.flow[2][j];
        const double last = rows.flow[3][j], exponent = rows.exponent[j], stops = rows.stops_dust[j];
        const double resistance = rows.linear[j] + rows.quadratic[j];
        const bool flows = (first > 0.0) & (second > 0.0) & (third > 0.0) & (last > 0.0);
        const bool solved = flows & (exponent <= greatest_growth) & (resistance > 0.0) & (stops > 0.0);
        year.solved[j] = solved ? 1.0 : 0.0;
    }
    const double dust = f.dust_mass / air.concentration, change = f.change_cost, annual = air.volume;
    for (std::size_t j = 0; j < chain_lanes; ++j) {
        const double solved = year.solved[j], per_concentration = dust / shared.factors[6][j];
        const double energy = per_concentration * rows.energy[j];
        const double per_year = solved * annual / (per_concentration * rows.volume[j]);
        year.clean_flow[j] = solved * rows.flow[0][j];
        year.end_flow[j] = solved * rows.flow[chain_loads - 1][j];
        year.interval[j] = solved * per_concentration * rows.time[j];
        year.energy[j] = per_year * energy;
        year.cost[j] = per_year * (change + air.price * shared.factors[5][j] * energy);
    }
}

}   // namespace filterflow::detail
