// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether a value lies in the range that a model's source states, and if not, which limit it crossed and by how much.

#include <cmath>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>

namespace filterflow {

/// A limit of a stated range.
enum class RangeLimit {
    none,      ///< none is crossed
    least,     ///< the value lies below the range
    greatest   ///< the value lies above the range
};

/// A value beside the range that a model is stated for.
struct RangeStatus {
    std::string_view quantity;              ///< which, as in "solidity"
    std::string_view unit;                  ///< of the three numbers; "-" for none
    double value = 0.0;                     ///< of the evaluation, finite
    double least = 0.0;                     ///< of the range, inclusive
    double greatest = 0.0;                  ///< of the range, inclusive; may be infinite
    RangeLimit crossed = RangeLimit::none;  ///< limit between the value and the range
    double beyond = 0.0;   ///< distance to the limit crossed over that limit, >= 0 (0.1: 10 % past it); 0 inside

    constexpr bool inside() const { return crossed == RangeLimit::none; }
};

/// How a value stands to a stated range.
///
/// Equation: beyond = 1 - x/least below the range, x/greatest - 1 above it, 0 inside
/// Symbols:  x value; least, greatest limits of the range
/// Validity: any finite value
/// @param  status  quantity, unit, value, least >= 0, greatest > least (may be infinite); the rest is not read
/// @return the same with the limit crossed and by how much
/// @throws DomainError if the value is not finite or the limits are no range
/// @source none needed; test: media/fibre_permeability_test.cpp
template <Deferred...>
inline RangeStatus range_status(RangeStatus status) {
    constexpr auto where = "range_status";
    detail::require_finite(where, status.quantity, status.value, status.unit);
    detail::require_non_negative(where, "least", status.least, status.unit);
    if (!(status.greatest > status.least)) {
        detail::throw_domain_error(where, "greatest", status.greatest, status.unit, "> least");
    }
    if (status.value < status.least) {
        status.crossed = RangeLimit::least;
        status.beyond = 1.0 - status.value / status.least;
    } else if (status.value > status.greatest) {
        status.crossed = RangeLimit::greatest;
        status.beyond = status.value / status.greatest - 1.0;
    } else {
        status.crossed = RangeLimit::none;
        status.beyond = 0.0;
    }
    return status;
}

}   // namespace filterflow
