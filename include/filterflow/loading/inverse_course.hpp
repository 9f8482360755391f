// SPDX-License-Identifier: BSL-1.0
#pragma once

// The quadrature behind a life of one stage (inverse_life.hpp): pieces between the kinks of the integrand, each by
// Gauss and Kronrod's rule of 7 and 15 points, halved where the two disagree; the limit that comes first; any dose in
// between. Not public.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <type_traits>
#include <utility>
#include <vector>

#include <filterflow/loading/inverse_life.hpp>
#include <filterflow/loading/life_model.hpp>
#include <filterflow/loading/life_segment.hpp>

namespace filterflow::detail {

/// A place of a life with the integrals until it.
struct InverseNode {
    double x = 0.0;
    std::vector<double> sums;   // as InverseLife::add counts them; the first is the dose
};

class InverseCourse {
public:
    explicit InverseCourse(const FilterLifeInput& input) : life_(input), trial_(life_.sums()) {}

    const InverseLife& life() const { return life_; }
    const std::vector<InverseNode>& nodes() const { return nodes_; }

    /// Runs from a mass until a limit is met or a dose is reached; at least so many pieces. False: not a life for this
    /// way (no operating point to begin with, or nothing is caught), nothing is done.
    bool run(const FilterLifeInput& input, double mass, double dose_limit, LifeEnd at_dose_limit, std::size_t pieces) {
        const auto start = life_.start(mass);
        if (!start) return false;
        InversePlace place = life_.at(*start);
        if (!(place.caught > 0.0) || !std::isfinite(place.mass_slope)) return false;
        nodes_.clear();
        nodes_.push_back({*start, std::vector<double>(life_.sums(), 0.0)});
        end_ = first_limit(input, *start);
        if (met_at_once_ || !(dose_limit > 0.0)) {
            if (!met_at_once_) end_.second = at_dose_limit;
            return true;
        }
        const double to = end_.first, span = (to - *start) / static_cast<double>(pieces);
        std::vector<double> cuts = life_.breaks(*start, to);
        cuts.push_back(to);
        nodes_.reserve(pieces + cuts.size() + 1);
        for (const double cut : cuts) {
            const double from = nodes_.back().x;
            const double parts = std::max(1.0, std::ceil((cut - from) / span - 1e-9));
            for (double i = 1.0; i <= parts; i += 1.0) {
                nodes_.push_back(nodes_.back());
                InverseNode& node = nodes_.back();
                const double next = i < parts ? from + (cut - from) * i / parts : cut;
                integrate(node.x, next, node.sums.data(), 0);
                node.x = next;
                if (!(node.sums[0] >= dose_limit)) continue;
                const std::size_t last = nodes_.size() - 1;
                node = between(nodes_[last - 1], node, dose_limit);
                end_.second = at_dose_limit;
                return true;
            }
        }
        return true;
    }

    LifeEnd end() const { return end_.second; }

    /// The place between two nodes where a dose is reached: Newton's method, integrating along.
    InverseNode between(const InverseNode& a, const InverseNode& b, double dose) const {
        InverseNode node = a;
        const double share = (dose - a.sums[0]) / (b.sums[0] - a.sums[0]);
        double next = a.x + (b.x - a.x) * std::min(std::max(share, 0.0), 1.0);
        bool near = false;
        for (int i = 0; i < 50; ++i) {
            if (near) {
                three_points(node.x, next, node.sums.data());
            } else {
                integrate(node.x, next, node.sums.data(), 0);
            }
            node.x = next;
            const InversePlace place = life_.at(next);
            const double step = (dose - node.sums[0]) * place.caught / place.mass_slope;
            if (!(std::abs(step) > 1e-15 * std::abs(b.x - a.x) + 4e-16 * std::abs(next))) break;
            near = std::abs(step) < 1e-3 * std::abs(b.x - a.x);
            const double low = std::min(a.x, b.x), high = std::max(a.x, b.x);
            next = std::min(std::max(node.x + step, low), high);
            if (next == node.x) break;
        }
        return node;
    }

private:
    void three_points(double a, double b, double* sums) const {
        const double middle = 0.5 * (a + b), half = 0.5 * (b - a), out = half * 0.7745966692414834;
        life_.add(life_.at(middle), half * (8.0 / 9.0), sums);
        life_.add(life_.at(middle - out), half * (5.0 / 9.0), sums);
        life_.add(life_.at(middle + out), half * (5.0 / 9.0), sums);
    }

    /// Adds the integrals over [a, b].
    void integrate(double a, double b, double* sums, int depth) const {
        static constexpr std::array<double, 8> node{
            0.9914553711208126, 0.9491079123427585, 0.8648644233597691, 0.7415311855993945,
            0.5860872354676911, 0.4058451513773972, 0.2077849550078985, 0.0};
        static constexpr std::array<double, 8> weight{0.0229353220105292, 0.0630920926299786, 0.1047900103222502,
                                                      0.1406532597155259, 0.1690047266392679, 0.1903505780647854,
                                                      0.2044329400752989, 0.2094821410847278};
        static constexpr std::array<double, 4> gauss{0.1294849661688697, 0.2797053914892767, 0.3818300505051189,
                                                     0.4179591836734694};
        if (a == b) return;
        const double middle = 0.5 * (a + b), half = 0.5 * (b - a);
        std::vector<double>& trial = trial_;
        std::fill(trial.begin(), trial.end(), 0.0);
        double coarse = 0.0;
        for (std::size_t i = 0; i < 8; ++i) {
            for (const double side : {-1.0, 1.0}) {
                if (i == 7 && side > 0.0) continue;
                const InversePlace place = life_.at(middle + side * half * node[i]);
                life_.add(place, half * weight[i], trial.data());
                if (i % 2 == 1) coarse += half * gauss[i / 2] * place.mass_slope / place.caught;
            }
        }
        // The finer rule is off by far less than the two differ: about (200 times the difference)^1.5.
        const double apart = std::abs(trial[0] - coarse);
        if (apart > 2e-10 * std::abs(trial[0]) && apart > 1e-12 * std::abs(sums[0]) && depth < 30) {
            integrate(a, middle, sums, depth + 1);
            integrate(middle, b, sums, depth + 1);
            return;
        }
        for (std::size_t j = 0; j < trial.size(); ++j) sums[j] += trial[j];
    }

    /// The first limit along the life with its place; the end of the fan's table where none is met before.
    std::pair<double, LifeEnd> first_limit(const FilterLifeInput& input, double from) {
        std::pair<double, LifeEnd> best{life_.last(), LifeEnd::fan_table_end};
        met_at_once_ = false;
        const auto consider = [&](LifeEnd end,
                                  const auto& f) {   // in the order of life_events, first come first served
            if (met_at_once_) return;
            if (f(from).first >= 0.0) {
                best = {from, end};
                met_at_once_ = true;
                return;
            }
            const auto x = life_.first(f, from);
            if (x && (*x - best.first) * life_.direction() < 0.0) best = {*x, end};
        };
        InversePlace p;
        if (const auto& limit = input.stages[0].final_resistance) {
            consider(LifeEnd::final_resistance, [&](double x) {
                life_.operate(x, p);
                return std::pair(p.drop - limit->value(), p.drop_slope);
            });
        }
        if (const auto& limit = input.limits.least_airflow) {
            consider(LifeEnd::least_airflow, [&](double x) {
                life_.operate(x, p);
                return std::pair(limit->value() - p.flow, -p.flow_slope);
            });
        }
        if (const auto& limit = input.limits.greatest_external_static_pressure) {
            consider(LifeEnd::external_static_pressure, [&](double x) {
                life_.operate(x, p);
                return std::pair(p.pressure - limit->value(), p.pressure_slope);
            });
        }
        if (const auto& limit = input.limits.greatest_power; limit && !met_at_once_) {
            const auto x = life_.first_power(limit->value(), from);
            if (x && *x == from) {
                best = {from, LifeEnd::greatest_power};
                met_at_once_ = true;
            } else if (x && (*x - best.first) * life_.direction() < 0.0) {
                best = {*x, LifeEnd::greatest_power};
            }
        }
        return best;
    }

    InverseLife life_;
    std::vector<InverseNode> nodes_;
    std::pair<double, LifeEnd> end_{0.0, LifeEnd::horizon};
    bool met_at_once_ = false;
    mutable std::vector<double> trial_;
};

/// Dose at which a life of one stage ends by the horizon or by age, and which of them.
inline std::pair<double, LifeEnd> dose_limit(const FilterLifeInput& input, double age_dose, double dose_left) {
    std::pair<double, LifeEnd> limit{dose_left, LifeEnd::horizon};
    if (const auto& age = input.stages[0].greatest_age) {
        const double at = age->value() * input.running_fraction * input.dust.concentration.value() - age_dose;
        if (at < limit.first) limit = {at, LifeEnd::age};
    }
    return limit;
}

/// Mass and running integrals at a node, as LifeModel has them.
inline std::vector<double> state_of(const InverseNode& node, const InversePlace& place) {
    std::vector<double> y{place.mass};
    y.insert(y.end(), node.sums.begin() + 1, node.sums.end());
    return y;
}

/// A segment from the nodes of a course, with the same contents as by steps in dose. Dense: with bends that let states
/// in between meet the quadrature in the middle of each piece.
inline LifeSegment<double> segment_of(const InverseCourse& course, const LifeModel<double>& model, double mass,
                                      bool dense) {
    LifeSegment<double> segment;
    segment.end = course.end();
    for (const InverseNode& node : course.nodes()) {
        const InversePlace place = course.life().at(node.x);
        segment.doses.push_back(node.sums[0]);
        segment.states.push_back(state_of(node, place));
        segment.points.push_back(course.life().point(place));
        segment.rates.emplace_back();
        model.rates_at(segment.points.back(), segment.rates.back());
    }
    segment.states.front()[0] = mass;
    for (std::size_t i = 0; dense && i + 1 < segment.doses.size(); ++i) {
        const double h = segment.doses[i + 1] - segment.doses[i];
        const InverseNode middle = course.between(course.nodes()[i], course.nodes()[i + 1], segment.doses[i] + 0.5 * h);
        std::vector<double> bend = state_of(middle, course.life().at(middle.x));
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
                            const T& dose_left, bool dense = false) {
    if constexpr (std::is_same_v<T, double>) {
        if (InverseLife::applies(model.input())) {
            InverseCourse course(model.input());
            const auto [limit, at_limit] = dose_limit(model.input(), age_doses[0], dose_left);
            if (course.run(model.input(), masses[0], limit, at_limit, dense ? 96 : 24)) {
                return segment_of(course, model, masses[0], dense);
            }
        }
    }
    return run_life_segment(model, masses, age_doses, dose_left);
}

}   // namespace filterflow::detail
