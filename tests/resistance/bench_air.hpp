// SPDX-License-Identifier: BSL-1.0
#pragma once

// The air of most tests of this room.

#include <filterflow/air/air_state.hpp>

namespace filterflow::test {

inline const AirState air = duct_design_air();

}   // namespace filterflow::test

using filterflow::test::air;
