// SPDX-License-Identifier: BSL-1.0
// The porous layer and its inverse.

#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/porous_layer.hpp>

#include "resistance/bench_air.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

TEST_CASE("a layer's pressure drop is Darcy's and the inertial term", "[own]") {
    const PorousLayer layer{.thickness = 2 * mm, .permeability = 1e-10 * m2, .inertial_factor = 5000 * per_m};
    const double viscous = air.viscosity.value() * 2e-3 * 0.3 / 1e-10;
    const double inertial = 1.204 * 5000 * 2e-3 * 0.09;
    CHECK(pressure_drop(layer, 0.3 * m_per_s, air) / Pa == Approx(viscous + inertial).epsilon(1e-14));
    CHECK(pressure_drop(layer, -0.3 * m_per_s, air) / Pa == Approx(-viscous - inertial).epsilon(1e-14));
    // Split into two layers in series, nothing changes.
    PorousLayer half = layer;
    half.thickness = 1 * mm;
    CHECK(2.0 * pressure_drop(half, 0.3 * m_per_s, air) / Pa == Approx(viscous + inertial).epsilon(1e-14));
}

TEST_CASE("a fibrous medium is a layer with Davies' permeability", "[own]") {
    // Davies by hand, the numbers worked out apart from this code: 326.05, 24.11 and 104.336 Pa.
    AirState plain = air;
    plain.viscosity = 1.81e-5 * Pa_s;
    const auto drop = [&](double solidity, double fibre_um, double thickness_mm, double velocity) {
        return pressure_drop(porous_layer(FibrousMedium{.thickness = thickness_mm * mm,
                                                        .effective_fibre_diameter = fibre_um * um,
                                                        .solidity = solidity}),
                             velocity * m_per_s, plain) / Pa;
    };
    CHECK(drop(0.05, 2, 1, 0.1) == Approx(326.05).epsilon(2e-5));
    CHECK(drop(0.03, 5, 2, 0.05) == Approx(24.11).epsilon(3e-4));
    CHECK(drop(0.05, 5, 2, 0.1) == Approx(104.336).epsilon(1e-5));
}

TEST_CASE("slip of the air on fine fibres lowers a layer's drop", "[own]") {
    FibrousMedium medium{.thickness = 0.5 * mm,
                         .effective_fibre_diameter = 2 * um,
                         .geometric_fibre_diameter = 1.2 * um,
                         .solidity = 0.07};
    const Length mean_free_path = 0.0666 * um;
    const double with_slip = pressure_drop(porous_layer(medium, mean_free_path), 0.05 * m_per_s, air) / Pa;
    const double without = pressure_drop(porous_layer(medium), 0.05 * m_per_s, air) / Pa;
    CHECK(with_slip == Approx(slip_drag_factor(medium, mean_free_path) * without).epsilon(1e-14));
    CHECK(with_slip < 0.95 * without);
    CHECK(pressure_drop(porous_layer(medium, 1e-15 * m), 0.05 * m_per_s, air) / Pa == Approx(without).epsilon(1e-8));
    using D = Dual<3>;
    const BasicFibrousMedium<D> dual{.thickness = BasicLength<D>::from_value(D(0.5e-3)),
                                     .effective_fibre_diameter = BasicLength<D>::from_value(D(2e-6)),
                                     .geometric_fibre_diameter = BasicLength<D>::from_value(D::input(1.2e-6, 0)),
                                     .solidity = D::input(0.07, 1)};
    const D k = porous_layer(dual, BasicLength<D>::from_value(D::input(0.0666e-6, 2))).permeability.value();
    const auto plain = [&](double d, double a, double l) {
        medium.geometric_fibre_diameter = d * m;
        medium.solidity = a;
        return porous_layer(medium, l * m).permeability.value();
    };
    CHECK(k.derivative[0] ==
          Approx((plain(1.2001e-6, 0.07, 6.66e-8) - plain(1.1999e-6, 0.07, 6.66e-8)) / 2e-10).epsilon(1e-6));
    CHECK(k.derivative[1] ==
          Approx((plain(1.2e-6, 0.07001, 6.66e-8) - plain(1.2e-6, 0.06999, 6.66e-8)) / 2e-5).epsilon(1e-6));
    CHECK(k.derivative[2] ==
          Approx((plain(1.2e-6, 0.07, 6.661e-8) - plain(1.2e-6, 0.07, 6.659e-8)) / 2e-11).epsilon(1e-6));
    medium.geometric_fibre_diameter.reset();
    CHECK_THROWS_WITH(porous_layer(medium, mean_free_path), Contains("geometric_fibre_diameter is not given"));
}

TEST_CASE("beds of grains drop what the Ergun function of the library fluids says", "[outside]") {
    const ReferenceTable table("ergun_drops.csv");   // made by tests/reference/make_ergun_table.py
    REQUIRE(table.size() == 46);
    for (const ReferenceRow& row : table) {
        AirState fluid = air;
        fluid.density = row.number("density_kg_m3") * kg_per_m3;
        fluid.viscosity = row.number("viscosity_Pa_s") * Pa_s;
        const GranularMedium bed{.thickness = row.number("thickness_m") * m,
                                 .grain_diameter = row.number("grain_diameter_m") * m,
                                 .voidage = row.number("voidage")};
        INFO(row["grain_diameter_m"] << " m, voidage " << row["voidage"] << ", " << row["velocity_m_s"] << " m/s");
        const Pressure drop = row.number("drop_Pa") * Pa;
        const Velocity v = row.number("velocity_m_s") * m_per_s;
        CHECK(pressure_drop(porous_layer(bed), v, fluid) / Pa == Approx(drop / Pa).epsilon(1e-10));
        CHECK(face_velocity(porous_layer(bed), drop, fluid) / m_per_s == Approx(v / m_per_s).epsilon(1e-10));
        GranularMedium flakes = bed;   // of half the sphericity and twice the diameter: the same
        flakes.grain_diameter *= 2.0;
        flakes.sphericity = 0.5;
        CHECK(pressure_drop(porous_layer(flakes), v, fluid) / Pa == Approx(drop / Pa).epsilon(1e-10));
    }
    CHECK_THROWS_WITH(porous_layer(GranularMedium{.thickness = 1 * m, .grain_diameter = 1 * mm, .voidage = 0.9}),
                      Contains("voidage = 0.9; required: from 0.3 to 0.6"));
}

TEST_CASE("velocity is the exact inverse of a layer's pressure drop", "[own]") {
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> exponent(-12, -6), velocity(-3, 3), factor(-2, 6);
    for (int i = 0; i < 1000; ++i) {
        const PorousLayer layer{.thickness = 2 * mm,
                                .permeability = std::pow(10, exponent(random)) * m2,
                                .inertial_factor = (i % 3 == 0 ? 0.0 : std::pow(10, factor(random))) * per_m};
        const Velocity v = (i % 2 == 0 ? 1.0 : -1.0) * std::pow(10, velocity(random)) * m_per_s;
        CHECK(face_velocity(layer, pressure_drop(layer, v, air), air) / m_per_s ==
              Approx(v / m_per_s).epsilon(1e-13));
    }
    CHECK(face_velocity(PorousLayer{.thickness = 1 * mm, .permeability = 1e-10 * m2}, 0 * Pa, air) / m_per_s == 0.0);
}

TEST_CASE("derivatives of a layer are those of the formula", "[own]") {
    using D = Dual<2>;
    const BasicPorousLayer<D> layer{BasicLength<D>::from_value(D(2e-3)),
                                    BasicPermeability<D>::from_value(D::input(1e-10, 0)),
                                    BasicInverseLength<D>::from_value(D(5000.0))};
    const D drop = pressure_drop(layer, BasicVelocity<D>::from_value(D::input(0.3, 1)), air_as<D>(air)).value();
    const double viscous = air.viscosity.value() * 2e-3 * 0.3 / 1e-10;
    CHECK(drop.derivative[0] == Approx(-viscous / 1e-10).epsilon(1e-13));
    CHECK(drop.derivative[1] == Approx(viscous / 0.3 + 2 * 1.204 * 5000 * 2e-3 * 0.3).epsilon(1e-13));
}

TEST_CASE("layers refuse what they cannot be", "[own]") {
    const PorousLayer layer{.thickness = 0 * mm, .permeability = 1e-10 * m2};
    CHECK_THROWS_WITH(pressure_drop(layer, 1 * m_per_s, air),
                      Contains("pressure_drop(PorousLayer): thickness = 0 m; required: > 0"));
    const PorousLayer good{.thickness = 1 * mm, .permeability = 1e-10 * m2};
    CHECK_THROWS_AS(pressure_drop(good, NAN * m_per_s, air), DomainError);
    CHECK_THROWS_AS(face_velocity(good, INFINITY * Pa, air), DomainError);
    CHECK_THROWS_AS(pressure_drop(good, 1 * m_per_s, AirState{}), DomainError);
}
