// SPDX-License-Identifier: BSL-1.0
#include <filterflow/stand/flow_element.hpp>

#include <algorithm>
#include <cmath>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

FlowElementKind orifice_kind(const std::string& taps) {
    if (taps == "corner") return FlowElementKind::orifice_corner_taps;
    if (taps == "D and D/2") return FlowElementKind::orifice_diameter_taps;
    REQUIRE(taps == "flange");
    return FlowElementKind::orifice_flange_taps;
}

FlowElementKind kind_of(const ReferenceRow& row) {
    const std::string& device = row["device"];
    if (device == "orifice")
        return row["taps"].empty() ? FlowElementKind::orifice_corner_taps : orifice_kind(row["taps"]);
    if (device == "ISA 1932 nozzle" || device == "isa1932" || device == "nozzle")
        return FlowElementKind::isa_1932_nozzle;
    REQUIRE((device == "long radius nozzle" || device == "longradius"));
    return FlowElementKind::long_radius_nozzle;
}

FlowElementBore bore_of(const ReferenceRow& row) {
    return {kind_of(row), row.number("D_m") * m, row.number("d_m") * m};
}

bool mentions(const std::vector<std::string>& flags, const std::string& text) {
    return std::any_of(flags.begin(), flags.end(),
                       [&](const std::string& f) { return f.find(text) != std::string::npos; });
}

FlowElement test_nozzle() {
    return {.kind = FlowElementKind::long_radius_nozzle,
            .pipe_diameter = uncertain(300 * mm, 0.5 * mm, "pipe diameter"),
            .throat_diameter = uncertain(180 * mm, 0.2 * mm, "throat diameter")};
}

}   // namespace

TEST_CASE("coefficients and expansibilities of the published examples", "[outside]") {
    // Documentation of an open-source fluid mechanics library, examples of its flow_meter module (ISO 5167:2003).
    const ReferenceTable table("iso5167_examples.csv");
    std::size_t checked = 0;
    for (const ReferenceRow& row : table) {
        if (row["source"].find("value read") == std::string::npos) continue;
        const FlowElementBore bore = bore_of(row);
        const std::string& quantity = row["quantity"];
        const double value = row.number("value");
        CAPTURE(row["device"], quantity);
        if (quantity.starts_with("C at qm = ")) {
            const double mass_flow = std::stod(quantity.substr(10));
            const double re = 4.0 * mass_flow / (M_PI * row.number("mu_Pa_s") * row.number("D_m"));
            CHECK(discharge_coefficient(bore, re) == Approx(value).epsilon(1e-13));
        } else if (quantity == "expansibility") {
            const double tau = 1.0 - row.number("dp_Pa") / row.number("p1_Pa");
            CHECK(expansibility({bore.kind, bore.throat_diameter.value() / bore.pipe_diameter->value(), tau,
                                 row.number("kappa")}) == Approx(value).epsilon(1e-13));
        } else {
            REQUIRE(quantity == "permanent loss / Pa with C = 0.61512");
            CHECK(permanent_loss_fraction(bore, 0.61512) * row.number("dp_Pa") == Approx(value).epsilon(1e-13));
        }
        ++checked;
    }
    CHECK(checked == 6);
}

TEST_CASE("iterated flows of own examples", "[own]") {
    // Second coding of the same formulas, in Python.
    const ReferenceTable table("iso5167_examples.csv");
    std::size_t checked = 0;
    for (const ReferenceRow& row : table) {
        if (row["source"].find("computed with") == std::string::npos) continue;
        AirState air = fan_test_air();
        air.density = row.number("rho_kg_m3") * kg_per_m3;
        air.viscosity = row.number("mu_Pa_s") * Pa_s;
        air.pressure = row.number("p1_Pa") * Pa;
        const FlowElementBore bore = bore_of(row);
        const FlowElement element{.kind = bore.kind,
                                  .pipe_diameter = *bore.pipe_diameter,
                                  .throat_diameter = bore.throat_diameter,
                                  .isentropic_exponent = row.number("kappa")};
        const ElementFlow flow = element_flow(element, Pressure(row.number("dp_Pa") * Pa), air);
        const std::string& quantity = row["quantity"];
        CAPTURE(row["device"], row["taps"], quantity);
        const double value = row.number("value");
        if (quantity == "C") CHECK(flow.discharge_coefficient == Approx(value).epsilon(2e-9));
        else if (quantity == "expansibility") CHECK(flow.expansibility == Approx(value).epsilon(2e-9));
        else if (quantity == "Re_D") CHECK(flow.reynolds_number == Approx(value).epsilon(2e-9));
        else {
            REQUIRE(quantity == "qm kg/s (iterated)");
            CHECK(flow.flow.value.value() * air.density.value() == Approx(value).epsilon(2e-9));
        }
        ++checked;
    }
    CHECK(checked == 20);
}

TEST_CASE("orifice coefficients over a grid", "[own]") {
    // Second coding of the Reader-Harris/Gallagher equation; five decimals.
    const ReferenceTable table("iso5167_C_grid.csv");
    CHECK(table.size() == 100);
    for (const ReferenceRow& row : table) {
        const FlowElementBore bore{orifice_kind(row["taps"]), row.number("D_m") * m,
                                   row.number("D_m") * row.number("beta") * m};
        CAPTURE(row["taps"], row["D_m"], row["beta"], row["Re_D"]);
        CHECK(std::abs(discharge_coefficient(bore, row.number("Re_D")) - row.number("C")) < 0.51e-5);
    }
}

TEST_CASE("laws without a table", "[own]") {
    // From memory: ISO 5167-3 and -4, ANSI/ASHRAE 51; worked by hand.
    CHECK(discharge_coefficient({FlowElementKind::venturi_nozzle, 200 * mm, 100 * mm}, 5e5) ==
          Approx(0.9858 - 0.196 * 0.04419417382415922).epsilon(1e-12));
    CHECK(discharge_coefficient({FlowElementKind::classical_venturi_as_cast, 200 * mm, 100 * mm}, 5e5) == 0.984);
    CHECK(discharge_coefficient({FlowElementKind::classical_venturi_machined, 200 * mm, 100 * mm}, 5e5) == 0.995);
    CHECK(discharge_coefficient({FlowElementKind::classical_venturi_welded_sheet, 200 * mm, 100 * mm}, 5e5) == 0.985);
    CHECK(discharge_coefficient({FlowElementKind::chamber_nozzle_long_throat, std::nullopt, 100 * mm}, 1e4) ==
          Approx(0.9986 - 0.07006 + 0.01346).epsilon(1e-12));
    CHECK(discharge_coefficient({FlowElementKind::chamber_nozzle_short_throat, std::nullopt, 100 * mm}, 1e4) ==
          Approx(0.9986 - 0.06688 + 0.01315).epsilon(1e-12));
}

TEST_CASE("a stated inlet nozzle gives C A sqrt(2 dp/rho) with the nozzle's expansibility", "[own]") {
    const AirState air = duct_design_air();
    const FlowElement nozzle{.kind = FlowElementKind::stated_nozzle, .throat_diameter = Length(150 * mm),
                             .stated_coefficient = uncertain(0.97, 0.01, "inlet nozzle coefficient")};
    const ElementFlow flow = element_flow(nozzle, Pressure(200 * Pa), air);
    const double ideal = M_PI / 4 * 0.15 * 0.15 * std::sqrt(2 * 200 / 1.204);
    CHECK(flow.flow.value.value() == Approx(0.97 * ideal * flow.expansibility).epsilon(1e-12));
    // Bernoulli with isentropic expansion, first order: 1 - 3 dp/(4 kappa p) for a nozzle out of a chamber.
    CHECK(flow.expansibility == Approx(1 - 0.75 * 200 / (1.4 * 101325)).epsilon(1e-6));
    CHECK(flow.discharge_coefficient == 0.97);
    CHECK(flow.flags.empty());
    CHECK(flow.flow.standard_uncertainty().value() / flow.flow.value.value() == Approx(0.01 / 0.97).epsilon(1e-9));
    CHECK_THROWS_WITH(element_flow({.kind = FlowElementKind::stated_nozzle, .throat_diameter = Length(150 * mm)},
                                   Pressure(200 * Pa), air), Contains("not stated"));
    // A calibrated orifice keeps the orifice's expansibility.
    const FlowElement plate{.kind = FlowElementKind::orifice_corner_taps, .pipe_diameter = Length(200 * mm),
                            .throat_diameter = Length(100 * mm), .stated_coefficient = Uncertain<double>(0.62)};
    const ElementFlow calibrated = element_flow(plate, Pressure(500 * Pa), air);
    CHECK(calibrated.expansibility == expansibility({plate.kind, 0.5, 1 - 500 / 101325.0, 1.4}));
    CHECK(calibrated.flow.value.value() ==
          Approx(0.62 * calibrated.expansibility * M_PI / 4 * 0.01 * std::sqrt(2 * 500 / 1.204 / (1 - 0.0625)))
              .epsilon(1e-12));
}

TEST_CASE("derivatives of the iterated flow equal central differences", "[own]") {
    const AirState air = fan_test_air();
    for (const FlowElementKind kind : {FlowElementKind::orifice_corner_taps, FlowElementKind::orifice_diameter_taps,
                                       FlowElementKind::orifice_flange_taps, FlowElementKind::isa_1932_nozzle,
                                       FlowElementKind::long_radius_nozzle, FlowElementKind::venturi_nozzle,
                                       FlowElementKind::chamber_nozzle_long_throat}) {
        const auto flow = [&](double dp, double d, double D, double k) {
            return volume_flow(
                       ElementDifferential{
                           .bore = {kind, D * m, d * m}, .differential_pressure = dp * Pa, .coefficient_factor = k},
                       air)
                .value();
        };
        FlowElement element{.kind = kind, .pipe_diameter = uncertain(70 * mm, 1e-3 * mm, "D"),
                            .throat_diameter = uncertain(35 * mm, 1e-3 * mm, "d")};
        const Uncertain<Pressure> dp = uncertain(400 * Pa, 1 * Pa, "dp");
        const ElementFlow result = element_flow(element, dp, air);
        const auto slope = [](const Uncertain<VolumeFlow>& q, const auto& input) {
            return q.gradient.derivative(input.gradient.terms().front().input);
        };
        CAPTURE(static_cast<int>(kind));
        CHECK(slope(result.flow, dp) ==
              Approx((flow(400.1, .035, .07, 1) - flow(399.9, .035, .07, 1)) / 0.2).epsilon(1e-6));
        CHECK(slope(result.flow, element.throat_diameter) ==
              Approx((flow(400, .035001, .07, 1) - flow(400, .034999, .07, 1)) / 2e-6).epsilon(1e-6));
        CHECK(slope(result.flow, *element.pipe_diameter) ==
              Approx((flow(400, .035, .070001, 1) - flow(400, .035, .069999, 1)) / 2e-6).epsilon(1e-5).margin(1e-9));
        const double u = relative_coefficient_uncertainty({kind, 70 * mm, 35 * mm}, result.reynolds_number);
        CHECK(result.flow.gradient.derivative(element.coefficient_input) ==
              Approx(u * (flow(400, .035, .07, 1.0001) - flow(400, .035, .07, 0.9999)) / 2e-4).epsilon(1e-6));
    }
}

TEST_CASE("readings of one element share its coefficient, readings of two do not", "[own]") {
    const AirState air = fan_test_air();
    const FlowElement one = test_nozzle();
    const FlowElement copy = one;
    const FlowElement other = test_nozzle();
    const ElementFlow a = element_flow(one, Pressure(300 * Pa), air);
    const ElementFlow b = element_flow(copy, Pressure(300 * Pa), air);
    const ElementFlow c = element_flow(other, Pressure(300 * Pa), air);
    CHECK((a.flow - b.flow).standard_uncertainty().value() == 0.0);
    CHECK((a.flow - c.flow).standard_uncertainty().value() ==
          Approx(std::sqrt(2.0) * a.flow.standard_uncertainty().value()).epsilon(1e-9));
    // Long-radius nozzle: 2 % expanded, so 1 % standard, almost all of the flow's.
    CHECK(a.flow.standard_uncertainty().value() / a.flow.value.value() == Approx(0.01).epsilon(0.05));
}

TEST_CASE("limits of the standard, crossed and met", "[outside]") {
    // ISO 5167:2003: orifice limits as read in a library's documentation; the others from memory.
    const auto flags = [](const FlowElementBore& bore, double re, double tau = 0.99) {
        return flow_element_flags(bore, {re, tau, std::nullopt, std::nullopt});
    };
    CHECK(flags({FlowElementKind::orifice_corner_taps, 100 * mm, 50 * mm}, 5000).empty());
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 100 * mm, 50 * mm}, 4999),
                   "pipe Reynolds number 4999 is below 5000"));
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 40 * mm, 20 * mm}, 1e5),
                   "pipe diameter 40 mm is below 50 mm"));
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 1100 * mm, 500 * mm}, 1e5),
                   "pipe diameter 1100 mm is above 1000 mm"));
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 100 * mm, 12 * mm}, 1e5),
                   "throat diameter 12 mm is below 12.5 mm"));
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 100 * mm, 80 * mm}, 1e5),
                   "diameter ratio 0.8 is above 0.75"));
    CHECK(mentions(flags({FlowElementKind::orifice_diameter_taps, 100 * mm, 70 * mm}, 7800),
                   "is below 7840"));   // 16000 beta^2
    CHECK(mentions(flags({FlowElementKind::orifice_flange_taps, 200 * mm, 140 * mm}, 16000),
                   "is below 16660"));   // 170 beta^2 D
    CHECK(mentions(flags({FlowElementKind::orifice_corner_taps, 100 * mm, 50 * mm}, 1e5, 0.74),
                   "pressure ratio 0.74 is below 0.75"));
    CHECK(flags({FlowElementKind::isa_1932_nozzle, 100 * mm, 50 * mm}, 2e4).empty());
    CHECK(mentions(flags({FlowElementKind::isa_1932_nozzle, 100 * mm, 40 * mm}, 6.9e4), "below 70000"));
    CHECK(mentions(flags({FlowElementKind::long_radius_nozzle, 640 * mm, 300 * mm}, 1e5), "above 630 mm"));
    CHECK(mentions(flags({FlowElementKind::venturi_nozzle, 100 * mm, 45 * mm}, 2e5),
                   "throat diameter 45 mm is below 50 mm"));
    CHECK(mentions(flags({FlowElementKind::classical_venturi_machined, 200 * mm, 100 * mm}, 1.5e5), "below 200000"));
    CHECK(mentions(flags({FlowElementKind::chamber_nozzle_long_throat, std::nullopt, 100 * mm}, 11000),
                   "throat Reynolds number 11000 is below 12000"));
    CHECK(flags({FlowElementKind::stated_nozzle, std::nullopt, 10 * mm}, 10).empty());
}

TEST_CASE("straight lengths are judged where they are stated", "[outside]") {
    // From memory: ISO 5167-2:2003 table 3, single bend: 22 diameters before, 6 behind, at a diameter ratio of 0.5.
    const FlowElementBore plate{FlowElementKind::orifice_corner_taps, 100 * mm, 50 * mm};
    CHECK(flow_element_flags(plate, {1e5, 0.99, 2.2 * m, 0.6 * m}).empty());
    const auto flags = flow_element_flags(plate, {1e5, 0.99, 2.0 * m, 0.5 * m});
    CHECK(flags.size() == 2);
    CHECK(mentions(flags, "upstream 20 diameters is below 22"));
    CHECK(mentions(flags, "downstream 5 diameters is below 6"));
    // Half way between the rows of 0.5 and 0.6.
    CHECK(mentions(flow_element_flags({FlowElementKind::orifice_corner_taps, 100 * mm, 55 * mm},
                                      {1e5, 0.99, 3.0 * m, std::nullopt}),
                   "30 diameters is below 32"));
}

TEST_CASE("uncertainty that the standards give the coefficient", "[outside]") {
    // From memory: ISO 5167-2:2003 5.3.3.1, ISO 5167-3 and -4.
    const auto percent = [](FlowElementKind kind, double D, double beta, double re) {
        return 200.0 * relative_coefficient_uncertainty({kind, D * m, D * beta * m}, re);
    };
    const auto corner = FlowElementKind::orifice_corner_taps;
    CHECK(percent(corner, 0.1, 0.15, 1e5) == Approx(0.55));
    CHECK(percent(corner, 0.1, 0.5, 1e5) == Approx(0.5));
    CHECK(percent(corner, 0.1, 0.7, 1e5) == Approx(0.6669));
    CHECK(percent(corner, 0.1, 0.55, 9e3) == Approx(1.0));
    CHECK(percent(corner, 0.0508, 0.5, 1e5) == Approx(0.5 + 0.9 * 0.25 * 0.8));
    CHECK(percent(FlowElementKind::isa_1932_nozzle, 0.1, 0.7, 1e5) == Approx(1.0));
    CHECK(percent(FlowElementKind::long_radius_nozzle, 0.1, 0.5, 1e5) == Approx(2.0));
    CHECK(percent(FlowElementKind::venturi_nozzle, 0.1, 0.5, 1e5) == Approx(1.29375));
    CHECK(percent(FlowElementKind::classical_venturi_welded_sheet, 0.5, 0.5, 3e5) == Approx(1.5));
    CHECK_THROWS_AS(relative_coefficient_uncertainty({FlowElementKind::stated_nozzle, std::nullopt, 0.1 * m}, 1e5),
                    DomainError);
}

TEST_CASE("what cannot be is an error, what the standard does not cover is a flag", "[own]") {
    const AirState air = duct_design_air();
    const FlowElement nozzle = test_nozzle();
    CHECK_THROWS_WITH(element_flow(nozzle, Pressure(-3 * Pa), air), Contains("differential_pressure = -3 Pa"));
    CHECK_THROWS_WITH(element_flow(nozzle, Pressure(0 * Pa), air), Contains("> 0"));
    CHECK_THROWS_WITH(element_flow(nozzle, Pressure(NAN * Pa), air), Contains("finite"));
    CHECK_THROWS_WITH(element_flow(nozzle, Pressure(60 * kPa), air), Contains("choked"));
    CHECK_THROWS_WITH(element_flow({.kind = FlowElementKind::orifice_corner_taps, .throat_diameter = Length(50 * mm)},
                                   Pressure(100 * Pa), air), Contains("pipe_diameter is not given"));
    CHECK_THROWS_WITH(element_flow({.kind = FlowElementKind::orifice_corner_taps, .pipe_diameter = Length(50 * mm),
                                    .throat_diameter = Length(50 * mm)}, Pressure(100 * Pa), air),
                      Contains("< pipe_diameter"));
    // So little flow that the law of the nozzle has no meaning.
    CHECK_THROWS_WITH(element_flow({.kind = FlowElementKind::long_radius_nozzle, .pipe_diameter = Length(10 * mm),
                                    .throat_diameter = Length(5 * mm)}, Pressure(1e-5 * Pa), air),
                      Contains("Reynolds number"));
    const ElementFlow small = element_flow({.kind = FlowElementKind::long_radius_nozzle,
                                            .pipe_diameter = Length(40 * mm),
                                            .throat_diameter = Length(20 * mm)},
                                           Pressure(20 * Pa), air);
    CHECK(small.flags.size() == 2);
    CHECK(mentions(small.flags, "pipe diameter 40 mm is below 50 mm"));
    CHECK(mentions(small.flags, "pipe Reynolds number"));
    CHECK_THROWS_AS(permanent_loss_fraction({FlowElementKind::venturi_nozzle, 100 * mm, 50 * mm}, 0.98), DomainError);
}
