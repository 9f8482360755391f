// SPDX-License-Identifier: BSL-1.0
// A quantity taken for a number without saying in which unit.
// expect g++: cannot convert
// expect clang++: no viable conversion from returned value
// at most: 4096 bytes
#include <filterflow/core/units.hpp>

using namespace filterflow;
using namespace filterflow::units;

double reading(VolumeFlow flow) {
#ifdef MISTAKE
    return flow;
#else
    return flow / cfm;
#endif
}
