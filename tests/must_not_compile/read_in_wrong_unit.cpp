// SPDX-License-Identifier: BSL-1.0
// A pressure read as a number of cubic feet per minute.
// expect g++: no match for .operator/.
// expect clang++: invalid operands to binary expression
// at most: 32768 bytes (Boost.Units spells its types and operators out)
#include <filterflow/core/units.hpp>

using namespace filterflow;
using namespace filterflow::units;

double reading(Pressure drop) {
#ifdef MISTAKE
    return drop / cfm;
#else
    return drop / inH2O;
#endif
}
