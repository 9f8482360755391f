// SPDX-License-Identifier: BSL-1.0
// A drive that is set to another flow: against a wheel on a motor that holds it, derivatives, refusals.

#include <algorithm>
#include <cmath>
#include <optional>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/constant_airflow_motor.hpp>
#include <filterflow/airflow/held_flow.hpp>
#include <filterflow/airflow/operating_state.hpp>
#include <filterflow/numeric/dual.hpp>

#include "airflow/airflow_fans.hpp"
#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented: holds 1.0 m3/s up to 500 Pa.
FlowHoldingFan drive(HeldFlow holds = HeldFlow::volume) {
    FanTable table{.stated_air = fan_table_air()};
    const double rows[][3] = {{1.0, 50, 190}, {1.0, 200, 400}, {1.0, 500, 950}, {0.9, 560, 980}, {0.6, 640, 900}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    return flow_holding_fan(table, 0.01, holds);
}

/// A system whose filter part is what a case makes of it.
SystemCurve against(double pressure_at_one) {
    SystemCurve system;
    system.power_laws.push_back({pressure_at_one * Pa, 1.0 * m3_per_s, 1.8, fan_table_air()});
    return system;
}

}   // namespace

TEST_CASE("a drive set to another flow keeps its limit", "[own]") {
    const FlowHoldingFan fan = drive();
    const MonotoneCubic& before = fan.flow_curve();
    for (const double factor : {0.55, 0.8, 0.93, 0.999, 1.0, 1.001, 1.05, 1.4}) {
        const FlowHoldingFan other = with_held_flow(fan, factor);
        CAPTURE(factor);
        CHECK(other.held_flow().value() == Approx(factor).epsilon(1e-15));
        CHECK(other.least_pressure() == fan.least_pressure());
        CHECK(other.greatest_pressure() == fan.greatest_pressure());
        const double gives_up = other.give_up_pressure().value();
        if (factor < 0.6) {
            CHECK_FALSE(other.limit_is_known());   // below the last row's flow: it holds throughout
            CHECK(gives_up == 640.0);
        } else {
            CHECK(other.limit_is_known());
        }
        for (double p = 50.0; p <= 640.0; p += 0.5) {
            const double q = other.flow_curve().value(p), was = before.value(p);
            if (p <= gives_up) {
                CHECK(q == Approx(factor).epsilon(1e-13));
            } else if (p >= 500.0) {
                CHECK(q == Approx(was).epsilon(1e-12));
            } else {
                CHECK(q == Approx(1.0 - 0.1 / 60.0 * (p - 500.0)).epsilon(1e-12));   // straight, as to the next row
            }
            if (factor < 1.0) CHECK(q == Approx(std::min(factor, was)).epsilon(1e-12));
            // By the fan laws while it holds; the table at the limit; between them, straight.
            const double power = other.power_curve()->value(p), square = factor * factor;
            if (p <= gives_up && p >= 50.0 * square && p <= 500.0 * square) {
                CHECK(power == Approx(std::pow(factor, 3) * fan.power_curve()->value(p / square)).epsilon(1e-12));
            }
            if (p >= 500.0 && p >= gives_up && other.limit_is_known()) {
                CHECK(power == Approx(fan.power_curve()->value(p)).epsilon(1e-12));
            }
            if (p > 50.0) CHECK(std::abs(power - other.power_curve()->value(p - 0.5)) < 20.0);   // no jumps
            CHECK(power > 0.0);
        }
    }
    CHECK(with_held_flow(fan, 1.0).flow_curve().value(530.0) == before.value(530.0));
    // At 1.4 it would give up at 260 Pa; where that lies below the table, it never holds.
    CHECK(with_held_flow(fan, 1.4).give_up_pressure() / Pa == Approx(260.0));
    FanTable short_table{.stated_air = fan_table_air()};
    for (const auto& [q, p] : {std::pair(1.0, 480.0), {1.0, 500.0}, {0.9, 560.0}}) {
        short_table.points.push_back({q * m3_per_s, p * Pa, std::nullopt});
    }
    const FlowHoldingFan never = with_held_flow(flow_holding_fan(short_table), 1.1);
    CHECK(never.give_up_pressure() / Pa == Approx(480.0));
    CHECK(never.flow_curve().value(480.0) == Approx(1.0 + 0.1 / 3.0));
    CHECK_FALSE(never.power_curve());
    // A limit beyond the table says nothing of where another flow is given up.
    short_table.points.pop_back();
    const FlowHoldingFan open = with_held_flow(flow_holding_fan(short_table), 1.1);
    CHECK_FALSE(open.limit_is_known());
    CHECK(open.flow_curve().value(490.0) == Approx(1.1));
    for (const double factor : {0.49, 1.51, -1.0, std::nan("")}) {
        CHECK_THROWS_WITH(with_held_flow(fan, factor), Contains("factor") && Contains("from 0.5 to 1.5"));
    }
}

TEST_CASE("a drive set to another flow is like its wheel on a motor set so", "[own]") {
    // The motor's model knows the wheel; the drive's only the table at one set flow. The published wheel (Fox and
    // McDonald's 36-inch fan) with an invented motor, limited by speed.
    FanTable wheel = test::reference_fan_table("centrifugal_36in_600rpm");
    wheel.kind = FanPressureKind::total;
    wheel.power_kind = FanPowerKind::shaft;
    wheel.stated_speed = 600 * rpm;
    const FanTransmission belt{.speed_ratio = 0.5, .efficiency = 0.95};
    const auto on_motor = [&](double held) {
        const ConstantAirflowMotor motor{.held = held * m3_per_s, .greatest_speed = 1300 * rpm,
                                         .greatest_power = 60 * kW, .efficiency = 0.85};
        return fan_on_constant_airflow_motor(wheel, motor, belt, fan_table_air());
    };
    const AirflowHoldingFan at_16 = on_motor(16.0);
    REQUIRE(at_16.limit == AirflowLimit::speed);
    REQUIRE(at_16.fan.limit_is_known());
    double worst_flow = 0.0, worst_held = 0.0, worst_power = 0.0, worst_held_power = 0.0,
           worst_limit = 0.0;
    for (const double factor : {0.95, 0.98, 1.02, 1.05}) {
        const FlowHoldingFan estimate = with_held_flow(at_16.fan, factor), known = on_motor(16.0 * factor).fan;
        worst_limit = std::max(worst_limit, std::abs(estimate.give_up_pressure() / known.give_up_pressure() - 1.0));
        const double least = std::max(estimate.least_pressure().value(), known.least_pressure().value());
        const double greatest = std::min(estimate.greatest_pressure().value(), known.greatest_pressure().value());
        for (int i = 0; i <= 400; ++i) {
            const double p = least + (greatest - least) * i / 400.0;
            const double off = std::abs(estimate.flow_curve().value(p) / known.flow_curve().value(p) - 1.0);
            const bool held = p <= 0.99 * std::min(estimate.give_up_pressure(), known.give_up_pressure()).value();
            (held ? worst_held : worst_flow) = std::max(held ? worst_held : worst_flow, off);
            const double off_power = std::abs(estimate.power_curve()->value(p) / known.power_curve()->value(p) - 1.0);
            double& worst = p <= 0.78 * known.give_up_pressure().value() ? worst_held_power : worst_power;
            worst = std::max(worst, off_power);
        }
    }
    CAPTURE(worst_flow, worst_held, worst_power, worst_held_power, worst_limit);
    CHECK(worst_held < 1e-12);
    CHECK(worst_flow < 0.012);   // where the one or the other table turns its corner
    CHECK(worst_limit < 0.005);
    CHECK(worst_power < 0.025);
    CHECK(worst_held_power < 0.002);
}

TEST_CASE("the derivative to the held flow is that of drives set to other flows", "[own]") {
    using D = Dual<1>;
    AirState thin = fan_table_air();
    thin.density *= 0.85;
    thin.viscosity *= 0.97;
    const D one = D::input(1.0, 0);
    const double step = 1e-4;
    for (const HeldFlow holds : {HeldFlow::volume, HeldFlow::mass}) {
        const FlowHoldingFan fan = drive(holds);
        for (const AirState& air : {fan_table_air(), thin}) {
            if (holds == HeldFlow::mass && air.density != fan.stated_air().density) continue;
            for (const double pressure : {90.0, 300.0, 430.0, 640.0, 900.0}) {
                CAPTURE(pressure, air.density.value());
                BasicSystemCurve<D> dual;
                dual.power_laws.push_back({BasicPressure<D>::from_value(D(pressure)),
                                           BasicVolumeFlow<D>::from_value(D(1.0)), D(1.8), fan_table_air()});
                const auto state =
                    operating_state(fan, dual, air_as<D>(air), BasicFanScale<D>{D(1.1), D(0.9), one});
                const auto at = [&](double factor) {
                    return operating_state(with_held_flow(fan, factor), against(pressure), air, FanScale{1.1, 0.9});
                };
                const OperatingState up = at(1.0 + step), down = at(1.0 - step);
                const auto slope = [&](double a, double b) { return (a - b) / (2.0 * step); };
                const double flow = state.flow.value().derivative[0];
                CHECK(flow == Approx(slope(up.flow.value(), down.flow.value())).epsilon(1e-6).margin(1e-9));
                CHECK(state.pressure.value().derivative[0] ==
                      Approx(slope(up.pressure.value(), down.pressure.value())).epsilon(1e-5).margin(1e-5));
                CHECK(state.power->value().derivative[0] ==
                      Approx(slope(up.power->value(), down.power->value())).epsilon(1e-5).margin(1e-5));
                const OperatingState plain = operating_state(fan, against(pressure), air, FanScale{1.1, 0.9});
                CHECK(plain.flow.value() == state.flow.value().value);
                const double share = pressure < 600.0 ? 1.0 : 0.0;   // held, or at the limit
                CHECK(flow == Approx(share * plain.flow.value()).epsilon(1e-12).margin(1e-12));
            }
        }
    }
    CHECK_THROWS_WITH(operating_state(drive(), against(300.0), fan_table_air(), FanScale{1.0, 1.0, 1.02}),
                      Contains("held_flow_factor = 1.02") && Contains("with_held_flow"));
}
