// SPDX-License-Identifier: BSL-1.0
#pragma once

// Lacks an #include: does not stand alone.

namespace colour {
struct Hue {
    Shade shade;
};
}   // namespace colour
