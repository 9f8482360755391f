// SPDX-License-Identifier: BSL-1.0

// The test stand on the page: how its flow was found, its tare and flags; the order where no flow was measured.

#include "report_html.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string stand_html(const StudyInput& study, const StudyResult& result) {
    std::string html = "<h3>Stand</h3>\n";
    if (!result.stand) return html + "<p class=\"absent\">No stand was described.</p>\n";
    const StandResult& stand = *result.stand;
    std::vector<std::string> lines;
    if (study.stand) {
        switch (study.stand->flow_method) {
            case StandFlowMethod::flow_meter: lines.push_back("Flow read directly from a meter."); break;
            case StandFlowMethod::flow_element:
                lines.push_back("Flow from the differential pressure of a flow element.");
                break;
            case StandFlowMethod::traverse: lines.push_back("Flow from a traverse of velocities."); break;
            case StandFlowMethod::fan_table:
                lines.push_back("Flow not measured: inferred from the fan table of the stand.");
                break;
            case StandFlowMethod::not_measured:
                lines.push_back("Flow not measured: pressures alone; order and lower bounds only.");
                break;
        }
        if (study.stand->air) {
            const auto& air = *study.stand->air;
            lines.push_back(fmt::format("Air during the tests: {} °C, {} kPa, {} % relative humidity.",
                                        fixed_text(to_celsius(air.temperature), 1),
                                        significant_text(air.pressure / units::kPa, 4),
                                        significant_text(100.0 * air.relative_humidity, 3)));
        }
        const bool flagged = std::any_of(stand.flags.begin(), stand.flags.end(),
                                         [](const std::string& f) { return f.starts_with("no leak test"); });
        if (!study.stand->leakage && !flagged) lines.push_back("No leak test: the stand is taken as tight.");
    }
    lines.push_back(
        stand.tare ? "Tare: fitted to the readings of the empty stand (first row of the table of fits), taken "
                     "off every reading at that reading’s own flow."
        : stand.pressure_only && study.stand && !study.stand->empty_stand.empty()
            ? "The reading of the empty stand is taken off each reading: a lower bound, as without flows "
              "no tare can be fitted."
            : "No empty stand was read, so no tare is taken off: pressures contain the stand’s own resistance.");
    html += list_html(lines, "small");
    std::vector<std::string> flags;
    for (const std::string& flag : stand.flags) flags.push_back(typeset(flag));
    if (!flags.empty()) html += "<h4>Flags of the stand</h4>\n" + list_html(flags, "small");
    return html;
}

std::string order_html(const StudyInput& study, const StandResult& stand) {
    if (!stand.pressure_only || stand.pressure_only->places.empty()) return "";
    const auto& places = stand.pressure_only->places;
    const bool estimates =
        std::any_of(places.begin(), places.end(), [](const PressureOnlyPlace& e) { return e.estimate.has_value(); });
    std::vector<std::string> heads{"Filter", "Place", "As read [Pa]", "Lower bound [Pa]",
                                   "|Not told apart from (the interval of the difference contains zero)"};
    std::string caption =
        "Lowest resistance first. The reading less that of the empty stand is a lower bound of the pressure at "
        "the empty stand’s flow";
    if (estimates) {
        const bool straight = !study.stand || !study.stand->fan_ends ||
                              study.stand->fan_ends->shape == StatedFanShape::straight;
        for (const char* head : {"Flow, estimated [m³/h]", "Pressure, estimated [Pa]",
                                 straight ? "by a parabola [Pa]" : "by a straight line [Pa]"})
            heads.emplace_back(head);
        caption +=
            "; the last three columns are estimates from the stated ends of the stand’s fan, the last one with the "
            "other "
            "shape of curve between them";
    }
    std::string html =
        "<section id=\"order\">\n<h2>Order by pressure alone</h2>\n" +
        table_start("Order by pressure alone", caption + ".", heads);
    for (std::size_t i = 0; i < places.size(); ++i) {
        const PressureOnlyPlace& entry = places[i];
        const double p = study.coverage_probability;
        html += row_head(entry.name) + cell(std::to_string(i + 1)) +
                cell(or_dash(estimate(entry.reading, units::Pa, p))) +
                cell(or_dash(estimate(entry.lower_bound, units::Pa, p))) +
                text_cell(entry.tied_with.empty() ? "–" : joined(entry.tied_with));
        if (estimates) {
            html += cell(entry.estimate ? or_dash(estimate(entry.estimate->flow, units::m3_per_h, p)) : "-") +
                    cell(entry.estimate ? or_dash(estimate(entry.estimate->pressure, units::Pa, p)) : "-") +
                    cell(entry.estimate ? significant_text(entry.estimate->pressure_with_other_shape.value(), 3) : "-");
        }
        html += "</tr>\n";
    }
    html += table_end();
    const PressureOnlyOrder& order = *stand.pressure_only;
    if (!order.rests_on.empty()) html += "<h4>What the order rests on</h4>\n" + list_html(order.rests_on, "small");
    if (!order.flags.empty()) html += "<h4>What contradicts it, or is missing</h4>\n" + list_html(order.flags, "small");
    return html + "</section>\n";
}

std::string order_sentence_html(const StudyResult& result) {
    if (!result.stand || !result.stand->pressure_only || result.stand->pressure_only->places.empty()) return "";
    std::vector<std::string> names;
    bool ties = false;
    for (const PressureOnlyPlace& place : result.stand->pressure_only->places) {
        names.push_back("‘" + place.name + "’");
        ties = ties || !place.tied_with.empty();
    }
    return "<p class=\"mind\">What the pressures alone tell, lowest resistance first: " + html_text(joined(names)) +
           (ties ? " (some are not told apart)" : "") +
           "; see the <a href=\"#order\">order by pressure alone</a>.</p>\n";
}

}   // namespace choose_filter
