// SPDX-License-Identifier: BSL-1.0
// A test bench whose fan slows under load: raw pressures against corrected ones.
//
// The data are invented: four filters in plain words on the bench of the Tern Lane Arts Centre, which does not exist.
// Filter 24 x 24 in, read at three damper positions; the flow comes from an inlet nozzle with a stated coefficient.
#include <cstdio>
#include <string>
#include <vector>

#include <filterflow/stand.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState air = moist_air({.temperature = from_celsius(22), .pressure = 101.0 * kPa, .relative_humidity = 0.45});

struct Displayed {
    double filter, nozzle;   // Pa: across the filter's place, nozzle
};

std::vector<StandReading> stand_readings(const std::vector<Displayed>& displayed) {
    std::vector<StandReading> readings;
    for (const Displayed& d : displayed) {
        readings.push_back({.pressure = d.filter * Pa, .element_pressure = d.nozzle * Pa, .air = air});
    }
    return readings;
}

}   // namespace

int main() {
    const Instrument gauge = instrument(ManometerData{
        .name = "manometer", .gain_uncertainty = 0.01, .zero_uncertainty = 0.3 * Pa, .resolution = 1 * Pa});
    const TestStand stand{.flow = FlowElement{.kind = FlowElementKind::stated_nozzle,
                                              .throat_diameter = uncertain(250 * mm, 0.5 * mm, "nozzle diameter"),
                                              .stated_coefficient = uncertain(0.97, 0.015, "nozzle coefficient")},
                          .manometer = gauge,
                          .flow_instrument = gauge,
                          .leakage = SealLeakage{.flow = uncertain(4 * L_per_s, 1 * L_per_s, "leak test"),
                                                 .pressure = 250 * Pa,
                                                 .effect = LeakageEffect::filter_exceeds_measured}};

    const auto empty = reduce_filter_readings(stand_readings({{47, 177}, {29, 107}, {12, 40}, {9, 28}}), stand);
    const ElementFit tare = fit_tare(empty.element_readings, duct_design_air());

    struct Filter {
        std::string name;
        std::vector<Displayed> displayed;   // damper open, half open, nearly closed
        ElementFit fit{};
    };
    std::vector<Filter> filters{{.name = "flat pad", .displayed = {{130, 139}, {92, 91}, {47, 37}}},
                                {.name = "2-inch pleat, coarse", .displayed = {{190, 113}, {140, 77}, {76, 34}}},
                                {.name = "2-inch pleat, fine", .displayed = {{245, 91}, {186, 63}, {110, 30}}},
                                {.name = "4-inch glass pack", .displayed = {{234, 96}, {186, 63}, {123, 29}}}};

    std::printf("# invented data: Tern Lane Arts Centre\n");
    std::printf("# reading, flow [m3/s], raw [Pa], net [Pa], standard uncertainty of net [Pa]\n");
    for (Filter& filter : filters) {
        const StandReduction reduced = reduce_filter_readings(stand_readings(filter.displayed), stand, tare);
        std::printf("\n\n\"%s\"\n", filter.name.c_str());
        for (const ReducedReading& r : reduced.readings) {
            std::printf("%.3f %.0f %.1f %.1f\n", r.flow->value / m3_per_s, r.raw_pressure.value / Pa,
                        r.net_pressure->value / Pa, r.net_pressure->standard_uncertainty() / Pa);
        }
        for (const std::string& flag : reduced.flags) std::printf("# flag: %s\n", flag.c_str());
        filter.fit = fit_element(reduced.element_readings, duct_design_air());
    }

    const Area face = Length(24 * inch) * Length(24 * inch);
    std::printf(
        "\n\n# net pressure in standard air, one flow for all [Pa]; raw reading with the damper open beside it\n");
    std::printf("# %-22s %6s %16s %16s\n", "filter", "raw", "at 1.0 m/s", "at 1.5 m/s");
    for (const Filter& filter : filters) {
        std::printf("# %-22s %6.0f", filter.name.c_str(), filter.displayed.front().filter);
        for (const double v : {1.0, 1.5}) {
            const auto p = pressure_drop(filter.fit, VolumeFlow(Velocity(v * m_per_s) * face), duct_design_air());
            std::printf(" %9.1f +- %3.1f", p.value / Pa, 2 * (p.standard_uncertainty() / Pa));
        }
        std::printf("\n");
    }
    return 0;
}
