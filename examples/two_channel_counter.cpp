// SPDX-License-Identifier: BSL-1.0
// A hobby counter with two cumulative channels: the bands they support by themselves, and what they say of the
// standards' averages and classes together with what is known of ordinary media: an estimate, wide on purpose.
//
// The counts are invented: the same pleat of the Tern Lane Arts Centre, which does not exist, as its staff read it
// with a counter of their own that shows "above 0.5 um" and "above 2.5 um".
#include <array>
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/capture.hpp>
#include <filterflow/rating.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

void print_estimate(const FractionalEfficiency& efficiency, const Velocity& face_velocity) {
    const AirState air =
        moist_air({.temperature = from_celsius(21), .pressure = 101.3 * kPa, .relative_humidity = 0.4});
    const std::array<SizeRange, 2> bands{efficiency.ranges[0].range, efficiency.ranges[1].range};
    const BandDraws draws = band_draws(bands, typical_capture_prior(), air);
    const BandEstimate estimate = estimate_from_bands(efficiency, draws);
    std::printf("\nwith single-fibre theory over ordinary media:\n");
    if (!estimate.averages) {
        std::printf("  refused: %s\n", estimate.refused.c_str());
        return;
    }
    const std::array<const char*, 3> names{"E1 (0.3-1 um)", "E2 (1-3 um)", "E3 (3-10 um)"};
    for (std::size_t g = 0; g < 3; ++g) {
        const EstimatedAverage& e = (*estimate.averages)[g];
        std::printf("  %-13s about %2.0f %% (95 %%: %2.0f to %3.0f; without the counts %2.0f to %3.0f)\n", names[g],
                    100 * e.median, 100 * e.interval.lower, 100 * e.interval.upper, 100 * e.before.lower,
                    100 * e.before.upper);
    }
    for (const KindShare& kind : estimate.kinds) {
        if (kind.share >= 0.005) std::printf("  %s: %.0f %%\n", kind.name.c_str(), 100 * kind.share);
    }
    for (const std::string& assumption : estimate.rests_on) std::printf("  rests on %s\n", assumption.c_str());
    const MinimumEfficiencyVerdicts verdicts = minimum_efficiency_verdicts(estimate);
    std::printf("  %s\n", minimum_efficiency_verdict_text(verdicts, face_velocity).c_str());
    for (const MinimumEfficiencyVerdict& verdict : verdicts.values) {
        if (verdict.verdict != ClassVerdict::excluded) {
            std::printf("  %2d: %2.0f %%, this or better %3.0f %%\n", verdict.highest, 100 * verdict.probability,
                        100 * verdict.at_least);
        }
    }
    const MinimumEfficiencyVerdicts by_older =
        minimum_efficiency_verdicts(estimate, {.edition = MinimumEfficiencyEdition::editions_1999_to_2012});
    std::printf("  %s\n", minimum_efficiency_verdict_text(by_older, face_velocity).c_str());
    const ParticulateMatterVerdicts by_matter = particulate_matter_verdicts(estimate);
    std::printf("  %s\n", particulate_matter_verdict_text(by_matter, face_velocity).c_str());
    for (const ParticulateMatterGroupVerdict& group : by_matter.groups) {
        if (group.verdict == ClassVerdict::excluded) continue;
        std::printf("  %s: %2.0f %%, this or finer %3.0f %%\n", particulate_matter_group_name(group.group).c_str(),
                    100 * group.probability, 100 * group.at_least);
    }
}

}   // namespace

int main() {
    SizeRangeCounts small;
    small.range = sizes_above(0.5 * um);
    small.upstream = {4120, 4188, 4077, 4139};
    small.downstream = {1702, 1688, 1731};
    SizeRangeCounts large;
    large.range = sizes_above(2.5 * um);
    large.upstream = {512, 537, 498, 521};
    large.downstream = {41, 38, 46};

    const std::vector<SizeRangeCounts> bands = differential_counts(std::vector{small, large});
    const FractionalEfficiency efficiency = fractional_efficiency(bands);
    std::printf("invented data: Tern Lane Arts Centre\n");
    for (const SizeEfficiency& e : efficiency.ranges) {
        std::printf("%s: efficiency %.1f %% (95 %%: %.1f to %.1f)\n", range_text(e.range).c_str(),
                    100 * (1 - e.penetration.value), 100 * (1 - e.penetration_interval.upper),
                    100 * (1 - e.penetration_interval.lower));
        for (const std::string& verdict : e.quality) std::printf("  %s\n", verdict.c_str());
    }
    for (const auto& [name, dust] : {std::pair{"PM2.5", urban_pm25()}, {"PM10", rural_pm10()}}) {
        const MassEfficiency removed = mass_efficiency(efficiency, dust);
        std::printf(
            "\nshare of %s removed: estimate %.0f %%, bounds %.0f to %.0f %%; %.0f %% of the mass was measured\n", name,
            100 * removed.estimate.value, 100 * removed.bounds.lower, 100 * removed.bounds.upper,
            100 * removed.measured_share);
        for (const std::string& assumption : removed.assumptions) std::printf("  %s\n", assumption.c_str());
    }
    const Velocity face_velocity = 1.5 * m_per_s;
    std::printf("\n%s\n", minimum_efficiency_text(minimum_efficiency_rating(efficiency), face_velocity).c_str());
    std::printf("%s\n", particulate_matter_text(particulate_matter_class(efficiency), face_velocity).c_str());
    print_estimate(efficiency, face_velocity);
}
