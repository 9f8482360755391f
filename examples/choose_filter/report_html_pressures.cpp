// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_corrections.hpp"
#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string pressures_table_html(const StudyInput& study, const StudyResult& result) {
    if (study.comparison_velocities.empty()) return "";
    std::vector<std::string> heads{"Filter"};
    const Corrections done = corrections(study, result);
    for (const Velocity& v : study.comparison_velocities) {
        heads.push_back(fmt::format("at {} m/s ({} fpm): {} [Pa]", significant_text(v.value(), 3),
                                    significant_text(v / units::fpm, 3), done.column()));
        heads.push_back("as read there [Pa]");
    }
    Footnotes notes("pressure-missing");
    std::string rows;
    bool any = false;
    for (const FilterResult& filter : result.filters) {
        rows += row_head(filter.name);
        for (std::size_t v = 0; v < study.comparison_velocities.size(); ++v) {
            std::optional<Estimate> e;
            if (v < filter.pressure_at_velocities.size()) {
                e = estimate(filter.pressure_at_velocities[v], units::Pa, study.coverage_probability);
            }
            if (e) {
                any = true;
                rows += fmt::format("<td><span class=\"value\">{}</span><span class=\"second\">{} inH2O</span></td>",
                                    estimate_text(*e), estimate_text(scaled(*e, 1.0 / units::inH2O.one.value())));
            } else {
                const bool no_face = filter.curve && filter.pressure_at_velocities.empty();
                rows += "<td>-" + notes.reference(no_face ? "needs width and height of the filter"
                                                  : filter.curve ? "outside the flows of this filter’s readings; no "
                                                                   "extrapolation"
                                                                 : "needs clean pressure readings with flows") +
                        "</td>";
            }
            const bool raw = v < filter.raw_pressure_at_velocities.size() && filter.raw_pressure_at_velocities[v];
            rows += cell(raw ? significant_text(filter.raw_pressure_at_velocities[v]->value(), 3) : "-");
        }
        rows += "</tr>\n";
    }
    if (!any) return "";
    return table_start(
               "Pressures at common velocities",
               "Pressure across each filter at common face velocities, from its fitted curve, and the raw readings "
               "interpolated to the same velocity for contrast. " +
                   done.words(study.standard_air_name),
               heads) +
           rows + table_end() + notes.list();
}

}   // namespace choose_filter
