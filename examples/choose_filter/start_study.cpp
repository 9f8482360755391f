// SPDX-License-Identifier: BSL-1.0

#include "start_study.hpp"

#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "data_error.hpp"

namespace choose_filter {

const std::map<std::string, std::string>& start_files() {
    static const std::map<std::string, std::string> files = {
        {"study.toml", R"(# A study for choose_filter. It runs as it is, with invented numbers: replace them by yours.
# Every part may be left out; the report says what is missing for which figure. docs/choose_filter.md explains each
# key. Quantities are texts with a unit: "24 in", "610 mm". Behind +- stands half of the 95 % interval.

[study]
title = "My filters"
note = "Invented numbers of the study to begin from."     # printed below the title
standard_air = "duct design air"           # or "fan table air", "fan test air", "ISA sea level air", or a table as
                                         # {temperature = "20 degC", pressure = "101.3 kPa", relative_humidity = "0 %"}
comparison_velocities = ["250 fpm", "350 fpm"]   # face velocities that the readings reach
# comparison_flows = ["800 cfm"]           # or volume flows, where the face of a filter is not known

# ---- The test stand -------------------------------------------------------------------------------------------------
[stand]
air = {temperature = "70 degF", pressure = "101.0 kPa", relative_humidity = "45 %"}   # the barometer, not sea level
flow = "flow meter"                        # or "flow element", "traverse", "fan table", "not measured"
empty_stand = "empty_stand.csv"            # readings without a filter: the stand's own resistance

[stand.manometer]                          # what you know of it, as limits
gain = "1 %"
zero = "0.5 Pa"
resolution = "1 Pa"

[stand.flow_instrument]
gain = "3 %"
resolution = "5 cfm"

# ---- The filters that were tested -----------------------------------------------------------------------------------
[[filter]]
name = "1-inch pleat"
width = "20 in"
height = "20 in"
depth = "1 in"
price = 9.5
claimed_life = "3 months"                  # what the package says; the report shows the forecast beside it
pressure = "pleat_1_inch_pressure.csv"     # clean: flow and pressure
counts = "pleat_1_inch_counts.csv"         # particle counter, up- and downstream in turn
counts_face_velocity = "295 fpm"
loading = "pleat_1_inch_loading.csv"       # mineral test dust only: flour and other organic dusts explode

[[filter]]
name = "4-inch pleat"
width = "20 in"
height = "20 in"
depth = "4 in"
price = "32 +- 10 %"
pressure = "pleat_4_inch_pressure.csv"
counts = "pleat_4_inch_counts.csv"
counts_face_velocity = "295 fpm"
loading = "pleat_4_inch_loading.csv"

# ---- What might be installed: filters in series, upstream first -----------------------------------------------------
[[candidate]]
name = "1-inch pleat"
stages = [{filter = "1-inch pleat", final_resistance = "0.5 inH2O", greatest_age = "6 months"}]
# bypass_gap = "4 cm2"                     # open area beside the filter; without it none is assumed

[[candidate]]
name = "4-inch pleat"
stages = [{filter = "4-inch pleat", final_resistance = "0.5 inH2O", greatest_age = "12 months"}]

# ---- The system that they would serve -------------------------------------------------------------------------------
[[system]]
name = "house, cooling speed"
control = "fixed speed"                    # or "holds airflow"
hours_per_year = 1800
dust_concentration = "40 ug/m3 +- 50 %"
dust_equivalence = "1.5 +- 60 %"           # grams of test dust that clog like a gram of this house's dust; a guess
present = "1-inch pleat"

[system.fan]
table = "fan.csv"
pressure = "external static"               # or "static", "total": what the maker's table states
# speed_tap = "medium high"                # a table holds for one tap and one motor: "induction", "electronically
# motor = "induction"                      # commutated, constant torque", "electronically commutated, constant airflow"
pressure_known_within = "5 %"
power_known_within = "5 %"
# airflow_known_within = "5 %"             # of a drive that holds the airflow: how well it does, all else being known

[system.ducts]                             # everything but the filter, at one flow; each [[system.part]] is added
design_flow = "1000 cfm"
design_pressure = "0.30 inH2O"
exponent = 1.9
known_within = "10 %"

[system.limits]                            # from the nameplates; without a least airflow nothing is recommended
least_airflow = "850 cfm"                  # without conditions
greatest_external_static_pressure = "0.8 inH2O"

[system.room]                             # what the filters make of the outdoor particles in it; leave out if not asked
volume = "420 m3"
infiltration = "0.3 1/h"                   # air through cracks
# outdoor_air = "60 m3/h"                  # brought in by the fan, through the filters
# penetration = "80 %"                     # of the particles through the cracks; by size if not stated
# outdoor_pm25 = "10 ug/m3 +- 20 %"        # for concentrations indoors; shares of what is outdoors without it
# fan_cycle = "20 min"                     # on and off together, for the mean of a year with the fan on and off

# [system.schedule]                        # when the fan runs, instead of hours_per_year
# hours = [{from_hour = 6, to_hour = 9}, {from_hour = 16, to_hour = 23, running = "60 %"}]
# table = "hours.csv"                      # or a table hour by hour, of a day, a week or a year: hour, running,
#                                          # dust [ug/m3] (instead of dust_concentration)
# new_years_day = "Monday"                 # weekday of 1 January
# running_by_month = [1, 1, 0.8, 0.3, 0.2, 0.7, 1, 1, 0.5, 0.2, 0.6, 1]   # factors, January first
# dust_by_month = [1.2, 1.2, 1.1, 1, 1, 0.9, 0.8, 0.8, 0.9, 1, 1.1, 1.2]

[prices]
currency = "dollars"
electricity_per_kWh = "0.17 +- 10 %"
labour_per_change = 0
discount_rate = "3 %"
horizon = "10 years"
# other_escalation = "2 %"                 # by which filters and labour rise a year
# years_of_service = "10 years"            # sets of filters bought one after the other, paid when put in
# change_penalty = "2 %"                   # how early and how late a change costs that much more
# demand_per_kW_month = 12                 # a demand charge, for each month's greatest power
# carbon_per_kWh = "0.35 kg"               # of your grid
# [[prices.time_of_use]]                   # hours of another price; electricity_per_kWh is that of all others
# days = "working days"                    # or "weekend", "every day"
# from_hour = 16
# to_hour = 21
# from_month = 6
# to_month = 9
# electricity_per_kWh = 0.38
)"},
        {"empty_stand.csv", R"(# Invented. Flow and pressure across the empty filter place.
flow [cfm],pressure [Pa]
400,2
600,4
800,8
1000,12
)"},
        {"pleat_1_inch_pressure.csv", R"(# Invented. Clean filter.
flow [cfm],pressure [Pa]
400,21
600,36
800,53
1000,75
)"},
        {"pleat_4_inch_pressure.csv", R"(# Invented. Clean filter.
flow [cfm],pressure [Pa]
400,14
600,24
800,37
1000,53
)"},
        {"pleat_1_inch_counts.csv",
         R"(# Invented. A two-channel counter: all particles above a size. One row a sample, in the order taken.
place,duration [min],> 0.5 [um],> 2.5 [um]
upstream background,1,310,14
downstream background,1,240,6
upstream,1,9120,804
downstream,1,6640,236
upstream,1,9010,779
downstream,1,6725,221
upstream,1,9195,815
downstream,1,6690,243
upstream,1,9080,790
)"},
        {"pleat_1_inch_loading.csv",
         R"(# Invented. Totals of mineral test dust so far; the dust behind the filter was weighed twice.
dust fed [g],dust passed [g],flow [cfm],pressure [Pa]
0,0,980,73
5,,970,79
10,1.3,960,87
20,,940,104
30,3.6,915,127
40,,890,152
)"},
        {"pleat_4_inch_counts.csv", R"(# Invented. One row a sample, in the order taken.
place,duration [min],> 0.5 [um],> 2.5 [um]
upstream background,1,295,12
downstream background,1,210,4
upstream,1,9240,811
downstream,1,4610,96
upstream,1,9105,788
downstream,1,4555,104
upstream,1,9180,802
downstream,1,4590,91
upstream,1,9060,795
)"},
        {"pleat_4_inch_loading.csv",
         R"(# Invented. Totals of mineral test dust so far; the dust behind the filter was weighed twice.
dust fed [g],dust passed [g],flow [cfm],pressure [Pa]
0,0,1000,53
20,,995,57
40,2.6,985,63
80,,965,77
120,7.1,940,93
160,,905,109
)"},
        {"fan.csv", R"(# Invented. From the maker's table, at the speed tap in use.
flow [cfm],external static pressure [inH2O],power [W]
1180,0.10,520
1140,0.20,510
1100,0.30,497
1055,0.40,483
1005,0.50,466
950,0.60,447
885,0.70,425
810,0.80,398
700,0.90,362
)"},
    };
    return files;
}

void write_start_study(const std::filesystem::path& directory) {
    namespace fs = std::filesystem;
    std::error_code error;
    if (fs::exists(directory, error) && !fs::is_directory(directory, error)) {
        throw DataError({directory.string()}, "cannot write a study here: it is a file", "name a directory");
    }
    for (const auto& [name, text] : start_files()) {
        if (fs::exists(directory / name, error)) {
            throw DataError({(directory / name).string()}, "the file is there already; nothing was written",
                            "name another directory");
        }
    }
    fs::create_directories(directory, error);
    if (error) throw DataError({directory.string()}, "cannot make the directory: " + error.message());
    for (const auto& [name, text] : start_files()) {
        std::ofstream out(directory / name, std::ios::binary);
        out << text;
        out.close();
        if (!out) throw DataError({(directory / name).string()}, "cannot write the file");
    }
}

}   // namespace choose_filter
