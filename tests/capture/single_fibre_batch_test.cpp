// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <random>
#include <vector>

#include <filterflow/capture/single_fibre_batch.hpp>

#include "support/catch.hpp"
#include "support/sweep.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

struct Columns {
    std::vector<Length> thickness, fibre;
    std::vector<double> solidity;
    std::vector<Velocity> velocity;

    explicit Columns(std::size_t n) {
        std::mt19937_64 random(n);
        std::uniform_real_distribution<double> unit(0.0, 1.0);
        for (std::size_t i = 0; i < n; ++i) {
            thickness.push_back(std::pow(10, -4 + 2 * unit(random)) * m);
            fibre.push_back(std::pow(10, -7 + 2.5 * unit(random)) * m);
            solidity.push_back(0.001 + 0.249 * unit(random));
            velocity.push_back(std::pow(10, -3 + 4 * unit(random)) * m_per_s);
        }
    }
    FibreLayerBatch batch(const SingleFibreTheory& theory) const {
        return {thickness, fibre, solidity, velocity, theory};
    }
};

}   // namespace

TEST_CASE("many curves at once are the curves one by one", "[own]") {
    const AirState air = duct_design_air();
    std::vector<Length> sizes;
    for (int i = 0; i < 14; ++i) sizes.push_back(0.003 * std::pow(2.0, i) * um);
    for (const std::size_t n : {std::size_t{1}, std::size_t{64}, test::sweep_length(1000) + 3}) {
        const Columns columns(n);
        for (const DiffusionTerm term : {DiffusionTerm::lee_liu, DiffusionTerm::hinds, DiffusionTerm::boundary_layer}) {
            SingleFibreTheory theory;
            theory.diffusion = term;
            theory.interstitial_velocity = term != DiffusionTerm::hinds;
            const std::vector<double> all = penetration_curves(columns.batch(theory), sizes, 1500 * kg_per_m3, air);
            REQUIRE(all.size() == n * sizes.size());
            for (std::size_t i = 0; i < n; ++i) {
                const FibreLayer layer{.medium = {.thickness = columns.thickness[i],
                                                  .geometric_fibre_diameter = columns.fibre[i],
                                                  .solidity = columns.solidity[i]},
                                       .velocity = columns.velocity[i],
                                       .theory = theory};
                const std::vector<double> one = penetration_curve(layer, sizes, 1500 * kg_per_m3, air);
                for (std::size_t j = 0; j < sizes.size(); ++j) {
                    if (!(std::abs(all[j * n + i] - one[j]) < 1e-12)) {
                        FAIL("layer " << i << ", size " << j << ": " << all[j * n + i] << " and " << one[j]);
                    }
                }
            }
        }
    }
    CHECK(penetration_curves(Columns(0).batch({}), sizes, 1500 * kg_per_m3, air).empty());
}

TEST_CASE("batches that are none are refused", "[own]") {
    const AirState air = duct_design_air();
    const std::vector<Length> sizes{0.3 * um};
    Columns columns(70);
    columns.solidity[66] = 0.3;
    CHECK_THROWS_WITH(penetration_curves(columns.batch({}), sizes, 1000 * kg_per_m3, air),
                      Contains("layer 67: solidity = 0.3"));
    columns.solidity[66] = std::nan("");
    CHECK_THROWS_WITH(penetration_curves(columns.batch({}), sizes, 1000 * kg_per_m3, air),
                      Contains("layer 67: solidity"));
    columns.solidity.pop_back();
    CHECK_THROWS_WITH(penetration_curves(columns.batch({}), sizes, 1000 * kg_per_m3, air),
                      Contains("length of a column = 69"));
    SingleFibreTheory theory;
    theory.electric = ElectricTerm::electret;
    CHECK_THROWS_WITH(penetration_curves(Columns(3).batch(theory), sizes, 1000 * kg_per_m3, air),
                      Contains("not offered"));
    CHECK_THROWS_WITH(penetration_curves(Columns(3).batch({}), std::vector<Length>{-1 * um}, 1000 * kg_per_m3, air),
                      Contains("particle diameter"));
}
