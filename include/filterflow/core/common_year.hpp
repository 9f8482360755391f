// SPDX-License-Identifier: BSL-1.0
#pragma once

// The months of a year of 365 days. Not public.

#include <array>
#include <cstddef>

namespace filterflow::detail {

/// Days of a common year before each of its months, and before its end.
inline constexpr std::array<std::size_t, 13> days_before_month{0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334,
                                                               365};

inline constexpr std::array<const char*, 12> month_names{
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

}   // namespace filterflow::detail
