// SPDX-License-Identifier: BSL-1.0
#pragma once

// Small invented studies in memory, and edits that spoil them.

#include <map>
#include <stdexcept>
#include <string>
#include <vector>

namespace filterflow::test {

using Files = std::map<std::string, std::string>;

/// Replaces the first `from` in a file by `to`, or the whole file if `from` is empty.
struct Edit {
    std::string file, from, to;
};

inline Files edited(Files files, const std::vector<Edit>& edits) {
    for (const Edit& edit : edits) {
        std::string& text = files.at(edit.file);
        const std::size_t at = text.find(edit.from);
        if (at == std::string::npos) throw std::logic_error("no '" + edit.from + "' in " + edit.file);
        if (edit.from.empty()) {
            text = edit.to;
        } else {
            text.replace(at, edit.from.size(), edit.to);
        }
    }
    return files;
}

/// Two pleated filters, one of them counted and loaded, in one house.
inline Files two_pleats() {
    return {
        {"study.toml", R"([study]
title = "Two pleats"

[stand]
air = {temperature = "21 degC", pressure = "101 kPa", relative_humidity = "45 %"}
flow = "flow meter"
empty_stand = "empty.csv"
manometer = {gain = "1 %", resolution = "1 Pa"}

[[filter]]
name = "thin pleat"
width = "20 in"
height = "20 in"
price = 9.5
pressure = "thin.csv"
counts = "counts.csv"
counts_face_velocity = "1.5 m/s"
loading = "loading.csv"

[[filter]]
name = "deep pleat"
width = "20 in"
height = "20 in"
price = "32 +- 10 %"
pressure = "deep.csv"

[[candidate]]
name = "thin"
stages = [{filter = "thin pleat", final_resistance = "125 Pa", greatest_age = "12 months"}]

[[candidate]]
name = "deep"
stages = [{filter = "deep pleat", final_resistance = "125 Pa"}]

[[system]]
name = "house"
hours_per_year = 1800
dust_concentration = "40 ug/m3 +- 50 %"
dust_equivalence = "1.5 +- 40 %"
present = "thin"
fan = {table = "fan.csv", pressure = "external static"}
ducts = {design_flow = "1000 cfm", design_pressure = "0.3 inH2O", exponent = 1.9}
limits = {least_airflow = "800 cfm"}

[prices]
electricity_per_kWh = "0.17 +- 10 %"
horizon = "10 years"
)"},
        {"empty.csv", R"(flow [cfm],pressure [Pa]
400,2
600,4
800,8
1000,12
)"},
        {"thin.csv", R"(flow [cfm],pressure [Pa]
400,21
600,36
800,53
1000,75
)"},
        {"deep.csv", R"(flow [cfm],pressure [Pa]
400,14
600,24
800,37
1000,53
)"},
        {"counts.csv", R"(place,duration [s],> 0.5 [um],> 2.5 [um]
upstream,60,9120,804
downstream,60,6640,236
upstream,60,9010,779
downstream,60,6725,221
upstream,60,9195,815
)"},
        {"loading.csv", R"(dust fed [g],dust passed [g],flow [cfm],pressure [Pa]
0,0,980,73
5,0.6,970,79
10,1.3,960,87
20,2.5,940,104
30,3.6,915,127
40,4.4,890,152
)"},
        {"fan.csv", R"(flow [cfm],external static pressure [inH2O],power [W]
1180,0.10,520
1100,0.30,497
1005,0.50,466
885,0.70,425
700,0.90,362
)"},
    };
}

}   // namespace filterflow::test
