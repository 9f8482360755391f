// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include <filterflow/core/common_year.hpp>

#include "report_candidate.hpp"
#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string paragraph(const std::string& text) { return "<p>" + html_text(text) + "</p>\n"; }

/// The limits that a system sets, and by how many candidates they are met, in sentences.
std::string limits_sentence(const StudyInput& study, const StudyResult& result, std::size_t index) {
    if (index >= study.systems.size()) return "";
    const auto limits = limits_of(study.systems[index]);
    return limits.empty() ? "No limit was given."
                          : "Limits given: " + joined(limits, "; ") + ". " + limits_met_words(study, result, index);
}

/// What equal service and its hours mean.
std::string service_sentence(const SystemInput* input) {
    std::string text =
        "Equal service: every candidate is charged for the running time in which it delivers the same air";
    if (!input || !input->hours_per_year) return text + ".";
    const std::string hours = estimate_text({*input->hours_per_year / units::h, *input->hours_per_year / units::h,
                                             *input->hours_per_year / units::h});
    return text + fmt::format(
        ", be it more or less than the {0} h a year that the fan runs. Yearly cost and energy count that time; months "
        "between changes count the {0} h a year, as the calendar will show them.", hours);
}

/// "812 (770 to 900)" with the interval on a line of its own: a column is as wide as a number and its half width.
std::string range_below(const std::string& text) {
    const std::size_t at = text.find(" (");
    if (at == std::string::npos) return text;
    return text.substr(0, at) + " <span class=\"range\">" + text.substr(at + 1) + "</span>";
}

}   // namespace

std::string comparison_html(const StudyInput& study, const StudyResult& result, std::size_t index) {
    const SystemResult& system = result.systems[index];
    const SystemInput* input = index < study.systems.size() ? &study.systems[index] : nullptr;
    const auto order = candidates_in_order(system);
    Footnotes notes(fmt::format("missing-{}", index + 1));
    const std::size_t columns = order.size() + 1;

    std::string html = fmt::format(
        "<p class=\"caption\">Candidates from left to right in the order of yearly cost at equal service: first those "
        "that meet every limit, with numbers, then, in the same order, those that fail one or lack a "
        "figure, with letters. {} {} PM2.5 removed: share of its mass, 0.3 to 2.5 µm, "
        "urban distribution of ISO 16890; PM10: 0.3 to 10 µm, rural distribution; what is smaller "
        "than 0.3 µm is outside that convention.</p>\n",
        html_text(limits_sentence(study, result, index)), html_text(service_sentence(input)));
    html += scroll_start("Comparison table: " + system.name) +
            fmt::format("<table class=\"comparison\" style=\"--candidates: {}\">\n<thead>\n<tr><th scope=\"col\" "
                        "class=\"text\">Figure</th>",
                        order.size());
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
        else if (!verdict.doubted.empty()) tag("plain", "a limit in doubt");
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
    // A heading stands only above rows.
    std::string heading;
    const auto group_row = [&](const char* name) {
        heading = fmt::format("<tr class=\"group\"><th colspan=\"{}\" scope=\"rowgroup\">{}</th></tr>\n", columns,
                              name);
    };
    const auto begin_row = [&](const std::string& row_class) {
        html += std::exchange(heading, std::string()) + "<tr" + row_class + ">";
    };
    const auto text_row = [&](const char* label, const auto& text_of) {
        const auto says_nothing = [&](std::size_t c) { return text_of(system.candidates[c]).empty(); };
        if (std::all_of(order.begin(), order.end(), says_nothing)) return;
        begin_row(" class=\"text\"");
        html += fmt::format("<th scope=\"row\">{}</th>", label);
        for (const std::size_t c : order) {
            const std::string text = text_of(system.candidates[c]);
            html += fmt::format("<td{}>{}</td>", cell_class(c, "text"), text.empty() ? "–" : html_text(text));
        }
        html += "</tr>\n";
    };
    const auto figure_row = [&](const CandidateFigure& figure) {
        const char* kind = figure.key == "annual_cost" ? " class=\"key\""
                           : figure.group == FigureGroup::beside ? " class=\"beside\"" : "";
        begin_row(kind);
        html += fmt::format("<th scope=\"row\">{} <span class=\"unit\">[{}]</span></th>", html_text(figure.label),
                            html_text(figure.unit + (figure.second_unit.empty() ? "" : ", " + figure.second_unit)));
        for (const std::size_t c : order) {
            html += "<td" + cell_class(c, "") + ">";
            if (const auto e = figure.of(system.candidates[c]);
                e ? contradicts_itself(figure, *e) : contradicted(figure, system.candidates[c])) {
                html += "not known" + notes.reference("more particles were counted behind the filter than before it: "
                                                      "see the quality of the counts");
            } else if (e) {
                html += "<span class=\"value\">" + range_below(figure_text(figure, *e)) + "</span>";
                if (!figure.second_unit.empty()) {
                    html += "<span class=\"second\">" + range_below(estimate_text(scaled(*e, figure.second_factor))) +
                            "</span>";
                }
            } else {
                html += "–";
                const auto missing = missing_for(figure, system.candidates[c], system, result);
                if (missing.empty()) {
                    html += notes.reference(
                        "not computed for this candidate; see its limits, the warnings and the list "
                        "of what is missing");
                }
                for (const MissingFigure& m : missing) html += notes.reference(m.figure + ": needs " + m.needs);
            }
            html += "</td>";
        }
        html += "</tr>\n";
    };
    const auto figures = candidate_figures(study);
    // A row of dashes would say nothing: what no candidate has is told once, with what is missing.
    const auto any_has = [&](const CandidateFigure& figure) {
        return std::any_of(order.begin(), order.end(),
                           [&](std::size_t c) { return figure.of(system.candidates[c]).has_value(); });
    };
    const auto rows_of = [&](FigureGroup group) {
        for (const CandidateFigure& figure : figures) {
            if (figure.group == group && figure.key != "annual_cost" && any_has(figure)) figure_row(figure);
        }
    };
    group_row("Verdict");
    for (const CandidateFigure& figure : figures) {
        if (figure.key == "annual_cost" && any_has(figure)) figure_row(figure);
    }
    // The limits stand above the table and a doubt below it: a cell says which limit, and with what value.
    begin_row(" class=\"text\"");
    html += "<th scope=\"row\">Limits</th>";
    for (const std::size_t c : order) {
        const LimitsVerdict verdict = limits_verdict(input, system.candidates[c]);
        html += "<td" + cell_class(c, "text") + ">" + html_text(typeset(verdict.short_words()));
        for (const std::string& doubt : verdict.short_doubts()) html += notes.reference(doubt);
        html += "</td>";
    }
    html += "</tr>\n";
    if (input && !input->present_candidate.empty()) {
        text_row("Airflow beside the present filter, both clean", [&](const CandidateResult& c) {
            if (input->present_candidate == c.name) return std::string("is the present filter");
            return std::string(!c.clean ? "" : c.below_present_airflow ? "less" : "no less");
        });
    }
    text_row("Yearly cost not told apart from that of", [&](const CandidateResult& c) {
        return !c.annual_cost ? std::string() : c.tied_with.empty() ? std::string("none") : tied_text(system, c);
    });
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
        // Which limit comes first stands in the row above.
        const std::string reason = c.change_interval_reason.substr(0, c.change_interval_reason.find("; "));
        const std::size_t limit = reason.find(": " + c.limit_reached);
        return typeset(c.limit_reached.empty() ? reason : reason.substr(0, limit));
    });
    const bool calendar = std::any_of(order.begin(), order.end(),
                                      [&](std::size_t c) { return system.candidates[c].calendar.has_value(); });
    if (calendar) {
        text_row("Shortest and longest when begun in", [](const CandidateResult& c) {
            if (!c.calendar) return std::string();
            const Time shortest = c.calendar->from[c.calendar->shortest];
            const Time longest = c.calendar->from[c.calendar->longest];
            if (longest / shortest < 1.01) return std::string("no season");
            using filterflow::detail::month_names;
            return std::string(month_names[c.calendar->shortest]) + "; " + month_names[c.calendar->longest];
        });
    }
    group_row("Energy and cost");
    rows_of(FigureGroup::energy_and_cost);
    if (study.prices.years_of_service) {
        const double years = *study.prices.years_of_service / units::year;
        group_row(("Over " + estimate_text({years, years, years}) + " years of service").c_str());
        rows_of(FigureGroup::service);
        const bool staged = std::any_of(system.candidates.begin(), system.candidates.end(), [](const auto& c) {
            return c.service && c.service->purchases.size() > 1;
        });
        if (staged) {
            text_row("Of which filters, stage by stage", [](const CandidateResult& c) {
                std::vector<std::string> counts;
                if (c.service && c.service->purchases.size() > 1) {
                    for (const std::size_t count : c.service->purchases) counts.push_back(std::to_string(count));
                }
                return joined(counts, " + ");
            });
        }
    }
    group_row("Air cleaning");
    rows_of(FigureGroup::cleaning);
    group_row("Shown beside: not ranked on, and not a saving");
    rows_of(FigureGroup::beside);
    html += "</tbody>\n</table>\n</div>\n" + notes.list();
    if (!rows_left_out(study, result, index).empty()) {
        html += "<p>Figures that no candidate has are left out of the table; which, and what they need, stands under "
                "<a href=\"#missing\">What is missing</a>.</p>\n";
    }
    html += hours_and_prices_html(study, system);
    std::vector<std::string> remarks;
    for (const std::size_t c : order) {
        const std::string& reason = system.candidates[c].change_interval_reason;
        if (const std::size_t at = reason.find("; "); at != std::string::npos) {
            const std::string remark = reason.substr(at + 2);
            if (std::find(remarks.begin(), remarks.end(), remark) == remarks.end()) remarks.push_back(remark);
        }
    }
    if (std::any_of(order.begin(), order.end(),
                    [&](std::size_t c) { return !system.candidates[c].change_interval_reason.empty(); })) {
        html += paragraph(
            "Change interval: where the yearly cost is least, that is where the next cubic metre of air begins to cost "
            "more than the average one since the change, unless a limit comes first." +
            (remarks.empty() ? std::string() : " Note: " + typeset(joined(remarks, "; ")) + "."));
    }
    html += paragraph(
        "Q Δp / η is the fan energy that goes through the filter. The fan with filters less the fan without is what a "
        "meter "
        "would see; a filter that starves a fixed-speed fan makes it small or negative, so it never ranks. Two costs "
        "are "
        "not told apart where the interval of their difference contains zero; prices, instruments and fan that both "
        "share cancel in it. Whether a candidate meets the limits is not asked there.");
    const bool gap = std::any_of(study.candidates.begin(), study.candidates.end(),
                                 [](const CandidateInput& c) { return c.bypass_gap.has_value(); });
    html += paragraph(
        gap ? "Removal is that of the installed filters, with the air that passes the stated gaps; a candidate "
              "without a stated gap is taken as tight."
            : "No gap around the filters was stated: removal and pressure are those of a tight frame.");
    return html;
}

}   // namespace choose_filter
