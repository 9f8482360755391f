// SPDX-License-Identifier: BSL-1.0
// Systems: the sum of their parts, each in the air at hand; bounds that the search for crossings rests on.

#include <cmath>
#include <random>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/crossings.hpp>
#include <filterflow/airflow/system.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

const ElementCurve filter{80 * Pa_s_per_m3, 40 * Pa_s2_per_m6, duct_design_air()};

SystemCurve everything() {
    SystemCurve system = system_from_design_point(
        {.flow = 0.8 * m3_per_s, .pressure = 90 * Pa, .exponent = 1.8, .air = fan_table_air()});
    system.constant_pressure = 12 * Pa;
    return in_series(system, filter, BypassedElement{filter, 5 * cm2, 0.6},
                     DuctSegment{.length = 15 * m, .diameter = 0.4 * m, .loss_coefficient = 1.2},
                     DuctSegment{.length = 8 * m, .width = 0.5 * m, .height = 0.2 * m, .loss_coefficient = -0.1});
}

}   // namespace

TEST_CASE("a system is the sum of its parts", "[own]") {
    const AirState air = moist_air({.temperature = from_celsius(30), .pressure = 90000 * Pa, .relative_humidity = 0.5});
    const SystemCurve system = everything();
    for (const double q : {0.0, 0.02, 0.3, 1.1}) {
        const VolumeFlow flow = q * m3_per_s;
        // A power law of exponent n scales with rho^(n-1) mu^(2-n).
        const double scale = std::pow(air.density / fan_table_air().density, 0.8) *
                             std::pow(air.viscosity / fan_table_air().viscosity, 0.2);
        const Pressure sum = 12 * Pa + 90 * std::pow(q / 0.8, 1.8) * scale * Pa + pressure_drop(filter, flow, air) +
                             pressure_drop(system.bypassed_elements[0], flow, air) +
                             pressure_drop(system.ducts[0], flow, air) + pressure_drop(system.ducts[1], flow, air);
        CHECK(pressure_drop(system, flow, air) / Pa == Approx(sum / Pa).epsilon(1e-14));
    }
    const SystemCurve twice = in_series(system, system);
    CHECK(pressure_drop(twice, 0.5 * m3_per_s, air) / Pa ==
          Approx(2 * pressure_drop(system, 0.5 * m3_per_s, air).value()).epsilon(1e-14));
    CHECK(pressure_drop(SystemCurve{}, 0.5 * m3_per_s, air) / Pa == 0.0);
}

TEST_CASE("a design point is met in its own air, and exponents one and two scale as viscous and turbulent flow",
          "[own]") {
    AirState other = fan_table_air();
    other.density *= 0.9;
    other.viscosity *= 1.1;
    for (const auto& [n, factor] : {std::pair(1.0, 1.1), std::pair(2.0, 0.9), std::pair(1.5, std::sqrt(0.9 * 1.1))}) {
        const SystemCurve system = system_from_design_point(
            {.flow = 2 * m3_per_s, .pressure = 50 * Pa, .exponent = n, .air = fan_table_air()});
        CHECK(pressure_drop(system, 2 * m3_per_s, fan_table_air()) / Pa == Approx(50.0).epsilon(1e-15));
        CHECK(pressure_drop(system, 1 * m3_per_s, fan_table_air()) / Pa ==
              Approx(50.0 / std::pow(2.0, n)).epsilon(1e-14));
        CHECK(pressure_drop(system, 2 * m3_per_s, other) / Pa == Approx(50.0 * factor).epsilon(1e-14));
    }
}

TEST_CASE("a system carries derivatives to all of its parts", "[own]") {
    using D = Dual<3>;
    BasicSystemCurve<D> system = system_from_design_point(
        BasicDesignPoint<D>{BasicVolumeFlow<D>::from_value(D(0.8)), BasicPressure<D>::from_value(D::input(90, 0)),
                            D::input(1.8, 1), fan_table_air()});
    const D drop =
        pressure_drop(system, BasicVolumeFlow<D>::from_value(D::input(0.5, 2)), air_as<D>(duct_design_air())).value();
    const auto at = [](double p, double n, double q) {
        return pressure_drop(system_from_design_point(
                                 {.flow = 0.8 * m3_per_s, .pressure = p * Pa, .exponent = n, .air = fan_table_air()}),
                             q * m3_per_s, duct_design_air())
            .value();
    };
    const double step = 1e-6;
    CHECK(drop.derivative[0] == Approx((at(90 + step, 1.8, 0.5) - at(90 - step, 1.8, 0.5)) / (2 * step)).epsilon(1e-7));
    CHECK(drop.derivative[1] == Approx((at(90, 1.8 + step, 0.5) - at(90, 1.8 - step, 0.5)) / (2 * step)).epsilon(1e-7));
    CHECK(drop.derivative[2] == Approx((at(90, 1.8, 0.5 + step) - at(90, 1.8, 0.5 - step)) / (2 * step)).epsilon(1e-7));
}

TEST_CASE("slopes and bounds of a system hold", "[own]") {
    // What the isolation of crossings rests on: value and slope between two flows lie within the bounds.
    const AirState air = duct_design_air();
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> decade(-4.0, 0.5), unit(0.0, 1.0);
    const SystemCurve system = everything();
    for (std::size_t i = 0; i < test::sweep_length(1500); ++i) {
        const double from = std::pow(10.0, decade(random));
        const double to = from * (1.0 + std::pow(10.0, decade(random)));
        const auto bounds = detail::system_bounds(system, from, to, air);
        for (int k = 0; k < 20; ++k) {
            const double q = from + (to - from) * unit(random);
            const auto p = detail::system_with_slope(system, q, air);
            REQUIRE(p.value >= bounds.value.low * (1 - 1e-13));
            REQUIRE(p.value <= bounds.value.high * (1 + 1e-13));
            REQUIRE(p.slope >= bounds.slope.low - 1e-12 * std::abs(bounds.slope.low));
            REQUIRE(p.slope <= bounds.slope.high + 1e-12 * std::abs(bounds.slope.high));
        }
        const double step = 1e-5 * from;
        const double slope = (detail::system_pressure_drop(system, from + step, air) -
                              detail::system_pressure_drop(system, from - step, air)) /
                             (2 * step);
        CHECK(detail::system_with_slope(system, from, air).slope == Approx(slope).epsilon(2e-4));
    }
    // A cubic's bounds from its Bernstein coefficients.
    for (int i = 0; i < 500; ++i) {
        const CubicSegment c{unit(random) - 0.5, unit(random) - 0.5, unit(random) - 0.5, unit(random) - 0.5};
        const double from = unit(random), to = from + unit(random);
        const auto b = detail::cubic_bounds(c, from, to);
        for (double t = from; t <= to; t += 0.05 * (to - from)) {
            REQUIRE(detail::cubic_value(c, t) >= b.value.low - 1e-14);
            REQUIRE(detail::cubic_value(c, t) <= b.value.high + 1e-14);
            REQUIRE(detail::cubic_slope(c, t) >= b.slope.low - 1e-14);
            REQUIRE(detail::cubic_slope(c, t) <= b.slope.high + 1e-14);
        }
    }
}

TEST_CASE("systems refuse parts that are none", "[own]") {
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.5 * m3_per_s;
    CHECK_THROWS_WITH(system_from_design_point({.flow = 0 * m3_per_s, .pressure = 9 * Pa, .air = air}),
                      Contains("reference_flow = 0 m3/s"));
    CHECK_THROWS_AS(system_from_design_point({.flow = flow, .pressure = -9 * Pa, .air = air}), DomainError);
    CHECK_THROWS_WITH(system_from_design_point({.flow = flow, .pressure = 9 * Pa, .exponent = 0.5, .air = air}),
                      Contains("exponent = 0.5"));
    CHECK_THROWS_AS(system_from_design_point({.flow = flow, .pressure = 9 * Pa}), DomainError);
    CHECK_THROWS_WITH(pressure_drop(everything(), -1 * m3_per_s, air), Contains("flow = -1 m3/s"));
    CHECK_THROWS_AS(pressure_drop(everything(), flow, AirState{}), DomainError);
    SystemCurve bad = everything();
    bad.elements[0].linear = -1 * Pa_s_per_m3;
    CHECK_THROWS_WITH(pressure_drop(bad, flow, air),
                      Contains("part of the resistance in proportion to flow = -1 Pa s/m3"));
    bad = everything();
    bad.power_laws[0].stated_air = AirState{};
    CHECK_THROWS_AS(pressure_drop(bad, flow, air), DomainError);
    bad = everything();
    bad.constant_pressure = std::nan("") * Pa;
    CHECK_THROWS_AS(pressure_drop(bad, flow, air), DomainError);
}
