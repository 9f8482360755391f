// SPDX-License-Identifier: BSL-1.0
// Filters on a home-made stand that reads nothing but a pressure. The readings are invented (Tern Lane Arts Centre,
// which does not exist).
#include <cstdio>
#include <string>
#include <vector>

#include <filterflow/stand.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const Instrument gauge = instrument(
        ManometerData{.name = "manometer", .gain_uncertainty = 0.02, .zero_uncertainty = 1 * Pa, .resolution = 1 * Pa});
    const auto read = [&](const char* name, const std::vector<double>& displayed) {   // taken out and put in again
        std::vector<Uncertain<Pressure>> repeated;
        for (const double pa : displayed) repeated.push_back(reading(gauge, Pressure(pa * Pa)));
        return PressureOnlyReading{name, mean_of_readings(repeated, std::string("scatter of ") + name)};
    };
    PressureOnlyReadings readings{.filters = {read("4-inch pleat", {61, 60, 62}),
                                              read("1-inch pleat, fine", {112, 113, 111}),
                                              read("flat pad", {44, 44, 45}),
                                              read("1-inch pleat, coarse", {90, 89, 91}),
                                              read("2-inch pleat, coarse", {62, 61, 63})},
                                  .empty_stand = read("empty stand", {18, 18, 18}).pressure};
    const auto print = [&] {
        const PressureOnlyOrder order = pressure_only_order(readings);
        for (const PressureOnlyPlace& place : order.places) {
            std::printf("%-22s reads %3.0f Pa, at least %2.0f +- %1.0f Pa", place.name.c_str(),
                        place.reading.value / Pa, place.lower_bound->value / Pa,
                        2 * (place.lower_bound->standard_uncertainty() / Pa));
            if (place.estimate) {
                std::printf(", estimated %3.0f +- %2.0f Pa (%3.0f)", place.estimate->pressure.value / Pa,
                            2 * (place.estimate->pressure.standard_uncertainty() / Pa),
                            place.estimate->pressure_with_other_shape / Pa);
            }
            for (const std::string& name : place.tied_with) std::printf(", tied with %s", name.c_str());
            std::printf("\n");
        }
        for (const std::string& words : order.rests_on) std::printf("  rests on: %s\n", words.c_str());
        for (const std::string& words : order.flags) std::printf("  but: %s\n", words.c_str());
    };

    std::printf("pressures alone\n");
    print();
    std::printf("\nwith the two ends of the fan's curve stated\n");
    readings.fan = StatedFan{.shut_off_pressure = uncertain(160 * Pa, 10 * Pa, "shut-off pressure"),
                             .free_flow = uncertain(1100 * m3_per_h, 60 * m3_per_h, "free flow"),
                             .shape = StatedFanShape::straight};
    print();
    return 0;
}
