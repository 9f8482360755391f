// SPDX-License-Identifier: BSL-1.0
// A pressure where a flow is due.
// expect g++: no matching function for call to|could not convert
// expect clang++: no matching function for call to
// at most: 4096 bytes
#include <filterflow/resistance/element_curve.hpp>

using namespace filterflow;
using namespace filterflow::units;

Pressure drop(const ElementCurve& element, const AirState& air) {
#ifdef MISTAKE
    return pressure_drop(element, 0.5 * inH2O, air);
#else
    return pressure_drop(element, 800 * cfm, air);
#endif
}
