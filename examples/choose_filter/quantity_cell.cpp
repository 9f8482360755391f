// SPDX-License-Identifier: BSL-1.0

#include "quantity_cell.hpp"

namespace choose_filter {

void refuse_text(const filterflow::TextError& error, const SourcePlace& place) {
    // "what is wrong; what is expected": the second half is the hint.
    std::string problem = error.what();
    std::string hint;
    const std::size_t split = problem.find("; ");
    if (split != std::string::npos) {
        hint = problem.substr(split + 2);
        problem.resize(split);
    }
    throw DataError(moved_right(place, error.offset), problem, hint);
}

}   // namespace choose_filter
