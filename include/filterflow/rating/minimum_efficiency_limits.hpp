// SPDX-License-Identifier: BSL-1.0
#pragma once

// The requirements of a row of the tables of ANSI/ASHRAE 52.2 that averages meet with the least surplus or do not meet,
// in words, and which of the averages decide between values.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>

#include <filterflow/core/deferred.hpp>
#include <filterflow/rating/estimate_text.hpp>
#include <filterflow/rating/minimum_efficiency_table.hpp>

namespace filterflow::detail {

inline const char* group_name(std::size_t group) {
    constexpr std::array<const char*, 3> names{"E1 (0.3-1 um)", "E2 (1-3 um)", "E3 (3-10 um)"};
    return names[group];
}

/// Least surplus over a row's requirements: {percentage points, index of the group, 3 for arrestance}.
template <Deferred...>
inline std::pair<double, std::size_t> least_surplus(const MinimumEfficiencyRow& row,
                                                    const std::array<double, 3>& averages,
                                                    std::optional<double> arrestance) {
    const std::array<double, 3> least{row.least_E1, row.least_E2, row.least_E3};
    std::pair<double, std::size_t> result{HUGE_VAL, 2};
    for (std::size_t g = 0; g < 3; ++g) {
        if (least[g] > 0.0 && averages[g] - least[g] < result.first) result = {averages[g] - least[g], g};
    }
    if (row.least_arrestance > 0.0 && arrestance) result = {*arrestance - row.least_arrestance, 3};
    return result;
}

template <Deferred...>
inline std::string requirement_text(const MinimumEfficiencyRow& row, std::size_t index,
                                    const std::array<double, 3>& averages, std::optional<double> arrestance) {
    const std::array<double, 4> least{row.least_E1, row.least_E2, row.least_E3, row.least_arrestance};
    const std::string name = index < 3 ? group_name(index) : "average arrestance";
    const double value = index < 3 ? averages[index] : arrestance.value_or(0.0);
    return name + " = " + percent_text(value) + ", value " + std::to_string(row.value) + " requires " +
           percent_text(least[index]);
}

/// All requirements of a row that are not met, and by how much the worst of them is missed.
template <Deferred...>
inline std::pair<std::string, double> unmet_requirements(const MinimumEfficiencyRow& row,
                                                         const std::array<double, 3>& averages,
                                                         std::optional<double> arrestance) {
    const std::array<double, 4> least{row.least_E1, row.least_E2, row.least_E3, row.least_arrestance};
    std::pair<std::string, double> result{"", 0.0};
    for (std::size_t i = 0; i < 4; ++i) {
        if (!(least[i] > 0.0) || (i == 3 && !arrestance)) continue;
        const double short_by = least[i] - (i < 3 ? averages[i] : *arrestance);
        if (!(short_by > rounding_of_percent)) continue;
        result.first += (result.first.empty() ? "" : "; ") + requirement_text(row, i, averages, arrestance);
        result.second = std::max(result.second, short_by);
    }
    return result;
}

/// For E1, E2, E3 and arrestance, whether the value hangs on where in its bounds that one lies, the others at the ends
/// of theirs. `value` takes {E1, E2, E3, arrestance} in percent.
template <class Value>
std::array<bool, 4> deciding(const std::array<double, 4>& lower, const std::array<double, 4>& upper,
                             const Value& value) {
    std::array<bool, 4> decides{};
    for (std::size_t i = 0; i < 4; ++i) {
        std::array<double, 4> raised = lower, lowered = upper;
        raised[i] = upper[i];
        lowered[i] = lower[i];
        decides[i] = value(raised) != value(lower) || value(lowered) != value(upper);
    }
    return decides;
}

}   // namespace filterflow::detail
