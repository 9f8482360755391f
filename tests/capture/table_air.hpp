// SPDX-License-Identifier: BSL-1.0
#pragma once

// The air and the slip constants of the single-fibre reference tables.

#include <filterflow/air/air_state.hpp>
#include <filterflow/particle/slip.hpp>

namespace single_fibre_table {

inline constexpr filterflow::SlipLaw hinds_slip{1.17, 0.525, 0.78, filterflow::MeanFreePathLaw::willeke};

/// 293.15 K, viscosity 1.81e-5 Pa s, Willeke's mean free path 66 nm.
inline filterflow::AirState table_air() {
    filterflow::AirState air = filterflow::duct_design_air();
    air.viscosity = filterflow::DynamicViscosity::from_value(1.81e-5);
    air.pressure = filterflow::Pressure::from_value(101325 * 66.4 / 66.0);
    return air;
}

}   // namespace single_fibre_table
