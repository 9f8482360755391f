// SPDX-License-Identifier: BSL-1.0
#pragma once

// Pressure drop and its slope by each law that a network's branch may have, at any flow of either sign, from plain
// numbers in SI.
//
// Where a law is flat at zero flow its slope is held up: below 1e-10 of the pressure scale it is that of the flow
// which takes as much. Drops are never touched, so that the solution is that of the laws as stated.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>

#include <filterflow/airflow/bypass.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/friction.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/dual.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>

namespace filterflow::detail {

enum class LawKind : std::uint8_t { element, power, duct, bypassed, fan, function };

struct LawPoint {
    double drop;
    double slope;   // < 0 on the rising part of a fan, or where a coefficient is negative
};

/// A fan's table as a branch sees it: beyond its ends it goes on in a straight line that falls, so that iterations
/// find back; a solution there is reported as outside the table.
struct FanLaw {
    MonotoneCubic curve;
    double density_ratio;
    double least_fall;   // Pa s/m3
    FanPressureKind kind;

    template <Deferred...>
    LawPoint at(double flow) const {
        const double low = curve.lowest(), high = curve.highest();
        if (flow < low || flow > high) {
            const bool below = flow < low;
            const double end = below ? low : high;
            const double slope = std::min(curve.slope(end), -least_fall);
            return {-density_ratio * ((below ? curve.values().front() : curve.values().back()) + slope * (flow - end)),
                    -density_ratio * slope};
        }
        const std::size_t i = curve.segment_of(flow);
        const double t = flow - curve.knots()[i];
        const double slope = -density_ratio * cubic_slope(curve.segments()[i], t);
        const double floor = 1e-5 * density_ratio * least_fall;
        return {-density_ratio * cubic_value(curve.segments()[i], t),
                slope >= 0.0 && slope < floor ? floor : slope};
    }
    /// Within the table, but for rounding (a fan against a closed end moves 1e-18 m3/s, of either sign).
    template <Deferred...>
    bool contains(double flow) const {
        const double slack = 1e-9 * (curve.highest() - curve.lowest());
        return flow >= curve.lowest() - slack && flow <= curve.highest() + slack;
    }
};

/// A law made of whatever gives a drop and a slope.
struct FunctionLaw {
    std::function<LawPoint(double)> at;
};

inline constexpr double flat_share = 1e-10;   // of the pressure scale

/// Slope of r |q| + s q^2 held up where it is flat.
inline double held_up(double slope, double quadratic, double pressure_scale) {
    const double floor_squared = 4.0 * flat_share * quadratic * pressure_scale;
    return slope >= 0.0 && slope * slope < floor_squared ? std::sqrt(floor_squared) : slope;
}

template <Deferred...>
inline LawPoint element_at(const double* c, double flow, double pressure_scale) {
    const double size = std::abs(flow);
    return {(c[0] + c[1] * size) * flow, held_up(c[0] + 2.0 * c[1] * size, c[1], pressure_scale)};
}

inline LawPoint power_at(const double* c, double flow, double pressure_scale) {
    const double size = std::abs(flow), n = c[1];
    const double drop = size > 0.0 ? c[0] * std::pow(size, n) : 0.0;
    const double flat = flat_share * pressure_scale;
    if (drop > flat) return {flow < 0.0 ? -drop : drop, n * drop / size};
    return {flow < 0.0 ? -drop : drop, flat > 0.0 ? n * flat / std::pow(flat / c[0], 1.0 / n) : n > 1.0 ? 0.0 : c[0]};
}

template <Deferred...>
inline LawPoint duct_at(const double* c, double flow, double pressure_scale) {
    const double size = std::abs(flow);
    double drop = c[3] * size * size, slope = 2.0 * c[3] * size;
    if (c[1] > 0.0) {
        const FrictionPoint<double> friction = blended_friction(c[0] * size, c[2]);
        drop += c[1] * friction.g;
        slope += c[1] * c[0] * friction.slope;
    }
    return {flow < 0.0 ? -drop : drop, held_up(slope, std::abs(c[3]), pressure_scale)};
}

template <Deferred...>
inline LawPoint bypassed_at(const double* c, double flow, double pressure_scale) {
    const auto size = Dual<1>::input(std::abs(flow), 0);
    const ElementCoefficients<Dual<1>> element{c[0], c[1]};
    const Dual<1> through = flow_through_element(element, Dual<1>(c[2]), size);
    const Dual<1> drop = (element.linear + element.quadratic * through) * through;
    const double paths = c[2] + (c[1] > 0.0 ? 1.0 / std::sqrt(c[1]) : 0.0);
    return {flow < 0.0 ? -drop.value : drop.value,
            held_up(drop.derivative[0], paths > 0.0 ? 1.0 / (paths * paths) : 0.0, pressure_scale)};
}

template <Deferred...>
inline LawPoint function_at(const FunctionLaw& law, double flow, double pressure_scale) {
    LawPoint point = law.at(flow);
    const double floor = flat_share * pressure_scale / (std::abs(flow) + 1e-6);
    if (point.slope >= 0.0 && point.slope < floor) point.slope = floor;
    return point;
}

}   // namespace filterflow::detail
