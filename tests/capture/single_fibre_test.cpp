// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <numbers>

#include <filterflow/capture/single_fibre.hpp>
#include <filterflow/numeric/dual.hpp>

#include "support/catch.hpp"
#include "support/reference.hpp"

using namespace filterflow;
using namespace filterflow::units;
using filterflow::test::ReferenceRow;
using filterflow::test::ReferenceTable;

namespace {

const SlipLaw hinds_slip{1.17, 0.525, 0.78, MeanFreePathLaw::willeke};

/// 293.15 K, viscosity 1.81e-5 Pa s, Willeke's mean free path 66 nm.
AirState table_air() {
    AirState air = duct_design_air();
    air.viscosity = DynamicViscosity::from_value(1.81e-5);
    air.pressure = Pressure::from_value(101325 * 66.4 / 66.0);
    return air;
}

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
        const double exponent = -std::log(penetration(layer, Particle{.diameter = row.number("d_um") * um}, table_air()));
        CHECK(exponent == Approx(-std::log(row.number("penetration_4aEL/(pi df)"))).epsilon(1.5e-3));

        // The other set of the table: Lee and Liu's two terms, summed, exponent with (1 - solidity).
        FibreLayer strict = layer;
        strict.theory.interstitial_velocity = true;
        const double sum = lee_liu_diffusion(e.groups) + lee_liu_interception(e.groups);
        CHECK(detail::layer_exponent(strict, sum) ==
              Approx(-std::log(row.number("penetration_LeeLiu_D_plus_R_with_1-alpha"))).epsilon(2e-3));
    }
}

TEST_CASE("interception is the streamline one particle radius off the fibre", "[own]") {
    // tests/reference/particle_capture_checks.csv, interception: exact numbers from the stream function.
    CHECK(streamline_interception({0.05, 100, 0.1, 0}) == Approx(0.0111453).epsilon(1e-5));
    CHECK(streamline_interception({0.1, 100, 0.5, 0}) == Approx(0.331780).epsilon(1e-5));
    // Second method: Kuwabara's stream function at the distance itself, over the fibre's radius.
    for (const double a : {0.01, 0.08, 0.2}) {
        for (const double r : {0.02, 0.3, 1.0}) {
            const double rho = 1.0 + r;   // over the radius
            const double psi = (2 * std::log(rho) - 1 + a + (1 - a / 2) / (rho * rho) - a / 2 * rho * rho) * rho /
                               (2 * kuwabara_factor(a));
            CHECK(streamline_interception({a, 100, r, 0}) == Approx(psi).epsilon(1e-9));
        }
    }
}

TEST_CASE("size of greatest penetration, closed form of Lee and Liu", "[outside]") {
    // Lee and Liu 1980 (from memory; tests/reference/particle_capture_checks.csv), with Cc = 2.609 (2 l/d)^(1/2):
    // d = 0.885 {(Ku/(1 - a)) l^(1/2) (k T/mu) d_f^2/U}^(2/9), theory coefficients 2.58 and 1.0;
    // E = 1.44 {((1 - a)/Ku)^5 (l^(1/2) k T/mu)^4 / (U^4 d_f^10)}^(1/9), experimental coefficients 1.6 and 0.6.
    // Found here by differentiating our own two terms, in the limit of small R.
    const double a = 0.05, d_f = 2e-6, u = 0.1, l = 0.066e-6, mu = 1.81e-5;
    const double kt = detail::boltzmann_constant * 293.15;
    const double space = (1 - a) / kuwabara_factor(a);
    const double diffusion = 2.609 * std::sqrt(2 * l) * kt / (3 * std::numbers::pi * mu);   // D = diffusion d^-1.5
    const double peclet = u * d_f / diffusion;                                              // Pe = peclet d^1.5
    const double size_scale = std::pow(std::sqrt(l) * kt / mu * d_f * d_f / (space * u), 2.0 / 9);
    const double efficiency_scale = std::pow(
        std::pow(space, 5) * std::pow(std::sqrt(l) * kt / mu, 4) / (std::pow(u, 4) * std::pow(d_f, 10)), 1.0 / 9);
    const double small = 1e-6;   // R
    const double ours_diffusion = lee_liu_diffusion({a, peclet, small, 0});                    // times 1/d
    const double ours_interception = lee_liu_interception({a, peclet, small, 0}) / (small * small * d_f * d_f);   // times d^2
    const double d_ours = std::cbrt(ours_diffusion / (2 * ours_interception));
    CHECK((ours_diffusion / d_ours + ours_interception * d_ours * d_ours) / efficiency_scale ==
          Approx(1.44).epsilon(4e-3));
    const double d_theory = std::cbrt(ours_diffusion * 2.58 / 1.6 / (2 * ours_interception / 0.6));
    CHECK(d_theory / size_scale == Approx(0.885).epsilon(4e-3));
}

TEST_CASE("the search finds the greatest penetration", "[own]") {
    // The filter of Tan 2014, example 6.5, with the textbook set: own values .353 um and .742.
    FibreLayer tan{.medium = {.thickness = 2 * mm, .geometric_fibre_diameter = 5 * um, .solidity = 0.03},
                   .velocity = 0.05 * m_per_s,
                   .theory = {DiffusionTerm::hinds, false, hinds_slip}};
    const MostPenetratingSize most = find_most_penetrating_size(tan, 1000 * kg_per_m3, table_air());
    CHECK(most.diameter / um == Approx(0.353).epsilon(3e-3));
    CHECK(most.penetration == Approx(0.742).epsilon(1e-3));
    CHECK_FALSE(most.at_limit);
    for (const double factor : {0.9, 0.999, 1.001, 1.1}) {
        const Particle beside{.diameter = Length::from_value(factor * most.diameter.value())};
        CHECK(penetration(tan, beside, table_air()) <= most.penetration * (1 + 1e-12));
    }
    CHECK(penetration(tan, Particle{.diameter = most.diameter}, table_air()) == Approx(most.penetration).epsilon(1e-12));

    // Fibres as thick as wire: nothing but what settles on the largest is caught, greatest penetration below.
    const FibreLayer wire{.medium = {.thickness = 1 * mm, .geometric_fibre_diameter = 2000 * um, .solidity = 0.02},
                          .velocity = 1e-4 * m_per_s,
                          .theory = {}};
    const MostPenetratingSize edge = find_most_penetrating_size(wire, 1000 * kg_per_m3, table_air());
    CHECK(edge.at_limit);
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
                      Contains("single_fibre_efficiency: geometric_fibre_diameter is not given"));
    layer = fine_layer();
    layer.velocity = 0 * m_per_s;
    CHECK_THROWS_WITH(penetration(layer, Particle{.diameter = 0.3 * um}, air), Contains("velocity = 0 m/s"));
    CHECK_THROWS_WITH(lee_liu_diffusion({0.05, -1, 0.1, 0}), Contains("peclet = -1"));
    CHECK_THROWS_AS(stechkina_impaction({0.05, 1, std::nan(""), 0}), DomainError);
}
