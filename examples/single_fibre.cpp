// SPDX-License-Identifier: BSL-1.0
// Penetration of a flat fibrous medium over particle size at three velocities, and the size that penetrates most.
//
// The medium is invented; real media are uneven and let more through than this theory of an even layer says.
#include <cmath>
#include <cstdio>

#include <filterflow/air.hpp>
#include <filterflow/capture.hpp>

using namespace filterflow;
using namespace filterflow::units;

int main() {
    const AirState air = moist_air({.temperature = from_celsius(21), .pressure = 101.3 * kPa, .relative_humidity = 0.4});
    FibreLayer layer{.medium = {.thickness = 0.5 * mm, .geometric_fibre_diameter = 3 * um, .solidity = 0.06},
                     .velocity = 0.05 * m_per_s,
                     .theory = {}};
    std::printf("# size [um], penetration; diffusion, interception, impaction of one fibre\n");
    for (const double velocity : {0.02, 0.05, 0.15}) {
        layer.velocity = velocity * m_per_s;
        const MostPenetratingSize most = find_most_penetrating_size(layer, 1000 * kg_per_m3, air);
        std::printf("\"%.2f m/s: most at %.2f um, %.0f %%\"\n", velocity, most.diameter / um, 100 * most.penetration);
        for (int i = 0; i <= 40; ++i) {
            const Particle particle{.diameter = 0.01 * std::pow(10.0, i / 16.0) * um};
            const SingleFibreEfficiency e = single_fibre_efficiency(layer, particle, air);
            std::printf("%.4f %.5f  %.5f %.5f %.5f\n", particle.diameter / um, penetration(layer, particle, air),
                        e.diffusion, e.interception, e.impaction);
        }
        std::printf("\n\n");
    }
}
