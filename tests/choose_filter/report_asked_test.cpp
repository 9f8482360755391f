// SPDX-License-Identifier: BSL-1.0
// What hours, tariff, demand charge, carbon and years of service add to the files, the page and the terminal; and that
// nothing is added where a study does not ask for it.

#include "support/catch.hpp"

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "choose_filter/reader_studies.hpp"
#include "program.hpp"
#include "report_candidate.hpp"
#include "report_console.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using namespace filterflow;
using filterflow::test::edited;
using filterflow::test::two_pleats;

namespace {

const std::vector<std::string> asked_keys{
    "calendar_shortest", "calendar_longest",       "change_earliest",        "change_latest",
    "annual_carbon",     "monthly_peak",           "annual_demand_cost",     "indoor_pm25_mean_share",
    "indoor_pm10_mean",  "service_filters_bought", "service_present_value", "service_carbon"};

StudyInput asking_study() {
    return read_study(
        "study.toml",
        MemoryFiles(edited(two_pleats(), {{"study.toml", "hours_per_year = 1800\n", ""},
                                          {"study.toml", "limits = {least_airflow = \"800 cfm\"}\n",
                                           R"(limits = {least_airflow = "800 cfm"}
room = {volume = "400 m3", infiltration = "0.3 1/h", outdoor_pm10 = "20 ug/m3"}
schedule = {hours = [{from_hour = 7, to_hour = 12}], running_by_month = [1, 1, 1, 1, 0.2, 0.2, 0.2, 0.2, 1, 1, 1, 1]}
)"},
                                          {"study.toml", "horizon = \"10 years\"\n", R"(horizon = "10 years"
demand_per_kW_month = 12
carbon_per_kWh = "350 g +- 10 %"
years_of_service = "8 years"
change_penalty = "2 %"
labour_per_change = 3
time_of_use = [{from_hour = 8, to_hour = 10, electricity_per_kWh = "0.40 +- 5 %"}]
)"}})));
}

std::vector<std::string> keys_of(const StudyInput& study) {
    std::vector<std::string> keys;
    for (const CandidateFigure& figure : candidate_figures(study)) keys.push_back(figure.key);
    return keys;
}

}   // namespace

TEST_CASE("figures nobody asked for have no column", "[own]") {
    const StudyInput plain = read_study("study.toml", MemoryFiles(two_pleats()));
    const auto keys = keys_of(plain);
    for (const std::string& key : asked_keys) CHECK(std::find(keys.begin(), keys.end(), key) == keys.end());
    const StudyResult result = study_result(plain);
    CHECK(hours_and_prices_html(plain, result.systems.at(0)).empty());
    const auto json = nlohmann::json::parse(results_json(plain, result, nullptr));
    CHECK_FALSE(json.at("systems").at(0).contains("electricity"));
    CHECK_FALSE(json.at("systems").at(0).at("candidates").at(0).contains("filters_bought_by_stage"));
}

TEST_CASE("figures asked for are in the files, on the page and on the terminal", "[own]") {
    const StudyInput study = asking_study();
    const StudyResult result = study_result(study);
    const auto keys = keys_of(study);
    for (const std::string& key : asked_keys) {
        INFO(key);
        CHECK(std::find(keys.begin(), keys.end(), key) != keys.end());
    }
    const CandidateResult& thin = result.systems.at(0).candidates.at(0);
    REQUIRE(thin.annual_cost.has_value());
    for (const CandidateFigure& figure : candidate_figures(study)) {
        INFO(figure.key);
        const bool asked = std::find(asked_keys.begin(), asked_keys.end(), figure.key) != asked_keys.end();
        if (asked) CHECK(figure.of(thin).has_value());
    }
    // Of five hours a day two lie in the dear ones; quiet months take as much of both.
    const auto json = nlohmann::json::parse(results_json(study, result, nullptr));
    const auto& system = json.at("systems").at(0);
    CHECK(system.at("electricity").at("shares_at_time_of_use").at(0).get<double>() == Approx(0.4).epsilon(1e-9));
    CHECK(system.at("electricity").at("price").at("value").get<double>() == Approx(0.4 * 0.40 + 0.6 * 0.17));
    const auto& candidate = system.at("candidates").at(0);
    CHECK(candidate.at("filters_bought_by_stage").size() == 1);
    CHECK(candidate.at("months_between_changes_begun_in").size() == 12);
    const auto& figures = candidate.at("figures");
    CHECK(figures.at("annual_demand_cost").at("value").get<double>() ==
          Approx(12 * 12e-3 * figures.at("monthly_peak").at("value").get<double>()));
    CHECK(figures.at("annual_carbon").at("value").get<double>() ==
          Approx(0.35 * figures.at("annual_energy").at("value").get<double>()));
    CHECK(figures.at("service_carbon").at("value").get<double>() ==
          Approx(8 * figures.at("annual_carbon").at("value").get<double>()));
    CHECK(figures.at("calendar_longest").at("value").get<double>() >
          1.2 * figures.at("calendar_shortest").at("value").get<double>());

    const std::string csv = results_csv(study, result, nullptr);
    CHECK_THAT(csv, Contains("service_present_value lower ["));
    const std::string page = comparison_html(study, result, 0);
    CHECK_THAT(page, Contains("Over 8 years of service") && Contains("every day, 8 to 10 h") &&
                         Contains("Shortest and longest when begun in") && Contains("Demand charge: 12"));
    const std::string terminal = console_table(study, result, nullptr);
    CHECK_THAT(terminal, Contains("by calendar") && Contains("bought") && Contains("demand") &&
                             Contains("a kWh in the mean of the hours in which the fan runs."));
}
