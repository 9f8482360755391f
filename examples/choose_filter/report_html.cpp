// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_estimate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string paragraph(const std::string& text) { return "<p>" + html_text(text) + "</p>\n"; }

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
                // "money" heads columns; after a number the currency's own words stand.
                const bool unnamed = figure.unit == currency_name(study) && !study.prices.currency.empty();
                const std::string unit = unnamed ? one_line(study.prices.currency) : figure.unit;
                items += fmt::format("<li><b>{}{}</b> {}{}</li>\n", figure_text(figure, *e),
                                     contradicts_itself(figure, *e) ? "" : " " + html_text(unit), what,
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

/// Whether readings with flows contain the stand's own resistance.
bool reads_without_tare(const StudyInput& study) { return study.stand && study.stand->empty_stand.empty(); }

std::string recommendation_html(const StudyInput& study, const SystemResult& system, const SystemInput* input) {
    const bool conditional = system.conditional || !system.recommended;
    std::string html = fmt::format("<div class=\"recommendation{}\">\n<h3>{}</h3>\n<p class=\"sentence\">{}</p>\n",
                                   conditional ? " conditional" : "", html_text(system.name),
                                   html_text(system.recommendation.empty() ? "No recommendation can be made."
                                                                           : typeset(system.recommendation)));
    if (system.recommended && *system.recommended < system.candidates.size()) {
        const CandidateResult& chosen = system.candidates[*system.recommended];
        html += key_figures_html(study, chosen);
        // What is said of it and not of every other candidate too.
        std::vector<std::string> mind;
        for (const std::string& warning : chosen.warnings) {
            const bool everywhere = system.candidates.size() > 1 &&
                std::all_of(system.candidates.begin(), system.candidates.end(), [&](const CandidateResult& c) {
                    return std::find(c.warnings.begin(), c.warnings.end(), warning) != c.warnings.end();
                });
            if (!everywhere) mind.push_back(typeset(warning));
        }
        if (!mind.empty()) html += "<p class=\"mind\"><b>Mind:</b> " + html_text(joined(mind, "; ")) + ".</p>\n";
    }
    if (system.conditional) {
        const bool no_limit = !input || !input->least_airflow;
        html += std::string("<p class=\"condition\">Nothing here is recommended without condition: ") +
                (no_limit ? "no least airflow was given for this system, so check first what the equipment needs" : "") +
                (no_limit && reads_without_tare(study) ? "; " : "") +
                (reads_without_tare(study) ? "no empty stand was read, so measure the stand’s own resistance and run "
                                             "the study again"
                                           : "") +
                ".</p>\n";
    }
    return html + "</div>\n";
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

/// The limits that a system sets, and by how many candidates they are met, in sentences.
std::string limits_sentence(const StudyInput& study, const StudyResult& result, std::size_t index) {
    if (index >= study.systems.size()) return "";
    const auto limits = limits_of(study.systems[index]);
    return limits.empty() ? "No limit was given."
                          : "Limits given: " + joined(limits, "; ") + ". " + limits_met_words(study, result, index);
}

/// What equal service and its hours mean.
std::string service_sentence(const SystemInput* input) {
    std::string text = "Equal service: every candidate is charged for the running time in which it delivers the same air";
    if (!input || !input->hours_per_year) return text + ".";
    const std::string hours = estimate_text({*input->hours_per_year / units::h, *input->hours_per_year / units::h,
                                             *input->hours_per_year / units::h});
    return text + fmt::format(
        ", be it more or less than the {0} h a year that the fan runs. Yearly cost and energy count that time; months "
        "between changes count the {0} h a year, as the calendar will show them.", hours);
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
    return fmt::format("<sup><a href=\"#{0}-{1}\">{1}</a></sup>", prefix_, number);
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

std::string comparison_html(const StudyInput& study, const StudyResult& result, std::size_t index) {
    const SystemResult& system = result.systems[index];
    const SystemInput* input = index < study.systems.size() ? &study.systems[index] : nullptr;
    const auto order = candidates_in_order(system);
    Footnotes notes(fmt::format("missing-{}", index + 1));
    const std::size_t columns = order.size() + 1;

    std::string html = fmt::format(
        "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Comparison table: {}\">\n<table class=\"comparison\" style=\"--candidates: {}\">\n"
        "<caption>Candidates from left to right in the order of yearly cost at equal service: first those that meet every "
        "limit, with numbers, then, in the same order, those that fail one or lack a figure, with letters. {} {} PM2.5 removed: share of "
        "its mass, 0.3 to 2.5 µm, urban distribution of ISO 16890; PM10: 0.3 to 10 µm, rural distribution; what is "
        "smaller than 0.3 µm is outside that convention.</caption>\n<thead>\n<tr><th scope=\"col\" "
        "class=\"text\">Figure</th>",
        html_text(system.name), order.size(), html_text(limits_sentence(study, result, index)),
        html_text(service_sentence(input)));
    const auto places = place_names(system);
    const auto best = [&](std::size_t c) { return system.recommended && *system.recommended == c; };
    for (const std::size_t c : order) {
        const CandidateResult& candidate = system.candidates[c];
        html += fmt::format("<th scope=\"col\"{}><span class=\"rank\">{}</span>{}", best(c) ? " class=\"best\"" : "",
                            places[c], html_text(candidate.name));
        const auto tag = [&](const char* kind, const char* text) {
            html += fmt::format("<br><span class=\"tag {}\">{}</span>", kind, text);
        };
        if (best(c)) tag("good", system.conditional ? "first, on condition" : "recommended");
        const LimitsVerdict verdict = limits_verdict(input, candidate);
        if (!verdict.failed.empty()) tag("bad", "fails a limit");
        else if (!verdict.known()) tag("plain", "limits not all known");
        // Where a least airflow is given and met, less air than now is something to know and no fault.
        if (candidate.below_present_airflow) tag(system.conditional ? "bad" : "plain", "less air");
        if (input && !input->present_candidate.empty() && input->present_candidate == candidate.name) {
            tag("plain", "present filter");
        }
        html += "</th>";
    }
    html += "</tr>\n</thead>\n<tbody>\n";

    const auto cell_class = [&](std::size_t c, const std::string& other) {
        const std::string all = other + (best(c) ? (other.empty() ? "best" : " best") : "");
        return all.empty() ? std::string() : " class=\"" + all + "\"";
    };
    const auto group_row = [&](const char* name) {
        html += fmt::format("<tr class=\"group\"><th colspan=\"{}\" scope=\"rowgroup\">{}</th></tr>\n", columns, name);
    };
    const auto text_row = [&](const char* label, const auto& text_of) {
        html += fmt::format("<tr class=\"text\"><th scope=\"row\">{}</th>", label);
        for (const std::size_t c : order) {
            const std::string text = text_of(system.candidates[c]);
            html += fmt::format("<td{}>{}</td>", cell_class(c, "text"), text.empty() ? "–" : html_text(text));
        }
        html += "</tr>\n";
    };
    const auto figure_row = [&](const CandidateFigure& figure) {
        const char* kind = figure.key == "annual_cost" ? " class=\"key\""
                           : figure.group == FigureGroup::beside ? " class=\"beside\"" : "";
        html += fmt::format("<tr{}><th scope=\"row\">{} <span class=\"unit\">[{}]</span></th>", kind,
                            html_text(figure.label),
                            html_text(figure.unit + (figure.second_unit.empty() ? "" : ", " + figure.second_unit)));
        for (const std::size_t c : order) {
            html += "<td" + cell_class(c, "") + ">";
            if (const auto e = figure.of(system.candidates[c]); e && contradicts_itself(figure, *e)) {
                html += "not known" + notes.reference("more particles were counted behind the filter than before it: "
                                                      "see the quality of the counts");
            } else if (e) {
                html += "<span class=\"value\">" + figure_text(figure, *e) + "</span>";
                if (!figure.second_unit.empty()) {
                    html += "<span class=\"second\">" + estimate_text(scaled(*e, figure.second_factor)) + "</span>";
                }
            } else {
                html += "-";
                const auto missing = missing_for(figure, system.candidates[c], system, result);
                if (missing.empty()) {
                    html += notes.reference("not computed for this candidate; see its limits, the warnings and the list "
                                            "of what is missing");
                }
                for (const MissingFigure& m : missing) html += notes.reference(m.figure + ": needs " + m.needs);
            }
            html += "</td>";
        }
        html += "</tr>\n";
    };
    const auto figures = candidate_figures(study);
    const auto rows_of = [&](FigureGroup group) {
        for (const CandidateFigure& figure : figures) {
            if (figure.group != group || figure.key == "annual_cost") continue;
            // Without a room, or without the air outdoors, a row of dashes would say nothing.
            const bool any = std::any_of(order.begin(), order.end(),
                                         [&](std::size_t c) { return figure.of(system.candidates[c]).has_value(); });
            const bool of_room = figure.key.starts_with("indoor_");
            const bool asked = input && input->room && figure.key.ends_with("_share");
            if (any || asked || !of_room) figure_row(figure);
        }
    };
    group_row("Verdict");
    for (const CandidateFigure& figure : figures) {
        if (figure.key == "annual_cost") figure_row(figure);
    }
    text_row("Limits", [&](const CandidateResult& c) { return typeset(limits_verdict(input, c).words()); });
    if (input && !input->present_candidate.empty()) {
        text_row("Airflow beside the present filter, both clean", [&](const CandidateResult& c) {
            if (input->present_candidate == c.name) return std::string("is the present filter");
            return std::string(!c.clean ? "" : c.below_present_airflow ? "less" : "no less");
        });
    }
    text_row("Yearly cost not told apart from that of", [&](const CandidateResult& c) { return tied_text(system, c); });
    group_row("Air");
    rows_of(FigureGroup::air);
    // One stable crossing is what everybody expects; anything else is told.
    const auto ordinary = [](const CandidateResult& c) {
        return !c.clean || (c.clean_point.crossings.size() < 2 && (c.clean_point.crossings.empty() ||
                            (c.clean_point.crossings[0].stable && !c.clean_point.crossings[0].fan_rises)));
    };
    if (!std::all_of(system.candidates.begin(), system.candidates.end(), ordinary)) {
        text_row("Where fan and system meet, clean", [](const CandidateResult& c) {
            std::vector<std::string> points;
            for (const Crossing& crossing : c.clean_point.crossings) {
                points.push_back(fixed_text(crossing.flow / units::m3_per_h, 0) + " m³/h" +
                                 (crossing.touching ? ", touching" : crossing.stable ? ", stable" : ", unstable") +
                                 (crossing.fan_rises ? ", where the fan’s pressure rises: stall and surge" : ""));
            }
            return joined(points, "; ");
        });
    }
    group_row("Life");
    rows_of(FigureGroup::life);
    text_row("First limit reached", [](const CandidateResult& c) { return typeset(c.limit_reached); });
    text_row("Why that interval", [](const CandidateResult& c) {
        // What it says beside the reason is common to many and stands below the table, once.
        const std::string reason = c.change_interval_reason.substr(0, c.change_interval_reason.find("; "));
        return typeset(reason);
    });
    group_row("Energy and cost");
    rows_of(FigureGroup::energy_and_cost);
    group_row("Air cleaning");
    rows_of(FigureGroup::cleaning);
    group_row("Shown beside: not ranked on, and not a saving");
    rows_of(FigureGroup::beside);
    html += "</tbody>\n</table>\n</div>\n" + notes.list();
    std::vector<std::string> remarks;
    for (const std::size_t c : order) {
        const std::string& reason = system.candidates[c].change_interval_reason;
        if (const std::size_t at = reason.find("; "); at != std::string::npos) {
            const std::string remark = reason.substr(at + 2);
            if (std::find(remarks.begin(), remarks.end(), remark) == remarks.end()) remarks.push_back(remark);
        }
    }
    if (std::any_of(order.begin(), order.end(), [&](std::size_t c) { return !system.candidates[c].change_interval_reason.empty(); })) {
        html += paragraph("Change interval: where the yearly cost is least, that is where the next cubic metre of air begins to cost "
                          "more than the average one since the change, unless a limit comes first." +
                          (remarks.empty() ? std::string() : " Note: " + typeset(joined(remarks, "; ")) + "."));
    }
    html += paragraph(
        "Q Δp / η is the fan energy that goes through the filter. The fan with filters less the fan without is what a meter "
        "would see; a filter that starves a fixed-speed fan makes it small or negative, so it never ranks. Two costs are "
        "not told apart where the interval of their difference contains zero; prices, instruments and fan that both "
        "share cancel in it. Whether a candidate meets the limits is not asked there.");
    const bool gap = std::any_of(study.candidates.begin(), study.candidates.end(),
                                 [](const CandidateInput& c) { return c.bypass_gap.has_value(); });
    html += paragraph(gap ? "Removal is that of the installed filters, with the air that passes the stated gaps; a candidate "
                            "without a stated gap is taken as tight."
                          : "No gap around the filters was stated: removal and pressure are those of a tight frame.");
    return html;
}

std::string report_page(const StudyInput& study, const StudyResult& result) {
    const ReportStyles styles(study);
    const std::string title = study.title.empty() ? std::string("Filter comparison") : study.title;
    std::string html;
    html += "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
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
        html += "<p>No system was described, so the filters are compared on the bench alone and none is recommended. What a "
                "recommendation needs stands under <a href=\"#missing\">What is missing</a>.</p>\n";
    }
    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        html += recommendation_html(study, result.systems[s], s < study.systems.size() ? &study.systems[s] : nullptr);
    }
    if (!result.systems.empty()) html += caution_html(CautionTopic::starved_airflow);
    html += caution_html(CautionTopic::estimates);
    html += "</section>\n";

    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        html += fmt::format("<section id=\"system-{}\">\n<h2>System: {}</h2>\n", s + 1, html_text(result.systems[s].name));
        html += comparison_html(study, result, s);
        html += caution_html(CautionTopic::bypass);
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
    html += missing_html(study, result);
    html += warnings_html(result);
    html += method_html(study, result);

    html += "<section id=\"cautions\">\n<h2>Cautions</h2>\n<p>This report replaces neither the nameplate, nor the local code, "
            "nor licensed practice; where they differ from it, they hold.</p>\n<div class=\"two\">\n";
    for (const Caution& c : all_cautions()) html += caution_html(c.topic);
    html += "</div>\n</section>\n</main>\n<footer>Made by choose_filter, the example program of the filterflow library. "
            "Figures by gnuplot. Values are estimates from the readings given.</footer>\n</body>\n</html>\n";
    return html;
}

}   // namespace choose_filter
