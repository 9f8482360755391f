// SPDX-License-Identifier: BSL-1.0
#include <cmath>

#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

FibreLayer choices_layer() {
    FibreLayer layer{.medium = {.thickness = 0.5 * mm, .geometric_fibre_diameter = 1.5 * um, .solidity = 0.05},
                     .velocity = 0.1 * m_per_s,
                     .theory = {}};
    layer.charge.surface_charge = 20 * uC_per_m2;
    return layer;
}

}   // namespace

TEST_CASE("trajectories without slip say so where a theory asks for slip on the fibre", "[own]") {
    const AirState air = duct_design_air();
    const Particle particle{0.5 * um};
    FibreLayer layer = choices_layer();
    layer.theory.impaction = ImpactionTerm::trajectories;
    CHECK(theory_conflicts(layer.theory).empty());
    const SingleFibreEfficiency without = single_fibre_efficiency(layer, particle, air);
    CHECK_FALSE(without.interception_replaced);

    layer.theory.fibre_slip = true;
    const SingleFibreEfficiency with = single_fibre_efficiency(layer, particle, air);
    CHECK(with.interception_replaced);
    CHECK(with.diffusion > without.diffusion * 1.01);        // slip counts here
    CHECK(with.interception == without.interception);        // and not here
    CHECK(with.interception == streamline_interception(with.groups));
    CHECK(with.impaction == without.impaction);
    CHECK(with.interception + with.impaction == Approx(trajectory_capture(with.groups).efficiency).epsilon(1e-12));
    const std::vector<std::string> texts = theory_conflicts(layer.theory);
    REQUIRE(texts.size() == 1);
    CHECK_THAT(texts[0], Contains("slip on the fibre counts for diffusion alone"));
    // 1.5 um fibres have Kn_f 0.09, beyond the 0.02 up to which trajectories without slip hold.
    std::size_t found = 0;
    for (const TermRange& range : term_ranges(layer, particle, air)) {
        if (range.term != "trajectory_capture" || range.status.quantity != "fibre Knudsen number") continue;
        ++found;
        CHECK(range.status.crossed == RangeLimit::greatest);
        CHECK(range.status.beyond == Approx(with.groups.fibre_knudsen / 0.02 - 1));
    }
    CHECK(found == 1);

    layer.theory.fibre_slip = false;
    layer.theory.interception = InterceptionTerm::lee_liu;
    const SingleFibreEfficiency other = single_fibre_efficiency(layer, particle, air);
    CHECK(other.interception_replaced);
    CHECK(other.combined == without.combined);
    REQUIRE(theory_conflicts(layer.theory).size() == 1);
    CHECK_THAT(theory_conflicts(layer.theory)[0], Contains("Lee and Liu counts for nothing"));
    layer.theory.impaction = ImpactionTerm::stechkina;
    CHECK_FALSE(single_fibre_efficiency(layer, particle, air).interception_replaced);
    CHECK(theory_conflicts(layer.theory).empty());
}

TEST_CASE("Kanaoka's terms go together and are named where they do not", "[own]") {
    const AirState air = duct_design_air();
    FibreLayer layer = choices_layer();
    layer.theory.diffusion = DiffusionTerm::kanaoka;
    REQUIRE(theory_conflicts(layer.theory).size() == 1);
    CHECK_THAT(theory_conflicts(layer.theory)[0], Contains("goes with the electric term of Kanaoka"));
    layer.theory.electric = ElectricTerm::kanaoka;
    REQUIRE(theory_conflicts(layer.theory).size() == 1);
    CHECK_THAT(theory_conflicts(layer.theory)[0], Contains("groups of ours"));
    layer.theory.diffusion = DiffusionTerm::lee_liu;
    REQUIRE(theory_conflicts(layer.theory).size() == 2);
    CHECK_THAT(theory_conflicts(layer.theory)[0], Contains("fitted together with its own diffusion"));

    // Summed as its source has it, the theory is the function of three groups: drift velocities at the fibre over U,
    // by Coulomb's force s q/(eps0 (1 + e_f)) and by that on the induced dipole, written out here.
    layer.theory = {};
    layer.theory.diffusion = DiffusionTerm::kanaoka;
    layer.theory.electric = ElectricTerm::kanaoka;
    layer.theory.impaction = ImpactionTerm::none;
    layer.theory.combination = FibreCombination::sum;
    layer.theory.particle_charge = {ParticleChargeState::fixed, 3.0, 2.5};
    const double e0 = 8.8541878128e-12, pi = 3.14159265358979, sigma = 20e-6, e_f = 2.2, d_f = 1.5e-6, u = 0.1;
    for (const double size : {0.05e-6, 0.3e-6, 1e-6}) {
        const Particle particle{size * m};
        const SingleFibreEfficiency e = single_fibre_efficiency(layer, particle, air);
        const double mobility =
            slip_correction(particle.diameter, air) / (3 * pi * air.viscosity.value() * size);
        const double field = sigma / (e0 * (1 + e_f));
        const double coulomb = mobility * 3 * 1.602176634e-19 * field / u;
        // F = 4 pi eps0 (d/2)^3 K E |dE/dr|, E ~ 1/r^2, so that |dE/dr| = 2 E/r = 4 E/d_f at the fibre
        const double dipole = 4 * pi * e0 * std::pow(size / 2, 3) * (1.5 / 4.5) * field * 4 * field / d_f;
        const double induced = mobility * dipole / u;
        CHECK(e.coulomb == Approx(0.16 * std::pow(coulomb / 1.0, 0.75)).epsilon(1e-9));
        CHECK(e.polarisation == Approx(0.19 * std::pow(induced, 0.4)).epsilon(1e-9));
        CHECK(e.combined == Approx(e.interception + kanaoka_electret_capture(e.groups.peclet, coulomb, induced))
                                .epsilon(1e-9));
    }
}

TEST_CASE("derivatives of Kanaoka's theory", "[own]") {
    using D = Dual<1>;
    const AirState air = duct_design_air();
    FibreLayer layer = choices_layer();
    layer.theory.diffusion = DiffusionTerm::kanaoka;
    layer.theory.electric = ElectricTerm::kanaoka;
    const auto at = [&](auto charge) {
        using T = decltype(charge);
        BasicFibreLayer<T> of{{.thickness = BasicLength<T>::from_value(T(5e-4)),
                               .geometric_fibre_diameter = BasicLength<T>::from_value(T(1.5e-6)),
                               .solidity = T(0.05)},
                              BasicVelocity<T>::from_value(T(0.1)),
                              layer.theory};
        of.charge.surface_charge = BasicSurfaceCharge<T>::from_value(charge);
        return penetration<T>(of, BasicParticle<T>{BasicLength<T>::from_value(T(3e-7))}, air_as<T>(air));
    };
    const double step = 1e-10;
    CHECK(at(D::input(2e-5, 0)).derivative[0] ==
          Approx((at(2e-5 + step) - at(2e-5 - step)) / (2 * step)).epsilon(1e-6));
    CHECK(at(D::input(0.0, 0)).derivative[0] == 0.0);   // the slope there is infinite: no charge is given none
}
