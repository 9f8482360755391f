// SPDX-License-Identifier: BSL-1.0
#pragma once

// A gas of stated temperature [K], viscosity [Pa s] and pressure [Pa], as the tables of textbooks state theirs.

#include <filterflow/air/air_state.hpp>

namespace stated_gas {

using namespace filterflow;

inline AirState gas(double kelvin, double viscosity, double pascal = 101325) {
    AirState air = duct_design_air();
    air.temperature = Temperature::from_value(kelvin);
    air.viscosity = DynamicViscosity::from_value(viscosity);
    air.pressure = Pressure::from_value(pascal);
    return air;
}

}   // namespace stated_gas
