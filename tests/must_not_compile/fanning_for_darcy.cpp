// SPDX-License-Identifier: BSL-1.0
// Fanning's friction factor where Darcy's is due: a quarter of the pressure drop.
// expect g++: cannot convert|could not convert
// expect clang++: no viable conversion|cannot initialize|no matching
// at most: 8192 bytes (Boost.Units spells its types and operators out)
#include <filterflow/airflow/duct.hpp>

using namespace filterflow;
using namespace filterflow::units;

Pressure friction_of(FanningFactor fanning, const AirState& air) {
#ifdef MISTAKE
    const KnownFriction friction{.friction_factor = fanning, .length = 10 * m, .hydraulic_diameter = 0.2 * m};
#else
    const KnownFriction friction{
        .friction_factor = darcy_factor(fanning), .length = 10 * m, .hydraulic_diameter = 0.2 * m};
#endif
    return pressure_drop(friction, 5 * m_per_s, air);
}
