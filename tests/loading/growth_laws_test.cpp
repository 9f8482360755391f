// SPDX-License-Identifier: BSL-1.0
#include "support/catch.hpp"

#include <cmath>
#include <numbers>

#include <filterflow/loading/dust_cake.hpp>
#include <filterflow/loading/growth_laws.hpp>
#include <filterflow/loading/loading_law.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

AirState air_of_viscosity(double viscosity) {
    AirState air = duct_design_air();
    air.viscosity = DynamicViscosity::from_value(viscosity);
    return air;
}

}   // namespace

// K2 of mineral dust to two digits, the equation by a second program (viscosity 1.81e-5 Pa s, no slip).
TEST_CASE("resistance of a cake by Kozeny and Carman", "[own][loading]") {
    const AirState air = air_of_viscosity(1.81e-5);
    const double rows[][3] = {{3, 0.7, 1.2e5},  {3, 0.8, 5.3e4},  {3, 0.9, 1.9e4},
                              {10, 0.7, 1.1e4}, {10, 0.8, 4.8e3}, {10, 0.9, 1.7e3}};
    for (const auto& row : rows) {
        const CakeResistance k2 = cake_resistance(DustCake{2650 * kg_per_m3, row[0] * um, row[1]}, air);
        CHECK(k2.resistance / per_s == Approx(row[2]).epsilon(0.04));
        CHECK(k2.porosity.inside() == (row[1] <= 0.7));
    }
    // One inch of water per foot per minute and pound per square foot, as older reports state it.
    CHECK((1 * inH2O / Pa) / ((1 * fpm / m_per_s) * 0.45359237 / (0.3048 * 0.3048)) == Approx(1.0043e4).epsilon(1e-4));
}

TEST_CASE("a dust's mean diameter, slip and thickness", "[own][loading]") {
    const AirState air = duct_design_air();
    const SizeDistribution sizes{.name = "invented", .modes = {{1.0, 10 * um, 2.0}}};
    const DustCake cake = dust_cake({sizes, 2650 * kg_per_m3, 0.9, 0.8}, air);
    const double width = std::log(2.0);   // Hatch and Choate: volume over surface lies ln^2/2 below the volume median
    CHECK(cake.diameter / um == Approx(0.9 * 10.0 * std::exp(-0.5 * width * width)).epsilon(1e-12));
    CHECK(cake.slip_correction == Approx(slip_correction(cake.diameter, air)).epsilon(1e-14));
    CHECK(cake.slip_correction > 1.01);
    const CakeResistance with_slip = cake_resistance(cake, air);
    CHECK(with_slip.resistance.value() * cake.slip_correction ==
          Approx(cake_resistance(DustCake{cake.particle_density, cake.diameter, cake.porosity}, air).resistance.value())
              .epsilon(1e-13));
    CHECK(cake_thickness(cake, 53 * g_per_m2) / mm == Approx(0.1).epsilon(1e-12));
    CHECK_THROWS_WITH(cake_resistance(DustCake{2650 * kg_per_m3, 3 * um, 1.0}, air),
                      Contains("porosity = 1; required: between 0 and 1"));
    CHECK_THROWS_WITH(cake_resistance(DustCake{2650 * kg_per_m3, 3 * um, 0.8, 0.5}, air), Contains("slip_correction"));
    CHECK_THROWS_AS(cake_thickness(cake, -1 * g_per_m2), DomainError);
    CHECK_THROWS_WITH(dust_cake({sizes, 2650 * kg_per_m3, 1.2, 0.8}, air), Contains("sphericity = 1.2"));
}

TEST_CASE("a cake adds K2 V W, in any air", "[own][loading]") {
    const AirState bench = duct_design_air();
    const AirState hot = moist_air({.temperature = from_celsius(45), .pressure = 95 * kPa, .relative_humidity = 0.2});
    const ElementCurve clean{60 * Pa_s_per_m3, 25 * Pa_s2_per_m6, bench};
    const Area area = 2.5 * m2;
    const DustCake dust{2650 * kg_per_m3, 4 * um, 0.85};
    const LoadingLaw law = linear_cake_law({cake_resistance(dust, bench).resistance, medium_resistance(clean, area)});
    for (const AirState& air : {bench, hot}) {
        const double velocity = 0.8 / 2.5;
        const double added = cake_resistance(dust, air).resistance.value() * velocity * 0.03;
        const auto drop = [&](MassPerArea w) {
            return pressure_drop(loaded_curve(clean, law, w), 0.8 * m3_per_s, air) / Pa;
        };
        CHECK(drop(30 * g_per_m2) - drop(0 * g_per_m2) == Approx(added).epsilon(1e-11));
    }
    CHECK(cake_resistance_of(law, medium_resistance(clean, area), 10 * g_per_m2).value() ==
          Approx(cake_resistance(dust, bench).resistance.value()).epsilon(1e-13));
    const LoadingLaw kinked = kinked_two_stage_law(
        {40 * g_per_m2, 30 * g_per_m2}, {cake_resistance(dust, bench).resistance, medium_resistance(clean, area)});
    CHECK(cake_resistance_of(kinked, medium_resistance(clean, area), 30 * g_per_m2).value() ==
          Approx(cake_resistance(dust, bench).resistance.value()).epsilon(1e-13));
    CHECK_THROWS_WITH(cake_resistance_of(kinked, medium_resistance(clean, area), 10 * g_per_m2),
                      Contains("at least the transition 0.03 kg/m2"));
    CHECK_THROWS_WITH(
        cake_resistance_of(exponential_depth_law(40 * g_per_m2), medium_resistance(clean, area), 0 * g_per_m2),
        Contains("no cake stage"));
    CHECK_THROWS_AS(linear_cake_law({0 * per_s, 100 * Pa_s_per_m}), DomainError);
}

// The equation by a second program: viscosity 1.81e-5 Pa s, 0.1 m/s, medium 1 mm, fibres of 2 um, solidity 0.05, dust
// of 1 um. The form is from memory of Bergman et al. 1978.
TEST_CASE("two populations of fibres", "[own][loading]") {
    const FibrousMedium medium{.thickness = 1 * mm, .effective_fibre_diameter = 2 * um, .solidity = 0.05};
    const LoadingLaw law = two_population_law(medium, {1 * um, 2000 * kg_per_m3});
    const double clean = 64.0 * 1.81e-5 * 0.1 * 1e-3 * std::pow(0.05, 1.5) / 4e-12;
    CHECK(clean == Approx(323.8).epsilon(2e-4));
    const double rows[][2] = {{0.0, 323.8}, {0.001, 349.9}, {0.005, 459.7}, {0.02, 939.8}};
    for (const auto& row : rows) {
        const MassPerArea w = MassPerArea::from_value(row[0] * 2000.0 * 1e-3);
        CHECK(clean * resistance_factor(law, w) == Approx(row[1]).epsilon(3e-4));
    }
    // Dust of the fibres' own diameter is more of the same medium: solidity to the power 1.5.
    const LoadingLaw same = two_population_law(medium, {2 * um, 2000 * kg_per_m3});
    CHECK(resistance_factor(same, MassPerArea::from_value(0.02 * 2000.0 * 1e-3)) ==
          Approx(std::pow(0.07 / 0.05, 1.5)).epsilon(1e-13));
    CHECK_THROWS_WITH(two_population_law(FibrousMedium{.thickness = 1 * mm, .solidity = 0.05}, {1 * um, 1 * kg_per_m3}),
                      Contains("effective_fibre_diameter is not given"));
}

TEST_CASE("laws by name are the laws by their parameters", "[own][loading]") {
    const LoadingLaw smooth = smooth_two_stage_law({40 * g_per_m2, 30 * g_per_m2});
    CHECK(smooth.form == LoadingForm::smooth);
    CHECK(resistance_factor(smooth, 70 * g_per_m2) == Approx(std::exp(0.75) * 2.0).epsilon(1e-13));
    CHECK(resistance_factor(exponential_depth_law(40 * g_per_m2), 40 * g_per_m2) ==
          Approx(std::numbers::e).epsilon(1e-14));
    // dp = dp0 + A W + B W^2 with a viscous clean drop of 50 Pa.
    const LoadingLaw square = quadratic_law(AreaPerMass::from_value(600.0 / 50.0),
                                            AreaPerMassSquared::from_value(8000.0 / 50.0), ReferenceArea::face);
    CHECK(50.0 * (resistance_factor(square, 0.1 * kg_per_m2) - 1.0) == Approx(60.0 + 80.0).epsilon(1e-13));
    CHECK(square.reference == ReferenceArea::face);
    CHECK_THROWS_AS(quadratic_law(0 * m2_per_kg, 0 * m4_per_kg2, ReferenceArea::face), DomainError);
    CHECK_THROWS_AS(exponential_depth_law(0 * g_per_m2), DomainError);
    CHECK_THROWS_AS(smooth_two_stage_law({40 * g_per_m2, -1 * g_per_m2}), DomainError);
}
