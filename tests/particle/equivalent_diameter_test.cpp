// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/equivalent_diameter.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

TEST_CASE("aerodynamic diameter of the textbook", "[outside]") {
    // tests/reference/particle_capture_checks.csv: Abulencia and Theodore, example 23.1, without slip.
    const SlipLaw continuum{0, 0, 1, MeanFreePathLaw::kinetic};
    CHECK(aerodynamic_diameter(Particle{1.4 * um, 2000 * kg_per_m3}, duct_design_air(), continuum) / um ==
          Approx(1.98).epsilon(3e-3));
}

TEST_CASE("the sphere of the aerodynamic diameter settles as fast", "[own]") {
    const AirState air = duct_design_air();
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (std::size_t i = 0; i < test::sweep_length(2000); ++i) {
        const double d = std::pow(10.0, -3 + 5 * unit(random)), density = std::pow(10.0, 2 + 2 * unit(random));
        const double shape = 1 + unit(random);
        const Particle particle{d * um, density * kg_per_m3, shape};
        const Length aerodynamic = aerodynamic_diameter(particle, air);
        CHECK(relaxation_time(Particle{.diameter = aerodynamic}, air).value() ==
              Approx(relaxation_time(particle, air).value()).epsilon(1e-12));
        CHECK(volume_equivalent_diameter({aerodynamic, density * kg_per_m3, shape}, air) / um ==
              Approx(d).epsilon(1e-12));
    }
    CHECK(aerodynamic_diameter(Particle{.diameter = 0.4 * um}, air) / um == Approx(0.4).epsilon(1e-14));
    // Both limits: large particles by the root of the density, small ones in proportion to it.
    CHECK(aerodynamic_diameter(Particle{100 * um, 4000 * kg_per_m3}, air) / um == Approx(200).epsilon(2e-3));
    CHECK(aerodynamic_diameter(Particle{0.0005 * um, 4000 * kg_per_m3}, air) / um == Approx(0.002).epsilon(0.01));
}

TEST_CASE("derivatives pass through the solver", "[own]") {
    using D = Dual<3>;
    const AirState air = duct_design_air();
    const auto slope = [](auto f) { return (f(1.0001) - f(0.9999)) / 0.0002; };
    const BasicParticle<D> particle{BasicLength<D>::from_value(D::input(0.4e-6, 0)),
                                    BasicDensity<D>::from_value(D::input(2650, 1)), D::input(1.3, 2)};
    const D x = aerodynamic_diameter(particle, air_as<D>(air)).value();
    const auto plain = [&](double d, double density, double shape) {
        return aerodynamic_diameter(Particle{d * m, density * kg_per_m3, shape}, air).value();
    };
    CHECK(x.value == Approx(plain(0.4e-6, 2650, 1.3)).epsilon(1e-14));
    CHECK(x.derivative[0] * 0.4e-6 ==
          Approx(slope([&](double f) { return plain(0.4e-6 * f, 2650, 1.3); })).epsilon(1e-6));
    CHECK(x.derivative[1] * 2650 ==
          Approx(slope([&](double f) { return plain(0.4e-6, 2650 * f, 1.3); })).epsilon(1e-6));
    CHECK(x.derivative[2] * 1.3 == Approx(slope([&](double f) { return plain(0.4e-6, 2650, 1.3 * f); })).epsilon(1e-6));
    const D back = volume_equivalent_diameter<D>({BasicLength<D>::from_value(x), particle.density,
                                                  particle.dynamic_shape_factor}, air_as<D>(air)).value();
    CHECK(back.derivative[0] == Approx(1.0).epsilon(1e-9));   // there and back
    CHECK(back.derivative[1] == Approx(0.0).margin(1e-18));
}

TEST_CASE("diameters of no particle are refused", "[own]") {
    const AirState air = duct_design_air();
    CHECK_THROWS_WITH(aerodynamic_diameter(Particle{1 * um, 0 * kg_per_m3}, air), Contains("particle density"));
    CHECK_THROWS_WITH(volume_equivalent_diameter({.aerodynamic_diameter = -1 * um}, air),
                      Contains("aerodynamic diameter"));
    CHECK_THROWS_WITH(volume_equivalent_diameter({1 * um, 1000 * kg_per_m3, std::nan("")}, air),
                      Contains("shape factor"));
}
