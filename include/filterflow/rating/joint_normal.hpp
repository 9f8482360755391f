// SPDX-License-Identifier: BSL-1.0
#pragma once

// Shares of two and three joint normal variables below limits, and what uncertain values share: the probabilities of
// classes come from them.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow::detail {

inline constexpr double certain_distance = 9.0;   // standard uncertainties; what lies beyond is below 1e-18

template <Deferred...>
inline double normal_share_below(double z) { return 0.5 * std::erfc(-z * 0.70710678118654752440); }

/// One panel of an adaptive Simpson rule: halved until both halves agree with the whole.
template <class Function>
double simpson_panel(const Function& f, double a, double b, double fa, double fm, double fb, double tolerance,
                     int depth) {
    const double m = 0.5 * (a + b), h = b - a;
    const double f1 = f(0.5 * (a + m)), f2 = f(0.5 * (m + b));
    const double whole = h / 6.0 * (fa + 4.0 * fm + fb);
    const double halves = h / 12.0 * (fa + 4.0 * f1 + 2.0 * fm + 4.0 * f2 + fb);
    const double difference = halves - whole;
    if (depth == 0 || !(std::abs(difference) > 15.0 * tolerance)) return halves + difference / 15.0;
    return simpson_panel(f, a, m, fa, f1, fm, 0.5 * tolerance, depth - 1) +
           simpson_panel(f, m, b, fm, f2, fb, 0.5 * tolerance, depth - 1);
}

/// Integral from 0 to 1, to about 1e-9; eight panels at least.
template <class Function>
double integral_over_unit(const Function& f) {
    constexpr int panels = 8;
    double sum = 0.0, left = f(0.0);
    for (int i = 0; i < panels; ++i) {
        const double a = static_cast<double>(i) / panels, b = static_cast<double>(i + 1) / panels;
        const double right = f(b);
        sum += simpson_panel(f, a, b, left, f(0.5 * (a + b)), right, 1e-9 / panels, 30);
        left = right;
    }
    return sum;
}

inline constexpr double two_pi = 6.283185307179586;
inline constexpr double same_or_opposite = 1e-12;   // what a correlation may lack of -+1 to count as that

/// P(x <= h, y <= k) of standard normal x, y with correlation r: the integral of the density over the correlation,
/// in the angle whose sine it is (Drezner and Wesolowsky 1990, from memory).
template <Deferred...>
inline double joint_normal_share_below(double h, double k, double r) {
    if (h < -certain_distance || k < -certain_distance) return 0.0;
    if (h > certain_distance) return normal_share_below(k);
    if (k > certain_distance) return normal_share_below(h);
    if (1.0 - r < same_or_opposite) return normal_share_below(std::min(h, k));
    if (1.0 + r < same_or_opposite) return std::max(0.0, normal_share_below(h) - normal_share_below(-k));
    const double independent = normal_share_below(h) * normal_share_below(k);
    if (r == 0.0) return independent;
    const double end = std::asin(r);
    const double part = integral_over_unit([&](double t) {
        const double s = std::sin(end * t);
        return std::exp(-(h * h + k * k - 2.0 * h * k * s) / (2.0 * (1.0 - s * s)));
    });
    return std::clamp(independent + end / two_pi * part, 0.0, 1.0);
}

/// Correlations of three variables.
struct ThreeCorrelations {
    double r12 = 0.0, r13 = 0.0, r23 = 0.0;
};

/// 2 pi times the derivative of P(x <= a, y <= b, z <= c) to the angle whose sine is the correlation of x and y:
/// their density there times the share of z below c, given that x = a and y = b.
template <Deferred...>
inline double joint_normal_slope(double a, double b, double c, const ThreeCorrelations& r) {
    const double rest = 1.0 - r.r12 * r.r12;
    if (!(rest > 0.0)) return 0.0;
    const double exponent = (a * a + b * b - 2.0 * a * b * r.r12) / (2.0 * rest);
    if (exponent > 80.0) return 0.0;
    const double mean = ((r.r13 - r.r12 * r.r23) * a + (r.r23 - r.r12 * r.r13) * b) / rest;
    const double variance =
        (1.0 - r.r12 * r.r12 - r.r13 * r.r13 - r.r23 * r.r23 + 2.0 * r.r12 * r.r13 * r.r23) / rest;
    const double certain = mean <= c ? 1.0 : 0.0;
    const double share = variance > 1e-14 ? normal_share_below((c - mean) / std::sqrt(variance)) : certain;
    return std::exp(-exponent) * share;
}

/// P(x <= z_1, y <= z_2, w <= z_3) of standard normal variables. Plackett's identity (1954), integrated from the first
/// variable being independent of the two most alike to its correlations (Genz 2004, both from memory).
template <Deferred...>
inline double joint_normal_share_below(std::array<double, 3> z, ThreeCorrelations r) {
    for (const double limit : z) {
        if (limit < -certain_distance) return 0.0;
    }
    if (z[0] > certain_distance) return joint_normal_share_below(z[1], z[2], r.r23);
    if (z[1] > certain_distance) return joint_normal_share_below(z[0], z[2], r.r13);
    if (z[2] > certain_distance) return joint_normal_share_below(z[0], z[1], r.r12);
    if (std::abs(r.r12) > std::max(std::abs(r.r13), std::abs(r.r23))) {
        std::swap(z[0], z[2]);
        std::swap(r.r12, r.r23);
    } else if (std::abs(r.r13) > std::abs(r.r23)) {
        std::swap(z[0], z[1]);
        std::swap(r.r13, r.r23);
    }
    if (1.0 - r.r23 < same_or_opposite) return joint_normal_share_below(z[0], std::min(z[1], z[2]), r.r12);
    if (1.0 + r.r23 < same_or_opposite) {
        if (z[1] <= -z[2]) return 0.0;
        return std::max(0.0, joint_normal_share_below(z[0], z[1], r.r12) -
                                 joint_normal_share_below(z[0], -z[2], r.r12));
    }
    const double start = normal_share_below(z[0]) * joint_normal_share_below(z[1], z[2], r.r23);
    if (r.r12 == 0.0 && r.r13 == 0.0) return start;
    const double end12 = std::asin(std::clamp(r.r12, -1.0, 1.0)), end13 = std::asin(std::clamp(r.r13, -1.0, 1.0));
    const double part = integral_over_unit([&](double t) {
        const double r12 = std::sin(end12 * t), r13 = std::sin(end13 * t);
        return end12 * joint_normal_slope(z[0], z[1], z[2], {r12, r13, r.r23}) +
               end13 * joint_normal_slope(z[0], z[2], z[1], {r13, r12, r.r23});
    });
    return std::clamp(start + part / two_pi, 0.0, 1.0);
}

/// Distance of a limit above a value in standard uncertainties, within what a double's normal share can tell.
template <Deferred...>
inline double standard_distance(double limit, double value, double u) {
    if (!(u > 0.0)) return value <= limit ? 40.0 : -40.0;
    return std::clamp((limit - value) / u, -40.0, 40.0);
}

/// Correlation by what two uncertain values share; zero where one is certain.
template <Deferred...>
inline double correlation(const Uncertain<double>& a, const Uncertain<double>& b) {
    const double scale = a.standard_uncertainty() * b.standard_uncertainty();
    if (!(scale > 0.0)) return 0.0;
    double sum = 0.0;
    auto other = b.gradient.terms().begin();
    for (const auto& term : a.gradient.terms()) {   // both in the order in which inputs were made
        while (other != b.gradient.terms().end() && other->input->serial < term.input->serial) ++other;
        if (other == b.gradient.terms().end()) break;
        if (other->input->serial != term.input->serial) continue;
        const double u = term.input->standard_uncertainty;
        sum += term.derivative * other->derivative * u * u;
    }
    return std::clamp(sum / scale, -1.0, 1.0);
}

/// One requirement: an uncertain value at least a limit (or below it).
struct Requirement {
    const Uncertain<double>* value;
    double limit;
    bool at_least = true;
};

/// Probability that three requirements hold, joint normal, first order; a certain value meets its limit or does not.
template <Deferred...>
inline double probability_of(const std::array<Requirement, 3>& all) {
    std::array<double, 3> z{}, sign{};
    for (std::size_t i = 0; i < 3; ++i) {
        const double u = all[i].value->standard_uncertainty();
        z[i] = standard_distance(all[i].value->value, all[i].limit, u);   // distance of the value above the limit
        sign[i] = all[i].at_least ? 1.0 : -1.0;
        z[i] *= sign[i];
    }
    const auto r = [&](std::size_t i, std::size_t j) {
        if (std::abs(z[i]) > certain_distance || std::abs(z[j]) > certain_distance) return 0.0;
        return sign[i] * sign[j] * correlation(*all[i].value, *all[j].value);
    };
    return joint_normal_share_below(z, {r(0, 1), r(0, 2), r(1, 2)});
}

}   // namespace filterflow::detail
