// SPDX-License-Identifier: BSL-1.0
// Pressure drop of flat media over velocity; what eight models say of one medium and where their ranges end; layers in
// series and a bed of grains. The media are invented.
#include <array>
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/media.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

constexpr std::array models{FibrePermeability::davies,
                            FibrePermeability::kuwabara,
                            FibrePermeability::happel_across,
                            FibrePermeability::happel_along,
                            FibrePermeability::drummond_tahir,
                            FibrePermeability::jackson_james,
                            FibrePermeability::spielman_goren_layered,
                            FibrePermeability::spielman_goren_isotropic};

/// "inside", or which limit is crossed and by how much.
void print_status(const RangeStatus& status) {
    if (status.inside()) {
        std::printf("%.*s inside", static_cast<int>(status.quantity.size()), status.quantity.data());
        return;
    }
    const bool above = status.crossed == RangeLimit::greatest;
    std::printf("%.*s %.1f %% %s %g", static_cast<int>(status.quantity.size()), status.quantity.data(),
                100.0 * status.beyond, above ? "above" : "below", above ? status.greatest : status.least);
    if (status.unit != "-") std::printf(" %.*s", static_cast<int>(status.unit.size()), status.unit.data());
}

void print_models(const char* name, const FibrousMedium& medium) {
    std::printf("# %s, solidity %g: permeability [m2] by each model and how the medium stands to its range\n", name,
                medium.solidity);
    for (const FibrePermeability model : models) {
        const PermeabilityEstimate estimate = permeability_estimate(medium, model);
        std::printf("\"%s\" %.3e \"", permeability_range(model).name.data(), estimate.permeability / m2);
        print_status(estimate.packing);
        if (!estimate.diameter.inside()) {
            std::printf(", ");
            print_status(estimate.diameter);
        }
        std::printf("\"\n");
    }
    std::printf("\n\n");
}

}   // namespace

int main() {
    const AirState air = duct_design_air();
    const Length mean_free_path = 0.0666 * um;   // of air at these conditions
    const struct {
        const char* name;
        FibrousMedium medium;
    } media[] = {
        {"coarse pad",
         {.thickness = 12 * mm,
          .effective_fibre_diameter = 35 * um,
          .geometric_fibre_diameter = 31 * um,
          .solidity = 0.012}},
        {"pleat medium",
         {.thickness = 1.2 * mm,
          .effective_fibre_diameter = 18 * um,
          .geometric_fibre_diameter = 15 * um,
          .solidity = 0.08}},
        {"fine pleat medium",
         {.thickness = 0.8 * mm,
          .effective_fibre_diameter = 6 * um,
          .geometric_fibre_diameter = 4.5 * um,
          .solidity = 0.06}},
        {"glass paper",
         {.thickness = 0.45 * mm,
          .effective_fibre_diameter = 2.5 * um,
          .geometric_fibre_diameter = 1.4 * um,
          .solidity = 0.07}},
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

    std::printf("\n\n# solidity, permeability over squared fibre diameter by each model; ? outside its range\n");
    for (int i = 1; i <= 30; ++i) {
        const FibrousMedium medium{.thickness = 1 * mm,
                                   .effective_fibre_diameter = 10 * um,
                                   .geometric_fibre_diameter = 10 * um,
                                   .solidity = 0.01 * i};
        std::printf("%.2f", medium.solidity);
        for (const FibrePermeability model : models) {
            const PermeabilityEstimate estimate = permeability_estimate(medium, model);
            if (estimate.inside()) {
                std::printf(" %.5f", estimate.permeability.value() / 1e-10);
            } else {
                std::printf(" ?");
            }
        }
        std::printf("\n");
    }
    std::printf("\n\n");
    print_models("pleat medium", media[1].medium);
    print_models("pressed felt of fine fibres", {.thickness = 2 * mm,
                                                 .effective_fibre_diameter = 1.2 * um,
                                                 .geometric_fibre_diameter = 1 * um,
                                                 .solidity = 0.33});

    // A pad before the paper, and a coarse net behind it that holds it; the net's inertia counts.
    const Permeability net = 8e-9 * m2;
    const std::array layers{
        porous_layer(media[0].medium), porous_layer(media[3].medium, mean_free_path),
        PorousLayer{.thickness = 0.6 * mm,
                    .permeability = net,
                    .inertial_factor = ward_inertial_factor(net, ward_fibre_coefficient)}};
    const SeriesDrop drop = pressure_drop_parts(layers, 0.5 * m_per_s, air);
    std::printf("# layers in series at 0.5 m/s: viscous and inertial part [Pa], share of the drop\n");
    const char* names[] = {"coarse pad", "glass paper with slip", "net"};
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const LayerDrop& part = drop.layers[i];
        std::printf("\"%s\" %.3f %.3f %.4f\n", names[i], part.viscous / Pa, part.inertial / Pa, part.share);
    }
    std::printf("\"together\" %.3f %.3f\n", drop.viscous / Pa, drop.inertial / Pa);
    std::printf("# 250 Pa drive %.4f m/s through them\n", face_velocity(layers, 250 * Pa, air) / m_per_s);

    const GranularMedium bed{.thickness = 25 * mm, .grain_diameter = 3 * mm, .voidage = 0.42, .sphericity = 0.85};
    std::printf("\n\n# bed of grains: velocity [m/s], drop [Pa], share of inertia, Reynolds number and its range\n");
    for (const double velocity : {0.05, 0.2, 0.5, 2.0, 10.0}) {
        const std::array layer{porous_layer(bed)};
        const SeriesDrop through = pressure_drop_parts(layer, velocity * m_per_s, air);
        const double reynolds = grain_reynolds_number(bed, velocity * m_per_s, air);
        std::printf("%.2f %9.2f %.3f %6.0f \"", velocity, through.total / Pa,
                    through.inertial.value() / through.total.value(), reynolds);
        print_status(ergun_range(reynolds));
        std::printf("\"\n");
    }
}
