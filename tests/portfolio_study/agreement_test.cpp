// SPDX-License-Identifier: BSL-1.0
// A portfolio of the demo study's two systems against choose_filter, which takes another way through the library
// (parameters with uncertainty, all reports); the stored table of candidates against the study it is written from.

#include "support/catch.hpp"

#include <cmath>
#include <map>
#include <string>
#include <utility>

#include <filterflow/study/run_study.hpp>

#include "choose_filter/csv_table.hpp"
#include "choose_filter/study_reader.hpp"
#include "portfolio_study/portfolio_runs.hpp"

using namespace portfolio_test;
using namespace filterflow;
using choose_filter::CsvTable;

namespace {

const StudyInput& tern_lane_study() {
    static const StudyInput study = choose_filter::read_study("examples/tern_lane/study.toml");
    return study;
}

}   // namespace

TEST_CASE("the demo's systems in a portfolio are those of choose_filter", "[own]") {
    const TestDirectory place;
    REQUIRE(run({systems_path, "--candidates", candidates_path, "--out", place / "a"}).status == 0);
    const CsvTable table("results.csv", text_of(place / "a/results.csv"));
    std::map<std::pair<std::string, std::string>, std::size_t> rows;
    for (std::size_t row = 0; row < table.row_count(); ++row) {
        rows[{table.cell(row, table.column("system")).text, table.cell(row, table.column("candidate")).text}] = row;
    }
    StudyInput input = tern_lane_study();
    // The table holds candidates of one stage.
    CHECK(std::erase_if(input.candidates, [](const CandidateInput& c) { return c.stages.size() > 1; }) == 1);
    const StudyResult study = run_study(input);
    const std::pair<const char*, std::size_t> systems[] = {{"gallery, belt drive", 0}, {"gallery, speed drive", 1}};
    std::size_t compared = 0;
    for (const auto& [name, number] : systems) {
        const SystemResult& system = study.systems.at(number);
        for (std::size_t k = 0; k < system.candidates.size(); ++k) {
            const CandidateResult& candidate = system.candidates[k];
            const auto at = rows.find({name, candidate.name});
            REQUIRE(at != rows.end());
            CAPTURE(name, candidate.name);
            const auto figure = [&](const char* column) { return table.number(at->second, table.column(column)); };
            // The table's numbers have six digits; nothing here amplifies their rounding much.
            const auto agrees = [&](double value, double other) { CHECK(value == Approx(other).epsilon(3e-5)); };
            agrees(figure("airflow clean"), candidate.clean->flow.value / units::m3_per_h);
            agrees(figure("filter pressure clean"), candidate.clean->filter_pressure.value / units::Pa);
            agrees(figure("face velocity"), *candidate.face_velocity / units::m_per_s);
            agrees(figure("power clean"), candidate.clean->power->value / units::W);
            CHECK(table.cell(at->second, table.column("annual cost")).text.empty() == !candidate.annual_cost);
            if (candidate.annual_cost) {   // not where the clean filter breaks a limit already
                agrees(figure("airflow end"), candidate.end->flow.value / units::m3_per_h);
                agrees(figure("filter pressure end"), candidate.end->filter_pressure.value / units::Pa);
                agrees(figure("change interval"), candidate.change_interval->value / units::h);
                agrees(figure("annual running time"), candidate.annual_running_time->value / units::h);
                agrees(figure("annual energy"), candidate.annual_energy->value / units::kWh);
                agrees(figure("annual filter cost"), candidate.annual_filter_cost->value / units::money);
                agrees(figure("annual cost"), candidate.annual_cost->value / units::money);
            }
            CHECK(table.cell(at->second, table.column("failed limits")).text.empty() ==
                  candidate.failed_limits.empty());
            CHECK((table.cell(at->second, table.column("best")).text == "yes") == (candidate.rank == std::size_t{1}));
            CHECK((table.cell(at->second, table.column("present")).text == "yes") ==
                  (candidate.name == tern_lane_study().systems[number].present_candidate));
            ++compared;
        }
    }
    CHECK(compared == 12);
}

TEST_CASE("the stored table of candidates is what the study gives", "[own]") {
    const TestDirectory place;
    const Ran written = run({"--candidates-of", "examples/tern_lane/study.toml", "--out", place / "candidates.csv"});
    REQUIRE(written.status == 0);
    CHECK_THAT(written.out, Contains("'pad and charged pleat, two stages' is left out: it has several stages"));
    // Digit by digit but for the last one, which compilers round differently.
    const CsvTable now("now", text_of(place / "candidates.csv")), stored("stored", text_of(candidates_path));
    REQUIRE(now.row_count() == stored.row_count());
    REQUIRE(now.columns().size() == stored.columns().size());
    for (std::size_t row = 0; row < now.row_count(); ++row) {
        for (std::size_t column = 0; column < now.columns().size(); ++column) {
            const std::string &a = now.cell(row, column).text, &b = stored.cell(row, column).text;
            const auto number_a = choose_filter::number_of(a), number_b = choose_filter::number_of(b);
            CAPTURE(row, now.columns()[column].name, a, b);
            REQUIRE(number_a.has_value() == number_b.has_value());
            if (number_a)
                CHECK(*number_a == Approx(*number_b).epsilon(2e-5));
            else
                CHECK(a == b);
        }
    }
}

TEST_CASE("several filters side by side do in a system of their size what one does", "[own]") {
    const TestDirectory place;
    std::filesystem::create_directories(place / "readings");
    std::filesystem::copy_file("examples/tern_lane/readings/fan_belt.csv", place / "readings/fan_belt.csv");
    const std::string header =
        "system,fan,fan speed ratio,fan size ratio,design flow [m3/h],duct pressure [Pa],duct exponent,"
        "filters,hours [h],dust [ug/m3],dust equivalence,electricity [money/kWh],labour [money],least "
        "airflow [m3/h]\n";
    // Wheel diameter twice and speed half: four times the flow at the same pressure.
    write_text(place / "systems.csv",
               header + "one,readings/fan_belt.csv,1,1,2700,250,1.9,1,4000,30,1.5,0.25,10,2200\n" +
                   "four,readings/fan_belt.csv,0.5,2,10800,250,1.9,4,4000,30,1.5,0.25,40,8800\n");
    REQUIRE(run({place / "systems.csv", "--candidates", candidates_path, "--out", place / "a"}).status == 0);
    const CsvTable table("results.csv", text_of(place / "a/results.csv"));
    REQUIRE(table.row_count() == 12);
    for (std::size_t k = 0; k < 6; ++k) {
        const auto ratio = [&](const char* column) {
            return table.number(6 + k, table.column(column)) / table.number(k, table.column(column));
        };
        CAPTURE(k);
        for (const char* column :
             {"airflow clean", "airflow end", "power clean", "annual energy", "annual cost", "annual service"}) {
            CHECK(ratio(column) == Approx(4.0).epsilon(1e-5));
        }
        for (const char* column :
             {"filter pressure clean", "filter pressure end", "face velocity", "change interval"}) {
            CHECK(ratio(column) == Approx(1.0).epsilon(1e-5));
        }
    }
}
