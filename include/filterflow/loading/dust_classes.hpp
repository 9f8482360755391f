// SPDX-License-Identifier: BSL-1.0
#pragma once

// The dust of a building by classes of size, so that each stage of an installation may stop coarse and fine dust
// differently and pass on what it does not stop.

#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// Dust of one class of size.
struct DustClass {
    SizeRange sizes;      ///< of particle
    double share = 0.0;   ///< of the mass of all dust, 0 to 1
};

/// A dust by classes, with what lies beyond them.
struct DustClasses {
    std::vector<DustClass> classes;   ///< in ascending order, shares sum to one
    double share_below = 0.0;         ///< of the mass finer than the first class, which has taken it, 0 to 1
    double share_above = 0.0;         ///< of the mass coarser than the last class, which has taken it, 0 to 1
};

namespace detail {

template <Deferred...>
inline void check(std::span<const DustClass> classes, const char* where) {
    double sum = 0.0;
    for (std::size_t i = 0; i < classes.size(); ++i) {
        const std::string name = "dust class " + std::to_string(i + 1) + ": ";
        check(classes[i].sizes, where);
        require_between(where, name + "share", classes[i].share, 0.0, 1.0, "-");
        sum += classes[i].share;
    }
    if (!classes.empty() && !(std::abs(sum - 1.0) < 1e-9)) {
        throw_domain_error(where, "sum of the dust classes' shares", sum, "-", "1");
    }
}

}   // namespace detail

/// A dust's mass by classes of size.
///
/// Equation: share_i = volume fraction of the distribution in class i; the ends take what lies beyond them
/// Symbols:  none
/// Validity: one density for all sizes. What lies beyond the classes is told, since the ends' efficiencies are taken
///           for it: of coarse dust most of the mass may lie above 10 um
/// @param  distribution  of the building's dust, by any weighting
/// @param  ranges  adjoining ranges in ascending order; shape (n), n >= 1
/// @return classes with shares that sum to one, and the shares beyond
/// @throws DomainError if there is no range, the ranges do not adjoin, or the distribution is not one
/// @source definition; test: loading/size_loading_test.cpp
template <Deferred...>
inline DustClasses dust_classes(const SizeDistribution& distribution, std::span<const SizeRange> ranges) {
    constexpr auto where = "dust_classes";
    if (ranges.empty()) detail::throw_domain_error(where, "number of ranges", 0.0, "", "at least 1");
    DustClasses result;
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        detail::check(ranges[i], where);
        if (i > 0 &&
            (ranges[i - 1].open_above || !detail::same_size(ranges[i - 1].upper.value(), ranges[i].lower.value()))) {
            detail::throw_domain_error(where, "range " + std::to_string(i + 1) + ": lower", ranges[i].lower.value(),
                                       "m", "the upper end of the range before");
        }
        result.classes.push_back({ranges[i], volume_fraction(distribution, ranges[i])});
    }
    if (ranges.front().lower.value() > 0.0) {
        result.share_below =
            volume_fraction(distribution, {.lower = {}, .upper = ranges.front().lower, .open_above = false});
    }
    if (!ranges.back().open_above) result.share_above = volume_fraction(distribution, sizes_above(ranges.back().upper));
    result.classes.front().share += result.share_below;
    result.classes.back().share += result.share_above;
    double sum = 0.0;
    for (const DustClass& c : result.classes) sum += c.share;
    for (DustClass& c : result.classes) c.share /= sum;   // rounding
    return result;
}

}   // namespace filterflow
