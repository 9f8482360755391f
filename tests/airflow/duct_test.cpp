// SPDX-License-Identifier: BSL-1.0
// Duct segments: textbook examples, sections and diameters, roughness, laminar flow, derivatives, refusals.

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <filterflow/air/air_state.hpp>
#include <filterflow/airflow/duct.hpp>
#include <filterflow/airflow/duct_roughness.hpp>
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
                               .friction_diameter = FrictionDiameter::laminar_equivalent};
        const double pound_per_ft2 = 47.880259;
        const double drop = pressure_drop(duct, 25 * 60 * cfm, air_of(density, viscosity)).value();
        CHECK(drop / pound_per_ft2 ==
              Approx(table.row("id", "square duct").number("expected")).margin(0.05).epsilon(0));
    }
    SECTION("round and rectangular duct in series, a Fanning factor of 0.008 (Douglas, Example 14.5)") {
        const AirState air = air_of(1.2, 1.8e-5);
        const DarcyFactor friction = darcy_factor(FanningFactor{0.008});
        const KnownFriction round{friction, (10 + 20 * 0.3) * m, 0.3 * m, 4.0};
        const KnownFriction flat{friction, 30 * m, hydraulic_diameter(DuctSegment{.width = 0.4 * m, .height = 0.2 * m}),
                                 10.0};
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

TEST_CASE("duct examples whose answers are from memory", "[own]") {
    // tests/reference/duct_checks.csv.
    SECTION("a plastic air duct (Cengel and Cimbala, Example 8-4; answers from memory)") {
        const auto at = [&](const char* quantity) {
            return test::ReferenceTable("duct_checks.csv").row("quantity", quantity).number("expected");
        };
        const double density = 1.145, head = 20.0;   // any density: the drop is stated as a head of air
        const AirState air = air_of(density, 1.655e-5 * density);
        const DuctSegment duct{.length = 150 * m, .diameter = at("diameter") * m, .roughness = 0 * mm};
        const VolumeFlow flow = 0.35 * m3_per_s;
        const double re = reynolds_number(duct, flow, air);
        CHECK(0.35 / (section_area(duct) / m2) == Approx(at("velocity")).margin(0.02).epsilon(0));
        CHECK(re == Approx(at("Reynolds number")).margin(200).epsilon(0));
        CHECK(darcy_friction_factor(re, 0.0).value == Approx(at("friction factor")).margin(1e-4).epsilon(0));
        CHECK(pressure_drop(duct, flow, air) / Pa / (density * 9.81) ==
              Approx(head).epsilon(0.01));   // of a rounded diameter
    }
    SECTION("equivalent diameters of two ducts (Huebscher 1948; values from memory)") {
        const test::ReferenceTable checks("duct_checks.csv");
        CHECK(equivalent_diameter(DuctSegment{.width = 12 * inch, .height = 12 * inch}) / inch ==
              Approx(checks.row("quantity", "12 x 12 in").number("expected")).margin(0.06).epsilon(0));
        CHECK(equivalent_diameter(DuctSegment{.width = 20 * inch, .height = 10 * inch}) / inch ==
              Approx(checks.row("quantity", "20 x 10 in").number("expected")).margin(0.06).epsilon(0));
    }
}

TEST_CASE("a duct's pressure drop is friction plus fittings", "[own]") {
    const DuctSegment duct{.length = 12 * m, .diameter = 0.25 * m, .roughness = 0.09 * mm, .loss_coefficient = 1.7};
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.3 * m3_per_s;
    const double v = 0.3 / (std::acos(-1.0) * 0.0625 / 4);
    const double re = reynolds_number(duct, flow, air);
    const DarcyFactor f = colebrook_friction_factor(re, 0.09e-3 / 0.25);
    CHECK(pressure_drop(duct, flow, air) / Pa ==
          Approx((f.value * 12 / 0.25 + 1.7) * 0.5 * 1.204 * v * v).epsilon(1e-12));
    CHECK(pressure_drop(KnownFriction{f, 12 * m, 0.25 * m, 1.7}, v * m_per_s, air) / Pa ==
          Approx(pressure_drop(duct, flow, air) / Pa).epsilon(1e-12));
    CHECK(pressure_drop(duct, 0 * m3_per_s, air) / Pa == 0.0);
    // The two readings of rectangular friction are near each other and meet in laminar flow what each states.
    DuctSegment flat{.length = 10 * m, .width = 0.6 * m, .height = 0.15 * m};
    const double hydraulic = pressure_drop(flat, 0.4 * m3_per_s, air) / Pa;
    flat.friction_diameter = FrictionDiameter::laminar_equivalent;
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
                     .friction_diameter = FrictionDiameter::laminar_equivalent};
    CHECK(pressure_drop(duct, flow * m3_per_s, air) / Pa == Approx(expected).epsilon(1e-3));   // Shah and London's fit
    std::swap(duct.width, duct.height);
    CHECK(pressure_drop(duct, flow * m3_per_s, air) / Pa == Approx(expected).epsilon(1e-3));
}

TEST_CASE("hydraulic and equivalent diameters of rectangular and flat oval ducts", "[own]") {
    // tests/reference/equivalent_diameters.csv: computed from the formulas, which are from memory.
    for (const auto& row : test::ReferenceTable("equivalent_diameters.csv")) {
        DuctSegment duct{.width = row.number("a_mm") * mm, .height = row.number("b_mm") * mm};
        CHECK(equivalent_diameter(duct) / mm == Approx(row.number("De_rectangular_mm")).margin(0.006).epsilon(0));
        CHECK(hydraulic_diameter(duct) / mm == Approx(row.number("Dh_mm")).margin(0.006).epsilon(0));
        CHECK(section_area(duct) / m2 == Approx(1e-6 * row.number("a_mm") * row.number("b_mm")).epsilon(1e-12));
        std::swap(duct.width, duct.height);   // which is the longer does not matter
        duct.section = DuctSection::flat_oval;
        CHECK(equivalent_diameter(duct) / mm ==
              Approx(row.number("De_flat_oval_mm")).epsilon(1.2e-3));   // a circle is 200.2
    }
    // A flat oval with equal axes is a circle; a long one nears the rectangle's two walls.
    const DuctSegment circle{.width = 0.3 * m, .height = 0.3 * m, .section = DuctSection::flat_oval};
    const DuctSegment round{.diameter = 0.3 * m};
    CHECK(section_area(circle) / m2 == Approx(section_area(round) / m2).epsilon(1e-14));
    CHECK(hydraulic_diameter(circle) / m == Approx(0.3).epsilon(1e-14));
    CHECK(equivalent_diameter(circle) / m == Approx(0.3).epsilon(1.2e-3));   // the factor 1.55 is rounded
    CHECK(equivalent_diameter(round) == 0.3 * m);
    const DuctSegment slot{.width = 30 * m, .height = 0.1 * m, .section = DuctSection::flat_oval};
    CHECK(hydraulic_diameter(slot) / m == Approx(0.2).epsilon(3e-3));
    // A reading of the geometry: two half circles and a rectangle between them.
    const DuctSegment oval{.length = 10 * m, .width = 0.6 * m, .height = 0.25 * m, .section = DuctSection::flat_oval};
    const double pi = std::acos(-1.0), area = pi * 0.25 * 0.25 / 4 + 0.25 * 0.35, perimeter = pi * 0.25 + 2 * 0.35;
    CHECK(section_area(oval) / m2 == Approx(area).epsilon(1e-14));
    CHECK(hydraulic_diameter(oval) / m == Approx(4 * area / perimeter).epsilon(1e-14));
    CHECK_THROWS_WITH(equivalent_diameter(slot), Contains("aspect ratio = 300"));
}

TEST_CASE("friction on the equivalent diameter is that of the round duct at the same flow", "[own]") {
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.5 * m3_per_s;
    for (const DuctSection section : {DuctSection::rectangular, DuctSection::flat_oval}) {
        DuctSegment duct{
            .length = 20 * m, .width = 0.5 * m, .height = 0.2 * m, .loss_coefficient = 1.2, .section = section};
        const double velocity = 0.5 / (section_area(duct) / m2);
        const double fittings = 1.2 * 0.5 * air.density.value() * velocity * velocity;
        const double hydraulic = pressure_drop(duct, flow, air) / Pa;
        duct.friction_diameter = FrictionDiameter::equivalent;
        const double equivalent = pressure_drop(duct, flow, air) / Pa;
        const DuctSegment round{.length = 20 * m, .diameter = equivalent_diameter(duct)};
        CHECK(equivalent == Approx(pressure_drop(round, flow, air) / Pa + fittings).epsilon(1e-13));
        CHECK(equivalent == Approx(hydraulic).epsilon(0.05));   // the two readings are near each other
        CHECK(equivalent != hydraulic);
    }
    DuctSegment duct{
        .length = 20 * m, .width = 2 * m, .height = 0.2 * m, .friction_diameter = FrictionDiameter::equivalent};
    CHECK_THROWS_WITH(pressure_drop(duct, flow, air), Contains("duct aspect ratio = 10") && Contains("from 1 to 8"));
    duct = {.length = 20 * m,
            .width = 0.5 * m,
            .height = 0.2 * m,
            .friction_diameter = FrictionDiameter::laminar_equivalent,
            .section = DuctSection::flat_oval};
    CHECK_THROWS_WITH(pressure_drop(duct, flow, air), Contains("laminar_equivalent friction in a flat oval duct"));
}

TEST_CASE("the table of roughness is the published one", "[outside]") {
    // tests/reference/duct_roughness.csv (a handbook's table in a reproduction; rows marked so are from memory).
    const test::ReferenceTable table("duct_roughness.csv");
    REQUIRE(duct_roughness_table().size() == table.size());
    const std::vector<std::string> classes{"smooth", "medium smooth", "average", "medium rough", "rough", ""};
    std::size_t i = 0;
    for (const auto& row : table) {
        CAPTURE(row["material"]);
        const DuctRoughness& ours = duct_roughness(static_cast<DuctSurface>(i));
        CHECK(ours.surface == static_cast<DuctSurface>(i++));
        CHECK(ours.least / mm == Approx(row.number(row.has("least_mm") ? "least_mm" : "design_mm")).epsilon(1e-12));
        CHECK(ours.greatest / mm ==
              Approx(row.number(row.has("greatest_mm") ? "greatest_mm" : "design_mm")).epsilon(1e-12));
        REQUIRE(ours.design.has_value() == row.has("design_mm"));
        if (ours.design) CHECK(*ours.design / mm == Approx(row.number("design_mm")).epsilon(1e-12));
        CHECK(classes[static_cast<std::size_t>(ours.roughness_class)] == row["class"]);
        CHECK(ours.from_memory == (row["provenance"] != "read"));
        CHECK_FALSE(ours.source.empty());
    }
    // The default of a duct segment is the table's average galvanised duct.
    CHECK(DuctSegment{}.roughness / mm ==
          Approx(*duct_roughness(DuctSurface::galvanised_round).design / mm).epsilon(0.02));
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
    const D drop =
        pressure_drop(duct, BasicVolumeFlow<D>::from_value(D::input(x[3], 3)), air_as<D>(duct_design_air())).value();
    for (std::size_t i = 0; i < 4; ++i) {
        double up[] = {x[0], x[1], x[2], x[3]}, down[] = {x[0], x[1], x[2], x[3]};
        const double step = 1e-5 * x[i];
        up[i] += step;
        down[i] -= step;
        CHECK(drop.derivative[i] ==
              Approx((at(up[0], up[1], up[2], up[3]) - at(down[0], down[1], down[2], down[3])) / (2 * step))
                  .epsilon(1e-7));
    }
}

TEST_CASE("ducts refuse sizes that make none", "[own]") {
    const AirState air = duct_design_air();
    const VolumeFlow flow = 0.1 * m3_per_s;
    CHECK_THROWS_WITH(pressure_drop(DuctSegment{.length = 1 * m}, flow, air), Contains("duct width = 0 m"));
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .width = 1 * m}, flow, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m, .width = 1 * m}, flow, air),
                    DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = -1 * m, .diameter = 1 * m}, flow, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * cm, .roughness = 2 * mm}, flow, air),
                    DomainError);
    CHECK_THROWS_WITH(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m}, -0.1 * m3_per_s, air),
                      Contains("flow = -0.1 m3/s"));
    CHECK_THROWS_AS(pressure_drop(DuctSegment{.length = 1 * m, .diameter = 1 * m}, flow, AirState{}), DomainError);
    CHECK_THROWS_AS(pressure_drop(KnownFriction{DarcyFactor{-0.01}, 1 * m, 1 * m, 0.0}, 1 * m_per_s, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(KnownFriction{DarcyFactor{0.01}, 1 * m, 0 * m, 0.0}, 1 * m_per_s, air), DomainError);
}
