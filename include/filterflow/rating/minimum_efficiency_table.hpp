// SPDX-License-Identifier: BSL-1.0
#pragma once

// The table by which ANSI/ASHRAE 52.2-2017 gives minimum efficiency reporting values.

#include <array>
#include <cstdio>
#include <string>

namespace filterflow {

/// One row of the table: what a value requires, in percent; zero where it requires nothing.
struct MinimumEfficiencyRow {
    int value = 0;                 ///< minimum efficiency reporting value, 1 to 16
    double least_E1 = 0.0;         ///< average efficiency from 0.3 to 1 um, at least [%]
    double least_E2 = 0.0;         ///< average efficiency from 1 to 3 um, at least [%]
    double least_E3 = 0.0;         ///< average efficiency from 3 to 10 um, at least [%]
    double least_arrestance = 0.0; ///< average arrestance, at least [%]; decides where E3 is below 20 %
};

namespace detail {

inline constexpr double rounding_of_percent = 1e-9;   // of sums of doubles; the table itself is applied unrounded

inline std::string percent_text(double percent) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f", percent);
    for (char& c : text) {
        if (c == ',') c = '.';
    }
    return std::string(text) + " %";
}

}   // namespace detail

/// The table of the 2017 edition. Rows 1 to 4 hold for E3 below 20 % and go by average arrestance.
///
/// Equation: none
/// Symbols:  none
/// Validity: ANSI/ASHRAE 52.2-2017; earlier editions have other limits from 9 to 16
/// @return the rows, value 1 first; shape (16)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2-2017, Table 12-1 (from memory, rows 1 to 6 also as public guidance on the table
///         states them); test: rating/minimum_efficiency_test.cpp
inline std::array<MinimumEfficiencyRow, 16> minimum_efficiency_table() {
    return {{{1, 0, 0, 0, 0},     {2, 0, 0, 0, 65},    {3, 0, 0, 0, 70},    {4, 0, 0, 0, 75},
             {5, 0, 0, 20, 0},    {6, 0, 0, 35, 0},    {7, 0, 0, 50, 0},    {8, 0, 20, 70, 0},
             {9, 0, 35, 75, 0},   {10, 0, 50, 80, 0},  {11, 20, 65, 85, 0}, {12, 35, 80, 90, 0},
             {13, 50, 85, 90, 0}, {14, 75, 90, 95, 0}, {15, 85, 90, 95, 0}, {16, 95, 95, 95, 0}}};
}

namespace detail {

/// Highest row whose requirements are all met; all in percent.
inline int minimum_efficiency_value(const std::array<double, 3>& averages, double arrestance) {
    int value = 1;
    for (const MinimumEfficiencyRow& row : minimum_efficiency_table()) {
        const bool by_arrestance = row.value <= 4;
        const bool met = by_arrestance ? arrestance >= row.least_arrestance - rounding_of_percent
                                       : averages[0] >= row.least_E1 - rounding_of_percent &&
                                             averages[1] >= row.least_E2 - rounding_of_percent &&
                                             averages[2] >= row.least_E3 - rounding_of_percent;
        if (met) value = row.value;
    }
    return value;
}

}   // namespace detail

}   // namespace filterflow
