// SPDX-License-Identifier: BSL-1.0
#pragma once

// Fans in parallel against a system on one piece of one combination of their curves' parts: every root of a difference
// that is known with bounds, and whether it is stable. Not public.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/fans_in_parallel.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/numeric/roots.hpp>

namespace filterflow::detail {

/// One segment of one fan's curve.
struct FanPiece {
    CubicSegment cubic;
    double flow, width;   // at its lower knot; to its upper
    double sign;          // +1 where pressure rises with flow, -1 where it falls
    bool shut;
};

/// The search on one piece of one branch: D(p) = p - scale p_sys(sum Q_i(p)) in the pressure of the fans' stated air.
class ParallelSearch {
public:
    template <Deferred...>
    ParallelSearch(std::vector<FanPiece> pieces, const SystemCurve& system, const AirState& air, double scale,
                   double greatest)
        : pieces_(std::move(pieces)), system_(system), air_(air), scale_(scale), greatest_(greatest) {}

    struct Place {
        double pressure;
        std::vector<double> t;   // argument of each fan's segment
        double difference;
    };
    struct Found {
        Place place;
        bool touching;
    };

    template <Deferred...>
    Place place_at(double pressure) const {
        Place p{pressure, {}, 0.0};
        for (const FanPiece& f : pieces_) p.t.push_back(f.shut ? 0.0 : segment_argument(f.cubic, f.width, pressure));
        p.difference = pressure - scale_ * system_pressure_drop(system_, total_flow(p.t), air_);
        return p;
    }

    /// Every root between two places, the first included.
    template <Deferred...>
    void between(const Place& a, const Place& b, std::vector<Found>& found) const {
        if (excluded(a, b)) return;
        const bool one_way = monotone(a, b);
        if (!one_way && b.pressure - a.pressure > 1e-14 * greatest_) {
            const Place middle = place_at(a.pressure + 0.5 * (b.pressure - a.pressure));
            between(a, middle, found);
            between(middle, b, found);
            return;
        }
        if (a.difference == 0.0) {
            found.push_back({a, !one_way});
        } else if (a.difference * b.difference < 0.0) {
            const auto f = [&](double p) {
                const Place at = place_at(p);
                return std::pair(at.difference, slope(at));
            };
            const double guess = a.pressure + (b.pressure - a.pressure) * a.difference / (a.difference - b.difference);
            found.push_back({polished(place_at(bracketed_root(f, a.pressure, b.pressure, a.difference, b.difference,
                                                              guess, 0.0).location)), false});
        } else if (!one_way && b.difference != 0.0 &&
                   std::min(std::abs(a.difference), std::abs(b.difference)) <= 1e-12 * greatest_) {
            found.push_back({a, true});
        }
    }

    template <Deferred...>
    double total_flow(const std::vector<double>& t) const {
        double sum = 0.0;
        for (std::size_t k = 0; k < pieces_.size(); ++k) sum += pieces_[k].shut ? 0.0 : pieces_[k].flow + t[k];
        return sum > 0.0 ? sum : 0.0;
    }
    double flow(std::size_t fan, const Place& p) const {
        return pieces_[fan].shut ? 0.0 : pieces_[fan].flow + p.t[fan];
    }

    /// Whether every small disturbance dies away: with L_i dQ_i/dt = p_i(Q_i) - p_sys(sum Q), L_i > 0 the inertia of
    /// the air in fan i's duct, that is so if p_sys' in all entries, less p_i' in the diagonal, is positive definite.
    template <Deferred...>
    bool stable(const Place& p) const {
        std::vector<double> fan_slopes;
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            if (!pieces_[k].shut) fan_slopes.push_back(cubic_slope(pieces_[k].cubic, p.t[k]));
        }
        const std::size_t n = fan_slopes.size();
        std::vector<double> m(n * n, scale_ * system_with_slope(system_, total_flow(p.t), air_).slope);
        for (std::size_t k = 0; k < n; ++k) m[k * n + k] -= fan_slopes[k];
        for (std::size_t k = 0; k < n; ++k) {   // elimination; every pivot has to be positive
            if (!(m[k * n + k] > 0.0)) return false;
            for (std::size_t i = k + 1; i < n; ++i) {
                const double factor = m[i * n + k] / m[k * n + k];
                for (std::size_t j = k; j < n; ++j) m[i * n + j] -= factor * m[k * n + j];
            }
        }
        return true;
    }

private:
    /// Bounds of flow follow from its monotone parts; those of the system are its own.
    template <Deferred...>
    bool excluded(const Place& a, const Place& b) const {
        const Bounds value = Bounds{a.pressure, b.pressure} + scaled(system_over(a, b).value, -scale_);
        const double rounding = 1e-14 * greatest_;
        return value.low > rounding || value.high < -rounding;
    }
    template <Deferred...>
    ValueAndSlopeBounds system_over(const Place& a, const Place& b) const {
        double low = 0.0, high = 0.0;
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            if (pieces_[k].shut) continue;
            low += pieces_[k].flow + std::min(a.t[k], b.t[k]);
            high += pieces_[k].flow + std::max(a.t[k], b.t[k]);
        }
        return system_bounds(system_, low > 0.0 ? low : 0.0, high > 0.0 ? high : 0.0, air_);
    }
    /// dD/dp = 1 - scale p_sys' sum 1/p_i'. Times every |p_i'| it stays finite where a fan's curve turns, and has the
    /// same sign: whether that is known between two places.
    template <Deferred...>
    bool monotone(const Place& a, const Place& b) const {
        Bounds product{1.0, 1.0}, sum{0.0, 0.0};
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            if (pieces_[k].shut) continue;
            const Bounds size = slope_size(k, a.t[k], b.t[k]);
            sum = times(sum, size) + scaled(product, pieces_[k].sign);
            product = times(product, size);
        }
        const Bounds d = product + scaled(times(scaled(system_over(a, b).slope, scale_), sum), -1.0);
        return d.low >= 0.0 || d.high <= 0.0;
    }
    template <Deferred...>
    Bounds slope_size(std::size_t k, double from, double to) const {
        if (from > to) std::swap(from, to);
        const CubicSegment& c = pieces_[k].cubic;
        const Bounds s =
            to > from ? cubic_bounds(c, from, to).slope : Bounds{cubic_slope(c, from), cubic_slope(c, from)};
        const Bounds size = scaled(s, pieces_[k].sign);
        return {size.low > 0.0 ? size.low : 0.0, size.high > 0.0 ? size.high : 0.0};
    }
    template <Deferred...>
    double slope(const Place& p) const {
        double sum = 0.0;
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            if (!pieces_[k].shut) sum += 1.0 / cubic_slope(pieces_[k].cubic, p.t[k]);
        }
        return 1.0 - scale_ * system_with_slope(system_, total_flow(p.t), air_).slope * sum;
    }

    /// Newton steps in the fans' flows: near a turning point the pressure says little about the flow.
    template <Deferred...>
    Place polished(Place p) const {
        for (int step = 0; step < 3; ++step) {
            Place next = p;
            const ValueAndSlope system = system_with_slope(system_, total_flow(p.t), air_);
            // (p_i' - g) x_i - g sum of the others' = -residual_i: x_i = (g X - residual_i)/p_i' with X the sum of all.
            double inverse = 0.0, residuals = 0.0;
            std::vector<double> residual(pieces_.size(), 0.0), fan_slope(pieces_.size(), 1.0);
            for (std::size_t k = 0; k < pieces_.size(); ++k) {
                if (pieces_[k].shut) continue;
                residual[k] = cubic_value(pieces_[k].cubic, p.t[k]) - scale_ * system.value;
                fan_slope[k] = cubic_slope(pieces_[k].cubic, p.t[k]);
                inverse += 1.0 / fan_slope[k];
                residuals += residual[k] / fan_slope[k];
            }
            const double g = scale_ * system.slope;
            const double sum = -residuals / (1.0 - g * inverse);
            for (std::size_t k = 0; k < pieces_.size(); ++k) {
                if (!pieces_[k].shut) next.t[k] += (g * sum - residual[k]) / fan_slope[k];
                if (!(next.t[k] >= 0.0 && next.t[k] <= pieces_[k].width)) {
                    return p;   // at an end: as the bracket has it
            }
            next.pressure = scale_ * system_pressure_drop(system_, total_flow(next.t), air_);
                }
            p = std::move(next);
        }
        return p;
    }

    std::vector<FanPiece> pieces_;
    const SystemCurve& system_;
    const AirState& air_;
    double scale_;
    double greatest_;
};

}   // namespace filterflow::detail
