// SPDX-License-Identifier: BSL-1.0
// From a clean curve back to the medium: there and back, the uncertainty by refitting, and what is refused.

#include <cmath>
#include <vector>

#include <filterflow/resistance/opened_filter.hpp>

#include "support/catch.hpp"

using namespace filterflow;
using namespace filterflow::units;

namespace {

const AirState air = duct_design_air();

ElementFit fit_with_linear(double r) {
    std::vector<ElementReading> readings;
    const ElementCurve curve{r * Pa_s_per_m3, 12 * Pa_s2_per_m6, air};
    for (const double q : {0.2, 0.4, 0.7, 1.0}) {
        readings.push_back({uncertain(q * m3_per_s, 0.005 * q * m3_per_s, "flow"),
                            uncertain(pressure_drop(curve, q * m3_per_s, air), 0.5 * Pa, "drop"), air});
    }
    return fit_element(readings, air);
}

}   // namespace

TEST_CASE("the medium comes back from the curve of its pleated filter", "[own]") {
    for (const double share : {0.4, 0.5, 0.62}) {
        for (const double k : {3e-10, 3e-11, 2e-12}) {
            for (const double count : {20.0, 45.0, 110.0}) {
                const PleatedFilter filter{.medium = {.thickness = 0.8 * mm, .permeability = k * m2},
                                           .pack = {.count = count,
                                                    .depth = 44 * mm,
                                                    .width = 590 * mm,
                                                    .length = 570 * mm,
                                                    .inlet_gap_share = share},
                                           .momentum_factor = 0.0};
                // The viscous part of the model is linear: its slope is r.
                const PleatedDrop drop = pressure_drop_parts(filter, 0.1 * m3_per_s, air);
                const OpenedMedium medium =
                    opened_medium(fit_with_linear((drop.medium + drop.channels).value() / 0.1), filter.pack, 0.8 * mm);
                INFO(share << " " << k << " " << count);
                CHECK(medium.permeability.value / m2 == Approx(k).epsilon(1e-7));
                CHECK(medium.medium_share ==
                      Approx(drop.medium / (drop.medium + drop.channels)).epsilon(1e-7));
            }
        }
    }
}

TEST_CASE("the uncertainty of the permeability follows the curve's", "[own]") {
    const PleatPack pack{.count = 110, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm};
    const ElementFit fit = fit_with_linear(40.0);
    const OpenedMedium medium = opened_medium(fit, pack, 0.8 * mm);
    const double k = medium.permeability.value / m2;
    const double up = opened_medium(fit_with_linear(40.04), pack, 0.8 * mm).permeability.value / m2;
    const double down = opened_medium(fit_with_linear(39.96), pack, 0.8 * mm).permeability.value / m2;
    const double slope = (up - down) / 0.08;
    CHECK(medium.permeability.standard_uncertainty() / m2 ==
          Approx(std::abs(slope) * fit.linear.standard_uncertainty().value()).epsilon(1e-5));
    CHECK(k > 0.0);
    CHECK(medium.medium_share < 1.0);
}

TEST_CASE("an opened filter that contradicts its curve is refused", "[own]") {
    // 700 pleats of 0.4 mm paper on 590 mm leave gaps of 0.02 mm: those alone resist more than the whole element.
    const PleatPack tight{.count = 700, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm};
    CHECK_THROWS_AS(opened_medium(fit_with_linear(40.0), tight, 0.4 * mm), NoSolution);
    const PleatPack pack{.count = 110, .depth = 44 * mm, .width = 590 * mm, .length = 570 * mm};
    CHECK_THROWS_AS(opened_medium(fit_with_linear(40.0), pack, 3 * mm), DomainError);   // pleats touch
    const std::vector<ElementReading> one{
        {uncertain(0.5 * m3_per_s, 0.01 * m3_per_s, "q"), uncertain(30 * Pa, 1 * Pa, "dp"), air}};
    CHECK_THROWS_WITH(opened_medium(fit_element(one, air), pack, 0.8 * mm), Contains("assumed"));
    ElementFit inertial = fit_with_linear(40.0);
    inertial.curve.linear = 0 * Pa_s_per_m3;
    CHECK_THROWS_AS(opened_medium(inertial, pack, 0.8 * mm), DomainError);
}
