// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/numeric/dual.hpp>
#include <filterflow/particle/particle_motion.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceTable;

namespace {

AirState gas(double kelvin, double viscosity, double pascal = 101325) {
    AirState air = duct_design_air();
    air.temperature = Temperature::from_value(kelvin);
    air.viscosity = DynamicViscosity::from_value(viscosity);
    air.pressure = Pressure::from_value(pascal);
    return air;
}

}   // namespace

TEST_CASE("relaxation, diffusion, settling and aerodynamic diameter of the textbooks", "[outside]") {
    // tests/reference/particle_capture_checks.csv: Seinfeld and Pandis 2006, Tables 9.4 and 9.5;
    // Abulencia and Theodore, example 23.1; IOM 2000, appendix A.
    const AirState air = gas(298, 1.8e-5);
    CHECK(relaxation_time(Particle{.diameter = 1 * um}, air, davies_slip()) / s == Approx(3.6e-6).epsilon(5e-3));
    CHECK(detail::diffusion_coefficient(0.1e-6, 2.85, air) == Approx(6.91e-10).epsilon(3e-3));   // Cc 2.85 as printed
    CHECK(diffusion_coefficient(0.1 * um, air, davies_slip()).value() == Approx(6.91e-10).epsilon(6e-3));
    CHECK(settling_velocity(Particle{.diameter = 1 * um}, duct_design_air()) / m_per_s == Approx(3.5e-5).epsilon(0.02));
    CHECK(settling_velocity(Particle{.diameter = 10 * um}, duct_design_air()) / m_per_s == Approx(3.0e-3).epsilon(0.02));
    const SlipLaw continuum{0, 0, 1, MeanFreePathLaw::kinetic};
    CHECK(aerodynamic_diameter(Particle{1.4 * um, 2000 * kg_per_m3}, air, continuum) / um ==
          Approx(1.98).epsilon(3e-3));
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
            CHECK_THROWS_WITH(settling_velocity(particle, air, hinds), Contains("particle Reynolds number"));
        }
    }
}

TEST_CASE("the sphere of the aerodynamic diameter settles as fast", "[own]") {
    const AirState air = duct_design_air();
    for (const double d : {0.02, 0.3, 2.0, 20.0}) {
        for (const double density : {300.0, 1000.0, 2650.0, 8000.0}) {
            const Particle particle{d * um, density * kg_per_m3};
            const Length aerodynamic = aerodynamic_diameter(particle, air);
            CHECK(relaxation_time(Particle{.diameter = aerodynamic}, air).value() ==
                  Approx(relaxation_time(particle, air).value()).epsilon(1e-12));
        }
    }
    CHECK(aerodynamic_diameter(Particle{.diameter = 0.4 * um}, air) / um == Approx(0.4).epsilon(1e-14));
}

TEST_CASE("derivatives pass through the solver", "[own]") {
    using D = Dual<2>;
    const AirState air = duct_design_air();
    const BasicParticle<D> particle{BasicLength<D>::from_value(D::input(0.4e-6, 0)),
                                    BasicDensity<D>::from_value(D::input(2650, 1))};
    const D x = aerodynamic_diameter(particle, air_as<D>(air)).value();
    const auto plain = [&](double d, double density) {
        return aerodynamic_diameter(Particle{d * m, density * kg_per_m3}, air).value();
    };
    CHECK(x.value == Approx(plain(0.4e-6, 2650)).epsilon(1e-14));
    CHECK(x.derivative[0] == Approx((plain(0.4001e-6, 2650) - plain(0.3999e-6, 2650)) / 2e-10).epsilon(1e-6));
    CHECK(x.derivative[1] == Approx((plain(0.4e-6, 2651) - plain(0.4e-6, 2649)) / 2).epsilon(1e-6));
}

TEST_CASE("motion of no particle is refused", "[own]") {
    CHECK_THROWS_WITH(relaxation_time(Particle{.diameter = -1 * um}, duct_design_air()), Contains("particle diameter"));
    CHECK_THROWS_AS(aerodynamic_diameter(Particle{1 * um, 0 * kg_per_m3}, duct_design_air()), DomainError);
    CHECK_THROWS_AS(diffusion_coefficient(std::nan("") * um, duct_design_air()), DomainError);
}
