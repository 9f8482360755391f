// SPDX-License-Identifier: BSL-1.0
#pragma once

// The tables by which ANSI/ASHRAE 52.2 gives minimum efficiency reporting values: that of 2017, the default, and that
// of 1999 to 2012, by which older data sheets were written.

#include <array>
#include <cmath>
#include <cstddef>
#include <string>

#include <filterflow/core/deferred.hpp>
#include <filterflow/rating/estimate_text.hpp>

namespace filterflow {

/// Whose table of minimum efficiency reporting values.
enum class MinimumEfficiencyEdition {
    edition_2017,            ///< ANSI/ASHRAE 52.2-2017
    editions_1999_to_2012    ///< ANSI/ASHRAE 52.2-1999 to -2012, superseded in 2017
};

/// What is done to the averages E1, E2, E3 and arrestance before they meet the table.
enum class AverageRounding {
    as_computed,        ///< nothing
    to_whole_percent    ///< to the nearest whole per cent, halves up
};

/// How a minimum efficiency reporting value is told; by default the table of 2017, averages not rounded.
struct MinimumEfficiencyRule {
    MinimumEfficiencyEdition edition = MinimumEfficiencyEdition::edition_2017;   ///< whose table
    AverageRounding rounding = AverageRounding::as_computed;                     ///< of averages
};

/// One row of the table: what a value requires, in percent; zero where it requires nothing.
struct MinimumEfficiencyRow {
    int value = 0;                 ///< minimum efficiency reporting value, 1 to 16
    double least_E1 = 0.0;         ///< average efficiency from 0.3 to 1 um, at least [%]
    double least_E2 = 0.0;         ///< average efficiency from 1 to 3 um, at least [%]
    double least_E3 = 0.0;         ///< average efficiency from 3 to 10 um, at least [%]
    double least_arrestance = 0.0; ///< average arrestance, at least [%]; decides where E3 is below 20 %
};

/// The table of an edition. Rows 1 to 4 hold for E3 below 20 % and go by average arrestance. No row requires less
/// than the one before it.
///
/// Equation: none
/// Symbols:  none
/// Validity: the two tables differ from 8 to 16; what met 8 by the old one may be 7 by the new one
/// @param  edition  whose table
/// @return the rows, value 1 first; shape (16)
/// @throws nothing
/// @source ANSI/ASHRAE 52.2-2017, Table 12-1 (from memory, rows 1 to 6 also as public guidance on the table
///         states them); 52.2-1999 to -2007, Table 12-1, as a reprint has it (2012 from memory the same);
///         test: rating/minimum_efficiency_test.cpp, rating/minimum_efficiency_editions_test.cpp
inline const std::array<MinimumEfficiencyRow, 16>& minimum_efficiency_table(
    MinimumEfficiencyEdition edition = MinimumEfficiencyEdition::edition_2017) {
    static constexpr std::array<MinimumEfficiencyRow, 16> of_2017{
        {{1, 0, 0, 0, 0},     {2, 0, 0, 0, 65},    {3, 0, 0, 0, 70},    {4, 0, 0, 0, 75},
         {5, 0, 0, 20, 0},    {6, 0, 0, 35, 0},    {7, 0, 0, 50, 0},    {8, 0, 20, 70, 0},
         {9, 0, 35, 75, 0},   {10, 0, 50, 80, 0},  {11, 20, 65, 85, 0}, {12, 35, 80, 90, 0},
         {13, 50, 85, 90, 0}, {14, 75, 90, 95, 0}, {15, 85, 90, 95, 0}, {16, 95, 95, 95, 0}}};
    static constexpr std::array<MinimumEfficiencyRow, 16> until_2012{
        {{1, 0, 0, 0, 0},     {2, 0, 0, 0, 65},    {3, 0, 0, 0, 70},    {4, 0, 0, 0, 75},
         {5, 0, 0, 20, 0},    {6, 0, 0, 35, 0},    {7, 0, 0, 50, 0},    {8, 0, 0, 70, 0},
         {9, 0, 0, 85, 0},    {10, 0, 50, 85, 0},  {11, 0, 65, 85, 0},  {12, 0, 80, 90, 0},
         {13, 0, 90, 90, 0},  {14, 75, 90, 90, 0}, {15, 85, 90, 90, 0}, {16, 95, 95, 95, 0}}};
    return edition == MinimumEfficiencyEdition::edition_2017 ? of_2017 : until_2012;
}

namespace detail {

/// Percent as it meets the table.
template <Deferred...>
inline double table_percent(double percent, const MinimumEfficiencyRule& rule) {
    if (rule.rounding == AverageRounding::as_computed) return percent;
    return std::floor(percent + 0.5 + rounding_of_percent);
}

/// Highest row whose requirements are all met; all in percent, as they meet the table.
template <Deferred...>
inline int minimum_efficiency_value(const std::array<double, 3>& averages, double arrestance,
                                    MinimumEfficiencyEdition edition) {
    const auto met = [](double value, double least) { return !(least > 0.0) || value >= least - rounding_of_percent; };
    const auto& table = minimum_efficiency_table(edition);
    for (std::size_t i = table.size(); i-- > 1;) {
        const MinimumEfficiencyRow& row = table[i];
        if (met(averages[2], row.least_E3) && met(averages[1], row.least_E2) && met(averages[0], row.least_E1) &&
            met(arrestance, row.least_arrestance)) {
            return row.value;
        }
    }
    return 1;
}

template <Deferred...>
inline std::string edition_text(const MinimumEfficiencyRule& rule) {
    std::string text = rule.edition == MinimumEfficiencyEdition::edition_2017
                           ? "ANSI/ASHRAE 52.2-2017"
                           : "the superseded table of ANSI/ASHRAE 52.2-1999 to -2012";
    if (rule.rounding == AverageRounding::to_whole_percent) text += " with averages rounded to whole per cent";
    return text;
}

}   // namespace detail

}   // namespace filterflow
