// SPDX-License-Identifier: BSL-1.0
#pragma once

// Where a traverse measures: positions of the log-linear, log-Tchebycheff and equal-area rules, all of which
// give each position the same weight.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Rule by which positions are laid out. Log rules allow for the fall of velocity near the wall.
enum class TraverseRule {
    log_linear,        ///< circle: 6, 8 or 10 positions on a diameter
    log_tchebycheff,   ///< circle: 6, 8 or 10 on a diameter; rectangle: 5, 6 or 7 along a side
    equal_area         ///< middle of equal areas, any number (even on a diameter); reads up to 2 % high
};

/// Shape of the duct's section.
enum class SectionShape {
    circle,      ///< positions on diameters
    rectangle    ///< positions on a grid
};

/// Positions that were used on one line, to be compared with a rule.
struct TraverseLine {
    TraverseRule rule{};             ///< wanted
    SectionShape shape{};            ///< of the duct
    Length length{};                 ///< diameter or side, > 0
    std::vector<Length> distances;   ///< from one wall, rising
    Length tolerance{};              ///< how far from its place a position may be, >= 0
};

namespace detail {

/// From the near wall to the middle, as a part of the diameter or side; mirrored for the other half.
template <Deferred...>
inline std::vector<double> half_fractions(TraverseRule rule, SectionShape shape, std::size_t points) {
    if (shape == SectionShape::circle && rule == TraverseRule::log_linear) {
        if (points == 6) return {0.0321, 0.1349, 0.3207};
        if (points == 8) return {0.021, 0.117, 0.184, 0.345};
        if (points == 10) return {0.0189, 0.0765, 0.1525, 0.2171, 0.3612};
    }
    if (shape == SectionShape::circle && rule == TraverseRule::log_tchebycheff) {
        if (points == 6) return {0.0321, 0.1374, 0.3123};
        if (points == 8) return {0.0238, 0.1000, 0.1938, 0.3343};
        if (points == 10) return {0.0189, 0.0764, 0.1554, 0.2150, 0.3567};
    }
    if (shape == SectionShape::rectangle && rule == TraverseRule::log_tchebycheff) {
        if (points == 5) return {0.074, 0.288, 0.5};
        if (points == 6) return {0.061, 0.235, 0.437};
        if (points == 7) return {0.053, 0.203, 0.366, 0.5};
    }
    std::vector<double> half;
    if (rule == TraverseRule::equal_area) {
        const double n = static_cast<double>(points);
        for (std::size_t i = 1; i <= (points + 1) / 2; ++i) {
            const double odd = 2.0 * static_cast<double>(i) - 1.0;
            half.push_back(shape == SectionShape::circle ? 0.5 * (1.0 - std::sqrt((n - odd) / n)) : odd / (2.0 * n));
        }
    }
    return half;
}

}   // namespace detail

/// Positions along one line of a traverse, as parts of the diameter or side, from one wall to the other.
///
/// Equation: log rules: tabulated; equal area on a diameter: (1 - sqrt((n - 2i + 1)/n))/2 to the middle, mirrored;
///           equal area along a side: (2i - 1)/(2n)
/// Symbols:  n positions, i position
/// Validity: the numbers of positions named at TraverseRule; a log-linear rule for rectangles is not provided
/// @param  rule  how positions are laid out
/// @param  shape  of the duct
/// @param  points  positions on the diameter or along the side
/// @return positions between 0 and 1, rising; shape (points)
/// @throws DomainError if the rule has no such number of positions for that shape
/// @source ISO 3966 and ASHRAE Fundamentals (log rules, from memory); US EPA Method 1 (equal area);
///         test: stand/traverse_test.cpp
template <Deferred...>
inline std::vector<double> traverse_fractions(TraverseRule rule, SectionShape shape, std::size_t points) {
    constexpr auto where = "traverse_fractions";
    const bool circle = shape == SectionShape::circle;
    const std::vector<double> half = detail::half_fractions(rule, shape, points);
    if (half.empty() || (circle && points % 2 == 1)) {
        const char* allowed = "6, 8 or 10 on a diameter";
        if (rule == TraverseRule::equal_area)
            allowed = circle ? "an even number of at least 2 on a diameter" : "at least 1";
        else if (!circle)
            allowed = rule == TraverseRule::log_tchebycheff ? "5, 6 or 7 along a side"
                                                            : "log-Tchebycheff or equal area, since no "
                                                              "log-linear rule for rectangles is provided";
        detail::throw_domain_error(where, "points", static_cast<double>(points), "", allowed);
    }
    std::vector<double> fractions = half;
    for (std::size_t i = points / 2; i-- > 0;) fractions.push_back(1.0 - half[i]);
    return fractions;
}

/// Positions that are not where the rule has them, in words.
///
/// Equation: |x_i - f_i L| > tolerance
/// Symbols:  x distance from the wall, f the rule's position, L length of the line
/// Validity: as traverse_fractions
/// @param  line  rule, shape, length > 0, distances from one wall and tolerance >= 0
/// @return one sentence for each position out of place; empty if all are in place
/// @throws DomainError if the rule has no such number of positions, or a length is out of range
/// @source ISO 3966; test: stand/traverse_test.cpp
template <Deferred...>
inline std::vector<std::string> traverse_position_flags(const TraverseLine& line) {
    constexpr auto where = "traverse_position_flags";
    const double length = detail::require_positive(where, "length", line.length.value(), "m");
    const double tolerance = detail::require_non_negative(where, "tolerance", line.tolerance.value(), "m");
    const std::vector<double> wanted = traverse_fractions(line.rule, line.shape, line.distances.size());
    std::vector<std::string> flags;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        const std::string name = "position " + std::to_string(i + 1);
        const double x = detail::require_between(where, name, line.distances[i].value(), 0.0, length, "m");
        if (std::abs(x - wanted[i] * length) <= tolerance) continue;
        flags.push_back(name + " is " + detail::number_text(1000.0 * x) + " mm from the wall; the rule has it at " +
                        detail::number_text(1000.0 * wanted[i] * length) + " mm");
    }
    return flags;
}

}   // namespace filterflow
