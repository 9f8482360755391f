// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string missing_html(const StudyInput& study, const StudyResult& result) {
    const std::vector<MissingThing> all = all_missing(study, result);
    std::string html = "<section id=\"missing\">\n<h2>What is missing</h2>\n";
    if (all.empty())
        return html + "<p>Nothing: every figure of the comparison and every class could be computed.</p>\n</section>\n";
    html += table_start("What is missing", "Each figure that could not be computed, and what it needs.",
                        {"Of", "|Figure", "|Needs"});
    for (const MissingThing& thing : all) {
        html += row_head(joined(thing.of, "; ")) + text_cell(thing.missing.figure) +
                text_cell(typeset(thing.missing.needs)) + "</tr>\n";
    }
    return html + table_end() + "</section>\n";
}

std::string warnings_html(const StudyResult& result) {
    std::string html;
    const auto section = [&](const std::string& of, const std::string& list) {
        if (!list.empty()) html += "<h4>" + html_text(of) + "</h4>\n" + list;
    };
    SaidOf study, filters;
    for (const std::string& warning : result.warnings) study.add("study", warning);
    section("Study", study.list(0, ""));
    for (const FilterResult& filter : result.filters) {
        for (const std::string& warning : filter.warnings) {
            // That the readings show both stages is in the table of loading.
            const bool said = filter.loading && warning == "loading: " + filter.loading->verdict &&
                              filter.loading->stages == LoadingStages::both;
            if (!said) filters.add(filter.name, warning);
        }
    }
    section("Filters", filters.list(result.filters.size(), "every filter"));
    for (const SystemResult& system : result.systems) {
        SaidOf candidates;
        for (const std::string& warning : system.warnings) candidates.add("system", warning);
        for (const CandidateResult& candidate : system.candidates) {
            for (const std::string& warning : candidate.warnings) candidates.add(candidate.name, warning);
        }
        section(system.name, candidates.list(system.candidates.size(), "every candidate"));
    }
    return "<section id=\"warnings\">\n<h2>Notes and warnings</h2>\n" + (html.empty() ? "<p>None.</p>\n" : html) +
           "</section>\n";
}

}   // namespace choose_filter
