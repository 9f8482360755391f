// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/settling.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

TEST_CASE("small drops of water fall as measured, from memory", "[own]") {
    // tests/reference/drop_velocities.csv: Gunn and Kinzer 1949, measured, but from memory: no copy was at hand. Drops
    // this small are nearly spheres.
    for (const auto& row : ReferenceTable("drop_velocities.csv")) {
        const Settling fall = settling_beyond_stokes(Particle{row.number("diameter_mm") * mm, 998.2 * kg_per_m3},
                                                     duct_design_air());
        CHECK(fall.velocity / m_per_s == Approx(row.number("velocity_m_s")).epsilon(0.04));
    }
}

TEST_CASE("settling of 1 and 10 um", "[outside]") {
    // IOM 2000, appendix A (read): 3.5e-5 and 3.0e-3 m/s.
    CHECK(settling_beyond_stokes(Particle{1 * um}, duct_design_air()).velocity / m_per_s ==
          Approx(3.5e-5).epsilon(0.02));
    CHECK(settling_beyond_stokes(Particle{10 * um}, duct_design_air()).velocity / m_per_s ==
          Approx(3.0e-3).epsilon(0.02));
}

TEST_CASE("weight and drag balance at the settling velocity", "[own]") {
    const AirState air = duct_design_air();
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    std::size_t beyond = 0;
    double before = 0.0;
    for (std::size_t i = 0; i < test::sweep_length(2000); ++i) {
        const Particle particle{std::pow(10.0, -8 + 5.7 * unit(random)) * m, (500 + 3000 * unit(random)) * kg_per_m3};
        Settling fall;
        try {
            fall = settling_beyond_stokes(particle, air);
        } catch (const DomainError& error) {
            CHECK_THAT(error.what(), Contains("Reynolds number"));
            ++beyond;
            continue;
        }
        const double stokes = relaxation_time(particle, air).value() * detail::standard_gravity;
        const double v = fall.velocity.value();
        const double re = air.density.value() * v * particle.diameter.value() / air.viscosity.value();
        CHECK(fall.reynolds_number == Approx(re).epsilon(1e-12));
        CHECK(v * (1 + 0.15 * std::pow(re, 0.687)) == Approx(stokes).epsilon(1e-12));
        CHECK(v <= stokes * (1 + 1e-12));
        CHECK(re <= 1000.0 * (1 + 1e-12));
        before = std::max(before, re);
    }
    if (test::sweep_length(2000) >= 200) CHECK((beyond > 0 && before > 300));
    CHECK(settling_beyond_stokes(Particle{0.5 * um}, air).velocity.value() ==
          Approx(settling_velocity(Particle{0.5 * um}, air).value()).epsilon(1e-4));
}

TEST_CASE("derivatives of the settling velocity", "[own]") {
    using D = Dual<2>;
    const AirState air = duct_design_air();
    const D v = settling_beyond_stokes(BasicParticle<D>{BasicLength<D>::from_value(D::input(2e-4, 0)),
                                                        BasicDensity<D>::from_value(D::input(1200, 1))},
                                       air_as<D>(air)).velocity.value();
    const auto plain = [&](double d, double density) {
        return settling_beyond_stokes(Particle{d * m, density * kg_per_m3}, air).velocity.value();
    };
    CHECK(v.value == Approx(plain(2e-4, 1200)).epsilon(1e-14));
    CHECK(v.derivative[0] == Approx((plain(2.0002e-4, 1200) - plain(1.9998e-4, 1200)) / 4e-8).epsilon(1e-6));
    CHECK(v.derivative[1] == Approx((plain(2e-4, 1200.1) - plain(2e-4, 1199.9)) / 0.2).epsilon(1e-6));
}

TEST_CASE("settling outside its drag is refused", "[own]") {
    const AirState air = duct_design_air();
    CHECK_THROWS_WITH(settling_beyond_stokes(Particle{5 * mm}, air), Contains("particle Reynolds number"));
    CHECK_THROWS_WITH(settling_beyond_stokes(Particle{50 * um, 1000 * kg_per_m3, 1.2}, air),
                      Contains("shape factor = 1.2"));
    CHECK_THROWS_AS(settling_beyond_stokes(Particle{std::nan("") * um}, air), DomainError);
}
