// SPDX-License-Identifier: BSL-1.0
// Temperature and pressure swapped: the aggregate names each.
// expect g++: could not convert|cannot convert
// expect clang++: no viable conversion from
// at most: 20480 bytes (Boost.Units spells its types and operators out)
#include <filterflow/air/air_state.hpp>

using namespace filterflow;
using namespace filterflow::units;

AirState room_air(Temperature temperature, Pressure pressure) {
#ifdef MISTAKE
    const MoistAirConditions conditions{.temperature = pressure, .pressure = temperature, .relative_humidity = 0.4};
#else
    const MoistAirConditions conditions{.temperature = temperature, .pressure = pressure, .relative_humidity = 0.4};
#endif
    return moist_air(conditions);
}
