// SPDX-License-Identifier: BSL-1.0
#pragma once

// Share of the outdoor particles that passes the cracks of a building with the air that leaks in.

#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/zone/size_table.hpp>

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
template <Deferred...>
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
template <Deferred...>
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
template <Deferred...>
inline double crack_penetration(const PenetrationTable& table, Length diameter) {
    constexpr auto where = "crack_penetration";
    const auto& points = table.points;
    for (const PenetrationPoint& point : points) {
        detail::require_between(where, "share of a point", point.share, 0.0, 1.0, "-");
    }
    const detail::SizePlace place = detail::place_in_sizes(points, diameter, where);
    const double least = points[place.before].share;
    return least + place.way * (points[place.before + 1].share - least);
}

}   // namespace filterflow
