// SPDX-License-Identifier: BSL-1.0
#pragma once

// Exponential, logarithm, square root, sine and cosine without branches and calls, for plain loops over arrays that the
// compiler turns into vector code (-O3 -march=x86-64-v3; std::sqrt in a loop needs -fno-math-errno for that). Within
// 1e-15 of the standard's functions, relative for the exponential and the root, absolute or relative, whichever is
// larger, for the logarithm, absolute for sine and cosine; no special values: the caller stays in the range stated.

#include <bit>
#include <cstdint>

#include <filterflow/core/deferred.hpp>

namespace filterflow::detail {

/// e^x for -708 <= x <= 708. x = n ln 2 + r, |r| <= ln 2/2; Taylor's polynomial of degree 13 in r; n goes into the
/// exponent by its place in the mantissa of a large number.
template <Deferred...>
inline double loop_exp(double x) {
    constexpr double shift = 0x1.8p52;   // the last places of the mantissa become whole numbers
    constexpr double ln2_high = 0x1.62e42fefa0000p-1, ln2_low = 0x1.cf79abc9e3b3ap-40;
    const double shifted = x * 1.4426950408889634 + shift;
    const double n = shifted - shift;
    const double r = (x - n * ln2_high) - n * ln2_low;
    double p = 1.0 / 6227020800.0;
    p = p * r + 1.0 / 479001600.0;
    p = p * r + 1.0 / 39916800.0;
    p = p * r + 1.0 / 3628800.0;
    p = p * r + 1.0 / 362880.0;
    p = p * r + 1.0 / 40320.0;
    p = p * r + 1.0 / 5040.0;
    p = p * r + 1.0 / 720.0;
    p = p * r + 1.0 / 120.0;
    p = p * r + 1.0 / 24.0;
    p = p * r + 1.0 / 6.0;
    p = p * r + 0.5;
    p = p * r + 1.0;
    p = p * r + 1.0;
    const std::uint64_t power = (std::bit_cast<std::uint64_t>(shifted) << 52) + std::bit_cast<std::uint64_t>(1.0);
    return p * std::bit_cast<double>(power);   // n in the last places, times 2^52, on the exponent of 1
}

/// ln x for normal x > 0. x = 2^k m, m within a factor 2^(1/2) of one; ln m = 2 artanh((m - 1)/(m + 1)) by its series
/// to the power 21.
template <Deferred...>
inline double loop_log(double x) {
    constexpr std::uint64_t half_root = 0x3fe6a09e667f3bcd;   // 2^(-1/2)
    constexpr std::uint64_t mantissa = 0x000fffffffffffff;
    const std::uint64_t bits = std::bit_cast<std::uint64_t>(x) - half_root + (std::uint64_t{1023} << 52);
    const double k = std::bit_cast<double>((bits >> 52) | std::bit_cast<std::uint64_t>(0x1p52)) - (0x1p52 + 1023.0);
    const double m = std::bit_cast<double>((bits & mantissa) + half_root);
    const double s = (m - 1.0) / (m + 1.0), q = s * s;
    double p = 2.0 / 21.0;
    p = p * q + 2.0 / 19.0;
    p = p * q + 2.0 / 17.0;
    p = p * q + 2.0 / 15.0;
    p = p * q + 2.0 / 13.0;
    p = p * q + 2.0 / 11.0;
    p = p * q + 2.0 / 9.0;
    p = p * q + 2.0 / 7.0;
    p = p * q + 2.0 / 5.0;
    p = p * q + 2.0 / 3.0;
    return k * 0x1.62e42fefa0000p-1 + (2.0 * s + (s * q * p + k * 0x1.cf79abc9e3b3ap-40));
}

/// Square root of x = 0 or normal x > 0: a start from the bits of the exponent, off by 3.5 %, three Newton steps for
/// its inverse and one for itself.
template <Deferred...>
inline double loop_sqrt(double x) {
    double y = std::bit_cast<double>(0x5fe6eb50c7b537a9 - (std::bit_cast<std::uint64_t>(x) >> 1));
    const double half = 0.5 * x;
    y = y * (1.5 - half * y * y);
    y = y * (1.5 - half * y * y);
    y = y * (1.5 - half * y * y);
    const double root = x * y;
    return root + 0.5 * y * (x - root * root);
}

/// sin x for |x| <= pi/2, by Taylor's polynomial of degree 21.
inline double loop_sine(double x) {
    const double q = x * x;
    double p = 1.0 / 51090942171709440000.0;
    p = p * q - 1.0 / 121645100408832000.0;
    p = p * q + 1.0 / 355687428096000.0;
    p = p * q - 1.0 / 1307674368000.0;
    p = p * q + 1.0 / 6227020800.0;
    p = p * q - 1.0 / 39916800.0;
    p = p * q + 1.0 / 362880.0;
    p = p * q - 1.0 / 5040.0;
    p = p * q + 1.0 / 120.0;
    p = p * q - 1.0 / 6.0;
    return x + x * q * p;
}

/// cos x and sin x of a point on the unit circle, given by 64 bits: two for the quarter, the others for the place in
/// it.
struct CirclePoint {
    double cosine, sine;
};
template <Deferred...>
inline CirclePoint loop_circle_point(std::uint64_t bits) {
    const std::uint64_t quarter = bits >> 62;
    const double place = std::bit_cast<double>(((bits << 2) >> 12) | std::bit_cast<std::uint64_t>(1.0));   // 1 to 2
    const double x = (place - (1.5 - 0x1p-53)) * 1.5707963267948966;                // -pi/4 to pi/4, ends excluded
    const double q = x * x;
    double s = -1.0 / 1307674368000.0;
    s = s * q + 1.0 / 6227020800.0;
    s = s * q - 1.0 / 39916800.0;
    s = s * q + 1.0 / 362880.0;
    s = s * q - 1.0 / 5040.0;
    s = s * q + 1.0 / 120.0;
    s = s * q - 1.0 / 6.0;
    double c = 1.0 / 20922789888000.0;
    c = c * q - 1.0 / 87178291200.0;
    c = c * q + 1.0 / 479001600.0;
    c = c * q - 1.0 / 3628800.0;
    c = c * q + 1.0 / 40320.0;
    c = c * q - 1.0 / 720.0;
    c = c * q + 1.0 / 24.0;
    const std::uint64_t sine = std::bit_cast<std::uint64_t>(x + x * q * s);
    const std::uint64_t cosine = std::bit_cast<std::uint64_t>(1.0 - 0.5 * q + q * q * c);
    // A turn by quarters: (c, s), (-s, c), (-c, -s), (s, -c).
    const std::uint64_t swap = (sine ^ cosine) & (std::uint64_t{0} - (quarter & 1));
    const std::uint64_t first_sign = ((quarter + 1) & 2) << 62, second_sign = (quarter & 2) << 62;
    return {std::bit_cast<double>((cosine ^ swap) ^ first_sign), std::bit_cast<double>((sine ^ swap) ^ second_sign)};
}

}   // namespace filterflow::detail
