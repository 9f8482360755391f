// SPDX-License-Identifier: BSL-1.0
#pragma once

// The quadrature behind a life of one stage (inverse_life.hpp): pieces between the kinks of the integrand, each by
// Gauss and Kronrod's rule of 4 and 9 points, halved where the two disagree; the limit that comes first; any dose in
// between. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/core/deferred.hpp>
#include <filterflow/loading/inverse_life.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_segment.hpp>

namespace filterflow::detail {

/// A place of a life with the integrals until it.
struct InverseNode {
    double x = 0.0;
    std::array<double, InverseLife::sums> sums{};   // over dose: the first is the dose itself
    std::vector<double> by_class;                   // flow times removed share of each class of dust
};

class InverseCourse {
public:
    template <Deferred...>
    explicit InverseCourse(const FilterLifeInput& input) : life_(input) {}

    const InverseLife& life() const { return life_; }
    const std::vector<InverseNode>& nodes() const { return nodes_; }
    LifeEnd end() const { return end_.second; }

    /// Runs from a mass until a limit is met or a dose is reached; at least so many pieces. False: not a life for this
    /// way (no operating point to begin with, or nothing is caught), nothing is done.
    template <Deferred...>
    bool run(const FilterLifeInput& input, double mass, double dose_limit, LifeEnd at_dose_limit, std::size_t pieces) {
        const auto start = life_.start(mass);
        if (!start) return false;
        const InversePlace place = life_.at(*start);
        if (!(place.caught > 0.0) || !std::isfinite(place.mass_slope)) return false;
        end_ = first_limit(input, *start);
        std::vector<double> ends;
        ends.reserve(12);
        if (!met_at_once_ && dose_limit > 0.0) life_.stretches(*start, end_.first, ends);
        nodes_.clear();
        nodes_.reserve(pieces + ends.size() + 1);
        nodes_.push_back({*start, {}, std::vector<double>(life_.classes(), 0.0)});
        if (met_at_once_) return true;
        if (ends.empty()) {
            end_.second = at_dose_limit;
            return true;
        }
        const double span = (end_.first - *start) / static_cast<double>(pieces);
        for (const double end : ends) {
            const double from = nodes_.back().x;
            const double parts = std::max(1.0, std::ceil((end - from) / span - 1e-9));
            const InversePiece piece = life_.piece_of(0.5 * (from + end));
            for (double i = 1.0; i <= parts; i += 1.0) {
                nodes_.push_back(nodes_.back());
                if (go_on(nodes_.back(), i < parts ? from + (end - from) * i / parts : end, dose_limit, piece)) {
                    end_.second = at_dose_limit;
                    return true;
                }
            }
        }
        return true;
    }

    /// Goes on from a node towards a place until a dose is reached there or before; whether it is.
    template <Deferred...>
    bool go_on(InverseNode& node, double to, double dose, const InversePiece& piece) const {
        const double from = node.x, way = to - from;
        const auto slope = [&](double x) {
            const InversePlace p = life_.at(x, piece);
            return p.mass_slope / p.caught;
        };
        // Where the dose is reached by a parabola through the slopes at both ends; short of it all of the way is done.
        const double first = slope(from), rise = 0.5 * (slope(to) - first) / way, missing = dose - node.sums[0];
        const double root = first * first + 4.0 * rise * missing;
        double guess = way;
        if (root >= 0.0) guess = 2.0 * missing / (first + std::copysign(std::sqrt(root), first));
        if (!(guess / way < 1.1)) {
            integrate(node, to, piece, 0);
            if (!(node.sums[0] > dose)) return node.sums[0] == dose;
            settle(node, from, to, dose, piece);
            return true;
        }
        const double next = guess / way < 1.0 ? from + guess : to;
        integrate(node, next, piece, 0);
        if (next == to && node.sums[0] < dose) return false;
        settle(node, from, to, dose, piece);
        return node.sums[0] >= dose * (1.0 - 1e-13) || node.x != to;
    }

private:
    /// Newton's steps from a node near a dose to it, between two places; may end at the second, short of the dose.
    template <Deferred...>
    void settle(InverseNode& node, double from, double to, double dose, const InversePiece& piece) const {
        const double low = std::min(from, to), high = std::max(from, to), whole = high - low;
        for (int i = 0; i < 60; ++i) {
            const InversePlace p = life_.at(node.x, piece);
            const double step = (dose - node.sums[0]) * p.caught / p.mass_slope;
            if (!(std::abs(step) > 1e-15 * whole + 4e-16 * std::abs(node.x))) return;
            const double next = std::min(std::max(node.x + step, low), high);
            if (next == node.x) return;
            if (std::abs(step) < 3e-2 * whole) {
                three_points(node, next, piece);
            } else {
                integrate(node, next, piece, 0);
            }
            if (std::abs(step) < 1e-9 * whole) return;   // the next would be its square
        }
    }

    template <Deferred...>
    void add(const InversePlace& p, double weight, double* sums, std::vector<double>& by_class) const {
        const double dose = weight * p.mass_slope / p.caught, power = dose * p.flow;
        sums[0] += dose;
        sums[1] += power;
        sums[2] += dose * p.power;
        sums[3] += power * p.drop;
        sums[4] += dose * p.drop;
        sums[5] += weight * p.mass_slope;
        for (std::size_t i = 0; i < by_class.size(); ++i)
            by_class[i] += dose * p.through * life_.efficiency(p.loaded, i);
    }

    template <Deferred...>
    void three_points(InverseNode& node, double to, const InversePiece& piece) const {
        const double middle = 0.5 * (node.x + to), half = 0.5 * (to - node.x), out = half * 0.7745966692414834;
        add(life_.at(middle, piece), half * (8.0 / 9.0), node.sums.data(), node.by_class);
        add(life_.at(middle - out, piece), half * (5.0 / 9.0), node.sums.data(), node.by_class);
        add(life_.at(middle + out, piece), half * (5.0 / 9.0), node.sums.data(), node.by_class);
        node.x = to;
    }

    /// Goes on to a place on one piece.
    template <Deferred...>
    void integrate(InverseNode& node, double to, const InversePiece& piece, int depth) const {
        static constexpr std::array<double, 5> place{0.9765602507375731, 0.8611363115940526, 0.6402862174963100,
                                                     0.3399810435848563, 0.0};
        static constexpr std::array<double, 5> weight{0.0629773736654730, 0.1700536053357227, 0.2667983404522845,
                                                      0.3269491896014516, 0.3464429818901364};
        static constexpr std::array<double, 2> gauss{0.3478548451374539, 0.6521451548625461};
        const double from = node.x;
        if (from == to) return;
        const double middle = 0.5 * (from + to), half = 0.5 * (to - from);
        std::array<double, InverseLife::sums> sums{};
        std::vector<double> by_class(life_.classes(), 0.0);
        double coarse = 0.0;
        for (std::size_t i = 0; i < 5; ++i) {
            for (const double side : {-1.0, 1.0}) {
                if (i == 4 && side > 0.0) continue;
                const InversePlace p = life_.at(middle + side * half * place[i], piece);
                add(p, half * weight[i], sums.data(), by_class);
                if (i % 2 == 1) coarse += half * gauss[i / 2] * p.mass_slope / p.caught;
            }
        }
        // The rule of 9 points is off by far less than the two differ: by about the power 1.75 of that.
        const double apart = std::abs(sums[0] - coarse);
        if (apart > 5e-7 * std::abs(sums[0]) && apart > 1e-11 * node.sums[0] && depth < 30) {
            integrate(node, middle, piece, depth + 1);
            integrate(node, to, piece, depth + 1);
            return;
        }
        for (std::size_t j = 0; j < sums.size(); ++j) node.sums[j] += sums[j];
        for (std::size_t j = 0; j < by_class.size(); ++j) node.by_class[j] += by_class[j];
        node.x = to;
    }

    /// The first limit along the life with its place; the end of the fan's table where none is met before.
    template <Deferred...>
    std::pair<double, LifeEnd> first_limit(const FilterLifeInput& input, double from) {
        std::pair<double, LifeEnd> best{life_.last(), LifeEnd::fan_table_end};
        met_at_once_ = false;
        const auto consider = [&](LifeEnd end, std::optional<double> x, bool at_once) {
            if (met_at_once_) return;   // in the order of life_events, first come first served
            met_at_once_ = at_once;
            if (at_once) best = {from, end};
            if (!at_once && x && (*x - best.first) * life_.direction() < 0.0) best = {*x, end};
        };
        const auto rising = [&](LifeEnd end, const auto& of) {
            const auto f = [&](double x, const InversePiece& piece) {
                InversePlace p;
                life_.operate(x, piece, p);
                return of(p);
            };
            const bool at_once = f(from, life_.piece_of(from)).first >= 0.0;
            consider(end, at_once ? std::nullopt : life_.first(f, from), at_once);
        };
        if (const auto& limit = input.stages[0].final_resistance) {
            rising(LifeEnd::final_resistance,
                   [&](const InversePlace& p) { return std::pair(p.drop - limit->value(), p.drop_slope); });
        }
        if (const auto& limit = input.limits.least_airflow) {
            rising(LifeEnd::least_airflow,
                   [&](const InversePlace& p) { return std::pair(limit->value() - p.flow, -p.flow_slope); });
        }
        if (const auto& limit = input.limits.greatest_external_static_pressure) {
            rising(LifeEnd::external_static_pressure,
                   [&](const InversePlace& p) { return std::pair(p.pressure - limit->value(), p.pressure_slope); });
        }
        if (const auto& limit = input.limits.greatest_power) {
            const auto x = life_.first_power(limit->value(), from);
            consider(LifeEnd::greatest_power, x, x && *x == from);
        }
        return best;
    }

    InverseLife life_;
    std::vector<InverseNode> nodes_;
    std::pair<double, LifeEnd> end_{0.0, LifeEnd::horizon};
    bool met_at_once_ = false;
};

/// Dose at which a life of one stage ends by the horizon or by age, and which of them.
template <Deferred...>
inline std::pair<double, LifeEnd> dose_limit(const FilterLifeInput& input, double age_dose, double dose_left) {
    std::pair<double, LifeEnd> limit{dose_left, LifeEnd::horizon};
    if (const auto& age = input.stages[0].greatest_age) {
        const double at = age->value() * input.running_fraction * input.dust.concentration.value() - age_dose;
        if (at < limit.first) limit = {at, LifeEnd::age};
    }
    return limit;
}

/// Mass and running integrals at a node, as LifeModel has them.
template <Deferred...>
inline std::vector<double> state_of(const InverseNode& node, const InverseLife& life, const InversePlace& place) {
    std::vector<double> y{life.per_area() * place.loaded};
    y.insert(y.end(), node.sums.begin() + 1, node.sums.end());
    y.insert(y.end(), node.by_class.begin(), node.by_class.end());
    return y;
}

/// A segment from the nodes of a course, with the same contents as by steps in dose. Dense: with bends that let states
/// in between meet the quadrature in the middle of each piece.
template <Deferred...>
inline LifeSegment<double> segment_of(const InverseCourse& course, const LifeModel<double>& model, double mass,
                                      bool dense) {
    LifeSegment<double> segment;
    segment.end = course.end();
    for (const InverseNode& node : course.nodes()) {
        const InversePlace place = course.life().at(node.x);
        segment.doses.push_back(node.sums[0]);
        segment.states.push_back(state_of(node, course.life(), place));
        segment.points.push_back(course.life().point(place));
        segment.rates.emplace_back();
        model.rates_at(segment.points.back(), segment.rates.back());
    }
    segment.states.front()[0] = mass;
    for (std::size_t i = 0; dense && i + 1 < segment.doses.size(); ++i) {
        const double h = segment.doses[i + 1] - segment.doses[i];
        InverseNode middle = course.nodes()[i];
        const double to = course.nodes()[i + 1].x;
        course.go_on(middle, to, segment.doses[i] + 0.5 * h, course.life().piece_of(0.5 * (middle.x + to)));
        std::vector<double> bend = state_of(middle, course.life(), course.life().at(middle.x));
        for (std::size_t j = 0; j < bend.size(); ++j) {
            bend[j] -= dormand_prince_between(segment.states[i][j], segment.rates[i][j], segment.states[i + 1][j],
                                              segment.rates[i + 1][j], 0.0, h, 0.5);
            bend[j] *= 16.0;
        }
        segment.bends.push_back(std::move(bend));
    }
    return segment;
}

/// A segment of a life: by inverse quadrature where it is a life for it, else by steps in dose.
template <class T>
LifeSegment<T> life_segment(const LifeModel<T>& model, const std::vector<T>& masses, const std::vector<T>& age_doses,
                            const T& dose_left, bool dense = false, double step_error = exact_steps) {
    if constexpr (std::is_same_v<T, double>) {
        if (InverseLife::applies(model.input())) {
            InverseCourse course(model.input());
            const auto [limit, at_limit] = dose_limit(model.input(), age_doses[0], dose_left);
            if (course.run(model.input(), masses[0], limit, at_limit, dense ? 96 : 24)) {
                return segment_of(course, model, masses[0], dense);
            }
        }
    }
    return run_life_segment(model, masses, age_doses, dose_left, 16, step_error);
}

}   // namespace filterflow::detail
