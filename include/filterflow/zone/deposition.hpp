// SPDX-License-Identifier: BSL-1.0
#pragma once

// How fast particles settle and stick to the surfaces of furnished rooms, as measured in houses. Theory of smooth walls
// stays far below these figures under 1 um, so a table is the honest start; houses differ by factors of two and more.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/zone/size_table.hpp>

namespace filterflow {

/// One measured deposition rate.
struct DepositionPoint {
    Length diameter;   ///< of the particles
    Rate rate;         ///< loss to surfaces
};

/// Measured deposition rates over particle size.
struct DepositionTable {
    std::string name;                      ///< where it was measured, as printed
    std::vector<DepositionPoint> points;   ///< by rising diameter, at least two
};

/// Deposition in two furnished houses: the ends of the published range.
///
/// Equation: 0.1 1/h at 0.1 um, 5 1/h at 10 um
/// Symbols:  none
/// Validity: 0.1 to 10 um; between the ends deposition_rate interpolates, which is our assumption
/// @return table
/// @throws nothing
/// @source Thatcher, Lunden, Revzan, Sextro, Brown 2003, Aerosol Sci. Technol. 37:847 (abstract); test:
///         zone/deposition_test.cpp
template <Deferred...>
inline DepositionTable deposition_in_two_houses() {
    using namespace units;
    return {"two houses (Thatcher and others 2003)", {{0.1 * um, 0.1 * per_h}, {10 * um, 5.0 * per_h}}};
}

/// Whether the central fan of the house ran while deposition was measured.
enum class CentralFan {
    off,   ///< still air
    on     ///< the fan about doubles deposition below 5 um and adds 2 1/h above
};

/// Deposition in an occupied townhouse: the ends of the published range.
///
/// Equation: fan off 0.3 1/h at 0.3 to 0.5 um, 5.2 1/h at 10 um and larger; fan on twice the first, the second plus 2
///           1/h
/// Symbols:  none
/// Validity: 0.39 to 10 um (the geometric mean of the smallest band to the edge of the largest); between the ends
///           deposition_rate interpolates, which is our assumption
/// @param  fan  whether the central fan runs, with an ordinary filter
/// @return table
/// @throws nothing
/// @source Howard-Reed, Wallace, Emmerich 2003, Atmos. Environ. 37:5295 (abstract); test: zone/deposition_test.cpp
template <Deferred...>
inline DepositionTable deposition_in_a_townhouse(CentralFan fan) {
    using namespace units;
    const bool on = fan == CentralFan::on;
    return {on ? "townhouse, fan on (Howard-Reed and others 2003)" : "townhouse, fan off (Howard-Reed and others 2003)",
            {{std::sqrt(0.3 * 0.5) * um, (on ? 0.6 : 0.3) * per_h}, {10 * um, (on ? 7.2 : 5.2) * per_h}}};
}

/// Deposition rate at a particle size, from a table.
///
/// Equation: ln k linear in ln d between neighbouring points
/// Symbols:  k rate [1/s], d diameter [m]
/// Validity: diameters of the table; no extrapolation (throws)
/// @param  table  measured rates by rising diameter
/// @param  diameter  of the particles [m]
/// @return deposition rate [1/s]
/// @throws DomainError if the diameter lies outside the table, or the table has fewer than two points, points out of
///         order or a rate that is not > 0
/// @source interpolation of the table's source; test: zone/deposition_test.cpp
template <Deferred...>
inline Rate deposition_rate(const DepositionTable& table, Length diameter) {
    constexpr auto where = "deposition_rate";
    const auto& points = table.points;
    for (const DepositionPoint& point : points) {
        detail::require_positive(where, "rate of a point", point.rate.value(), "1/s");
    }
    const detail::SizePlace place = detail::place_in_sizes(points, diameter, where);
    const double y0 = std::log(points[place.before].rate.value());
    const double y1 = std::log(points[place.before + 1].rate.value());
    return Rate::from_value(std::exp(y0 + (y1 - y0) * place.way));
}

}   // namespace filterflow
