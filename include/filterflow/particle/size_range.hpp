// SPDX-License-Identifier: BSL-1.0
#pragma once

// Ranges of particle size, and the twelve in which the standards measure efficiency.

#include <array>
#include <cmath>
#include <string>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// A range of particle size, from lower (included) to upper (excluded).
struct SizeRange {
    Length lower{};             ///< lower end, >= 0
    Length upper{};             ///< upper end, > lower; not used where the range is open above
    bool open_above = false;    ///< true: whatever is larger than lower, upper end unknown (top channel of a counter)
};

namespace detail {

/// Whether two sizes are one, to the rounding of a printed edge.
inline bool same_size(double a, double b) { return std::abs(a - b) <= 1e-3 * (a > b ? a : b); }

template <Deferred...>
inline void check(const SizeRange& range, std::string_view where) {
    require_non_negative(where, "range.lower", range.lower.value(), "m");
    if (range.open_above) return;
    require_positive(where, "range.upper", range.upper.value(), "m");
    if (!(range.upper > range.lower)) {
        throw_domain_error(where, "range.upper", range.upper.value() / 1e-6, "um",
                           "> range.lower = " + number_text(range.lower.value() / 1e-6) + " um");
    }
}

}   // namespace detail

/// Range that is open above: all that is larger than a threshold.
///
/// Equation: none
/// Symbols:  none
/// Validity: threshold >= 0
/// @param  lower  threshold [m], >= 0
/// @return the open range
/// @throws DomainError if the threshold is negative or not finite
/// @source definition; test: particle/size_range_test.cpp
template <Deferred...>
inline SizeRange sizes_above(const Length& lower) {
    const SizeRange range{.lower = lower, .upper = {}, .open_above = true};
    detail::check(range, "sizes_above");
    return range;
}

/// Geometric mean size of a range, by which the standards stand for it.
///
/// Equation: d = sqrt(d_lower d_upper)
/// Symbols:  d_lower, d_upper ends of the range [m]
/// Validity: closed ranges with lower > 0; an open range has no mean size and is refused
/// @param  range  closed range of particle size
/// @return geometric mean size [m]
/// @throws DomainError if the range is open above, or its ends are not 0 < lower < upper
/// @source ANSI/ASHRAE 52.2-2017, size ranges (from memory); test: particle/size_range_test.cpp
template <Deferred...>
inline Length geometric_mean(const SizeRange& range) {
    constexpr auto where = "geometric_mean(SizeRange)";
    detail::check(range, where);
    if (range.open_above) {
        throw DomainError(std::string(where) + ": the range above " +
                          detail::number_text(range.lower / units::um) +
                          " um is open, its upper end unknown; required: a closed range");
    }
    detail::require_positive(where, "range.lower", range.lower.value(), "m");
    return Length::from_value(std::sqrt(range.lower.value() * range.upper.value()));
}

/// Whether two ranges are the same, to the rounding of printed edges (0.1 %). An open range is the same only as
/// an open one.
///
/// Equation: |a - b| <= 0.001 max(a, b) for both ends
/// Symbols:  a, b ends of the two ranges [m]
/// Validity: any ranges
/// @param  a  range
/// @param  b  range
/// @return true if they are the same
/// @throws nothing
/// @source definition; test: particle/size_range_test.cpp
template <Deferred...>
inline bool same_range(const SizeRange& a, const SizeRange& b) {
    if (a.open_above != b.open_above || !detail::same_size(a.lower.value(), b.lower.value())) return false;
    return a.open_above || detail::same_size(a.upper.value(), b.upper.value());
}

/// Text of a range in micrometres: "0.3-0.4 um", "above 2.5 um".
///
/// Equation: none
/// Symbols:  none
/// Validity: any range
/// @param  range  range of particle size
/// @return text
/// @throws nothing
/// @source definition; test: particle/size_range_test.cpp
template <Deferred...>
inline std::string range_text(const SizeRange& range) {
    const std::string lower = detail::number_text(range.lower / units::um);
    if (range.open_above) return "above " + lower + " um";
    return lower + "-" + detail::number_text(range.upper / units::um) + " um";
}

/// The twelve size ranges from 0.3 to 10 um in which ANSI/ASHRAE 52.2 and ISO 16890-2 measure efficiency.
///
/// Equation: none
/// Symbols:  none
/// Validity: optical size of the test aerosol of the standards
/// @return the ranges, smallest first; shape (12)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2 size ranges; test: particle/size_range_test.cpp
template <Deferred...>
inline std::array<SizeRange, 12> minimum_efficiency_size_ranges() {
    constexpr std::array<double, 13> edges{0.3, 0.4, 0.55, 0.7, 1.0, 1.3, 1.6, 2.2, 3.0, 4.0, 5.5, 7.0, 10.0};
    std::array<SizeRange, 12> ranges;
    for (std::size_t i = 0; i < 12; ++i) {
        ranges[i].lower = edges[i] * units::um;
        ranges[i].upper = edges[i + 1] * units::um;
    }
    return ranges;
}

}   // namespace filterflow
