// SPDX-License-Identifier: BSL-1.0
#pragma once

// How long a random sweep runs: its own length, times FILTERFLOW_SWEEP_FACTOR from the environment (0.1 under the
// sanitizers, 10 and 1 with --long), never less than one.

#include <cstddef>
#include <cstdlib>

namespace filterflow::test {

inline std::size_t sweep_length(std::size_t full) {
    const char* text = std::getenv("FILTERFLOW_SWEEP_FACTOR");
    const double factor = text ? std::strtod(text, nullptr) : 1.0;
    const auto length = static_cast<std::size_t>(static_cast<double>(full) * (factor > 0.0 ? factor : 1.0));
    return length > 0 ? length : 1;
}

}   // namespace filterflow::test
