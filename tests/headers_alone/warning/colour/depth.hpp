// SPDX-License-Identifier: BSL-1.0
#pragma once

// Stands alone, but not without a warning.

#include <colour/shade.hpp>

namespace colour {
inline int whole_depth(Shade shade) { return shade.depth; }
}   // namespace colour
