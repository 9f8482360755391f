// SPDX-License-Identifier: BSL-1.0
// The air of a rehearsal room at the Tern Lane Arts Centre: what filters make of the outdoor particles in it, by size
// and as PM2.5 and PM10; an air cleaner beside; a fan that cycles; ducts that leak; a day with people. The room, the
// filters and the Centre are invented, deposition and penetration were measured in two houses. Concentrations only, no
// statement on health.
#include <array>
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/capture.hpp>
#include <filterflow/particle.hpp>
#include <filterflow/zone.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

using Efficiencies = std::array<double, 12>;   // in the twelve standard size ranges, installed

FractionalEfficiency by_size(const Efficiencies& efficiencies) {
    FractionalEfficiency filter;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        filter.ranges.push_back(stated_efficiency(ranges[i], uncertain(efficiencies[i], 0.02, "efficiency")));
    }
    return filter;
}

struct Candidate {
    const char* name;
    Efficiencies efficiencies;
    VolumeFlow airflow;   // of the system with it: finer filters let less through
};

const std::array<Candidate, 3> candidates{
    Candidate{"pad", {0.02, 0.02, 0.03, 0.05, 0.08, 0.1, 0.14, 0.2, 0.28, 0.36, 0.45, 0.52}, 2500 * m3_per_h},
    Candidate{"pleated", {0.08, 0.12, 0.18, 0.26, 0.36, 0.46, 0.57, 0.68, 0.77, 0.84, 0.89, 0.92}, 2360 * m3_per_h},
    Candidate{"fine", {0.55, 0.6, 0.66, 0.73, 0.8, 0.86, 0.91, 0.95, 0.97, 0.98, 0.99, 0.99}, 2200 * m3_per_h}};

void row(const char* name, const RoomForSizes& room, const FilterInRoom& filter) {
    const auto fine = indoor_particles(room, filter, urban_pm25());
    const auto coarse = indoor_particles(room, filter, rural_pm10());
    std::printf("  %-34s %4.1f +- %3.1f %%  (%2.0f %% without the filter) %5.1f +- %3.1f %%  (%2.0f %%)\n", name,
                100.0 * fine.ratio.value, 200.0 * fine.ratio.standard_uncertainty(), 100.0 * fine.without_filter,
                100.0 * coarse.ratio.value, 200.0 * coarse.ratio.standard_uncertainty(), 100.0 * coarse.without_filter);
}

}   // namespace

int main() {
    RoomForSizes room;
    room.air = {.volume = 320 * m3,
                .infiltration = 0.25 * per_h,
                .outdoor_air = 160 * m3_per_h,
                .running_fraction = 1.0};   // while the fan runs
    std::printf(
        "Share of the outdoor mass found indoors while the fan runs, steady\n(deposition and penetration: %s)\n"
        "  %-34s  PM2.5                                       PM10\n",
        room.deposition.name.c_str(), "");
    const auto in_room = [&](const Candidate& c) {   // the outdoor air passes the filter too
        return FilterInRoom{by_size(c.efficiencies), c.airflow - room.air.outdoor_air};
    };
    for (const Candidate& c : candidates) row(c.name, room, in_room(c));
    RoomForSizes with_cleaner = room;
    with_cleaner.air.clean_air_delivery =
        clean_air_delivery({.flow = 400 * m3_per_h, .efficiency = 0.95, .running_fraction = 0.8});
    row("pleated, air cleaner 400 m3/h", with_cleaner, in_room(candidates[1]));
    RoomForSizes leaky = room;
    const DuctLeakage duct{.leakage_class = 48.0, .surface = 20 * m2};
    leaky.air.leaks =
        duct_leaks({.supply = duct, .supply_pressure = 80 * Pa, .return_duct = duct, .return_suction = 60 * Pa});
    row("pleated, ducts that leak outdoors", leaky, in_room(candidates[1]));
    std::printf("    (%.0f m3/h lost from the supply, %.0f m3/h drawn into the return)\n",
                leaky.air.leaks.supply_lost / m3_per_h, leaky.air.leaks.return_before_filter / m3_per_h);
    RoomForSizes smooth = room;
    smooth.deposition = smooth_wall_table({.volume = 320 * m3,
                                           .walls = 180 * m2,
                                           .floor = 100 * m2,
                                           .ceiling = 100 * m2,
                                           .friction_velocity = 0.01 * m_per_s},
                                          fan_test_air());
    row("pleated, walls smooth by theory", smooth, in_room(candidates[1]));

    // One size at a time: the fan runs three tenths of the time, in quick cycles and in cycles of two hours.
    std::printf("\n\n# size [um], without filter, pad, pleated, fine, pleated with the fan cycling every 2 h\n");
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        const Length size = geometric_mean(ranges[i]);
        Room one = room.air;
        one.running_fraction = 0.3;
        one.penetration = crack_penetration(room.penetration, size);
        one.deposition = deposition_rate(room.deposition, size);
        std::printf("%6.2f %7.3f", size / um, indoor_outdoor_ratio(one));
        for (const Candidate& c : candidates) {
            one.recirculated = c.airflow - one.outdoor_air;
            one.recirculating_efficiency = c.efficiencies[i];
            std::printf(" %7.3f", indoor_outdoor_ratio(one));
        }
        one.recirculated = candidates[1].airflow - one.outdoor_air;
        one.recirculating_efficiency = candidates[1].efficiencies[i];
        const auto cycling = cycling_concentration(one, {.outdoor = 1 * ug_per_m3, .period = 2 * h});
        std::printf(" %7.3f\n", cycling.mean / ug_per_m3);
    }

    // A day that repeats: fan off at night, on from seven, a rehearsal in the afternoon that stirs up dust of 2 um.
    const auto at_two_um = [&](const Candidate& c, bool fan, MassFlow source) {
        Room one = room.air;
        one.penetration = crack_penetration(room.penetration, 2 * um);
        one.deposition = deposition_rate(room.deposition, 2 * um);
        one.running_fraction = fan ? 1.0 : 0.0;
        one.outdoor_air = fan ? one.outdoor_air : 0 * m3_per_h;
        one.outdoor_air_efficiency = c.efficiencies[6];
        one.recirculated = c.airflow - room.air.outdoor_air;
        one.recirculating_efficiency = c.efficiencies[6];
        one.source = source;
        return one;
    };
    const MassFlow stirred = MassFlow::from_value(10e-6 / 3600.0);   // 10 mg/h
    std::printf("\n\n# a day, dust of 2 um: hour, indoor concentration [ug/m3] with pad, pleated, fine; 12 outdoors\n");
    std::vector<std::vector<PhaseConcentration>> days;
    for (const Candidate& c : candidates) {
        std::vector<RoomPhase> phases;
        for (int half = 0; half < 48; ++half) {
            const bool fan = half >= 14 && half < 44, rehearsal = half >= 28 && half < 34;
            phases.push_back({at_two_um(c, fan, rehearsal ? stirred : MassFlow{}), 12 * ug_per_m3, 0.5 * h});
        }
        days.push_back(repeating_course(phases));
    }
    for (std::size_t half = 0; half < 48; ++half) {
        std::printf("%5.1f", 0.5 * static_cast<double>(half));
        for (const auto& course : days) std::printf(" %7.2f", course[half].start / ug_per_m3);
        std::printf("\n");
    }
}
