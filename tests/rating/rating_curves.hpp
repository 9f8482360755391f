// SPDX-License-Identifier: BSL-1.0
#pragma once

// Curves for the tests of the room: flat, by group, random, and as plain arrays; all invented.

#include <algorithm>
#include <array>
#include <cstddef>
#include <map>
#include <random>
#include <string>
#include <vector>

#include <filterflow/capture/fractional_efficiency.hpp>
#include <filterflow/rating/class_probability.hpp>
#include <filterflow/rating/twelve_sizes.hpp>

namespace rating_curves {

using namespace filterflow;

/// Curve of plain efficiencies; each range with an uncertainty of its own.
inline FractionalEfficiency curve(const TwelveEfficiencies& efficiencies, double u = 0.0) {
    FractionalEfficiency result;
    const auto ranges = minimum_efficiency_size_ranges();
    for (std::size_t i = 0; i < 12; ++i) {
        result.ranges.push_back(stated_efficiency(ranges[i], uncertain(efficiencies[i], u, range_text(ranges[i]))));
    }
    return result;
}

/// Each group of four ranges at its average, in percent.
inline TwelveEfficiencies groups(double e1, double e2, double e3) {
    TwelveEfficiencies result;
    for (std::size_t i = 0; i < 12; ++i) result[i] = (i < 4 ? e1 : i < 8 ? e2 : e3) / 100.0;
    return result;
}

inline TwelveEfficiencies flat(double efficiency) {
    TwelveEfficiencies result;
    result.fill(efficiency);
    return result;
}

/// Efficiencies that mostly rise with size, from 0 to 1.
template <class Random>
TwelveEfficiencies random_curve(Random& random) {
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    TwelveEfficiencies result;
    const double lift = unit(random), steepness = unit(random);
    for (std::size_t i = 0; i < 12; ++i) {
        const double rise = steepness * static_cast<double>(i) / 11.0;
        result[i] = std::clamp(lift + rise + 0.1 * (unit(random) - 0.5), 0.0, 1.0);
    }
    return result;
}

inline double sum(const std::vector<ClassProbability>& classes) {
    double total = 0.0;
    for (const ClassProbability& c : classes) total += c.probability;
    return total;
}

inline double probability(const std::vector<ClassProbability>& classes, const std::string& name) {
    double total = 0.0;
    for (const ClassProbability& c : classes) {
        if (c.name == name) total += c.probability;
    }
    return total;
}

}   // namespace rating_curves
