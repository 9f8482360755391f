// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "report_candidate.hpp"
#include "report_class_limits.hpp"
#include "report_class_probabilities.hpp"
#include "report_estimate.hpp"
#include "report_html_table.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

std::string group_average(const std::optional<Uncertain<double>>& average, const Interval<double>& bounds, double p) {
    if (const auto e = share(estimate(average, 0.01, p))) return estimate_text(*e);
    if (bounds.upper > bounds.lower) {
        return fixed_text(100.0 * bounds.lower, 0) + " to " + fixed_text(100.0 * bounds.upper, 0);
    }
    return "-";
}

std::string or_none(const std::string& text) { return text.empty() ? "-" : typeset(text); }

}   // namespace

std::string classes_html(const StudyInput& study, const StudyResult& result) {
    const double p = study.coverage_probability;
    const auto percent = [&](const std::optional<Uncertain<double>>& e) {
        return cell(or_dash(share(estimate(e, 0.01, p))));
    };
    std::string minimum_rows, matter_rows;
    SaidOf details;
    std::size_t rated = 0;
    for (const FilterResult& filter : result.filters) {
        const auto add = [&](const std::string& text) { details.add(filter.name, text); };
        if (filter.minimum_efficiency || !filter.particulate_matter_text.empty()) ++rated;
        if (filter.minimum_efficiency) {
            const MinimumEfficiencyRating& r = *filter.minimum_efficiency;
            const ClassLimits limits = class_limits(r);
            minimum_rows += row_head(filter.name) + cell(group_average(r.E1, r.bounds[0], p)) +
                            cell(group_average(r.E2, r.bounds[1], p)) + cell(group_average(r.E3, r.bounds[2], p)) +
                            text_cell(or_none(filter.minimum_efficiency_text +
                                              (filter.minimum_efficiency_discharged_text.empty() ? "" : "; ") +
                                              filter.minimum_efficiency_discharged_text)) +
                            text_cell(or_none(class_chances_text(minimum_efficiency_chances(filter)))) +
                            text_cell(or_none(limits.governing)) +
                            text_cell(or_none(limits.next)) + "</tr>\n";
            for (const std::string& reason : r.reasons) add(reason);
            for (const std::string& missing : r.missing) {
                if (!missing.starts_with("efficiency in ")) add("minimum efficiency lacks " + missing);
            }
        }
        if (filter.particulate_matter || !filter.particulate_matter_text.empty()) {
            const ParticulateMatterClass matter = filter.particulate_matter.value_or(ParticulateMatterClass{});
            const ClassLimits limits = class_limits(matter);
            matter_rows += row_head(filter.name) + percent(matter.ePM25_untreated) + percent(matter.ePM25_min) +
                           text_cell(or_none(filter.particulate_matter_text)) +
                           text_cell(or_none(class_chances_text(particulate_matter_chances(filter)))) +
                           text_cell(or_none(limits.governing)) +
                           text_cell(or_none(limits.next)) + text_cell(or_none(limits.finer_group)) + "</tr>\n";
            for (const std::string& missing : matter.missing) {
                if (missing.find(" efficiency in ") == std::string::npos)
                    add("particulate-matter class lacks " + missing);
            }
        }
        const auto lacks = [&](const std::optional<FractionalEfficiency>& efficiency, const char* state) {
            if (!efficiency || !filter.minimum_efficiency) return;
            const std::string sizes = sizes_not_counted(*efficiency);
            if (!sizes.empty()) add(std::string(state) + "no counts in the standards’ channels of " + sizes);
        };
        lacks(filter.efficiency, "");
        lacks(filter.conditioned_efficiency, "discharged: ");
    }
    if (minimum_rows.empty() && matter_rows.empty()) return "";
    std::string html = "<h3>Classes, as estimates</h3>\n";
    if (!minimum_rows.empty()) {
        html +=
            table_start(
                "Minimum-efficiency values, as estimates",
                "By ANSI/ASHRAE 52.2, of the filter as delivered: the standard’s later steps with dust were not run. "
                "E1, E2, E3: average efficiencies from 0.3 to 1, 1 to 3 and 3 to 10 µm. "
                "The limit met with least to spare governs; beside it the one that keeps the filter from the next "
                "value. How probable: by the uncertainty of the averages, of values "
                "from half a per cent on. Each value is an estimate from bench data, not a rating.",
                {"Filter", "E1 [%]", "E2 [%]", "E3 [%]", "|Minimum-efficiency value", "|How probable",
                 "|Governing limit",
                 "|Limit of the next value"}) +
            minimum_rows + table_end();
    }
    if (!matter_rows.empty()) {
        html +=
            table_start(
                "Particulate-matter classes, as estimates",
                "By ISO 16890. ePM2.5 as delivered and, with the charge taken off, ePM2.5,min: averages by the "
                "standard’s channels, whose last one is taken whole, up to 3.0 µm; they are not the PM2.5 mass "
                "removed of the comparison, which ends at 2.5 µm. Each class is an estimate from bench data, not a "
                "rating.",
                {"Filter", "ePM2.5, as delivered [%]", "ePM2.5,min, discharged [%]", "|Particulate-matter class",
                 "|How probable", "|Governing limit", "|Limit of the next value", "|Limit of the next finer group"}) +
            matter_rows + table_end();
    }
    return html + caution_html(CautionTopic::estimates) + details.list(rated, "every filter");
}

}   // namespace choose_filter
