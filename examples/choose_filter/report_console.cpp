// SPDX-License-Identifier: BSL-1.0

#include "report_console.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <functional>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_console_text.hpp"
#include "report_corrections.hpp"
#include "report_draws.hpp"
#include "report_figures.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"
#include "report_warnings.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

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
        return e ? figure_text(figure(key), *e) : std::string("-");
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

/// What candidates make of the room and what they cost over the years, where that is known of any.
std::string room_and_years_table(const StudyInput& study, const SystemResult& system) {
    const auto figures = candidate_figures(study);
    std::vector<const CandidateFigure*> known;
    for (const char* key : {"indoor_pm25_share", "indoor_pm10_share", "indoor_pm25", "indoor_pm10", "cost_per_clean_air",
                            "present_value"}) {
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
            return {"today’s value", "of " + estimate_text({years, years, years}) + " years", unit};
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

/// Ties by the names of the table, each pair once.
std::string ties_text(const SystemResult& system) {
    const auto places = place_names(system);
    const auto order = candidates_in_order(system);
    std::string ties;
    std::size_t pairs = 0;
    for (std::size_t i = 0; i < order.size(); ++i) {
        const auto& with = system.candidates[order[i]].tied_with;
        std::vector<std::string> later;
        for (std::size_t j = i + 1; j < order.size(); ++j) {
            if (std::find(with.begin(), with.end(), system.candidates[order[j]].name) != with.end()) {
                later.push_back(places[order[j]]);
            }
        }
        pairs += later.size();
        if (!later.empty()) ties += (ties.empty() ? "" : "; ") + places[order[i]] + " from " + joined(later);
    }
    const bool all = order.size() > 2 && 2 * pairs == order.size() * (order.size() - 1);
    return all ? "none from another" : ties;
}

std::string warnings_text(const std::vector<SaidWarning>& warnings) {
    constexpr std::size_t most = 8;
    std::string text;
    for (std::size_t i = 0; i < warnings.size() && i < most; ++i) {
        const SaidWarning& w = warnings[i];
        text += wrap_text((w.of.empty() ? "" : joined(w.of) + ": ") + w.text, "     ", "   - ");
    }
    if (warnings.size() > most) text += fmt::format("   - and {} more, in the report\n", warnings.size() - most);
    return text;
}

/// What the readings of the bench contradict in the table.
std::string contradictions_text(const StudyInput& study, const SystemResult& system) {
    const auto figures = candidate_figures(study);
    const auto removal = std::find_if(figures.begin(), figures.end(),
                                      [](const CandidateFigure& f) { return f.key == "lasting_pm25_removal"; });
    std::vector<std::string> names;
    for (const CandidateResult& candidate : system.candidates) {
        const auto e = removal->of(candidate);
        if (e && contradicts_itself(*removal, *e)) names.push_back("'" + candidate.name + "'");
    }
    if (names.empty()) return "";
    return wrap_text("PM2.5 removed is not known of " + joined(names) +
                     ": more particles were counted behind the filter than before it.", "   ", "   ");
}

std::string order_table(const StudyInput& study, const PressureOnlyOrder& order) {
    ConsoleTable table;
    table.row({"#", "filter", "not told apart from", "at the empty stand’s flow [Pa]"});
    for (std::size_t i = 0; i < order.places.size(); ++i) {
        const PressureOnlyPlace& entry = order.places[i];
        const auto e = estimate(entry.lower_bound, units::Pa, study.coverage_probability);
        table.row({std::to_string(i + 1), one_line(entry.name), one_line(joined(entry.tied_with)),
                   e ? ">= " + estimate_text(*e) : "-"});
    }
    return table.text(1, 3);
}

std::string pressure_table(const StudyInput& study, const StudyResult& result) {
    const std::size_t v = comparison_velocity_index(study, result);
    ConsoleTable table;
    const bool at_flow = study.comparison_velocities.empty();
    const std::size_t at_index = at_flow ? greatest_flow_index(result) : v;
    table.row({"filter",
               at_flow ? fmt::format("pressure at {} m³/h [Pa]",
                                     significant_text(result.comparison_flows[at_index] / units::m3_per_h, 4))
                       : fmt::format("pressure at {} m/s [Pa]", significant_text(study.comparison_velocities[v].value(), 3))});
    for (const FilterResult& filter : result.filters) {
        std::optional<Estimate> e;
        const auto& pressures = at_flow ? filter.pressure_at_flows : filter.pressure_at_velocities;
        if (at_index < pressures.size()) e = estimate(pressures[at_index], units::Pa, study.coverage_probability);
        table.row({one_line(filter.name), e ? estimate_text(*e) : "-"});
    }
    return table.text(1, 1);
}

}   // namespace

std::string console_table(const StudyInput& study, const StudyResult& result, const StudyDraws* draws) {
    std::string text;
    if (!study.title.empty()) text += wrap_text(study.title);
    if (!study.note.empty()) text += wrap_text(study.note);
    for (const SystemResult& system : result.systems) {
        text += "\n" + wrap_text(system.name);
        text += wrap_text(system.recommendation.empty() ? "No recommendation can be made." : system.recommendation, "   ",
                          "-> ");
        const std::size_t at = static_cast<std::size_t>(&system - result.systems.data());
        if (draws) {
            for (const std::string& words : contradiction_words(study, system, draws->systems.at(at))) {
                text += wrap_text("The draws contradict this: " + words + ".", "   ", "!! ");
            }
        }
        const SystemInput* input = at < study.systems.size() ? &study.systems[at] : nullptr;
        text += "\n" + system_table(study, input, system);
        std::string limits, not_known, doubted;
        bool below = false;
        for (const std::size_t c : candidates_in_order(system)) {
            const CandidateResult& candidate = system.candidates[c];
            const LimitsVerdict verdict = limits_verdict(input, candidate);
            if (!verdict.failed.empty()) {
                limits += wrap_text(candidate.name + ": " + joined(verdict.failed, "; "), "     ", "   - ");
            } else if (!verdict.known()) {
                not_known += wrap_text(candidate.name + ": " + verdict.words(), "     ", "   - ");
            } else if (!verdict.doubted.empty()) {
                doubted += wrap_text(candidate.name + ": " + joined(verdict.doubted, "; "), "     ", "   - ");
            }
            below = below || candidate.below_present_airflow;
        }
        const auto given = input ? limits_of(*input) : std::vector<std::string>();
        if (given.empty()) {
            text += "No limit was given.\n";
        } else {
            text += wrap_text("Limits: " + joined(given, "; ") + ". " + limits_met_words(study, result, at), "   ", "   ");
        }
        if (!limits.empty()) text += "L  fails a limit:\n" + limits;
        if (!not_known.empty()) text += "U  whether it meets every limit is not known:\n" + not_known;
        if (!doubted.empty()) text += "D  meets a limit in doubt:\n" + doubted;
        if (below) text += "B  delivers less air than the present filter does clean\n";
        if (const std::string ties = ties_text(system); !ties.empty()) {
            text += wrap_text("yearly cost not told apart, as the interval of the difference contains zero: " + ties,
                              "   ", "T  ");
        }
        text += contradictions_text(study, system);
        text += room_and_years_table(study, system);
        for (const std::string& warning : system.warnings) {
            if (warning.starts_with("equal service: ")) text += wrap_text(warning, "   ", "   ");
        }
        if (const std::string mind = warnings_text(system_warnings(system)); !mind.empty()) text += "   Mind:\n" + mind;
        if (draws) text += draws_text(study, result, *draws, at);
    }
    if (result.stand && result.stand->pressure_only) {
        const PressureOnlyOrder& order = *result.stand->pressure_only;
        text +=
            "\nOrder by pressure alone, lowest resistance first; no flow was measured.\n\n" + order_table(study, order);
        if (!order.rests_on.empty()) text += "It rests on:\n";
        for (const std::string& condition : order.rests_on) text += wrap_text(condition, "  ", "- ");
        if (!order.flags.empty()) text += "What contradicts it, or is missing:\n";
        for (const std::string& flag : order.flags) text += wrap_text(flag, "  ", "- ");
    } else if (result.systems.empty() && !result.filters.empty() &&
               (!study.comparison_velocities.empty() || !result.comparison_flows.empty())) {
        text += "\n" + pressure_table(study, result) + wrap_text(corrections(study, result).words(study.standard_air_name));
    }
    if (const std::string mind = warnings_text(bench_warnings(result)); !mind.empty()) {
        text += "\nMind, of the bench:\n" + mind;
    }
    if (result.systems.empty()) text += "No system was described: nothing is recommended.\n";
    const auto missing = all_missing(study, result);
    constexpr std::size_t most = 12;
    if (!missing.empty()) text += "\nMissing:\n";
    for (std::size_t i = 0; i < missing.size() && i < most; ++i) {
        text += wrap_text(missing[i].missing.figure + ": needs " + missing[i].missing.needs, "  ", "- ");
    }
    if (missing.size() > most) text += fmt::format("- and {} more, in the report\n", missing.size() - most);

    text += "\n" + wrap_text(fmt::format("Intervals cover {:.4g} %. A number without its interval is rounded by it, to a "
                                         "whole one at most. Every figure is an estimate from the readings given, not a "
                                         "rating.", 100.0 * study.coverage_probability));
    if (!result.systems.empty()) {
        text += wrap_text("# is the place by yearly cost among those that meet every limit; the others follow in the same "
                          "order, with letters.");
        text += wrap_text("Cost and energy are those at equal service: of the running time that delivers the same air, "
                          "not of the same hours.");
        text += wrap_text("PM2.5 removed is the share of its mass, 0.3 to 2.5 µm by the urban distribution of ISO 16890 "
                          "(what is smaller is outside that convention), by new or by discharged filters, whichever is "
                          "less, where both were counted.");
    }
    text += wrap_text("Caution: a starved fuel-burning furnace overheats and can let carbon monoxide into the rooms; low airflow "
                      "ices coils and overheats motors. Nameplate, local code and licensed practice go before this table.");
    text += wrap_text("Caution: never feed flour, starch, wood or metal dust to a bench (it explodes); fine mineral dust harms "
                      "lungs; isolate fans before opening.");
    return text;
}

}   // namespace choose_filter
