// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_draws.hpp"
#include "report_estimate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// Three or four figures of the recommended candidate beside the sentence.
std::string key_figures_html(const StudyInput& study, const CandidateResult& candidate) {
    std::string items;
    const auto add = [&](const char* key, const char* what) {
        for (const CandidateFigure& figure : candidate_figures(study)) {
            if (figure.key != key) continue;
            if (const auto e = figure.of(candidate)) {
                const std::string second =
                    figure.second_unit.empty()
                        ? std::string()
                        : " (" + estimate_text(scaled(*e, figure.second_factor)) + " " + figure.second_unit + ")";
                items += fmt::format("<li><b>{}{}</b> {}{}</li>\n", figure_text(figure, *e),
                                     contradicts_itself(figure, *e) ? "" : " " + html_text(figure.unit), what,
                                     html_text(second));
            }
        }
    };
    add("annual_cost", "a year at equal service");
    add("change_interval", "running, between changes");
    add("airflow_clean", "with filters clean");
    add("airflow_end", "at the end of the interval");
    add("lasting_pm25_removal", "of PM2.5 mass removed (0.3 to 2.5 µm)");
    return items.empty() ? "" : "<ul class=\"figures\">\n" + items + "</ul>\n";
}

std::string recommendation_html(const StudyInput& study, const StudyResult& result, std::size_t index,
                                const SystemDraws* drawn) {
    const SystemResult& system = result.systems[index];
    const bool conditional = system.conditional || !system.recommended;
    std::string html = fmt::format("<div class=\"recommendation{}\">\n<h3>{}</h3>\n<p class=\"sentence\">{}</p>\n",
                                   conditional ? " conditional" : "", html_text(system.name),
                                   html_text(system.recommendation.empty() ? "No recommendation can be made."
                                                                           : typeset(system.recommendation)));
    if (!system.condition.empty()) {
        html += "<p class=\"condition\">" + html_text(typeset(system.condition)) + "</p>\n";
    }
    for (const std::string& words : drawn ? contradiction_words(study, system, *drawn) : std::vector<std::string>()) {
        html += "<p class=\"condition\">The draws contradict this: " + html_text(typeset(words)) + ".</p>\n";
    }
    if (system.recommended && *system.recommended < system.candidates.size()) {
        const CandidateResult& chosen = system.candidates[*system.recommended];
        html += key_figures_html(study, chosen);
        html += "<ul class=\"notes\">\n";
        for (const std::string& note : system.recommendation_notes) {
            html += "<li>" + html_text(typeset(note)) + "</li>\n";
        }
        html += "</ul>\n";
        // What is said of it and not of every other candidate too.
        std::vector<std::string> mind;
        for (const std::string& warning : chosen.warnings) {
            const bool everywhere = system.candidates.size() > 1 &&
                std::all_of(system.candidates.begin(), system.candidates.end(), [&](const CandidateResult& c) {
                    return std::find(c.warnings.begin(), c.warnings.end(), warning) != c.warnings.end();
                });
            // A doubt in the sentence above says at what velocity it was counted and runs.
            const bool said = !chosen.doubted_limits.empty() && warning.find("' was counted at ") != std::string::npos;
            if (!everywhere && !said) mind.push_back(typeset(warning));
        }
        if (!mind.empty()) html += "<p class=\"mind\"><b>Mind:</b> " + html_text(joined(mind, "; ")) + ".</p>\n";
    }
    return html + order_sentence_html(result) + "</div>\n";
}

std::string facts(const StudyInput& study) {
    std::vector<std::string> parts;
    const bool flows = !study.stand || study.stand->flow_method != StandFlowMethod::not_measured;
    if (!study.standard_air_name.empty() && (flows || !study.systems.empty())) {
        const bool air_stated = !flows || !study.stand || study.stand->air;
        parts.push_back((air_stated ? "filters compared in " : "air of the tests not stated, taken as ") +
                        study.standard_air_name + fmt::format(" ({} kg/m³)",
                        significant_text(study.standard_air.density.value(), 4)));
    }
    parts.push_back(fmt::format("intervals cover {:.4g} %", 100.0 * study.coverage_probability));
    parts.push_back("± is the half width of such an interval");
    if (!study.origin.empty()) parts.push_back("study file " + study.origin);
    return joined(parts, " · ");
}

bool any_conditioned(const StudyInput& study) {
    return std::any_of(study.filters.begin(), study.filters.end(),
                       [](const FilterInput& f) { return !f.conditioned_counts.empty(); });
}

}   // namespace

std::string Footnotes::reference(const std::string& text) {
    auto at = std::find(texts_.begin(), texts_.end(), text);
    if (at == texts_.end()) at = texts_.insert(texts_.end(), text);
    const auto number = at - texts_.begin() + 1;
    return fmt::format("<sup>&#8239;<a href=\"#{0}-{1}\">({1})</a></sup>", prefix_, number);
}

std::string Footnotes::list() const {
    if (texts_.empty()) return "";
    std::string html = "<ol class=\"footnotes\">\n";
    for (std::size_t i = 0; i < texts_.size(); ++i) {
        html += fmt::format("<li id=\"{}-{}\">{}</li>\n", prefix_, i + 1, html_text(typeset(texts_[i])));
    }
    return html + "</ol>\n";
}

std::string caution_html(CautionTopic topic) {
    const Caution& c = caution(topic);
    return fmt::format("<div class=\"caution\" role=\"note\"><b class=\"word\">Caution</b><b>{}.</b> {} "
                       "<span class=\"defer\">Defer to: {}.</span></div>\n",
                       html_text(c.heading), html_text(c.text), html_text(c.defer_to));
}

std::string figure_html(const ReportFigure& figure) {
    if (figure.svg.empty()) {
        return fmt::format("<h3 id=\"{}\">{}</h3>\n<p class=\"absent\">Not drawn: {}.</p>\n", html_text(figure.id),
                           html_text(figure.heading), html_text(figure.missing));
    }
    return fmt::format("<figure id=\"{}\">\n<h3>{}</h3>\n{}\n<figcaption>{}</figcaption>\n</figure>\n",
                       html_text(figure.id), html_text(figure.heading), figure.svg, html_text(figure.caption));
}

std::string list_html(const std::vector<std::string>& texts, const std::string& css_class) {
    if (texts.empty()) return "";
    std::string html = css_class.empty() ? "<ul>\n" : "<ul class=\"" + css_class + "\">\n";
    for (const std::string& text : texts) html += "<li>" + html_text(text) + "</li>\n";
    return html + "</ul>\n";
}

std::string report_page(const StudyInput& study, const StudyResult& result, const StudyDraws* draws) {
    const ReportStyles styles(study);
    const std::string title = study.title.empty() ? std::string("Filter comparison") : study.title;
    std::string html;
    html +=
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" +
        html_text(title) + "</title>\n<style>" + report_style_sheet() + "</style>\n</head>\n<body>\n<header>\n<h1>" +
        html_text(title) + "</h1>\n";
    if (!study.note.empty()) html += "<p class=\"note\">" + html_text(study.note) + "</p>\n";
    html += "<p class=\"facts\">" + html_text(facts(study)) + "</p>\n";
    html += "<nav aria-label=\"Contents\">";
    const auto link = [&](const std::string& id, const std::string& text) {
        html += "<a href=\"#" + id + "\">" + html_text(text) + "</a> ";
    };
    if (!result.systems.empty()) link("recommendation", "Recommendation");
    if (result.stand && result.stand->pressure_only) link("order", "Order by pressure alone");
    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        link(fmt::format("system-{}", s + 1), result.systems[s].name);
    }
    link("inputs", "Filters tested");
    link("bench", "Bench");
    link("bench-details", "Bench details");
    link("missing", "What is missing");
    link("warnings", "Warnings");
    link("method", "Method");
    link("cautions", "Cautions");
    html += "</nav>\n</header>\n<main>\n";

    html += "<section id=\"recommendation\">\n<h2>Recommendation</h2>\n";
    if (result.systems.empty()) {
        html +=
            "<p>No system was described, so the filters are compared on the bench alone and none is recommended. What "
            "a "
            "recommendation needs stands under <a href=\"#missing\">What is missing</a>.</p>\n" +
            order_sentence_html(result);
    }
    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        html += recommendation_html(study, result, s, draws ? &draws->systems.at(s) : nullptr);
    }
    if (!result.systems.empty()) html += caution_html(CautionTopic::starved_airflow);
    html += caution_html(CautionTopic::estimates);
    html += "</section>\n";
    if (result.stand) html += order_html(study, *result.stand);

    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        html +=
            fmt::format("<section id=\"system-{}\">\n<h2>System: {}</h2>\n", s + 1, html_text(result.systems[s].name));
        html += comparison_html(study, result, s);
        html += caution_html(CautionTopic::bypass);
        if (draws) html += draws_html(study, result, *draws, s, styles);
        if (s < study.systems.size()) {
            html += figure_html(cost_parts_figure(study, result, s, styles));
            html += figure_html(fan_and_system_figure(study, result, s, styles));
            html += caution_html(CautionTopic::fan_motor);
            html += figure_html(cost_and_interval_figure(study, result, s, styles));
            html += caution_html(CautionTopic::fire);
            html += figure_html(airflow_and_power_figure(study, result, s, styles));
            html += caution_html(CautionTopic::icing);
            html += caution_html(CautionTopic::combustion_air);
        }
        html += "</section>\n";
    }

    html += inputs_html(study, result);
    html += "<section id=\"bench\">\n<h2>Bench: the filters themselves</h2>\n";
    html += figure_html(raw_and_corrected_pressure_figure(study, result, styles));
    html += pressures_table_html(study, result);
    html += pressures_at_flows_html(study, result);
    html += figure_html(pressure_and_flow_figure(study, result, styles));
    html += caution_html(CautionTopic::electricity);
    html += caution_html(CautionTopic::duct_strength);
    html += figure_html(efficiency_figure(study, result, styles));
    html += caution_html(CautionTopic::aerosol);
    if (any_conditioned(study)) html += caution_html(CautionTopic::conditioning);
    html += figure_html(pressure_and_dust_figure(study, result, styles));
    html += caution_html(CautionTopic::combustible_dust);
    html += caution_html(CautionTopic::silica);
    html += "</section>\n";

    html += bench_details_html(study, result);
    html += missing_html(study, result, draws != nullptr);
    html += warnings_html(result);
    html += method_html(study, result);

    html +=
        "<section id=\"cautions\">\n<h2>Cautions</h2>\n<p>This report replaces neither the nameplate, nor the local "
        "code, "
        "nor licensed practice; where they differ from it, they hold.</p>\n<div class=\"two\">\n";
    for (const Caution& c : all_cautions()) html += caution_html(c.topic);
    html +=
        "</div>\n</section>\n</main>\n<footer>Made by choose_filter, the example program of the filterflow library. "
        "Figures by gnuplot. Values are estimates from the readings given.</footer>\n</body>\n</html>\n";
    return html;
}

}   // namespace choose_filter
