// SPDX-License-Identifier: BSL-1.0

#include "report_candidate.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

namespace choose_filter {

using namespace filterflow;

namespace {

Estimate exact(double value) { return {value, value, value}; }

}   // namespace

std::string currency_name(const StudyInput& study) {
    const std::string& currency = study.prices.currency;
    return currency.empty() ? PricesInput{}.currency : one_line(currency);
}

std::vector<CandidateFigure> candidate_figures(const StudyInput& study) {
    const double p = study.coverage_probability;
    const std::string money = currency_name(study);
    const double to_cfm = units::m3_per_h.one / units::cfm;
    const double to_inches = units::Pa.one / units::inH2O;
    std::vector<CandidateFigure> figures;
    // All but a difference are of things that cannot be negative.
    const auto add = [&](CandidateFigure figure) {
        if (figure.key != "counterfactual_energy") {
            figure.of = [of = std::move(figure.of)](const CandidateResult& c) {
                const auto e = of(c);
                return e ? std::optional<Estimate>(not_negative(*e)) : std::nullopt;
            };
        }
        figures.push_back(std::move(figure));
    };

    // From a moment of the life: clean, end.
    const auto flow_of = [p](std::optional<CandidateMoment> CandidateResult::* moment) {
        return [=](const CandidateResult& c) {
            return c.*moment ? estimate((c.*moment)->flow, units::m3_per_h, p) : std::nullopt;
        };
    };
    const auto drop_of = [p](std::optional<CandidateMoment> CandidateResult::* moment) {
        return [=](const CandidateResult& c) {
            return c.*moment ? estimate((c.*moment)->filter_pressure, units::Pa, p) : std::nullopt;
        };
    };
    const auto external_of = [p](std::optional<CandidateMoment> CandidateResult::* moment) {
        return [=](const CandidateResult& c) {
            return c.*moment ? estimate((c.*moment)->external_static_pressure, units::Pa, p) : std::nullopt;
        };
    };
    const auto power_of = [p](std::optional<CandidateMoment> CandidateResult::* moment) {
        return [=](const CandidateResult& c) {
            return c.*moment ? estimate((c.*moment)->power, units::W, p) : std::nullopt;
        };
    };
    const auto clean = &CandidateResult::clean;
    const auto end = &CandidateResult::end;

    add({"airflow_clean", "Airflow, filters clean", "m³/h", "m3/h", "cfm", to_cfm, FigureGroup::air,
         {"airflow", "operating point"}, flow_of(clean)});
    add({"airflow_end", "Airflow, end of interval", "m³/h", "m3/h", "cfm", to_cfm, FigureGroup::air,
         {"end of", "loaded", "life", "hours", "change interval", "airflow", "operating point"}, flow_of(end)});
    add({"filter_pressure_clean", "Filter pressure, clean", "Pa", "Pa", "inH2O", to_inches, FigureGroup::air,
         {"filter pressure", "pressure across", "airflow", "operating point"}, drop_of(clean)});
    add({"filter_pressure_end", "Filter pressure, end of interval", "Pa", "Pa", "inH2O", to_inches, FigureGroup::air,
         {"end of", "loaded", "life", "hours", "change interval", "airflow", "operating point"}, drop_of(end)});
    add({"external_static_clean", "External static pressure, clean", "Pa", "Pa", "inH2O", to_inches, FigureGroup::air,
         {"external static", "airflow", "operating point"}, external_of(clean)});
    add({"external_static_end", "External static pressure, end", "Pa", "Pa", "inH2O", to_inches, FigureGroup::air,
         {"end of", "loaded", "life", "hours", "change interval", "airflow", "operating point"}, external_of(end)});
    add({"face_velocity", "Face velocity, clean", "m/s", "m/s", "fpm", 1.0 / units::fpm.one.value(), FigureGroup::air,
         {"face velocity", "airflow", "operating point"},
         [p](const CandidateResult& c) -> std::optional<Estimate> {
             // Flow over a face area that is exact: the interval of the flow in proportion.
             if (!c.clean || !c.face_velocity || !(c.clean->flow.value.value() > 0.0)) return std::nullopt;
             return estimate(scaled(c.clean->flow, 1.0 / c.clean->flow.value.value()), 1.0 / c.face_velocity->value(), p);
         }});

    add({"hours_to_limit", "Running hours to the first limit", "h", "h", "", 0.0, FigureGroup::life,
         {"hours", "life", "limit"},
         [p](const CandidateResult& c) { return estimate(c.hours_to_limit, units::h, p); }});
    add({"change_interval", "Running hours between changes", "h", "h", "", 0.0, FigureGroup::life,
         {"change interval", "between changes", "interval", "hours", "life"},
         [p](const CandidateResult& c) { return estimate(c.change_interval, units::h, p); }});

    add({"power_clean", "Fan power, clean", "W", "W", "", 0.0, FigureGroup::energy_and_cost, {"power", "airflow"},
         power_of(clean)});
    add({"power_end", "Fan power, end of interval", "W", "W", "", 0.0, FigureGroup::energy_and_cost,
         {"power", "end of", "life", "hours", "change interval", "airflow"}, power_of(end)});
    add({"annual_running_time", "Running hours a year at equal service", "h", "h", "", 0.0, FigureGroup::energy_and_cost,
         {"annual energy", "yearly energy", "energy"},
         [p](const CandidateResult& c) { return estimate(c.annual_running_time, units::h, p); }});
    add({"annual_energy", "Yearly energy at equal service", "kWh", "kWh", "", 0.0, FigureGroup::energy_and_cost,
         {"annual energy", "yearly energy", "energy"},
         [p](const CandidateResult& c) { return estimate(c.annual_energy, units::kWh, p); }});
    add({"annual_filter_cost", "Filters, labour, disposal a year, within the yearly cost", money, money, "", 0.0,
         FigureGroup::energy_and_cost, {"filter cost", "cost"},
         [p](const CandidateResult& c) { return estimate(c.annual_filter_cost, 1.0, p); }});
    add({"annual_cost", "Yearly cost at equal service (ranks)", money, money, "", 0.0, FigureGroup::energy_and_cost,
         {"annual cost", "yearly cost", "cost"},
         [p](const CandidateResult& c) { return estimate(c.annual_cost, 1.0, p); }});
    const std::string years =
        study.prices.horizon ? estimate_text(exact(*study.prices.horizon / units::year)) + " years" : "the horizon";
    add({"present_value", "Present value over " + years, money, money, "", 0.0, FigureGroup::energy_and_cost,
         {"present value", "cost"},
         [p](const CandidateResult& c) { return estimate(c.present_value, 1.0, p); }});

    add({"pm25_removal",
         "PM2.5 mass removed, new filters",
         "%",
         "%",
         "",
         0.0,
         FigureGroup::cleaning,
         {"pm2.5", "removal", "clean air", "efficiency"},
         [p](const CandidateResult& c) { return share(estimate(c.pm25_removal, 0.01, p)); }});
    add({"lasting_pm25_removal",
         "PM2.5 mass removed, the lower of new and discharged",
         "%",
         "%",
         "",
         0.0,
         FigureGroup::cleaning,
         {"pm2.5", "removal", "clean air", "efficiency"},
         [p](const CandidateResult& c) { return share(estimate(c.lasting_pm25_removal, 0.01, p)); }});
    add({"pm10_removal",
         "PM10 mass removed, new filters",
         "%",
         "%",
         "",
         0.0,
         FigureGroup::cleaning,
         {"pm10", "removal", "clean air", "efficiency"},
         [p](const CandidateResult& c) { return share(estimate(c.pm10_removal, 0.01, p)); }});
    add({"clean_air_pm25", "Clean air delivered, PM2.5", "m³/h", "m3/h", "cfm", to_cfm, FigureGroup::cleaning,
         {"clean air", "pm2.5", "removal", "efficiency"},
         [p](const CandidateResult& c) { return estimate(c.clean_air_pm25, units::m3_per_h, p); }});
    add({"cost_per_clean_air", "Cost of 1000 m³ of clean air, PM2.5", money, money + " per 1000 m3", "", 0.0,
         FigureGroup::cleaning, {"cost per clean", "clean air", "cost", "pm2.5", "efficiency"},
         [p](const CandidateResult& c) { return estimate(c.cost_per_clean_air, units::money_per_1000_m3, p); }});

    add({"indoor_pm25_share", "PM2.5 indoors over outdoors, fan on", "%", "%", "", 0.0, FigureGroup::cleaning,
         {"indoors", "pm2.5", "removal", "efficiency", "airflow"},
         [p](const CandidateResult& c) { return share(estimate(c.indoor_pm25_share, 0.01, p)); }});
    add({"indoor_pm10_share", "PM10 indoors over outdoors, fan on", "%", "%", "", 0.0, FigureGroup::cleaning,
         {"indoors", "pm10", "removal", "efficiency", "airflow"},
         [p](const CandidateResult& c) { return share(estimate(c.indoor_pm10_share, 0.01, p)); }});
    add({"indoor_pm25", "PM2.5 indoors from outdoors, fan on", "µg/m³", "ug/m3", "", 0.0, FigureGroup::cleaning,
         {"pm2.5 outdoors", "indoors", "pm2.5", "removal", "efficiency", "airflow"},
         [p](const CandidateResult& c) { return estimate(c.indoor_pm25, units::ug_per_m3, p); }});
    add({"indoor_pm10", "PM10 indoors from outdoors, fan on", "µg/m³", "ug/m3", "", 0.0, FigureGroup::cleaning,
         {"pm10 outdoors", "indoors", "pm10", "removal", "efficiency", "airflow"},
         [p](const CandidateResult& c) { return estimate(c.indoor_pm10, units::ug_per_m3, p); }});

    add({"attributable_energy", "Through the filter, Q Δp / η over the year", "kWh", "kWh", "", 0.0, FigureGroup::beside,
         {"attributable", "energy"},
         [p](const CandidateResult& c) { return estimate(c.attributable_energy, units::kWh, p); }});
    add({"counterfactual_energy", "Fan with filters less fan without them", "kWh", "kWh", "", 0.0, FigureGroup::beside,
         {"counterfactual", "energy"},
         [p](const CandidateResult& c) { return estimate(c.counterfactual_energy, units::kWh, p); }});

    const auto middle = &CandidateResult::middle;
    const std::vector<std::string> of_middle{"life", "hours", "change interval", "airflow", "operating point"};
    const auto add_middle = [&](const char* key, const char* label, const char* unit, const char* file_unit, auto of) {
        add({key, label, unit, file_unit, "", 0.0, FigureGroup::files_only, of_middle, of});
    };
    add_middle("airflow_middle", "Airflow, half-way through the interval", "m³/h", "m3/h", flow_of(middle));
    add_middle("filter_pressure_middle", "Filter pressure, half-way", "Pa", "Pa", drop_of(middle));
    add_middle("external_static_middle", "External static pressure, half-way", "Pa", "Pa", external_of(middle));
    add_middle("power_middle", "Fan power, half-way", "W", "W", power_of(middle));
    return figures;
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
        limits.push_back(fmt::format("removal of PM2.5 at least {} %", estimate_text(exact(100.0 * *system.least_pm25_removal))));
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

std::vector<std::string> place_names(const SystemResult& system) {
    std::vector<std::string> names(system.candidates.size());
    std::size_t next = 0;
    for (const std::size_t c : candidates_in_order(system)) {
        if (system.candidates[c].rank) {
            names[c] = std::to_string(*system.candidates[c].rank);
        } else {
            names[c] = std::string(1, static_cast<char>('a' + next % 26)) + (next < 26 ? "" : std::to_string(next / 26));
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

std::string figure_text(const CandidateFigure& figure, const Estimate& e) {
    if (contradicts_itself(figure, e)) return "not known";
    if (figure.group == FigureGroup::cleaning && e.value < 0.0) return interval_text({0.5 * e.upper, 0.0, e.upper, e.is_share});
    return estimate_text(e);
}

}   // namespace choose_filter
