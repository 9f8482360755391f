// SPDX-License-Identifier: BSL-1.0
// How fibres catch particles: mechanisms over particle size and the size that penetrates most; two ways to impaction;
// a pleat whose velocity varies; what a measured curve tells about the fibres.
//
// The medium, the pack and the errors of the readings are invented: a fine pleat for the air handler of the Tern Lane
// Arts Centre. Real media are uneven and let more through than this theory of an even layer says.
#include <array>
#include <cmath>
#include <cstdio>
#include <vector>

#include <filterflow/air.hpp>
#include <filterflow/capture.hpp>
#include <filterflow/resistance.hpp>

using namespace filterflow;
using namespace filterflow::units;

namespace {

void print_mechanisms(const FibreLayer& layer, const AirState& air) {
    const MostPenetratingSize most = find_most_penetrating_size(layer, 1000 * kg_per_m3, air);
    const LeastEfficiency closed = lee_liu_least_efficiency(layer, air);
    std::printf("# most penetrating size %.3f um, penetration %.1f %%; Lee and Liu's closed form %.3f um\n",
                most.diameter / um, 100 * most.penetration, closed.diameter / um);
    std::printf("# size [um], single-fibre efficiency: diffusion, interception, impaction, all; penetration\n");
    for (int i = 0; i <= 40; ++i) {
        const Particle particle{.diameter = 0.01 * std::pow(10.0, i / 16.0) * um};
        const SingleFibreEfficiency e = single_fibre_efficiency(layer, particle, air);
        std::printf("%.4f %.5f %.5f %.5f %.5f %.5f\n", particle.diameter / um, e.diffusion, e.interception, e.impaction,
                    e.combined, penetration(layer, particle, air));
    }
    std::printf("\n\n");
}

/// Interception and impaction together, by the classic formula and by our trajectories.
void print_impaction(FibreLayer layer, const AirState& air) {
    std::printf(
        "# size [um], Stokes number; interception and impaction by formula, by trajectories; inside the table?\n");
    for (int i = 0; i <= 24; ++i) {
        const Particle particle{.diameter = 0.15 * std::pow(10.0, i / 20.0) * um};
        layer.theory.impaction = ImpactionTerm::stechkina;
        const SingleFibreEfficiency formula = single_fibre_efficiency(layer, particle, air);
        const TrajectoryCapture table = trajectory_capture(formula.groups);
        std::printf("%.4f %.4f %.5f %.5f %s\n", particle.diameter / um, formula.groups.stokes,
                    1 - (1 - std::min(1.0, formula.interception)) * (1 - formula.impaction),
                    std::min(1.0, table.efficiency), table.inside() ? "yes" : "no");
    }
    std::printf("\n\n");
}

void print_pleat(const FibreLayer& layer, const AirState& air) {
    const PleatedFilter filter{.medium = {.thickness = layer.medium.thickness, .permeability = 1.2e-11 * m2},
                               .pack = {.count = 120, .depth = 48 * mm, .width = 490 * mm, .length = 490 * mm}};
    const VolumeFlow flow = 0.55 * m3_per_s;
    constexpr std::size_t count = 201;
    const std::vector<PleatPlace> places = pleat_profile(filter, flow, air, count);
    double mean = 0.0;
    const auto share = [](std::size_t i) { return (i == 0 || i + 1 == count ? 0.5 : 1.0) / (count - 1); };
    for (std::size_t i = 0; i < count; ++i) mean += share(i) * (places[i].media_velocity / m_per_s);
    std::vector<MediumShare> shares;
    double slowest = HUGE_VAL, fastest = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        const double ratio = places[i].media_velocity / m_per_s / mean;
        shares.push_back({share(i), ratio});
        slowest = std::min(slowest, ratio);
        fastest = std::max(fastest, ratio);
    }
    FibreLayer at_mean = layer;
    at_mean.velocity = mean * m_per_s;
    std::printf("# pleat of 48 mm: mean velocity through the medium %.3f m/s, from %.2f to %.2f of it\n", mean, slowest,
                fastest);
    std::printf("# size [um], penetration: at the mean velocity, along the pleat\n");
    for (const double size : {0.03, 0.1, 0.3, 0.5, 1.0}) {
        const Particle particle{size * um};
        std::printf("%.2f %.5f %.5f\n", size, penetration(at_mean, particle, air),
                    penetration(at_mean, shares, particle, air));
    }
    std::printf("\n\n");
}

/// Readings made from known fibres, two velocities and eight sizes, with errors of a fixed pattern of about 3 %.
void print_fit(const AirState& air) {
    FibreLayer truth{.medium = {.thickness = 0.6 * mm, .geometric_fibre_diameter = 4 * um, .solidity = 0.06},
                     .velocity = 0.05 * m_per_s,
                     .theory = {}};
    truth.theory.electric = ElectricTerm::electret;
    truth.charge.surface_charge = 15 * uC_per_m2;
    FibreFitInput input{.readings = {}, .thickness = truth.medium.thickness, .theory = truth.theory,
                        .particle_density = 1700 * kg_per_m3};
    const std::array<double, 16> errors{0.8, -1.2, 0.3, 1.1, -0.6, 0.2, -0.9, 0.5,
                                        -0.2, 1.4, -0.7, -0.3, 0.9, -1.1, 0.4, -0.1};
    for (std::size_t i = 0; i < 16; ++i) {
        const std::array<double, 8> sizes{0.03, 0.06, 0.12, 0.2, 0.35, 0.6, 1.0, 1.7};
        truth.velocity = (i < 8 ? 0.05 : 0.2) * m_per_s;
        const double p = penetration(truth, Particle{sizes[i % 8] * um, input.particle_density}, air);
        const double uncertainty = 0.03 * p + 0.0005;
        input.readings.push_back(
            {sizes[i % 8] * um, truth.velocity, std::max(0.0, p + errors[i] * uncertainty), uncertainty});
    }
    const FibreFit fit = fit_fibres(input, air);
    const std::string_view verdict = description(fit.charge_verdict);
    std::printf("# fit to 16 readings made from 4 um, solidity 0.06, 15 uC/m2: %.*s\n",
                static_cast<int>(verdict.size()), verdict.data());
    std::printf("# fibre diameter %.2f um (+-%.2f), solidity %.3f (+-%.3f), charge %.1f uC/m2 (+-%.1f)\n",
                fit.fibre_diameter.value / um, fit.fibre_diameter.standard_uncertainty() / um, fit.solidity.value,
                fit.solidity.standard_uncertainty(), fit.surface_charge.value / uC_per_m2,
                fit.surface_charge.standard_uncertainty() / uC_per_m2);
    std::printf("# chi-squared %.1f on %zu degrees of freedom, without charge %.1f\n", fit.chi_squared,
                fit.degrees_of_freedom, fit.chi_squared_without_charge);
    std::printf("# size [um], velocity [m/s], penetration measured, fitted\n");
    for (std::size_t i = 0; i < 16; ++i) {
        const FibreReading& reading = input.readings[i];
        std::printf("%.2f %.2f %.4f %.4f\n", reading.size / um, reading.velocity / m_per_s, reading.penetration,
                    reading.penetration - fit.residuals[i]);
    }
}

}   // namespace

int main() {
    const AirState air =
        moist_air({.temperature = from_celsius(21), .pressure = 101.3 * kPa, .relative_humidity = 0.4});
    FibreLayer layer{.medium = {.thickness = 0.5 * mm, .geometric_fibre_diameter = 3 * um, .solidity = 0.06},
                     .velocity = 0.05 * m_per_s,
                     .theory = {}};
    print_mechanisms(layer, air);
    layer.velocity = 0.15 * m_per_s;
    print_impaction(layer, air);
    print_pleat(layer, air);
    print_fit(air);
}
