// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <colour/shade.hpp>

namespace colour {
struct Tone {
    Shade shade;
};
}   // namespace colour
