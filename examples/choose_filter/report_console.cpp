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
#include "report_console_tables.hpp"
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

/// What the interval in the table means for a candidate of several stages.
std::string stages_text(const SystemResult& system) {
    const auto places = place_names(system);
    std::string text;
    for (const std::size_t c : candidates_in_order(system)) {
        const std::string& reason = system.candidates[c].change_interval_reason;
        if (reason.starts_with("each stage")) text += wrap_text(places[c] + ": " + reason, "   ", "   ");
    }
    return text;
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
        const bool not_known = e ? contradicts_itself(*removal, *e) : contradicted(*removal, candidate);
        if (not_known) names.push_back("'" + candidate.name + "'");
    }
    if (names.empty()) return "";
    return wrap_text("PM2.5 removed is not known of " + joined(names) +
                     ": more particles were counted behind the filter than before it.", "   ", "   ");
}

std::string order_table(const StudyInput& study, const PressureOnlyOrder& order) {
    ConsoleTable table;
    table.row({"#", "filter", "not told apart from", "as read [Pa]", "at the empty stand’s flow [Pa]"});
    for (std::size_t i = 0; i < order.places.size(); ++i) {
        const PressureOnlyPlace& entry = order.places[i];
        const auto e = estimate(entry.lower_bound, units::Pa, study.coverage_probability);
        const auto read = estimate(entry.reading, units::Pa, study.coverage_probability);
        table.row({std::to_string(i + 1), one_line(entry.name), one_line(joined(entry.tied_with)),
                   read ? estimate_text(*read) : "-", e ? ">= " + estimate_text(*e) : "-"});
    }
    std::string text = table.text(1, 3);
    if (std::none_of(order.places.begin(), order.places.end(), [](const auto& p) { return p.estimate.has_value(); })) {
        return text;
    }
    const bool straight = !study.stand || !study.stand->fan_ends ||
                          study.stand->fan_ends->shape == StatedFanShape::straight;
    ConsoleTable estimates;
    estimates.row({"#", "filter", "flow when read", "pressure at the", straight ? "by a parabola" : "by a straight"});
    estimates.row({"", "", "", "empty stand’s flow", straight ? "" : "line"});
    estimates.row({"", "", "[m³/h]", "[Pa]", "[Pa]"});
    for (std::size_t i = 0; i < order.places.size(); ++i) {
        const auto& place = order.places[i].estimate;
        const auto flow = place ? estimate(place->flow, units::m3_per_h, study.coverage_probability) : std::nullopt;
        const auto pressure = place ? estimate(place->pressure, units::Pa, study.coverage_probability) : std::nullopt;
        estimates.row({std::to_string(i + 1), one_line(order.places[i].name), flow ? estimate_text(*flow) : "-",
                       pressure ? estimate_text(*pressure) : "-",
                       place ? significant_text(place->pressure_with_other_shape.value(), 3) : "-"});
    }
    text += "\nEstimated from the stated ends of the stand’s fan, taken as ";
    text += straight ? "a straight line" : "a parabola";
    text += " between them:\n\n" + estimates.text(3, 2);
    if (order.empty_stand_flow) {
        if (const auto e = estimate(*order.empty_stand_flow, units::m3_per_h, study.coverage_probability)) {
            text += "The empty stand’s flow by these ends: " + estimate_text(*e) + " m³/h.\n";
        }
    }
    return text;
}

std::string order_text(const StudyInput& study, const PressureOnlyOrder& order) {
    std::string text =
        "\nOrder by pressure alone, lowest resistance first; no flow was measured.\n\n" + order_table(study, order);
    if (!order.rests_on.empty()) text += "It rests on:\n";
    for (const std::string& condition : order.rests_on) text += wrap_text(condition, "  ", "- ");
    if (!order.flags.empty()) text += "What contradicts it, or is missing:\n";
    for (const std::string& flag : order.flags) text += wrap_text(flag, "  ", "- ");
    return text;
}

std::string pressure_table(const StudyInput& study, const StudyResult& result) {
    const std::size_t v = comparison_velocity_index(study, result);
    ConsoleTable table;
    const bool reached = std::any_of(result.filters.begin(), result.filters.end(), [](const FilterResult& filter) {
        return std::any_of(filter.pressure_at_velocities.begin(), filter.pressure_at_velocities.end(),
                           [](const auto& pressure) { return pressure.has_value(); });
    });
    const bool at_flow = study.comparison_velocities.empty() || (!reached && !result.comparison_flows.empty());
    const std::size_t at_index = at_flow ? greatest_flow_index(result) : v;
    table.row({"filter", at_flow ? fmt::format("pressure at {} m³/h [Pa]",
                                               significant_text(result.comparison_flows[at_index] / units::m3_per_h, 4))
                                 : fmt::format("pressure at {} m/s [Pa]",
                                               significant_text(study.comparison_velocities[v].value(), 3))});
    for (const FilterResult& filter : result.filters) {
        std::optional<Estimate> e;
        const auto& pressures = at_flow ? filter.pressure_at_flows : filter.pressure_at_velocities;
        if (at_index < pressures.size()) e = estimate(pressures[at_index], units::Pa, study.coverage_probability);
        table.row({one_line(filter.name), e ? estimate_text(*e) : "-"});
    }
    return table.text(1, 1);
}

/// What the counts of each filter say, where no system follows in which it would stand.
std::string efficiencies_text(const StudyResult& result) {
    std::string text;
    for (const FilterResult& filter : result.filters) {
        if (!filter.efficiency || filter.efficiency->ranges.empty()) continue;
        std::vector<std::string> parts;
        for (const SizeEfficiency& entry : filter.efficiency->ranges) {
            const Estimate e =
                share({100.0 * (1.0 - entry.penetration.value), 100.0 * (1.0 - entry.penetration_interval.upper),
                       100.0 * (1.0 - entry.penetration_interval.lower), true});
            parts.push_back(estimate_text(e) + " % of " + range_text(entry.range));
        }
        text += wrap_text(one_line(filter.name) + ": " + joined(parts, "; "), "     ", "   - ");
    }
    return text.empty() ? "" : "\nParticles stopped when new, with 95 % intervals, from the counts:\n" + text;
}

}   // namespace

std::string console_table(const StudyInput& study, const StudyResult& result, const StudyDraws* draws) {
    std::string text;
    if (!study.title.empty()) text += wrap_text(study.title);
    if (!study.note.empty()) text += wrap_text(study.note);
    const bool by_pressure_alone = result.stand && result.stand->pressure_only;
    if (by_pressure_alone) text += order_text(study, *result.stand->pressure_only);   // all that there is
    for (const SystemResult& system : result.systems) {
        text += "\n" + wrap_text(system.name);
        text += wrap_text(system.recommendation.empty() ? "No recommendation can be made." : system.recommendation,
                          "   ", "-> ");
        if (!system.condition.empty()) text += wrap_text(system.condition, "   ", "   ");
        const std::size_t at = static_cast<std::size_t>(&system - result.systems.data());
        if (draws) {
            for (const std::string& words : contradiction_words(study, system, draws->systems.at(at))) {
                text += wrap_text("The draws contradict this: " + words + ".", "   ", "!! ");
            }
        }
        for (const std::string& note : system.recommendation_notes) text += wrap_text(note, "     ", "   - ");
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
            text +=
                wrap_text("Limits: " + joined(given, "; ") + ". " + limits_met_words(study, result, at), "   ", "   ");
        }
        if (!limits.empty()) text += "L  fails a limit:\n" + limits;
        if (!not_known.empty()) text += "U  whether it meets every limit is not known:\n" + not_known;
        if (!doubted.empty()) text += "D  meets its limits, one of them in doubt:\n" + doubted;
        if (below) text += "B  delivers less air than the present filter does clean\n";
        text += stages_text(system);
        if (const std::string ties = ties_text(system); !ties.empty()) {
            text += wrap_text("yearly cost not told apart (the interval of the difference contains zero): " + ties,
                              "   ", "T  ");
        }
        text += contradictions_text(study, system);
        text += room_and_years_table(study, system);
        text += asked_for_table(study, system);
        text += electricity_text(study, system);
        for (const std::string& warning : system.warnings) {
            if (warning.starts_with("equal service: ")) text += wrap_text(warning, "   ", "   ");
        }
        if (const std::string mind = warnings_text(system_warnings(system)); !mind.empty()) text += "   Mind:\n" + mind;
        if (draws) text += draws_text(study, result, *draws, at);
    }
    if (!by_pressure_alone && result.systems.empty() && !result.filters.empty() &&
               (!study.comparison_velocities.empty() || !result.comparison_flows.empty())) {
        text +=
            "\n" + pressure_table(study, result) + wrap_text(corrections(study, result).words(study.standard_air_name));
    }
    if (result.systems.empty()) text += efficiencies_text(result);
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

    if (const std::string further = further_words(study, draws != nullptr); !further.empty()) {
        text += "\nNot asked for:\n" + wrap_text(further, "  ", "  ");
    }

    text += "\n" + wrap_text(fmt::format(
                       "Intervals cover {:.4g} %. A number shown without its interval has the digits that the "
                       "interval supports, and no decimals. Every figure is an estimate from the readings given, not a "
                       "rating.",
                       100.0 * study.coverage_probability));
    if (!result.systems.empty()) {
        text += wrap_text(
            "# is the place by yearly cost among those that meet every limit; the others follow in the same "
            "order, with letters.");
        text += wrap_text("Cost and energy are those at equal service: of the running time that delivers the same air, "
                          "not of the same hours.");
        text += wrap_text(
            "PM2.5 removed is the share of its mass, 0.3 to 2.5 µm by the urban distribution of ISO 16890 "
            "(what is smaller is outside that convention), by new or by discharged filters, whichever is "
            "less, where both were counted.");
    }
    const std::vector<SaidWarning> rooms = room_notes(result);
    if (!rooms.empty()) text += wrap_text("in/out is the share of the outdoor PM2.5 or PM10 that is found indoors.");
    for (const SaidWarning& note : rooms) {
        text += wrap_text((note.of.empty() ? "" : joined(note.of, "; ") + ": ") + note.text);
    }
    text += wrap_text(
        "Caution: a starved fuel-burning furnace overheats and can let carbon monoxide into the rooms; low airflow "
        "ices coils and overheats motors. Nameplate, local code and licensed practice go before this table.");
    text += wrap_text(
        "Caution: never feed flour, starch, wood or metal dust to a bench (it explodes); fine mineral dust harms "
        "lungs; isolate fans before opening.");
    return text;
}

}   // namespace choose_filter
