// SPDX-License-Identifier: BSL-1.0
// How many pleats? Few leave little medium, many leave no room to breathe. The filter is invented.
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/media.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.45 * m3_per_s;
    PleatedFilter filter{
        .medium = porous_layer(
            FibrousMedium{.thickness = 0.8 * mm, .effective_fibre_diameter = 6 * um, .solidity = 0.06}),
        .pack = {.count = 0, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm}};

    std::printf("# pleats, medium, channels, entry, exit, total [Pa], greatest velocity over mean, Reynolds number\n");
    for (int count = 20; count <= 240; count += 10) {
        filter.pack.count = count;
        const PleatedDrop drop = pressure_drop_parts(filter, flow, air);
        std::printf("%3d %7.2f %7.2f %6.2f %6.2f %7.2f  %.3f %.0f%s\n", count, drop.medium / Pa, drop.channels / Pa,
                    drop.entry / Pa, drop.exit / Pa, drop.total / Pa, drop.greatest_velocity_ratio,
                    drop.channel_reynolds_number, drop.laminar ? "" : " not laminar");
    }
    const OptimumPleatCount best = find_optimum_pleat_count(filter, flow, air);
    std::printf("\n\n# least drop: pleats, pressure drop [Pa], medium area [m2], gap [mm]\n");
    filter.pack.count = best.count;
    std::printf("%d %.2f %.3f %.2f\n", best.count, best.drop.total / Pa, media_area(filter.pack) / m2,
                pleat_gaps(filter.pack, filter.medium.thickness).inlet / mm);

    std::printf("\n\n# share of the open width given to the inlet, total at 110 pleats [Pa]\n");
    filter.pack.count = 110;
    for (const double share : {0.3, 0.4, 0.5, 0.6, 0.7}) {
        filter.pack.inlet_gap_share = share;
        std::printf("%.1f %.2f\n", share, pressure_drop(filter, flow, air) / Pa);
    }
}
