// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <string>

#include <filterflow/particle/size_distribution.hpp>
#include <filterflow/particle/size_range.hpp>
#include <filterflow/zone/deposition.hpp>
#include <filterflow/zone/penetration.hpp>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;

namespace {

StudyInput with_room() {   // invented
    StudyInput study = known_study();
    study.systems[0].room = RoomInput{.volume = 1500 * m3,
                                      .outdoor_air = 0.15 * m3_per_s,
                                      .infiltration = 0.2 * per_h,
                                      .penetration = {},
                                      .outdoor_pm25 = uncertain(12 * ug_per_m3, 1 * ug_per_m3, "outdoors"),
                                      .outdoor_pm10 = {}};
    return study;
}

/// Share of the outdoor mass found in that room, summed finely over size with the balance written out.
double share_of(const KnownFilter& filter, double flow, const SizeDistribution& dust, double largest) {
    const auto ranges = minimum_efficiency_size_ranges();
    double mass = 0.0, inside = 0.0;
    constexpr int n = 4000;
    for (int i = 0; i < n; ++i) {
        const Length d = 0.3 * std::pow(largest / 0.3, (i + 0.5) / n) * um;
        std::size_t k = 0;
        while (k + 1 < ranges.size() && d >= ranges[k].upper) ++k;
        const double size = geometric_mean(ranges[k]) / um;
        const double e = filter.coarse_efficiency * size / (size + 0.8);
        const double a = 0.2 / 3600, v = 1500.0;
        const double gain = a * crack_penetration(penetration_in_two_houses(), d) + 0.15 * (1 - e) / v;
        const double loss =
            a + 0.15 / v + deposition_rate(deposition_in_two_houses(), d).value() + e * (flow - 0.15) / v;
        const double q = volume_density(dust, d);
        mass += q;
        inside += q * gain / loss;
    }
    return inside / mass;
}

bool lists(const std::vector<MissingFigure>& missing, const std::string& figure, const std::string& needs) {
    for (const MissingFigure& m : missing) {
        if (m.figure.find(figure) != std::string::npos && m.needs.find(needs) != std::string::npos) return true;
    }
    return false;
}

}   // namespace

TEST_CASE("candidates by what they leave of the outdoor particles in a room", "[own][study]") {
    const StudyResult result = evaluated(with_room());
    const SystemResult& system = result.systems[0];
    for (std::size_t i = 0; i < 2; ++i) {
        const CandidateResult& c = system.candidates[i];
        const double flow = c.clean->flow.value.value();
        INFO(c.name);
        REQUIRE(c.indoor_pm25_share.has_value());
        CHECK(c.indoor_pm25_share->value ==
              Approx(share_of(known_filters()[i], flow, urban_distribution(), 2.5)).epsilon(2e-3));
        CHECK(c.indoor_pm10_share->value ==
              Approx(share_of(known_filters()[i], flow, rural_distribution(), 10.0)).epsilon(2e-3));
        CHECK(c.indoor_pm25_share->standard_uncertainty() > 0.0);
        CHECK(c.indoor_pm25->value / ug_per_m3 == Approx(12.0 * c.indoor_pm25_share->value).epsilon(1e-12));
        CHECK(std::pow(c.indoor_pm25->standard_uncertainty() / c.indoor_pm25->value, 2) ==
              Approx(1.0 / 144 + std::pow(c.indoor_pm25_share->standard_uncertainty() / c.indoor_pm25_share->value, 2))
                  .epsilon(1e-9));
        CHECK_FALSE(c.indoor_pm10.has_value());
    }
    CHECK(system.candidates[1].indoor_pm25_share->value < system.candidates[0].indoor_pm25_share->value);
    bool said = false;
    for (const std::string& warning : system.warnings)
        said = said || warning.find("indoors: steady") != std::string::npos;
    CHECK(said);
    // Ranking and cost do not look at the room.
    const StudyResult without = evaluated(known_study());
    CHECK(without.systems[0].candidates[1].annual_cost->value == system.candidates[1].annual_cost->value);
    CHECK(without.systems[0].ranking == system.ranking);
}

TEST_CASE("a charged filter counts in the room by what lasts, a gap by what it lets past", "[own][study]") {
    StudyInput study = with_room();
    study.filters[1].conditioned_counts = study.filters[0].counts;   // discharged it is no better than the coarse one
    const StudyResult result = evaluated(study);
    const auto& candidates = result.systems[0].candidates;
    REQUIRE(candidates[1].lasting_pm25_removal->value < candidates[1].pm25_removal->value);
    const double flow = candidates[1].clean->flow.value.value();
    CHECK(candidates[1].indoor_pm25_share->value ==
          Approx(share_of(known_filters()[0], flow, urban_distribution(), 2.5)).epsilon(2e-3));
    // Where the airflow is held, air past the filter is air not cleaned (at fixed speed more air flows, which may make
    // up).
    StudyInput held = known_study(FanControl::holds_airflow);
    held.systems[0].room = with_room().systems[0].room;
    const double tight = evaluated(held).systems[0].candidates[1].indoor_pm25_share->value;
    held.candidates[1].bypass_gap = 100 * cm2;
    CHECK(evaluated(held).systems[0].candidates[1].indoor_pm25_share->value > 1.05 * tight);
}

TEST_CASE("what a room lacks is listed", "[own][study]") {
    CHECK(lists(evaluated(known_study()).systems[0].missing, "indoors", "the room that the system serves"));
    StudyInput study = with_room();
    study.filters[0].counts.clear();
    const StudyResult uncounted = evaluated(study);
    CHECK_FALSE(uncounted.systems[0].candidates[0].indoor_pm25_share.has_value());
    CHECK(lists(uncounted.systems[0].candidates[0].missing, "PM2.5", "particle counts of 'coarse'"));
    CHECK(uncounted.systems[0].candidates[1].indoor_pm25_share.has_value());
    study = with_room();
    study.systems[0].room->outdoor_air = 3.0 * m3_per_s;
    const StudyResult windy = evaluated(study);
    CHECK_FALSE(windy.systems[0].candidates[0].indoor_pm25_share.has_value());
    CHECK(lists(windy.systems[0].candidates[0].missing, "indoors", "an airflow not below the outdoor air"));
    study.systems[0].room->volume = 0 * m3;
    CHECK_THROWS_WITH(evaluated(study), Contains("air handler") && Contains("volume = 0 m3"));
}
