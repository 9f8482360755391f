// SPDX-License-Identifier: BSL-1.0
#pragma once

// Flow from a traverse: velocities (or velocity pressures of a Pitot-static tube) at the positions of a rule that
// gives every position the same weight.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/stand/traverse_positions.hpp>

namespace filterflow {

/// Where a traverse is made and by which rule. Copies are the same traverse section and share the rule's error.
struct TraverseSection {
    TraverseRule rule = TraverseRule::log_tchebycheff;    ///< how the positions are laid out
    SectionShape shape = SectionShape::rectangle;         ///< of the duct
    Uncertain<Length> diameter{};                         ///< circle: inner diameter, > 0
    std::size_t points_per_diameter = 0;                  ///< circle: positions on each diameter
    std::size_t diameters = 2;                            ///< circle: diameters traversed, evenly turned, >= 1
    Uncertain<Length> width{};                            ///< rectangle: inner width, > 0
    Uncertain<Length> height{};                           ///< rectangle: inner height, > 0
    std::size_t points_along_width = 0;                   ///< rectangle: positions along the width
    std::size_t points_along_height = 0;                  ///< rectangle: positions along the height
    double rule_uncertainty = 0.01;                       ///< standard uncertainty of the rule's mean, relative, >= 0
    InputHandle rule_input = elementary_input("traverse rule", 1.0);   ///< the rule's error in units of that
                                                          ///< uncertainty; shared by all traverses of the section
};

/// One position of a traverse.
struct TraversePoint {
    std::size_t line = 0;   ///< which diameter, or which row from the bottom, counted from zero
    Length depth{};         ///< along that line, from the wall where the line begins
    Length x{};             ///< from the left of the section
    Length y{};             ///< from the bottom of the section
};

/// A flow found by a traverse.
struct TraverseFlow {
    Uncertain<VolumeFlow> flow;             ///< in the air of the readings
    Uncertain<Velocity> mean_velocity;      ///< over the section
    std::vector<std::string> flags;         ///< what speaks against the section, in words
};

namespace detail {

/// Number of readings that a checked section has.
template <Deferred...>
inline std::size_t traverse_size(const TraverseSection& section, const char* where) {
    require_non_negative(where, "rule_uncertainty", section.rule_uncertainty, "-");
    if (section.shape == SectionShape::circle) {
        require_positive(where, "diameter", section.diameter.value.value(), "m");
        if (section.diameters == 0) throw_domain_error(where, "diameters", 0.0, "", "at least 1");
        return section.diameters * traverse_fractions(section.rule, section.shape, section.points_per_diameter).size();
    }
    require_positive(where, "width", section.width.value.value(), "m");
    require_positive(where, "height", section.height.value.value(), "m");
    return traverse_fractions(section.rule, section.shape, section.points_along_width).size() *
           traverse_fractions(section.rule, section.shape, section.points_along_height).size();
}

template <Deferred...>
inline Uncertain<double> traverse_area(const TraverseSection& section) {
    constexpr double pi = 3.141592653589793;
    if (section.shape == SectionShape::circle) {
        const double d = section.diameter.value.value();
        Uncertain<double> area(pi / 4.0 * d * d);
        area.gradient.add(section.diameter.gradient, pi / 2.0 * d);
        return area;
    }
    const double w = section.width.value.value();
    const double h = section.height.value.value();
    Uncertain<double> area(w * h);
    area.gradient.add(section.width.gradient, h);
    area.gradient.add(section.height.gradient, w);
    return area;
}

}   // namespace detail

/// The positions of a traverse, line by line: the order in which its readings are handed over.
///
/// Equation: as traverse_fractions, along each line; diameter k of n is turned by k pi/n from the horizontal
/// Symbols:  none
/// Validity: numbers of positions that the rule has
/// @param  section  shape, size, rule and number of positions
/// @return positions; shape (diameters * points_per_diameter) or (points_along_height * points_along_width)
/// @throws DomainError if a size is not > 0 or the rule has no such number of positions
/// @source ISO 3966; test: stand/traverse_test.cpp
template <Deferred...>
inline std::vector<TraversePoint> traverse_points(const TraverseSection& section) {
    constexpr double pi = 3.141592653589793;
    constexpr auto where = "traverse_points";
    std::vector<TraversePoint> points;
    points.reserve(detail::traverse_size(section, where));
    if (section.shape == SectionShape::circle) {
        const double d = section.diameter.value.value();
        const std::vector<double> along = traverse_fractions(section.rule, section.shape, section.points_per_diameter);
        for (std::size_t line = 0; line < section.diameters; ++line) {
            const double angle = pi * static_cast<double>(line) / static_cast<double>(section.diameters);
            for (const double fraction : along) {
                const double from_centre = (fraction - 0.5) * d;
                points.push_back({line, Length::from_value(fraction * d),
                                  Length::from_value(0.5 * d + from_centre * std::cos(angle)),
                                  Length::from_value(0.5 * d + from_centre * std::sin(angle))});
            }
        }
        return points;
    }
    const std::vector<double> across = traverse_fractions(section.rule, section.shape, section.points_along_width);
    const std::vector<double> up = traverse_fractions(section.rule, section.shape, section.points_along_height);
    for (std::size_t row = 0; row < up.size(); ++row) {
        for (const double fraction : across) {
            const Length x = Length::from_value(fraction * section.width.value.value());
            points.push_back({row, x, x, Length::from_value(up[row] * section.height.value.value())});
        }
    }
    return points;
}

/// Velocity at the tip of a Pitot-static tube.
///
/// Equation: v = sqrt(2 p_v/rho)
/// Symbols:  p_v velocity pressure [Pa], rho density [kg/m3], v velocity [m/s]
/// Validity: incompressible (below about 60 m/s the error is under 1 %), tube aligned with the flow, factor one
/// @param  velocity_pressure  total less static pressure [Pa], >= 0
/// @param  air  air at the tube
/// @return velocity [m/s]
/// @throws DomainError if the velocity pressure is < 0 or the density is not > 0
/// @source Bernoulli; ISO 3966; test: stand/traverse_test.cpp
template <class T>
BasicVelocity<T> pitot_velocity(const BasicPressure<T>& velocity_pressure, const BasicAirState<T>& air) {
    using std::sqrt;
    constexpr auto where = "pitot_velocity";
    const T p = detail::require_non_negative(where, "velocity_pressure", velocity_pressure.value(), "Pa");
    const T density = detail::require_positive(where, "air density", air.density.value(), "kg/m3");
    return BasicVelocity<T>::from_value(sqrt(T(2.0) * p / density));
}
template <Deferred...>
inline Velocity pitot_velocity(const Pressure& velocity_pressure, const AirState& air) {
    return pitot_velocity<double>(velocity_pressure, air);
}

/// Flow through the section of a traverse from velocities at its positions.
///
/// Equation: Q = A mean(v_i)
/// Symbols:  A area of the section, v velocities
/// Validity: steady flow along the duct. Flagged: fewer than three quarters of the velocity pressures above a tenth
///           of the greatest (a section too disturbed to trust)
/// @param  section  shape, size, rule and number of positions
/// @param  velocities  at traverse_points, in that order [m/s], >= 0; shape (number of positions)
/// @return flow, mean velocity and flags; the uncertainty has the readings, the sizes and the rule
/// @throws DomainError if the number of readings is not the rule's, a velocity is < 0 (reversed flow: another
///         section is needed), or all are zero
/// @source ISO 3966; evenness from memory of ANSI/ASHRAE 111; the rule's 1 % from memory of ISO 3966 (2 % at 95 %
///         for the whole method); test: stand/traverse_test.cpp
template <Deferred...>
inline TraverseFlow traverse_flow(const TraverseSection& section, std::span<const Uncertain<Velocity>> velocities) {
    constexpr auto where = "traverse_flow";
    const std::size_t n = detail::traverse_size(section, where);
    if (velocities.size() != n) {
        detail::throw_domain_error(where, "number of readings", static_cast<double>(velocities.size()), "",
                                   "one for each of the " + std::to_string(n) + " positions of the rule");
    }
    Uncertain<double> mean(0.0);
    double greatest = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double v = detail::require_non_negative(where, "velocity " + std::to_string(i + 1) +
                                                      " (reversed flow needs another section)",
                                                      velocities[i].value.value(), "m/s");
        mean.value += v / static_cast<double>(n);
        mean.gradient.add(velocities[i].gradient, 1.0 / static_cast<double>(n));
        greatest = std::max(greatest, v);
    }
    if (!(greatest > 0.0)) detail::throw_domain_error(where, "greatest velocity", greatest, "m/s", "> 0");
    mean.gradient.add(Gradient(section.rule_input), mean.value * section.rule_uncertainty);
    std::size_t strong = 0;
    for (const Uncertain<Velocity>& v : velocities) {
        if (v.value.value() * v.value.value() > 0.1 * greatest * greatest) ++strong;
    }
    TraverseFlow result;
    if (4 * strong < 3 * n) {
        result.flags.push_back("uneven flow: " + std::to_string(strong) + " of " + std::to_string(n) +
                               " velocity pressures exceed a tenth of the greatest; at least three quarters should "
                               "(from memory of ANSI/ASHRAE 111)");
    }
    const Uncertain<double> area = detail::traverse_area(section);
    result.mean_velocity = from_si<Velocity>(mean);
    result.flow.value = VolumeFlow::from_value(area.value * mean.value);
    result.flow.gradient.add(area.gradient, mean.value);
    result.flow.gradient.add(mean.gradient, area.value);
    return result;
}

/// Flow through the section of a traverse from velocity pressures at its positions: the velocities are averaged,
/// never the pressures.
///
/// Equation: Q = A mean(sqrt(2 p_i/rho))
/// Symbols:  A area of the section, p velocity pressures, rho density
/// Validity: as traverse_flow of velocities and pitot_velocity
/// @param  section  shape, size, rule and number of positions
/// @param  velocity_pressures  at traverse_points, in that order [Pa], > 0; shape (number of positions)
/// @param  air  air in the section
/// @return flow, mean velocity and flags
/// @throws DomainError as traverse_flow of velocities; a velocity pressure of zero has no uncertainty of first
///         order and is refused like a negative one (tube reversed, or too little flow to read)
/// @source ISO 3966; test: stand/traverse_test.cpp
template <Deferred...>
inline TraverseFlow traverse_flow(const TraverseSection& section,
                                  std::span<const Uncertain<Pressure>> velocity_pressures, const AirState& air) {
    constexpr auto where = "traverse_flow";
    std::vector<Uncertain<Velocity>> velocities;
    velocities.reserve(velocity_pressures.size());
    for (std::size_t i = 0; i < velocity_pressures.size(); ++i) {
        const Uncertain<Pressure>& p = velocity_pressures[i];
        detail::require_positive(where, "velocity pressure " + std::to_string(i + 1) +
                                 " (tube reversed, swirl, or too little flow to read)", p.value.value(), "Pa");
        Uncertain<Velocity> v(pitot_velocity(p.value, air));
        v.gradient.add(p.gradient, 0.5 * v.value.value() / p.value.value());
        velocities.push_back(std::move(v));
    }
    return traverse_flow(section, velocities);
}

}   // namespace filterflow
