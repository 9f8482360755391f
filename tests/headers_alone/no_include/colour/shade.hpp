// SPDX-License-Identifier: BSL-1.0
#pragma once

namespace colour {
struct Shade {
    double depth;
};
}   // namespace colour
