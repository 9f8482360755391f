// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include <filterflow/particle/size_range.hpp>

#include "report_candidate.hpp"
#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// To three digits where it is exact.
std::string three_digits(const std::optional<Estimate>& e) {
    return !e ? "-" : e->half_width() > 1e-9 * std::abs(e->value) ? estimate_text(*e) : significant_text(e->value, 3);
}

std::string size_text(Length size) { return estimate_text({size / units::um, size / units::um, size / units::um}); }

std::string form_text(ElementFitForm form) {
    switch (form) {
        case ElementFitForm::viscous_and_inertial: return "r and s";
        case ElementFitForm::viscous_only: return "r alone (s at its bound, 0)";
        case ElementFitForm::inertial_only: return "s alone (r at its bound, 0)";
    }
    return "-";
}

std::string fit_row(const std::string& name, const ElementFit& fit, double probability) {
    const double u_r = fit.linear.standard_uncertainty().value();
    const double u_s = fit.quadratic.standard_uncertainty().value();
    const double correlation =
        u_r > 0.0 && u_s > 0.0 ? covariance(fit.linear.gradient, fit.quadratic.gradient) / (u_r * u_s) : 0.0;
    std::string form = form_text(fit.form);
    if (fit.form_assumed) form += ", assumed";
    std::string verdict = fmt::format("{} / {}", significant_text(fit.chi_squared, 3), fit.degrees_of_freedom);
    if (fit.degrees_of_freedom == 0) verdict = "no spare reading";
    if (fit.lacks_fit) verdict += ": lacks fit";
    return row_head(name) + cell(or_dash(estimate(fit.linear, units::Pa_s_per_m3, probability))) +
           cell(or_dash(estimate(fit.quadratic, units::Pa_s2_per_m6, probability))) +
           cell(u_r > 0.0 && u_s > 0.0 ? significant_text(correlation, 2) : "-") + text_cell(form) +
           cell(std::to_string(fit.reading_count)) + cell(verdict) +
           cell(fixed_text(fit.least_flow / units::m3_per_h, 0) + " to " +
                fixed_text(fit.greatest_flow / units::m3_per_h, 0)) +
           "</tr>\n";
}

std::string stages_text(LoadingStages stages) {
    switch (stages) {
        case LoadingStages::both: return "both stages";
        case LoadingStages::exponential_only: return "exponential stage only";
        case LoadingStages::cake_only: return "cake stage only";
        case LoadingStages::undecided: return "undecided, taken as exponential";
    }
    return "-";
}

std::string fits_html(const StudyInput& study, const StudyResult& result) {
    std::string rows;
    if (result.stand && result.stand->tare) {
        rows += fit_row("empty stand (tare)", *result.stand->tare, study.coverage_probability);
    }
    for (const FilterResult& filter : result.filters) {
        if (filter.curve) rows += fit_row(filter.name, *filter.curve, study.coverage_probability);
    }
    if (rows.empty()) return "";
    return "<h3>Fitted curves, Δp = r Q + s Q²</h3>\n" +
           table_start(
               "Fitted curves",
               "In the declared standard air. Intervals and correlation come from the covariance of the fit together "
               "with what the instruments share; χ² is the weighted sum of squared residuals.",
               {"Element", "r [Pa s/m³]", "s [Pa s²/m⁶]", "correlation of r and s", "|form", "readings",
                "χ² / degrees of freedom", "flows [m³/h]"}) +
           rows + table_end();
}

std::string efficiencies_html(const StudyResult& result) {
    std::vector<SizeRange> ranges;
    std::vector<const FilterResult*> filters;
    for (const FilterResult& filter : result.filters) {
        if (!filter.efficiency || filter.efficiency->ranges.empty()) continue;
        filters.push_back(&filter);
        for (const SizeEfficiency& entry : filter.efficiency->ranges) {
            if (std::none_of(ranges.begin(), ranges.end(),
                             [&](const SizeRange& r) { return same_range(r, entry.range); })) {
                ranges.push_back(entry.range);
            }
        }
    }
    if (filters.empty()) return "";
    std::sort(ranges.begin(), ranges.end(), [](const SizeRange& a, const SizeRange& b) { return a.lower < b.lower; });
    std::vector<std::string> heads{"Particle diameter [µm]"};
    for (const FilterResult* filter : filters) heads.push_back(filter->name + " [%]");
    std::string html =
        "<h3>Efficiency by size, clean</h3>\n" +
        table_start("Efficiency by size",
                    "Share of the particles stopped, one minus penetration, and the 95 % interval from the "
                    "counts. Below zero is the scatter of the counts.",
                    heads);
    for (const SizeRange& range : ranges) {
        html += row_head(range.open_above ? "above " + size_text(range.lower)
                                          : size_text(range.lower) + " to " + size_text(range.upper));
        for (const FilterResult* filter : filters) {
            const auto& all = filter->efficiency->ranges;
            const auto at = std::find_if(all.begin(), all.end(),
                                         [&](const SizeEfficiency& e) { return same_range(e.range, range); });
            if (at == all.end()) {
                html += cell("-");
                continue;
            }
            const Estimate e{100.0 * (1.0 - at->penetration.value), 100.0 * (1.0 - at->penetration_interval.upper),
                             100.0 * (1.0 - at->penetration_interval.lower)};
            const int most = e.value > 99.0 ? 2 : 1;   // of what hardly passes each decimal counts
            const int decimals = std::clamp(decimals_for(e.half_width()), 0, most);
            html += fmt::format("<td><span class=\"value\">{}</span><span class=\"second\">{} to {}</span></td>",
                                fixed_text(e.value, decimals), fixed_text(e.lower, decimals),
                                fixed_text(e.upper, decimals));
        }
        html += "</tr>\n";
    }
    html += table_end();
    SaidOf quality;
    for (const FilterResult* filter : filters) {
        for (const auto& verdict : filterflow::detail::quality_verdicts(*filter->efficiency)) {
            quality.add(filter->name + ", " + filterflow::detail::channels_words(verdict, *filter->efficiency),
                        verdict.text);
        }
        for (const UndeterminedRange& range : filter->efficiency->undetermined) {
            quality.add(filter->name + ", " + range_text(range.range), "not determined, " + range.reason);
        }
    }
    if (!quality.empty()) html += "<h4>Quality of the counts</h4>\n" + quality.list(0, "");
    return html;
}

/// "312 ± 14 at 250 Pa and 3200 m³/h", with what limits it.
std::string capacity_text(const FilterResult& filter, double p) {
    const auto e = filter.capacity ? estimate(filter.capacity->retained, units::g, p) : std::nullopt;
    if (!e) return "-";
    std::string text = (filter.capacity->is_upper_bound ? "at most " : "") + estimate_text(*e);
    if (filter.capacity_at) {
        text += fmt::format(" at {} Pa and {} m³/h", significant_text(filter.capacity_at->pressure.value(), 3),
                            significant_text(filter.capacity_at->flow / units::m3_per_h, 3));
    }
    if (filter.capacity->beyond_readings) text += ", beyond the readings";
    return text;
}

std::string loading_html(const StudyInput& study, const StudyResult& result) {
    std::string rows;
    SaidOf notes;
    std::size_t loaded = 0;
    bool any_slope = false;
    for (const FilterResult& filter : result.filters) {
        any_slope = any_slope || (filter.loading && filter.loading->law.form == LoadingForm::kinked);
    }
    const double p = study.coverage_probability;
    for (const FilterResult& filter : result.filters) {
        if (!filter.loading) continue;
        const LoadingFit& fit = *filter.loading;
        const auto scale = estimate(fit.parameters[0], 1e-3, p);
        const auto transition = estimate(fit.parameters[1], 1e-3, p);
        const auto slope = estimate(cake_slope_of(fit), 1e3, p);
        std::optional<Estimate> retained;
        if (!fit.retained.empty()) retained = estimate(fit.retained.back(), units::g, p);
        rows += row_head(filter.name) +
                cell(significant_text(fit.area.value(), 3) +
                     (fit.law.reference == ReferenceArea::media ? ", medium" : ", face")) +
                cell(or_dash(scale)) + cell(fit.law.form == LoadingForm::exponential ? "-" : or_dash(transition)) +
                (any_slope ? cell(fit.law.form == LoadingForm::exponential ? "-" : or_dash(slope)) : "") +
                text_cell(stages_text(fit.stages)) + cell(three_digits(retained)) +
                text_cell(capacity_text(filter, p)) +
                cell(three_digits(share(estimate(fit.average_arrestance, 0.01, p)))) +
                cell(fmt::format("{} / {}{}", significant_text(fit.chi_squared, 3), fit.degrees_of_freedom,
                                 fit.lacks_fit ? " *" : "")) +
                "</tr>\n";
        ++loaded;
        if (!fit.verdict.empty()) notes.add(filter.name, fit.verdict);
        for (const std::string& text : fit.notes) notes.add(filter.name, text);
        if (fit.lacks_fit) {
            notes.add(filter.name,
                      "* the law misses the readings by more than their uncertainties explain; the scatter is in the "
                      "intervals");
        }
    }
    if (rows.empty()) return "";
    std::vector<std::string> heads{"Filter", "Area [m²]", "Growth scale [g/m²]", "Transition [g/m²]"};
    if (any_slope) heads.push_back("Slope [m²/g]");
    for (const char* head : {"|Readings show", "Dust held at the last reading [g]", "|Dust holding capacity [g]",
                             "Arrestance [%]", "χ² / degrees of freedom"}) {
        heads.push_back(head);
    }
    return "<h3>Loading</h3>\n" +
           table_start(
               "Loading",
               "The viscous part r grows with the dust on the filter: exponential with the growth scale, from the "
               "transition on in a straight line. Masses per area of the medium where it is known, else of the face. "
               "Masses and arrestance without an interval: no uncertainty of the weighing was stated.",
               heads) +
           rows + table_end() + notes.list(loaded, "every filter");
}

}   // namespace

std::string bench_details_html(const StudyInput& study, const StudyResult& result) {
    std::string html = "<section id=\"bench-details\">\n<h2>Bench details</h2>\n" + stand_html(study, result);
    html += fits_html(study, result) + classes_html(study, result) + efficiencies_html(result) +
            loading_html(study, result);
    return html + "</section>\n";
}

}   // namespace choose_filter
