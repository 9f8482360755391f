// SPDX-License-Identifier: BSL-1.0

// Figures that a study does not ask for and could have, with the keys of the study file that ask for them.

#include "report_candidate.hpp"

#include <algorithm>
#include <optional>

#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// " of 'cellar'": the systems that lack something where others have it, "" where all lack it; nothing where none does.
template <class Lacks>
std::optional<std::string> lacked(const StudyInput& study, const Lacks& lacks) {
    std::vector<std::string> names;
    for (const SystemInput& system : study.systems) {
        if (lacks(system)) names.push_back("'" + system.name + "'");
    }
    if (names.empty()) return std::nullopt;
    return names.size() < study.systems.size() ? " of " + joined(names) : "";
}

}   // namespace

std::vector<MissingFigure> further_figures(const StudyInput& study, bool drawn) {
    std::vector<MissingFigure> further;
    if (study.systems.empty()) return further;
    const auto add = [&](bool lacks, const std::string& figure, const char* asked_by) {
        if (lacks) further.push_back({figure, asked_by});
    };
    const auto add_of = [&](const std::string& figure, const char* asked_by, const auto& lacks) {
        if (const auto of = lacked(study, lacks)) further.push_back({figure + *of, asked_by});
    };
    const auto no_room = [](const SystemInput& s) { return !s.room; };
    const bool rooms = std::none_of(study.systems.begin(), study.systems.end(), no_room);
    add_of("cost and airflow beside the filter installed now", "present in [[system]]",
           [](const SystemInput& s) { return s.present_candidate.empty(); });
    add_of("share of the outdoor PM2.5 and PM10 found indoors", "[system.room]", no_room);
    add_of("concentrations of PM2.5 and PM10 indoors", "outdoor_pm25, outdoor_pm10 in [system.room]",
           [](const SystemInput& s) { return s.room && !s.room->outdoor_pm25 && !s.room->outdoor_pm10; });
    add_of("yearly mean of PM2.5 and PM10 indoors",
           rooms ? "fan_cycle in [system.room], or [system.schedule]"
                 : "[system.room] with its fan_cycle, or with [system.schedule]",
           [](const SystemInput& s) { return !s.room || (!s.operating_hours && !s.room->fan_cycle); });
    add_of("months between changes by the season", "[system.schedule], instead of hours_per_year",
           [](const SystemInput& s) { return !s.operating_hours; });
    const PricesInput& prices = study.prices;
    add(!prices.change_penalty, "earliest and latest change at little more cost", "change_penalty in [prices]");
    add(!prices.years_of_service, "filters bought and cost over years of service", "years_of_service in [prices]");
    add(!prices.carbon, "carbon dioxide of the fan's energy", "carbon_per_kWh in [prices]");
    add(!prices.demand, "demand charges", "demand_per_kW_month in [prices]");
    add(prices.time_of_use.empty(), "electricity at prices by the hour", "[[prices.time_of_use]]");
    const bool claims = std::any_of(study.filters.begin(), study.filters.end(),
                                    [](const FilterInput& f) { return f.claimed_life.has_value(); });
    add(!claims, "claimed life beside the forecast", "claimed_life in [[filter]]");
    add(!drawn, "how often each candidate would be cheapest", "--draws N on the command line");
    return further;
}

std::string further_words(const StudyInput& study, bool drawn) {
    std::vector<std::string> words;
    for (const MissingFigure& m : further_figures(study, drawn)) words.push_back(m.figure + " (" + m.needs + ")");
    return joined(words, "; ");
}

}   // namespace choose_filter
