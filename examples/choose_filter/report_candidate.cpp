// SPDX-License-Identifier: BSL-1.0

#include "report_candidate.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

std::string currency_name(const StudyInput& study) {
    const std::string& currency = study.prices.currency;
    return currency.empty() ? PricesInput{}.currency : one_line(currency);
}

std::vector<std::size_t> candidates_in_order(const SystemResult& system) {
    std::vector<std::size_t> order;
    const auto add = [&](std::size_t i) {
        if (i < system.candidates.size() && std::find(order.begin(), order.end(), i) == order.end()) order.push_back(i);
    };
    for (const std::size_t i : system.ranking) add(i);
    for (std::size_t i = 0; i < system.candidates.size(); ++i) add(i);
    return order;
}

std::vector<std::string> limits_of(const SystemInput& system) {
    std::vector<std::string> limits;
    if (system.least_airflow) {
        limits.push_back(fmt::format("airflow at least {} m³/h ({} cfm)",
                                     estimate_text(exact(*system.least_airflow / units::m3_per_h)),
                                     estimate_text(exact(*system.least_airflow / units::cfm))));
    }
    if (system.greatest_external_static_pressure) {
        limits.push_back(fmt::format("external static pressure at most {} Pa ({} inH2O)",
                                     significant_text(system.greatest_external_static_pressure->value(), 3),
                                     significant_text(*system.greatest_external_static_pressure / units::inH2O, 3)));
    }
    if (system.greatest_face_velocity) {
        limits.push_back(fmt::format("face velocity at most {} m/s ({} fpm)",
                                     significant_text(system.greatest_face_velocity->value(), 3),
                                     significant_text(*system.greatest_face_velocity / units::fpm, 3)));
    }
    if (system.least_pm25_removal) {
        limits.push_back(
            fmt::format("removal of PM2.5 at least {} %", estimate_text(exact(100.0 * *system.least_pm25_removal))));
    }
    return limits;
}

LimitsVerdict limits_verdict(const SystemInput* system, const CandidateResult& candidate) {
    LimitsVerdict verdict;
    verdict.failed = candidate.failed_limits;
    verdict.doubted = candidate.doubted_limits;
    if (!system) return verdict;
    verdict.given = !limits_of(*system).empty();
    // What nobody counted or measured fails no limit; whether it meets it is not known.
    std::erase_if(verdict.failed, [&](const std::string& text) {
        const std::size_t at = text.find(" is not known, limit");
        if (at != std::string::npos) verdict.not_known_clean.push_back(text.substr(0, at));
        return at != std::string::npos;
    });
    if (!verdict.failed.empty()) {
        verdict.not_known_clean.clear();
        return verdict;
    }
    // Dust takes airflow away and raises pressure; face velocity and removal are limits of clean filters.
    verdict.known_clean = candidate.clean.has_value();
    const auto add = [&](bool limited, bool with_dust, const char* name) {
        if (limited && (!candidate.clean || (with_dust && !candidate.end))) verdict.not_known.emplace_back(name);
    };
    add(system->least_airflow.has_value(), true, "airflow");
    add(system->greatest_external_static_pressure.has_value(), true, "external static pressure");
    add(system->greatest_face_velocity.has_value(), false, "face velocity");
    add(system->least_pm25_removal.has_value(), false, "removal of PM2.5");
    return verdict;
}

std::string LimitsVerdict::words() const {
    if (!failed.empty()) return "fails: " + joined(failed, "; ");
    if (!given) return "none given";
    if (known() && !doubted.empty()) return "meets all given, in doubt: " + joined(doubted, "; ");
    if (known()) return "meets all given";
    if (!known_clean) return "not known, as its airflow is not";
    std::vector<std::string> parts;
    if (!not_known.empty()) parts.push_back(joined(not_known, " and ") + " with loaded filters");
    parts.insert(parts.end(), not_known_clean.begin(), not_known_clean.end());
    return "meets those known; not known: " + joined(parts);
}

std::string LimitsVerdict::short_words() const {
    if (failed.empty()) return given && known() && !doubted.empty() ? "meets all given, one in doubt" : words();
    std::vector<std::string> values;
    for (const std::string& limit : failed) values.push_back(limit.substr(0, limit.find(", limit at ")));
    return "fails: " + joined(values, "; ");
}

std::vector<std::string> LimitsVerdict::short_doubts() const {
    return failed.empty() && given && known() ? doubted : std::vector<std::string>();
}

std::vector<std::string> place_names(const SystemResult& system) {
    std::vector<std::string> names(system.candidates.size());
    std::size_t next = 0;
    for (const std::size_t c : candidates_in_order(system)) {
        if (system.candidates[c].rank) {
            names[c] = std::to_string(*system.candidates[c].rank);
        } else {
            names[c] =
                std::string(1, static_cast<char>('a' + next % 26)) + (next < 26 ? "" : std::to_string(next / 26));
            ++next;
        }
    }
    return names;
}

std::string tied_text(const SystemResult& system, const CandidateResult& candidate) {
    const auto places = place_names(system);
    std::vector<std::string> tied;
    for (const std::size_t c : candidates_in_order(system)) {
        const auto& names = candidate.tied_with;
        if (std::find(names.begin(), names.end(), system.candidates[c].name) != names.end()) tied.push_back(places[c]);
    }
    return joined(tied);
}

bool contradicts_itself(const CandidateFigure& figure, const Estimate& e) {
    return figure.group == FigureGroup::cleaning && e.upper < 0.0;
}

bool contradicted(const CandidateFigure& figure, const CandidateResult& candidate) {
    return figure.group == FigureGroup::cleaning && candidate.counts_contradict && !figure.of(candidate);
}

std::string figure_text(const CandidateFigure& figure, const Estimate& e) {
    if (contradicts_itself(figure, e)) return "not known";
    if (figure.group == FigureGroup::cleaning && e.value < 0.0)
        return interval_text({0.5 * e.upper, 0.0, e.upper, e.is_share});
    return estimate_text(e);
}

}   // namespace choose_filter
