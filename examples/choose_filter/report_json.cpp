// SPDX-License-Identifier: BSL-1.0

#include "report_files.hpp"

#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "report_candidate.hpp"
#include "report_class_probabilities.hpp"
#include "report_draws_files.hpp"
#include "report_estimate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json of(const std::optional<Estimate>& e, const std::string& unit) {
    if (!e) return nullptr;
    return Json{{"value", number(e->value)}, {"lower", number(e->lower)}, {"upper", number(e->upper)}, {"unit", unit}};
}

template <class Q>
Json optional_value(const std::optional<Q>& q, double one) {
    return q ? number(detail::in_si(*q) / one) : Json(nullptr);
}

Json of(const std::vector<MissingFigure>& list) {
    Json json = Json::array();
    for (const MissingFigure& m : list) json.push_back({{"figure", m.figure}, {"needs", m.needs}});
    return json;
}

Json of(const AirState& air) {
    return Json{{"temperature_K", number(air.temperature.value())},
                {"pressure_Pa", number(air.pressure.value())},
                {"humidity_ratio", number(air.humidity_ratio)},
                {"density_kg_per_m3", number(air.density.value())},
                {"viscosity_Pa_s", number(air.viscosity.value())}};
}

Json of(const std::vector<ClassProbability>& chances) {
    Json json = Json::array();
    for (const ClassProbability& c : chances) json.push_back({{"class", c.name}, {"probability", number(c.probability)}});
    return json;
}

Json of(const SizeRange& range) {
    return Json{{"lower_um", number(range.lower / units::um)},
                {"upper_um", range.open_above ? Json(nullptr) : number(range.upper / units::um)}};
}

const char* form_name(ElementFitForm form) {
    switch (form) {
        case ElementFitForm::viscous_and_inertial: return "viscous_and_inertial";
        case ElementFitForm::viscous_only: return "viscous_only";
        case ElementFitForm::inertial_only: return "inertial_only";
    }
    return "";
}

Json of(const ElementFit& fit, double p) {
    const double variance_r = fit.linear.gradient.variance();
    const double variance_s = fit.quadratic.gradient.variance();
    const double both = covariance(fit.linear.gradient, fit.quadratic.gradient);
    Json residuals = Json::array();
    for (const Pressure& residual : fit.residuals) residuals.push_back(number(residual.value()));
    return Json{{"r", of(estimate(fit.linear, units::Pa_s_per_m3, p), "Pa s/m3")},
                {"s", of(estimate(fit.quadratic, units::Pa_s2_per_m6, p), "Pa s2/m6")},
                {"covariance", Json::array({Json::array({number(variance_r), number(both)}),
                                            Json::array({number(both), number(variance_s)})})},
                {"form", form_name(fit.form)},
                {"form_assumed", fit.form_assumed},
                {"stated_air", of(fit.curve.stated_air)},
                {"least_flow_m3_per_s", number(fit.least_flow.value())},
                {"greatest_flow_m3_per_s", number(fit.greatest_flow.value())},
                {"readings", fit.reading_count},
                {"chi_squared", number(fit.chi_squared)},
                {"degrees_of_freedom", fit.degrees_of_freedom},
                {"lacks_fit", fit.lacks_fit},
                {"residuals_Pa", residuals}};
}

Json of(const std::vector<CorrectedReading>& readings, double p) {
    Json json = Json::array();
    for (const CorrectedReading& reading : readings) {
        json.push_back({{"raw_pressure_Pa", number(reading.raw_pressure.value())},
                        {"flow", of(estimate(reading.flow, units::m3_per_h, p), "m3/h")},
                        {"net_pressure", of(estimate(reading.net_pressure, units::Pa, p), "Pa")}});
    }
    return json;
}

Json of(const FractionalEfficiency& efficiency, double p) {
    Json ranges = Json::array(), undetermined = Json::array();
    for (const SizeEfficiency& entry : efficiency.ranges) {
        Json one = of(entry.range);
        one["penetration"] = of(estimate(entry.penetration, 1.0, p), "1");
        one["penetration_lower_95"] = number(entry.penetration_interval.lower);
        one["penetration_upper_95"] = number(entry.penetration_interval.upper);
        one["upstream_count"] = number(entry.upstream_count);
        one["downstream_count"] = number(entry.downstream_count);
        one["correlation_measured"] = entry.correlation_measured;
        one["quality"] = entry.quality;
        ranges.push_back(std::move(one));
    }
    for (const UndeterminedRange& range : efficiency.undetermined) {
        Json one = of(range.range);
        one["reason"] = range.reason;
        undetermined.push_back(std::move(one));
    }
    return Json{{"ranges", ranges}, {"undetermined", undetermined}};
}

/// A share of one, its interval cut at nothing and all as on the page.
template <class Share>
std::optional<Estimate> fraction(const Share& x, double p) {
    const auto e = share(estimate(x, 0.01, p));
    return e ? std::optional<Estimate>(scaled(*e, 0.01)) : std::nullopt;
}

Json of(const MinimumEfficiencyRating& rating, const std::string& text, double p) {
    const auto value = [](const std::optional<int>& x) { return x ? Json(*x) : Json(nullptr); };
    Json bounds = Json::array();
    for (const auto& bound : rating.bounds) bounds.push_back({number(bound.lower), number(bound.upper)});
    return Json{{"text", text},
                {"lowest", value(rating.lowest)},
                {"highest", value(rating.highest)},
                {"estimate", value(rating.estimate)},
                {"E1", of(fraction(rating.E1, p), "1")},
                {"E2", of(fraction(rating.E2, p), "1")},
                {"E3", of(fraction(rating.E3, p), "1")},
                {"bounds", bounds},
                {"governing_limit", rating.governing_limit},
                {"margin_percent_points", number(rating.margin)},
                {"next_limit", rating.next_limit},
                {"shortfall_percent_points", number(rating.shortfall)},
                {"reasons", rating.reasons},
                {"missing", rating.missing}};
}

Json of(const ParticulateMatterClass& matter, const std::string& text, double p) {
    return Json{{"text", text},
                {"class", matter.class_text},
                {"lowest_class", matter.lowest_class},
                {"highest_class", matter.highest_class},
                {"ePM1", of(fraction(matter.ePM1, p), "1")},
                {"ePM1_min", of(fraction(matter.ePM1_min, p), "1")},
                {"ePM25", of(fraction(matter.ePM25, p), "1")},
                {"ePM25_min", of(fraction(matter.ePM25_min, p), "1")},
                {"ePM10", of(fraction(matter.ePM10, p), "1")},
                {"ePM1_untreated", of(fraction(matter.ePM1_untreated, p), "1")},
                {"ePM25_untreated", of(fraction(matter.ePM25_untreated, p), "1")},
                {"ePM10_untreated", of(fraction(matter.ePM10_untreated, p), "1")},
                {"governing_limit", matter.governing_limit},
                {"margin_percent_points", number(matter.margin)},
                {"next_limit", matter.next_limit},
                {"shortfall_percent_points", number(matter.shortfall)},
                {"finer_group_limit", matter.finer_group_limit},
                {"finer_group_shortfall_percent_points", number(matter.finer_group_shortfall)},
                {"missing", matter.missing}};
}

const char* form_name(LoadingForm form) {
    switch (form) {
        case LoadingForm::smooth: return "smooth";
        case LoadingForm::kinked: return "kinked";
        case LoadingForm::exponential: return "exponential";
        case LoadingForm::linear: return "linear";
        case LoadingForm::quadratic: return "quadratic";
        case LoadingForm::two_population: return "two_population";
    }
    return "";
}

/// A weighed value; where no uncertainty of the weighing was stated its bounds are not known, which is not zero width.
Json weighed(const std::optional<Estimate>& e, const std::string& unit) {
    Json json = of(e, unit);
    if (e && !(e->half_width() > 0.0)) {
        json["lower"] = json["upper"] = nullptr;
        json["bounds_missing"] = "no uncertainty of the weighing was stated";
    }
    return json;
}

Json of(const LoadingFit& fit, double p) {
    Json retained = Json::array(), residuals = Json::array();
    for (const auto& mass : fit.retained) retained.push_back(weighed(estimate(mass, units::g, p), "g"));
    for (const Pressure& residual : fit.residuals) residuals.push_back(number(residual.value()));
    const bool cake = fit.law.form != LoadingForm::exponential;
    return Json{{"form", form_name(fit.law.form)},
                {"area_m2", number(fit.area.value())},
                {"area_of", fit.law.reference == ReferenceArea::media ? "media" : "face"},
                {"growth_scale", of(estimate(fit.parameters[0], 1e-3, p), "g/m2")},
                {"transition", cake ? of(estimate(fit.parameters[1], 1e-3, p), "g/m2") : Json(nullptr)},
                {"cake_slope", cake ? of(estimate(cake_slope_of(fit), 1e3, p), "m2/g") : Json(nullptr)},
                {"greatest_retained_g_per_m2", number(fit.greatest_retained / units::g_per_m2)},
                {"retained", retained},
                {"average_arrestance", weighed(fraction(fit.average_arrestance, p), "1")},
                {"residuals_Pa", residuals},
                {"chi_squared", number(fit.chi_squared)},
                {"degrees_of_freedom", fit.degrees_of_freedom},
                {"lacks_fit", fit.lacks_fit},
                {"verdict", fit.verdict},
                {"notes", fit.notes}};
}

Json of(const DustHoldingCapacity& capacity, const std::optional<FinalResistance>& at, double p) {
    return Json{{"final_resistance_Pa", at ? number(at->pressure.value()) : Json(nullptr)},
                {"flow_m3_per_h", at ? number(at->flow / units::m3_per_h) : Json(nullptr)},
                {"retained", of(estimate(capacity.retained, units::g, p), "g")},
                {"fed", of(estimate(capacity.fed, units::g, p), "g")},
                {"beyond_readings", capacity.beyond_readings},
                {"is_upper_bound", capacity.is_upper_bound}};
}

Json of(const FilterInput& filter, double p) {
    return Json{{"width_m", optional_value(filter.width, 1.0)},
                {"height_m", optional_value(filter.height, 1.0)},
                {"depth_m", optional_value(filter.depth, 1.0)},
                {"free_area_m2", optional_value(filter.free_area, 1.0)},
                {"pleat_count", filter.pleat_count ? Json(*filter.pleat_count) : Json(nullptr)},
                {"media_area_m2", optional_value(filter.media_area, 1.0)},
                {"price", of(estimate(filter.price, 1.0, p), "currency")},
                {"claimed_life_months", optional_value(filter.claimed_life, units::month.one.value())}};
}

Json of(const FilterResult& filter, const FilterInput* input, const StudyInput& study,
        const std::vector<VolumeFlow>& flows) {
    const double p = study.coverage_probability;
    Json at = Json::array();
    for (std::size_t v = 0; v < study.comparison_velocities.size(); ++v) {
        std::optional<Estimate> corrected;
        if (v < filter.pressure_at_velocities.size()) corrected = estimate(filter.pressure_at_velocities[v], units::Pa, p);
        at.push_back({{"face_velocity_m_per_s", number(study.comparison_velocities[v].value())},
                      {"pressure", of(corrected, "Pa")},
                      {"raw_pressure_Pa", v < filter.raw_pressure_at_velocities.size()
                                              ? optional_value(filter.raw_pressure_at_velocities[v], 1.0)
                                              : Json(nullptr)}});
    }
    Json at_flows = Json::array();
    for (std::size_t q = 0; q < flows.size(); ++q) {
        std::optional<Estimate> corrected;
        if (q < filter.pressure_at_flows.size()) corrected = estimate(filter.pressure_at_flows[q], units::Pa, p);
        at_flows.push_back({{"flow_m3_per_h", number(flows[q] / units::m3_per_h)},
                            {"pressure", of(corrected, "Pa")},
                            {"raw_pressure_Pa", q < filter.raw_pressure_at_flows.size()
                                                    ? optional_value(filter.raw_pressure_at_flows[q], 1.0)
                                                    : Json(nullptr)}});
    }
    return Json{
        {"name", filter.name},
        {"stated", input ? of(*input, p) : Json(nullptr)},
        {"readings", of(filter.readings, p)},
        {"curve", filter.curve ? of(*filter.curve, p) : Json(nullptr)},
        {"pressure_at_velocities", at},
        {"pressure_at_flows", at_flows},
        {"efficiency", filter.efficiency ? of(*filter.efficiency, p) : Json(nullptr)},
        {"minimum_efficiency", filter.minimum_efficiency
                                   ? of(*filter.minimum_efficiency, filter.minimum_efficiency_text, p)
                                   : Json(nullptr)},
        {"minimum_efficiency_probabilities", of(minimum_efficiency_chances(filter))},
        {"minimum_efficiency_discharged",
         filter.minimum_efficiency_discharged
             ? of(*filter.minimum_efficiency_discharged, filter.minimum_efficiency_discharged_text, p)
             : Json(nullptr)},
        {"particulate_matter", filter.particulate_matter
                                   ? of(*filter.particulate_matter, filter.particulate_matter_text, p)
                                   : Json(nullptr)},
        {"particulate_matter_probabilities", of(particulate_matter_chances(filter))},
        {"loading", filter.loading ? of(*filter.loading, p) : Json(nullptr)},
        {"capacity", filter.capacity ? of(*filter.capacity, filter.capacity_at, p) : Json(nullptr)},
        {"loading_readings", of(filter.loading_readings, p)},
        {"missing", of(filter.missing)},
        {"warnings", filter.warnings}};
}

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
    return Json{{"name", candidate.name},
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
}

Json samples(const std::vector<std::pair<VolumeFlow, Pressure>>& list) {
    Json json = Json::array();
    for (const auto& [flow, pressure] : list) {
        json.push_back({{"flow_m3_per_h", number(flow / units::m3_per_h)}, {"pressure_Pa", number(pressure.value())}});
    }
    return json;
}

Json of(const SystemInput& system) {
    return Json{{"control", control_words(system.control)},
                {"fan_table_rows", system.fan.points.size()},
                {"fan_speed_tap", system.fan_description.speed_tap.empty() ? Json(nullptr)
                                                                           : Json(system.fan_description.speed_tap)},
                {"fan_motor", system.fan_description.motor ? Json(motor_words(*system.fan_description.motor)) : Json(nullptr)}};
}

Json of(const SystemResult& system, const SystemInput* input, const std::vector<CandidateFigure>& figures) {
    Json candidates = Json::array(), ranking = Json::array();
    for (const CandidateResult& candidate : system.candidates) candidates.push_back(of(candidate, figures));
    for (const std::size_t c : candidates_in_order(system)) ranking.push_back(system.candidates[c].name);
    return Json{{"name", system.name},
                {"stated", input ? of(*input) : Json(nullptr)},
                {"recommendation", system.recommendation},
                {"recommended", system.recommended && *system.recommended < system.candidates.size()
                                    ? Json(system.candidates[*system.recommended].name)
                                    : Json(nullptr)},
                {"conditional", system.conditional},
                {"ranking", ranking},
                {"candidates", candidates},
                {"fan_samples", samples(system.fan_samples)},
                {"duct_samples", samples(system.duct_samples)},
                {"missing", of(system.missing)},
                {"warnings", system.warnings}};
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
        systems.push_back(of(result.systems[s], s < study.systems.size() ? &study.systems[s] : nullptr, figures));
        if (draws) systems.back()["draws"] = draws_json(study, result, *draws, s);
    }
    const Json json{{"title", study.title},
                    {"note", study.note},
                    {"study_file", study.origin},
                    {"coverage_probability", number(study.coverage_probability)},
                    {"standard_air", Json{{"name", study.standard_air_name}, {"state", of(study.standard_air)}}},
                    {"currency", study.prices.currency},
                    {"systems", systems},
                    {"stand", result.stand ? of(*result.stand, study.coverage_probability) : Json(nullptr)},
                    {"filters", filters},
                    {"claimed_lives", claims},
                    {"missing", of(result.missing)},
                    {"warnings", result.warnings}};
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}   // namespace choose_filter
