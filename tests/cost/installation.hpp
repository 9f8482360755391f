// SPDX-License-Identifier: BSL-1.0
#pragma once

// One stage before a fan at fixed speed or one that holds its airflow, and prices, for the tests of this room.
// All invented.

#include <array>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/fan.hpp>
#include <filterflow/airflow/flow_holding_fan.hpp>
#include <filterflow/cost/least_average.hpp>
#include <filterflow/cost/service_cost.hpp>
#include <filterflow/loading/filter_life.hpp>

namespace filterflow::test {

using namespace filterflow::units;

inline const AirState standard = duct_design_air();

inline FanCurve fixed_fan() {
    FanTable table;
    const double rows[][3] = {{0.3, 520, 610}, {0.6, 505, 690}, {0.9, 470, 780},
                              {1.2, 390, 850}, {1.5, 260, 880}, {1.9, 60, 860}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    table.stated_air = standard;
    return fan_curve(table);
}

/// Holds 1.0 m3/s; its power is the air's over 0.5, so that closed forms apply.
inline FlowHoldingFan ideal_fan() {
    FanTable table;
    for (const double p : {1.0, 1000.0, 2000.0}) table.points.push_back({1.0 * m3_per_s, p * Pa, 2.0 * p * W});
    table.stated_air = standard;
    return flow_holding_fan(table);
}

template <class T>
BasicFilterLifeInput<T> installation(const Fan& fan, const std::array<T, 4>& v, LoadingForm form) {
    BasicFilterStage<T> s;
    s.clean = {BasicLinearResistance<T>::from_value(v[0]), BasicQuadraticResistance<T>::from_value(T(0.0)), standard};
    s.law = {
        form, ReferenceArea::media, BasicMassPerArea<T>::from_value(v[1]), BasicMassPerArea<T>::from_value(T(0.0)), {}};
    s.area = BasicArea<T>::from_value(T(2.0));
    s.efficiency.clean = T(0.8);
    BasicFilterLifeInput<T> input{.fan = fan};
    input.ducts.power_laws.push_back(
        {BasicPressure<T>::from_value(T(140.0)), BasicVolumeFlow<T>::from_value(T(1.0)), T(2.0), standard});
    input.stages = {s};
    input.dust = {BasicMassConcentration<T>::from_value(v[2]), T(1.0)};
    input.running_fraction = T(0.5);
    input.air = air_as<T>(standard);
    input.horizon = BasicTime<T>::from_value(T(5.0 * 8760 * 3600));
    return input;
}
inline const std::array<double, 4> usual{80.0, 0.1, 6e-8, 70.0};

template <class T>
BasicServicePrices<T> prices_of(const T& change) {
    return {.change = {BasicMoney<T>::from_value(T(change * T(0.6))), BasicMoney<T>::from_value(T(change * T(0.3))),
                       BasicMoney<T>::from_value(T(change * T(0.1)))},
            .electricity = BasicEnergyPrice<T>::from_value(T(0.2 / 3.6e6)),
            .annual_volume = BasicVolume<T>::from_value(T(4380.0 * 3600.0))};
}

/// What that installation costs in closed form, before ideal_fan() at usual values and prices_of(120): ducts and clean
/// filter 220 Pa at 1 m3/s, and the medium's 80 Pa grow by dust caught per area and scale.
inline LinearGrowthCost line_cost() {
    return {.change = 120 * money,
            .electricity = 0.2 * money_per_kWh,
            .flow = 1.0 * m3_per_s,
            .overall_efficiency = 0.5,
            .first_drop = 220 * Pa,
            .rise = Pressure::from_value(80.0 * 0.8 * 6e-8 / 2.0 / 0.1),
            .rise_time = 1 * s};
}

}   // namespace filterflow::test
