// SPDX-License-Identifier: BSL-1.0
#pragma once

// The value of Appendix J of ANSI/ASHRAE 52.2: efficiencies after conditioning with a fine salt aerosol, which takes
// from a charged medium what its charge adds. A type and words of its own: it is not the plain value.

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/numeric/uncertain.hpp>
#include <filterflow/rating/composite_minimum.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/minimum_efficiency.hpp>

namespace filterflow {

/// The curves of a test with the conditioning of Appendix J.
struct AerosolConditionedCurves {
    FractionalEfficiency clean;                       ///< before any aerosol or dust
    std::vector<FractionalEfficiency> conditioned;    ///< after each step of the conditioning aerosol, at least one
    std::vector<FractionalEfficiency> loaded;         ///< at 25, 50, 75 and 100 % of the resistance's rise
};

/// What the data say of the value with the conditioning of Appendix J; a value 8 in it is written 8-A.
struct ConditionedMinimumEfficiency {
    MinimumEfficiencyRating with_aerosol_conditioning;   ///< its limits and reasons name E1-A, E2-A, E3-A
};

namespace detail {

template <Deferred...>
inline void mark_conditioned(std::string& text) {
    for (const char* plain : {"E1 (", "E2 (", "E3 ("}) {
        for (auto at = text.find(plain); at != std::string::npos; at = text.find(plain, at + 4)) {
            text.insert(at + 2, "-A");
        }
    }
    for (auto value = text.find(", value "); value != std::string::npos; value = text.find(", value ", value + 8)) {
        if (const auto end = text.find(" requires", value); end != std::string::npos) text.insert(end, "-A");
    }
}

}   // namespace detail

/// Minimum efficiency reporting value with the optional conditioning of Appendix J.
///
/// Equation: as minimum_efficiency_rating of composite_minimum of all curves
/// Symbols:  as there
/// Validity: as there. The curve after the dust conditioning step of the plain test has no place here, the curves after
///           the salt aerosol have none there.
/// @param  curves  clean, after each step of the aerosol, loaded
/// @param  average_arrestance  by mass [-], from 0 to 1; none: not measured
/// @param  rule  edition and rounding
/// @return as minimum_efficiency_rating, in a type of its own
/// @throws DomainError if there is no conditioned curve, or as minimum_efficiency_rating
/// @source ANSI/ASHRAE 52.2-2017, Appendix J (from memory); test: rating/minimum_efficiency_editions_test.cpp
template <Deferred...>
inline ConditionedMinimumEfficiency conditioned_minimum_efficiency(
    const AerosolConditionedCurves& curves, const std::optional<Uncertain<double>>& average_arrestance = std::nullopt,
    const MinimumEfficiencyRule& rule = {}) {
    if (curves.conditioned.empty()) {
        detail::throw_domain_error("conditioned_minimum_efficiency", "number of conditioned curves", 0.0, "",
                                   ">= 1; without one this would be the plain value");
    }
    std::vector<FractionalEfficiency> all{curves.clean};
    all.insert(all.end(), curves.conditioned.begin(), curves.conditioned.end());
    all.insert(all.end(), curves.loaded.begin(), curves.loaded.end());
    ConditionedMinimumEfficiency result{detail::composite_rating(composite_minimum(all), average_arrestance, rule)};
    MinimumEfficiencyRating& rating = result.with_aerosol_conditioning;
    if (curves.loaded.size() < 4) rating.missing.push_back(detail::loaded_curves_missing(curves.loaded.size()));
    rating.upper_bound = curves.loaded.size() < 4;
    detail::mark_conditioned(rating.governing_limit);
    detail::mark_conditioned(rating.next_limit);
    for (std::string& reason : rating.reasons) detail::mark_conditioned(reason);
    for (ClassProbability& c : rating.probabilities) {
        const auto range = c.name.find(" to ");
        if (range != std::string::npos) c.name.insert(range, "-A");
        c.name += "-A";
    }
    return result;
}

/// How a value with the conditioning of Appendix J may be printed; its words differ from those of the plain value.
///
/// Equation: none
/// Symbols:  none
/// Validity: any result of conditioned_minimum_efficiency
/// @param  result  of conditioned_minimum_efficiency
/// @param  face_velocity  at which the efficiencies were measured [m/s], > 0
/// @return one sentence; it says so where the velocity is none of the standard's
/// @throws DomainError if the velocity is not > 0
/// @source ANSI/ASHRAE 52.2-2017, Appendix J (from memory); test: rating/minimum_efficiency_editions_test.cpp
template <Deferred...>
inline std::string conditioned_minimum_efficiency_text(const ConditionedMinimumEfficiency& result,
                                                       const Velocity& face_velocity) {
    const MinimumEfficiencyRating& rating = result.with_aerosol_conditioning;
    const std::string basis =
        estimate_text(detail::edition_text(rating.rule) + ", Appendix J (after conditioning with salt aerosol)",
                      face_velocity) +
        detail::other_velocity_text(face_velocity);
    const std::string name = "conditioned minimum efficiency reporting value ";
    if (!rating.lowest) return name + "not determinable from these sizes; it would be an " + basis;
    return name + detail::value_text(rating, "-A") + ": " + basis;
}

}   // namespace filterflow
