// SPDX-License-Identifier: BSL-1.0
// When to change a filter: where the running cost of the air meets its average cost, or where a limit comes first; with
// a fan at fixed speed and with one that holds its airflow, at equal service. Then one deep filter against the shallow
// ones it replaces, over ten years. All data are invented; the Tern Lane Arts Centre and its hall are, too.
// Starved airflow overheats furnaces and motors and ices coils: stay above the airflow on the nameplate.
#include <array>
#include <cmath>
#include <cstdio>
#include <initializer_list>
#include <vector>

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

/// 0.19 by night and at weekends, 0.24 else, 0.38 on winter evenings; the hall's fan runs from 9 to 19 h, a little less
/// on Sundays.
EnergyPrice price_of_the_hours() {
    const TimeOfUseTariff tariff{.base = 0.24 * money_per_kWh,
                                 .windows = {{.first_hour = 22, .end_hour = 6, .price = 0.19 * money_per_kWh},
                                             {.days = TariffDays::weekend, .price = 0.19 * money_per_kWh},
                                             {.first_hour = 17,
                                              .end_hour = 20,
                                              .days = TariffDays::working_days,
                                              .first_month = 11,
                                              .last_month = 2,
                                              .price = 0.38 * money_per_kWh}}};
    std::vector<double> running(8760);
    for (std::size_t hour = 0; hour < running.size(); ++hour) {
        const bool sunday = (hour / 24) % 7 == 6;   // a year that begins on a Monday
        running[hour] = hour % 24 >= 9 && hour % 24 < 19 ? (sunday ? 0.7 : 1.0) : 0.0;
    }
    return mean_electricity_price(tariff, running, 0);
}

void report(const char* name, const FilterLifeInput& input, const ServicePrices& prices, const ChangeInterval& found) {
    std::printf("%s: %s\n", name, found.text.c_str());
    for (const ChangeLimit& limit : change_limits(input)) {
        std::printf("  limit at %.0f h: %s\n", limit.time / h, limit.text.c_str());
    }
    if (!found.interval) return;
    std::printf("  change after %.0f running hours, at %.0f Pa across the filter and %.3f m3/s\n", *found.interval / h,
                found.moment->filter_drop / Pa, found.moment->flow / m3_per_s);
    std::printf("  a year at equal service costs %.2f: energy %.2f, filters and labour %.2f; the fan runs %.0f h\n",
                found.cost->annual_cost / money, found.cost->annual_energy_cost / money,
                found.cost->annual_filter_cost / money, found.cost->annual_running_time / h);
    std::printf("  changing at");
    for (const double x : {0.5, 0.8, 1.25, 2.0}) {
        if (x * *found.interval > found.life.time) continue;   // a limit is passed before
        std::printf("%s %.2f times that costs %+.1f %%", x > 0.5 ? "," : "", x,
                    100.0 * change_penalty(found, prices, x * *found.interval).penalty);
    }
    std::printf("\n");
}

void over_years(const char* name, const ChangeInterval& found, const FilterLifeInput& input, const SystemCurve& ducts) {
    const YearsOfService years = years_of_service(
        *found.cost, {.discount_rate = 0.03, .electricity_escalation = 0.02, .other_escalation = 0.01, .years = 10});
    std::vector<LifeMoment> moments = found.life.moments;
    std::erase_if(moments, [&](const LifeMoment& m) { return m.time >= *found.interval; });
    moments.push_back(*found.moment);
    const EnergyParts parts = energy_parts(moments);
    const OperatingState without = operating_state(std::get<FanCurve>(input.fan), ducts, input.air, FanScale{});
    const CounterfactualEnergy more = counterfactual_energy(cycle_until(*found.moment), without);
    const double fan = *found.moment->fan_energy / kWh;
    std::printf("%s, changed every %.0f h (%s)\n", name, *found.interval / h,
                found.reason == ChangeIntervalReason::limit ? "by a limit" : "by cost");
    std::printf("  %zu sets bought in ten years; a year costs %.0f, ten years are worth %.0f today\n", years.purchases,
                found.cost->annual_cost / money, years.present_value / money);
    std::printf(
        "  1000 m3 of air cost %.4f, 1000 m3 of clean air %.4f; %.0f kWh and %.1f t of carbon dioxide in ten years\n",
        found.cost->per_volume / money_per_1000_m3, *found.cost->per_clean_air / money_per_1000_m3, years.energy / kWh,
        *years.carbon / kg / 1000.0);
    std::printf(
        "  of the fan's energy the filter takes %.0f %%; against no filter it uses %+.0f %% in the same time and "
        "%+.0f %% for the same air\n",
        100.0 * (parts.filters / kWh) / (parts.fan / kWh), 100.0 * (more.same_time / kWh) / fan,
        100.0 * (more.same_air / kWh) / fan);
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
                     .efficiency = {0.65, 0.1, 60 * g_per_m2},
                     .greatest_age = 1 * year}};
    input.dust = {.concentration = 60 * ug_per_m3, .equivalence = 0.7};   // assumed, not measured
    input.running_fraction = 0.4;
    input.air = air;
    input.limits.least_airflow = 1.0 * m3_per_s;
    input.horizon = 30000 * h;
    const ServicePrices prices{
        .change = {.filters = 24 * money, .labour = 15 * money, .disposal = 2 * money},
        .electricity = price_of_the_hours(),
        .annual_volume = 1.3 * 3504 * 3600 * m3,   // 1.3 m3/s for 3504 hours, whatever the fan does
        .carbon = 280 * g_per_kWh};
    std::printf("electricity in the hours in which the fan runs: %.4f per kWh\n\n", prices.electricity / money_per_kWh);

    const ChangeInterval fixed = find_change_interval(input, prices);
    report("fixed speed", input, prices, fixed);
    FilterLifeInput limited = input;
    limited.limits.least_airflow = 1.2 * m3_per_s;
    report("fixed speed, at least 1.2 m3/s", limited, prices, find_change_interval(limited, prices));
    FilterLifeInput free = input;
    free.limits.least_airflow.reset();
    free.stages[0].greatest_age.reset();
    free.horizon = 2.0 * *fixed.interval;
    std::printf("fixed speed, counted by the hour: %s\n",
                find_change_interval(free, prices, ServiceBasis::running_time).text.c_str());
    FilterLifeInput held = input;
    held.fan = flow_holding_fan(
        table_of({{1.3, 100, 310}, {1.3, 250, 640}, {1.3, 400, 1010}, {1.3, 550, 1400}, {1.1, 620, 1430}}));
    report("holding airflow", held, prices, find_change_interval(held, prices));

    // What a finer filter does to the fan's power, by kind of control.
    const auto change_of_power = [&](const Fan& fan) {   // from 25 to 60 Pa of filter at 1.3 m3/s
        const auto power = [&](double drop) {
            const ElementCurve filter{drop / 1.3 * Pa_s_per_m3, 0 * Pa_s2_per_m6, air};
            return *counterfactual_power(fan, FilterInSystem{in_series(input.ducts, filter), input.ducts}, air)
                        .with_filter.power /
                   W;
        };
        return 100.0 * (power(60.0) / power(25.0) - 1.0);
    };
    std::printf(
        "power with a filter of 60 Pa instead of 25 Pa: fixed speed %+.1f %%, holding airflow %+.1f %%\n"
        "  measured on rooftop units with a finer filter (Zaatari and others 2014): -8 to -13 %% without speed "
        "control, +11 to +18 %% with it\n  (their pressures are not known: compare the signs; less power is no "
        "saving, as less air flows)\n\n",
        change_of_power(input.fan), change_of_power(held.fan));

    FilterLifeInput deep = input;
    deep.stages[0].clean = {32 * Pa_s_per_m3, 12 * Pa_s2_per_m6, air};
    deep.stages[0].area = 9.5 * m2;
    ServicePrices of_deep = prices;
    of_deep.change.filters = 88 * money;
    of_deep.change.disposal = 4 * money;
    const ChangeInterval seldom = find_change_interval(deep, of_deep);
    over_years("shallow filter", fixed, input, input.ducts);
    over_years("deep filter", seldom, deep, deep.ducts);

    for (const FilterLifeInput* of : {&input, &held}) {
        FilterLifeInput whole = *of;
        whole.limits.least_airflow.reset();
        whole.stages[0].greatest_age.reset();
        const ChangeInterval curve = find_change_interval(whole, prices);
        std::printf("\n\n# %s: hours between changes, cost of 1000 m3 on average, of the next 1000 m3\n",
                    of == &input ? "fixed speed" : "holding airflow");
        for (double hours = 400; hours <= 4000; hours += 100) {
            FilterLifeInput part = whole;
            part.horizon = hours * h;
            const LifeMoment at = filter_life(part).moments.back();
            if (at.time < part.horizon) break;   // the fan's table ends
            const MoneyPerVolume next = *at.power / at.flow * prices.electricity;
            std::printf("%5.0f %7.4f %7.4f\n", hours,
                        service_cost(cycle_until(at), prices).per_volume / money_per_1000_m3, next / money_per_1000_m3);
        }
        std::printf("\n\n# its optimum, then its limits: hours, cost of 1000 m3 then\n");
        std::printf("%5.0f %7.4f\n", *curve.interval / h, curve.cost->per_volume / money_per_1000_m3);
        for (const ChangeLimit& limit : change_limits(*of)) {
            std::printf("%5.0f %7.4f\n", limit.time / h, 1000.0 * change_penalty(curve, prices, limit.time).average);
        }
    }
    std::printf("\n\n# years, paid until then with shallow filters and with deep ones, today's prices\n");
    for (int months = 0; months <= 48; ++months) {
        const double years = months / 12.0;
        const auto paid = [&](const ChangeInterval& c, double change) {
            const double sets = std::floor(years * c.cost->changes_per_year + 1e-9) + 1.0;
            return sets * change + years * (c.cost->annual_energy_cost / money);
        };
        std::printf("%6.3f %8.1f %8.1f\n", years, paid(fixed, 41.0), paid(seldom, 107.0));
    }
}
