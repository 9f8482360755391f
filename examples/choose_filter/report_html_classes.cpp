// SPDX-License-Identifier: BSL-1.0

// The tables of classes on the page. What holds of all of them is said once, above or below the table.

#include "report_html.hpp"

#include <algorithm>
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

constexpr const char* limits_are_read =
    "Limits: the average found and what the class asks for, in per cent, and by how many percentage points it is met "
    "or "
    "missed. ";

std::string group_average(const std::optional<Uncertain<double>>& average, const Interval<double>& bounds, double p) {
    if (const auto e = share(estimate(average, 0.01, p))) return estimate_text(*e);
    if (bounds.upper > bounds.lower) {
        return fixed_text(100.0 * bounds.lower, 0) + " to " + fixed_text(100.0 * bounds.upper, 0);
    }
    return "-";
}

std::string or_not_told(const std::string& text) { return text.empty() ? "–" : typeset(text); }

/// A limit of the class above, with its name.
std::string of_next(const MinimumEfficiencyRating& rating, const std::string& limit) {
    return limit.empty() || !rating.estimate ? limit : std::to_string(*rating.estimate + 1) + ": " + limit;
}

/// "by ANSI/ASHRAE 52.2-2017 at 1.50 m/s (295 fpm)": what a class in words says of its basis.
std::string basis_of(const std::string& class_in_words) {
    constexpr std::string_view before = "estimate from bench data ", after = ", not a rating";
    const std::size_t from = class_in_words.find(before), to = class_in_words.rfind(after);
    if (from == std::string::npos || to == std::string::npos || to < from) return class_in_words;
    return class_in_words.substr(from + before.size(), to - from - before.size()) +
           class_in_words.substr(to + after.size());
}

std::string minimum_efficiency_row(const FilterResult& filter, bool discharged, double p) {
    const MinimumEfficiencyRating& r = *filter.minimum_efficiency;
    const ClassLimits limits = class_limits(r);
    std::string row = row_head(filter.name) + cell(group_average(r.E1, r.bounds[0], p)) +
                      cell(group_average(r.E2, r.bounds[1], p)) + cell(group_average(r.E3, r.bounds[2], p)) +
                      text_cell(or_not_told(allowed_text(r)));
    if (discharged) {
        const auto& after = filter.minimum_efficiency_discharged;
        row += text_cell(or_not_told(after ? allowed_text(*after) : ""));
    }
    return row + text_cell(or_not_told(limits.governing)) + text_cell(or_not_told(of_next(r, limits.next))) + "</tr>\n";
}

std::string particulate_matter_row(const FilterResult& filter, double p) {
    const ParticulateMatterClass& matter = *filter.particulate_matter;
    const auto percent = [&](const std::optional<Uncertain<double>>& e) {
        return cell(or_dash(share(estimate(e, 0.01, p))));
    };
    const ClassLimits limits = class_limits(matter);
    return row_head(filter.name) + percent(matter.ePM25_untreated) + percent(matter.ePM25_min) +
           text_cell(or_not_told(allowed_text(matter))) + text_cell(or_not_told(limits.governing)) +
           text_cell(or_not_told(limits.next)) + text_cell(or_not_told(limits.finer_group)) + "</tr>\n";
}

/// What is said of the classes of one filter beside its row.
void add_details(const FilterResult& filter, SaidOf& details) {
    const auto add = [&](const std::string& text) { details.add(filter.name, text); };
    if (!filter.minimum_efficiency_text.empty()) {
        add("minimum-efficiency value " + basis_of(filter.minimum_efficiency_text));
    }
    if (!filter.particulate_matter_text.empty()) {
        add("particulate-matter class " + basis_of(filter.particulate_matter_text));
    }
    if (filter.minimum_efficiency) {
        // Where nothing is allowed to be told, that each average may be anything needs no words.
        if (!allowed_text(*filter.minimum_efficiency).empty()) {
            for (const std::string& reason : filter.minimum_efficiency->reasons) add(reason);
        }
        for (const std::string& missing : filter.minimum_efficiency->missing) {
            if (!missing.starts_with("efficiency in ")) add("minimum-efficiency value lacks " + missing);
        }
    }
    if (filter.particulate_matter) {
        for (const std::string& missing : filter.particulate_matter->missing) {
            if (missing.find(" efficiency in ") == std::string::npos) add("particulate-matter class lacks " + missing);
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

}   // namespace

std::string classes_html(const StudyInput& study, const StudyResult& result) {
    const double p = study.coverage_probability;
    const bool discharged = std::any_of(result.filters.begin(), result.filters.end(), [](const FilterResult& f) {
        return f.minimum_efficiency_discharged.has_value();
    });
    // A table of dashes says no more than a sentence.
    const auto any_told = [&](const auto& of) {
        return std::any_of(result.filters.begin(), result.filters.end(),
                           [&](const FilterResult& f) { return f.*of && !allowed_text(*(f.*of)).empty(); });
    };
    const bool minimum_told = any_told(&FilterResult::minimum_efficiency);
    const bool matter_told = any_told(&FilterResult::particulate_matter);
    std::string minimum_rows, matter_rows;
    SaidOf details;
    std::size_t rated = 0;
    for (const FilterResult& filter : result.filters) {
        if (filter.minimum_efficiency) minimum_rows += minimum_efficiency_row(filter, discharged, p);
        if (filter.particulate_matter) matter_rows += particulate_matter_row(filter, p);
        if (filter.minimum_efficiency || filter.particulate_matter) ++rated;
        add_details(filter, details);
    }
    if (minimum_rows.empty() && matter_rows.empty()) return "";
    std::string html = "<h3>Classes, as estimates</h3>\n";
    const auto none = [&](const std::string& rows, bool told, const char* what) {
        if (!rows.empty() && !told) {
            html += std::string("<p>") + what + ": not determinable from the sizes counted; what it needs stands " +
                    "under <a href=\"#missing\">What is missing</a>.</p>\n";
        }
    };
    none(minimum_rows, minimum_told, "Minimum efficiency reporting value by ANSI/ASHRAE 52.2");
    none(matter_rows, matter_told, "Class by ISO 16890");
    if (minimum_told) {
        std::vector<std::string> heads{"Filter", "E1 [%]", "E2 [%]", "E3 [%]", "|Value: probability, new"};
        if (discharged) heads.emplace_back("|Value: probability, the lower of new and discharged");
        heads.emplace_back("|Limit that it rests on");
        heads.emplace_back("|Next value: what it lacks");
        html += table_start(
            "Minimum-efficiency values, as estimates",
            std::string("Minimum efficiency reporting value by ANSI/ASHRAE 52.2, from the counts taken. The standard "
                        "counts again after steps with dust, which were not run: its own value may be lower than each "
                        "value here, however probable that is by the counts; no value here is a rating. ") +
                (discharged ? "Discharged: by the lower of new and discharged counts in each size, which is a step of "
                              "ISO 16890 and not of this standard; it shows what may be left of a charge. "
                            : "") +
                "E1, E2, E3: average efficiencies from 0.3 to 1, 1 to 3 and 3 to 10 µm. Probability: by the "
                "uncertainty of these averages, from half a per cent on; where a size was not counted, the range of "
                "values that is left. " +
                limits_are_read,
            heads) + minimum_rows + table_end();
    }
    if (matter_told) {
        html += table_start(
            "Particulate-matter classes, as estimates",
            std::string("By ISO 16890. ePM2.5 as delivered and, with the charge taken off, ePM2.5,min: averages by the "
                        "standard’s channels, whose last one is taken whole, up to 3.0 µm; they are not the PM2.5 mass "
                        "removed of the comparison, which ends at 2.5 µm. “At most”: not counted after taking the "
                        "charge off, without which the standard gives no class. No class here is a rating. ") +
                limits_are_read,
            {"Filter", "ePM2.5, as delivered [%]", "ePM2.5,min, discharged [%]", "|Class: probability",
             "|Limit that it rests on", "|Next value: what it lacks", "|Next finer group: what it lacks"}) +
            matter_rows + table_end();
    }
    return html + caution_html(CautionTopic::estimates) + details.list(rated, "every filter");
}

}   // namespace choose_filter
