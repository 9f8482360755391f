// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a cell of a printed table of classes requires.

#include <string>

namespace printed_cell {

/// Lower end of a cell of the printed table: "20-34.9", ">=85", "<50" (nothing required), "".
inline double lower_end(const std::string& cell) {
    if (cell.empty() || cell[0] == '<') return 0.0;
    return std::stod(cell.substr(cell.rfind(">=", 0) == 0 ? 2 : 0));
}

}   // namespace printed_cell
