// SPDX-License-Identifier: BSL-1.0
#pragma once

// A study with its result, invented from end to end, to drive the report: no reading, price or filter in it is real,
// and the "result" is put together here by hand, not computed by the library. It only has the shape of one.

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow::test {

struct SyntheticStudy {
    StudyInput study;
    StudyResult result;
};

struct SyntheticFilter {
    std::string name;
    double r, s;          // Pa s/m3, Pa s2/m6
    double efficiency;    // in the middle of the sizes
    double growth;        // g/m2 of medium
    double area;          // of medium, m2
    double price;
};

inline Uncertain<VolumeFlow> invented_flow(double q, double u, const char* name) {
    return uncertain(VolumeFlow::from_value(q), VolumeFlow::from_value(u), name);
}

/// The study; names of its filters and candidates can be replaced, to see how hostile ones are treated.
inline SyntheticStudy synthetic_study(std::vector<std::string> names = {}) {
    std::vector<SyntheticFilter> filters{
        {"flat pad", 18, 12, 0.12, 260, 0.37, 5},         {"2-inch pleat, coarse", 42, 24, 0.30, 130, 1.4, 8},
        {"2-inch pleat, fine", 88, 26, 0.52, 95, 1.5, 10}, {"2-inch pleat, charged", 60, 24, 0.66, 105, 1.5, 13},
        {"4-inch pleat", 48, 15, 0.64, 110, 2.9, 27},      {"4-inch glass pack", 74, 14, 0.88, 120, 6.0, 84}};
    for (std::size_t i = 0; i < names.size() && i < filters.size(); ++i) filters[i].name = names[i];

    SyntheticStudy all;
    StudyInput& study = all.study;
    StudyResult& result = all.result;
    study.title = "Invented filters in an invented building";
    study.note = "Invented data: every number on this page is made up to show the report.";
    study.origin = "invented.toml";
    study.standard_air = duct_design_air();
    study.standard_air_name = "duct design air";
    study.comparison_velocities = {Velocity::from_value(1.524), Velocity::from_value(2.032)};
    study.prices.currency = "pounds";
    study.prices.horizon = 10.0 * units::year;
    StandInput stand;
    stand.air = MoistAirConditions{from_celsius(22), 100.2 * units::kPa, 0.45};
    stand.flow_method = StandFlowMethod::flow_element;
    study.stand = stand;

    const auto gain = uncertain(1.0, 0.01, "manometer gain");
    const auto air = study.standard_air;
    StandResult stand_result;
    std::vector<ElementReading> tare;
    for (const double q : {0.2, 0.4, 0.6, 0.8}) {
        tare.push_back({invented_flow(q, 0.01 * q, "flow"),
                        uncertain(Pressure::from_value(4 * q + 22 * q * q), Pressure::from_value(0.4), "reading"),
                        air});
    }
    stand_result.tare = fit_element(tare, air);
    stand_result.flags = {"pipe diameter 0.30 m above the 0.63 m the standard covers is not the case; invented flag"};
    result.stand = stand_result;

    for (std::size_t f = 0; f < filters.size(); ++f) {
        const SyntheticFilter& made = filters[f];
        FilterInput input;
        input.name = made.name;
        input.width = 24 * units::inch;
        input.height = 24 * units::inch;
        input.media_area = Area::from_value(made.area);
        study.filters.push_back(input);

        FilterResult filter;
        filter.name = made.name;
        std::vector<ElementReading> readings;
        const double greatest = std::sqrt(330.0 / (made.r + made.s + 60.0));   // the stand's fan slows
        int k = 0;
        for (const double share : {0.35, 0.55, 0.75, 0.9, 1.0}) {
            const double q = greatest * share;
            const double noise = 1.0 + 0.012 * std::sin(1.7 * ++k + static_cast<double>(f));
            const double p = (made.r * q + made.s * q * q) * noise;
            Uncertain<Pressure> drop(Pressure::from_value(p));
            drop.gradient.add(gain.gradient, p);
            drop.gradient.add(uncertain(Pressure::from_value(0), Pressure::from_value(0.5), "reading").gradient, 1.0);
            const auto flow = invented_flow(q, 0.012 * q, "flow");
            readings.push_back({flow, drop, air});
            filter.readings.push_back({flow, Pressure::from_value(p + 4 * q + 22 * q * q), drop});
        }
        filter.curve = fit_element(readings, air);
        for (const Velocity& v : study.comparison_velocities) {
            const double q = v.value() * 0.6096 * 0.6096;
            if (q <= filter.curve->greatest_flow.value()) {
                const auto p = pressure_drop(*filter.curve, VolumeFlow::from_value(q), air);
                filter.pressure_at_velocities.push_back(p);
                filter.raw_pressure_at_velocities.push_back(
                    Pressure::from_value(p.value.value() + 4 * q + 22 * q * q));
            } else {
                filter.pressure_at_velocities.push_back(std::nullopt);
                filter.raw_pressure_at_velocities.push_back(std::nullopt);
            }
        }
        if (f != 0) {   // the flat pad was not counted
            FractionalEfficiency efficiency;
            for (const SizeRange& range : minimum_efficiency_size_ranges()) {
                const double x = std::log(geometric_mean(range) / units::um / 0.4);
                const double e = 1.0 - (1.0 - made.efficiency) * std::exp(-0.22 * x * x - 0.1 * x);
                efficiency.ranges.push_back(stated_efficiency(
                    range, uncertain(std::clamp(e, 0.0, 0.995), 0.01 + 0.004 * std::abs(x), "counts")));
            }
            efficiency.ranges.back().quality = {"fewer than 500 particles upstream: sample longer (invented)"};
            filter.efficiency = efficiency;
            filter.minimum_efficiency = minimum_efficiency_rating(efficiency, std::nullopt);
            filter.minimum_efficiency_text = "minimum-efficiency value about " + std::to_string(8 + f) +
                                             ": estimate from bench data by ASHRAE 52.2-2017 at 1.5 m/s, not a rating";
            filter.particulate_matter_text = "not classifiable without the conditioned state";
        } else {
            filter.missing = {{"efficiency by size", "particle counts of filter '" + made.name + "'"}};
        }
        LoadingFit loading;
        loading.law.form = LoadingForm::smooth;
        loading.law.reference = ReferenceArea::media;
        loading.law.growth_scale = made.growth * units::g_per_m2;
        loading.law.transition = 0.6 * made.growth * units::g_per_m2;
        loading.area = Area::from_value(made.area);
        loading.parameters = {uncertain(1e-3 * made.growth, 4e-5 * made.growth, "loading fit"),
                              uncertain(6e-4 * made.growth, 5e-5 * made.growth, "loading fit"), 0.0};
        loading.verdict = "both stages are seen (invented)";
        for (int step = 0; step <= 6; ++step) {
            const double per_area = 0.18 * step * made.growth;   // g/m2
            const auto retained = uncertain(per_area * made.area * units::g, 0.8 * units::g, "weighing");
            loading.retained.push_back(retained);
            const double q = 0.6 - 0.02 * step;
            const double factor = resistance_factor(loading.law, per_area * units::g_per_m2);
            const double p = (factor * made.r * q + made.s * q * q) * (1.0 + 0.015 * std::cos(2.0 * step));
            filter.loading_readings.push_back(
                {invented_flow(q, 0.006, "flow"), Pressure::from_value(p + 20),
                 uncertain(Pressure::from_value(p), Pressure::from_value(1.2), "reading")});
            loading.greatest_retained = per_area * units::g_per_m2;
        }
        loading.average_arrestance = uncertain(0.6 + 0.05 * static_cast<double>(f), 0.02, "arrestance");
        loading.degrees_of_freedom = 4;
        loading.chi_squared = 3.1;
        filter.loading = loading;
        result.filters.push_back(filter);
    }

    for (const SyntheticFilter& made : filters) {
        study.candidates.push_back({made.name, {{made.name, Pressure::from_value(250), std::nullopt}}, std::nullopt});
    }
    study.candidates.push_back({"pad and charged pleat, two stages",
                                {{filters[0].name, Pressure::from_value(100), std::nullopt},
                                 {filters[3].name, Pressure::from_value(250), std::nullopt}},
                                std::nullopt});

    const auto price = uncertain(0.24, 0.01, "price of electricity");
    for (const bool holds : {false, true}) {
        SystemInput system;
        system.name = holds ? "Gallery air handler, speed drive" : "Gallery air handler, belt drive";
        system.control = holds ? FanControl::holds_airflow : FanControl::fixed_speed;
        system.hours_per_year = 4200.0 * units::h;
        system.dust_equivalence = uncertain(1.0, 0.3, "dust equivalence");
        system.present_candidate = filters[1].name;
        if (!holds) system.least_airflow = VolumeFlow::from_value(0.72);
        study.systems.push_back(system);

        SystemResult out;
        out.name = system.name;
        const auto fan = [&](double q) { return 620.0 - 60.0 * q - 230.0 * q * q; };
        for (int k = 0; k <= 40; ++k) {
            const double q = 1.45 * k / 40.0;
            if (holds) {
                out.fan_samples.emplace_back(VolumeFlow::from_value(k < 36 ? 0.9 : 0.9 - 0.1 * (k - 36)),
                                             Pressure::from_value(18.0 * k));
            } else {
                out.fan_samples.emplace_back(VolumeFlow::from_value(q), Pressure::from_value(fan(q)));
            }
            out.duct_samples.emplace_back(VolumeFlow::from_value(q), Pressure::from_value(330.0 * q * q));
        }
        for (std::size_t c = 0; c < study.candidates.size(); ++c) {
            double r = 0, s = 0, filter_price = 0, through = 1;
            for (const StageInput& stage : study.candidates[c].stages) {
                for (const SyntheticFilter& made : filters) {
                    if (made.name != stage.filter) continue;
                    r += made.r;
                    s += made.s;
                    filter_price += made.price;
                    through *= 1.0 - made.efficiency;
                }
            }
            const auto flow_at = [&](double factor) {
                if (holds) return 0.9;
                double low = 0.0, high = 1.45;
                for (int k = 0; k < 60; ++k) {
                    const double q = 0.5 * (low + high);
                    (fan(q) > (330.0 + s) * q * q + factor * r * q ? low : high) = q;
                }
                return low;
            };
            const auto moment_at = [&](double factor) {
                const double q = flow_at(factor);
                const double p = factor * r * q + s * q * q;
                CandidateMoment m;
                m.flow = invented_flow(q, 0.006, "flow in the system");
                m.filter_pressure = uncertain(Pressure::from_value(p), Pressure::from_value(0.02 * p), "filter");
                m.external_static_pressure =
                    uncertain(Pressure::from_value(p + 330 * q * q), Pressure::from_value(6), "system");
                m.power = uncertain(Power::from_value(q * (p + 330 * q * q) / 0.52), Power::from_value(9), "power");
                return m;
            };
            CandidateResult candidate;
            candidate.name = study.candidates[c].name;
            candidate.clean = moment_at(1.0);
            candidate.middle = moment_at(1.7);
            candidate.end = moment_at(2.8);
            candidate.face_velocity = Velocity::from_value(candidate.clean->flow.value.value() / 0.3716);
            const double hours = 900.0 + 5200.0 / (1.0 + r / 40.0) + 25.0 * filter_price;
            candidate.hours_to_limit = uncertain(1.4 * hours * units::h, 0.15 * hours * units::h, "dust");
            candidate.limit_reached = "final resistance of 250 Pa";
            candidate.change_interval = uncertain(hours * units::h, 0.09 * hours * units::h, "dust");
            candidate.change_interval_reason = c % 2 == 0 ? "cost optimum" : "limit: final resistance of 250 Pa";
            const double removal = 1.0 - through;
            if (c != 0) {
                candidate.pm25_removal = candidate.lasting_pm25_removal = uncertain(removal, 0.02, "counts");
                candidate.pm10_removal = uncertain(std::min(0.99, removal + 0.1), 0.015, "counts");
                candidate.clean_air_pm25 =
                    invented_flow(removal * candidate.clean->flow.value.value(), 0.02, "clean air");
            } else {
                candidate.missing = {
                    {"PM2.5 removal and clean air", "particle counts of filter '" + candidate.name + "'"},
                    {"PM10 removal", "particle counts of filter '" + candidate.name + "'"}};
            }
            const double energy = 4.2 * candidate.middle->power->value.value();
            candidate.annual_energy = uncertain(energy * units::kWh, 0.02 * energy * units::kWh, "energy");
            candidate.attributable_energy = uncertain(0.3 * energy * units::kWh, 0.01 * energy * units::kWh, "energy");
            candidate.counterfactual_energy =
                uncertain((holds ? 0.3 : -0.02) * energy * units::kWh, 0.01 * energy * units::kWh, "energy");
            const double changes = 4200.0 / hours;
            const double filter_cost = changes * (filter_price + 6.0);
            Uncertain<Money> energy_cost(Money::from_value(energy * price.value));
            energy_cost.gradient.add(price.gradient, energy);
            candidate.annual_filter_cost =
                uncertain(Money::from_value(filter_cost), Money::from_value(0.05 * filter_cost), "dust");
            candidate.annual_cost = energy_cost + *candidate.annual_filter_cost;
            candidate.present_value = scaled(*candidate.annual_cost, 8.2);
            if (c != 0) {
                candidate.cost_per_clean_air = uncertain(
                    MoneyPerVolume::from_value(candidate.annual_cost->value.value() /
                                               (candidate.clean_air_pm25->value.value() * 4200 * 3600)),
                    MoneyPerVolume::from_value(2e-7), "clean air");
            }
            for (int k = 0; k <= 40; ++k) {
                const double share = k / 40.0;
                const auto m = moment_at(1.0 + 1.8 * share * share);
                candidate.life.push_back({share * 1.4 * hours * units::h, share * 200.0 * units::g, m.flow.value,
                                          m.filter_pressure.value, m.power->value});
                const double interval = hours * (0.1 + 1.3 * share);
                candidate.cost_rate.push_back(
                    {interval * units::h,
                     Money::from_value(energy * price.value * (0.96 + 0.04 * std::pow(interval / hours, 2)) +
                                       filter_cost * hours / interval)});
            }
            if (c == 2 && !holds) {
                candidate.failed_limits = {
                    "airflow 2520 m³/h at the end of the interval, below the least allowed 2592 m³/h"};
                candidate.below_present_airflow = true;
            }
            out.candidates.push_back(candidate);
        }
        out.ranking = {4, 1, 3, 0, 5, 6, 2};
        for (std::size_t place = 0; place < (holds ? 7u : 6u); ++place)
            out.candidates[out.ranking[place]].rank = place + 1;
        out.candidates[4].tied_with = {study.candidates[1].name};
        out.candidates[1].tied_with = {study.candidates[4].name};
        out.recommended = 4;
        out.conditional = holds;
        if (holds) out.condition = "In doubt: its removal of PM2.5 (invented).";
        out.recommendation_notes = {"With clean filters it moves 2700 m3/h (invented).",
                                    "This rests on nothing measured."};
        out.runner_up = CostLead{1, Money::from_value(30.0), {Money::from_value(-10.0), Money::from_value(70.0)}};
        out.recommendation =
            "Install '" + study.candidates[4].name +
            "' and change it every 3900 running hours (invented): it costs least at equal service and meets "
            "the limits; it is not told apart from '" +
            study.candidates[1].name + "' in yearly cost.";
        out.warnings = {"the dust equivalence is assumed, not measured (invented)"};
        result.systems.push_back(out);
    }
    result.warnings = {"the relative humidity was not logged during the loading tests (invented)"};
    return all;
}

/// The same study where only pressures were read: no flow, no counts, no system.
inline SyntheticStudy synthetic_pressures_only() {
    SyntheticStudy all = synthetic_study();
    all.study.systems.clear();
    all.study.candidates.clear();
    all.result.systems.clear();
    all.study.stand->flow_method = StandFlowMethod::not_measured;
    PressureOnlyOrder order;
    double p = 40.0;
    for (std::size_t f = 0; f < all.result.filters.size(); ++f) {
        FilterResult only;
        only.name = all.result.filters[f].name;
        only.readings.push_back({std::nullopt, Pressure::from_value(p + 12), std::nullopt});
        only.missing = {{"pressure at common velocities", "the flow through the filter, or the stand's fan table"}};
        PressureOnlyPlace place;
        place.name = only.name;
        place.index = f;
        place.reading = uncertain(Pressure::from_value(p + 12), Pressure::from_value(1.0), "reading");
        place.lower_bound = uncertain(Pressure::from_value(p), Pressure::from_value(1.2), "reading");
        if (f == 1) place.tied_with = {all.result.filters[2].name};
        if (f == 2) place.tied_with = {all.result.filters[1].name};
        order.places.push_back(place);
        all.result.filters[f] = only;
        p *= 1.3;
    }
    order.rests_on = {"one setting of the fan", "a fan whose pressure falls with flow over the whole range"};
    all.result.stand->tare.reset();
    all.result.stand->pressure_only = order;
    all.result.missing = {{"airflow in a system", "a system with its fan table"}};
    return all;
}

}   // namespace filterflow::test
