// SPDX-License-Identifier: BSL-1.0
// Derivatives of operating points: the implicit function theorem against central differences.

#include <array>
#include <cmath>
#include <functional>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

constexpr std::size_t count = 11;
using D = Dual<count>;

/// Everything that may be uncertain: constant, power law (pressure, exponent), element (r, s), gap, duct (length,
/// loss), density, pressure and power factor.
struct Inputs {
    std::array<double, count> x{8.0, 60.0, 1.85, 70.0, 30.0, 4e-4, 12.0, 1.5, 1.15, 1.02, 0.97};
};

template <class T>
struct Case {
    BasicSystemCurve<T> system;
    BasicAirState<T> air;
    BasicFanScale<T> fan_scale;
};

template <class T>
Case<T> case_of(const std::array<T, count>& x, double level) {
    Case<T> c;
    c.air = air_as<T>(fan_table_air());
    c.air.density = BasicDensity<T>::from_value(x[8]);
    c.system.constant_pressure = BasicPressure<T>::from_value(x[0]);
    c.system.power_laws.push_back(
        {BasicPressure<T>::from_value(T(level) * x[1]), BasicVolumeFlow<T>::from_value(T(0.5)), x[2], fan_table_air()});
    const BasicElementCurve<T> element{BasicLinearResistance<T>::from_value(x[3]),
                                       BasicQuadraticResistance<T>::from_value(x[4]), duct_design_air()};
    c.system.elements.push_back(element);
    c.system.bypassed_elements.push_back({element, BasicArea<T>::from_value(x[5]), T(0.6)});
    BasicDuctSegment<T> duct;
    duct.length = BasicLength<T>::from_value(x[6]);
    duct.diameter = BasicLength<T>::from_value(T(0.35));
    duct.loss_coefficient = x[7];
    c.system.ducts.push_back(duct);
    c.fan_scale = {x[9], x[10]};
    return c;
}

std::array<double, 3> solve(const Fan& fan, const std::array<double, count>& x, double level) {
    const Case<double> c = case_of(x, level);
    const OperatingState state = operating_state(fan, c.system, c.air, c.fan_scale);
    return {state.flow.value(), state.pressure.value(), state.power->value()};
}

void compare(const Fan& fan, double level) {
    const Inputs in;
    std::array<D, count> x;
    for (std::size_t i = 0; i < count; ++i) x[i] = D::input(in.x[i], i);
    const Case<D> c = case_of(x, level);
    const auto state = operating_state(fan, c.system, c.air, c.fan_scale);
    const std::array<D, 3> ours{state.flow.value(), state.pressure.value(), state.power->value()};
    const auto values = solve(fan, in.x, level);
    for (std::size_t k = 0; k < 3; ++k) CHECK(ours[k].value == Approx(values[k]).epsilon(1e-14));
    for (std::size_t i = 0; i < count; ++i) {
        auto up = in.x, down = in.x;
        const double step = 1e-5 * in.x[i];
        up[i] += step;
        down[i] -= step;
        const auto a = solve(fan, up, level), b = solve(fan, down, level);
        for (std::size_t k = 0; k < 3; ++k) {
            CAPTURE(i, k, level);
            CHECK(ours[k].derivative[i] ==
                  Approx((a[k] - b[k]) / (2 * step)).epsilon(1e-6).margin(1e-8 * std::abs(values[k] / in.x[i])));
        }
    }
}

}   // namespace

TEST_CASE("derivatives of a fixed-speed fan's operating point", "[own]") {
    compare(fan_curve(test::reference_fan_table("FC_PSC_synthetic")), 1.0);
    compare(fan_curve(test::reference_fan_table("FC_PSC_synthetic")), 0.6);
}

TEST_CASE("derivatives of a flow-holding fan's operating point, held and given up", "[own]") {
    const FlowHoldingFan fan = flow_holding_fan(test::reference_fan_table("FC_CA_synthetic"));
    const Inputs in;
    const Case<double> low = case_of(in.x, 0.3), high = case_of(in.x, 0.9);
    REQUIRE(operating_flow(fan, low.system, low.air).status == OperatingStatus::flow_held);
    REQUIRE(detail::find_operating_state(fan, high.system, high.air, high.fan_scale).status ==
            OperatingStatus::fan_gave_up);
    compare(fan, 0.3);
    compare(fan, 0.9);
}

TEST_CASE("the derivatives hold for the fast and the general way alike", "[own]") {
    using E = Dual<2>;
    const FanCurve fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const auto solve_with = [&](const E& exponent) {
        BasicSystemCurve<E> system;
        system.power_laws.push_back({BasicPressure<E>::from_value(E::input(100.0, 0)),
                                     BasicVolumeFlow<E>::from_value(E(0.5)), exponent, fan_table_air()});
        return operating_state(fan, system, air_as<E>(fan_table_air())).flow.value();
    };
    const E exact = solve_with(E::input(2.0, 1)), near = solve_with(E::input(2.0 + 1e-9, 1));
    CHECK(exact.value == Approx(near.value).epsilon(1e-8));
    CHECK(exact.derivative[0] == Approx(near.derivative[0]).epsilon(1e-7));
    CHECK(exact.derivative[1] == Approx(near.derivative[1]).epsilon(1e-6));
}

TEST_CASE("no operating point, no state", "[own]") {
    const Fan fan = fan_curve(test::reference_fan_table("FC_PSC_synthetic"));
    const AirState air = fan_table_air();
    const SystemCurve open = system_from_design_point({.flow = 1 * m3_per_s, .pressure = 1 * Pa, .air = air});
    CHECK_THROWS_AS(operating_state(fan, open, air), NoSolution);
    CHECK_THROWS_WITH(operating_state(fan, open, air), Contains("more flow than the fan table has"));
    CHECK_FALSE(detail::find_operating_state(fan, open, air, FanScale{}).state);
    const SystemCurve good = system_from_design_point({.flow = 1 * m3_per_s, .pressure = 450 * Pa, .air = air});
    CHECK_THROWS_AS(operating_state(fan, good, air, FanScale{.pressure_factor = 0.0}), DomainError);
    CHECK_THROWS_AS(operating_state(fan, good, AirState{}), DomainError);
    // A table without power gives a state without.
    CHECK_FALSE(operating_state(fan_curve(test::reference_fan_table("dip_normalised")),
                                system_from_design_point({.flow = 1 * m3_per_s, .pressure = 1 * Pa, .air = air}), air)
                    .power);
}
