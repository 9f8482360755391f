// SPDX-License-Identifier: BSL-1.0
// When to change a filter: where the running cost of the air meets its average cost, or where a limit comes first; with
// a fan at fixed speed and with one that holds its airflow, at equal service. All data are invented.
#include <array>
#include <cstdio>
#include <initializer_list>

#include <filterflow/air.hpp>
#include <filterflow/cost.hpp>
#include <filterflow/loading.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

FanTable table_of(std::initializer_list<std::array<double, 3>> rows) {
    FanTable table;
    for (const auto& r : rows) table.points.push_back({r[0] * m3_per_s, r[1] * Pa, r[2] * W});
    table.stated_air = fan_test_air();
    return table;
}

void report(const char* name, const ChangeInterval& found) {
    std::printf("%s: %s\n", name, found.text.c_str());
    if (!found.interval) return;
    std::printf("  change after %.0f running hours, at %.0f Pa across the filter and %.3f m3/s\n", *found.interval / h,
                found.moment->filter_drop / Pa, found.moment->flow / m3_per_s);
    std::printf("  a year at equal service costs %.2f: energy %.2f, filters and labour %.2f; the fan runs %.0f h\n",
                found.cost->annual_cost / money, found.cost->annual_energy_cost / money,
                found.cost->annual_filter_cost / money, found.cost->annual_running_time / h);
}

}   // namespace

int main() {
    const AirState air = duct_design_air();
    FilterLifeInput input{
        .fan = fan_curve(table_of(
            {{0.4, 540, 700}, {0.7, 520, 790}, {1.0, 470, 880}, {1.3, 370, 950}, {1.6, 220, 980}, {1.9, 40, 960}}))};
    input.ducts = system_from_design_point({.flow = 1.3 * m3_per_s, .pressure = 230 * Pa, .air = air});
    input.stages = {{.clean = {60 * Pa_s_per_m3, 16 * Pa_s2_per_m6, air},
                     .law = {LoadingForm::smooth, ReferenceArea::media, 55 * g_per_m2, 70 * g_per_m2, {}},
                     .area = 3.2 * m2,
                     .efficiency = {0.75, 0.0, 1 * kg_per_m2}}};
    input.dust = {.concentration = 60 * ug_per_m3, .equivalence = 0.7};   // assumed, not measured
    input.running_fraction = 0.4;
    input.air = air;
    input.horizon = 30000 * h;
    const ServicePrices prices{
        .change = {.filters = 24 * money, .labour = 15 * money, .disposal = 2 * money},
        .electricity = 0.22 * money_per_kWh,
        .annual_volume = 1.3 * 3504 * 3600 * m3};   // 1.3 m3/s for 3504 hours, whatever the fan does

    const ChangeInterval fixed = find_change_interval(input, prices);
    report("fixed speed", fixed);
    FilterLifeInput limited = input;
    limited.limits.least_airflow = 1.2 * m3_per_s;
    report("fixed speed, at least 1.2 m3/s", find_change_interval(limited, prices));
    FilterLifeInput held = input;
    held.fan = flow_holding_fan(
        table_of({{1.3, 100, 310}, {1.3, 250, 640}, {1.3, 400, 1010}, {1.3, 550, 1400}, {1.1, 620, 1430}}));
    const ChangeInterval steady = find_change_interval(held, prices);
    report("holding airflow", steady);

    const FilterInSystem with_and_without{in_series(input.ducts, input.stages[0].clean), input.ducts};
    std::printf(
        "\npower with the clean filter less power without it (never a saving): fixed speed %+.0f W, holding airflow "
        "%+.0f W\n",
        counterfactual_power(input.fan, with_and_without, air).power_difference / W,
        counterfactual_power(held.fan, with_and_without, air).power_difference / W);
    const YearlyCost yearly{steady.cost->annual_energy_cost, steady.cost->annual_filter_cost};
    std::printf("holding airflow, present value of 15 years at 3 %%, electricity rising 1 %% a year: %.0f\n",
                present_value(yearly, {.discount_rate = 0.03, .electricity_escalation = 0.01, .years = 15}) / money);

    for (const FilterLifeInput* of : {&input, &held}) {
        std::printf("\n\n# %s: hours between changes, cost of 1000 m3 on average, of the next 1000 m3\n",
                    of == &input ? "fixed speed" : "holding airflow");
        for (double hours = 400; hours <= (of == &input ? 4000 : 2400); hours += 100) {
            FilterLifeInput part = *of;
            part.horizon = hours * h;
            const LifeMoment at = filter_life(part).moments.back();
            const ServiceCost cost = service_cost(Cycle{at.time, at.delivered, *at.fan_energy}, prices);
            const MoneyPerVolume next = *at.power / at.flow * prices.electricity;
            std::printf("%5.0f %7.4f %7.4f\n", hours, cost.per_volume / money_per_1000_m3, next / money_per_1000_m3);
        }
    }
}
