// SPDX-License-Identifier: BSL-1.0
#pragma once

// The dusts that filters are loaded with in tests, as standards state them: limits of the volume below given sizes.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/monotone_cubic.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// Volume of a dust below one size.
struct DustPoint {
    Length size{};          ///< > 0
    double least = 0.0;     ///< share of the volume below that size that is allowed at least, 0 to 1
    double greatest = 0.0;  ///< and at most, >= least
};

/// A dust by the limits that its standard sets.
struct TestDust {
    std::string name;                ///< what a report prints
    std::vector<DustPoint> points;   ///< sizes ascending, shares not falling; n >= 2
};

/// Parts by mass of a dust that filters are loaded with.
struct LoadingDustPart {
    std::string name;    ///< of the part
    double share = 0.0;  ///< of the mass, 0 to 1
};

namespace detail {

template <Deferred...>
inline void check(const TestDust& dust, std::string_view where) {
    if (dust.points.size() < 2) {
        throw_domain_error(where, "number of the dust's points", static_cast<double>(dust.points.size()), "",
                           "at least 2");
    }
    const DustPoint* below = nullptr;
    for (const DustPoint& point : dust.points) {
        require_positive(where, "size", point.size.value(), "m");
        require_between(where, "least share", point.least, below ? below->least : 0.0, 1.0, "-");
        require_between(where, "greatest share", point.greatest,
                        below ? std::max(below->greatest, point.least) : point.least, 1.0, "-");
        if (below && !(point.size > below->size)) {
            throw_domain_error(where, "size", point.size.value() / 1e-6, "um",
                               "> the size before, " + number_text(below->size.value() / 1e-6) + " um");
        }
        below = &point;
    }
}

/// Share of a dust's volume below a size, between its points; which: 0 least, 0.5 middle, 1 greatest of the limits.
template <Deferred...>
inline double volume_below(const TestDust& dust, double size, double which, std::string_view where) {
    const double first = dust.points.front().size.value(), last = dust.points.back().size.value();
    require_between(where, "size", size / 1e-6, first / 1e-6 * (1.0 - 1e-12), last / 1e-6 * (1.0 + 1e-12), "um");
    std::vector<double> logs, shares;
    for (const DustPoint& point : dust.points) {
        logs.push_back(std::log(point.size.value()));
        shares.push_back(point.least + which * (point.greatest - point.least));
    }
    const double at = std::min(std::max(std::log(size), logs.front()), logs.back());   // rounding of the ends
    return MonotoneCubic(logs, shares).value(at);
}

}   // namespace detail

/// Share of a dust's volume below a size.
///
/// Equation: monotone cubic in ln d through the middles of the limits
/// Symbols:  d size [m]
/// Validity: from the first to the last size of the dust (throws outside: what lies below the first is not stated)
/// @param  dust  limits by size
/// @param  size  particle size [m]
/// @return share [-], 0 to 1
/// @throws DomainError if the dust is none or the size lies outside its points
/// @source interpolation of Fritsch and Butland 1984; test: particle/test_dust_test.cpp
template <Deferred...>
inline double volume_below(const TestDust& dust, const Length& size) {
    constexpr auto where = "volume_below(TestDust)";
    detail::check(dust, where);
    return detail::volume_below(dust, size.value(), 0.5, where);
}

/// Limits of the share of a dust's volume below a size.
///
/// Equation: monotone cubics in ln d through the least and the greatest shares
/// Symbols:  d size [m]
/// Validity: as volume_below; a particular dust lies anywhere between them
/// @param  dust  limits by size
/// @param  size  particle size [m]
/// @return least and greatest share [-]
/// @throws DomainError as volume_below
/// @source as volume_below; test: particle/test_dust_test.cpp
template <Deferred...>
inline Interval<double> volume_below_limits(const TestDust& dust, const Length& size) {
    constexpr auto where = "volume_below_limits(TestDust)";
    detail::check(dust, where);
    return {detail::volume_below(dust, size.value(), 0.0, where), detail::volume_below(dust, size.value(), 1.0, where)};
}

/// Share of a dust's volume in a range of size.
///
/// Equation: volume_below(upper) - volume_below(lower)
/// Symbols:  none
/// Validity: both ends inside the sizes of the dust (throws outside); one open above ends where the dust does
/// @param  dust  limits by size
/// @param  range  range of particle size
/// @return volume fraction [-], 0 to 1
/// @throws DomainError if the dust or the range is none, or the range lies outside the dust's points
/// @source as volume_below; test: particle/test_dust_test.cpp
template <Deferred...>
inline double volume_fraction(const TestDust& dust, const SizeRange& range) {
    constexpr auto where = "volume_fraction(TestDust)";
    detail::check(dust, where);
    detail::check(range, where);
    const double upper = range.open_above ? dust.points.back().size.value() : range.upper.value();
    return detail::volume_below(dust, upper, 0.5, where) - detail::volume_below(dust, range.lower.value(), 0.5, where);
}

/// Ultrafine test dust, ISO 12103-1 A1.
///
/// Equation: limits of the volume below six sizes, 0.97 to 22 um
/// Symbols:  none
/// Validity: a convention of the standard. Silica dust that can be breathed harms lungs: handle it by the rules
/// @return the dust
/// @throws nothing
/// @source ISO 12103-1, as a page of test dust data quotes it (second-hand); test: particle/test_dust_test.cpp
template <Deferred...>
inline TestDust ultrafine_test_dust() {
    using units::um;
    return {.name = "ultrafine test dust, ISO 12103-1 A1",
            .points = {{0.97 * um, 0.03, 0.05}, {1.38 * um, 0.07, 0.10}, {2.75 * um, 0.23, 0.27},
                       {5.5 * um, 0.65, 0.69}, {11 * um, 0.955, 0.975}, {22 * um, 1.0, 1.0}}};
}

/// Fine test dust, ISO 12103-1 A2: most of the dust that filters are loaded with.
///
/// Equation: limits of the volume below ten sizes, 0.97 to 176 um
/// Symbols:  none
/// Validity: as ultrafine_test_dust; the figures are from memory and not verified
/// @return the dust
/// @throws nothing
/// @source ISO 12103-1 (from memory, not verified); test: particle/test_dust_test.cpp
template <Deferred...>
inline TestDust fine_test_dust() {
    using units::um;
    return {.name = "fine test dust, ISO 12103-1 A2 (from memory)",
            .points = {{0.97 * um, 0.045, 0.055},
                       {1.38 * um, 0.080, 0.095},
                       {2.75 * um, 0.213, 0.233},
                       {5.5 * um, 0.395, 0.425},
                       {11 * um, 0.57, 0.595},
                       {22 * um, 0.735, 0.76},
                       {44 * um, 0.895, 0.915},
                       {88 * um, 0.979, 0.989},
                       {124.5 * um, 0.99, 1.0},
                       {176 * um, 1.0, 1.0}}};
}

/// Parts of the dust that ANSI/ASHRAE 52.2 loads filters with.
///
/// Equation: 0.72 fine test dust, 0.23 powdered carbon, 0.05 milled cotton linters, by mass
/// Symbols:  none
/// Validity: a convention of the standard; no size distribution of the whole is stated
/// @return the parts; shape (3), shares sum to one
/// @throws nothing
/// @source ANSI/ASHRAE 52.1 and 52.2, composition (from memory); test: particle/test_dust_test.cpp
template <Deferred...>
inline std::vector<LoadingDustPart> loading_dust_parts() {
    return {{"fine test dust, ISO 12103-1 A2", 0.72}, {"powdered carbon", 0.23}, {"milled cotton linters", 0.05}};
}

}   // namespace filterflow
