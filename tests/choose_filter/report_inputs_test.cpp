// SPDX-License-Identifier: BSL-1.0
// What was put in, as the report shows it: filters tested, fans, claimed lives, pressures at common flows.

#include "support/catch.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "choose_filter/reader_studies.hpp"
#include "choose_filter/report_checks.hpp"
#include "choose_filter/report_synthetic_study.hpp"
#include "program.hpp"
#include "report_console.hpp"
#include "report_files.hpp"
#include "report_html.hpp"
#include "report_inputs.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using namespace filterflow;
using filterflow::test::contains;
using filterflow::test::edited;
using filterflow::test::markup_faults;
using filterflow::test::two_pleats;
using nlohmann::json;

namespace {

/// The synthetic study with what a package says of its filters.
filterflow::test::SyntheticStudy stated_study() {
    auto s = filterflow::test::synthetic_study();
    FilterInput& first = s.study.filters[0];
    first.depth = 1 * units::inch;
    first.pleat_count = 26;
    first.price = uncertain(Money::from_value(8.4), Money::from_value(0.4), "price");
    first.claimed_life = 3 * units::month;
    s.study.filters[1].free_area = Area::from_value(0.31);
    s.study.systems[0].fan_description = {"medium <high>", MotorKind::constant_torque};
    return s;
}

}   // namespace

TEST_CASE("the page shows the filters tested and the fans as stated", "[own]") {
    const auto s = stated_study();
    const std::string page = report_page(s.study, s.result);
    CHECK(markup_faults(page).empty());
    const std::string inputs = inputs_html(s.study, s.result);
    CHECK(contains(page, inputs));
    CHECK(contains(inputs, "610 x 610 (24.0 x 24.0 in)"));
    CHECK(contains(inputs, "0.310 m² open"));
    CHECK(contains(inputs, "<span class=\"value\">26</span>"));
    CHECK(contains(inputs, "8.4 ± 0.8"));
    CHECK(contains(inputs, "3 months"));
    CHECK(contains(inputs, "medium &lt;high&gt;"));
    CHECK(contains(inputs, "electronically commutated, constant torque"));
    CHECK(contains(inputs, "scaling it with density is an approximation"));
    CHECK(contains(inputs, "no fan table"));   // as the synthetic systems have none
    // A study of nothing but pressures has the section too.
    const auto bare = filterflow::test::synthetic_pressures_only();
    CHECK(markup_faults(report_page(bare.study, bare.result)).empty());
    CHECK_FALSE(contains(inputs_html(bare.study, bare.result), "Claimed life and forecast"));
}

TEST_CASE("a claimed life stands beside the forecast, and a sentence where they differ", "[own]") {
    auto s = stated_study();
    // 350 running hours of 4200 a year are one calendar month.
    CandidateResult& candidate = s.result.systems[0].candidates[0];
    candidate.change_interval = uncertain(700.0 * units::h, 50.0 * units::h, "dust");
    candidate.change_interval_reason = "cost optimum; and a remark";
    std::vector<ClaimedLife> claims = claimed_lives(s.study, s.result);
    REQUIRE(claims.size() == 2);   // of the one filter alone in two systems, not of the two stages that hold it too
    CHECK(claims[0].claimed_months == Approx(3.0).epsilon(1e-12));
    REQUIRE(claims[0].forecast_months.has_value());
    CHECK(claims[0].forecast_months->value == Approx(2.0).epsilon(1e-12));
    CHECK(claims[0].forecast_months->upper == Approx(2.0 + 1.959964 * 50.0 / 350.0).epsilon(1e-6));
    CHECK(claims[0].differ);
    CHECK(claims[0].sentence ==
          "The package of '" + s.study.filters[0].name + "' claims 3 months; in '" + s.study.systems[0].name +
              "' the forecast is 2.00 ± 0.28 months between changes (cost optimum), shorter than claimed "
              "by more than its interval.");
    CHECK(contains(inputs_html(s.study, s.result), "shorter than claimed by more than its interval"));
    const auto rows = filterflow::test::csv_rows(results_csv(s.study, s.result));
    const auto column = [&](const std::string& name) {
        const auto at = std::find(rows[0].begin(), rows[0].end(), name);
        REQUIRE(at != rows[0].end());
        return static_cast<std::size_t>(at - rows[0].begin());
    };
    std::size_t found = 0;
    for (const auto& row : rows) {
        CHECK(row.size() == rows[0].size());
        if (row[0] != s.study.systems[0].name || row[1] != candidate.name) continue;
        CHECK(std::stod(row[column("claimed_life [month]")]) == Approx(3.0));
        CHECK(std::stod(row[column("forecast_interval [month]")]) == Approx(2.0));
        ++found;
    }
    CHECK(found == 1);
    const json parsed = json::parse(results_json(s.study, s.result));
    REQUIRE(parsed["claimed_lives"].size() == 2);
    CHECK(parsed["claimed_lives"][0]["differ"] == true);
    CHECK(parsed["claimed_lives"][0]["forecast"]["value"].get<double>() == Approx(2.0));
    CHECK(parsed["filters"][0]["stated"]["pleat_count"] == 26);
    CHECK(parsed["filters"][1]["stated"]["pleat_count"].is_null());
    CHECK(parsed["systems"][0]["stated"]["fan_motor"] == "electronically commutated, constant torque");
    // Within its interval there is nothing to say; without running hours there is no forecast.
    candidate.change_interval = uncertain(700.0 * units::h, 250.0 * units::h, "dust");
    CHECK_FALSE(claimed_lives(s.study, s.result)[0].differ);
    CHECK(claimed_lives(s.study, s.result)[0].sentence.empty());
    s.study.systems[0].hours_per_year.reset();
    CHECK_FALSE(claimed_lives(s.study, s.result)[0].forecast_months.has_value());
}

TEST_CASE("pressures at common flows are on the page, in both files and on the terminal", "[own]") {
    auto files = two_pleats();
    std::string& text = files.at("study.toml");
    text.erase(text.find("[[candidate]]"));
    files = edited(files, {{"study.toml", "title = \"Two pleats\"", R"(comparison_flows = ["700 cfm", "1200 cfm"])"}});
    const StudyInput study = read_study("study.toml", MemoryFiles(files));
    const StudyResult result = study_result(study);
    const std::string table = pressures_at_flows_html(study, result);
    CHECK(contains(table, "at 1189 m³/h (700.0 cfm): corrected [Pa]"));
    CHECK(contains(table, "outside the flows of this filter’s readings; no extrapolation"));
    const std::string page = report_page(study, result);
    CHECK(contains(page, table));
    CHECK(markup_faults(page).empty());
    CHECK(contains(page,
                   "the fitted curve at one flow, 1189 m³/h (700.0 cfm)"));   // the drawing of as read and corrected
    CHECK(contains(console_table(study, result), "pressure at 1189 m³/h [Pa]"));

    const auto rows = filterflow::test::csv_rows(filters_csv(study, result));
    REQUIRE(rows.size() == 3);
    for (const auto& row : rows) CHECK(row.size() == rows[0].size());
    const auto at = std::find(rows[0].begin(), rows[0].end(), "pressure at 1189.3 m3/h [Pa]");
    REQUIRE(at != rows[0].end());
    const auto column = static_cast<std::size_t>(at - rows[0].begin());
    const double pressure = result.filters[0].pressure_at_flows[0]->value.value();
    CHECK(std::stod(rows[1][column]) == Approx(pressure).epsilon(1e-14));
    CHECK(std::stod(rows[1][column + 1]) < pressure);
    CHECK(std::stod(rows[1][column + 2]) > pressure);
    CHECK(std::stod(rows[1][column + 3]) == Approx(44.5).epsilon(1e-9));
    CHECK(rows[1][column + 4].empty());   // beyond the readings
    const json parsed = json::parse(results_json(study, result));
    CHECK(parsed["filters"][0]["pressure_at_flows"][0]["pressure"]["value"].get<double>() == Approx(pressure));
    CHECK(parsed["filters"][0]["pressure_at_flows"][1]["pressure"].is_null());
}

TEST_CASE("a system without a fan has a page of its own figures missing", "[own]") {
    const StudyInput study = read_study(
        "study.toml",
        MemoryFiles(edited(two_pleats(),
                           {{"study.toml", "fan = {table = \"fan.csv\", pressure = \"external static\"}\n", ""}})));
    const StudyResult result = study_result(study);
    const std::string page = report_page(study, result);
    CHECK(markup_faults(page).empty());
    CHECK(contains(page, "the fan table of system ‘house’"));
    CHECK(contains(page, "Not drawn: needs the fan table of the system, and candidates"));
    CHECK(contains(page, "Pressures at common velocities"));
    CHECK_FALSE(contains(page, "not computed for this candidate"));   // each dash says what it needs
    CHECK(contains(console_table(study, result), "needs the fan table of system 'house'"));
    const json parsed = json::parse(results_json(study, result));
    CHECK(parsed["systems"][0]["candidates"][0]["operating_status"].is_null());
}

TEST_CASE("a filter without a face says so where its pressure would stand", "[own]") {
    const StudyInput study =
        read_study("study.toml",
                   MemoryFiles(edited(two_pleats(), {{"study.toml", "width = \"20 in\"\nheight = \"20 in\"\n", ""}})));
    const StudyResult result = study_result(study);
    const std::string page = report_page(study, result);
    CHECK(markup_faults(page).empty());
    CHECK(contains(page, "needs width and height of the filter"));
    CHECK(contains(page, "width and height of ‘thin pleat’"));
}
