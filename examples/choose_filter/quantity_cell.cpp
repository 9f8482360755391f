// SPDX-License-Identifier: BSL-1.0

#include "quantity_cell.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

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

// A unit is short, so that two letters make another one of it: "bar" is no "Pa" mistyped. One that differs in capitals
// alone is meant, else one letter may be wrong, but not the first (it may be a prefix), if that leads to one unit only.
std::string nearest_unit(std::string_view unit, const std::vector<std::string>& units) {
    for (const std::size_t distance : {0u, 1u}) {
        if (distance > 0 && unit.size() < 3) break;
        std::string nearest;
        bool several = false;
        for (const filterflow::detail::UnitName& known : filterflow::detail::unit_names) {
            const std::string printed(filterflow::detail::printed_spelling(known));
            if (std::find(units.begin(), units.end(), printed) == units.end()) continue;   // of another dimension
            std::string_view rest = known.spellings;
            while (!rest.empty()) {
                const std::size_t bar = rest.find('|');
                const std::string_view spelling = rest.substr(0, bar);
                rest = bar == std::string_view::npos ? std::string_view() : rest.substr(bar + 1);
                if (folded_distance(unit, spelling) != distance) continue;
                if (distance > 0 &&
                    (spelling.size() < 2 || folded_distance(unit.substr(0, 1), spelling.substr(0, 1)) > 0)) {
                    continue;
                }
                several = several || (!nearest.empty() && nearest != printed);
                nearest = printed;
            }
        }
        if (!nearest.empty()) return several ? std::string() : nearest;
    }
    return {};
}

}   // namespace

std::string four_digits_text(double value) {
    if (value == 0.0) return "0";
    const double size = std::abs(value);
    if (!(size < 1e13) || size < 1e-5) return fmt::format("{:.4g}", value);
    const double unit = std::pow(10.0, std::floor(std::log10(size)) - 3.0);
    std::string text = fmt::format("{:.9f}", std::round(value / unit) * unit);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

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
            nearest_unit(problem.substr(unknown.size(), problem.size() - unknown.size() - 1), listed_units(hint));
        if (problem.find(" + ") != std::string::npos)
            hint = "half of an interval stands behind +-, as in \"40 ug/m3 +- 50 %\"";
        if (!nearest.empty()) hint = "did you mean '" + nearest + "'? " + hint;
    }
    throw DataError(moved_right(place, error.offset), problem, hint);
}

void refuse_number(const filterflow::TextError& error, std::string_view name, std::string_view text,
                   const std::string& greatest, const SourcePlace& place) {
    const std::string problem = error.what();
    const std::string value = fmt::format("'{}' = {}", name, shown_text(text));
    const std::string allowed = "allowed: up to " + greatest;
    if (problem == "too large") throw DataError(place, fmt::format("{} is too large to be meant; {}", value, allowed));
    if (problem.rfind("number outside", 0) == 0) {
        throw DataError(place, fmt::format("{} is too large or too small for a number; {}", value, allowed));
    }
    if (problem.rfind("not a number", 0) == 0) {
        throw DataError(
            place, fmt::format("{} is not a finite number with a unit; {}", value, allowed),
            "numbers are written as 12, 0.35 or 1.2e-3, the unit behind them; leave the key out where there "
            "is no value");
    }
    refuse_text(error, place);
}

}   // namespace choose_filter
