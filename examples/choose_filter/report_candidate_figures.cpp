// SPDX-License-Identifier: BSL-1.0

#include "report_candidate.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

#include "report_text.hpp"

namespace choose_filter {

using namespace filterflow;

namespace {

/// Whether a system has something that figures need; figures nobody asked for have no column.
template <class Has>
bool of_systems(const StudyInput& study, const Has& has) {
    return std::any_of(study.systems.begin(), study.systems.end(), has);
}

/// What years of service take.
template <class Add>
void add_service_figures(const StudyInput& study, const Add& add) {
    const double p = study.coverage_probability;
    const double years = *study.prices.years_of_service / units::year;
    const std::string money = currency_name(study);
    const std::vector<std::string> words{"years of service", "yearly cost", "cost"};
    const auto add_money = [&](const char* key, const char* label, Uncertain<Money> ServiceYears::* amount) {
        add({key, label, money, money, "", 0.0, FigureGroup::service, words,
             [p, amount](const CandidateResult& c) -> std::optional<Estimate> {
                 return c.service ? estimate((*c.service).*amount, 1.0, p) : std::nullopt;
             }});
    };
    add({"service_filters_bought", "Filters bought", "filters", "1", "", 0.0, FigureGroup::service, words,
         [](const CandidateResult& c) -> std::optional<Estimate> {
             if (!c.service) return std::nullopt;
             double sum = 0.0;
             for (const std::size_t count : c.service->purchases) sum += static_cast<double>(count);
             return Estimate{sum, sum, sum};
         }});
    add_money("service_filter_cost", "Filters, labour, disposal, at today’s prices", &ServiceYears::filter_cost);
    add_money("service_energy_cost", study.prices.demand ? "Energy and demand charges, at today’s prices"
                                                         : "Energy, at today’s prices",
              &ServiceYears::energy_cost);
    add_money("service_present_value", "Present value, filters paid when put in", &ServiceYears::present_value);
    if (!study.prices.carbon) return;
    add({"service_carbon", "Carbon dioxide of the energy", "kg", "kg", "", 0.0, FigureGroup::service,
         {"carbon", "annual energy", "yearly energy", "energy"}, [p, years](const CandidateResult& c) {
             return estimate(c.annual_carbon, units::kg.one.value() / years, p);
         }});
}

}   // namespace

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
             return estimate(scaled(c.clean->flow, 1.0 / c.clean->flow.value.value()), 1.0 / c.face_velocity->value(),
                             p);
         }});

    add({"hours_to_limit", "Running hours to the first limit", "h", "h", "", 0.0, FigureGroup::life,
         {"hours", "life", "limit"},
         [p](const CandidateResult& c) { return estimate(c.hours_to_limit, units::h, p); }});
    add({"change_interval", "Running hours between changes", "h", "h", "", 0.0, FigureGroup::life,
         {"change interval", "between changes", "interval", "hours", "life"},
         [p](const CandidateResult& c) { return estimate(c.change_interval, units::h, p); }});

    if (of_systems(study, [](const SystemInput& s) { return s.operating_hours.has_value(); })) {
        // The calendar stretches the running time between changes by the seasons, and its interval with it, up to the
        // age at which the filter is changed whatever its dust.
        const auto months_of = [p](std::size_t ChangeCalendar::* month) {
            return [=](const CandidateResult& c) -> std::optional<Estimate> {
                if (!c.calendar || !c.change_interval || !(c.change_interval->value.value() > 0.0)) return std::nullopt;
                const Time value = c.calendar->from[(*c.calendar).*month];
                auto e = estimate(c.change_interval,
                                  units::month.one.value() * (c.change_interval->value / value), p);
                if (!e || !c.calendar->greatest_age) return e;
                const double age = *c.calendar->greatest_age / units::month;
                if (c.calendar->from[c.calendar->shortest] >= *c.calendar->greatest_age) return exact(age);
                e->value = std::min(e->value, age);
                e->upper = std::min(e->upper, age);
                return e;
            };
        };
        const std::vector<std::string> words{"change interval", "between changes", "interval", "hours", "life"};
        add({"calendar_shortest", "Months between changes, in the season of the shortest", "month", "month", "",
             0.0, FigureGroup::life, words, months_of(&ChangeCalendar::shortest)});
        add({"calendar_longest", "Months between changes, in the season of the longest", "month", "month", "", 0.0,
             FigureGroup::life, words, months_of(&ChangeCalendar::longest)});
    }
    if (study.prices.change_penalty) {
        const std::string share = estimate_text(exact(100.0 * *study.prices.change_penalty)) + " %";
        const std::vector<std::string> words{"earliest and latest", "change interval", "cost", "hours", "life"};
        add({"change_earliest", "Earliest change for " + share + " more a year", "h", "h", "", 0.0, FigureGroup::life,
             words, [p](const CandidateResult& c) { return estimate(c.change_earliest, units::h, p); }});
        add({"change_latest", "Latest change for " + share + " more, or the first limit", "h", "h", "", 0.0,
             FigureGroup::life, words,
             [p](const CandidateResult& c) { return estimate(c.change_latest, units::h, p); }});
    }

    add({"power_clean", "Fan power, clean", "W", "W", "", 0.0, FigureGroup::energy_and_cost, {"power", "airflow"},
         power_of(clean)});
    add({"power_end", "Fan power, end of interval", "W", "W", "", 0.0, FigureGroup::energy_and_cost,
         {"power", "end of", "life", "hours", "change interval", "airflow"}, power_of(end)});
    add({"annual_running_time",
         "Running hours a year at equal service",
         "h",
         "h",
         "",
         0.0,
         FigureGroup::energy_and_cost,
         {"annual energy", "yearly energy", "energy"},
         [p](const CandidateResult& c) { return estimate(c.annual_running_time, units::h, p); }});
    add({"annual_energy", "Yearly energy at equal service", "kWh", "kWh", "", 0.0, FigureGroup::energy_and_cost,
         {"annual energy", "yearly energy", "energy"},
         [p](const CandidateResult& c) { return estimate(c.annual_energy, units::kWh, p); }});
    if (study.prices.carbon) {
        add({"annual_carbon", "Carbon dioxide of that energy", "kg", "kg", "", 0.0, FigureGroup::energy_and_cost,
             {"carbon", "annual energy", "yearly energy", "energy"},
             [p](const CandidateResult& c) { return estimate(c.annual_carbon, units::kg, p); }});
    }
    if (study.prices.demand) {
        const std::vector<std::string> words{"demand", "yearly cost", "cost", "power"};
        add({"monthly_peak", "Greatest fan power of a month, mean", "W", "W", "", 0.0, FigureGroup::energy_and_cost,
             words, [p](const CandidateResult& c) { return estimate(c.monthly_peak, units::W, p); }});
        add({"annual_demand_cost", "Demand charges a year, within the yearly cost", money, money, "", 0.0,
             FigureGroup::energy_and_cost, words,
             [p](const CandidateResult& c) { return estimate(c.annual_demand_cost, 1.0, p); }});
    }
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

    const auto add_removal = [&](const char* key, const char* label, const char* matter,
                                 std::optional<CoveredUncertain<double>> CandidateResult::*removal) {
        add({key, label, "%", "%", "", 0.0, FigureGroup::cleaning, {matter, "removal", "clean air", "efficiency"},
             [p, removal](const CandidateResult& c) { return share(estimate(c.*removal, 0.01, p)); }});
    };
    add_removal("pm25_removal", "PM2.5 mass removed, new filters", "pm2.5", &CandidateResult::pm25_removal);
    add_removal("lasting_pm25_removal", "PM2.5 mass removed, the lower of new and discharged", "pm2.5",
                &CandidateResult::lasting_pm25_removal);
    add_removal("pm10_removal", "PM10 mass removed, new filters", "pm10", &CandidateResult::pm10_removal);
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

    const auto has_mean = [](const SystemInput& s) { return s.room && (s.operating_hours || s.room->fan_cycle); };
    if (of_systems(study, has_mean)) {
        const auto add_mean = [&](const char* key, const char* label, const char* unit, const char* file_unit,
                                  auto of) {
            add({key, label, unit, file_unit, "", 0.0, FigureGroup::cleaning,
                 {"yearly mean", "indoors", "removal", "life", "efficiency", "airflow"}, of});
        };
        add_mean("indoor_pm25_mean_share", "PM2.5 indoors over outdoors, yearly mean", "%", "%",
                 [p](const CandidateResult& c) { return share(estimate(c.indoor_pm25_mean_share, 0.01, p)); });
        add_mean("indoor_pm10_mean_share", "PM10 indoors over outdoors, yearly mean", "%", "%",
                 [p](const CandidateResult& c) { return share(estimate(c.indoor_pm10_mean_share, 0.01, p)); });
        add_mean("indoor_pm25_mean", "PM2.5 indoors from outdoors, yearly mean", "µg/m³", "ug/m3",
                 [p](const CandidateResult& c) { return estimate(c.indoor_pm25_mean, units::ug_per_m3, p); });
        add_mean("indoor_pm10_mean", "PM10 indoors from outdoors, yearly mean", "µg/m³", "ug/m3",
                 [p](const CandidateResult& c) { return estimate(c.indoor_pm10_mean, units::ug_per_m3, p); });
    }
    if (study.prices.years_of_service) add_service_figures(study, add);

    add({"attributable_energy",
         "Through the filter, Q Δp / η over the year",
         "kWh",
         "kWh",
         "",
         0.0,
         FigureGroup::beside,
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

}   // namespace choose_filter
