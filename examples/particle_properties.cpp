// SPDX-License-Identifier: BSL-1.0
// Particles in the air of a room: slip, settling, diffusion and aerodynamic size of a dust grain; what number and
// volume say about open air; the dusts that filters are loaded with.
//
// The air is that of the Tern Lane Arts Centre (invented); dusts and distributions are those of the sources named.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/particle.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air =
        moist_air({.temperature = from_celsius(21), .pressure = 101.3 * kPa, .relative_humidity = 0.4});
    std::printf("# spheres of 1000 kg/m3 at 21 degC, mean free path %.1f nm\n", mean_free_path(air) / nm);
    std::printf("# size [um], slip [-], settling [m/s], drag over Stokes' [-], diffusion coefficient [m2/s],\n");
    std::printf("#   way in 1 s by settling [m], by diffusion [m]; aerodynamic diameter of a grain [um]\n");
    for (int i = 0; i <= 24; ++i) {
        const Length size = 0.01 * std::pow(10.0, i / 6.0) * um;
        const Settling fall = settling_beyond_stokes(Particle{size}, air);
        const double diffusion = diffusion_coefficient(size, air) / m2_per_s;
        const Particle grain{size, 2650 * kg_per_m3, 1.36};   // quartz; shape factor from memory, Hinds 1999
        std::printf("%.4g %.4g %.4g %.4f %.4g %.4g %.4g %.4g\n", size / um, slip_correction(size, air),
                    fall.velocity / m_per_s, fall.drag_correction, diffusion, fall.velocity / m_per_s,
                    std::sqrt(2 * diffusion), aerodynamic_diameter(grain, air) / um);
    }

    const std::vector<NumberMode> modes = ambient_modes(AmbientAerosol::urban);
    const SizeDistribution number = number_distribution("urban", modes);
    std::printf("\n\n# urban air (Jaenicke 1993): %.0f particles per cm3, %.0f um3 per cm3\n",
                number_concentration(modes) / per_cm3, 1e12 * volume_concentration(modes));
    std::printf("# size range [um], share by number, by surface, by volume [-]\n");
    const double edges[] = {0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 2.5, 10.0, 30.0};
    for (std::size_t i = 0; i + 1 < std::size(edges); ++i) {
        const SizeRange range{.lower = edges[i] * um, .upper = edges[i + 1] * um};
        std::printf(
            "%g %g %.5f %.5f %.5f\n", edges[i], edges[i + 1], size_fraction(number, range, SizeWeighting::number),
            size_fraction(number, range, SizeWeighting::surface), size_fraction(number, range, SizeWeighting::volume));
    }

    std::printf(
        "\n\n# volume below a size [um]: fine test dust (least, greatest), ultrafine, urban and rural of ISO 16890\n");
    for (const double size : {1.0, 1.38, 2.5, 4.0, 5.5, 10.0, 20.0}) {
        const Interval<double> limits = volume_below_limits(fine_test_dust(), size * um);
        const SizeRange below{.lower = 0 * um, .upper = size * um};
        std::printf("%g %.3f %.3f %.3f %.3f %.3f\n", size, limits.lower, limits.upper,
                    volume_below(ultrafine_test_dust(), size * um), volume_fraction(urban_distribution(), below),
                    volume_fraction(rural_distribution(), below));
    }
}
