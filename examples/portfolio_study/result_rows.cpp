// SPDX-License-Identifier: BSL-1.0

#include "result_rows.hpp"

#include <algorithm>

#include "choose_filter/report_text.hpp"

namespace portfolio_study {

using choose_filter::CsvTable;

namespace {

constexpr std::size_t first_figure = 9;

std::size_t place_in(const std::vector<std::string>& words, const CsvTable& table, std::size_t row,
                     std::size_t column) {
    const auto at = std::find(words.begin(), words.end(), table.cell(row, column).text);
    if (at == words.end()) table.refuse(row, column, "no such word in results of portfolio_study");
    return static_cast<std::size_t>(at - words.begin());
}

std::string limits_text(unsigned failed) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < limit_words().size(); ++i) {
        if (failed & (1u << i)) names.push_back(limit_words()[i]);
    }
    return choose_filter::joined(names, "; ");
}

}   // namespace

const std::array<FigureColumn, figure_count>& figure_columns() {
    static const std::array<FigureColumn, figure_count> columns{{
        {"airflow_clean", "m3/h", "airflow with clean filters"},
        {"airflow_end", "m3/h", "airflow when the filters are changed"},
        {"filter_pressure_clean", "Pa", "pressure drop of the clean filters"},
        {"filter_pressure_end", "Pa", "pressure drop of the filters when they are changed"},
        {"face_velocity", "m/s", "face velocity with clean filters"},
        {"power_clean", "W", "electric power of the fan with clean filters"},
        {"change_interval", "h", "running time between changes"},
        {"annual_running_time", "h", "running time that the air of a year takes"},
        {"annual_energy", "kWh", "energy of the fan in a year at equal service"},
        {"annual_filter_cost", "money", "filters, labour and disposal of a year at equal service"},
        {"annual_cost", "money", "energy and filters of a year at equal service"},
        {"annual_service", "m3", "air of a year that every candidate delivers"},
        {"probability_best", "", "share of draws in which it is the cheapest that keeps to all limits"},
    }};
    return columns;
}

const std::vector<std::string>& status_words() {
    static const std::vector<std::string> words{"served", "no operating point", "clean above final resistance",
                                                "limit broken from the start", "no interval"};
    return words;
}

const std::vector<std::string>& changed_by_words() {
    static const std::vector<std::string> words{
        "", "least cost", "final resistance", "age", "least airflow", "end of the fan table", "operating point lost"};
    return words;
}

const std::vector<std::string>& limit_words() {
    static const std::vector<std::string> words{"airflow", "face velocity", "PM2.5 removal", "hours of a year"};
    return words;
}

std::string result_header() {
    std::string text = "system_number,system,candidate,status,changed_by,failed_limits,present,best,extrapolated";
    for (const FigureColumn& c : figure_columns()) {
        text.append(",").append(c.name);
        if (*c.unit != '\0') text.append(" [").append(c.unit).append("]");
    }
    return text + "\n";
}

ResultRow result_row(std::size_t number, const std::string& system, const std::string& candidate,
                     const CandidateOutcome& o) {
    ResultRow row;
    row.number = number;
    row.system = system;
    row.candidate = candidate;
    row.status = static_cast<std::size_t>(o.status);
    row.changed_by = static_cast<std::size_t>(o.changed_by);
    row.failed_limits =
        (o.lacks_airflow ? 1u : 0u) | (o.too_fast ? 2u : 0u) | (o.lacks_removal ? 4u : 0u) | (o.exceeds_year ? 8u : 0u);
    row.present = o.present;
    row.best = o.best;
    row.extrapolated = o.extrapolated;
    const auto in = [](const auto& quantity, const auto& unit) {
        return quantity ? std::optional(*quantity / unit) : std::nullopt;
    };
    row.figures = {in(o.flow_clean, units::m3_per_h),
                   in(o.flow_end, units::m3_per_h),
                   in(o.drop_clean, units::Pa),
                   in(o.drop_end, units::Pa),
                   in(o.face_velocity, units::m_per_s),
                   in(o.power_clean, units::W),
                   in(o.interval, units::h),
                   in(o.running_time, units::h),
                   in(o.energy, units::kWh),
                   in(o.filter_cost, units::money),
                   in(o.cost, units::money),
                   in(o.service, units::m3),
                   o.probability_best};
    return row;
}

std::string result_text(const ResultRow& row) {
    std::string text = std::to_string(row.number);
    for (const std::string& cell :
         {choose_filter::csv_text(row.system), choose_filter::csv_text(row.candidate), status_words()[row.status],
          changed_by_words()[row.changed_by], limits_text(row.failed_limits), std::string(row.present ? "yes" : "no"),
          std::string(row.best ? "yes" : "no"), std::string(row.extrapolated ? "yes" : "no")}) {
        text.append(",").append(cell);
    }
    for (const std::optional<double>& figure : row.figures) {
        text += ',';
        if (figure) text += choose_filter::exact_text(*figure);
    }
    return text + "\n";
}

ResultRow read_result(const CsvTable& table, std::size_t row) {
    ResultRow result;
    result.number = static_cast<std::size_t>(table.count(row, 0));
    result.system = table.cell(row, 1).text;
    result.candidate = table.cell(row, 2).text;
    result.status = place_in(status_words(), table, row, 3);
    result.changed_by = place_in(changed_by_words(), table, row, 4);
    const std::string& limits = table.cell(row, 5).text;
    while (result.failed_limits < 16 && limits_text(result.failed_limits) != limits) ++result.failed_limits;
    if (result.failed_limits == 16) table.refuse(row, 5, "no such limits in results of portfolio_study");
    result.present = table.cell(row, 6).text == "yes";
    result.best = table.cell(row, 7).text == "yes";
    result.extrapolated = table.cell(row, 8).text == "yes";
    for (std::size_t i = 0; i < figure_count; ++i) {
        if (!table.is_empty(row, first_figure + i)) result.figures[i] = table.number(row, first_figure + i);
    }
    return result;
}

}   // namespace portfolio_study
