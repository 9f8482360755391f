// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <array>
#include <numbers>
#include <random>
#include <vector>

#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/numeric/dual.hpp>

#include "capture/table_air.hpp"
#include "support/catch.hpp"
#include "support/reference.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;
using namespace single_fibre_table;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

FibreLayer layer_of(const ReferenceRow& row) {
    return {.medium = {.thickness = row.number("L_m") * m,
                       .geometric_fibre_diameter = row.number("df_m") * m,
                       .solidity = row.number("solidity")},
            .velocity = row.number("U0_m_s") * m_per_s,
            .theory = {.diffusion = DiffusionTerm::hinds, .interstitial_velocity = false, .slip = hinds_slip}};
}

FibreLayer fine_layer() {
    return {.medium = {.thickness = 1 * mm, .geometric_fibre_diameter = 2 * um, .solidity = 0.05},
            .velocity = 0.1 * m_per_s,
            .theory = {}};
}

}   // namespace

TEST_CASE("every term of the single-fibre table", "[own]") {
    // tests/reference/single_fibre.csv: own calculation with the equations of Hinds 1999 and Lee and Liu 1982 (from
    // memory). No published term-by-term table was found.
    const ReferenceTable table("single_fibre.csv");
    REQUIRE(table.size() == 42);
    for (const ReferenceRow& row : table) {
        INFO(row["case"] << ", " << row["d_um"] << " um");
        const FibreLayer layer = layer_of(row);
        const SingleFibreEfficiency e =
            single_fibre_efficiency(layer, Particle{.diameter = row.number("d_um") * um}, table_air());
        CHECK(e.groups.peclet == Approx(row.number("Pe")).epsilon(1e-3));
        CHECK(e.groups.interception_parameter == Approx(row.number("R")).epsilon(1e-6));
        CHECK(e.groups.stokes == Approx(row.number("Stk_df")).epsilon(1e-3));
        CHECK(e.diffusion == Approx(row.number("E_D")).epsilon(1e-3));
        CHECK(e.interception == Approx(row.number("E_R")).epsilon(1e-3));
        CHECK(e.diffusion_interception == Approx(row.number("E_DR")).epsilon(1e-3));
        CHECK(e.impaction == Approx(row.number("E_I")).epsilon(1e-3));
        CHECK(e.combined == Approx(row.number("E_total_product_form")).epsilon(1e-3));
        const double exponent =
            -std::log(penetration(layer, Particle{.diameter = row.number("d_um") * um}, table_air()));
        CHECK(exponent == Approx(-std::log(row.number("penetration_4aEL/(pi df)"))).epsilon(1.5e-3));

        // The other set of the table: Lee and Liu's two terms, summed, exponent with (1 - solidity).
        FibreLayer strict = layer;
        strict.theory.interstitial_velocity = true;
        const double sum = lee_liu_diffusion(e.groups) + lee_liu_interception(e.groups);
        CHECK(detail::layer_constants(strict, table_air(), "test").exponent * sum ==
              Approx(-std::log(row.number("penetration_LeeLiu_D_plus_R_with_1-alpha"))).epsilon(2e-3));
    }
}

TEST_CASE("geometric fibre diameter, layers and conventions", "[own]") {
    const AirState air = duct_design_air();
    const Particle particle{.diameter = 0.3 * um};
    FibreLayer layer = fine_layer();
    const double one = penetration(layer, particle, air);
    layer.medium.thickness = 2 * mm;
    CHECK(penetration(layer, particle, air) == Approx(one * one));
    layer.medium.geometric_fibre_diameter = 1.5 * um;
    CHECK(penetration(layer, particle, air) < one * one);   // finer fibres catch more
    layer = fine_layer();
    layer.theory.interstitial_velocity = false;
    CHECK(std::log(penetration(layer, particle, air)) == Approx(0.95 * std::log(one)));
}

TEST_CASE("terms that leave their data are flagged", "[own]") {
    const AirState air = duct_design_air();
    const SingleFibreEfficiency middle = single_fibre_efficiency(fine_layer(), Particle{.diameter = 0.3 * um}, air);
    CHECK_FALSE(middle.diffusion_outside);
    CHECK_FALSE(middle.impaction_outside);
    CHECK(single_fibre_efficiency(fine_layer(), Particle{.diameter = 0.01 * um}, air).diffusion_outside);
    CHECK(single_fibre_efficiency(fine_layer(), Particle{.diameter = 1 * um}, air).impaction_outside);
    // Each diffusion term by its own range of solidity, and flag and list say the same.
    struct Case {
        DiffusionTerm term;
        double solidity;
        bool outside;
    };
    for (const Case& c : {Case{DiffusionTerm::lee_liu, 0.009, false}, {DiffusionTerm::lee_liu, 0.008, true},
                          {DiffusionTerm::lee_liu, 0.1505, false}, {DiffusionTerm::lee_liu, 0.152, true},
                          {DiffusionTerm::fan_model, 0.0095, true}, {DiffusionTerm::fan_model, 0.1505, true},
                          {DiffusionTerm::fan_model, 0.05, false}, {DiffusionTerm::hinds, 0.005, false},
                          {DiffusionTerm::boundary_layer, 0.2, false}, {DiffusionTerm::stechkina_fuchs, 0.2, false},
                          {DiffusionTerm::kanaoka, 0.2, false}}) {
        FibreLayer layer = fine_layer();
        layer.medium.solidity = c.solidity;
        layer.theory.diffusion = c.term;
        const SingleFibreEfficiency e = single_fibre_efficiency(layer, Particle{.diameter = 0.3 * um}, air);
        CHECK(e.diffusion_outside == c.outside);
        bool listed = false;
        for (const TermRange& range : term_ranges(e.groups, layer.theory)) {
            if (range.term == detail::diffusion_range(c.term).term) listed = listed || !range.status.inside();
        }
        CHECK(listed == c.outside);
        CHECK(single_fibre_efficiency(layer, Particle{.diameter = 0.005 * um}, air).diffusion_outside);   // Pe < 10
    }
}

TEST_CASE("derivatives of penetration", "[own]") {
    using D = Dual<3>;
    const AirState air = duct_design_air();
    BasicFibreLayer<D> layer{
        {.thickness = BasicLength<D>::from_value(D(1e-3)),
         .geometric_fibre_diameter = BasicLength<D>::from_value(D::input(2e-6, 0)),
         .solidity = D::input(0.05, 1)},
        BasicVelocity<D>::from_value(D::input(0.1, 2)),
        {}};
    const D p = penetration(layer, BasicParticle<D>{BasicLength<D>::from_value(D(0.2e-6))}, air_as<D>(air));
    const auto plain = [&](double d_f, double a, double u) {
        FibreLayer l = fine_layer();
        l.medium.geometric_fibre_diameter = d_f * m;
        l.medium.solidity = a;
        l.velocity = u * m_per_s;
        return penetration(l, Particle{.diameter = 0.2 * um}, air);
    };
    CHECK(p.value == Approx(plain(2e-6, 0.05, 0.1)).epsilon(1e-14));
    CHECK(p.derivative[0] == Approx((plain(2.0001e-6, 0.05, 0.1) - plain(1.9999e-6, 0.05, 0.1)) / 2e-10).epsilon(1e-6));
    CHECK(p.derivative[1] == Approx((plain(2e-6, 0.05001, 0.1) - plain(2e-6, 0.04999, 0.1)) / 2e-5).epsilon(1e-6));
    CHECK(p.derivative[2] == Approx((plain(2e-6, 0.05, 0.10001) - plain(2e-6, 0.05, 0.09999)) / 2e-5).epsilon(1e-6));
}

TEST_CASE("layers that are none are refused", "[own]") {
    const AirState air = duct_design_air();
    FibreLayer layer = fine_layer();
    layer.medium.solidity = 0.4;
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air), Contains("solidity = 0.4"));
    layer = fine_layer();
    layer.medium.effective_fibre_diameter = layer.medium.geometric_fibre_diameter;
    layer.medium.geometric_fibre_diameter.reset();   // the effective one is not taken in its place
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air),
                      Contains("penetration(FibreLayer): geometric_fibre_diameter is not given"));
    layer = fine_layer();
    layer.velocity = 0 * m_per_s;
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air), Contains("velocity = 0 m/s"));
    layer = fine_layer();
    layer.theory.particle_charge.relative_permittivity = 0.5;
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air),
                      Contains("permittivity of the particle = 0.5"));
    layer = fine_layer();
    layer.charge.surface_charge = -1 * uC_per_m2;
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air), Contains("surface_charge"));
    CHECK_THROWS_WITH(penetration<double>(std::span<const FibreLayer>(), Particle{.diameter = 0.3 * um}, air),
                      Contains("number of layers"));
}

TEST_CASE("each choice of a theory is the term it names", "[own]") {
    const AirState air = duct_design_air();
    const Particle particle{.diameter = 0.4 * um};
    FibreLayer layer = fine_layer();
    const SingleFibreEfficiency plain = single_fibre_efficiency(layer, particle, air);
    const FibreGroups groups = plain.groups;
    const auto with = [&](auto change) {
        FibreLayer other = layer;
        change(other.theory);
        return single_fibre_efficiency(other, particle, air);
    };
    CHECK(plain.diffusion == Approx(lee_liu_diffusion(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.diffusion = DiffusionTerm::boundary_layer; }).diffusion ==
          Approx(boundary_layer_diffusion(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.diffusion = DiffusionTerm::fan_model; }).diffusion ==
          Approx(fan_model_diffusion(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.diffusion = DiffusionTerm::kanaoka; }).diffusion ==
          Approx(kanaoka_diffusion(groups)).epsilon(1e-13));
    const auto stechkina = with([](auto& t) { t.diffusion = DiffusionTerm::stechkina_fuchs; });
    CHECK(stechkina.diffusion == Approx(stechkina_fuchs_diffusion(groups)).epsilon(1e-13));
    CHECK(stechkina.diffusion_interception == Approx(diffusion_interception(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.interception = InterceptionTerm::lee_liu; }).interception ==
          Approx(lee_liu_interception(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.impaction = ImpactionTerm::none; }).impaction == 0.0);
    CHECK(with([](auto& t) { t.impaction = ImpactionTerm::landahl_herrmann; }).impaction ==
          Approx(landahl_herrmann_impaction(groups)).epsilon(1e-13));
    const auto table = with([](auto& t) { t.impaction = ImpactionTerm::trajectories; });
    CHECK(table.interception + table.impaction == Approx(trajectory_capture(groups).efficiency).epsilon(1e-12));
    CHECK(with([](auto& t) { t.gravity = GravityTerm::flow_down; }).gravity ==
          Approx(gravity_downward(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.gravity = GravityTerm::flow_up; }).gravity ==
          Approx(-gravity_downward(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.gravity = GravityTerm::flow_up; }).combined < plain.combined);
    CHECK(with([](auto& t) { t.gravity = GravityTerm::flow_horizontal; }).gravity ==
          Approx(groups.gravity * groups.gravity).epsilon(1e-13));
    const auto slip = with([](auto& t) { t.fibre_slip = true; });
    CHECK(slip.diffusion == Approx(lee_liu_diffusion(groups) * diffusion_slip_factor(groups)).epsilon(1e-13));
    CHECK(slip.interception ==
          Approx(streamline_interception(groups) * interception_slip_factor(groups)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.limited_diffusion = true; }).diffusion ==
          Approx(plain.diffusion / (1 + plain.diffusion)).epsilon(1e-13));
    CHECK(with([](auto& t) { t.combination = FibreCombination::sum; }).combined ==
          Approx(plain.diffusion + plain.interception + plain.impaction).epsilon(1e-13));
}

TEST_CASE("penetration averages over the charges that particles keep", "[own]") {
    // Second method: fixed charges one by one, weighted by their shares.
    const AirState air = duct_design_air();
    FibreLayer layer = fine_layer();
    for (const ElectricTerm term :
         {ElectricTerm::electret, ElectricTerm::line_charge, ElectricTerm::image, ElectricTerm::kanaoka}) {
        layer.theory = {};
        layer.theory.electric = term;
        layer.charge.surface_charge = 20 * uC_per_m2;
        layer.charge.line_charge = 0.05 * nC_per_m;
        for (const double size : {0.05, 0.3, 2.0}) {
            const Particle particle{size * um};
            layer.theory.particle_charge.state = ParticleChargeState::boltzmann;
            const double mean = penetration(layer, particle, air);
            const std::vector<double> shares = boltzmann_charge_shares(particle.diameter, air.temperature);
            layer.theory.particle_charge.state = ParticleChargeState::fixed;
            double sum = 0.0;
            for (std::size_t n = 0; n < shares.size(); ++n) {
                for (const double sign : {-1.0, 1.0}) {
                    layer.theory.particle_charge.elementary_charges = sign * static_cast<double>(n);
                    sum += (n == 0 ? 0.5 : 1.0) * shares[n] * penetration(layer, particle, air);
                }
            }
            CHECK(mean == Approx(sum).epsilon(1e-9));
        }
    }
    // A charge catches more, and the same however it is signed at an electret.
    layer = fine_layer();
    const double neutral = penetration(layer, Particle{0.3 * um}, air);
    layer.theory.electric = ElectricTerm::electret;
    CHECK(penetration(layer, Particle{0.3 * um}, air) == Approx(neutral).epsilon(1e-12));   // no charge on the fibres
    layer.charge.surface_charge = 20 * uC_per_m2;
    CHECK(penetration(layer, Particle{0.3 * um}, air) < neutral);
    // Particles of the fibre's sign are driven off: they pass more easily than without charge.
    layer.theory.electric = ElectricTerm::line_charge;
    layer.charge.line_charge = 1 * nC_per_m;
    layer.theory.particle_charge = {ParticleChargeState::fixed, 30.0, 1.0};
    CHECK(penetration(layer, Particle{0.3 * um}, air) > neutral);
    layer.theory.particle_charge.elementary_charges = -30.0;
    CHECK(penetration(layer, Particle{0.3 * um}, air) < neutral);
}

TEST_CASE("random layers pass between nothing and all, whatever the theory", "[own]") {
    std::mt19937_64 random(41);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    const AirState air = duct_design_air();
    for (std::size_t i = 0; i < test::sweep_length(20000); ++i) {
        FibreLayer layer{.medium = {.thickness = std::pow(10, -5 + 4 * unit(random)) * m,
                                    .geometric_fibre_diameter = std::pow(10, -7 + 3 * unit(random)) * m,
                                    .solidity = 0.001 + 0.249 * unit(random)},
                         .velocity = std::pow(10, -4 + 5 * unit(random)) * m_per_s,
                         .theory = {}};
        SingleFibreTheory& t = layer.theory;
        t.diffusion = static_cast<DiffusionTerm>(random() % 6);
        t.interstitial_velocity = random() % 2 == 0;
        t.interception = static_cast<InterceptionTerm>(random() % 2);
        t.impaction = static_cast<ImpactionTerm>(random() % 4);
        t.gravity = static_cast<GravityTerm>(random() % 4);
        t.electric = static_cast<ElectricTerm>(random() % 5);
        t.combination = static_cast<FibreCombination>(random() % 2);
        t.fibre_slip = random() % 2 == 0;
        t.limited_diffusion = random() % 2 == 0;
        t.particle_charge.state = static_cast<ParticleChargeState>(random() % 2);
        t.particle_charge.elementary_charges = std::floor(200 * (unit(random) - 0.5));
        layer.charge.surface_charge = std::pow(10, -2 + 5 * unit(random)) * uC_per_m2;
        layer.charge.line_charge = std::pow(10, -4 + 4 * unit(random)) * nC_per_m;
        const Particle particle{std::pow(10, -9 + 5 * unit(random)) * m, (200 + 5000 * unit(random)) * kg_per_m3};
        const double p = penetration(layer, particle, air);
        CHECK((p >= 0.0 && p <= 1.0));
        const SingleFibreEfficiency e = single_fibre_efficiency(layer, particle, air);
        CHECK((std::isfinite(e.combined) && e.combined >= 0.0));
        if (t.combination == FibreCombination::independent) CHECK(e.combined <= 1.0);
        const std::array<Length, 1> size{particle.diameter};
        CHECK(penetration_curve(layer, size, particle.density, air)[0] == Approx(p).epsilon(1e-12).margin(1e-300));
        CHECK_FALSE(term_ranges(e.groups, t).empty());
    }
}

TEST_CASE("ranges of the terms in numbers", "[own]") {
    const AirState air = duct_design_air();
    const SingleFibreEfficiency e = single_fibre_efficiency(fine_layer(), Particle{.diameter = 1 * um}, air);
    bool found = false;
    for (const TermRange& range : term_ranges(e.groups, fine_layer().theory)) {
        if (range.term != "stechkina_impaction" || range.status.quantity != "interception parameter") continue;
        found = true;
        CHECK(range.status.crossed == RangeLimit::greatest);
        CHECK(range.status.beyond == Approx(0.5 / 0.4 - 1));
    }
    CHECK(found);
    FibreLayer charged = fine_layer();
    CHECK(term_ranges(charged, Particle{0.03 * um}, air).back().term != "boltzmann_charge_shares");
    charged.theory.electric = ElectricTerm::electret;
    const TermRange boltzmann = term_ranges(charged, Particle{0.03 * um}, air).back();
    CHECK(boltzmann.term == "boltzmann_charge_shares");
    CHECK(boltzmann.status.crossed == RangeLimit::least);
    CHECK(term_ranges(charged, Particle{0.06 * um}, air).back().status.inside());
    SingleFibreTheory table;
    table.impaction = ImpactionTerm::trajectories;
    std::size_t of_table = 0;
    for (const TermRange& range : term_ranges(e.groups, table))
        of_table += range.term == "trajectory_capture" ? 1U : 0U;
    CHECK(of_table == 3);
}

TEST_CASE("a curve is its points, layers in series multiply", "[own]") {
    const AirState air = duct_design_air();
    std::vector<Length> sizes;
    for (int i = 0; i < 40; ++i) sizes.push_back(0.01 * std::pow(1.2, i) * um);
    FibreLayer layer = fine_layer();
    const std::vector<double> curve = penetration_curve(layer, sizes, 1700 * kg_per_m3, air);
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        CHECK(curve[i] == Approx(penetration(layer, Particle{sizes[i], 1700 * kg_per_m3}, air)).epsilon(1e-14));
    }
    FibreLayer coarse = fine_layer();
    coarse.medium.geometric_fibre_diameter = 15 * um;
    const std::array<FibreLayer, 2> both{coarse, layer};
    const Particle particle{0.5 * um};
    CHECK(penetration<double>(std::span<const FibreLayer>(both), particle, air) ==
          Approx(penetration(coarse, particle, air) * penetration(layer, particle, air)).epsilon(1e-14));
    const std::array<Length, 1> none{0 * um};
    CHECK_THROWS_WITH(penetration_curve(layer, none, 1000 * kg_per_m3, air), Contains("particle diameter = 0"));
}
