// SPDX-License-Identifier: BSL-1.0
// Hours, tariff, demand charge, carbon and years of service in a study file: what is read, and what is said of
// mistakes.

#include "support/catch.hpp"

#include <string>
#include <vector>

#include "choose_filter/reader_studies.hpp"
#include "data_error.hpp"
#include "study_reader.hpp"

using namespace choose_filter;
using namespace filterflow;
using namespace filterflow::units;
using Catch::Matchers::StartsWith;
using filterflow::test::Edit;
using filterflow::test::edited;
using filterflow::test::two_pleats;

namespace {

const Edit no_hours{"study.toml", "hours_per_year = 1800\n", ""};

Edit with_schedule(const std::string& table) {
    return {"study.toml", "\n[prices]\n", "\n[system.schedule]\n" + table + "\n[prices]\n"};
}
Edit with_prices(const std::string& keys) {
    return {"study.toml", "horizon = \"10 years\"\n", "horizon = \"10 years\"\n" + keys};
}

StudyInput study_by_hour(const std::vector<Edit>& edits, const std::string& hours = "") {
    auto files = edited(two_pleats(), edits);
    if (!hours.empty()) files["hours.csv"] = hours;
    return read_study("study.toml", MemoryFiles(files));
}

std::string said_of_hours(const std::vector<Edit>& edits, const std::string& hours = "") {
    try {
        (void)study_by_hour(edits, hours);
    } catch (const DataError& error) {
        return error.what();
    }
    return "read without an error";
}

std::string day_of(const char* head, const char* night, const char* day) {
    std::string text = std::string(head) + "\n";
    for (int hour = 0; hour < 24; ++hour) text += (hour >= 8 && hour < 18 ? day : night) + std::string("\n");
    return text;
}

}   // namespace

TEST_CASE("windows and seasons of a schedule are read", "[own]") {
    const StudyInput study = study_by_hour(
        {no_hours, with_schedule("new_years_day = \"Thursday\"\n"
                                 "hours = [{days = \"working days\", from_hour = 7, to_hour = 19}, "
                                 "{days = \"weekend\", from_hour = 22, to_hour = 6, running = \"50 %\"}]\n"
                                 "running_by_month = [1, 1, 1, 1, 1, 1, 0, 1, 1, 1, 1, 1]\n"
                                 "dust_by_month = [2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n")});
    const SystemInput& system = study.systems.at(0);
    REQUIRE(system.operating_hours.has_value());
    CHECK(system.operating_hours->new_years_weekday == 3);
    const auto hours = system.operating_hours->schedule.hours();
    REQUIRE(hours.size() == 8760);
    CHECK(hours[12].running == 1.0);            // Thursday, 1 January
    CHECK(hours[19].running == 0.0);
    CHECK(hours[2 * 24 + 3].running == 0.5);    // Saturday night
    CHECK(hours[2 * 24 + 12].running == 0.0);
    CHECK(hours[24 * 190 + 12].running == 0.0);   // in July
    // 22 working days of 12 hours in January, of twice the dust.
    double running = 0.0, dust = 0.0;
    for (std::size_t h = 0; h < 8760; ++h) {
        running += hours[h].running;
        dust += hours[h].running * (h < 31 * 24 ? 2.0 : 1.0);
    }
    CHECK(*system.hours_per_year / h == Approx(running).epsilon(1e-12));
    CHECK(system.dust_concentration->value / ug_per_m3 == Approx(40.0 * dust / running).epsilon(1e-12));
    CHECK(system.dust_concentration->standard_uncertainty() / system.dust_concentration->value ==
          Approx(0.5 / 1.959964).epsilon(1e-6));
}

TEST_CASE("tables of a day, a week and a year are read", "[own]") {
    const Edit no_dust{"study.toml", "dust_concentration = \"40 ug/m3 +- 50 %\"\n", ""};
    const StudyInput day = study_by_hour(
        {no_hours, no_dust, with_schedule("table = \"hours.csv\"\ndust_known_within = \"30 %\"\n")},
        day_of("running,dust [ug/m3]", "0.25,20", "1,60"));
    CHECK(*day.systems[0].hours_per_year / h == Approx(365 * (10 + 14 * 0.25)));
    CHECK(day.systems[0].dust_concentration->value / ug_per_m3 == Approx((10 * 60 + 3.5 * 20) / 13.5));
    CHECK(day.systems[0].dust_concentration->standard_uncertainty() / day.systems[0].dust_concentration->value ==
          Approx(0.3 / 1.959964).epsilon(1e-6));

    std::string week = "hour,running\n", year_table = "hour,running\n";
    for (int i = 0; i < 168; ++i) week += std::to_string(i) + (i / 24 == 6 ? ",0\n" : ",1\n");   // closed on Sundays
    for (int i = 0; i < 8760; ++i) year_table += std::to_string(i) + (i < 100 ? ",0.5\n" : ",0\n");
    const StudyInput weekly =
        study_by_hour({no_hours, with_schedule("table = \"hours.csv\"\nnew_years_day = \"Saturday\"\n")}, week);
    const auto hours = weekly.systems[0].operating_hours->schedule.hours();
    CHECK(hours[0].running == 1.0);
    CHECK(hours[24].running == 0.0);   // the year's second day is the Sunday
    CHECK(hours[48].running == 1.0);
    const StudyInput yearly = study_by_hour({no_hours, with_schedule("table = \"hours.csv\"\n")}, year_table);
    CHECK(*yearly.systems[0].hours_per_year / h == Approx(50.0));
}

TEST_CASE("mistakes in a schedule", "[own]") {
    const auto message = [](const std::string& table) { return said_of_hours({no_hours, with_schedule(table)}); };
    CHECK(said_of_hours({with_schedule("hours = [{from_hour = 7, to_hour = 19}]\n")}) ==
          R"(study.toml:37:18: the running hours are stated twice: here and by the hours of [system.schedule]
   37 | hours_per_year = 1800
      |                  ^
hint: leave hours_per_year out: the schedule's hours add up to it)");
    CHECK(message("hours = [{from_hour = 7, to_hour = 25}]\n") ==
          R"(study.toml:45:36: 'to_hour' = 25 is out of range; allowed: whole numbers from 1 to 24
   45 | hours = [{from_hour = 7, to_hour = 25}]
      |                                    ^
hint: the window ends at that full hour; midnight is 24)");
    CHECK_THAT(message("hours = [{from_hour = 7, to_hour = 7}]\n"),
               StartsWith("study.toml:45:36: from_hour and to_hour are both 7\n"));
    CHECK_THAT(message("hours = [{days = \"Sundays\"}]\n"), Contains("'Sundays'") && Contains("'weekend'"));
    CHECK_THAT(message("hours = [{running = 1.2}]\n"),
               Contains("'running' = 1.2 is out of range; allowed: 0 to 100 %"));
    CHECK_THAT(message("new_years_day = \"Monday\"\n"),
               StartsWith("study.toml:44:1:") && Contains("the schedule has no hours: 'table' or 'hours' is missing"));
    CHECK_THAT(message("table = \"hours.csv\"\nhours = [{}]\n"), Contains("the hours are stated twice"));
    CHECK_THAT(message("table = \"hours.csv\"\n"), Contains("cannot read 'hours.csv': no such file"));
    const std::string all = "hours = [{running = 0.5}]\n";
    CHECK(message(all + "running_by_month = [1, 1]\n") ==
          R"(study.toml:46:20: 'running_by_month' has 2 numbers; a year has 12 months
   46 | running_by_month = [1, 1]
      |                    ^
hint: running_by_month = [1, 1, 0.8, ...]: a factor for each month, January first)");
    CHECK_THAT(message(all + "running_by_month = [1, 1, 2.2, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n"),
               Contains("in month 3 the fan would run 1.1 of an hour"));
    CHECK_THAT(message(all + "dust_by_month = [1, 1, -1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n"),
               Contains("the factor -1 of month 3 in 'dust_by_month' is out of range; allowed: 0 to 100"));
    CHECK_THAT(message(all + "dust_by_month = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]\n"),
               Contains("in no hour of the year does the fan run with dust in the air"));
    CHECK_THAT(message(all + "dust_known_within = \"30 %\"\n"), Contains("has no column of dust"));

    const auto of_table = [](const std::string& hours) {
        return said_of_hours({no_hours, with_schedule("table = \"hours.csv\"\n")}, hours);
    };
    CHECK_THAT(of_table("running\n1\n1\n"),
               StartsWith("hours.csv:3:1: 2 rows of hours; allowed: 24 (a day), 168 (a week from Monday) or 8760"));
    CHECK_THAT(of_table(day_of("running", "0", "1.5")),
               StartsWith("hours.csv:10:1: the running share 1.5 is no share; allowed: 0 to 1"));
    CHECK_THAT(of_table("hour,running\n0,1\n2,1\n"), StartsWith("hours.csv:3:1: the hours do not follow each other"));
    CHECK_THAT(of_table(day_of("running,dust [Pa]", "0,1", "1,1")), StartsWith("hours.csv:1:"));
    CHECK_THAT(of_table(day_of("running,dust [ug/m3]", "0,1", "1,1")),
               StartsWith("study.toml:") && Contains("the dust is stated twice"));
}

TEST_CASE("the cycle of a room's fan is read", "[own]") {
    const auto room = [](const std::string& cycle) {
        return with_schedule(
            "hours = [{running = 0.5}]\n[system.room]\nvolume = \"400 m3\"\ninfiltration = \"0.3 1/h\"\n"
            "fan_cycle = \"" +
            cycle + "\"\n");
    };
    CHECK(*study_by_hour({no_hours, room("20 min")}).systems[0].room->fan_cycle / h == Approx(1.0 / 3));
    CHECK_THAT(said_of_hours({no_hours, room("3 week")}), Contains("from 1 min to 1 week"));
}

TEST_CASE("prices by the hour, the month's peak, carbon and years are read", "[own]") {
    const StudyInput study = study_by_hour({with_prices(R"(demand_per_kW_month = "12 +- 5 %"
carbon_per_kWh = "350 g +- 10 %"
other_escalation = "2 %"
years_of_service = "8 years"
change_penalty = "2 %"

[[prices.time_of_use]]
days = "working days"
from_hour = 16
to_hour = 21
from_month = 6
to_month = 9
electricity_per_kWh = "0.38 +- 10 %"
)")});
    const PricesInput& prices = study.prices;
    CHECK(prices.demand->value / money_per_kW == Approx(12.0));
    CHECK(prices.demand->standard_uncertainty() / money_per_kW == Approx(0.6 / 1.959964).epsilon(1e-6));
    CHECK(prices.carbon->value / kg_per_kWh == Approx(0.35));
    CHECK(prices.carbon->standard_uncertainty() / kg_per_kWh == Approx(0.035 / 1.959964).epsilon(1e-6));
    CHECK(prices.other_escalation == Approx(0.02));
    CHECK(*prices.years_of_service / year == Approx(8.0));
    CHECK(*prices.change_penalty == Approx(0.02));
    REQUIRE(prices.time_of_use.size() == 1);
    const TariffWindow& window = prices.time_of_use[0].window;
    CHECK(window.days == TariffDays::working_days);
    CHECK(window.first_hour == 16);
    CHECK(window.end_hour == 21);
    CHECK(window.first_month == 6);
    CHECK(window.last_month == 9);
    CHECK(prices.time_of_use[0].price.value / money_per_kWh == Approx(0.38));
}

TEST_CASE("mistakes in prices by the hour and over years", "[own]") {
    const auto message = [](const std::string& keys) { return said_of_hours({with_prices(keys)}); };
    CHECK(message("carbon_per_kWh = \"350 kg\"\n") ==
          R"(study.toml:48:18: 'carbon_per_kWh' = 350 kg is out of range; allowed: 0 to 5 kg a kWh
   48 | carbon_per_kWh = "350 kg"
      |                  ^
hint: grids have 0.02 to 1 kg of carbon dioxide a kWh: is it grams?)");
    CHECK_THAT(message("carbon_per_kWh = 0.35\n"), Contains("unit"));
    CHECK_THAT(message("carbon_per_kWh = \"0.35 kWh\"\n"), Contains("kWh"));
    CHECK_THAT(message("demand_per_kW_month = -3\n"), Contains("'demand_per_kW_month' = -3 is not above 0"));
    CHECK_THAT(message("years_of_service = \"3 Pa\"\n"),
               StartsWith("study.toml:48:23: unit \"Pa\" is one of pressure"));
    CHECK_THAT(message("years_of_service = \"1 day\"\n"), Contains("from 1 month to 200 years"));
    CHECK_THAT(message("change_penalty = 0\n"),
               Contains("'change_penalty' = 0 is out of range; allowed: 0.01 to 100 %"));
    CHECK_THAT(message("other_escalation = 3\n"), Contains("4 % is written 0.04"));
    CHECK_THAT(message("[[prices.time_of_use]]\nfrom_hour = 7\n"),
               Contains("'electricity_per_kWh' is missing in [[prices.time_of_use]]"));
    CHECK_THAT(message("[[prices.time_of_use]]\nelectricity_per_kWh = 0\n"), Contains("is not above 0"));
    CHECK_THAT(message("[[prices.time_of_use]]\nhours = 7\n"), Contains("from_hour"));
    CHECK_THAT(said_of_hours({{"study.toml", "electricity_per_kWh = \"0.17 +- 10 %\"\n", ""},
                              with_prices("[[prices.time_of_use]]\nelectricity_per_kWh = 0.2\n")}),
               Contains("electricity has prices by the hour, but none of all other hours"));
}
