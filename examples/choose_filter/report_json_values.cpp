// SPDX-License-Identifier: BSL-1.0

#include "report_json_values.hpp"

#include <cmath>

namespace choose_filter {

using namespace filterflow;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json of(const std::optional<Estimate>& e, const std::string& unit) {
    if (!e) return nullptr;
    return Json{{"value", number(e->value)}, {"lower", number(e->lower)}, {"upper", number(e->upper)}, {"unit", unit}};
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

namespace {

const char* form_name(ElementFitForm form) {
    switch (form) {
        case ElementFitForm::viscous_and_inertial: return "viscous_and_inertial";
        case ElementFitForm::viscous_only: return "viscous_only";
        case ElementFitForm::inertial_only: return "inertial_only";
    }
    return "";
}

}   // namespace

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

}   // namespace choose_filter
