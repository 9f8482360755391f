// SPDX-License-Identifier: BSL-1.0
#pragma once

// Size distributions of particles by volume (by mass, where all sizes have one density): mixtures of lognormal
// modes, among them the urban and rural ones of ISO 16890-1.

#include <cmath>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// One lognormal mode of a distribution.
struct LognormalMode {
    double weight = 0.0;                     ///< share of the volume, > 0
    Length median{};                         ///< median size by volume, > 0
    double geometric_standard_deviation = 0; ///< > 1
};

/// A mixture of lognormal modes, by volume.
struct SizeDistribution {
    std::string name;                    ///< what a report prints: "urban, ISO 16890-1"
    std::vector<LognormalMode> modes;    ///< weights sum to one
};

namespace detail {

inline void check(const SizeDistribution& distribution, std::string_view where) {
    double sum = 0.0;
    for (const LognormalMode& mode : distribution.modes) {
        sum += require_positive(where, "mode.weight", mode.weight, "-");
        require_positive(where, "mode.median", mode.median.value(), "m");
        const double s = require_finite(where, "mode.geometric_standard_deviation",
                                        mode.geometric_standard_deviation, "-");
        if (!(s > 1.0)) throw_domain_error(where, "mode.geometric_standard_deviation", s, "-", "> 1");
    }
    if (!(std::abs(sum - 1.0) < 1e-6)) throw_domain_error(where, "sum of the modes' weights", sum, "-", "1");
}

/// Volume fraction of one mode between two sizes; computed on the side of the median where nothing cancels.
inline double lognormal_fraction(double lower, double upper, double median, double geometric_standard_deviation) {
    const double scale = std::numbers::sqrt2 * std::log(geometric_standard_deviation);
    const double a = lower > 0.0 ? std::log(lower / median) / scale : -HUGE_VAL;
    const double b = std::isinf(upper) ? HUGE_VAL : std::log(upper / median) / scale;
    if (a > 0.0) return 0.5 * (std::erfc(a) - std::erfc(b));
    return 0.5 * (std::erfc(-b) - std::erfc(-a));
}

}   // namespace detail

/// Fraction of the particles' volume that lies in a range of size.
///
/// Equation: sum_k w_k (Phi(ln(d_2/m_k)/ln s_k) - Phi(ln(d_1/m_k)/ln s_k))
/// Symbols:  w weight, m median [m], s geometric standard deviation of mode k, d_1 and d_2 ends of the range [m]
/// Validity: any range; one that is open above reaches to infinity
/// @param  distribution  mixture of lognormal modes
/// @param  range  range of particle size
/// @return volume fraction [-], between 0 and 1
/// @throws DomainError if a weight, median or standard deviation is out of its range, the weights do not sum
///         to one, or the range is not one
/// @source lognormal distribution; test: particle/size_distribution_test.cpp
inline double volume_fraction(const SizeDistribution& distribution, const SizeRange& range) {
    constexpr auto where = "volume_fraction(SizeDistribution)";
    detail::check(distribution, where);
    detail::check(range, where);
    const double upper = range.open_above ? HUGE_VAL : range.upper.value();
    double sum = 0.0;
    for (const LognormalMode& mode : distribution.modes) {
        sum += mode.weight * detail::lognormal_fraction(range.lower.value(), upper, mode.median.value(),
                                                        mode.geometric_standard_deviation);
    }
    return sum;
}

/// Volume density over the logarithm of size: volume fraction per unit of ln d.
///
/// Equation: q = sum_k w_k exp(-(ln(d/m_k)/ln s_k)^2 / 2) / (sqrt(2 pi) ln s_k)
/// Symbols:  as volume_fraction; d particle size [m]
/// Validity: d > 0
/// @param  distribution  mixture of lognormal modes
/// @param  diameter  particle size [m], > 0
/// @return volume density per unit of ln d [-]
/// @throws DomainError as volume_fraction, or if the size is not > 0
/// @source ISO 16890-1:2016, distribution of ambient aerosol (from memory); test: particle/size_distribution_test.cpp
inline double volume_density(const SizeDistribution& distribution, const Length& diameter) {
    constexpr auto where = "volume_density(SizeDistribution)";
    detail::check(distribution, where);
    const double d = detail::require_positive(where, "diameter", diameter.value(), "m");
    double sum = 0.0;
    for (const LognormalMode& mode : distribution.modes) {
        const double width = std::log(mode.geometric_standard_deviation);
        const double x = std::log(d / mode.median.value()) / width;
        sum += mode.weight * std::exp(-0.5 * x * x) / (std::sqrt(2.0 * std::numbers::pi) * width);
    }
    return sum;
}

/// Distribution of urban ambient aerosol by volume, used for the PM1 and PM2.5 efficiencies of ISO 16890.
///
/// Equation: modes 0.45 at 0.3 um (2.2) and 0.55 at 10 um (3.1): weight, median (geometric standard deviation)
/// Symbols:  none
/// Validity: a convention of the standard; no town's air in particular
/// @return the distribution
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: particle/size_distribution_test.cpp
inline SizeDistribution urban_distribution() {
    return {.name = "urban, ISO 16890-1:2016",
            .modes = {{0.45, 0.3 * units::um, 2.2}, {0.55, 10 * units::um, 3.1}}};
}

/// Distribution of rural ambient aerosol by volume, used for the PM10 efficiency of ISO 16890.
///
/// Equation: modes 0.18 at 0.25 um (2.2) and 0.82 at 11 um (4.0): weight, median (geometric standard deviation)
/// Symbols:  none
/// Validity: a convention of the standard
/// @return the distribution
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: particle/size_distribution_test.cpp
inline SizeDistribution rural_distribution() {
    return {.name = "rural, ISO 16890-1:2016",
            .modes = {{0.18, 0.25 * units::um, 2.2}, {0.82, 11 * units::um, 4.0}}};
}

}   // namespace filterflow
