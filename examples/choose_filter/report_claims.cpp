// SPDX-License-Identifier: BSL-1.0

// The life that a package claims beside the forecast of the study.

#include "report_inputs.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "report_estimate.hpp"
#include "report_html.hpp"
#include "report_html_table.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

const FilterInput* filter_named(const StudyInput& study, const std::string& name) {
    const auto at = std::find_if(study.filters.begin(), study.filters.end(),
                                 [&](const FilterInput& f) { return f.name == name; });
    return at != study.filters.end() ? &*at : nullptr;
}

const CandidateInput* candidate_named(const StudyInput& study, const std::string& name) {
    const auto at = std::find_if(study.candidates.begin(), study.candidates.end(),
                                 [&](const CandidateInput& c) { return c.name == name; });
    return at != study.candidates.end() ? &*at : nullptr;
}

}   // namespace

std::string months_text(double months) {
    return estimate_text({months, months, months}) + (months == 1.0 ? " month" : " months");
}

std::string claims_html(const StudyInput& study, const StudyResult& result) {
    std::string rows;
    std::vector<std::string> sentences;
    const auto claims = claimed_lives(study, result);
    for (const ClaimedLife& claim : claims) {
        rows += row_head(claim.candidate) + text_cell(claim.system) +
                cell(estimate_text({claim.claimed_months, claim.claimed_months, claim.claimed_months})) +
                cell(claim.forecast_months ? estimate_text_apart(*claim.forecast_months, claim.claimed_months) : "–") +
                "</tr>\n";
        if (!claim.sentence.empty()) sentences.push_back(typeset(claim.sentence));
    }
    if (rows.empty()) return "";
    return "<h3>Claimed life and forecast</h3>\n" +
           table_start(
               "Claimed life and forecast",
               "The change interval forecast for each candidate of one filter, in calendar time, beside the life that "
               "the package claims. The forecast holds for this system’s air, dust and limits.",
               {"Candidate", "|System", "Claimed [months]", "Forecast [months]"}) +
           rows + table_end() + list_html(sentences, "small");
}

std::vector<ClaimedLife> claimed_lives(const StudyInput& study, const StudyResult& result) {
    std::vector<ClaimedLife> claims;
    for (std::size_t s = 0; s < result.systems.size() && s < study.systems.size(); ++s) {
        const std::optional<Time>& hours = study.systems[s].hours_per_year;
        for (const CandidateResult& candidate : result.systems[s].candidates) {
            const CandidateInput* input = candidate_named(study, candidate.name);
            if (input == nullptr || input->stages.size() != 1) continue;
            const FilterInput* filter = filter_named(study, input->stages.front().filter);
            if (filter == nullptr || !filter->claimed_life) continue;
            ClaimedLife claim{result.systems[s].name,
                              candidate.name,
                              filter->name,
                              *filter->claimed_life / units::month,
                              std::nullopt,
                              false,
                              {}};
            if (hours && hours->value() > 0.0) {
                // Running hours in calendar months.
                const double month = units::month.one.value() * (*hours / units::year);
                if (const auto e = estimate(candidate.change_interval, month, study.coverage_probability)) {
                    claim.forecast_months = not_negative(*e);
                }
            }
            if (const auto& forecast = claim.forecast_months) {
                const double rounding = 1e-6 * claim.claimed_months;
                claim.differ = claim.claimed_months < forecast->lower - rounding ||
                               claim.claimed_months > forecast->upper + rounding;
                if (claim.differ) {
                    claim.sentence = fmt::format(
                        "The package of '{}' claims {}; in '{}' the forecast is {} months between changes ({}), {} "
                        "than claimed by "
                        "more than its interval.",
                        filter->name, months_text(claim.claimed_months), claim.system,
                        estimate_text_apart(*forecast, claim.claimed_months),
                        candidate.change_interval_reason.substr(0, candidate.change_interval_reason.find("; ")),
                        claim.claimed_months > forecast->value ? "shorter" : "longer");
                }
            }
            claims.push_back(std::move(claim));
        }
    }
    return claims;
}

const ClaimedLife* claim_of(const std::vector<ClaimedLife>& claims, const std::string& system,
                            const std::string& candidate) {
    const auto at = std::find_if(claims.begin(), claims.end(), [&](const ClaimedLife& c) {
        return c.system == system && c.candidate == candidate;
    });
    return at != claims.end() ? &*at : nullptr;
}

}   // namespace choose_filter
