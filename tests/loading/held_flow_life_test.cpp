// SPDX-License-Identifier: BSL-1.0
// Lives under a drive whose set flow is known within a tolerance: derivatives against lives at other set flows, on both
// sides of the pressure where it gives up and across it.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/held_flow.hpp>
#include <filterflow/loading/filter_life.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Invented: holds 1.0 m3/s up to 500 Pa.
FlowHoldingFan drive_of_one() {
    FanTable table{.stated_air = duct_design_air()};
    const double rows[][3] = {{1.0, 100, 250}, {1.0, 300, 560}, {1.0, 500, 900}, {0.85, 580, 960}, {0.6, 650, 980}};
    for (const auto& row : rows) table.points.push_back({row[0] * m3_per_s, row[1] * Pa, row[2] * W});
    return flow_holding_fan(table);
}

template <class T>
BasicFilterLifeInput<T> filter_behind(const Fan& fan, const T& held_flow_factor, double final_resistance) {
    BasicFilterStage<T> stage;
    stage.clean = {BasicLinearResistance<T>::from_value(T(60.0)), BasicQuadraticResistance<T>::from_value(T(20.0)),
                   duct_design_air()};
    stage.law = {LoadingForm::smooth, ReferenceArea::media, BasicMassPerArea<T>::from_value(T(0.045)),
                 BasicMassPerArea<T>::from_value(T(0.06)), BasicAreaPerMass<T>::from_value(T(60.0))};
    stage.area = BasicArea<T>::from_value(T(2.2));
    stage.efficiency.clean = T(0.7);
    stage.final_resistance = BasicPressure<T>::from_value(T(final_resistance));
    BasicFilterLifeInput<T> input{.fan = fan};
    input.fan_scale.held_flow_factor = held_flow_factor;
    input.ducts.power_laws.push_back({BasicPressure<T>::from_value(T(200.0)), BasicVolumeFlow<T>::from_value(T(1.0)),
                                      T(1.9), duct_design_air()});
    input.stages = {stage};
    input.dust = {BasicMassConcentration<T>::from_value(T(8e-8)), T(0.8)};
    input.air = air_as<T>(duct_design_air());
    input.horizon = BasicTime<T>::from_value(T(40.0 * 8760 * 3600));
    return input;
}

}   // namespace

TEST_CASE("a life that ends with a drive's table has its derivatives, wherever the last step ends", "[own][loading]") {
    using D = Dual<1>;
    const FlowHoldingFan fan = drive_of_one();
    for (std::size_t i = 0; i < std::max<std::size_t>(60, test::sweep_length(200)); ++i) {
        const double factor = 0.9 + 0.001 * static_cast<double>(i % 200), ducts = 100.0 + 1.3 * static_cast<double>(i);
        auto plain = filter_behind<double>(with_held_flow(fan, factor), 1.0, 1e5);
        auto dual = filter_behind<D>(with_held_flow(fan, factor), D::input(1.0, 0), 1e5);
        plain.ducts.power_laws[0].reference_pressure = ducts * Pa;
        dual.ducts.power_laws[0].reference_pressure = BasicPressure<D>::from_value(D(ducts));
        const FilterLife a = filter_life(plain);
        const auto b = filter_life(dual);
        CAPTURE(factor, ducts);
        REQUIRE(a.end == LifeEnd::fan_table_end);
        REQUIRE(b.end == LifeEnd::fan_table_end);
        CHECK(a.derivatives_known);
        CHECK(b.derivatives_known);
        CHECK(b.time.value().value == Approx(a.time.value()).epsilon(1e-6));
        CHECK(b.time.value().derivative[0] <= 0.0);   // zero where it has given up from the start
    }
}

TEST_CASE("a life's derivative to the held flow is that of lives at other set flows", "[own][loading]") {
    using D = Dual<1>;
    const FlowHoldingFan fan = drive_of_one();
    // Ends while the flow is held; soon after the drive has given up; long after.
    for (const auto& [final_resistance, gave_up] : {std::pair(230.0, false), {330.0, true}, {430.0, true}}) {
        const double step = 1e-4;   // the limit begins flat: wider differences see less of it
        const auto at = [&, dp = final_resistance](double factor) {
            return filter_life(filter_behind<double>(with_held_flow(fan, factor), 1.0, dp));
        };
        const FilterLife up = at(1.0 + step), down = at(1.0 - step), plain = at(1.0);
        const auto dual = filter_life(filter_behind<D>(fan, D::input(1.0, 0), final_resistance));
        CAPTURE(final_resistance, plain.moments.back().flow.value());
        REQUIRE(plain.end == LifeEnd::final_resistance);
        CHECK((plain.moments.back().flow < fan.held_flow()) == gave_up);
        const auto compare = [&](double derivative, double above, double below, double here) {
            CHECK(derivative == Approx((above - below) / (2.0 * step)).epsilon(2e-3).margin(1e-4 * here));
        };
        CHECK(dual.time.value().value == Approx(plain.time.value()).epsilon(1e-7));
        compare(dual.time.value().derivative[0], up.time.value(), down.time.value(), plain.time.value());
        const auto& end = dual.moments.back();
        const LifeMoment &a = up.moments.back(), &b = down.moments.back(), &c = plain.moments.back();
        compare(end.delivered.value().derivative[0], a.delivered.value(), b.delivered.value(), c.delivered.value());
        compare(end.fan_energy->value().derivative[0], a.fan_energy->value(), b.fan_energy->value(),
                c.fan_energy->value());
        compare(end.flow.value().derivative[0], a.flow.value(), b.flow.value(), c.flow.value());
    }
    // By dose alone: more air, less time, in proportion at least.
    const auto dual = filter_life(filter_behind<D>(fan, D::input(1.0, 0), 230.0));
    CHECK(dual.time.value().derivative[0] < -dual.time.value().value);
    CHECK_THROWS_WITH(filter_life(filter_behind<double>(fan, 1.05, 230.0)), Contains("held_flow_factor = 1.05"));
}
