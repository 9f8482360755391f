// SPDX-License-Identifier: BSL-1.0

#include "system_table.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

#include <filterflow/air/altitude.hpp>

#include "choose_filter/study_readings.hpp"
#include "table_cells.hpp"

namespace portfolio_study {

namespace {

const std::vector<std::string>& system_columns() {
    static const std::vector<std::string> columns{"system",
                                                  "fan",
                                                  "control",
                                                  "fan speed ratio",
                                                  "fan size ratio",
                                                  "fan within",
                                                  "design flow",
                                                  "duct pressure",
                                                  "duct exponent",
                                                  "coil pressure",
                                                  "coil exponent",
                                                  "duct within",
                                                  "filters",
                                                  "present",
                                                  "hours",
                                                  "dust",
                                                  "dust within",
                                                  "dust equivalence",
                                                  "equivalence within",
                                                  "temperature",
                                                  "altitude",
                                                  "electricity",
                                                  "electricity within",
                                                  "labour",
                                                  "disposal",
                                                  "least airflow",
                                                  "greatest face velocity",
                                                  "least pm2.5 removal"};
    return columns;
}

/// Temperature by its scale, whose zero is not that of kelvin.
Temperature temperature(const CsvTable& table, std::size_t row) {
    const std::size_t column = table.column("temperature");
    table.unit_of<Temperature>(column);   // refuses a unit of another dimension at its place
    const UnitScale scale = parse_unit<Temperature>(table.columns()[column].unit);
    const double kelvin = scale.offset + scale.factor * table.number(row, column);
    if (!(kelvin >= 223.15 && kelvin <= 373.15)) {
        table.refuse_value(row, column, "is no air of a building", "from -50 to 100 degC");
    }
    return Temperature::from_value(kelvin);
}

/// Duct design air, or dry air of a temperature and an altitude.
AirState air_of(const CsvTable& table, std::size_t row) {
    const bool warm = is_stated(table, row, "temperature"), high = is_stated(table, row, "altitude");
    if (!warm && !high) return duct_design_air();
    Length altitude{};
    if (high) {
        const std::size_t column = table.column("altitude");
        altitude = table.quantity<Length>(row, column);
        if (!(std::abs(altitude.value()) <= 5000.0)) {
            table.refuse_value(row, column, "is outside of where buildings stand", "from -5000 m to 5000 m");
        }
    }
    return moist_air({.temperature = warm ? temperature(table, row) : duct_design_air().temperature,
                      .pressure = handbook_pressure_at(altitude),
                      .relative_humidity = 0.0});
}

/// Ducts or coil, stated in the table for duct design air, restated for the system's own.
PowerLawPart part(const CsvTable& table, std::size_t row, const std::string& name, VolumeFlow flow,
                  const AirState& air) {
    const std::string exponent = name + " exponent";
    const double n = ratio(table, row, exponent);
    if (!(n >= 1.0 && n <= 2.5)) {
        table.refuse_value(row, table.column(exponent), "is no exponent of ducts or coils", "from 1 to 2.5");
    }
    SystemCurve stated;
    stated.power_laws.push_back({quantity<Pressure>(table, row, name + " pressure"), flow, n, duct_design_air()});
    return {pressure_drop(stated, flow, air), flow, n, air};
}

}   // namespace

const std::string& system_header() {
    static const std::string header =
        "system,fan,control,fan speed ratio,fan size ratio,fan within [%],design flow [m3/h],duct pressure [Pa],"
        "duct exponent,coil pressure [Pa],coil exponent,duct within [%],filters,present,hours [h],dust [ug/m3],"
        "dust within [%],dust equivalence,equivalence within [%],temperature [degC],altitude [m],electricity "
        "[money/kWh],"
        "electricity within [%],labour [money],disposal [money],least airflow [m3/h],greatest face velocity [m/s],"
        "least PM2.5 removal [%]";
    return header;
}

SystemReader::SystemReader(std::string directory, const std::vector<PortfolioCandidate>& candidates,
                           const choose_filter::FileSource& files)
    : directory_(std::move(directory)), files_(files) {
    for (const PortfolioCandidate& c : candidates) candidates_.push_back(c.name);
}

void SystemReader::check_columns(const CsvTable& table) const {
    table.refuse_unknown_columns(system_columns());
    for (const char* needed : {"system", "fan", "design flow", "duct pressure", "duct exponent", "filters", "hours",
                               "dust", "dust equivalence", "electricity"}) {
        table.column(needed);
    }
}

const SystemReader::FanFile& SystemReader::fan_file(const CsvTable& table, std::size_t row) const {
    const std::size_t column = table.column("fan");
    const std::string& name = table.cell(row, column).text;
    if (name.empty()) table.refuse(row, column, "no fan", "write the path of its table");
    const std::scoped_lock lock(mutex_);
    if (const auto found = fans_.find(name); found != fans_.end()) return found->second;
    const std::string path = (std::filesystem::path(directory_) / name).string();
    choose_filter::FileText file = files_.read(path);
    if (!file.found) {
        table.refuse(row, column, "cannot read the fan table " + path + ": " + file.reason,
                     "paths are relative to the table that names them");
    }
    FanTable fan;
    const CsvTable points(path, file.text, choose_filter::fan_header("static pressure"));
    fan.points = choose_filter::fan_points(points, FanPressureKind::static_pressure);
    fan.kind = FanPressureKind::static_pressure;
    fan.stated_air = fan_table_air();
    if (!fan.points.front().power) {
        throw choose_filter::DataError({path}, "the fan table has no power, without which there is no yearly cost",
                                       "add a column 'power [W]'");
    }
    return fans_.emplace(name, FanFile{std::move(file.text), std::make_shared<const FanTable>(std::move(fan))})
        .first->second;
}

const std::string& SystemReader::fan_text(const CsvTable& table, std::size_t row) const {
    return fan_file(table, row).text;
}

PortfolioSystem SystemReader::system(const CsvTable& table, std::size_t row) const {
    PortfolioSystem s;
    s.name = name_cell(table, row, "system");
    s.fan = fan_file(table, row).table;
    s.fan_ratios = {ratio_or(table, row, "fan speed ratio", 1.0), ratio_or(table, row, "fan size ratio", 1.0), 1.0};
    if (is_stated(table, row, "control")) {
        const std::size_t column = table.column("control");
        const std::string& word = table.cell(row, column).text;
        const std::vector<std::string> words{"fixed speed", "holds airflow"};
        if (word != words[0] && word != words[1]) {
            table.refuse(row, column, "no control is called '" + choose_filter::shown_text(word) + "'",
                         choose_filter::name_hint(word, words, "controls"));
        }
        s.holds_airflow = word == words[1];
    }
    const auto flow = quantity<VolumeFlow>(table, row, "design flow");
    s.air = air_of(table, row);
    s.ducts.power_laws.push_back(part(table, row, "duct", flow, s.air));
    if (is_stated(table, row, "coil pressure")) s.ducts.power_laws.push_back(part(table, row, "coil", flow, s.air));
    s.filters = ratio(table, row, "filters");
    if (s.filters != std::floor(s.filters)) {
        table.refuse_value(row, table.column("filters"), "is no whole number", "whole numbers, 1 or more");
    }
    if (is_stated(table, row, "present")) {
        const std::size_t column = table.column("present");
        const auto& name = table.cell(row, column).text;
        const auto at = std::find(candidates_.begin(), candidates_.end(), name);
        if (at == candidates_.end()) {
            table.refuse(row, column, "no candidate is named '" + choose_filter::shown_text(name) + "'",
                         choose_filter::name_hint(name, candidates_, "candidates"));
        }
        s.present = static_cast<std::size_t>(at - candidates_.begin());
    }
    s.hours = quantity<Time>(table, row, "hours");
    if (s.hours > 1.0 * units::year) {
        table.refuse_value(row, table.column("hours"), "is more than a year has", "up to 8760 h");
    }
    s.dust = quantity<MassConcentration>(table, row, "dust");
    s.equivalence = ratio(table, row, "dust equivalence");
    s.electricity = quantity<EnergyPrice>(table, row, "electricity");
    s.labour = optional_quantity<Money>(table, row, "labour", CellRange::not_negative).value_or(Money{});
    s.disposal = optional_quantity<Money>(table, row, "disposal", CellRange::not_negative).value_or(Money{});
    s.least_airflow = optional_quantity<VolumeFlow>(table, row, "least airflow");
    s.greatest_face_velocity = optional_quantity<Velocity>(table, row, "greatest face velocity");
    s.least_pm25_removal = optional_share(table, row, "least pm2.5 removal");
    s.fan_within = ratio_or(table, row, "fan within", 0.0, CellRange::not_negative);
    s.duct_within = ratio_or(table, row, "duct within", 0.0, CellRange::not_negative);
    s.dust_within = ratio_or(table, row, "dust within", 0.0, CellRange::not_negative);
    s.equivalence_within = ratio_or(table, row, "equivalence within", 0.0, CellRange::not_negative);
    s.electricity_within = ratio_or(table, row, "electricity within", 0.0, CellRange::not_negative);
    return s;
}

}   // namespace portfolio_study
