// SPDX-License-Identifier: BSL-1.0
// Wheels on motors: the speed at each point against the balance of torque it has to meet, limits, air, derivatives.

#include <algorithm>
#include <cmath>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/constant_airflow_motor.hpp>
#include <filterflow/airflow/driven_fan.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// A published wheel (Fox and McDonald's 36-inch fan) with invented motors.
FanTable published_wheel() {
    FanTable table = test::reference_fan_table("centrifugal_36in_600rpm");
    table.kind = FanPressureKind::total;
    table.power_kind = FanPowerKind::shaft;
    table.stated_speed = 600 * rpm;
    return table;
}
const InductionMotor induction_motor{.synchronous_speed = 1200 * rpm, .rated_speed = 1140 * rpm, .rated_power = 18 * kW,
                               .rated_efficiency = 0.85, .breakdown_torque_ratio = 2.2};
const ConstantTorqueMotor torque_motor{
    .power = 15 * kW, .speed = 1100 * rpm, .greatest_speed = 1250 * rpm, .efficiency = 0.88};
const FanTransmission belt{.speed_ratio = 0.5, .efficiency = 0.95};

AirState thinner_air() {
    AirState air = fan_table_air();
    air.density *= 0.8;
    return air;
}

/// Torque of an induction motor over 2 pi by Kloss's formula in its other form.
double kloss(double slip, double tap) {
    const double rated_slip = 0.05, over = 2.2;
    const double x = slip / (rated_slip * (over + std::sqrt(over * over - 1)));
    return tap * over * 18e3 / 19.0 * 2.0 * x / (1.0 + x * x);
}

}   // namespace

TEST_CASE("a wheel on an induction motor runs where their torques meet", "[own]") {
    for (const double tap : {1.0, 0.6, 0.3}) {
        for (const AirState& air : {fan_table_air(), thinner_air()}) {
            const DrivenFan driven =
                fan_on_induction_motor(published_wheel(), induction_motor, {"tap", tap}, belt, air);
            const FanCurve base = fan_curve(published_wheel());
            REQUIRE(driven.points.size() == 25);
            for (const DrivenFanPoint& p : driven.points) {
                const double motor_speed = p.fan_speed.value() / 0.5, slip = 1.0 - motor_speed / 20.0;
                const double speedup = p.fan_speed / rpm / 600.0;
                const double fan_torque = (air.density / fan_table_air().density).value() / 0.95 *
                                          base.power_curve()->value(std::min(28.3168, p.point.flow.value() / speedup)) *
                                          std::pow(speedup, 3) / motor_speed;
                CAPTURE(tap, slip);
                CHECK(kloss(slip, tap) == Approx(fan_torque).epsilon(1e-9));
                // At every greater speed the wheel asks for more than the motor gives: it is the first to be met.
                for (int i = 0; i < 200; ++i) {
                    const double smaller = slip * (i + 0.5) / 200.5;
                    CHECK(kloss(smaller, tap) < fan_torque * std::pow((1 - smaller) / (1 - slip), 2) * (1 + 1e-12));
                }
                CHECK(p.motor_power / W == Approx(fan_torque * motor_speed).epsilon(1e-9));
                CHECK(*p.point.power / W == Approx(fan_torque * 20.0 / (0.85 / 0.95)).epsilon(1e-9));
                CHECK(p.at_limit == (slip > 0.05 * (2.2 + std::sqrt(2.2 * 2.2 - 1))));
                CHECK(p.point.pressure / Pa ==
                      Approx((air.density / fan_table_air().density).value() * speedup * speedup *
                             base.pressure_curve().value(std::min(28.3168, p.point.flow.value() / speedup)))
                          .epsilon(1e-9)
                          .margin(1e-6));
            }
            CHECK(driven.table.stated_air.density == air.density);
            CHECK(driven.table.power_kind == FanPowerKind::electric);
            CHECK_NOTHROW(fan_curve(driven.table));
        }
    }
    // Loaded with its rated power at its rated speed it runs there, and draws what its efficiency says.
    FanTable exact = published_wheel();
    for (FanPoint& p : exact.points) p.power = 18 * kW * 0.95 * std::pow(600.0 / 570.0, 3);
    const DrivenFan rated = fan_on_induction_motor(exact, induction_motor, {"high", 1.0}, belt, fan_table_air());
    CHECK(rated.points[5].fan_speed / rpm == Approx(570.0).epsilon(1e-12));
    CHECK(*rated.points[5].point.power / kW == Approx(18.0 / 0.85).epsilon(1e-12));
    // A weak tap lets the motor fall past its breakdown torque: reported.
    const DrivenFan weak =
        fan_on_induction_motor(published_wheel(), induction_motor, {"low", 0.02}, belt, fan_table_air());
    CHECK(weak.points.back().at_limit);
    CHECK_FALSE(weak.points.back().speed.inside());
}

TEST_CASE("a wheel on a motor of constant torque keeps it, up to its greatest speed", "[own]") {
    const FanCurve base = fan_curve(published_wheel());
    std::size_t limited = 0, kept = 0;
    for (const AirState& air : {fan_table_air(), thinner_air()}) {
        for (const DrivenFanPoint& p :
             fan_on_constant_torque_motor(published_wheel(), torque_motor, belt, air).points) {
            const double motor_speed = p.fan_speed / rpm / 0.5;
            CHECK(*p.point.power / W == Approx(p.motor_power / W / 0.88).epsilon(1e-14));
            if (p.at_limit) {
                CHECK(motor_speed == Approx(1250.0).epsilon(1e-14));
                CHECK(p.motor_power / W / motor_speed < 15e3 / 1100.0);
                ++limited;
            } else {
                CHECK(p.motor_power / W / motor_speed == Approx(15e3 / 1100.0).epsilon(1e-12));
                ++kept;
            }
        }
    }
    CHECK(limited > 5);
    CHECK(kept > 5);
}

TEST_CASE("a wheel on a motor that holds airflow does so until its speed or its power ends it", "[own]") {
    const ConstantAirflowMotor by_power{
        .held = 14 * m3_per_s, .greatest_speed = 2500 * rpm, .greatest_power = 17 * kW, .efficiency = 0.88};
    const ConstantAirflowMotor by_speed{
        .held = 14 * m3_per_s, .greatest_speed = 1150 * rpm, .greatest_power = 40 * kW, .efficiency = 0.88};
    for (const auto& [motor, limit] :
         {std::pair(by_power, AirflowLimit::power), std::pair(by_speed, AirflowLimit::speed)}) {
        for (const AirState& air : {fan_table_air(), thinner_air()}) {
            const AirflowHoldingFan held = fan_on_constant_airflow_motor(published_wheel(), motor, belt, air);
            CHECK(held.limit == limit);
            CHECK(held.fan.held_flow() / m3_per_s == Approx(14.0).epsilon(1e-14));
            CHECK(held.fan.holds() == HeldFlow::volume);
            double last_held = 0.0;
            for (const DrivenFanPoint& p : held.points) {
                CHECK(p.fan_speed / rpm <= motor.greatest_speed / rpm * 0.5 * (1 + 1e-12));
                CHECK(p.motor_power / W <= motor.greatest_power / W * (1 + 1e-12));
                if (p.at_limit) {
                    CHECK(p.point.flow < 14 * m3_per_s);
                    if (limit == AirflowLimit::speed) CHECK(p.fan_speed / rpm == Approx(575.0).epsilon(1e-12));
                    if (limit == AirflowLimit::power) CHECK(p.motor_power / W == Approx(17e3).epsilon(1e-12));
                } else {
                    CHECK(p.point.flow / m3_per_s == 14.0);
                    last_held = p.point.pressure / Pa;
                }
            }
            CHECK(held.fan.give_up_pressure() / Pa == Approx(last_held).epsilon(1e-14));
            // At the pressure of giving up the motor is at its limit, and holds still.
            const auto end =
                std::find_if(held.points.begin(), held.points.end(), [](const auto& p) { return p.at_limit; }) - 1;
            if (limit == AirflowLimit::speed) CHECK(end->fan_speed / rpm == Approx(575.0).epsilon(1e-12));
            if (limit == AirflowLimit::power) CHECK(end->motor_power / W == Approx(17e3).epsilon(1e-12));
        }
    }
    const ConstantAirflowMotor strong{
        .held = 6 * m3_per_s, .greatest_speed = 5000 * rpm, .greatest_power = 900 * kW, .efficiency = 0.9};
    FanTable ordinary = published_wheel();
    ordinary.points.erase(ordinary.points.begin());   // without the point at no flow, where no speed holds any
    CHECK(fan_on_constant_airflow_motor(ordinary, strong, belt, fan_table_air()).limit == AirflowLimit::none);
    CHECK_THROWS_WITH(
        fan_on_constant_airflow_motor(
            published_wheel(),
            {.held = 30 * m3_per_s, .greatest_speed = 1150 * rpm, .greatest_power = 40 * kW, .efficiency = 0.9}, belt,
            fan_table_air()),
        Contains("held volume flow = 30 m3/s") && Contains("at most 27.1"));
}

TEST_CASE("held mass is more volume in thinner air", "[own]") {
    const double mass = 16.0;
    const auto holding = [&](const AirState& air, double speed = 1150.0) {
        return fan_on_constant_airflow_motor(
            published_wheel(),
            {.held = mass * kg_per_s, .greatest_speed = speed * rpm, .greatest_power = 60 * kW, .efficiency = 0.9},
            belt, air);
    };
    const AirflowHoldingFan dense = holding(fan_table_air()), thin = holding(thinner_air());
    const double ratio = 0.8;
    CHECK(dense.fan.holds() == HeldFlow::mass);
    CHECK(thin.fan.held_flow() / m3_per_s == Approx(mass / thinner_air().density.value()).epsilon(1e-14));
    CHECK(thin.fan.give_up_pressure() < dense.fan.give_up_pressure());
    // The same point of rating: speed, pressure and volume go with one over the density, power with its square.
    CHECK(thin.points[1].fan_speed / rpm == Approx(dense.points[1].fan_speed / rpm / ratio).epsilon(1e-12));
    CHECK(thin.points[1].point.pressure / Pa == Approx(dense.points[1].point.pressure / Pa / ratio).epsilon(1e-12));
    CHECK(*thin.points[1].point.power / W == Approx(*dense.points[1].point.power / W / (ratio * ratio)).epsilon(1e-12));
    // In other air than its own it is refused, wherever it is asked.
    const SystemCurve system =
        system_from_design_point({.flow = 14 * m3_per_s, .pressure = 300 * Pa, .air = fan_table_air()});
    CHECK_THROWS_WITH(operating_point(dense.fan, system, thinner_air()), Contains("holds its mass flow"));
    CHECK_THROWS_AS(operating_flow(dense.fan, system, thinner_air()), DomainError);
    CHECK_THROWS_AS(fan_flow(dense.fan, 300 * Pa, thinner_air()), DomainError);
    CHECK_THROWS_AS(fan_power(dense.fan, 300 * Pa, thinner_air()), DomainError);

    // Derivatives to density follow the drive, held and given up: against fans made for denser and thinner air.
    using D = Dual<1>;
    for (const double pressure : {300.0, 900.0}) {
        const SystemCurve at = system_from_design_point(
            {.flow = 14 * m3_per_s, .pressure = pressure * Pa, .exponent = 1.0, .air = fan_table_air()});
        BasicSystemCurve<D> lifted;
        lifted.power_laws.push_back({BasicPressure<D>::from_value(D(pressure)), BasicVolumeFlow<D>::from_value(D(14.0)),
                                     D(1.0), fan_table_air()});
        auto air = air_as<D>(fan_table_air());
        air.density = BasicDensity<D>::from_value(D::input(fan_table_air().density.value(), 0));
        const auto state = operating_state(dense.fan, lifted, air);
        const auto near = [&](double step) {
            AirState other = fan_table_air();
            other.density += step * kg_per_m3;
            return operating_state(holding(other).fan, at, other);
        };
        const auto up = near(1e-5), down = near(-1e-5);
        CAPTURE(pressure, state.flow.value().value);
        CHECK(state.flow.value().derivative[0] == Approx((up.flow - down.flow).value() / 2e-5).epsilon(1e-4));
        CHECK(state.pressure.value().derivative[0] ==
              Approx((up.pressure - down.pressure).value() / 2e-5).epsilon(1e-4));
        CHECK(state.power->value().derivative[0] == Approx((*up.power - *down.power).value() / 2e-5).epsilon(2e-3));
    }
}

TEST_CASE("a filter added changes flow and power by the kind of motor", "[own]") {
    const AirState air = fan_table_air();
    const FanCurve induced =
        fan_curve(fan_on_induction_motor(published_wheel(), induction_motor, {"high", 1.0}, belt, air).table);
    const FanCurve constant_torque =
        fan_curve(fan_on_constant_torque_motor(published_wheel(), torque_motor, belt, air).table);
    const FlowHoldingFan holding =
        fan_on_constant_airflow_motor(
            published_wheel(),
            {.held = 14 * m3_per_s, .greatest_speed = 1300 * rpm, .greatest_power = 40 * kW, .efficiency = 0.88}, belt,
            air)
            .fan;
    const auto change = [&](const auto& fan) {
        const auto at = [&](double pressure) {
            return operating_point(
                fan, system_from_design_point({.flow = 14 * m3_per_s, .pressure = pressure * Pa, .air = air}), air);
        };
        const OperatingPoint before = at(400), after = at(480);
        return std::pair((after.flow() / before.flow()).value() - 1.0,
                         (*after.power() / *before.power()).value() - 1.0);
    };
    const auto [flow_induced, power_induced] = change(induced);
    const auto [flow_torque, power_torque] = change(constant_torque);
    const auto [flow_held, power_held] = change(holding);
    CHECK(flow_induced < flow_torque);
    CHECK(flow_torque < 0.0);
    CHECK(flow_held == Approx(0.0).margin(1e-12));
    CHECK(power_induced < 0.0);
    CHECK(power_torque > power_induced);
    CHECK(power_held > 0.05);
}

TEST_CASE("motors refuse what is not stated", "[own]") {
    const AirState air = fan_table_air();
    const SpeedTap high{"high", 1.0};
    FanTable silent = published_wheel();
    silent.power_kind = FanPowerKind::electric;
    CHECK_THROWS_WITH(fan_on_induction_motor(silent, induction_motor, high, belt, air),
                      Contains("does not state shaft powers"));
    silent = published_wheel();
    silent.stated_speed.reset();
    CHECK_THROWS_WITH(fan_on_constant_torque_motor(silent, torque_motor, belt, air), Contains("states no speed"));
    silent = published_wheel();
    for (FanPoint& p : silent.points) p.power.reset();
    CHECK_THROWS_WITH(fan_on_constant_torque_motor(silent, torque_motor, belt, air), Contains("has no power"));
    CHECK_THROWS_WITH(fan_on_induction_motor(published_wheel(), induction_motor, high, {.efficiency = 0.9}, air),
                      Contains("speed_ratio of the transmission = 0"));
    CHECK_THROWS_WITH(fan_on_induction_motor(published_wheel(), induction_motor, high, {.speed_ratio = 1.0}, air),
                      Contains("efficiency of the transmission = 0"));
    CHECK_THROWS_WITH(fan_on_induction_motor(published_wheel(), induction_motor, {}, belt, air),
                      Contains("torque_ratio of the tap = 0"));
    CHECK_THROWS_AS(fan_on_induction_motor(published_wheel(), induction_motor, {"odd", 1.1}, belt, air), DomainError);
    const auto with = [](auto motor, auto change) {
        change(motor);
        return motor;
    };
    CHECK_THROWS_WITH(
        fan_on_induction_motor(published_wheel(),
                               with(induction_motor, [](auto& changed) { changed.rated_speed = 1200 * rpm; }), high,
                               belt, air),
        Contains("below the synchronous"));
    CHECK_THROWS_WITH(
        fan_on_induction_motor(published_wheel(),
                               with(induction_motor, [](auto& changed) { changed.rated_efficiency = 0.96; }), high,
                               belt, air),
        Contains("rated over synchronous speed, 0.95"));
    CHECK_THROWS_WITH(
        fan_on_induction_motor(published_wheel(),
                               with(induction_motor, [](auto& changed) { changed.breakdown_torque_ratio = 1.0; }), high,
                               belt, air),
        Contains("breakdown_torque_ratio"));
    CHECK_THROWS_WITH(
        fan_on_constant_torque_motor(published_wheel(),
                                     with(torque_motor, [](auto& changed) { changed.efficiency = 0.0; }), belt, air),
        Contains("efficiency of the motor and controller"));
    CHECK_THROWS_WITH(
        fan_on_constant_torque_motor(
            published_wheel(), with(torque_motor, [](auto& changed) { changed.greatest_speed = 0 * rpm; }), belt, air),
        Contains("greatest_speed"));
    const ConstantAirflowMotor holding{
        .held = 14 * m3_per_s, .greatest_speed = 1300 * rpm, .greatest_power = 40 * kW, .efficiency = 0.88};
    CHECK_THROWS_WITH(
        fan_on_constant_airflow_motor(published_wheel(),
                                      with(holding, [](auto& changed) { changed.held = 0 * kg_per_s; }), belt, air),
        Contains("held mass flow = 0 kg/s"));
    CHECK_THROWS_WITH(
        fan_on_constant_airflow_motor(published_wheel(),
                                      with(holding, [](auto& changed) { changed.greatest_power = 0 * W; }), belt, air),
        Contains("greatest_power"));
    CHECK_THROWS_AS(fan_on_constant_airflow_motor(published_wheel(), holding, belt, AirState{}), DomainError);
}
