// SPDX-License-Identifier: BSL-1.0
#pragma once

// From the dust of the bench to the dust of the building: the mass of bench dust that raises a filter's resistance like
// a unit mass of the building's. Mineral powder or standard loading dust is not what hangs in a building's air, and the
// factor is known from a field test only. So there is no default: it is measured, or it is an assumption that says so,
// with a range that widens every life.

#include <cmath>
#include <string>
#include <utility>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/coverage.hpp>
#include <filterflow/numeric/interval.hpp>
#include <filterflow/numeric/uncertain.hpp>

namespace filterflow {

/// Mass of bench dust that loads like a unit mass of the building's dust.
struct DustTranslation {
    Uncertain<double> factor;   ///< > 0
    Interval<double> range;     ///< 95 % of a measured factor; the ends of an assumed one
    bool assumed = true;        ///< no field test stands behind it
    std::string basis;          ///< where it is from, in words
};

/// A translation factor from a field test.
///
/// Equation: range = 95 % coverage interval of the factor
/// Symbols:  none
/// Validity: for that filter, that bench dust and that building
/// @param  factor  mass of bench dust over mass of building dust at equal growth of resistance [-], > 0
/// @param  basis  which test
/// @return the translation
/// @throws DomainError if the factor or the lower end of its interval is not > 0
/// @source definition; test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustTranslation measured_translation(const Uncertain<double>& factor, std::string basis) {
    constexpr auto where = "measured_translation";
    detail::require_positive(where, "factor", factor.value, "-");
    const Interval<double> range = coverage_interval(factor);
    detail::require_positive(where, "lower end of the factor's interval", range.lower, "-");
    return {factor, range, false, std::move(basis)};
}

/// An assumed translation factor: a range, its geometric middle as the estimate.
///
/// Equation: factor = (a b)^(1/2); standard uncertainty factor ln(b/a)/(2 3^(1/2)), as of a rectangle in ln
/// Symbols:  a, b ends of the range
/// Validity: whatever the assumption is worth; results that rest on it should be shown for both ends
/// @param  range  ends [-], 0 < lower < upper
/// @param  basis  why this range, in words
/// @return the translation, marked as assumed
/// @throws DomainError if the range is not one
/// @source JCGM 100:2008, 4.3.7 (bounds only); test: loading/dust_schedule_test.cpp
template <Deferred...>
inline DustTranslation assumed_translation(const Interval<double>& range, std::string basis) {
    constexpr auto where = "assumed_translation";
    detail::require_positive(where, "range.lower", range.lower, "-");
    detail::require_positive(where, "range.upper", range.upper, "-");
    if (!(range.upper > range.lower)) {
        detail::throw_domain_error(where, "range.upper", range.upper, "-",
                                   "> range.lower = " + detail::number_text(range.lower) +
                                       ": an assumption without a range would pass for knowledge");
    }
    const double middle = std::sqrt(range.lower * range.upper);
    const double width = std::log(range.upper / range.lower) / (2.0 * std::sqrt(3.0));
    return {uncertain(middle, middle * width, "assumed dust translation"), range, true, std::move(basis)};
}

}   // namespace filterflow
