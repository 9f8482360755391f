// SPDX-License-Identifier: BSL-1.0
// What the air in an air handler is like: moisture by every way of stating it, the standard airs by name, altitude, and
// what altitude does to a filter's resistance. The filter is invented.
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    // One reading of a room, said in four ways: whichever instrument is at hand.
    const AirState air =
        moist_air({.temperature = from_celsius(24), .pressure = 1004 * hPa, .relative_humidity = 0.55});
    const Temperature dew = dew_point(air), wet = wet_bulb(air);
    const AirState by_dew_point =
        moist_air(DewPointConditions{.temperature = air.temperature, .dew_point = dew, .pressure = air.pressure});
    const AirState by_wet_bulb =
        moist_air(WetBulbConditions{.temperature = air.temperature, .wet_bulb = wet, .pressure = air.pressure});
    std::printf("# a room of 24 degC, 55 %%, 1004 hPa: %.2f g of water per kg of dry air, vapour %.0f Pa\n",
                1e3 * air.humidity_ratio, vapour_pressure(air) / Pa);
    std::printf("# dew point %.2f degC, wet bulb %.2f degC, enthalpy %.1f kJ/kg of dry air, %.4f kg of it per m3\n",
                to_celsius(dew), to_celsius(wet), moist_air_enthalpy(air) / kJ_per_kg,
                dry_air_density(air) / kg_per_m3);
    std::printf("# density %.4f kg/m3; by its dew point %.4f, by its wet bulb %.4f; reference formula %.4f\n",
                air.density / kg_per_m3, by_dew_point.density / kg_per_m3, by_wet_bulb.density / kg_per_m3,
                reference_density({air.temperature, air.pressure, 0.55}) / kg_per_m3);

    std::printf(
        "\n# at 101.325 kPa: temperature [degC]; density dry, at 50 %%, saturated [kg/m3]; at 50 %%: water [g/kg],\n");
    std::printf("# dew point [degC], wet bulb [degC], enthalpy [kJ/kg]; viscosity [1e-5 Pa s]\n");
    for (int celsius = -10; celsius <= 40; celsius += 5) {
        const auto at = [&](double humidity) {
            return moist_air(
                {.temperature = from_celsius(celsius), .pressure = 101325 * Pa, .relative_humidity = humidity});
        };
        const AirState half = at(0.5);
        std::printf("%4d  %.4f %.4f %.4f  %6.2f %7.2f %7.2f %7.2f  %.4f\n", celsius, at(0.0).density / kg_per_m3,
                    half.density / kg_per_m3, at(1.0).density / kg_per_m3, 1e3 * half.humidity_ratio,
                    to_celsius(dew_point(half)), to_celsius(wet_bulb(half)), moist_air_enthalpy(half) / kJ_per_kg,
                    1e5 * (half.viscosity / Pa_s));
    }

    const ElementCurve filter{70 * Pa_s_per_m3, 55 * Pa_s2_per_m6, duct_design_air()};
    std::printf(
        "\n\n# altitude [m]; pressure of the standard atmosphere and of the handbooks' short formula [kPa]; air of\n");
    std::printf(
        "# 21 degC and 40 %% there: density [kg/m3], drop of a filter at 0.9 m3/s [Pa]; drop if all of it followed\n");
    std::printf("# density [Pa]; factor on the pressure and power of a fan table for air of 70 degF [-]\n");
    const Pressure stated = pressure_drop(filter, 0.9 * m3_per_s, duct_design_air());
    for (int altitude = 0; altitude <= 3000; altitude += 500) {
        const AirState there = moist_air({.temperature = from_celsius(21),
                                          .pressure = standard_pressure_at(altitude * m),
                                          .relative_humidity = 0.4});
        std::printf("%5d  %8.3f %8.3f  %7.4f %7.1f %7.1f  %6.3f\n", altitude, there.pressure / kPa,
                    handbook_pressure_at(altitude * m) / kPa, there.density / kg_per_m3,
                    pressure_drop(filter, 0.9 * m3_per_s, there) / Pa,
                    stated / Pa * (there.density / duct_design_air().density).value(),
                    fan_density_factor({.altitude = altitude * m, .temperature = from_celsius(21)}));
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
