// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <string>
#include <vector>

#include <filterflow/study/input_doubts.hpp>

#include "study/study_bench.hpp"

using namespace filterflow;
using namespace filterflow::test;
using Catch::Matchers::StartsWith;

namespace {

StandReduction one_reading(double pressure, double flow, double uncertainty = 0.0) {
    ReducedReading reading;
    reading.flow = flow * m3_per_s;
    reading.net_pressure = uncertain(pressure * Pa, uncertainty * Pa, "gauge");
    reading.origin = "a.csv:2";
    return {{reading}, {}, {}};
}

}   // namespace

TEST_CASE("dust in the air is doubted outside what is usual, in the mean of a year", "[own][study]") {
    SystemInput system;
    CHECK_FALSE(detail::dust_doubt(system));
    for (const double usual : {1.0, 40.0, 1000.0}) {
        system.dust_concentration = Uncertain<MassConcentration>(usual * ug_per_m3);
        CHECK_FALSE(detail::dust_doubt(system));
    }
    system.dust_concentration = Uncertain<MassConcentration>(0.04 * ug_per_m3);
    CHECK(detail::dust_doubt(system)->what == "dust concentration 0.04 ug/m3");
    system.dust_concentration = Uncertain<MassConcentration>(40.0 * mg_per_m3);
    CHECK(detail::dust_doubt(system)->what == "dust concentration 40 mg/m3");
    CHECK_THAT(detail::doubt_words(*detail::dust_doubt(system)),
               Contains("usual are 1 ug/m3 to 1 mg/m3") && Contains("workplaces are limited to 15 mg/m3"));
}

TEST_CASE("dust fed is doubted by the face it was fed to, or by the medium", "[own][study]") {
    FilterInput filter;
    filter.name = "a";
    const Area face = 0.25 * m2;
    CHECK_FALSE(detail::loading_doubt(filter, face));
    filter.loading_readings = {{0.0 * kg, {}, {}}, {0.04 * kg, {}, {}}};
    CHECK_FALSE(detail::loading_doubt(filter, face));
    CHECK_FALSE(detail::loading_doubt(filter, std::nullopt));   // by nothing
    filter.loading_readings.back().dust_fed = 40.0 * kg;
    CHECK(detail::loading_doubt(filter, face)->what == "dust fed to 'a' 40 kg");
    CHECK_THAT(detail::loading_doubt(filter, face)->usual, StartsWith("usual are 1.25 g to 1.25 kg in all"));
    filter.loading_readings.back().dust_fed = 0.00004 * kg;
    CHECK(detail::loading_doubt(filter, face)->what == "dust fed to 'a' 0.04 g");
    filter.media_area = 2.5 * m2;
    CHECK_THAT(detail::loading_doubt(filter, std::nullopt)->usual, StartsWith("usual are 1.25 g to 12.5 kg in all"));
}

TEST_CASE("clean pressures are doubted as such, and by the velocity through the face", "[own][study]") {
    FilterInput filter;
    filter.name = "a";
    const Area face = 0.5 * m2;
    const auto doubted = [&](double pressure, double flow, const std::optional<Area>& of, double uncertainty = 0.0) {
        return detail::clean_pressure_doubt(filter, one_reading(pressure, flow, uncertainty), of).has_value();
    };
    CHECK_FALSE(doubted(250.0, 0.225, face));   // of high efficiency: 250 Pa at 0.45 m/s
    CHECK_FALSE(doubted(3.0, 0.5, face));       // an open foam: 3 Pa at 1 m/s
    CHECK_FALSE(doubted(999.0, 0.5, face));
    CHECK(doubted(1001.0, 0.5, face));
    CHECK(doubted(1001.0, 0.5, std::nullopt));
    CHECK_FALSE(doubted(400.0, 0.02, std::nullopt));
    CHECK(doubted(400.0, 0.02, face));          // columns exchanged: 400 Pa at 0.04 m/s
    CHECK(doubted(0.14, 0.5, face));            // inches of water read as pascals
    CHECK_FALSE(doubted(0.5, 0.5, face, 0.5));  // within the noise of its gauge
    CHECK_THAT(detail::clean_pressure_doubt(filter, one_reading(3600.0, 0.5), face)->what,
               StartsWith("clean pressure of 'a' 3600 Pa (14.5 inH2O) at 1.00 m/s (197 fpm) (a.csv:2)"));
}

TEST_CASE("doubts of any candidate condition the recommendation of a system", "[own][study]") {
    StudyInput study = known_study();
    CHECK_FALSE(evaluated(study).systems[0].conditional);
    // A doubt about another candidate than the one that is recommended.
    StudyInput doubted = known_study();
    for (LoadingReading& reading : doubted.filters[1].loading_readings) {
        reading.dust_fed *= 1000.0;
        *reading.dust_passed *= 1000.0;
    }
    const StudyResult result = evaluated(doubted);
    REQUIRE(result.systems[0].doubted_inputs.size() == 1);
    CHECK(result.systems[0].doubted_inputs[0].what == "dust fed to 'fine' 360 kg");
    CHECK(result.filters[0].doubts.empty());
    CHECK(result.filters[1].doubts.size() == 1);
    CHECK(result.systems[0].conditional);
    CHECK_THAT(result.systems[0].recommendation,
               StartsWith("Some inputs are outside what is usual (dust fed to 'fine' 360 kg), so nothing is "
                          "recommended unconditionally"));
    // Of a filter that is no candidate's nothing is asked.
    doubted.candidates.resize(1);
    CHECK(evaluated(doubted).systems[0].doubted_inputs.empty());
}

TEST_CASE("readings without a flow that cannot be repeats are told", "[own][study]") {
    const auto readings = [](std::vector<double> pressures) {
        std::vector<BenchReading> list;
        for (const double p : pressures) {
            BenchReading& reading = list.emplace_back();
            reading.pressure = p * Pa;
        }
        return list;
    };
    CHECK(detail::pooling_doubt(readings({50.0}), "'a'").empty());
    CHECK(detail::pooling_doubt(readings({50.0, 52.0, 49.0}), "'a'").empty());
    CHECK(detail::pooling_doubt(readings({1.0, 2.0}), "'a'").empty());
    CHECK_THAT(detail::pooling_doubt(readings({20.0, 50.0, 80.0}), "'a'"),
               Contains("the 3 readings of 'a' go from 20.0 Pa") && Contains("one setting of the fan"));
}
