// SPDX-License-Identifier: BSL-1.0

#include "quantity_cell.hpp"

#include <vector>

namespace choose_filter {

namespace {

// The units in "expected a unit of pressure (Pa, hPa, kPa)".
std::vector<std::string> listed_units(const std::string& hint) {
    std::vector<std::string> units;
    const std::size_t open = hint.find('(');
    const std::size_t close = hint.rfind(')');
    if (open == std::string::npos || close == std::string::npos || close < open) return units;
    std::string rest = hint.substr(open + 1, close - open - 1);
    while (!rest.empty()) {
        const std::size_t comma = rest.find(", ");
        units.push_back(rest.substr(0, comma));
        rest = comma == std::string::npos ? std::string() : rest.substr(comma + 2);
    }
    return units;
}

}   // namespace

void refuse_text(const filterflow::TextError& error, const SourcePlace& place) {
    // "what is wrong; what is expected": the second half is the hint.
    std::string problem = error.what();
    std::string hint;
    const std::size_t split = problem.find("; ");
    if (split != std::string::npos) {
        hint = problem.substr(split + 2);
        problem.resize(split);
    }
    const std::string unknown = "unknown unit \"";
    if (problem.rfind(unknown, 0) == 0) {
        const std::string nearest =
            nearest_name(problem.substr(unknown.size(), problem.size() - unknown.size() - 1), listed_units(hint));
        if (!nearest.empty()) hint = "did you mean '" + nearest + "'? " + hint;
    }
    throw DataError(moved_right(place, error.offset), problem, hint);
}

}   // namespace choose_filter
