// SPDX-License-Identifier: BSL-1.0
// A reading of a Celsius thermometer where a thermodynamic temperature is due.
// expect g++: conversion from .double. to non-scalar type .*Temperature
// expect clang++: no viable conversion from 'double'
// at most: 8192 bytes (Boost.Units spells its types and operators out)
#include <filterflow/air/air_state.hpp>

using namespace filterflow;
using namespace filterflow::units;

AirState room_air() {
#ifdef MISTAKE
    const Temperature temperature = 21.0;
#else
    const Temperature temperature = from_celsius(21.0);
#endif
    const MoistAirConditions conditions{.temperature = temperature, .pressure = 101.3 * kPa, .relative_humidity = 0.4};
    return moist_air(conditions);
}
