// SPDX-License-Identifier: BSL-1.0
// Two stages in front of a fan at fixed speed: which limit ends their life, how airflow and pressure go until then,
// what a fan that holds its airflow makes of the same filters, and their life by the hours of a year from a table. All
// data are invented, and so is the Tern Lane Arts Centre.
//     filter_life [TABLE]
// Starved airflow overheats furnaces and motors and ices coils: stay above the airflow on the nameplate.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <string>

#include <filterflow/air.hpp>
#include <filterflow/loading.hpp>

#include "runtime_table.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

FanTable fixed_speed() {
    FanTable table;
    const double rows[][3] = {{0.4, 540, 700}, {0.7, 520, 790}, {1.0, 470, 880},
                              {1.3, 370, 950}, {1.6, 220, 980}, {1.9, 40, 960}};
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    table.stated_air = fan_test_air();
    return table;
}

FanTable holds_airflow() {
    FanTable table;
    const double rows[][3] = {{1.3, 100, 310}, {1.3, 250, 640}, {1.3, 400, 1010}, {1.3, 550, 1400}, {1.1, 620, 1430}};
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    table.stated_air = fan_test_air();
    return table;
}

FilterStage stage(double linear, double efficiency, Area area, Pressure final_resistance) {
    return {.clean = {linear * Pa_s_per_m3, 14 * Pa_s2_per_m6, duct_design_air()},
            .law = {LoadingForm::smooth, ReferenceArea::media, 55 * g_per_m2, 70 * g_per_m2, {}},
            .area = area,
            .efficiency = {efficiency, 0.05, 40 * g_per_m2},
            .gap_area = 4 * cm2,
            .final_resistance = final_resistance,
            .greatest_known = 160 * g_per_m2};
}

/// A life by the hours of a table, beside the same dust spread evenly over the year, and day by day.
void by_the_hours(const FilterLifeInput& installation, const std::string& path) {
    const DustSchedule hours = filter_life_example::runtime_schedule(choose_filter::DiskFiles{}, path);
    ScheduledLifeInput input{
        .installation = installation, .schedule = hours, .horizon = 3 * year, .resolution = 1 * day};
    const ScheduledLife life = scheduled_life(input);
    std::printf("by the hours of the table (%zu, the fan on for %.0f of them at a mean of %.1f ug/m3):\n",
                hours.hours().size(), hours.running_time() / h, hours.mean_concentration() / ug_per_m3);
    std::printf("  %s after %.0f days, %.0f running hours\n", life.life.reason.c_str(), life.life.age / day,
                life.life.time / h);
    input.schedule = constant_schedule(hours.mean_concentration(), hours.running_fraction());
    std::printf("  the same dust spread evenly over the year: after %.0f days\n", scheduled_life(input).life.age / day);
    std::printf("\n\n# by the hours: days, airflow [m3/s], pressure drops of the stages [Pa], running hours so far\n");
    for (const ScheduledMoment& when : life.calendar) {
        const LifeMoment& at = life.life.moments[when.moment];
        std::printf("%7.1f %6.3f %6.1f %6.1f %6.0f\n", when.age / day, at.flow / m3_per_s, at.stage_drops[0] / Pa,
                    at.stage_drops[1] / Pa, at.time / h);
    }
}

void run(const std::string& path) {
    const AirState air =
        moist_air({.temperature = from_celsius(20), .pressure = 100.4 * kPa, .relative_humidity = 0.5});
    FilterLifeInput input{.fan = fan_curve(fixed_speed())};
    input.ducts = system_from_design_point(
        {.flow = 1.3 * m3_per_s, .pressure = 230 * Pa, .exponent = 1.9, .air = duct_design_air()});
    input.stages = {stage(20, 0.45, 1.1 * m2, 150 * Pa), stage(55, 0.80, 5.5 * m2, 250 * Pa)};
    input.dust = {.concentration = 60 * ug_per_m3, .equivalence = 0.7};   // the equivalence is assumed, not measured
    input.running_fraction = 0.4;
    input.air = air;
    input.horizon = 30000 * h;

    const FilterLife life = filter_life(input);
    std::printf("fixed speed: %s after %.0f running hours (%.2f calendar years)\n", life.reason.c_str(), life.time / h,
                life.age / year);
    std::printf("  mean airflow %.3f m3/s, filters' mean pressure drop %.1f Pa, mean power %.0f W\n",
                life.mean_flow / m3_per_s, life.mean_filter_drop / Pa, *life.mean_power / W);
    std::printf("  dust arrived %.0f g, caught %.0f g, delivered %.0f g\n", life.dust_arrived / g, life.dust_caught / g,
                life.dust_delivered / g);
    for (const std::size_t k : life.extrapolated_stages)
        std::printf("  stage %zu: its law is used beyond its readings\n", k + 1);

    input.limits.least_airflow = 1.2 * m3_per_s;
    std::printf("with a least airflow of 1.2 m3/s: %s after %.0f hours\n", filter_life(input).reason.c_str(),
                filter_life(input).time / h);
    input.limits.least_airflow.reset();

    FilterLifeInput held = input;
    held.fan = flow_holding_fan(holds_airflow());
    const FilterLife steady = filter_life(held);
    std::printf("holding airflow: %s after %.0f hours; power from %.0f to %.0f W\n", steady.reason.c_str(),
                steady.time / h, *steady.moments.front().power / W, *steady.moments.back().power / W);

    const ServiceHistory history = service_history(input);
    std::printf("fixed speed, stages changed one by one over %.0f hours: stage 1 %zu times, stage 2 %zu times\n",
                history.time / h, history.change_counts[0], history.change_counts[1]);

    for (const FilterLifeInput* of : {&input, &held}) {
        std::printf("\n\n# %s\n# hours, airflow [m3/s], pressure drops of the stages [Pa], fan power [W]\n",
                    of == &input ? "fixed speed" : "holding airflow");
        const double end = (of == &input ? life : steady).time / h;
        for (double hours = 0; hours < end + 100; hours += 100) {
            FilterLifeInput part = *of;
            part.horizon = std::min(std::max(hours, 1e-6), end) * h;
            const LifeMoment at = filter_life(part).moments.back();
            std::printf("%7.0f %6.3f %6.1f %6.1f %6.0f\n", at.time / h, at.flow / m3_per_s, at.stage_drops[0] / Pa,
                        at.stage_drops[1] / Pa, *at.power / W);
        }
    }
    std::printf("\n\n");
    by_the_hours(input, path);
}

}   // namespace

int main(int argc, char** argv) {
    try {
        run(argc > 1 ? argv[1] : "examples/tern_lane/runtime.csv");
    } catch (const std::exception& error) {
        std::fprintf(stderr, "filter_life: %s\n", error.what());
        return 1;
    }
    return 0;
}
