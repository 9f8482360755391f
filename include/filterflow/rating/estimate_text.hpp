// SPDX-License-Identifier: BSL-1.0
#pragma once

// The words in which a class computed from bench data may be printed.

#include <cstdio>
#include <string>
#include <string_view>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

namespace detail {

inline constexpr double rounding_of_percent = 1e-9;   // of sums of doubles; limits are applied unrounded

template <Deferred...>
inline std::string percent_text(double percent) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f", percent);
    for (char& c : text) {
        if (c == ',') c = '.';
    }
    return std::string(text) + " %";
}

}   // namespace detail

/// The words that follow every class computed from bench data.
///
/// Equation: none
/// Symbols:  none
/// Validity: face velocity > 0
/// @param  edition  standard with its edition
/// @param  face_velocity  of the bench test [m/s], > 0
/// @return "estimate from bench data by <edition> at <velocity>, not a rating"
/// @throws DomainError if the velocity is not > 0
/// @source common practice: only an accredited laboratory's test gives a rating; test: rating/estimate_text_test.cpp
template <Deferred...>
inline std::string estimate_text(std::string_view edition, const Velocity& face_velocity) {
    detail::require_positive("estimate_text", "face_velocity", face_velocity.value(), "m/s");
    char velocity[64];
    std::snprintf(velocity, sizeof velocity, "%.2f m/s (%.0f fpm)", face_velocity / units::m_per_s,
                  face_velocity / units::fpm);
    for (char& c : velocity) {
        if (c == ',') c = '.';   // whatever the locale writes
    }
    return "estimate from bench data by " + std::string(edition) + " at " + velocity + ", not a rating";
}

}   // namespace filterflow
