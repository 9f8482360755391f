// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/particle_motion.hpp>

#include "particle/stated_gas.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;
using stated_gas::gas;

TEST_CASE("relaxation, diffusion and settling of the textbooks", "[outside]") {
    // tests/reference/particle_capture_checks.csv: Seinfeld and Pandis 2006, Tables 9.4 and 9.5;
    // IOM 2000, appendix A.
    const AirState air = gas(298, 1.8e-5);
    CHECK(relaxation_time(Particle{.diameter = 1 * um}, air, davies_slip()) / s == Approx(3.6e-6).epsilon(5e-3));
    CHECK(detail::diffusion_coefficient(0.1e-6, 2.85, air) == Approx(6.91e-10).epsilon(3e-3));   // Cc 2.85 as printed
    CHECK(diffusion_coefficient(0.1 * um, air, davies_slip()).value() == Approx(6.91e-10).epsilon(6e-3));
    CHECK(settling_velocity(Particle{.diameter = 1 * um}, duct_design_air()) / m_per_s == Approx(3.5e-5).epsilon(0.02));
    CHECK(settling_velocity(Particle{.diameter = 10 * um}, duct_design_air()) / m_per_s ==
          Approx(3.0e-3).epsilon(0.02));
}

TEST_CASE("particle motion of the table at 293 K", "[own]") {
    // tests/reference/particle_properties.csv: recomputed from Hinds' slip form, mean free path 66 nm, with
    // rounded constants (g = 9.81 m/s2, k = 1.38e-23 J/K).
    const ReferenceTable table("particle_properties.csv");
    const SlipLaw hinds{1.17, 0.525, 0.78, MeanFreePathLaw::willeke};
    const AirState air = gas(293.15, 1.81e-5, 101325 * 66.4 / 66.0);
    for (const auto& row : table) {
        const Particle particle{.diameter = row.number("d_um") * um};
        CHECK(relaxation_time(particle, air, hinds) / s == Approx(row.number("tau_s")).epsilon(1e-3));
        CHECK(diffusion_coefficient(particle.diameter, air, hinds).value() ==
              Approx(row.number("D_m2_per_s")).epsilon(1e-3));
        if (row.number("Re_p") < 1) {
            CHECK(settling_velocity(particle, air, hinds) / m_per_s ==
                  Approx(row.number("v_ts_stokes_m_per_s")).epsilon(1e-3));
        } else {
            CHECK_THROWS_WITH(settling_velocity(particle, air, hinds),
                              Contains("particle Reynolds number of " + row["d_um"] + " um = ") &&
                                  Contains("settling_beyond_stokes goes on"));
        }
    }
}

TEST_CASE("a shape factor divides relaxation time and diffusion", "[own]") {
    const AirState air = duct_design_air();
    const Particle sphere{0.7 * um, 2650 * kg_per_m3};
    const Particle grain{0.7 * um, 2650 * kg_per_m3, 1.36};
    CHECK(relaxation_time(grain, air).value() == Approx(relaxation_time(sphere, air).value() / 1.36).epsilon(1e-14));
    CHECK(diffusion_coefficient(grain, air).value() ==
          Approx(diffusion_coefficient(sphere.diameter, air).value() / 1.36).epsilon(1e-14));
    CHECK_THROWS_WITH(relaxation_time(Particle{1 * um, 1000 * kg_per_m3, 0.0}, air), Contains("dynamic shape factor"));
    CHECK_THROWS_WITH(diffusion_coefficient(Particle{1 * um, 1000 * kg_per_m3, -1.0}, air),
                      Contains("dynamic shape factor"));
}

TEST_CASE("derivatives of the diffusion coefficient and the relaxation time", "[own]") {
    using D = Dual<2>;
    const AirState air = duct_design_air();
    const BasicParticle<D> particle{BasicLength<D>::from_value(D::input(0.2e-6, 0)),
                                    BasicDensity<D>::from_value(D(1500)), D::input(1.2, 1)};
    const auto plain = [&](double d, double shape) { return Particle{d * m, 1500 * kg_per_m3, shape}; };
    const D b = diffusion_coefficient(particle, air_as<D>(air)).value();
    const D t = relaxation_time(particle, air_as<D>(air)).value();
    const auto slope = [&](auto f) { return (f(1.0001) - f(0.9999)) / 0.0002; };
    CHECK(b.derivative[0] * 0.2e-6 == Approx(slope([&](double f) {
                                          return diffusion_coefficient(plain(0.2e-6 * f, 1.2), air).value();
                                      })).epsilon(1e-6));
    CHECK(b.derivative[1] * 1.2 == Approx(slope([&](double f) {
                                       return diffusion_coefficient(plain(0.2e-6, 1.2 * f), air).value();
                                   })).epsilon(1e-6));
    CHECK(t.derivative[0] * 0.2e-6 ==
          Approx(slope([&](double f) { return relaxation_time(plain(0.2e-6 * f, 1.2), air).value(); })).epsilon(1e-6));
}

TEST_CASE("motion of no particle is refused", "[own]") {
    CHECK_THROWS_WITH(relaxation_time(Particle{.diameter = -1 * um}, duct_design_air()), Contains("particle diameter"));
    CHECK_THROWS_AS(diffusion_coefficient(std::nan("") * um, duct_design_air()), DomainError);
}
