// SPDX-License-Identifier: BSL-1.0

#include "report_console_tables.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>
#include <vector>

#include "report_candidate.hpp"
#include "report_console_text.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string system_table(const StudyInput& study, const SystemInput* input, const SystemResult& system) {
    const auto figures = candidate_figures(study);
    const auto figure = [&](const char* key) -> const CandidateFigure& {
        return *std::find_if(figures.begin(), figures.end(), [&](const CandidateFigure& f) { return f.key == key; });
    };
    const auto value = [&](const char* key, const CandidateResult& c) {
        const auto e = figure(key).of(c);
        return e ? whole_text(*e) : std::string("-");
    };
    const auto with_interval = [&](const char* key, const CandidateResult& c) {
        const auto e = figure(key).of(c);
        return e ? figure_text(figure(key), *e) : std::string(contradicted(figure(key), c) ? "not known" : "-");
    };
    ConsoleTable table;
    table.row({"#", "candidate", "airflow", "airflow", "filter", "filter", "power", "change", "energy", "cost",
               "PM2.5", "note"});
    table.row({"", "", "clean", "at end", "clean", "at end", "clean", "every", "a year", "a year", "removed", ""});
    table.row({"", "", "[m³/h]", "[m³/h]", "[Pa]", "[Pa]", "[W]", "[h]", "[kWh]",
               "[" + cut_to_width(currency_name(study), 14) + "]", "[%]", ""});
    const auto places = place_names(system);
    for (const std::size_t c : candidates_in_order(system)) {
        const CandidateResult& candidate = system.candidates[c];
        const LimitsVerdict verdict = limits_verdict(input, candidate);
        std::string note;
        if (!verdict.failed.empty()) note += "L";
        if (!verdict.known()) note += "U";
        if (verdict.failed.empty() && verdict.known() && !verdict.doubted.empty()) note += "D";
        if (candidate.below_present_airflow) note += "B";
        if (!candidate.tied_with.empty()) note += "T";
        table.row({places[c], one_line(candidate.name), value("airflow_clean", candidate),
                   value("airflow_end", candidate), value("filter_pressure_clean", candidate),
                   value("filter_pressure_end", candidate), value("power_clean", candidate),
                   value("change_interval", candidate), value("annual_energy", candidate),
                   with_interval("annual_cost", candidate), with_interval("lasting_pm25_removal", candidate), note});
    }
    return table.text(3, 2);
}

std::string room_and_years_table(const StudyInput& study, const SystemResult& system) {
    const auto figures = candidate_figures(study);
    std::vector<const CandidateFigure*> known;
    for (const char* key : {"indoor_pm25_share", "indoor_pm10_share", "indoor_pm25", "indoor_pm10",
                            "cost_per_clean_air", "present_value"}) {
        const CandidateFigure& figure =
            *std::find_if(figures.begin(), figures.end(), [&](const CandidateFigure& f) { return f.key == key; });
        if (std::any_of(system.candidates.begin(), system.candidates.end(),
                        [&](const CandidateResult& c) { return figure.of(c).has_value(); })) {
            known.push_back(&figure);
        }
    }
    if (known.empty()) return "";
    const auto head = [&](const CandidateFigure& figure) -> std::array<std::string, 3> {
        const std::string unit = "[" + cut_to_width(figure.unit, 14) + "]";
        if (figure.key == "present_value") {
            const double years = study.prices.horizon ? *study.prices.horizon / units::year : 0.0;
            return {"present value", "of " + estimate_text({years, years, years}) + " years", unit};
        }
        if (figure.key == "cost_per_clean_air") return {"1000 m³ of", "clean air", unit};
        const std::string matter = figure.key.starts_with("indoor_pm25") ? "PM2.5" : "PM10";
        const bool share = figure.key.ends_with("_share");
        return {matter, share ? "in/out" : "indoors", unit};
    };
    ConsoleTable table;
    for (std::size_t line = 0; line < 3; ++line) {
        std::vector<std::string> cells{line == 0 ? "#" : "", line == 0 ? "candidate" : ""};
        for (const CandidateFigure* figure : known) cells.push_back(head(*figure)[line]);
        table.row(std::move(cells));
    }
    const auto places = place_names(system);
    for (const std::size_t c : candidates_in_order(system)) {
        std::vector<std::string> cells{places[c], one_line(system.candidates[c].name)};
        for (const CandidateFigure* figure : known) {
            const auto e = figure->of(system.candidates[c]);
            cells.push_back(e ? figure_text(*figure, *e) : "-");
        }
        table.row(std::move(cells));
    }
    return "\n" + table.text(3, 2);
}

std::string asked_for_table(const StudyInput& study, const SystemResult& system) {
    struct Column {
        const char *key, *first, *second;
    };
    static const Column columns[] = {{"change_earliest", "change not", "before"},
                                     {"change_latest", "change not", "after"},
                                     {"calendar_shortest", "by calendar", "shortest"},
                                     {"calendar_longest", "by calendar", "longest"},
                                     {"annual_demand_cost", "demand", "a year"},
                                     {"annual_carbon", "CO2", "a year"},
                                     {"indoor_pm25_mean_share", "PM2.5 in/out", "over a year"},
                                     {"service_filters_bought", "filters", "bought"},
                                     {"service_present_value", "present", "value"}};
    const auto figures = candidate_figures(study);
    std::vector<const CandidateFigure*> known;
    std::vector<const Column*> heads;
    for (const Column& column : columns) {
        for (const CandidateFigure& figure : figures) {
            const auto has = [&](const CandidateResult& c) { return figure.of(c).has_value(); };
            if (figure.key != column.key || !std::any_of(system.candidates.begin(), system.candidates.end(), has))
                continue;
            known.push_back(&figure);
            heads.push_back(&column);
        }
    }
    if (known.empty()) return "";
    ConsoleTable table;
    std::vector<std::string> first{"#"}, second{""}, units{""};
    for (std::size_t i = 0; i < known.size(); ++i) {
        first.emplace_back(heads[i]->first);
        second.emplace_back(heads[i]->second);
        units.push_back("[" + cut_to_width(known[i]->file_unit == "1" ? "-" : known[i]->unit, 10) + "]");
    }
    table.row(std::move(first));
    table.row(std::move(second));
    table.row(std::move(units));
    const auto places = place_names(system);
    for (const std::size_t c : candidates_in_order(system)) {
        std::vector<std::string> cells{places[c]};
        for (const CandidateFigure* figure : known) {
            const auto e = figure->of(system.candidates[c]);
            cells.push_back(e ? whole_text(*e) : "-");
        }
        table.row(std::move(cells));
    }
    std::string text = "\n" + table.text(3, 1);
    if (study.prices.years_of_service) {
        const double years = *study.prices.years_of_service / units::year;
        text += wrap_text("Filters bought and present value are those of " + estimate_text(exact(years)) +
                              " years of service, each filter paid when it is put in.",
                          "   ", "   ");
    }
    return text;
}

std::string electricity_text(const StudyInput& study, const SystemResult& system) {
    if (!system.electricity) return "";
    const auto e = estimate(system.electricity->price, units::money_per_kWh.one.value(), study.coverage_probability);
    if (!e) return "";
    return wrap_text("Electricity costs " + estimate_text(*e) + " " + currency_name(study) +
                         " a kWh in the mean of the hours in which the fan runs" +
                         (system.electricity->hours_known ? "." : ", taken as all hours of a year alike."),
                     "   ", "   ");
}

}   // namespace choose_filter
