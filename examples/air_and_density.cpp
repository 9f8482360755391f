// SPDX-License-Identifier: BSL-1.0
// The same filter at sea level and at altitude: the viscous part of its resistance stays, the inertial part thins
// with the air. The filter is invented.
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const ElementCurve filter{70 * Pa_s_per_m3, 55 * Pa_s2_per_m6, duct_design_air()};

    std::printf("# altitude [m], pressure [kPa], density [kg/m3], viscosity [1e-5 Pa s], drop at 0.9 m3/s [Pa],\n");
    std::printf("# drop if all of it followed density [Pa]; air of 21 degC and 40 %% relative humidity\n");
    const Pressure stated = pressure_drop(filter, 0.9 * m3_per_s, duct_design_air());
    for (int altitude = 0; altitude <= 3000; altitude += 500) {
        const AirState air = moist_air({.temperature = from_celsius(21),
                                        .pressure = standard_pressure_at(altitude * m),
                                        .relative_humidity = 0.4});
        const Pressure drop = pressure_drop(filter, 0.9 * m3_per_s, air);
        std::printf("%5d %8.2f %8.4f %8.4f %8.1f %8.1f\n", altitude, air.pressure / kPa, air.density / kg_per_m3,
                    1e5 * (air.viscosity / Pa_s), drop / Pa,
                    stated / Pa * (air.density / duct_design_air().density).value());
    }

    std::printf("\n\n# standard airs: density [kg/m3], viscosity [1e-5 Pa s], drop at 0.9 m3/s [Pa]\n");
    const struct {
        const char* name;
        AirState air;
    } standards[] = {{"duct design", duct_design_air()},
                     {"fan tables, inch-pound", fan_table_air()},
                     {"fan tests", fan_test_air()},
                     {"standard atmosphere", isa_sea_level_air()}};
    for (const auto& standard : standards) {
        std::printf("\"%s\" %.4f %.4f %.1f\n", standard.name, standard.air.density / kg_per_m3,
                    1e5 * (standard.air.viscosity / Pa_s),
                    pressure_drop(filter, 0.9 * m3_per_s, standard.air) / Pa);
    }
}
