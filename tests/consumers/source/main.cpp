// SPDX-License-Identifier: BSL-1.0
// What a user's program looks like, built with the user's own strict warnings in two sources, each of which
// includes the whole library.
#include <filterflow/filterflow.hpp>

#include <cstdio>

double pressure_drop_elsewhere(double cubic_feet_per_minute);

int main() {
    using namespace filterflow;
    using namespace filterflow::units;
    const ElementCurve element{.linear = 60.0 * Pa_s_per_m3, .quadratic = 40.0 * Pa_s2_per_m6,
                               .stated_air = duct_design_air()};
    const Pressure here = pressure_drop(element, 800 * cfm, duct_design_air());
    std::printf("%.4f inH2O\n", here / inH2O);
    return here / Pa == pressure_drop_elsewhere(800.0) ? 0 : 1;
}
