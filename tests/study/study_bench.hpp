// SPDX-License-Identifier: BSL-1.0
#pragma once

// A bench whose filters are known: readings without noise from resistances, loading laws and penetrations that the
// tests state, written here a second time and simpler than in the library. All numbers are invented.

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <filterflow/study/study_input.hpp>
#include <filterflow/study/study_result.hpp>

namespace filterflow::test {

using namespace filterflow::units;

/// run_study, compiled once for all sources of this room's tests.
StudyResult evaluated(const StudyInput& study);

/// A filter as it really is, in the standard air.
struct KnownFilter {
    std::string name;
    double linear = 60.0, quadratic = 16.0;            // Pa s/m3, Pa s2/m6
    double growth_scale = 0.055, transition = 0.070;   // kg per m2 of medium
    double media_area = 2.0;                           // m2
    double arrestance = 0.9;
    double coarse_efficiency = 0.6;   // of the largest particles; falls towards the small ones
    double price = 20.0;
};

inline const AirState& standard() {
    static const AirState air = duct_design_air();
    return air;
}
inline MoistAirConditions bench_conditions() {
    return {.temperature = from_celsius(24.0), .pressure = 98.0 * kPa, .relative_humidity = 0.5};
}

/// dp = r Q F + s Q^2, r by viscosity and s by density.
inline double known_drop(const KnownFilter& f, double flow, const AirState& air, double dust = 0.0) {
    const double load = dust / f.media_area;
    const double factor =
        load <= f.transition ? std::exp(load / f.growth_scale)
                             : std::exp(f.transition / f.growth_scale) * (1.0 + (load - f.transition) / f.growth_scale);
    return f.linear * factor * flow * (air.viscosity / standard().viscosity) +
           f.quadratic * flow * flow * (air.density / standard().density);
}
inline double tare_drop(double flow, const AirState& air) {
    return known_drop({.name = "tare", .linear = 5.0, .quadratic = 22.0}, flow, air);
}

/// The flow on a bench whose fan slows under load: fan 420 Pa less 260 Pa at 1 m3/s times speed, by bisection.
template <class Drop>
double bench_flow(double speed, const Drop& drop) {
    double a = 0.0, b = 2.0;
    for (int i = 0; i < 100; ++i) {
        const double q = 0.5 * (a + b);
        (420.0 * speed * speed - 260.0 * speed * q > drop(q) + 60.0 * q * q ? a : b) = q;
    }
    return 0.5 * (a + b);
}

inline BenchReading bench_reading(double flow, double pressure) {
    BenchReading r;
    r.pressure = pressure * Pa;
    r.flow = flow * m3_per_s;
    return r;
}

inline FilterInput filter_readings(const KnownFilter& f) {
    const AirState air = moist_air(bench_conditions());
    FilterInput input;
    input.name = f.name;
    input.width = input.height = 0.61 * m;
    input.price = uncertain(f.price * money, 0.04 * f.price * money, "price of " + f.name);
    input.media_area = f.media_area * m2;
    const auto whole = [&](double dust) {
        return [&f, &air, dust](double q) { return known_drop(f, q, air, dust) + tare_drop(q, air); };
    };
    for (const double speed : {1.0, 0.85, 0.7, 0.55, 0.45}) {
        const double q = bench_flow(speed, whole(0.0));
        input.pressure_readings.push_back(bench_reading(q, whole(0.0)(q)));
    }
    for (const double fed : {0.0, 0.02, 0.05, 0.09, 0.14, 0.2, 0.28, 0.36}) {   // kg
        const double dust = f.arrestance * fed;
        const double q = bench_flow(1.0, whole(dust));
        input.loading_readings.push_back({fed * kg, (fed - dust) * kg, bench_reading(q, whole(dust)(q))});
    }
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        const double size = geometric_mean(range) / um;
        const double penetration = 1.0 - f.coarse_efficiency * size / (size + 0.8);
        SizeRangeCounts c;
        c.range = range;
        c.upstream = {1e6, 1e6, 1e6, 1e6};
        c.downstream = {1e6 * penetration, 1e6 * penetration, 1e6 * penetration};
        c.upstream_background = c.downstream_background = {0.0, 0.0};
        c.stated_correlation = Uncertain<double>(1.0);
        input.counts.push_back(c);
    }
    input.counts_face_velocity = 2.5 * m_per_s;
    return input;
}

/// A fan's rows: m3/s, Pa, W.
inline FanTable fan_rows(const std::vector<std::vector<double>>& rows) {
    FanTable table;
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    table.kind = FanPressureKind::external_static;
    table.stated_air = fan_test_air();
    return table;
}
inline FanTable fixed_speed_rows() {
    return fan_rows(
        {{0.4, 540, 700}, {0.7, 520, 790}, {1.0, 470, 880}, {1.3, 370, 950}, {1.6, 220, 980}, {1.9, 40, 960}});
}
inline FanTable flow_holding_rows() {
    return fan_rows({{1.3, 50, 250}, {1.3, 250, 640}, {1.3, 400, 1010}, {1.3, 550, 1400}, {1.1, 620, 1430}});
}

inline SystemInput known_system(FanControl control = FanControl::fixed_speed) {
    SystemInput system;
    system.name = "air handler";
    system.control = control;
    system.fan = control == FanControl::fixed_speed ? fixed_speed_rows() : flow_holding_rows();
    system.fan_pressure_factor = uncertain(1.0, 0.02, "fan pressure factor");
    system.fan_power_factor = uncertain(1.0, 0.03, "fan power factor");
    system.ducts = system_from_design_point({.flow = 1.3 * m3_per_s, .pressure = 200 * Pa, .air = standard()});
    system.duct_pressure_factor = uncertain(1.0, 0.03, "duct pressure factor");
    system.hours_per_year = 4000.0 * h;
    system.dust_concentration = uncertain(50.0 * ug_per_m3, 2.0 * ug_per_m3, "dust concentration");
    system.dust_equivalence = uncertain(1.2, 0.06, "dust equivalence");
    system.present_candidate = "coarse";
    system.least_airflow = 1.0 * m3_per_s;
    return system;
}

inline std::vector<KnownFilter> known_filters() {
    return {{.name = "coarse", .linear = 45.0, .coarse_efficiency = 0.55, .price = 12.0},
            {.name = "fine", .linear = 75.0, .media_area = 3.2, .coarse_efficiency = 0.92, .price = 26.0}};
}

/// Two filters, each a candidate of its own, in one system.
inline StudyInput known_study(FanControl control = FanControl::fixed_speed) {
    StudyInput study;
    study.title = "invented";
    study.standard_air = standard();
    study.standard_air_name = "duct design air";
    study.comparison_velocities = {2.0 * m_per_s};
    StandInput stand;
    stand.air = bench_conditions();
    stand.flow_method = StandFlowMethod::flow_meter;
    const AirState air = moist_air(bench_conditions());
    for (const double speed : {1.0, 0.8, 0.6, 0.45, 0.3}) {
        const double q = bench_flow(speed, [&](double flow) { return tare_drop(flow, air); });
        stand.empty_stand.push_back(bench_reading(q, tare_drop(q, air)));
    }
    stand.manometer = instrument(ManometerData{"manometer", 0.006, 0.4 * Pa, 0.3 * Pa});
    stand.flow_instrument = instrument(FlowMeterData{"flow meter", 0.008, {}, 0.002 * m3_per_s});
    study.stand = stand;
    for (const KnownFilter& f : known_filters()) {
        study.filters.push_back(filter_readings(f));
        study.candidates.push_back({f.name, {{f.name, 180.0 * Pa, {}}}, {}});
    }
    study.systems.push_back(known_system(control));
    study.prices.electricity = uncertain(0.25 * money_per_kWh, 0.01 * money_per_kWh, "price of electricity");
    study.prices.labour_per_change = uncertain(10.0 * money, 0.5 * money, "labour");
    study.prices.disposal_per_filter = Uncertain<Money>(1.0 * money);
    study.prices.discount_rate = 0.03;
    study.prices.horizon = 10.0 * year;
    return study;
}

/// Sentence, condition and notes, one after the other.
inline std::string all_words(const SystemResult& result) {
    std::string text = result.recommendation;
    if (!result.condition.empty()) text += " " + result.condition;
    for (const std::string& note : result.recommendation_notes) text += " " + note;
    return text;
}

}   // namespace filterflow::test
