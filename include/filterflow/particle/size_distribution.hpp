// SPDX-License-Identifier: BSL-1.0
#pragma once

// Size distributions of particles: mixtures of lognormal modes by number, surface or volume (by mass, where all sizes
// have one density), each turned into the others; among them the urban and rural ones of ISO 16890-1. The ends of a
// range are plain sizes, what the modes are made of may carry derivatives.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>
#include <filterflow/particle/hatch_choate.hpp>
#include <filterflow/particle/size_range.hpp>

namespace filterflow {

/// One lognormal mode of a distribution.
template <class T>
struct BasicLognormalMode {
    T weight = T(0);                         ///< share of the number, surface or volume, > 0
    BasicLength<T> median{};                 ///< median size by the same, > 0
    T geometric_standard_deviation = T(0);   ///< > 1
};
using LognormalMode = BasicLognormalMode<double>;

/// A mixture of lognormal modes.
template <class T>
struct BasicSizeDistribution {
    std::string name;                            ///< what a report prints: "urban, ISO 16890-1"
    std::vector<BasicLognormalMode<T>> modes;    ///< weights sum to one
    SizeWeighting weighting = SizeWeighting::volume;   ///< what weights and medians count
};
using SizeDistribution = BasicSizeDistribution<double>;

namespace detail {

template <class T>
void check(const BasicSizeDistribution<T>& distribution, std::string_view where) {
    double sum = 0.0;
    for (const BasicLognormalMode<T>& mode : distribution.modes) {
        sum += plain_value(require_positive(where, "mode.weight", mode.weight, "-"));
        require_positive(where, "mode.median", mode.median.value(), "m");
        const double s = plain_value(require_finite(where, "mode.geometric_standard_deviation",
                                                    mode.geometric_standard_deviation, "-"));
        if (!(s > 1.0)) throw_domain_error(where, "mode.geometric_standard_deviation", s, "-", "> 1");
    }
    if (!(std::abs(sum - 1.0) < 1e-6)) throw_domain_error(where, "sum of the modes' weights", sum, "-", "1");
}

/// Volume fraction of one mode between two sizes; computed on the side of the median where nothing cancels.
template <class T>
T lognormal_fraction(double lower, double upper, const T& median, const T& geometric_standard_deviation) {
    using std::erfc;
    using std::log;
    const T scale = T(std::numbers::sqrt2) * log(geometric_standard_deviation);
    const T a = lower > 0.0 ? T(log(T(lower) / median) / scale) : T(-HUGE_VAL);
    const T b = std::isinf(upper) ? T(HUGE_VAL) : T(log(T(upper) / median) / scale);
    if (plain_value(a) > 0.0) return T(0.5) * (erfc(a) - erfc(b));
    return T(0.5) * (erfc(-b) - erfc(-a));
}

/// ln of each mode's moment by another weighting, over that of the whole distribution by its own.
template <class T>
std::vector<T> log_moments(const BasicSizeDistribution<T>& distribution, SizeWeighting weighting) {
    using std::log;
    std::vector<T> logs;
    for (const BasicLognormalMode<T>& mode : distribution.modes) {
        logs.push_back(log(mode.weight) + log_moment_ratio<T>(mode.median.value(), mode.geometric_standard_deviation,
                                                              distribution.weighting, weighting));
    }
    return logs;
}

/// The same modes counted otherwise: shifted medians, weights by their moments. Summed from the largest logarithm, so
/// that far apart modes do not overflow.
template <class T>
BasicSizeDistribution<T> weighted(const BasicSizeDistribution<T>& distribution, SizeWeighting weighting) {
    using std::exp;
    BasicSizeDistribution<T> result = distribution;
    if (weighting == distribution.weighting) return result;
    result.weighting = weighting;
    std::vector<T> shares = log_moments(distribution, weighting);
    for (BasicLognormalMode<T>& mode : result.modes) {
        mode.median = BasicLength<T>::from_value(hatch_choate<T>(mode.median.value(), mode.geometric_standard_deviation,
                                                                 distribution.weighting, weighting));
    }
    const T largest = *std::max_element(shares.begin(), shares.end());
    T sum = T(0);
    for (T& share : shares) sum += share = exp(share - largest);
    for (std::size_t i = 0; i < shares.size(); ++i) result.modes[i].weight = shares[i] / sum;
    return result;
}

/// Fraction of a distribution, by its own weighting, in a range.
template <class T>
T fraction(const BasicSizeDistribution<T>& distribution, const SizeRange& range) {
    const double upper = range.open_above ? HUGE_VAL : range.upper.value();
    T sum = T(0);
    for (const BasicLognormalMode<T>& mode : distribution.modes) {
        sum += mode.weight * lognormal_fraction<T>(range.lower.value(), upper, mode.median.value(),
                                                   mode.geometric_standard_deviation);
    }
    return sum;
}

}   // namespace detail

/// A distribution counted otherwise, each mode by Hatch and Choate.
///
/// Equation: m_q = m_p exp((q - p) ln^2 s); w_q proportional to w_p m_p^(q - p) exp((q - p)^2 ln^2 s / 2)
/// Symbols:  w weight, m median [m], s geometric standard deviation; p, q exponent of size (0 number, 1 length,
///           2 surface, 3 volume) of the given and the wanted weighting
/// Validity: lognormal modes to their ends; a number distribution made from volume rests on the tail of small sizes
/// @param  distribution  mixture of lognormal modes
/// @param  weighting  wanted
/// @return the same particles by that weighting, weights sum to one
/// @throws DomainError if a weight, median or standard deviation is out of its range, or the weights do not sum to
///         one; if a weight of the result is too small for a number
/// @source Hatch and Choate 1929, as in Hinds 1999, chapter 4 (from memory); test: particle/size_distribution_test.cpp
template <class T>
BasicSizeDistribution<T> weighted_by(const BasicSizeDistribution<T>& distribution, SizeWeighting weighting) {
    constexpr auto where = "weighted_by";
    detail::check(distribution, where);
    BasicSizeDistribution<T> result = detail::weighted(distribution, weighting);
    for (const BasicLognormalMode<T>& mode : result.modes) {
        detail::require_positive(where, "weight of the result", mode.weight, "-");
        detail::require_positive(where, "median of the result", mode.median.value(), "m");
    }
    return result;
}
template <Deferred...>
inline SizeDistribution weighted_by(const SizeDistribution& distribution, SizeWeighting weighting) {
    return weighted_by<double>(distribution, weighting);
}

/// Fraction of the particles' number, surface or volume that lies in a range of size.
///
/// Equation: sum_k w_k (Phi(ln(d_2/m_k)/ln s_k) - Phi(ln(d_1/m_k)/ln s_k)) of weighted_by(distribution, weighting)
/// Symbols:  as volume_fraction
/// Validity: any range; one that is open above reaches to infinity
/// @param  distribution  mixture of lognormal modes
/// @param  range  range of particle size
/// @param  weighting  what is counted
/// @return fraction [-], between 0 and 1
/// @throws DomainError as weighted_by, or if the range is not one
/// @source as weighted_by; test: particle/size_distribution_test.cpp
template <class T>
T size_fraction(const BasicSizeDistribution<T>& distribution, const SizeRange& range, SizeWeighting weighting) {
    constexpr auto where = "size_fraction";
    detail::check(range, where);
    return detail::fraction(weighted_by<T>(distribution, weighting), range);
}
template <Deferred...>
inline double size_fraction(const SizeDistribution& distribution, const SizeRange& range, SizeWeighting weighting) {
    return size_fraction<double>(distribution, range, weighting);
}

/// Mean size of a distribution by two moments: p = 3, q = 2 is the size with the mixture's surface per volume.
///
/// Equation: d_pq = (M_p/M_q)^(1/(p - q)); M_p = sum_k n_k m_k^p exp(p^2 ln^2 s_k/2)
/// Symbols:  n number share, m number median [m], s geometric standard deviation of mode k
/// Validity: p and q different
/// @param  distribution  mixture of lognormal modes, by any weighting
/// @param  above  p, exponent of the moment above
/// @param  below  q, exponent of the moment below
/// @return mean size [m]
/// @throws DomainError as weighted_by, or if the two moments are one
/// @source definition of the moments; test: particle/size_distribution_test.cpp
template <class T>
BasicLength<T> mean_size(const BasicSizeDistribution<T>& distribution, SizeWeighting above, SizeWeighting below) {
    using std::exp;
    using std::log;
    constexpr auto where = "mean_size";
    detail::check(distribution, where);
    const double p = detail::size_exponent(above), q = detail::size_exponent(below);
    if (p == q) detail::throw_domain_error(where, "exponent of the moment below", q, "-", "another than above");
    const auto log_moment = [&](SizeWeighting of) {   // over that of the distribution's own weighting
        const std::vector<T> logs = detail::log_moments(distribution, of);
        const T largest = *std::max_element(logs.begin(), logs.end());
        T sum = T(0);
        for (const T& each : logs) sum += exp(each - largest);
        return T(largest + log(sum));
    };
    const T mean = exp((log_moment(above) - log_moment(below)) / T(p - q));
    return BasicLength<T>::from_value(detail::require_positive(where, "result", mean, "m"));
}
template <Deferred...>
inline Length mean_size(const SizeDistribution& distribution, SizeWeighting above, SizeWeighting below) {
    return mean_size<double>(distribution, above, below);
}

/// Fraction of the particles' volume that lies in a range of size.
///
/// Equation: sum_k w_k (Phi(ln(d_2/m_k)/ln s_k) - Phi(ln(d_1/m_k)/ln s_k))
/// Symbols:  w weight, m median [m], s geometric standard deviation of mode k, d_1 and d_2 ends of the range [m]
/// Validity: any range; one that is open above reaches to infinity
/// @param  distribution  mixture of lognormal modes, by any weighting
/// @param  range  range of particle size
/// @return volume fraction [-], between 0 and 1
/// @throws DomainError if a weight, median or standard deviation is out of its range, the weights do not sum
///         to one, or the range is not one
/// @source lognormal distribution; test: particle/size_distribution_test.cpp
template <class T>
T volume_fraction(const BasicSizeDistribution<T>& distribution, const SizeRange& range) {
    constexpr auto where = "volume_fraction(SizeDistribution)";
    detail::check(distribution, where);
    detail::check(range, where);
    if (distribution.weighting == SizeWeighting::volume) return detail::fraction(distribution, range);
    return detail::fraction(detail::weighted(distribution, SizeWeighting::volume), range);
}
template <Deferred...>
inline double volume_fraction(const SizeDistribution& distribution, const SizeRange& range) {
    return volume_fraction<double>(distribution, range);
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
template <class T>
T volume_density(const BasicSizeDistribution<T>& distribution, BasicLength<T> diameter) {
    using std::exp;
    using std::log;
    constexpr auto where = "volume_density(SizeDistribution)";
    detail::check(distribution, where);
    const T d = detail::require_positive(where, "diameter", diameter.value(), "m");
    if (distribution.weighting != SizeWeighting::volume) {
        return volume_density<T>(detail::weighted(distribution, SizeWeighting::volume), diameter);
    }
    T sum = T(0);
    for (const BasicLognormalMode<T>& mode : distribution.modes) {
        const T width = log(mode.geometric_standard_deviation);
        const T x = log(d / mode.median.value()) / width;
        sum += mode.weight * exp(T(-0.5) * x * x) / (T(std::sqrt(2.0 * std::numbers::pi)) * width);
    }
    return sum;
}
template <Deferred...>
inline double volume_density(const SizeDistribution& distribution, const Length& diameter) {
    return volume_density<double>(distribution, diameter);
}

/// Distribution of urban ambient aerosol by volume, used for the PM1 and PM2.5 efficiencies of ISO 16890.
///
/// Equation: modes 0.45 at 0.3 um (2.2) and 0.55 at 10 um (3.1): weight, median (geometric standard deviation)
/// Symbols:  none
/// Validity: a convention of the standard; no town's air in particular
/// @return the distribution
/// @throws nothing
/// @source ISO 16890-1:2016 (from memory); test: particle/size_distribution_test.cpp
template <Deferred...>
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
template <Deferred...>
inline SizeDistribution rural_distribution() {
    return {.name = "rural, ISO 16890-1:2016",
            .modes = {{0.18, 0.25 * units::um, 2.2}, {0.82, 11 * units::um, 4.0}}};
}

}   // namespace filterflow
