// SPDX-License-Identifier: BSL-1.0

#include "report_json_values.hpp"

#include "report_candidate.hpp"
#include "report_inputs.hpp"
#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

using choose_filter::of;   // beside those of this file

Json of(const std::vector<ClassProbability>& chances) {
    Json json = Json::array();
    for (const ClassProbability& c : chances)
        json.push_back({{"class", c.name}, {"probability", number(c.probability)}});
    return json;
}

Json of(const SizeRange& range) {
    return Json{{"lower_um", number(range.lower / units::um)},
                {"upper_um", range.open_above ? Json(nullptr) : number(range.upper / units::um)}};
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
        ranges.push_back(std::move(one));
    }
    for (const UndeterminedRange& range : efficiency.undetermined) {
        Json one = of(range.range);
        one["reason"] = range.reason;
        undetermined.push_back(std::move(one));
    }
    Json quality = Json::array();   // each verdict once
    for (const auto& verdict : filterflow::detail::quality_verdicts(efficiency)) {
        Json channels = Json::array();
        for (const SizeRange& range : verdict.ranges) channels.push_back(of(range));
        quality.push_back({{"verdict", verdict.text}, {"ranges", std::move(channels)}});
    }
    return Json{{"ranges", ranges}, {"undetermined", undetermined}, {"quality", quality}};
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

Json of(const FilterInput& filter, double p, const std::string& currency) {
    return Json{{"width_m", optional_value(filter.width, 1.0)},
                {"height_m", optional_value(filter.height, 1.0)},
                {"depth_m", optional_value(filter.depth, 1.0)},
                {"free_area_m2", optional_value(filter.free_area, 1.0)},
                {"pleat_count", filter.pleat_count ? Json(*filter.pleat_count) : Json(nullptr)},
                {"media_area_m2", optional_value(filter.media_area, 1.0)},
                {"price", of(estimate(filter.price, 1.0, p), currency)},
                {"claimed_life_months", optional_value(filter.claimed_life, units::month.one.value())}};
}

}   // namespace

Json of(const FilterResult& filter, const FilterInput* input, const StudyInput& study,
        const std::vector<VolumeFlow>& flows) {
    const double p = study.coverage_probability;
    Json at = Json::array();
    for (std::size_t v = 0; v < study.comparison_velocities.size(); ++v) {
        std::optional<Estimate> corrected;
        if (v < filter.pressure_at_velocities.size())
            corrected = estimate(filter.pressure_at_velocities[v], units::Pa, p);
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
        {"stated", input ? of(*input, p, currency_name(study)) : Json(nullptr)},
        {"readings", of(filter.readings, p)},
        {"curve", filter.curve ? of(*filter.curve, p) : Json(nullptr)},
        {"pressure_at_velocities", at},
        {"pressure_at_flows", at_flows},
        {"efficiency", filter.efficiency ? of(*filter.efficiency, p) : Json(nullptr)},
        {"minimum_efficiency",
         filter.minimum_efficiency ? of(*filter.minimum_efficiency, filter.minimum_efficiency_text, p) : Json(nullptr)},
        {"minimum_efficiency_probabilities",
         of(filter.minimum_efficiency ? filter.minimum_efficiency->probabilities : std::vector<ClassProbability>())},
        {"minimum_efficiency_discharged",
         filter.minimum_efficiency_discharged
             ? of(*filter.minimum_efficiency_discharged, filter.minimum_efficiency_discharged_text, p)
             : Json(nullptr)},
        {"particulate_matter",
         filter.particulate_matter ? of(*filter.particulate_matter, filter.particulate_matter_text, p) : Json(nullptr)},
        {"particulate_matter_probabilities",
         of(filter.particulate_matter ? filter.particulate_matter->probabilities : std::vector<ClassProbability>())},
        {"loading", filter.loading ? of(*filter.loading, p) : Json(nullptr)},
        {"capacity", filter.capacity ? of(*filter.capacity, filter.capacity_at, p) : Json(nullptr)},
        {"loading_readings", of(filter.loading_readings, p)},
        {"missing", of(filter.missing)},
        {"warnings", filter.warnings}};
}

}   // namespace choose_filter
