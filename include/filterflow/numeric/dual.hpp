// SPDX-License-Identifier: BSL-1.0
#pragma once

// Forward-mode dual numbers: a value and its derivatives to N inputs. No expression templates, so that a dual
// works as the value type of a quantity and `auto` never dangles. Comparisons look at the value alone.
//
// Solvers are not differentiated through their iterations: solve in double, then take one Newton step in the
// dual (implicit function theorem).

#include <array>
#include <cmath>
#include <concepts>
#include <cstddef>
#include <utility>

#include <filterflow/core/checks.hpp>

namespace filterflow {

/// A value with its derivatives to N inputs.
template <std::size_t N>
struct Dual {
    double value = 0.0;                   ///< any number
    std::array<double, N> derivative{};   ///< of the value, to each of the inputs; shape (N)

    constexpr Dual() = default;
    constexpr Dual(double v) : value(v) {}   // NOLINT: a plain number is a constant
    constexpr Dual(double v, const std::array<double, N>& d) : value(v), derivative(d) {}

    /// The i-th input itself: derivative one to itself, zero to the others.
    static constexpr Dual input(double v, std::size_t i) {
        Dual x(v);
        x.derivative[i] = 1.0;
        return x;
    }

    // Each result is written once, number by number: copies of whole duals stall processors that read them back wider
    // than they were written.
    friend constexpr Dual operator+(const Dual& a, const Dual& b) {
        Dual sum(a.value + b.value);
        for (std::size_t i = 0; i < N; ++i) sum.derivative[i] = a.derivative[i] + b.derivative[i];
        return sum;
    }
    friend constexpr Dual operator-(const Dual& a, const Dual& b) {
        Dual difference(a.value - b.value);
        for (std::size_t i = 0; i < N; ++i) difference.derivative[i] = a.derivative[i] - b.derivative[i];
        return difference;
    }
    friend constexpr Dual operator*(const Dual& a, const Dual& b) {
        Dual product(a.value * b.value);
        for (std::size_t i = 0; i < N; ++i) {
            product.derivative[i] = a.derivative[i] * b.value + a.value * b.derivative[i];
        }
        return product;
    }
    friend constexpr Dual operator/(const Dual& a, const Dual& b) {
        Dual ratio(a.value / b.value);
        const double inverse = 1.0 / b.value;
        for (std::size_t i = 0; i < N; ++i) {
            ratio.derivative[i] = (a.derivative[i] - ratio.value * b.derivative[i]) * inverse;
        }
        return ratio;
    }
    constexpr Dual& operator+=(const Dual& b) { return *this = *this + b; }
    constexpr Dual& operator-=(const Dual& b) { return *this = *this - b; }
    constexpr Dual& operator*=(const Dual& b) { return *this = *this * b; }
    constexpr Dual& operator/=(const Dual& b) { return *this = *this / b; }
    friend constexpr Dual operator+(const Dual& a) { return a; }
    friend constexpr Dual operator-(const Dual& a) {
        Dual opposite(-a.value);
        for (std::size_t i = 0; i < N; ++i) opposite.derivative[i] = -a.derivative[i];
        return opposite;
    }

    friend constexpr bool operator==(const Dual& a, const Dual& b) { return a.value == b.value; }
    friend constexpr auto operator<=>(const Dual& a, const Dual& b) { return a.value <=> b.value; }
};

namespace detail {

/// f(x) from its value and slope at x.
template <std::size_t N>
constexpr Dual<N> chain(const Dual<N>& x, double f, double slope) {
    Dual<N> y(f);
    for (std::size_t i = 0; i < N; ++i) y.derivative[i] = slope * x.derivative[i];
    return y;
}

/// f of a few arguments that carry many derivatives: f is differentiated for its arguments alone, which then are
/// chained with what they carry. f takes dual numbers of any number of derivatives.
template <class F, std::size_t N, std::same_as<Dual<N>>... X>
constexpr Dual<N> chained(const F& f, const Dual<N>& first, const X&... others) {
    constexpr std::size_t arguments = 1 + sizeof...(X), width = arguments == 3 ? 4 : arguments;   // for vector code
    const std::array<const Dual<N>*, arguments> all{&first, &others...};
    const auto own = [&]<std::size_t... K>(std::index_sequence<K...>) {
        return f(Dual<width>::input(all[K]->value, K)...);
    }(std::make_index_sequence<arguments>());
    Dual<N> y(own.value);
    for (std::size_t k = 0; k < arguments; ++k) {
        for (std::size_t i = 0; i < N; ++i) y.derivative[i] += own.derivative[k] * all[k]->derivative[i];
    }
    return y;
}

}   // namespace detail

template <std::size_t N> Dual<N> sqrt(const Dual<N>& x) {
    const double r = std::sqrt(x.value);
    return detail::chain(x, r, 0.5 / r);
}
template <std::size_t N> Dual<N> cbrt(const Dual<N>& x) {
    const double r = std::cbrt(x.value);
    return detail::chain(x, r, 1.0 / (3.0 * r * r));
}
template <std::size_t N> Dual<N> exp(const Dual<N>& x) {
    const double e = std::exp(x.value);
    return detail::chain(x, e, e);
}
template <std::size_t N> Dual<N> expm1(const Dual<N>& x) {
    return detail::chain(x, std::expm1(x.value), std::exp(x.value));
}
template <std::size_t N> Dual<N> log(const Dual<N>& x) {
    return detail::chain(x, std::log(x.value), 1.0 / x.value);
}
template <std::size_t N> Dual<N> log1p(const Dual<N>& x) {
    return detail::chain(x, std::log1p(x.value), 1.0 / (1.0 + x.value));
}
template <std::size_t N> Dual<N> log10(const Dual<N>& x) {
    return detail::chain(x, std::log10(x.value), 1.0 / (x.value * 2.302585092994046));
}
template <std::size_t N> Dual<N> sin(const Dual<N>& x) {
    return detail::chain(x, std::sin(x.value), std::cos(x.value));
}
template <std::size_t N> Dual<N> cos(const Dual<N>& x) {
    return detail::chain(x, std::cos(x.value), -std::sin(x.value));
}
template <std::size_t N> Dual<N> sinh(const Dual<N>& x) {
    return detail::chain(x, std::sinh(x.value), std::cosh(x.value));
}
template <std::size_t N> Dual<N> cosh(const Dual<N>& x) {
    return detail::chain(x, std::cosh(x.value), std::sinh(x.value));
}
template <std::size_t N> Dual<N> tanh(const Dual<N>& x) {
    const double t = std::tanh(x.value);
    return detail::chain(x, t, 1.0 - t * t);
}
template <std::size_t N> Dual<N> atan(const Dual<N>& x) {
    return detail::chain(x, std::atan(x.value), 1.0 / (1.0 + x.value * x.value));
}
template <std::size_t N> Dual<N> erf(const Dual<N>& x) {
    return detail::chain(x, std::erf(x.value), 1.1283791670955126 * std::exp(-x.value * x.value));
}
template <std::size_t N> Dual<N> erfc(const Dual<N>& x) {
    return detail::chain(x, std::erfc(x.value), -1.1283791670955126 * std::exp(-x.value * x.value));
}
template <std::size_t N> Dual<N> abs(const Dual<N>& x) { return x.value < 0.0 ? -x : x; }
template <std::size_t N> Dual<N> fabs(const Dual<N>& x) { return abs(x); }
template <std::size_t N> bool isfinite(const Dual<N>& x) {
    bool finite = std::isfinite(x.value);
    for (const double d : x.derivative) finite = finite && std::isfinite(d);
    return finite;
}
/// x^p for a constant exponent.
template <std::size_t N> Dual<N> pow(const Dual<N>& x, double p) {
    const double f = std::pow(x.value, p);
    const double slope = p == 0.0 ? 0.0 : std::isnormal(f) ? p * f / x.value : p * std::pow(x.value, p - 1.0);
    return detail::chain(x, f, slope);
}
/// x^p for x > 0, or x = 0 with p > 1 (where the derivative to p vanishes).
template <std::size_t N> Dual<N> pow(const Dual<N>& x, const Dual<N>& p) {
    Dual<N> y = pow(x, p.value);
    const double slope = x.value > 0.0 ? y.value * std::log(x.value) : 0.0;
    for (std::size_t i = 0; i < N; ++i) y.derivative[i] += slope * p.derivative[i];
    return y;
}

}   // namespace filterflow
