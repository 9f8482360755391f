// SPDX-License-Identifier: BSL-1.0
#pragma once

// The face velocities and the loading steps at which ANSI/ASHRAE 52.2 tests.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <string>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// The resistances at which a loading test measures efficiency again.
struct LoadingSteps {
    Pressure conditioned_at_most{};      ///< the conditioning step ends here, or when 30 g are fed
    std::array<Pressure, 4> loaded{};    ///< at 25, 50, 75 and 100 % of the rise
};

/// The face velocities of ANSI/ASHRAE 52.2, one of which a test goes by.
///
/// Equation: none
/// Symbols:  none
/// Validity: a filter of 24 by 24 inches; a value at another velocity is none of the standard's
/// @return velocities [m/s], slowest first; shape (7)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2-1999 to -2007, Table 12-1, as a reprint has it;
///         test: rating/minimum_efficiency_editions_test.cpp
template <Deferred...>
inline std::array<Velocity, 7> minimum_efficiency_test_velocities() {
    std::array<Velocity, 7> velocities;
    constexpr std::array<double, 7> fpm{118, 246, 295, 374, 492, 630, 748};
    for (std::size_t i = 0; i < 7; ++i) velocities[i] = fpm[i] * units::fpm;
    return velocities;
}

/// Least final resistance to which a filter of a minimum efficiency reporting value is loaded.
///
/// Equation: 75 Pa from 1 to 4, 150 Pa from 5 to 8, 250 Pa from 9 to 12, 350 Pa from 13 to 16
/// Symbols:  none
/// Validity: values 1 to 16; twice the initial resistance where that is more
/// @param  value  minimum efficiency reporting value, 1 to 16
/// @return pressure difference [Pa]
/// @throws DomainError if the value is not from 1 to 16
/// @source ANSI/ASHRAE 52.2-1999 to -2007, Table 12-1, as a reprint has it in inches of water (0.3, 0.6, 1.0, 1.4),
///         pascals from memory; test: rating/minimum_efficiency_editions_test.cpp
template <Deferred...>
inline Pressure least_final_resistance(int value) {
    detail::require_between("least_final_resistance", "value", static_cast<double>(value), 1.0, 16.0, "-");
    return (value <= 4 ? 75.0 : value <= 8 ? 150.0 : value <= 12 ? 250.0 : 350.0) * units::Pa;
}

/// The resistances at which a loading test by ANSI/ASHRAE 52.2 measures efficiency after the clean curve.
///
/// Equation: dp_k = dp_0 + k (dp_f - dp_0), k = 0.25, 0.5, 0.75, 1; conditioning up to dp_0 + 10 Pa
/// Symbols:  dp_0 initial, dp_f final resistance [Pa]
/// Validity: dp_f at least twice dp_0 (see also least_final_resistance); six curves make a composite minimum: clean,
///           conditioned and these four
/// @param  initial  resistance of the clean filter at the test velocity [Pa], > 0
/// @param  final_resistance  to which it is loaded [Pa], >= twice the initial
/// @return the steps [Pa]
/// @throws DomainError if the initial resistance is not > 0, or the final one is below twice that
/// @source ANSI/ASHRAE 52.2 (steps from memory; twice the initial resistance read in the 2015 errata to the 2012
///         edition); test: rating/minimum_efficiency_editions_test.cpp
template <Deferred...>
inline LoadingSteps loading_steps(const Pressure& initial, const Pressure& final_resistance) {
    constexpr auto where = "loading_steps";
    const double first = detail::require_positive(where, "initial", initial.value(), "Pa");
    const double last = detail::require_finite(where, "final_resistance", final_resistance.value(), "Pa");
    if (!(last >= 2.0 * first)) {
        detail::throw_domain_error(where, "final_resistance", last, "Pa",
                                   ">= twice the initial, " + detail::number_text(2.0 * first) + " Pa");
    }
    LoadingSteps steps;
    steps.conditioned_at_most = Pressure::from_value(first + 10.0);
    for (std::size_t k = 0; k < 4; ++k) {
        steps.loaded[k] = Pressure::from_value(first + 0.25 * static_cast<double>(k + 1) * (last - first));
    }
    return steps;
}

namespace detail {

inline const char* conditioned_curve_missing() {
    return "curve after the conditioning step; without it a charged filter looks better than it is";
}
template <Deferred...>
inline std::string loaded_curves_missing(std::size_t given) {
    return "curves at 25, 50, 75 and 100 % of the resistance's rise (" + std::to_string(given) + " given)";
}

/// What follows a value told at a velocity that is none of the standard's; empty where it is one, to 1 %.
template <Deferred...>
inline std::string other_velocity_text(const Velocity& face_velocity) {
    Velocity nearest{};
    double least = HUGE_VAL;
    for (const Velocity& v : minimum_efficiency_test_velocities()) {
        const double off = std::abs(std::log(face_velocity.value() / v.value()));
        if (off < least) {
            least = off;
            nearest = v;
        }
    }
    if (least <= 0.01) return "";
    char text[80];
    std::snprintf(text, sizeof text, " (not a test velocity of the standard; the nearest is %.0f fpm)",
                  nearest / units::fpm);
    return text;
}

}   // namespace detail

}   // namespace filterflow
