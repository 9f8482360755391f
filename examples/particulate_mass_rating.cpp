// SPDX-License-Identifier: BSL-1.0
// Efficiencies as delivered and discharged to a class by particulate matter, with the probability of each class.
//
// Invented: the two-inch pleat with charged medium of the Tern Lane Arts Centre, which does not exist. The crew counted
// it on their bench as delivered, a laboratory of the town discharged it, and they counted it again. Each channel has
// its counting uncertainty; the bench's correlation ratio was read once and errs the same way in all of them.
//
// Discharging with propan-2-ol vapour handles a flammable liquid: no work for a plant room.
#include <array>
#include <cmath>
#include <cstdio>
#include <vector>

#include <filterflow/capture.hpp>
#include <filterflow/rating.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

const Velocity face_velocity = 1.5 * m_per_s;

constexpr TwelveEfficiencies as_delivered{.47, .53, .60, .67, .74, .79, .84, .89, .92, .94, .96, .98};
constexpr TwelveEfficiencies discharged{.27, .33, .41, .50, .60, .68, .76, .84, .89, .93, .95, .97};

FractionalEfficiency counted(const TwelveEfficiencies& efficiencies, double counting, const Uncertain<double>& shared) {
    FractionalEfficiency result;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        const double grows = 1.0 + 0.15 * static_cast<double>(i);   // large particles are few
        result.ranges.push_back(stated_efficiency(
            ranges[i], uncertain(efficiencies[i], grows * counting, "counts in " + range_text(ranges[i])) +
                           scaled(shared, 1.0 - efficiencies[i])));
    }
    return result;
}

void print(const char* heading, const std::vector<ClassProbability>& classes) {
    std::printf("\n\n# %s: class by ISO 16890-1:2016 at %.1f m/s, an estimate and no rating; probability\n", heading,
                face_velocity / m_per_s);
    for (const ClassProbability& c : classes) {
        if (c.probability >= 0.0005) std::printf("\"%s\" %.3f\n", c.name.c_str(), c.probability);
    }
}

void print(const char* name, const std::optional<Uncertain<double>>& e) {
    const Interval<double> interval = coverage_interval(*e);
    std::printf("# %-24s %5.1f (%.1f to %.1f)\n", name, 100 * e->value, 100 * interval.lower, 100 * interval.upper);
}

// Five sets of counts of each state, whose means are the curves above: they scatter together, as the aerosol does.
ReplicateCurves five_sets() {
    ReplicateCurves sets;
    constexpr std::array<double, 5> off{-0.11, -0.04, 0.00, 0.05, 0.10};
    for (std::size_t k = 0; k < off.size(); ++k) {
        TwelveEfficiencies before = as_delivered, after = discharged;
        for (std::size_t i = 0; i < before.size(); ++i) {
            before[i] += off[k] * (1.0 - before[i]);
            after[i] += off[(k + 2) % off.size()] * (1.0 - after[i]);
        }
        sets.untreated.push_back(before);
        sets.discharged.push_back(after);
    }
    return sets;
}

}   // namespace

int main() {
    const Uncertain<double> correlation = uncertain(0.0, 0.03, "correlation ratio of the bench");
    const FractionalEfficiency before = counted(as_delivered, 0.012, correlation);
    const FractionalEfficiency after = counted(discharged, 0.012, correlation);

    const auto pm1 = particulate_matter_weights(ParticulateMatter::pm1);
    const auto pm25 = particulate_matter_weights(ParticulateMatter::pm25);
    const auto pm10 = particulate_matter_weights(ParticulateMatter::pm10);
    std::printf("# invented data: Tern Lane Arts Centre, two-inch pleat, charged medium\n"
                "# channel [um], efficiency as delivered, discharged [%%], weight in ePM1, ePM2.5, ePM10 [%%]\n");
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < ranges.size(); ++i) {
        std::printf("%5.2f %5.2f %6.1f %6.1f %6.1f %6.1f %6.1f\n", ranges[i].lower / um, ranges[i].upper / um,
                    100 * as_delivered[i], 100 * discharged[i], 100 * pm1[i], 100 * pm25[i], 100 * pm10[i]);
    }
    std::printf("\n\n# size [um], mass by ln(size): urban, rural [-]\n");
    for (int i = 0; i <= 40; ++i) {
        const Length size = (0.3 * std::pow(10.0 / 0.3, i / 40.0)) * um;
        std::printf("%7.3f %.4f %.4f\n", size / um, volume_density(urban_distribution(), size),
                    volume_density(rural_distribution(), size));
    }

    const ParticulateMatterClass result = particulate_matter_class(before, after);
    std::printf("\n\n# efficiency [%%], 95 %% interval\n");
    print("ePM1 as delivered", result.ePM1_untreated);
    print("ePM1,min discharged", result.ePM1_min);
    print("ePM2.5,min discharged", result.ePM25_min);
    print("ePM2.5 average", result.ePM25);
    print("ePM10 average", result.ePM10);
    std::printf("# %s\n", particulate_matter_text(result, face_velocity).c_str());
    std::printf("# held by %s; margin %.1f points\n", result.governing_limit.c_str(), result.margin);
    std::printf("# not higher: %s; short by up to %.1f points\n", result.next_limit.c_str(), result.shortfall);
    std::printf("# not finer: %s; short by up to %.1f points\n", result.finer_group_limit.c_str(),
                result.finer_group_shortfall);
    const ParticulateMatterRule cut{ChannelAtPm25::cut_at_2500_nm};
    const ParticulateMatterClass other = particulate_matter_class(before, after, std::nullopt, cut);
    std::printf("# %s\n", particulate_matter_text(other, face_velocity).c_str());
    print("as measured", result.probabilities);
    print("counted four times as long",
          particulate_matter_class(counted(as_delivered, 0.006, correlation), counted(discharged, 0.006, correlation))
              .probabilities);
    const Uncertain<double> read_again = uncertain(0.0, 0.01, "correlation ratio, mean of nine");
    print("correlation ratio read nine times",
          particulate_matter_class(counted(as_delivered, 0.012, read_again), counted(discharged, 0.012, read_again))
              .probabilities);
    print("five sets of counts resampled 10 000 times", bootstrap_ratings(five_sets(), 10000, 1).particulate_matter);

    const WithdrawnEn779Class old = find_withdrawn_en_779_class("F7");
    std::printf("\n\n# The data sheet of the filter before, of 2013, says %s of EN 779:2012 (withdrawn in 2018): "
                "at 0.4 um\n"
                "# at least %.0f %% on average over loading to %.0f Pa, never below %.0f %%. "
                "From it follows no class of\n# ISO 16890.\n",
                std::string(old.name).c_str(), old.least_average_efficiency, old.final_resistance / Pa,
                old.least_minimum_efficiency);
}
