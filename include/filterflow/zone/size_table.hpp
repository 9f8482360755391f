// SPDX-License-Identifier: BSL-1.0
#pragma once

// Tables over particle size: where a diameter stands between the rows. Not public.

#include <cmath>
#include <cstddef>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow::detail {

/// Between which two points of a table a diameter stands, and how far from the first, linear in ln d.
struct SizePlace {
    std::size_t before = 0;
    double way = 0.0;   // 0 at the point before, 1 at the next
};

/// The place of a diameter among points with rising diameters. Throws DomainError if it lies outside, there are fewer
/// than two points, or they are out of order.
template <class Points>
SizePlace place_in_sizes(const Points& points, Length diameter, const char* where) {
    if (points.size() < 2) {
        throw_domain_error(where, "number of points", static_cast<double>(points.size()), "", "at least 2");
    }
    for (std::size_t i = 0; i < points.size(); ++i) {
        require_positive(where, "diameter of a point", points[i].diameter.value(), "m");
        if (i > 0 && !(points[i].diameter > points[i - 1].diameter)) {
            throw_domain_error(where, "diameter of a point", points[i].diameter.value(), "m",
                               "larger than the one before");
        }
    }
    const double d = require_between(where, "diameter", diameter.value(), points.front().diameter.value(),
                                     points.back().diameter.value(), "m");
    std::size_t i = 1;
    while (i + 1 < points.size() && d > points[i].diameter.value()) ++i;
    const double least = points[i - 1].diameter.value();
    return {i - 1, std::log(d / least) / std::log(points[i].diameter.value() / least)};
}

}   // namespace filterflow::detail
