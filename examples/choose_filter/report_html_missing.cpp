// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"
#include "report_warnings.hpp"

namespace choose_filter {

using namespace filterflow;

std::string missing_html(const StudyInput& study, const StudyResult& result, bool drawn) {
    const std::vector<MissingThing> all = all_missing(study, result);
    std::string html = "<section id=\"missing\">\n<h2>What is missing</h2>\n";
    if (all.empty()) {
        html += "<p>Nothing: every figure of the comparison and every class could be computed.</p>\n";
    } else {
        html += table_start("What is missing", "Each figure that could not be computed, and what it needs.",
                            {"Of", "|Figure", "|Needs"});
        for (const MissingThing& thing : all) {
            html += row_head(joined(thing.of, "; ")) + text_cell(typeset(thing.missing.figure)) +
                    text_cell(typeset(thing.missing.needs)) + "</tr>\n";
        }
        html += table_end();
    }
    std::string rows;
    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        for (const MissingFigure& m : rows_left_out(study, result, s)) {
            rows += row_head(result.systems[s].name) + text_cell(m.figure) + text_cell(typeset(m.needs)) + "</tr>\n";
        }
    }
    if (!rows.empty()) {
        html += "<h3>Left out of the comparison</h3>\n" +
                table_start("Left out of the comparison", "Figures that no candidate of a system has.",
                            {"System", "|Figures", "|Need"}) +
                rows + table_end();
    }
    const std::vector<MissingFigure> further = further_figures(study, drawn);
    if (!further.empty()) {
        html += "<h3>Not asked for</h3>\n" +
                table_start("Not asked for",
                            "Further figures that can be had, and where the study file asks for them: a key in its "
                            "section.",
                            {"Figure", "|Asked for by"});
        for (const MissingFigure& m : further) html += row_head(typeset(m.figure)) + text_cell(m.needs) + "</tr>\n";
        html += table_end();
    }
    return html + "</section>\n";
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
        for (const std::string& warning : system_notes(system)) {
            if (!is_room_note(warning)) candidates.add("system", warning);
        }
        for (const CandidateResult& candidate : system.candidates) {
            for (const std::string& warning : candidate.warnings) {
                candidates.add(candidate.name, without_its_velocity(warning));
            }
        }
        section(system.name, candidates.list(system.candidates.size(), "every candidate"));
    }
    std::vector<std::string> rooms;
    for (const SaidWarning& note : room_notes(result)) {
        rooms.push_back((note.of.empty() ? "" : joined(note.of, "; ") + ": ") + typeset(note.text));
    }
    section("Rooms served", list_html(rooms, "small"));
    return "<section id=\"warnings\">\n<h2>Notes and warnings</h2>\n" + (html.empty() ? "<p>None.</p>\n" : html) +
           "</section>\n";
}

}   // namespace choose_filter
