// SPDX-License-Identifier: BSL-1.0
// A rehearsal room with a recirculating filter: share of the outdoor particles found indoors, by size, with and without
// the filter; the same with a fan that cycles; and a burst of dust that is filtered away. The room and the filter are
// invented, deposition is measured (two houses). Concentrations only, no statement on health.
#include <cstdio>
#include <vector>

#include <filterflow/capture.hpp>
#include <filterflow/particle.hpp>
#include <filterflow/zone.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    // Efficiency of an invented pleated filter in the twelve standard size ranges, installed.
    const double efficiency[12] = {0.08, 0.12, 0.18, 0.26, 0.36, 0.46, 0.57, 0.68, 0.77, 0.84, 0.89, 0.92};
    const DepositionTable deposition = deposition_in_two_houses();
    const Room base{.volume = 320 * m3,
                    .infiltration = 0.25 * per_h,
                    .penetration = 0.8,
                    .outdoor_air = 160 * m3_per_h,
                    .recirculated = 2200 * m3_per_h,
                    .running_fraction = 0.3};
    std::printf("Share of the outdoor particles found indoors, deposition: %s\n\n", deposition.name.c_str());
    std::printf("# size [um], without filter, with filter, with the fan cycling every 2 h\n");
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        Room room = base;
        const Length size = geometric_mean(ranges[i]);
        room.deposition = deposition_rate(deposition, size);
        const double without = indoor_outdoor_ratio(room);
        room.recirculating_efficiency = efficiency[i];
        const auto cycling = cycling_concentration(room, {.outdoor = 1 * ug_per_m3, .period = 2 * h});
        std::printf("%6.2f %7.3f %7.3f %7.3f\n", size / um, without, indoor_outdoor_ratio(room),
                    cycling.mean / ug_per_m3);
    }

    Room room = base;
    room.running_fraction = 1.0;
    room.deposition = deposition_rate(deposition, 2 * um);
    room.recirculating_efficiency = 0.5;
    std::printf("\n\n# a burst of 200 ug/m3 of 2 um dust, fan on: minutes, indoor concentration [ug/m3]\n");
    for (int minutes = 0; minutes <= 60; minutes += 10) {
        const auto c =
            concentration_after(room, {.initial = 200 * ug_per_m3, .outdoor = 5 * ug_per_m3, .elapsed = minutes * min});
        std::printf("%4d %7.1f\n", minutes, c / ug_per_m3);
    }
}
