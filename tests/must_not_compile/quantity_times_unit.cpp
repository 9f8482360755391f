// SPDX-License-Identifier: BSL-1.0
// A unit multiplied to something that already has one.
// expect g++: no match for .operator\*.
// expect clang++: invalid operands to binary expression
// at most: 32768 bytes (Boost.Units spells its types and operators out)
#include <filterflow/core/units.hpp>

using namespace filterflow;
using namespace filterflow::units;

VolumeFlow flow() {
    const auto reading = 800 * cfm;
#ifdef MISTAKE
    return reading * cfm;
#else
    return reading;
#endif
}
