// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where one fan meets many systems, as Monte Carlo and maps of parameters ask for it: plain loops over arrays that the
// compiler turns into vector code (-O3 -march=x86-64-v3). Lanes that the fixed steps do not bring to full accuracy, or
// whose fan rises somewhere and may be met more than once, go the way of the single function; each lane has its status.

#include <cmath>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/falling_fan.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/airflow/operating_point.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow {

/// Systems dp = p_c + r Q + s Q^2 as columns of equal length (n), their resistances those in the air at hand.
struct SystemBatch {
    std::span<const Pressure> constant_pressure;         ///< p_c, of either sign
    std::span<const LinearResistance> linear;            ///< r, >= 0
    std::span<const QuadraticResistance> quadratic;      ///< s, >= 0
};

/// Where the answers of a batch go: columns of its length.
struct OperatingFlowBatch {
    std::span<VolumeFlow> flow;             ///< of the crossing that operating_flow chooses; zero where there is none
    std::span<OperatingStatus> status;      ///< what was found
};

namespace detail {

/// A segment of a fan's table with its place.
struct PlacedSegment {
    double x0, h, c0, c1, c2, c3;
};

/// What the loops need of a fan at fixed speed. From row `peak` on its pressure falls; before that a lane is left to
/// the loops only if its system stays below the fan for sure.
struct FanForBatch {
    std::vector<PlacedSegment> segments;
    std::vector<double> least_before;   // the lesser end of each segment before the peak
    std::size_t peak = 0;
    double greatest = 0.0;              // pressure
};

template <Deferred...>
inline FanForBatch fan_for_batch(const FanCurve& fan) {
    const MonotoneCubic& table = fan.pressure_curve();
    const auto x = table.knots(), y = table.values();
    FanForBatch batch;
    for (std::size_t i = 0; i + 1 < x.size(); ++i) {
        const CubicSegment& c = table.segments()[i];
        batch.segments.push_back({x[i], x[i + 1] - x[i], c.c0, c.c1, c.c2, c.c3});
        if (!(y[i + 1] < y[i])) batch.peak = i + 1;
    }
    batch.segments.push_back(batch.segments.back());   // read, not used, for a fan that rises to its end
    for (std::size_t i = 0; i < batch.peak; ++i) batch.least_before.push_back(y[i] < y[i + 1] ? y[i] : y[i + 1]);
    for (const double p : y) batch.greatest = p > batch.greatest ? p : batch.greatest;
    return batch;
}

template <std::size_t Lanes>
struct OperatingBlock {
    double a[Lanes], b[Lanes], c[Lanes];   // the systems on the scale of the table
    double row[Lanes];                     // the last row above the system
    double x0[Lanes], h[Lanes], c0[Lanes], c1[Lanes], c2[Lanes], c3[Lanes];   // the fan's segment from there on
    double clearance[Lanes];               // least distance of fan and system before the peak, or at the first row
    double last[Lanes];                    // fan minus system at the last row
    double t[Lanes], flow[Lanes], doubt[Lanes];   // doubt above zero: to be solved singly
};

/// For each lane the last row at which the fan lies above its system. Choices between numbers at hand vectorise.
template <std::size_t Lanes>
void block_rows(OperatingBlock<Lanes>& k, const FanForBatch& fan, const double* x, const double* y, std::size_t rows) {
    const auto system = [&k](std::size_t j, double q) { return k.a[j] + q * (k.b[j] + q * k.c[j]); };
    for (std::size_t j = 0; j < Lanes; ++j) k.clearance[j] = y[fan.peak] - system(j, x[fan.peak]);
    for (std::size_t i = 0; i < fan.peak; ++i) {
        for (std::size_t j = 0; j < Lanes; ++j) {
            const double clearance = fan.least_before[i] - system(j, x[i + 1]);
            k.clearance[j] = clearance < k.clearance[j] ? clearance : k.clearance[j];
        }
    }
    for (double& row : k.row) row = static_cast<double>(fan.peak);
    for (std::size_t i = fan.peak + 1; i + 1 < rows; ++i) {
        const double xi = x[i], yi = y[i], index = static_cast<double>(i);
        for (std::size_t j = 0; j < Lanes; ++j) k.row[j] = yi - system(j, xi) > 0.0 ? index : k.row[j];
    }
    for (std::size_t j = 0; j < Lanes; ++j) k.last[j] = y[rows - 1] - system(j, x[rows - 1]);
}

/// The fan's segment of each lane.
template <std::size_t Lanes>
void block_segments(OperatingBlock<Lanes>& k, const FanForBatch& fan) {
    const PlacedSegment* segments = fan.segments.data();
    for (std::size_t j = 0; j < Lanes; ++j) {
        const PlacedSegment& s = segments[static_cast<std::ptrdiff_t>(k.row[j])];
        k.x0[j] = s.x0;
        k.h[j] = s.h;
        k.c0[j] = s.c0;
        k.c1[j] = s.c1;
        k.c2[j] = s.c2;
        k.c3[j] = s.c3;
    }
}

/// Two steps in every lane, the first of fourth order from the secant's root (Start) or, from where such a pass ended,
/// of third order as the second is.
template <bool Start, std::size_t Lanes>
void block_roots(OperatingBlock<Lanes>& k, double greatest) {
    for (std::size_t j = 0; j < Lanes; ++j) {
        const double x0 = k.x0[j], h = k.h[j], b = k.b[j], c = k.c[j];
        // Fan minus system, as a cubic.
        const double d0 = k.c0[j] - (k.a[j] + x0 * (b + x0 * c)), c1 = k.c1[j] - (b + 2.0 * x0 * c);
        const double c2 = k.c2[j] - c, c3 = k.c3[j];
        const double d1 = d0 + h * (c1 + h * (c2 + h * c3));
        double t = Start ? h * d0 / (d0 - d1) : k.t[j];
        double value = d0 + t * (c1 + t * (c2 + t * c3));
        double slope = c1 + t * (2.0 * c2 + 3.0 * t * c3), bend = c2 + 3.0 * t * c3;
        if (Start) {
            const double bent = value * bend;
            t -= value * (slope * slope - bent) / (slope * (slope * slope - 2.0 * bent) + value * value * c3);
        } else {
            t -= value * slope / (slope * slope - value * bend);
        }
        value = d0 + t * (c1 + t * (c2 + t * c3));
        slope = c1 + t * (2.0 * c2 + 3.0 * t * c3), bend = c2 + 3.0 * t * c3;
        const double step = value * slope / (slope * slope - value * bend);
        t -= step;
        k.t[j] = t;
        const double flow = x0 + t;
        const double left = std::abs((bend * bend - slope * c3) * step * step * step);
        k.flow[j] = flow;
        // Sure: inside the segment, the last step's error below 1e-14, the slope too steep for rounding to matter.
        const bool sure = (t >= 0.0) & (t <= h) & (left <= 1e-14 * flow * slope * slope) &
                          (-slope * flow >= 0.04 * (greatest + std::abs(k.a[j])));
        k.doubt[j] = sure ? 0.0 : 1.0;
    }
}

template <std::size_t Lanes>
bool any_doubt(const OperatingBlock<Lanes>& k) {
    std::int64_t doubts = 0;
    for (std::size_t j = 0; j < Lanes; ++j) doubts += k.doubt[j] > 0.0 ? 1 : 0;
    return doubts > 0;
}

/// Whether a lane ended with a flow of full accuracy that is the only crossing, for sure.
template <std::size_t Lanes>
bool is_done(const OperatingBlock<Lanes>& k, std::size_t j) {
    return (k.doubt[j] == 0.0) & (k.clearance[j] > 0.0) & (k.last[j] <= 0.0);
}

/// Flows of the systems a, b, c of a block; returns the number of lanes that are not done.
template <std::size_t Lanes>
std::int64_t solve_block(OperatingBlock<Lanes>& k, const FanForBatch& fan, const MonotoneCubic& table) {
    block_rows(k, fan, table.knots().data(), table.values().data(), table.knots().size());
    block_segments(k, fan);
    block_roots<true>(k, fan.greatest);
    if (any_doubt(k)) block_roots<false>(k, fan.greatest);   // hard tables
    std::int64_t apart = 0;
    for (std::size_t j = 0; j < Lanes; ++j) apart += is_done(k, j) ? 0 : 1;
    return apart;
}

/// The numbers of a column from a place on; beyond its end the last one again.
template <class Quantity, std::size_t Lanes>
void read_lanes(const Quantity* column, std::size_t count, double (&lanes)[Lanes]) {
    for (std::size_t j = 0; j < count; ++j) lanes[j] = column[j].value();
    for (std::size_t j = count; j < Lanes; ++j) lanes[j] = lanes[count - 1];
}

/// Checks the lanes of a block, whose places from `count` on repeat the last one.
template <std::size_t Lanes>
void check_block(const OperatingBlock<Lanes>& k, std::size_t first, std::size_t count, const char* where) {
    constexpr double greatest = std::numeric_limits<double>::max();
    std::int64_t unsound = 0;
    for (std::size_t j = 0; j < Lanes; ++j) {
        const bool sound = (k.b[j] >= 0.0) & (k.c[j] >= 0.0) & (std::abs(k.a[j]) + k.b[j] + k.c[j] <= greatest);
        unsound += sound ? 0 : 1;
    }
    if (unsound == 0) return;
    for (std::size_t j = 0; j < count; ++j) {
        const std::string lane = "system " + std::to_string(first + j + 1) + ": ";
        require_finite(where, lane + "constant_pressure", k.a[j], "Pa");
        require_non_negative(where, lane + "linear", k.b[j], "Pa s/m3");
        require_non_negative(where, lane + "quadratic", k.c[j], "Pa s2/m6");
    }
}

/// A lane by the single function; `system` has one element, which is overwritten.
template <AnyFan F>
OperatingFlow single_flow(const F& fan, const SystemBatch& systems, std::size_t lane, SystemCurve& system,
                          const AirState& air) {
    system.constant_pressure = systems.constant_pressure[lane];
    system.elements.front() = {systems.linear[lane], systems.quadratic[lane], air};
    return operating_flow_of(fan, system, air, 1.0);
}

template <Deferred...>
inline std::size_t put(const OperatingFlow& found, std::size_t lane, const OperatingFlowBatch& out) {
    out.status[lane] = found.status;
    out.flow[lane] = found.flow ? *found.flow : VolumeFlow::from_value(0.0);
    return found.flow ? 1 : 0;
}

template <Deferred...>
inline std::size_t operating_flows_of(const FanCurve& fan, const SystemBatch& systems, const AirState& air,
                                      const OperatingFlowBatch& out, SystemCurve& system, const char* where) {
    constexpr std::size_t lanes = 64;
    const FanForBatch batch = fan_for_batch(fan);
    const double scale = table_scale(fan.stated_air(), air, 1.0);
    const std::size_t n = systems.linear.size();
    std::size_t found = 0;
    OperatingBlock<lanes> k;
    for (std::size_t first = 0; first < n; first += lanes) {
        const std::size_t count = n - first < lanes ? n - first : lanes;
        read_lanes(systems.constant_pressure.data() + first, count, k.a);
        read_lanes(systems.linear.data() + first, count, k.b);
        read_lanes(systems.quadratic.data() + first, count, k.c);
        check_block(k, first, count, where);
        for (std::size_t j = 0; j < lanes; ++j) {
            k.a[j] *= scale;
            k.b[j] *= scale;
            k.c[j] *= scale;
        }
        const std::int64_t apart = solve_block(k, batch, fan.pressure_curve());
        VolumeFlow* flow = out.flow.data() + first;
        OperatingStatus* status = out.status.data() + first;
        for (std::size_t j = 0; j < count; ++j) flow[j] = VolumeFlow::from_value(k.flow[j]);
        for (std::size_t j = 0; j < count; ++j) status[j] = OperatingStatus::single_crossing;
        found += count;
        for (std::size_t j = 0; apart > 0 && j < count; ++j) {
            const std::size_t lane = first + j;
            if (k.last[j] > 0.0) {
                found -= 1 - put({OperatingStatus::beyond_table, std::nullopt}, lane, out);
            } else if (k.doubt[j] > 0.0 || !(k.clearance[j] > 0.0)) {
                found -= 1 - put(single_flow(fan, systems, lane, system, air), lane, out);
            }
        }
    }
    return found;
}

template <AnyFan F>
std::size_t operating_flows_of(const F& fan, const SystemBatch& systems, const AirState& air,
                               const OperatingFlowBatch& out, SystemCurve& system, const char*) {
    std::size_t found = 0;
    for (std::size_t lane = 0; lane < systems.linear.size(); ++lane) {
        found += put(single_flow(fan, systems, lane, system, air), lane, out);
    }
    return found;
}

}   // namespace detail

/// Where one fan meets each of many systems: writes flow and status of every lane and returns how many have a flow.
///
/// Equation: as operating_point; two or four steps from a secant on the segment that each lane's rows tell
/// Symbols:  as operating_point
/// Validity: as operating_point. A fan at fixed speed in vector loops, equal to operating_flow within 1e-12; a fan that
///           rises somewhere too, where a system stays clear of its rising part, else singly. A flow-holding fan singly
/// @param  fan  fan at fixed speed, flow-holding fan, or either (Fan)
/// @param  systems  columns; shape (n)
/// @param  air  air at the fan and in the systems
/// @param  out  where flows [m3/s] and statuses go; shape (n)
/// @return number of lanes that have a flow [-]
/// @throws DomainError if the columns differ in length, the air is not valid, or a system is not, which is named by its
///         place; lanes before it may be written
/// @source as operating_flow; test: airflow/operating_batch_test.cpp
template <AnyFan F>
std::size_t operating_flows(const F& fan, const SystemBatch& systems, const AirState& air,
                            const OperatingFlowBatch& out) {
    constexpr auto where = "operating_flows";
    detail::check_air(air, where);
    const double n = static_cast<double>(systems.linear.size());
    for (const std::size_t size : {systems.constant_pressure.size(), systems.quadratic.size(), out.flow.size(),
                                   out.status.size()}) {
        detail::require_between(where, "length of a column", static_cast<double>(size), n, n, "-");
    }
    SystemCurve system;   // for lanes that are solved singly
    system.elements.emplace_back();
    const auto solve = [&](const auto& f) { return detail::operating_flows_of(f, systems, air, out, system, where); };
    if constexpr (std::same_as<F, Fan>) {
        return std::visit(solve, fan);
    } else {
        return solve(fan);
    }
}

}   // namespace filterflow
