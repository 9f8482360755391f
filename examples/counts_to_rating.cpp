// SPDX-License-Identifier: BSL-1.0
// Counts in the twelve ranges of the standards to efficiency by size, and to a class that says how sure it is.
//
// The counts are invented: a two-inch pleat with charged medium on the bench of the Tern Lane Arts Centre, which does
// not exist. One borrowed counter samples upstream, downstream, upstream, ... The correlation ratio was read once.
#include <cstdio>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/capture.hpp>
#include <filterflow/rating.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Row {   // four upstream samples, three downstream, the sum of three background samples each side
    std::vector<double> upstream, downstream;
    double upstream_background, downstream_background, correlation;
};

const std::vector<Row> invented{
    {{2310, 2281, 2344, 2302}, {1452, 1498, 1467}, 6, 2, 0.99},
    {{1904, 1871, 1933, 1887}, {1061, 1088, 1049}, 4, 2, 0.98},
    {{1120, 1151, 1138, 1109}, {542, 569, 551}, 2, 1, 0.98},
    {{872, 901, 858, 880}, {351, 339, 362}, 2, 0, 0.97},
    {{410, 428, 397, 415}, {112, 104, 118}, 1, 0, 0.96},
    {{288, 301, 279, 293}, {60, 67, 59}, 0, 0, 0.95},
    {{231, 240, 222, 236}, {35, 40, 33}, 1, 0, 0.93},
    {{170, 166, 181, 173}, {19, 16, 22}, 0, 0, 0.92},
    {{118, 125, 111, 120}, {10, 12, 8}, 0, 0, 0.90},
    {{84, 79, 88, 81}, {5, 4, 5}, 0, 0, 0.88},
    {{46, 51, 43, 48}, {2, 1, 2}, 0, 0, 0.86},
    {{20, 17, 22, 19}, {0, 1, 0}, 0, 0, 0.80},
};

std::vector<SizeRangeCounts> counts() {
    const auto ranges = minimum_efficiency_size_ranges();
    std::vector<SizeRangeCounts> result(ranges.size());
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        result[i].range = ranges[i];
        result[i].upstream = invented[i].upstream;
        result[i].downstream = invented[i].downstream;
        result[i].upstream_background = {invented[i].upstream_background};
        result[i].downstream_background = {invented[i].downstream_background};
        result[i].background_time_ratio = 3;   // three samples were added up
        result[i].stated_correlation =
            uncertain(invented[i].correlation, 0.02, "correlation, " + range_text(ranges[i]));
    }
    return result;
}

void print(const MinimumEfficiencyRating& rating, const Velocity& face_velocity) {
    std::printf("\n# %s\n", minimum_efficiency_text(rating, face_velocity).c_str());
    std::printf("# held by %s; margin %.1f points\n", rating.governing_limit.c_str(), rating.margin);
    std::printf("# not higher: %s; short by up to %.1f points\n", rating.next_limit.c_str(), rating.shortfall);
    for (const ClassProbability& c : rating.probabilities) {
        if (c.probability >= 0.0005) std::printf("# probability of %s: %.3f\n", c.name.c_str(), c.probability);
    }
}

}   // namespace

int main() {
    const FractionalEfficiency efficiency = fractional_efficiency(counts());
    std::printf("# invented data: Tern Lane Arts Centre\n# size [um], efficiency [%%], 95 %% interval\n");
    for (const SizeEfficiency& e : efficiency.ranges) {
        std::printf("%6.3f %6.1f %6.1f %6.1f\n", geometric_mean(e.range) / um, 100 * (1 - e.penetration.value),
                    100 * (1 - e.penetration_interval.upper), 100 * (1 - e.penetration_interval.lower));
    }
    std::printf("\n\n# verdicts on the data\n");
    for (const SizeEfficiency& e : efficiency.ranges) {
        for (const std::string& verdict : e.quality)
            std::printf("# %s: %s\n", range_text(e.range).c_str(), verdict.c_str());
    }
    const Velocity face_velocity = 1.5 * m_per_s;
    MinimumEfficiencyCurves clean_only;
    clean_only.clean = efficiency;
    const MinimumEfficiencyRating rating = minimum_efficiency_rating(clean_only);
    std::printf("\n");
    for (const auto& [name, e] : {std::pair{"E1 (0.3-1 um)", rating.E1}, {"E2 (1-3 um)", rating.E2},
                                  {"E3 (3-10 um)", rating.E3}}) {
        const Interval<double> interval = coverage_interval(*e);
        std::printf("# average %-13s %.1f %% (95 %%: %.1f to %.1f)\n", name, 100 * e->value, 100 * interval.lower,
                    100 * interval.upper);
    }
    print(rating, face_velocity);
    for (const std::string& reason : rating.reasons) std::printf("# because %s\n", reason.c_str());
    for (const std::string& missing : rating.missing) std::printf("# missing: %s\n", missing.c_str());
    const MinimumEfficiencyRule as_on_older_sheets{.edition = MinimumEfficiencyEdition::editions_1999_to_2012};
    print(minimum_efficiency_rating(clean_only, std::nullopt, as_on_older_sheets), face_velocity);
    const ParticulateMatterClass matter = particulate_matter_class(efficiency);
    std::printf("\n# %s\n", particulate_matter_text(matter, face_velocity).c_str());
    for (const auto& [name, dust] : {std::pair{"PM2.5", urban_pm25()}, {"PM10", rural_pm10()}}) {
        const MassEfficiency removed = mass_efficiency(efficiency, dust);
        const Interval<double> interval = coverage_interval(removed.estimate);
        std::printf("# share of %s removed (%s): %.1f %% (%.1f to %.1f)\n", name, dust.distribution.name.c_str(),
                    100 * removed.estimate.value, 100 * interval.lower, 100 * interval.upper);
    }
}
