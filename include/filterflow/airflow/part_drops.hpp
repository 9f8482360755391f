// SPDX-License-Identifier: BSL-1.0
#pragma once

// What parts beside ducts and filters usually take from the fan, where no data sheet is at hand: a place to begin, not
// a measurement. Each becomes a power law at a flow. A maker's point is better: state it as a PowerLawPart.

#include <cstddef>
#include <span>
#include <string_view>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// Parts of small systems; the rows of usual_part_drops in their order.
enum class UsualPart {
    supply_register,    ///< supply register or diffuser
    return_grille,      ///< return grille
    balancing_damper,   ///< balancing damper, open
    wet_cooling_coil,   ///< cooling coil on which water condenses
    electric_heater,    ///< electric heater or heat exchanger insert
    return_filter       ///< clean filter: the most that is allowed for on small systems
};

/// What a part usually takes at its design flow.
struct UsualPartDrop {
    UsualPart part;            ///< which
    Pressure least;            ///< lower end of the usual range
    Pressure greatest;         ///< upper end
    double exponent;           ///< n of dp ~ Q^n: 2 for what is turbulent, less for fins and fibres (common practice)
    std::string_view source;   ///< where the pressure stands
    bool from_memory;          ///< nobody looked it up
};

namespace detail {

constexpr Pressure inches(double x) { return Pressure::from_value(249.08891 * x); }
inline constexpr UsualPartDrop usual_part_rows[] = {
    {UsualPart::supply_register, inches(0.03), inches(0.03), 2.0, "residential duct-design practice", true},
    {UsualPart::return_grille, inches(0.03), inches(0.03), 2.0, "residential duct-design practice", true},
    {UsualPart::balancing_damper, inches(0.03), inches(0.03), 2.0, "residential duct-design practice", true},
    {UsualPart::wet_cooling_coil, inches(0.20), inches(0.30), 1.8, "residential duct-design practice", true},
    {UsualPart::electric_heater, inches(0.10), inches(0.20), 2.0, "practice", true},
    {UsualPart::return_filter, inches(0.10), inches(0.10), 1.4, "trade bulletin of 2018 without author: weak", false},
};

}   // namespace detail

/// What parts usually take.
///
/// Equation: none
/// Symbols:  none
/// Validity: residential sizes at design flow; a part at hand may differ by a factor of two
/// @return rows in the order of UsualPart
/// @throws nothing
/// @source a source on each row, most from memory; test: airflow/fittings_test.cpp
inline std::span<const UsualPartDrop> usual_part_drops() { return detail::usual_part_rows; }

/// A part as a power law through the middle of its usual range.
///
/// Equation: dp = p0 (Q/Q0)^n, p0 the mean of the range's ends
/// Symbols:  Q0 design flow, n exponent
/// Validity: as usual_part_drops
/// @param  part  which
/// @param  design_flow  at which it takes that [m3/s], > 0
/// @param  air  for which the flow is stated
/// @return the part
/// @throws DomainError if the flow is not > 0 or the air is not valid
/// @source as usual_part_drops; test: airflow/fittings_test.cpp
template <Deferred...>
inline PowerLawPart usual_part(UsualPart part, VolumeFlow design_flow, const AirState& air) {
    const UsualPartDrop& row = detail::usual_part_rows[static_cast<std::size_t>(part)];
    const PowerLawPart law{0.5 * (row.least + row.greatest), design_flow, row.exponent, air};
    detail::check(law, "usual_part");
    return law;
}

}   // namespace filterflow
