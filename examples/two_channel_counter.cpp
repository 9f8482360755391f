// SPDX-License-Identifier: BSL-1.0
// A hobby counter with two cumulative channels: the bands they support, and nothing more.
//
// The counts are invented: the same pleat of the Tern Lane Arts Centre, which does not exist, as its staff read it
// with a counter of their own that shows "above 0.5 um" and "above 2.5 um".
#include <cstdio>
#include <vector>

#include <filterflow/capture.hpp>
#include <filterflow/rating.hpp>

using namespace filterflow;
using namespace filterflow::units;

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
        std::printf("\nshare of %s removed: estimate %.0f %%, bounds %.0f to %.0f %%; %.0f %% of the mass was measured\n",
                    name, 100 * removed.estimate.value, 100 * removed.bounds.lower, 100 * removed.bounds.upper,
                    100 * removed.measured_share);
        for (const std::string& assumption : removed.assumptions) std::printf("  %s\n", assumption.c_str());
    }
    const Velocity face_velocity = 1.5 * m_per_s;
    std::printf("\n%s\n", minimum_efficiency_text(minimum_efficiency_rating(efficiency), face_velocity).c_str());
    std::printf("%s\n", particulate_matter_text(particulate_matter_class(efficiency), face_velocity).c_str());
}
