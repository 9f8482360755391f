// SPDX-License-Identifier: BSL-1.0
// Two filters from bench readings to a ranking and a recommendation, all in code. The Tern Lane Arts Centre, its air
// handler and every number are invented.
#include <cstdio>
#include <initializer_list>
#include <string>

#include <filterflow/study.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Row {   // m3/s, Pa; with dust also g fed and g passed so far
    double flow, pressure, fed = 0.0, passed = 0.0;
};

BenchReading reading_of(const Row& row) {
    BenchReading r;
    r.pressure = row.pressure * Pa;
    r.flow = row.flow * m3_per_s;
    return r;
}

FilterInput filter(const std::string& name, double price, double media, std::initializer_list<Row> clean,
                   std::initializer_list<Row> loaded, std::initializer_list<double> passing_of_5000) {
    FilterInput f;
    f.name = name;
    f.width = f.height = 0.61 * m;
    f.price = Uncertain<Money>(price * money);
    f.media_area = media * m2;
    for (const Row& row : clean) f.pressure_readings.push_back(reading_of(row));
    for (const Row& row : loaded) f.loading_readings.push_back({row.fed * g, row.passed * g, reading_of(row)});
    const double edges[] = {0.3, 0.5, 1.0, 2.5, 5.0, 10.0};
    for (int i = 0; i < 5; ++i) {
        const double n = passing_of_5000.begin()[i];
        SizeRangeCounts counts;
        counts.range = {.lower = edges[i] * um, .upper = edges[i + 1] * um};
        counts.upstream = {5010, 4985, 5020, 4990};   // up, down, up, down, ...
        counts.downstream = {n, n + 12, n - 9};
        counts.stated_correlation = uncertain(1.0, 0.02, "correlation of the two sampling lines");
        f.counts.push_back(counts);
    }
    f.counts_face_velocity = 2.2 * m_per_s;
    return f;
}

}   // namespace

int main() {
    StudyInput study;
    study.standard_air = duct_design_air();
    study.stand = StandInput{};
    study.stand->air = MoistAirConditions{from_celsius(21.0), 101.0 * kPa, 0.45};
    study.stand->flow_method = StandFlowMethod::flow_meter;
    study.stand->manometer = instrument(ManometerData{"manometer", 0.008, 0.3 * Pa, 0.5 * Pa});
    study.stand->flow_instrument = instrument(FlowMeterData{"flow meter", 0.02, {}, 0.005 * m3_per_s});
    study.stand->empty_stand = {reading_of({0.4, 4.5}), reading_of({0.7, 11.6}), reading_of({1.0, 22.0})};
    study.filters = {
        filter("2-inch pleat", 9.0, 1.0, {{0.25, 15.0}, {0.4, 26.0}, {0.55, 38.0}, {0.7, 52.0}, {0.8, 62.5}},
               {{0.776, 73.5, 20, 2.8}, {0.74, 98.0, 50, 7.1}, {0.692, 152.5, 90, 12.5}, {0.632, 223.0, 140, 19.7}},
               {4600, 4300, 3450, 2200, 1300}),
        filter("4-inch pleat", 36.0, 2.0, {{0.25, 13.0}, {0.4, 22.5}, {0.55, 34.0}, {0.7, 46.5}, {0.8, 56.0}},
               {{0.77, 68.0, 50, 2.4}, {0.716, 106.0, 140, 7.0}, {0.668, 152.0, 220, 11.1}, {0.62, 190.5, 300, 14.8}},
               {4100, 3700, 2300, 900, 350})};
    study.candidates = {{"2-inch pleat", {{"2-inch pleat", 150 * Pa, 1.0 * year}}, {}},
                        {"4-inch pleat", {{"4-inch pleat", 150 * Pa, 1.0 * year}}, {}}};
    SystemInput system;
    system.name = "gallery air handler";
    const double rows[][3] = {{0.3, 520, 430}, {0.5, 490, 520}, {0.7, 420, 600}, {0.9, 290, 640}, {1.1, 90, 630}};
    for (const auto& row : rows) system.fan.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    system.fan.stated_air = fan_table_air();
    system.fan_power_factor = uncertain(1.0, 0.04, "fan power");
    system.ducts = system_from_design_point({.flow = 0.8 * m3_per_s, .pressure = 320 * Pa, .air = study.standard_air});
    system.hours_per_year = 4000 * h;
    system.dust_concentration = uncertain(40 * ug_per_m3, 6 * ug_per_m3, "dust concentration");
    system.dust_equivalence = uncertain(1.3, 0.2, "dust equivalence");
    system.present_candidate = "2-inch pleat";
    system.least_airflow = 0.7 * m3_per_s;
    study.systems = {system};
    study.prices.currency = "crowns";
    study.prices.electricity = uncertain(0.24 * money_per_kWh, 0.02 * money_per_kWh, "price of electricity");
    study.prices.labour_per_change = Uncertain<Money>(9.0 * money);

    const StudyResult result = run_study(study);
    const SystemResult& found = result.systems[0];
    for (const auto i : found.ranking) {
        const CandidateResult& c = found.candidates[i];
        const Interval<Money> cost = coverage_interval(*c.annual_cost);
        std::printf("%zu %s: %.0f (%.0f to %.0f) crowns a year, change every %.0f h, %.2f m3/s, PM2.5 less %.0f %%\n",
                    *c.rank, c.name.c_str(), c.annual_cost->value / money, cost.lower / money, cost.upper / money,
                    c.change_interval->value / h, c.clean->flow.value / m3_per_s, 100.0 * c.pm25_removal->value);
    }
    const Interval<Money> less = found.cost_differences.at(0).interval;   // of the first candidate than the second
    std::printf("4-inch less 2-inch pleat: %.0f to %.0f crowns a year\n\n%s\n", -less.upper / money,
                -less.lower / money, found.recommendation.c_str());
    for (const std::string& note : found.recommendation_notes) std::printf("- %s\n", note.c_str());
    std::printf("\n");
    for (const std::string& w : found.candidates[1].warnings) std::printf("note: %s\n", w.c_str());
}
