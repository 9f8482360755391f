// SPDX-License-Identifier: BSL-1.0
#pragma once

// Invented installations for tests of lives: a fan at fixed speed or one that holds its flow, ducts, one stage with any
// growth law, with and without a gap, limits of every kind.

#include <random>
#include <vector>

#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/dual.hpp>

namespace filterflow::test {

using namespace filterflow::units;

inline FanTable falling_table() {
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = duct_design_air();
    return table;
}

inline FanTable holding_table() {
    FanTable table;
    const double rows[][3] = {{1.0, 60, 190}, {1.0, 300, 560}, {1.0, 500, 900}, {0.7, 650, 980}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = duct_design_air();
    return table;
}

inline FilterLifeInput random_installation(std::mt19937_64& random) {
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    const auto between = [&](double a, double b) { return a + (b - a) * uniform(random); };
    const bool holds = uniform(random) < 0.3;
    FilterLifeInput input{.fan = holds ? Fan(flow_holding_fan(holding_table())) : Fan(fan_curve(falling_table()))};
    input.fan_scale = {between(0.95, 1.1), between(0.9, 1.1)};
    const AirState air = duct_design_air();
    input.ducts.power_laws.push_back(
        {between(100, 170) * Pa, 1 * m3_per_s, uniform(random) < 0.5 ? 2.0 : between(1.6, 2.0), air});
    FilterStage stage;
    stage.clean = {between(40, 90) * Pa_s_per_m3, between(0, 25) * Pa_s2_per_m6, air};
    stage.law.form = static_cast<LoadingForm>(random() % 6);
    stage.law.growth_scale = between(40, 90) * g_per_m2;
    stage.law.transition = between(0, 90) * g_per_m2;
    stage.law.cake_slope = between(0.02, 0.08) * m2_per_g;
    stage.law.curvature = between(10, 400) * m4_per_kg2;
    stage.law.surface_growth = between(0.005, 0.03) * m2_per_g;
    stage.law.length_growth = between(0.0, 0.05) * m2_per_g;
    stage.area = between(1.0, 4.0) * m2;
    stage.efficiency = {between(0.3, 0.8), between(0.0, 0.2), between(10, 60) * g_per_m2};
    if (uniform(random) < 0.4) stage.gap_area = between(5, 60) * cm2;
    if (uniform(random) < 0.4) {
        input.dust.classes = {{{0 * um, 1 * um, false}, 0.3}, {sizes_above(1 * um), 0.7}};
        for (int i = 0; i < 2; ++i) {
            stage.by_size.push_back({between(0.1, 1.5), uniform(random) < 0.5 ? 0.0 : between(0.2, 1.5),
                                     between(0.0, 10.0) * m2_per_kg, between(5, 40) * g_per_m2});
        }
    }
    input.stages = {stage};
    input.dust.concentration = between(30, 120) * ug_per_m3;
    input.dust.equivalence = between(0.5, 1.2);
    input.running_fraction = between(0.2, 1.0);
    input.air = air;
    input.horizon = 40 * year;
    switch (random() % 7) {
        case 0:
            input.stages[0].final_resistance = between(200, 260) * Pa;
            break;
        case 1:
            input.limits.least_airflow = between(0.75, 0.95) * m3_per_s;
            break;
        case 2:
            input.limits.greatest_external_static_pressure = between(430, 460) * Pa;
            break;
        case 3:
            input.limits.greatest_power = between(900, 960) * W;
            break;
        case 4:
            input.stages[0].greatest_age = between(0.02, 0.1) * year;
            break;
        case 5:
            input.horizon = between(50, 400) * h;
            break;
        default:
            break;   // the fan's table ends
    }
    return input;
}

/// The same with dual numbers, no input of which carries a derivative.
inline BasicFilterLifeInput<Dual<1>> as_dual(const FilterLifeInput& input) {
    using D = Dual<1>;
    const auto as = [](const auto& q) {
        using Q = std::remove_cvref_t<decltype(q)>;
        return boost::units::quantity<typename Q::unit_type, D>::from_value(D(q.value()));
    };
    const auto optional_as = [&]<class Q>(const std::optional<Q>& q) {
        return q ? std::optional(as(*q)) : std::nullopt;
    };
    BasicFilterLifeInput<D> dual{.fan = input.fan};
    dual.fan_scale = {D(input.fan_scale.pressure_factor), D(input.fan_scale.power_factor)};
    dual.ducts.constant_pressure = as(input.ducts.constant_pressure);
    for (const auto& part : input.ducts.power_laws) {
        dual.ducts.power_laws.push_back(
            {as(part.reference_pressure), as(part.reference_flow), D(part.exponent), part.stated_air});
    }
    for (const auto& stage : input.stages) {
        BasicFilterStage<D> s;
        s.clean = {as(stage.clean.linear), as(stage.clean.quadratic), stage.clean.stated_air};
        s.law = {stage.law.form,
                 stage.law.reference,
                 as(stage.law.growth_scale),
                 as(stage.law.transition),
                 as(stage.law.cake_slope),
                 as(stage.law.curvature),
                 as(stage.law.surface_growth),
                 as(stage.law.length_growth)};
        s.area = as(stage.area);
        s.efficiency = {D(stage.efficiency.clean), D(stage.efficiency.gain), as(stage.efficiency.gain_scale)};
        s.gap_area = as(stage.gap_area);
        s.discharge_coefficient = D(stage.discharge_coefficient);
        s.final_resistance = optional_as(stage.final_resistance);
        s.greatest_age = optional_as(stage.greatest_age);
        s.greatest_known = stage.greatest_known;
        for (const auto& law : stage.by_size) {
            s.by_size.push_back({D(law.mechanical), D(law.charge), as(law.gain), as(law.charge_scale)});
        }
        dual.stages.push_back(s);
    }
    dual.dust = {as(input.dust.concentration), D(input.dust.equivalence), input.dust.classes};
    dual.running_fraction = D(input.running_fraction);
    dual.air = air_as<D>(input.air);
    dual.limits = {optional_as(input.limits.least_airflow), optional_as(input.limits.greatest_external_static_pressure),
                   optional_as(input.limits.greatest_power)};
    dual.horizon = as(input.horizon);
    return dual;
}

}   // namespace filterflow::test
