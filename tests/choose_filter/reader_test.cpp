// SPDX-License-Identifier: BSL-1.0
// Small studies that are read and run, and the whole program with its exit codes and its output directory.

#include "support/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <unistd.h>

#include "choose_filter/reader_studies.hpp"
#include "data_error.hpp"
#include "program.hpp"
#include "report_console.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using namespace filterflow;
using Catch::Matchers::StartsWith;
using filterflow::test::Edit;
using filterflow::test::edited;
using filterflow::test::Files;
using filterflow::test::two_pleats;
namespace fs = std::filesystem;

namespace {

StudyInput study_of(const Files& files) { return read_study("study.toml", MemoryFiles(files)); }

std::vector<std::string> needs_of(const std::vector<MissingFigure>& missing) {
    std::vector<std::string> needs;
    for (const MissingFigure& m : missing) needs.push_back(m.figure + ": " + m.needs);
    return needs;
}

bool any_contains(const std::vector<std::string>& texts, const std::string& part) {
    return std::any_of(texts.begin(), texts.end(), [&](const auto& t) { return t.find(part) != std::string::npos; });
}

std::string refusal_of(const std::vector<Edit>& edits) {
    try {
        const StudyFile file = read_study_file("study.toml", MemoryFiles(edited(two_pleats(), edits)));
        (void)study_result(file.study, file.places);
    } catch (const DataError& error) {
        return error.what();
    }
    return "ran without an error";
}

// A directory of its own for each test, removed at its end.
class Workplace {
public:
    Workplace() : path_(fs::temp_directory_path() / ("filterflow_reader_" + std::to_string(::getpid()))) {
        fs::remove_all(path_);
        fs::create_directories(path_);
    }
    ~Workplace() {
        std::error_code ignored;
        fs::remove_all(path_, ignored);
    }
    std::string operator/(const std::string& name) const { return (path_ / name).string(); }
    void write(const Files& files) const {
        for (const auto& [name, text] : files) std::ofstream(path_ / name, std::ios::binary) << text;
    }
    std::size_t entries() const {
        return static_cast<std::size_t>(std::distance(fs::directory_iterator(path_), fs::directory_iterator()));
    }

private:
    fs::path path_;
};

struct Run {
    int code;
    std::string out, err;
};

Run run(std::vector<std::string> arguments) {
    std::vector<const char*> argv = {"choose_filter"};
    for (const std::string& a : arguments) argv.push_back(a.c_str());
    std::ostringstream out, err;
    const int code = run_program(static_cast<int>(argv.size()), argv.data(), out, err);
    return {code, out.str(), err.str()};
}

}   // namespace

TEST_CASE("a full study is read with its units and its stated uncertainties", "[own]") {
    const StudyInput study = study_of(two_pleats());
    REQUIRE(study.filters.size() == 2);
    const FilterInput& thin = study.filters[0];
    CHECK(thin.width.value().value() == Approx(0.508).epsilon(1e-12));
    CHECK(thin.pressure_readings.at(1).flow->value() == Approx(600 * 0.3048 * 0.3048 * 0.3048 / 60).epsilon(1e-12));
    CHECK(thin.pressure_readings.at(1).pressure.value() == 36.0);
    CHECK(thin.pressure_readings.at(1).origin == "thin.csv:3");
    CHECK(thin.loading_readings.back().dust_fed.value() == Approx(0.040).epsilon(1e-12));
    // "32 +- 10 %": half of a 95 % interval is 1.96 standard uncertainties.
    CHECK(study.filters[1].price->standard_uncertainty().value() == Approx(3.2 / 1.959964).epsilon(1e-6));
    CHECK(thin.price->standard_uncertainty().value() == 0.0);
    const SystemInput& house = study.systems.at(0);
    CHECK(house.dust_concentration->value.value() == Approx(40e-9).epsilon(1e-12));
    CHECK(house.dust_equivalence_is_assumed);
    CHECK(house.fan.kind == FanPressureKind::external_static);
    // Nothing is said of the air of the system: the declared standard air.
    CHECK_FALSE(house.air.has_value());
}

TEST_CASE("the room that a system serves is read", "[own]") {
    CHECK_FALSE(study_of(two_pleats()).systems.at(0).room.has_value());
    const auto with = [](const std::string& room) {
        return study_of(edited(two_pleats(), {{"study.toml", R"(limits = {least_airflow = "800 cfm"})", room}}));
    };
    const RoomInput room = with(R"(room = {volume = "420 m3", outdoor_air = "60 m3/h", infiltration = "0.3 1/h", )"
                                R"(penetration = "80 %", outdoor_pm25 = "10 ug/m3 +- 20 %"})")
                               .systems.at(0)
                               .room.value();
    CHECK(room.volume.value() == 420.0);
    CHECK(room.outdoor_air->value() == Approx(60.0 / 3600).epsilon(1e-12));
    CHECK(room.infiltration->value() == Approx(0.3 / 3600).epsilon(1e-12));
    CHECK(*room.penetration == Approx(0.8).epsilon(1e-12));
    CHECK(room.outdoor_pm25->value.value() == Approx(10e-9).epsilon(1e-12));
    CHECK(room.outdoor_pm25->standard_uncertainty().value() == Approx(2e-9 / 1.959964).epsilon(1e-6));
    CHECK_FALSE(room.outdoor_pm10.has_value());
    const RoomInput plain = with(R"(room = {volume = "9000 ft3", infiltration = "0.3 /h"})").systems.at(0).room.value();
    CHECK(plain.volume.value() == Approx(9000 * 0.3048 * 0.3048 * 0.3048).epsilon(1e-12));
    CHECK_FALSE(plain.penetration.has_value());
}

TEST_CASE("a full study runs, and what lacks readings is missing with what it needs", "[own]") {
    const StudyResult result = study_result(study_of(two_pleats()));
    const SystemResult& house = result.systems.at(0);
    REQUIRE(house.recommended.has_value());
    CHECK(house.candidates[*house.recommended].name == "thin");
    CHECK_FALSE(house.conditional);
    CHECK(house.candidates[0].annual_cost->value.value() > 0.0);
    // The deep pleat was neither counted nor loaded: airflow, but no life and no cost, and no invented ones.
    CHECK(house.candidates[1].clean.has_value());
    CHECK_FALSE(house.candidates[1].annual_cost.has_value());
    CHECK_FALSE(house.candidates[1].rank.has_value());
    std::vector<std::string> needs;
    for (const MissingFigure& m : result.filters[1].missing) needs.push_back(m.needs);
    CHECK(any_contains(needs, "loading readings of 'deep pleat'"));
    CHECK(any_contains(needs, "particle counts of 'deep pleat'"));
}

TEST_CASE("a counter with two channels gives two bands, and no class", "[own]") {
    const StudyInput study = study_of(two_pleats());
    const auto& counts = study.filters[0].counts;
    REQUIRE(counts.size() == 2);
    CHECK(counts[0].range.lower.value() == Approx(0.5e-6).epsilon(1e-12));
    CHECK(counts[0].range.upper.value() == Approx(2.5e-6).epsilon(1e-12));
    CHECK_FALSE(counts[0].range.open_above);
    CHECK(counts[1].range.open_above);
    CHECK(counts[0].upstream == std::vector<double>{9120 - 804, 9010 - 779, 9195 - 815});
    CHECK(counts[1].downstream == std::vector<double>{236, 221});
    const StudyResult result = study_result(study);
    CHECK_THAT(result.filters[0].minimum_efficiency_text, Contains("not determinable from these sizes"));
    CHECK_FALSE(result.filters[0].minimum_efficiency->lowest.has_value());
    CHECK_THAT(result.filters[0].particulate_matter_text, Contains("not classifiable"));
}

TEST_CASE("more particles downstream than upstream is a warning with size and likely cause", "[own]") {
    const StudyResult result = study_result(study_of(edited(
        two_pleats(), {{"counts.csv", "6640,236", "16640,236"}, {"counts.csv", "6725,221", "16725,221"}})));
    CHECK(
        any_contains(result.filters[0].warnings, "counts 0.5-2.5 um: more particles behind the filter than before it"));
    CHECK(any_contains(result.filters[0].warnings, "likely a leak"));
    const StudyResult good = study_result(study_of(two_pleats()));
    CHECK_FALSE(any_contains(good.filters[0].warnings, "more particles behind"));
    // What is said of every channel is said once.
    CHECK(any_contains(good.filters[0].warnings, "counts in every channel: no background measured upstream"));
    CHECK_FALSE(any_contains(good.filters[0].warnings, "um: no background measured"));
}

TEST_CASE("pressures alone give the order", "[own]") {
    const StudyResult result = study_result(study_of({{"study.toml", R"(
[stand]
empty_stand = "empty.csv"
[[filter]]
name = "a"
width = "20 in"
height = "20 in"
pressure = "a.csv"
[[filter]]
name = "b"
width = "20 in"
height = "20 in"
pressure = "b.csv"
)"},
                                                      {"empty.csv", "pressure [inH2O]\n0.02\n"},
                                                      {"a.csv", "pressure [inH2O]\n0.32\n"},
                                                      {"b.csv", "pressure [inH2O]\n0.21\n"}}));
    REQUIRE(result.stand.has_value());
    REQUIRE(result.stand->pressure_only.has_value());
    const auto& places = result.stand->pressure_only->places;
    REQUIRE(places.size() == 2);
    CHECK(places[0].name == "b");
    CHECK(places[1].name == "a");
    // At least the net reading, at the flow of the empty stand.
    CHECK(places[1].lower_bound->value.value() == Approx(0.30 * 249.08891).epsilon(1e-9));
    CHECK_FALSE(result.filters[0].curve.has_value());
    CHECK(result.systems.empty());
}

TEST_CASE("pressures alone need no description of the stand", "[own]") {
    const StudyInput study = study_of({{"study.toml", R"(
[[filter]]
name = "a"
pressure = "a.csv"
[[filter]]
name = "b"
pressure = "b.csv"
)"},
                                       {"a.csv", "pressure [inH2O]\n0.32\n"},
                                       {"b.csv", "pressure [inH2O]\n0.21\n"}});
    const StudyResult result = study_result(study);
    REQUIRE((result.stand && result.stand->pressure_only));
    CHECK(result.stand->pressure_only->places.at(0).name == "b");
    CHECK(any_contains(result.stand->pressure_only->flags, "no reading of the empty stand"));
    CHECK_THAT(console_table(study, result, nullptr), Contains("as read [Pa]") && Contains("79.7") && Contains("52.3"));
}

TEST_CASE("a study of counts alone tells what they say", "[own]") {
    const StudyInput study = study_of({{"study.toml", "[[filter]]\nname = \"a\"\ncounts = \"counts.csv\"\n"},
                                       {"counts.csv", two_pleats().at("counts.csv")}});
    CHECK_THAT(console_table(study, study_result(study), nullptr),
               Contains("Particles stopped when new") && Contains("% of 0.5-2.5 µm"));
}

TEST_CASE("readings that reach no face velocity are compared at a flow", "[own]") {
    const StudyInput study = study_of(edited(
        two_pleats(), {{"thin.csv", "", "flow [cfm],pressure [Pa]\n800,53\n"},
                       {"deep.csv", "", "flow [cfm],pressure [Pa]\n800,37\n"},
                       {"study.toml", "loading = \"loading.csv\"\n", ""}}));
    const StudyResult result = study_result(study);
    for (const FilterResult& filter : result.filters) {
        CHECK(any_contains(needs_of(filter.missing),
                           "pressures at common face velocities: readings of '" + filter.name));
        REQUIRE(filter.pressure_at_flows.size() == 1);
        CHECK(filter.pressure_at_flows[0].has_value());
    }
    CHECK(any_contains(result.warnings, "no reading reaches a face velocity to compare pressures at"));
}

TEST_CASE("the flow is inferred from the stand's fan table", "[own]") {
    // Readings at points of the table, in the table's air: the flows are the table's.
    const StudyResult result =
        study_result(study_of({{"study.toml", R"(
[stand]
air = {temperature = "20 degC", pressure = "101.325 kPa", relative_humidity = "0 %"}
flow = "fan table"
fan = {table = "fan.csv", pressure = "static", stated_air = {temperature = "20 degC", pressure = "101.325 kPa", relative_humidity = "0 %"}}
[[filter]]
name = "a"
width = "20 in"
height = "20 in"
pressure = "a.csv"
)"},
                               {"fan.csv", "flow [m3/h],static pressure [Pa]\n0,300\n720,270\n1440,180\n2160,40\n"},
                               {"a.csv", "fan pressure [Pa],pressure [Pa]\n180,60\n270,22\n"}}));
    const auto& readings = result.filters.at(0).readings;
    REQUIRE(readings.size() == 2);
    CHECK(readings[0].flow->value.value() == Approx(0.4).epsilon(1e-9));
    CHECK(readings[1].flow->value.value() == Approx(0.2).epsilon(1e-9));
    CHECK(result.filters[0].curve.has_value());
}

TEST_CASE("what only the whole study shows is refused at its place", "[own]") {
    CHECK(refusal_of({{"study.toml", "0.3 inH2O", "5 inH2O"}}) ==
          "study.toml:36:8: the fan cannot serve the system 'house', whichever candidate is installed\n"
          "  'thin': no operating point with clean filters: fan and system would meet at less flow than the fan table "
          "has; the fan table goes from 1189 m3/h (700 cfm) to 2005 m3/h (1180 cfm), and at its least flow ducts and "
          "filters need 671 Pa (2.69 inH2O), the fan gives 224 Pa (0.900 inH2O)\n"
          "   36 | name = \"house\"\n"
          "      |        ^\n"
          "hint: check the fan table, the resistance of ducts and parts, and their units");
    const std::string below = refusal_of({{"study.toml", "125 Pa", "60 Pa"}});
    CHECK(below ==
          "study.toml:29:54: system 'house', candidate 'thin': final resistance 60.0 Pa (0.241 inH2O) of stage 1; "
          "required: "
          "above its clean pressure drop, 61.4 Pa (0.247 inH2O) at 1673 m3/h (984.6 cfm), where the system runs\n"
          "   29 | stages = [{filter = \"thin pleat\", final_resistance = \"60 Pa\", greatest_age = \"12 months\"}]\n"
          "      |                                                      ^");
    // Without places the file is named.
    CHECK_THROWS_WITH(study_result(study_of(edited(two_pleats(), {{"study.toml", "125 Pa", "60 Pa"}}))),
                      StartsWith("study.toml: system 'house', candidate 'thin': final resistance 60.0 Pa"));
}

TEST_CASE("what a reading contradicts is told at its line, in words of the trade", "[own]") {
    const std::string net = refusal_of({{"thin.csv", "600,36", "600,0"}});
    CHECK_THAT(net, StartsWith("thin.csv:3:5: filter 'thin pleat': reading 2 (thin.csv:3): net pressure = -4.34") &&
                        Contains("the empty stand alone takes 4.34") && Contains("    3 | 600,0\n"));
    const std::string flat = refusal_of({{"loading.csv", "",
                                          "dust fed [g],dust passed [g],flow [cfm],pressure "
                                          "[Pa]\n0,0,980,73\n5,0.6,980,73\n10,1.3,980,72.5\n20,2.5,980,73\n"}});
    CHECK_THAT(
        flat, StartsWith("loading.csv:5:12: filter 'thin pleat': loading readings: the pressure does not grow with the "
                         "dust beyond the scatter of the readings") &&
                  Contains("Likely the dust did not reach the filter"));
    for (const std::string& message : {net, flat}) {
        CHECK(message.find("reduce_filter_readings") == std::string::npos);
        CHECK(message.find("fit_loading") == std::string::npos);
        CHECK(message.find("e^40") == std::string::npos);
    }
}

TEST_CASE("a wrong unit of clean readings is told where it shows", "[own]") {
    const std::string with_loading = refusal_of({{"thin.csv", "pressure [Pa]", "pressure [inH2O]"}});
    CHECK_THAT(with_loading,
               StartsWith("thin.csv:2:5: filter 'thin pleat': clean readings: clean pressure of 'thin pleat' 5") &&
                   Contains("usual are 1 to 2000 Pa for each m/s of face velocity and up to 1000 Pa") &&
                   Contains("The loading test has 61.4 Pa"));
    // Columns swapped, and a pressure of the barometer, are told at the clean file, too.
    CHECK_THAT(refusal_of({{"thin.csv", "flow [cfm],pressure [Pa]", "pressure [Pa],flow [cfm]"}}),
               StartsWith("thin.csv:2:1: ") && Contains("are units and columns right"));
    CHECK_THAT(refusal_of({{"thin.csv", "600,36", "600,101325"}}), StartsWith("thin.csv:3:5: "));
    // A loading test of another filter is told where it stands.
    CHECK_THAT(refusal_of({{"loading.csv", "0,0,980,73", "0,0,980,273"}}),
               StartsWith("loading.csv:2:") && Contains("before any dust at") &&
                   Contains("where the clean readings give") && Contains("allowed: half to twice of that"));
    // 1.4 times the clean curve before dust may be another sample; without loading readings a doubt is all there is.
    const StudyResult other =
        study_result(study_of(edited(two_pleats(), {{"loading.csv", "0,0,980,73", "0,0,980,97"}})));
    CHECK(any_contains(other.filters[0].warnings, "another sample, or one of the two readings is wrong"));
    const StudyResult doubted = study_result(study_of(edited(
        two_pleats(), {{"deep.csv", "pressure [Pa]", "pressure [inH2O]"}})));
    CHECK(any_contains(doubted.filters[1].warnings, "(deep.csv:2) is outside what is usual"));
    CHECK(doubted.systems[0].conditional);
    CHECK_THAT(doubted.systems[0].recommendation,
               StartsWith("Some inputs are outside what is usual (clean pressure of 'deep pleat' 3490 Pa"));
    const StudyResult good = study_result(study_of(two_pleats()));
    CHECK_FALSE(good.systems[0].conditional);
    for (const FilterResult& filter : good.filters) {
        CHECK(filter.doubts.empty());
        CHECK_FALSE(any_contains(filter.warnings, "another sample"));
    }
}

TEST_CASE("dust a thousand times too much or too little is told, and conditions the recommendation", "[own]") {
    struct Slip {
        Edit edit;
        std::string what;
    };
    const std::string fed = "dust fed [g],dust passed [g]";
    for (const Slip& slip :
         {Slip{{"study.toml", "40 ug/m3 +- 50 %", "40 mg/m3"}, "dust concentration 40 mg/m3"},
          Slip{{"study.toml", "40 ug/m3 +- 50 %", "0.04 ug/m3"}, "dust concentration 0.04 ug/m3"},
          Slip{{"loading.csv", fed, "dust fed [kg],dust passed [kg]"}, "dust fed to 'thin pleat' 40 kg"},
          Slip{{"loading.csv", fed, "dust fed [mg],dust passed [mg]"}, "dust fed to 'thin pleat' 0.04 g"}}) {
        INFO(slip.what);
        const StudyResult result = study_result(study_of(edited(two_pleats(), {slip.edit})));
        const SystemResult& system = result.systems.at(0);
        CHECK(system.conditional);
        CHECK_THAT(system.recommendation,
                   StartsWith("Some inputs are outside what is usual (" + slip.what +
                              "), so nothing is recommended unconditionally; by cost alone it would be 'thin'"));
        const bool told = any_contains(system.warnings, slip.what + " is outside what is usual; usual are ") ||
                          any_contains(result.filters[0].warnings, slip.what + " is outside what is usual; usual are ");
        CHECK(told);
    }
}

TEST_CASE("of counts that show more behind the filter than before it nothing is computed", "[own]") {
    const std::vector<std::string> sizes{"0.3-0.4", "0.4-0.55", "0.55-0.7", "0.7-1.0", "1.0-1.3", "1.3-1.6",
                                         "1.6-2.2", "2.2-3.0",  "3.0-4.0",  "4.0-5.5", "5.5-7.0", "7.0-10"};
    std::string header = "place,duration [s]", up = "upstream,60", down = "downstream,60";
    int count = 40000;
    for (const std::string& size : sizes) {
        header += "," + size + " [um]";
        up += "," + std::to_string(count);
        down += "," + std::to_string(count * 17 / 10);
        count = count * 3 / 4;
    }
    const std::string text = header + "\n" + up + "\n" + down + "\n" + up + "\n" + down + "\n" + up + "\n";
    const StudyResult result = study_result(study_of(edited(
        two_pleats(), {{"counts.csv", "", text},
                       {"study.toml", "limits = {",
                        "room = {volume = \"420 m3\", infiltration = \"0.3 1/h\"}\nlimits = {"}})));
    const CandidateResult& thin = result.systems.at(0).candidates.at(0);
    CHECK(thin.counts_contradict);
    CHECK_FALSE(thin.pm25_removal);
    CHECK_FALSE(thin.pm10_removal);
    CHECK_FALSE(thin.lasting_pm25_removal);
    CHECK_FALSE(thin.clean_air_pm25);
    CHECK_FALSE(thin.indoor_pm25_share);
    CHECK_FALSE(thin.indoor_pm10_share);
    CHECK_FALSE(thin.cost_per_clean_air);
    const FilterResult& filter = result.filters.at(0);
    CHECK(filter.minimum_efficiency->contradicted);
    CHECK_FALSE(filter.minimum_efficiency->lowest);
    CHECK_FALSE(filter.minimum_efficiency->E1);
    CHECK_THAT(filter.minimum_efficiency_text, Contains("not determinable: E1 (0.3-1 um) would be below zero"));
    CHECK(filter.particulate_matter->highest_class.empty());
    CHECK_FALSE(filter.particulate_matter->ePM1_untreated);
}

TEST_CASE("two channels of which one shows more behind the filter carry no removal, and no dust caught", "[own]") {
    // Of the sizes not counted anything may be: the interval of the mass reaches above zero all the same.
    const Files files = edited(two_pleats(), {{"counts.csv", "6640,236", "16640,236"},
                                              {"counts.csv", "6725,221", "16725,221"}});
    const StudyResult result = study_result(study_of(files));
    const CandidateResult& thin = result.systems.at(0).candidates.at(0);
    CHECK(thin.counts_contradict);
    CHECK_FALSE(thin.pm25_removal);
    CHECK_FALSE(thin.clean_air_pm25);
    CHECK_FALSE(thin.cost_per_clean_air);
    const StudyResult sound = study_result(study_of(two_pleats()));
    CHECK(sound.systems.at(0).candidates.at(0).pm25_removal);
    CHECK_FALSE(sound.systems.at(0).candidates.at(0).counts_contradict);
}

TEST_CASE("an empty stand that reads zero takes nothing off, within its gauge", "[own]") {
    const Edit zero{"empty.csv", "", "flow [cfm],pressure [Pa]\n400,0\n600,0\n800,0\n1000,0\n"};
    const StudyResult result = study_result(study_of(edited(two_pleats(), {zero})));
    CHECK(any_contains(result.filters[0].warnings, "the empty stand read 0 at every flow: nothing is taken off"));
    REQUIRE(result.systems.at(0).recommended);
    CHECK_FALSE(result.systems[0].conditional);
    CHECK(result.filters[0].readings.at(1).net_pressure->value.value() == 36.0);
    // A filter that shows nothing at all is refused at its own line.
    CHECK_THAT(refusal_of({zero, {"deep.csv", "", "flow [cfm],pressure [Pa]\n400,0\n1000,0\n"}}),
               StartsWith("deep.csv:2:5: filter 'deep pleat': clean readings (deep.csv:2): "));
}

TEST_CASE("pressures without a flow at several settings are told, and counts serve without a flow", "[own]") {
    const StudyResult result = study_result(study_of(edited(
        two_pleats(), {{"study.toml", "flow = \"flow meter\"\n", ""},
                       {"study.toml", "loading = \"loading.csv\"\n", ""},
                       {"empty.csv", "", "pressure [Pa]\n4\n4\n"},
                       {"thin.csv", "", "pressure [Pa]\n20\n50\n80\n"},
                       {"deep.csv", "", "pressure [Pa]\n30\n31\n"}})));
    CHECK(any_contains(result.stand->pressure_only->flags, "the 3 readings of 'thin pleat' go from 20.0 Pa"));
    CHECK(any_contains(result.stand->pressure_only->flags, "only readings at one setting of the fan may be"));
    CHECK_FALSE(any_contains(result.stand->pressure_only->flags, "deep pleat"));
    const CandidateResult& thin = result.systems.at(0).candidates.at(0);
    REQUIRE(thin.lasting_pm25_removal);
    CHECK_FALSE(thin.clean_air_pm25);
    CHECK(any_contains(thin.warnings,
                       "its removal was counted at 1.50 m/s (295 fpm); at which face velocity it would run is not"));
}

TEST_CASE("a tare as great as a reading is told with the empty stand", "[own]") {
    // The readings of 800 and 1000 cfm are then below the tare, within its own scatter.
    CHECK_THAT(refusal_of({{"empty.csv", "800,8", "800,60"}, {"empty.csv", "1000,12", "1000,90"}}),
               StartsWith("thin.csv:2:") && Contains("These are pressures less the empty stand's at the same flow"));
    CHECK_THAT(refusal_of({{"loading.csv", "0,0,980,73", "0,0,980,11"}}),
               StartsWith("loading.csv:2:") && Contains("net pressure = -") &&
                   Contains("the empty stand alone takes as much or more"));
}

TEST_CASE("files whose lines end in a carriage return alone are read", "[own]") {
    const auto returns = [](std::string text) {
        std::replace(text.begin(), text.end(), '\n', '\r');
        return text;
    };
    Files files = two_pleats();
    for (auto& [name, text] : files) text = returns(text);
    const StudyInput study = study_of(files);
    REQUIRE(study.filters.size() == 2);
    CHECK(study.filters[0].pressure_readings.at(1).pressure.value() == 36.0);
    CHECK(study.filters[0].pressure_readings.at(1).origin == "thin.csv:3");
}

namespace {

const std::string fan_line = "fan = {table = \"fan.csv\", pressure = \"external static\"}\n";
const std::string ducts_line =
    "ducts = {design_flow = \"1000 cfm\", design_pressure = \"0.3 inH2O\", exponent = 1.9}\n";
const std::string face_lines = "width = \"20 in\"\nheight = \"20 in\"\n";

}   // namespace

TEST_CASE("a system without its fan or its ducts leaves its figures missing, and the bench half stands", "[own]") {
    const StudyResult whole = study_result(study_of(two_pleats()));
    const std::vector<std::pair<std::string, std::string>> lacking = {
        {fan_line, "the fan table of system 'house'"},
        {ducts_line, "the resistance of ducts and parts of system 'house'"}};
    for (const auto& [line, words] : lacking) {
        const StudyResult result = study_result(study_of(edited(two_pleats(), {{"study.toml", line, ""}})));
        const SystemResult& house = result.systems.at(0);
        const auto needs = needs_of(house.missing);
        REQUIRE(needs.size() == 1);
        CHECK_THAT(needs[0], Contains(words) && StartsWith("airflow, "));
        REQUIRE(house.candidates.size() == 2);
        for (const CandidateResult& candidate : house.candidates) {
            CHECK_FALSE(candidate.clean.has_value());
            CHECK_FALSE(candidate.annual_cost.has_value());
        }
        CHECK_FALSE(house.recommended.has_value());
        for (std::size_t f = 0; f < 2; ++f) {
            REQUIRE(result.filters[f].pressure_at_velocities.size() == 2);
            CHECK(result.filters[f].pressure_at_velocities[0]->value ==
                  whole.filters[f].pressure_at_velocities[0]->value);
        }
        CHECK(result.filters[0].loading.has_value());
    }
}

TEST_CASE("filters without a face are compared at flows", "[own]") {
    // With what the study says of systems, and without it.
    const StudyInput study =
        study_of(edited(two_pleats(), {{"study.toml", face_lines, ""}, {"study.toml", face_lines, ""}}));
    CHECK(study.comparison_velocities.empty());
    const StudyResult result = study_result(study);
    REQUIRE(result.comparison_flows.size() == 2);
    // The greatest flow that both reach, 1000 cfm, and half of it.
    CHECK(result.comparison_flows[1].value() == Approx(1000 * 0.3048 * 0.3048 * 0.3048 / 60).epsilon(1e-9));
    CHECK(result.comparison_flows[0].value() == Approx(0.5 * result.comparison_flows[1].value()).epsilon(1e-12));
    CHECK(any_contains(result.warnings, "no flow or face velocity to compare pressures at is stated"));
    for (const FilterResult& filter : result.filters) {
        CHECK(filter.pressure_at_velocities.empty());
        REQUIRE(filter.pressure_at_flows.size() == 2);
        CHECK(filter.pressure_at_flows[1]->value.value() > filter.pressure_at_flows[0]->value.value());
        CHECK(any_contains(needs_of(filter.missing),
                           "pressures at common face velocities: width and height of '" + filter.name));
    }
    // 75 Pa read, 12 of them of the empty stand.
    CHECK(result.filters[0].raw_pressure_at_flows[1]->value() == Approx(75).epsilon(1e-9));
    CHECK(result.filters[0].pressure_at_flows[1]->value.value() == Approx(63).margin(1.0));
    // Airflow is still found; face velocity is not, and dust has no area to count on.
    const SystemResult& house = result.systems.at(0);
    CHECK(house.candidates[0].clean.has_value());
    CHECK_FALSE(house.candidates[0].face_velocity.has_value());
    CHECK_FALSE(result.filters[0].loading.has_value());
    CHECK(any_contains(needs_of(result.filters[0].missing), "or its media area"));
    CHECK(any_contains(needs_of(house.candidates[0].missing), "face velocity: width and height of 'thin pleat'"));
}

TEST_CASE("an opened filter needs no face for its life, only for its face velocity", "[own]") {
    const StudyResult result = study_result(
        study_of(edited(two_pleats(), {{"study.toml", face_lines, "media_area = \"1.2 m2\"\n"},
                                       {"study.toml", "least_airflow = \"800 cfm\"",
                                        "least_airflow = \"800 cfm\", greatest_face_velocity = \"500 fpm\""}})));
    REQUIRE(result.filters[0].loading.has_value());
    CHECK(result.filters[0].loading->area.value() == Approx(1.2));
    const CandidateResult& thin = result.systems.at(0).candidates.at(0);
    CHECK(thin.change_interval.has_value());
    CHECK_FALSE(thin.face_velocity.has_value());
    CHECK(any_contains(thin.failed_limits, "face velocity is not known, limit at most 2.54 m/s"));
    CHECK(result.systems[0].candidates[1].face_velocity.has_value());
}

TEST_CASE("pressures are compared at the flows that a study names", "[own]") {
    const StudyResult result = study_result(study_of(edited(
        two_pleats(), {{"study.toml", "title = \"Two pleats\"", "comparison_flows = [\"700 cfm\", \"1200 cfm\"]"}})));
    REQUIRE(result.comparison_flows.size() == 2);
    const FilterResult& thin = result.filters[0];
    CHECK(thin.pressure_at_velocities.empty());
    REQUIRE(thin.pressure_at_flows.size() == 2);
    CHECK(thin.pressure_at_flows[0]->value.value() == Approx(38.5).margin(1.0));
    CHECK(thin.raw_pressure_at_flows[0]->value() == Approx(44.5).epsilon(1e-9));   // half way from 36 to 53
    CHECK_FALSE(thin.pressure_at_flows[1].has_value());                            // beyond the readings
    CHECK_FALSE(thin.raw_pressure_at_flows[1].has_value());
    CHECK_FALSE(any_contains(result.warnings, "to compare pressures at is stated"));
    // Without a word on either, at the usual face velocities, which is said.
    const StudyResult usual = study_result(study_of(two_pleats()));
    CHECK(usual.comparison_flows.empty());
    CHECK(usual.filters[0].pressure_at_velocities.size() == 2);
    CHECK(any_contains(usual.warnings, "compared at face velocities of 1.5 and 2.5 m/s"));
}

TEST_CASE("speed tap and motor of a fan are read", "[own]") {
    const StudyInput study = study_of(edited(
        two_pleats(), {{"study.toml", "pressure = \"external static\"}",
                        "pressure = \"external static\", speed_tap = \"medium high\", motor = \"electronically "
                        "commutated, constant torque\"}"}}));
    CHECK(study.systems[0].fan_description.speed_tap == "medium high");
    CHECK(study.systems[0].fan_description.motor == MotorKind::constant_torque);
    CHECK_FALSE(study_of(two_pleats()).systems[0].fan_description.motor.has_value());
}

TEST_CASE("doubts about an input are among the warnings", "[own]") {
    const auto warnings = [](const std::vector<Edit>& edits) {
        return study_result(study_of(edited(two_pleats(), edits))).warnings;
    };
    const std::vector<Edit> grouped = {{"counts.csv", "downstream,60,6640,236\nupstream,60,9010,779\n",
                                        "upstream,60,9010,779\ndownstream,60,6640,236\n"}};
    CHECK(any_contains(warnings(grouped), "counts.csv:3: this sample is out of turn"));
    CHECK(any_contains(warnings({{"study.toml", "\"0.17 +- 10 %\"", "17"}}), "a kWh costs 17"));
    CHECK_FALSE(any_contains(warnings({}), "out of turn"));
    CHECK_FALSE(any_contains(warnings({}), "a kWh costs"));
}

TEST_CASE("a message is about the narrowest thing that it names", "[own]") {
    StudyPlaces places;
    const auto line = [](std::size_t n) { return SourcePlace{"study.toml", n, 1, "x"}; };
    places.add({"system 'house'"}, line(1));
    places.add({"candidate 'thin'"}, line(2));
    places.add({"candidate 'thin'", "final resistance", "stage 2"}, line(3));
    places.add({"filter 'house'"}, line(4));
    CHECK(places.place_of("system 'house', fan and ducts: x", "f").line == 1);
    CHECK(places.place_of("system 'house', candidate 'thin': x", "f").line == 2);
    CHECK(places.place_of("system 'house', candidate 'thin': final resistance of stage 2", "f").line == 3);
    CHECK(places.place_of("system 'house', candidate 'thin': final resistance of stage 1", "f").line == 2);
    CHECK(places.place_of("filter 'house': x", "f").line == 4);
    CHECK(places.place_of("something else", "f").line == 0);
    CHECK(places.place_of("something else", "f").path == "f");
}

TEST_CASE("the program leaves its output directory alone when it fails", "[own]") {
    const Workplace place;
    place.write(edited(two_pleats(), {{"thin.csv", "600,36", "600,-36"}}));
    const std::size_t before = place.entries();
    Run failed = run({place / "study.toml", "--out", place / "out"});
    CHECK(failed.code == 1);
    CHECK(failed.out.empty());
    CHECK_THAT(failed.err, StartsWith("choose_filter: ") && Contains("thin.csv:3:5: the pressure -36 Pa is negative"));
    CHECK(place.entries() == before);

    // Nor does a failure of the study itself touch what is there.
    fs::create_directory(place / "out");
    std::ofstream(place / "out/report.html") << "an earlier report";
    place.write(edited(two_pleats(), {{"study.toml", "0.3 inH2O", "5 inH2O"}}));
    failed = run({place / "study.toml", "--out", place / "out"});
    CHECK(failed.code == 1);
    CHECK(place.entries() == before + 1);
    CHECK(std::distance(fs::directory_iterator(place / "out"), fs::directory_iterator()) == 1);
    std::string kept;
    std::getline(std::ifstream(place / "out/report.html"), kept);
    CHECK(kept == "an earlier report");
}

TEST_CASE("the program ends with 2 when it is called wrongly", "[own]") {
    CHECK(run({}).code == 2);
    CHECK_THAT(run({}).err, StartsWith("choose_filter: a study file is needed, or --start DIR to write one"));
    CHECK(run({"a.toml", "b.toml"}).code == 2);
    CHECK(run({"a.toml", "--start", "x"}).code == 2);
    CHECK(run({"a.toml", "--what"}).code == 2);
    const Run help = run({"--help"});
    CHECK(help.code == 0);
    CHECK_THAT(help.out, Contains("--start") && Contains("--out"));
}

TEST_CASE("the study to begin from runs as it is written, and is never written over", "[own]") {
    const Workplace place;
    const Run start = run({"--start", place / "mine"});
    CHECK(start.code == 0);
    const StudyResult result = study_result(read_study(place / "mine/study.toml"));
    REQUIRE(result.systems.size() == 1);
    CHECK(result.systems[0].recommended.has_value());
    CHECK_FALSE(result.systems[0].conditional);
    CHECK(result.filters.size() == 2);
    // Nothing is missing of it: it shows all that a study can give.
    CHECK(result.missing.empty());
    for (const FilterResult& filter : result.filters) {
        CHECK(filter.missing.empty());
        for (const auto& pressure : filter.pressure_at_velocities) CHECK(pressure.has_value());
    }
    for (const CandidateResult& candidate : result.systems[0].candidates) {
        CHECK(candidate.missing.empty());
        CHECK(candidate.rank.has_value());
    }
    const Run again = run({"--start", place / "mine"});
    CHECK(again.code == 1);
    CHECK_THAT(again.err, Contains("the file is there already; nothing was written"));
}

TEST_CASE("the words of the fuzz target hold every table and key", "[own]") {
    std::ifstream in(std::string(FILTERFLOW_TEST_DIR) + "/fuzz/study_reader.dict");
    const std::string words{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    REQUIRE_FALSE(words.empty());
    const auto holds = [&](const std::string& word) { return words.find("\"" + word + "\"\n") != std::string::npos; };
    for (const std::string& table : study_tables()) {
        const bool has_header = !table.empty() && table != "air" && table != "candidate.stages";
        INFO("table " << table);
        CHECK((!has_header || holds("[" + table + "]") || holds("[[" + table + "]]")));
        for (const std::string& key : study_keys(table)) {
            INFO(table << " " << key);
            CHECK(holds(key));
        }
    }
}

TEST_CASE("the manual lists every table and key", "[own]") {
    std::ifstream in(std::string(FILTERFLOW_TEST_DIR) + "/../docs/choose_filter.md");
    const std::string manual{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    REQUIRE_FALSE(manual.empty());
    for (const std::string& table : study_tables()) {
        std::size_t section = 0;
        if (!table.empty()) {
            section = manual.find("\n### `" + table + "`");
            INFO("table " << table);
            CHECK(section != std::string::npos);
            if (section == std::string::npos) continue;
        }
        const std::string text =
            table.empty() ? manual : manual.substr(section, manual.find("\n#", section + 2) - section);
        for (const std::string& key : study_keys(table)) {
            INFO(table << " " << key);
            CHECK(text.find("`" + key + "`") != std::string::npos);
        }
    }
}
