// SPDX-License-Identifier: BSL-1.0
// The air of the evaluation left out: it has no default.
// expect g++: no matching function for call to|too few arguments
// expect clang++: no matching function for call to
// at most: 4096 bytes
#include <filterflow/resistance/element_curve.hpp>

using namespace filterflow;
using namespace filterflow::units;

Pressure drop(const ElementCurve& element, const AirState& air) {
    (void)air;
#ifdef MISTAKE
    return pressure_drop(element, 800 * cfm);
#else
    return pressure_drop(element, 800 * cfm, air);
#endif
}
