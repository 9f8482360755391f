// SPDX-License-Identifier: BSL-1.0
#include <filterflow/filterflow.hpp>

double pressure_drop_elsewhere(double cubic_feet_per_minute);

double pressure_drop_elsewhere(double cubic_feet_per_minute) {
    using namespace filterflow;
    using namespace filterflow::units;
    const ElementCurve element{.linear = 60.0 * Pa_s_per_m3, .quadratic = 40.0 * Pa_s2_per_m6,
                               .stated_air = duct_design_air()};
    return pressure_drop(element, cubic_feet_per_minute * cfm, duct_design_air()) / Pa;
}
