// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>

#include <filterflow/capture/single_fibre_fit.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

/// Readings made from a layer, with noise where asked for.
FibreFitInput readings_of(double fibre_um, double solidity, double charge_uC, double relative_noise, unsigned seed) {
    FibreFitInput input{.readings = {}, .thickness = 0.6 * mm, .theory = {}, .particle_density = 1700 * kg_per_m3};
    input.theory.electric = ElectricTerm::electret;
    FibreLayer layer{.medium = {.thickness = input.thickness, .geometric_fibre_diameter = fibre_um * um,
                                .solidity = solidity},
                     .velocity = 0.1 * m_per_s,
                     .theory = input.theory};
    layer.charge.surface_charge = charge_uC * uC_per_m2;
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    for (const double velocity : {0.05, 0.2}) {
        layer.velocity = velocity * m_per_s;
        for (const double size : {0.03, 0.06, 0.12, 0.2, 0.35, 0.6, 1.0, 1.7}) {
            const double p = penetration(layer, Particle{size * um, input.particle_density}, duct_design_air());
            const double u = relative_noise * (p + 0.01);
            input.readings.push_back({size * um, velocity * m_per_s, std::max(0.0, p + u * normal(random)), u});
        }
    }
    for (FibreReading& reading : input.readings)
        reading.standard_uncertainty = std::max(reading.standard_uncertainty, 1e-6);
    return input;
}

}   // namespace

TEST_CASE("a fit finds the fibres that readings were made from", "[own]") {
    for (const auto& [fibre, solidity, charge] : {std::array{4.0, 0.06, 30.0}, {12.0, 0.1, 60.0}, {2.5, 0.04, 15.0}}) {
        FibreFitInput input = readings_of(fibre, solidity, charge, 0.0, 1);
        const FibreFit fit = fit_fibres(input, duct_design_air());
        INFO(fibre << " um, " << solidity << ", " << charge << " uC/m2; chi-squared " << fit.chi_squared);
        CHECK(fit.converged);
        CHECK(fit.charge_verdict == ChargeVerdict::identified);
        CHECK(fit.fibre_diameter.value / um == Approx(fibre).epsilon(1e-4));
        CHECK(fit.solidity.value == Approx(solidity).epsilon(1e-4));
        CHECK(fit.surface_charge.value / uC_per_m2 == Approx(charge).epsilon(1e-4));
    }
}

TEST_CASE("uncertainties cover the truth as often as they say", "[own]") {
    // Second method: the spread of fits to readings with fresh noise against the stated covariance, of fibre diameter,
    // solidity and charge. The mean square of 100 standard normal numbers has the standard deviation 0.14: 0.4 and 1.6
    // are four of them away from one.
    std::array<double, 3> sum{};
    std::size_t identified = 0, n = 0;
    for (unsigned seed = 0; seed < test::sweep_length(100); ++seed) {
        const FibreFit fit = fit_fibres(readings_of(4.0, 0.06, 30.0, 0.03, seed + 100), duct_design_air());
        identified += fit.charge_verdict == ChargeVerdict::identified ? 1U : 0U;
        const std::array<double, 3> error{fit.fibre_diameter.value.value() - 4e-6, fit.solidity.value - 0.06,
                                          fit.surface_charge.value.value() - 30e-6};
        for (std::size_t i = 0; i < 3; ++i) sum[i] += error[i] * error[i] / fit.covariance[4 * i];
        ++n;
        CHECK(fit.chi_squared <= fit.chi_squared_without_charge);
        CHECK(fit.fibre_diameter.standard_uncertainty().value() == Approx(std::sqrt(fit.covariance[0])).epsilon(1e-9));
        CHECK(fit.solidity.standard_uncertainty() == Approx(std::sqrt(fit.covariance[4])).epsilon(1e-9));
        CHECK(fit.surface_charge.standard_uncertainty().value() == Approx(std::sqrt(fit.covariance[8])).epsilon(1e-9));
        CHECK(fit.degrees_of_freedom == 13);
    }
    CHECK(identified == n);
    for (const double squares : sum) {
        if (n < 100) break;
        CHECK(squares / static_cast<double>(n) > 0.4);   // raised covariances lower it a little
        CHECK(squares / static_cast<double>(n) < 1.6);
    }
}

TEST_CASE("a charge that is not there is not claimed", "[own]") {
    std::size_t claimed = 0, n = 0;
    for (unsigned seed = 0; seed < test::sweep_length(40); ++seed) {
        const FibreFit fit = fit_fibres(readings_of(4.0, 0.06, 0.0, 0.03, seed + 500), duct_design_air());
        claimed += fit.charge_verdict != ChargeVerdict::within_noise ? 1U : 0U;
        if (fit.charge_verdict == ChargeVerdict::within_noise) {
            CHECK(fit.surface_charge.value.value() == 0.0);
            CHECK(fit.covariance[8] == 0.0);
            CHECK(fit.degrees_of_freedom == 14);
        }
        ++n;
    }
    CHECK(claimed <= n / 8 + 1);
}

TEST_CASE("a few coarse readings do not tell a charge from finer fibres", "[own]") {
    FibreFitInput input = readings_of(4.0, 0.06, 30.0, 0.15, 3);
    input.readings = {input.readings[3], input.readings[4], input.readings[5], input.readings[6]};
    const FibreFit fit = fit_fibres(input, duct_design_air());
    CHECK(fit.charge_verdict == ChargeVerdict::within_noise);
}

TEST_CASE("a charge may be needed and yet not be told apart from the fibres", "[own]") {
    // Five sizes at one velocity, without noise: no fibres without charge come near, but much or little charge on fine
    // or coarse fibres do almost alike.
    FibreFitInput input = readings_of(8.66, 0.12, 32.0, 0.0, 1);
    FibreLayer layer{.medium = {.thickness = input.thickness, .geometric_fibre_diameter = 8.66 * um, .solidity = 0.12},
                     .velocity = 0.1 * m_per_s,
                     .theory = input.theory};
    layer.charge.surface_charge = 32 * uC_per_m2;
    input.readings.clear();
    for (const double size : {0.15, 0.21, 0.28, 0.33, 0.69}) {
        const double p = penetration(layer, Particle{size * um, input.particle_density}, duct_design_air());
        input.readings.push_back({size * um, layer.velocity, p, 0.044 * (p + 0.01)});
    }
    const FibreFit fit = fit_fibres(input, duct_design_air());
    CHECK(fit.charge_verdict == ChargeVerdict::not_separable);
    CHECK(fit.chi_squared < 0.01);
    CHECK(fit.chi_squared_without_charge > 100);
    CHECK(fit.charge_multiple_correlation > 0.999);
    CHECK(fit.surface_charge.standard_uncertainty() > 0.5 * fit.surface_charge.value);
    // A second velocity parts them.
    for (FibreReading reading : std::vector(input.readings)) {
        layer.velocity = reading.velocity = 0.4 * m_per_s;
        reading.penetration =
            penetration(layer, Particle{reading.size, input.particle_density}, duct_design_air());
        reading.standard_uncertainty = 0.01 * (reading.penetration + 0.01);
        input.readings.push_back(reading);
    }
    for (FibreReading& reading : input.readings) {
        reading.standard_uncertainty = 0.01 * (reading.penetration + 0.01);
    }
    CHECK(fit_fibres(input, duct_design_air()).charge_verdict == ChargeVerdict::identified);
}

TEST_CASE("each verdict on the charge has its words", "[own]") {
    CHECK(description(ChargeVerdict::not_asked) == "no charge asked for");
    CHECK(description(ChargeVerdict::identified) == "the readings show a charge");
    CHECK(description(ChargeVerdict::within_noise) == "fibres without charge fit as well");
    CHECK(description(ChargeVerdict::not_separable) ==
          "a charge helps, but is not told apart from fibre diameter and solidity");
}

TEST_CASE("what is known is not fitted", "[own]") {
    FibreFitInput input = readings_of(4.0, 0.06, 30.0, 0.0, 1);
    input.known_solidity = 0.06;
    const FibreFit fit = fit_fibres(input, duct_design_air());
    CHECK(fit.solidity.value == Approx(0.06).epsilon(1e-12));
    CHECK(fit.solidity.standard_uncertainty() == 0.0);
    CHECK(fit.fibre_diameter.value / um == Approx(4.0).epsilon(1e-5));
    input.theory.electric = ElectricTerm::none;
    CHECK(fit_fibres(input, duct_design_air()).charge_verdict == ChargeVerdict::not_asked);
    input.known_fibre_diameter = 4 * um;
    const FibreFit all_known = fit_fibres(input, duct_design_air());
    CHECK(all_known.degrees_of_freedom == input.readings.size());
    CHECK(all_known.residuals.size() == input.readings.size());
}

TEST_CASE("readings come from a fractional efficiency", "[own]") {
    FractionalEfficiency measured;
    for (const SizeRange& range : minimum_efficiency_size_ranges()) {
        measured.ranges.push_back(stated_efficiency(
            range, Uncertain<double>(0.4, Gradient(elementary_input("efficiency", 0.02)))));
    }
    measured.ranges.push_back(stated_efficiency(sizes_above(10 * um), Uncertain<double>(0.9)));
    const std::vector<FibreReading> readings = fibre_readings(measured, 0.1 * m_per_s);
    REQUIRE(readings.size() == 12);
    CHECK(readings[0].penetration == Approx(0.6));
    CHECK(readings[0].standard_uncertainty == Approx(0.02));
    CHECK(readings[0].size / um == Approx(std::sqrt(0.12)));
}

TEST_CASE("fits of nothing are refused", "[own]") {
    FibreFitInput input = readings_of(4.0, 0.06, 30.0, 0.0, 1);
    input.readings.resize(3);
    CHECK_THROWS_WITH(fit_fibres(input, duct_design_air()),
                      Contains("number of readings = 3; required: more than the 3"));
    input = readings_of(4.0, 0.06, 30.0, 0.0, 1);
    input.readings[2].standard_uncertainty = 0.0;
    CHECK_THROWS_WITH(fit_fibres(input, duct_design_air()), Contains("reading 3: standard_uncertainty"));
    input = readings_of(4.0, 0.06, 30.0, 0.0, 1);
    input.known_solidity = 0.5;
    CHECK_THROWS_WITH(fit_fibres(input, duct_design_air()), Contains("known_solidity = 0.5"));
}
