// SPDX-License-Identifier: BSL-1.0
// Pressure drop of flat media over velocity, and how solidity and fibre diameter decide it. The media are invented.
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/media.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = duct_design_air();
    const Length mean_free_path = 0.0666 * um;   // of air at these conditions
    const struct {
        const char* name;
        FibrousMedium medium;
    } media[] = {
        {"coarse pad", {.thickness = 12 * mm, .effective_fibre_diameter = 35 * um, .geometric_fibre_diameter = 35 * um, .solidity = 0.012}},
        {"pleat medium", {.thickness = 1.2 * mm, .effective_fibre_diameter = 18 * um, .geometric_fibre_diameter = 18 * um, .solidity = 0.08}},
        {"fine pleat medium", {.thickness = 0.8 * mm, .effective_fibre_diameter = 6 * um, .geometric_fibre_diameter = 6 * um, .solidity = 0.06}},
        {"glass paper", {.thickness = 0.45 * mm, .effective_fibre_diameter = 2.5 * um, .geometric_fibre_diameter = 2.5 * um, .solidity = 0.07}},
    };
    std::printf("# medium: permeability by Davies and by ordered theory [m2], slip factor on the drop\n");
    for (const auto& [name, medium] : media) {
        std::printf("\"%s\" %.3e %.3e %.4f\n", name, permeability(medium) / m2, ordered_permeability(medium) / m2,
                    slip_drag_factor(medium, mean_free_path));
    }
    std::printf("\n\n# velocity through the medium [m/s], pressure drop of each medium [Pa]\n");
    for (const double velocity : {0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0}) {
        std::printf("%.2f", velocity);
        for (const auto& entry : media) {
            std::printf(" %9.3f", pressure_drop(porous_layer(entry.medium), velocity * m_per_s, air) / Pa);
        }
        std::printf("\n");
    }
    std::printf("\n\n# solidity, permeability over squared fibre diameter by Davies and by ordered theory\n");
    for (int i = 1; i <= 25; ++i) {
        const FibrousMedium medium{.thickness = 1 * mm, .effective_fibre_diameter = 1 * m, .geometric_fibre_diameter = 1 * m, .solidity = 0.01 * i};
        std::printf("%.2f %.5f %.5f\n", medium.solidity, permeability(medium) / m2, ordered_permeability(medium) / m2);
    }
}
