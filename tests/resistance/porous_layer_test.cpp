// SPDX-License-Identifier: BSL-1.0
// The porous layer and its inverse.

#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/resistance/porous_layer.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState air = duct_design_air();

}   // namespace

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
