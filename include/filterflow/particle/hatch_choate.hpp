// SPDX-License-Identifier: BSL-1.0
#pragma once

// What a size distribution counts, and how a lognormal median moves when something else is counted.

#include <cmath>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/core/units.hpp>

namespace filterflow {

/// What a size distribution counts.
enum class SizeWeighting {
    number,    ///< particles
    length,    ///< diameters
    surface,   ///< squares of the diameters
    volume     ///< cubes of the diameters: mass, where all sizes have one density
};

namespace detail {

constexpr double size_exponent(SizeWeighting weighting) {
    switch (weighting) {
        case SizeWeighting::number: return 0.0;
        case SizeWeighting::length: return 1.0;
        case SizeWeighting::surface: return 2.0;
        case SizeWeighting::volume: return 3.0;
    }
    return 3.0;
}

template <class T>
T hatch_choate(const T& median, const T& geometric_standard_deviation, SizeWeighting from, SizeWeighting to) {
    using std::exp;
    using std::log;
    const T width = log(geometric_standard_deviation);
    return median * exp(T(size_exponent(to) - size_exponent(from)) * width * width);
}

/// ln of the moment of one weighting over that of another, for a mode given by the latter.
template <class T>
T log_moment_ratio(const T& median, const T& geometric_standard_deviation, SizeWeighting from, SizeWeighting to) {
    using std::log;
    const double step = size_exponent(to) - size_exponent(from);
    const T width = log(geometric_standard_deviation);
    return T(step) * log(median) + T(0.5 * step * step) * width * width;
}

}   // namespace detail

/// A lognormal median and its geometric standard deviation.
template <class T>
struct BasicLognormalMedian {
    BasicLength<T> median;            ///< > 0
    T geometric_standard_deviation;   ///< > 1
};
using LognormalMedian = BasicLognormalMedian<double>;

/// Median size of one lognormal mode by another weighting.
///
/// Equation: m_q = m_p exp((q - p) ln^2 s)
/// Symbols:  m median [m], s geometric standard deviation; p, q exponent of size: 0 number, 1 length, 2 surface,
///           3 volume
/// Validity: a lognormal mode to its ends
/// @param  mode  median by the weighting it is given for, geometric standard deviation
/// @param  from  weighting of that median
/// @param  to  weighting wanted
/// @return median [m] by the weighting wanted
/// @throws DomainError if the median is not > 0, the geometric standard deviation not > 1, or the result too large
/// @source Hatch and Choate 1929, as in Hinds 1999, chapter 4 (from memory); test: particle/size_distribution_test.cpp
template <class T>
BasicLength<T> hatch_choate_median(const BasicLognormalMedian<T>& mode, SizeWeighting from, SizeWeighting to) {
    constexpr auto where = "hatch_choate_median";
    detail::require_positive(where, "median", mode.median.value(), "m");
    const T s = detail::require_finite(where, "geometric_standard_deviation", mode.geometric_standard_deviation, "-");
    if (!(detail::plain_value(s) > 1.0)) {
        detail::throw_domain_error(where, "geometric_standard_deviation", detail::plain_value(s), "-", "> 1");
    }
    return BasicLength<T>::from_value(detail::require_positive(
        where, "result", detail::hatch_choate(T(mode.median.value()), s, from, to), "m"));
}
template <Deferred...>
inline Length hatch_choate_median(const LognormalMedian& mode, SizeWeighting from, SizeWeighting to) {
    return hatch_choate_median<double>(mode, from, to);
}

}   // namespace filterflow
