// SPDX-License-Identifier: BSL-1.0
// A price per kWh where a sum of money is due: the energy is missing.
// expect g++: could not convert|cannot convert
// expect clang++: no viable conversion from returned value
// at most: 16384 bytes (Boost.Units spells its types and operators out)
#include <filterflow/core/money.hpp>
#include <filterflow/core/units.hpp>

using namespace filterflow;
using namespace filterflow::units;

Money cost(EnergyPrice price, Energy used) {
    (void)used;
#ifdef MISTAKE
    return price;
#else
    return price * used;
#endif
}
