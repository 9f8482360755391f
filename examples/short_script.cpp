// SPDX-License-Identifier: BSL-1.0
// A filter's pressure drop at other flows and in standard air, from readings as they were noted down (invented).
#include <cstdio>
#include <vector>
#include <filterflow/core/text.hpp>
#include <filterflow/resistance/element_fit.hpp>
using namespace filterflow;
int main() {
    const AirState air = moist_air({from_fahrenheit(75), parse_quantity<Pressure>("29.4 inHg"), 0.40});
    std::vector<ElementReading> readings;
    for (const auto& [flow, dp] : {std::pair{"820 cfm", "0.16 inH2O"}, {"1210 cfm", "69 Pa"}, {"750 L/s", "103 Pa"}}) {
        readings.push_back({parse_quantity<VolumeFlow>(flow), parse_quantity<Pressure>(dp), air});
    }
    const ElementFit filter = fit_element(readings, fan_table_air());
    for (const char* flow : {"900 cfm", "1400 cfm"}) {
        const Uncertain<Pressure> drop = pressure_drop(filter, parse_quantity<VolumeFlow>(flow), fan_table_air());
        std::printf("%s: %s, standard uncertainty %s\n", flow, to_string(drop.value, "Pa", 3).c_str(),
                    to_string(drop.standard_uncertainty(), "Pa", 1).c_str());
    }
}
