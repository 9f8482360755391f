// SPDX-License-Identifier: BSL-1.0
// What is wrong in a table is told where it stands, before anything is written; the scenario; rows of results.

#include "support/catch.hpp"

#include <chrono>
#include <filesystem>
#include <sstream>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "portfolio_study/block_file.hpp"
#include "portfolio_study/portfolio_runs.hpp"
#include "portfolio_study/progress.hpp"
#include "portfolio_study/result_rows.hpp"
#include "portfolio_study/row_source.hpp"

using namespace portfolio_test;
using choose_filter::CsvTable;
namespace fs = std::filesystem;

namespace {

struct Mistake {
    const char* before;
    const char* after;
    const char* place;   // line and column
    const char* message;
};

void check_refused(const Ran& ran, const Mistake& mistake, const std::string& path, const std::string& out) {
    CAPTURE(mistake.after, ran.err);
    CHECK(ran.status == 1);
    CHECK(ran.out.empty());
    CHECK_THAT(ran.err, Contains("portfolio_study: " + path + mistake.place + ": "));
    CHECK_THAT(ran.err, Contains(mistake.message));
    CHECK_FALSE(fs::exists(out));
}

}   // namespace

TEST_CASE("a wrong table of systems is refused at its place", "[own]") {
    const TestDirectory place;
    fs::create_directories(place / "readings");
    for (const char* fan : {"fan_belt.csv", "fan_drive.csv"}) {
        fs::copy_file(std::string("examples/tern_lane/readings/") + fan, place / "readings/" + fan);
    }
    write_text(place / "readings/no_power.csv", "flow [cfm],static pressure [inH2O]\n800,1.8\n1600,1.5\n2400,1.0\n");
    const Mistake mistakes[] = {
        {"workshop", "", ":6:1", "no name in the column 'system'"},
        {"workshop", "hillside studio", ":9:1", "system number 3 has this name too"},
        {"workshop,readings/fan_belt.csv", "workshop,readings/fan.csv", ":6:10", "cannot read the fan table"},
        {"workshop,readings/fan_belt.csv", "workshop,", ":6:10", "no fan"},
        {"studio,readings/fan_belt.csv,fixed speed", "studio,readings/fan_belt.csv,fixd speed", ":9:39",
         "did you mean 'fixed speed'?"},
        {"1500,0.5,1.9", "-1500,0.5,1.9", ":6:52",
         "the design flow -1500 cfm is not positive; allowed: more than 0 cfm"},
        {"1500,0.5,1.9", "1500,0.5,19", ":6:61",
         "the duct exponent 19 is no exponent of ducts or coils; allowed: from 1 to 2.5"},
        {"1500,0.5,1.9", "1500,much,1.9", ":6:57", "the duct pressure 'much' is not a number"},
        {"8,1,flat polyester pad", "8,1.5,flat polyester pad", ":6:69",
         "the filters 1.5 is no whole number; allowed: whole numbers, 1 or more"},
        {"8,1,flat polyester pad", "8,1,flat polyester", ":6:71", "did you mean 'flat polyester pad'?"},
        {",2600,", ",8800,", ":6:90", "the hours 8800 h is more than a year has; allowed: up to 8760 h"},
        {",2600,", ",,", ":6:90", "no number in the column 'hours'"},
        {"hours [h]", "hours", ":3:188", "the column 'hours' has no unit"},
        {"hours [h]", "hours [cfm]", ":3:195", "expected a unit of time"},
        {"hours [h]", "hoors [h]", ":3:188", "did you mean 'hours'?"},
        {"50,64,300", "50,640,300", ":6:108",
         "the temperature 640 degF is no air of a building; allowed: from -50 to 100 degC"},
        {"500,25\n\"gallery, speed", "500,130\n\"gallery, speed", ":4:159",
         "the least pm2.5 removal 130 % is more than the whole; allowed: up to 100 %"},
        {"0.5,1.9,,,8,1,flat", "0.5,1.9,100,,8,1,flat", ":6:69", "no number in the column 'coil exponent'"},
    };
    const std::string table = text_of(systems_path), path = place / "systems.csv", out = place / "out";
    for (const Mistake& mistake : mistakes) {
        write_text(path, with(table, mistake.before, mistake.after));
        check_refused(run({path, "--candidates", candidates_path, "--out", out, "--block", "2"}), mistake, path, out);
    }
    SECTION("in the fan's own file") {
        write_text(path, with(table, "workshop,readings/fan_belt.csv", "workshop,readings/no_power.csv"));
        const Ran ran = run({path, "--candidates", candidates_path, "--out", out});
        CHECK(ran.status == 1);
        CHECK_THAT(ran.err, Contains("no_power.csv: the fan table has no power"));
    }
    SECTION("files that are no tables") {
        const std::pair<std::string, const char*> texts[] = {
            {"", "the file is empty"},
            {"# nothing\n", "the file holds no table"},
            {table.substr(0, table.find("\"gallery, belt")), "no row behind the header"},
            {with(table, "system,fan", std::string("sys\0tem,fan", 11)), "null byte"},
            {"system;fan\na;b\n", "separated by semicolons"},
            {with(table, ",filters,", ",filtres,"), "did you mean 'filters'?"}};
        for (const auto& [text, message] : texts) {
            write_text(path, text);
            const Ran ran = run({path, "--candidates", candidates_path, "--out", out});
            CAPTURE(message);
            CHECK(ran.status == 1);
            CHECK_THAT(ran.err, Contains(message));
            CHECK_FALSE(fs::exists(out));
        }
        CHECK_THAT(run({place / "none.csv", "--candidates", candidates_path, "--out", out}).err,
                   Contains("none.csv: cannot read the table: No such file"));
        CHECK_THAT(run({place / "readings", "--candidates", candidates_path, "--out", out}).err,
                   Contains("it is a directory"));
    }
}

TEST_CASE("a wrong table of candidates is refused at its place", "[own]") {
    const TestDirectory place;
    const Mistake mistakes[] = {
        {"4-inch pleat,", "flat polyester pad,", ":8:1", "two candidates are named 'flat polyester pad'"},
        {"pad,40.8772", "pad,0", ":4:20", "the linear 0 Pa s/m3 is not positive"},
        {"4.22335,smooth", "4.22335,smoth", ":4:36", "did you mean 'smooth'?"},
        {"smooth,147.57", "smooth,", ":4:43", "no number in the column 'growth scale'"},
        {"smooth,147.57", "kinked,147.57", ":4:58", "no number in the column 'cake growth'"},
        {"291.702,19.1856", "291.702,191.856", ":4:76", "the dust caught 191.856 % is more than the whole"},
        {"291.702,19.1856", "291.702,0", ":4:76", "the dust caught 0 % is not positive"},
        {"3,6.4,", "3,-6.4,", ":4:111", "the price -6.4 money is negative; allowed: 0 money or more"},
    };
    const std::string table = text_of(candidates_path), path = place / "candidates.csv", out = place / "out";
    for (const Mistake& mistake : mistakes) {
        write_text(path, with(table, mistake.before, mistake.after));
        check_refused(run({systems_path, "--candidates", path, "--out", out}), mistake, path, out);
    }
}

TEST_CASE("wrong usage is told", "[own]") {
    for (const std::vector<std::string>& arguments : std::vector<std::vector<std::string>>{
             {},
             {systems_path},
             {systems_path, "--out", "x"},
             {systems_path, "--scenario", "3", "--candidates", candidates_path, "--out", "x"},
             {"--scenario", "0", "--candidates", candidates_path, "--out", "x"},
             {"--merge", "x"},
             {systems_path, "--candidates", candidates_path, "--out", "x", "--shard", "3"},
             {systems_path, "--candidates", candidates_path, "--out", "x", "--shard", "4/3"},
             {systems_path, "--candidates", candidates_path, "--out", "x", "--shard", "0/3"},
             {systems_path, "--candidates", candidates_path, "--out", "x", "--threads", "0"},
             {systems_path, "--candidates", candidates_path, "--out", "x", "--unknown"}}) {
        CHECK(run(arguments).status == 2);
    }
    CHECK(run({"--help"}).status == 0);
}

TEST_CASE("numbers of the command line are whole and in their range, or refused", "[own]") {
    const std::vector<std::pair<std::string, std::string>> options{
        {"--seed", "-1"},         {"--seed", "18446744073709551616"},
        {"--seed", "1.5"},        {"--seed", "+1"},
        {"--draws", "1e4"},       {"--draws", "100001"},
        {"--draws", ""},          {"--block", "0x10"},
        {"--block", "-256"},      {"--threads", "2 "},
        {"--shard", "1/"},        {"--shard", "/3"},
        {"--shard", "-1/3"},      {"--shard", "2/18446744073709551615"},
        {"--shard", ""},          {"--shard", "1/2/3"},
        {"--shard", "1/1000001"}, {"--shard", "1/18446744073709551616"}};
    const TestDirectory place;
    for (const auto& [option, number] : options) {
        CAPTURE(option, number);
        const Ran ran =
            run({systems_path, "--candidates", candidates_path, "--out", place / "x", option + "=" + number});
        CHECK(ran.status == 2);
        CHECK_THAT(ran.err, Contains(option) && (number.empty() ? Contains("missing") : Contains("'" + number + "'")));
        CHECK_FALSE(fs::exists(place / "x"));
    }
    // The greatest numbers are taken as they are: a shard without a block of its own ends at once.
    CHECK(run_scenario("3", place / "greatest", {"--shard", "1000000/1000000", "--seed", "18446744073709551615"})
              .status == 0);
}

TEST_CASE("the scenario is the same whoever asks, and its table gives the same results", "[own]") {
    using portfolio_study::ScenarioRows;
    const std::vector<std::string> names{"pad", "pleat"};
    const ScenarioRows by_fives(23, 9, 5, "", names), at_once(23, 9, 100, "", names), longer(1000, 9, 7, "", names);
    std::string text;
    for (std::size_t b = 0; b < by_fives.block_count(); ++b) text += by_fives.rows(b).text;
    CHECK(by_fives.block_count() == 5);
    CHECK(text == at_once.rows(0).text);
    CHECK(longer.rows(0).text == text.substr(0, longer.rows(0).text.size()));
    CHECK(ScenarioRows(23, 10, 100, "", names).rows(0).text != text);

    const TestDirectory place;
    fs::create_directories(place / "readings");
    for (const char* fan : {"fan_belt.csv", "fan_drive.csv"}) {
        fs::copy_file(std::string("examples/tern_lane/readings/") + fan, place / "readings/" + fan);
    }
    const std::string systems = place / "systems.csv";
    REQUIRE(run({"--scenario", "7", "--candidates", candidates_path, "--write-systems", systems}).status == 0);
    REQUIRE(run_scenario("7", place / "a").status == 0);
    // With line ends of another system and a comment among the rows.
    std::string table = text_of(systems);
    for (std::size_t at = table.find('\n'); at != std::string::npos; at = table.find('\n', at + 2))
        table.insert(at, "\r");
    write_text(systems, with(table, "building 00001 unit 3", "# the third\r\n\r\nbuilding 00001 unit 3"));
    REQUIRE(run({systems, "--candidates", candidates_path, "--out", place / "b", "--block", "2"}).status == 0);
    CHECK(text_of(place / "a/results.csv") == text_of(place / "b/results.csv"));
}

TEST_CASE("a row of results reads back as it was written", "[own]") {
    using namespace portfolio_study;
    ResultRow row;
    row.number = 41;
    row.system = "unit \"7\", north";
    row.candidate = "pleat";
    row.changed_by = 4;
    row.failed_limits = 1u | 8u;
    row.present = row.extrapolated = true;
    row.figures[0] = 1.0 / 3.0;
    row.figures[figure_count - 1] = 1e-17;
    const CsvTable table("results.csv", result_header() + result_text(row));
    const ResultRow back = read_result(table, 0);
    CHECK(result_text(back) == result_text(row));
    CHECK(back.system == row.system);
    CHECK(back.failed_limits == row.failed_limits);
    CHECK(back.figures == row.figures);
    CHECK((back.present && back.extrapolated && !back.best));
}

TEST_CASE("a checksum is that of its published examples", "[outside]") {
    // FNV-1a, 64 bits: test vectors of draft-eastlake-fnv (from memory): "", "a", "foobar".
    CHECK(portfolio_study::checksum("") == 0xcbf29ce484222325u);
    CHECK(portfolio_study::checksum("a") == 0xaf63dc4c8601ec8cu);
    CHECK(portfolio_study::checksum("foobar") == 0x85944171f73967e8u);
}

TEST_CASE("the progress line says how far, how fast and how long", "[own]") {
    using portfolio_study::progress_text;
    CHECK(progress_text(0, 500, 0.0) == "0 of 500 systems");
    CHECK(progress_text(1200, 50000, 2.0) == "1 200 of 50 000 systems, 600 a second, 81 s left");
    CHECK(progress_text(100, 1000100, 20.0) == "100 of 1 000 100 systems, 5 a second, 55.6 h left");
    std::ostringstream terminal, pipe;
    {
        portfolio_study::Progress shown(terminal, true, 2), silent(pipe, false, 2);
        std::this_thread::sleep_for(std::chrono::milliseconds(300));
        shown.add();
        silent.add();
        CHECK_THAT(terminal.str(), Contains("1 of 2 systems"));
    }
    CHECK(terminal.str().back() == '\r');   // the line is cleared at the end
    CHECK(pipe.str().empty());
}
