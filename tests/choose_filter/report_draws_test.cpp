// SPDX-License-Identifier: BSL-1.0
// Joint draws in the program: asked for on the command line, told on the terminal, on the page and in the files.

#include "support/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <unistd.h>

#include <nlohmann/json.hpp>

#include "choose_filter/report_checks.hpp"
#include "program.hpp"
#include "report_class_probabilities.hpp"
#include "report_console.hpp"
#include "report_draws.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "study/study_bench.hpp"
#include "study_draws.hpp"

using namespace choose_filter;
using namespace filterflow;
using filterflow::test::contains;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

StudyDraws drawn(const StudyInput& study, const StudyResult& result, std::size_t draws) {
    std::ostringstream nowhere;
    ProgressLine progress(nowhere, false, draws);
    return study_draws(study, result, draws, 5, progress);
}

struct DrawnStudy {
    StudyInput study = test::known_study();
    StudyResult result = study_result(study);
    StudyDraws draws = drawn(study, result, 60);
};
const DrawnStudy& drawn_study() {
    static const DrawnStudy one;
    return one;
}

struct ProgramRun {
    int code;
    std::string out, err;
};
ProgramRun outcome_of(const std::vector<std::string>& arguments) {
    std::vector<const char*> argv{"choose_filter"};
    for (const std::string& a : arguments) argv.push_back(a.c_str());
    std::ostringstream out, err;
    const int code = run_program(static_cast<int>(argv.size()), argv.data(), out, err);
    return {code, out.str(), err.str()};
}

}   // namespace

TEST_CASE("the line of progress tells rate and time left, and nothing where it is not watched", "[own]") {
    CHECK(progress_text(0, 4000, 0.0) == "0 of 4000 draws (0 %)");
    CHECK(progress_text(640, 4000, 32.0) == "640 of 4000 draws (16 %), 20 a second, 2 min 48 s left");
    CHECK(progress_text(4000, 4000, 32.0) == "4000 of 4000 draws (100 %), 130 a second, 0 s left");
    CHECK(progress_text(1, 100000, 0.5) == "1 of 100000 draws (0 %), 2.0 a second, 13 h 53 min left");
    std::ostringstream watched, unwatched;
    {
        ProgressLine line(watched, true, 100);
        line.tell(10, std::chrono::milliseconds(500));
        line.tell(11, std::chrono::milliseconds(550));   // too soon after the last
        line.tell(50, std::chrono::milliseconds(2500));
        ProgressLine silent(unwatched, false, 100);
        silent.tell(50, std::chrono::seconds(2));
    }
    CHECK(contains(watched.str(), "\r10 of 100 draws (10 %), 20 a second, 5 s left"));
    CHECK_FALSE(contains(watched.str(), "11 of 100"));
    CHECK(contains(watched.str(), "\r50 of 100 draws"));
    CHECK(watched.str().back() == '\r');   // wiped out at the end
    CHECK(unwatched.str().empty());
}

TEST_CASE("draws are made where they are asked for, the same for a seed, and cost nothing elsewhere", "[own]") {
    const fs::path directory = fs::temp_directory_path() / ("filterflow_draws_" + std::to_string(::getpid()));
    fs::remove_all(directory);
    REQUIRE(outcome_of({"--start", directory.string()}).code == 0);
    const std::string study = (directory / "study.toml").string();
    const ProgramRun plain = outcome_of({study}), once = outcome_of({study, "--draws", "12", "--seed", "7"});
    CHECK(plain.code == 0);
    CHECK_FALSE(contains(plain.out, "Drawn"));
    CHECK(once.code == 0);
    CHECK(contains(once.out, "Drawn 12 times, seed 7"));
    CHECK(once.err.empty());   // no terminal, no line of progress
    CHECK(outcome_of({study, "--draws", "12", "--seed", "7"}).out == once.out);
    CHECK(outcome_of({study, "--draws", "12", "--seed", "8"}).out != once.out);
    for (const char* draws : {"0", "-3", "many", "1e4", "12.0", "+12", "", " 12", "99999999999"}) {
        const ProgramRun refused = outcome_of({study, "--draws", draws});
        CHECK(refused.code == 2);
        CHECK(contains(refused.err, "--draws: '" + std::string(draws) + "' is not a whole number from 1 to "));
    }
    for (const char* seed : {"-1", "18446744073709551616", "0x7", "1.0"}) {   // neither wrapped nor cut to the largest
        const ProgramRun refused = outcome_of({study, "--draws", "1", "--seed", seed});
        CHECK(refused.code == 2);
        CHECK(contains(refused.err, "--seed: '" + std::string(seed) + "' is not a whole number from 0 to "));
    }
    CHECK(outcome_of({study, "--draws", "1", "--seed", "18446744073709551615"}).code == 0);
    CHECK(outcome_of({study, "--seed", "3"}).code == 2);
    CHECK(outcome_of({"--start", directory.string(), "--draws", "5"}).code == 2);
    fs::remove_all(directory);
}

TEST_CASE("terminal, page and files tell what the draws say, and without draws are as before", "[own]") {
    const auto& [study, result, draws] = drawn_study();
    const std::string text = console_table(study, result, &draws);
    CHECK(contains(text, "Drawn 60 times, seed 5"));
    CHECK(contains(text, "regret"));
    CHECK(contains(text, "airflow"));
    CHECK(contains(text, "on the front"));
    CHECK(contains(text, "told from 1000 draws on"));
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) CHECK(display_width(line) <= 110);

    const std::string page = report_page(study, result, &draws), bare = report_page(study, result);
    CHECK(filterflow::test::markup_faults(page).empty());
    CHECK(contains(page, "id=\"draws-1\""));
    CHECK(contains(page, "id=\"ranks-1\""));
    CHECK(contains(page, "id=\"front-1\""));
    CHECK_FALSE(contains(bare, "draws-1"));

    const auto rows = filterflow::test::csv_rows(results_csv(study, result, &draws));
    const auto bare_rows = filterflow::test::csv_rows(results_csv(study, result));
    REQUIRE(rows.size() == 3);
    for (const auto& row : rows) CHECK(row.size() == rows[0].size());
    CHECK(rows[0].size() == bare_rows[0].size() + 8);   // two ranks, none, regret, one limit, front twice, draws used
    CHECK(std::find(rows[0].begin(), rows[0].end(), "probability rank 2 [1]") != rows[0].end());
    CHECK(std::equal(bare_rows[1].begin(), bare_rows[1].end(), rows[1].begin()));

    const Json json = Json::parse(results_json(study, result, &draws));
    const Json& of = json["systems"][0]["draws"];
    CHECK(of["asked"] == 60);
    CHECK(of["seed"] == 5);
    CHECK(of["objectives"].size() == 3);
    double sum = 0.0;
    for (const Json& c : of["candidates"]) {
        for (const Json& p : c["rank_probabilities"]) sum += p.get<double>();
        sum += c["probability_without_rank"].get<double>();
        CHECK(c["expected_annual_cost"]["unit"] == study.prices.currency);
        CHECK(c["expected_regret"]["unit"] == study.prices.currency + "/year");
        CHECK(c["expected_regret"]["standard_error"].get<double>() >= 0.0);
        CHECK(c["limit_probabilities"].contains("airflow"));
    }
    CHECK(sum == Approx(2.0));
    CHECK_FALSE(Json::parse(results_json(study, result))["systems"][0].contains("draws"));
}

TEST_CASE("a tie that the draws contradict is told beside the recommendation", "[own]") {
    DrawnStudy other;
    const std::string calm = console_table(other.study, other.result, &other.draws);
    CHECK_FALSE(contains(calm, "The draws contradict this"));
    // Draws in which the one that is not recommended is cheaper each time, although first order ties the two.
    const std::size_t chosen = other.result.systems[0].recommended.value();
    DifferenceCheck d;
    d.candidate = chosen;
    d.other = 1 - chosen;
    d.cheaper_share = 0.0;
    d.tied_by_first_order = true;
    d.by_draws = DrawnTie::apart;
    d.first_order = {-20.0, 130.0};
    d.drawn = {40.0, 90.0};
    other.draws.systems[0].choice->differences = {d};
    const auto words = contradiction_words(other.study, other.result.systems[0], other.draws.systems[0]);
    REQUIRE(words.size() == 1);
    const std::string cheaper = other.result.systems[0].candidates[1 - chosen].name;
    CHECK(contains(words[0], "the study is off for the difference in yearly cost of '" + cheaper + "'"));
    CHECK(contains(words[0], "'" + cheaper + "' is cheaper in 100 % of 60 draws"));
    CHECK(contains(words[0], "40 to 90"));
    const std::string text = console_table(other.study, other.result, &other.draws);
    CHECK(contains(text, "!! The draws contradict this"));
    CHECK(text.find("!! The draws") < text.find("Limits:"));   // beside the recommendation
    const std::string page = report_page(other.study, other.result, &other.draws);
    CHECK(page.find("The draws contradict this") < page.find("id=\"system-1\""));
    CHECK(filterflow::test::markup_faults(page).empty());
    const Json json = Json::parse(results_json(other.study, other.result, &other.draws));
    const Json& difference = json["systems"][0]["draws"]["differences"][0];
    CHECK(difference["contradicts"] == true);
    CHECK(difference["by_draws"] == "apart");
    CHECK(difference["tied_by_study"] == true);
    CHECK(difference["unit"] == other.study.prices.currency);
    CHECK(difference["interval_of_study"]["lower"] == -20.0);
    CHECK(difference["interval_of_draws"]["upper"] == 90.0);
}

TEST_CASE("what the draws say of the intervals is in the units of the figures, each with its name", "[own]") {
    DrawnStudy other;
    FigureCheck energy;
    energy.candidate = 1;
    energy.figure = "energy";
    energy.mean = 3.6e9;
    energy.check.tolerance = 3.6e7;
    energy.check.first_order = {3.2e9, 4.0e9};
    energy.check.monte_carlo = {3.24e9, 4.0e9};
    energy.check.status = FirstOrderStatus::fails;
    FigureCheck air = energy;
    air.figure = "airflow";
    air.mean = 0.5;
    other.draws.systems[0].choice->checks = {energy, air};
    const Json json = Json::parse(results_json(other.study, other.result, &other.draws));
    const Json& checks = json["systems"][0]["draws"]["interval_checks"];
    REQUIRE(checks.size() == 2);
    CHECK(checks[0]["unit"] == "kWh");
    CHECK(checks[0]["mean_of_draws"].get<double>() == Approx(1000.0));
    CHECK(checks[0]["tolerance"].get<double>() == Approx(10.0));
    CHECK(checks[0]["interval_of_study"]["upper"].get<double>() == Approx(4.0e9 / 3.6e6));
    CHECK(checks[0]["interval_of_draws"]["lower"].get<double>() == Approx(900.0));
    CHECK(checks[1]["unit"] == "m3/h");
    CHECK(checks[1]["mean_of_draws"].get<double>() == Approx(1800.0));
}

TEST_CASE("a limit that no draw decides is shown as in doubt, and named as the first to measure", "[own]") {
    DrawnStudy other;
    const std::size_t chosen = other.result.systems[0].recommended.value();
    const auto text = [&] { return console_table(other.study, other.result, &other.draws); };
    CHECK_FALSE(contains(text(), "in doubt"));
    JointDraws& draws = other.draws.systems[0].draws;
    draws.limits.emplace_back().name = "removal of PM2.5";
    for (auto& holds : other.draws.systems[0].choice->limits) holds.push_back(1.0);
    other.result.systems[0].candidates[chosen].pm25_removal_as_it_runs = 0.2;
    const auto table = limits_table(other.result.systems[0], other.draws.systems[0]);
    std::size_t doubted = 0;
    for (const auto& row : table.rows) {
        for (const std::string& cell : row) doubted += cell == "in doubt";
    }
    CHECK(doubted == 1);
    CHECK(contains(doubted_words(other.result.systems[0]),
                   "does not tell whether '" + other.result.systems[0].candidates[chosen].name + "' meets the limit"));
    // Nothing is said of what single measurements are worth without saying this first.
    InformationValue info;
    info.best = 0;
    info.second = 1;
    other.draws.systems[0].choice->information = info;
    other.draws.systems[0].choice->informed_choice = {chosen, 1 - chosen};
    const auto words = sharpening_words(other.study, other.result.systems[0], other.draws.systems[0]);
    REQUIRE(words.size() == 3);
    CHECK(contains(words[1], "first of all count '" + other.result.systems[0].candidates[chosen].name + "'"));
    CHECK(contains(words[2], "apart from that, no single measurement would change the choice"));
}

TEST_CASE("candidates in another order get the same chances", "[own]") {
    const auto chances = [](const StudyInput& study) {
        const StudyResult result = study_result(study);
        const StudyDraws draws = drawn(study, result, 40);
        std::map<std::string, std::string> by_name;
        const Json json = Json::parse(results_json(study, result, &draws));
        for (Json c : json["systems"][0]["draws"]["candidates"]) by_name[c["name"]] = c.dump();
        return by_name;
    };
    StudyInput turned = test::known_study();
    std::reverse(turned.candidates.begin(), turned.candidates.end());
    std::reverse(turned.filters.begin(), turned.filters.end());
    CHECK(chances(turned) == chances(test::known_study()));
}

TEST_CASE("draws that were lost, and candidates that could not be drawn, are told", "[own]") {
    StudyInput study = test::known_study();
    study.filters[1].price = uncertain(26.0 * units::money, 20.0 * units::money, "price of fine");
    study.candidates.push_back({"without readings", {{"bare", {}, {}}}, {}});
    study.filters.push_back({});
    study.filters.back().name = "bare";
    const StudyResult result = study_result(study);
    const StudyDraws draws = drawn(study, result, 60);
    const std::string text = console_table(study, result, &draws);
    CHECK(contains(text, "'fine' could not be evaluated in"));
    CHECK(contains(text, "it takes no part"));
    CHECK(contains(text, "not drawn, for want of what stands among the missing: 'without readings'"));
    CHECK(filterflow::test::markup_faults(report_page(study, result, &draws)).empty());
}

TEST_CASE("chances as text", "[own]") {
    CHECK(chance_text(0.0) == "0");
    CHECK(chance_text(0.001) == "<1");
    CHECK(chance_text(0.314) == "31");
    CHECK(chance_text(0.998) == ">99");
    CHECK(chance_text(1.0) == "100");
    CHECK(class_chances_text({{"7", 0.1}, {"8", 0.896}, {"9", 0.004}}) == "8: 90 %, 7: 10 %");
    CHECK(class_chances_text({{"8", 0.999}, {"9", 0.001}}) == "8: >99 %");
    CHECK(class_chances_text({}).empty());
}

TEST_CASE("classes carry their probabilities, the half-way point is in the files", "[own]") {
    const auto& [study, result, draws] = drawn_study();
    REQUIRE(result.filters.at(0).minimum_efficiency.has_value());
    const auto& chances = result.filters.at(0).minimum_efficiency->probabilities;
    REQUIRE_FALSE(chances.empty());
    double sum = 0.0;
    for (const ClassProbability& c : chances) sum += c.probability;
    CHECK(sum == Approx(1.0));
    const Json json = Json::parse(results_json(study, result));
    CHECK(json["filters"][0]["minimum_efficiency_probabilities"].size() == chances.size());
    CHECK(json["filters"][0]["particulate_matter_probabilities"].empty());   // not discharged
    CHECK(contains(report_page(study, result), "Value: probability"));
    const auto rows = filterflow::test::csv_rows(results_csv(study, result));
    const auto at = [&](const std::string& head) {
        const auto found = std::find(rows[0].begin(), rows[0].end(), head);
        REQUIRE(found != rows[0].end());
        return std::stod(rows[1][static_cast<std::size_t>(found - rows[0].begin())]);
    };
    CHECK(at("airflow_middle [m3/h]") < at("airflow_clean [m3/h]"));
    CHECK(at("airflow_middle [m3/h]") > at("airflow_end [m3/h]"));
    CHECK(at("filter_pressure_middle [Pa]") < at("filter_pressure_end [Pa]"));
}

TEST_CASE("arrestance that stands in for counts is told everywhere", "[own]") {
    StudyInput study = test::known_study();
    study.filters[0].counts.clear();
    const StudyResult result = study_result(study);
    const std::string what = "the arrestance of the bench's dust stands in for the building's";
    std::string text = console_table(study, result);
    std::replace(text.begin(), text.end(), '\n', ' ');
    text.erase(std::unique(text.begin(), text.end(), [](char a, char b) { return a == ' ' && b == ' '; }), text.end());
    CHECK(contains(text, what));
    CHECK(contains(results_csv(study, result), what));
    CHECK(contains(results_json(study, result), what));
    CHECK(contains(report_page(study, result), "stands in for the building"));
}
