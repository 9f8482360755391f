// SPDX-License-Identifier: BSL-1.0
#pragma once

// Probability of each class of ISO 16890-1, given uncertain efficiencies.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/radical_inverse.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/joint_normal.hpp>
#include <filterflow/rating/particulate_matter_groups.hpp>

namespace filterflow {

namespace detail {

/// Lower edge of a class value, as a share: what class_percent compares with.
inline double class_edge(int percent) {
    return percent == above_95_percent ? 0.95 + 1.01 * rounding_of_share : percent / 100.0 - rounding_of_share;
}

/// Adds the classes of one group from a value on: P(both conditions, value in each step of 5 %).
template <Deferred...>
inline void add_group(std::vector<ClassProbability>& classes, ParticulateMatterGroup group, int lowest,
                      const std::array<Requirement, 2>& conditions, const Uncertain<double>& value,
                      double factor = 1.0) {
    const double u = value.standard_uncertainty();
    const auto reached = [&](int percent) {
        const Requirement at_least{&value, percent > 0 ? class_edge(percent) : -HUGE_VAL};
        return factor * probability_of({conditions[0], conditions[1], at_least});
    };
    double at_least = reached(lowest);
    int step = lowest;
    for (int next = lowest + 5; next <= above_95_percent; next += 5) {
        const double distance = standard_distance(value.value, class_edge(next), u);
        if (distance > certain_distance) {   // the value is above this edge, too
            step = next;
            continue;
        }
        const double above = distance < -certain_distance ? 0.0 : std::min(at_least, reached(next));
        if (at_least - above > 1e-12) classes.push_back({class_name(group, step), at_least - above});
        at_least = above;
        step = next;
    }
    if (at_least > 1e-12) classes.push_back({class_name(group, step), at_least});
}

/// Shares of {coarse, the rest by group and value} in the joint normal distribution of the five efficiencies, by points
/// that fill it evenly: for what shares of three variables do not give.
class DrawnClasses {
public:
    template <Deferred...>
    explicit DrawnClasses(const std::array<const Uncertain<double>*, 5>& e) {
        std::array<double, 25> root{};   // of the covariance, lower triangle; a value that others determine has a zero
        for (std::size_t i = 0; i < 5; ++i) {
            for (std::size_t j = 0; j <= i; ++j) {
                double rest = i == j ? e[i]->gradient.variance()
                                     : correlation(*e[i], *e[j]) * e[i]->standard_uncertainty() *
                                           e[j]->standard_uncertainty();
                const double whole = rest;
                for (std::size_t k = 0; k < j; ++k) rest -= root[5 * i + k] * root[5 * j + k];
                if (i == j) root[6 * i] = rest > 1e-12 * whole ? std::sqrt(rest) : 0.0;
                else root[5 * i + j] = root[6 * j] > 0.0 ? rest / root[6 * j] : 0.0;
            }
        }
        for (const std::array<double, 5>& z : points()) {
            std::array<double, 5> x;
            for (std::size_t i = 0; i < 5; ++i) {
                x[i] = e[i]->value;
                for (std::size_t k = 0; k <= i; ++k) x[i] += root[5 * i + k] * z[k];
            }
            const ParticulateMatterGroup group = particulate_matter_group(x);
            const bool coarse = group == ParticulateMatterGroup::coarse;
            ++counts_[static_cast<std::size_t>(group)][coarse ? 0 : step(class_percent(x[value_index(group)]))];
        }
    }
    template <Deferred...>
    double coarse() const { return share(counts_[0][0]); }

    /// Adds the classes of the groups above coarse.
    template <Deferred...>
    void add(std::vector<ClassProbability>& classes) const {
        for (std::size_t g = 1; g < 4; ++g) {
            for (int percent = 50; percent <= above_95_percent; percent += 5) {
                const std::size_t count = counts_[g][step(percent)];
                if (count == 0) continue;
                classes.push_back({class_name(static_cast<ParticulateMatterGroup>(g), percent), share(count)});
            }
        }
    }

private:
    /// Halton's points as independent standard normal ones, computed once.
    template <Deferred...>
    static const std::vector<std::array<double, 5>>& points() {
        static const std::vector<std::array<double, 5>> all = [] {
            std::vector<std::array<double, 5>> made(point_count);
            for (std::size_t n = 0; n < point_count; ++n) {
                for (std::size_t i = 0; i < 5; ++i) made[n][i] = normal_point(radical_inverse(n + 1, small_primes[i]));
            }
            return made;
        }();
        return all;
    }
    template <Deferred...>
    static double normal_point(double share_below) {
        const double two_sided = 2.0 * share_below - 1.0;
        return two_sided == 0.0 ? 0.0 : std::copysign(coverage_factor(HUGE_VAL, std::abs(two_sided)), two_sided);
    }
    static std::size_t step(int percent) { return static_cast<std::size_t>(percent / 5); }
    static double share(std::size_t count) { return static_cast<double>(count) / static_cast<double>(point_count); }

    static constexpr std::size_t point_count = 32768;
    std::array<std::array<std::size_t, 21>, 4> counts_{};
};

}   // namespace detail

/// Probability of each class by particulate matter, lowest first; classes below 1e-12 are left out.
///
/// Equation: P(group, value from k to k + 5 %); ePM1: ePM1,min and ePM1 >= 50 %; ePM2.5: not ePM1, ePM2.5,min and
///           ePM2.5 >= 50 %; ePM10: neither, ePM10 >= 50 %; coarse: none of them
/// Symbols:  none
/// Validity: first order: the five efficiencies joint normal by what they share, also beyond 0 and 1; initial arrestance
///           independent of them (below 5 % is one class with 0 %). Where a value may lie below its minimum (conditioning
///           that seems to raise the efficiency, beyond a probability of 1e-7) the shares are those of 32 768 points
///           that fill the distribution evenly, within about 0.002, and what no point meets is left out
/// @param  efficiencies  the five of the standard [-]
/// @param  initial_arrestance  by mass [-]; none: not measured, then the coarse group is one class
/// @return probability of each class, sum one
/// @throws DomainError if an efficiency or the arrestance is not finite
/// @source the groups of ISO 16890-1:2016; JCGM 101:2008, 5.9 for what a probability of a class is;
///         test: rating/particulate_matter_limits_test.cpp
template <Deferred...>
inline std::vector<ClassProbability> particulate_matter_probabilities(
    const ParticulateMatterEfficiencies& efficiencies,
    const std::optional<Uncertain<double>>& initial_arrestance = std::nullopt) {
    constexpr auto where = "particulate_matter_probabilities";
    const auto& e = efficiencies;
    for (const auto& [name, value] : {std::pair{"ePM1", &e.ePM1}, {"ePM1_min", &e.ePM1_min}, {"ePM25", &e.ePM25},
                                      {"ePM25_min", &e.ePM25_min}, {"ePM10", &e.ePM10}}) {
        detail::require_finite(where, name, value->value, "-");
    }
    if (initial_arrestance) detail::require_finite(where, "initial_arrestance", initial_arrestance->value, "-");
    using detail::Requirement;
    const double half = 0.5 - detail::rounding_of_share;
    const Requirement fine{&e.ePM1_min, half}, not_fine{&e.ePM1_min, half, false};
    const Requirement middle{&e.ePM25_min, half}, not_middle{&e.ePM25_min, half, false};
    const Uncertain<double> certain(0.0);
    const Requirement nothing{&certain, -HUGE_VAL};
    const double value_below_minimum = detail::probability_of({fine, {&e.ePM1, half, false}, nothing}) +
                                       detail::probability_of({middle, {&e.ePM25, half, false}, nothing});
    std::optional<detail::DrawnClasses> drawn;
    if (value_below_minimum > 1e-7) drawn.emplace(std::array{&e.ePM1, &e.ePM1_min, &e.ePM25, &e.ePM25_min, &e.ePM10});
    std::vector<ClassProbability> classes;
    const double coarse =
        drawn ? drawn->coarse() : detail::probability_of({not_fine, not_middle, {&e.ePM10, half, false}});
    if (initial_arrestance) {
        detail::add_group(classes, ParticulateMatterGroup::coarse, 0, {nothing, nothing}, *initial_arrestance, coarse);
    } else if (coarse > 1e-12) {
        classes.push_back({detail::coarse_without_arrestance(), coarse});
    }
    if (drawn) {
        drawn->add(classes);
    } else {
        detail::add_group(classes, ParticulateMatterGroup::pm10, 50, {not_fine, not_middle}, e.ePM10);
        detail::add_group(classes, ParticulateMatterGroup::pm25, 50, {not_fine, middle}, e.ePM25);
        detail::add_group(classes, ParticulateMatterGroup::pm1, 50, {fine, nothing}, e.ePM1);
    }
    double sum = 0.0;
    for (const ClassProbability& c : classes) sum += c.probability;
    for (ClassProbability& c : classes) c.probability /= sum;   // takes out quadrature, of 1e-9
    return classes;
}

}   // namespace filterflow
