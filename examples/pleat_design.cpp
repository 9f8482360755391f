// SPDX-License-Identifier: BSL-1.0
// How many pleats, of which shape, for which money? Four invented media for an opening of 590 mm x 570 mm, as a
// designer for the (equally invented) Tern Lane Arts Centre would compare them.
#include <array>
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/media.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Design {
    const char* name;
    PleatedFilter filter;
    VolumeFlow flow;
};

PleatedFilter filter(Length thickness, Permeability permeability, Length depth) {
    return {.medium = {.thickness = thickness, .permeability = permeability},
            .pack = {.count = 1, .depth = depth, .width = 590 * mm, .length = 570 * mm, .fold_radius = 0.15 * mm}};
}

const char* words(ChannelFlow flow) {
    switch (flow) {
        case ChannelFlow::developed:
            return "developed";
        case ChannelFlow::developing:
            return "developing";
        case ChannelFlow::undeveloped:
            return "undeveloped";
        case ChannelFlow::not_laminar:
            return "not laminar";
    }
    return "";
}

const char* words(PleatCountLimit limit) {
    switch (limit) {
        case PleatCountLimit::none:
            return "nothing";
        case PleatCountLimit::media_area:
            return "media area";
        case PleatCountLimit::cost:
            return "cost";
        case PleatCountLimit::folding:
            return "folding";
    }
    return "";
}

}   // namespace

int main() {
    const AirState air = duct_design_air();
    const std::array<Design, 4> designs{
        Design{"coarse felt, 20 mm deep", filter(1.2 * mm, 1.5e-10 * m2, 20 * mm), 0.5 * m3_per_s},
        Design{"fine felt, 44 mm deep", filter(0.6 * mm, 2e-11 * m2, 44 * mm), 0.5 * m3_per_s},
        Design{"glass paper, 44 mm deep", filter(0.45 * mm, 4e-12 * m2, 44 * mm), 0.5 * m3_per_s},
        Design{"dense paper, 270 mm deep", filter(0.4 * mm, 1e-12 * m2, 270 * mm), 0.15 * m3_per_s}};

    std::printf("# pressure drop [Pa] by pleats on 590 mm; - cannot be folded\n# pleats");
    for (const Design& d : designs) std::printf(" | %s", d.name);
    std::printf("\n");
    for (int count = 20; count <= 300; count += 10) {
        std::printf("%3d", count);
        for (Design d : designs) {
            d.filter.pack.count = count;
            if (count > greatest_pleat_count(d.filter.pack, d.filter.medium.thickness)) {
                std::printf("        -");
            } else {
                std::printf(" %8.1f", pressure_drop(d.filter, d.flow, air) / Pa);
            }
        }
        std::printf("\n");
    }

    std::printf(
        "\n\n# least drop: pleats, drop [Pa], gap [mm], first-order rule's gap [mm], medium [m2]; shares of\n"
        "# medium, channels, entry, exit [%%]; greatest over mean velocity; channels\n");
    for (Design d : designs) {
        const OptimumPleatCount best = find_optimum_pleat_count(d.filter, d.flow, air);
        d.filter.pack.count = best.count;
        std::printf("%3d %6.1f %5.2f %5.2f %6.2f  %3.0f %3.0f %3.0f %3.0f  %.2f  %-18s  %s\n", best.count,
                    best.drop.total / Pa, pleat_gaps(d.filter.pack, d.filter.medium.thickness).inlet / mm,
                    first_order_optimum_gap(d.filter.medium, d.filter.pack.depth) / mm, best.media_area / m2,
                    100 * best.drop.medium_share, 100 * best.drop.channels_share, 100 * best.drop.entry_share,
                    100 * best.drop.exit_share, best.drop.greatest_velocity_ratio, words(best.drop.channel_flow),
                    d.name);
    }

    std::printf(
        "\n\n# the fine felt under a budget, at 6 a square metre and 0.05 a pleat: budget, pleats, drop [Pa],\n"
        "# cost, what binds\n");
    const Design& felt = designs[1];
    for (const double budget : {20.0, 30.0, 40.0, 80.0}) {
        const OptimumPleatCount best = find_optimum_pleat_count(felt.filter, felt.flow, air,
                                                                {.greatest_cost = budget * money,
                                                                 .price_per_media_area = 6 * money_per_m2,
                                                                 .price_per_pleat = 0.05 * money});
        std::printf("%3.0f %4d %6.1f %6.2f  %s\n", budget, best.count, best.drop.total / Pa, best.cost / money,
                    words(best.limited_by));
    }

    std::printf("\n\n# shapes of the fine felt at 100 pleats: drop [Pa], medium [m2], greatest over mean velocity\n");
    for (const PleatShape shape : {PleatShape::rectangular, PleatShape::triangular}) {
        PleatedFilter f = felt.filter;
        f.pack.count = 100;
        f.pack.shape = shape;
        const PleatedDrop drop = pressure_drop_parts(f, felt.flow, air);
        std::printf("%6.1f %6.2f  %.2f  %s\n", drop.total / Pa,
                    pleat_geometry(f.pack, f.medium.thickness).media_area / m2, drop.greatest_velocity_ratio,
                    shape == PleatShape::rectangular ? "rectangular" : "triangular");
    }

    std::printf(
        "\n\n# along the depth at 100 pleats: depth [mm]; rectangular, triangular: velocity through the medium\n"
        "# [m/s], pressure in the inlet and in the outlet channel [Pa]\n");
    PleatedFilter rectangular = felt.filter;
    rectangular.pack.count = 100;
    PleatedFilter triangular = rectangular;
    triangular.pack.shape = PleatShape::triangular;
    const std::vector<PleatPlace> a = pleat_profile(rectangular, felt.flow, air, 23);
    const std::vector<PleatPlace> b = pleat_profile(triangular, felt.flow, air, 23);
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::printf("%4.0f  %.4f %6.2f %6.2f  %.4f %6.2f %6.2f\n", a[i].depth / mm, a[i].media_velocity / m_per_s,
                    a[i].inlet_pressure / Pa, a[i].outlet_pressure / Pa, b[i].media_velocity / m_per_s,
                    b[i].inlet_pressure / Pa, b[i].outlet_pressure / Pa);
    }

    std::printf("\n\n# what is asked too much\n");
    try {
        PleatedFilter f = felt.filter;
        f.pack.count = 500;
        static_cast<void>(pressure_drop(f, felt.flow, air));
    } catch (const DomainError& error) {
        std::printf("# %s\n", error.what());
    }
}
