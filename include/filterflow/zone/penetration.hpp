// SPDX-License-Identifier: BSL-1.0
#pragma once

// Share of the outdoor particles that passes the cracks of a building with the air that leaks in.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// One penetration through cracks.
struct PenetrationPoint {
    Length diameter;      ///< of the particles
    double share = 0.0;   ///< that passes, 0 to 1
};

/// Penetration through cracks over particle size.
struct PenetrationTable {
    std::string name;                       ///< where it was measured, as printed
    std::vector<PenetrationPoint> points;   ///< by rising diameter, at least two
};

/// Penetration into two houses: the ends of the published range.
///
/// Equation: 1 at 0.1 um, 0.3 at 10 um
/// Symbols:  none
/// Validity: 0.1 to 10 um; the source says about one for the smallest and 0.3 for the largest particles; between them
///           crack_penetration interpolates, which is our assumption
/// @return table
/// @throws nothing
/// @source Thatcher, Lunden, Revzan, Sextro, Brown 2003, Aerosol Sci. Technol. 37:847 (abstract); test:
///         zone/deposition_test.cpp
inline PenetrationTable penetration_in_two_houses() {
    using namespace units;
    return {"two houses (Thatcher and others 2003)", {{0.1 * um, 1.0}, {10 * um, 0.3}}};
}

/// One penetration for all sizes from 0.1 to 10 um.
///
/// Equation: P = constant
/// Symbols:  P penetration
/// Validity: a mean over the sizes in question; 0.78 +- 0.17 was found for 0.1 to 1 um (Chen and Zhao 2021, abstract)
/// @param  share  that passes [-], 0 to 1
/// @return table
/// @throws DomainError if the share is not from 0 to 1
/// @source definition; test: zone/deposition_test.cpp
inline PenetrationTable penetration_of_all_sizes(double share) {
    using namespace units;
    detail::require_between("penetration_of_all_sizes", "share", share, 0.0, 1.0, "-");
    return {"the same for all sizes", {{0.1 * um, share}, {10 * um, share}}};
}

/// Penetration through cracks at a particle size, from a table.
///
/// Equation: P linear in ln d between neighbouring points
/// Symbols:  P penetration, d diameter [m]
/// Validity: diameters of the table; no extrapolation (throws)
/// @param  table  penetrations by rising diameter
/// @param  diameter  of the particles [m]
/// @return share that passes [-], 0 to 1
/// @throws DomainError if the diameter lies outside the table, or the table has fewer than two points, points out of
///         order or a share that is not from 0 to 1
/// @source interpolation of the table's source; test: zone/deposition_test.cpp
inline double crack_penetration(const PenetrationTable& table, Length diameter) {
    constexpr auto where = "crack_penetration";
    const auto& points = table.points;
    if (points.size() < 2) {
        detail::throw_domain_error(where, "number of points", static_cast<double>(points.size()), "", "at least 2");
    }
    for (std::size_t i = 0; i < points.size(); ++i) {
        detail::require_between(where, "share of a point", points[i].share, 0.0, 1.0, "-");
        detail::require_positive(where, "diameter of a point", points[i].diameter.value(), "m");
        if (i > 0 && !(points[i].diameter > points[i - 1].diameter)) {
            detail::throw_domain_error(where, "diameter of a point", points[i].diameter.value(), "m",
                                       "larger than the one before");
        }
    }
    const double d = detail::require_between(where, "diameter", diameter.value(), points.front().diameter.value(),
                                             points.back().diameter.value(), "m");
    std::size_t i = 1;
    while (i + 1 < points.size() && d > points[i].diameter.value()) ++i;
    const double x = std::log(d / points[i - 1].diameter.value()) /
                     std::log(points[i].diameter.value() / points[i - 1].diameter.value());
    return points[i - 1].share + x * (points[i].share - points[i - 1].share);
}

}   // namespace filterflow
