// SPDX-License-Identifier: BSL-1.0

#include "report_files.hpp"

#include <vector>

#include "report_candidate.hpp"
#include "report_draws.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

std::string results_csv(const StudyInput& study, const StudyResult& result, const StudyDraws* draws) {
    const auto figures = candidate_figures(study);
    std::vector<std::string> header{
        "system",         "candidate", "rank",          "recommended",           "conditional", "below_present_airflow",
        "failed_limits", "doubted_limits", "tied_with", "limit_reached", "change_interval_reason"};
    for (const CandidateFigure& figure : figures) {
        for (const char* part : {"", " lower", " upper"}) {
            header.push_back(csv_text(figure.key + part + " [" + figure.file_unit + "]"));
        }
    }
    header.insert(header.end(), {"missing", "warnings", "claimed_life [month]", "forecast_interval [month]",
                                 "forecast_interval lower [month]", "forecast_interval upper [month]"});
    if (draws) {
        const auto heads = draws_csv_heads(study, *draws);
        header.insert(header.end(), heads.begin(), heads.end());
    }
    const std::vector<ClaimedLife> claims = claimed_lives(study, result);
    std::string csv = joined(header, ",") + "\n";

    for (const SystemResult& system : result.systems) {
        for (const std::size_t c : candidates_in_order(system)) {
            const CandidateResult& candidate = system.candidates[c];
            std::vector<std::string> row{csv_text(system.name),
                                         csv_text(candidate.name),
                                         candidate.rank ? std::to_string(*candidate.rank) : "",
                                         system.recommended && *system.recommended == c ? "yes" : "no",
                                         system.conditional ? "yes" : "no",
                                         candidate.below_present_airflow ? "yes" : "no",
                                         csv_text(joined(candidate.failed_limits, "; ")),
                                         csv_text(joined(candidate.doubted_limits, "; ")),
                                         csv_text(joined(candidate.tied_with, "; ")),
                                         csv_text(candidate.limit_reached),
                                         csv_text(candidate.change_interval_reason)};
            for (const CandidateFigure& figure : figures) {
                const auto e = figure.of(candidate);
                row.push_back(e ? exact_text(e->value) : "");
                row.push_back(e ? exact_text(e->lower) : "");
                row.push_back(e ? exact_text(e->upper) : "");
            }
            std::vector<std::string> missing;
            for (const MissingFigure& m : candidate.missing) missing.push_back(m.figure + ": " + m.needs);
            row.push_back(csv_text(joined(missing, "; ")));
            row.push_back(csv_text(joined(candidate.warnings, "; ")));
            const ClaimedLife* claim = claim_of(claims, system.name, candidate.name);
            row.push_back(claim ? exact_text(claim->claimed_months) : "");
            row.push_back(claim && claim->forecast_months ? exact_text(claim->forecast_months->value) : "");
            row.push_back(claim && claim->forecast_months ? exact_text(claim->forecast_months->lower) : "");
            row.push_back(claim && claim->forecast_months ? exact_text(claim->forecast_months->upper) : "");
            if (draws) {
                const std::size_t s = static_cast<std::size_t>(&system - result.systems.data());
                const auto cells = draws_csv_cells(study, *draws, s, c);
                row.insert(row.end(), cells.begin(), cells.end());
            }
            // An empty text in the middle of a row is an empty cell.
            std::string line;
            for (std::size_t i = 0; i < row.size(); ++i) line += (i > 0 ? "," : "") + row[i];
            csv += line + "\n";
        }
    }
    return csv;
}

}   // namespace choose_filter
