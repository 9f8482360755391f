// SPDX-License-Identifier: BSL-1.0
#pragma once

// Whether a sample follows a distribution: the test of Kolmogorov and Smirnov.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace filterflow::test {

/// Value that sqrt(n) D exceeds in one sample of a hundred, for large n: Smirnov 1948, Ann. Math. Statist. 19:279 (from
/// memory). With its series Q = 2 sum (-1)^(k-1) exp(-2 k^2 x^2) it is 0.0100.
inline constexpr double kolmogorov_critical_1_percent = 1.628;

/// sqrt(n) times the greatest distance between the sample's distribution function and the one given.
template <class Cumulative>
double kolmogorov_statistic(std::vector<double> sample, const Cumulative& cumulative) {
    std::sort(sample.begin(), sample.end());
    const double n = static_cast<double>(sample.size());
    double greatest = 0.0;
    for (std::size_t i = 0; i < sample.size(); ++i) {
        const double f = cumulative(sample[i]), rank = static_cast<double>(i);
        greatest = std::max({greatest, (rank + 1.0) / n - f, f - rank / n});
    }
    return std::sqrt(n) * greatest;
}

/// Mean, variance, skewness and excess kurtosis of a sample.
struct SampleMoments {
    double mean = 0.0, variance = 0.0, skewness = 0.0, kurtosis = 0.0;
};

inline SampleMoments sample_moments(const std::vector<double>& sample) {
    const double n = static_cast<double>(sample.size());
    SampleMoments m;
    for (const double x : sample) m.mean += x / n;
    double third = 0.0, fourth = 0.0;
    for (const double x : sample) {
        const double d = x - m.mean;
        m.variance += d * d / (n - 1.0);
        third += d * d * d / n;
        fourth += d * d * d * d / n;
    }
    m.skewness = third / std::pow(m.variance, 1.5);
    m.kurtosis = fourth / (m.variance * m.variance) - 3.0;
    return m;
}

}   // namespace filterflow::test
