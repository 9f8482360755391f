// SPDX-License-Identifier: BSL-1.0

// The tables of pressures at common face velocities and at common flows.

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// What is common to the two tables: where the pressures are compared, and which of each filter.
struct PressureTable {
    std::string label;                  ///< "Pressures at common flows"
    std::string of;                     ///< "volume flow"
    std::string notes;                  ///< id of the notes below it
    std::vector<std::string> places;    ///< "at 1.52 m/s (300 fpm)"
    std::vector<std::optional<Uncertain<Pressure>>> FilterResult::*pressures;
    std::vector<std::optional<Pressure>> FilterResult::*raw;
};

std::string pressure_table_html(const StudyInput& study, const StudyResult& result, const PressureTable& table) {
    const Corrections done = corrections(study, result);
    std::vector<std::string> heads{"Filter"};
    for (const std::string& place : table.places) {
        heads.push_back(place + ": " + done.column() + " [Pa]");
        heads.push_back("as read there [Pa]");
    }
    Footnotes notes(table.notes);
    std::string rows;
    bool any = false;
    for (const FilterResult& filter : result.filters) {
        const auto& pressures = filter.*table.pressures;
        const auto& raw = filter.*table.raw;
        rows += row_head(filter.name);
        for (std::size_t i = 0; i < table.places.size(); ++i) {
            std::optional<Estimate> e;
            if (i < pressures.size()) e = estimate(pressures[i], units::Pa, study.coverage_probability);
            if (e) {
                any = true;
                rows += fmt::format("<td><span class=\"value\">{}</span><span class=\"second\">{} inH2O</span></td>",
                                    estimate_text(*e), estimate_text(scaled(*e, 1.0 / units::inH2O.one.value())));
            } else {
                rows += "<td>-" +
                        notes.reference(!filter.curve       ? "needs clean pressure readings with flows"
                                        : pressures.empty() ? "needs width and height of the filter"
                                                            : "outside the flows of this filter’s readings; no "
                                                              "extrapolation") +
                        "</td>";
            }
            rows += cell(i < raw.size() && raw[i] ? significant_text(raw[i]->value(), 3) : "-");
        }
        rows += "</tr>\n";
    }
    if (!any) return "";
    return table_start(table.label,
                       "Pressure across each filter at each common " + table.of +
                           ", from its fitted curve, and for contrast the raw readings interpolated to the same " +
                           table.of + ". " + done.words(study.standard_air_name),
                       heads) +
           rows + table_end() + notes.list();
}

}   // namespace

std::string pressures_table_html(const StudyInput& study, const StudyResult& result) {
    std::vector<std::string> places;
    for (const Velocity& v : study.comparison_velocities) {
        places.push_back(fmt::format("at {} m/s ({} fpm)", significant_text(v.value(), 3),
                                     significant_text(v / units::fpm, 3)));
    }
    return pressure_table_html(study, result,
                               {"Pressures at common velocities", "face velocity", "pressure-missing", places,
                                &FilterResult::pressure_at_velocities, &FilterResult::raw_pressure_at_velocities});
}

std::string pressures_at_flows_html(const StudyInput& study, const StudyResult& result) {
    std::vector<std::string> places;
    for (const VolumeFlow& flow : result.comparison_flows) {
        places.push_back(fmt::format("at {} m³/h ({} cfm)", significant_text(flow / units::m3_per_h, 4),
                                     significant_text(flow / units::cfm, 4)));
    }
    return pressure_table_html(study, result,
                               {"Pressures at common flows", "volume flow", "flow-pressure-missing", places,
                                &FilterResult::pressure_at_flows, &FilterResult::raw_pressure_at_flows});
}

std::size_t greatest_flow_index(const StudyResult& result) {
    std::size_t best = 0, most = 0;
    for (std::size_t q = 0; q < result.comparison_flows.size(); ++q) {
        const auto count = static_cast<std::size_t>(
            std::count_if(result.filters.begin(), result.filters.end(), [&](const FilterResult& filter) {
                return q < filter.pressure_at_flows.size() && filter.pressure_at_flows[q];
            }));
        if (count > most || (count == most && result.comparison_flows[q] > result.comparison_flows[best])) {
            best = q;
            most = count;
        }
    }
    return best;
}

}   // namespace choose_filter
