// SPDX-License-Identifier: BSL-1.0
// The flow through a duct by flow elements and by a traverse. The readings are invented.
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/stand.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = duct_design_air();
    const Uncertain<Length> pipe = uncertain(200 * mm, 0.5 * mm, "pipe diameter");
    const Uncertain<Length> throat = uncertain(120 * mm, 0.1 * mm, "throat diameter");
    const Instrument gauge =
        instrument(ManometerData{.name = "manometer", .gain_uncertainty = 0.01, .resolution = 1 * Pa});
    const Uncertain<Pressure> dp = reading(gauge, Pressure(150 * Pa));

    std::printf("150 Pa on elements of 120 mm in a pipe of 200 mm\n");
    std::printf("%-32s %8s %8s %6s %6s %7s\n", "", "L/s", "+-", "C", "eps", "Re");
    const std::vector<std::pair<const char*, FlowElementKind>> kinds{
        {"orifice, corner taps", FlowElementKind::orifice_corner_taps},
        {"orifice, D and D/2 taps", FlowElementKind::orifice_diameter_taps},
        {"orifice, flange taps", FlowElementKind::orifice_flange_taps},
        {"ISA 1932 nozzle", FlowElementKind::isa_1932_nozzle},
        {"long-radius nozzle", FlowElementKind::long_radius_nozzle},
        {"Venturi nozzle", FlowElementKind::venturi_nozzle},
        {"classical Venturi, welded sheet", FlowElementKind::classical_venturi_welded_sheet}};
    const auto print = [](const char* name, const ElementFlow& f) {
        std::printf("%-32s %8.2f %8.2f %6.4f %6.4f %7.0f\n", name, f.flow.value / L_per_s,
                    2 * (f.flow.standard_uncertainty() / L_per_s), f.discharge_coefficient, f.expansibility,
                    f.reynolds_number);
        for (const std::string& flag : f.flags) std::printf("    %s\n", flag.c_str());
    };
    for (const auto& [name, kind] : kinds) {
        print(name, element_flow({.kind = kind, .pipe_diameter = pipe, .throat_diameter = throat}, dp, air));
    }
    print("chamber nozzle, 0.6 d throat",
          element_flow({.kind = FlowElementKind::chamber_nozzle_long_throat, .throat_diameter = throat}, dp, air));
    print("inlet nozzle, C stated", element_flow({.kind = FlowElementKind::stated_nozzle,
                                                  .throat_diameter = throat,
                                                  .stated_coefficient = uncertain(0.97, 0.01, "coefficient")},
                                                 dp, air));

    std::printf("\ntraverse of the 200 mm pipe, log-linear, 6 positions on each of 2 diameters\n");
    const TraverseSection section{.rule = TraverseRule::log_linear, .shape = SectionShape::circle, .diameter = pipe,
                                  .points_per_diameter = 6, .diameters = 2};
    const std::vector<double> pressures{12.1, 15.0, 16.8, 17.1, 15.6, 11.7, 12.4, 15.3, 16.9, 16.7, 14.9, 12.0};   // Pa
    const std::vector<TraversePoint> points = traverse_points(section);
    std::vector<Uncertain<Pressure>> readings;
    for (std::size_t i = 0; i < points.size(); ++i) {
        readings.push_back(uncertain(Pressure(pressures[i] * Pa), Pressure(0.2 * Pa), "velocity pressure"));
        std::printf("  diameter %zu, %5.1f mm from the wall: %4.1f Pa, %4.2f m/s\n", points[i].line + 1,
                    points[i].depth / mm, pressures[i], pitot_velocity(readings[i].value, air) / m_per_s);
    }
    const TraverseFlow flow = traverse_flow(section, readings, air);
    std::printf("mean velocity %.3f m/s, flow %.1f +- %.1f L/s\n", flow.mean_velocity.value / m_per_s,
                flow.flow.value / L_per_s, 2 * (flow.flow.standard_uncertainty() / L_per_s));
    return 0;
}
