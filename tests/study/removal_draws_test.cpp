// SPDX-License-Identifier: BSL-1.0
// Intervals of what filters remove, and of clean air, where sizes that hold much of the mass were not counted: against
// closed forms, and against joint draws.

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/capture/mass_efficiency.hpp>
#include <filterflow/study/joint_draws.hpp>

#include "study/study_bench.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

/// The known study, counted from 1 um on only, as with a plain counter: below, only bounds are known.
StudyInput coarsely_counted() {
    StudyInput study = known_study();
    for (FilterInput& f : study.filters) {
        std::erase_if(f.counts, [](const SizeRangeCounts& c) { return c.range.lower < 0.99 * um; });
    }
    return study;
}

}   // namespace

TEST_CASE("the interval of a removal keeps to what sizes that were not counted allow", "[own][study]") {
    const StudyResult result = evaluated(coarsely_counted());
    for (std::size_t k = 0; k < 2; ++k) {
        const CandidateResult& c = result.systems.at(0).candidates.at(k);
        const MassEfficiency mass = mass_efficiency(*result.filters.at(k).efficiency, urban_pm25());
        const Interval<double> stated = coverage_interval(*c.lasting_pm25_removal, 0.95);
        INFO(c.name << ": " << stated.lower << " to " << stated.upper << " within " << mass.bounds.lower << " to "
                    << mass.bounds.upper);
        CHECK(mass.bounds.upper - mass.bounds.lower > 0.3);
        // All between the bounds is as probable: the middle 95 % of it. Particles were counted by the million.
        const double width = mass.bounds.upper - mass.bounds.lower;
        CHECK(stated.lower == Approx(mass.bounds.lower + 0.025 * width).margin(0.01 * width));
        CHECK(stated.upper == Approx(mass.bounds.upper - 0.025 * width).margin(0.01 * width));
        const Interval<double> first_order =
            coverage_interval(static_cast<const Uncertain<double>&>(*c.lasting_pm25_removal), 0.95);
        CHECK(first_order.lower < mass.bounds.lower);
        CHECK(coverage_interval(*c.pm25_removal, 0.95).lower == stated.lower);
        // Clean air is that times a flow that is known far better.
        const Interval<VolumeFlow> clean_air = coverage_interval(*c.clean_air_pm25, 0.95);
        const double flow = c.clean->flow.value.value();
        CHECK(clean_air.lower.value() == Approx(flow * stated.lower).epsilon(0.02));
        CHECK(clean_air.upper.value() == Approx(flow * stated.upper).epsilon(0.02));
    }
}

TEST_CASE("the interval of clean air is that of joint draws", "[own][study]") {
    const StudyInput study = coarsely_counted();
    const StudyResult result = evaluated(study);
    JointDrawOptions options;
    options.draws = std::max<std::size_t>(200, sweep_length(3000));
    options.seed = 5;
    const JointDraws joint = joint_draws(study, study.systems.at(0), result.filters, options);
    REQUIRE(joint.clean_air.size() == 2 * joint.used);
    for (std::size_t k = 0; k < 2; ++k) {
        std::vector<double> draws(joint.clean_air.begin() + static_cast<std::ptrdiff_t>(k * joint.used),
                                  joint.clean_air.begin() + static_cast<std::ptrdiff_t>((k + 1) * joint.used));
        std::sort(draws.begin(), draws.end());
        const double n = static_cast<double>(draws.size()), width = draws.back() - draws.front();
        const auto at = [&](double share) { return draws[static_cast<std::size_t>(share * (n - 1.0))]; };
        const Interval<VolumeFlow> stated = coverage_interval(*result.systems[0].candidates[k].clean_air_pm25, 0.95);
        const double chance = 0.05 * width * std::sqrt(3000.0 / n);   // flat ends: a place is as far off as its share
        INFO(stated.lower.value() << " to " << stated.upper.value() << ", draws " << at(0.025) << " to " << at(0.975));
        CHECK(stated.lower.value() == Approx(at(0.025)).margin(0.3 * chance));
        CHECK(stated.upper.value() == Approx(at(0.975)).margin(0.3 * chance));
    }
}

TEST_CASE("a coverage too great for draws leaves removals to first order", "[own][study]") {
    StudyInput study = coarsely_counted();
    study.coverage_probability = 0.999;
    const StudyResult result = evaluated(study);
    const CandidateResult& c = result.systems.at(0).candidates.at(0);
    REQUIRE(c.lasting_pm25_removal);
    CHECK_FALSE(c.lasting_pm25_removal->covering);
    CHECK_FALSE(c.clean_air_pm25->covering);
}
