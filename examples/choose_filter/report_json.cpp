// SPDX-License-Identifier: BSL-1.0

#include "report_files.hpp"

#include <optional>
#include <utility>
#include <vector>

#include "report_candidate.hpp"
#include "report_draws_files.hpp"
#include "report_inputs.hpp"
#include "report_json_values.hpp"
#include "report_text.hpp"
#include "report_warnings.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

using choose_filter::of;   // beside those of this file

Json of(const ClaimedLife& claim) {
    return Json{{"system", claim.system},
                {"candidate", claim.candidate},
                {"filter", claim.filter},
                {"claimed_months", number(claim.claimed_months)},
                {"forecast", of(claim.forecast_months, "month")},
                {"differ", claim.differ},
                {"sentence", claim.sentence}};
}

Json of(const PressureOnlyOrder& order, double p) {
    Json places = Json::array();
    for (const PressureOnlyPlace& place : order.places) {
        Json one{{"name", place.name},
                 {"reading", of(estimate(place.reading, units::Pa, p), "Pa")},
                 {"lower_bound", of(estimate(place.lower_bound, units::Pa, p), "Pa")},
                 {"tied_with", place.tied_with},
                 {"estimate", nullptr}};
        if (place.estimate) {
            one["estimate"] = Json{
                {"flow", of(estimate(place.estimate->flow, units::m3_per_h, p), "m3/h")},
                {"pressure", of(estimate(place.estimate->pressure, units::Pa, p), "Pa")},
                {"pressure_with_other_shape_Pa", number(place.estimate->pressure_with_other_shape.value())}};
        }
        places.push_back(std::move(one));
    }
    return Json{{"places", places},
                {"empty_stand_flow", of(estimate(order.empty_stand_flow, units::m3_per_h, p), "m3/h")},
                {"rests_on", order.rests_on},
                {"flags", order.flags}};
}

Json of(const StandResult& stand, double p) {
    return Json{{"tare", stand.tare ? of(*stand.tare, p) : Json(nullptr)},
                {"pressure_only", stand.pressure_only ? of(*stand.pressure_only, p) : Json(nullptr)},
                {"flags", stand.flags}};
}

Json of(const CandidateResult& candidate, const std::vector<CandidateFigure>& figures) {
    Json values = Json::object();
    for (const CandidateFigure& figure : figures) values[figure.key] = of(figure.of(candidate), figure.file_unit);
    Json life = Json::array(), cost_rate = Json::array(), crossings = Json::array();
    for (const Crossing& crossing : candidate.clean_point.crossings) {
        crossings.push_back({{"flow_m3_per_h", number(crossing.flow / units::m3_per_h)},
                             {"pressure_Pa", number(crossing.pressure.value())},
                             {"power_W", optional_value(crossing.power, 1.0)},
                             {"stable", crossing.stable},
                             {"touching", crossing.touching},
                             {"fan_rises", crossing.fan_rises}});
    }
    for (const LifeSample& sample : candidate.life) {
        life.push_back({{"hours", number(sample.time / units::h)},
                        {"retained_g", number(sample.retained / units::g)},
                        {"flow_m3_per_h", number(sample.flow / units::m3_per_h)},
                        {"filter_pressure_Pa", number(sample.filter_pressure.value())},
                        {"power_W", optional_value(sample.power, 1.0)}});
    }
    for (const CostRateSample& sample : candidate.cost_rate) {
        cost_rate.push_back({{"interval_h", number(sample.interval / units::h)},
                             {"annual_cost", number(sample.annual_cost.value())}});
    }
    Json json{{"name", candidate.name},
              {"rank", candidate.rank ? Json(*candidate.rank) : Json(nullptr)},
                {"failed_limits", candidate.failed_limits},
                {"doubted_limits", candidate.doubted_limits},
                {"below_present_airflow", candidate.below_present_airflow},
                {"tied_with", candidate.tied_with},
                {"limit_reached", candidate.limit_reached},
                {"change_interval_reason", candidate.change_interval_reason},
                {"figures", values},
                {"operating_status", candidate.clean || !candidate.failed_limits.empty()
                                         ? Json(std::string(status_text(candidate.clean_point.status)))
                                         : Json(nullptr)},
                {"crossings", crossings},
                {"life", life},
                {"cost_rate", cost_rate},
                {"missing", of(candidate.missing)},
                {"warnings", candidate.warnings}};
    if (candidate.calendar) {
        Json months = Json::array();
        for (const Time& time : candidate.calendar->from) months.push_back(number(time / units::month));
        json["months_between_changes_begun_in"] = months;   // January first
    }
    if (candidate.change_latest) json["change_latest_is_limit"] = candidate.change_latest_is_limit;
    if (candidate.service) json["filters_bought_by_stage"] = candidate.service->purchases;
    return json;
}

Json samples(const std::vector<std::pair<VolumeFlow, Pressure>>& list) {
    Json json = Json::array();
    for (const auto& [flow, pressure] : list) {
        json.push_back({{"flow_m3_per_h", number(flow / units::m3_per_h)}, {"pressure_Pa", number(pressure.value())}});
    }
    return json;
}

Json of(const SystemInput& system) {
    return Json{
        {"control", control_words(system.control)},
        {"fan_table_rows", system.fan.points.size()},
        {"fan_speed_tap",
         system.fan_description.speed_tap.empty() ? Json(nullptr) : Json(system.fan_description.speed_tap)},
        {"fan_motor", system.fan_description.motor ? Json(motor_words(*system.fan_description.motor)) : Json(nullptr)}};
}

/// What another candidate costs a year more than the recommended one.
Json of(const SystemResult& system, const std::optional<CostLead>& lead, const std::string& currency) {
    if (!lead) return nullptr;
    return Json{{"candidate", system.candidates.at(lead->candidate).name},
                {"costs_more",
                 choose_filter::of(
                     Estimate{lead->more.value(), lead->interval.lower.value(), lead->interval.upper.value()},
                     currency)}};
}

Json of(const SystemResult& system, const SystemInput* input, const std::vector<CandidateFigure>& figures, double p,
        const std::string& currency) {
    Json candidates = Json::array(), ranking = Json::array();
    for (const CandidateResult& candidate : system.candidates) candidates.push_back(of(candidate, figures));
    for (const std::size_t c : candidates_in_order(system)) ranking.push_back(system.candidates[c].name);
    Json json{{"name", system.name},
                {"stated", input ? of(*input) : Json(nullptr)},
                {"recommendation", system.recommendation},
                {"condition", system.condition.empty() ? Json(nullptr) : Json(system.condition)},
                {"recommendation_notes", system.recommendation_notes},
                {"runner_up", of(system, system.runner_up, currency)},
                {"best_without_doubt", of(system, system.best_without_doubt, currency)},
                {"recommended", system.recommended && *system.recommended < system.candidates.size()
                                    ? Json(system.candidates[*system.recommended].name)
                                    : Json(nullptr)},
                {"conditional", system.conditional},
                {"ranking", ranking},
                {"candidates", candidates},
                {"fan_samples", samples(system.fan_samples)},
                {"duct_samples", samples(system.duct_samples)},
                {"missing", of(system.missing)},
                {"warnings", system_notes(system)}};
    if (system.electricity) {
        const SystemElectricity& paid = *system.electricity;
        json["electricity"] = Json{{"price", of(estimate(paid.price, units::money_per_kWh, p), currency + "/kWh")},
                                   {"share_at_base_price", number(paid.shares.base)},
                                   {"shares_at_time_of_use", paid.shares.windows},
                                   {"hours_known", paid.hours_known}};
    }
    return json;
}

}   // namespace

std::string results_json(const StudyInput& study, const StudyResult& result, const StudyDraws* draws) {
    const auto figures = candidate_figures(study);
    Json filters = Json::array(), systems = Json::array();
    for (std::size_t f = 0; f < result.filters.size(); ++f) {
        const FilterInput* input = f < study.filters.size() ? &study.filters[f] : nullptr;
        filters.push_back(of(result.filters[f], input, study, result.comparison_flows));
    }
    Json claims = Json::array();
    for (const ClaimedLife& claim : claimed_lives(study, result)) claims.push_back(of(claim));
    for (std::size_t s = 0; s < result.systems.size(); ++s) {
        systems.push_back(of(result.systems[s], s < study.systems.size() ? &study.systems[s] : nullptr, figures,
                             study.coverage_probability, currency_name(study)));
        if (draws) systems.back()["draws"] = draws_json(study, result, *draws, s);
    }
    const Json json{{"title", study.title},
                    {"note", study.note},
                    {"study_file", study.origin},
                    {"coverage_probability", number(study.coverage_probability)},
                    {"standard_air", Json{{"name", study.standard_air_name}, {"state", of(study.standard_air)}}},
                    {"currency", currency_name(study)},
                    {"systems", systems},
                    {"stand", result.stand ? of(*result.stand, study.coverage_probability) : Json(nullptr)},
                    {"filters", filters},
                    {"claimed_lives", claims},
                    {"missing", of(result.missing)},
                    {"not_asked_for", of(further_figures(study, draws != nullptr))},
                    {"warnings", result.warnings}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}   // namespace choose_filter
