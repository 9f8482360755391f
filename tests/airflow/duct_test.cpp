// SPDX-License-Identifier: BSL-1.0
// Duct segments: textbook examples, diameters, a rectangular duct's laminar flow, derivatives, refusals.

#include <cmath>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {
AirState air_of(double density, double viscosity) {
    AirState air = duct_design_air();
    air.density = density * kg_per_m3;
    air.viscosity = DynamicViscosity::from_value(viscosity);
    return air;
}
}   // namespace

TEST_CASE("textbook duct examples are met", "[outside]") {
    // tests/reference/airflow_checks.csv; sources there on each row.
    const test::ReferenceTable table("airflow_checks.csv");
    SECTION("square duct, friction on the laminar equivalent diameter (White, Example 6.15)") {
        const double slug_per_ft3 = 515.3788;
        const double density = 0.00237 * slug_per_ft3;
        const double viscosity = 1.57e-4 * 0.09290304 * density;
        const DuctSegment duct{.length = 100 * ft, .width = 9 * inch, .height = 9 * inch, .roughness = 3e-4 * ft,
                               .rectangular_friction = RectangularFriction::laminar_equivalent};
        const double pound_per_ft2 = 47.880259;
        const double drop = pressure_drop(duct, 25 * 60 * cfm, air_of(density, viscosity)).value();
        CHECK(drop / pound_per_ft2 ==
              Approx(table.row("id", "square duct").number("expected")).margin(0.05).epsilon(0));
    }
    SECTION("round and rectangular duct in series, a Fanning factor of 0.008 (Douglas, Example 14.5)") {
        const AirState air = air_of(1.2, 1.8e-5);
        const double fanning = 0.008;
        const KnownFriction round{4 * fanning, (10 + 20 * 0.3) * m, 0.3 * m, 4.0};
        const KnownFriction flat{4 * fanning, 30 * m, hydraulic_diameter(DuctSegment{.width = 0.4 * m, .height = 0.2 * m}), 10.0};
        const Pressure sum = pressure_drop(round, 0.8 / (std::acos(-1.0) * 0.3 * 0.3 / 4) * m_per_s, air) +
                             pressure_drop(flat, 0.8 / (0.4 * 0.2) * m_per_s, air);
        CHECK(sum / Pa == Approx(table.row("id", "round and rectangular duct").number("expected")).epsilon(1e-4));
    }
    SECTION("a reading of the old friction chart, roughness 0.15 mm (McDonald and Magande)") {
        const DuctSegment duct{.length = 100 * ft, .diameter = 10 * inch, .roughness = 0.15 * mm};
        CHECK(pressure_drop(duct, 400 * cfm, duct_design_air()) / inH2O ==
              Approx(table.row("id", "friction chart").number("expected")).epsilon(0.1));
    }
    SECTION("hydraulic diameter and Reynolds number (Abulencia and Theodore)") {
        CHECK(hydraulic_diameter(DuctSegment{.width = 1 * m, .height = 0.25 * m}) / m ==
              Approx(table.row("quantity", "hydraulic diameter").number("expected")).epsilon(1e-9));
        const DuctSegment duct{.diameter = 0.45 * m};
        const VolumeFlow flow = 3.8 * std::acos(-1.0) * 0.45 * 0.45 / 4 * m3_per_s;
        CHECK(reynolds_number(duct, flow, air_of(1.2, 1.73e-5)) ==
              Approx(table.row("quantity", "Reynolds number").number("expected")).epsilon(1e-6));
    }
}

TEST_CASE("a duct's pressure drop is friction plus fittings", "[own]") {
    const DuctSegment duct{.length = 12 * m, .diameter = 0.25 * m, .roughness = 0.09 * mm, .loss_coefficient = 1.7};
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.3 * m3_per_s;
    const double v = 0.3 / (std::acos(-1.0) * 0.0625 / 4);
    const double re = reynolds_number(duct, flow, air);
    const double f = colebrook_friction_factor(re, 0.09e-3 / 0.25);
    CHECK(pressure_drop(duct, flow, air) / Pa == Approx((f * 12 / 0.25 + 1.7) * 0.5 * 1.204 * v * v).epsilon(1e-12));
    CHECK(pressure_drop(KnownFriction{f, 12 * m, 0.25 * m, 1.7}, v * m_per_s, air) / Pa ==
          Approx(pressure_drop(duct, flow, air) / Pa).epsilon(1e-12));
    CHECK(pressure_drop(duct, 0 * m3_per_s, air) / Pa == 0.0);
    // The two readings of rectangular friction are near each other and meet in laminar flow what each states.
    DuctSegment flat{.length = 10 * m, .width = 0.6 * m, .height = 0.15 * m};
    const double hydraulic = pressure_drop(flat, 0.4 * m3_per_s, air) / Pa;
    flat.rectangular_friction = RectangularFriction::laminar_equivalent;
    CHECK(pressure_drop(flat, 0.4 * m3_per_s, air) / Pa == Approx(hydraulic).epsilon(0.05));
    CHECK(pressure_drop(flat, 0.4 * m3_per_s, air) / Pa != hydraulic);
}

TEST_CASE("laminar flow in a rectangle is the exact one", "[own]") {
    // Second method: the Fourier series of the velocity in a rectangle a x b, summed to convergence.
    const double a = 0.02, b = 0.01, length = 1.0;
    const AirState air = duct_design_air();
    double sum = 0.0;
    for (int n = 1; n < 200; n += 2) sum += std::tanh(n * std::acos(-1.0) * a / (2 * b)) / std::pow(n, 5);
    const double shape = 1.0 - 192.0 * b / (std::pow(std::acos(-1.0), 5) * a) * sum;
    const double flow = 2e-5;
    const double expected = 12.0 * air.viscosity.value() * length * flow / (a * b * b * b * shape);
    DuctSegment duct{.length = length * m, .width = a * m, .height = b * m, .roughness = 0 * m,
                     .rectangular_friction = RectangularFriction::laminar_equivalent};
    CHECK(pressure_drop(duct, flow * m3_per_s, air) / Pa == Approx(expected).epsilon(1e-3));   // Shah and London's fit
    std::swap(duct.width, duct.height);
    CHECK(pressure_drop(duct, flow * m3_per_s, air) / Pa == Approx(expected).epsilon(1e-3));
}

TEST_CASE("a duct's pressure drop carries derivatives", "[own]") {
    using D = Dual<4>;
    const auto at = [](double length, double diameter, double loss, double flow) {
        return pressure_drop(DuctSegment{.length = length * m, .diameter = diameter * m, .loss_coefficient = loss},
                             flow * m3_per_s, duct_design_air()) / Pa;
    };
    const double x[] = {20.0, 0.3, 2.5, 0.4};
    BasicDuctSegment<D> duct;
    duct.length = BasicLength<D>::from_value(D::input(x[0], 0));
    duct.diameter = BasicLength<D>::from_value(D::input(x[1], 1));
    duct.loss_coefficient = D::input(x[2], 2);
    const D drop = pressure_drop(duct, BasicVolumeFlow<D>::from_value(D::input(x[3], 3)), air_as<D>(duct_design_air())).value();
    for (std::size_t i = 0; i < 4; ++i) {
        double up[] = {x[0], x[1], x[2], x[3]}, down[] = {x[0], x[1], x[2], x[3]};
        const double step = 1e-5 * x[i];
        up[i] += step;
        down[i] -= step;
        CHECK(drop.derivative[i] ==
              Approx((at(up[0], up[1], up[2], up[3]) - at(down[0], down[1], down[2], down[3])) / (2 * step)).epsilon(1e-7));
    }
}

TEST_CASE("ducts refuse sizes that make none", "[own]") {
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.1 * m3_per_s;
    CHECK_THROWS_WITH(pressure_drop(DuctSegment{.length = 1 * m}, flow, air), Contains("duct width = 0 m"));
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .width = 1 * m}, flow, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m, .width = 1 * m}, flow, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = -1 * m, .diameter = 1 * m}, flow, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * cm, .roughness = 2 * mm}, flow, air), DomainError);
    CHECK_THROWS_WITH(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m}, -0.1 * m3_per_s, air), Contains("flow = -0.1 m3/s"));
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m}, flow, AirState{}), DomainError);
    CHECK_THROWS_AS(pressure_drop(KnownFriction{-0.01, 1 * m, 1 * m, 0.0}, 1 * m_per_s, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(KnownFriction{0.01, 1 * m, 0 * m, 0.0}, 1 * m_per_s, air), DomainError);
}
