// SPDX-License-Identifier: BSL-1.0
// A velocity added to a flow.
// expect g++: no match for .operator\+.|no type named .type.
// expect clang++: invalid operands to binary expression|no type named 'type'
// at most: 16384 bytes (Boost.Units spells its types and operators out)
#include <filterflow/core/units.hpp>

using namespace filterflow;
using namespace filterflow::units;

VolumeFlow sum(VolumeFlow flow, VolumeFlow other, Velocity velocity) {
    (void)other;
    (void)velocity;
#ifdef MISTAKE
    return flow + velocity;
#else
    return flow + other;
#endif
}
