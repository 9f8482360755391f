// SPDX-License-Identifier: BSL-1.0
#pragma once

// Products and quotients of uncertain values, of each other and of exact ones; sums and differences are in
// uncertain_value.hpp. What is a plain ratio comes out as a plain number. Anything else is a stage for `propagate`.

#include <type_traits>
#include <utility>

#include <filterflow/core/checks.hpp>
#include <filterflow/core/deferred.hpp>
#include <filterflow/numeric/uncertain_value.hpp>

namespace filterflow {

namespace detail {

template <class B>
concept ExactFactor = std::is_arithmetic_v<B> || requires { typename B::unit_type; };

/// A plain number of a type that quantities multiply with; quantities as they are.
template <class B>
auto exact_factor(const B& b) {
    if constexpr (std::is_arithmetic_v<B>) {
        return static_cast<double>(b);
    } else {
        return b;
    }
}
/// Quantities without a dimension are plain numbers.
template <class Q>
using plain_if_dimensionless = std::conditional_t<std::is_convertible_v<Q, double>, double, Q>;

template <class A, class B>
using UncertainProduct = plain_if_dimensionless<decltype(std::declval<A>() * std::declval<B>())>;
template <class A, class B>
using UncertainQuotient = plain_if_dimensionless<decltype(std::declval<A>() / std::declval<B>())>;

template <Deferred...>
inline double checked_divisor(double divisor) {
    if (divisor == 0.0) throw_domain_error("operator/", "divisor", divisor, "", "not zero");
    return divisor;
}

}   // namespace detail

template <class A, class B>
Uncertain<detail::UncertainProduct<A, B>> operator*(const Uncertain<A>& a, const Uncertain<B>& b) {
    const double x = detail::in_si(a.value), y = detail::in_si(b.value);
    Gradient gradient;
    gradient.add(a.gradient, y);
    gradient.add(b.gradient, x);
    return {detail::from_si<detail::UncertainProduct<A, B>>(x * y), std::move(gradient)};
}
template <class A, class B>
Uncertain<detail::UncertainQuotient<A, B>> operator/(const Uncertain<A>& a, const Uncertain<B>& b) {
    const double x = detail::in_si(a.value), y = detail::checked_divisor(detail::in_si(b.value));
    Gradient gradient;
    gradient.add(a.gradient, 1.0 / y);
    gradient.add(b.gradient, -x / (y * y));
    return {detail::from_si<detail::UncertainQuotient<A, B>>(x / y), std::move(gradient)};
}
template <class A, detail::ExactFactor B>
auto operator*(const Uncertain<A>& a, const B& b) {
    return a * Uncertain<decltype(detail::exact_factor(b))>(detail::exact_factor(b));
}
template <detail::ExactFactor A, class B>
auto operator*(const A& a, const Uncertain<B>& b) {
    return Uncertain<decltype(detail::exact_factor(a))>(detail::exact_factor(a)) * b;
}
template <class A, detail::ExactFactor B>
auto operator/(const Uncertain<A>& a, const B& b) {
    return a / Uncertain<decltype(detail::exact_factor(b))>(detail::exact_factor(b));
}
template <detail::ExactFactor A, class B>
auto operator/(const A& a, const Uncertain<B>& b) {
    return Uncertain<decltype(detail::exact_factor(a))>(detail::exact_factor(a)) / b;
}

}   // namespace filterflow
