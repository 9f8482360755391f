// SPDX-License-Identifier: BSL-1.0
// Element curves: the quadratic and its inverse, the change of air, derivatives.

#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/element_curve.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {
const ElementCurve curve{90 * Pa_s_per_m3, 45 * Pa_s2_per_m6, duct_design_air()};
}

TEST_CASE("pressure drop of an element is odd and changes with the air", "[own]") {
    CHECK(pressure_drop(curve, 2 * m3_per_s, duct_design_air()) / Pa == Approx(360.0).epsilon(1e-14));
    CHECK(pressure_drop(curve, -2 * m3_per_s, duct_design_air()) / Pa == Approx(-360.0).epsilon(1e-14));
    CHECK(pressure_drop(curve, 0 * m3_per_s, duct_design_air()) / Pa == 0.0);
    // Half the density, the same temperature: the viscous part stays, the inertial part halves.
    AirState thin = duct_design_air();
    thin.density *= 0.5;
    CHECK(pressure_drop(curve, 2 * m3_per_s, thin) / Pa == Approx(180.0 + 90.0).epsilon(1e-14));
    AirState thick = duct_design_air();
    thick.viscosity *= 1.1;
    CHECK(pressure_drop(curve, 2 * m3_per_s, thick) / Pa == Approx(198.0 + 180.0).epsilon(1e-14));
}

TEST_CASE("flow is the exact inverse of pressure drop", "[own]") {
    const AirState hot =
        moist_air({.temperature = from_celsius(40), .pressure = 90000 * Pa, .relative_humidity = 0.6});
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> decades(-6.0, 6.0);
    for (int i = 0; i < 2000; ++i) {
        const ElementCurve c{std::pow(10.0, decades(random)) * Pa_s_per_m3,
                             std::pow(10.0, decades(random)) * Pa_s2_per_m6, duct_design_air()};
        const VolumeFlow q = (i % 2 == 0 ? 1.0 : -1.0) * std::pow(10.0, decades(random)) * m3_per_s;
        const double back = volume_flow(c, pressure_drop(c, q, hot), hot) / m3_per_s;
        CHECK(back == Approx(q / m3_per_s).epsilon(1e-13));
    }
    const ElementCurve inertial{0 * Pa_s_per_m3, 45 * Pa_s2_per_m6, duct_design_air()};
    CHECK(volume_flow(inertial, 45 * Pa, duct_design_air()) / m3_per_s == Approx(1.0).epsilon(1e-14));
    CHECK(volume_flow(inertial, 0 * Pa, duct_design_air()) / m3_per_s == 0.0);
    // Where squares of r or the product of s and dp leave the range of numbers.
    const auto flow = [&](double linear, double quadratic, double drop) {
        return volume_flow(ElementCurve{linear * Pa_s_per_m3, quadratic * Pa_s2_per_m6, duct_design_air()}, drop * Pa,
                           duct_design_air()) / m3_per_s;
    };
    CHECK(flow(1e-170, 1.0, 1.0) == Approx(1.0).epsilon(1e-14));
    CHECK(flow(1e-170, 1.0, -1.0) == Approx(-1.0).epsilon(1e-14));
    CHECK(flow(1e-170, 0.0, 1.0) == Approx(1e170).epsilon(1e-14));
    CHECK(flow(1e160, 1.0, 1.0) == Approx(1e-160).epsilon(1e-14));
    CHECK(flow(1e160, 1e200, 1e120) == Approx(6.180339887498949e-41).epsilon(1e-14));
    CHECK(flow(0.0, 1e-200, 1e-200) == Approx(1.0).epsilon(1e-14));
    CHECK(flow(0.0, 1e200, 1e200) == Approx(1.0).epsilon(1e-14));
    const ElementCurve viscous{90 * Pa_s_per_m3, 0 * Pa_s2_per_m6, duct_design_air()};
    CHECK(volume_flow(viscous, 90 * Pa, duct_design_air()) / m3_per_s == 1.0);
}

TEST_CASE("derivatives of an element's drop and flow agree with the formula", "[own]") {
    using D = Dual<4>;
    const BasicElementCurve<D> c{BasicLinearResistance<D>::from_value(D::input(90, 0)),
                                 BasicQuadraticResistance<D>::from_value(D::input(45, 1)), duct_design_air()};
    auto air = air_as<D>(duct_design_air());
    air.density = BasicDensity<D>::from_value(D::input(1.204, 3));
    const D drop = pressure_drop(c, BasicVolumeFlow<D>::from_value(D::input(2, 2)), air).value();
    CHECK(drop.derivative[0] == Approx(2.0).epsilon(1e-14));
    CHECK(drop.derivative[1] == Approx(4.0).epsilon(1e-14));
    CHECK(drop.derivative[2] == Approx(90.0 + 2 * 45.0 * 2).epsilon(1e-14));
    CHECK(drop.derivative[3] == Approx(180.0 / 1.204).epsilon(1e-14));
    const D flow = volume_flow(c, BasicPressure<D>::from_value(D::input(360, 2)), air).value();
    CHECK(flow.derivative[2] == Approx(1.0 / 270.0).epsilon(1e-13));
    CHECK(flow.derivative[0] == Approx(-2.0 / 270.0).epsilon(1e-13));
    // At r = 0: dQ/dr = -1/(2 s), dQ/dp = 1/(2 s Q).
    const BasicElementCurve<D> inertial{BasicLinearResistance<D>::from_value(D::input(0, 0)),
                                        BasicQuadraticResistance<D>::from_value(D(45)), duct_design_air()};
    const D from_zero = volume_flow(inertial, BasicPressure<D>::from_value(D::input(180, 2)), air).value();
    CHECK(from_zero.derivative[0] == Approx(-1.0 / 90.0).epsilon(1e-13));
    CHECK(from_zero.derivative[2] == Approx(1.0 / 180.0).epsilon(1e-13));
}

TEST_CASE("elements refuse what they cannot be", "[own]") {
    const AirState air = duct_design_air();
    const ElementCurve negative{-1 * Pa_s_per_m3, 45 * Pa_s2_per_m6, air};
    CHECK_THROWS_WITH(pressure_drop(negative, 1 * m3_per_s, air), Contains("linear = -1 Pa s/m3"));
    CHECK_THROWS_AS(pressure_drop(curve, NAN * m3_per_s, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(curve, 1e200 * m3_per_s, air), DomainError);   // the result is not finite
    CHECK_THROWS_WITH(pressure_drop(curve, 1 * m3_per_s, AirState{}), Contains("air density = 0 kg/m3"));
    const ElementCurve none{0 * Pa_s_per_m3, 0 * Pa_s2_per_m6, air};
    CHECK(pressure_drop(none, 1 * m3_per_s, air) / Pa == 0.0);
    CHECK_THROWS_AS(volume_flow(none, 1 * Pa, air), DomainError);
}
