// SPDX-License-Identifier: BSL-1.0
// Bad input: what the program says of it, whole, as a stranger would read it.

#include "support/catch.hpp"

#include <string>
#include <utility>
#include <vector>

#include "choose_filter/reader_studies.hpp"
#include "data_error.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using Catch::Matchers::EndsWith;
using Catch::Matchers::StartsWith;
using filterflow::test::Edit;
using filterflow::test::edited;
using filterflow::test::two_pleats;

namespace {

struct BadInput {
    std::vector<Edit> edits;
    std::string message;
};

std::string message_of(const std::vector<Edit>& edits) {
    try {
        (void)read_study("study.toml", MemoryFiles(edited(two_pleats(), edits)));
    } catch (const DataError& error) {
        return error.what();
    }
    return "read without an error";
}

void check(const std::vector<BadInput>& inputs) {
    for (const BadInput& input : inputs) CHECK(message_of(input.edits) == input.message);
}

}   // namespace

TEST_CASE("the study that the others are made of is read", "[own]") {
    CHECK(message_of({}) == "read without an error");
}

TEST_CASE("files that are not there, or hold nothing", "[own]") {
    check({
        {{{"study.toml", R"("thin.csv")", R"("thick.csv")"}},
         R"(study.toml:15:12: cannot read 'thick.csv': no such file
   15 | pressure = "thick.csv"
      |            ^
hint: paths are relative to the study file)"},
        {{{"thin.csv", "", ""}},
         R"(thin.csv:1:1: the file is empty
hint: the first line names the columns, as in 'flow [cfm],pressure [Pa]')"},
        {{{"thin.csv", "", "# nothing yet\n\n"}},
         R"(thin.csv:2:1: the file holds no table: all its lines are empty or comments
hint: the first line names the columns, as in 'flow [cfm],pressure [Pa]')"},
        {{{"thin.csv", "", "flow [cfm],pressure [Pa]\n"}},
         R"(thin.csv:1:25: no rows behind the header; a filter needs at least 1
    1 | flow [cfm],pressure [Pa]
      |                         ^
hint: write one reading a row)"},
        {{{"study.toml", "", " \n"}},
         R"(study.toml: the file is empty
hint: choose_filter --start DIR writes a study to begin from)"},
        {{{"study.toml", "", R"([prices]
horizon = "3 years"
)"}},
         R"(study.toml: the study holds neither a stand, nor a filter, nor a system
hint: a filter with pressure readings is the least: [[filter]] name, pressure)"},
        {{{"thin.csv", "", std::string("PK\x03\x04\0\0", 6)}},
         R"(thin.csv:1: the file is not text: it holds a null byte
hint: export the readings as comma-separated text, not as a spreadsheet file)"},
    });
}

TEST_CASE("tables that are not separated by commas", "[own]") {
    check({
        {{{"thin.csv", "", "flow [cfm];pressure [Pa]\n400;21,5\n"}},
         R"(thin.csv:1:11: the cells are separated by semicolons
    1 | flow [cfm];pressure [Pa]
      |           ^
hint: save the table with commas between the cells and a point in decimal numbers)"},
        {{{"thin.csv", "", "flow [cfm]\tpressure [Pa]\n400\t21\n"}},
         R"(thin.csv:1:11: the cells are separated by tabs
    1 | flow [cfm] pressure [Pa]
      |           ^
hint: save the table with commas between the cells and a point in decimal numbers)"},
        {{{"thin.csv", "600,36", "600,36,5"}},
         R"(thin.csv:3:8: 3 cells where the header has 2
    3 | 600,36,5
      |        ^
hint: is there a comma inside a number? Decimal numbers are written with a point, thousands without a mark)"},
        {{{"thin.csv", "600,36", "600"}},
         R"(thin.csv:3:4: 1 cell where the header has 2: 'pressure [Pa]' is missing
    3 | 600
      |    ^
hint: leave a cell empty between commas where there is no reading)"},
    });
}

TEST_CASE("unknown, missing and misplaced units", "[own]") {
    check({
        {{{"thin.csv", "pressure [Pa]", "pressure [inWC2]"}},
         R"(thin.csv:1:22: unknown unit "inWC2"
    1 | flow [cfm],pressure [inWC2]
      |                      ^
hint: did you mean 'inH2O'? expected a unit of pressure (Pa, hPa, kPa, inH2O, inH2O_60F, inH2O_68F, mmH2O, mmHg, inHg, psi))"},
        {{{"thin.csv", "flow [cfm]", "flow [cfn]"}},
         R"(thin.csv:1:7: unknown unit "cfn"
    1 | flow [cfn],pressure [Pa]
      |       ^
hint: did you mean 'cfm'? expected a unit of volume flow (m3/s, m3/h, L/s, L/min, cfm))"},
        {{{"thin.csv", "pressure [Pa]", "pressure [cfm]"}},
         R"(thin.csv:1:22: unit "cfm" is one of volume flow
    1 | flow [cfm],pressure [cfm]
      |                      ^
hint: expected a unit of pressure (Pa, hPa, kPa, inH2O, inH2O_60F, inH2O_68F, mmH2O, mmHg, inHg, psi))"},
        {{{"thin.csv", "pressure [Pa]", "pressure"}},
         R"(thin.csv:1:12: the column 'pressure' has no unit
    1 | flow [cfm],pressure
      |            ^
hint: write the unit in brackets: 'pressure [inH2O]')"},
        {{{"study.toml", R"(width = "20 in"
height = "20 in"
price = 9.5)",
           R"(width = "20 inc"
height = "20 in"
price = 9.5)"}},
         R"(study.toml:12:13: unknown unit "inc"
   12 | width = "20 inc"
      |             ^
hint: did you mean 'in'? expected a unit of length (m, cm, mm, um, nm, in, ft))"},
        {{{"study.toml", R"(least_airflow = "800 cfm")", R"(least_airflow = "800 Pa")"}},
         R"(study.toml:43:32: unit "Pa" is one of pressure
   43 | limits = {least_airflow = "800 Pa"}
      |                                ^
hint: expected a unit of volume flow (m3/s, m3/h, L/s, L/min, cfm))"},
        {{{"study.toml", R"(least_airflow = "800 cfm")", "least_airflow = 800"}},
         R"(study.toml:43:27: 'least_airflow' needs a unit
   43 | limits = {least_airflow = 800}
      |                           ^
hint: write it as a text with its unit, as in least_airflow = "800 cfm" (units: m3/s, m3/h, L/s, L/min, cfm))"},
    });
}

TEST_CASE("negative and non-finite numbers, and no numbers", "[own]") {
    check({
        {{{"thin.csv", "600,36", "600,-36"}},
         R"(thin.csv:3:5: the pressure -36 Pa is negative; allowed: 0 Pa or more
    3 | 600,-36
      |     ^
hint: pressures across a filter are above 0: are the hoses of the manometer swapped?)"},
        {{{"thin.csv", "400,21", "0,0"}},
         R"(thin.csv:2:1: the flow 0 cfm is not above 0; allowed: above 0 cfm
    2 | 0,0
      | ^
hint: remove rows without flow: they say nothing about a filter)"},
        {{{"study.toml", R"(width = "20 in"
height = "20 in"
price = 9.5)",
           R"(width = "-20 in"
height = "20 in"
price = 9.5)"}},
         R"(study.toml:12:9: 'width' = -20 in is out of range; allowed: from 1 cm to 10 m
   12 | width = "-20 in"
      |         ^)"},
        {{{"study.toml", "price = 9.5", "price = -9.5"}},
         R"(study.toml:14:9: 'price' = -9.5 is negative; allowed: 0 or more
   14 | price = -9.5
      |         ^)"},
        {{{"thin.csv", "600,36", "600,nan"}},
         R"(thin.csv:3:5: the pressure nan Pa is not a finite number; allowed: up to 1000000 Pa
    3 | 600,nan
      |     ^
hint: remove the row if there is no reading)"},
        {{{"study.toml", "price = 9.5", "price = inf"}},
         R"(study.toml:14:9: 'inf' is not a finite number
   14 | price = inf
      |         ^
hint: leave the key out where there is no value)"},
        {{{"thin.csv", "600,36", "600,1e400"}},
         R"(thin.csv:3:5: the pressure 1e400 Pa is too large or too small for a number; allowed: up to 1000000 Pa
    3 | 600,1e400
      |     ^)"},
        {{{"thin.csv", "[Pa]", "[kPa]"}, {"thin.csv", "600,36", "600,1e307"}},
         R"(thin.csv:3:5: the pressure 1e307 kPa is too large to be meant; allowed: up to 1000 kPa
    3 | 600,1e307
      |     ^)"},
        {{{"thin.csv", "600,36", "600,about 36"}},
         R"(thin.csv:3:5: the pressure 'about 36' is not a number
    3 | 600,about 36
      |     ^
hint: numbers are written as 12, 0.35 or 1.2e-3; the unit stands in the header)"},
        {{{"thin.csv", "600,36", "600,"}},
         R"(thin.csv:3:5: no number in the column 'pressure'
    3 | 600,
      |     ^
hint: write the reading, or remove the row)"},
        {{{"counts.csv", "6640,236", "6640,-236"}},
         R"(counts.csv:3:20: the count -236 is negative; allowed: whole numbers, 0 or more
    3 | downstream,60,6640,-236
      |                    ^)"},
        {{{"study.toml", R"("32 +- 10 %")", R"("32 +- -3")"}},
         R"(study.toml:24:9: 'price' = 32 +- -3: the half width behind +- is negative; allowed: 0 or more
   24 | price = "32 +- -3"
      |         ^)"},
    });
}

TEST_CASE("fewer points than parameters", "[own]") {
    check({
        {{{"loading.csv", "", "dust fed [g],flow [cfm],pressure [Pa]\n0,980,73\n"}},
         R"(loading.csv:2:9: 1 row behind the header; a loading law needs at least 2
    2 | 0,980,73
      |         ^
hint: write one reading a row)"},
        {{{"loading.csv", "", "dust fed [g],flow [cfm],pressure [Pa]\n0,980,73\n5,970,79\n"}},
         R"(loading.csv:3:1: only one row has dust fed; a loading law has two parameters and needs two (a row of 0 is the clean filter and does not count)
    3 | 5,970,79
      | ^
hint: feed more dust and read again, or leave the loading readings out)"},
        {{{"thin.csv", "", "flow [cfm],pressure [Pa]\n800,53\n800,54\n"}},
         R"(thin.csv:3:1: all 2 readings are at one flow (within 5 %); a pressure curve has two parameters and needs two flows
    3 | 800,54
      | ^
hint: read the filter at other flows too, up to the greatest that it will meet; or keep one row: then the curve's shape is assumed, and the report says so)"},
        {{{"fan.csv", "", "flow [cfm],external static pressure [inH2O],power [W]\n1180,0.10,520\n"}},
         R"(fan.csv:2:14: 1 row behind the header; a fan table needs at least 2
    2 | 1180,0.10,520
      |              ^
hint: write one reading a row)"},
    });
}

TEST_CASE("rows of a fan table that repeat or contradict each other", "[own]") {
    check({
        {{{"fan.csv", "1100,0.30,497\n", "1100,0.30,497\n1100,0.30,497\n"}},
         R"(fan.csv:4:1: this point is the same as that of fan.csv:3
    4 | 1100,0.30,497
      | ^
hint: remove one of the two rows)"},
        {{{"fan.csv", "1100,0.30,497\n", "1100,0.30,497\n1100,0.35,499\n"}},
         R"(fan.csv:4:1: this row contradicts fan.csv:3: one flow, two pressures
    4 | 1100,0.35,499
      | ^
hint: a fan at one speed makes one pressure at a flow; if its drive holds the airflow, set control = "holds airflow")"},
        {{{"fan.csv", "external static pressure", "total pressure"}},
         R"(fan.csv:1:12: the table states the total pressure, the study file says 'external static pressure'
    1 | flow [cfm],total pressure [inH2O],power [W]
      |            ^
hint: write in the study file which pressure the fan table states: pressure = "total", "static" or "external static")"},
    });
}

TEST_CASE("names that are mistyped, missing or used twice", "[own]") {
    check({
        {{{"study.toml", R"(height = "20 in"
price = 9.5)", R"(heigth = "20 in"
price = 9.5)"}},
         R"(study.toml:13:1: unknown key 'heigth' in [[filter]]
   13 | heigth = "20 in"
      | ^
hint: did you mean 'height'?)"},
        {{{"study.toml", "[prices]", "[price]"}},
         R"(study.toml:45:2: unknown key 'price' in the study file
   45 | [price]
      |  ^
hint: did you mean 'prices'?)"},
        {{{"thin.csv", "pressure [Pa]", "presure [Pa]"}},
         R"(thin.csv:1:12: unknown column 'presure'
    1 | flow [cfm],presure [Pa]
      |            ^
hint: did you mean 'pressure'?)"},
        {{{"study.toml", R"(name = "deep pleat")", R"(name = "thin pleat")"}},
         R"(study.toml:21:8: two filters are named 'thin pleat'
   21 | name = "thin pleat"
      |        ^
hint: names tell them apart: change one)"},
        {{{"study.toml", "price = 9.5", "price = 9.5\nprice = 10"}},
         R"(study.toml:14:9: 'price' is given more than once
   14 | price = 9.5
      |         ^
hint: keep one of the two; this is the first)"},
        {{{"study.toml", R"({filter = "deep pleat")", R"({filter = "deep plaet")"}},
         R"(study.toml:33:21: there is no filter named 'deep plaet'
   33 | stages = [{filter = "deep plaet", final_resistance = "125 Pa"}]
      |                     ^
hint: did you mean 'deep pleat'?)"},
        {{{"study.toml", R"(present = "thin")", R"(present = "oldest")"}},
         R"(study.toml:40:11: there is no candidate named 'oldest'
   40 | present = "oldest"
      |           ^
hint: the candidates here are 'thin', 'deep')"},
        {{{"study.toml", R"(height = "20 in"
price = 9.5)", "price = 9.5"}},
         R"(study.toml:10:1: 'height' is missing in [[filter]]
   10 | [[filter]]
      | ^
hint: add a line: height = "24 in")"},
        {{{"study.toml", R"(flow = "flow meter")", R"(flow = "nozzle")"}},
         R"(study.toml:6:8: 'nozzle' is no choice for 'flow'
    6 | flow = "nozzle"
      |        ^
hint: the choices are 'flow meter', 'flow element', 'traverse', 'fan table', 'not measured')"},
    });
}

TEST_CASE("a unit is suggested only where it can be meant", "[own]") {
    const auto hint_of = [](const std::string& unit) {
        const std::string message = message_of({{"thin.csv", "pressure [Pa]", "pressure [" + unit + "]"}});
        return message.substr(message.find("hint: ") + 6,
                              message.find("? ", message.find("hint: ")) - message.find("hint: ") - 6);
    };
    for (const char* read : {"inHg", "in Hg", "mmHg", "psi", "mbar", "hPa", "kPa", "in. w.g.", "inWG"}) {
        INFO(read);
        CHECK(message_of({{"thin.csv", "pressure [Pa]", std::string("pressure [") + read + "]"}}) ==
              "read without an error");
    }
    CHECK(hint_of("pa") == "did you mean 'Pa'");
    CHECK(hint_of("KPA") == "did you mean 'kPa'");
    CHECK(hint_of("inh20") == "did you mean 'inH2O'");
    for (const char* other : {"bar", "torr", "atm", "x", "inXg", "ft"}) {
        INFO(other);
        CHECK(
            message_of({{"thin.csv", "pressure [Pa]", std::string("pressure [") + other + "]"}}).find("did you mean") ==
            std::string::npos);
    }
}

TEST_CASE("values without quotes, brackets or units", "[own]") {
    check({
        {{{"study.toml", R"(name = "thin pleat")", "name = thin pleat"}},
         R"(study.toml:11:8: 'thin pleat' is neither a number nor a text in quotes
   11 | name = thin pleat
      |        ^
hint: put it in quotes: name = "thin pleat")"},
        {{{"study.toml", R"(name = "thin pleat")", "name = 1-inch pleat   # a comment"}},
         R"(study.toml:11:8: '1-inch pleat' is neither a number nor a text in quotes
   11 | name = 1-inch pleat   # a comment
      |        ^
hint: put it in quotes: name = "1-inch pleat")"},
        {{{"study.toml", R"({filter = "deep pleat")", "{filter = deep pleat"}},
         R"(study.toml:33:21: 'deep pleat' is neither a number nor a text in quotes
   33 | stages = [{filter = deep pleat, final_resistance = "125 Pa"}]
      |                     ^
hint: put it in quotes: filter = "deep pleat")"},
        {{{"study.toml", R"(name = "thin pleat")", R"(name = "thin pleat)"}},
         R"(study.toml:11:8: this quote is never closed
   11 | name = "thin pleat
      |        ^
hint: close it on the same line, as in "24 in")"},
        {{{"study.toml", "price = 9.5", "price ="}},
         R"(study.toml:14:7: there is no value behind '='
   14 | price =
      |       ^
hint: remove the line, or write a value)"},
        {{{"study.toml", R"("12 months")", "12"}},
         R"(study.toml:29:79: 'greatest_age' needs a unit
   29 | ...= "thin pleat", final_resistance = "125 Pa", greatest_age = 12}]
      |                                                                ^
hint: write it as a text with its unit, as in greatest_age = "12 months" (units: s, min, h, day, week, month, year))"},
        {{{"study.toml", R"("12 months")", R"("12 Pa")"}},
         R"(study.toml:29:83: unit "Pa" is one of pressure
   29 | ...hin pleat", final_resistance = "125 Pa", greatest_age = "12 Pa"}]
      |                                                                ^
hint: expected a unit of time (s, min, h, day, week, month, year))"},
        {{{"study.toml", "40 ug/m3 +- 50 %", "40 ug/m3 +- 50"}},
         R"(study.toml:38:35: the half width behind +- has no unit
   38 | dust_concentration = "40 ug/m3 +- 50"
      |                                   ^
hint: write it in a unit or in per cent: "40 ug/m3 +- 50 %")"},
        {{{"study.toml", "1000 cfm", "1e30 cfm"}},
         R"(study.toml:42:25: 'design_flow' = 1e30 cfm is too large to be meant; allowed: up to 21190000 cfm
   42 | ducts = {design_flow = "1e30 cfm", design_pressure = "0.3 inH2O", exponent = 1.9}
      |                         ^)"},
        {{{"study.toml", "price = 9.5", "price = 1e40"}},
         R"(study.toml:14:9: 'price' = 1e+40 is too large to be meant; allowed: up to 1000000000000
   14 | price = 1e40
      |         ^)"},
    });
}

TEST_CASE("single and double brackets", "[own]") {
    const std::string twice = "[filter] stands in single brackets, but a study may hold several";
    for (const std::vector<Edit>& edits :
         {std::vector<Edit>{{"study.toml", "[[filter]]", "[filter]"}},
          std::vector<Edit>{{"study.toml", "[[filter]]\nname = \"deep", "[filter]\nname = \"deep"}},
          std::vector<Edit>{{"study.toml", "[[filter]]", "[filter]"}, {"study.toml", "[[filter]]", "[filter]"}}}) {
        const std::string message = message_of(edits);
        CHECK_THAT(message, Contains(twice) && EndsWith("hint: begin each of them with double brackets: [[filter]]"));
    }
    CHECK_THAT(message_of({{"study.toml", "[[system]]", "[system]"}}),
               StartsWith("study.toml:35:1: [system] stands in single brackets"));
    CHECK_THAT(message_of({{"study.toml", "[prices]", "[[prices]]"}}),
               StartsWith("study.toml:45:1: [prices] must be one table, not a list") &&
                   EndsWith("hint: write its header once, with single brackets: [prices]"));
}

TEST_CASE("the header in a hint is that of the table's kind", "[own]") {
    const auto hint_of = [](const char* file) {
        const std::string message = message_of({{file, "", "\n"}});
        return message.substr(message.find("as in "));
    };
    CHECK(hint_of("empty.csv") == "as in 'flow [cfm],pressure [Pa]'");
    CHECK(hint_of("counts.csv") == "as in 'place,duration [s],0.3-0.5 [um],0.5-1 [um]'");
    CHECK(hint_of("loading.csv") == "as in 'dust fed [g],dust passed [g],flow [cfm],pressure [Pa]'");
    CHECK(hint_of("fan.csv") == "as in 'flow [cfm],external static pressure [inH2O],power [W]'");
    CHECK_THAT(message_of({{"empty.csv", "", "flow [cfm],pressure [Pa]\n"}}),
               Contains("the empty stand needs at least 1"));
    CHECK_THAT(
        message_of({{"thin.csv", "pressure [Pa]", "drop [Pa]"}}),
        Contains("a table of this kind has the columns 'pressure', 'note', 'flow', as in 'flow [cfm],pressure [Pa]'"));
}

TEST_CASE("a size channel states its size in a unit, and a size that is counted", "[own]") {
    CHECK_THAT(message_of({{"counts.csv", "> 0.5 [um]", "> 0.5"}}),
               Contains("counts.csv:1:20: the column '> 0.5' has no unit") && Contains("'> 0.5 [um]'"));
    for (const char* size : {"> 0.5 [in]", "0.0005-2 [um]", "0.3-200 [um]", "> 0.5 [mm]"}) {
        CHECK_THAT(message_of({{"counts.csv", "> 0.5 [um]", size}}),
                   Contains("is not one of a particle that a counter counts; allowed: 0.001 um to 100 um"));
    }
}

TEST_CASE("prices that cannot be are refused at their place", "[own]") {
    check({
        {{{"study.toml", "price = 9.5", "price = 0"}},
         R"(study.toml:14:9: a change of 'thin' would cost nothing: price, labour and disposal are 0 or not stated
   14 | price = 0
      |         ^
hint: write what the filter costs, or labour_per_change in [prices]; leave price out if it is not known)"},
        {{{"study.toml", R"("0.17 +- 10 %")", "0"}},
         R"(study.toml:46:23: 'electricity_per_kWh' = 0 is not above 0; allowed: 0.00001 to 100000 of the currency a kWh
   46 | electricity_per_kWh = 0
      |                       ^
hint: leave it out if it is not known)"},
    });
    // Cents for the currency, in hours of their own.
    const Edit dear{"study.toml", "[prices]\n",
                    "[prices]\ntime_of_use = [{from_hour = 8, to_hour = 10, electricity_per_kWh = 380}]\n"};
    CHECK_THAT(message_of({dear}), Contains("study.toml:46:") && Contains("'electricity_per_kWh' = 380") &&
                                       Contains("three times the price of the dearest filter"));
    // A filter that costs nothing but the work of changing it is a filter.
    CHECK(message_of({{"study.toml", "price = 9.5", "price = 0"},
                      {"study.toml", "[prices]", "[prices]\nlabour_per_change = 5"}}) == "read without an error");
}

TEST_CASE("contradictions between the study and its tables", "[own]") {
    check({
        {{{"study.toml", R"(flow = "flow meter")", R"(flow = "not measured")"}},
         R"(empty.csv:1:1: the column 'flow' does not fit [stand] flow = "not measured"
    1 | flow [cfm],pressure [Pa]
      | ^
hint: set flow = "flow meter" in [stand] of the study file, or remove the column)"},
        {{{"study.toml", "price = 9.5", "price = 9,5"}},
         R"(study.toml:14:10: comma in a number
   14 | price = 9,5
      |          ^
hint: write the decimal point as "." and no thousands separators)"},
        {{{"study.toml", R"(temperature = "21 degC")", R"(temperature = "21 K")"}},
         R"(study.toml:5:22: 'temperature' = 21 K is out of range; allowed: -60 to 90 degC (-76 to 194 degF)
    5 | air = {temperature = "21 K", pressure = "101 kPa", relative_humidity = "45 %"}
      |                      ^)"},
        {{{"study.toml", R"(relative_humidity = "45 %")", "relative_humidity = 45"}},
         R"(study.toml:5:75: 'relative_humidity' = 45 is out of range; allowed: 0 to 100 %
    5 | ...ture = "21 degC", pressure = "101 kPa", relative_humidity = 45}
      |                                                                ^
hint: 45 % is written "45 %" or 0.45)"},
        {{{"counts.csv", "> 0.5 [um],> 2.5 [um]", "> 2.5 [um],> 0.5 [um]"}},
         R"(counts.csv:2:13: 9120 particles above the larger size, but only 804 above the smaller
    2 | upstream,60,9120,804
      |             ^
hint: a channel '> size' counts all particles above its size; are two columns swapped, or are these channels between two sizes?)"},
        {{{"counts.csv", "downstream,60,6640", "donwstream,60,6640"}},
         R"(counts.csv:3:1: 'donwstream' is no place of a sample
    3 | donwstream,60,6640,236
      | ^
hint: did you mean 'downstream'?)"},
        {{{"counts.csv", "downstream,60,6640,236\n", ""}, {"counts.csv", "downstream,60,6725,221\n", ""}},
         R"(counts.csv:1:1: there is no downstream sample
    1 | place,duration [s],> 0.5 [um],> 2.5 [um]
      | ^
hint: write 'downstream' in the column 'place' of at least one row)"},
        {{{"loading.csv", "10,1.3", "4,1.3"}},
         R"(loading.csv:4:1: the dust fed falls to 4
    4 | 4,1.3,960,87
      | ^
hint: 'dust fed' is the total so far, not the portion of this step)"},
    });
}

TEST_CASE("a text that is not UTF-8 is refused before the parser meets it", "[own]") {
    for (const char* bad :
         {"\xB0", "\xC0\x80", "\xE0\x80\x80", "\xED\xA0\x80", "\xF5\x80\x80\x80", "\xF0\x80\x80\x80", "\xC3"}) {
        const std::string text = std::string("[study]\ntitle = '''caf") + bad + "'''\n";
        try {
            (void)read_study("study.toml", MemoryFiles({{"study.toml", text}}));
            FAIL("read without an error");
        } catch (const DataError& error) {
            CHECK(error.problem() == "this character is not UTF-8");
            CHECK(error.place().line == 2);
            // A stray byte from the middle of a character counts with the character before it.
            CHECK(error.place().column == (*bad == '\xB0' ? 14u : 15u));
            CHECK(error.hint() == "save the file as UTF-8 text");
        }
    }
    // Two, three and four bytes are read.
    CHECK(message_of({{"study.toml", "Two pleats", "\xC2\xB0 \xE2\x82\xAC \xF0\x9F\x8C\xAC"}}) ==
          "read without an error");
}

TEST_CASE("a study file that is not there", "[own]") {
    CHECK_THROWS_WITH(read_study("study.toml", MemoryFiles()), "study.toml: cannot read the study file: no such file");
    CHECK_THROWS_WITH(read_study(FILTERFLOW_TEST_DIR),
                      std::string(FILTERFLOW_TEST_DIR) + ": cannot read the study file: it is a directory");
}

TEST_CASE("values that cannot be meant are refused with what is allowed", "[own]") {
    check({
        {{{"study.toml", R"("800 cfm")", R"("nan cfm")"}},
         R"(study.toml:43:28: 'least_airflow' = nan cfm is not a finite number with a unit; allowed: up to 10000 m3/s
   43 | limits = {least_airflow = "nan cfm"}
      |                            ^
hint: numbers are written as 12, 0.35 or 1.2e-3, the unit behind them; leave the key out where there is no value)"},
        {{{"thin.csv", "400,21", "-400,21"}},
         R"(thin.csv:2:1: the flow -400 cfm is not above 0; allowed: above 0 cfm
    2 | -400,21
      | ^
hint: remove rows without flow: they say nothing about a filter)"},
        {{{"study.toml", R"(width = "20 in")", R"(width = "20 m")"}},
         R"(study.toml:12:9: 'width' = 20 m is out of range; allowed: from 1 cm to 10 m
   12 | width = "20 m"
      |         ^)"},
        {{{"study.toml", "price = 9.5", R"(media_area = "0.1 m2")"}},
         R"(study.toml:14:14: 'media_area' = 0.1 m2 is less than the face that the medium covers; allowed: from 0.1677 m2 (65 % of width times height, as a frame covers the rest) to 83.87 m2
   14 | media_area = "0.1 m2"
      |              ^
hint: write the area of all the medium, unfolded, one side of it; or the open face as free_area)"},
        {{{"study.toml", "name = \"deep\"", "name = \"deep\"\nbypass_gap = \"1 m2\""}},
         R"(study.toml:33:14: 'bypass_gap' = 1 m2 is larger than the face of 'deep pleat'; allowed: up to 0.2581 m2, that face
   33 | bypass_gap = "1 m2"
      |              ^
hint: the gap is what air finds open beside the filter: its length times its width)"},
        {{{"fan.csv", "1100,0.30,497", "1100,0.30,4.97"}},
         R"(fan.csv:3:11: the power 4.97 W is less than the air gets in this row, 38.8 W (flow times pressure): an efficiency of 781 %; allowed: at least 38.8 W, an efficiency of 100 % or less
    3 | 1100,0.30,4.97
      |           ^
hint: fans and their motors reach 20 to 70 %; check the units of flow, pressure and power in the header)"},
        {{{"fan.csv", "power [W]", "power [kW]"}},
         R"(fan.csv:6:10: the power 362 kW is thousands of times what the air gets, 74.1 W in this row (flow times pressure): no row has an efficiency of 0.1 %; allowed: up to 74.1 kW, an efficiency of 0.1 % or more
    6 | 700,0.90,362
      |          ^
hint: is the power in W where the header says kW, or the pressure in another unit?)"},
        {{{"counts.csv", "6640,236", "6640.5,236"}},
         R"(counts.csv:3:15: the count 6640.5 is no whole number; allowed: whole numbers, 0 or more
    3 | downstream,60,6640.5,236
      |               ^
hint: write the particles that were counted, not their mean or concentration: how far a count is certain depends on the number counted)"},
        {{{"study.toml", "+- 50 %", "+- 100 %"}},
         R"(study.toml:38:22: 'dust_concentration' = 40 ug/m3 +- 100 % has an interval that reaches 0 or below, which it cannot be; allowed: a half width behind +- below 100 % of the value
   38 | dust_concentration = "40 ug/m3 +- 100 %"
      |                      ^
hint: if it may be several times larger or smaller, write a value in the middle and try the ends one by one)"},
        {{{"study.toml", R"("0.17 +- 10 %")", "170"}},
         R"(study.toml:46:23: 'electricity_per_kWh' = 170 is more than three times the price of the dearest filter; allowed: up to 96, three times that price
   46 | electricity_per_kWh = 170
      |                       ^
hint: is it in cents, and the price of filters is not? Both are in the currency of the study)"},
        {{{"study.toml", R"(pressure = "external static"})", R"(pressure = "external static", motor = "electronic"})"}},
         R"(study.toml:41:65: 'electronic' is no choice for 'motor'
   41 | ...= {table = "fan.csv", pressure = "external static", motor = "electronic"}
      |                                                                ^
hint: the choices are 'induction', 'electronically commutated, constant torque', 'electronically commutated, constant airflow')"},
    });
    CHECK_THAT(
        message_of({{"study.toml", R"(dust_equivalence = "1.5 +- 40 %")", R"(dust_equivalence = "1.5 +- 1.5")"}}),
        Contains("'dust_equivalence' = 1.5 +- 1.5 has an interval that reaches 0"));
    CHECK_THAT(message_of({{"study.toml", R"(dust_equivalence = "1.5 +- 40 %")", "dust_equivalence = -1"}}),
               Contains("'dust_equivalence' = -1 is out of range; allowed: 0.001 to 1000"));
    CHECK_THAT(message_of({{"study.toml", R"("1.5 +- 40 %")", "1.5"}}),
               Contains("'dust_equivalence' = 1.5 is assumed, but has no range; allowed: a value with a half width "
                        "behind +-") &&
                   Contains("dust_equivalence_measured = true"));
    CHECK(message_of({{"study.toml", R"("1.5 +- 40 %")", "1.5\ndust_equivalence_measured = true"}}) ==
          "read without an error");
    CHECK_THAT(message_of({{"study.toml", "title = \"Two pleats\"", R"(comparison_flows = ["0 cfm"])"}}),
               Contains("'comparison_flows': 0 cfm is out of range; allowed: above 0, up to 2119000 cfm"));
    CHECK_THAT(
        message_of({{"study.toml", R"(pressure = "external static"})",
                     R"(pressure = "external static", motor = "electronically commutated, constant airflow"})"}}),
        Contains("contradicts [[system]] control = \"fixed speed\"") &&
            EndsWith("hint: set control = \"holds airflow\""));
    const auto of_drive = [](const std::string& within, const std::string& control) {
        return message_of({{"study.toml", "[[system]]", "[[system]]\ncontrol = \"" + control + "\""},
                           {"study.toml", R"(pressure = "external static"})",
                            R"(pressure = "external static", airflow_known_within = )" + within + "}"}});
    };
    CHECK_THAT(of_drive("\"5 %\"", "fixed speed"), Contains("a fan at fixed speed holds no airflow") &&
                                                       EndsWith("set [[system]] control = \"holds airflow\""));
    CHECK(of_drive("\"5 %\"", "holds airflow") == "read without an error");
    for (const auto* within : {"\"40 %\"", "-0.05"}) {
        CHECK_THAT(of_drive(within, "holds airflow"),
                   Contains("'airflow_known_within' = ") && Contains("is out of range; allowed: 0 to 30 %"));
    }
    const auto of_room = [](const std::string& room) {
        return message_of({{"study.toml", R"(limits = {least_airflow = "800 cfm"})", "room = {" + room + "}"}});
    };
    CHECK_THAT(of_room(R"(infiltration = "0.3 1/h")"), Contains("volume") && Contains("[system.room]"));
    CHECK_THAT(of_room(R"(volume = "420 m3")"), Contains("outdoor_air") && Contains("infiltration = \"0.3 1/h\""));
    CHECK_THAT(of_room(R"(volume = "0 m3", infiltration = "0.3 1/h")"), Contains("'volume' = 0 m3 is not above 0"));
    CHECK_THAT(of_room(R"(volume = "420 m3", infiltration = "300 1/h")"),
               Contains("'infiltration' = 300 1/h is out of range; allowed: from 0.001 1/h to 100 1/h"));
    CHECK_THAT(of_room(R"(volume = "420 m3", infiltration = "0.3 1/h", penetration = 1.2)"),
               Contains("'penetration' = 1.2 is out of range; allowed: 0 to 100 %"));
    CHECK_THAT(of_room(R"(volume = "420 m3", outdoor_air = "50 m3/h", penetration = 0.8)"),
               Contains("particles pass the cracks with infiltration, and none is given"));
    CHECK_THAT(of_room(R"(volume = "420 m3", infiltration = "0.3 1/h", outdoor_pm25 = "10 kg/m3")"),
               Contains("'outdoor_pm25' = 10 kg/m3 is too large to be meant"));
    CHECK_THAT(of_room(R"(volume = "420 m3", leak = "1 m3/h")"), Contains("unknown key 'leak' in [system.room]"));
    // What is generous, but not absurd.
    CHECK(message_of({{"study.toml", "+- 50 %", "+- 99 %"}}) == "read without an error");
    CHECK(message_of({{"study.toml", "price = 9.5", R"(media_area = "0.2 m2")"}}) == "read without an error");
}

TEST_CASE("what is allowed is told in the unit that was written", "[own]") {
    CHECK_THAT(message_of({{"study.toml", R"("12 months")", R"("-12 months")"}}),
               Contains("'greatest_age' = -12 months is not above 0; allowed: above 0 months"));
    CHECK_THAT(message_of({{"study.toml", R"("800 cfm")", R"("0 cfm")"}}),
               Contains("'least_airflow' = 0 cfm is not above 0; allowed: above 0 cfm"));
    CHECK_THAT(message_of({{"study.toml", "price = 9.5", R"(media_area = "1 ft2")"}}),
               Contains("allowed: from 1.806 ft2 (65 % of width times height, as a frame covers the rest) to 902.8 "
                        "ft2"));
    CHECK_THAT(message_of({{"study.toml", R"(flow = "flow meter")",
                            "flow = \"flow element\"\nflow_element = {kind = \"classical Venturi, as cast\", "
                            "throat_diameter = \"150 mm\", pipe_diameter = \"100 mm\"}"}}),
               Contains("'pipe_diameter' = 100 mm is not wider than the throat; allowed: above 150 mm, the throat"));
    CHECK_THAT(message_of({{"study.toml", "40 ug/m3 +- 50 %", "-40 ug/m3 +- 50 %"}}),
               Contains("is not above 0; allowed: above 0 ug/m3"));
    CHECK_THAT(message_of({{"fan.csv", "1180,0.10", "1180,1e9"}}),
               Contains("1e9 inH2O is too large to be meant; allowed: up to 4015 inH2O"));
    CHECK_THAT(message_of({{"study.toml", "title = \"Two pleats\"", R"(comparison_velocities = ["90000 fpm"])"}}),
               Contains("'comparison_velocities': 90000 fpm is out of range; allowed: above 0, up to 9843 fpm"));
}

TEST_CASE("a title above the header, sizes in millimetres and hours with minutes are told as such", "[own]") {
    const std::vector<Edit> title{{"thin.csv", "flow [cfm],pressure [Pa]", "The thin pleat\nflow [cfm],pressure [Pa]"}};
    CHECK(message_of(title) ==
          R"(thin.csv:1:1: the first line must name the columns with their units; those stand in line 2
    1 | The thin pleat
      | ^
hint: is this a title? Begin its line with #)");
    CHECK(message_of({{"thin.csv", "flow [cfm],pressure [Pa]", "# The thin pleat\nflow [cfm],pressure [Pa]"}}) ==
          "read without an error");
    CHECK_THAT(message_of({{"counts.csv", "> 0.5 [um],> 2.5 [um]", "> 0.5 [mm],> 2.5 [mm]"}}),
               StartsWith("counts.csv:1:20: the size 0.5 mm") && Contains("hint: is the unit um?"));
    for (const auto& [hour, hint] : {std::pair{"\"6:00\"", "hint: write from_hour = 6"},
                                     std::pair{"06:00:00", "hint: 6:00 is written 6"}}) {
        CHECK_THAT(message_of({{"study.toml", "hours_per_year = 1800",
                                std::string("schedule = {hours = [{from_hour = ") + hour + ", to_hour = 18}]}"}}),
                   Contains("'from_hour' must be a full hour of the clock, a plain number") && EndsWith(hint));
    }
}

TEST_CASE("what a table lacks is told at its line and column", "[own]") {
    CHECK_THAT(message_of({{"study.toml", R"(flow = "flow meter")",
                            "flow = \"traverse\"\ntraverse = {width = \"20 in\", height = \"20 in\"}"},
                           {"empty.csv", "", "velocity 1 [fpm],velocity 2 [fpm],pressure [Pa]\n400,410,2\n"}}),
               StartsWith("empty.csv:1:18: 2 velocity columns; the traverse of [stand.traverse] has 25 positions"));
    CHECK_THAT(message_of({{"counts.csv", "upstream,60,9010,779", "correlation upstream,60,9010,779"},
                           {"study.toml", "flow = \"flow meter\"",
                            "flow = \"flow meter\"\ncorrelation_counts = \"counts.csv\""}}),
               StartsWith("counts.csv:2:1: the correlation file holds samples taken with a filter"));
}

TEST_CASE("assumptions and sums that a study file leaves unsaid are noted", "[own]") {
    const auto notes = [](const std::string& more) {
        const Edit edit{"study.toml", "limits = {", more + "limits = {"};
        std::string text;
        const auto study = read_study("study.toml", MemoryFiles(edited(two_pleats(), {edit})));
        for (const std::string& note : study.notes) text += note + "\n";
        return text;
    };
    const std::string segment = R"(segment = [{name = "supply", length = "10 m", diameter = "300 mm")";
    CHECK_THAT(notes(segment + "}]\n"),
               Contains("the pressure of [system.ducts] and that of the duct listed as [[system.segment]] are added") &&
                   Contains("no roughness is stated for supply: taken as 0.09 mm, galvanised sheet steel"));
    CHECK(notes(segment + ", roughness = \"0.15 mm\"}]\n").find("roughness") == std::string::npos);
    CHECK(notes("").find("are added") == std::string::npos);
}

TEST_CASE("samples out of turn are told with their line", "[own]") {
    CHECK(message_of({{"counts.csv", "downstream,60,6725,221\n", ""}}) ==
          R"(counts.csv:5:1: 3 upstream and 1 downstream samples; out of turn here
    5 | upstream,60,9195,815
      | ^
hint: sample in turn, up, down, up, ..., up: one upstream sample more than downstream ones, or as many)");
    CHECK_THAT(message_of({{"counts.csv", "upstream,60,9120,804\n", ""}, {"counts.csv", "upstream,60,9010,779\n", ""}}),
               StartsWith("counts.csv:2:1: 1 upstream and 2 downstream samples; out of turn here"));
}

TEST_CASE("names of functions are taken out of a message", "[own]") {
    CHECK(without_function_names("filter 'a': reading 2 (a_b.csv:3): reduce_filter_readings: net pressure = -4 Pa") ==
          "filter 'a': reading 2 (a_b.csv:3): net pressure = -4 Pa");
    CHECK(without_function_names("fan_pressure(FanCurve): flow = 1 m3/s; required: from 0 to 2") ==
          "flow = 1 m3/s; required: from 0 to 2");
    CHECK(without_function_names("study: a filter has no name") == "study: a filter has no name");
    CHECK(without_function_names("") == "");
}
