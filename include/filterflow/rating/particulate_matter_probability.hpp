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

}   // namespace detail

/// Probability of each class by particulate matter, lowest first; classes below 1e-12 are left out.
///
/// Equation: P(group, value from k to k + 5 %); ePM1: ePM1,min >= 50 %; ePM2.5: ePM1,min < 50 %, ePM2.5,min >= 50 %;
///           ePM10: both below 50 %, ePM10 >= 50 %; coarse: all three below 50 %
/// Symbols:  none
/// Validity: first order: the five efficiencies joint normal by what they share, also beyond 0 and 1 (what is below
///           5 % is one class with 0 %); initial arrestance independent of them.
/// @param  efficiencies  the five of the standard [-]
/// @param  initial_arrestance  by mass [-]; none: not measured, then the coarse group is one class
/// @return probability of each class, sum one
/// @throws DomainError if an efficiency or the arrestance is not finite
/// @source the groups of ISO 16890-1:2016; JCGM 101:2008, 5.9 for what a probability of a class is;
///         test: rating/particulate_matter_limits_test.cpp
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
    std::vector<ClassProbability> classes;
    const double coarse = detail::probability_of({not_fine, not_middle, {&e.ePM10, half, false}});
    if (initial_arrestance) {
        detail::add_group(classes, ParticulateMatterGroup::coarse, 0, {nothing, nothing}, *initial_arrestance, coarse);
    } else if (coarse > 1e-12) {
        classes.push_back({detail::coarse_without_arrestance(), coarse});
    }
    detail::add_group(classes, ParticulateMatterGroup::pm10, 50, {not_fine, not_middle}, e.ePM10);
    detail::add_group(classes, ParticulateMatterGroup::pm25, 0, {not_fine, middle}, e.ePM25);
    detail::add_group(classes, ParticulateMatterGroup::pm1, 0, {fine, nothing}, e.ePM1);
    double sum = 0.0;
    for (const ClassProbability& c : classes) sum += c.probability;
    for (ClassProbability& c : classes) c.probability /= sum;   // takes out quadrature, of 1e-9
    return classes;
}

}   // namespace filterflow
